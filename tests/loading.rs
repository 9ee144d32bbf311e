//! Sound files in all the ways in which exporters write them give the same part.

mod common;

use common::files::{binary_stl, obj, text_stl};
use common::shapes::{Triangle, area_mm2, moved, plain_box, reversed, turned_box, wavy_sheet};
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::part::Part;
use matloft::maths::{cos, sin};
use matloft::units::LengthUnit;
use proptest::prelude::*;

const MM: LoadOptions = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: false };
const BY_OBJECT: LoadOptions = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: true };

#[track_caller]
fn only_part(bytes: impl AsRef<[u8]>, file: &str) -> Part {
    let mut loaded = load(bytes.as_ref(), file, &MM);
    assert_eq!(loaded.errors, []);
    assert_eq!(loaded.parts.len(), 1);
    loaded.parts.remove(0)
}

#[track_caller]
fn assert_area(part: &Part, triangles: &[Triangle]) {
    let (found, wanted) = (part.mesh.area_m2() * 1e6, area_mm2(triangles));
    assert!((found / wanted - 1.0).abs() < 1e-9, "{found} mm2 for {wanted} mm2");
}

fn a_box() -> Vec<Triangle> {
    turned_box([400.0, 600.0, 1000.0])
}

// ---- STL

#[test]
fn a_box_has_eight_points_and_encloses_its_volume() {
    let part = only_part(binary_stl(&a_box()), "dir/roof.v2.stl");
    assert_eq!((part.name.as_str(), part.file.as_str()), ("roof.v2", "dir/roof.v2.stl"));
    let health = part.health;
    assert_eq!((health.triangles, health.vertices, health.components), (12, 8, 1));
    assert_eq!((health.open_edges, health.boundary_loops, health.nonmanifold_edges), (0, 0, 0));
    assert!(health.closed);
    assert!((part.mesh.signed_volume_m3() - 0.24).abs() < 1e-6);
    assert_area(&part, &a_box());
    assert_eq!(part.notes, []);
    assert_eq!(part.regions, [""]);
}

#[test]
fn text_and_binary_give_the_same_mesh() {
    let sheet = wavy_sheet(500.0, 700.0, 13, 9);
    let binary = only_part(binary_stl(&sheet), "roof.stl");
    let text = only_part(text_stl("roof", &sheet), "roof.stl");
    assert!(binary.mesh == text.mesh);
    assert_eq!(binary.health, text.health);
    assert_eq!((binary.health.open_edges, binary.health.boundary_loops), (44, 1));
}

#[test]
fn text_may_be_in_any_case_with_any_line_ends_and_a_mark_before_it() {
    let wanted = only_part(text_stl("roof", &a_box()), "roof.stl").mesh;
    let text = text_stl("roof", &a_box());
    for variant in [
        text.to_uppercase(),
        text.replace('\n', "\r\n"),
        text.replace('\n', "\r"),
        text.replace('\n', "\n\n  \t"),
        text.replace("solid roof", "solid"),
        text.replace("solid roof\n", "solid\n"),
        format!("\u{FEFF}{text}"),
        text.replace("\n    ", " ").replace("\n      ", " "),
        text.trim_start_matches("solid roof\n").to_owned(),
        text.replace("normal 0.0 0.0 0.0", "normal -nan(ind) 0 1.#IND"),
    ] {
        assert!(only_part(&variant, "roof.stl").mesh == wanted, "{}", &variant[..80]);
    }
}

#[test]
fn a_solid_may_be_named_with_the_words_of_the_format_or_in_any_encoding() {
    for name in
        [b"facet normal 1 0 0 outer loop endsolid vertex 9 9 9".as_slice(), b"T\xFCr au\xDFen", "Tür außen".as_bytes()]
    {
        let text = text_stl("NAME", &a_box()).into_bytes();
        let start = text.windows(4).position(|w| w == b"NAME").expect("named");
        let bytes = [&text[..start], name, &text[start + 4..]].concat();
        let part = only_part(bytes, "Tür außen.stl");
        assert_eq!((part.health.triangles, part.name.as_str()), (12, "Tür außen"));
    }
}

