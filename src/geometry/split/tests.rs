use std::f64::consts::{PI, TAU};

use proptest::prelude::*;

use super::super::mesh::{Mesh, Point, Vector};
use super::super::stitch::Surface;
use super::shapes::{cuboid, plate, steps, together, torus, tube, turned};
use super::*;
use crate::maths::{cos, sin};

fn named(planes: &[Plane]) -> Vec<(String, Plane)> {
    planes.iter().enumerate().map(|(k, &plane)| (format!("s{}", k + 1), plane)).collect()
}

fn split(mesh: &Mesh, planes: &[Plane]) -> SplitResult {
    cut(&Surface::stitched(mesh), &named(planes))
}

fn plane(point: [f64; 3], normal: [f64; 3]) -> Plane {
    Plane::at(Point::from(point), Vector::from(normal)).unwrap()
}

fn areas_mm2(result: &SplitResult) -> Vec<f64> {
    result.pieces.iter().map(|piece| 1e6 * piece.area_m2()).collect()
}

/// Sum over the pieces, which is twice the curve.
fn listed_mm(result: &SplitResult, name: &str) -> f64 {
    let cuts = result.pieces.iter().flat_map(|piece| &piece.cuts);
    cuts.filter(|cut| cut.split == name).map(|cut| cut.length_mm).sum()
}

fn assert_adds_up(mesh: &Mesh, result: &SplitResult) {
    let sum: f64 = result.pieces.iter().map(Piece::area_m2).sum();
    assert!((sum / mesh.area_m2() - 1.0).abs() < 1e-9, "{sum} of {}", mesh.area_m2());
}

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} for {expected}");
}

