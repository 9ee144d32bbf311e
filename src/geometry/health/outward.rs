//! Turns closed shells so that they face outwards.

use super::edges::{Components, SharedEdges};
use crate::geometry::mesh::{Mesh, Point};

/// What was turned.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Turned {
    /// Facets turned.
    pub facets: usize,
    /// Shells turned.
    pub shells: usize,
}

/// Turns each closed shell whose volume is negative.
#[must_use]
pub fn turn_outward(mesh: &mut Mesh, components: &Components, shared: &SharedEdges) -> Turned {
    let mut closed = vec![true; components.count];
    for half in shared.open.iter().chain(shared.branching.iter().flatten()) {
        closed[components.of_face[half.face() as usize] as usize] = false;
    }
    if !closed.iter().any(|&closed| closed) {
        return Turned::default();
    }
    let volumes = six_fold_volumes(mesh, components);
    let inward: Vec<bool> = closed.iter().zip(volumes).map(|(&closed, volume)| closed && volume < 0.0).collect();
    let mut facets = 0;
    for (face, component) in mesh.faces.iter_mut().zip(&components.of_face) {
        if inward[*component as usize] {
            face.swap(1, 2);
            facets += 1;
        }
    }
    Turned { facets, shells: inward.iter().filter(|&&inward| inward).count() }
}

/// Six times the signed volume of each component, in mm3.
fn six_fold_volumes(mesh: &Mesh, components: &Components) -> Vec<f64> {
    let origin = mesh.bounds().map_or_else(Point::origin, |bounds| bounds.centre());
    let mut volumes = vec![0.0; components.count];
    for face in mesh.face_ids() {
        let [a, b, c] = mesh.corners(face).map(|corner| corner - origin);
        volumes[components.of_face[face as usize] as usize] += a.dot(&b.cross(&c));
    }
    volumes
}
