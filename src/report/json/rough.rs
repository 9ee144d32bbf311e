//! A rough plug beside the finished skin, as documents show it.

use serde::Serialize;

use super::triple;
use crate::geometry::mesh::Point;
use crate::geometry::rough::{FillPlace, Rough};

/// What a rough plug differs by.
#[derive(Serialize)]
pub struct RoughEntry {
    fill_ml: f64,
    take_off_ml: f64,
    fill_m2: f64,
    take_off_m2: f64,
    unseen_m2: f64,
    deepest: Option<Extreme>,
    highest: Option<Extreme>,
    places: Vec<PlaceEntry>,
    step_mm: f64,
    reach_mm: f64,
}

#[derive(Serialize)]
struct Extreme {
    mm: f64,
    at_mm: [f64; 3],
}

#[derive(Serialize)]
struct PlaceEntry {
    at_mm: [f64; 3],
    fill_ml: f64,
    deepest_mm: f64,
}

impl From<&Rough> for RoughEntry {
    fn from(rough: &Rough) -> Self {
        let extreme =
            |found: &Option<(f64, Point)>| found.as_ref().map(|(mm, at)| Extreme { mm: *mm, at_mm: triple(at) });
        Self {
            fill_ml: rough.fill_ml,
            take_off_ml: rough.take_off_ml,
            fill_m2: rough.fill_m2,
            take_off_m2: rough.take_off_m2,
            unseen_m2: rough.unseen_m2,
            deepest: extreme(&rough.deepest),
            highest: extreme(&rough.highest),
            places: rough.places.iter().map(Into::into).collect(),
            step_mm: rough.step_mm,
            reach_mm: rough.reach_mm,
        }
    }
}

impl From<&FillPlace> for PlaceEntry {
    fn from(place: &FillPlace) -> Self {
        Self { at_mm: triple(&place.at_mm), fill_ml: place.fill_ml, deepest_mm: place.deepest_mm }
    }
}
