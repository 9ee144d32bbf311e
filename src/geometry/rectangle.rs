//! The least rectangle round points of a plane, whichever way it lies.

/// Extents of the rectangle of least area that holds all points, the lesser first; in the points' own unit, zeros without points.
///
/// One side of it lies along a side of the points' convex hull (Freeman and Shapira, 1975).
#[must_use]
pub fn least_extents(points: &[[f64; 2]]) -> [f64; 2] {
    let hull = convex_hull(points);
    let extents_along = |number: usize| {
        let ([ax, ay], [bx, by]) = (hull[number], hull[(number + 1) % hull.len()]);
        let length = ((bx - ax) * (bx - ax) + (by - ay) * (by - ay)).sqrt();
        if length <= 0.0 {
            return [0.0, 0.0];
        }
        let (cos, sin) = ((bx - ax) / length, (by - ay) / length);
        let extent = |along: &dyn Fn([f64; 2]) -> f64| {
            let all = hull.iter().map(|&point| along(point));
            let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
            high - low
        };
        let [one, other] = [extent(&|[x, y]| x * cos + y * sin), extent(&|[x, y]| y * cos - x * sin)];
        [one.min(other), one.max(other)]
    };
    let area = |[one, other]: &[f64; 2]| one * other;
    (0..hull.len())
        .map(extents_along)
        .min_by(|a, b| area(a).total_cmp(&area(b)).then(a[1].total_cmp(&b[1])))
        .unwrap_or_default()
}

/// The convex hull, anticlockwise, without points on its sides (Andrew, 1979).
fn convex_hull(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let turns_left = |[ax, ay]: [f64; 2], [bx, by]: [f64; 2], [cx, cy]: [f64; 2]| {
        (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0.0
    };
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while chain.len() > 1 && !turns_left(chain[chain.len() - 2], chain[chain.len() - 1], point) {
                chain.pop();
            }
            chain.push(point);
        }
        // The last point begins the other chain.
        chain.pop();
        chain
    };
    let mut hull = chain(&mut sorted.iter().copied());
    hull.extend(chain(&mut sorted.iter().rev().copied()));
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
            let [width, length] = least_extents(&points);
            assert!((width - 25.0).abs() < 1e-8 && (length - 240.0).abs() < 1e-8, "{turn_deg}: {width} {length}");
        }
    }

    #[test]
    fn points_on_a_line_one_point_and_none_have_no_width() {
        let near = |found: [f64; 2], wanted: [f64; 2]| {
            (found[0] - wanted[0]).abs() < 1e-12 && (found[1] - wanted[1]).abs() < 1e-12
        };
        assert!(near(least_extents(&[[0.0, 0.0], [3.0, 4.0], [6.0, 8.0]]), [0.0, 10.0]));
        assert_eq!(least_extents(&[[1.0, 2.0]]), [0.0, 0.0]);
        assert_eq!(least_extents(&[]), [0.0, 0.0]);
    }

    #[test]
    fn a_regular_hexagon_lies_along_its_sides() {
        let hexagon: Vec<[f64; 2]> = (0..6).map(|k| sin_cos((f64::from(k) * 60.0).to_radians()).into()).collect();
        let [width, length] = least_extents(&hexagon);
        // Between flats by across corners.
        assert!((width - 3f64.sqrt()).abs() < 1e-12 && (length - 2.0).abs() < 1e-12, "{width} {length}");
    }
}
