//! Surfaces whose normals are known at every point.

use super::super::{CornerNormals, Facets};
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
    for (steps, stagger, most_deg) in [(16, 0.5, 0.001), (16, 0.3, 0.001), (40, 0.5, 0.001)] {
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
fn a_ball_of_coarse_facets_has_the_normals_of_the_ball_up_to_its_free_edges() {
    let mesh = staggered(&arc([0.0, 0.0], 50.0, [15.0, 90.0], 5), 24, 0.5, 1.0);
    let outward = mesh.normal(0).dot(&mesh.corners(0)[0].coords).signum();
    let (facets, fitted) = off_deg(&mesh, |point| point.coords.normalize() * outward);
    assert!(facets > 5.0 && fitted < 0.001, "facets {facets}, fitted {fitted}");
}

#[test]
fn a_coarse_fillet_round_a_corner_has_the_normals_of_the_ring() {
    let mesh = staggered(&arc([40.0, 0.0], 12.0, [5.0, 85.0], 4), 20, 0.5, 1.0);
    let centre = |point: &Point| Vector::new(point.x, point.y, 0.0).normalize() * 40.0;
    let outward = mesh.normal(0).dot(&(mesh.corners(0)[0].coords - centre(&mesh.corners(0)[0]))).signum();
    let (facets, fitted) = off_deg(&mesh, |point| (point.coords - centre(point)).normalize() * outward);
    assert!(facets > 5.0 && fitted < 0.001, "facets {facets}, fitted {fitted}");
}

/// Radius and height of points of a circle about a centre, by their angles from the axis.
fn arc(centre: [f64; 2], radius: f64, [from_deg, to_deg]: [f64; 2], steps: usize) -> Vec<(f64, f64)> {
    let at = |k: usize| sin_cos((from_deg + (to_deg - from_deg) * k as f64 / steps as f64).to_radians());
    (0..=steps).map(at).map(|(sin, cos)| (centre[0] + radius * sin, centre[1] + radius * cos)).collect()
}

#[test]
fn the_rows_of_a_fillet_are_not_taken_for_cones() {
    // Two rows tell no circle; as cones they would meet in a kink of 20 degrees.
    let mesh = staggered(&arc([40.0, 0.0], 12.0, [30.0, 70.0], 2), 20, 0.5, 1.0);
    let topology = Topology::of(&mesh);
    let own: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
    let normals = CornerNormals::with_open_ends(&Facets { mesh: &mesh, topology: &topology, normals: &own }, &[]);
    let middle = 12.0 * cos(50f64.to_radians());
    let lean = |normal: Vector| acos_clamped(normal.normalize().z.abs()).to_degrees();
    let corners = mesh.face_ids().flat_map(|face| mesh.corners(face).into_iter().zip(normals.of_face(face)));
    let leans: Vec<f64> =
        corners.filter(|(at, _)| (at.z - middle).abs() < 1e-9).map(|(_, normal)| lean(normal)).collect();
    assert!(leans.len() >= 100 && leans.iter().all(|lean| (lean - 50.0).abs() < 2.0), "{leans:?}");
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
    let net = Net::of(&facets, &before, bent(&facets, &before));
    assert!(net.bent.iter().any(|bent| *bent) && net.anchored.iter().any(|anchored| *anchored));
}
