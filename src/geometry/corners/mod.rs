//! Corners: where the skin bends about an axis within a short width. See [`Corner`].
//!
//! Facets only say where it bends and along which axis. Every figure comes from a plane section square to the axis, and a
//! corner is found by following the middle of the arc from section to section. In reading order: [`ground`] (facets and how
//! to walk over them), [`crease`] (edges without a radius), [`fields`] (curvature), [`balls`], [`section`], [`seeds`],
//! [`trace`], [`patches`], [`joins`], [`bridges`], [`sharp`], [`points`], [`figures`], and what is shown of it all: [`list`].

mod bad_spots;
pub mod balls;
mod bridges;
pub mod crease;
pub mod fields;
pub mod figures;
mod folds;
pub mod ground;
mod joins;
mod list;
mod patches;
mod paths;
pub mod points;
mod section;
mod seeds;
mod sharp;
pub mod tensor;
mod trace;
mod walk;

pub use list::list;

use super::mesh::Point;
use super::stitch::Surface;
use crate::notes::Note;
use crate::watch::Watch;
use ground::Ground;
use section::Terrain;

/// Largest radius that is looked for by default, in mm. Well above any limit a mat sets, so that no fillet is half seen;
/// much larger and every wall would be tried.
pub const DETECTION_RADIUS_MM: f64 = 60.0;

/// What to look for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerOptions {
    /// Bends of a larger radius are no corners, in mm. See [`CornerOptions::for_limit`].
    pub detection_radius_mm: f64,
}

impl Default for CornerOptions {
    fn default() -> Self {
        Self { detection_radius_mm: DETECTION_RADIUS_MM }
    }
}

impl CornerOptions {
    /// Looks far enough for a listing with this limit.
    #[must_use]
    pub fn for_limit(tighter_than_mm: f64) -> Self {
        Self { detection_radius_mm: DETECTION_RADIUS_MM.max(1.2 * tighter_than_mm) }
    }
}

/// What to list of the corners found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Listing {
    /// Corners tighter than this, in mm.
    pub tighter_than_mm: f64,
    /// Bends that turn at least this far, in degrees.
    pub least_turn_deg: f64,
}

/// Corners, the points at which they meet, and what has to be known about them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FoundCorners {
    /// The corners, by place.
    pub corners: Vec<Corner>,
    /// Cone tips, balls, meeting points, by place.
    pub points: Vec<CornerPoint>,
    /// What could not be told, and where.
    pub notes: Vec<Note>,
}

/// Finds every corner of a surface, whatever may be listed of them later.
#[must_use]
pub fn find(surface: &Surface, options: &CornerOptions, watch: &dyn Watch) -> FoundCorners {
    let detection_radius_mm = options.detection_radius_mm;
    let mut ground = Ground::of(surface);
    let mut creases = crease::find(&ground, detection_radius_mm);
    folds::clear(&ground, &mut creases);
    ground.creases = creases;
    let mut fields = fields::Fields::of(&ground, detection_radius_mm);
    let balls = balls::mark(&ground, &mut fields, detection_radius_mm);
    let terrain = Terrain { ground: &ground, fields: &fields, detection_radius_mm };
    let seeds = seeds::find(terrain);
    let traced = trace::all(terrain, &seeds, watch);
    let joined = joins::join(joins::without_doubles(patches::cut_out(traced)));
    let mut fillets = bridges::lay(&ground, joined);
    let mut chains = sharp::chains(&ground, &fillets);
    let notes = bad_spots::take_out(&mut fillets, &mut chains).into_iter().collect();
    let tips = points::tips(&ground);
    let corners = figures::all(&fillets, &chains, detection_radius_mm);
    let points = points::of(&corners, &balls, &tips);
    FoundCorners { corners, points, notes }
}

/// Which way a corner bends, seen from the outward side of the facets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bends {
    /// Convex, as the outside of a box.
    Outward,
    /// Concave, as the inside of a tray.
    Inward,
}

/// One place along a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Mid-arc point on the surface.
    pub at_mm: Point,
    /// Radius of the section here; 0 on a sharp edge.
    pub radius_mm: f64,
    /// Angle through which the section turns here.
    pub turn_deg: f64,
}

/// A bend about an axis, from one of its ends to the other, with figures from plane sections square to the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Stable from run to run and independent of the filters: `c1`, `c2`, ...
    pub id: String,
    /// Smallest radius along it; 0 if sharp.
    pub radius_mm: f64,
    /// Length-weighted mean radius; 0 if sharp.
    pub radius_mean_mm: f64,
    /// Median turn over its sections.
    pub turn_deg: f64,
    /// Length of the path.
    pub length_mm: f64,
    /// Which way it bends.
    pub bends: Bends,
    /// An edge without a radius.
    pub sharp: bool,
    /// The path, end to end; a closed one repeats its first point.
    pub path: Vec<Station>,
}

/// What kind of point it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PointKind {
    /// Tip of a cone.
    Apex,
    /// Part of a ball.
    Ball,
    /// Corners meet here.
    Meeting,
}

/// A point at which the skin bends both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerPoint {
    /// Where.
    pub at_mm: Point,
    /// 0 at an apex, a ball's own radius, the least radius of the corners that meet.
    pub radius_mm: f64,
    /// What it is.
    pub kind: PointKind,
    /// Ids of the corners that end here.
    pub corners: Vec<String>,
}

impl Corner {
    /// The point half way along the path.
    #[must_use]
    pub fn midpoint_mm(&self) -> Point {
        let length: f64 = self.path.windows(2).map(|pair| (pair[1].at_mm - pair[0].at_mm).norm()).sum();
        let mut left = 0.5 * length;
        for pair in self.path.windows(2) {
            let step = pair[1].at_mm - pair[0].at_mm;
            let step_length = step.norm();
            if step_length >= left && step_length > 0.0 {
                return pair[0].at_mm + step * (left / step_length);
            }
            left -= step_length;
        }
        self.path.last().map_or(Point::origin(), |station| station.at_mm)
    }
}

#[cfg(test)]
mod tests;
