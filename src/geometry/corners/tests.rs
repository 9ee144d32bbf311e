//! Corners on shapes made in code, with exact truth.

use proptest::prelude::*;

use super::*;
use crate::geometry::mesh::{Mesh, Vector};
use crate::maths::{cos, sin};
use crate::watch::Unwatched;

/// Points of a profile: x and z.
type Profile = Vec<(f64, f64)>;

/// A profile that runs straight, turns by an arc in equal strips, and runs straight again.
fn bend(radius: f64, turn_deg: f64, strips: usize, straight: f64, from: (f64, f64), heading_deg: f64) -> Profile {
    let (mut at, mut heading) = (from, heading_deg.to_radians());
    let mut points = vec![at];
    let step = |at: (f64, f64), heading: f64, length: f64| (at.0 + length * cos(heading), at.1 + length * sin(heading));
    at = step(at, heading, straight);
    points.push(at);
    let strip = turn_deg.to_radians() / strips as f64;
    let chord = 2.0 * radius * sin(0.5 * strip.abs());
    for _ in 0..strips {
        at = step(at, heading + 0.5 * strip, chord);
        heading += strip;
        points.push(at);
    }
    points.push(step(at, heading, straight));
    points
}

/// A skin swept from a profile along y, in `n` stretches; the outward side is up where the profile runs along +x.
fn swept(profile: &Profile, length: f64, n: usize) -> Mesh {
    let rows = n + 1;
    let point = |&(x, z): &(f64, f64), row: usize| Point::new(x, length * row as f64 / n as f64, z);
    let points_mm = profile.iter().flat_map(|p| (0..rows).map(move |row| point(p, row))).collect();
    let mut faces = Vec::new();
    for i in 0..profile.len() - 1 {
        for j in 0..n {
            let [a, b] = [(i * rows + j) as u32, ((i + 1) * rows + j) as u32];
            faces.push([a, b, b + 1]);
            faces.push([a, b + 1, a + 1]);
        }
    }
    Mesh { points_mm, faces }
}

/// Turned so that nothing lies along an axis.
fn turned(mesh: &Mesh, angles: [f64; 3]) -> Mesh {
    let turn = nalgebra::Rotation3::from_matrix_unchecked(rotation(angles));
    Mesh {
        points_mm: mesh.points_mm.iter().map(|p| turn * p + Vector::new(40.0, -25.0, 310.0)).collect(),
        ..mesh.clone()
    }
}

fn rotation([a, b, c]: [f64; 3]) -> nalgebra::Matrix3<f64> {
    let about = |angle: f64, i: usize, j: usize| {
        let mut m = nalgebra::Matrix3::identity();
        (m[(i, i)], m[(j, j)]) = (cos(angle), cos(angle));
        (m[(i, j)], m[(j, i)]) = (-sin(angle), sin(angle));
        m
    };
    about(a, 0, 1) * about(b, 1, 2) * about(c, 0, 2)
}

fn found(mesh: &Mesh) -> FoundCorners {
    find(&Surface::stitched(mesh), &CornerOptions::default(), &Unwatched)
}

fn listed(mesh: &Mesh, least_turn_deg: f64) -> Vec<Corner> {
    list(&found(mesh), &Listing { tighter_than_mm: 60.0, least_turn_deg }).corners
}

fn only(corners: Vec<Corner>) -> Corner {
    assert_eq!(corners.len(), 1, "{corners:#?}");
    corners.into_iter().next().expect("one corner")
}

#[track_caller]
fn close(value: f64, truth: f64, tolerance: f64) {
    assert!((value - truth).abs() <= tolerance, "{value} for {truth}");
}

#[test]
fn a_fillet_cut_in_strips_keeps_its_radius_turn_and_length_at_any_angle() {
    for (radius, turn, strips) in [(5.0, 90.0, 4), (3.0, 90.0, 8), (12.0, 55.0, 3), (8.0, 140.0, 12), (25.0, 35.0, 5)] {
        let mesh = turned(&swept(&bend(radius, -turn, strips, 40.0, (0.0, 0.0), 20.0), 180.0, 3), [0.4, 1.1, -0.7]);
        let corner = only(listed(&mesh, 30.0));
        close(corner.radius_mean_mm, radius, 1e-6 * radius);
        close(corner.radius_mm, radius, 1e-6 * radius);
        close(corner.turn_deg, turn, 1e-6);
        close(corner.length_mm, 180.0, 0.05);
        assert_eq!(corner.bends, Bends::Outward);
        assert!(!corner.sharp);
    }
}

#[test]
fn a_fillet_that_turns_up_bends_inward() {
    let corner = only(listed(&swept(&bend(6.0, 90.0, 6, 30.0, (0.0, 0.0), 0.0), 90.0, 2), 30.0));
    assert_eq!(corner.bends, Bends::Inward);
    close(corner.radius_mean_mm, 6.0, 1e-6);
}

