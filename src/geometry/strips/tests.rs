use std::f64::consts::{PI, TAU};

use super::super::mesh::Vector;
use super::super::refine::{Refined, cut_by_plane};
use super::super::split::Plane;
use super::super::split::shapes::{cuboid, grid, plate, steps, together, torus, tube, turned};
use super::super::stitch::Surface;
use super::*;
use crate::maths::{cos, hypot, sin, sin_cos};

fn refined(mesh: &Mesh) -> Refined {
    Refined::of(&Surface::stitched(mesh))
}

fn within(strip: &Strip, expected_mm2: f64, share: f64) {
    let error = 1e6 * strip.area_m2() / expected_mm2 - 1.0;
    assert!(error.abs() <= share, "{error:+.2e} of {expected_mm2}");
    assert_eq!(strip.lost_mm, 0.0);
}

fn line(points: &[[f64; 3]]) -> Vec<Vec<Point>> {
    vec![points.iter().map(|&point| Point::from(point)).collect()]
}

/// Source: plane geometry; a rectangle with two half discs.
#[test]
fn a_strip_on_a_plate_of_one_wide_facet_has_round_or_square_ends() {
    let mesh = plate([900.0, 600.0], [1, 1]);
    let path = line(&[[200.0, 180.0, 0.0], [650.0, 320.0, 0.0]]);
    let length = hypot(450.0, 140.0);
    within(&strip(&refined(&mesh), &path, 50.0, StripEnds::Square), 100.0 * length, 1e-5);
    within(&strip(&refined(&mesh), &path, 50.0, StripEnds::Round), 100.0 * length + PI * 2500.0, 2e-3);
}

/// Source: plane geometry, at any tessellation: slivers of 60 : 1 across the line and along it.
#[test]
fn slivers_do_not_change_a_strip() {
    for n in [[1, 60], [60, 1], [7, 5]] {
        let mesh = turned(plate([900.0, 600.0], n), 0.8, [10.0, 20.0, 30.0]);
        let place = turned(
            Mesh { points_mm: vec![Point::new(200.0, 180.0, 0.0), Point::new(650.0, 320.0, 0.0)], faces: vec![] },
            0.8,
            [10.0, 20.0, 30.0],
        );
        let length = hypot(450.0, 140.0);
        within(
            &strip(&refined(&mesh), std::slice::from_ref(&place.points_mm), 50.0, StripEnds::Square),
            100.0 * length,
            1e-5,
        );
        within(&strip(&refined(&mesh), &[place.points_mm], 50.0, StripEnds::Round), 100.0 * length + PI * 2500.0, 1e-2);
    }
}

/// Source: plane geometry; distances over a fold are those of the unfolded plate.
#[test]
fn a_strip_runs_over_the_folds_of_a_plate() {
    let mesh = steps(&[0.0, 35.0, 70.0], 60.0, 400.0);
    // Along the edge of a tread, from side to side: 50 mm either way, over the next fold on one side.
    let path = line(&[[60.0, 0.0, 35.0], [60.0, 400.0, 35.0]]);
    within(&strip(&refined(&mesh), &path, 50.0, StripEnds::Round), 400.0 * 100.0, 1e-6);
    // Aslant over the edge: the line itself is folded.
    let path = line(&[[30.0, 100.0, 0.0], [60.0, 150.0, 0.0], [60.0, 200.0, 35.0], [90.0, 250.0, 35.0]]);
    let fan = 1e6 * strip(&refined(&mesh), &path, 30.0, StripEnds::Square).area_m2();
    let length = 2.0 * hypot(30.0, 50.0) + hypot(35.0, 50.0);
    assert!((fan / (60.0 * length) - 1.0).abs() < 0.02, "{fan} {length}");
}

