//! `matloft splits` through the built program: what it proposes is pasted into a job, planned, and looked at by sight.

mod common;

use common::files::binary_stl;
use common::program::Bench;
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

/// How far off a facet one looks, in mm; what stands less before it is none.
const OFF_MM: f64 = 1e-3;

/// Whether nothing of a piece stands before any of it, looking along its pull from so far off: every facet is asked, by itself.
fn clears_by_sight(mesh: &Mesh, along: &Vector, off_mm: f64) -> bool {
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
            let at = Point::from(a.coords * x + b.coords * y + c.coords * z) + mesh.normal(face) * off_mm;
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
    frees_seen_from(triangles, options, OFF_MM)
}

/// The same, looked at from so far off the facets.
fn frees_seen_from(triangles: &[Triangle], options: &[&str], off_mm: f64) -> Value {
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
        assert!(clears_by_sight(mesh, &along, off_mm), "{name} along {along} of {planes:?}");
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
    let askew = common::shapes::turned_box([200.0, 300.0, 500.0]);
    let best = frees(&askew, &[]);
    assert!(number(&best["least_draft_deg"]).abs() < 0.05);
    // Square to its own longest edge the cut is shortest; a plane square to an axis of the drawing comes first.
    let (_, part) = searched(&askew, &[]);
    let proposals = part["proposals"].as_array().expect("proposals");
    assert!(proposals.iter().any(|found| (number(&found["cut_length_mm"]) - 1000.0).abs() < 0.1), "{proposals:?}");
}

#[test]
fn a_ball_is_freed_at_its_equator() {
    let best = frees(&solids::ball(), &[]);
    let (point, normal) = (triple(&best["planes"][0]["point_mm"]), triple(&best["planes"][0]["normal"]));
    assert!(Vector::from(point).dot(&Vector::from(normal)).abs() < 0.5);
}

#[test]
fn two_balls_apart_are_freed_by_two_planes() {
    let mut balls = solids::ball();
    balls.extend(common::shapes::moved(&solids::ball(), [37.0, 61.0, 143.0]));
    let best = frees(&balls, &["--planes", "2"]);
    // A plane of its own for each ball. None runs beyond the equator as far as rounding of upright walls is forgiven, 0.05
    // degrees: what may be left out of a draft, 2e-4 of the area, is a strip of 0.01 mm there, and planes are told to that.
    for piece in best["pieces"].as_array().expect("pieces") {
        assert!(number(&piece["pull"]["least_draft_deg"]) > -0.03, "{piece}");
    }
}

#[test]
fn two_balls_that_stand_askew_with_their_feet_cut_off_are_freed_by_two_planes() {
    let askew = |way: fn([f64; 3]) -> [f64; 3]| -> Vec<Triangle> {
        solids::ball_240().into_iter().map(|triangle| triangle.map(way)).collect()
    };
    let mut balls = askew(common::shapes::turned);
    let twice = |point| common::shapes::turned(common::shapes::turned(point));
    balls.extend(common::shapes::moved(&askew(twice), [91.0, -53.0, 127.0]));
    // A plane cuts facets askew, and what it leaves of one may lean as far as the facet strays from the ball: 50 mm in
    // steps of 10 degrees, 0.19 mm.
    frees_seen_from(&balls, &["--planes", "2"], 50.0 * (1.0 - matloft::maths::cos(5.0f64.to_radians())));
}

#[test]
fn a_mushroom_a_channel_and_a_lipped_tray_are_freed() {
    frees(&solids::mushroom(), &[]);
    frees(&solids::channel(), &[]);
    frees(&solids::lipped_tray(), &[]);
}

#[test]
fn a_beam_with_a_cup_on_its_flange_wants_two_planes() {
    let (_, part) = searched(&solids::grooved_beam_with_cup(), &[]);
    assert_eq!(part["proposals"][0]["releases"], false);
    let told = part["notes"].as_array().expect("notes");
    let told = told.iter().find(|note| note["code"] == "no-split-found").expect("it is said that nothing was found");
    assert!(told["remedy"].as_str().expect("a remedy").contains("--planes 2"), "{told}");
    let best = frees(&solids::grooved_beam_with_cup(), &["--planes", "2"]);
    assert_eq!(best["planes"].as_array().map(Vec::len), Some(2));
}

