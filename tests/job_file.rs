//! What a builder reads when a job file is wrong, and what a right one means.

use matloft::job::{self, Choice, Face, FaceSide, Fault, Job, SplitPlane};
use matloft::laminate::schedule::Make;
use matloft::units::LengthUnit;

fn told(text: &str) -> String {
    match job::read(text, "job.toml") {
        Ok(job) => panic!("no fault was found in {job:?}"),
        Err(errors) => errors.to_string(),
    }
}

fn sound(text: &str) -> Job {
    job::read(text, "job.toml").unwrap_or_else(|errors| panic!("{errors}"))
}

/// What is wrong, fault by fault, without the place.
fn faults(text: &str) -> Vec<String> {
    match job::read(text, "job.toml") {
        Ok(_) => Vec::new(),
        Err(errors) => errors.errors.iter().map(|error| error.fault.to_string()).collect(),
    }
}

/// A job of one part, with more lines in the part.
fn roof(more: &str) -> String {
    format!("units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\n{more}\n")
}

// ---------------------------------------------------------------------------------------------- one fault, whole text

#[test]
fn a_misspelt_key_is_told_with_its_place_and_the_nearest_key() {
    assert_eq!(
        told(&roof("quantitiy = 2")),
        "job.toml, line 5, column 1: `quantitiy` is not a key of [[part]]\n  \
           5 | quantitiy = 2\n    \
             | ^^^^^^^^^\n    \
             = did you mean `quantity`? It takes base, edge, face, file, fixing, flange_mm, inside, joint, kind, lap_mm, mirrored, mould, \
         moulding, name, object, object_number, outward, plug, pull, quantity, rough, split, stiffening, trim_mm, units\n"
    );
}

#[test]
fn an_unknown_unit_is_told_with_the_one_that_is_meant() {
    assert_eq!(
        told("units = \"inches\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\n"),
        "job.toml, line 1, column 9: `units` cannot be \"inches\"\n  \
           1 | units = \"inches\"\n    \
             |         ^^^^^^^^\n    \
             = did you mean \"in\"? It takes \"mm\", \"cm\", \"m\", \"in\" or \"ft\"\n"
    );
    assert!(told("units = \"furlong\"").contains("write \"mm\", \"cm\", \"m\", \"in\" or \"ft\""));
}

#[test]
fn a_job_without_a_unit_is_refused_at_the_part_that_lacks_one() {
    assert_eq!(
        told(
            "[[part]]\nname = \"nose\"\nfile = \"nose.stl\"\nunits = \"in\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\n"
        ),
        "job.toml, line 5, column 1: nothing says which unit the mesh of part \"roof\" is in\n  \
           5 | [[part]]\n    \
             | ^^^^^^^^\n    \
             = write `units = \"mm\"` (or cm, m, in, ft) at the top of the job or in this part: an area in the wrong \
         unit is 100 or 645 times wrong\n"
    );
}

#[test]
fn a_schedule_that_names_no_stock_is_told_with_the_nearest_material() {
    let text = "[schedule.light]\nmake = \"moulding\"\nresin = \"polyester\"\nlayers = [{ material = \"mat 45O\" }]\n";
    assert_eq!(
        told(text),
        "job.toml, line 4, column 24: there is no material called \"mat 45O\"\n  \
           4 | layers = [{ material = \"mat 45O\" }]\n    \
             |                        ^^^^^^^^^\n    \
             = did you mean \"mat 450\"? `matloft stock` lists what there is; a new one goes under \
         [stock.reinforcement.NAME]\n"
    );
}

#[test]
fn a_schedule_that_nobody_knows_is_told_with_those_that_there_are() {
    let text = roof("mould = \"muold\"");
    assert_eq!(
        told(&text),
        "job.toml, line 5, column 9: there is no schedule called \"muold\"\n  \
           5 | mould = \"muold\"\n    \
             |         ^^^^^^^\n    \
             = did you mean \"mould\"? Known are \"mould\", \"moulding\"; a new one goes under [schedule.NAME]\n"
    );
}

