//! The scene file of the built program, read by a reader of its own, by the standard's validator and by a general mesh
//! library where those are installed.

#![expect(clippy::print_stdout, reason = "what is not installed is told")]

mod common;

use std::path::{Path, PathBuf};
use std::process::Command;

use common::files::binary_stl;
use common::program::{Bench, fixture};
use common::shapes::{lipped_hood, turned_box, wavy_sheet};
use serde_json::Value;

/// A GLB taken apart: its document and its numbers (glTF 2.0, Khronos Group, section 4.4).
struct Glb {
    document: Value,
    binary: Vec<u8>,
}

impl Glb {
    fn read(bytes: &[u8]) -> Self {
        let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
        assert_eq!((&bytes[..4], word(4), word(8)), (&b"glTF"[..], 2, bytes.len()));
        let end = 20 + word(12);
        let document = serde_json::from_slice(&bytes[20..end]).expect("JSON");
        let binary = if end < bytes.len() { bytes[end + 8..].to_vec() } else { Vec::new() };
        Self { document, binary }
    }

    fn of_folder(folder: &Path) -> Self {
        Self::read(&std::fs::read(folder.join("scene.glb")).expect("the scene is there"))
    }

    fn nodes(&self, what: &str) -> Vec<&Value> {
        let nodes = self.document["nodes"].as_array().map(Vec::as_slice).unwrap_or_default();
        nodes.iter().filter(|node| node["extras"]["what"] == what).collect()
    }

    fn primitive(&self, node: &Value) -> &Value {
        &self.document["meshes"][number(&node["mesh"]) as usize]["primitives"][0]
    }

    /// The numbers of an accessor.
    fn numbers(&self, accessor: &Value) -> Vec<f64> {
        let accessor = &self.document["accessors"][number(accessor) as usize];
        let view = &self.document["bufferViews"][number(&accessor["bufferView"]) as usize];
        let from = number(&view["byteOffset"]) as usize;
        let bytes = &self.binary[from..from + number(&view["byteLength"]) as usize];
        let n_parts = if accessor["type"] == "VEC3" { 3 } else { 1 };
        let numbers: Vec<f64> = match number(&accessor["componentType"]) as u32 {
            5126 => bytes.chunks_exact(4).map(|four| f64::from(f32::from_le_bytes(four.try_into().unwrap()))).collect(),
            5125 => bytes.chunks_exact(4).map(|four| f64::from(u32::from_le_bytes(four.try_into().unwrap()))).collect(),
            5123 => bytes.chunks_exact(2).map(|two| f64::from(u16::from_le_bytes(two.try_into().unwrap()))).collect(),
            other => panic!("component type {other}"),
        };
        assert_eq!(numbers.len(), n_parts * number(&accessor["count"]) as usize);
        numbers
    }

    fn attribute(&self, node: &Value, name: &str) -> Vec<f64> {
        self.numbers(&self.primitive(node)["attributes"][name])
    }

    /// Triangles of a face or of flanges, in m.
    fn triangles(&self, node: &Value) -> Vec<[[f64; 3]; 3]> {
        let places = self.attribute(node, "POSITION");
        let at = |point: usize| [places[3 * point], places[3 * point + 1], places[3 * point + 2]];
        let corners: Vec<usize> = match self.primitive(node).get("indices") {
            Some(indices) => self.numbers(indices).into_iter().map(|corner| corner as usize).collect(),
            None => (0..places.len() / 3).collect(),
        };
        corners.chunks_exact(3).map(|corners| [at(corners[0]), at(corners[1]), at(corners[2])]).collect()
    }

