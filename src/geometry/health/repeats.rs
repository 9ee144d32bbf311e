//! Facets that are there twice: with the same winding, or back to back.

use rayon::prelude::*;

use super::edges::SharedEdges;
use crate::geometry::mesh::{FaceId, Mesh, PointId};
use crate::geometry::topology::{HalfEdge, Topology};

/// Facets with the corners of an earlier one.
#[derive(Debug, Clone, Default)]
pub struct Repeats {
    /// Those that are wound like an earlier one, in order.
    pub duplicates: Vec<FaceId>,
    /// The first of each that faces the other way, in order.
    pub reversed: Vec<FaceId>,
}

impl Repeats {
    /// All of them, in order.
    #[must_use]
    pub fn all(&self) -> Vec<FaceId> {
        let mut all = [self.duplicates.as_slice(), self.reversed.as_slice()].concat();
        all.sort_unstable();
        all
    }
}

/// Finds them. Facets with the same corners share all edges, so only those at edges of many facets, or of two that are
/// wound against each other, and pairs that meet at two edges can be.
#[must_use]
pub fn find(mesh: &Mesh, topology: &Topology, shared: &SharedEdges) -> Repeats {
    let meets_twice = |&face: &FaceId| {
        let across = |side| topology.twin(HalfEdge::new(face, side)).map(HalfEdge::face);
        across(0).is_some() && (across(0) == across(1) || across(0) == across(2))
    };
    let mut suspects: Vec<FaceId> =
        (0..mesh.faces.len() as FaceId).into_par_iter().with_min_len(4096).filter(meets_twice).collect();
    suspects.extend(shared.branching.iter().flatten().map(|half| half.face()));
    suspects.sort_unstable();
    suspects.dedup();
    let mut keyed: Vec<([PointId; 3], FaceId, bool)> = suspects
        .into_iter()
        .map(|face| {
            let (corners, rises) = sorted_corners(mesh.faces[face as usize]);
            (corners, face, rises)
        })
        .collect();
    keyed.sort_unstable();
    let mut repeats = Repeats::default();
    for same in keyed.chunk_by(|a, b| a.0 == b.0) {
        let (_, _, first_rises) = same[0];
        let mut met_reverse = false;
        for &(_, face, rises) in &same[1..] {
            if rises == first_rises || met_reverse {
                repeats.duplicates.push(face);
            } else {
                met_reverse = true;
                repeats.reversed.push(face);
            }
        }
    }
    repeats.duplicates.sort_unstable();
    repeats.reversed.sort_unstable();
    repeats
}

/// The corners in order of number, and whether the winding runs through them in that order.
fn sorted_corners([a, b, c]: [PointId; 3]) -> ([PointId; 3], bool) {
    let least = a.min(b).min(c);
    let [_, second, third] = if least == a {
        [a, b, c]
    } else if least == b {
        [b, c, a]
    } else {
        [c, a, b]
    };
    if second < third { ([least, second, third], true) } else { ([least, third, second], false) }
}
