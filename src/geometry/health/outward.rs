//! Turns closed shells so that a body faces outwards and the hollow in it inwards.

use super::edges::{Components, SharedEdges};
use crate::geometry::mesh::Mesh;
use crate::geometry::shells::orient_closed_shells_of;
use crate::geometry::topology::Topology;

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
