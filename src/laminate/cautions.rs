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
    /// Wax and release agent, and taking off the tool.
    Release,
    /// Stirring catalyst or hardener in.
    Mixing,
    /// Wetting out.
    LayUp,
    /// What is laid in one go, and how it heats.
    Stages,
    /// Trimming and sanding.
    Trimming,
    /// Keeping materials, from the day they come to the day they are got rid of.
    Storage,
    /// All of it.
    Throughout,
}

impl Work {
    /// All of it, in the order of the work.
    pub const ALL: [Self; 8] = [
        Self::Throughout,
        Self::Storage,
        Self::Plug,
        Self::Release,
        Self::Mixing,
        Self::LayUp,
        Self::Stages,
        Self::Trimming,
    ];

    /// The work in words, as a heading.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Storage => "Keeping and getting rid of",
            Self::Plug => "Plug and paint",
            Self::Release => "Release",
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
pub const CAUTIONS: [Caution; 26] = [
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
        Work::Storage,
        "storing catalyst",
        "Cool, dry, ventilated, in its own vessel, away from resin and accelerator; under 25 to 30 C, since at some 60 C it \
         decomposes by itself (both recalled).",
        "an equipment maker's notice on MEKP; temperatures recalled",
        Mark::MakersSheet,
    ),
    caution(
        Work::Mixing,
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
    caution(
        Work::Throughout,
        "hot day",
        "Over 31 C styrene's vapour and air can explode: stop work when shop or resin get there.",
        "International Chemical Safety Card 0073",
        Mark::Published,
    ),
    caution(
        Work::Throughout,
        "ventilation",
        "Draw air off low and let fresh air in: vapours of styrene and acetone are heavier than air and lie in tubs, moulds and pits.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Throughout,
        "rags",
        "Rags with resin, catalyst or solvent go wet into a metal bin with a lid, outdoors: in a heap they heat and take fire.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Storage,
        "storing resin and solvent",
        "Closed, cool and dark, apart from catalyst; write the day they came on them, and use what is oldest first.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Storage,
        "disposal",
        "Let left-overs cure outdoors before they are thrown away. Nothing liquid into drain, soil or bin; catalyst and solvent \
         go where local rules say.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Release,
        "wax and release agent",
        "They hold solvents: ventilate, gloves, no flame; let each coat dry off.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Release,
        "taking off",
        "Goggles and gloves: wedges slip, air throws wax and splinters, edges cut. Stand clear of what hangs by one edge.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::Mixing,
        "putty's hardener",
        "The paste is a peroxide too: gloves and goggles, never near accelerator, and no more than the card says.",
        "common practice",
        Mark::CommonPractice,
    ),
    caution(
        Work::LayUp,
        "heating",
        "Warm shop and tool without flame, glowing wire or a heater that blows over wet resin.",
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
    fn every_caution_has_a_source_and_a_mark_and_is_about_one_thing() {
        for (number, caution) in CAUTIONS.iter().enumerate() {
            assert!(!caution.source.is_empty() && !caution.mark.is_empty() && !caution.text.is_empty(), "{caution:?}");
            assert!(CAUTIONS[..number].iter().all(|other| other.about != caution.about), "{}", caution.about);
        }
    }

    #[test]
    fn the_dangers_that_maim_are_all_named() {
        for word in [
            "blind",
            "explodes",
            "150 C",
            "31 C",
            "isocyanate",
            "allergic",
            "acetone",
            "18 C",
            "inert absorbent",
            "hot wire",
            "drain",
            "heavier than air",
        ] {
            assert!(CAUTIONS.iter().any(|caution| caution.text.contains(word)), "{word}");
        }
        assert_eq!(texts().count(), CAUTIONS.len() + 1);
        assert_eq!(Work::ALL.iter().map(|&work| at(work).count()).sum::<usize>(), CAUTIONS.len());
        assert!(Work::ALL.iter().all(|&work| at(work).count() > 0));
        assert!(FIRST_OF_ALL.contains("data sheet") && FIRST_OF_ALL.contains("local rules"));
    }
}
