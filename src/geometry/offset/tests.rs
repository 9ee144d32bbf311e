use super::*;
use crate::geometry::mesh::Point;
use crate::maths::{cos, sin};

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

fn at_depth(mesh: &Mesh, side: Side, depth_mm: f64) -> AreaAtDepth {
    let surface = Surface::stitched(mesh);
    area_at_depth(&face_growth(&surface, side), mesh.face_ids(), depth_mm)
}

/// Rows of points joined to quads of two facets each; `closed` joins the last of a row to its first.
fn grid(rows: &[Vec<Point>], closed: bool) -> Mesh {
    let n = rows[0].len();
    let mut mesh = Mesh { points_mm: rows.concat(), faces: Vec::new() };
    for row in 0..rows.len() - 1 {
        for column in 0..if closed { n } else { n - 1 } {
            let next = (column + 1) % n;
            let [a, b] = [column, next].map(|column| (row * n + column) as u32);
            let [c, d] = [a, b].map(|point| point + n as u32);
            mesh.faces.extend([[a, b, d], [a, d, c]]);
        }
    }
    mesh
}

/// The profile in the x-z plane drawn along y, seen from the left of the way it runs.
fn drawn(profile: &[(f64, f64)], length_mm: f64) -> Mesh {
    let row = |y: f64| profile.iter().map(|&(x, z)| Point::new(x, y, z)).collect::<Vec<_>>();
    grid(&[row(0.0), row(length_mm)], false)
}

fn tube(radius_mm: f64, length_mm: f64, n: usize) -> Mesh {
    let ring = |z: f64| {
        let angles = (0..n).map(|k| TAU * k as f64 / n as f64);
        angles.map(|angle| Point::new(radius_mm * cos(angle), radius_mm * sin(angle), z)).collect::<Vec<_>>()
    };
    grid(&[ring(0.0), ring(length_mm)], true)
}

/// A ball from south to north, its poles as fans.
fn ball(radius_mm: f64, n: usize) -> Mesh {
    let rings: Vec<Vec<Point>> = (1..n)
        .map(|k| {
            let (sin_lat, cos_lat) = sin_cos(PI * k as f64 / n as f64);
            let angles = (0..2 * n).map(|j| TAU * j as f64 / (2 * n) as f64);
            angles.map(|angle| Point::new(sin_lat * cos(angle), sin_lat * sin(angle), -cos_lat) * radius_mm).collect()
        })
        .collect();
    let mut mesh = grid(&rings, true);
    let south = mesh.points_mm.len() as u32;
    mesh.points_mm.extend([Point::new(0.0, 0.0, -radius_mm), Point::new(0.0, 0.0, radius_mm)]);
    let (ring, last) = (2 * n as u32, (n as u32 - 2) * 2 * n as u32);
    for k in 0..ring {
        let next = (k + 1) % ring;
        mesh.faces.extend([[next, k, south], [last + k, last + next, south + 1]]);
    }
    mesh
}

/// A tray of 1200 x 800 x 150 mm, open at the top, sharp, seen from outside.
fn tray() -> Mesh {
    let (x, y, z) = (1200.0, 800.0, 150.0);
    let ring = |z| [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)].map(|(x, y)| Point::new(x, y, z)).to_vec();
    let mut mesh = grid(&[ring(0.0), ring(z)], true);
    mesh.faces.extend([[0, 2, 1], [0, 3, 2]]);
    mesh
}

/// Source: hand calculation 40 (derived, checked twice): 3 mm inside 1.532508 m2 exactly, outside and rounded 1.581733.
#[test]
fn three_millimetres_inside_and_outside_a_sharp_tray() {
    let mesh = tray();
    near(mesh.area_m2(), 1.56, 1e-12);
    near(at_depth(&mesh, Side::Inward, 3.0).grown_m2, 1.532_508, 1e-9);
    near(at_depth(&mesh, Side::Outward, 3.0).grown_m2, 1.581_733, 1e-6);
    // The smooth formula, which is wrong inside: a fillet that shrank to nothing and went on shrinking.
    let surface = Surface::stitched(&mesh);
    let smooth = face_growth_with(&surface, Side::Inward, |_, _| false);
    near(area_at_depth(&smooth, mesh.face_ids(), 3.0).grown_m2, 1.538_380, 1e-6);
}

/// The floor alone shrinks to (1200 - 2t)(800 - 2t), each wall by t at its foot and t at either end.
#[test]
fn each_face_of_a_tray_gets_its_own_share() {
    let mesh = tray();
    let growth = face_growth(&Surface::stitched(&mesh), Side::Inward);
    let floor = area_at_depth(&growth, 8..10, 3.0);
    near(floor.grown_m2, 1.194 * 0.794, 1e-12);
    let long_wall = area_at_depth(&growth, 0..2, 3.0);
    near(long_wall.grown_m2, 1.194 * 0.147, 1e-12);
}

