//! What is stirred into a resin, a gelcoat or a putty, and how long that leaves.

use serde::Serialize;

use crate::laminate::cure::{Cure, volume_ml};
use crate::laminate::figure::{Figure, Spread};
use crate::laminate::gel::{GelPoint, GelTable};
use crate::laminate::stock::{Family, Filler, Gelcoat, Resin};
use crate::workshop::needs::NeedKind;
use crate::workshop::order::units::hardener_name;

/// What is mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum MixKind {
    /// A gelcoat.
    Gelcoat,
    /// A fillet putty.
    Putty,
    /// An adhesive for joints.
    Adhesive,
    /// A laminating resin.
    Resin,
}

/// What is stirred in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Stirred {
    /// A liquid peroxide.
    Catalyst,
    /// An epoxy's hardener.
    Hardener,
    /// A peroxide in a paste.
    Paste,
}

impl Stirred {
    /// The word on a sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Catalyst => "catalyst",
            Self::Hardener => "hardener",
            Self::Paste => "hardener paste",
        }
    }

    /// What the order calls it that goes into a material.
    #[must_use]
    pub fn agent(self, material: &str) -> Agent {
        let (kind, material) = match self {
            Self::Catalyst => (NeedKind::Catalyst, "catalyst"),
            Self::Hardener => (NeedKind::Hardener, material),
            Self::Paste => (NeedKind::FillerHardener, "filler hardener"),
        };
        Agent { kind, material: material.to_owned() }
    }
}

/// What makes a material go off, as the order has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Agent {
    /// Catalyst, hardener or hardener paste.
    pub kind: NeedKind,
    /// Its name in the order.
    pub material: String,
}

impl Agent {
    /// Its name in words.
    #[must_use]
    pub fn words(&self) -> String {
        if self.kind == NeedKind::Hardener { hardener_name(&self.material) } else { self.material.clone() }
    }
}

/// How a material of the stock is mixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    /// What it is.
    pub kind: MixKind,
    /// Its name in the stock.
    pub material: String,
    /// What is stirred in.
    pub stirred: Stirred,
    /// Share by mass in percent of the material alone, with the range not to leave. Of a fixed ratio all three are equal.
    pub percent: Spread,
    /// The share that a schedule asks for.
    pub told_percent: Option<f64>,
    /// Density of what is stirred in, in g/ml; a paste is weighed only.
    pub density_g_ml: Option<f64>,
    /// Active oxygen of the catalyst that the shares are for, in percent.
    pub active_oxygen_percent: Option<f64>,
    /// Its gel times.
    pub table: GelTable,
}

impl Recipe {
    /// Of a resin, at the share of a schedule if that gives one. Nothing where the stock lacks the figures, which a checked
    /// stock does not.
    #[must_use]
    pub fn of_resin(resin: &Resin, told_percent: Option<f64>) -> Option<Self> {
        let cure = Cure::of_resin(resin, None)?;
        let recipe = Self::of(MixKind::Resin, &resin.name, cure, resin.catalyst_percent.as_ref(), &resin.gel_min);
        let is_epoxy = resin.family == Family::Epoxy;
        Some(Self {
            told_percent: told_percent.filter(|_| !is_epoxy),
            active_oxygen_percent: resin.active_oxygen_percent.as_ref().filter(|_| !is_epoxy).map(|of| of.value),
            ..recipe
        })
    }

    /// Of a gelcoat.
    #[must_use]
    pub fn of_gelcoat(gelcoat: &Gelcoat) -> Option<Self> {
        let cure = Cure::of_gelcoat(gelcoat)?;
        let recipe =
            Self::of(MixKind::Gelcoat, &gelcoat.name, cure, gelcoat.catalyst_percent.as_ref(), &gelcoat.gel_min);
        let by_catalyst = gelcoat.family != Family::Epoxy;
        let oxygen = gelcoat.active_oxygen_percent.as_ref().filter(|_| by_catalyst);
        Some(Self { active_oxygen_percent: oxygen.map(|of| of.value), ..recipe })
    }

    /// Of a putty. Nothing where the stock does not say what goes into it.
    #[must_use]
    pub fn of_filler(filler: &Filler) -> Option<Self> {
        Some(Self {
            kind: MixKind::Putty,
            material: filler.name.clone(),
            stirred: Stirred::Paste,
            percent: filler.hardener_percent.as_ref()?.spread(),
            told_percent: None,
            density_g_ml: None,
            active_oxygen_percent: None,
            table: GelTable::of(filler.gel_min.as_deref().unwrap_or(&[])),
        })
    }

    fn of(kind: MixKind, name: &str, cure: Cure, catalyst: Option<&Figure>, gel_min: &Option<Vec<GelPoint>>) -> Self {
        let (stirred, percent, density_g_ml) = match cure {
            Cure::Peroxide { percent, density_g_ml } => {
                (Stirred::Catalyst, catalyst.map_or(Spread::exactly(percent), Figure::spread), density_g_ml)
            }
            Cure::Mix { per_100, density_g_ml } => (Stirred::Hardener, Spread::exactly(per_100), density_g_ml),
        };
        Self {
            kind,
            material: name.to_owned(),
            stirred,
            percent,
            told_percent: None,
            density_g_ml: Some(density_g_ml),
            active_oxygen_percent: None,
            table: GelTable::of(gel_min.as_deref().unwrap_or(&[])),
        }
    }

    /// Its ratio is the maker's and not varied.
    #[must_use]
    pub fn is_fixed(&self) -> bool {
        self.stirred == Stirred::Hardener
    }

    /// It is thinned with styrene: all but epoxy.
    #[must_use]
    pub fn holds_styrene(&self) -> bool {
        !self.is_fixed()
    }

    /// The share that the plan's own sums take: the schedule's, or the likely one.
    #[must_use]
    pub fn planned_percent(&self) -> f64 {
        self.told_percent.unwrap_or(self.percent.likely)
    }

    /// Gel time in minutes at a temperature and a share; a fixed ratio has one column.
    #[must_use]
    pub fn gel_min(&self, temperature_c: f64, percent: f64) -> Option<Spread> {
        self.table.gel_min(temperature_c, if self.is_fixed() { 0.0 } else { percent })
    }

    /// What goes into so much of the material alone, in g.
    #[must_use]
    pub fn stirred_g(&self, alone_g: f64, percent: f64) -> f64 {
        alone_g * percent / 100.0
    }

    /// That in ml, where it is poured.
    #[must_use]
    pub fn stirred_ml(&self, stirred_g: f64) -> Option<f64> {
        self.density_g_ml.map(|density_g_ml| volume_ml(stirred_g, density_g_ml))
    }

    /// What is in the cup per kg of the material alone: with an epoxy the hardener counts, a peroxide does not.
    #[must_use]
    pub fn in_cup_per_alone(&self) -> f64 {
        if self.is_fixed() { 1.0 + self.percent.likely / 100.0 } else { 1.0 }
    }
}
