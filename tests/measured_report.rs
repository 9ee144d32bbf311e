//! `matloft measure --report` as built: what it may take the place of, and what it says of files that failed.

mod common;

use common::files::{binary_stl, obj};
use common::program::Bench;
use common::shapes::turned_box;

/// A bench with a sound panel as STL.
fn bench() -> Bench {
    Bench::new().with("locker lid.stl", binary_stl(&turned_box([200.0, 300.0, 500.0])))
}

fn read(bench: &Bench, name: &str) -> Vec<u8> {
    std::fs::read(bench.path(name)).expect("the file is there")
}

#[test]
fn a_report_never_takes_the_place_of_a_mesh() {
    let bench = bench();
    std::fs::create_dir(bench.path("exports")).expect("a folder");
    let shape = turned_box([20.0, 30.0, 50.0]);
    let bench = bench.with("exports/Hatch.OBJ", obj(&shape)).with("other.stl", binary_stl(&shape));
    // A mesh without its ending.
    let bench = bench.with("export", binary_stl(&shape));
    let cases = [
        ("locker lid.stl", "locker lid.stl"),
        ("locker lid.stl", "exports/../locker lid.stl"),
        ("exports", "exports/Hatch.OBJ"),
        ("export", "./export"),
        ("locker lid.stl", "other.stl"),
    ];
    for (input, report) in cases {
        let before = read(&bench, report);
        let ran = bench.run(["measure", input, "--json", "--report", report]);
        assert_eq!(ran.code, 2, "{report}: {}", ran.err);
        assert!(ran.err.contains("would overwrite a mesh") && ran.err.contains(".html"), "{report}: {}", ran.err);
        assert!(read(&bench, report) == before, "{report} is as it was");
        assert!(!ran.out.contains("Hatch") || input == "exports", "{}", ran.out);
        assert!(ran.json()["complete"] != true, "{}", ran.out);
    }
    assert_eq!(bench.run(["measure", "locker lid.stl", "--report", "lid.html"]).code, 0);
    assert_eq!(bench.run(["measure", "locker lid.stl", "--report", "lid.html"]).code, 0, "an older report may go");
}

#[cfg(unix)]
#[test]
fn a_report_never_takes_the_place_of_a_link_to_a_mesh() {
    let bench = bench();
    std::os::unix::fs::symlink(bench.path("locker lid.stl"), bench.path("page.html")).expect("a link");
    let ran = bench.run(["measure", "locker lid.stl", "--report", "page.html"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(bench.path("page.html").is_symlink());
}

#[test]
fn a_report_of_nothing_leaves_the_older_one_and_says_so() {
    let bench = bench().with("torn.stl", "solid torn");
    assert_eq!(bench.run(["measure", "locker lid.stl", "--report", "page.html"]).code, 0);
    let before = read(&bench, "page.html");
    let ran = bench.run(["measure", "torn.stl", "gone.stl", "--report", "page.html"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(
        ran.err.contains("page.html: the report is not written, because no panel could be measured"),
        "{}",
        ran.err
    );
    assert!(read(&bench, "page.html") == before, "the older report is kept");
    assert_eq!(bench.run(["measure", "gone.stl", "--report", "new.html"]).code, 2);
    assert!(!bench.path("new.html").exists());
}

#[test]
fn the_report_names_what_failed_before_it_shows_what_was_measured() {
    let bench = bench();
    let ran = bench.run(["measure", "locker lid.stl", "<b>gone&.stl", "--json", "--report", "page.html"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let page = String::from_utf8(read(&bench, "page.html")).expect("text");
    let at = |text: &str| page.find(text).unwrap_or_else(|| panic!("{text} is not on the page"));
    let said = at("This report is incomplete. Not measured:");
    let file = at("<bdi dir=\"auto\">&lt;b&gt;gone&amp;.stl</bdi>");
    let message = at("<bdi dir=\"auto\">there is no such file</bdi>");
    let remedy = at("<bdi dir=\"auto\">check the name; names are case-sensitive on many systems.</bdi>");
    assert!(said < file && file < message && message < remedy && remedy < at("<article"), "at the top, in this order");
    assert!(!page.contains("<b>gone"));
    assert_eq!(bench.run(["measure", "locker lid.stl", "--report", "page.html"]).code, 0);
    let whole = String::from_utf8(read(&bench, "page.html")).expect("text");
    assert!(!whole.contains("This report is incomplete"));
}
