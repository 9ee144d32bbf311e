use super::*;
use crate::report::scene::{Drawn, LineKind, ShadedFace};

/// Header and document of a GLB, and the length of its binary part.
fn read(bytes: &[u8]) -> (Value, usize) {
    let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes")) as usize;
    assert_eq!((&bytes[..4], word(4), word(8)), (&b"glTF"[..], 2, bytes.len()));
    let length = word(12);
    assert_eq!((&bytes[16..20], length % 4), (&b"JSON"[..], 0));
    let rest = &bytes[20 + length..];
    let binary = if rest.is_empty() { 0 } else { word(20 + length) };
    assert_eq!(rest.len(), if rest.is_empty() { 0 } else { binary + 8 });
    (serde_json::from_slice(&bytes[20..20 + length]).expect("JSON"), binary)
}

fn one_facet(at: Point) -> ShadedFace {
    ShadedFace {
        points_mm: vec![at, Point::new(1500.0, 0.0, 250.0), Point::new(0.0, 2000.0, -250.0)],
        normals: vec![Vector::z(); 3],
        faces: vec![[0, 1, 2]],
        radius_mm: vec![12.0; 3],
        thickness_mm: vec![3.5; 3],
        zone: vec![0; 3],
        draft_deg: vec![2.5; 3],
        wall_mm: Vec::new(),
    }
}

fn panel(name: &str, face: ShadedFace, lines: Vec<Line>) -> ScenePanel {
    let layer = Layer {
        make: None,
        piece: String::new(),
        face,
        reduction: None,
        zones: vec!["plies 1 to 4".to_owned()],
        zone_plies: vec![4],
        pull: Some(Drawn { direction: Vector::z(), wanted_draft_deg: 3.0, near_zero_draft_deg: None }),
        limits: Vec::new(),
        flanges: Vec::new(),
        lines,
    };
    ScenePanel { name: name.to_owned(), layers: vec![layer] }
}

#[test]
fn a_job_without_panels_gives_a_scene_that_holds_nothing() {
    let (document, binary) = read(&bytes(&Scene::default()));
    assert_eq!(document["scenes"], json!([{ "name": "panels" }]));
    assert!(document.get("nodes").is_none() && document.get("buffers").is_none() && binary == 0);
    let nothing = Scene { panels: vec![panel("bare", ShadedFace::default(), Vec::new())] };
    assert!(read(&bytes(&nothing)).0.get("nodes").is_none());
}

#[test]
fn places_are_in_metres_and_the_root_turns_them_up() {
    let scene = Scene { panels: vec![panel("lid", one_facet(Point::new(-125.0, 0.0, 0.0)), Vec::new())] };
    let (document, binary) = read(&bytes(&scene));
    let positions = &document["accessors"][0];
    assert_eq!((&positions["min"], &positions["max"]), (&json!([-0.8125, -1.0, -0.25]), &json!([0.8125, 1.0, 0.25])));
    assert_eq!(document["nodes"][1]["translation"], json!([0.6875, 1.0, 0.0]));
    let root = document["scenes"][0]["nodes"][0].as_u64().expect("a root") as usize;
    let turned = document["nodes"][root]["rotation"].as_array().expect("a rotation");
    let [x, y, z, w] = [0, 1, 2, 3].map(|k| turned[k].as_f64().expect("a number"));
    let turn = nalgebra::UnitQuaternion::from_quaternion(nalgebra::Quaternion::new(w, x, y, z));
    assert!((turn * Vector::z() - Vector::y()).norm() < 1e-12 && (turn * Vector::x() - Vector::x()).norm() < 1e-12);
    // Three points with ten numbers each, three corners of two bytes, padded.
    assert_eq!(binary, 3 * 40 + 8);
}

