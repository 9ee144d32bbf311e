//! Flanges: flat strips that stand out from a line.

use super::super::mesh::{Point, Vector};
use super::turning::{joint_angles_rad, thinned, turning_of};
use crate::maths::tan;
use crate::units::m2_from_mm2;

/// A flange of even width along a line.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct FlangeArea {
    /// Its area, rounded where the line bends away from it (a fan), mitred where the line bends towards it.
    pub area_m2: f64,
    /// Length of the line, which is the root of the flange.
    pub root_length_mm: f64,
    /// How far the line turns, positive where the flange gains (round an outside), negative where it lacks (round a hole).
    pub turning_rad: f64,
    /// By how much the free edge is longer than the root, width times turning; negative: shorter.
    pub edge_gain_mm: f64,
    /// Length of the root along which the flange is wider than the line's radius: it would run into itself there, and only
    /// the area that there is room for is counted.
    pub pinched_mm: f64,
}

/// Chords of the line shorter than this share of the width do not take part in its bends. Larger: small bends are cut off;
/// smaller: jumps across cracks and slivers turn the line to and fro.
const LEAST_CHORD: f64 = 0.01;

/// A flange of `width_mm` on the right of a line, in the plane square to `unit_normal`, seen with the normal towards the
/// viewer. The border loops of a piece run with the piece on their left; those of an opening run clockwise, with the
/// opening on their right. A closed line repeats its first point.
///
/// Area = width x length + turning x width^2 / 2 where the line bends away from the flange (a sector at every joint), less
/// width^2 tan(angle / 2) at joints that bend towards it, each chord's strip never less than the triangle that fits.
///
/// # Source
/// Own derivation: area of the offset strip of a polygon. On a circle it tends to the ring, pi ((r + w)^2 - r^2), and on the
/// inside of a circle that is smaller than the width to the whole disc.
#[must_use]
pub fn flange(line_mm: &[Point], closed: bool, unit_normal: &Vector, width_mm: f64) -> FlangeArea {
    strip_beside(line_mm, closed, &|_| *unit_normal, width_mm)
}

/// A flange of `width_mm` that stands square out of a skin along its border: its plane holds the line and the skin's
/// outward normal, of which `outward` gives the one nearest to a point. Along a straight border, or round a flat panel, it
/// is a plain upstand, length x width; round the end of a tube it is a ring.
#[must_use]
pub fn upstand(line_mm: &[Point], closed: bool, outward: &dyn Fn(&Point) -> Vector, width_mm: f64) -> FlangeArea {
    let normal = |[a, b, c]: [Point; 3]| {
        let out = outward(&nalgebra::center(&a, &b)) + outward(&nalgebra::center(&b, &c));
        let along = unit(b - a) + unit(c - b);
        // The flange lies to the right of the line as seen along this normal.
        unit(out.cross(&along))
    };
    strip_beside(line_mm, closed, &normal, width_mm)
}

fn unit(vector: Vector) -> Vector {
    vector.try_normalize(0.0).unwrap_or_else(Vector::zeros)
}

fn strip_beside(line_mm: &[Point], closed: bool, normal: &dyn Fn([Point; 3]) -> Vector, width_mm: f64) -> FlangeArea {
    let root_length_mm = length_mm(line_mm);
    let points = thinned(line_mm, closed, LEAST_CHORD * width_mm);
    let kinks = joint_angles_rad(&points, closed, normal);
    let chords = chords_of(&points, closed, &kinks);
    let strips = chords.iter().map(|chord| chord.strip(width_mm));
    let (strips_mm2, pinched_mm) =
        strips.fold((0.0, 0.0), |(area, pinched), strip| (area + strip.0, pinched + strip.1));
    let turns = turning_of(&points, closed, &kinks);
    // Thinning shortens the line a little; the strips are scaled back to the whole root.
    let thinned_mm: f64 = chords.iter().map(|chord| chord.length_mm).sum();
    let scale = if thinned_mm > 0.0 { root_length_mm / thinned_mm } else { 0.0 };
    FlangeArea {
        area_m2: m2_from_mm2(strips_mm2 * scale + 0.5 * turns.left_rad * width_mm * width_mm),
        root_length_mm,
        turning_rad: turns.net_rad(),
        edge_gain_mm: width_mm * turns.net_rad(),
        pinched_mm,
    }
}

/// Area in m2 of a band like [`flange`], but with square corners where the line bends away from it: how cloth runs past an
/// edge, since it is not cut round. At a joint of angle a the corner holds width^2 tan(a / 2) in place of the sector.
///
/// # Source
/// Own derivation: the kite between two tangents.
#[must_use]
pub fn square_band_m2(line_mm: &[Point], closed: bool, unit_normal: &Vector, width_mm: f64) -> f64 {
    // Past this a mitre runs far out into the air; cloth is folded or cut there.
    const MOST_RAD: f64 = 2.0;
    let points = thinned(line_mm, closed, LEAST_CHORD * width_mm);
    let gained: f64 = joint_angles_rad(&points, closed, &|_| *unit_normal)
        .into_iter()
        .filter(|&angle_rad| angle_rad > 0.0)
        .map(|angle_rad| tan(0.5 * angle_rad.min(MOST_RAD)) - 0.5 * angle_rad.min(MOST_RAD))
        .sum();
    flange(line_mm, closed, unit_normal, width_mm).area_m2 + m2_from_mm2(gained * width_mm * width_mm)
}

