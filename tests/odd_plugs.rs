//! Plugs that are not what they were meant to be, through the built program: each is told with its remedy, and the panels beside
//! it go on.

mod common;

use common::files::binary_stl;
use common::program::Bench;
use common::shapes::{Triangle, moved, reversed};
use common::solids;
use serde_json::Value;

/// A plug with the base that it stands on, whose walls lean in by 10 mm in 100.
fn plug() -> Vec<Triangle> {
    let [a, b, c, d] = [[-10.0, -10.0, 0.0], [510.0, -10.0, 0.0], [510.0, 310.0, 0.0], [-10.0, 310.0, 0.0]];
    let mut plug = solids::tray(500.0, 300.0, 100.0, 5.710_593_137);
    plug.extend([[a, c, b], [a, d, c]]);
    plug
}

/// What is told of the first panel, as code and words, after a sound one was measured beside it.
fn told(triangles: &[Triangle], options: &[&str]) -> (Value, Vec<(String, String)>) {
    let bench = Bench::new().with("odd.stl", binary_stl(triangles)).with("sound.stl", binary_stl(&plug()));
    let line = ["measure", "odd.stl", "sound.stl", "--units", "mm", "--json"];
    let ran = bench.run(line.iter().chain(options));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let document = ran.json();
    assert_eq!(document["parts"][1]["pull"]["releases"], options.contains(&"auto"), "the sound one goes on");
    let odd = document["parts"][0].clone();
    let text = |note: &Value, key: &str| note[key].as_str().expect("text").to_owned();
    let notes = odd["notes"].as_array().expect("notes").iter();
    let notes = notes.map(|note| {
        assert_ne!(text(note, "remedy"), "", "{note}");
        (text(note, "code"), text(note, "message"))
    });
    let notes = notes.collect();
    (odd, notes)
}

fn says(notes: &[(String, String)], code: &str, words: &str) -> bool {
    notes.iter().any(|(of, message)| of == code && message.contains(words))
}

#[test]
fn a_plug_whose_export_lost_a_facet_is_told_with_and_without_a_base() {
    let mut open = plug();
    open.pop();
    let (_, notes) = told(&open, &["--base", "auto"]);
    assert!(says(&notes, "facet-missing", "lost a facet") && says(&notes, "no-base", "open sheet"), "{notes:?}");
    let (odd, notes) = told(&open, &[]);
    assert!(says(&notes, "facet-missing", "lost a facet"), "{notes:?}");
    // Two facets lost at places of their own.
    let mut holed = solids::ball();
    holed.swap_remove(40);
    holed.swap_remove(3);
    let (_, notes) = told(&holed, &[]);
    assert!(says(&notes, "facet-missing", "lost 2 facets"), "{notes:?}");
    assert_eq!(odd["pull"]["releases"], false, "half the base is still there");
    let (_, notes) = told(&solids::tray(500.0, 300.0, 100.0, 3.0), &[]);
    assert!(!says(&notes, "facet-missing", ""), "{notes:?}");
}

/// 600 x 400 x 300 with a recess of 100 x 200 x 60 in two of its sides: it locks whatever it stands on, and stands on its foot.
#[test]
fn a_plug_with_recesses_stands_on_its_foot_all_the_same() {
    let solid = |x: usize, y: usize, z: usize| !(z == 1 && ((x == 0 && y == 2) || (y == 0 && x == 2)));
    let recessed = solids::boxes(
        [&[0.0, 60.0, 200.0, 300.0, 600.0], &[0.0, 60.0, 150.0, 250.0, 400.0], &[0.0, 50.0, 250.0, 300.0]],
        solid,
    );
    let (odd, notes) = told(&recessed, &["--base", "auto"]);
    assert!(says(&notes, "base-left-out", "0.2400 m2 that looks towards (0, 0, -1)"), "{notes:?}");
    assert_eq!(odd["pull"]["releases"], false);
}

#[test]
fn a_base_is_not_sought_on_two_bodies_without_a_word() {
    let two: Vec<Triangle> = plug().into_iter().chain(moved(&plug(), [700.0, 0.0, 0.0])).collect();
    let (_, notes) = told(&two, &["--base", "auto"]);
    assert!(says(&notes, "no-base", "several bodies") && !says(&notes, "crosses-itself", ""), "{notes:?}");
}

/// Two plugs of 520 mm, the second 400 mm along: walls cross, and each is there twice where they overlap.
#[test]
fn walls_that_cross_are_told_with_the_place() {
    let two: Vec<Triangle> = plug().into_iter().chain(moved(&plug(), [400.0, 33.0, 0.0])).collect();
    let (_, notes) = told(&two, &[]);
    assert!(says(&notes, "crosses-itself", "pass through one another"), "{notes:?}");
}

#[test]
fn a_base_that_is_asked_for_of_a_whole_folder_is_no_warning_beside_its_sheets() {
    let sheet = solids::tray(500.0, 300.0, 100.0, 5.0);
    let (odd, _) = told(&sheet, &["--base", "auto"]);
    let mut notes = odd["notes"].as_array().expect("notes").iter();
    assert_eq!(notes.find(|note| note["code"] == "no-base").expect("it is told")["level"], "info");
}

#[test]
fn check_tells_walls_that_cross() {
    let two: Vec<Triangle> = plug().into_iter().chain(moved(&plug(), [400.0, 33.0, 0.0])).collect();
    let job = "units = \"mm\"\n\n[[part]]\nname = \"panel\"\nfile = \"odd.stl\"\n";
    let ran = Bench::new().with("odd.stl", binary_stl(&two)).with("job.toml", job).run(["check", "job.toml"]);
    assert!(ran.out.contains("pass through one another"), "{}{}", ran.out, ran.err);
}

#[test]
fn a_plug_inside_out_is_turned_and_comes_off_as_it_should() {
    let (odd, notes) = told(&reversed(&plug()), &["--base", "auto"]);
    assert!(notes.iter().any(|(code, _)| code == "inside-out"), "{notes:?}");
    assert_eq!(odd["pull"]["releases"], true);
}