/// Source: plane geometry; box 2 x 3 x 5 cut square to its longest edge.
#[test]
fn a_box_cut_across_gives_two_pieces_and_a_cut_round_it() {
    let mesh = cuboid([20.0, 30.0, 50.0]);
    let result = split(&mesh, &[plane([0.0, 0.0, 10.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.iter().map(|piece| piece.name.as_str()).collect::<Vec<_>>(), ["a", "b"]);
    let areas = areas_mm2(&result);
    near(areas[0], 600.0 + 100.0 * 40.0);
    near(areas[1], 600.0 + 100.0 * 10.0);
    near(listed_mm(&result, "s1"), 200.0);
    let line = &result.pieces[0].cuts[0].lines;
    assert_eq!((line.len(), line[0].closed), (1, true));
    near(line[0].turning_rad, TAU);
    assert_eq!(result.pieces[0].cuts[0].against, [1]);
    assert!(result.missed.is_empty());
}

/// A closed convex curve turns by 2 pi; seen from the inside of the tube it is hollow and the sign is the other.
#[test]
fn the_cut_round_a_tube_gains_on_the_outside_and_loses_on_the_inside() {
    let mesh = turned(tube(40.0, 100.0, [24, 3]), 0.7, [10.0, -4.0, 30.0]);
    let axis = mesh.points_mm[3] - mesh.points_mm[0];
    let result = split(&mesh, &[Plane::at(mesh.points_mm[0] + axis * 0.4, axis).unwrap()]);
    near(result.pieces[0].cuts[0].lines[0].turning_rad, TAU);
    let mut inside_out = mesh;
    inside_out.faces.iter_mut().for_each(|face| face.swap(0, 1));
    let result = split(&inside_out, &[Plane::at(inside_out.points_mm[0] + axis * 0.4, axis).unwrap()]);
    near(result.pieces[0].cuts[0].lines[0].turning_rad, -TAU);
    near(result.pieces[1].cuts[0].lines[0].turning_rad, -TAU);
}

/// Source: hand calculation of a tube split through its axis: two halves, two straight cuts as long as the tube.
#[test]
fn a_tube_split_through_its_axis_has_two_straight_cuts() {
    // Through points of the mesh, and between them.
    for angle in [0.0, 0.1] {
        let mesh = tube(200.0, 1000.0, [48, 7]);
        let result = split(&mesh, &[plane([0.0; 3], [sin(angle), cos(angle), 0.0])]);
        assert_eq!(result.pieces.len(), 2);
        for piece in &result.pieces {
            near(piece.cuts[0].length_mm, 2000.0);
            assert_eq!(piece.cuts[0].lines.len(), 2);
            assert!(piece.cuts[0].lines.iter().all(|line| !line.closed && line.turning_rad.abs() < 1e-9));
        }
        assert_adds_up(&mesh, &result);
    }
}

#[test]
fn a_plane_along_existing_edges_still_cuts() {
    let mesh = plate([60.0, 40.0], [6, 4]);
    let result = split(&mesh, &[plane([20.0, 0.0, 0.0], [1.0, 0.0, 0.0])]);
    let areas = areas_mm2(&result);
    near(areas[0], 1600.0);
    near(areas[1], 800.0);
    near(listed_mm(&result, "s1"), 80.0);
    assert_eq!(result.pieces[0].mesh().faces.len() + result.pieces[1].mesh().faces.len(), 48);
}

#[test]
fn a_tread_that_lies_in_the_plane_goes_whole_to_one_side_and_is_told() {
    let mesh = steps(&[0.0, 30.0, 60.0], 60.0, 80.0);
    let result = split(&mesh, &[plane([0.0, 0.0, 30.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 2);
    let areas = areas_mm2(&result);
    near(areas[0], 80.0 * (60.0 + 30.0 + 60.0));
    near(areas[1], 80.0 * (60.0 + 30.0));
    near(listed_mm(&result, "s1"), 160.0);
    assert_eq!(result.in_plane.len(), 1);
    assert!(result.in_plane[0].to_plus && result.in_plane[0].cut_along);
    near(1e6 * result.in_plane[0].area_m2, 4800.0);
}

#[test]
fn a_plane_on_the_lid_of_a_box_touches_and_cuts_nothing() {
    let mesh = cuboid([20.0, 30.0, 50.0]);
    let result = split(&mesh, &[plane([0.0, 0.0, 50.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 1);
    assert!(result.pieces[0].cuts.is_empty());
    assert_eq!(result.missed, [Missed { split: "s1".into(), nearest_mm: 0.0, between: false }]);
    assert!(!result.in_plane[0].to_plus && !result.in_plane[0].cut_along);
}

#[test]
fn a_plane_that_grazes_a_torus_along_its_top_cuts_nothing() {
    let mesh = torus(100.0, 20.0, [36, 16]);
    let result = split(&mesh, &[plane([0.0, 0.0, 20.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 1);
    assert_eq!(result.missed.len(), 1);
    assert_eq!(result.missed[0].nearest_mm, 0.0);
}

#[test]
fn a_plane_beside_the_part_is_named_with_its_distance() {
    let mesh = cuboid([20.0, 30.0, 50.0]);
    let result = split(&mesh, &[plane([0.0, 0.0, 62.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 1);
    assert_eq!(result.missed[0].split, "s1");
    near(result.missed[0].nearest_mm, 12.0);
}

#[test]
fn a_torus_cut_upright_falls_into_two_and_cut_flat_into_two_rings() {
    let mesh = torus(100.0, 20.0, [36, 16]);
    let upright = split(&mesh, &[plane([3.0, 0.0, 0.0], [1.0, 0.0, 0.0])]);
    assert_eq!(upright.pieces.len(), 2);
    assert_eq!(upright.pieces[0].cuts[0].lines.len(), 2);
    let flat = split(&mesh, &[plane([0.0, 0.0, 3.0], [0.0, 0.0, 1.0])]);
    assert_eq!(flat.pieces.len(), 2);
    assert_eq!(flat.pieces[0].cuts[0].lines.len(), 2);
    let crossed = split(&mesh, &[plane([3.0, 0.0, 0.0], [1.0, 0.0, 0.0]), plane([0.0, 5.0, 0.0], [0.2, 1.0, 0.1])]);
    assert_eq!(crossed.pieces.len(), 4);
    assert_adds_up(&mesh, &crossed);
    // Off the middle, beyond the hole's rim: one end of the ring comes off as two horns would if the plane lay nearer.
    let horn = split(&mesh, &[plane([90.0, 0.0, 0.0], [1.0, 0.0, 0.0])]);
    assert_eq!(horn.pieces.len(), 2);
}

#[test]
fn one_side_of_a_plane_may_fall_into_several_pieces() {
    // A U of three plates seen from above, cut below its legs.
    let mesh = steps(&[50.0, 0.0, 50.0], 40.0, 20.0);
    let result = split(&mesh, &[plane([0.0, 0.0, 20.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 3);
    assert_eq!(result.pieces.iter().map(|piece| piece.on_plus_side[0]).collect::<Vec<_>>(), [true, true, false]);
    near(listed_mm(&result, "s1"), 80.0);
    assert_eq!(result.pieces[2].cuts[0].against, [0, 1]);
}

#[test]
fn without_planes_the_pieces_are_what_hangs_together() {
    let mesh = together(&cuboid([2.0, 3.0, 5.0]), &turned(cuboid([2.0, 3.0, 5.0]), 0.3, [20.0, 0.0, 0.0]));
    let result = split(&mesh, &[]);
    assert_eq!(result.pieces.len(), 2);
    near(areas_mm2(&result)[0], 62.0);
    let between = split(&mesh, &[plane([10.0, 0.0, 0.0], [1.0, 0.0, 0.0])]);
    assert_eq!(between.pieces.len(), 2);
    assert!(between.missed[0].between && between.missed[0].nearest_mm > 0.0);
}

#[test]
fn a_rib_on_a_plate_belongs_to_the_plate_and_its_foot_is_cut_once() {
    let mut triangles: Vec<[Point; 3]> = Vec::new();
    let mut quad = |corners: [[f64; 3]; 4]| {
        let [a, b, c, d] = corners.map(Point::from);
        triangles.extend([[a, b, c], [a, c, d]]);
    };
    quad([[0.0, 0.0, 0.0], [30.0, 0.0, 0.0], [30.0, 50.0, 0.0], [0.0, 50.0, 0.0]]);
    quad([[30.0, 0.0, 0.0], [70.0, 0.0, 0.0], [70.0, 50.0, 0.0], [30.0, 50.0, 0.0]]);
    quad([[30.0, 0.0, 0.0], [30.0, 50.0, 0.0], [30.0, 50.0, 20.0], [30.0, 0.0, 20.0]]);
    let mesh = shapes::welded(&triangles);
    assert_eq!(split(&mesh, &[]).pieces.len(), 1);
    let across = split(&mesh, &[plane([0.0, 20.0, 0.0], [0.0, 1.0, 0.0])]);
    assert_eq!(across.pieces.len(), 2);
    near(listed_mm(&across, "s1"), 2.0 * 90.0);
    // The plane of the rib's foot lies along an edge of three facets: plus and minus meet there once.
    let along = split(&mesh, &[plane([30.0, 0.0, 0.0], [1.0, 0.0, 0.0])]);
    assert_eq!(along.pieces.len(), 2);
    near(listed_mm(&along, "s1"), 2.0 * 50.0);
    assert_adds_up(&mesh, &along);
}

#[test]
fn every_sub_facet_knows_its_source_and_lies_in_it() {
    let mesh = turned(torus(100.0, 20.0, [18, 8]), 0.4, [5.0, 6.0, 7.0]);
    let result = split(&mesh, &[plane([3.0, 5.0, 0.0], [1.0, 0.3, 0.1]), plane([0.0, 5.0, 0.0], [0.2, 1.0, 0.1])]);
    let mut covered = vec![0.0; mesh.faces.len()];
    for piece in &result.pieces {
        for face in piece.mesh().face_ids() {
            let source = piece.source_faces()[face as usize];
            covered[source as usize] += piece.mesh().face_area_mm2(face);
            let area = piece.mesh().face_area_mm2(face);
            if area > 1e-6 {
                assert!(piece.mesh().normal(face).dot(&mesh.normal(source)) > 1.0 - 1e-9);
            }
        }
    }
    for face in mesh.face_ids() {
        assert!((covered[face as usize] - mesh.face_area_mm2(face)).abs() < 1e-9);
    }
}

#[test]
fn an_empty_mesh_gives_no_piece_and_misses_every_plane() {
    let result = split(&Mesh::default(), &[plane([0.0; 3], [0.0, 0.0, 1.0])]);
    assert!(result.pieces.is_empty());
    assert_eq!(result.missed.len(), 1);
}

fn fingerprint(result: &SplitResult) -> Vec<u64> {
    let points = result.pieces.iter().flat_map(|piece| &piece.mesh().points_mm);
    points.flat_map(|point| [point.x, point.y, point.z]).map(f64::to_bits).collect()
}

#[test]
fn one_thread_and_four_give_the_same_bits() {
    let mesh = turned(torus(300.0, 60.0, [200, 60]), 0.4, [5.0, 6.0, 7.0]);
    let planes = [plane([3.0, 5.0, 0.0], [1.0, 0.3, 0.1]), plane([0.0, 5.0, 0.0], [0.2, 1.0, 0.1])];
    let with = |n: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
        pool.install(|| fingerprint(&split(&mesh, &planes)))
    };
    assert_eq!(with(1), with(4));
}

/// The same cases on every run.
fn fixed(cases: u32) -> ProptestConfig {
    let rng_seed = proptest::test_runner::RngSeed::Fixed(7);
    ProptestConfig { cases, rng_seed, failure_persistence: None, ..ProptestConfig::default() }
}

prop_compose! {
    fn any_plane(reach: f64)(
        point in prop::array::uniform3(-reach..reach),
        normal in prop::array::uniform3(-1.0..1.0_f64).prop_filter("needs a direction", |n| n.iter().any(|x| x.abs() > 0.1)),
    ) -> Plane {
        plane(point, normal)
    }
}

/// What holds for every cut.
fn holds(mesh: &Mesh, planes: &[Plane]) {
    let result = split(mesh, planes);
    assert_adds_up(mesh, &result);
    for (k, named) in named(planes).iter().enumerate() {
        for side in [true, false] {
            let sum: f64 = result
                .pieces
                .iter()
                .filter(|piece| piece.on_plus_side[k] == side)
                .flat_map(|piece| &piece.cuts)
                .filter(|cut| cut.split == named.0)
                .map(|cut| cut.length_mm)
                .sum();
            near(sum, 0.5 * listed_mm(&result, &named.0));
        }
        for piece in &result.pieces {
            let farthest = piece
                .mesh()
                .points_mm
                .iter()
                .map(|point| named.1.signed_distance_mm(point))
                .map(|d| if piece.on_plus_side[k] { -d } else { d })
                .fold(f64::NEG_INFINITY, f64::max);
            assert!(farthest < 1e-3 || result.flakes > 0, "{farthest}");
        }
    }
}

proptest! {
    #![proptest_config(fixed(96))]

    #[test]
    fn both_sides_of_a_cut_add_up_on_any_box(
        size in prop::array::uniform3(5.0..80.0_f64), angle in 0.0..PI,
        planes in prop::collection::vec(any_plane(60.0), 1..4),
    ) {
        holds(&turned(cuboid(size), angle, [3.0, -7.0, 11.0]), &planes);
    }

    #[test]
    fn both_sides_of_a_cut_add_up_on_any_tube(
        radius in 10.0..50.0_f64, n in 3_usize..30, rows in 1_usize..5, angle in 0.0..PI,
        planes in prop::collection::vec(any_plane(40.0), 1..4),
    ) {
        holds(&turned(tube(radius, 70.0, [n, rows]), angle, [3.0, -7.0, -20.0]), &planes);
    }

    /// A plane through a corner of the mesh, or along an edge of it, is no different.
    #[test]
    fn planes_through_points_of_the_mesh_cut_as_any_other(
        n in 3_usize..24, small in 5.0..30.0_f64, corner in 0_usize..500, normal in prop::array::uniform3(-1.0..1.0_f64),
        along in any::<bool>(),
    ) {
        let mesh = turned(torus(60.0, small, [n, 8]), 0.6, [1.0, 2.0, 3.0]);
        let face = mesh.corners((corner % mesh.faces.len()) as u32);
        let mut normal = Vector::from(normal);
        if along {
            normal = normal.cross(&(face[1] - face[0]));
        }
        prop_assume!(normal.norm() > 0.1);
        holds(&mesh, &[Plane::at(face[0], normal).unwrap()]);
    }
}

/// A can without a lid whose wall comes in two rings and a floor, each meshed apart: the circles where they meet are cut
/// into different chords, so that cracks run along both.
fn unsewn_can(chords: [usize; 3]) -> Mesh {
    let ring = |n: usize, from: f64, to: f64| {
        shapes::grid([n, 3], [true, false], |u, v| {
            Point::new(80.0 * cos(TAU * u), 80.0 * sin(TAU * u), from + (to - from) * v)
        })
    };
    let n = chords[2];
    let floor = shapes::grid([n, 2], [true, false], |u, v| {
        Point::new((80.0 - 70.0 * v) * cos(TAU * u), -(80.0 - 70.0 * v) * sin(TAU * u), 0.0)
    });
    let mut floor = floor;
    floor.faces.iter_mut().for_each(|face| face.swap(0, 1));
    let mut wall = ring(chords[0], 0.0, 40.0);
    wall.faces.iter_mut().for_each(|face| face.swap(0, 1));
    let mut upper = ring(chords[1], 40.0, 90.0);
    upper.faces.iter_mut().for_each(|face| face.swap(0, 1));
    together(&together(&wall, &upper), &floor)
}

#[test]
fn faces_meshed_apart_are_one_piece_and_a_cut_across_their_seams_is_one_line() {
    let mesh = unsewn_can([60, 47, 53]);
    assert_eq!(split(&mesh, &[]).pieces.len(), 1);
    // Across both seams: up one wall, over the floor, up the other; the drain in the floor parts it in two.
    let result = split(&mesh, &[plane([4.0, 0.0, 0.0], [1.0, 0.1, 0.0])]);
    assert_eq!(result.pieces.len(), 2);
    assert_eq!(result.pieces[0].cuts[0].lines.len(), 2);
    let sewn = split(&unsewn_can([50, 50, 50]), &[plane([4.0, 0.0, 0.0], [1.0, 0.1, 0.0])]);
    let error = listed_mm(&result, "s1") / listed_mm(&sewn, "s1") - 1.0;
    assert!(error.abs() < 2e-3, "{error}");
    assert_adds_up(&mesh, &result);
}

#[test]
fn a_plane_along_a_seam_cuts_it_once() {
    let mesh = unsewn_can([60, 47, 53]);
    let result = split(&mesh, &[plane([0.0, 0.0, 40.0], [0.0, 0.0, 1.0])]);
    assert_eq!(result.pieces.len(), 2);
    // As long as the chords of the upper ring, from either side.
    let chords = 47.0 * 2.0 * 80.0 * sin(PI / 47.0);
    assert!((result.pieces[0].cuts[0].length_mm / chords - 1.0).abs() < 1e-6);
    assert_eq!(result.pieces[0].cuts[0].length_mm, result.pieces[1].cuts[0].length_mm);
    assert!(result.pieces[0].cuts[0].lines[0].closed);
    assert_eq!(result.pieces[0].cuts[0].lines.len(), 1);
    // On the floor it touches only.
    let touching = split(&mesh, &[plane([0.0, 0.0, 0.0], [0.0, 0.0, 1.0])]);
    assert_eq!((touching.pieces.len(), touching.missed.len()), (1, 1));
    assert!(!touching.in_plane[0].cut_along);
}

proptest! {
    #![proptest_config(fixed(128))]

    /// Pieces of an unsewn export are those of the sewn one. Planes that graze a seam are left out: there the two meshes
    /// truly differ.
    #[test]
    fn a_can_meshed_apart_falls_into_the_pieces_of_the_sewn_one(
        cut_at in any_plane(60.0), upper in 40_usize..80, floor in 40_usize..80,
    ) {
        let sewn = unsewn_can([60, 60, 60]);
        let apart = unsewn_can([60, upper, floor]);
        let count = |mesh: &Mesh| {
            let result = split(mesh, &[cut_at]);
            assert_adds_up(mesh, &result);
            let shares: Vec<f64> = result.pieces.iter().map(|piece| piece.area_m2() / mesh.area_m2()).collect();
            let large = shares.iter().filter(|&&share| share > 2e-3).count();
            (large, listed_mm(&result, "s1"), shares.iter().any(|share| (1e-5..2e-2).contains(share)))
        };
        let (whole, parts) = (count(&sewn), count(&apart));
        prop_assume!(!whole.2 && !parts.2);
        prop_assert_eq!(whole.0, parts.0);
        prop_assert!((whole.1 - parts.1).abs() < 0.01 * whole.1.max(200.0), "{} {}", whole.1, parts.1);
    }
}
