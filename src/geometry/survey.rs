//! Everything that the shape of one part says by itself: the stages from mesh to corners, in order.

use super::corners::{self, Corner, CornerOptions, CornerPoint, Listing};
use super::mesh::{Bounds, Point};
use super::part::Part;
use super::stitch::Surface;
use crate::notes::Note;
use crate::watch::Watch;

/// What to list.
#[derive(Debug, Clone, Copy)]
pub struct SurveyOptions {
    /// Corners tighter than this are listed.
    pub tighter_than_mm: f64,
    /// Bends that turn at least this far are listed.
    pub least_turn_deg: f64,
}

/// What was found on one part.
#[derive(Debug, Clone)]
pub struct Survey {
    /// The part as loaded.
    pub part: Part,
    /// Its box.
    pub bounds: Bounds,
    /// Area of all facets.
    pub area_m2: f64,
    /// Volume, if closed.
    pub volume_m3: Option<f64>,
    /// Centroid of the surface.
    pub centroid_mm: Point,
    /// Corners listed.
    pub corners: Vec<Corner>,
    /// Points listed.
    pub points: Vec<CornerPoint>,
    /// Notes of the stages after loading.
    pub stage_notes: Vec<Note>,
}

impl Survey {
    /// Every note on the part, in the order of the stages.
    pub fn notes(&self) -> impl Iterator<Item = &Note> {
        self.part.notes.iter().chain(&self.stage_notes)
    }
}

/// Measures one part.
#[must_use]
pub fn survey(part: Part, options: &SurveyOptions, watch: &dyn Watch) -> Survey {
    let mesh = &part.mesh;
    let bounds = mesh.bounds().unwrap_or(Bounds { least: Point::origin(), most: Point::origin() });
    let surface = Surface::stitched(mesh);
    let found = corners::find(&surface, &CornerOptions::for_limit(options.tighter_than_mm), watch);
    let listing = Listing { tighter_than_mm: options.tighter_than_mm, least_turn_deg: options.least_turn_deg };
    let listed = corners::list(&found, &listing);
    Survey {
        bounds,
        area_m2: mesh.area_m2(),
        volume_m3: part.health.closed.then(|| mesh.signed_volume_m3()),
        centroid_mm: mesh.surface_centroid_mm().unwrap_or(bounds.centre()),
        corners: listed.corners,
        points: listed.points,
        stage_notes: listed.notes,
        part,
    }
}
