//! Files that are damaged, mislabelled or empty: what can be measured is, and told; what cannot be trusted is refused, with
//! words that say what to do. Nothing panics.

mod common;

use common::files::{binary_stl, binary_stl_announcing, obj, text_stl};
use common::shapes::{Triangle, area_mm2, moved, plain_box, reversed, turned_box, wavy_sheet};
use matloft::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use matloft::geometry::part::Part;
use matloft::maths::{cos, sin};
use matloft::notes::Level;
use matloft::units::LengthUnit;

const MM: LoadOptions = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: false };
const BY_OBJECT: LoadOptions = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: true };

fn a_box() -> Vec<Triangle> {
    turned_box([400.0, 600.0, 1000.0])
}

/// The only part, or a failed test that shows the errors.
#[track_caller]
fn measured(bytes: impl AsRef<[u8]>, file: &str) -> Part {
    let Loaded { mut parts, errors } = load(bytes.as_ref(), file, &MM);
    assert_eq!(errors, []);
    assert_eq!(parts.len(), 1);
    parts.remove(0)
}

/// The only error, or a failed test.
#[track_caller]
fn refused(bytes: impl AsRef<[u8]>, file: &str) -> LoadFault {
    let Loaded { parts, mut errors } = load(bytes.as_ref(), file, &MM);
    assert!(parts.is_empty(), "measured: {:?}", parts[0].notes);
    assert_eq!(errors.len(), 1);
    let fault = errors.remove(0);
    assert_eq!(fault.file, file);
    assert!(!fault.remedy.is_empty());
    fault
}

/// The message of the part's only note of this code.
#[track_caller]
fn told(part: &Part, code: &str, level: Level) -> String {
    let notes: Vec<_> = part.notes.iter().filter(|note| note.code == code).collect();
    assert_eq!(notes.len(), 1, "{:?}", part.notes);
    assert_eq!(notes[0].level, level);
    notes[0].message.clone()
}

#[track_caller]
fn assert_area(part: &Part, triangles: &[Triangle]) {
    let (found, wanted) = (part.mesh.area_m2() * 1e6, area_mm2(triangles));
    assert!((found / wanted - 1.0).abs() < 1e-6, "{found} mm2 for {wanted} mm2");
}

// ---- binary STL

#[test]
fn an_empty_file_is_refused() {
    assert_eq!(refused(b"", "roof.stl").message, "the file is empty (0 bytes)");
    assert_eq!(refused(b"", "roof.obj").message, "the file is empty (0 bytes)");
}

#[test]
fn a_file_of_blanks_is_refused() {
    assert!(refused(b" \r\n\t\n", "roof.stl").message.contains("nothing but blanks, it is empty"));
}

#[test]
fn a_file_shorter_than_a_header_is_refused() {
    let message = refused(&binary_stl(&a_box())[..50], "roof.stl").message;
    assert!(message.contains("too short: 50 bytes"), "{message}");
}

#[test]
fn a_file_cut_off_within_a_record_is_refused() {
    let bytes = binary_stl(&a_box());
    let message = refused(&bytes[..84 + 7 * 50 + 23], "roof.stl").message;
    assert_eq!(message, "the file is truncated: its header announces 12 triangles, only 7 are there in full");
}

#[test]
fn a_file_cut_off_between_records_is_refused() {
    let message = refused(&binary_stl(&a_box())[..84 + 7 * 50], "roof.stl").message;
    assert!(message.contains("count in the header (12) does not match the size"), "{message}");
    assert!(message.contains("7 whole records"), "{message}");
}

#[test]
fn an_absurd_count_is_refused_without_asking_for_memory() {
    for count in [u32::MAX, 1 << 31, 1_000_000_000] {
        let message = refused(binary_stl_announcing(&a_box(), count, b""), "roof.stl").message;
        assert!(message.contains(&format!("count in the header ({count})")), "{message}");
    }
}

#[test]
fn more_triangles_than_the_header_announces_are_refused() {
    for count in [0, 1, 11] {
        let message = refused(binary_stl_announcing(&a_box(), count, b""), "roof.stl").message;
        assert!(message.contains(&format!("announces {count} triangles, but there are more triangles")), "{message}");
        assert!(message.contains("count does not match"), "{message}");
    }
}

