//! Whole panels reckoned by hand, against the built program on their meshes.
//!
//! Source of every expected figure: derived by hand from the dimensions, checked twice; the areas, lengths and masses are
//! those a pocket calculator gives. Meshes are turned in space, so that no axis is special.

mod common;

use common::by_hand::{side_with_door, tray, tube};
use common::files::binary_stl;
use common::program::Bench;
use common::shapes::{Triangle, turned};
use serde_json::Value;

fn close(found: &Value, expected: f64, relative: f64, what: &str) {
    let found = found.as_f64().unwrap_or_else(|| panic!("{what} is {found}, not a number"));
    assert!((found - expected).abs() <= relative * expected.abs(), "{what} is {found}, not {expected}");
}

/// Rolls wide enough that nothing is lapped, and no trim: the hand calculation counts neither.
const PLAIN: &str = r#"
title = "By hand"
units = "mm"
growth = false
[shop]
trim_mm = 0
[stock.reinforcement."mat 225"]
rolls = [{ width_mm = 9000 }]
[stock.reinforcement."mat 450"]
rolls = [{ width_mm = 9000 }]
[stock.gelcoat."production gelcoat"]
coverage_kg_m2 = 0.625
[stock.gelcoat."mould gelcoat"]
coverage_kg_m2 = 1.0
"#;

fn planned(job: &str, mesh: &[Triangle]) -> Value {
    let bench = Bench::new().with("panel.stl", binary_stl(mesh)).with("job.toml", job);
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()
}

fn build<'a>(plan: &'a Value, make: &str) -> &'a Value {
    let builds = plan["parts"][0]["builds"].as_array().expect("builds");
    builds.iter().find(|build| build["make"] == make).expect("the make is built")
}

/// A line of the order: what to have with its reserve, and the packs it comes in: pieces and size of each.
#[track_caller]
fn ordered(plan: &Value, kind: &str, material: &str, with_reserve: f64, packs: &[(u64, f64)]) {
    let order = plan["order"].as_array().expect("an order");
    let line = order.iter().find(|line| line["kind"] == kind && line["material"] == material).expect("the line");
    close(&line["with_reserve"], with_reserve, 1e-4, material);
    let of_packs = |pack: &Value| (pack["count"].as_u64().expect("a count"), pack["size"].as_f64().expect("a size"));
    let found: Vec<(u64, f64)> = line["packs"].as_array().expect("packs").iter().map(of_packs).collect();
    assert_eq!(found, packs, "{material}");
}

/// Hand calculation 38.
#[test]
fn the_tray_by_hand_is_the_tray_by_mesh() {
    let job = PLAIN.to_owned()
        + r#"
        [[part]]
        name = "tray"
        file = "panel.stl"
        [schedule.moulding]
        make = "moulding"
        gelcoat = "production gelcoat"
        resin = "polyester"
        catalyst_percent = 2.0
        layers = [{ material = "mat 225" }, { material = "mat 450", plies = 2 }]
        "#;
    let plan = planned(&job, &tray());
    close(&plan["parts"][0]["area_m2"], 1.5600, 1e-6, "face");
    let piece = &build(&plan, "moulding")["pieces"][0];
    close(&piece["glass_kg"], 1.7550, 1e-4, "glass");
    close(&piece["resin_kg"], 4.3875, 1e-4, "resin");
    close(&piece["gelcoat_kg"], 0.9750, 1e-4, "gelcoat");
    close(&piece["mass_kg"], 7.1175, 1e-4, "mass");
    close(&piece["thickness_mm"], 2.7832, 1e-4, "laminate");
    close(&piece["catalyst_g"], 107.25, 1e-4, "catalyst");
    close(&piece["catalyst_ml"], 90.89, 1e-4, "catalyst volume");
    // Without the mould, which the starter's schedule adds, and whose resin the order holds too.
    let plan = planned(&job.replace("file =", "mould = false\nfile ="), &tray());
    ordered(&plan, "resin", "polyester", 4.3875 * 1.15, &[(1, 5.0), (1, 1.0)]);
    ordered(&plan, "gelcoat", "production gelcoat", 0.9750 * 1.10, &[(2, 1.0)]);
    ordered(&plan, "catalyst", "catalyst", 0.09089 * 1.15, &[(1, 1.0)]);
    // Off a roll that is wide enough for everything the drops are the tray's flattened length.
    let mat = plan["order"].as_array().expect("an order").iter().find(|line| line["material"] == "mat 450");
    let mat = mat.expect("the mat");
    assert_eq!((&mat["unit_of_sale"], &mat["with_reserve"]), (&Value::from("m"), &mat["roll_m_with_reserve"]));
}

