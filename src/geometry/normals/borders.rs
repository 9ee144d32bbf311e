//! What lies between the chords of a face's border and the arcs that they stand for.
//!
//! The rim of a round flange is a polygon in the file. Its chords leave slivers out, or take slivers in along the inner rim: a
//! hundredth of a narrow ring's area at the steps of coarse exports.

use super::{Facets, SMOOTH_COSINE};
use crate::geometry::mesh::{FaceId, Vector};
use crate::geometry::topology::HalfEdge;
use crate::maths;

/// The area beyond a facet's border sides, less what they take in too much, in mm2; nothing for a facet inside a face.
///
/// A side of length l at whose ends the border turns by an angle t within the facet's plane is the chord of an arc with two
/// thirds of l times the sagitta, l t / 8, beyond it (to the second order of t).
#[must_use]
pub fn beyond_chords_mm2(facets: &Facets, face: FaceId) -> f64 {
    (0..3).map(|side| beyond_chord_mm2(facets, HalfEdge::new(face, side))).sum()
}

fn beyond_chord_mm2(facets: &Facets, half: HalfEdge) -> f64 {
    if facets.goes_on(half).is_some() {
        return 0.0;
    }
    let along = along(facets, half);
    let length_mm = along.norm();
    let outward = along.cross(&facets.normals[half.face() as usize]);
    let turn_at = |other: HalfEdge, sign: f64| {
        let next = self::along(facets, other);
        let sine = -sign * next.dot(&outward) / (next.norm() * length_mm);
        let cosine = next.dot(&along) / (next.norm() * length_mm);
        // A corner of the border is drawn.
        if cosine > SMOOTH_COSINE { maths::asin_clamped(sine) } else { 0.0 }
    };
    let (Some(next), Some(last)) = (next_on_border(facets, half), last_on_border(facets, half)) else { return 0.0 };
    let (ahead, behind) = (turn_at(next, 1.0), turn_at(last, -1.0));
    // Where an arc meets a straight line or a counter-arc the lesser turn is the side's own.
    let turn = if ahead * behind <= 0.0 {
        0.0
    } else if ahead.abs() < behind.abs() {
        ahead
    } else {
        behind
    };
    length_mm * length_mm * turn / 12.0
}

fn along(facets: &Facets, half: HalfEdge) -> Vector {
    let [from, to] = half.ends(facets.mesh).map(|point| facets.mesh.points_mm[point as usize]);
    to - from
}

/// The border side that begins where one ends.
fn next_on_border(facets: &Facets, half: HalfEdge) -> Option<HalfEdge> {
    round_point(facets, half, |half| HalfEdge::new(half.face(), (half.side() as u32 + 1) % 3))
}

/// The border side that ends where one begins.
fn last_on_border(facets: &Facets, half: HalfEdge) -> Option<HalfEdge> {
    round_point(facets, half, |half| HalfEdge::new(half.face(), (half.side() as u32 + 2) % 3))
}

/// The first border side among the sides beside this one, then those of the facets over each, round one of its ends.
fn round_point(facets: &Facets, half: HalfEdge, beside: impl Fn(HalfEdge) -> HalfEdge) -> Option<HalfEdge> {
    let mut at = beside(half);
    for _ in 0..facets.mesh.faces.len() {
        let Some(twin) = facets.goes_on(at) else { return Some(at) };
        at = beside(twin);
        if at == half {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::Point;
    use crate::geometry::split::shapes::{grid, plate};
    use crate::geometry::topology::Topology;

    #[test]
    fn a_flat_ring_has_the_area_between_its_circles_and_a_plate_its_own() {
        let ring = grid([24, 1], [true, false], |u, v| {
            let (sin, cos) = maths::sin_cos(std::f64::consts::TAU * u);
            let radius = 80.0 - 12.0 * v;
            Point::new(radius * cos, radius * sin, 0.0)
        });
        let whole_mm2 = std::f64::consts::PI * (80.0 * 80.0 - 68.0 * 68.0);
        let cornered = plate([30.0, 50.0], [3, 2]);
        for (mesh, truth_mm2, most) in [(ring, whole_mm2, 2e-4), (cornered, 1500.0, 1e-12)] {
            let topology = Topology::of(&mesh);
            let normals: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
            let facets = Facets { mesh: &mesh, topology: &topology, normals: &normals };
            let beyond_mm2: f64 = mesh.face_ids().map(|face| beyond_chords_mm2(&facets, face)).sum();
            let whole_mm2 = mesh.area_m2() * 1e6 + beyond_mm2;
            assert!((whole_mm2 / truth_mm2 - 1.0).abs() < most, "{whole_mm2} for {truth_mm2}");
        }
    }
}
