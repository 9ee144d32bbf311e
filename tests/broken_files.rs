//! Files that are broken, odd or awkward, through the built program: each against `fixtures/broken/expect.json`.

mod common;

use std::collections::BTreeSet;

use common::program::{Bench, Ran, fixture};
use serde_json::Value;

/// One file, what is expected of it and what the program said.
struct Case {
    name: String,
    expected: Value,
    ran: Ran,
    document: Value,
}

impl Case {
    /// Everything that was said to the person, in one text.
    fn said(&self) -> String {
        let words = |entry: &Value| format!("{} {}", entry["message"], entry["remedy"]).to_lowercase();
        let parts = self.document["parts"].as_array().expect("parts");
        let notes = parts.iter().flat_map(|part| part["notes"].as_array().expect("notes"));
        notes.chain(self.document["errors"].as_array().expect("errors")).map(words).collect::<Vec<_>>().join("\n")
    }

    fn part(&self) -> &Value {
        assert_eq!(self.document["parts"].as_array().expect("parts").len(), 1, "{}: one part", self.name);
        &self.document["parts"][0]
    }
}

/// Every file of one expectation, measured. A plain millimetre is the unit, but where the unit itself is in doubt.
fn cases(expectation: &str) -> Vec<Case> {
    let expected = std::fs::read(fixture("broken/expect.json")).expect("the expectations are there");
    let expected: Value = serde_json::from_slice(&expected).expect("the expectations are JSON");
    let wanted = expected.as_object().expect("an object").iter().filter(|(_, entry)| entry["expect"] == expectation);
    let cases: Vec<Case> = wanted.map(|(name, entry)| case(name, entry)).collect();
    assert!(cases.len() >= 9, "only {} files are {expectation}", cases.len());
    cases
}

fn case(name: &str, expected: &Value) -> Case {
    let path = fixture("broken").join(name);
    let path = path.to_str().expect("a plain path");
    let mut arguments = vec!["measure", path, "--json"];
    if !["inches.stl", "metres.stl"].contains(&name) {
        arguments.extend(["--units", "mm"]);
    }
    let ran = Bench::new().run(arguments);
    assert!(!ran.err.contains("panicked"), "{name}: {}", ran.err);
    let document = ran.json();
    Case { name: name.to_owned(), expected: expected.clone(), ran, document }
}

/// At least one of the expected words was said.
fn assert_words(case: &Case) {
    let said = case.said();
    let words = case.expected["words"].as_array().expect("words");
    let found = words.iter().filter_map(Value::as_str).any(|word| said.contains(&word.to_lowercase()));
    assert!(found, "{}: none of {} in {said}", case.name, case.expected["words"]);
}

/// What is known of the figures.
fn assert_figures(case: &Case) {
    let part = case.part();
    if let Some(area_mm2) = case.expected["area_mm2"].as_f64() {
        let area = part["area_m2"].as_f64().expect("an area") * 1e6;
        assert!((area - area_mm2).abs() <= 1e-6 * area_mm2, "{}: {area} mm2 for {area_mm2}", case.name);
    }
    if let Some(volume_mm3) = case.expected["volume_mm3"].as_f64() {
        let volume = part["volume_m3"].as_f64().expect("a volume") * 1e9;
        assert!((volume - volume_mm3).abs() <= 1e-6 * volume_mm3, "{}: {volume} mm3 for {volume_mm3}", case.name);
    }
    for count in ["duplicate_triangles", "degenerate_triangles", "nonmanifold_edges", "components"] {
        if !case.expected[count].is_null() {
            assert_eq!(part["mesh"][count], case.expected[count], "{}: {count}", case.name);
        }
    }
}

#[test]
fn what_cannot_be_trusted_is_refused_with_a_message_that_says_what_and_how_to_mend_it() {
    for case in cases("refused") {
        assert_eq!(case.ran.code, 2, "{}: {}", case.name, case.ran.out);
        assert_eq!(case.document["parts"], serde_json::json!([]), "{} is not measured as well", case.name);
        let error = &case.document["errors"][0];
        let is_text = |key: &str| error[key].as_str().is_some_and(|text| !text.trim().is_empty());
        assert!(is_text("message") && is_text("remedy"), "{}: {error}", case.name);
        assert!(error["file"].as_str().is_some_and(|file| file.ends_with(&case.name)), "{error}");
        assert_words(&case);
    }
}

#[test]
fn the_line_at_fault_is_named() {
    for case in cases("refused") {
        let Some(line) = case.expected["bad_line"].as_u64() else { continue };
        assert!(case.said().contains(&format!("line {line}")), "{}: {}", case.name, case.said());
    }
}

#[test]
fn what_was_repaired_is_measured_and_told() {
    for case in cases("told") {
        if case.ran.code == 2 && case.expected["may_be_refused"] == true {
            assert_words(&case);
            continue;
        }
        assert_eq!(case.ran.code, 0, "{}: {}", case.name, case.ran.out);
        assert_eq!(case.document["errors"], serde_json::json!([]), "{}", case.name);
        assert_words(&case);
        assert_figures(&case);
    }
}

#[test]
fn what_is_only_odd_is_measured_without_a_word_of_fault() {
    for case in cases("measured") {
        assert_eq!(case.ran.code, 0, "{}: {}", case.name, case.ran.out);
        assert_eq!(case.document["errors"], serde_json::json!([]), "{}", case.name);
        assert_figures(&case);
        let said = case.said();
        for word in ["truncated", "duplicate", "degenerate", "flipped", "inside out", "not a number"] {
            assert!(!said.contains(word), "{}: {word} in {said}", case.name);
        }
    }
}

#[test]
fn a_whole_folder_of_broken_files_gives_one_document_that_holds_each_file_once() {
    let folder = fixture("broken");
    let ran = Bench::new().run(["measure", folder.to_str().expect("a plain path"), "--json"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let document = ran.json();
    let names = |list: &str| -> Vec<String> {
        let files =
            document[list].as_array().expect("a list").iter().map(|entry| entry["file"].as_str().expect("a file"));
        files.map(|file| file.rsplit(['/', '\\']).next().expect("a name").to_owned()).collect()
    };
    let (measured, refused) = (names("parts"), names("errors"));
    let all: BTreeSet<&String> = measured.iter().chain(&refused).collect();
    assert_eq!(all.len(), measured.len() + refused.len(), "no file is both measured and refused");
    let expected = std::fs::read(folder.join("expect.json")).expect("the expectations are there");
    let expected: Value = serde_json::from_slice(&expected).expect("JSON");
    assert_eq!(all.len(), expected.as_object().expect("an object").len());
}

#[test]
fn without_json_the_faults_stand_on_standard_error_and_the_run_ends_with_2() {
    let path = fixture("broken/truncated.stl");
    let ran = Bench::new().run(["measure", path.to_str().expect("a plain path")]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("truncated.stl") && ran.err.contains("truncated"), "{}", ran.err);
}