#[test]
fn several_solids_are_one_part_with_a_region_each_and_parts_on_request() {
    let (left, right) = (a_box(), moved(&a_box(), [5000.0, 0.0, 0.0]));
    let text = text_stl("left  tray", &left) + &text_stl("right tray", &right[..10]);
    let part = only_part(&text, "trays.stl");
    assert_eq!(part.health.components, 2);
    assert_eq!(part.regions, ["left  tray", "right tray"]);
    assert_eq!(part.face_regions, [[0; 12].as_slice(), &[1; 10]].concat());
    let note = part.notes.iter().find(|note| note.code == "several-solids").expect("told");
    assert!(note.message.contains("2 solids (left  tray, right tray)"), "{}", note.message);

    let loaded = load(text.as_bytes(), "trays.stl", &BY_OBJECT);
    let parts: Vec<_> =
        loaded.parts.iter().map(|part| (part.name.as_str(), part.index, part.health.triangles)).collect();
    assert_eq!(parts, [("left  tray", 0, 12), ("right tray", 1, 10)]);
    assert_eq!(loaded.parts[0].object.as_deref(), Some("left  tray"));
}

#[test]
fn units_scale_lengths() {
    for unit in LengthUnit::ALL {
        let edges = [400.0, 600.0, 1000.0].map(|edge| edge / unit.mm());
        let loaded =
            load(&binary_stl(&plain_box(edges)), "roof.stl", &LoadOptions { unit: Some(unit), by_object: false });
        let size = loaded.parts[0].mesh.bounds().expect("a box").size_mm();
        assert!((size - nalgebra::Vector3::new(400.0, 600.0, 1000.0)).norm() < 1e-3, "{size} in {unit:?}");
    }
}

// ---- OBJ

#[test]
fn faces_may_be_written_in_every_way_of_the_format() {
    let wanted = only_part(obj(&a_box()), "roof.obj").mesh;
    let relative: String = a_box()
        .iter()
        .map(|corners| {
            let vertices: String = corners.iter().map(|[x, y, z]| format!("v {x} {y} {z}\n")).collect();
            vertices + "f -3 -2 -1\n"
        })
        .collect();
    let plain = obj(&a_box());
    let (vertices, faces) = plain.split_at(plain.find("f ").expect("faces"));
    for variant in [
        relative.clone(),
        relative.replace("f -3 -2 -1", "f -3/1 -2/2 -1/99"),
        relative.replace("f -3 -2 -1", "f -3//1 -2//2 -1//0"),
        relative.replace("f -3 -2 -1", "f -3/1/1 \\\n  -2/1/1 \\\r\n -1/1/1  # last"),
        format!("{faces}{vertices}"),
        plain.replace('\n', "\r\n"),
        plain.replace('\n', "\r"),
        plain.replace("\nv", " 1.0\nv").replace('v', "\tv"),
        plain.replace("\nv", " 0.5 0.5 0.5\nv"),
        format!("# made\\\nmtllib x.mtl\ns off\nvn 0 0 1\nvt 0 0\n{plain}"),
    ] {
        assert!(only_part(&variant, "roof.obj").mesh == wanted, "{}", &variant[..80]);
    }
}

