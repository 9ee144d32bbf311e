//! The built program: `start`, `check`, `stock` and `schema`, with what they print and how they end.

use std::fmt::Write;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// How a run ended: exit code, standard output, standard error.
struct Ended {
    code: i32,
    out: String,
    err: String,
}

fn matloft(folder: &Path, arguments: &[&str]) -> Ended {
    let output = Command::cargo_bin("matloft").expect("it is built").args(arguments).current_dir(folder).output();
    let output = output.expect("it runs");
    Ended {
        code: output.status.code().expect("it is not killed"),
        out: String::from_utf8(output.stdout).expect("UTF-8"),
        err: String::from_utf8(output.stderr).expect("UTF-8"),
    }
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

fn put(folder: &Path, file: &str, text: &str) {
    let path = folder.join(file);
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    std::fs::write(path, text).expect("a file");
}

fn text(folder: &Path, file: &str) -> String {
    std::fs::read_to_string(folder.join(file)).expect("the file is there")
}

type Triangle = [[f64; 3]; 3];

/// A scoop without any mirror plane: three unequal fins about an edge.
fn scoop(scale: f64, mirror: bool) -> Vec<Triangle> {
    let sign = if mirror { -1.0 } else { 1.0 };
    let points =
        [[0.0, 0.0, 0.0], [410.0, 30.0, 0.0], [60.0, 290.0, 40.0], [-25.0, 15.0, 160.0], [-180.0, -60.0, 20.0]];
    let points = points.map(|[x, y, z]| [sign * scale * x, scale * y, scale * z]);
    [[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 1]]
        .map(|corners: [usize; 3]| if mirror { [corners[0], corners[2], corners[1]] } else { corners })
        .map(|corners| corners.map(|corner| points[corner]))
        .to_vec()
}

fn moved(triangles: Vec<Triangle>, by: [f64; 3]) -> Vec<Triangle> {
    triangles.into_iter().map(|corners| corners.map(|at| [at[0] + by[0], at[1] + by[1], at[2] + by[2]])).collect()
}

/// A rectangle at a height, larger than the scoop.
fn plane_at(z: f64) -> Vec<Triangle> {
    let [a, b, c, d] = [[-300.0, -200.0, z], [600.0, -200.0, z], [600.0, 400.0, z], [-300.0, 400.0, z]];
    vec![[a, b, c], [a, c, d]]
}

/// A small flat triangle amid the scoop.
fn bulkhead() -> Vec<Triangle> {
    vec![[[20.0, 30.0, 30.0], [90.0, 40.0, 30.0], [40.0, 80.0, 30.0]]]
}

fn stl(triangles: &[Triangle]) -> String {
    let mut text = "solid panel\n".to_owned();
    for corners in triangles {
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for [x, y, z] in corners {
            let _ = writeln!(text, "vertex {x} {y} {z}");
        }
        text.push_str("endloop\nendfacet\n");
    }
    text + "endsolid panel\n"
}

fn obj(objects: &[(&str, Vec<Triangle>)]) -> String {
    let mut text = String::new();
    let mut n_points = 0;
    for (name, triangles) in objects {
        let _ = writeln!(text, "o {name}");
        for corners in triangles {
            for [x, y, z] in corners {
                let _ = writeln!(text, "v {x} {y} {z}");
            }
            let _ = writeln!(text, "f {} {} {}", n_points + 1, n_points + 2, n_points + 3);
            n_points += 3;
        }
    }
    text
}

// ------------------------------------------------------------------------------------------------------------- start

#[test]
fn start_without_units_refuses_and_shows_both_sizes() {
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    let ended = matloft(folder.path(), &["start", "vent.stl"]);
    assert_eq!((ended.code, ended.out.as_str()), (64, ""));
    assert_eq!(
        ended.err,
        "error: start needs --units: neither STL nor OBJ says what its numbers mean, and areas in the wrong unit are 100 or 645 \
         times wrong\n  \
           vent  if its numbers are mm:     590.0 x 350.0 x 160.0 mm = 23.2 x 13.8 x 6.3 in\n        \
                 if its numbers are inches: 14986.0 x 8890.0 x 4064.0 mm = 590.0 x 350.0 x 160.0 in\n       \
                measure one panel on the plug or in the CAD and say --units mm or --units in (cm, m and ft are known too)\n"
    );
    assert!(!folder.path().join("job.toml").exists());
    let unknown = matloft(folder.path(), &["start", "vent.stl", "--units", "furlong"]);
    assert_eq!(unknown.code, 64);
    assert!(unknown.err.contains("unknown unit 'furlong'; known are mm, cm, m, in and ft"), "{}", unknown.err);
}

#[test]
fn start_writes_a_job_that_check_finds_sound() {
    let folder = folder();
    let odd = "panels/door skin \"left\" #2.stl";
    put(folder.path(), odd, &stl(&scoop(1.0, false)));
    put(folder.path(), "panels/Set.OBJ", &obj(&[("vent cowl", scoop(0.7, false)), ("locker lid", scoop(0.4, false))]));
    put(folder.path(), "panels/notes.txt", "not a mesh");
    std::fs::create_dir(folder.path().join("jobs")).expect("a folder");
    let started = matloft(folder.path(), &["start", "panels", "--units", "mm", "-o", "jobs/teardrop.toml"]);
    assert_eq!(
        (started.code, started.out.as_str(), started.err.as_str()),
        (0, "", "jobs/teardrop.toml: 3 panels in mm\n")
    );
    let job = text(folder.path(), "jobs/teardrop.toml");
    assert!(job.contains("title = \"teardrop\"\n"), "{job}");
    assert!(job.contains("file = \"../panels/door skin \\\"left\\\" #2.stl\"\n"), "{job}");
    let checked = matloft(folder.path(), &["check", "jobs/teardrop.toml"]);
    assert_eq!(
        checked.out,
        // Areas by hand, from the cross products of the four triangles: 0.108561 m2 at full size.
        " part                               size mm  mesh m2  mouldings\n\
         ───────────────────────────────────────────────────────────────────\n \
          vent cowl            413.0 x 245.0 x 112.0   0.0532          1\n \
          locker lid            236.0 x 140.0 x 64.0   0.0174          1\n \
          door skin \"left\" #2  590.0 x 350.0 x 160.0   0.1086          1\n\
         jobs/teardrop.toml: can be planned\n"
    );
    assert_eq!((checked.code, checked.err.as_str()), (0, ""));
}

#[test]
fn start_never_overwrites_unless_it_is_told_to() {
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    put(folder.path(), "job.toml", "# mine\n");
    let refused = matloft(folder.path(), &["start", "vent.stl", "--units", "mm"]);
    assert_eq!(refused.code, 2);
    assert_eq!(
        refused.err,
        "error: job.toml: this job file is there already and is not overwritten\n       \
         -> add new panels to it with --add, replace it with --force, or write another with -o\n"
    );
    assert_eq!(text(folder.path(), "job.toml"), "# mine\n");
    assert_eq!(matloft(folder.path(), &["start", "vent.stl", "--units", "mm", "--force"]).code, 0);
    assert!(text(folder.path(), "job.toml").contains("name = \"vent\""));
    assert_eq!(matloft(folder.path(), &["start", "vent.stl", "--units", "mm", "--force", "--add"]).code, 64);
}

#[test]
fn start_lists_the_good_panels_and_tells_the_bad_one() {
    let folder = folder();
    put(folder.path(), "a.stl", "");
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    let ended = matloft(folder.path(), &["start", "a.stl", "vent.stl", "gone.stl", "--units", "mm"]);
    assert_eq!(ended.code, 2);
    assert!(
        ended.err.contains("error: a.stl: ") && ended.err.contains("error: gone.stl: there is no such file"),
        "{}",
        ended.err
    );
    let job = text(folder.path(), "job.toml");
    assert!(job.contains("name = \"vent\"") && job.contains("# Left out: a.stl: "), "{job}");
    let none = matloft(folder.path(), &["start", "a.stl", "--units", "mm", "-o", "none.toml"]);
    assert_eq!((none.code, folder.path().join("none.toml").exists()), (2, false));
}

#[test]
fn start_warns_of_a_size_that_speaks_against_the_unit() {
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(0.02, false)));
    let ended = matloft(folder.path(), &["start", "vent.stl", "--units", "mm"]);
    assert_eq!(ended.code, 0);
    assert!(ended.err.contains("warning: vent: ") && ended.err.contains("unit"), "{}", ended.err);
}

