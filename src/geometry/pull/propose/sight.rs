//! Whether a piece stands before itself: two bodies, or a winding ramp, may without any undercut.

use rayon::prelude::*;

use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::pull::facing::Face;
use crate::geometry::rays::{ENDLESS_MM, Rays};
use crate::geometry::skin::place_on_facet;
use crate::maths::sin;
use crate::units::rad_from_deg;

/// Facets asked, at even steps of the area.
const N_RAYS: usize = 4000;
/// Rays start this share of the diagonal off the face.
const START_OF_DIAGONAL: f64 = 1e-5;
/// A piece of which more than this share is hidden stands before itself.
const HIDDEN_SHARE: f64 = 0.01;
/// A wall with less draft than this is neither asked nor counted as in the way: a ray along it meets its own rounding.
const LEAST_DRAFT_DEG: f64 = 1.0;

/// Whether more than a hundredth of what looks along the pull has some of the face before it; `rays` are through the same face.
pub fn stands_before_itself(face: &Face<'_>, rays: &Rays<'_>, direction: &Vector) -> bool {
    let least = sin(rad_from_deg(LEAST_DRAFT_DEG));
    let facing: Vec<FaceId> =
        face.mesh().face_ids().filter(|&facet| face.facet_normals[facet as usize].dot(direction) >= least).collect();
    let whole_mm2: f64 = facing.iter().map(|&facet| face.areas_mm2[facet as usize]).sum();
    // A facet is asked as often as the running area steps over a share of the whole; the large ones many times.
    let step_mm2 = whole_mm2 / N_RAYS as f64;
    let mut so_far_mm2 = 0.0;
    let mut asked: Vec<(FaceId, u32)> = Vec::with_capacity(N_RAYS + 1);
    for &facet in &facing {
        let before = (so_far_mm2 / step_mm2) as u32;
        so_far_mm2 += face.areas_mm2[facet as usize];
        asked.extend((before..(so_far_mm2 / step_mm2) as u32).map(|number| (facet, number)));
    }
    let off_mm = START_OF_DIAGONAL * rays.diagonal_mm();
    let is_hidden = |&(facet, number): &(FaceId, u32)| {
        let ([a, b, c], [u, v, w]) = (face.mesh().corners(facet), place_on_facet(number));
        let at = Point::from(a.coords * u + b.coords * v + c.coords * w);
        let from = at + (face.facet_normals[facet as usize] + direction) * off_mm;
        rays.first_hit(&from, direction, ENDLESS_MM)
            .is_some_and(|hit| face.facet_normals[hit.face as usize].dot(direction).abs() >= least)
    };
    let n_hidden = asked.par_iter().filter(|asked| is_hidden(asked)).count();
    n_hidden as f64 > HIDDEN_SHARE * asked.len() as f64
}
