//! Sums over the pieces of a build.

use serde::Serialize;

use super::types::PiecePlan;
use crate::laminate::figure::Spread;

/// Sums over the pieces of one build.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Together {
    /// Moulded face.
    pub area_m2: f64,
    /// Glass laid.
    pub glass_kg: f64,
    /// Resin laid.
    pub resin_kg: Spread,
    /// Gelcoat laid.
    pub gelcoat_kg: Spread,
    /// Its plies, from the tool outwards.
    pub plies: Vec<PlyTogether>,
}

/// One ply of a build, on all its pieces.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PlyTogether {
    /// Its number from the tool, from 1.
    pub ply: usize,
    /// The moulded face it covers.
    pub net_m2: f64,
    /// What stays on the part.
    pub on_part_m2: f64,
    /// What is wetted out.
    pub laid_m2: f64,
    /// Glass laid.
    pub glass_kg: f64,
    /// Resin laid.
    pub resin_kg: Spread,
}

impl Together {
    /// The sums of these pieces, which are laid by one schedule.
    #[must_use]
    pub fn of(pieces: &[PiecePlan]) -> Self {
        let mut sums = Self::default();
        for piece in pieces {
            let lay_up = &piece.lay_up;
            sums.area_m2 += piece.area_m2;
            sums.glass_kg += lay_up.glass_kg;
            sums.resin_kg = sums.resin_kg + lay_up.resin_kg;
            if let Some(gelcoat) = &lay_up.gelcoat {
                sums.gelcoat_kg = sums.gelcoat_kg + gelcoat.laid_kg;
            }
            sums.plies.resize_with(sums.plies.len().max(lay_up.plies.len()), PlyTogether::default);
            for (sum, ply) in sums.plies.iter_mut().zip(&lay_up.plies) {
                sum.ply = ply.ply;
                sum.net_m2 += ply.net_m2;
                sum.on_part_m2 += ply.on_part_m2;
                sum.laid_m2 += ply.laid_m2;
                sum.glass_kg += ply.glass_kg;
                sum.resin_kg = sum.resin_kg + ply.resin_kg;
            }
        }
        sums
    }
}