#[test]
fn adding_puts_new_panels_into_a_job_and_keeps_the_rest() {
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    put(folder.path(), "lid.stl", &stl(&scoop(0.5, false)));
    let mine = "# mine\nunits = \"mm\"   # as drawn\n[[part]]\nname = \"vent cowl\"\nfile = \"vent.stl\"\n\n# habits\n[shop]\ntrim_mm = 25\n";
    put(folder.path(), "job.toml", mine);
    let ended = matloft(folder.path(), &["start", ".", "--units", "mm", "--add"]);
    assert_eq!((ended.code, ended.err.as_str()), (0, "job.toml: 1 panel known, 1 panel added\n  lid\n"));
    let job = text(folder.path(), "job.toml");
    let block = "\n# lid: 295.0 x 175.0 x 80.0 mm, 0.0271 m2 of mesh\n[[part]]\nname = \"lid\"\nfile = \"lid.stl\"\n";
    assert_eq!(job, mine.replace("\n\n# habits", &format!("\n{block}\n# habits")));
    let again = matloft(folder.path(), &["start", ".", "--units", "mm", "--add"]);
    assert_eq!((again.code, again.err.as_str()), (0, "job.toml: 2 panels known, 0 panels added\n"));
    assert_eq!(text(folder.path(), "job.toml"), job);
    let missing = matloft(folder.path(), &["start", ".", "--units", "mm", "--add", "-o", "other.toml"]);
    assert_eq!(missing.code, 2);
    assert!(missing.err.starts_with("error: other.toml: there is no such file"), "{}", missing.err);
}