/// Hand calculation 39.
#[test]
fn the_trays_mould_has_the_corners_that_its_flange_makes() {
    let job = PLAIN.to_owned() + "[[part]]\nname = \"tray\"\nfile = \"panel.stl\"\n";
    let plan = planned(&job, &tray());
    let length = |make: &str, met_as: &str, from: &str| -> f64 {
        let corners = build(&plan, make)["pieces"][0]["corners"].as_array().expect("corners");
        let these = corners.iter().filter(|corner| corner["met_as"] == met_as && corner["from"] == from);
        these.map(|corner| corner["length_mm"].as_f64().expect("a length")).sum()
    };
    // The moulding goes into the bottom's four edges and the four upright ones: 4.0 + 0.6 m.
    assert!((length("moulding", "inside", "face") - 4600.0).abs() < 1.0);
    assert!((length("moulding", "outside", "face")).abs() < 1.0);
    assert!((length("mould", "outside", "face") - 4600.0).abs() < 1.0);
    assert!((length("mould", "inside", "flange") - 4000.0).abs() < 1.0);
    assert!((length("moulding", "inside", "flange")).abs() < 1.0);
}

/// Hand calculation 40, the flange: 4.0 m x 75 mm and four quarters of a circle.
#[test]
fn the_trays_flange_is_rounded_at_its_corners() {
    let job = PLAIN.to_owned() + "[[part]]\nname = \"tray\"\nfile = \"panel.stl\"\n";
    let plan = planned(&job, &tray());
    close(&build(&plan, "mould")["pieces"][0]["edges"][0]["flange_m2"], 0.31767, 1e-5, "flange");
    close(&build(&plan, "moulding")["pieces"][0]["edges"][0]["length_mm"], 4000.0, 1e-6, "edge");
}

/// Hand calculation 40, the face at a depth: a first ply so thick that its middle lies 3 mm inside.
#[test]
fn a_ply_inside_the_tray_is_smaller_by_what_its_corners_take() {
    let job = r#"
        title = "By hand"
        units = "mm"
        [shop]
        trim_mm = 0
        [[part]]
        name = "tray"
        file = "panel.stl"
        mould = false
        [stock.reinforcement."thick"]
        kind = "mat"
        binder = "powder"
        next_to_gelcoat = true
        areal_weight_g_m2 = 2500
        glass_density_g_cm3 = 2.5
        resin_kg_m2 = 6
        inside_limit_mm = 1
        outside_limit_mm = 1
        lap_mm = 50
        [stock.resin.polyester]
        cured_density_g_cm3 = 1.2
        [schedule.moulding]
        make = "moulding"
        resin = "polyester"
        layers = [{ material = "thick" }]
        "#;
    // 2.5 kg of glass at 2.5 g/cm3 are 1 mm, 6 kg of resin at 1.2 are 5 mm: the middle lies at 3 mm.
    let plan = planned(job, &tray());
    let ply = &build(&plan, "moulding")["pieces"][0]["plies"][0];
    close(&ply["thickness_mm"], 6.0, 1e-9, "thickness");
    close(&ply["net_m2"], 1.5600, 1e-6, "net");
    close(&ply["on_part_m2"], 1.532508, 1e-6, "on the part");
}