#[test]
fn concave_polygons_have_their_shoelace_area_and_sense() {
    // L, five-pointed star and U, with the areas of the shoelace formula.
    let l_shape = [[0.0, 0.0], [900.0, 0.0], [900.0, 300.0], [300.0, 300.0], [300.0, 700.0], [0.0, 700.0]];
    let u_shape = [
        [0.0, 0.0],
        [900.0, 0.0],
        [900.0, 700.0],
        [700.0, 700.0],
        [700.0, 200.0],
        [200.0, 200.0],
        [200.0, 700.0],
        [0.0, 700.0],
    ];
    let star: Vec<[f64; 2]> = (0..10)
        .map(|k| {
            let (radius, angle) = ([600.0, 210.0][k % 2], k as f64 * std::f64::consts::PI / 5.0 + 0.1);
            [radius * cos(angle), radius * sin(angle)]
        })
        .collect();
    for outline in [l_shape.as_slice(), &u_shape, &star] {
        let n = outline.len();
        let shoelace: f64 = (0..n)
            .map(|k| outline[k][0] * outline[(k + 1) % n][1] - outline[(k + 1) % n][0] * outline[k][1])
            .sum::<f64>()
            / 2.0;
        // From every corner on, and both ways round.
        for start in 0..n {
            for backwards in [false, true] {
                let vertices: String =
                    outline.iter().map(|&[x, y]| format!("v {} {} {}\n", 0.6 * x + 40.0, 0.8 * x, y)).collect();
                let face: Vec<String> = (0..n)
                    .map(|k| if backwards { (start + n - k) % n } else { (start + k) % n })
                    .map(|k| (k + 1).to_string())
                    .collect();
                let part = only_part(format!("{vertices}f {}\n", face.join(" ")), "panel.obj");
                assert_eq!(part.health.triangles, n - 2);
                assert!((part.mesh.area_m2() * 1e6 / shoelace - 1.0).abs() < 1e-12);
                let up = nalgebra::Vector3::new(0.8, -0.6, 0.0) * if backwards { -1.0 } else { 1.0 };
                assert!(part.mesh.face_ids().all(|face| (part.mesh.normal(face) - up).norm() < 1e-9));
            }
        }
    }
}

#[test]
fn corners_in_line_with_their_neighbours_are_not_lost() {
    // A U whose sides have points in their middles, and a strip that ends at each of them: no slits.
    let text = "v 0 0 0\nv 450 0 0\nv 900 0 0\nv 900 700 0\nv 700 700 0\nv 700 400 0\nv 700 200 0\nv 200 200 0\nv 200 700 0\nv 0 700 0\n\
                v 0 -100 0\nv 450 -100 0\nv 900 -100 0\n\
                f 1 2 3 4 5 6 7 8 9 10\nf 11 12 2 1\nf 12 13 3 2\n";
    let part = only_part(text, "panel.obj");
    assert_eq!((part.health.open_edges, part.health.components, part.health.boundary_loops), (12, 1, 1));
    assert!((part.mesh.area_m2() - (0.63 - 0.25 + 0.09)).abs() < 1e-12, "{}", part.mesh.area_m2());
}

#[test]
fn quads_are_cut_where_they_are_concave() {
    for start in 0..4 {
        let corners = [[0.0, 0.0], [800.0, 100.0], [0.0, 900.0], [200.0, 200.0]];
        let vertices: String = corners.iter().map(|[x, y]| format!("v {x} 7 {y}\n")).collect();
        let face: Vec<String> = (0..4).map(|k| ((start + k) % 4 + 1).to_string()).collect();
        let part = only_part(format!("{vertices}f {}\n", face.join(" ")), "panel.obj");
        assert!((part.mesh.area_m2() - 0.5 * (0.72 - 0.9 * 0.2)).abs() < 1e-12, "{}", part.mesh.area_m2());
    }
}

const TWO_OBJECTS: &str = "o pot\ng wall\nusemtl red\nv 0 0 0\nv 900 0 0\nv 0 700 0\nf 1 2 3\nusemtl blue\nf 3 2 1\n\
    o  saucer  plate \nv 0 0 800\nusemtl red\nf 1 2 4\ng rim\nf 2 3 4\ng wall\nf 3 1 4\no empty\no pot\nv 0 0 -500\nf 1 3 5\n";