#[test]
fn a_plane_in_the_mesh_file_is_offered_as_a_split_and_taken_up_by_check() {
    let folder = folder();
    put(
        folder.path(),
        "shell.obj",
        &obj(&[
            ("shell", scoop(1.0, false)),
            ("waist", plane_at(50.0)),
            ("shelf", moved(plane_at(0.0), [0.0, 0.0, 900.0])),
            ("bulkhead", bulkhead()),
        ]),
    );
    let started = matloft(folder.path(), &["start", "shell.obj", "--units", "mm"]);
    assert_eq!(started.code, 0);
    assert!(started.err.contains("note: \"waist\" is flat and passes through another object"), "{}", started.err);
    let job = text(folder.path(), "job.toml");
    // A flat panel that passes through nothing is a panel, and so is one that is fitted into a shell.
    assert!(
        job.contains("\n[[part]]\nname = \"shelf\"\n")
            && job.contains("\n[[part]]\nname = \"bulkhead\"\n")
            && !job.contains("\n[[part]]\nname = \"waist\"\n"),
        "{job}"
    );
    let split = job
        .replace("object = \"shell\"\n", "object = \"shell\"\n[[part.split]]\nname = \"waist\"\nobject = \"waist\"\n");
    put(folder.path(), "job.toml", &split);
    let checked = matloft(folder.path(), &["check", "job.toml", "--json"]);
    let document: Value = serde_json::from_str(&checked.out).expect("JSON");
    assert_eq!(
        (checked.code, document["complete"].as_bool(), document["parts"].as_array().map(Vec::len)),
        (0, Some(true), Some(3))
    );
    put(folder.path(), "job.toml", &split.replace("object = \"waist\"\n", "object = \"shell\"\n"));
    let refused = matloft(folder.path(), &["check", "job.toml"]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("object \"shell\" marks no plane"), "{}", refused.err);
}

#[cfg(unix)]
#[test]
fn a_new_job_file_has_the_rights_of_any_new_file() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    assert_eq!(matloft(folder.path(), &["start", "vent.stl", "--units", "mm"]).code, 0);
    let rights =
        |file: &str| std::fs::metadata(folder.path().join(file)).expect("it is there").permissions().mode() & 0o777;
    assert_eq!(rights("job.toml"), rights("vent.stl"));
}

// ------------------------------------------------------------------------------------------------------------- check

