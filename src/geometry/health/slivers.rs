//! Facets whose smallest height is under the weld tolerance: they have no area and no normal.

use rayon::prelude::*;
use rustc_hash::FxHashSet;

use super::edges::SharedEdges;
use crate::geometry::mesh::{FaceId, Mesh};
use crate::geometry::topology::{HalfEdge, Topology};

/// Slivers of a mesh whose facets have three different corners.
#[derive(Debug, Clone, Default)]
pub struct Slivers {
    /// How many there are.
    pub found: usize,
    /// Those that no edge needs, in order.
    pub idle: Vec<FaceId>,
}

/// Finds slivers. One is needed if it alone joins a facet with area to something across one of its edges: without it the
/// mesh would have a slit there. Needed ones make their sliver neighbours needed.
#[must_use]
pub fn find(mesh: &Mesh, topology: &Topology, tolerance_mm: f64) -> Slivers {
    let slivers: Vec<FaceId> = (0..mesh.faces.len() as FaceId)
        .into_par_iter()
        .with_min_len(4096)
        .filter(|&face| smallest_height_mm(mesh, face) < tolerance_mm)
        .collect();
    if slivers.is_empty() {
        return Slivers::default();
    }
    let is_sliver: FxHashSet<FaceId> = slivers.iter().copied().collect();
    let flipped: FxHashSet<(HalfEdge, HalfEdge)> =
        SharedEdges::of(mesh, topology).flipped().flat_map(|[one, other]| [(one, other), (other, one)]).collect();
    let partner: rustc_hash::FxHashMap<HalfEdge, HalfEdge> = flipped.into_iter().collect();
    let across = |face: FaceId| {
        (0..3).filter_map(move |side| {
            let half = HalfEdge::new(face, side);
            topology.twin(half).map(HalfEdge::face)
        })
    };
    let beside_flipped = |face: FaceId| {
        let partner = &partner;
        (0..3).filter_map(move |side| partner.get(&HalfEdge::new(face, side)).map(|half| half.face()))
    };
    let neighbours = |face: FaceId| across(face).chain(beside_flipped(face)).collect::<Vec<_>>();
    let mut needed: FxHashSet<FaceId> = FxHashSet::default();
    let mut stack: Vec<FaceId> = slivers
        .iter()
        .copied()
        .filter(|&face| neighbours(face).iter().any(|neighbour| !is_sliver.contains(neighbour)))
        .collect();
    while let Some(face) = stack.pop() {
        if needed.insert(face) {
            stack.extend(neighbours(face).into_iter().filter(|neighbour| is_sliver.contains(neighbour)));
        }
    }
    let idle = slivers.iter().copied().filter(|face| !needed.contains(face)).collect();
    Slivers { found: slivers.len(), idle }
}

/// Smallest height of a facet over its sides.
fn smallest_height_mm(mesh: &Mesh, face: FaceId) -> f64 {
    let [a, b, c] = mesh.corners(face);
    let longest = (b - a).norm_squared().max((c - b).norm_squared()).max((a - c).norm_squared()).sqrt();
    mesh.doubled_area_vector(face).norm() / longest
}