#[test]
fn a_number_with_a_unit_in_quotes_is_told_how_to_be_written() {
    assert_eq!(
        told(&roof("flange_mm = \"62,5 mm\"")),
        "job.toml, line 5, column 13: `flange_mm` is the text \"62,5 mm\", but takes a number\n  \
           5 | flange_mm = \"62,5 mm\"\n    \
             |             ^^^^^^^^^\n    \
             = write 62.5, without quotes and unit: the unit is in the name of the key\n"
    );
}

#[test]
fn two_parts_of_one_name_are_told_with_both_lines() {
    assert_eq!(
        told(&format!("{}[[part]]\nname = \"roof\"\nfile = \"other.stl\"\n", roof(""))),
        "job.toml, line 7, column 8: two parts are called \"roof\": this one and the one in line 3\n  \
           7 | name = \"roof\"\n    \
             |        ^^^^^^\n    \
             = give one of them another name: results go by it\n"
    );
}

#[test]
fn a_fault_stands_in_a_frame_at_a_terminal() {
    let errors = job::read(&roof("face = \"outsid\""), "job.toml").expect_err("no such side");
    assert_eq!(
        job::frames::frames(&errors, false),
        "error: `face` cannot be \"outsid\"\n \
          --> job.toml:5:8\n  \
           |\n\
         5 | face = \"outsid\"\n  \
           |        ^^^^^^^^\n  \
           |\n  \
           = help: did you mean \"outside\"? It takes \"outside\", \"inside\" or three numbers [x, y, z]\n\n"
    );
    assert!(job::frames::frames(&errors, true).contains('\u{1b}'));
}

// ----------------------------------------------------------------------------------------------------- kinds of faults

#[test]
fn numbers_that_cannot_be_are_refused_each_in_its_line() {
    let text = roof(
        "quantity = 0\nflange_mm = -5\ntrim_mm = nan\nlap_mm = inf\n[[part.split]]\nname = \"a\"\naxis = \"z\"\nat_mm = 1e999\n\
         [[part.edge]]\nnear_mm = [0, 0, 0]\nkind = \"outer-edge\"\nwidth_mm = 0",
    );
    assert_eq!(
        faults(&text),
        [
            "`quantity` is 0, but must be a number from 1 to 10000",
            "`flange_mm` is -5, but must be a number of 0 or more",
            "`trim_mm` is nan, but must be a number that can be measured",
            "`lap_mm` is inf, but must be a number that can be measured",
            "`at_mm` is 1e999, but must be a number that can be measured",
            "`width_mm` is 0, but must be a number above 0",
        ]
    );
    assert_eq!(faults(&roof("quantity = 1.5")), ["`quantity` is the number 1.5, but takes a whole number"]);
}

#[test]
fn a_split_needs_one_plane_and_a_whole_one() {
    let split = |lines: &str| faults(&roof(&format!("[[part.split]]\nname = \"waist\"\n{lines}")));
    assert_eq!(split(""), ["split \"waist\" does not say where it is"]);
    assert_eq!(
        split("axis = \"z\"\nat_mm = 3\nobject = \"plane\""),
        ["split \"waist\" is given in 2 ways: `axis` with `at_mm` and `object`"]
    );
    assert_eq!(split("point_mm = [0, 0, 3]"), ["split \"waist\" has `point_mm` but no `normal`"]);
    assert_eq!(split("at_mm = 3"), ["split \"waist\" has `at_mm` but no `axis`"]);
    assert_eq!(split("point_mm = [0, 0, 3]\nnormal = [0, -0.0, 0]"), ["`normal` is [0, 0, 0], which points nowhere"]);
    assert_eq!(
        split("through_mm = [[0, 0, 0], [1, 2, 3], [2, 4, 6]]"),
        ["the three points of split \"waist\" lie in one line, so many planes go through them"]
    );
    assert_eq!(
        split("through_mm = [[0, 0, 0], [1, 2, 3]]"),
        ["`through_mm` is a list of 2, but takes three points [[x, y, z], [x, y, z], [x, y, z]]"]
    );
    assert_eq!(split("axis = \"w\"\nat_mm = 3"), ["`axis` cannot be \"w\""]);
    // A misspelt key is told once, and not as a plane that is missing as well.
    assert_eq!(split("point_mm = [0, 0, 3]\nnomral = [0, 0, 1]"), ["`nomral` is not a key of [[part.split]]"]);
}

