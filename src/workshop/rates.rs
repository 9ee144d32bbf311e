//! How fast a piece is laid, and by how many: one rule for mixes, which are sized by it, for days, which take as
//! long, for what is used up in that time, and for schedules set side by side.

use super::crew::Crew;
use super::days::pace::Pace;
use super::work::{PieceWork, PlyWork};
use crate::laminate::stages::Stage;
use crate::units::total;

/// What laying goes by.
#[derive(Debug, Clone, Copy)]
pub struct Rates<'a> {
    /// Who works, and how fast.
    pub crew: &'a Crew,
    /// How much a person lays at most, and who finds room.
    pub pace: &'a Pace,
}

impl Rates<'_> {
    /// How many work.
    #[must_use]
    pub fn people(&self) -> u32 {
        (self.crew.people.value.round() as u32).clamp(1, 100)
    }

    /// How many of them find room at a face.
    #[must_use]
    pub fn hands_at(&self, area_m2: f64) -> u32 {
        ((area_m2 / self.pace.hand_m2.value).ceil().clamp(1.0, 100.0) as u32).min(self.people())
    }

    /// Whether a ply goes by its mass or, being light, by its area.
    #[must_use]
    pub fn is_by_mass(&self, ply: &PlyWork) -> bool {
        let [by_mass_h, by_area_h] = self.ply_h(ply);
        by_mass_h >= by_area_h
    }

    /// Minutes of one person at a ply: by mass or by area, whichever takes longer.
    #[must_use]
    pub fn ply_min(&self, ply: &PlyWork) -> f64 {
        let [by_mass_h, by_area_h] = self.ply_h(ply);
        60.0 * by_mass_h.max(by_area_h)
    }

    fn ply_h(&self, ply: &PlyWork) -> [f64; 2] {
        [ply.laid_kg() / self.crew.laminate_kg_h.value, ply.laid_m2 / self.pace.ply_m2_h.value]
    }

    /// Minutes of one person at what is laid in one go.
    #[must_use]
    pub fn stage_min(&self, piece: &PieceWork, stage: &Stage) -> f64 {
        total(piece.plies_of(stage).map(|ply| self.ply_min(ply)))
    }
}
