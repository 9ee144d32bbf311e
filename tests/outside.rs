//! The demo panels against two programs that know nothing of this one: a general mesh library's area of the same files, and
//! the exact areas and fillets of the CAD kernel that made them.

#![expect(clippy::print_stdout, reason = "what is short of a bar, or not installed, is told in full")]

mod common;

use std::process::Command;

use common::program::{Bench, fixture};
use serde_json::Value;

/// Area in mm2 of every file of the demo as `trimesh` 5.2.0 (PyPI, with numpy, Python 3) gives it: `trimesh.load(file,
/// process=False).area`. The hatch's file holds the marked plane of its split as well.
const TRIMESH_MM2: [(&str, f64); 10] = [
    ("roof_shell.stl", 1757489.7769151407),
    ("nose.stl", 1731353.6512563815),
    ("galley_hatch.obj", 3118120.5618670047),
    ("side_left.stl", 1825880.9619072168),
    ("door_skin.stl", 382151.72383784235),
    ("window_surround.stl", 90154.16471888698),
    ("vent_cowl.stl", 135139.07293294373),
    ("locker_lid.stl", 640303.362241332),
    ("floor_tray.stl", 3145579.513337394),
    ("mudguards_and_lamps.obj", 323954.49081775604),
];

/// Every demo file measured; `objects` takes each object of a file as a part.
fn measured(objects: bool) -> Vec<Value> {
    let folder = fixture("demo");
    let mut arguments =
        vec!["measure", folder.to_str().expect("a plain path"), "--json", "--units", "mm", "--radius", "45"];
    arguments.extend(objects.then_some("--objects"));
    let ran = Bench::new().run(arguments);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()["parts"].as_array().expect("parts").clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn file_of(part: &Value) -> &str {
    part["file"].as_str().and_then(|file| file.rsplit(['/', '\\']).next()).expect("a file")
}

/// The area as the library gives it now, if Python and the library are installed.
fn trimesh_mm2(file: &str) -> Option<f64> {
    let script = "import sys, trimesh; print(repr(float(trimesh.load(sys.argv[1], process=False).area)))";
    // The interpreter of a virtual environment may be named.
    let python = std::env::var_os("MATLOFT_TEST_PYTHON").unwrap_or_else(|| "python3".into());
    let output = Command::new(python).args(["-c", script]).arg(fixture("demo").join(file)).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().parse().expect("an area"))
}

#[test]
fn the_area_of_every_demo_file_is_that_of_a_general_mesh_library() {
    let parts = measured(false);
    assert_eq!(parts.len(), TRIMESH_MM2.len());
    for (file, recorded_mm2) in TRIMESH_MM2 {
        let part = parts.iter().find(|part| file_of(part) == file).expect("it is measured");
        let area_mm2 = number(&part["area_m2"]) * 1e6;
        let wanted_mm2 = trimesh_mm2(file).unwrap_or_else(|| {
            println!("trimesh is not installed: {file} is compared with the recorded value");
            recorded_mm2
        });
        for wanted in [wanted_mm2, recorded_mm2] {
            assert!((area_mm2 - wanted).abs() <= 1e-6 * wanted, "{file}: {area_mm2} for {wanted}");
        }
    }
}

/// Panels of the demo with their exact figures.
fn panels() -> Vec<Value> {
    let text = std::fs::read(fixture("demo/truth.json")).expect("the truth is there");
    let truth: Value = serde_json::from_slice(&text).expect("the truth is JSON");
    truth["panels"].as_array().expect("panels").clone()
}

/// The measured part of a panel: by its object where the file holds several.
fn part_of<'a>(panel: &Value, parts: &'a [Value]) -> &'a Value {
    let file = panel["file"].as_str().expect("a file");
    let object = panel["object"].as_str();
    let is_it = |part: &&Value| file_of(part) == file && object.is_none_or(|object| part["name"] == object);
    parts.iter().find(is_it).unwrap_or_else(|| panic!("no part for {panel}"))
}

#[test]
fn the_area_of_every_demo_panel_is_the_kernels_within_what_its_chords_cost() {
    let parts = measured(true);
    let panels = panels();
    assert!(panels.len() >= 10);
    for panel in &panels {
        let found = number(&part_of(panel, &parts)["area_m2"]) * 1e6;
        let (mesh, exact) = (number(&panel["mesh_area_mm2"]), number(&panel["area_exact_mm2"]));
        assert!((found - mesh).abs() <= 1e-6 * mesh, "{}: {found} for {mesh}", panel["name"]);
        // The tessellation's own error, and a millionth for rounding.
        let bar = (mesh - exact).abs() + 1e-6 * exact;
        assert!((found - exact).abs() <= bar && bar < 3e-3 * exact, "{}: {found} for {exact}", panel["name"]);
    }
}