/// Source: area of a ball, 4 pi (R + t)^2.
#[test]
fn a_ball_grows_and_shrinks_with_the_square_of_its_radius() {
    let radius_mm = 250.0;
    for (side, depth_mm, radius_there_mm) in [(Side::Outward, 5.0, 255.0), (Side::Inward, 5.0, 245.0)] {
        let area = at_depth(&ball(radius_mm, 60), side, depth_mm);
        // The facets' own error is the same before and after, so the ratio is held to far less than that error.
        near(area.grown_m2 / area.net_m2, (radius_there_mm / radius_mm).powi(2), 5e-5);
        assert_eq!(area.folded_m2, 0.0);
    }
    // Angle deficits of a closed ball add up to 4 pi (Gauss and Bonnet).
    let growth = face_growth(&Surface::stitched(&ball(radius_mm, 20)), Side::Outward);
    near(growth.iter().map(|face| face.per_mm2).sum::<f64>(), 4.0 * PI, 1e-9);
}

/// Source: area of a tube, 2 pi (R + t) L. Facets of 40 degrees are still a tube and no row of sharp edges.
#[test]
fn a_tube_grows_and_shrinks_with_its_radius_at_any_tessellation() {
    let (radius_mm, length_mm) = (200.0, 700.0);
    for n in [9, 16, 90] {
        let mesh = tube(radius_mm, length_mm, n);
        for (side, sign) in [(Side::Outward, 1.0), (Side::Inward, -1.0)] {
            let area = at_depth(&mesh, side, 4.0);
            let change_m2 = sign * TAU * 4.0 * length_mm * 1e-6;
            near(area.grown_m2 - area.net_m2, change_m2, 1e-9);
        }
    }
}

/// Source: an arc of radius R - t. A fillet in three strips of 30 degrees keeps its arc; its share is on the strips.
#[test]
fn a_coarse_fillet_does_not_lose_area_as_sharp_edges() {
    let (radius_mm, length_mm, depth_mm) = (8.0, 500.0, 3.0);
    let mut profile = vec![(-300.0, 0.0)];
    let angles = (0..=3).map(|k| 0.5 * PI * f64::from(k) / 3.0);
    profile.extend(angles.map(|angle| (radius_mm * sin(angle), radius_mm * (1.0 - cos(angle)))));
    profile.push((radius_mm, 200.0));
    let mesh = drawn(&profile, length_mm);
    // Drawn so that the upward side, into the corner, is the outward one.
    near(mesh.normal(0).z, 1.0, 1e-12);
    let inside = at_depth(&mesh, Side::Outward, depth_mm);
    near(inside.grown_m2 - inside.net_m2, -0.5 * PI * depth_mm * length_mm * 1e-6, 1e-9);
    let over = at_depth(&mesh, Side::Inward, depth_mm);
    near(over.grown_m2 - over.net_m2, 0.5 * PI * depth_mm * length_mm * 1e-6, 1e-9);
    // Two facets to each of the five strips; the first and the last are wide flats and hardly take part.
    let growth = face_growth(&Surface::stitched(&mesh), Side::Outward);
    let flats = area_at_depth(&growth, [0, 1, 8, 9], depth_mm);
    near(flats.grown_m2 / flats.net_m2, 1.0, 2e-4);
}

/// Source: two flats that meet at an angle, `t tan(d/2)` off either; sharp from 45 degrees on.
#[test]
fn a_sharp_inside_edge_takes_from_both_faces_alike() {
    for turn_deg in [60.0, 90.0, 120.0] {
        let (sin_turn, cos_turn) = sin_cos(rad_from_deg(turn_deg));
        let mesh = drawn(&[(-300.0, 0.0), (0.0, 0.0), (100.0 * cos_turn, 100.0 * sin_turn)], 400.0);
        let growth = face_growth(&Surface::stitched(&mesh), Side::Outward);
        let lost_m2 = 5.0 * tan(0.5 * rad_from_deg(turn_deg)) * 0.4 * 1e-3;
        near(area_at_depth(&growth, 0..4, 5.0).grown_m2, 0.4 * 0.4 - 2.0 * lost_m2, 1e-12);
        let halves = [[0, 1], [2, 3]].map(|faces| area_at_depth(&growth, faces, 5.0));
        for half in halves {
            near(half.net_m2 - half.grown_m2, lost_m2, 1e-12);
        }
    }
}