/// Source: a cylinder unrolls into a plate.
#[test]
fn strips_along_and_round_a_tube_are_as_wide_as_on_the_flat() {
    for n in [[24, 1], [24, 40], [96, 3]] {
        let mesh = turned(tube(200.0, 800.0, n), 0.5, [3.0, 2.0, 1.0]);
        let place = |angle: f64, z: f64| Point::new(200.0 * cos(angle), 200.0 * sin(angle), z);
        let ring = Mesh {
            points_mm: (0..=n[0]).map(|k| place(TAU * (k % n[0]) as f64 / n[0] as f64, 310.0)).collect(),
            faces: vec![],
        };
        let ring = turned(ring, 0.5, [3.0, 2.0, 1.0]).points_mm;
        let round = 2.0 * n[0] as f64 * 200.0 * sin(PI / n[0] as f64);
        within(&strip(&refined(&mesh), &[ring], 60.0, StripEnds::Round), 120.0 * round, 1e-4);
        // Between the edges of the facets, along the tube from end to end.
        let chord = nalgebra::center(&place(0.0, 0.0), &place(TAU / n[0] as f64, 0.0));
        let along = Mesh { points_mm: vec![chord, chord + Vector::z() * 800.0], faces: vec![] };
        let along = turned(along, 0.5, [3.0, 2.0, 1.0]).points_mm;
        within(&strip(&refined(&mesh), &[along], 60.0, StripEnds::Round), 120.0 * 800.0, 1e-4);
    }
}

/// Source: a cone unrolls into a sector; a band from its edge lies between two circles about the tip.
#[test]
fn a_band_along_the_edge_of_a_cone_is_a_ring_of_its_sector() {
    let (radius, height) = (300.0, 400.0);
    for n in [[36, 1], [90, 9]] {
        // From the tip, without its last millimetre, to the edge.
        let mesh = grid(n, [true, false], |u, v| {
            let share = 0.002 + 0.998 * v;
            Point::new(radius * share * cos(TAU * u), -radius * share * sin(TAU * u), height * (1.0 - share))
        });
        let edge: Vec<Point> = (0..=n[0])
            .map(|k| TAU * (k % n[0]) as f64 / n[0] as f64)
            .map(|angle| Point::new(radius * cos(angle), -radius * sin(angle), 0.0))
            .collect();
        // Each facet of the pyramid is a triangle of which a trapezium of the width is cut off.
        let (half, apothem) = (radius * sin(PI / n[0] as f64), radius * cos(PI / n[0] as f64));
        let slant = hypot(apothem, height);
        let trapezium = 80.0 * 2.0 * half * (1.0 - 0.5 * 80.0 / slant);
        within(&strip(&refined(&mesh), &[edge], 80.0, StripEnds::Round), n[0] as f64 * trapezium, 2e-3);
    }
}

/// Source: the same shape without cracks.
#[test]
fn cracks_do_not_stop_a_strip() {
    let half = |n: [usize; 2], from: f64| {
        grid(n, [false, false], |u, v| {
            let (s, c) = sin_cos(0.9 * u);
            Point::new(400.0 * s, from + 300.0 * v, 400.0 * c)
        })
    };
    let apart = together(&half([14, 4], 0.0), &half([17, 3], 300.0));
    let sewn = half([28, 1], 0.0);
    let sewn = together(&sewn, &half([28, 1], 300.0));
    // Along the bend, 20 mm before the crack, so that the strip reaches over it.
    let path = |n: usize| -> Vec<Vec<Point>> {
        let along = (1..n).map(|k| 0.9 * k as f64 / n as f64).map(|angle| {
            let (s, c) = sin_cos(angle);
            Point::new(400.0 * s, 280.0, 400.0 * c)
        });
        vec![along.collect()]
    };
    let one = strip(&refined(&apart), &path(28), 50.0, StripEnds::Square);
    let other = strip(&refined(&sewn), &path(28), 50.0, StripEnds::Square);
    let error = one.area_m2() / other.area_m2() - 1.0;
    assert!(error.abs() < 5e-3, "{error:+.2e}");
    // The line itself crosses the crack.
    let over = line(&[[400.0 * sin(0.4), 200.0, 400.0 * cos(0.4)], [400.0 * sin(0.4), 400.0, 400.0 * cos(0.4)]]);
    let crossing = strip(&refined(&apart), &over, 40.0, StripEnds::Square);
    assert!((1e6 * crossing.area_m2() / (200.0 * 80.0) - 1.0).abs() < 1e-2, "{}", 1e6 * crossing.area_m2());
    assert_eq!(crossing.lost_mm, 0.0);
}

