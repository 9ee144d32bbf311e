//! Areas of strips along lines on the surface, measured along the surface.

use super::mesh::Point;
use super::refine::Refined;

/// STAND-IN
pub struct StripField {
    /// r
    pub refined: Refined,
    /// d
    pub distance_mm: Vec<f64>,
}
/// STAND-IN
pub fn distance_field(refined: &Refined, lines: &[Vec<Point>], _reach_mm: f64) -> StripField {
    let d = refined
        .mesh
        .points_mm
        .iter()
        .map(|p| lines.iter().flatten().map(|q| (p - q).norm()).fold(f64::INFINITY, f64::min))
        .collect();
    StripField { refined: refined.clone(), distance_mm: d }
}
