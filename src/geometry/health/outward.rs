//! Turns closed shells so that a body faces outwards and the hollow in it inwards.

use super::edges::{Components, SharedEdges};
use crate::geometry::mesh::{FaceId, Mesh, Vector};
use crate::geometry::shells::{Shell, nesting, orient_closed_shells_of};
use crate::geometry::stitch::Surface;
use crate::geometry::topology::{Across, HalfEdge, Topology};

/// Turns each closed shell whose volume has the wrong sign for its depth within others; returns how many.
#[must_use]
pub fn turn_outward(mesh: &mut Mesh, topology: &Topology, components: &Components, shared: &SharedEdges) -> usize {
    let mut closed = vec![true; components.count];
    for half in shared.open.iter().chain(shared.branching.iter().flatten()) {
        closed[components.of_face[half.face() as usize] as usize] = false;
    }
    match closed.iter().filter(|&&closed| closed).count() {
        0 => 0,
        // A body of one shell needs no search for shells around it.
        1 if components.count == 1 => {
            let inside_out = mesh.signed_volume_m3() < 0.0;
            if inside_out {
                mesh.faces.iter_mut().for_each(|face| face.swap(1, 2));
            }
            usize::from(inside_out)
        }
        _ => orient_closed_shells_of(mesh, topology),
    }
}

/// Share of the area that the sum of all facets' area vectors may reach in a body whose seams are open by a crack's width;
/// in one without gaps it is 0. Over it, seams need not be looked at: most sheets end here.
const CRACKED_BODY_MOST: f64 = 0.01;

/// Share of an open side that seams must cover for the side to count as closed; the ends of cracks may stay open.
const SEAM_LEAST: f64 = 0.9;

/// Turns bodies that are closed but for the cracks of an unsewn export; returns how many.
#[must_use]
pub fn turn_cracked_bodies_outward(mesh: &mut Mesh) -> usize {
    let area_vectors = || mesh.face_ids().map(|face| mesh.doubled_area_vector(face));
    let sum: Vector = area_vectors().sum();
    if sum.norm() > CRACKED_BODY_MOST * area_vectors().map(|vector| vector.norm()).sum::<f64>() {
        return 0;
    }
    let shells: Vec<Shell> = bodies_closed_by_seams(mesh).into_iter().map(|faces| Shell::of(mesh, faces)).collect();
    let depths: Vec<usize> = nesting(mesh, &shells).iter().map(Vec::len).collect();
    let mut turned = 0;
    for (shell, depth) in shells.iter().zip(depths) {
        if shell.volume_mm3 != 0.0 && (shell.volume_mm3 < 0.0) != (depth % 2 == 1) {
            shell.faces.iter().for_each(|&face| mesh.faces[face as usize].swap(1, 2));
            turned += 1;
        }
    }
    turned
}

/// Groups of facets whose open sides all run along a seam, and which hold together by edges and seams.
fn bodies_closed_by_seams(mesh: &Mesh) -> Vec<Vec<FaceId>> {
    let surface = Surface::stitched(mesh);
    let (group_of, n_groups) = surface.connected_groups();
    let mut closed = vec![true; n_groups];
    let mut bodies: Vec<Vec<FaceId>> = vec![Vec::new(); n_groups];
    for face in mesh.face_ids() {
        let group = group_of[face as usize] as usize;
        bodies[group].push(face);
        closed[group] &= (0..3).map(|side| HalfEdge::new(face, side)).all(|half| match surface.topology.across(half) {
            Across::Facet(_) => true,
            Across::Open => covered(&surface, half) >= SEAM_LEAST,
            Across::Branch => false,
        });
    }
    bodies.into_iter().zip(closed).filter(|(_, closed)| *closed).map(|(faces, _)| faces).collect()
}

/// Share of a side that seams cover.
fn covered(surface: &Surface<'_>, half: HalfEdge) -> f64 {
    surface.meetings(half).map(|meeting| meeting.span[1] - meeting.span[0]).sum()
}
