//! How far a line turns.

use super::super::mesh::{Point, Vector};
use crate::maths::atan2;

/// How far a line turns about a normal: positive where it bends to the left, seen with the normal towards the viewer.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Turning {
    /// Sum of what bends to the left.
    pub left_rad: f64,
    /// Sum of what bends to the right, positive.
    pub right_rad: f64,
}

impl Turning {
    /// Left less right.
    #[must_use]
    pub fn net_rad(&self) -> f64 {
        self.left_rad - self.right_rad
    }
}

/// A joint that turns more than this is a corner, not part of an arc of which the end is to be completed.
const ARC_MOST_KINK_RAD: f64 = 0.6;
/// The turns at neighbouring joints of one arc differ by at most this factor; the last facet of an arc may be cut.
const ARC_MOST_RATIO: f64 = 2.5;

/// Turning of a line in the plane square to `normal`, by the angles at its joints.
///
/// The first and last chord of an open arc lie half a joint short of its tangents; that half is added where the joints next
/// to the end show an arc (half a circle of 24 chords reads pi, not pi less 4 %). Points nearer together than `least_mm` are
/// skipped: a jump across a crack is no bend.
#[must_use]
pub fn turning(line_mm: &[Point], closed: bool, normal: &Vector, least_mm: f64) -> Turning {
    let points = thinned(line_mm, closed, least_mm);
    let kinks = joint_angles_rad(&points, closed, &|_| *normal);
    turning_of(&points, closed, &kinks)
}

/// Turning by the angles at the joints of a thinned line, the halves at open ends added.
pub(super) fn turning_of(points: &[Point], closed: bool, kinks: &[f64]) -> Turning {
    let mut turning = Turning::default();
    let mut add = |angle: f64| if angle > 0.0 { turning.left_rad += angle } else { turning.right_rad -= angle };
    kinks.iter().copied().for_each(&mut add);
    if !closed {
        let lengths: Vec<f64> = points.windows(2).map(|pair| (pair[1] - pair[0]).norm()).collect();
        add(missing_at_end_rad(kinks.iter().copied(), lengths.iter().copied()));
        add(missing_at_end_rad(kinks.iter().rev().copied(), lengths.iter().rev().copied()));
    }
    turning
}

/// The points of a line less those that follow too closely; the last of an open line stays. A closed line's last point,
/// which repeats its first, is left out.
pub(super) fn thinned(line_mm: &[Point], closed: bool, least_mm: f64) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::with_capacity(line_mm.len());
    for point in line_mm {
        let far = kept.last().is_none_or(|last| (point - last).norm() > least_mm);
        if far {
            kept.push(*point);
        }
    }
    if closed {
        while kept.len() > 1 && (kept[kept.len() - 1] - kept[0]).norm() <= least_mm {
            kept.pop();
        }
    } else if let (Some(last), Some(end)) = (kept.last_mut(), line_mm.last()) {
        *last = *end;
    }
    kept
}

/// The signed angle at each joint: of an open line at its inner points, of a closed one at every point, from the second.
/// `normal` is asked for the unit normal of the plane in which a joint's angle is seen, by the three points of the joint.
pub(super) fn joint_angles_rad(points: &[Point], closed: bool, normal: &dyn Fn([Point; 3]) -> Vector) -> Vec<f64> {
    let n = points.len();
    if n < 3 {
        return Vec::new();
    }
    let n_joints = if closed { n } else { n - 2 };
    (0..n_joints)
        .map(|k| {
            let joint = [points[k % n], points[(k + 1) % n], points[(k + 2) % n]];
            let normal = normal(joint);
            let flat = |along: Vector| along - normal * along.dot(&normal);
            let (before, after) = (flat(joint[1] - joint[0]), flat(joint[2] - joint[1]));
            atan2(before.cross(&after).dot(&normal), before.dot(&after))
        })
        .collect()
}

/// What an arc turns between the middle of its last full chord and its end, beyond what its last joint says.
fn missing_at_end_rad(mut kinks: impl Iterator<Item = f64>, mut lengths: impl Iterator<Item = f64>) -> f64 {
    let (Some(kink), Some(next)) = (kinks.next(), kinks.next()) else { return 0.0 };
    let (Some(last), Some(before)) = (lengths.next(), lengths.next()) else { return 0.0 };
    let ratio = if next == 0.0 { 0.0 } else { kink / next };
    let is_arc = kink.abs() < ARC_MOST_KINK_RAD && (1.0 / ARC_MOST_RATIO..=ARC_MOST_RATIO).contains(&ratio);
    if !is_arc || last > 2.0 * before {
        return 0.0;
    }
    kink * ((last / before).min(1.0) - 0.5)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    use super::*;
    use crate::maths::{cos, sin};

    fn arc(n: usize, angle_rad: f64) -> Vec<Point> {
        let at = |k: usize| angle_rad * k as f64 / n as f64;
        (0..=n).map(|k| Point::new(50.0 * cos(at(k)), 50.0 * sin(at(k)), 7.0)).collect()
    }

    #[test]
    fn a_coarse_half_circle_turns_by_half_a_turn_and_a_whole_one_by_a_whole() {
        assert!((turning(&arc(9, PI), false, &Vector::z(), 0.01).net_rad() - PI).abs() < 1e-9);
        assert!((turning(&arc(9, TAU), true, &Vector::z(), 0.01).net_rad() - TAU).abs() < 1e-9);
        let below = turning(&arc(9, PI), false, &-Vector::z(), 0.01);
        assert!((below.right_rad - PI).abs() < 1e-9 && below.left_rad == 0.0);
    }

    #[test]
    fn an_arc_whose_last_chord_is_cut_in_half_turns_by_what_is_left() {
        let mut points = arc(10, PI);
        let n = points.len();
        points[n - 1] = nalgebra::center(&points[n - 2], &points[n - 1]);
        assert!((turning(&points, false, &Vector::z(), 0.01).net_rad() - 0.95 * PI).abs() < 1e-9);
    }

    #[test]
    fn a_bend_between_straights_turns_by_itself_alone() {
        let points = [[0.0, 0.0], [40.0, 0.0], [40.0, 30.0]].map(|[x, y]| Point::new(x, y, 0.0));
        assert!((turning(&points, false, &Vector::z(), 0.01).net_rad() - FRAC_PI_2).abs() < 1e-12);
    }

    #[test]
    fn a_jump_across_a_crack_is_no_bend() {
        let points = [[0.0, 0.0], [40.0, 0.0], [40.0, 0.3], [80.0, 0.3]].map(|[x, y]| Point::new(x, y, 0.0));
        let turning = turning(&points, false, &Vector::z(), 0.5);
        assert!(turning.left_rad + turning.right_rad < 0.02, "{turning:?}");
    }
}
