//! What the eye cannot see that looks against the pull: undercuts, and walls that stand in the way of others.

use rayon::prelude::*;

use super::facing::Face;
use super::undercut::UPRIGHT_SINE;
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::rays::{ENDLESS_MM, Rays};
use crate::geometry::skin::place_on_facet;
use crate::units::m2_from_mm2;

/// Rays in all. 40 000 give the hidden area to 0.3 % of the face.
const N_RAYS: f64 = 40_000.0;
/// Rays from a facet of a face of few facets.
const LEAST_RAYS: usize = 3;
/// Facets from which a face is big, and one ray a facet is enough at most.
const BIG_FACE: usize = 100_000;
/// Rays start this share of the diagonal off the face, and hits nearer than [`OWN_GROUND`] of it are the face itself.
const START_OF_DIAGONAL: f64 = 1e-6;
const OWN_GROUND: f64 = 1e-3;
/// Nothing is left of a direction within a facet that looks straight back along it.
const LEAST_ALONG: f64 = 1e-6;

/// Area of the face that a pull along a unit direction cannot clear, by line of sight, in m2: what faces away, and what has
/// some of the face in front of it. `rays` are through the same face.
#[must_use]
pub fn hidden_m2(face: &Face<'_>, rays: &Rays<'_>, direction: &Vector) -> f64 {
    let whole_mm2: f64 = face.areas_mm2.iter().sum();
    let least = if face.areas_mm2.len() > BIG_FACE { 0 } else { LEAST_RAYS };
    let n_rays = plan(&face.areas_mm2, whole_mm2, least);
    let hidden = |(number, &n): (usize, &usize)| {
        if n == 0 {
            return 0.0;
        }
        let behind = face.mean_normal(number as FaceId).dot(direction) < -UPRIGHT_SINE;
        let blocked = |k: usize| is_blocked(face, rays, number as FaceId, k, direction);
        let n_hidden = if behind { n } else { (0..n).filter(|&k| blocked(k)).count() };
        // On a big face a facet without a ray of its own is stood for by those that have one.
        let stands_for_mm2 = if least == 0 { whole_mm2 / N_RAYS } else { face.areas_mm2[number] / n as f64 };
        stands_for_mm2 * n_hidden as f64
    };
    let areas: Vec<f64> = n_rays.par_iter().enumerate().map(hidden).collect();
    m2_from_mm2(areas.into_iter().sum())
}

/// Rays a facet: in proportion to area, carried over from facet to facet, so that they add up.
fn plan(areas_mm2: &[f64], whole_mm2: f64, least: usize) -> Vec<usize> {
    let mut owed = 0.5;
    let per_mm2 = if whole_mm2 > 0.0 { N_RAYS / whole_mm2 } else { 0.0 };
    let of_facet = |&area_mm2: &f64| {
        owed += area_mm2 * per_mm2;
        let n = owed as usize;
        owed -= n as f64;
        if area_mm2 > 0.0 { n.max(least) } else { 0 }
    };
    areas_mm2.iter().map(of_facet).collect()
}

fn is_blocked(face: &Face<'_>, rays: &Rays<'_>, facet: FaceId, k: usize, direction: &Vector) -> bool {
    let [a, b, c] = face.mesh().corners(facet);
    let [u, v, w] = place_on_facet(k as u32 + facet);
    let at = Point::from(a.coords * u + b.coords * v + c.coords * w);
    let diagonal_mm = rays.diagonal_mm();
    let normal = face.facet_normals[facet as usize];
    // A facet of a round wall may lean against the pull by its chord height; a ray along its own plane does not enter it.
    let along = direction - normal * normal.dot(direction).min(0.0);
    let Some(along) = along.try_normalize(LEAST_ALONG) else { return true };
    let direction = &along;
    let from = at + (normal + direction) * (START_OF_DIAGONAL * diagonal_mm);
    let hit = rays.first_hit(&from, direction, ENDLESS_MM);
    match hit {
        Some(hit) if hit.distance_mm < OWN_GROUND * diagonal_mm => {
            let past = from + direction * (hit.distance_mm + START_OF_DIAGONAL * diagonal_mm);
            rays.first_hit(&past, direction, ENDLESS_MM).is_some_and(|hit| hit.distance_mm > OWN_GROUND * diagonal_mm)
        }
        hit => hit.is_some(),
    }
}