#[test]
fn bytes_after_the_last_record_are_passed_over_and_told() {
    let triangles = a_box();
    for extra in [vec![0u8; 1], vec![0; 50], vec![0; 4096], vec![0xA7; 123], b"colour table follows".repeat(9)] {
        let mut bytes = binary_stl(&triangles);
        bytes.extend_from_slice(&extra);
        let part = measured(&bytes, "roof.stl");
        assert_area(&part, &triangles);
        let message = told(&part, "extra-bytes", Level::Warning);
        assert!(message.starts_with(&format!("{} extra bytes", extra.len())), "{message}");
    }
}

#[test]
fn a_header_without_triangles_is_refused() {
    let message = refused(binary_stl(&[]), "roof.stl").message;
    assert!(message.contains("no triangles"), "{message}");
    assert!(message.contains("announces 0"), "{message}");
}

#[test]
fn a_binary_file_that_begins_with_solid_is_read_as_binary() {
    // A count whose first byte is a line end misleads readers that look for a text line: 10 and 266 triangles.
    for n in [3, 10, 12, 266] {
        let triangles: Vec<Triangle> = wavy_sheet(500.0, 700.0, 19, 7)[..n].to_vec();
        let part = measured(binary_stl_announcing(&triangles, n as u32, b"solid roof\nfacet normal 0 0 1"), "roof.stl");
        assert_eq!(part.health.triangles, n);
        assert_area(&part, &triangles);
    }
}

#[test]
fn triangles_with_corners_that_are_no_numbers_are_left_out_and_told() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut triangles = a_box();
        triangles[3][1][2] = bad;
        triangles[8][0][0] = bad;
        let part = measured(binary_stl(&triangles), "roof.stl");
        assert_eq!(part.health.not_finite_triangles, 2);
        let message = told(&part, "not-a-number", Level::Warning);
        assert!(message.starts_with("2 triangles with corners that are not a number"), "{message}");
        triangles.remove(8);
        triangles.remove(3);
        assert_area(&part, &triangles);
    }
}

#[test]
fn a_file_whose_corners_are_mostly_no_numbers_is_refused() {
    let mut triangles = a_box();
    triangles[..6].iter_mut().for_each(|triangle| triangle[0][0] = f64::NAN);
    let message = refused(binary_stl(&triangles), "roof.stl").message;
    assert!(message.starts_with("6 of 12 triangles have corners that are not a number"), "{message}");
}

#[test]
fn triangles_with_huge_coordinates_are_left_out_and_told() {
    for huge in [1e30, -3e38, 2e7] {
        let mut triangles = a_box();
        triangles[5][2][1] = huge;
        let part = measured(binary_stl(&triangles), "roof.stl");
        let message = told(&part, "huge-coordinates", Level::Warning);
        assert!(message.contains("1 triangle with huge coordinates, out of range"), "{message}");
        triangles.remove(5);
        assert_area(&part, &triangles);
    }
}

#[test]
fn a_file_out_of_all_reach_is_refused() {
    let message = refused(binary_stl(&moved(&a_box(), [1e20, 0.0, 0.0])), "roof.stl").message;
    assert!(message.contains("huge coordinates, out of range"), "{message}");
}

#[test]
fn a_file_of_triangles_without_area_is_refused() {
    let line = |k: f64| [[0.0, 0.0, 0.0], [k, 2.0 * k, k], [2.0 * k, 4.0 * k, 2.0 * k]];
    let triangles: Vec<Triangle> = (1..20).map(|k| line(f64::from(k) * 40.0)).collect();
    let message = refused(binary_stl(&triangles), "roof.stl").message;
    assert!(message.contains("all 19 triangles are degenerate"), "{message}");
    let message = refused(binary_stl(&[[[7.0; 3]; 3]; 5]), "roof.stl").message;
    assert!(message.contains("all 5 triangles are degenerate"), "{message}");
}

// ---- what is not a mesh, or has the wrong name

#[test]
fn a_text_named_stl_is_refused() {
    for text in ["Dear Sirs, the roof is 2 m long.\n", "solid walls are nice\nto have\n", "x,y,z\n1,2,3\n"] {
        let message = refused(text, "roof.stl").message;
        assert!(message.starts_with("not an STL or OBJ mesh"), "{message}");
        assert!(message.contains("no triangles"), "{message}");
    }
}

