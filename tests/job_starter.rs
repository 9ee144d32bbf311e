//! The starter's job file, and adding to a job.

use matloft::job::{self, Added, Panel, Start, read, starter};
use matloft::units::LengthUnit;

fn panel(name: &str, file: &str) -> Panel {
    Panel {
        name: name.to_owned(),
        file: file.to_owned(),
        object: None,
        object_number: 1,
        size_mm: [2400.0, 1200.5, 180.25],
        area_m2: 3.25,
        splits: Vec::new(),
    }
}

fn object(name: &str, file: &str) -> Panel {
    Panel { object: Some(name.to_owned()), ..panel(name, file) }
}

fn start(panels: Vec<Panel>) -> String {
    let start = Start { title: "Teardrop", unit: LengthUnit::Millimetre, panels, left_out: Vec::new() };
    starter(&start).expect("the starter's stock is sound")
}

fn added(text: &str, panels: &[Panel], unit: LengthUnit) -> Added {
    job::add(text, "job.toml", panels, unit).unwrap_or_else(|errors| panic!("{errors}"))
}

/// Names that shells, editors and TOML all have their difficulties with.
const ODD_NAMES: [&str; 12] = [
    "roof.stl",
    "side panel (left).stl",
    "../out/of here/nose.stl",
    "a \"quoted\" name.stl",
    "it's.stl",
    "back\\slash.stl",
    "#1 [[part]] = {}.obj",
    "Dach \u{fc}ber K\u{fc}che \u{2013} v2.stl",
    "line\nbreak.stl",
    "tab\tand\u{7}bell.stl",
    "'''triple\"\"\".stl",
    " blanks .stl",
];

#[test]
fn the_starter_can_be_planned_as_it_stands_whatever_the_files_are_called() {
    let panels: Vec<Panel> = ODD_NAMES.iter().map(|name| object(name, name)).collect();
    let text = start(panels);
    let job = read(&text, "job.toml").unwrap_or_else(|errors| panic!("{errors}\n{text}"));
    assert_eq!((job.title.as_str(), job.units), ("Teardrop", Some(LengthUnit::Millimetre)));
    let files: Vec<&str> = job.parts.iter().map(|part| part.file.as_str()).collect();
    assert_eq!(files, ODD_NAMES);
    assert!(job.parts.iter().all(|part| part.object.as_deref() == Some(part.name.as_str()) && part.name == part.file));
    assert!(job.schedules.contains_key("mould") && job.schedules.contains_key("moulding"));
    assert!(job.notes().is_empty(), "{:?}", job.notes());
}

#[test]
fn the_starters_schedules_are_those_that_a_job_without_any_gets() {
    let job = read(&start(vec![panel("roof", "roof.stl")]), "job.toml").expect("it can be read");
    let plain = read("", "job.toml").expect("an empty job can be read").shelf().expect("sound");
    let shelf = job.shelf().expect("sound");
    assert_eq!(shelf.schedules, plain.schedules);
    // The settings are comments: their figures keep source and mark.
    assert_eq!(shelf.stock, plain.stock);
}

#[test]
fn the_settings_in_comments_can_be_taken_out_of_them() {
    let text = start(vec![panel("roof", "roof.stl")]);
    let settings = text.lines().skip_while(|line| *line != "[shop]").skip(1).take_while(|line| !line.is_empty());
    let names: Vec<&str> = settings.filter_map(|line| line.strip_prefix("# ")?.split(' ').next()).collect();
    assert!(names.contains(&"flange_mm") && names.contains(&"trim_mm") && names.len() >= 8, "{names:?}");
    let mut open = text.clone();
    for name in &names {
        open = open.replace(&format!("\n# {name} = "), &format!("\n{name} = "));
    }
    let job = read(&open, "job.toml").unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(job.shelf().expect("sound").stock.practice.flange_mm.value, 75.0);
    assert_ne!(job.shop, Default::default());
}

