//! What is told of a build as a whole: sums over its pieces, and how its gelcoat and resins go off.

use serde::Serialize;

use crate::laminate::figure::Spread;
use crate::laminate::stock::Family;
use crate::plan::{CureFigures, PlyTogether, Together};

/// A quantity that a hand cannot hit: low and high beside the likely value.
#[derive(Serialize)]
pub(super) struct Range {
    low: f64,
    high: f64,
}

impl From<Spread> for Range {
    fn from(spread: Spread) -> Self {
        Self { low: spread.low, high: spread.high }
    }
}

#[derive(Serialize)]
pub(super) struct TogetherEntry {
    area_m2: f64,
    glass_kg: f64,
    resin_kg: f64,
    resin_kg_range: Range,
    gelcoat_kg: f64,
    gelcoat_kg_range: Range,
    plies: Vec<PlyTogetherEntry>,
}

#[derive(Serialize)]
struct PlyTogetherEntry {
    ply: usize,
    net_m2: f64,
    on_part_m2: f64,
    laid_m2: f64,
    glass_kg: f64,
    resin_kg: f64,
    resin_kg_range: Range,
}

#[derive(Serialize)]
pub(super) struct CureEntry<'a> {
    name: &'a str,
    is_gelcoat: bool,
    family: Family,
    catalyst_percent: Option<f64>,
    catalyst_percent_range: Option<Range>,
    active_oxygen_percent: Option<f64>,
    hardener_per_100: Option<f64>,
}

impl From<&Together> for TogetherEntry {
    fn from(sums: &Together) -> Self {
        Self {
            area_m2: sums.area_m2,
            glass_kg: sums.glass_kg,
            resin_kg: sums.resin_kg.likely,
            resin_kg_range: sums.resin_kg.into(),
            gelcoat_kg: sums.gelcoat_kg.likely,
            gelcoat_kg_range: sums.gelcoat_kg.into(),
            plies: sums.plies.iter().map(Into::into).collect(),
        }
    }
}

impl From<&PlyTogether> for PlyTogetherEntry {
    fn from(ply: &PlyTogether) -> Self {
        Self {
            ply: ply.ply,
            net_m2: ply.net_m2,
            on_part_m2: ply.on_part_m2,
            laid_m2: ply.laid_m2,
            glass_kg: ply.glass_kg,
            resin_kg: ply.resin_kg.likely,
            resin_kg_range: ply.resin_kg.into(),
        }
    }
}

impl<'a> From<&'a CureFigures> for CureEntry<'a> {
    fn from(cure: &'a CureFigures) -> Self {
        Self {
            name: &cure.name,
            is_gelcoat: cure.is_gelcoat,
            family: cure.family,
            catalyst_percent: cure.catalyst_percent.map(|percent| percent.likely),
            catalyst_percent_range: cure.catalyst_percent.map(Into::into),
            active_oxygen_percent: cure.active_oxygen_percent,
            hardener_per_100: cure.hardener_per_100,
        }
    }
}
