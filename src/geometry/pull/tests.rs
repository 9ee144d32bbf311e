//! Shapes with a known release.

use rayon::prelude::*;

use super::*;
use crate::geometry::mesh::{Mesh, Point};
use crate::geometry::skin::shapes as solids;
use crate::geometry::split::shapes::{grid, turned, welded};
use crate::geometry::stitch::Surface;
use crate::maths::{acos_clamped, cos, sin_cos, tan};

/// A profile in radius and height turned about z, in `n` steps; the outward side is to the right of the profile's way.
pub(super) fn revolved(profile: &[[f64; 2]], n: usize) -> Mesh {
    let at = |k: usize, [radius, z]: [f64; 2]| {
        let (sin, cos) = sin_cos(std::f64::consts::TAU * (k % n) as f64 / n as f64);
        Point::new(radius * cos, radius * sin, z)
    };
    let mut triangles = Vec::new();
    for pair in profile.windows(2) {
        for k in 0..n {
            let [a, b, c, d] = [at(k, pair[0]), at(k, pair[1]), at(k + 1, pair[1]), at(k + 1, pair[0])];
            triangles
                .extend([[a, b, c], [a, c, d]].into_iter().filter(|[p, q, r]| (q - p).cross(&(r - p)).norm() > 1e-9));
        }
    }
    welded(&triangles)
}

/// A plug: level top, round shoulder of `radius_mm`, wall that leans out by `draft_deg`, down by `height_mm`.
pub(super) fn plug(top_mm: f64, radius_mm: f64, draft_deg: f64, height_mm: f64, n_arc: usize) -> Vec<[f64; 2]> {
    let mut profile = vec![[0.0, 0.0], [top_mm, 0.0]];
    let turn_deg = 90.0 - draft_deg;
    for k in 1..=n_arc {
        let (sin, cos) = sin_cos((turn_deg * k as f64 / n_arc as f64).to_radians());
        profile.push([top_mm + radius_mm * sin, -radius_mm * (1.0 - cos)]);
    }
    let [radius, z] = profile[profile.len() - 1];
    profile.push([radius + height_mm * tan(draft_deg.to_radians()), z - height_mm]);
    profile
}

fn pulled(mesh: &Mesh) -> Pull {
    let surface = Surface::stitched(mesh);
    pull(&Face::of(&surface), &PullOptions::default()).expect("the shape has area")
}

fn off_deg(one: &Vector, other: &Vector) -> f64 {
    acos_clamped(one.dot(other)).to_degrees()
}

#[test]
fn a_plug_with_drawn_draft_comes_off_along_its_axis_with_that_draft() {
    for draft_deg in [1.5, 3.0, 5.0] {
        for n_arc in [2, 3, 12] {
            let mesh = revolved(&plug(60.0, 8.0, draft_deg, 40.0, n_arc), 72);
            let found = pulled(&mesh);
            assert!(off_deg(&found.direction, &Vector::z()) < 0.1, "{draft_deg} {n_arc}: {}", found.direction);
            assert!((found.least_draft_deg - draft_deg).abs() < 0.05, "{draft_deg} {n_arc}: {}", found.least_draft_deg);
            assert!(found.releases && found.undercuts.is_empty() && found.blocking.is_empty());
            assert_eq!(found.undercut.by_facets_m2, 0.0);
            assert!(found.hidden_m2 == 0.0, "{}", found.hidden_m2);
        }
    }
}

#[test]
fn a_wall_with_just_the_draft_wanted_is_not_short_of_it() {
    let walls = |draft_deg: f64| {
        let mesh = revolved(&plug(60.0, 8.0, draft_deg, 40.0, 3), 72);
        (pulled(&mesh).undercut.under_wanted_m2, mesh.area_m2())
    };
    let (short_m2, _) = walls(3.0);
    assert!(short_m2 < 1e-9, "{short_m2}");
    let (short_m2, area_m2) = walls(2.0);
    // The frustum below the shoulder, and the degree of the shoulder that leans less than the 2.95 told apart.
    let slant_mm = 40.0 / cos(2f64.to_radians());
    let wall_m2 = std::f64::consts::PI * (2.0 * 68.0 + 40.0 * tan(2f64.to_radians())) * slant_mm * 1e-6;
    assert!((short_m2 - wall_m2).abs() < 0.02 * area_m2, "{short_m2} for {wall_m2}");
    assert!(short_m2 > 0.97 * wall_m2);
}

#[test]
fn a_turned_tray_comes_off_along_its_turned_axis() {
    let angle = 17f64.to_radians();
    let mesh = turned(revolved(&plug(60.0, 6.0, 3.0, 30.0, 3), 60), angle, [310.0, -40.0, 77.0]);
    let found = pulled(&mesh);
    let ends = Mesh { points_mm: vec![Point::origin(), Point::new(0.0, 0.0, 1.0)], faces: Vec::new() };
    let ends = turned(ends, angle, [310.0, -40.0, 77.0]);
    let axis = ends.points_mm[1] - ends.points_mm[0];
    assert!(off_deg(&found.direction, &axis) < 0.1, "{} for {axis}", found.direction);
    assert!((found.least_draft_deg - 3.0).abs() < 0.05, "{}", found.least_draft_deg);
}

