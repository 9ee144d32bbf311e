//! The report in headless Chromium: the tests of `tests/browser`, on reports that are made here.
//!
//! They need Node, Chromium and the packages of `tests/browser/package.json`; `tests/browser/README.md` says how to get and name
//! them. Without them this test says that it is skipped, unless it is told that they are required.

mod common;

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

use common::files::{binary_stl, obj};
use common::program::{Bench, Ran, fixture};
use common::shapes::{Triangle, lipped_hood, moved, turned_box, wavy_sheet};

/// Test files in the order in which they run.
const TESTS: [&str; 6] =
    ["figures.test.mjs", "page.test.mjs", "view.test.mjs", "release.test.mjs", "reach.test.mjs", "names.test.mjs"];

/// Each would set `window.hit`, open a dialog or break the page if it were taken for more than text.
const IN_A_FILE: &str = r#"<img src=x onerror="window.hit=1">&'Tür"#;
const IN_AN_OBJECT: &str = "</script><script>window.hit=2</script>";
const IN_A_PART: &str = r#""><svg onload=alert(3)> & שלום لوحة"#;
const IN_A_SPLIT: &str = "<style>*{display:none}</style>${window.hit=4}";
const IN_A_SCHEDULE: &str = "<!--<script>window.hit=5";
const IN_A_TITLE: &str = "</title><script>window.hit=6</script> ü";

#[test]
fn the_report_holds_in_a_browser() {
    let Some(packages) = packages() else { return };
    let bench = Bench::new();
    demo(&bench);
    measured(&bench, "measured", &[fixture("kernel/ladder_coarse.stl"), fixture("kernel/tray_2mm_coarse.stl")]);
    hostile(&bench);
    locked(&bench);
    let tests = TESTS.map(|file| Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser").join(file));
    let ended = Command::new("node")
        .args(["--test", "--test-concurrency=1", "--test-reporter=spec"])
        .args(tests)
        .env("MATLOFT_TEST_NODE_MODULES", packages)
        .env("MATLOFT_TEST_REPORTS", bench.path(""))
        .env("MATLOFT_TEST_CHROMIUM", chromium())
        .status()
        .expect("node runs");
    assert!(ended.success(), "a test in the browser failed; see above");
}

/// The folder that holds the packages, if all that is needed is there.
fn packages() -> Option<PathBuf> {
    let folder = std::env::var_os("MATLOFT_TEST_NODE_MODULES").map(PathBuf::from);
    let is_required = std::env::var("MATLOFT_TEST_BROWSER").is_ok_and(|word| word == "required");
    let missing = match &folder {
        None => Some("MATLOFT_TEST_NODE_MODULES is not set"),
        Some(folder) if !folder.join("node_modules/playwright-core").is_dir() => Some("playwright-core is not there"),
        Some(_) if !Path::new(&chromium()).exists() => Some("Chromium is not there"),
        Some(_) => None,
    };
    if let Some(what) = missing {
        assert!(!is_required, "{what}; see tests/browser/README.md");
        // Past the capture of the test's own output, so that it is seen.
        writeln!(std::io::stderr(), "skipped: {what}; see tests/browser/README.md").expect("it is told");
        return None;
    }
    folder
}

fn chromium() -> String {
    std::env::var("MATLOFT_TEST_CHROMIUM").unwrap_or_else(|_| "/usr/bin/chromium".to_owned())
}

fn demo(bench: &Bench) {
    let job = fixture("demo/teardrop.toml");
    let ran = bench.run(["plan".as_ref(), job.as_os_str(), "--out".as_ref(), "demo".as_ref()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
}

/// Measures files; keeps the report and the document of the same run.
fn measured(bench: &Bench, name: &str, files: &[PathBuf]) {
    let report = format!("{name}.html");
    let options = ["--report", &report, "--json", "--objects"].map(std::ffi::OsString::from);
    let Ran { code, out, err } =
        bench.run(["measure".into()].into_iter().chain(files.iter().map(Into::into)).chain(options));
    assert_eq!(code, 0, "{err}");
    fs::write(bench.path(&format!("{name}.json")), out).expect("the document is kept");
}

/// A job whose every name is hostile.
fn hostile(bench: &Bench) {
    fs::create_dir_all(bench.path("hostile")).expect("a folder");
    let file = format!("{IN_A_FILE}.obj");
    let mesh = format!("o {IN_AN_OBJECT}\n{}", obj(&hood()));
    fs::write(bench.path("hostile").join(&file), mesh).expect("the mesh is written");
    let quoted = |text: &str| serde_json::to_string(text).expect("text");
    let job = format!(
        "title = {title}\nunits = \"mm\"\n\n[[part]]\nname = {part}\nfile = {file}\nobject = {object}\nmould = {schedule}\n\n\
         [[part.split]]\nname = {split}\nof = \"both\"\naxis = \"z\"\nat_mm = 130\n\n\
         [schedule.{schedule}]\nmake = \"mould\"\ngelcoat = \"mould gelcoat\"\nresin = \"polyester\"\n\
         layers = [{{ material = \"mat 225\", name = {layer} }}, {{ material = \"mat 450\", plies = 3 }}]\n",
        title = quoted(IN_A_TITLE),
        part = quoted(IN_A_PART),
        file = quoted(&file),
        object = quoted(IN_AN_OBJECT),
        schedule = quoted(IN_A_SCHEDULE),
        split = quoted(IN_A_SPLIT),
        layer = quoted(IN_A_FILE),
    );
    fs::write(bench.path("hostile/job.toml"), job).expect("the job is written");
    let ran = bench.run(["plan", "hostile/job.toml", "--out", "hostile/out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    measured(bench, "hostile/measured", &[bench.path("hostile").join(&file)]);
}

/// A hood that locks: as a job, and measured.
fn locked(bench: &Bench) {
    fs::create_dir_all(bench.path("locked")).expect("a folder");
    fs::write(bench.path("locked/hood.stl"), binary_stl(&lipped_hood())).expect("the mesh is written");
    let job = "title = \"Hood\"\nunits = \"mm\"\n\n[[part]]\nname = \"hood\"\nfile = \"hood.stl\"\n";
    fs::write(bench.path("locked/job.toml"), job).expect("the job is written");
    let ran = bench.run(["plan", "locked/job.toml", "--out", "locked/out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    measured(bench, "locked/measured", &[bench.path("locked/hood.stl")]);
}

/// A hood: a box without its underside, beside it a wavy sheet, so that a split parts one and not the other.
fn hood() -> Vec<Triangle> {
    let whole = turned_box([200.0, 300.0, 500.0]);
    // Its first two facets are one of the six faces.
    let open = &whole[2..];
    let sheet = moved(&wavy_sheet(180.0, 260.0, 12, 18), [700.0, 40.0, 90.0]);
    open.iter().copied().chain(sheet).collect()
}
