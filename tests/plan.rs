//! `matloft plan` as built: how it ends, what it writes, and areas and masses of small shapes worked out by hand.

mod common;

use std::time::Duration;

use common::files::binary_stl;
use common::program::{Bench, Ran, fixture};
use common::shapes::{Triangle, turned, turned_box};
use serde_json::Value;

/// One ply everywhere, nothing beside: areas are what the shape says.
const PLAIN: &str =
    "\n[schedule.plain]\nmake = \"moulding\"\nresin = \"polyester\"\nlayers = [{ material = \"mat 450\" }]\n";
const PLAIN_MOULD: &str =
    "\n[schedule.shell]\nmake = \"mould\"\nresin = \"polyester\"\nlayers = [{ material = \"mat 450\" }]\n";
/// Panel of most jobs here.
const PANEL: &str =
    "title = \"bench\"\nunits = \"mm\"\ngrowth = false\n[[part]]\nname = \"panel\"\nfile = \"panel.stl\"\n";

fn quad([a, b, c, d]: [[f64; 3]; 4]) -> [Triangle; 2] {
    [[a, b, c], [a, c, d]]
}

/// A flat plate with a grid of cells, some left out. `xs` and `ys` are the lines of the grid.
fn plate(xs: &[f64], ys: &[f64], left_out: &[(usize, usize)]) -> Vec<Triangle> {
    let mut triangles = Vec::new();
    for i in 0..xs.len() - 1 {
        for k in (0..ys.len() - 1).filter(|k| !left_out.contains(&(i, *k))) {
            let (x, y) = ([xs[i], xs[i + 1]], [ys[k], ys[k + 1]]);
            triangles.extend(quad([[x[0], y[0], 0.0], [x[1], y[0], 0.0], [x[1], y[1], 0.0], [x[0], y[1], 0.0]]));
        }
    }
    triangles
}

/// 600 x 400 with an opening of 200 x 100 from (150, 180).
fn plate_with_opening() -> Vec<Triangle> {
    plate(&[0.0, 150.0, 350.0, 600.0], &[0.0, 180.0, 280.0, 400.0], &[(1, 1)])
}

/// A flat of 200 along x and a wall of 300 up z, both 500 along y, square to each other at x = 200.
fn folded_plate() -> Vec<Triangle> {
    let flat = quad([[0.0, 0.0, 0.0], [200.0, 0.0, 0.0], [200.0, 500.0, 0.0], [0.0, 500.0, 0.0]]);
    let wall = quad([[200.0, 0.0, 0.0], [200.0, 0.0, 300.0], [200.0, 500.0, 300.0], [200.0, 500.0, 0.0]]);
    flat.into_iter().chain(wall).collect()
}

/// A square of 600 with a round opening of this radius in its middle, in `n` chords.
fn plate_with_round_opening(radius: f64, n: usize) -> Vec<Triangle> {
    let at = |k: usize, r: f64| {
        let angle = std::f64::consts::TAU * k as f64 / n as f64;
        [300.0 + r * matloft::maths::cos(angle), 300.0 + r * matloft::maths::sin(angle), 0.0]
    };
    (0..n).flat_map(|k| quad([at(k, radius), at(k, 280.0), at(k + 1, 280.0), at(k + 1, radius)])).collect()
}

/// Plans `job` with these panels in the folder, as JSON.
fn planned(job: &str, panels: &[(&str, &[Triangle])]) -> (Bench, Ran) {
    let mut bench = Bench::new().with("job.toml", job);
    for (name, triangles) in panels {
        bench = bench.with(name, binary_stl(triangles));
    }
    let ran = bench.run(["plan", "job.toml", "--json"]);
    (bench, ran)
}

/// Plans one panel, which must go well.
fn plan_of(job: &str, triangles: &[Triangle]) -> Value {
    let (_, ran) = planned(job, &[("panel.stl", triangles)]);
    assert_eq!(ran.code, 0, "{}\n{}", ran.err, ran.out);
    ran.json()
}

/// A moulding alone, laid up with these layers, laps left out.
fn moulding_of(layers: &str, triangles: &[Triangle]) -> Value {
    let job = format!(
        "{PANEL}mould = false\nmoulding = \"test\"\nlap_mm = 0\n[schedule.test]\nmake = \"moulding\"\nresin = \"polyester\"\nlayers = [{layers}]\n"
    );
    plan_of(&job, triangles)
}

fn build<'a>(plan: &'a Value, part: usize, make: &str) -> &'a Value {
    let builds = plan["parts"][part]["builds"].as_array().expect("builds");
    builds.iter().find(|build| build["make"] == make).unwrap_or_else(|| panic!("no {make} in {plan}"))
}