    fn area_m2(&self, node: &Value) -> f64 {
        common::shapes::area_mm2(&self.triangles(node))
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Plans a job file into a folder beside it.
fn planned(bench: &Bench, job: &Path, threads: usize) -> (Value, PathBuf) {
    let folder = bench.path(&format!("out{threads}"));
    let ran = bench.run_with(
        [job.as_os_str(), "--out".as_ref(), folder.as_os_str(), "--json".as_ref()].into_iter().fold(
            vec![std::ffi::OsString::from("plan")],
            |mut all, next| {
                all.push(next.to_owned());
                all
            },
        ),
        |command| {
            command.env("RAYON_NUM_THREADS", threads.to_string());
        },
    );
    assert!(ran.code == 0 || ran.code == 2, "{}", ran.err);
    (ran.json(), folder)
}

/// A job of one panel with a short schedule.
fn job_of(part: &str, file: &str, rest: &str) -> String {
    format!("title = 'odd'\nunits = 'mm'\n[[part]]\nname = {part}\nfile = '{file}'\n{rest}")
}

/// Every face node with the piece of the plan that it is.
fn faces<'a>(glb: &'a Glb, plan: &'a Value) -> Vec<(&'a Value, &'a Value)> {
    let piece_of = |node: &Value| {
        let extras = &node["extras"];
        let builds = plan["parts"][number(&extras["panel"]) as usize]["builds"].as_array().expect("builds");
        let build = builds.iter().find(|build| build["make"] == extras["make"]).expect("its build");
        let pieces = build["pieces"].as_array().expect("pieces");
        pieces.iter().find(|piece| piece["name"] == extras["piece"]).expect("its piece")
    };
    glb.nodes("face").into_iter().map(|node| (node, piece_of(node))).collect()
}

/// How much area a reduced face may lack, as a share: what it says itself, and a little for single precision.
fn area_bar(node: &Value) -> f64 {
    let told = node["extras"]["reduction"].get("area_share").map_or(0.0, |share| number(share).abs());
    told + 1e-5
}

#[test]
fn every_piece_of_the_demo_is_drawn_with_its_area_its_lines_and_values_in_range() {
    let bench = Bench::new();
    let (plan, folder) = planned(&bench, &fixture("demo/teardrop.toml"), 2);
    let glb = Glb::of_folder(&folder);
    let faces = faces(&glb, &plan);
    let n_pieces: usize = plan["parts"]
        .as_array()
        .expect("parts")
        .iter()
        .flat_map(|part| part["builds"].as_array().expect("builds"))
        .map(|build| build["pieces"].as_array().expect("pieces").len())
        .sum();
    assert_eq!(faces.len(), n_pieces);
    let (mut n_reduced, mut n_corners) = (0, 0);
    for (node, piece) in &faces {
        let (drawn, wanted) = (glb.area_m2(node), number(&piece["area_m2"]));
        assert!((drawn - wanted).abs() <= area_bar(node) * wanted, "{}: {drawn} {wanted}", node["name"]);
        n_reduced += usize::from(!node["extras"]["reduction"].is_null());
        check_values(&glb, node, piece);
        n_corners += piece["corners"].as_array().expect("corners").len();
    }
    assert!(n_reduced > 10, "{n_reduced}");
    assert_eq!(glb.nodes("corner").len(), n_corners, "every corner has its line");
    assert!(glb.nodes("split").len() >= 4, "two panels are split, and both sides of a cut have it");
    assert!(!glb.nodes("edge").is_empty());
    let flanges = glb.nodes("flange");
    assert!(!flanges.is_empty() && flanges.iter().all(|node| node["extras"]["make"] == "mould"));
}

fn check_values(glb: &Glb, node: &Value, piece: &Value) {
    let all_in = |name: &str, least: f64, most: f64| {
        let values = glb.attribute(node, name);
        assert!(values.iter().all(|value| (least..=most).contains(value)), "{}: {name}", node["name"]);
        values
    };
    let extras = &node["extras"];
    let zones = extras["zones"].as_array().expect("zones");
    let n_plies = piece["plies"].as_array().expect("plies").len();
    all_in("_RADIUS_MM", 0.0, 10_000.0);
    let zone = all_in("_ZONE", 0.0, zones.len() as f64 - 1.0);
    all_in("_THICKNESS_MM", 0.1, 60.0);
    let zone_plies: Vec<f64> =
        extras["zone_plies"].as_array().expect("a number for each zone").iter().map(number).collect();
    assert_eq!(zone_plies.len(), zones.len());
    assert!(zone_plies.iter().all(|n| (1.0..=n_plies as f64).contains(n)), "{}: {zone_plies:?}", node["name"]);
    assert!(!zone.is_empty());
    check_draft(glb, node, piece);
    assert_eq!(extras["limits"].as_array().expect("limits").len(), n_plies);
    let normals = glb.attribute(node, "NORMAL");
    for normal in normals.chunks_exact(3) {
        let squared: f64 = normal.iter().map(|part| part * part).sum();
        assert!((squared - 1.0).abs() < 1e-5, "{}: {normal:?}", node["name"]);
    }
}

/// Facets that are flat have the draft of their own normal; the plan says along which pull.
fn check_draft(glb: &Glb, node: &Value, piece: &Value) {
    let (extras, pull) = (&node["extras"]["pull"], &piece["pull"]);
    assert_eq!(extras["direction"], pull["direction"]);
    assert_eq!(extras["wanted_draft_deg"], pull["wanted_draft_deg"]);
    assert_eq!(extras["near_zero_draft_deg"], piece["release"]["near_zero_draft_deg"]);
    let direction: Vec<f64> = pull["direction"].as_array().expect("a direction").iter().map(number).collect();
    let drafts = glb.attribute(node, "_DRAFT_DEG");
    assert!(drafts.iter().all(|draft| (-90.0..=90.0).contains(draft)), "{}", node["name"]);
    let corners = glb.numbers(&glb.primitive(node)["indices"]);
    let (mut near_m2, mut all_m2) = (0.0, 0.0);
    for ([a, b, c], corners) in glb.triangles(node).iter().zip(corners.chunks_exact(3)) {
        let side = |to: &[f64; 3]| [0, 1, 2].map(|axis| to[axis] - a[axis]);
        let (u, v) = (side(b), side(c));
        let doubled = [0, 1, 2].map(|k| u[(k + 1) % 3] * v[(k + 2) % 3] - u[(k + 2) % 3] * v[(k + 1) % 3]);
        let area = doubled.iter().map(|part| part * part).sum::<f64>().sqrt();
        let along: f64 = doubled.iter().zip(&direction).map(|(part, along)| part * along).sum();
        let own_deg = (along / area.max(f64::MIN_POSITIVE)).clamp(-1.0, 1.0).asin().to_degrees();
        let mean_deg = corners.iter().map(|&corner| drafts[corner as usize]).sum::<f64>() / 3.0;
        near_m2 += if (own_deg - mean_deg).abs() < 3.0 { area } else { 0.0 };
        all_m2 += area;
    }
    // Facets of fillets, and what was made coarser, stand off the rebuilt surface by their chords.
    assert!(near_m2 > 0.9 * all_m2, "{}: {} of the face", node["name"], near_m2 / all_m2);
}

#[test]
fn a_panel_that_locks_shows_its_pull_what_locks_what_holds_and_where_to_split() {
    let bench = Bench::new();
    let (plan, folder) = one_panel(&bench, "'hood'", &lipped_hood(), "");
    let glb = Glb::of_folder(&folder);
    let piece = &plan["parts"][0]["builds"][0]["pieces"][0];
    assert_eq!(piece["release"]["answer"], "locks");
    let proposals = piece["release"]["split"]["proposals"].as_array().expect("proposals");
    assert!(!proposals.is_empty() && proposals[0]["releases"] == true, "{proposals:?}");
    let of_mould = |what: &str| -> Vec<&Value> {
        glb.nodes(what).into_iter().filter(|node| node["extras"]["make"] == "mould").collect()
    };
    assert_eq!(of_mould("pull").len(), 1);
    let arrow = glb.attribute(of_mould("pull")[0], "POSITION");
    let shaft: Vec<f64> = (0..3).map(|axis| arrow[3 + axis] - arrow[axis]).collect();
    let length = shaft.iter().map(|part| part * part).sum::<f64>().sqrt();
    for axis in 0..3 {
        assert!((shaft[axis] / length - number(&piece["pull"]["direction"][axis])).abs() < 1e-5, "{shaft:?}");
    }
    assert_eq!(of_mould("holds").len(), piece["pull"]["blocking"].as_array().expect("a list").len());
    // The lip has two borders: its rim, 2 (584 + 384) mm round, and the line from which it turns in, 2 (600 + 400) mm.
    let length_mm = |node: &Value| -> f64 {
        let places = glb.attribute(node, "POSITION");
        let steps = places.chunks_exact(3).zip(places.chunks_exact(3).skip(1));
        steps.map(|(a, b)| (0..3).map(|k| (1000.0 * (b[k] - a[k])).powi(2)).sum::<f64>().sqrt()).sum()
    };
    let mut borders: Vec<f64> = of_mould("undercut").into_iter().map(length_mm).collect();
    borders.sort_by(f64::total_cmp);
    assert_eq!(borders.len(), 2);
    assert!((borders[0] - 1936.0).abs() < 0.5 && (borders[1] - 2000.0).abs() < 0.5, "{borders:?}");
    let best: f64 =
        of_mould("proposal").into_iter().filter(|node| node["extras"]["name"] == "proposal 1").map(length_mm).sum();
    let wanted = number(&proposals[0]["cut_length_mm"]);
    assert!((best - wanted).abs() < 0.001 * wanted, "{best} {wanted}");
    if let Some(found) = validated(&[folder.join("scene.glb")]) {
        assert_eq!(found, "");
    }
}

#[test]
fn the_scene_is_the_same_on_one_thread_and_on_two() {
    let bench = Bench::new();
    let job = fixture("demo/teardrop.toml");
    let bytes = |threads| std::fs::read(planned(&bench, &job, threads).1.join("scene.glb")).expect("the scene");
    assert!(bytes(1) == bytes(2));
}

/// A file of the demo as a job of its own.
fn one_panel(bench: &Bench, name: &str, triangles: &[common::shapes::Triangle], rest: &str) -> (Value, PathBuf) {
    std::fs::write(bench.path("panel.stl"), binary_stl(triangles)).expect("the panel is written");
    let job = bench.path("job.toml");
    std::fs::write(&job, job_of(name, "panel.stl", rest)).expect("the job is written");
    planned(bench, &job, 2)
}

/// A closed box, three facets, one without area among them, names that a page would choke on, a panel that fails.
fn odd_jobs(check: &dyn Fn(&str, &Glb, &Value, &Path)) {
    let sheet = wavy_sheet(400.0, 300.0, 12, 9);
    let hostile = r#""</script><b onmouseover='f()'> & \u05DE\u05E9 \u0007\U0001F6D1""#;
    let mut degenerate = sheet.clone();
    let [a, b, _] = degenerate[5];
    degenerate.extend([[a, a, b], [a, b, b], [a, a, a]]);
    let missing = "[[part]]\nname = 'gone'\nfile = 'gone.stl'\n";
    let split = "[[part.split]]\nname = 'a\"<i>&'\naxis = 'x'\nat_mm = 100\n";
    let jobs: [(&str, Vec<common::shapes::Triangle>, String); 6] = [
        ("a closed box", turned_box([200.0, 300.0, 500.0]), String::new()),
        ("one facet", sheet[..1].to_vec(), String::new()),
        ("facets without area", degenerate, String::new()),
        ("hostile names", sheet.clone(), split.to_owned()),
        ("a panel that fails", sheet, missing.to_owned()),
        ("nothing but a failure", Vec::new(), String::new()),
    ];
    for (what, triangles, rest) in jobs {
        let bench = Bench::new();
        let (plan, folder) = one_panel(&bench, hostile, &triangles, &rest);
        check(what, &Glb::of_folder(&folder), &plan, &folder);
    }
}

#[test]
fn odd_panels_and_hostile_names_are_drawn_as_they_are() {
    odd_jobs(&|what, glb, plan, _| {
        let faces = faces(glb, plan);
        assert_eq!(faces.is_empty(), what == "nothing but a failure", "{what}");
        for (node, piece) in faces {
            let (drawn, wanted) = (glb.area_m2(node), number(&piece["area_m2"]));
            assert!((drawn - wanted).abs() <= area_bar(node) * wanted, "{what}: {drawn} {wanted}");
            let name = plan["parts"][0]["name"].as_str().expect("a name");
            assert!(node["name"].as_str().expect("a name").starts_with(name) && name.contains("</script>"), "{what}");
        }
        if what == "hostile names" {
            assert!(glb.nodes("split").iter().any(|node| node["extras"]["name"] == "a\"<i>&"));
        }
    });
}

/// Whether a reader from outside may be missing: not where everything has to be there, as in continuous integration.
fn may_be_missing(what: &str) {
    let required = std::env::var("MATLOFT_TEST_BROWSER").is_ok_and(|value| value == "required");
    assert!(!required, "{what} is not there, and MATLOFT_TEST_BROWSER says that nothing may be missing");
    println!("skipped: {what} is not there");
}

/// Errors, warnings and remarks that the validator has for some files; nothing if it is not installed.
fn validated(files: &[PathBuf]) -> Option<String> {
    let Some(modules) = std::env::var_os("MATLOFT_TEST_NODE_MODULES") else {
        may_be_missing("MATLOFT_TEST_NODE_MODULES, the folder above gltf-validator's node_modules,");
        return None;
    };
    let script = "const v = require(process.argv[1]); const fs = require('fs'); (async () => { \
        for (const file of process.argv.slice(2)) { \
            const found = (await v.validateBytes(new Uint8Array(fs.readFileSync(file)))).issues; \
            if (found.numErrors + found.numWarnings + found.numInfos + found.numHints) \
                console.log(file + ' ' + JSON.stringify(found.messages.slice(0, 3))); \
        } })()";
    let output = Command::new("node")
        .args(["-e", script])
        .arg(Path::new(&modules).join("node_modules/gltf-validator"))
        .args(files)
        .output()
        .expect("node runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Source: gltf-validator 2.0.0-dev.3.10 (npm), the standard's own.
#[test]
fn the_standards_validator_has_nothing_to_say() {
    let bench = Bench::new();
    let (_, folder) = planned(&bench, &fixture("demo/teardrop.toml"), 2);
    if let Some(found) = validated(&[folder.join("scene.glb")]) {
        assert_eq!(found, "");
    }
    odd_jobs(&|what, _, _, folder| {
        if let Some(found) = validated(&[folder.join("scene.glb")]) {
            assert_eq!(found, "", "{what}");
        }
    });
}

/// Source: `trimesh` (PyPI, with numpy, Python 3): `trimesh.load(file).geometry`, the area of each mesh by name.
#[test]
fn a_general_mesh_library_reads_the_same_areas() {
    let bench = Bench::new();
    let (plan, folder) = planned(&bench, &fixture("demo/teardrop.toml"), 2);
    let script = "import sys, json, trimesh; scene = trimesh.load(sys.argv[1], process=False); \
        print(json.dumps({name: float(mesh.area) for name, mesh in scene.geometry.items() if hasattr(mesh, 'area')}))";
    let python = std::env::var_os("MATLOFT_TEST_PYTHON").unwrap_or_else(|| "python3".into());
    let output = Command::new(python).args(["-c", script]).arg(folder.join("scene.glb")).output();
    let Some(output) = output.ok().filter(|output| output.status.success()) else {
        may_be_missing("trimesh for the Python that MATLOFT_TEST_PYTHON names");
        return;
    };
    let areas: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let glb = Glb::of_folder(&folder);
    let faces = faces(&glb, &plan);
    assert!(!faces.is_empty());
    for (node, piece) in faces {
        let read = number(&areas[node["name"].as_str().expect("a name")]);
        let wanted = number(&piece["area_m2"]);
        assert!((read - wanted).abs() <= area_bar(node) * wanted, "{}: {read} {wanted}", node["name"]);
    }
}