#[test]
fn check_points_at_the_line_of_a_missing_mesh_and_of_a_missing_object() {
    let folder = folder();
    put(folder.path(), "set.obj", &obj(&[("vent cowl", scoop(0.7, false)), ("lid", scoop(0.4, false))]));
    put(
        folder.path(),
        "job.toml",
        "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"rof.stl\"\n[[part]]\nname = \"cowl\"\nfile = \"set.obj\"\nobject = \"vent cowel\"\n\
         [[part]]\nname = \"lid\"\nfile = \"set.obj\"\nobject = \"lid\"\n",
    );
    let ended = matloft(folder.path(), &["check", "job.toml"]);
    assert_eq!(ended.code, 2);
    assert_eq!(
        ended.err,
        "error: the mesh of part \"roof\", rof.stl, cannot be used: there is no such file\n \
          --> job.toml:4:8\n  \
           |\n\
         4 | file = \"rof.stl\"\n  \
           |        ^^^^^^^^^\n  \
           |\n  \
           = help: check the name; names are case-sensitive on many systems\n\n\
         error: set.obj holds no object called \"vent cowel\"\n \
          --> job.toml:8:10\n  \
           |\n\
         8 | object = \"vent cowel\"\n  \
           |          ^^^^^^^^^^^^\n  \
           |\n  \
           = help: did you mean \"vent cowl\"? It holds \"vent cowl\", \"lid\"\n\n"
    );
    // The part that is sound is listed all the same.
    assert!(
        ended.out.contains(" lid ") && ended.out.ends_with("job.toml: cannot be planned as a whole: 2 errors\n"),
        "{}",
        ended.out
    );
    let json = matloft(folder.path(), &["check", "job.toml", "--json"]);
    let document: Value = serde_json::from_str(&json.out).expect("JSON");
    assert_eq!((json.code, &document["complete"]), (2, &Value::Bool(false)));
    assert_eq!(document["errors"][0]["line"], 4);
    assert_eq!(document["errors"][0]["column"], 8);
    assert_eq!(document["errors"][1]["message"], "set.obj holds no object called \"vent cowel\"");
    assert_eq!(document["parts"][0]["name"], "lid");
}

#[test]
fn check_tells_a_scan_that_is_not_there_and_a_split_that_passes_by() {
    let folder = folder();
    put(folder.path(), "set.obj", &obj(&[("lid", scoop(0.4, false))]));
    put(
        folder.path(),
        "job.toml",
        "units = \"mm\"\n[[part]]\nname = \"lid\"\nfile = \"set.obj\"\nobject = \"lid\"\nrough = \"scna.stl\"\n\
         [[part.split]]\nname = \"keel\"\npoint_mm = [0, 90000, 0]\nnormal = [0, 1, 0]\n",
    );
    let ended = matloft(folder.path(), &["check", "job.toml", "--strict"]);
    assert_eq!(ended.code, 1, "{}", ended.err);
    for told in ["the scan of the rough plug cannot be used: scna.stl", "split \"keel\" misses the panel by"] {
        assert!(ended.out.contains(told), "{told}: {}", ended.out);
    }
}

#[test]
fn check_tells_the_same_shape_twice_and_both_hands_of_a_mirrored_part() {
    let folder = folder();
    put(folder.path(), "left.stl", &stl(&scoop(1.0, false)));
    put(folder.path(), "left copy.stl", &stl(&moved(scoop(1.0, false), [900.0, -40.0, 12.5])));
    put(folder.path(), "right.stl", &stl(&moved(scoop(1.0, true), [0.0, 77.0, 0.0])));
    put(folder.path(), "other.stl", &stl(&scoop(1.01, false)));
    let job = |mirrored: &str, second: &str| {
        format!(
            "units = \"mm\"\n[[part]]\nname = \"left\"\nfile = \"left.stl\"\n{mirrored}[[part]]\nname = \"second\"\nfile = \"{second}\"\n\
             [[part]]\nname = \"other\"\nfile = \"other.stl\"\n"
        )
    };
    let warnings = |mirrored: &str, second: &str, strict: bool| {
        put(folder.path(), "job.toml", &job(mirrored, second));
        let mut arguments = vec!["check", "job.toml", "--json"];
        arguments.extend(strict.then_some("--strict"));
        let ended = matloft(folder.path(), &arguments);
        let document: Value = serde_json::from_str(&ended.out).expect("JSON");
        let notes = document["notes"].as_array().expect("notes").clone();
        let told: Vec<String> = notes
            .iter()
            .filter(|note| note["level"] == "warning")
            .map(|note| note["code"].as_str().expect("a code").to_owned())
            .collect();
        (ended.code, told)
    };
    assert_eq!(warnings("", "left copy.stl", false), (0, vec!["same-shape".to_owned()]));
    assert_eq!(warnings("", "left copy.stl", true), (1, vec!["same-shape".to_owned()]));
    assert_eq!(warnings("mirrored = true\n", "right.stl", true), (1, vec!["both-hands".to_owned()]));
    // Both hands as parts of their own are as they should be.
    assert_eq!(warnings("", "right.stl", true), (0, vec![]));
}