#[test]
fn where_two_planes_free_nothing_it_is_said_and_what_to_do_then() {
    let ran = Bench::new().with("panel.stl", binary_stl(&solids::three_spools())).run([
        "splits",
        "panel.stl",
        "--units",
        "mm",
        "--planes",
        "2",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("no one or two planes that were tried frees every piece"), "{}", ran.out);
    assert!(ran.out.contains("broken out of the mould"), "{}", ran.out);
}

#[test]
fn a_tray_of_one_degree_is_given_draft_by_two_planes_and_told_what_one_gains() {
    let tray = solids::tray(300.0, 200.0, 60.0, 1.0);
    let (_, in_one) = searched(&tray, &[]);
    assert_eq!(in_one["needs_no_split"], true);
    assert!((number(&in_one["pull"]["least_draft_deg"]) - 1.0).abs() < 0.05);
    let (_, one) = searched(&tray, &["--draft", "5"]);
    let (_, two) = searched(&tray, &["--draft", "5", "--planes", "2"]);
    let best = &two["proposals"][0];
    assert!(number(&best["least_draft_deg"]) > 5.0 && best["releases"] == true, "{best}");
    let gain = number(&two["gain_deg"]);
    assert!((gain - (number(&best["least_draft_deg"]) - 1.0)).abs() < 0.05, "{gain}");
    // What gains nothing is not proposed; a round tray gains nothing by one plane.
    let by_one = one["proposals"].as_array().expect("a list");
    assert!(by_one.iter().all(|proposal| number(&proposal["least_draft_deg"]) > 1.04), "{by_one:?}");
    let round = solids::revolved(&[[0.0, 60.0], [100.0, 60.0], [101.0473, 0.0]], 90);
    let ran = Bench::new().with("panel.stl", binary_stl(&round)).run([
        "splits",
        "panel.stl",
        "--units",
        "mm",
        "--draft",
        "5",
    ]);
    assert!(
        ran.out.contains("no split that was tried gives 5 degrees of draft; at best it is 1.0, 0.0 more"),
        "{}",
        ran.out
    );
}

/// An OBJ of named objects.
fn obj_of(objects: &[(&str, Vec<Triangle>)]) -> String {
    let mut text = String::new();
    let mut first = 1;
    for (name, triangles) in objects {
        text.push_str(&format!("o {name}\n"));
        for [x, y, z] in triangles.iter().flatten() {
            text.push_str(&format!("v {x} {y} {z}\n"));
        }
        for corner in (first..first + 3 * triangles.len()).step_by(3) {
            text.push_str(&format!("f {} {} {}\n", corner, corner + 1, corner + 2));
        }
        first += 3 * triangles.len();
    }
    text
}

/// A rectangle at a height, larger than a box of 200 x 300.
fn rectangle_at(z: f64) -> Vec<Triangle> {
    let [a, b, c, d] = [[-20.0, -20.0, z], [220.0, -20.0, z], [220.0, 320.0, z], [-20.0, 320.0, z]];
    vec![[a, b, c], [a, c, d]]
}

fn box_and_mark() -> String {
    obj_of(&[("body", common::shapes::plain_box([200.0, 300.0, 500.0])), ("waist", rectangle_at(180.0))])
}

#[test]
fn a_flat_object_of_a_bare_mesh_file_is_tried_as_a_plane_and_is_no_part_of_the_panel() {
    let ran = Bench::new().with("panel.obj", box_and_mark()).run(["splits", "panel.obj", "--units", "mm", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let parts = ran.json();
    assert_eq!(parts["parts"].as_array().map(Vec::len), Some(1));
    let best = &parts["parts"][0]["proposals"][0];
    assert_eq!((&best["planes"][0]["name"], &best["planes"][0]["marked"]), (&"waist".into(), &true.into()));
    let area: f64 = best["pieces"].as_array().expect("pieces").iter().map(|piece| number(&piece["area_m2"])).sum();
    assert!((area - 0.62).abs() < 1e-9, "the mark counts as area: {area}");
    assert!(parts["parts"][0]["notes"].to_string().contains("flat-objects-as-planes"));
}

#[test]
fn a_job_has_its_own_splits_and_the_flat_objects_that_it_does_not_name_tried() {
    let job = "units = \"mm\"\n[[part]]\nname = \"locker\"\nfile = \"panel.obj\"\nobject = \"body\"\n";
    let named = format!("{job}[[part.split]]\nname = \"at the waist\"\nof = \"mould\"\nobject = \"waist\"\n");
    for (job, plane) in [(job.to_owned(), "waist"), (named, "at the waist")] {
        let ran =
            Bench::new().with("panel.obj", box_and_mark()).with("job.toml", &job).run(["splits", "job.toml", "--json"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let planes = ran.json()["parts"][0]["proposals"][0]["planes"].clone();
        assert_eq!(planes[0]["name"], plane);
        assert!((number(&planes[0]["point_mm"][2]) - 180.0).abs() < 1e-9);
    }
}

#[test]
fn a_body_drawn_as_one_object_for_each_face_is_not_taken_for_marks() {
    let faces = common::shapes::plain_box([200.0, 300.0, 500.0]);
    let names = ["a", "b", "c", "d", "e", "f"];
    let objects: Vec<(&str, Vec<Triangle>)> =
        names.into_iter().zip(faces.chunks(2)).map(|(name, pair)| (name, pair.to_vec())).collect();
    let ran = Bench::new().with("panel.obj", obj_of(&objects)).run(["splits", "panel.obj", "--units", "mm", "--json"]);
    let part = ran.json()["parts"][0].clone();
    assert!(!part["notes"].to_string().contains("flat-objects-as-planes"));
    assert_eq!(part["proposals"][0]["releases"], true);
}

#[test]
fn a_job_with_a_split_that_misses_a_face_that_sees_nothing_two_shells_and_one_inside_out_is_searched_and_told() {
    let body = common::shapes::plain_box([200.0, 300.0, 500.0]);
    let small = common::shapes::moved(&common::shapes::plain_box([100.0, 80.0, 60.0]), [400.0, 0.0, 0.0]);
    let plate = common::shapes::plain_box([400.0, 300.0, 3.0]);
    let part = |name: &str, lines: &str| format!("[[part]]\nname = \"{name}\"\nfile = \"{name}.stl\"\n{lines}");
    let job = [
        "units = \"mm\"\n".to_owned(),
        part("missed", "[[part.split]]\nname = \"waist\"\naxis = \"z\"\nat_mm = 900\n"),
        part("between", "[[part.split]]\nname = \"gap\"\naxis = \"x\"\nat_mm = 300\n"),
        part("turned", ""),
        part("blind", "face = [1, 0, 0]\n"),
        part("solid", "face = [0, 0, 1]\n"),
    ]
    .concat();
    let bench = Bench::new()
        .with("job.toml", &job)
        .with("missed.stl", binary_stl(&body))
        .with("between.stl", binary_stl(&[body.clone(), small.clone()].concat()))
        .with("turned.stl", binary_stl(&[body.clone(), common::shapes::reversed(&small)].concat()))
        .with("blind.stl", binary_stl(&plate))
        .with("solid.stl", binary_stl(&body));
    let ran = bench.run(["splits", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let told = ran.json();
    let parts = told["parts"].as_array().expect("parts");
    let wanted = [
        ("missed", "split-cuts-nothing"),
        ("between", "skin-bodies"),
        ("turned", "inside-out"),
        ("blind", "side-undecided"),
        ("solid", "face-without-a-wall"),
    ];
    assert_eq!(parts.len(), wanted.len());
    for (part, (name, code)) in parts.iter().zip(wanted) {
        assert_eq!(part["name"], name);
        let notes = part["notes"].as_array().expect("notes");
        let note = notes.iter().find(|note| note["code"] == code).unwrap_or_else(|| panic!("{name}: {notes:?}"));
        assert!(!note["remedy"].as_str().expect("a remedy").is_empty(), "{note}");
        assert!(name == "blind" || part["proposals"][0]["releases"] == true, "{name}: the rest goes on");
    }
    // A plane of the job that parts two bodies without cutting either frees neither.
    assert_ne!(parts[1]["proposals"][0]["planes"][0]["name"], "gap");
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    assert_eq!(plan["parts"].as_array().map(Vec::len), Some(wanted.len()));
    for (part, code) in
        [(0, "split-cuts-nothing"), (1, "split-cuts-nothing"), (2, "inside-out"), (4, "face-without-a-wall")]
    {
        assert!(plan["parts"][part].to_string().contains(code), "{code}");
    }
}

#[test]
fn a_pull_of_the_job_that_locks_is_told_beside_the_one_that_frees_it_and_what_to_do_with_it() {
    let job = "units = \"mm\"\n[[part]]\nname = \"channel\"\nfile = \"channel.stl\"\npull = [1, 1, 0]\n";
    let tray = solids::tray(300.0, 200.0, 60.0, 3.0);
    let bench = Bench::new().with("channel.stl", binary_stl(&tray)).with("job.toml", job);
    let ran = bench.run(["splits", "job.toml"]);
    assert!(ran.out.contains("the pull of the job, (0.707, 0.707, 0), does not free it in one"), "{}", ran.out);
    assert!(ran.out.contains("but comes off in one along +z with 3.0 degrees of draft"), "{}", ran.out);
    assert!(ran.out.contains("take `pull` out of its [[part]]"), "{}", ran.out);
    assert!(!ran.out.contains("no direction frees"), "{}", ran.out);
    // No split gives more draft than that direction, and that is no failure of the search.
    assert!(!ran.out.contains("[[part.split]]\n") && !ran.out.contains("no plane that was tried"), "{}", ran.out);
    let planned = bench.run(["plan", "job.toml"]);
    assert!(planned.out.contains("but comes off in one along +z with 3.0 degrees of draft"), "{}", planned.out);
}
