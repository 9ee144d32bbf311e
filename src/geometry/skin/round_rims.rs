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

// Facets of a flat that are looked at: a strip of a rounding has a few, a wall many; those of a wall would be asked in vain.
const MOST_OF_FLAT: usize = 24;

/// Moves the rounding of rims from the sides to the rim. Rays say how far the two sides are from parallel at each facet.
pub fn take_round_rims(
    mesh: &Mesh,
    corners: &CornerNormals,
    walls: &Walls,
    neighbours: &Neighbours,
    sides: &mut [Side],
) {
    let mut gaps = Gaps { mesh, corners, walls, known: vec![f32::NAN; sides.len()] };
    let mut reached: Vec<FaceId> =
        (0..sides.len() as FaceId).filter(|&face| sides[face as usize] == Side::Rim).collect();
    let most = maths::cos(CREASE_DEG.to_radians());
    while let Some(face) = reached.pop() {
        for (next, meet) in neighbours.around(face) {
            if sides[next as usize] != Side::Rim
                && f64::from(meet.cosine) > most
                && is_rounding(neighbours, &mut gaps, next)
            {
                sides[next as usize] = Side::Rim;
                reached.push(next);
            }
        }
    }
}

/// How far each facet is from parallel with the side opposite; reckoned where it is asked for.
struct Gaps<'a> {
    mesh: &'a Mesh,
    corners: &'a CornerNormals,
    walls: &'a Walls,
    known: Vec<f32>,
}

impl Gaps<'_> {
    fn at(&mut self, face: FaceId) -> f64 {
        if self.known[face as usize].is_nan() {
            self.known[face as usize] = gap_angle(self.mesh, self.corners, self.walls, face) as f32;
        }
        f64::from(self.known[face as usize])
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
    let end = start - mesh.normal(ray.face) * f64::from(ray.distance_mm);
    let [here, there]: [Vector; 2] =
        [normal_at(mesh, corners, ray.face, &start), normal_at(mesh, corners, ray.met, &end)];
    maths::atan2(here.cross(&there).norm(), -here.dot(&there))
}

/// True if a facet, or one in the same flat close by, bends away from its opposite side at one of its edges.
fn is_rounding(neighbours: &Neighbours, gaps: &mut Gaps, face: FaceId) -> bool {
    let least = maths::cos(BENDS_DEG.to_radians());
    let mut flat = vec![face];
    let mut next = 0;
    while let Some(&member) = flat.get(next) {
        next += 1;
        if bends_away(neighbours, gaps, member) {
            return true;
        }
        for (other, meet) in neighbours.around(member) {
            if f64::from(meet.cosine) > least && flat.len() < MOST_OF_FLAT && !flat.contains(&other) {
                flat.push(other);
            }
        }
    }
    false
}

fn bends_away(neighbours: &Neighbours, gaps: &mut Gaps, face: FaceId) -> bool {
    let gap = gaps.at(face);
    neighbours.around(face).any(|(other, meet)| {
        let turn = turn(meet);
        if turn < BENDS_DEG.to_radians() || turn > CREASE_DEG.to_radians() {
            return false;
        }
        let other_gap = gaps.at(other);
        (gap.is_infinite() && other_gap.is_infinite()) || gap - other_gap >= OPENS * turn
    })
}

fn turn(meet: &Meet) -> f64 {
    maths::acos_clamped(f64::from(meet.cosine))
}