#[test]
fn objects_keep_their_names_and_equal_names_stay_apart() {
    let loaded = load(
        TWO_OBJECTS.replace("f 3 2 1", "f 3 2 1 1").replace("f 3 2 1 1", "f 2 1 3").as_bytes(),
        "set.obj",
        &BY_OBJECT,
    );
    assert_eq!(loaded.errors, []);
    let parts: Vec<_> =
        loaded.parts.iter().map(|part| (part.name.as_str(), part.index, part.health.triangles)).collect();
    assert_eq!(parts, [("pot", 0, 1), ("saucer  plate", 1, 3), ("pot", 2, 1)]);
    assert!(loaded.parts.iter().all(|part| part.object.as_deref() == Some(part.name.as_str())));
}

#[test]
fn groups_and_materials_are_regions() {
    let part = only_part(TWO_OBJECTS, "set.obj");
    assert_eq!(part.regions, ["wall/red", "wall/blue", "saucer  plate/red", "rim/red", "pot/red"]);
    let named: Vec<&str> = part.face_regions.iter().map(|&region| part.regions[region as usize].as_str()).collect();
    // The facet that lies back to back with the first is gone with its region.
    assert_eq!(named, ["wall/red", "saucer  plate/red", "rim/red", "wall/red", "pot/red"]);
}

#[test]
fn without_objects_groups_are_parts_and_a_group_met_again_goes_on() {
    let text = "v 0 0 0\nv 900 0 0\nv 0 700 0\nv 0 0 800\nf 1 2 3\ng left hand\nf 1 2 4\ng right\nf 2 3 4\ng left hand\nf 3 1 4\n";
    let loaded = load(text.as_bytes(), "set.obj", &BY_OBJECT);
    let parts: Vec<_> =
        loaded.parts.iter().map(|part| (part.name.as_str(), part.object.as_deref(), part.health.triangles)).collect();
    assert_eq!(parts, [("set", None, 1), ("left hand", Some("left hand"), 2), ("right", Some("right"), 1)]);
}

#[test]
fn an_obj_without_names_is_one_part_also_on_request() {
    let loaded = load(obj(&a_box()).as_bytes(), "roof.obj", &BY_OBJECT);
    assert_eq!(loaded.parts.len(), 1);
    assert_eq!((loaded.parts[0].name.as_str(), loaded.parts[0].object.as_deref()), ("roof", None));
}

/// A second reader, crate `tobj` 4.0.5, on what it can read: triangles, one object.
#[test]
fn a_second_reader_sees_the_same_triangles() {
    let text = obj(&wavy_sheet(500.0, 700.0, 13, 9));
    let (models, _) =
        tobj::load_obj_buf(&mut text.as_bytes(), &tobj::LoadOptions::default(), |_| Ok(Default::default()))
            .expect("a sound file");
    let mesh = &models[0].mesh;
    let part = only_part(&text, "roof.obj");
    assert_eq!(mesh.indices.len(), 3 * part.mesh.faces.len());
    for (theirs, face) in mesh.indices.chunks_exact(3).zip(part.mesh.face_ids()) {
        for (&theirs, ours) in theirs.iter().zip(part.mesh.corners(face)) {
            let at = 3 * theirs as usize;
            assert_eq!(&mesh.positions[at..at + 3], ours.coords.as_slice());
        }
    }
}

/// A second reader, crate `stl_io` 0.11, on what it can read: one solid, lower case, single precision.
#[test]
fn a_second_reader_sees_the_same_text_stl() {
    let text = text_stl("roof", &wavy_sheet(500.0, 700.0, 13, 9));
    let theirs = stl_io::read_stl(&mut std::io::Cursor::new(&text)).expect("a sound file");
    let part = only_part(&text, "roof.stl");
    assert_eq!(theirs.faces.len(), part.mesh.faces.len());
    for (face, ours) in theirs.faces.iter().zip(part.mesh.face_ids()) {
        for (&vertex, ours) in face.vertices.iter().zip(part.mesh.corners(ours)) {
            assert_eq!(theirs.vertices[vertex].0.map(f64::from), <[f64; 3]>::from(ours));
        }
    }
}

// ---- welding and counting

