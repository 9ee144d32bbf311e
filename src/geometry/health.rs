//! Counts of what is wrong with a mesh, and the repairs that lose nothing.
//!
//! In this order: facets without area, facets that are there twice, edges, winding. Each step sees what the one before left.

mod edges;
mod outward;
mod repeats;
mod slivers;
mod winding;

pub(super) use edges::next_open;

use rayon::prelude::*;

use super::mesh::{Mesh, PointId};
use super::part::Health;
use super::topology::Topology;
use super::weld::LEFT_OUT;
use edges::SharedEdges;

/// A mesh with the region of each facet.
#[derive(Debug, Clone, Default)]
pub struct Facets {
    /// The facets.
    pub mesh: Mesh,
    /// For each facet, the number of its region.
    pub regions: Vec<u32>,
}

/// What was found and mended, beyond the counts in [`Health`].
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Findings {
    /// Facets turned to agree with their neighbours.
    pub turned_to_neighbours: usize,
    /// Edges that cannot be made to agree, as on a one-sided band.
    pub one_sided_edges: usize,
    /// Closed shells that faced the wrong way and were turned.
    pub shells_turned: usize,
}

/// Counts the faults and mends those that lose nothing: facets without area go where edges stay paired, facets that are
/// there twice go, facets wound against their neighbours are turned, closed shells are turned outwards.
#[must_use]
pub fn mend(facets: &mut Facets, tolerance_mm: f64) -> (Health, Findings) {
    let mut health = Health::default();
    let mut findings = Findings::default();
    health.degenerate_triangles = drop_collapsed(facets);

    let mut topology = Topology::of(&facets.mesh);
    let slivers = slivers::find(&facets.mesh, &topology, tolerance_mm);
    health.degenerate_triangles += slivers.found;
    if drop_facets(facets, &slivers.idle) {
        topology = Topology::of(&facets.mesh);
    }
    let kept_slivers = slivers.found - slivers.idle.len();

    let mut shared = SharedEdges::of(&facets.mesh, &topology);
    let repeats = repeats::find(&facets.mesh, &topology, &shared);
    health.duplicate_triangles = repeats.duplicates.len();
    health.back_to_back_triangles = repeats.reversed.len();
    if drop_facets(facets, &repeats.all()) {
        topology = Topology::of(&facets.mesh);
        shared = SharedEdges::of(&facets.mesh, &topology);
    }

    health.open_edges = shared.open.len();
    health.nonmanifold_edges = shared.crowded().count();
    health.flipped_edges = shared.flipped().count();
    if health.flipped_edges > 0 {
        let turned = winding::agree(&mut facets.mesh, &topology, &shared);
        findings.turned_to_neighbours = turned.facets;
        findings.one_sided_edges = turned.one_sided_edges;
        topology = Topology::of(&facets.mesh);
        shared = SharedEdges::of(&facets.mesh, &topology);
    }
    let components = edges::components(&facets.mesh, &topology, &shared);
    health.components = components.count;
    health.boundary_loops = edges::boundary_loops(&facets.mesh, &topology, &shared);
    health.closed = shared.open.is_empty() && shared.branching.is_empty() && !facets.mesh.faces.is_empty();
    findings.shells_turned = outward::turn_outward(&mut facets.mesh, &topology, &components, &shared);
    if !shared.open.is_empty() {
        findings.shells_turned += outward::turn_cracked_bodies_outward(&mut facets.mesh);
    }

    drop_unused_points(&mut facets.mesh);
    health.triangles = facets.mesh.faces.len() - kept_slivers;
    health.vertices = facets.mesh.points_mm.len();
    (health, findings)
}

/// Drops facets that were left out and those with two equal corners; returns how many of the latter there were.
fn drop_collapsed(facets: &mut Facets) -> usize {
    let collapsed = |face: &[PointId; 3]| face[0] == face[1] || face[1] == face[2] || face[2] == face[0];
    if !facets.mesh.faces.par_iter().any(collapsed) {
        return 0;
    }
    let n_left_out = facets.mesh.faces.iter().filter(|face| **face == LEFT_OUT).count();
    let gone: Vec<u32> = facets.mesh.face_ids().filter(|&face| collapsed(&facets.mesh.faces[face as usize])).collect();
    drop_facets(facets, &gone);
    gone.len() - n_left_out
}

/// Drops the facets of these rising numbers; true if there were any.
fn drop_facets(facets: &mut Facets, gone: &[u32]) -> bool {
    if gone.is_empty() {
        return false;
    }
    let mut next_gone = gone.iter().copied().peekable();
    let mut kept = 0;
    for face in 0..facets.mesh.faces.len() {
        if next_gone.peek() == Some(&(face as u32)) {
            next_gone.next();
            continue;
        }
        facets.mesh.faces[kept] = facets.mesh.faces[face];
        facets.regions[kept] = facets.regions[face];
        kept += 1;
    }
    facets.mesh.faces.truncate(kept);
    facets.regions.truncate(kept);
    true
}

/// Drops points that no facet uses; the others keep their order.
fn drop_unused_points(mesh: &mut Mesh) {
    let mut used = vec![false; mesh.points_mm.len()];
    mesh.faces.iter().flatten().for_each(|&point| used[point as usize] = true);
    if used.iter().all(|&used| used) {
        return;
    }
    let mut numbers = vec![PointId::MAX; used.len()];
    let mut kept = 0;
    for (point, _) in used.iter().enumerate().filter(|(_, used)| **used) {
        numbers[point] = kept as PointId;
        mesh.points_mm[kept] = mesh.points_mm[point];
        kept += 1;
    }
    mesh.points_mm.truncate(kept);
    mesh.faces.par_iter_mut().for_each(|face| *face = face.map(|point| numbers[point as usize]));
}
