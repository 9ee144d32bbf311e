//! Closed shapes that one or two planes free.

use super::super::tests::revolved;
use super::*;
use crate::geometry::mesh::Mesh;
use crate::geometry::mesh::Vector;
use crate::geometry::skin::shapes as solids;
use crate::maths::sin_cos;

const ONE: SplitSearch =
    SplitSearch { n_planes: 1, wanted_draft_deg: 3.0, enough_deg: -90.0, least_deg: -90.0, most: 5 };
const TWO: SplitSearch = SplitSearch { n_planes: 2, ..ONE };

/// Checks a proposal by sight alone, without normals or hulls: from points all over a piece, nothing of the piece stands in
/// the way along its pull. Every facet is asked, so this is for small meshes.
fn clears_by_sight(mesh: &Mesh, direction: &Vector) -> bool {
    let blocks = |from: &Point, face: u32| {
        // Moeller and Trumbore (1997), with a step off the face.
        let [a, b, c] = mesh.corners(face);
        let (ab, ac) = (b - a, c - a);
        let p = direction.cross(&ac);
        let det = ab.dot(&p);
        if det.abs() < 1e-9 {
            return false;
        }
        let s = from - a;
        let u = s.dot(&p) / det;
        let q = s.cross(&ab);
        let v = direction.dot(&q) / det;
        let t = ac.dot(&q) / det;
        u > 1e-6 && v > 1e-6 && u + v < 1.0 - 1e-6 && t > 0.05
    };
    mesh.face_ids().all(|face| {
        let [a, b, c] = mesh.corners(face);
        let normal = mesh.normal(face);
        [[0.6, 0.2, 0.2], [0.2, 0.6, 0.2], [0.2, 0.2, 0.6]].into_iter().all(|[x, y, z]| {
            let at = Point::from(a.coords * x + b.coords * y + c.coords * z) + normal * 1e-3;
            !mesh.face_ids().any(|other| other != face && blocks(&at, other))
        })
    })
}

fn frees(mesh: &Mesh, search: &SplitSearch) -> Proposal {
    let surface = Surface::stitched(mesh);
    let found = propose(&Face::of(&surface), &[], search).proposals;
    let first = found.first().expect("a proposal");
    let planes: Vec<String> = first.planes.iter().map(|(_, plane)| format!("{:?}", plane.unit_normal.data)).collect();
    assert!(first.releases, "{planes:?}: {} deg", first.least_draft_deg);
    let named: Vec<(String, Plane)> = first.planes.iter().map(|(_, plane)| ("split".to_owned(), *plane)).collect();
    for (piece, proposed) in cut(&surface, &named).pieces.iter().zip(&first.pieces) {
        assert!(clears_by_sight(piece.mesh(), &proposed.pull.direction), "{planes:?} {}", proposed.name);
    }
    first.clone()
}

fn ball() -> Mesh {
    let profile: Vec<[f64; 2]> = (0..=24)
        .map(|k| sin_cos(std::f64::consts::PI * f64::from(k) / 24.0))
        .map(|(sin, cos)| [50.0 * sin, 50.0 * cos])
        .collect();
    revolved(&profile, 36)
}

#[test]
fn a_closed_box_is_freed_by_one_plane_along_an_axis() {
    let found = frees(&solids::block(200.0, 300.0, 500.0), &ONE);
    assert!(found.least_draft_deg.abs() < 0.05 && found.pieces.len() == 2);
    // Of the planes that do it the one square to the longest side cuts shortest.
    assert!(found.planes[0].1.unit_normal.z.abs() > 1.0 - 1e-9);
    assert!((found.cut_length_mm - 1000.0).abs() < 1e-6, "{}", found.cut_length_mm);
    // Two flanges of 75 mm round a rectangle: four corners make a full circle more.
    let flange = 2.0 * (1000.0 * 75.0 + std::f64::consts::PI * 75.0 * 75.0) * 1e-6;
    assert!((found.flanges_m2(75.0) / flange - 1.0).abs() < 1e-9, "{}", found.flanges_m2(75.0));
}

