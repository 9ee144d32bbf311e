//! How a mould comes off, as documents show it.

use serde::Serialize;

use super::triple;
use crate::geometry::mesh::{FaceId, Mesh};
use crate::geometry::pull::{Patch, Pull};

/// A pull.
#[derive(Serialize)]
pub struct PullEntry {
    direction: [f64; 3],
    given: bool,
    releases: bool,
    least_draft_deg: f64,
    left_out_m2: f64,
    wanted_draft_deg: f64,
    under_wanted_m2: f64,
    undercut_m2: f64,
    undercut_clipped_m2: f64,
    shadowed_m2: f64,
    undercuts: Vec<PatchEntry>,
    blocking: Vec<BlockingEntry>,
}

/// A patch that locks.
#[derive(Serialize)]
struct PatchEntry {
    area_m2: f64,
    at_mm: [f64; 3],
    least_mm: [f64; 3],
    most_mm: [f64; 3],
    depth_mm: f64,
    height_mm: f64,
    mean_draft_deg: f64,
    noise: bool,
}

/// A facet of those that block one another.
#[derive(Serialize)]
struct BlockingEntry {
    at_mm: [f64; 3],
    normal: [f64; 3],
}

impl PullEntry {
    /// A pull of a face with these facets.
    pub fn of(pull: &Pull, mesh: &Mesh) -> Self {
        Self {
            direction: pull.direction.into(),
            given: pull.given,
            releases: pull.releases,
            least_draft_deg: pull.least_draft_deg,
            left_out_m2: pull.left_out_m2,
            wanted_draft_deg: pull.wanted_draft_deg,
            under_wanted_m2: pull.undercut.under_wanted_m2,
            undercut_m2: pull.undercut.by_facets_m2,
            undercut_clipped_m2: pull.undercut.clipped_m2,
            shadowed_m2: pull.hidden_m2,
            undercuts: pull.undercuts.iter().map(Into::into).collect(),
            blocking: pull.blocking.iter().map(|&face| BlockingEntry::of(mesh, face)).collect(),
        }
    }
}

impl From<&Patch> for PatchEntry {
    fn from(patch: &Patch) -> Self {
        Self {
            area_m2: patch.area_m2,
            at_mm: triple(&patch.at_mm),
            least_mm: triple(&patch.bounds.least),
            most_mm: triple(&patch.bounds.most),
            depth_mm: patch.depth_mm,
            height_mm: patch.height_mm,
            mean_draft_deg: patch.mean_draft_deg,
            noise: patch.noise,
        }
    }
}

impl BlockingEntry {
    fn of(mesh: &Mesh, face: FaceId) -> Self {
        let [a, b, c] = mesh.corners(face);
        let middle = (a.coords + b.coords + c.coords) / 3.0;
        Self { at_mm: middle.into(), normal: mesh.normal(face).into() }
    }
}
