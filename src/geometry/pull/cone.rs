//! The direction of greatest least draft.

use rayon::prelude::*;

use super::facing::Facing;
use super::hull::nearest;
use crate::geometry::axes::{principal_axes, spread};
use crate::geometry::mesh::{FaceId, Vector};
use crate::maths::sin;
use crate::units::rad_from_deg;

/// Under so much draft a direction cannot be told from none: walls without draft all round leave the hull of their normals
/// through the origin, and what noise leaves of it points anywhere.
const NO_DRAFT_DEG: f64 = 0.05;
/// Normals that are square to a direction within this are walls without draft.
const WALL_DEG: f64 = 0.25;
/// Normals looked at by one thread at a time.
const CHUNK: usize = 1 << 14;

/// What a face says about its release.
#[derive(Debug, Clone, PartialEq)]
pub enum Cone {
    /// It comes off along this unit direction.
    Releases(Vector),
    /// It comes off along no direction: these facets, at most four, block one another.
    Blocked(Vec<FaceId>),
}

/// The direction along which the least draft is greatest, exactly: the hull of the normals comes nearest to the origin
/// there. Where it holds the origin, only directions square to all the normals that hold it are left, and the search goes
/// on among those without these normals; so walls without draft all round still give the direction of their edges.
///
/// Nothing for a face without area.
#[must_use]
pub fn cone(facing: &Facing) -> Option<Cone> {
    let (no_draft, wall) = (sin(rad_from_deg(NO_DRAFT_DEG)), sin(rad_from_deg(WALL_DEG)));
    let mut basis = vec![Vector::x(), Vector::y(), Vector::z()];
    if facing.is_empty() {
        return None;
    }
    // What is left of the normals, each with its number: all of them, as they are, to begin with.
    let mut left: Option<(Vec<usize>, Vec<Vector>)> = None;
    loop {
        let vectors = left.as_ref().map_or(&facing.normals, |(_, vectors)| vectors);
        let member = |number: usize| left.as_ref().map_or(number, |(members, _)| members[number]);
        let Some(found) = nearest(vectors) else {
            // Nothing but walls without draft: both ways are as good.
            return Some(Cone::Releases(upwards(basis[0])));
        };
        if found.point.norm() > no_draft {
            return Some(Cone::Releases(found.point.normalize()));
        }
        let blockers: Vec<FaceId> = found.support.iter().map(|&(number, _)| facing.faces[member(number)]).collect();
        let support = found.support.iter().map(|&(number, share)| (vectors[number], share));
        basis = square_to(support, &basis, wall * wall);
        if basis.is_empty() {
            return Some(Cone::Blocked(blockers));
        }
        let project = |vector: &Vector| basis.iter().map(|axis| axis * axis.dot(vector)).sum::<Vector>();
        let kept: Vec<(usize, Vector)> = (0..vectors.len())
            .into_par_iter()
            .with_min_len(CHUNK)
            .map(|number| (member(number), project(&facing.normals[member(number)])))
            .filter(|(_, within)| within.norm() >= wall)
            .collect();
        left = Some(kept.into_iter().unzip());
    }
}

/// The directions of a subspace that are square to all the given vectors, within the root of `least`.
fn square_to(vectors: impl Iterator<Item = (Vector, f64)>, basis: &[Vector], least: f64) -> Vec<Vector> {
    let within = |vector: Vector| {
        let mut own = Vector::zeros();
        basis.iter().enumerate().for_each(|(k, axis)| own[k] = axis.dot(&vector));
        own
    };
    let axes = principal_axes(spread(vectors.map(|(vector, share)| (within(vector), share))));
    let outside = |axis: &Vector| (basis.len()..3).map(|k| axis[k] * axis[k]).sum::<f64>();
    // In a smaller subspace the missing axes have eigenvalue 0 too; they are no directions of it.
    let free = axes.iter().filter(|axis| axis.value < least && outside(&axis.direction) < 0.5);
    free.map(|axis| basis.iter().enumerate().map(|(k, unit)| unit * axis.direction[k]).sum::<Vector>())
        .filter(|direction| direction.norm() > 0.5)
        .map(|direction| direction.normalize())
        .collect()
}

/// Of two opposite directions the one whose largest part is positive.
fn upwards(direction: Vector) -> Vector {
    let largest = direction[direction.abs().imax()];
    if largest < 0.0 { -direction } else { direction }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::pull::facing::Member;

    fn facing(normals: &[[f64; 3]]) -> Facing {
        let member = |(face, &normal): (usize, &[f64; 3])| Member {
            normal: Vector::from(normal).normalize(),
            weight_mm2: 1.0,
            face: face as FaceId,
        };
        Facing::new(normals.iter().enumerate().map(member).collect())
    }

    fn direction(normals: &[[f64; 3]]) -> Vector {
        match cone(&facing(normals)) {
            Some(Cone::Releases(direction)) => direction,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn vertical_walls_all_round_under_a_lid_come_off_straight_up() {
        let found = direction(&[[1., 0., 0.], [-1., 0., 0.], [0., 1., 0.], [0., -1., 0.], [0., 0., 1.]]);
        assert!((found - Vector::z()).norm() < 1e-9, "{found}");
    }

    #[test]
    fn a_tube_of_walls_alone_comes_off_along_itself() {
        let found = direction(&[[1., 0., 0.], [-1., 0., 0.], [0., 1., 0.], [0., -1., 0.]]);
        assert!((found - Vector::z()).norm() < 1e-9, "{found}");
    }

    #[test]
    fn two_opposed_walls_leave_the_best_of_a_plane() {
        // A channel: walls along x, a floor that leans 30 degrees towards y.
        let found = direction(&[[1., 0., 0.], [-1., 0., 0.], [0., 0.5, 0.75f64.sqrt()]]);
        assert!((found - Vector::new(0.0, 0.5, 0.75f64.sqrt())).norm() < 1e-9, "{found}");
    }

    #[test]
    fn a_closed_box_is_blocked_by_two_opposed_faces() {
        let box_normals = [[1., 0., 0.], [-1., 0., 0.], [0., 1., 0.], [0., -1., 0.], [0., 0., 1.], [0., 0., -1.]];
        let Some(Cone::Blocked(faces)) = cone(&facing(&box_normals)) else { panic!("a closed box comes off nowhere") };
        assert_eq!(faces.len(), 2);
        assert_eq!(faces[0] / 2, faces[1] / 2, "opposed faces: {faces:?}");
        assert!(cone(&Facing::default()).is_none());
    }
}
