use std::f64::consts::{PI, TAU};

use super::*;
use crate::geometry::offset::face_growth;
use crate::geometry::stitch::Surface;
use crate::laminate::plies::plan_plies;
use crate::laminate::stock::{Stock, StockFile};
use crate::maths::{cos, sin, sin_cos};

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

/// A plan from layers alone; no gelcoat unless named.
fn plan(head: &str, layers: &str) -> PliesPlan {
    let text = format!("make = 'mould'\nresin = 'polyester'\n{head}\nlayers = [{layers}]");
    let stock = Stock::starter().expect("the starter stock");
    plan_plies("example", &toml::from_str(&text).expect("a schedule"), &stock).expect("a plan")
}

/// One ply so thin that it lies on the face itself, of 1 kg/m2 in all: 1 g of glass to 999 g of resin, dense as lead is not.
fn film() -> PliesPlan {
    let text = "[reinforcement.film]\nkind = 'mat'\nbinder = 'powder'\nnext_to_gelcoat = true\nareal_weight_g_m2 = 400\n\
                glass_density_g_cm3 = 1e9\nresin_kg_m2 = 0.6\ninside_limit_mm = 1\noutside_limit_mm = 1\nlap_mm = 10\n\
                [resin.polyester]\ncured_density_g_cm3 = 1e9";
    let stock = Stock::with(toml::from_str::<StockFile>(text).expect("stock")).expect("stock");
    let schedule = "make = 'mould'\nresin = 'polyester'\nlayers = [{ material = 'film' }]";
    plan_plies("film", &toml::from_str(schedule).expect("a schedule"), &stock).expect("a plan")
}

fn quad(points: [[f64; 3]; 4]) -> Mesh {
    Mesh { points_mm: points.map(Point::from).to_vec(), faces: vec![[0, 1, 2], [0, 2, 3]] }
}

/// A turned shell of a box, closed, with sides in mm.
fn turned_box(sides: [f64; 3]) -> (Mesh, Matrix3<f64>, Vector) {
    let turn = Matrix3::new(0.36, 0.48, -0.8, -0.8, 0.6, 0.0, 0.48, 0.64, 0.6);
    let shift = Vector::new(1500.0, -700.0, 333.0);
    let corner = |k: usize| {
        let part = |axis: usize| if k >> axis & 1 == 1 { sides[axis] } else { 0.0 };
        Point::from(turn * Vector::new(part(0), part(1), part(2)) + shift)
    };
    let faces = vec![
        [0, 2, 3],
        [0, 3, 1],
        [4, 5, 7],
        [4, 7, 6],
        [0, 1, 5],
        [0, 5, 4], // z, z, y
        [2, 6, 7],
        [2, 7, 3],
        [0, 4, 6],
        [0, 6, 2],
        [1, 3, 7],
        [1, 7, 5],
    ];
    let centre = turn * Vector::new(sides[0], sides[1], sides[2]) * 0.5 + shift;
    (Mesh { points_mm: (0..8).map(corner).collect(), faces }, turn, centre)
}

fn rows_to_mesh(rows: &[Vec<Point>]) -> Mesh {
    let n = rows[0].len();
    let mut mesh = Mesh { points_mm: rows.concat(), faces: Vec::new() };
    for row in 0..rows.len() - 1 {
        for column in 0..n {
            let next = (column + 1) % n;
            let [a, b] = [column, next].map(|column| (row * n + column) as u32);
            mesh.faces.extend([[a, b, b + n as u32], [a, b + n as u32, a + n as u32]]);
        }
    }
    mesh
}

fn matrix(properties: &MassProperties) -> Matrix3<f64> {
    Matrix3::from_fn(|row, column| properties.inertia_kg_m2[row][column])
}

/// Source: closed form: six plates, each with its own inertia and its arm (parallel axes); then turned.
#[test]
fn a_turned_box_shell_weighs_and_turns_as_its_six_plates() {
    let sides_mm = [200.0, 300.0, 500.0];
    let (mesh, turn, centre_mm) = turned_box(sides_mm);
    let plan = film();
    let coverage = Coverage::everywhere(&plan, mesh.faces.len());
    let properties = mass_properties(&coverage, &plan, &mesh, Side::Outward, None).expect("mass");
    let [a, b, c] = sides_mm.map(|side| side * 1e-3);
    let mass_kg = 2.0 * (a * b + b * c + c * a);
    near(properties.mass_kg, mass_kg, 1e-9);
    let centre = Vector::from(properties.centre_of_mass_mm);
    assert!((centre - centre_mm).norm() < 1e-6, "{centre}");
    // Second moment along x: the plates along x spread over a^2/12, the two across it stand a/2 off.
    let along = |a: f64, b: f64, c: f64| 2.0 * ((a * b + c * a) * a * a / 12.0 + b * c * a * a / 4.0);
    let (x, y, z) = (along(a, b, c), along(b, c, a), along(c, a, b));
    let inertia = Matrix3::from_diagonal(&Vector::new(y + z, z + x, x + y));
    let expected = turn * inertia * turn.transpose();
    assert!((matrix(&properties) - expected).norm() < 1e-9, "{}", matrix(&properties) - expected);
}