fn pieces<'a>(plan: &'a Value, part: usize, make: &str) -> &'a [Value] {
    build(plan, part, make)["pieces"].as_array().expect("pieces")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[track_caller]
fn assert_near(found: f64, wanted: f64, relative: f64, what: &str) {
    assert!((found - wanted).abs() <= relative * wanted.abs().max(1e-12), "{what}: {found} for {wanted}");
}

fn edges<'a>(piece: &'a Value, kind: &str) -> Vec<&'a Value> {
    piece["edges"].as_array().expect("edges").iter().filter(|edge| edge["kind"] == kind).collect()
}

// How it ends.

#[test]
fn a_plan_without_faults_ends_with_0() {
    let (_, ran) = planned(PANEL, &[("panel.stl", &plate_with_opening())]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(ran.json()["complete"], true);
}

#[test]
fn a_warning_ends_with_1_only_if_the_shop_asks_for_strictness() {
    // Heavy mat against the gelcoat prints through.
    let job = format!(
        "{PANEL}mould = false\nmoulding = \"heavy\"\n[schedule.heavy]\nmake = \"moulding\"\nresin = \"polyester\"\ngelcoat = \"production gelcoat\"\nlayers = [{{ material = \"mat 600\" }}]\n"
    );
    let bench = Bench::new().with("job.toml", job).with("panel.stl", binary_stl(&plate_with_opening()));
    assert_eq!(bench.run(["plan", "job.toml"]).code, 0);
    let strict = bench.run(["plan", "job.toml", "--strict", "--json"]);
    assert_eq!(strict.code, 1, "{}", strict.err);
    assert_eq!(strict.json()["complete"], true);
}

#[test]
fn a_missing_panel_ends_with_2_and_still_gives_one_document() {
    let (_, ran) = planned(PANEL, &[]);
    assert_eq!(ran.code, 2);
    let plan = ran.json();
    assert_eq!(plan["complete"], false);
    assert_eq!(plan["errors"][0]["part"], "panel");
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
}

#[test]
fn a_missing_job_and_a_job_with_an_unknown_key_end_with_2_and_one_document() {
    for text in [None, Some("units = \"mm\"\nquantty = 2\n")] {
        let bench = Bench::new();
        let bench = match text {
            Some(text) => bench.with("job.toml", text),
            None => bench,
        };
        let ran = bench.run(["plan", "job.toml", "--json"]);
        assert_eq!(ran.code, 2);
        assert_eq!(ran.json()["complete"], false);
        assert!(ran.json()["errors"][0]["message"].as_str().is_some_and(|message| !message.is_empty()));
    }
}

#[test]
fn unknown_commands_and_options_end_with_64_and_an_empty_standard_output() {
    let wrong: [&[&str]; 6] = [
        &[],
        &["lay"],
        &["plan", "job.toml", "--jsn"],
        &["plan"],
        &["measure", "panel.stl", "--radius", "wide"],
        &["measure", "panel.stl", "--units", "cubits"],
    ];
    let bench = Bench::new().with("panel.stl", binary_stl(&plate_with_opening()));
    for arguments in wrong {
        let ran = bench.run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (64, ""), "{arguments:?}: {}", ran.err);
        assert!(!ran.err.is_empty(), "{arguments:?}");
    }
}

// What it writes.

fn rows(bench: &Bench, table: &str) -> Vec<std::collections::HashMap<String, String>> {
    let mut reader = csv::Reader::from_path(bench.path(table)).expect("the table is there");
    reader.deserialize().map(|row| row.expect("a row")).collect()
}

fn cell(row: &std::collections::HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column} = {} is no number", row[column]))
}

