//! Turns facets that are wound against their neighbours.

use std::collections::VecDeque;

use rustc_hash::FxHashMap;

use super::edges::SharedEdges;
use crate::geometry::mesh::{FaceId, Mesh};
use crate::geometry::topology::{HalfEdge, Topology};

/// What was turned.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Turned {
    /// Facets turned.
    pub facets: usize,
    /// Edges whose facets still disagree: the surface has one side only.
    pub one_sided_edges: usize,
}

/// Winds all facets alike that are joined by edges of exactly two facets, keeping the winding that holds more area.
#[must_use]
pub fn agree(mesh: &mut Mesh, topology: &Topology, shared: &SharedEdges) -> Turned {
    let flipped: FxHashMap<HalfEdge, HalfEdge> =
        shared.flipped().flat_map(|[one, other]| [(one, other), (other, one)]).collect();
    let mut reversed: Vec<Option<bool>> = vec![None; mesh.faces.len()];
    let mut turned = Turned::default();
    let mut group = Vec::new();
    for seed in mesh.face_ids() {
        if reversed[seed as usize].is_some() {
            continue;
        }
        group.clear();
        turned.one_sided_edges += spread(topology, &flipped, seed, &mut reversed, &mut group);
        turned.facets += turn_lesser(mesh, &reversed, &group);
    }
    // Each was met from both of its facets.
    turned.one_sided_edges /= 2;
    turned
}

/// Gives all facets of the seed's group their sense relative to the seed; returns the contradictions met.
fn spread(
    topology: &Topology,
    flipped: &FxHashMap<HalfEdge, HalfEdge>,
    seed: FaceId,
    reversed: &mut [Option<bool>],
    group: &mut Vec<FaceId>,
) -> usize {
    let mut contradictions = 0;
    let mut queue = VecDeque::from([(seed, false)]);
    reversed[seed as usize] = Some(false);
    while let Some((face, sense)) = queue.pop_front() {
        group.push(face);
        for side in 0..3 {
            let half = HalfEdge::new(face, side);
            let (other, next_sense) = match (topology.twin(half), flipped.get(&half)) {
                (Some(twin), _) => (twin.face(), sense),
                (None, Some(partner)) => (partner.face(), !sense),
                (None, None) => continue,
            };
            match reversed[other as usize] {
                None => {
                    reversed[other as usize] = Some(next_sense);
                    queue.push_back((other, next_sense));
                }
                Some(known) if known != next_sense => contradictions += 1,
                Some(_) => {}
            }
        }
    }
    contradictions
}

/// Turns the facets of the sense that holds less area (the later one at a tie); returns how many.
fn turn_lesser(mesh: &mut Mesh, reversed: &[Option<bool>], group: &[FaceId]) -> usize {
    let is_reversed = |face: &FaceId| reversed[*face as usize] == Some(true);
    let (mut as_seed, mut against_seed) = (0.0, 0.0);
    for face in group {
        *if is_reversed(face) { &mut against_seed } else { &mut as_seed } += mesh.face_area_mm2(*face);
    }
    let turn_reversed = against_seed <= as_seed;
    let mut turned = 0;
    for face in group.iter().filter(|face| is_reversed(face) == turn_reversed) {
        mesh.faces[*face as usize].swap(1, 2);
        turned += 1;
    }
    turned
}