#[test]
fn a_panel_far_from_the_origin_keeps_its_shape() {
    // 0.5 mm at 5 km is all that single precision tells apart.
    let far = Vector::new(5e6, -7e6, 3e6);
    let of = |shift: Vector| {
        let mut face = one_facet(Point::new(-125.0, 0.0, 0.03));
        face.points_mm.iter_mut().for_each(|point| *point += shift);
        let path_mm = vec![Point::new(10.0, 20.1, 0.3) + shift, Point::new(10.2, 20.4, 0.1) + shift];
        let line = Line { kind: LineKind::Corner, name: "1".to_owned(), path_mm };
        let mut scene = Scene { panels: vec![panel("far off", face, vec![line])] };
        scene.panels[0].layers[0].flanges =
            vec![[[0.0, 0.0], [0.2, 0.0], [0.0, 0.3]].map(|[x, y]| Point::new(x, y, 7.0) + shift)];
        read(&bytes(&scene)).0
    };
    let (near, off) = (of(Vector::zeros()), of(far));
    let number = |value: &Value| value.as_f64().expect("a number");
    let vectors =
        near["accessors"].as_array().expect("accessors").iter().zip(off["accessors"].as_array().expect("all"));
    let bounds = vectors.filter(|(near, _)| near.get("min").is_some());
    let mut n = 0;
    for (near, off) in bounds.flat_map(|(near, off)| [(&near["min"], &off["min"]), (&near["max"], &off["max"])]) {
        for k in 0..3 {
            assert!((number(&near[k]) - number(&off[k])).abs() < 1e-6, "a thousandth of a millimetre: {near} {off}");
        }
        n += 1;
    }
    assert_eq!(n, 6, "face, flange and line");
    let there = |document: &Value| [0, 1, 2].map(|k| number(&document["nodes"][3]["translation"][k]));
    let (near, off) = (there(&near), there(&off));
    for k in 0..3 {
        assert!((off[k] - near[k] - far[k] / 1000.0).abs() < 1e-9, "{near:?} {off:?}");
    }
}

#[test]
fn what_a_node_is_stands_in_its_extras_whatever_the_name() {
    let name = "h\u{fc}lle </script><img src=x onerror=\"f()\"> \u{5de}\u{5e9} \u{1f6d1} \u{0} &amp;";
    let line = Line {
        kind: LineKind::Corner,
        name: name.to_owned(),
        path_mm: vec![Point::origin(), Point::new(1.0, 2.0, 3.0)],
    };
    let scene = Scene { panels: vec![panel(name, one_facet(Point::origin()), vec![line])] };
    let (document, _) = read(&bytes(&scene));
    let nodes = document["nodes"].as_array().expect("nodes");
    assert_eq!(nodes[0]["extras"]["what"], "face");
    assert_eq!(nodes[0]["extras"]["zones"], json!(["plies 1 to 4"]));
    assert_eq!(nodes[0]["extras"]["zone_plies"], json!([4]));
    let pull = json!({ "direction": [0.0, 0.0, 1.0], "wanted_draft_deg": 3.0, "near_zero_draft_deg": null });
    assert_eq!(nodes[0]["extras"]["pull"], pull);
    assert_eq!(nodes[1]["extras"], json!({ "what": "corner", "panel": 0, "make": null, "piece": "", "name": name }));
    assert_eq!(nodes[2]["name"], name);
}

#[test]
fn what_single_precision_cannot_hold_is_left_out() {
    let far = Point::new(1e300, 0.0, 0.0);
    let line = Line { kind: LineKind::Edge, name: "edge".to_owned(), path_mm: vec![far, Point::origin()] };
    let scene = Scene { panels: vec![panel("far off", one_facet(far), vec![line])] };
    assert!(read(&bytes(&scene)).0.get("nodes").is_none());
}

#[test]
fn many_points_take_longer_numbers() {
    let mut face = one_facet(Point::origin());
    for n in [65_535, 65_536] {
        face.points_mm.resize(n, Point::origin());
        face.normals.resize(n, Vector::z());
        face.radius_mm.resize(n, 1.0);
        face.thickness_mm.resize(n, 1.0);
        face.zone.resize(n, 0);
        face.draft_deg.resize(n, 0.0);
        let (document, _) = read(&bytes(&Scene { panels: vec![panel("large", face.clone(), Vec::new())] }));
        let kind = if n == 65_535 { 5123 } else { 5125 };
        assert_eq!(document["accessors"][6]["componentType"], kind);
    }
}
