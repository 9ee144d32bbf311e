//! Facets that an export lost: holes of three sides in what would be a closed body.

use super::health::next_open;
use super::mesh::Mesh;
use super::part::Part;
use super::topology::{Across, HalfEdge, Topology};
use crate::notes::Note;

/// The least closed body but one: a wedge of two triangles has an edge of three sides too.
const LEAST_FACETS: usize = 5;
/// A lost facet is hardly larger than those beside it; the opening of a three-cornered panel is larger than what is round it.
const MOST_OF_BESIDE: f64 = 1.5;

/// Told of a surface all of whose edges have three sides, each round a hole no larger than a facet there.
#[must_use]
pub fn lost_facets(part: &Part, topology: &Topology) -> Option<Note> {
    if part.health.triangles < LEAST_FACETS || part.health.open_edges != 3 * part.health.boundary_loops {
        return None;
    }
    let n_lost = holes_of_a_facet(&part.mesh, topology)?;
    let (edges, lost) = match n_lost {
        1 => ("its only edge has three sides".to_owned(), "a facet".to_owned()),
        n => (format!("its {n} edges have three sides each"), format!("{n} facets")),
    };
    Some(Note::warning(
        "facet-missing",
        format!("{edges}: it looks like a closed body of which the export lost {lost}, and is read as an open sheet"),
        "export the panel again, or close the hole in the CAD",
    ))
}

/// How many holes there are, if all are triangles of a facet's size; nothing without holes.
fn holes_of_a_facet(mesh: &Mesh, topology: &Topology) -> Option<usize> {
    let open: Vec<HalfEdge> = topology.half_edges().filter(|&half| topology.across(half) == Across::Open).collect();
    let next = |half: HalfEdge| next_open(topology, half);
    let is_hole = |&one: &HalfEdge| {
        let (two, three) = (next(one), next(one).and_then(next));
        let (Some(two), Some(three)) = (two, three) else { return false };
        let corners = [one, two, three].map(|half| mesh.points_mm[half.ends(mesh)[0] as usize]);
        let area_mm2 = 0.5 * (corners[1] - corners[0]).cross(&(corners[2] - corners[0])).norm();
        let beside_mm2 = [one, two, three].map(|half| mesh.face_area_mm2(half.face())).into_iter().fold(0.0, f64::max);
        next(three) == Some(one) && one != two && area_mm2 <= MOST_OF_BESIDE * beside_mm2
    };
    (!open.is_empty() && open.iter().all(is_hole)).then_some(open.len() / 3)
}