#[test]
fn an_edge_without_a_radius_is_sharp_and_as_long_as_the_edge() {
    let mesh = turned(&swept(&vec![(0.0, 0.0), (30.0, 0.0), (30.0, -20.0)], 75.0, 5), [0.2, 0.3, 0.9]);
    let corner = only(listed(&mesh, 30.0));
    assert!(corner.sharp);
    close(corner.turn_deg, 90.0, 1e-6);
    close(corner.length_mm, 75.0, 1e-6);
    assert_eq!(corner.bends, Bends::Outward);
    assert_eq!((corner.radius_mm, corner.radius_mean_mm), (0.0, 0.0));
}

#[test]
fn a_shallow_chine_is_found_with_its_turn_when_it_is_asked_for() {
    let rise = 20.0_f64.to_radians();
    let profile = vec![(0.0, 0.0), (200.0, 0.0), (200.0 + 150.0 * cos(rise), -150.0 * sin(rise))];
    let mesh = swept(&profile, 300.0, 4);
    assert!(listed(&mesh, 30.0).is_empty());
    let chine = only(listed(&mesh, 10.0));
    close(chine.turn_deg, 20.0, 1e-6);
    close(chine.length_mm, 300.0, 1e-6);
    assert!(chine.sharp);
}

#[test]
fn a_coarse_wide_bend_and_a_plate_have_no_corner() {
    for strips in [6, 12] {
        let mesh = swept(&bend(1000.0, -120.0, strips, 1.0, (0.0, 0.0), 60.0), 500.0, 1);
        // The first and last millimetre run straight on; what is in between are facets of 10 and 20 degrees.
        assert!(listed(&mesh, 10.0).is_empty(), "{:#?}", listed(&mesh, 10.0));
    }
    assert!(listed(&swept(&vec![(0.0, 0.0), (600.0, 0.0)], 400.0, 1), 10.0).is_empty());
}

#[test]
fn both_sides_of_an_s_bend_keep_the_half_strip_at_the_inflection() {
    // Tangent without a flat between: 10 mm up, then 10 mm down, by 70 degrees, in strips of 7 degrees.
    let mut profile = bend(10.0, 70.0, 10, 50.0, (0.0, 0.0), 0.0);
    profile.pop();
    let last = profile[profile.len() - 1];
    let back = bend(10.0, -70.0, 10, 50.0, last, 70.0);
    profile.extend(&back[2..].iter().map(|p| (p.0 - back[1].0 + last.0, p.1 - back[1].1 + last.1)).collect::<Vec<_>>());
    let corners = listed(&swept(&profile, 120.0, 2), 30.0);
    assert_eq!(corners.len(), 2, "{corners:#?}");
    for corner in corners {
        close(corner.turn_deg, 70.0, 0.1);
        close(corner.radius_mean_mm, 10.0, 0.01);
        close(corner.length_mm, 120.0, 0.1);
    }
}

/// A boss's foot: a fillet that closes round a circle.
fn ring(radius: f64, about: f64, strips: usize, around: usize) -> Mesh {
    let profile = bend(radius, 90.0, strips, 15.0, (-15.0, 0.0), 0.0);
    let points_mm = (0..around)
        .flat_map(|k| {
            let angle = 2.0 * std::f64::consts::PI * k as f64 / around as f64;
            profile.iter().map(move |&(x, z)| {
                let out = about - x;
                Point::new(out * cos(angle), out * sin(angle), z)
            })
        })
        .collect();
    let n = profile.len() as u32;
    let mut faces = Vec::new();
    for k in 0..around as u32 {
        let (here, next) = (k * n, (k + 1) % around as u32 * n);
        for i in 0..n - 1 {
            faces.push([here + i, next + i, next + i + 1]);
            faces.push([here + i, next + i + 1, here + i + 1]);
        }
    }
    Mesh { points_mm, faces }
}

#[test]
fn a_fillet_round_a_boss_is_one_closed_corner() {
    let mesh = turned(&ring(5.0, 40.0, 8, 64), [0.3, -0.5, 0.2]);
    let corner = only(listed(&mesh, 30.0));
    assert!(corner.is_closed());
    close(corner.radius_mean_mm, 5.0, 0.05);
    close(corner.turn_deg, 90.0, 0.5);
    // The middle of the arc runs at 40 - 5 sin 45 from the axis.
    close(corner.length_mm, 2.0 * std::f64::consts::PI * (40.0 - 5.0 * sin(45.0_f64.to_radians())), 0.7);
}

#[test]
fn the_tip_of_a_cone_is_a_point_and_its_generators_are_no_corners() {
    let around = 32;
    let mut points_mm = vec![Point::new(0.0, 0.0, 60.0)];
    let mut faces = Vec::new();
    for k in 0..around {
        let angle = 2.0 * std::f64::consts::PI * f64::from(k) / f64::from(around);
        points_mm.push(Point::new(30.0 * cos(angle), 30.0 * sin(angle), 0.0));
        faces.push([0, 1 + k as u32, 1 + (k as u32 + 1) % around as u32]);
    }
    let mesh = Mesh { points_mm, faces };
    let found = list(&found(&mesh), &Listing { tighter_than_mm: 6.5, least_turn_deg: 30.0 });
    assert!(found.corners.is_empty(), "{:#?}", found.corners);
    assert_eq!(found.points.len(), 1);
    assert_eq!((found.points[0].kind, found.points[0].radius_mm), (PointKind::Apex, 0.0));
}

