//! How kernel-made shapes come off, against the normals of their CAD faces (OpenCASCADE by `fixtures/kernel/make_shapes.py`).

use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::mesh::Vector;
use matloft::geometry::pull::{Face, Pull, PullOptions, pull};
use matloft::geometry::stitch::Surface;
use matloft::maths::acos_clamped;
use matloft::units::LengthUnit;
use serde_json::Value;

mod common;
use common::program::fixture;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn pulled(file: &str, along: Option<Vector>) -> Pull {
    let bytes = std::fs::read(fixture("kernel").join(file)).expect("the shape is there");
    let loaded = load(&bytes, file, &LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: false });
    let surface = Surface::stitched(&loaded.parts[0].mesh);
    let options = PullOptions { along, ..PullOptions::default() };
    pull(&Face::of(&surface), &options).expect("the shape has area")
}

/// What of one file is off by more than 0.1 degree in the direction, 0.05 in the draft or a hundredth of the undercut.
fn faults(file: &str, shape: &Value) -> Vec<String> {
    let along = Vector::from_iterator((0..3).map(|axis| number(&shape["along"][axis]))).normalize();
    let found = pulled(file, None);
    let mut faults = Vec::new();
    let mut check = |what: &str, holds: bool, said: String| {
        if !holds {
            faults.push(format!("{file}: {what}: {said}"));
        }
    };
    check("releases", found.releases == shape["releases"], format!("{}", found.releases));
    check("blocking", found.releases || !found.blocking.is_empty(), "no facets that block".to_owned());
    if let Some(draft_deg) = shape["least_draft_deg"].as_f64() {
        let off_deg = acos_clamped(found.direction.dot(&along)).to_degrees();
        check("direction", off_deg <= 0.1, format!("{off_deg:.3} degrees off"));
        let said_deg = found.least_draft_deg;
        check("draft", (said_deg - draft_deg).abs() <= 0.05, format!("{said_deg:.3} for {draft_deg} degrees"));
    }
    if let Some(truth_mm2) = shape["undercut_mm2"].as_f64().filter(|area| *area > 0.0) {
        let given = pulled(file, Some(along));
        let off = 1e6 * given.undercut.clipped_m2 / truth_mm2 - 1.0;
        check("undercut", off.abs() <= 0.01, format!("{:+.2} %", 100.0 * off));
    }
    faults
}

#[test]
fn kernel_shapes_come_off_as_their_cad_faces_say() {
    let text = std::fs::read(fixture("kernel/truth.json")).expect("the truth is there");
    let truth: Value = serde_json::from_slice(&text).expect("the truth is JSON");
    let mut short: Vec<String> = Vec::new();
    for shape in truth["pulls"].as_object().expect("shapes").values() {
        for file in shape["files"].as_array().expect("files") {
            short.extend(faults(file["file"].as_str().expect("a name"), shape));
        }
    }
    assert_eq!(short, Vec::<String>::new());
}
