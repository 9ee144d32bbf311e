//! Surfaces whose normals are known at every point.

use super::super::{CornerNormals, Facets, SMOOTH_DEG};
use super::*;
use crate::geometry::mesh::Mesh;
use crate::geometry::skin::shapes;
use crate::geometry::split::shapes::welded;
use crate::geometry::topology::Topology;
use crate::maths::{acos_clamped, cos, sin_cos, tan};

/// Rings of points, each turned against the one before by a share of a step, and the triangles between them.
fn staggered(rings: &[(f64, f64)], steps: usize, stagger: f64, oval: f64) -> Mesh {
    let at = |ring: usize, step: usize| {
        let (radius, z) = rings[ring];
        let share = ((step % steps) as f64 + stagger * ring as f64) / steps as f64;
        let (sin, cos) = sin_cos(std::f64::consts::TAU * share);
        Point::new(oval * radius * cos, radius * sin, z)
    };
    let mut triangles = Vec::new();
    for ring in 0..rings.len() - 1 {
        for step in 0..steps {
            let [a, b, c, d] = [at(ring, step), at(ring, step + 1), at(ring + 1, step), at(ring + 1, step + 1)];
            triangles.extend([[a, b, c], [b, d, c]]);
        }
    }
    welded(&triangles)
}

/// Greatest angle between the facets' own normals and the truth, and between the fitted ones and the truth, in degrees.
fn off_deg(mesh: &Mesh, truth: impl Fn(&Point) -> Vector) -> (f64, f64) {
    let topology = Topology::of(mesh);
    let own: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
    let normals = CornerNormals::with_open_ends(&Facets { mesh, topology: &topology, normals: &own }, &[]);
    let angle = |one: &Vector, other: &Vector| acos_clamped(one.dot(other)).to_degrees();
    let (mut facets, mut fitted) = (0.0f64, 0.0f64);
    for face in mesh.face_ids() {
        for (corner, normal) in mesh.corners(face).iter().zip(normals.of_face(face)) {
            let truth = truth(corner);
            // Draft against draft: what turns about the axis is the step, not the lean.
            let lean = |normal: &Vector| acos_clamped(normal.z).to_degrees();
            facets = facets.max((lean(&own[face as usize]) - lean(&truth)).abs());
            fitted = fitted.max(angle(&normal.normalize(), &truth));
        }
    }
    (facets, fitted)
}

#[test]
fn a_staggered_cone_has_the_normals_of_the_cone() {
    for (steps, stagger, most_deg) in [(16, 0.5, 0.1), (16, 0.3, 0.1), (40, 0.5, 0.02)] {
        let slope = tan(3f64.to_radians());
        let rings = [(60.0, 40.0), (60.0 + 20.0 * slope, 20.0), (60.0 + 40.0 * slope, 0.0)];
        let mesh = staggered(&rings, steps, stagger, 1.0);
        let outward = if mesh.normal(0).dot(&mesh.corners(0)[0].coords) > 0.0 { 1.0 } else { -1.0 };
        let (facets, fitted) = off_deg(&mesh, |point| {
            Vector::new(point.x, point.y, 0.0).normalize() * cos(3f64.to_radians()) * outward
                + Vector::z() * crate::maths::sin(3f64.to_radians()) * outward
        });
        assert!(facets > 10.0 * most_deg && fitted < most_deg, "{steps} {stagger}: facets {facets}, fitted {fitted}");
    }
}

#[test]
fn a_ball_of_coarse_facets_is_read_no_worse_than_by_its_facets() {
    let rings: Vec<(f64, f64)> = (1..=6)
        .map(|k| sin_cos((15.0 * f64::from(k)).to_radians()))
        .map(|(sin, cos)| (50.0 * sin, 50.0 * cos))
        .collect();
    let mesh = staggered(&rings, 24, 0.5, 1.0);
    let outward = mesh.normal(0).dot(&mesh.corners(0)[0].coords).signum();
    let (facets, fitted) = off_deg(&mesh, |point| point.coords.normalize() * outward);
    // At its free edges a ball leaves the fit open; it is no worse there than the facets.
    assert!(facets > 5.0 && fitted < facets, "facets {facets}, fitted {fitted}");
}

#[test]
fn the_walls_of_an_oval_stand_upright() {
    let mesh = staggered(&[(60.0, 30.0), (60.0, 0.0)], 24, 0.4, 1.6);
    let topology = Topology::of(&mesh);
    let own: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
    let normals = CornerNormals::with_open_ends(&Facets { mesh: &mesh, topology: &topology, normals: &own }, &[]);
    let steepest = own.iter().map(|normal| normal.z.abs()).fold(0.0, f64::max);
    let fitted =
        mesh.face_ids().flat_map(|face| normals.of_face(face)).map(|normal| normal.z.abs()).fold(0.0, f64::max);
    assert!(steepest > 0.01 && fitted < 0.005, "facets {steepest}, fitted {fitted}");
}

#[test]
fn the_normals_of_flats_beside_round_edges_do_not_change_by_a_bit() {
    let mesh = shapes::turned(&shapes::rounded_bar(60.0, 40.0, 8.0, 3, 90.0));
    let topology = Topology::of(&mesh);
    let own: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
    let facets = Facets { mesh: &mesh, topology: &topology, normals: &own };
    let (before, after) = (CornerNormals::of(&facets), CornerNormals::with_open_ends(&facets, &[]));
    let is_flat = |face: FaceId| {
        before.of_face(face).iter().all(|normal| normal.normalize().dot(&own[face as usize]) > FLAT_COSINE)
    };
    let flats: Vec<FaceId> = mesh.face_ids().filter(|&face| is_flat(face)).collect();
    assert!(flats.len() >= 8);
    assert!(flats.iter().all(|&face| before.of_face(face) == after.of_face(face)));
    let net = Net::of(&facets, &before, bent(&facets, &before), maths::cos(SMOOTH_DEG.to_radians()));
    assert!(net.bent.iter().any(|bent| *bent) && net.anchored.iter().any(|anchored| *anchored));
}