#[test]
fn sizes_and_what_was_left_out_stand_in_comments() {
    let left_out = vec![("nose.stl".to_owned(), "truncated:\nhalf of it is missing".to_owned())];
    let panels = vec![panel("roof", "roof.stl")];
    let text = starter(&Start { title: "T", unit: LengthUnit::Inch, panels, left_out }).expect("sound");
    assert!(
        text.contains("# roof: 2400.0 x 1200.5 x 180.2 mm, 3.2500 m2 of mesh\n[[part]]\nname = \"roof\"\n"),
        "{text}"
    );
    assert!(text.contains("# Left out: nose.stl: truncated: half of it is missing\n"), "{text}");
    assert_eq!(read(&text, "job.toml").expect("sound").units, Some(LengthUnit::Inch));
}

#[test]
fn panels_of_one_name_get_numbers() {
    let text = start(vec![
        panel("side", "left/side.stl"),
        panel("side", "right/side.stl"),
        panel("", "x.stl"),
        panel("side 2", "y.stl"),
    ]);
    let job = read(&text, "job.toml").unwrap_or_else(|errors| panic!("{errors}"));
    let names: Vec<&str> = job.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["side", "side 2", "panel", "side 2 2"]);
}

#[test]
fn equal_objects_of_one_file_are_told_apart_by_number() {
    let twice = vec![object("lid", "set.obj"), Panel { object_number: 2, ..object("lid", "set.obj") }];
    let job = read(&start(twice), "job.toml").unwrap_or_else(|errors| panic!("{errors}"));
    let told: Vec<_> =
        job.parts.iter().map(|part| (part.name.as_str(), part.object.as_deref(), part.object_number)).collect();
    assert_eq!(told, [("lid", Some("lid"), None), ("lid 2", Some("lid"), Some(2))]);
}

#[test]
fn a_flat_object_through_another_is_told_as_the_mark_of_a_split_and_is_no_part() {
    let mark = Panel { splits: vec!["shell".to_owned()], ..object("waist \"plane\"", "shell.obj") };
    let text = start(vec![object("shell", "shell.obj"), mark]);
    let job = read(&text, "job.toml").unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(job.parts.len(), 1);
    assert!(text.contains("It is flat and passes through \"shell\""), "{text}");
    // What the comment says to write can be written.
    let split = text
        .replace("#   [[part.split]]\n#   name = \"waist", "[[part.split]]\nname = \"waist")
        .replace("#   object = ", "object = ");
    let job = read(&split, "job.toml").unwrap_or_else(|errors| panic!("{errors}\n{split}"));
    assert_eq!(job.parts[0].splits[0].object.as_deref(), Some("waist \"plane\""));
}

const BY_HAND: &str = "\
# my job\r\n\
title = \"Teardrop\" # the second one\r\n\
units = 'mm'\r\n\
\r\n\
[[part]]   # first\r\n\
file = \"roof.stl\"\r\n\
name = \"roof\"\r\n\
  [[part.split]]\r\n\
  name = \"waist\"   # by eye\r\n\
  axis = \"z\"\r\n\
  at_mm = 300\r\n\
  # a bit lower would do too\r\n\
\r\n\
# what we do here\r\n\
[shop]\r\n\
trim_mm = 25 # thin edges\r\n\
# the end\r\n";

#[test]
fn adding_keeps_every_byte_that_was_there() {
    let added = added(BY_HAND, &[panel("roof", "./roof.stl"), panel("nose", "nose.stl")], LengthUnit::Millimetre);
    assert_eq!((added.names.as_slice(), added.n_known), (&["nose".to_owned()][..], 1));
    let block = "\r\n# nose: 2400.0 x 1200.5 x 180.2 mm, 3.2500 m2 of mesh\r\n[[part]]\r\nname = \"nose\"\r\nfile = \"nose.stl\"\r\n";
    let at = BY_HAND.find("\r\n# what we do here").expect("it is there");
    assert_eq!(added.text, format!("{}{block}{}", &BY_HAND[..at], &BY_HAND[at..]));
    let job = read(&added.text, "job.toml").unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!((job.parts.len(), job.parts[0].splits.len(), job.parts[1].splits.len()), (2, 1, 0));
}