#[test]
fn words_and_directions_of_face_outward_and_kind_are_checked() {
    assert_eq!(faults(&roof("face = [0, 0, 0]")), ["`face` is [0, 0, 0], which points nowhere"]);
    assert_eq!(faults(&roof("outward = \"as wond\"")), ["`outward` cannot be \"as wond\""]);
    assert_eq!(faults(&roof("kind = \"plug\"")), ["`kind` cannot be \"plug\""]);
    assert_eq!(
        faults(&roof("face = 3")),
        ["`face` is the number 3, but takes \"outside\", \"inside\" or three numbers [x, y, z]"]
    );
    assert_eq!(faults(&roof("mould = true")), ["`mould` is true, but takes the name of a schedule in quotes or false"]);
}

#[test]
fn an_edge_without_a_flange_has_no_width() {
    let text = roof("[[part.edge]]\nnear_mm = [0, 1, 2]\nkind = \"laid-across\"\nwidth_mm = 30");
    assert_eq!(faults(&text), ["an edge that is \"laid-across\" has no width"]);
}

#[test]
fn what_a_schedule_makes_is_held_against_what_it_is_named_for() {
    assert_eq!(
        faults(&roof("mould = \"moulding\"")),
        ["schedule \"moulding\" makes a moulding, but `mould` wants one that makes a mould"]
    );
}

#[test]
fn layers_are_checked_down_to_their_zones() {
    let text = "[schedule.light]\nmake = \"moulding\"\nresin = \"polyestr\"\ngelcoat = \"moon dust\"\nlayers = [\n\
                { material = \"mat 450\", plies = 0 },\n\
                { material = \"mat 450\", zone = { corners = { width_mm = -5 } } },\n\
                { material = \"mat 450\", zone = { cornrs = { width_mm = 5 } } },\n\
                { material = \"mat 450\", zone = { beyond = { point_mm = [0, 0, 0], normal = [0, 0, 0] } } },\n\
                { materail = \"mat 450\" },\n]\n";
    assert_eq!(
        faults(text),
        [
            "there is no resin called \"polyestr\"",
            "there is no gelcoat called \"moon dust\"",
            "`plies` is 0, but must be 1 or more",
            "`width_mm` is -5, but must be a number above 0",
            "`cornrs` is not a key of [schedule.light.layers.zone]",
            "`normal` is [0, 0, 0], which points nowhere",
            "`materail` is not a key of [[schedule.light.layers]]",
        ]
    );
}

#[test]
fn stock_entries_tell_their_faults_one_by_one() {
    let text = "[stock.reinforcement.\"mat 450\"]\ninside_limit_mm = -4\n[stock.reinforcement.\"jute 300\"]\nkind = \"woven\"\n\
                [stock.resin.cheap]\nfamily = \"epoxi\"\n[stock.practice]\ntrim_mm = 3\n\
                [shop]\ntrim_mm = { value = 30, low = 40 }\nflange = 60\n";
    let faults = faults(text);
    assert_eq!(faults.len(), 6, "{faults:#?}");
    assert_eq!(faults[0], "`inside_limit_mm` is -4, but must be a number of 0 or more");
    assert!(faults[1].starts_with("reinforcement \"jute 300\" has no `"), "{}", faults[1]);
    assert_eq!(faults[2], "`family` cannot be \"epoxi\"");
    assert_eq!(faults[3], "`practice` is not a key of [stock]");
    assert!(faults[4].contains("40"), "{}", faults[4]);
    assert_eq!(faults[5], "`flange` is not a key of [shop]");
}

