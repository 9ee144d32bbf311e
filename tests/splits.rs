//! `matloft splits` through the built program: what it proposes is pasted into a job, planned, and looked at by sight.

mod common;

use common::files::{binary_stl, obj};
use common::program::{Bench, Ran};
use common::shapes::Triangle;
use common::solids;
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::mesh::{Mesh, Point, Vector};
use matloft::geometry::split::{Plane, cut};
use matloft::geometry::stitch::Surface;
use serde_json::Value;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

fn triple(value: &Value) -> [f64; 3] {
    [0, 1, 2].map(|axis| number(&value[axis]))
}

/// Runs `splits` on one mesh.
fn searched(triangles: &[Triangle], options: &[&str]) -> (Bench, Value) {
    let bench = Bench::new().with("panel.stl", binary_stl(triangles));
    let ran = bench.run(["splits", "panel.stl", "--units", "mm", "--json"].iter().chain(options));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let part = ran.json()["parts"][0].clone();
    (bench, part)
}

/// Whether nothing of a piece stands before any of it, looking along its pull: every facet is asked, by itself.
fn clears_by_sight(mesh: &Mesh, along: &Vector) -> bool {
    // Moeller and Trumbore (1997).
    let blocks = |from: &Point, face: u32| {
        let [a, b, c] = mesh.corners(face);
        let (ab, ac) = (b - a, c - a);
        let p = along.cross(&ac);
        let det = ab.dot(&p);
        if det.abs() < 1e-6 * ab.norm() * ac.norm() {
            return false;
        }
        let s = from - a;
        let (u, q) = (s.dot(&p) / det, s.cross(&ab));
        let (v, t) = (along.dot(&q) / det, ac.dot(&q) / det);
        u > 1e-6 && v > 1e-6 && u + v < 1.0 - 1e-6 && t > 0.05
    };
    mesh.face_ids().all(|face| {
        let [a, b, c] = mesh.corners(face);
        [[0.6, 0.2, 0.2], [0.2, 0.6, 0.2], [0.2, 0.2, 0.6]].into_iter().all(|[x, y, z]| {
            let at = Point::from(a.coords * x + b.coords * y + c.coords * z) + mesh.normal(face) * 1e-3;
            !mesh.face_ids().any(|other| other != face && blocks(&at, other))
        })
    })
}

/// The pieces that planes cut a mesh file into.
fn pieces(bench: &Bench, planes: &[Value]) -> Vec<(String, Mesh)> {
    let bytes = std::fs::read(bench.path("panel.stl")).expect("the mesh");
    let part = load(&bytes, "panel.stl", &LoadOptions::default()).parts.remove(0);
    let planes: Vec<(String, Plane)> = planes
        .iter()
        .map(|plane| {
            let (point, normal) = (Point::from(triple(&plane["point_mm"])), Vector::from(triple(&plane["normal"])));
            (plane["name"].as_str().expect("a name").to_owned(), Plane::at(point, normal).expect("a plane"))
        })
        .collect();
    let split = cut(&Surface::stitched(&part.mesh), &planes);
    split.pieces.iter().map(|piece| (piece.name.clone(), piece.mesh().clone())).collect()
}

/// The best proposal frees every piece: by sight, and when its lines are pasted into a job and planned.
fn frees(triangles: &[Triangle], options: &[&str]) -> Value {
    let (bench, part) = searched(triangles, options);
    assert_eq!(part["pull"]["releases"], false, "it locks in one");
    let best = part["proposals"][0].clone();
    assert_eq!(best["releases"], true, "{best}");
    let planes = best["planes"].as_array().expect("planes");
    let pieces = pieces(&bench, planes);
    let proposed = best["pieces"].as_array().expect("pieces");
    assert_eq!(pieces.len(), proposed.len());
    for ((name, mesh), piece) in pieces.iter().zip(proposed) {
        assert_eq!(piece["name"], name.as_str());
        let along = Vector::from(triple(&piece["pull"]["direction"]));
        assert!(clears_by_sight(mesh, &along), "{name} along {along} of {planes:?}");
    }
    planned(bench, &best);
    best
}

fn planned(bench: Bench, best: &Value) {
    let lines = best["job_lines"].as_str().expect("lines");
    let job = format!("units = \"mm\"\n\n[[part]]\nname = \"panel\"\nfile = \"panel.stl\"\n\n{lines}");
    let bench = bench.with("job.toml", &job);
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{job}\n{}", ran.err);
    let plan = ran.json();
    let builds = plan["parts"][0]["builds"].as_array().expect("builds");
    let mould = builds.iter().find(|build| build["make"] == "mould").expect("a mould");
    let pieces = mould["pieces"].as_array().expect("pieces");
    assert_eq!(pieces.len(), best["pieces"].as_array().expect("pieces").len());
    for piece in pieces {
        assert_eq!(piece["pull"]["releases"], true, "{}", piece["name"]);
        assert!(["comes", "tight"].iter().any(|answer| piece["release"]["answer"] == *answer));
    }
    let splits = pieces.iter().flat_map(|piece| piece["splits"].as_array().expect("splits"));
    // Each cut is listed by both of its pieces.
    let (lengths, flanges) = splits.fold((0.0, 0.0), |(lengths, flanges), split| {
        (lengths + 0.5 * number(&split["length_mm"]), flanges + number(&split["flange_m2"]))
    });
    let wanted = number(&best["cut_length_mm"]);
    assert!((lengths / wanted - 1.0).abs() < 0.01, "cut {lengths}, proposed {wanted}");
    let wanted = number(&best["flanges_m2"]);
    assert!((flanges / wanted - 1.0).abs() < 0.01, "flanges {flanges}, proposed {wanted}");
}

#[test]
fn a_closed_box_is_freed_by_the_shortest_cut() {
    let best = frees(&common::shapes::plain_box([200.0, 300.0, 500.0]), &[]);
    assert_eq!(best["planes"].as_array().map(Vec::len), Some(1));
    assert!((number(&best["cut_length_mm"]) - 1000.0).abs() < 1e-6);
}

#[test]
fn a_box_that_lies_askew_is_freed_along_its_own_edges() {
    let best = frees(&common::shapes::turned_box([200.0, 300.0, 500.0]), &[]);
    assert!(number(&best["least_draft_deg"]).abs() < 0.05);
    assert!((number(&best["cut_length_mm"]) - 1000.0).abs() < 0.1, "{}", best["cut_length_mm"]);
}

#[test]
fn a_ball_is_freed_at_its_equator() {
    let best = frees(&solids::ball(), &[]);
    let (point, normal) = (triple(&best["planes"][0]["point_mm"]), triple(&best["planes"][0]["normal"]));
    assert!(Vector::from(point).dot(&Vector::from(normal)).abs() < 0.5);
}

#[test]
fn a_mushroom_a_channel_and_a_lipped_tray_are_freed() {
    frees(&solids::mushroom(), &[]);
    frees(&solids::channel(), &[]);
    frees(&solids::lipped_tray(), &[]);
}