#[test]
fn other_formats_are_named() {
    for (bytes, what) in [
        (b"PK\x03\x04\x14\0\0\0".as_slice(), "a ZIP archive (perhaps a 3MF)"),
        (b"ISO-10303-21;\nHEADER;", "a STEP file"),
        (b"ply\nformat ascii 1.0\n", "a PLY file"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"\xFF\xFEs\0o\0l\0i\0d\0", "a text in UTF-16 (save it as UTF-8)"),
    ] {
        assert_eq!(refused(bytes, "roof.stl").message, format!("this is {what}, not an STL or OBJ mesh"));
    }
}

#[test]
fn noise_is_refused() {
    let noise: Vec<u8> = (0..5000u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    assert!(refused(&noise, "roof.stl").message.contains("truncated"));
    assert!(refused(&noise, "roof.obj").message.starts_with("not an STL or OBJ mesh"));
}

#[test]
fn a_wrong_ending_is_told_and_the_content_decides() {
    let triangles = a_box();
    let stl = measured(binary_stl(&triangles), "roof.obj");
    assert!(told(&stl, "wrong-ending", Level::Warning).contains("holds a binary STL"));
    let text = measured(text_stl("roof", &triangles), "roof.obj");
    assert!(told(&text, "wrong-ending", Level::Warning).contains("holds a text (ASCII) STL"));
    let obj = measured(obj(&triangles), "roof.stl");
    assert!(told(&obj, "wrong-ending", Level::Warning).contains("holds an OBJ"));
    for part in [stl, text, obj] {
        assert_area(&part, &triangles);
        assert_eq!(part.name, "roof");
    }
}

// ---- text STL

#[test]
fn a_decimal_comma_is_refused_with_its_line() {
    let text = text_stl("roof", &a_box()).replace('.', ",");
    let message = refused(&text, "roof.stl").message;
    assert!(message.starts_with("line 2: '0,0' has a decimal comma"), "{message}");
    let only_in_a_vertex = text_stl("roof", &a_box()).replacen("vertex 31 ", "vertex 31,0 ", 1);
    assert!(refused(&only_in_a_vertex, "roof.stl").message.contains("decimal comma"));
}

#[test]
fn a_text_cut_off_within_a_facet_is_refused_with_its_line() {
    let text = text_stl("roof", &a_box());
    let end = text.match_indices("vertex").nth(7).expect("twelve facets").0;
    let message = refused(&text[..end], "roof.stl").message;
    assert_eq!(message, "the file is truncated: it ends inside a facet at line 19; 2 facets are complete");
}

#[test]
fn a_number_cut_in_half_at_the_end_is_refused() {
    let text = text_stl("roof", &a_box());
    let end = text.match_indices("vertex").nth(7).expect("twelve facets").0 + 12;
    assert!(refused(&text[..end], "roof.stl").message.contains("truncated"));
}

#[test]
fn a_missing_last_line_is_told() {
    let triangles = a_box();
    let text = text_stl("roof", &triangles);
    let part = measured(text.trim_end().trim_end_matches("endsolid roof"), "roof.stl");
    let message = told(&part, "no-endsolid", Level::Warning);
    assert!(message.contains("line 1 has no 'endsolid'") && message.contains("12 whole facets"), "{message}");
    assert_area(&part, &triangles);
}

#[test]
fn a_wrong_word_is_refused_with_its_line() {
    let text = text_stl("roof", &a_box());
    for (right, wrong, wanted) in [
        ("vertex", "vortex", "line 4: expected 'vertex', found 'vortex'"),
        ("endloop", "end loop", "line 7: expected 'endloop', found 'end'"),
        ("outer loop", "outer", "line 4: expected 'loop', found 'vertex'"),
        ("facet normal", "fact normal", "line 2: expected 'facet, endsolid or solid', found 'fact'"),
        ("endfacet", "", "line 8: expected 'endfacet', found 'facet'"),
    ] {
        let message = refused(text.replacen(right, wrong, 1), "roof.stl").message;
        assert!(message == wanted || wrong.is_empty() && message.contains("expected 'endfacet'"), "{message}");
    }
}

#[test]
fn a_word_in_a_number_s_place_is_refused_with_its_line() {
    let text = text_stl("roof", &a_box()).replacen("vertex ", "vertex twelve ", 1);
    assert_eq!(refused(&text, "roof.stl").message, "line 4: 'twelve' is not a number");
}

#[test]
fn a_facet_of_four_corners_is_refused() {
    let text = text_stl("roof", &a_box()).replacen("endloop", "vertex 1 2 3\nendloop", 1);
    assert_eq!(refused(&text, "roof.stl").message, "line 7: expected 'endloop', found 'vertex'");
}

#[test]
fn numbers_that_programs_write_for_no_number_are_left_out_and_told() {
    for word in ["nan", "-nan(ind)", "1.#QNAN", "-1.#IND00", "inf", "1e999"] {
        let triangles = a_box();
        let text = text_stl("roof", &triangles);
        let start = text.find("vertex").expect("a vertex") + 7;
        let end = start + text[start..].find(' ').expect("three numbers");
        let part = measured([&text[..start], word, &text[end..]].concat(), "roof.stl");
        assert_eq!(part.health.not_finite_triangles, 1, "{word}");
        assert_area(&part, &triangles[1..]);
    }
}

#[test]
fn a_solid_without_facets_is_refused() {
    for text in ["solid roof\nendsolid roof\n", "solid\nendsolid", "solid roof", "solid"] {
        let message = refused(text, "roof.stl").message;
        assert!(message.contains("no triangles"), "{message}");
    }
}

// ---- OBJ

#[test]
fn an_index_beyond_the_list_is_refused_with_its_line() {
    let mut text = obj(&a_box());
    text.push_str("f 1 2 99\nf 1 -50 2\n");
    let message = refused(&text, "roof.obj").message;
    assert!(
        message.starts_with("2 faces refer to vertices that do not exist (index out of range, there are 36)"),
        "{message}"
    );
    assert!(message.ends_with("line 49 (index 99), line 50 (index -50)"), "{message}");
}

#[test]
fn an_index_0_is_refused_with_its_line() {
    let text = obj(&a_box()) + "f 0 1 2\n";
    let message = refused(&text, "roof.obj").message;
    assert!(message.starts_with("1 face refers to vertices that do not exist"), "{message}");
    assert!(message.ends_with("line 49 (index 0)"), "{message}");
}

#[test]
fn a_file_that_counts_from_0_is_refused_as_that() {
    let text = "v 0 0 0\nv 900 0 0\nv 900 700 0\nv 0 700 0\nf 0 1 2\nf 0 2 3\n";
    let message = refused(text, "roof.obj").message;
    assert!(message.starts_with("line 5: vertex index 0; the file seems to count its vertices from 0"), "{message}");
}

#[test]
fn indices_that_overflow_are_refused() {
    for index in
        ["-9223372036854775808", "9223372036854775807", "4294967296", "-11", "99999999999999999999", "1.0", "x"]
    {
        for word in [index.to_owned(), format!("{index}//1"), format!("{index}/1/1")] {
            let message = refused(format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nvn 0 0 1\nf 1 2 {word}\n"), "roof.obj").message;
            assert!(message.contains("index"), "{message}");
            assert!(message.contains("line 5"), "{message}");
        }
    }
}

#[test]
fn normals_and_textures_out_of_range_do_no_harm() {
    let text = "v 0 0 0\nv 900 0 0\nv 0 700 0\nvn 0 0 1\nvt zero\nf 1//-11 2/7/1 3/-9223372036854775808\n";
    assert_area(&measured(text, "roof.obj"), &[[[0.0; 3], [900.0, 0.0, 0.0], [0.0, 700.0, 0.0]]]);
}

#[test]
fn a_bad_object_does_not_stop_the_others() {
    let text = "o good\nv 0 0 0\nv 900 0 0\nv 0 700 0\nf 1 2 3\no bad one\nf 1 2 77\no also good\nf 3 2 1\n";
    let loaded = load(text.as_bytes(), "roof.obj", &BY_OBJECT);
    let names: Vec<_> = loaded.parts.iter().map(|part| (part.name.as_str(), part.index)).collect();
    assert_eq!(names, [("good", 0), ("also good", 2)]);
    assert_eq!(loaded.errors.len(), 1);
    assert_eq!(loaded.errors[0].object.as_deref(), Some("bad one"));
    assert!(loaded.errors[0].message.contains("line 7 (index 77)"), "{}", loaded.errors[0].message);
    assert!(refused(text, "roof.obj").message.contains("line 7 (index 77)"));
}

#[test]
fn a_vertex_that_cannot_be_read_is_refused_with_its_line() {
    let with = |vertex: &str| refused(format!("v 0 0 0\n{vertex}\nv 0 1 0\nf 1 2 3\n"), "roof.obj").message;
    assert_eq!(with("v 1 2"), "line 2: a vertex needs three numbers, found 2");
    assert_eq!(with("v"), "line 2: a vertex needs three numbers, found 0");
    assert_eq!(with("v 1 two 3"), "line 2: 'two' is not a number");
    assert!(with("v 1,5 2,5 3").starts_with("line 2: '1,5' has a decimal comma"));
}

#[test]
fn points_alone_are_refused() {
    let message = refused("v 0 0 0\nv 1 0 0\nv 0 1 0\n", "roof.obj").message;
    assert!(message.contains("no triangles") && message.contains("3 vertices, but no faces"), "{message}");
    let message = refused("v 0 0 0\nv 1 0 0\nl 1 2\n", "roof.obj").message;
    assert!(message.contains("no faces"), "{message}");
    assert!(refused("# only a comment\n", "roof.obj").message.contains("no triangles"));
}

#[test]
fn curves_alone_are_refused_and_beside_faces_told() {
    let curves = "v 0 0 0\nv 900 0 0\nv 0 700 0\ncstype bezier\ndeg 2\ncurv 0 1 1 2 3\nend\n";
    let message = refused(curves, "roof.obj").message;
    assert!(message.contains("curves or surfaces (first at line 4), no faces"), "{message}");
    let part = measured(format!("{curves}f 1 2 3\n"), "roof.obj");
    assert!(told(&part, "curves", Level::Warning).contains("line 4"));
}

#[test]
fn lines_that_are_not_understood_are_told() {
    let part = measured("v 0 0 0\nv 900 0 0\nv 0 700 0\nfoo bar\nf 1 2 3\n", "roof.obj");
    assert_eq!(
        told(&part, "unknown-lines", Level::Warning),
        "1 lines were not understood and passed over (first at line 4)"
    );
}

#[test]
fn faces_of_two_corners_are_passed_over_and_told() {
    let part = measured("v 0 0 0\nv 900 0 0\nv 0 700 0\nf 1 2\nf 1 2 3\nf\n", "roof.obj");
    assert!(told(&part, "points-and-lines", Level::Info).contains("2 points or lines"));
    assert_eq!(part.health.triangles, 1);
}

#[test]
fn a_vertex_that_is_no_number_costs_its_faces_only() {
    let part = measured(
        "v 0 0 0\nv 900 0 0\nv 0 700 0\nv nan 0 0\nf 1 2 3\nf 1 2 4\nf 3 2 1 9 \n".replace(" 9 ", ""),
        "roof.obj",
    );
    assert_eq!(part.health.not_finite_triangles, 1);
}

#[test]
fn a_polygon_that_crosses_itself_is_told() {
    let part = measured("v 0 0 0\nv 900 0 0\nv 0 700 0\nv 900 700 0\nv 0 0 5\nf 1 2 3 4\nf 1 2 5\n", "roof.obj");
    assert!(told(&part, "crossing-polygons", Level::Warning).contains("line 6"));
}

// ---- sound numbers, faulty surface

#[test]
fn duplicates_count_once_and_are_told() {
    let triangles = a_box();
    // The same corners from another start, and a third time.
    let [a, b, c] = triangles[4];
    let extra = [triangles[0], triangles[7], [b, c, a], [c, a, b]];
    let part = measured(binary_stl(&[triangles.as_slice(), &extra].concat()), "roof.stl");
    assert_eq!(part.health.duplicate_triangles, 4);
    assert!(
        told(&part, "duplicate-triangles", Level::Warning)
            .starts_with("4 triangles were there more than once (duplicate")
    );
    assert_area(&part, &triangles);
    assert!(part.health.closed);
}

#[test]
fn a_sheet_doubled_back_to_back_counts_once_and_is_told() {
    let sheet = wavy_sheet(500.0, 700.0, 9, 7);
    let part = measured(binary_stl(&[sheet.clone(), reversed(&sheet)].concat()), "roof.stl");
    assert_eq!((part.health.triangles, part.health.back_to_back_triangles), (126, 126));
    assert_eq!((part.health.duplicate_triangles, part.health.nonmanifold_edges), (0, 0));
    assert!(told(&part, "back-to-back-triangles", Level::Warning).contains("back to back, doubled"));
    assert_area(&part, &sheet);
}

#[test]
fn a_single_facet_and_its_reverse_count_once() {
    let facet = wavy_sheet(500.0, 700.0, 1, 1)[..1].to_vec();
    let part = measured(binary_stl(&[facet.clone(), reversed(&facet)].concat()), "roof.stl");
    assert_eq!((part.health.triangles, part.health.back_to_back_triangles), (1, 1));
    assert!(!part.health.closed);
}

#[test]
fn triangles_without_area_are_counted_and_have_none() {
    let triangles = a_box();
    let [a, b, c] = triangles[2];
    let middle = [0, 1, 2].map(|k| 0.5 * (a[k] + b[k]));
    let extra = [[a, a, b], [c, c, c], [a, b, middle], [a, b, middle]];
    let part = measured(binary_stl(&[triangles.as_slice(), &extra].concat()), "roof.stl");
    assert_eq!(part.health.degenerate_triangles, 4);
    assert_eq!(part.health.duplicate_triangles, 0);
    assert_eq!(part.health.nonmanifold_edges, 0);
    assert!(part.health.closed);
    assert!(told(&part, "degenerate-triangles", Level::Info).starts_with("4 triangles degenerate (no area"));
    assert_area(&part, &triangles);
}

#[test]
fn a_triangle_without_area_stays_where_its_neighbours_need_it() {
    // A flat sheet whose middle line has a point more on one side; the exporter filled the slit.
    let [a, b, m] = [[0.0, 0.0, 0.0], [800.0, 0.0, 0.0], [300.0, 0.0, 0.0]];
    let [up, down] = [[400.0, 500.0, 0.0], [400.0, -500.0, 0.0]];
    let triangles = [[a, b, up], [m, a, down], [b, m, down], [a, m, b]];
    let part = measured(binary_stl(&triangles), "roof.stl");
    assert_eq!((part.health.degenerate_triangles, part.health.triangles), (1, 3));
    assert_eq!((part.health.open_edges, part.health.components), (4, 1));
    assert!(told(&part, "degenerate-triangles", Level::Info).contains("1 of them stay"));
}

#[test]
fn a_body_inside_out_is_turned_and_told() {
    let part = measured(binary_stl(&reversed(&a_box())), "roof.stl");
    assert!(told(&part, "inside-out", Level::Warning).starts_with("1 closed shell was inside out (negative volume"));
    assert!((part.mesh.signed_volume_m3() - 0.24).abs() < 1e-6);
    assert_eq!(part.health.flipped_edges, 0);
}

#[test]
fn facets_wound_against_their_neighbours_are_turned_and_told() {
    let mut triangles = a_box();
    for k in [1, 6, 7] {
        triangles[k].swap(0, 1);
    }
    let part = measured(binary_stl(&triangles), "roof.stl");
    assert!(part.health.flipped_edges >= 4, "{:?}", part.health);
    assert!(told(&part, "flipped-triangles", Level::Warning).starts_with("3 triangles were flipped"));
    assert!(part.health.closed);
    assert!((part.mesh.signed_volume_m3() - 0.24).abs() < 1e-6);
}

#[test]
fn of_a_sheet_wound_two_ways_the_larger_area_decides() {
    let mut sheet = wavy_sheet(500.0, 700.0, 9, 7);
    let up_before = sheet[60];
    sheet[..40].iter_mut().for_each(|triangle| triangle.swap(1, 2));
    let part = measured(binary_stl(&sheet), "roof.stl");
    assert!(told(&part, "flipped-triangles", Level::Warning).starts_with("40 triangles"));
    let kept = part.mesh.corners(60).map(|corner| [corner.x, corner.y, corner.z]);
    assert_eq!(kept, up_before);
}

#[test]
fn a_band_with_one_side_is_told() {
    let at = |k: usize, edge: f64| {
        // A twisted band of 12 cells: half a turn on the way round.
        let (turn, twist) = (k as f64 * std::f64::consts::TAU / 12.0, k as f64 * std::f64::consts::PI / 12.0);
        let r = 400.0 + edge * 60.0 * cos(twist);
        [r * cos(turn), r * sin(turn), edge * 60.0 * sin(twist)]
    };
    let mut triangles = Vec::new();
    for k in 0..12 {
        let far = if k == 11 { [at(0, 1.0), at(0, -1.0)] } else { [at(k + 1, -1.0), at(k + 1, 1.0)] };
        let [a, b] = [at(k, -1.0), at(k, 1.0)];
        triangles.extend([[a, far[0], far[1]], [a, far[1], b]]);
    }
    let part = measured(binary_stl(&triangles), "band.stl");
    assert!(told(&part, "one-sided", Level::Warning).contains("only one side"));
    assert_eq!(part.health.boundary_loops, 1);
    assert_area(&part, &triangles);
}

#[test]
fn fins_are_told_as_edges_of_three_triangles() {
    let mut triangles = plain_box([400.0, 600.0, 1000.0]);
    triangles.push([[0.0, 0.0, 0.0], [400.0, 0.0, 0.0], [200.0, -300.0, -100.0]]);
    let part = measured(binary_stl(&triangles), "roof.stl");
    assert_eq!((part.health.nonmanifold_edges, part.health.open_edges), (1, 2));
    assert_eq!(part.health.components, 1);
    assert!(!part.health.closed);
    assert!(told(&part, "nonmanifold-edges", Level::Warning).contains("1 edge is shared by three or more triangles"));
    assert_area(&part, &triangles);
}

#[test]
fn two_bodies_that_share_a_wall_count_it_once() {
    let one = plain_box([400.0, 600.0, 1000.0]);
    let two = moved(&one, [400.0, 0.0, 0.0]);
    let part = measured(binary_stl(&[one, two].concat()), "roof.stl");
    assert_eq!(part.health.back_to_back_triangles + part.health.duplicate_triangles, 2);
    let wanted_m2 = 2.0 * (0.4 * 0.6 + 0.6 * 1.0 + 0.4 * 1.0) * 2.0 - 0.6;
    assert!((part.mesh.area_m2() - wanted_m2).abs() < 1e-9, "{}", part.mesh.area_m2());
}

// ---- units

#[track_caller]
fn size_note(edges_mm: [f64; 3], unit: Option<LengthUnit>) -> Option<String> {
    let loaded = load(&binary_stl(&plain_box(edges_mm)), "roof.stl", &LoadOptions { unit, by_object: false });
    let part = &loaded.parts[0];
    let assumed = part.notes.iter().any(|note| note.code == "unit-assumed" && note.level == Level::Info);
    assert_eq!(assumed, unit.is_none());
    assert_eq!(part.unit, unit.unwrap_or(LengthUnit::Millimetre));
    part.notes.iter().find(|note| note.code == "size-unlikely").map(|note| note.message.clone())
}

#[test]
fn an_unlikely_size_is_told_with_the_likely_unit_and_never_changed() {
    assert_eq!(size_note([400.0, 600.0, 1000.0], None), None);
    let metres = size_note([0.4, 0.6, 2.0], None).expect("told");
    assert!(
        metres.contains("the part is 2 mm across") && metres.contains("probably it is in metres (2 m)"),
        "{metres}"
    );
    let inches = size_note([20.0, 60.0, 100.0], None).expect("told");
    assert!(inches.contains("probably it is in inches (2.54 m) or centimetres (1 m)"), "{inches}");
    let huge = size_note([900.0, 600.0, 2_400_000.0], None).expect("told");
    assert!(huge.contains("large") && huge.contains("micrometres"), "{huge}");
}

#[test]
fn a_given_unit_is_doubted_only_beyond_what_a_part_can_be() {
    assert_eq!(size_note([20.0, 60.0, 100.0], Some(LengthUnit::Millimetre)), None);
    assert_eq!(size_note([900.0, 600.0, 24_000.0], Some(LengthUnit::Millimetre)), None);
    let small = size_note([4.0, 6.0, 10.0], Some(LengthUnit::Millimetre)).expect("told");
    assert!(small.contains("the part is 10 mm across"), "{small}");
    let metres = size_note([400.0, 600.0, 1000.0], Some(LengthUnit::Metre)).expect("told");
    assert!(
        metres.contains("taken in m, the part is 1000 m across") && metres.contains("millimetres (1 m)"),
        "{metres}"
    );
}

// ---- anything

/// Words that make readers stumble, put in the place of words of sound files.
const NASTY: [&str; 36] = [
    "0",
    "-0",
    "-1",
    "1",
    "-9223372036854775808",
    "9223372036854775807",
    "18446744073709551616",
    "4294967295",
    "1e308",
    "-1e-320",
    "nan",
    "inf",
    "1,5",
    "1//",
    "//",
    "1/2/3/4",
    "-1//-1",
    "\\",
    "\\\n",
    "#",
    "\u{FEFF}",
    "\0",
    "v",
    "f",
    "vt 1",
    "o",
    "g \\",
    "usemtl",
    "solid",
    "endsolid",
    "facet",
    "facet normal 0 0 1 outer loop",
    "endloop",
    "curv",
    "\r",
    "ß\u{7F}",
];

/// Fixed pseudo-random numbers (a linear congruence of Knuth's).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end
    }
}

