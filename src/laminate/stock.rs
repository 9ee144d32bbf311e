//! The materials on the shelf: what each weighs, drinks, bends round and comes in.
//!
//! A stock file holds entries, see [`super::materials`]. [`Stock`] is what comes of laying the job's entries over the
//! starter's, field by field, checked.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::error::LaminateError;
pub use super::materials::*;
use super::schedule::{Schedule, Schedules};
use crate::nearest::nearest;

/// Entries by name, as the starter stock or the `[stock]` of a job holds them.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockFile {
    /// Reinforcements by name.
    #[serde(default)]
    pub reinforcement: BTreeMap<String, ReinforcementEntry>,
    /// Cores by name.
    #[serde(default)]
    pub core: BTreeMap<String, CoreEntry>,
    /// Resins by name.
    #[serde(default)]
    pub resin: BTreeMap<String, ResinEntry>,
    /// Gelcoats by name.
    #[serde(default)]
    pub gelcoat: BTreeMap<String, GelcoatEntry>,
    /// Fillers by name.
    #[serde(default)]
    pub filler: BTreeMap<String, FillerEntry>,
    /// The shop's habits.
    #[serde(default)]
    pub practice: PracticeEntry,
}

/// The starter's text: stock and schedules.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Starter {
    stock: StockFile,
    schedule: Schedules,
}

/// Materials by name, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Reinforcements by name.
    pub reinforcements: BTreeMap<String, Reinforcement>,
    /// Cores by name.
    pub cores: BTreeMap<String, Core>,
    /// Resins by name.
    pub resins: BTreeMap<String, Resin>,
    /// Gelcoats by name.
    pub gelcoats: BTreeMap<String, Gelcoat>,
    /// Fillers by name.
    pub fillers: BTreeMap<String, Filler>,
    /// The shop's habits.
    pub practice: Practice,
}