#[test]
fn vertical_walls_all_round_come_off_straight_up_without_draft() {
    let mesh = revolved(&plug(60.0, 6.0, 0.0, 30.0, 3), 60);
    let found = pulled(&mesh);
    assert!(off_deg(&found.direction, &Vector::z()) < 0.1, "{}", found.direction);
    assert!(found.least_draft_deg.abs() < 0.05 && found.releases, "{}", found.least_draft_deg);
}

#[test]
fn a_plug_whose_walls_lean_in_all_round_is_judged_along_its_opening() {
    let mesh = revolved(&plug(60.0, 8.0, -3.0, 40.0, 6), 72);
    let found = pulled(&mesh);
    assert!(!found.releases && off_deg(&found.direction, &Vector::z()) < 1.0, "{}", found.direction);
    assert!((found.least_draft_deg + 3.0).abs() < 0.1, "{}", found.least_draft_deg);
    // The wall reaches 40 mm x tan 3 degrees under itself, all round.
    assert_eq!(found.undercuts.iter().filter(|patch| !patch.noise).count(), 1);
}

#[test]
fn a_lip_locks_by_its_own_area() {
    // Wall with 4 degrees draft that turns inwards under itself by a rounded lip of 6 mm to a level ring 10 mm wide.
    let mut profile = plug(50.0, 5.0, 4.0, 60.0, 16);
    let [radius, z] = profile[profile.len() - 1];
    let (sin4, cos4) = sin_cos(4f64.to_radians());
    let centre = [radius - 6.0 * cos4, z - 6.0 * sin4];
    let n_arc = 4;
    for k in 1..=n_arc {
        let (sin, cos) = sin_cos((4.0 - 94.0 * f64::from(k) / f64::from(n_arc)).to_radians());
        profile.push([centre[0] + 6.0 * cos, centre[1] + 6.0 * sin]);
    }
    let [ring, low] = profile[profile.len() - 1];
    profile.push([ring - 10.0, low]);
    let found = pulled(&revolved(&profile, 40));
    assert!(!found.releases && off_deg(&found.direction, &Vector::z()) < 4.0, "{}", found.direction);
    // Truth: a quarter of a torus below its equator, and the ring.
    let pi = std::f64::consts::PI;
    let quarter = 2.0 * pi * 6.0 * (0.5 * pi * centre[0] + 6.0);
    let truth_m2 = (quarter + pi * (ring * ring - (ring - 10.0) * (ring - 10.0))) * 1e-6;
    let surface_mesh = revolved(&profile, 40);
    let surface = Surface::stitched(&surface_mesh);
    let along = PullOptions { along: Some(Vector::z()), ..PullOptions::default() };
    let straight = pull(&Face::of(&surface), &along).expect("it has area");
    assert!(
        (straight.undercut.clipped_m2 / truth_m2 - 1.0).abs() < 0.002,
        "{} {truth_m2}",
        straight.undercut.clipped_m2
    );
    assert!(straight.undercut.by_facets_m2 > straight.undercut.clipped_m2, "whole strips count by facets");
    assert_eq!(straight.undercuts.len(), 1);
    assert!((straight.hidden_m2 / straight.undercut.by_facets_m2 - 1.0).abs() < 0.02, "{}", straight.hidden_m2);
}

#[test]
fn a_closed_box_and_a_ball_of_240_degrees_come_off_nowhere() {
    let closed = pulled(&solids::turned(&solids::block(200.0, 300.0, 500.0)));
    assert!(!closed.releases && !closed.blocking.is_empty(), "{closed:?}");
    let ball: Vec<[f64; 2]> = (0..=24)
        .map(|k| sin_cos((120.0 * f64::from(k) / 24.0f64).to_radians()))
        .map(|(sin, cos)| [50.0 * sin, 50.0 * cos])
        .collect();
    let found = pulled(&revolved(&ball, 72));
    assert!(!found.releases, "{found:?}");
    // From the equator down to 120 degrees: 2 pi R (R cos 60).
    let surface_mesh = revolved(&ball, 72);
    let surface = Surface::stitched(&surface_mesh);
    let along = PullOptions { along: Some(Vector::z()), ..PullOptions::default() };
    let straight = pull(&Face::of(&surface), &along).expect("it has area");
    let truth_m2 = std::f64::consts::TAU * 50.0 * 25.0 * 1e-6;
    assert!(
        (straight.undercut.clipped_m2 / truth_m2 - 1.0).abs() < 0.002,
        "{} {truth_m2}",
        straight.undercut.clipped_m2
    );
    assert!(found.undercut.by_facets_m2 <= 1.02 * straight.undercut.by_facets_m2);
}