#[test]
fn the_plan_on_disk_is_the_one_printed_and_its_tables_add_up_to_its_totals() {
    let job =
        format!("{PANEL}quantity = 3\nmirrored = true\n[[part.split]]\nname = \"across\"\naxis = \"x\"\nat_mm = 200\n");
    let bench = Bench::new().with("job.toml", job).with("panel.stl", binary_stl(&plate_with_opening()));
    let ran = bench.run(["plan", "job.toml", "--json", "--out", "out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(std::fs::read_to_string(bench.path("out/plan.json")).expect("it is written"), ran.out);
    let plan = ran.json();
    // The tables have six digits.
    const SIX_DIGITS: f64 = 1e-5;
    let pieces = rows(&bench, "out/pieces.csv");
    let sum = |column: &str| -> f64 { pieces.iter().map(|row| cell(row, "count") * cell(row, column)).sum() };
    for key in ["glass_kg", "resin_kg", "gelcoat_kg", "catalyst_ml"] {
        assert_near(sum(key), number(&plan["totals"][key]), SIX_DIGITS, key);
    }
    let of_make = |make: &str| -> f64 {
        let made = pieces.iter().filter(|row| row["make"] == make);
        made.map(|row| cell(row, "count") * cell(row, "mass_kg")).sum()
    };
    assert_near(of_make("mould"), number(&plan["totals"]["moulds_kg"]), SIX_DIGITS, "moulds");
    assert_near(of_make("moulding"), number(&plan["totals"]["mouldings_kg"]), SIX_DIGITS, "mouldings");
    let plies = rows(&bench, "out/plies.csv");
    let glass: f64 = plies.iter().map(|row| cell(row, "count") * cell(row, "glass_kg")).sum();
    assert_near(glass, number(&plan["totals"]["glass_kg"]), SIX_DIGITS, "glass, ply by ply");
    let order = rows(&bench, "out/order.csv");
    let glass: f64 = order.iter().filter(|row| row["kind"] == "reinforcement").map(|row| cell(row, "kg")).sum();
    // The strap over the split, which nobody else joins, is in the order and not in a ply.
    let takes = plan["takes"]["lines"].as_array().expect("takes").iter();
    let straps: f64 = takes
        .filter(|take| take["kind"] == "reinforcement")
        .map(|take| number(&take["count"]) * number(&take["amounts"]["kg"]))
        .sum();
    assert!(straps > 0.0);
    assert_near(glass, number(&plan["totals"]["glass_kg"]) + straps, SIX_DIGITS, "glass in the order");
}

/// A good panel and one whose file is not there.
fn half_a_job() -> String {
    format!("{PANEL}[[part]]\nname = \"lost\"\nfile = \"lost.stl\"\n")
}

#[test]
fn one_bad_panel_never_stops_the_others_and_shows_in_the_document_and_in_every_table() {
    let bench = Bench::new().with("job.toml", half_a_job()).with("panel.stl", binary_stl(&folded_plate()));
    let ran = bench.run(["plan", "job.toml", "--json", "--out", "out"]);
    assert_eq!(ran.code, 2);
    let plan = ran.json();
    assert_eq!(plan["parts"].as_array().expect("parts").len(), 1);
    assert_eq!((&plan["complete"], &plan["totals"]["complete"]), (&Value::Bool(false), &Value::Bool(false)));
    assert_eq!(plan["missing"], serde_json::json!(["lost"]));
    for table in ["out/pieces.csv", "out/plies.csv", "out/corners.csv", "out/order.csv"] {
        let rows = rows(&bench, table);
        assert!(!rows.is_empty() && rows.iter().all(|row| row["complete"] == "false"), "{table}");
    }
    assert!(rows(&bench, "out/order.csv").iter().all(|row| row["missing"].contains("lost")));
}

#[test]
fn an_incomplete_plan_takes_the_place_of_a_complete_one_only_by_force() {
    let bench = Bench::new()
        .with("whole.toml", PANEL)
        .with("job.toml", half_a_job())
        .with("panel.stl", binary_stl(&folded_plate()));
    assert_eq!(bench.run(["plan", "whole.toml", "--out", "out"]).code, 0);
    let read = |name: &str| std::fs::read(bench.path(name)).expect("it is there");
    let before = (read("out/plan.json"), read("out/order.csv"));
    let refused = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("--force"), "{}", refused.err);
    assert!((read("out/plan.json"), read("out/order.csv")) == before, "the complete plan is kept");
    assert_eq!(bench.run(["plan", "job.toml", "--out", "out", "--force"]).code, 2);
    assert!(read("out/plan.json") != before.0);
}

#[test]
fn what_moved_since_the_last_plan_is_told() {
    let bench = Bench::new().with("job.toml", PANEL).with("panel.stl", binary_stl(&folded_plate()));
    let first = bench.run(["plan", "job.toml", "--out", "out"]);
    assert!(!first.err.contains("since the last plan"), "{}", first.err);
    let again = bench.run(["plan", "job.toml", "--out", "out"]);
    assert!(!again.err.contains("since the last plan"), "{}", again.err);
    let bench = bench.with("panel.stl", binary_stl(&plate_with_opening()));
    let changed = bench.run(["plan", "job.toml", "--out", "out"]);
    assert!(changed.err.contains("since the last plan: panel has another mesh"), "{}", changed.err);
    assert!(changed.err.contains("area_m2 was 0.250, is 0.220"), "{}", changed.err);
}

/// Every file under a folder, by name.
fn all_in(folder: &std::path::Path) -> std::collections::BTreeMap<std::path::PathBuf, Vec<u8>> {
    let mut found = std::collections::BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(all_in(&path));
        } else {
            found.insert(path.clone(), std::fs::read(&path).expect("the file is there"));
        }
    }
    found
}

