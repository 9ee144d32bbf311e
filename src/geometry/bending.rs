//! Bending of every facet: its principal curvatures and the axis of the first, right on coarse CAD tessellation.
//!
//! Each edge turns by its dihedral angle over its length; the two facets share that turn by the heights of each other over
//! the edge. On strips this is exact to the chord: a fillet of 5 mm cut at 0.5 rad reads 5 mm on its facets, where
//! curvature at the vertices mixes it with the flats beside it.

mod even;
mod rings;

use rayon::prelude::*;

use self::rings::Rings;

use super::corners::tensor::{Principal, Tensor};
use super::corners::{CornerOptions, crease, fields, ground::Ground};
use super::mesh::{FaceId, Vector};
use super::stitch::Surface;

/// Bending of one facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FacetBending {
    /// The curvature of larger size in 1/mm, positive if convex; 0 if the facet is flat.
    pub kappa1_per_mm: f64,
    /// The other curvature, in 1/mm.
    pub kappa2_per_mm: f64,
    /// Unit vector in the facet about which it bends by the first; zero if the facet is flat.
    pub axis: Vector,
}

/// Bending of every facet, in the order of the facets.
#[derive(Debug, Clone, PartialEq)]
pub struct Bending {
    /// One entry a facet.
    pub facets: Vec<FacetBending>,
}

/// Finds the bending of every facet. Sharp edges are no bending of the facets beside them.
#[must_use]
pub fn of(surface: &Surface) -> Bending {
    let ground = ground_of(surface);
    let tensors = (0..surface.mesh.faces.len() as FaceId).into_par_iter().map(|face| fields::raw(&ground, face));
    Bending { facets: tensors.enumerate().map(|(face, tensor)| entry(tensor, &ground.normals[face])).collect() }
}

/// The same, evened out between neighbours that bend alike, for pictures: on irregular tessellation the bending of single
/// facets scatters by a factor of two and more, and beside a fillet every other facet of a flat reads a part of its bend.
#[must_use]
pub fn evened(surface: &Surface) -> Bending {
    let ground = ground_of(surface);
    let rings = Rings::of(surface.mesh);
    let tensors = even::mixed(&ground, &rings).into_par_iter().enumerate();
    let facets: Vec<FacetBending> = tensors.map(|(face, tensor)| entry(tensor, &ground.normals[face])).collect();
    Bending { facets: even::without_strays(&facets, surface.mesh, &rings) }
}

fn ground_of<'s>(surface: &'s Surface<'s>) -> Ground<'s> {
    let mut ground = Ground::of(surface);
    ground.creases = crease::find(&ground, CornerOptions::default().detection_radius_mm);
    ground
}

fn entry(tensor: Option<Tensor>, normal: &Vector) -> FacetBending {
    let flat = FacetBending { kappa1_per_mm: 0.0, kappa2_per_mm: 0.0, axis: Vector::zeros() };
    tensor.map_or(flat, |tensor| {
        let Principal { kappa1, kappa2, axis } = tensor.principal(normal);
        FacetBending { kappa1_per_mm: kappa1, kappa2_per_mm: kappa2, axis }
    })
}
