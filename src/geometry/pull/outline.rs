//! The border of a patch as lines, for pictures.

use super::patches::Patch;
use crate::geometry::edges::loops;
use crate::geometry::mesh::{Mesh, Point};
use crate::geometry::split::cut;
use crate::geometry::stitch::Surface;

/// Patches that are outlined, largest first. More: the lines of a panel with a thousand slots weigh more than its facets.
const MOST_OUTLINED: usize = 40;

/// The borders of the patches that really lock, in mm: none of those that cannot be told from the tessellation.
#[must_use]
pub fn outlines(mesh: &Mesh, patches: &[Patch]) -> Vec<Vec<Point>> {
    let real = patches.iter().filter(|patch| !patch.noise).take(MOST_OUTLINED);
    real.flat_map(|patch| outline(mesh, patch)).collect()
}

fn outline(mesh: &Mesh, patch: &Patch) -> Vec<Vec<Point>> {
    let own = mesh.submesh(&patch.faces);
    let pieces = cut(&Surface::stitched(&own), &[]).pieces;
    pieces.iter().flat_map(loops).map(|border| border.polyline_mm).collect()
}
