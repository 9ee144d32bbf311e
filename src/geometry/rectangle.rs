//! The least rectangle round points of a plane, whichever way it lies.

use crate::maths::{atan2, sin_cos};

/// A rectangle of least area round points.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rectangle {
    /// Angle of one of its sides from the first axis, in radians.
    pub angle: f64,
    /// Its extents, the lesser first, in the points' own unit; zeros without points.
    pub extents: [f64; 2],
}

/// The rectangle of least area that holds all points. One of its sides lies along a side of the points' convex hull (Freeman and
/// Shapira, 1975). Of rectangles alike within a millionth the first is taken.
#[must_use]
pub fn least_rectangle(points: Vec<[f64; 2]>) -> Rectangle {
    let hull = hull(points);
    let (mut least_area, mut best) = (f64::INFINITY, Rectangle::default());
    for (number, from) in hull.iter().enumerate() {
        let to = hull[(number + 1) % hull.len()];
        let angle = atan2(to[1] - from[1], to[0] - from[0]);
        let (sin, cos) = sin_cos(angle);
        let extent = |along: &dyn Fn(&[f64; 2]) -> f64| {
            let (least, most) = hull
                .iter()
                .map(along)
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), x| (least.min(x), most.max(x)));
            most - least
        };
        let (one, other) = (extent(&|p| p[0] * cos + p[1] * sin), extent(&|p| p[1] * cos - p[0] * sin));
        if one * other < least_area * (1.0 - 1e-6) {
            (least_area, best) = (one * other, Rectangle { angle, extents: [one.min(other), one.max(other)] });
        }
    }
    best
}

/// Convex hull, anticlockwise, by Andrew's monotone chain.
fn hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let turn = |o: [f64; 2], a: [f64; 2], b: [f64; 2]| (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
    let half = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while chain.len() > 1 && turn(chain[chain.len() - 2], chain[chain.len() - 1], point) <= 0.0 {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::maths::sin_cos;

    #[test]
    fn a_rectangle_that_lies_askew_has_its_own_extents() {
        for turn_deg in [0.0f64, 17.0, 45.0, 90.0, 133.0] {
            let (sin, cos) = sin_cos(turn_deg.to_radians());
            let corner = |x: f64, y: f64| [x * cos - y * sin + 1e4, x * sin + y * cos];
            let points: Vec<[f64; 2]> =
                [(0.0, 0.0), (240.0, 0.0), (240.0, 25.0), (0.0, 25.0), (120.0, 12.0), (120.0, 0.0)]
                    .map(|(x, y)| corner(x, y))
                    .to_vec();
            let [width, length] = least_rectangle(points).extents;
            assert!((width - 25.0).abs() < 1e-8 && (length - 240.0).abs() < 1e-8, "{turn_deg}: {width} {length}");
        }
    }

    #[test]
    fn points_on_a_line_one_point_and_none_have_no_width() {
        let near = |found: [f64; 2], wanted: [f64; 2]| {
            (found[0] - wanted[0]).abs() < 1e-12 && (found[1] - wanted[1]).abs() < 1e-12
        };
        assert!(near(least_rectangle(vec![[0.0, 0.0], [3.0, 4.0], [6.0, 8.0]]).extents, [0.0, 10.0]));
        assert_eq!(least_rectangle(vec![[1.0, 2.0]]).extents, [0.0, 0.0]);
        assert_eq!(least_rectangle(Vec::new()).extents, [0.0, 0.0]);
    }

    #[test]
    fn a_regular_hexagon_lies_along_its_sides() {
        let hexagon: Vec<[f64; 2]> = (0..6).map(|k| sin_cos((f64::from(k) * 60.0).to_radians()).into()).collect();
        let [width, length] = least_rectangle(hexagon).extents;
        // Between flats by across corners.
        assert!((width - 3f64.sqrt()).abs() < 1e-12 && (length - 2.0).abs() < 1e-12, "{width} {length}");
    }
}