#[test]
fn minus_zero_is_zero() {
    let mut sheet = vec![
        [[0.0, 0.0, 0.0], [500.0, 0.0, 0.0], [0.0, 400.0, 0.0]],
        [[-0.0, -0.0, 0.0], [0.0, 400.0, -0.0], [-300.0, 0.0, 0.0]],
    ];
    assert_eq!(only_part(binary_stl(&sheet), "roof.stl").health.vertices, 4);
    sheet[1][0][2] = -0.0;
    assert_eq!(only_part(text_stl("roof", &sheet), "roof.stl").health.vertices, 4);
}

#[test]
fn corners_within_the_tolerance_are_joined_at_their_mean_and_farther_ones_are_not() {
    // Diagonal about 1233 mm: tolerance 1.233e-3 mm.
    let with_gap = |gap: f64| {
        let mut triangles = plain_box([400.0, 600.0, 1000.0]);
        triangles[5].iter_mut().filter(|corner| **corner == [400.0, 0.0, 1000.0]).for_each(|corner| corner[1] += gap);
        only_part(text_stl("roof", &triangles), "roof.stl")
    };
    let (near, far) = (with_gap(1.1e-3), with_gap(1.4e-3));
    assert!(near.health.closed);
    assert_eq!(near.health.vertices, 8);
    assert!(near.notes.iter().any(|note| note.code == "near-points" && note.message.starts_with("1 point")));
    let mean = near.mesh.points_mm.iter().find(|point| point.x > 399.0 && point.z > 999.0 && point.y < 1.0);
    assert!((mean.expect("the corner").y - 0.55e-3).abs() < 1e-12);
    assert!(!far.health.closed);
    assert_eq!((far.health.vertices, far.health.boundary_loops), (9, 1));
}

#[test]
fn noise_on_every_corner_under_half_the_tolerance_is_welded() {
    let sheet = wavy_sheet(1200.0, 900.0, 40, 30);
    let mut state = 1u32;
    let mut noise = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (f64::from(state >> 8) / f64::from(1 << 24) - 0.5) * 0.8e-3
    };
    let noisy: Vec<Triangle> = sheet.iter().map(|t| t.map(|corner| corner.map(|x| x + noise()))).collect();
    let part = only_part(text_stl("roof", &noisy), "roof.stl");
    assert_eq!((part.health.vertices, part.health.open_edges), (41 * 31, 140));
    assert!((part.mesh.area_m2() * 1e6 / area_mm2(&noisy) - 1.0).abs() < 1e-6);
}

#[test]
fn a_mesh_finer_than_the_tolerance_is_welded_without_comparing_all_with_all() {
    // 200,000 triangles within a hundredth of a tolerance, and one of ordinary size.
    let mut triangles = vec![[[0.0, 0.0, 0.0], [900.0, 0.0, 0.0], [0.0, 700.0, 0.0]]; 1];
    let at = |k: u32| [f64::from(k % 401) * 3e-8, f64::from(k / 401) * 3e-8, 0.0];
    triangles.extend((0..200_000).map(|k| [at(k), at(k + 1), at(k + 401)]));
    let part = only_part(text_stl("dust", &triangles), "dust.stl");
    assert_eq!((part.health.triangles, part.health.degenerate_triangles), (1, 200_000));
}

#[test]
fn pinched_borders_are_loops_of_their_own() {
    // Two triangles that touch in a point have a border each. Where two holes touch in a point, the way along the material
    // goes round both before it closes.
    let tips = [
        [[0.0, 0.0, 0.0], [500.0, 0.0, 0.0], [0.0, 400.0, 0.0]],
        [[0.0, 0.0, 0.0], [-500.0, 0.0, 90.0], [0.0, -400.0, 0.0]],
    ];
    let part = only_part(binary_stl(&tips), "tips.stl");
    assert_eq!((part.health.components, part.health.boundary_loops, part.health.open_edges), (2, 2, 6));
    let mut sheet = wavy_sheet(900.0, 900.0, 6, 6);
    // Cells (2, 2) and (3, 3) go; they share a corner.
    let cell = |i: usize, k: usize| 2 * (6 * k + i);
    for first in [cell(3, 3), cell(2, 2)] {
        sheet.drain(first..first + 2);
    }
    let part = only_part(binary_stl(&sheet), "sheet.stl");
    assert_eq!((part.health.components, part.health.boundary_loops, part.health.open_edges), (1, 2, 24 + 8));
}