/// What a layer is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Material<'a> {
    /// Glass off a roll.
    Reinforcement(&'a Reinforcement),
    /// A core.
    Core(&'a Core),
}

/// Text of the starter stock and schedules, every figure with source and mark.
pub const STARTER_TEXT: &str = include_str!("starter_stock.toml");

fn starter() -> Result<Starter, LaminateError> {
    toml::from_str(STARTER_TEXT).map_err(|error| LaminateError::Text { message: error.to_string() })
}

/// Entries of the upper file laid over those of the lower, field by field.
macro_rules! lay_over {
    ($upper:expr, $lower:expr, $check:path) => {{
        let mut lower = $lower;
        let mut checked = BTreeMap::new();
        for (name, entry) in $upper {
            let below = lower.remove(&name).unwrap_or_default();
            lower.insert(name, entry.over(below));
        }
        for (name, entry) in lower {
            let item = $check(entry, &name)?;
            checked.insert(name, item);
        }
        checked
    }};
}

impl Stock {
    /// Whether a resin of the stock is an epoxy.
    #[must_use]
    pub fn is_epoxy(&self, resin: &str) -> bool {
        self.resins.get(resin).is_some_and(|resin| resin.family == Family::Epoxy)
    }

    /// The stock that is built in.
    ///
    /// # Errors
    /// None that a test would not have found: the text is part of the program.
    pub fn starter() -> Result<Self, LaminateError> {
        Self::with(StockFile::default())
    }

    /// The built-in stock with a job's entries laid over it: a known name changes the figures it gives, a new name adds
    /// a material, which then needs all its figures.
    ///
    /// # Errors
    /// [`LaminateError`] naming entry and field, if one is missing or cannot be.
    pub fn with(job: StockFile) -> Result<Self, LaminateError> {
        Self::from_files(job, starter()?.stock)
    }

    fn from_files(upper: StockFile, mut lower: StockFile) -> Result<Self, LaminateError> {
        for (name, entry) in &upper.reinforcement {
            if let Some(below) = lower.reinforcement.get_mut(name).filter(|_| entry.n_wet_outs() > 0) {
                below.forget_wet_out();
            }
        }
        let stock = Self {
            reinforcements: lay_over!(upper.reinforcement, lower.reinforcement, ReinforcementEntry::check),
            cores: lay_over!(upper.core, lower.core, CoreEntry::check),
            resins: lay_over!(upper.resin, lower.resin, ResinEntry::check),
            gelcoats: lay_over!(upper.gelcoat, lower.gelcoat, GelcoatEntry::check),
            fillers: lay_over!(upper.filler, lower.filler, FillerEntry::check),
            practice: upper.practice.over(lower.practice).check("practice")?,
        };
        stock.check()?;
        Ok(stock)
    }

    /// What no field can say of itself: wet-out given once, contents under 1, a core's mat in the stock.
    fn check(&self) -> Result<(), LaminateError> {
        self.reinforcements.values().try_for_each(Reinforcement::check_figures)?;
        for core in self.cores.values() {
            let user = format!("core \"{}\"", core.name);
            if !self.reinforcements.contains_key(&core.bonding_mat) {
                return Err(unknown(&user, "reinforcement", &core.bonding_mat, self.reinforcements.keys()));
            }
        }
        self.resins.values().try_for_each(Resin::check_figures)?;
        self.gelcoats.values().try_for_each(Gelcoat::check_figures)?;
        self.practice.check_figures()?;
        self.fillers.values().try_for_each(Filler::check_figures)
    }

    /// The inside limit of the heaviest mat, in mm: corners tighter than that are worth a look before anything is planned.
    /// Nothing for a stock without mat.
    #[must_use]
    pub fn heaviest_mat_limit_mm(&self) -> Option<f64> {
        let mats = self.reinforcements.values().filter(|reinforcement| reinforcement.kind == Kind::Mat);
        let weight = |mat: &&Reinforcement| mat.areal_weight_g_m2.value;
        mats.max_by(|a, b| weight(a).total_cmp(&weight(b))).map(|mat| mat.inside_limit_mm.value)
    }

    /// What a layer's material is.
    ///
    /// # Errors
    /// [`LaminateError::Unknown`], with the nearest name.
    pub fn material(&self, user: &str, name: &str) -> Result<Material<'_>, LaminateError> {
        if let Some(reinforcement) = self.reinforcements.get(name) {
            return Ok(Material::Reinforcement(reinforcement));
        }
        if let Some(core) = self.cores.get(name) {
            return Ok(Material::Core(core));
        }
        let names = self.reinforcements.keys().chain(self.cores.keys());
        Err(unknown(user, "material", name, names))
    }

    /// A resin by name.
    ///
    /// # Errors
    /// [`LaminateError::Unknown`], with the nearest name.
    pub fn resin(&self, user: &str, name: &str) -> Result<&Resin, LaminateError> {
        self.resins.get(name).ok_or_else(|| unknown(user, "resin", name, self.resins.keys()))
    }

    /// A gelcoat by name.
    ///
    /// # Errors
    /// [`LaminateError::Unknown`], with the nearest name.
    pub fn gelcoat(&self, user: &str, name: &str) -> Result<&Gelcoat, LaminateError> {
        self.gelcoats.get(name).ok_or_else(|| unknown(user, "gelcoat", name, self.gelcoats.keys()))
    }
}

fn unknown<'a>(user: &str, kind: &'static str, name: &str, names: impl Iterator<Item = &'a String>) -> LaminateError {
    let nearest = nearest(name, names.map(String::as_str)).map(str::to_owned);
    LaminateError::Unknown { user: user.to_owned(), kind, name: name.to_owned(), nearest }
}

/// The schedules that a job gets which names none.
///
/// # Errors
/// None that a test would not have found: the text is part of the program.
pub fn starter_schedules() -> Result<BTreeMap<String, Schedule>, LaminateError> {
    Ok(starter()?.schedule)
}

#[cfg(test)]
mod tests;
