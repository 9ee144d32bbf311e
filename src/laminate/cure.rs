//! What makes a resin go off: catalyst in grams and millilitres, or an epoxy's hardener.

use serde::{Deserialize, Serialize};

use super::figure::Figure;
use super::stock::{Family, Gelcoat, Resin};
use crate::notes::Note;
use crate::units::g_from_kg;

/// What is stirred in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Agent {
    /// A peroxide, on top of the resin.
    Catalyst,
    /// An amine, part of the mix.
    Hardener,
}

/// How a resin or gelcoat is made to go off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cure {
    /// By a peroxide.
    Peroxide {
        /// Percent of the resin's mass.
        percent: f64,
        /// Density of the catalyst in g/ml.
        density_g_ml: f64,
    },
    /// By a hardener in the maker's fixed ratio.
    Mix {
        /// Grams of hardener to 100 g of resin.
        per_100: f64,
        /// Density of the hardener in g/ml.
        density_g_ml: f64,
    },
}

/// What has to be stirred into a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Dose {
    /// Catalyst or hardener.
    pub agent: Agent,
    /// Its mass in g.
    pub g: f64,
    /// Its volume in ml, from its own density.
    pub ml: f64,
}

/// Mass in g of catalyst for so much resin: percent by mass.
#[must_use]
pub fn catalyst_g(resin_kg: f64, percent: f64) -> f64 {
    g_from_kg(resin_kg) * percent / 100.0
}

/// Volume in ml of a mass in g.
#[must_use]
pub fn volume_ml(mass_g: f64, density_g_ml: f64) -> f64 {
    mass_g / density_g_ml
}

impl Dose {
    /// Mass in g if the dose is of this agent, otherwise 0.
    #[must_use]
    pub fn g_of(&self, agent: Agent) -> f64 {
        if self.agent == agent { self.g } else { 0.0 }
    }

    /// Volume in ml if the dose is of this agent, otherwise 0.
    #[must_use]
    pub fn ml_of(&self, agent: Agent) -> f64 {
        if self.agent == agent { self.ml } else { 0.0 }
    }
}

impl Cure {
    /// How a resin goes off, at the percentage of a schedule or its own default. Nothing where the stock lacks the figures,
    /// which a checked stock does not.
    #[must_use]
    pub fn of_resin(resin: &Resin, percent: Option<f64>) -> Option<Self> {
        let peroxide = (resin.catalyst_percent.as_ref(), resin.catalyst_density_g_ml.as_ref());
        let hardener = (resin.hardener_per_100.as_ref(), resin.hardener_density_g_ml.as_ref());
        Self::from_figures(resin.family, percent, peroxide, hardener)
    }

    /// How a gelcoat goes off.
    #[must_use]
    pub fn of_gelcoat(gelcoat: &Gelcoat) -> Option<Self> {
        let peroxide = (gelcoat.catalyst_percent.as_ref(), gelcoat.catalyst_density_g_ml.as_ref());
        let hardener = (gelcoat.hardener_per_100.as_ref(), gelcoat.hardener_density_g_ml.as_ref());
        Self::from_figures(gelcoat.family, None, peroxide, hardener)
    }

    fn from_figures(
        family: Family,
        percent: Option<f64>,
        peroxide: (Option<&Figure>, Option<&Figure>),
        hardener: (Option<&Figure>, Option<&Figure>),
    ) -> Option<Self> {
        if family == Family::Epoxy {
            let (per_100, density) = (hardener.0?, hardener.1?);
            return Some(Self::Mix { per_100: per_100.value, density_g_ml: density.value });
        }
        let percent = percent.or(peroxide.0.map(|figure| figure.value))?;
        Some(Self::Peroxide { percent, density_g_ml: peroxide.1?.value })
    }

    /// What is stirred into a quantity that is to be laid. Of an epoxy the quantity is the mix, of which the hardener is
    /// a part; a catalyst comes on top.
    #[must_use]
    pub fn dose(self, laid_kg: f64) -> Dose {
        match self {
            Self::Peroxide { percent, density_g_ml } => {
                let g = catalyst_g(laid_kg, percent);
                Dose { agent: Agent::Catalyst, g, ml: volume_ml(g, density_g_ml) }
            }
            Self::Mix { per_100, density_g_ml } => {
                let g = g_from_kg(laid_kg) * per_100 / (100.0 + per_100);
                Dose { agent: Agent::Hardener, g, ml: volume_ml(g, density_g_ml) }
            }
        }
    }