/// Fillets of the demo that are known not to be found as they should, by panel and name.
const SHORT_OF_THE_BAR: &[&str] = &[
    "roof shell: r12_convex",
    "side left: r6_convex_5",
    "door skin: r5_convex",
    "door skin: r5_convex_2",
    "door skin: r4_concave_4",
    "door skin: r6_convex_4",
    "door skin: r5_convex_4",
    // One corner round the window with the median of its turns, 83 degrees; face by face they are 78 to 90.
    "door skin: r5_convex_5",
    "door skin: r5_convex_7",
    "door skin: r5_convex_8",
];

/// A fillet is found if a corner of its sense, turn (2 degrees) and mean radius (3 %) passes its middle.
fn is_found(fillet: &Value, part: &Value) -> bool {
    let middle = [0, 1, 2].map(|k| number(&fillet["mid_mm"][k]));
    let radius = number(&fillet["radius_mm"]);
    part["corners"].as_array().expect("corners").iter().any(|corner| {
        let path: Vec<[f64; 3]> =
            corner["path_mm"].as_array().expect("a path").iter().map(|at| [0, 1, 2].map(|k| number(&at[k]))).collect();
        let near = path.windows(2).any(|pair| distance(middle, pair[0], pair[1]) <= 1.0 + 0.1 * radius);
        near && corner["bends"] == fillet["bends"]
            && (number(&corner["turn_deg"]) - number(&fillet["turn_deg"])).abs() <= 2.0
            && (number(&corner["radius_mean_mm"]) - radius).abs() <= 0.03 * radius
    })
}

/// Distance of a point from a segment.
fn distance(at: [f64; 3], a: [f64; 3], b: [f64; 3]) -> f64 {
    let minus = |p: [f64; 3], q: [f64; 3]| [0, 1, 2].map(|k| p[k] - q[k]);
    let dot = |p: [f64; 3], q: [f64; 3]| (0..3).map(|k| p[k] * q[k]).sum::<f64>();
    let (side, to) = (minus(b, a), minus(at, a));
    let share = if dot(side, side) > 0.0 { (dot(side, to) / dot(side, side)).clamp(0.0, 1.0) } else { 0.0 };
    let off = minus(to, side.map(|part| part * share));
    dot(off, off).sqrt()
}

#[test]
fn the_fillets_of_the_demo_are_found_with_their_radius_and_turn_but_for_what_is_known() {
    let parts = measured(true);
    let (mut asked, mut missed) = (0, Vec::new());
    for panel in &panels() {
        // A thin solid is moulded on its outside: of its inside no corner is listed.
        if panel["kind"] == "thin-solid" {
            continue;
        }
        let part = part_of(panel, &parts);
        let fillets = panel["corners"].as_array().expect("corners").iter().filter(|fillet| {
            let alike = |key: &str| {
                number(&fillet[format!("{key}_max_{}", unit(key))])
                    <= 1.02 * number(&fillet[format!("{key}_min_{}", unit(key))])
            };
            fillet["kind"] == "fillet" && number(&fillet["turn_min_deg"]) >= 31.0 && alike("radius") && alike("turn")
        });
        for fillet in fillets {
            asked += 1;
            if !is_found(fillet, part) {
                missed.push(format!(
                    "{}: {}",
                    panel["name"].as_str().expect("a name"),
                    fillet["id"].as_str().expect("an id")
                ));
            }
        }
    }
    assert!(asked > 60, "{asked} fillets");
    let new: Vec<&String> = missed.iter().filter(|line| !SHORT_OF_THE_BAR.contains(&line.as_str())).collect();
    let mended: Vec<&&str> =
        SHORT_OF_THE_BAR.iter().filter(|line| !missed.iter().any(|missed| missed == **line)).collect();
    assert!(new.is_empty() && mended.is_empty(), "{asked} asked; new: {new:#?}\nmended: {mended:#?}");
}

fn unit(key: &str) -> &'static str {
    if key == "radius" { "mm" } else { "deg" }
}