#[test]
fn a_plan_whose_pictures_have_no_room_leaves_every_older_file_as_it_was() {
    let bench = Bench::new().with("job.toml", PANEL).with("panel.stl", binary_stl(&folded_plate()));
    assert_eq!(bench.run(["plan", "job.toml", "--out", "out"]).code, 0);
    std::fs::remove_dir_all(bench.path("out/stills")).expect("the pictures go");
    let bench = bench.with("out/stills", "a file in the way").with("panel.stl", binary_stl(&plate_with_opening()));
    let before = all_in(&bench.path("out"));
    let ran = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("stills") && ran.err.contains("cannot be written"), "{}", ran.err);
    assert!(all_in(&bench.path("out")) == before, "nothing is new, nothing is gone, nothing lies about");
}

#[test]
fn pictures_of_a_panel_that_has_another_name_now_go_and_other_files_stay() {
    let bench = Bench::new().with("job.toml", PANEL).with("panel.stl", binary_stl(&folded_plate()));
    assert_eq!(bench.run(["plan", "job.toml", "--out", "out"]).code, 0);
    let stills = |bench: &Bench| -> Vec<String> {
        let files = all_in(&bench.path("out/stills")).into_keys();
        files.map(|path| path.file_name().expect("a name").to_string_lossy().into_owned()).collect()
    };
    let first = stills(&bench);
    assert!(first.len() >= 2 && first.iter().all(|name| name.starts_with("01-panel-")), "{first:?}");
    let others = ["01-panel-1.jpg", "1-panel-1.png", "delivery note.png"];
    let bench = others.iter().fold(bench, |bench, name| bench.with(&format!("out/stills/{name}"), "the shop's own"));
    let bench = bench.with("job.toml", PANEL.replace("\"panel\"", "\"galley hatch\""));
    let ran = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let mut wanted: Vec<String> = first.iter().map(|name| name.replace("panel", "galley-hatch")).collect();
    wanted.extend(others.map(str::to_owned));
    wanted.sort();
    assert_eq!(stills(&bench), wanted);
}

/// The demo's plan on so many threads. Ten times what it takes: a plan that does not end is a fault, not a wait.
fn demo(arguments: &[&str], threads: &str) -> Ran {
    Bench::new().run_with(arguments, |command| {
        command.env("RAYON_NUM_THREADS", threads).timeout(Duration::from_secs(180));
    })
}

#[test]
fn the_demo_is_planned_whole_and_alike_on_one_and_on_four_threads() {
    let job = fixture("demo/teardrop.toml");
    let arguments = ["plan", job.to_str().expect("a plain path"), "--json"];
    let (one, four) = (demo(&arguments, "1"), demo(&arguments, "4"));
    assert_eq!((one.code, four.code), (0, 0), "{}", one.err);
    assert!(one.out == four.out, "the same bytes");
    let plan = one.json();
    assert_eq!(plan["complete"], true);
    let parts = plan["parts"].as_array().expect("parts");
    assert_eq!(parts.len(), 11);
    for (k, part) in parts.iter().enumerate() {
        for make in ["mould", "moulding"] {
            let sum: f64 = pieces(&plan, k, make).iter().map(|piece| number(&piece["area_m2"])).sum();
            assert_near(sum, number(&part["area_m2"]), 1e-9, part["name"].as_str().expect("a name"));
        }
    }
    assert_eq!(pieces(&plan, 0, "mould").len(), 2, "the roof's mould is split along the ridge");
    assert_eq!(pieces(&plan, 0, "moulding").len(), 1, "its moulding is one");
    assert_eq!((&build(&plan, 1, "mould")["count"], &build(&plan, 1, "moulding")["count"]), (&2.into(), &2.into()));
    assert_eq!((&build(&plan, 4, "mould")["count"], &build(&plan, 4, "moulding")["count"]), (&1.into(), &2.into()));
}

#[test]
fn the_demo_is_measured_alike_on_one_and_on_four_threads() {
    let folder = fixture("demo");
    let arguments = ["measure", folder.to_str().expect("a plain path"), "--json", "--units", "mm"];
    let (one, four) = (demo(&arguments, "1"), demo(&arguments, "4"));
    assert_eq!((one.code, four.code), (0, 0), "{}", one.err);
    assert!(one.out == four.out, "the same bytes");
}