#[test]
fn a_core_may_lie_in_a_mat_that_the_job_adds() {
    let core = |mat: &str| {
        format!(
            "[stock.core.cork]\nbonding_mat = \"{mat}\"\nthickness_mm = 4\ndensity_kg_m3 = 180\nresin_kg_m2 = 0.5\ntaper_ratio = 3\n\
             inside_limit_mm = 300\n[stock.reinforcement.\"soft mat\"]\nkind = \"mat\"\nbinder = \"powder\"\nnext_to_gelcoat = false\n\
             areal_weight_g_m2 = 380\nglass_density_g_cm3 = 2.56\ninside_limit_mm = 6\noutside_limit_mm = 4\nlap_mm = 50\n\
             resin_per_glass = 2.5\n"
        )
    };
    assert!(sound(&core("soft mat")).shelf().is_ok());
    let errors = job::read(&core("soft mta"), "job.toml").expect_err("no such mat");
    assert_eq!((errors.errors.len(), errors.errors[0].line), (1, 2), "{errors}");
    // Three ways to give the resin are two too many; the starter's way gives way to the job's.
    let two_ways = core("soft mat").replace("resin_per_glass = 2.5", "resin_per_glass = 2.5\nglass_content = 0.3");
    assert_eq!(faults(&two_ways).len(), 1, "{:?}", faults(&two_ways));
}

#[test]
fn a_broken_line_is_told_with_what_usually_went_wrong() {
    let remedy = |text: &str| {
        let errors = job::read(text, "job.toml").expect_err("it is broken");
        (errors.errors[0].line, errors.errors[0].fault.remedy())
    };
    let says = |text: &str, line: usize, words: &str| {
        let (at, remedy) = remedy(text);
        assert_eq!(at, line, "{text}");
        assert!(remedy.contains(words), "{text}: {remedy}");
    };
    says("title = \"T\"\nunits = mm\n", 2, "put text in quotes");
    says("title = \u{201c}T\u{201d}\n", 1, "straight quotes");
    says("[[part]]\nfile = \"C:\\parts\\xroof.stl\"\n", 2, "single quotes");
    says("[[part]]\nflange_mm = 62,5\n", 2, "with a point");
    says("title =\n", 1, "value after the =");
    says("title = \"a\"\ntitle = \"b\"\n", 2, "keep one of the two");
    says("[[part]\nname = \"a\"\n", 1, "[[part]]");
}

// ----------------------------------------------------------------------------------------------------- all at once

#[test]
fn one_bad_part_hides_no_fault_of_another() {
    let text = "units = \"mm\"\n[[part]]\nname = \"a\"\nquantity = 0\n[[part]]\nname = \"b\"\nfile = \"b.stl\"\nmould = \"nobody\"\n\
                [[part.split]]\nname = \"w\"\nobject = 3\n[[part.split]]\nname = \"v\"\n[[part]]\nname = \"b\"\nfile = 7\n";
    assert_eq!(
        faults(text),
        [
            "[[part]] has no `file`",
            "`quantity` is 0, but must be a number from 1 to 10000",
            "there is no schedule called \"nobody\"",
            "`object` is the number 3, but takes text in quotes",
            "split \"v\" does not say where it is",
            "`file` is the number 7, but takes text in quotes",
        ]
    );
}

#[test]
fn a_fault_in_a_schedule_is_not_told_again_where_it_is_used() {
    let text = format!("mould = \"mine\"\n{}[schedule.mine]\nmake = \"mould\"\nresin = 3\nlayers = []\n", roof(""));
    assert_eq!(faults(&text), ["`resin` is the number 3, but takes text in quotes"]);
}