#[test]
fn walls_that_stand_before_others_hide_them() {
    // A level mushroom: a wide cap over a stem; the stem stands along the pull, wholly in the cap's shade.
    let profile = [[0.0, 50.0], [80.0, 50.0], [80.0, 40.0], [20.0, 40.0], [20.0, 0.0]];
    let mesh = revolved(&profile, 90);
    let surface = Surface::stitched(&mesh);
    let along = PullOptions { along: Some(Vector::z()), ..PullOptions::default() };
    let found = pull(&Face::of(&surface), &along).expect("it has area");
    let ring_m2 = std::f64::consts::PI * (80.0 * 80.0 - 20.0 * 20.0) * 1e-6;
    let stem_m2 = std::f64::consts::TAU * 20.0 * 40.0 * 1e-6;
    assert!((found.undercut.by_facets_m2 / ring_m2 - 1.0).abs() < 0.005, "{}", found.undercut.by_facets_m2);
    assert!((found.hidden_m2 / (ring_m2 + stem_m2) - 1.0).abs() < 0.01, "{}", found.hidden_m2);
}

/// Random facets: a cone of normals about a random axis, with random areas, and now and then a speck that lies anywhere.
fn random_facing(seed: u64) -> Facing {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut random = move || {
        // xorshift64* (Marsaglia 2003, Vigna 2016).
        state ^= state >> 12;
        state ^= state << 25;
        state ^= state >> 27;
        (state.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    };
    let vector = |random: &mut dyn FnMut() -> f64| {
        Vector::new(random() - 0.5, random() - 0.5, random() - 0.5).try_normalize(1e-6).unwrap_or_else(Vector::z)
    };
    let axis = vector(&mut random);
    let spread = 0.2 + 1.4 * random();
    let n = 4 + (60.0 * random()) as usize;
    let member = |face: usize| {
        let speck = random() < 0.1;
        let normal = if speck { vector(&mut random) } else { (axis + vector(&mut random) * spread).normalize() };
        let weight_mm2 = if speck { 1e-5 * random() } else { 0.05 + random() };
        Member { normal, weight_mm2, face: face as FaceId }
    };
    Facing::new((0..n).map(member).collect())
}

#[test]
#[expect(clippy::print_stdout, reason = "the share left out is told with the result")]
fn the_best_direction_is_never_worse_than_a_one_degree_grid_on_a_thousand_random_faces() {
    // 41 253 square degrees on the sphere.
    let grid: Vec<Vector> = (0..41_253).map(|number| spread_direction(number, 41_253)).collect();
    let (mut worst, mut most_left_out, mut n_released) = (0.0f64, 0.0f64, 0);
    for seed in 1..=1000 {
        let facing = random_facing(seed);
        let found = best(&facing).expect("there are normals");
        let on_grid =
            grid.par_iter().map(|direction| facing.trimmed_sine(direction, LEFT_OUT_SHARE)).reduce(|| -1.0, f64::max);
        let below_mm2: f64 = (facing.normals.iter().zip(&facing.weights_mm2))
            .filter(|(normal, _)| normal.dot(&found.direction) < found.least_sine)
            .map(|(_, weight_mm2)| weight_mm2)
            .sum();
        most_left_out = most_left_out.max(below_mm2 / facing.whole_mm2);
        // Where nothing releases, how negative the least draft is does not matter: the least undercut decides.
        let (on_grid, own) = (on_grid.max(0.0), found.least_sine.max(0.0));
        n_released += usize::from(own > 0.0);
        worst = worst.max(on_grid - own);
        assert!(
            own >= on_grid - 1e-9,
            "case {seed}: {} deg found, {} deg on the grid",
            found.least_sine.asin_deg(),
            on_grid.asin_deg()
        );
    }
    assert!((300..1000).contains(&n_released), "both kinds are among them: {n_released}");
    // Both are scored by the draft that all but LEFT_OUT_SHARE of the area has.
    println!(
        "left out: {most_left_out:.1e} of the area at most, {LEFT_OUT_SHARE:.1e} allowed; the grid is better by {worst:.1e}"
    );
    assert!(0.0 < most_left_out && most_left_out <= LEFT_OUT_SHARE, "{most_left_out:.1e}");
    assert!(worst <= 1e-9, "share left out {LEFT_OUT_SHARE}; the grid is better by {worst:.1e} in sine");
}

trait AsinDeg {
    fn asin_deg(self) -> f64;
}

impl AsinDeg for f64 {
    fn asin_deg(self) -> f64 {
        crate::maths::asin_clamped(self).to_degrees()
    }
}

#[test]
fn a_bent_sheet_of_waves_without_draft_is_told_with_a_grid_of_its_own() {
    // Corrugated sheet: the best pull is square to it, whatever the waves.
    let mesh = grid([80, 10], [false, false], |u, v| {
        let (sin, _) = sin_cos(12.0 * u);
        Point::new(400.0 * u, 250.0 * v, 8.0 * sin)
    });
    let found = pulled(&mesh);
    assert!(found.direction.z.abs() > 0.99 && found.releases, "{:?}", found.direction);
}