// Counts and splits.

#[test]
fn two_mouldings_come_out_of_one_mould_and_the_other_hand_needs_a_second_mould() {
    for (words, moulds, mouldings) in [("quantity = 2\n", 1, 2), ("quantity = 2\nmirrored = true\n", 2, 4)] {
        let plan = plan_of(&format!("{PANEL}{words}"), &folded_plate());
        assert_eq!(build(&plan, 0, "mould")["count"], moulds, "{words}");
        assert_eq!(build(&plan, 0, "moulding")["count"], mouldings, "{words}");
        assert_eq!((&plan["totals"]["n_moulds"], &plan["totals"]["n_mouldings"]), (&moulds.into(), &mouldings.into()));
        let of = |make: &str| number(&pieces(&plan, 0, make)[0]["mass_kg"]) * number(&build(&plan, 0, make)["count"]);
        assert_near(number(&plan["totals"]["mouldings_kg"]), of("moulding"), 1e-12, "mouldings");
        assert_near(number(&plan["totals"]["moulds_kg"]), of("mould"), 1e-12, "moulds");
    }
}

#[test]
fn a_split_parts_the_mould_the_moulding_or_both() {
    for (of, moulds, mouldings) in [("mould", 2, 1), ("moulding", 1, 2), ("both", 2, 2)] {
        let job = format!("{PANEL}[[part.split]]\nname = \"waist\"\nof = \"{of}\"\naxis = \"y\"\nat_mm = 125\n");
        let plan = plan_of(&job, &folded_plate());
        assert_eq!(pieces(&plan, 0, "mould").len(), moulds, "{of}");
        assert_eq!(pieces(&plan, 0, "moulding").len(), mouldings, "{of}");
        for make in ["mould", "moulding"] {
            let here = pieces(&plan, 0, make);
            let sum: f64 = here.iter().map(|piece| number(&piece["area_m2"])).sum();
            assert_near(sum, 0.25, 1e-9, "the pieces add up");
            for piece in here.iter().filter(|_| here.len() == 2) {
                // Across the flat and up the wall; the mould has a flange of 75 mm along it.
                assert_near(number(&piece["splits"][0]["length_mm"]), 500.0, 1e-9, "cut");
                assert!([0.0625, 0.1875].iter().any(|wanted| (number(&piece["area_m2"]) - wanted).abs() < 1e-9));
                assert_eq!(number(&piece["splits"][0]["flange_m2"]) > 0.0, make == "mould");
            }
        }
    }
}

#[test]
fn a_split_that_misses_gives_one_piece_and_a_note_that_names_it() {
    let job = format!("{PANEL}[[part.split]]\nname = \"far away\"\naxis = \"z\"\nat_mm = 900\n");
    let plan = plan_of(&job, &folded_plate());
    for make in ["mould", "moulding"] {
        assert_eq!(pieces(&plan, 0, make).len(), 1);
        assert_eq!(pieces(&plan, 0, make)[0]["splits"], serde_json::json!([]));
    }
    assert!(plan.to_string().contains("far away"), "a note names the split");
}

// Openings.

/// The opening of a moulding told to be of a kind, and of its mould.
fn opening(kind: &str, width: &str, make: &str) -> Value {
    let own =
        if make == "mould" { "mould = \"shell\"\nmoulding = false" } else { "mould = false\nmoulding = \"plain\"" };
    let told = if kind.is_empty() {
        String::new()
    } else {
        format!("[[part.edge]]\nnear_mm = [150, 200, 0]\nkind = \"{kind}\"\n{width}")
    };
    let job = format!("{PANEL}{own}\nlap_mm = 0\ntrim_mm = 30\n{told}{PLAIN}{PLAIN_MOULD}");
    let plan = plan_of(&job, &plate_with_opening());
    pieces(&plan, 0, make)[0].clone()
}

#[test]
fn an_opening_is_laid_across_unless_the_job_says_otherwise() {
    // Panel 0.24 - 0.02; opening 0.02; trim of 30 mm outside the outer edge of 2 m, corners square.
    let trim = 0.66 * 0.46 - 0.24;
    for kind in ["", "laid-across"] {
        let piece = opening(kind, "", "moulding");
        assert_near(number(&piece["area_m2"]), 0.22, 1e-6, "face");
        let [across] = edges(&piece, "laid-across")[..] else { panic!("one opening: {piece}") };
        assert_near(number(&across["laid_across_m2"]), 0.02, 1e-6, "laid across");
        assert_near(number(&across["length_mm"]), 600.0, 1e-6, "round");
        assert_eq!(across["assumed"], kind.is_empty());
        assert_near(number(&piece["plies"][0]["laid_m2"]), 0.24 + trim, 1e-6, "laid");
        assert_near(number(&piece["plies"][0]["on_part_m2"]), 0.22, 1e-6, "on the part");
    }
}