#[test]
fn places_are_right_with_a_byte_order_mark_line_ends_of_any_kind_and_umlauts() {
    let errors = job::read(
        "\u{feff}title = \"Wänd\"\r\nunits = \"mm\"\r\n\r\n[[part]]\r\nname = \"ä\"\r\nfiel = \"ö.stl\"\r\n",
        "job.toml",
    )
    .expect_err("`fiel` is no key");
    let error = &errors.errors[0];
    assert_eq!((error.line, error.column, error.text.as_str()), (6, 1, "fiel = \"ö.stl\""));
    assert!(matches!(&error.fault, Fault::UnknownKey { nearest: Some(nearest), .. } if nearest == "file"));
}

#[test]
fn nothing_that_a_builder_types_makes_the_reader_panic() {
    use proptest::prelude::*;
    let whole =
        format!("{}[[part.split]]\nname = \"w\"\naxis = \"z\"\nat_mm = 3\n[shop]\ntrim_mm = 3\n", roof("quantity = 2"));
    let snippets = [
        "[",
        "]",
        "=",
        "\"",
        "'",
        "\n",
        "nan",
        "-",
        "{",
        "}",
        "ö",
        "\u{0}",
        "[[part]]\n",
        "part = 3\n",
        "1e999",
        "[shop]\n",
    ];
    proptest!(ProptestConfig::with_cases(400), |(at in 0..whole.len(), cut in 0..20usize, put in 0..snippets.len())| {
        let end = (at + cut).min(whole.len());
        let text = format!("{}{}{}", &whole[..at], snippets[put], &whole[end..]);
        if let Err(errors) = job::read(&text, "job.toml") {
            prop_assert!(!errors.errors.is_empty());
            prop_assert!(errors.errors.iter().all(|error| error.line >= 1 && error.column >= 1));
            prop_assert!(!errors.to_string().is_empty() && !job::frames::frames(&errors, false).is_empty());
        }
    });
    proptest!(|(text in "\\PC*")| { let _ = job::read(&text, "job.toml"); });
}

// ------------------------------------------------------------------------------------------------ what a job means

const TEARDROP: &str = r#"
title = "Teardrop"
units = "mm"
[[part]]
name = "roof"
file = "roof.stl"
quantity = 1
[[part.split]]
name = "waist"
of = "both"
point_mm = [0, 0, 300]
normal = [0, 0, 1]
"#;

#[test]
fn the_plain_job_means_what_it_says() {
    let job = sound(TEARDROP);
    assert_eq!((job.title.as_str(), job.units, job.growth), ("Teardrop", Some(LengthUnit::Millimetre), true));
    let roof = &job.parts[0];
    assert_eq!((roof.name.as_str(), roof.file.as_str(), roof.quantity, roof.mirrored), ("roof", "roof.stl", 1, false));
    assert_eq!(roof.splits_of(Make::Mould).count(), 1);
    assert_eq!(roof.splits_of(Make::Moulding).count(), 1);
    let Some(SplitPlane::Plane(plane)) = roof.splits[0].plane() else { panic!("a plane in figures") };
    assert_eq!(plane.point_mm, nalgebra::Point3::new(0.0, 0.0, 300.0));
    assert_eq!(plane.unit_normal, nalgebra::Vector3::z());
}

#[test]
fn a_job_that_names_no_schedule_gets_the_starters_and_says_so() {
    let job = sound(TEARDROP);
    let shelf = job.shelf().expect("the starter's stock is sound");
    for make in [Make::Mould, Make::Moulding] {
        let (name, schedule) = shelf.schedule(&job, &job.parts[0], make).expect("it is built");
        assert_eq!((name, schedule.make), (make.word(), make));
    }
    let notes = job.notes();
    assert_eq!(notes.len(), 1);
    assert_eq!(notes[0].code, "starter-schedules");
    assert!(notes[0].message.contains("mould") && notes[0].message.contains("moulding"), "{}", notes[0].message);
}