/// Source: inclusion and exclusion; two strips that cross at right angles share a square.
#[test]
fn the_overlap_of_two_strips_is_the_sum_less_the_union() {
    let mesh = plate([600.0, 500.0], [3, 2]);
    let across = line(&[[0.0, 210.0, 0.0], [600.0, 210.0, 0.0]]);
    let up = line(&[[330.0, 0.0, 0.0], [330.0, 500.0, 0.0]]);
    let both: Vec<_> = across.iter().chain(&up).cloned().collect();
    let area = |lines: &[Vec<Point>]| 1e6 * strip(&refined(&mesh), lines, 40.0, StripEnds::Round).area_m2();
    let overlap = area(&across) + area(&up) - area(&both);
    assert!((overlap / 6400.0 - 1.0).abs() < 5e-3, "{overlap}");
}

#[test]
fn zones_are_stacked_and_every_facet_keeps_its_source_and_marks() {
    let mesh = turned(torus(300.0, 80.0, [30, 12]), 0.3, [4.0, 5.0, 6.0]);
    let start = refined(&mesh);
    let ring: Vec<Point> = (0..=30).map(|k| mesh.points_mm[(k % 30) * 12]).collect();
    let first = strip(&start, &[ring], 45.0, StripEnds::Round);
    let (area, mut zoned) = (first.area_m2(), first.refined);
    zoned.mark(first.inside);
    let plane = Plane::at(Point::new(10.0, 3.0, 5.0), Vector::new(0.2, 1.0, 0.4)).unwrap();
    let cut = cut_by_plane(&zoned, &plane, 1e-4);
    let marked = cut.refined.area_m2_where(|face| cut.refined.marks[0][face as usize]);
    assert!((marked / area - 1.0).abs() < 1e-9);
    let mut covered = vec![0.0; mesh.faces.len()];
    for face in cut.refined.mesh.face_ids() {
        covered[cut.refined.source_faces[face as usize] as usize] += cut.refined.mesh.face_area_mm2(face);
    }
    for face in mesh.face_ids() {
        assert!((covered[face as usize] / mesh.face_area_mm2(face) - 1.0).abs() < 1e-9);
    }
}

#[test]
fn a_strip_without_line_or_width_has_no_area() {
    let mesh = cuboid([20.0, 30.0, 50.0]);
    assert_eq!(strip(&refined(&mesh), &[], 5.0, StripEnds::Round).area_m2(), 0.0);
    assert_eq!(strip(&refined(&mesh), &line(&[[0.0; 3], [20.0, 0.0, 0.0]]), 0.0, StripEnds::Round).area_m2(), 0.0);
    assert_eq!(strip(&refined(&Mesh::default()), &line(&[[0.0; 3]]), 5.0, StripEnds::Round).area_m2(), 0.0);
}

/// Source: plane geometry; round an edge of a box that is narrower than the strip, every face is covered whole.
#[test]
fn a_strip_wider_than_the_part_covers_it() {
    let mesh = cuboid([20.0, 30.0, 50.0]);
    let all = strip(&refined(&mesh), &line(&[[0.0; 3], [20.0, 0.0, 0.0]]), 500.0, StripEnds::Round);
    assert!((all.area_m2() / mesh.area_m2() - 1.0).abs() < 1e-9);
}
