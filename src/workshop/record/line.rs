//! One build as weighed, and the line of text that it is kept in.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::fits::stock_ratio;
use crate::laminate::lay_up::LayUp;
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::units::shown;

/// Version of the lines that are written; lines of a later version are told and left out.
pub const VERSION: u32 = 1;

/// More than this no scales of a workshop show, in kg, and no evening lasts, in minutes.
const MOST: f64 = 1e5;

/// One build as weighed: everything that was told of it, and what the plan asked of it then.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Weighed {
    /// Version of the line.
    pub matloft_weighed: u32,
    /// Name of the panel.
    pub panel: String,
    /// Mould or moulding.
    pub make: Make,
    /// Name of the piece; without it all pieces of one build together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piece: Option<String>,
    /// The day it was laid, as year-month-day.
    pub date: String,
    /// Of the shop while it was laid, in deg C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Dry glass laid, reinforcement by reinforcement, in kg.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub glass_kg: BTreeMap<String, f64>,
    /// Resin mixed for the plies, in kg, without its catalyst, which the plan adds; of an epoxy resin and hardener together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resin_kg: Option<f64>,
    /// Mixed resin thrown away in cups and on tools, in kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_kg: Option<f64>,
    /// Gelcoat put on, in kg, without its catalyst; of an epoxy with its hardener.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gelcoat_kg: Option<f64>,
    /// The trimmed piece, in kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished_kg: Option<f64>,
    /// Time from the first mix of resin to the last roll, in minutes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// How many laid it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<u32>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The figures were looked at again and stand, however far they are from the plan.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub is_sure: bool,
    /// The earlier line that this one takes the place of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub replaces: Option<usize>,
    /// What the plan asked for then; nothing where it could not be made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asked: Option<Asked>,
}

/// What the plan asked of one build when it was weighed. It stays with the record, so that a job that changes later does
/// not change what was learned.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Name of the schedule.
    pub schedule: String,
    /// Glass laid that takes resin by its weight, in kg.
    pub glass_kg: BTreeMap<String, f64>,
    /// Resin laid, in kg.
    pub resin_kg: f64,
    /// Of it what goes by area: in tissue and cores, in kg.
    pub resin_by_area_kg: f64,
    /// Plies laid, ply upon ply, cores left out, in m2.
    pub plies_m2: f64,
    /// Name of the gelcoat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gelcoat: Option<String>,
    /// Gelcoat put on, in m2.
    pub gelcoat_m2: f64,
    /// Gelcoat put on, in kg.
    pub gelcoat_kg: f64,
    /// What comes out, in kg.
    pub finished_kg: f64,
}

impl Weighed {
    /// Panel, make and piece in words.
    #[must_use]
    pub fn name(&self) -> String {
        let piece = self.piece.as_ref().map(|piece| format!(" {piece}")).unwrap_or_default();
        format!("{}, {}{piece}", self.panel, self.make.word())
    }

    /// Nothing was weighed: such a line only strikes the one that it replaces.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.figures().next().is_none()
    }

    /// Every mass and time in it, with its name.
    pub fn figures(&self) -> impl Iterator<Item = (&str, f64)> {
        let single = [
            ("resin_kg", self.resin_kg),
            ("waste_kg", self.waste_kg),
            ("gelcoat_kg", self.gelcoat_kg),
            ("finished_kg", self.finished_kg),
            ("minutes", self.minutes),
        ];
        let glass = self.glass_kg.iter().map(|(name, &kg)| (name.as_str(), kg));
        glass.chain(single.into_iter().filter_map(|(name, value)| Some((name, value?))))
    }

    /// What cannot be, in words: a mass or time that is not over 0 or out of all bounds. Waste may be 0.
    #[must_use]
    pub fn impossible(&self) -> Option<String> {
        let is_out = |&(name, value): &(&str, f64)| !(is_amount(value) || name == "waste_kg" && value == 0.0);
        let (name, value) = self.figures().find(is_out)?;
        Some(format!("{name} is {}", shown(value)))
    }

    /// As much thrown away as was mixed, in words. Such a line is not written; one that stands on file keeps its other figures.
    #[must_use]
    pub fn all_wasted(&self) -> Option<String> {
        let (waste_kg, resin_kg) = self.waste_kg.zip(self.resin_kg)?;
        (waste_kg >= resin_kg)
            .then(|| format!("{} kg thrown away of {} kg of resin mixed", shown(waste_kg), shown(resin_kg)))
    }

    /// Waste without the resin that it is a share of, in words. Such a line is not written; one that stands on file keeps its
    /// other figures.
    #[must_use]
    pub fn waste_alone(&self) -> Option<String> {
        let waste_kg = self.waste_kg.filter(|_| self.resin_kg.is_none())?;
        Some(format!("{} kg thrown away of resin that was not weighed", shown(waste_kg)))
    }

    /// The line, its line end included.
    ///
    /// # Errors
    /// If a figure is not a number, which [`Self::impossible`] finds before.
    pub fn line(&self) -> Result<String, serde_json::Error> {
        Ok(serde_json::to_string(self)? + "\n")
    }
}

/// Whether a mass in kg or a time in minutes can be.
#[must_use]
pub fn is_amount(value: f64) -> bool {
    value > 0.0 && value <= MOST
}

/// A day given as year-month-day, in the one form that lines keep; nothing if there is no such day.
#[must_use]
pub fn day(text: &str) -> Option<String> {
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d").ok().map(|day| day.format("%Y-%m-%d").to_string())
}

impl Asked {
    /// What the lay-ups of the pieces of one build ask for together.
    #[must_use]
    pub fn of(schedule: &str, lay_ups: &[&LayUp], stock: &Stock) -> Self {
        let mut asked = Self { schedule: schedule.to_owned(), ..Self::default() };
        for lay_up in lay_ups {
            for ply in &lay_up.plies {
                asked.resin_kg += ply.resin_kg.likely;
                let glass = stock.reinforcements.get(&ply.material);
                if glass.is_some() {
                    asked.plies_m2 += ply.laid_m2;
                }
                if glass.and_then(stock_ratio).is_none() {
                    asked.resin_by_area_kg += ply.resin_kg.likely;
                } else if ply.glass_kg > 0.0 {
                    *asked.glass_kg.entry(ply.material.clone()).or_default() += ply.glass_kg;
                }
            }
            if let Some(gelcoat) = &lay_up.gelcoat {
                asked.gelcoat = Some(gelcoat.name.clone());
                asked.gelcoat_m2 += gelcoat.laid_m2;
                asked.gelcoat_kg += gelcoat.laid_kg.likely;
            }
            asked.finished_kg += lay_up.mass_kg.likely;
        }
        asked
    }
}