#[test]
fn a_blanked_off_opening_is_trimmed_and_not_laid() {
    let piece = opening("blanked-off", "", "moulding");
    let [edge] = edges(&piece, "blanked-off")[..] else { panic!("one opening: {piece}") };
    assert_eq!(edge["laid_across_m2"], 0.0);
    assert_near(number(&edge["trim_m2"]), 0.6 * 0.03, 1e-6, "0.6 m round by the trim");
    assert_near(number(&piece["plies"][0]["on_part_m2"]), 0.22, 1e-6, "on the part");
}

#[test]
fn a_return_flange_stays_on_the_moulding() {
    let piece = opening("return-flange", "width_mm = 25\n", "moulding");
    let [edge] = edges(&piece, "return-flange")[..] else { panic!("one opening: {piece}") };
    assert_near(number(&edge["flange_m2"]), 0.6 * 0.025, 1e-6, "0.6 m round by 25 mm");
    assert_near(number(&piece["plies"][0]["on_part_m2"]), 0.22 + 0.015, 1e-6, "on the part");
}

#[test]
fn an_open_end_has_neither_flange_nor_trim() {
    for make in ["mould", "moulding"] {
        let piece = opening("open-end", "", make);
        let [edge] = edges(&piece, "open-end")[..] else { panic!("one opening: {piece}") };
        assert_eq!((number(&edge["flange_m2"]), number(&edge["trim_m2"])), (0.0, 0.0), "{make}");
    }
}

#[test]
fn a_mould_has_a_flange_round_an_opening_told_to_be_an_outer_edge() {
    let piece = opening("outer-edge", "width_mm = 40\n", "mould");
    let outer = edges(&piece, "outer-edge");
    assert_eq!(outer.len(), 2);
    let flanges: f64 = outer.iter().map(|edge| number(&edge["flange_m2"])).sum();
    assert_near(flanges, 2.0 * 0.075 + 0.6 * 0.04, 1e-6, "75 mm outside, 40 mm at the opening");
}

#[test]
fn a_flange_round_a_round_opening_is_a_short_tube() {
    // Closed form: 2 pi r w; the polygon of n chords is shorter by (pi / n)^2 / 6.
    let (radius, n) = (120.0, 96);
    let job = format!(
        "{PANEL}mould = \"shell\"\nmoulding = false\n[[part.edge]]\nnear_mm = [420, 300, 0]\nkind = \"outer-edge\"\nwidth_mm = 50\n{PLAIN_MOULD}"
    );
    let plan = plan_of(&job, &plate_with_round_opening(radius, n));
    let edges = edges(&pieces(&plan, 0, "mould")[0], "outer-edge");
    let round = std::f64::consts::TAU * radius;
    let hole = edges.iter().find(|edge| (number(&edge["length_mm"]) - round).abs() < 1.0).expect("the opening");
    assert_near(number(&hole["flange_m2"]), round * 50.0 * 1e-6, 4e-4, "flange");
}

#[test]
fn a_split_through_an_opening_leaves_each_part_of_it_to_be_laid_across() {
    let job = format!(
        "{PANEL}mould = false\nmoulding = \"plain\"\n[[part.split]]\nname = \"across\"\naxis = \"x\"\nat_mm = 200\n{PLAIN}"
    );
    let plan = plan_of(&job, &plate_with_opening());
    let mut shares: Vec<f64> = pieces(&plan, 0, "moulding")
        .iter()
        .map(|piece| edges(piece, "laid-across").iter().map(|edge| number(&edge["laid_across_m2"])).sum())
        .collect();
    shares.sort_by(f64::total_cmp);
    assert_eq!(shares.len(), 2);
    assert_near(shares[0], 0.05 * 0.1, 1e-6, "50 mm of it");
    assert_near(shares[1], 0.15 * 0.1, 1e-6, "150 mm of it");
    let sum: f64 = pieces(&plan, 0, "moulding").iter().map(|piece| number(&piece["area_m2"])).sum();
    assert_near(sum, number(&plan["parts"][0]["area_m2"]), 1e-9, "pieces add up");
}

// Zones.