/// Hand calculation 41.
#[test]
fn the_split_tube_by_hand_is_the_split_tube_by_mesh() {
    // The plane through the tube's axis, turned as the mesh is; through three points of it.
    let [a, b, c] = [[0.0, 0.0, 0.0], [200.0, 0.0, 0.0], [0.0, 0.0, 1000.0]].map(turned);
    let job = PLAIN.to_owned()
        + &format!(
            r#"
            [[part]]
            name = "tube"
            file = "panel.stl"
            moulding = false
            [[part.split]]
            name = "axis"
            of = "mould"
            through_mm = [{a:?}, {b:?}, {c:?}]
            [schedule.mould]
            make = "mould"
            gelcoat = "mould gelcoat"
            resin = "polyester"
            layers = [{{ material = "mat 225" }}, {{ material = "mat 450", plies = 4 }}]
            "#
        );
    let plan = planned(&job, &tube(720));
    let pieces = build(&plan, "mould")["pieces"].as_array().expect("pieces").clone();
    assert_eq!(pieces.len(), 2);
    for piece in &pieces {
        close(&piece["area_m2"], 0.628319, 1e-4, "face of a half");
        close(&piece["splits"][0]["length_mm"], 2000.0, 1e-6, "split");
        close(&piece["splits"][0]["flange_m2"], 0.150000, 1e-5, "split flanges");
        let ends: f64 = piece["edges"]
            .as_array()
            .expect("edges")
            .iter()
            .map(|edge| edge["flange_m2"].as_f64().expect("an area"))
            .sum();
        assert!((ends - 0.111919).abs() < 1e-4 * 0.111919, "end flanges are {ends}");
        close(&piece["plies"][0]["laid_m2"], 0.890238, 1e-4, "laid");
        close(&piece["thickness_mm"], 5.0098, 1e-4, "laminate");
        close(&piece["mass_kg"], 7.1998, 1e-4, "mass");
        let corners = piece["corners"].as_array().expect("corners");
        let roots: Vec<&Value> = corners.iter().filter(|corner| corner["from"] == "flange").collect();
        let length: f64 = roots.iter().map(|corner| corner["length_mm"].as_f64().expect("a length")).sum();
        assert!((length - 3256.64).abs() < 1e-4 * 3256.64, "flange roots are {length}");
        // Each end's half ring lacks 235.6 mm at its edge: ten relief cuts at 25 mm, two half rings a piece.
        let cuts = |corner: &&&Value| -> Option<u64> {
            let remedies = corner["remedies"].as_array()?;
            remedies.iter().find(|remedy| remedy["do"] == "relief-cuts")?["n_cuts"].as_u64()
        };
        let counts: Vec<u64> = roots.iter().filter_map(|root| cuts(&root)).collect();
        assert_eq!(counts, [10, 10]);
    }
    // Both halves: 2 x 0.890238 m2 of 2.025 kg/m2 glass at 2.5 : 1, and of 1 kg/m2 gelcoat; 2 % catalyst at 1.18 g/ml. The test
    // patch before them: 0.1 m2 of the gelcoat and of the first ply, 0.225 kg/m2.
    let resin_kg = (2.0 * 0.890238 * 2.025 + 0.1 * 0.225) * 2.5;
    let gelcoat_kg = 2.0 * 0.890238 + 0.1;
    ordered(&plan, "resin", "polyester", resin_kg * 1.15, &[(2, 5.0), (1, 1.0)]);
    ordered(&plan, "gelcoat", "mould gelcoat", gelcoat_kg * 1.10, &[(3, 1.0)]);
    let catalyst_l = 0.02 * (resin_kg + gelcoat_kg) / 1.18;
    ordered(&plan, "catalyst", "catalyst", catalyst_l * 1.15, &[(1, 1.0)]);
}

/// Hand calculation 42.
#[test]
fn the_side_with_a_door_by_hand_is_the_side_by_mesh() {
    let job = r#"
        title = "By hand"
        units = "mm"
        growth = false
        [shop]
        trim_mm = 30
        [[part]]
        name = "side"
        file = "panel.stl"
        mould = false
        [schedule.moulding]
        make = "moulding"
        resin = "polyester"
        layers = [{ material = "mat 450", plies = 3 }]
        "#;
    let plan = planned(job, &side_with_door());
    let piece = &build(&plan, "moulding")["pieces"][0];
    close(&piece["area_m2"], 2.3400, 1e-6, "net");
    for ply in 0..3 {
        close(&piece["plies"][ply]["laid_m2"], 3.2256, 1e-4, "laid");
        close(&piece["plies"][ply]["on_part_m2"], 2.4600, 1e-4, "on the part");
        close(&piece["plies"][ply]["roll_m"], 3.78, 1e-4, "off the roll");
    }
    close(&piece["glass_kg"], 4.3546, 1e-4, "glass");
    close(&piece["resin_kg"], 10.8864, 1e-4, "resin");
    close(&piece["mass_kg"], 11.6235, 1e-4, "mass");
    close(&plan["order"][0]["roll_m"], 11.34, 1e-4, "roll");
    ordered(&plan, "reinforcement", "mat 450", 11.34 * 1.10, &[(13, 1.0)]);
    ordered(&plan, "resin", "polyester", 10.8864 * 1.15, &[(2, 5.0), (3, 1.0)]);
    let edges = piece["edges"].as_array().expect("edges");
    let across: f64 = edges.iter().map(|edge| edge["laid_across_m2"].as_f64().expect("an area")).sum();
    assert!((across - 0.54).abs() < 1e-6, "the door is {across}");
}
