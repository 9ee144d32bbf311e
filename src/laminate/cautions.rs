//! What has to stand beside any plan of work with these materials.
//!
//! Limits differ by country and change; the figures carry their mark and are there to show the size of the danger.

use serde::Serialize;

use super::figure::Mark;

/// The sentence that comes before all others.
pub const FIRST_OF_ALL: &str = "The maker's data sheet, local rules and licensed practice come first: where they say \
                                otherwise, they hold and this does not. Thickness and strength are estimates, not a certificate.";

/// The work that a caution belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Work {
    /// Making and painting the plug.
    Plug,
    /// Stirring catalyst or hardener in, and keeping them.
    Mixing,
    /// Wetting out.
    LayUp,
    /// What is laid in one go, and how it heats.
    Stages,
    /// Trimming and sanding.
    Trimming,
    /// All of it.
    Throughout,
}

impl Work {
    /// All of it, in the order of the work.
    pub const ALL: [Self; 6] = [Self::Throughout, Self::Plug, Self::Mixing, Self::LayUp, Self::Stages, Self::Trimming];

    /// The work in words, as a heading.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Plug => "Plug and paint",
            Self::Mixing => "Catalyst and mixing",
            Self::LayUp => "Wetting out",
            Self::Stages => "Heat of what is laid in one go",
            Self::Trimming => "Trimming and sanding",
            Self::Throughout => "All the time",
        }
    }
}

/// One caution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Caution {
    /// The work that it belongs to.
    pub work: Work,
    /// What it is about, in a word or two.
    pub about: &'static str,
    /// What to mind.
    pub text: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How firmly it is known.
    pub mark: &'static str,
}

const fn caution(work: Work, about: &'static str, text: &'static str, source: &'static str, mark: Mark) -> Caution {
    Caution { work, about, text, source, mark: mark.words() }
}

/// Cautions for hand lay-up, in the order of the work.
pub const CAUTIONS: [Caution; 17] = [
    caution(
        Work::LayUp,
        "styrene",
        "Ventilate, wear an A-type organic vapour filter; United States limit 100 ppm over 8 h, industry aims at 20 to 50 ppm.",
        "29 CFR 1910.1000 table Z-2; trade association pages",
        Mark::Published,
    ),
    caution(
        Work::Throughout,
        "fire",
        "Styrene flashes at 31 C, acetone far below 0 C: no flame, sparks or smoking; leave no drum open.",
        "International Chemical Safety Card 0073 for styrene; acetone recalled from card 0087",
        Mark::Published,
    ),
    caution(
        Work::Mixing,
        "catalyst in the eye",
        "Peroxide catalyst can blind: goggles whenever it is poured, an eye wash for 15 minutes of rinsing within reach.",
        "safety data sheets of MEKP; time of rinsing recalled",
        Mark::MakersSheet,
    ),
    caution(
        Work::Mixing,
        "hardener in the eye",
        "An epoxy's hardener burns eyes and skin: goggles whenever it is poured, an eye wash for 15 minutes of rinsing within reach.",
        "safety data sheets of amine hardeners, recalled",
        Mark::FromMemory,
    ),
    caution(
        Work::Mixing,
        "accelerator",
        "Never bring accelerator and catalyst together: the mixture explodes. Buy resin that is accelerated already; where it \
         is not, stir the accelerator into the resin first and the catalyst last.",
        "Practical Action brief KnO-100378 pp. 5 and 10",
        Mark::Published,
    ),
    caution(
        Work::Mixing,
        "thinning catalyst",
        "Never thin catalyst with acetone or any solvent; keep metal, rust, promoter and overspray out of it.",
        "an equipment maker's notice on MEKP",
        Mark::MakersSheet,
    ),
    caution(
        Work::Mixing,
        "spilt catalyst",
        "Take up spilt catalyst with an inert absorbent, never with rags or sawdust, which may catch fire.",
        "recalled from safety data sheets",
        Mark::FromMemory,
    ),
    caution(
        Work::Mixing,
        "storing catalyst",
        "Cool, dry, ventilated, in its own vessel, away from resin and accelerator; under 25 to 30 C (recalled).",
        "an equipment maker's notice on MEKP; temperature recalled",
        Mark::MakersSheet,
    ),
    caution(
        Work::Stages,
        "heat of the mix",
        "Left-over mix heats past 150 C and may smoke or burn: take it outdoors, in a pail filled up with cold water.",
        "a supplier's catalyst chart, note 4",
        Mark::MakersSheet,
    ),
    caution(
        Work::Stages,
        "thick laminate",
        "Plies laid in one go heat each other: stop at the stage's limit, let it heat and come back to the shop's temperature.",
        "a resin maker's hand lay-up page, item 7",
        Mark::MakersSheet,
    ),
    caution(
        Work::LayUp,
        "cold shop",
        "Under 15 C warm shop, tool and resin to 18 C or more. More catalyst instead gives a hard, badly cured laminate.",
        "class workmanship rules (18 C); cure note in a trade journal, February 2017, excerpt",
        Mark::Published,
    ),
    caution(
        Work::Throughout,
        "skin",
        "Nitrile gloves and long sleeves; wash with soap, not with acetone. Epoxy and its hardener can make allergic for life.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Trimming,
        "dust",
        "Trim and sand cured glass with extraction and a P2 or P3 filter; wet where it can be done.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Plug,
        "paint on the plug",
        "Two-pack paint gives off isocyanate when sprayed: an air-fed mask, not a filter.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Plug,
        "foam",
        "Never cut polyurethane foam with a hot wire: its fumes poison. Polyester and vinyl ester dissolve polystyrene foam.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Plug,
        "test patch",
        "Before the plug is gelcoated, try primer, paint, wax, gelcoat and laminate on a patch: under-cured paint and epoxy \
         primer stop gelcoat from curing.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Mixing,
        "epoxy's ratio",
        "Mix epoxy exactly as its maker says; never vary the hardener to change the speed, choose another hardener.",
        "common practice",
        Mark::CommonPractice,
    ),
];

/// The cautions that belong to some work.
pub fn at(work: Work) -> impl Iterator<Item = &'static Caution> {
    CAUTIONS.iter().filter(move |caution| caution.work == work)
}

/// All texts, the first of all first.
pub fn texts() -> impl Iterator<Item = &'static str> {
    std::iter::once(FIRST_OF_ALL).chain(CAUTIONS.iter().map(|caution| caution.text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dangers_that_maim_are_all_named() {
        for word in ["blind", "explodes", "150 C", "31 C", "isocyanate", "allergic", "acetone", "18 C"] {
            assert!(CAUTIONS.iter().any(|caution| caution.text.contains(word)), "{word}");
        }
        assert_eq!(texts().count(), CAUTIONS.len() + 1);
        assert_eq!(Work::ALL.iter().map(|&work| at(work).count()).sum::<usize>(), CAUTIONS.len());
        assert!(Work::ALL.iter().all(|&work| at(work).count() > 0));
        assert!(FIRST_OF_ALL.contains("data sheet") && FIRST_OF_ALL.contains("local rules"));
    }
}