#[test]
fn a_depth_past_the_radius_is_told() {
    let mesh = tube(4.0, 300.0, 24);
    let area = at_depth(&mesh, Side::Inward, 6.0);
    assert_eq!(area.grown_m2, 0.0);
    near(area.folded_m2, area.net_m2, 1e-12);
    let note = area.note("vent", 6.0).expect("a note");
    assert!(note.message.contains("vent") && note.message.contains("6.0 mm"), "{}", note.message);
    assert_eq!(at_depth(&mesh, Side::Inward, 3.0).note("vent", 3.0), None);
}

#[test]
fn growth_does_not_care_where_the_part_lies() {
    let mesh = tray();
    let turn = nalgebra::Rotation3::from_matrix_unchecked(nalgebra::Matrix3::new(
        0.36, 0.48, -0.8, -0.8, 0.6, 0.0, 0.48, 0.64, 0.6,
    ));
    let shift = Vector::new(3000.0, -1234.0, 777.0);
    let points_mm = mesh.points_mm.iter().map(|point| turn * point + shift).collect();
    let moved = Mesh { points_mm, faces: mesh.faces.clone() };
    for side in [Side::Inward, Side::Outward] {
        near(at_depth(&moved, side, 3.0).grown_m2, at_depth(&mesh, side, 3.0).grown_m2, 1e-9);
    }
}

#[test]
fn facets_without_area_and_no_facets_do_no_harm() {
    let mut mesh = tray();
    mesh.faces.push([0, 1, 1]);
    assert!(at_depth(&mesh, Side::Inward, 3.0).grown_m2.is_finite());
    assert_eq!(at_depth(&Mesh::default(), Side::Inward, 3.0).grown_m2, 0.0);
}

/// Source: a cup of radius R and height H with a flat, sharp foot, closed form inside: 2 pi (R - t)(H - t) + pi (R - t)^2.
#[test]
fn a_cup_with_a_sharp_foot_is_met_to_the_square_of_the_depth() {
    let (radius_mm, height_mm, depth_mm, n) = (200.0, 90.0, 6.0, 720);
    let mut mesh = tube(radius_mm, height_mm, n);
    mesh.points_mm.push(Point::origin());
    let foot = mesh.points_mm.len() as u32 - 1;
    mesh.faces.extend((0..n as u32).map(|k| [foot, (k + 1) % n as u32, k]));
    let growth = face_growth(&Surface::stitched(&mesh), Side::Inward);
    let n_wall = 2 * n as u32;
    let wall = area_at_depth(&growth, 0..n_wall, depth_mm);
    let floor = area_at_depth(&growth, n_wall..3 * n as u32, depth_mm);
    let ratio = |area: AreaAtDepth| area.grown_m2 / area.net_m2;
    let there_mm = radius_mm - depth_mm;
    near(ratio(wall), there_mm * (height_mm - depth_mm) / (radius_mm * height_mm), 2e-5);
    near(ratio(floor), (there_mm / radius_mm).powi(2), 2e-5);
    // Without the terms in the square of the depth the wall would be 0.2 % short.
    let linear = 1.0 - depth_mm / radius_mm - depth_mm / height_mm;
    assert!((ratio(wall) - linear).abs() > 1.5e-3);
}

/// A crease that fades out, kept sharp only over half its length: no jump at the point where it ends.
#[test]
fn a_crease_that_just_ends_does_no_harm() {
    let row = |y: f64, tilt: f64| {
        [(-100.0, 0.0), (0.0, 0.0), (100.0 * cos(tilt), 100.0 * sin(tilt))].map(|(x, z)| Point::new(x, y, z)).to_vec()
    };
    let depth_mm = 4.0;
    let rows: Vec<Vec<Point>> = (0..=20).map(|k| row(20.0 * f64::from(k), 1.6 - 0.075 * f64::from(k))).collect();
    let mesh = grid(&rows, false);
    let growth = face_growth(&Surface::stitched(&mesh), Side::Outward);
    // What the depth takes in proportion is some 1,500 mm2; at the point where the crease ends as sharp, and along it,
    // where its steps differ a little, the square of the depth may change next to nothing of that.
    let linear_mm2 = depth_mm * growth.iter().map(|face| face.per_mm).sum::<f64>();
    let square_mm2 = depth_mm * depth_mm * growth.iter().map(|face| face.per_mm2).sum::<f64>();
    assert!(linear_mm2 < -1000.0, "{linear_mm2}");
    assert!(square_mm2.abs() < 0.02 * linear_mm2.abs(), "{square_mm2} of {linear_mm2}");
}