#[test]
fn a_hollow_faces_inwards_and_a_body_beside_outwards() {
    let outer = plain_box([900.0, 700.0, 600.0]);
    let hollow = moved(&plain_box([500.0, 400.0, 300.0]), [100.0, 110.0, 120.0]);
    let beside = moved(&plain_box([80.0, 70.0, 60.0]), [2000.0, 0.0, 0.0]);
    let file = binary_stl(&[outer.clone(), hollow.clone(), reversed(&beside)].concat());
    let part = only_part(file, "float.stl");
    let wanted_m3 = 0.378 - 0.06 + 0.000_336;
    assert!((part.mesh.signed_volume_m3() - wanted_m3).abs() < 1e-9, "{}", part.mesh.signed_volume_m3());
    let note = part.notes.iter().find(|note| note.code == "inside-out").expect("told");
    assert!(note.message.starts_with("2 closed shells were inside out"), "{}", note.message);
    let right = only_part(binary_stl(&[outer, reversed(&hollow), beside].concat()), "float.stl");
    assert!(right.notes.is_empty(), "{:?}", right.notes);
}

/// Faces drawn apart by the given width, as where each was meshed alone.
fn cracked(triangles: &[Triangle], width_mm: f64) -> Vec<Triangle> {
    let shrunk = |face: &[Triangle]| -> Vec<Triangle> {
        let middle = [0, 1, 2].map(|k| 0.5 * (face[0][0][k] + face[0][2][k]));
        let towards = |corner: [f64; 3]| {
            let from_middle = [0, 1, 2].map(|k| corner[k] - middle[k]);
            let reach = from_middle.iter().map(|x| x * x).sum::<f64>().sqrt();
            [0, 1, 2].map(|k| corner[k] - from_middle[k] / reach * width_mm)
        };
        face.iter().map(|triangle| triangle.map(towards)).collect()
    };
    triangles.chunks(2).flat_map(shrunk).collect()
}

#[test]
fn a_body_with_open_seams_that_is_inside_out_is_turned_and_told() {
    let right = cracked(&plain_box([400.0, 600.0, 1000.0]), 0.05);
    let part = only_part(text_stl("roof", &right), "roof.stl");
    assert_eq!((part.health.components, part.health.closed), (6, false));
    assert!(part.notes.is_empty() && part.mesh.signed_volume_m3() > 0.0, "{:?}", part.notes);
    let part = only_part(text_stl("roof", &reversed(&right)), "roof.stl");
    assert!((part.mesh.signed_volume_m3() - 0.24).abs() < 1e-3, "{}", part.mesh.signed_volume_m3());
    let note = part.notes.iter().find(|note| note.code == "inside-out").expect("told");
    assert!(note.message.starts_with("1 closed shell was inside out"), "{}", note.message);
    // An open box has no outside of its own.
    let open = only_part(text_stl("tray", &reversed(&right[2..])), "tray.stl");
    assert!(open.notes.is_empty(), "{:?}", open.notes);
}