#[test]
fn adding_what_is_known_changes_nothing() {
    let panels = [object("shell", "set.obj"), object("lid", "set.obj")];
    let text = start(panels.to_vec());
    let again = added(&text, &panels, LengthUnit::Millimetre);
    assert_eq!((again.text == text, again.n_known, again.names.len()), (true, 2, 0));
    // A part that is the whole file holds its objects already.
    let whole =
        added("units = \"mm\"\n[[part]]\nname = \"set\"\nfile = \"set.obj\"\n", &panels, LengthUnit::Millimetre);
    assert_eq!(whole.n_known, 2);
}

#[test]
fn an_added_panel_says_its_unit_where_it_is_not_the_jobs_and_takes_a_free_name() {
    let added = added(
        "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"",
        &[panel("roof", "old/roof.stl")],
        LengthUnit::Inch,
    );
    let job = read(&added.text, "job.toml").unwrap_or_else(|errors| panic!("{errors}\n{}", added.text));
    assert_eq!((job.parts[1].name.as_str(), job.parts[1].units), ("roof 2", Some(LengthUnit::Inch)));
    assert_eq!(job.parts[0].units, None);
}

#[test]
fn a_comment_right_above_the_next_table_stays_above_it() {
    let text = "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\n# habits\n[shop]\ntrim_mm = 25\n";
    let added = added(text, &[panel("nose", "nose.stl")], LengthUnit::Millimetre);
    assert!(added.text.ends_with("file = \"nose.stl\"\n# habits\n[shop]\ntrim_mm = 25\n"), "{}", added.text);
    assert!(read(&added.text, "job.toml").is_ok());
}

#[test]
fn parts_in_a_bracketed_list_are_refused_with_their_line() {
    let text = "units = \"mm\"\npart = [{ name = \"roof\", file = \"roof.stl\" }]\n";
    let errors = job::add(text, "job.toml", &[panel("nose", "nose.stl")], LengthUnit::Millimetre).expect_err("no room");
    assert_eq!(errors.errors[0].line, 2);
    assert_eq!(
        errors.errors[0].fault.to_string(),
        "the parts are listed as `part = [ ... ]`, to which no part can be added"
    );
}

#[test]
fn adding_to_any_job_that_can_be_read_gives_one_that_can_be_read() {
    use proptest::prelude::*;
    let pieces = [
        "[shop]\ntrim_mm = 3\n",
        "# alone\n\n",
        "[[part]]\nname = \"a\"\nfile = \"a.stl\"",
        "\n[[part]]\nname = \"b\"\nfile = \"b.stl\"\n# note\n",
        "\n[part.split] # odd\n",
        "\n[schedule.x]\nmake = \"mould\"\nresin = \"epoxy\"\nlayers = [\n  { material = \"woven 200\" }, # one\n]",
        "\n",
        "\r\n",
    ];
    proptest!(ProptestConfig::with_cases(300), |(order in proptest::collection::vec(0..pieces.len(), 0..7), name in "\\PC{0,12}")| {
        let text = format!("units = \"cm\"\n{}", order.iter().map(|&piece| pieces[piece]).collect::<String>());
        prop_assume!(read(&text, "job.toml").is_ok());
        let before = read(&text, "job.toml").expect("assumed");
        let new = object(&name, &format!("{name}.obj"));
        let added = added(&text, std::slice::from_ref(&new), LengthUnit::Centimetre);
        let after = read(&added.text, "job.toml");
        prop_assert!(after.is_ok(), "{}\n{}", after.unwrap_err(), added.text);
        let after = after.expect("just asserted");
        prop_assert_eq!(after.parts.len(), before.parts.len() + 1);
        prop_assert_eq!(&after.parts[..before.parts.len()], &before.parts[..]);
        prop_assert_eq!(after.parts.last().and_then(|part| part.object.clone()), Some(name));
        prop_assert_eq!((&after.schedules, &after.shop), (&before.schedules, &before.shop));
    });
}
