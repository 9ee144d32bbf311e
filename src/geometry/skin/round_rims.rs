//! Rounded rims: the facets by which a side bends away from its opposite side towards the rim belong to the rim.

use super::super::mesh::{FaceId, Mesh, Vector};
use super::super::normals::CornerNormals;
use super::Side;
use super::neighbours::{Meet, Neighbours};
use super::thickness::normal_at;
use super::walls::{WallRay, Walls};
use crate::maths;

// Edges that turn by less are seams of a flat. The strips of fine exports turn by 3 degrees, their first edge by half of that.
const BENDS_DEG: f64 = 0.5;

// Edges that turn by more are creases, where a rim begins at once.
const CREASE_DEG: f64 = 40.0;

// An edge is part of a rounded rim if the gap between the sides opens by at least this share of its turn. Along a shell that
// is curved as a whole both sides turn alike and nothing opens; on a rounded rim all of it does. Coarse exports blur both.
const OPENS: f64 = 0.5;

/// Moves the rounding of rims from the sides to the rim. Rays say how far the two sides are from parallel at each facet.
pub fn take_round_rims(
    mesh: &Mesh,
    corners: &CornerNormals,
    walls: &Walls,
    neighbours: &Neighbours,
    sides: &mut [Side],
) {
    let gaps: Vec<f64> = (0..sides.len() as FaceId).map(|face| gap_angle(mesh, corners, walls, face)).collect();
    let candidate = candidates(neighbours, &gaps);
    let mut reached: Vec<FaceId> =
        (0..sides.len() as FaceId).filter(|&face| sides[face as usize] == Side::Rim).collect();
    let most = maths::cos(CREASE_DEG.to_radians());
    while let Some(face) = reached.pop() {
        for (next, meet) in neighbours.around(face) {
            if sides[next as usize] != Side::Rim && candidate[next as usize] && f64::from(meet.cosine) > most {
                sides[next as usize] = Side::Rim;
                reached.push(next);
            }
        }
    }
}

/// Mean angle in radians between a facet and the side opposite; infinite where nothing is opposite.
fn gap_angle(mesh: &Mesh, corners: &CornerNormals, walls: &Walls, face: FaceId) -> f64 {
    let rays = walls.of_face(face).iter().filter(|ray| ray.wall);
    let (mut sum, mut count) = (0.0, 0.0);
    for ray in rays {
        sum += opening(mesh, corners, ray);
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { f64::INFINITY }
}

/// Angle between the CAD surfaces at both ends of a ray, in radians.
fn opening(mesh: &Mesh, corners: &CornerNormals, ray: &WallRay) -> f64 {
    let start = ray.start(mesh);
    let end = start - mesh.normal(ray.face) * ray.distance_mm;
    let [here, there]: [Vector; 2] =
        [normal_at(mesh, corners, ray.face, &start), normal_at(mesh, corners, ray.met, &end)];
    maths::atan2(here.cross(&there).norm(), -here.dot(&there))
}

/// Facets that bend away from their opposite side at one of their edges, and those in one flat with them.
fn candidates(neighbours: &Neighbours, gaps: &[f64]) -> Vec<bool> {
    let turn = |meet: &Meet| maths::acos_clamped(f64::from(meet.cosine));
    let (least, most) = (BENDS_DEG.to_radians(), CREASE_DEG.to_radians());
    let mut candidate = vec![false; gaps.len()];
    let mut reached = Vec::new();
    for meet in &neighbours.meets {
        let turn = turn(meet);
        let [one, other] = meet.faces;
        if turn < least || turn > most {
            continue;
        }
        let (gap, other_gap) = (gaps[one as usize], gaps[other as usize]);
        let neither_opposed = gap.is_infinite() && other_gap.is_infinite();
        for (wider, opens) in [(one, gap - other_gap), (other, other_gap - gap)] {
            if (neither_opposed || opens >= OPENS * turn) && !candidate[wider as usize] {
                candidate[wider as usize] = true;
                reached.push(wider);
            }
        }
    }
    while let Some(face) = reached.pop() {
        for (next, meet) in neighbours.around(face) {
            if !candidate[next as usize] && turn(meet) < least {
                candidate[next as usize] = true;
                reached.push(next);
            }
        }
    }
    candidate
}