#[test]
fn a_ball_is_parted_at_its_equator() {
    let found = frees(&ball(), &ONE);
    assert!(found.least_draft_deg.abs() < 0.1, "{}", found.least_draft_deg);
    let plane = found.planes[0].1;
    assert!(plane.point_mm.coords.dot(&plane.unit_normal).abs() < 0.5, "{}", plane.point_mm);
}

#[test]
fn a_mushroom_is_parted_through_its_stem() {
    let profile = [[0.0, 50.0], [80.0, 50.0], [80.0, 40.0], [20.0, 40.0], [20.0, 0.0], [0.0, 0.0]];
    frees(&revolved(&profile, 36), &ONE);
}

#[test]
fn a_channel_with_both_ends_closed_is_freed() {
    // A C: back and two arms, the mouth towards +x.
    let outline = [
        [0.0, 0.0],
        [120.0, 0.0],
        [120.0, 20.0],
        [20.0, 20.0],
        [20.0, 80.0],
        [120.0, 80.0],
        [120.0, 100.0],
        [0.0, 100.0],
    ];
    frees(&solids::prism(&outline, 300.0), &ONE);
}

#[test]
fn a_cross_of_three_spools_is_not_said_to_be_freed_by_one_plane() {
    // Three rods square to one another with knobs at their ends.
    let spool = [
        [0.0, 100.0],
        [30.0, 100.0],
        [30.0, 80.0],
        [12.0, 80.0],
        [12.0, -80.0],
        [30.0, -80.0],
        [30.0, -100.0],
        [0.0, -100.0],
    ];
    let one = revolved(&spool, 24);
    let along = |turn: fn(&Point) -> Point| Mesh {
        points_mm: one.points_mm.iter().map(turn).collect(),
        faces: one.faces.clone(),
    };
    let x = along(|point| Point::new(point.z, point.x, point.y));
    let y = along(|point| Point::new(point.y, point.z, point.x));
    let cross = solids::joined(&[one.clone(), x, y]);
    let surface = Surface::stitched(&cross);
    let found = propose(&Face::of(&surface), &[], &ONE).proposals;
    assert!(found.iter().all(|proposal| !proposal.releases));
}

#[test]
fn a_marked_plane_is_tried_and_keeps_its_name() {
    let mesh = solids::block(200.0, 300.0, 500.0);
    let surface = Surface::stitched(&mesh);
    let plane = Plane { point_mm: Point::new(0.0, 0.0, 180.0), unit_normal: Vector::z() };
    let found = propose(&Face::of(&surface), &[("waist".to_owned(), plane)], &ONE).proposals;
    assert_eq!(found[0].planes[0].0.as_deref(), Some("waist"));
}

#[test]
fn a_second_plane_is_not_proposed_where_one_is_enough() {
    let mesh = solids::block(200.0, 300.0, 500.0);
    let found = propose(&Face::of(&Surface::stitched(&mesh)), &[], &TWO).proposals;
    assert!(found[0].releases && found.iter().all(|proposal| proposal.planes.len() == 1));
}

#[test]
fn a_shape_that_one_plane_does_not_free_is_freed_by_two() {
    // Two drums square to each other, end to end, each with a waist: either wants a plane through its own axis.
    let spool = [
        [0.0, 100.0],
        [30.0, 100.0],
        [30.0, 60.0],
        [15.0, 40.0],
        [15.0, -40.0],
        [30.0, -60.0],
        [30.0, -100.0],
        [0.0, -100.0],
    ];
    let one = revolved(&spool, 24);
    let other = Mesh {
        points_mm: one.points_mm.iter().map(|point| Point::new(point.z, point.x, point.y + 260.0)).collect(),
        faces: one.faces.clone(),
    };
    let both = solids::joined(&[one, other]);
    let surface = Surface::stitched(&both);
    let found = propose(&Face::of(&surface), &[], &TWO).proposals;
    assert!(found[0].releases, "{} deg by {} planes", found[0].least_draft_deg, found[0].planes.len());
}
