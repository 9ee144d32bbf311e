//! A scan of the rough plug through the built program: what is to be filled and taken off.

mod common;

use common::files::binary_stl;
use common::program::Bench;
use common::shapes::Triangle;
use serde_json::Value;

const JOB: &str = "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\nrough = \"scan.stl\"\n";

/// A sheet over a rectangle, so high at each place.
fn sheet(size_mm: [f64; 2], n: [usize; 2], height: impl Fn(f64, f64) -> f64) -> Vec<Triangle> {
    let at = |i: usize, j: usize| {
        let (x, y) = (size_mm[0] * i as f64 / n[0] as f64, size_mm[1] * j as f64 / n[1] as f64);
        [x, y, height(x, y)]
    };
    let square = |i: usize, j: usize| {
        let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
        [[a, b, c], [a, c, d]]
    };
    (0..n[1]).flat_map(|j| (0..n[0]).flat_map(move |i| square(i, j))).collect()
}

/// A parabolic roof of 1.8 x 1.2 m, 120 mm high in the middle.
fn roof(x: f64, y: f64) -> f64 {
    120.0 * (1.0 - ((x - 900.0) / 900.0).powi(2)) * (1.0 - 0.2 * ((y - 600.0) / 600.0).powi(2))
}

/// `h (1 - (r / R)^2)^2` over a circle: by integration it holds pi h R^2 / 3.
fn hump(x: f64, y: f64, at: [f64; 2], radius: f64, height: f64) -> f64 {
    let share = ((x - at[0]).powi(2) + (y - at[1]).powi(2)) / (radius * radius);
    if share < 1.0 { height * (1.0 - share).powi(2) } else { 0.0 }
}

fn scan(x: f64, y: f64) -> f64 {
    roof(x, y) + hump(x, y, [500.0, 400.0], 180.0, 7.0) - hump(x, y, [1250.0, 800.0], 260.0, 11.0)
}

fn planned(bench: &Bench) -> Value {
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()
}

#[test]
fn known_humps_and_hollows_on_a_bent_skin_give_their_volumes_within_two_hundredths() {
    let size = [1800.0, 1200.0];
    let bench = Bench::new()
        .with("job.toml", JOB)
        .with("roof.stl", binary_stl(&sheet(size, [60, 20], roof)))
        .with("scan.stl", binary_stl(&sheet(size, [360, 240], scan)));
    let rough = &planned(&bench)["parts"][0]["rough"];
    let volume_ml = |radius: f64, height: f64| std::f64::consts::PI * height * radius * radius / 3.0 / 1e3;
    // Heights above the plan; the integral over the plan is the volume, however the skin slopes.
    for (key, wanted) in [("take_off_ml", volume_ml(180.0, 7.0)), ("fill_ml", volume_ml(260.0, 11.0))] {
        let found = rough[key].as_f64().expect("a volume");
        assert!((found - wanted).abs() < 0.02 * wanted, "{key}: {found} beside {wanted}");
    }
    let at = &rough["deepest"]["at_mm"];
    let near = |axis: usize, wanted: f64| (at[axis].as_f64().expect("a place") - wanted).abs() < 40.0;
    assert!(near(0, 1250.0) && near(1, 800.0), "{at}");
}

#[test]
fn a_scan_that_cannot_be_read_is_told_and_the_panel_is_planned_all_the_same() {
    let bench =
        Bench::new().with("job.toml", JOB).with("roof.stl", binary_stl(&sheet([900.0, 600.0], [9, 6], |_, _| 0.0)));
    let codes = |plan: &Value| -> Vec<String> {
        let notes = plan["parts"][0]["notes"].as_array().expect("notes");
        notes.iter().map(|note| note["code"].as_str().expect("a code").to_owned()).collect()
    };
    let missing = planned(&bench);
    assert!(codes(&missing).contains(&"rough-not-read".to_owned()));
    assert!(missing["parts"][0]["rough"].is_null() && missing["parts"][0]["area_m2"].as_f64() > Some(0.5));
    let torn = planned(&bench.with("scan.stl", &binary_stl(&sheet([900.0, 600.0], [9, 6], |_, _| 0.0))[..700]));
    assert!(codes(&torn).contains(&"rough-not-read".to_owned()));
}

#[test]
fn a_scan_in_another_place_is_told() {
    let bench = Bench::new()
        .with("job.toml", JOB)
        .with("roof.stl", binary_stl(&sheet([900.0, 600.0], [9, 6], |_, _| 0.0)))
        .with("scan.stl", binary_stl(&sheet([900.0, 600.0], [9, 6], |_, _| 500.0)));
    let plan = planned(&bench);
    let note = plan["parts"][0]["notes"].as_array().expect("notes").iter().find(|note| note["code"] == "rough-unseen");
    assert!(note.is_some_and(|note| note["remedy"].as_str().is_some_and(|remedy| remedy.contains("same unit"))));
    assert_eq!(plan["parts"][0]["rough"]["fill_ml"], 0.0);
}

#[test]
fn the_filler_of_a_scanned_plug_is_that_of_its_hollows_and_is_ordered() {
    let size = [1800.0, 1200.0];
    let bench = Bench::new()
        .with("job.toml", JOB)
        .with("roof.stl", binary_stl(&sheet(size, [60, 20], roof)))
        .with("scan.stl", binary_stl(&sheet(size, [360, 240], scan)));
    let plan = planned(&bench);
    let fill_l = plan["parts"][0]["rough"]["fill_ml"].as_f64().expect("a volume") / 1000.0;
    let lines = plan["takes"]["plugs"][0]["lines"].as_array().expect("lines");
    let filler = lines.iter().find(|line| line["what"] == "filler" && line["unit"] == "l").expect("filler in litres");
    assert!((filler["amount"].as_f64().expect("an amount") - fill_l).abs() < 1e-9 * fill_l);
    assert!(filler["rests_on"].as_str().is_some_and(|words| words.contains("scan")));
    let out = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(out.code, 0, "{}", out.err);
    let page = std::fs::read_to_string(bench.path("out/report.html")).expect("the report");
    assert!(page.contains("The rough plug of ") && page.contains("orange where it lies low"));
}