/// Source: thin hemisphere: centre at R/2, inertia 2/3 m R^2 about its axis, 5/12 m R^2 across it through the centre.
#[test]
fn a_hemisphere_has_its_centre_half_way_up() {
    let (radius_mm, n) = (400.0, 120);
    let ring = |k: usize| {
        let (sin_lat, cos_lat) = sin_cos(0.5 * PI * (n - k) as f64 / n as f64);
        let angles = (0..4 * n).map(move |j| TAU * j as f64 / (4 * n) as f64);
        angles
            .map(|angle| Point::new(sin_lat * cos(angle), sin_lat * sin(angle), cos_lat) * radius_mm)
            .collect::<Vec<_>>()
    };
    let mesh = rows_to_mesh(&(0..=n).map(ring).collect::<Vec<_>>());
    let plan = film();
    let coverage = Coverage::everywhere(&plan, mesh.faces.len());
    let properties = mass_properties(&coverage, &plan, &mesh, Side::Outward, None).expect("mass");
    let (mass_kg, radius_m) = (TAU * 0.16, 0.4);
    near(properties.mass_kg, mass_kg, 1e-4 * mass_kg);
    near(properties.centre_of_mass_mm[2], 200.0, 0.02);
    near(properties.centre_of_mass_mm[0], 0.0, 1e-6);
    near(properties.inertia_kg_m2[2][2], 2.0 / 3.0 * mass_kg * radius_m * radius_m, 3e-4 * mass_kg * 0.16);
    near(properties.inertia_kg_m2[0][0], 5.0 / 12.0 * mass_kg * radius_m * radius_m, 3e-4 * mass_kg * 0.16);
}

/// Source: thin tube: m R^2 about its axis, m (R^2/2 + L^2/12) across it. The layer lies at mid-depth on either side.
#[test]
fn a_tube_of_mat_has_its_mass_at_its_mid_depth() {
    let (radius_mm, length_mm, n) = (200.0, 700.0, 180);
    let ring = |z: f64| {
        let angles = (0..n).map(|k| TAU * k as f64 / n as f64);
        angles.map(|angle| Point::new(radius_mm * cos(angle), radius_mm * sin(angle), z)).collect::<Vec<_>>()
    };
    let mesh = rows_to_mesh(&[ring(0.0), ring(length_mm)]);
    let plan = plan("", "{ material = 'mat 450', plies = 4 }");
    let coverage = Coverage::everywhere(&plan, mesh.faces.len());
    let surface = Surface::stitched(&mesh);
    for (side, sign) in [(Side::Outward, 1.0), (Side::Inward, -1.0)] {
        let growth = face_growth(&surface, side);
        let properties = mass_properties(&coverage, &plan, &mesh, side, Some(&growth)).expect("mass");
        // By hand, ply by ply: 1.575 kg/m2 at 0.557, 1.670, 2.783 and 3.897 mm.
        let radii_m = [0.5, 1.5, 2.5, 3.5].map(|k| (radius_mm + sign * k * 1.11328) * 1e-3);
        let masses_kg = radii_m.map(|radius_m| 1.575 * TAU * radius_m * 0.7);
        let mass_kg: f64 = masses_kg.iter().sum();
        let about_axis: f64 = masses_kg.iter().zip(radii_m).map(|(mass, radius)| mass * radius * radius).sum();
        near(properties.mass_kg, mass_kg, 3e-4 * mass_kg);
        near(properties.centre_of_mass_mm[2], 350.0, 1e-6);
        near(properties.inertia_kg_m2[2][2], about_axis, 1e-3 * about_axis);
        near(properties.inertia_kg_m2[1][1], 0.5 * about_axis + mass_kg * 0.49 / 12.0, 1e-3 * mass_kg);
    }
}

#[test]
fn a_zone_adds_plies_thickness_and_mass_only_where_it_lies() {
    let mesh = quad([[0.0, 0.0, 0.0], [1000.0, 0.0, 0.0], [1000.0, 600.0, 0.0], [0.0, 600.0, 0.0]]);
    let plan = plan("", "{ material = 'mat 225' }, { material = 'mat 450', zone = { region = 'hinge' } }");
    let mut coverage = Coverage::everywhere(&plan, 2);
    coverage.add(2, [1]);
    assert_eq!(coverage.counts(), [1, 2]);
    let thickness = coverage.thickness_mm(&plan);
    near(thickness[0], 0.55664, 1e-5);
    near(thickness[1], 0.55664 + 1.11328, 1e-5);
    near(ply_area(&coverage, &plan, 1, &mesh, None).net_m2, 0.6, 1e-12);
    near(ply_area(&coverage, &plan, 2, &mesh, None).net_m2, 0.3, 1e-12);
    let properties = mass_properties(&coverage, &plan, &mesh, Side::Outward, None).expect("mass");
    near(properties.mass_kg, 0.6 * 0.225 * 3.5 + 0.3 * 0.45 * 3.5, 1e-9);
    // The patch sits on the first ply: the centre rises towards its middle.
    assert!((0.27..1.2).contains(&properties.centre_of_mass_mm[2]));
}