/// Length of a line through points.
#[must_use]
pub fn length_mm(line_mm: &[Point]) -> f64 {
    line_mm.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum()
}

struct Chord {
    length_mm: f64,
    /// Tangent of half the angle at either end where the line bends towards the flange, summed.
    lean: f64,
}

impl Chord {
    /// Area of the strip beside it, in mm2, and its length if the strip narrows to nothing within the width.
    fn strip(&self, width_mm: f64) -> (f64, f64) {
        if self.lean * width_mm > self.length_mm {
            (0.5 * self.length_mm * self.length_mm / self.lean, self.length_mm)
        } else {
            (width_mm * self.length_mm - 0.5 * self.lean * width_mm * width_mm, 0.0)
        }
    }
}

fn chords_of(points: &[Point], closed: bool, kinks: &[f64]) -> Vec<Chord> {
    let n = points.len();
    if n < 2 {
        return Vec::new();
    }
    // A joint that folds back on itself has no mitre; a right angle and a half stands for it.
    let lean_at =
        |joint: Option<&f64>| joint.map_or(0.0, |&kink| if kink < 0.0 { tan(0.5 * (-kink).min(2.4)) } else { 0.0 });
    let n_chords = if closed { n } else { n - 1 };
    (0..n_chords)
        .map(|k| {
            // Joint k lies between chords k and k + 1.
            let before = if k > 0 {
                kinks.get(k - 1)
            } else if closed {
                kinks.last()
            } else {
                None
            };
            Chord { length_mm: (points[(k + 1) % n] - points[k]).norm(), lean: lean_at(before) + lean_at(kinks.get(k)) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::maths::{cos, sin};

    fn circle(radius_mm: f64, n: usize, share: f64) -> Vec<Point> {
        let at = |k: usize| TAU * share * k as f64 / n as f64;
        (0..=n).map(|k| Point::new(radius_mm * cos(at(k)), radius_mm * sin(at(k)), 3.0)).collect()
    }

    fn rectangle(x_mm: f64, y_mm: f64) -> Vec<Point> {
        [[0.0, 0.0], [x_mm, 0.0], [x_mm, y_mm], [0.0, y_mm], [0.0, 0.0]].map(|[x, y]| Point::new(x, y, 0.0)).to_vec()
    }

    fn near(value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{value} for {expected}");
    }

    /// Source: hand calculation of a tray 1200 x 800 with a 75 mm flange round its edge: 0.31767 m2 with rounded corners.
    #[test]
    fn the_flange_round_a_tray_has_rounded_corners() {
        let flange = flange(&rectangle(1200.0, 800.0), true, &Vector::z(), 75.0);
        near(flange.area_m2, 0.31767, 5e-6);
        near(flange.root_length_mm, 4000.0, 1e-9);
        near(flange.turning_rad, TAU, 1e-9);
        assert_eq!(flange.pinched_mm, 0.0);
    }

    /// Source: hand calculation of a tube 400 across in two halves: end flanges 0.111919 m2 in all (two half-rings 200/275),
    /// and seen from the laid side 235.6 mm are lacking at the edge if the flange turns inwards.
    #[test]
    fn the_end_flanges_of_half_a_tube_are_half_rings() {
        let half = circle(200.0, 400, 0.5);
        let ring = flange(&half, false, &Vector::z(), 75.0);
        near(2.0 * ring.area_m2, 0.111919, 5e-6);
        near(ring.edge_gain_mm, 235.6, 0.05);
        near(flange(&half, false, &-Vector::z(), 75.0).edge_gain_mm, -235.6, 0.05);
        // Coarse chords: the missing half joints at the ends are made good, what is left is the chords' own error.
        near(2.0 * flange(&circle(200.0, 24, 0.5), false, &Vector::z(), 75.0).area_m2, 0.111919, 1e-4);
    }

    /// Source: area of a ring, pi (R^2 - r^2).
    #[test]
    fn a_flange_round_a_circular_hole_is_a_ring() {
        let hole = circle(150.0, 720, 1.0);
        near(
            flange(&hole, true, &-Vector::z(), 40.0).area_m2,
            1e-6 * PI * (150.0_f64.powi(2) - 110.0_f64.powi(2)),
            1e-6,
        );
        near(
            flange(&hole, true, &Vector::z(), 40.0).area_m2,
            1e-6 * PI * (190.0_f64.powi(2) - 150.0_f64.powi(2)),
            1e-6,
        );
    }

    /// Source: area of a disc.
    #[test]
    fn a_flange_wider_than_the_hole_fills_it_and_says_so() {
        let hole = circle(30.0, 360, 1.0);
        let flange = flange(&hole, true, &-Vector::z(), 40.0);
        near(flange.area_m2, 1e-6 * PI * 900.0, 1e-6);
        near(flange.pinched_mm, flange.root_length_mm, 1e-6);
    }

    /// Source: plane geometry; a square frame inside a rectangle.
    #[test]
    fn a_flange_into_a_rectangular_hole_is_mitred() {
        let flange = flange(&rectangle(600.0, 900.0), true, &-Vector::z(), 25.0);
        near(flange.area_m2, 1e-6 * (600.0 * 900.0 - 550.0 * 850.0), 1e-12);
    }

    #[test]
    fn a_flange_along_nothing_has_no_area() {
        assert_eq!(flange(&[], false, &Vector::z(), 75.0), FlangeArea::default());
        assert_eq!(flange(&[Point::origin()], false, &Vector::z(), 75.0).area_m2, 0.0);
    }
}