#[test]
fn one_thread_and_many_give_the_same_mesh() {
    // Several blocks, noise that needs the second welding, a few duplicates.
    let mut sheet = wavy_sheet(1200.0, 900.0, 300, 200);
    sheet.iter_mut().step_by(7).for_each(|t| t[1][2] += 4e-4);
    sheet.extend_from_within(500..520);
    let (file, text) = (binary_stl(&sheet), obj(&sheet[..20_000]));
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| [only_part(&file, "roof.stl"), only_part(&text, "roof.obj")])
    };
    let one = with(1);
    for threads in [2, 3, 8] {
        for (ours, theirs) in one.iter().zip(with(threads)) {
            assert_eq!((ours.health, &ours.notes), (theirs.health, &theirs.notes));
            assert!(ours.mesh == theirs.mesh);
        }
    }
    // Points are numbered in order of their first use.
    let mut highest = 0;
    for &point in one[0].mesh.faces.iter().flatten() {
        assert!(point <= highest, "point {point} before {highest}");
        highest = highest.max(point + 1);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Another order of triangles, another first corner and another place change nothing that matters.
    #[test]
    fn order_and_place_of_triangles_do_not_matter(seed in 0u64..1000, shift in -3000.0..3000.0f64) {
        let sheet = moved(&wavy_sheet(500.0, 700.0, 8, 6), [shift.round(), -shift.round(), 0.0]);
        let mut shuffled = sheet.clone();
        let mut state = seed;
        for k in (1..shuffled.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            shuffled.swap(k, (state >> 33) as usize % (k + 1));
            shuffled[k].rotate_left((state >> 20) as usize % 3);
        }
        let (one, other) = (only_part(binary_stl(&sheet), "a.stl"), only_part(binary_stl(&shuffled), "a.stl"));
        prop_assert_eq!(one.health, other.health);
        prop_assert!((one.mesh.area_m2() / other.mesh.area_m2() - 1.0).abs() < 1e-9);
    }

    /// Whatever the bytes, there is an answer: a part or an error.
    #[test]
    fn any_damage_to_a_file_gives_an_answer(
        place in any::<prop::sample::Index>(), bytes in prop::collection::vec(any::<u8>(), 1..40), format in 0..3, cut in any::<bool>()
    ) {
        let triangles = turned_box([400.0, 600.0, 1000.0]);
        let mut file = match format {
            0 => binary_stl(&triangles),
            1 => text_stl("roof", &triangles).into_bytes(),
            _ => obj(&triangles).into_bytes(),
        };
        let at = place.index(file.len());
        if cut {
            file.truncate(at);
        }
        file.splice(at..(at + bytes.len()).min(file.len()), bytes);
        for options in [MM, BY_OBJECT, LoadOptions::default()] {
            let loaded = load(&file, "roof.stl", &options);
            prop_assert!(!loaded.parts.is_empty() || !loaded.errors.is_empty());
            for part in &loaded.parts {
                prop_assert!(part.mesh.area_m2().is_finite());
                prop_assert_eq!(part.mesh.faces.len(), part.face_regions.len());
                prop_assert!(part.face_regions.iter().all(|&region| (region as usize) < part.regions.len()));
                prop_assert!(part.mesh.faces.iter().flatten().all(|&point| (point as usize) < part.mesh.points_mm.len()));
            }
        }
    }
}

#[test]
fn the_panel_of_the_benchmarks_is_closed_and_of_the_size_asked_for() {
    use common::ribbed::{BASE_MM, PITCH_MM, RIB_MM, RIBS, WIDTH_MM, ribbed_panel};
    let triangles = ribbed_panel(60_000);
    assert!((55_000..70_000).contains(&triangles.len()), "{}", triangles.len());
    let part = only_part(binary_stl(&triangles), "ribbed.stl");
    assert!(part.health.closed);
    assert_eq!((part.health.components, part.health.flipped_edges), (1, 0));
    assert_area(&part, &triangles);
    assert!(part.notes.is_empty(), "{:?}", part.notes);
    // Ribs and the gaps between them are alike, upside down, so the mean height is the base and half a rib.
    let wanted_m3 = RIBS as f64 * PITCH_MM * WIDTH_MM * (BASE_MM + 0.5 * RIB_MM) * 1e-9;
    assert!((part.mesh.signed_volume_m3() / wanted_m3 - 1.0).abs() < 1e-6, "{}", part.mesh.signed_volume_m3());
}