#[test]
fn texts_with_nasty_words_give_an_answer_that_holds_together() {
    const ROUNDS: usize = 3000;
    let triangles = turned_box([400.0, 600.0, 1000.0]);
    let polygons = "o a\nv 0 0 0\nv 900 0 0\nv 900 700 0\nv 0 700 0\nv 450 350 9\ng b\nusemtl c\nf 1 2 3 4\nf 1/1 2/2 5/3 4/4 3\nf -1//1 -2//1 -3//1\n";
    let texts = [text_stl("roof", &triangles[..4]), obj(&triangles[..5]), polygons.to_owned()];
    let mut dice = Dice(1);
    for round in 0..ROUNDS {
        let mut words: Vec<&str> = texts[round % 3].split_inclusive([' ', '\n']).collect();
        for _ in 0..=dice.below(4) {
            let place = dice.below(words.len());
            match dice.below(4) {
                0 => words[place] = "",
                1 => words.insert(place, NASTY[dice.below(NASTY.len())]),
                2 => words.truncate(place + 1),
                _ => words[place] = NASTY[dice.below(NASTY.len())],
            }
            let between = [" ", "\n", ""][dice.below(3)];
            words.insert(place + 1, between);
        }
        assert_answer(words.concat().as_bytes());
    }
}

#[test]
fn meshes_over_a_handful_of_numbers_give_an_answer_that_holds_together() {
    const ROUNDS: usize = 3000;
    let numbers = [0.0, -0.0, 300.0, 700.0, 700.000_1, 900.0, 1e-5, 1e20, f64::NAN];
    let mut dice = Dice(2);
    for round in 0..ROUNDS {
        // The more triangles, the tamer the numbers: mostly duplicates, fins, slivers, one-sided bands.
        let (n_triangles, n_numbers) = if round % 2 == 0 { (1 + dice.below(6), 9) } else { (1 + dice.below(40), 4) };
        let triangles: Vec<Triangle> = (0..n_triangles)
            .map(|_| [[(); 3]; 3].map(|corner| corner.map(|()| numbers[dice.below(n_numbers)])))
            .collect();
        assert_answer(&binary_stl(&triangles));
    }
}

#[track_caller]
fn assert_answer(bytes: &[u8]) {
    for options in [LoadOptions::default(), BY_OBJECT] {
        let loaded = load(bytes, "roof.stl", &options);
        assert!(!loaded.parts.is_empty() || !loaded.errors.is_empty());
        for part in &loaded.parts {
            let (mesh, health) = (&part.mesh, &part.health);
            assert!(mesh.area_m2() > 0.0 && mesh.area_m2().is_finite());
            assert!(mesh.faces.iter().all(|[a, b, c]| a != b && b != c && c != a));
            assert_eq!((mesh.faces.len(), mesh.points_mm.len()), (part.face_regions.len(), health.vertices));
            assert!(part.face_regions.iter().all(|&region| (region as usize) < part.regions.len()));
            assert_eq!(health.closed, health.open_edges + health.nonmanifold_edges == 0 && !one_sided(part));
            assert_eq!(health.boundary_loops > 0, health.open_edges > 0);
        }
    }
}

fn one_sided(part: &Part) -> bool {
    part.notes.iter().any(|note| note.code == "one-sided")
}
