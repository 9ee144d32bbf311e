use super::*;
use crate::geometry::normals::Facets;
use crate::geometry::skin::shapes;
use crate::geometry::topology::Topology;
use crate::maths::{cos, sin};

const PI: f64 = std::f64::consts::PI;

fn compare(skin: &Mesh, other: &Mesh, reach_mm: f64) -> Rough {
    let topology = Topology::of(skin);
    let facet_normals: Vec<Vector> = skin.face_ids().map(|face| skin.normal(face)).collect();
    let normals = CornerNormals::of(&Facets { mesh: skin, topology: &topology, normals: &facet_normals });
    rough(skin, &normals, other, reach_mm)
}

/// A sheet over a rectangle, so high at each place.
fn sheet(size_mm: [f64; 2], n: [usize; 2], height: impl Fn(f64, f64) -> f64) -> Mesh {
    let mut mesh = Mesh::default();
    for j in 0..=n[1] {
        for i in 0..=n[0] {
            let (x, y) = (size_mm[0] * i as f64 / n[0] as f64, size_mm[1] * j as f64 / n[1] as f64);
            mesh.points_mm.push(Point::new(x, y, height(x, y)));
        }
    }
    for j in 0..n[1] {
        for i in 0..n[0] {
            let at = |i: usize, j: usize| (j * (n[0] + 1) + i) as u32;
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

/// A hump with a round top over a circle: `h (1 - (r / R)^2)^2`, which holds `pi h R^2 / 3`.
fn hump(at: [f64; 2], radius: f64, height: f64) -> impl Fn(f64, f64) -> f64 {
    move |x, y| {
        let share = ((x - at[0]).powi(2) + (y - at[1]).powi(2)) / (radius * radius);
        if share < 1.0 { height * (1.0 - share).powi(2) } else { 0.0 }
    }
}

fn near(found: f64, wanted: f64, share: f64) {
    assert!((found - wanted).abs() <= share * wanted, "{found} beside {wanted}");
}

#[test]
fn humps_and_hollows_on_a_flat_of_two_facets_give_their_volumes_within_a_hundredth() {
    // The solid of revolution of h (1 - (r/R)^2)^2: 2 pi h R^2 / 6 by integration.
    let (high, low) = (hump([600.0, 300.0], 150.0, 6.0), hump([1400.0, 700.0], 220.0, 9.0));
    let skin = sheet([2000.0, 1000.0], [1, 1], |_, _| 0.0);
    let scan = sheet([2000.0, 1000.0], [400, 200], |x, y| high(x, y) - low(x, y));
    let found = compare(&skin, &scan, 50.0);
    near(found.take_off_ml, PI * 6.0 * 150.0_f64.powi(2) / 3.0 / 1e3, 0.01);
    near(found.fill_ml, PI * 9.0 * 220.0_f64.powi(2) / 3.0 / 1e3, 0.01);
    let (deepest_mm, at) = found.deepest.expect("a hollow");
    assert!((deepest_mm - 9.0).abs() < 0.05 && (at - Point::new(1400.0, 700.0, 0.0)).norm() < 15.0, "{at}");
    assert!((found.places[0].at_mm - Point::new(1400.0, 700.0, 0.0)).norm() < 250.0);
    assert!(found.unseen_m2 < 0.02, "{}", found.unseen_m2);
    assert_eq!(found.drawn.mesh.points_mm.len(), found.drawn.proud_mm.len());
}

#[test]
fn a_ball_filled_all_round_takes_the_shell_between_both_balls() {
    let skin = shapes::ball(400.0, 24);
    let scan = shapes::ball(392.0, 200);
    let found = compare(&skin, &scan, 40.0);
    // The volume of a ball of 400 less that of one of 392, in ml.
    let shell_ml = 4.0 / 3.0 * PI * (400.0_f64.powi(3) - 392.0_f64.powi(3)) / 1e3;
    near(found.fill_ml, shell_ml, 0.02);
    assert_eq!(found.take_off_ml, 0.0);
    near(found.fill_m2 + found.unseen_m2, skin.area_m2(), 1e-9);
    assert!(found.unseen_m2 < 1e-4 * found.fill_m2, "{}", found.unseen_m2);
}

#[test]
fn a_bent_side_with_a_hollow_is_measured_along_its_normals() {
    // A quarter of a tube, radius 300, and a rough that lies 5 mm low over all of it: (R^2 - r^2) / 2 x angle x length.
    let tube = |radius: f64, n: usize| {
        let mut mesh = sheet([PI / 2.0, 800.0], [n, 20], |_, _| 0.0);
        for point in &mut mesh.points_mm {
            let (angle, along) = (point.x, point.y);
            *point = Point::new(radius * cos(angle), radius * sin(angle), along);
        }
        mesh
    };
    let found = compare(&tube(300.0, 40), &tube(295.0, 200), 30.0);
    near(found.fill_ml, (300.0_f64.powi(2) - 295.0_f64.powi(2)) / 2.0 * (PI / 2.0) * 800.0 / 1e3, 0.02);
}

#[test]
fn a_scan_wound_inside_out_is_read_like_one_that_is_not() {
    let skin = shapes::block(300.0, 200.0, 100.0);
    let scan = shapes::moved(&shapes::block(290.0, 190.0, 90.0), Vector::new(5.0, 5.0, 5.0));
    let (plain, turned) = (compare(&skin, &scan, 20.0), compare(&skin, &shapes::reversed(&scan), 20.0));
    assert_eq!(plain, turned);
    near(plain.fill_ml, 5.0 * (2.0 * (290.0 * 190.0 + 290.0 * 90.0 + 190.0 * 90.0)) / 1e3, 0.05);
}

#[test]
fn skin_without_a_scan_beside_it_is_told_as_unseen() {
    let skin = sheet([1000.0, 500.0], [1, 1], |_, _| 0.0);
    let scan = sheet([500.0, 500.0], [50, 50], |_, _| -3.0);
    let found = compare(&skin, &scan, 50.0);
    near(found.unseen_m2, 0.25, 0.02);
    near(found.fill_ml, 0.25 * 3.0 * 1e3, 0.02);
    let far = compare(&skin, &shapes::moved(&scan, Vector::new(0.0, 0.0, -200.0)), 50.0);
    near(far.unseen_m2, 0.5, 1e-9);
    assert_eq!((far.fill_ml, far.deepest), (0.0, None));
}

#[test]
fn a_triangle_is_parted_where_the_height_is_nought() {
    // Heights 2, -1, -1: the part that stands up is (2/3)^2 of the area and a pyramid over it of height 2.
    let (share, up, down) = parted([-1.0, 2.0, -1.0]);
    assert!((share - 4.0 / 9.0).abs() < 1e-12 && (up - 8.0 / 27.0).abs() < 1e-12 && (up + down).abs() < 1e-12);
    let (share, up, down) = parted([1.0, -2.0, 1.0]);
    assert!((share - 5.0 / 9.0).abs() < 1e-12 && (down + 8.0 / 27.0).abs() < 1e-12 && (up + down).abs() < 1e-12);
}