#[test]
fn check_of_a_file_that_is_no_job_says_so_and_still_prints_one_document() {
    let folder = folder();
    std::fs::write(folder.path().join("latin.toml"), b"title = 'a'\n# caf\xe9\n").expect("a file");
    let cases = [("gone.toml", "there is no such file"), ("latin.toml", "line 2 is not UTF-8 text")];
    for (file, words) in cases {
        let ended = matloft(folder.path(), &["check", file, "--json"]);
        let document: Value = serde_json::from_str(&ended.out).expect("JSON");
        assert_eq!((ended.code, &document["errors"][0]["message"]), (2, &Value::from(words)));
        assert!(ended.err.starts_with(&format!("error: {file}: {words}")), "{}", ended.err);
    }
    assert_eq!(matloft(folder.path(), &["check"]).code, 64);
}

// ---------------------------------------------------------------------------------------------------- stock and schema

#[test]
fn stock_lists_every_material_with_sources_and_marks_in_a_hundred_columns() {
    let folder = folder();
    let ended = matloft(folder.path(), &["stock"]);
    assert_eq!((ended.code, ended.err.as_str()), (0, ""));
    let widest = ended.out.lines().map(|line| line.chars().count()).max();
    assert!(widest.is_some_and(|widest| widest <= 100), "{widest:?}");
    for words in [
        "reinforcement \"mat 450\"",
        "resin \"epoxy\"",
        "gelcoat \"mould gelcoat\"",
        "common practice, no source",
        "from memory",
        "schedule \"mould\"",
    ] {
        assert!(ended.out.contains(words), "{words}");
    }
    let json = matloft(folder.path(), &["stock", "--json"]);
    let document: Value = serde_json::from_str(&json.out).expect("JSON");
    let entries = document["stock"].as_array().expect("entries");
    assert!(entries.len() >= 15, "{}", entries.len());
    for figure in entries.iter().flat_map(|entry| entry["figures"].as_array().expect("figures")) {
        assert!(figure["value"].is_number() && figure["mark"].is_string(), "{figure}");
        assert!(figure["source"].as_str().is_some_and(|source| !source.is_empty()), "{figure}");
    }
}

#[test]
fn stock_of_a_job_shows_what_the_job_changes() {
    let folder = folder();
    put(folder.path(), "job.toml", "[stock.reinforcement.\"mat 450\"]\nresin_per_glass = 2.2\n");
    let ended = matloft(folder.path(), &["stock", "job.toml"]);
    let given = ended.out.lines().find(|line| line.contains("given in the job")).expect("one figure is the job's");
    assert!(given.contains("resin_per_glass") && given.contains("2.2"), "{given}");
    put(folder.path(), "job.toml", "[stok]\n");
    let refused = matloft(folder.path(), &["stock", "job.toml", "--json"]);
    let document: Value = serde_json::from_str(&refused.out).expect("JSON");
    assert_eq!((refused.code, &document["errors"][0]["message"]), (2, &Value::from("`stok` is not a key of the job")));
}

/// The schema is held against the standard's own meta-schema where Python with `jsonschema` is there (4.26 was used);
/// everywhere it must be JSON of the right draft.
#[test]
fn the_schema_is_valid_and_takes_the_starter() {
    let folder = folder();
    put(folder.path(), "vent.stl", &stl(&scoop(1.0, false)));
    assert_eq!(matloft(folder.path(), &["start", "vent.stl", "--units", "mm"]).code, 0);
    let schema = matloft(folder.path(), &["schema"]);
    assert_eq!(schema.code, 0);
    let document: Value = serde_json::from_str(&schema.out).expect("JSON");
    assert_eq!(document["$schema"], "https://json-schema.org/draft/2020-12/schema");
    put(folder.path(), "schema.json", &schema.out);
    let script = "import json, sys, tomllib, jsonschema\n\
                  schema = json.load(open('schema.json'))\n\
                  jsonschema.Draft202012Validator.check_schema(schema)\n\
                  job = tomllib.load(open('job.toml', 'rb'))\n\
                  validator = jsonschema.Draft202012Validator(schema)\n\
                  assert not list(validator.iter_errors(job))\n\
                  job['part'][0]['quantitiy'] = 2\n\
                  assert list(validator.iter_errors(job))\n";
    let python =
        |code: &str| std::process::Command::new("python3").args(["-c", code]).current_dir(folder.path()).output();
    if python("import jsonschema, tomllib").is_ok_and(|output| output.status.success()) {
        let output = python(script).expect("it ran a moment ago");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}