#[test]
fn a_part_has_its_own_schedule_before_the_jobs_and_false_builds_nothing() {
    let text = "units = \"mm\"\nmould = false\n[[part]]\nname = \"a\"\nfile = \"a.stl\"\nmoulding = \"light\"\n[[part]]\nname = \"b\"\n\
                file = \"b.stl\"\nmould = \"mould\"\nmoulding = false\n[schedule.light]\nmake = \"moulding\"\nresin = \"epoxy\"\n\
                layers = [{ material = \"woven 200\" }]\n";
    let job = sound(text);
    assert_eq!(job.mould, Some(Choice::Nothing));
    assert_eq!(job.schedule_name(&job.parts[0], Make::Mould), None);
    assert_eq!(job.schedule_name(&job.parts[0], Make::Moulding), Some("light"));
    assert_eq!(job.schedule_name(&job.parts[1], Make::Mould), Some("mould"));
    assert_eq!(job.schedule_name(&job.parts[1], Make::Moulding), None);
    // Only the mould of part b is the starter's.
    assert_eq!(job.notes().len(), 1);
    assert!(!job.notes()[0].message.contains("moulding"), "{}", job.notes()[0].message);
}

#[test]
fn a_plane_is_the_same_in_whichever_way_it_is_given() {
    let ways = [
        "axis = \"y\"\nat_mm = 40",
        "point_mm = [7, 40, -3]\nnormal = [0, 250, 0]",
        "through_mm = [[0, 40, 0], [0, 40, 10], [10, 40, 0]]",
    ];
    for way in ways {
        let job = sound(&roof(&format!("[[part.split]]\nname = \"w\"\n{way}")));
        let Some(SplitPlane::Plane(plane)) = job.parts[0].splits[0].plane() else { panic!("a plane in figures") };
        assert!((plane.signed_distance_mm(&nalgebra::Point3::new(12.0, 43.0, 5.0)) - 3.0).abs() < 1e-12, "{way}");
    }
    let job = sound(&roof("[[part.split]]\nname = \"w\"\nobject = \"waist plane\""));
    assert_eq!(job.parts[0].splits[0].plane(), Some(SplitPlane::Object("waist plane")));
}

#[test]
fn the_parts_flange_counts_before_the_shops() {
    let text = "units = \"mm\"\n[[part]]\nname = \"a\"\nfile = \"a.stl\"\nflange_mm = 60\nface = \"inside\"\n[[part]]\nname = \"b\"\nfile = \"b.stl\"\n\
                face = [0, 0, -1]\n[shop]\nflange_mm = 90\n";
    let job = sound(text);
    let stock = job.shelf().expect("sound").stock;
    assert_eq!((job.parts[0].flange_mm(&stock), job.parts[1].flange_mm(&stock)), (60.0, 90.0));
    assert_eq!(job.parts[1].trim_mm(&stock), 30.0);
    assert_eq!(job.parts[0].face, Some(Face::Side(FaceSide::Inside)));
    assert_eq!(job.parts[1].face, Some(Face::Towards([0.0, 0.0, -1.0])));
}

#[test]
fn a_figure_of_the_job_replaces_the_starters_and_is_marked_as_given() {
    let job = sound("[stock.reinforcement.\"mat 450\"]\nresin_per_glass = 2.2\n");
    let stock = job.shelf().expect("sound").stock;
    let figure = stock.reinforcements["mat 450"].resin_per_glass.as_ref().expect("it is given");
    assert_eq!((figure.value, figure.mark.words()), (2.2, "given in the job"));
    assert_eq!(stock.reinforcements["mat 450"].areal_weight_g_m2.value, 450.0);
}

// ------------------------------------------------------------------------------------------------------- the schema

#[test]
fn the_schema_knows_the_pinned_keys_and_explains_every_key() {
    let schema = job::schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let has = |pointer: &str| assert!(schema.pointer(pointer).is_some(), "{pointer}");
    ["title", "units", "part"].iter().for_each(|key| has(&format!("/properties/{key}")));
    ["name", "file", "object", "quantity", "mirrored", "split"]
        .iter()
        .for_each(|key| has(&format!("/$defs/JobPart/properties/{key}")));
    ["name", "of", "point_mm", "normal", "axis", "at_mm", "through_mm", "object"]
        .iter()
        .for_each(|key| has(&format!("/$defs/Split/properties/{key}")));
    let definitions = schema["$defs"].as_object().expect("definitions");
    let tables = definitions.iter().map(|(name, table)| (name.as_str(), table)).chain([("Job", &schema)]);
    let mut n_keys = 0;
    for (name, table) in tables.filter_map(|(name, table)| Some((name, table["properties"].as_object()?))) {
        for (key, rules) in table {
            assert!(rules["description"].is_string(), "{name}.{key} has no description");
            n_keys += 1;
        }
    }
    assert!(n_keys > 60, "{n_keys}");
}