/// The mesh with every strip along y cut off its neighbours and its rows at other places, as kernels leave the seams of faces.
fn unsewn(profile: &Profile, length: f64) -> Mesh {
    let mut mesh = Mesh::default();
    for (k, pair) in profile.windows(2).enumerate() {
        let strip = swept(&pair.to_vec(), length, 2 + k % 3);
        let offset = mesh.points_mm.len() as u32;
        mesh.points_mm.extend(strip.points_mm);
        mesh.faces.extend(strip.faces.iter().map(|face| face.map(|point| point + offset)));
    }
    mesh
}

#[test]
fn seams_that_share_no_points_do_not_break_a_corner() {
    let mesh = turned(&unsewn(&bend(8.0, -90.0, 5, 40.0, (0.0, 0.0), 45.0), 150.0), [1.0, 0.2, 0.6]);
    let corner = only(listed(&mesh, 30.0));
    close(corner.radius_mean_mm, 8.0, 1e-3);
    close(corner.turn_deg, 90.0, 0.01);
    close(corner.length_mm, 150.0, 0.1);
}

#[test]
fn two_fillets_of_different_radius_are_two_corners_with_stable_names() {
    let mut profile = bend(4.0, -80.0, 6, 40.0, (0.0, 0.0), 80.0);
    let last = profile[profile.len() - 1];
    profile.extend(bend(10.0, -60.0, 6, 40.0, last, 0.0).into_iter().skip(1));
    let mesh = swept(&profile, 100.0, 2);
    let all = list(&found(&mesh), &Listing { tighter_than_mm: 60.0, least_turn_deg: 30.0 }).corners;
    assert_eq!(all.iter().map(|corner| corner.id.as_str()).collect::<Vec<_>>(), ["c1", "c2"]);
    let tight = list(&found(&mesh), &Listing { tighter_than_mm: 6.0, least_turn_deg: 30.0 }).corners;
    let tight = only(tight);
    assert_eq!(
        tight.id,
        all.iter().find(|corner| corner.radius_mean_mm < 6.0).map(|corner| corner.id.clone()).unwrap_or_default()
    );
}

#[test]
fn a_running_out_fillet_is_listed_where_it_is_tighter_than_the_limit() {
    // Radius 4 to 16 over 200 mm, ruled between the arcs of both ends: between, the radius is in proportion.
    let (near, far) = (bend(4.0, -90.0, 9, 60.0, (0.0, 0.0), 90.0), bend(16.0, -90.0, 9, 60.0, (0.0, 0.0), 90.0));
    let rows = 101;
    let share = |row: usize| row as f64 / (rows - 1) as f64;
    let mix = |a: f64, b: f64, s: f64| a + (b - a) * s;
    let points_mm = near
        .iter()
        .zip(&far)
        .flat_map(|(p, q)| {
            (0..rows)
                .map(move |row| Point::new(mix(p.0, q.0, share(row)), 200.0 * share(row), mix(p.1, q.1, share(row))))
        })
        .collect();
    let faces = swept(&near, 200.0, rows - 1).faces;
    let mesh = Mesh { points_mm, faces };
    let whole = only(listed(&mesh, 30.0));
    close(whole.radius_mean_mm, 10.0, 0.3);
    close(whole.radius_mm, 4.0, 0.25);
    let part = only(list(&found(&mesh), &Listing { tighter_than_mm: 10.0, least_turn_deg: 30.0 }).corners);
    close(part.length_mm, 0.5 * whole.length_mm, 4.0);
    close(part.radius_mean_mm, 7.0, 0.3);
    assert_eq!(part.id, whole.id);
}

#[test]
fn the_same_facets_in_any_order_give_the_same_corners() {
    let mesh = turned(&ring(6.0, 50.0, 6, 48), [0.1, 0.2, 0.3]);
    let mut shuffled = mesh.clone();
    let n = shuffled.faces.len();
    for k in 0..n {
        shuffled.faces.swap(k, (k * 7919 + 13) % n);
        shuffled.faces[k].rotate_left(k % 3);
    }
    let (one, other) = (only(listed(&mesh, 30.0)), only(listed(&shuffled, 30.0)));
    close(other.radius_mean_mm, one.radius_mean_mm, 0.01);
    close(other.turn_deg, one.turn_deg, 0.05);
    close(other.length_mm, one.length_mm, 0.1);
    assert_eq!(other.id, one.id);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn a_corner_does_not_change_when_the_part_is_turned(a in -3.0..3.0f64, b in -3.0..3.0f64, c in -3.0..3.0f64) {
        let mesh = turned(&swept(&bend(7.0, -100.0, 7, 30.0, (0.0, 0.0), 10.0), 80.0, 4), [a, b, c]);
        let corner = only(listed(&mesh, 30.0));
        prop_assert!((corner.radius_mean_mm - 7.0).abs() < 1e-4);
        prop_assert!((corner.turn_deg - 100.0).abs() < 1e-4);
        prop_assert!((corner.length_mm - 80.0).abs() < 0.1);
    }
}
