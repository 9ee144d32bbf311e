use std::f64::consts::TAU;

use super::super::mesh::{Mesh, Point, Vector};
use super::super::split::shapes::{cuboid, grid, plate, tube, turned, welded};
use super::super::split::{Piece, Plane, cut};
use super::super::stitch::Surface;
use super::*;
use crate::maths::{cos, sin};

fn pieces(mesh: &Mesh, planes: &[Plane]) -> Vec<Piece> {
    let named: Vec<_> = planes.iter().enumerate().map(|(k, &plane)| (format!("s{k}"), plane)).collect();
    cut(&Surface::stitched(mesh), &named).pieces
}

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} for {expected}");
}

/// A plate with a rectangular window, in quads.
fn windowed(size_mm: [f64; 2], window_mm: [[f64; 2]; 2]) -> Mesh {
    let xs = [0.0, window_mm[0][0], window_mm[1][0], size_mm[0]];
    let ys = [0.0, window_mm[0][1], window_mm[1][1], size_mm[1]];
    let mut triangles = Vec::new();
    for i in 0..3 {
        for j in 0..3 {
            if (i, j) != (1, 1) {
                let [a, b, c, d] =
                    [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)].map(|(i, j)| Point::new(xs[i], ys[j], 0.0));
                triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
    }
    welded(&triangles)
}

/// Source: hand calculation of a flat side 2400 x 1200 with a door 600 x 900 laid across.
#[test]
fn a_door_in_a_flat_side_is_an_opening_with_its_own_area() {
    let mesh = turned(windowed([2400.0, 1200.0], [[700.0, 150.0], [1300.0, 1050.0]]), 0.8, [10.0, 20.0, 30.0]);
    let piece = &pieces(&mesh, &[])[0];
    near(piece.area_m2(), 2.34);
    let found = loops(piece);
    assert_eq!(found.iter().map(|border| border.role).collect::<Vec<_>>(), [LoopRole::OuterEdge, LoopRole::Opening]);
    near(found[0].length_mm, 7200.0);
    near(found[1].length_mm, 3000.0);
    near(found[1].fill.area_m2, 0.54);
    near(found[1].openness, 1.0);
    assert!(found[0].is_outer() && !found[1].is_outer() && found.iter().all(|border| border.closed));
    assert!(found[1].fill.planarity_mm < 1e-9);
}

#[test]
fn the_side_that_counts_as_outward_does_not_make_a_hole_of_an_edge() {
    let mut mesh = windowed([240.0, 120.0], [[70.0, 15.0], [130.0, 105.0]]);
    mesh.faces.iter_mut().for_each(|face| face.swap(0, 1));
    let found = loops(&pieces(&mesh, &[])[0]);
    assert_eq!(found.iter().map(|border| border.role).collect::<Vec<_>>(), [LoopRole::OuterEdge, LoopRole::Opening]);
}

#[test]
fn a_tube_has_two_open_ends_and_a_closed_box_no_border() {
    let found = loops(&pieces(&tube(40.0, 90.0, [30, 2]), &[])[0]);
    assert_eq!(found.iter().map(|border| border.role).collect::<Vec<_>>(), [LoopRole::OpenEnd; 2]);
    assert!(loops(&pieces(&cuboid([2.0, 3.0, 5.0]), &[])[0]).is_empty());
}

/// A tray without a lid, with a drain in its floor.
#[test]
fn a_deep_tray_with_a_drain_has_its_rim_as_outer_edge_and_the_drain_as_opening() {
    // From the middle of the drain outwards along the floor and up the wall.
    let profile = [(5.0, 0.0), (80.0, 0.0), (80.0, 60.0)];
    let mesh = grid([40, 2], [true, false], |u, v| {
        let (r, z) = profile[(v * 2.0).round() as usize];
        Point::new(r * cos(TAU * u), -r * sin(TAU * u), z)
    });
    let found = loops(&pieces(&mesh, &[])[0]);
    assert_eq!(found.iter().map(|border| border.role).collect::<Vec<_>>(), [LoopRole::OuterEdge, LoopRole::Opening]);
    assert!(found[0].openness.abs() < 1e-9);
}

/// Source: hand calculation of a tube 400 x 1000 split through its axis: per half 2 m of split and two half rounds.
#[test]
fn the_border_of_half_a_tube_tells_the_split_from_the_free_ends() {
    let mesh = tube(200.0, 1000.0, [96, 5]);
    let plane = Plane::at(Point::origin(), Vector::y()).unwrap();
    for piece in pieces(&mesh, &[plane]) {
        let found = loops(&piece);
        assert_eq!(found.len(), 1);
        let stretches: Vec<_> =
            found[0].stretches.iter().map(|stretch| (stretch.split, stretch.length_mm.round())).collect();
        assert_eq!(stretches.len(), 4, "{stretches:?}");
        assert_eq!(stretches.iter().filter(|&&stretch| stretch == (Some(0), 1000.0)).count(), 2);
        assert_eq!(stretches.iter().filter(|&&stretch| stretch == (None, 628.0)).count(), 2);
    }
}

/// Source: the same hand calculation: split flanges 0.150000 m2, end flanges 0.111919 m2 per half.
#[test]
fn the_flanges_of_half_a_tube_come_out_as_by_hand() {
    let mesh = tube(200.0, 1000.0, [720, 1]);
    let plane = Plane::at(Point::origin(), Vector::y()).unwrap();
    let piece = &pieces(&mesh, &[plane])[0];
    let along_split: f64 = piece.cuts[0]
        .lines
        .iter()
        .map(|line| flange(&line.polyline_mm, line.closed, &plane.unit_normal, 75.0).area_m2)
        .sum();
    near(along_split, 0.15);
    let ends: Vec<_> = loops(piece)[0].stretches.iter().filter(|stretch| stretch.split.is_none()).cloned().collect();
    let at_ends: f64 = ends
        .iter()
        .map(|stretch| {
            // The plane of a half round is that of its own fill; the outward side of the tube is on the right of it.
            let normal = fill(&stretch.polyline_mm).normal;
            flange(&stretch.polyline_mm, false, &normal, 75.0).area_m2
        })
        .sum();
    assert!((at_ends - 0.111919).abs() < 5e-6, "{at_ends}");
}

#[test]
fn two_holes_that_touch_in_a_point_stay_two() {
    let quads = [
        [0, 0],
        [1, 0],
        [2, 0],
        [3, 0],
        [0, 1],
        [2, 1],
        [3, 1],
        [0, 2],
        [1, 2],
        [3, 2],
        [0, 3],
        [1, 3],
        [2, 3],
        [3, 3],
    ];
    let mut triangles = Vec::new();
    for [i, j] in quads {
        let at = |i: i32, j: i32| Point::new(10.0 * f64::from(i), 7.0 * f64::from(j), 0.0);
        let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
        triangles.extend([[a, b, c], [a, c, d]]);
    }
    let found = loops(&pieces(&welded(&triangles), &[])[0]);
    assert_eq!(found.len(), 3);
    near(found[1].fill.area_m2 * 1e6, 70.0);
    near(found[2].length_mm, 34.0);
}

#[test]
fn a_point_near_a_loop_finds_it() {
    let mesh = windowed([240.0, 120.0], [[70.0, 15.0], [130.0, 105.0]]);
    let found = loops(&pieces(&mesh, &[])[0]);
    let point = Point::new(100.0, 95.0, 4.0);
    assert!(found[1].distance_mm(&point) < found[0].distance_mm(&point));
    near(found[1].distance_mm(&Point::new(100.0, 102.0, 4.0)), 5.0);
    assert_eq!(loops(&pieces(&plate([5.0, 6.0], [2, 2]), &[])[0]).len(), 1);
}