/// Keys that belong to the whole shop and are written where they were, and some that are only spelt so elsewhere.
#[test]
fn a_key_that_another_table_has_is_told_with_that_table() {
    let told = |table: &str, key: &str| {
        let text = format!("units = \"mm\"\n[{table}]\n{key} = 2\n");
        let errors = matloft::job::read(&text, "job.toml").expect_err("an unknown key");
        let fault = &errors.errors[0].fault;
        (fault.to_string(), fault.remedy())
    };
    for (table, key, of) in [
        ("plug", "paint_coats", "[days]"),
        ("extras", "gelcoat_coat_mm", "[shop]"),
        ("days", "acetone_l_h", "[consumables]"),
        ("shop", "people", "[crew]"),
    ] {
        let (message, remedy) = told(table, key);
        assert_eq!(message, format!("`{key}` is not a key of [{table}]; {of} has one"));
        assert!(remedy.starts_with(&format!("write it under {of}")), "{remedy}");
    }
    for (table, key, like) in [
        ("plug", "primer_coats", "`prime_coats` of [days]"),
        ("plug", "wax_coats", "`wax_coats_again` of [days]"),
        ("plug", "wax_coatsnew", "`wax_coats_new` of [days]"),
    ] {
        let (message, remedy) = told(table, key);
        assert_eq!(message, format!("`{key}` is not a key of [{table}]"));
        assert!(remedy.contains(like), "{table} {key}: {remedy}");
    }
}

/// What stood under other tables once is nowhere shown to a beginner.
#[test]
fn neither_the_readme_nor_a_new_job_shows_a_key_under_a_table_that_lacks_it() {
    let readme = include_str!("../README.md");
    for gone in [
        "primer_coats",
        "wax_coats ",
        "abrasive_sheets_per_m2",
        "bolt_spacing_mm",
        "mould_wax_coats",
        "rewax_coats",
        "wax_wait_h",
    ] {
        assert!(!readme.contains(gone), "{gone}");
        assert!(!include_str!("../src/job/starter.rs").contains(gone), "{gone}");
    }
}

/// A time that is none is told for itself, and not as missing; a currency is a code of three capital letters.
#[test]
fn a_value_that_only_its_type_refuses_is_told_once() {
    let told = |text: &str| {
        let errors = matloft::job::read(&format!("units = \"mm\"\n{text}"), "job.toml").expect_err("a fault");
        errors.errors.iter().map(|error| error.fault.to_string()).collect::<Vec<_>>()
    };
    let hours = told("[days]\nhours = [{ days = [\"mon\"], from = \"25:30\", to = \"26:30\" }]\n");
    assert_eq!(hours.iter().filter(|fault| fault.contains("is no time of the day")).count(), 2, "{hours:?}");
    assert!(!hours.iter().any(|fault| fault.contains("missing field")), "{hours:?}");
    for currency in ["euros please", "eur", "EURO", "\u{20ac}"] {
        let faults = told(&format!("[[supplier]]\nname = \"A\"\ncurrency = \"{currency}\"\n"));
        assert!(faults.iter().any(|fault| fault.contains("ISO 4217")), "{currency}: {faults:?}");
        let of_job = told(&format!("currency = \"{currency}\"\n"));
        assert!(of_job.iter().any(|fault| fault.contains("ISO 4217")), "{currency}: {of_job:?}");
        assert!(!faults.iter().any(|fault| fault.contains("missing field")), "{currency}: {faults:?}");
    }
}