#[test]
fn a_ply_in_a_zone_by_place_is_tested_at_the_corners_where_it_lies() {
    let plies_seen = |zone: &str| {
        let layers = format!("{{ material = \"mat 225\" }}, {{ material = \"mat 600\"{zone} }}");
        let plan = moulding_of(&layers, &folded_plate());
        let corners = pieces(&plan, 0, "moulding")[0]["corners"].as_array().expect("corners").clone();
        corners.iter().map(|corner| corner["sees"].as_array().expect("plies").len()).collect::<Vec<_>>()
    };
    let everywhere = plies_seen("");
    assert_eq!(everywhere, [2], "both plies at the one fold");
    assert_eq!(plies_seen(", zone = { above = { axis = \"z\", at_mm = -10000 } }"), everywhere);
    assert_eq!(plies_seen(", zone = { above = { axis = \"z\", at_mm = 10000 } }"), [1], "it lies nowhere");
}

#[test]
fn a_second_word_on_the_same_edge_is_told() {
    let word = "[[part.edge]]\nnear_mm = [0, 0, 0]\nkind = \"outer-edge\"\n";
    let told = |words: &str| {
        plan_of(&format!("{PANEL}mould = false\nmoulding = \"plain\"\n{words}{PLAIN}"), &plate_with_opening())
    };
    let unused = |plan: &Value| {
        let notes = plan["parts"][0]["notes"].as_array().expect("notes");
        notes.iter().filter(|note| note["code"] == "edge-word-unused").count()
    };
    assert_eq!(unused(&told(word)), 0);
    assert_eq!(unused(&told(&format!("{word}{word}"))), 1);
}

/// Net area of the second ply, which lies in a zone.
fn zone_m2(zone: &str, triangles: &[Triangle]) -> f64 {
    let plan =
        moulding_of(&format!("{{ material = \"mat 225\" }}, {{ material = \"mat 450\", zone = {zone} }}"), triangles);
    number(&pieces(&plan, 0, "moulding")[0]["plies"][1]["net_m2"])
}

#[test]
fn a_strip_along_a_corner_lies_half_on_either_side_of_it() {
    let strip = zone_m2("{ corners = { width_mm = 100 } }", &folded_plate());
    assert_near(strip, 0.5 * 0.1, 1e-2, "100 mm along 500 mm");
}

#[test]
fn a_band_along_the_edges_is_as_wide_as_told() {
    let plate = plate(&[0.0, 150.0, 600.0], &[0.0, 180.0, 400.0], &[]);
    assert_near(zone_m2("{ edges = { width_mm = 60 } }", &plate), 0.24 - 0.48 * 0.28, 1e-2, "a frame of 60 mm");
    // Round the opening the band has rounded outer corners.
    let band = 0.6 * 0.02 + std::f64::consts::PI * 0.02 * 0.02;
    let found = zone_m2("{ edges = { width_mm = 20, at = \"openings\" } }", &plate_with_opening());
    assert_near(found, band, 1e-2, "20 mm round the opening");
}

#[test]
fn a_zone_above_below_or_beyond_a_plane_is_cut_there() {
    assert_near(zone_m2("{ above = { axis = \"z\", at_mm = 100 } }", &folded_plate()), 0.1, 1e-6, "200 mm of the wall");
    assert_near(zone_m2("{ below = { axis = \"z\", at_mm = 100 } }", &folded_plate()), 0.15, 1e-6, "the rest");
    // From (200, 0) to (0, 200) on the flat, seen from the corner at the origin.
    let beyond = "{ beyond = { point_mm = [200, 0, 0], normal = [-3, -3, 0] } }";
    assert_near(zone_m2(beyond, &folded_plate()), 0.5 * 0.2 * 0.2, 1e-6, "a triangle");
}

#[test]
fn a_named_region_is_laid_where_the_mesh_file_says() {
    let obj = "o panel\nv 0 0 0\nv 400 0 0\nv 400 300 0\nv 0 300 0\nv 700 0 0\nv 700 300 0\ng field\nf 1 2 3 4\ng hinge\nf 2 5 6 3\n";
    let job = "units = \"mm\"\ngrowth = false\n[[part]]\nname = \"panel\"\nfile = \"panel.obj\"\nmould = false\nmoulding = \"test\"\n[schedule.test]\nmake = \"moulding\"\nresin = \"polyester\"\nlayers = [{ material = \"mat 225\" }, { material = \"mat 450\", zone = { region = \"hinge\" } }]\n";
    let bench = Bench::new().with("job.toml", job).with("panel.obj", obj);
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    let plies = &pieces(&plan, 0, "moulding")[0]["plies"];
    assert_near(number(&plies[0]["net_m2"]), 0.21, 1e-6, "everywhere");
    assert_near(number(&plies[1]["net_m2"]), 0.09, 1e-6, "hinge");
}

