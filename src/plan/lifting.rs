//! Who lifts a piece: one rule for the plan and for the days.

use super::types::{Build, PiecePlan};
use crate::laminate::release::{Hands, hands};
use crate::laminate::schedule::Make;
use crate::laminate::stock::Practice;

/// What is lifted of a piece, and by whom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lifted {
    /// With its share, by mass, of what stays on the build beside its plies, in kg.
    pub kg: f64,
    /// Who lifts that.
    pub hands: Hands,
    /// Who would lift its plies alone.
    pub by_plies: Hands,
}

/// A piece of a build with what stays on it. A mould is lifted with the flanges round it, of `flange_mm` on either side.
pub(super) fn lifted(build: &Build, piece: &PiecePlan, flange_mm: f64, practice: &Practice) -> Lifted {
    let past_mm = if build.make == Make::Mould { 2.0 * flange_mm } else { 0.0 };
    let longest_mm = piece.size_mm.into_iter().fold(0.0, f64::max) + past_mm;
    let grown = build.finished.mass_kg.likely / build.mass_kg().likely.max(f64::MIN_POSITIVE);
    let plies_kg = piece.lay_up.mass_kg.likely;
    let kg = plies_kg * grown;
    Lifted { kg, hands: hands(kg, longest_mm, practice), by_plies: hands(plies_kg, longest_mm, practice) }
}