    /// The resin alone in kg, out of a quantity that is to be laid.
    #[must_use]
    pub fn resin_kg(self, laid_kg: f64) -> f64 {
        match self {
            Self::Peroxide { .. } => laid_kg,
            Self::Mix { per_100, .. } => laid_kg * 100.0 / (100.0 + per_100),
        }
    }
}

/// A warning if a percentage leaves the range that the stock gives for this resin.
#[must_use]
pub fn catalyst_note(resin: &Resin, percent: Option<f64>) -> Option<Note> {
    let percent = percent?;
    if resin.family == Family::Epoxy {
        return Some(Note::warning(
            "catalyst-in-epoxy",
            format!("the schedule asks for {percent} % catalyst, but \"{}\" is an epoxy", resin.name),
            "leave `catalyst_percent` out: an epoxy takes its hardener in the maker's ratio, which is not varied",
        ));
    }
    let range = resin.catalyst_percent.as_ref()?;
    if (range.low..=range.high).contains(&percent) {
        return None;
    }
    let what = if percent > range.high {
        "more makes it set fast and hard, yet badly cured, and may not cure at all over 4 %"
    } else {
        "less may never cure through"
    };
    Some(Note::warning(
        "catalyst-range",
        format!("{percent} % catalyst is outside {} to {} % for \"{}\": {what}", range.low, range.high, resin.name),
        "stay within the maker's range; warm shop and resin to 18 C or more instead of adding catalyst",
    ))
}

/// A row of a supplier's chart: so much catalyst from this temperature up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartBand {
    /// Coldest temperature of the band, in deg C.
    pub from_c: f64,
    /// Warmest temperature of the band, in deg C.
    pub to_c: f64,
    /// Catalyst in percent of the resin's mass.
    pub percent: f64,
}

/// Catalyst in percent that a chart of bands gives at a temperature; nothing outside the chart, which is never stretched.
///
/// Printed charts share their edges between two bands (13 C stands in "5 to 13" and in "13 to 16"). The edge belongs to
/// the band with less catalyst, which is the warmer one: too slow costs an hour, too fast costs the mould.
#[must_use]
pub fn chart_percent(chart: &[ChartBand], temperature_c: f64) -> Option<f64> {
    let holding = chart.iter().filter(|band| (band.from_c..=band.to_c).contains(&temperature_c));
    holding.map(|band| band.percent).min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::stock::Stock;

    #[test]
    fn an_epoxy_mix_is_resin_and_hardener_and_adds_up() {
        let stock = Stock::starter().expect("the starter stock");
        let cure = Cure::of_resin(&stock.resins["epoxy"], None).expect("a mix");
        let dose = cure.dose(2.6);
        assert_eq!(dose.agent, Agent::Hardener);
        assert!((dose.g - 600.0).abs() < 1e-9, "{dose:?}"); // 30 to 100: 2.6 kg is 2.0 and 0.6
        assert!((cure.resin_kg(2.6) - 2.0).abs() < 1e-12);
        assert!((dose.ml - 600.0 / 0.97).abs() < 1e-9);
    }

    #[test]
    fn catalyst_out_of_the_makers_range_is_told() {
        let stock = Stock::starter().expect("the starter stock");
        let polyester = &stock.resins["polyester"];
        assert_eq!(catalyst_note(polyester, Some(1.5)), None);
        assert_eq!(catalyst_note(polyester, None), None);
        let note = catalyst_note(polyester, Some(4.0)).expect("too much");
        assert!(note.message.contains("4 % catalyst is outside 1 to 2.5 %"), "{}", note.message);
        assert!(note.remedy.contains("18 C"));
        assert!(catalyst_note(polyester, Some(0.5)).is_some_and(|note| note.message.contains("never cure")));
        assert!(catalyst_note(&stock.resins["epoxy"], Some(2.0)).is_some_and(|note| note.code == "catalyst-in-epoxy"));
    }
}