/// Source: own sum. A bonding mat lies under its core; a tapered facet has less of the core and all of its mat.
#[test]
fn a_core_runs_out_over_its_taper() {
    let mesh = quad([[0.0, 0.0, 0.0], [400.0, 0.0, 0.0], [400.0, 300.0, 0.0], [0.0, 300.0, 0.0]]);
    let plan = plan("", "{ material = 'mat 450' }, { material = 'foam core 5' }, { material = 'mat 450' }");
    assert_eq!(
        plan.plies.iter().map(|ply| ply.material.as_str()).collect::<Vec<_>>(),
        ["mat 450", "mat 300", "foam core 5", "mat 450"]
    );
    let Stuff::Core { taper_mm } = plan.plies[2].stuff else { panic!("ply 3 is the core") };
    near(taper_mm, 15.0, 1e-12);
    let mut coverage = Coverage::everywhere(&plan, 2);
    let full = coverage.thickness_mm(&plan);
    coverage.core_share = vec![1.0, core_share(6.0, taper_mm)];
    let tapered = coverage.thickness_mm(&plan);
    near(full[0], 5.0 + 2.0 * 1.11328 + 0.74219, 1e-4);
    near(tapered[0], full[0], 1e-12);
    near(full[1] - tapered[1], 5.0 * 0.6, 1e-9);
    let whole = mass_properties(&Coverage::everywhere(&plan, 2), &plan, &mesh, Side::Outward, None).expect("mass");
    let less = mass_properties(&coverage, &plan, &mesh, Side::Outward, None).expect("mass");
    near(whole.mass_kg - less.mass_kg, 0.06 * 0.4 * 0.6, 1e-9);
}

#[test]
fn two_halves_weighed_apart_are_the_whole() {
    let (mesh, ..) = turned_box([200.0, 300.0, 500.0]);
    let plan = film();
    let whole = mass_properties(&Coverage::everywhere(&plan, 12), &plan, &mesh, Side::Outward, None).expect("mass");
    let part = |faces: &[u32]| {
        let part = mesh.submesh(faces);
        let coverage = Coverage::everywhere(&plan, part.faces.len());
        mass_properties(&coverage, &plan, &part, Side::Outward, None).expect("mass")
    };
    let joined = part(&[0, 1, 2, 3, 4]).and(&part(&[5, 6, 7, 8, 9, 10, 11]));
    near(joined.mass_kg, whole.mass_kg, 1e-12);
    for axis in 0..3 {
        near(joined.centre_of_mass_mm[axis], whole.centre_of_mass_mm[axis], 1e-9);
    }
    assert!((matrix(&joined) - matrix(&whole)).norm() < 1e-12);
    // A body of twice the mass is itself joined to itself.
    let (twice, joined_twice) = (whole.scaled(2.0), whole.and(&whole));
    near(twice.mass_kg, joined_twice.mass_kg, 1e-12);
    assert!((matrix(&twice) - matrix(&joined_twice)).norm() < 1e-12);
    let loose = mass_of_triangles(mesh.face_ids().map(|face| (mesh.corners(face), mesh.face_area_mm2(face) * 1e-6)));
    near(loose.expect("mass").mass_kg, whole.mass_kg, 1e-12);
}

#[test]
fn a_ply_grows_to_the_depth_it_lies_at() {
    let radius_mm = 200.0;
    let ring = |z: f64| {
        let angles = (0..90).map(|k| TAU * f64::from(k) / 90.0);
        angles.map(|angle| Point::new(radius_mm * cos(angle), radius_mm * sin(angle), z)).collect::<Vec<_>>()
    };
    let mesh = rows_to_mesh(&[ring(0.0), ring(500.0)]);
    let plan = plan("gelcoat = 'mould gelcoat'", "{ material = 'mat 450', plies = 2 }");
    let coverage = Coverage::everywhere(&plan, mesh.faces.len());
    let growth = face_growth(&Surface::stitched(&mesh), Side::Outward);
    let second = ply_area(&coverage, &plan, 2, &mesh, Some(&growth));
    // 0.8 mm of gelcoat, one ply of 1.113, half a ply.
    near(second.grown_m2 - second.net_m2, TAU * (0.8 + 1.5 * 1.11328) * 500.0 * 1e-6, 1e-8);
    near(plan.plies[1].mid_depth_mm(), 0.8 + 1.5 * 1.11328, 1e-4);
    let gelcoat = face_area(&mesh, Some(&growth), 0.4);
    near(gelcoat.grown_m2 - gelcoat.net_m2, TAU * 0.4 * 0.5 * 1e-3, 1e-8);
}

#[test]
fn a_set_of_plies_holds_what_was_put_in() {
    let set = PlySet::default().with(1).with(128).with(129).with(0);
    assert!(set.holds(1) && set.holds(128) && !set.holds(2) && !set.holds(129) && !set.holds(0));
    assert_eq!(set.count(), 2);
}