#[test]
fn a_core_stays_clear_of_the_edge_has_its_bonding_mat_and_thins_to_its_edge() {
    let plate = plate(&[0.0, 150.0, 600.0], &[0.0, 180.0, 400.0], &[]);
    let layers = "{ material = \"mat 450\" }, { material = \"foam core 5\", clear_of_edges_mm = 50 }, { material = \"mat 450\" }";
    let plan = moulding_of(layers, &plate);
    let plies = pieces(&plan, 0, "moulding")[0]["plies"].as_array().expect("plies");
    let names: Vec<&str> = plies.iter().map(|ply| ply["material"].as_str().expect("a name")).collect();
    assert_eq!(names, ["mat 450", "mat 300", "foam core 5", "mat 450"], "it is bedded in its mat");
    let field = 0.5 * 0.3;
    assert_near(number(&plies[2]["net_m2"]), field, 1e-2, "solid rim of 50 mm");
    assert_near(number(&plies[1]["net_m2"]), field, 1e-2, "its mat");
    assert_near(number(&plies[3]["net_m2"]), 0.24, 1e-6, "the ply over it");
    // 5 mm bevelled 3 : 1 takes half of 15 mm off along 1.6 m; 80 kg/m3.
    assert_near(number(&plies[2]["core_kg"]), (field - 1.6 * 0.015 / 2.0) * 0.005 * 80.0, 2e-2, "core");
    assert!(number(&plies[2]["resin_kg"]) > 0.5 * field, "the core drinks resin");
}

// Skin and mass.

#[test]
fn a_thin_solid_is_planned_on_its_laid_side_and_not_on_twice_it() {
    let truth = std::fs::read(fixture("kernel/truth.json")).expect("the truth is there");
    let truth: Value = serde_json::from_slice(&truth).expect("JSON");
    let skin = &truth["skins"]["tray_2mm"];
    for (face, area) in [("outside", "outside_mm2"), ("inside", "inside_mm2")] {
        let job = format!("{PANEL}face = \"{face}\"\n");
        let bench = Bench::new()
            .with("job.toml", job)
            .with("panel.stl", std::fs::read(fixture("kernel/tray_2mm_coarse.stl")).expect("the tray is there"));
        let ran = bench.run(["plan", "job.toml", "--json"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let plan = ran.json();
        assert_eq!(plan["parts"][0]["kind"], "thin-solid");
        assert_near(number(&plan["parts"][0]["area_m2"]), number(&skin[area]) * 1e-6, 5e-3, face);
        assert_near(number(&pieces(&plan, 0, "mould")[0]["area_m2"]), number(&skin[area]) * 1e-6, 5e-3, face);
    }
}

#[test]
fn mass_and_centre_of_a_turned_box_are_those_of_its_faces() {
    let edges = [200.0, 300.0, 500.0];
    let plan = moulding_of("{ material = \"mat 450\" }", &turned_box(edges));
    let piece = &pieces(&plan, 0, "moulding")[0];
    let area = 2.0 * (0.2 * 0.3 + 0.3 * 0.5 + 0.5 * 0.2);
    assert_near(number(&piece["area_m2"]), area, 1e-6, "six faces");
    // 450 g/m2 of glass and 2.5 times that of resin.
    let kg_m2 = 0.45 * 3.5;
    assert_near(number(&piece["mass_kg"]), area * kg_m2, 1e-6, "mass");
    let centre = turned(edges.map(|edge| 0.5 * edge));
    for (k, wanted) in centre.into_iter().enumerate() {
        assert!((number(&piece["centre_of_mass_mm"][k]) - wanted).abs() < 0.01, "{piece}");
    }
    // Trace of the inertia of a thin-walled box about its centre: twice the polar second moment of its faces.
    let [a, b, c] = [0.2, 0.3, 0.5];
    let polar = |u: f64, v: f64, w: f64| 2.0 * u * v * ((u * u + v * v) / 12.0 + w * w / 4.0);
    let wanted = 2.0 * kg_m2 * (polar(a, b, c) + polar(b, c, a) + polar(c, a, b));
    let trace: f64 = (0..3).map(|k| number(&piece["inertia_kg_m2"][k][k])).sum();
    // The laminate lies inside the faces by half of its 1 mm: up to three times 0.5 / 100 of the arm.
    assert_near(trace, wanted, 2e-2, "inertia");
}
