//! Shapes whose sides are known to the last mm2, turned in space and off the origin. Areas and walls are those of the shape
//! maker's own formulas; tolerances are the spread of the rays where an area is not exact.

use super::shapes::{
    ball, block, finer, joined, moved, outline_measures, prism, reversed, rounded_outline, strip_outline, tray, turned,
    unsewn,
};
use super::*;
use crate::geometry::mesh::{Point, Vector};
use crate::watch::Unwatched;

fn skin_of(mesh: &Mesh) -> Skin {
    find(&Surface::stitched(mesh), &SkinOptions::default(), &Unwatched)
}

fn told(skin: &Skin, code: &str) -> bool {
    skin.notes.iter().any(|note| note.code == code)
}

#[track_caller]
fn assert_areas_mm2(skin: &Skin, wanted: [f64; 3], relative: f64) {
    let found = [skin.outside_m2, skin.inside_m2, skin.rim_m2].map(|area_m2| area_m2 * 1e6);
    let whole: f64 = wanted.iter().sum();
    for (found, wanted) in found.into_iter().zip(wanted) {
        assert!((found - wanted).abs() <= relative * whole, "{found} mm2 for {wanted}");
    }
    assert!((found.iter().sum::<f64>() / whole - 1.0).abs() < relative + 1e-9, "the three add up to the surface");
}

#[track_caller]
fn assert_wall_mm(skin: &Skin, wanted_mm: f64, within_mm: f64) {
    for (name, found_mm) in [("usual", skin.wall_mm), ("thinnest", skin.wall_min_mm), ("thickest", skin.wall_max_mm)] {
        let found_mm = found_mm.unwrap_or(f64::NAN);
        assert!((found_mm - wanted_mm).abs() <= within_mm, "{name} wall {found_mm} mm for {wanted_mm}");
    }
}

/// Outer 220 x 160 with 20 mm corners, 3 mm wall, 50 mm deep; its mesh and the areas of outside, inside and rim.
fn small_tray() -> (Mesh, [f64; 3]) {
    let (outer, inner) = (rounded_outline(220.0, 160.0, 20.0, 6), rounded_outline(214.0, 154.0, 17.0, 6));
    let ([outer_mm2, outer_mm], [inner_mm2, inner_mm]) = (outline_measures(&outer), outline_measures(&inner));
    let mesh = tray(&outer, &inner, 50.0, 3.0);
    (mesh, [outer_mm2 + 50.0 * outer_mm, inner_mm2 + 47.0 * inner_mm, outer_mm2 - inner_mm2])
}

/// A hat section with 40 mm flanges, 4 mm thick, 300 mm long, and the areas of outside (over the hat), inside and rim.
fn hat() -> (Mesh, [f64; 3]) {
    let path = [[0.0, 0.0], [40.0, 0.0], [55.0, 70.0], [155.0, 70.0], [170.0, 0.0], [210.0, 0.0]];
    let outline = strip_outline(&path, 4.0);
    let length = |points: &[[f64; 2]]| {
        points.windows(2).map(|ends| crate::maths::hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1])).sum::<f64>()
    };
    let (under, over) = outline.split_at(path.len());
    let section_mm2 = outline_measures(&outline)[0];
    (prism(&outline, 300.0), [300.0 * length(over), 300.0 * length(under), 2.0 * section_mm2 + 2.0 * 4.0 * 300.0])
}

#[test]
fn a_tray_of_three_millimetres_is_a_thin_solid_with_its_exact_sides() {
    let (mesh, areas_mm2) = small_tray();
    let skin = skin_of(&turned(&mesh));
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!(!skin.doubtful && !skin.either_side);
    assert_areas_mm2(&skin, areas_mm2, 1e-9);
    assert!((skin.wall_mm.expect("wall") - 3.0).abs() < 1e-4);
    let chord_mm = skin.wall_chord_mm.expect("wall");
    assert_wall_mm(&skin, 3.0, chord_mm);
    assert!(chord_mm < 0.35, "twice the sagitta of 15 degrees on 20 mm: {chord_mm}");
}

#[test]
fn the_same_tray_with_its_faces_meshed_apart_has_the_same_sides() {
    let (mesh, areas_mm2) = small_tray();
    let skin = skin_of(&turned(&unsewn(&mesh, 0.08)));
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert_areas_mm2(&skin, areas_mm2, 1e-4);
    assert!((skin.wall_mm.expect("wall") - 3.0).abs() < 0.05);
}

#[test]
fn a_hat_section_with_flanges_has_the_top_outside_and_the_flanges_undersides_inside() {
    let (mesh, areas_mm2) = hat();
    for mesh in [mesh.clone(), turned(&mesh), turned(&unsewn(&mesh, 0.05)), turned(&finer(&finer(&mesh)))] {
        let skin = skin_of(&mesh);
        assert_eq!(skin.kind, SkinKind::ThinSolid);
        assert_areas_mm2(&skin, areas_mm2, 1e-4);
        assert_wall_mm(&skin, 4.0, 0.06);
        assert!(!told(&skin, "skin-branches"));
    }
}

#[test]
fn a_float_with_a_closed_hollow_is_one_thin_solid_without_a_rim() {
    let hollow = moved(&reversed(&block(114.0, 74.0, 54.0)), Vector::new(3.0, 3.0, 3.0));
    let skin = skin_of(&turned(&joined(&[block(120.0, 80.0, 60.0), hollow])));
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    let surface = |x: f64, y: f64, z: f64| 2.0 * (x * y + y * z + z * x);
    assert_areas_mm2(&skin, [surface(120.0, 80.0, 60.0), surface(114.0, 74.0, 54.0), 0.0], 1e-9);
    assert_eq!(skin.bodies.len(), 1);
    assert!(told(&skin, "skin-hollows"));
    assert_wall_mm(&skin, 3.0, 1e-4);
}

#[test]
fn a_flat_plate_is_a_panel_whose_upper_side_is_taken_and_it_is_told_that_this_is_doubtful() {
    let skin = skin_of(&block(60.0, 40.0, 3.0));
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!(skin.either_side && skin.doubtful);
    assert_areas_mm2(&skin, [2400.0, 2400.0, 600.0], 1e-9);
    let doubt = skin.notes.iter().find(|note| note.code == "skin-doubtful").expect("told");
    assert!(doubt.remedy.contains("kind = \"solid\"") && doubt.remedy.contains("[[part]]"));
    let mesh = block(60.0, 40.0, 3.0);
    let laid = choose(&mesh, &skin, &FaceChoice::Outside, &OutwardChoice::AsWound);
    assert!(laid.mesh.face_ids().all(|face| laid.mesh.normal(face).z > 0.99));
}

#[test]
fn a_wedge_panel_is_thin_from_its_thin_to_its_thick_edge() {
    let mesh = turned(&prism(&[[0.0, 0.0], [300.0, 0.0], [300.0, 10.0], [0.0, 2.0]], 200.0));
    let skin = skin_of(&mesh);
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!((skin.wall_min_mm.expect("wall") - 2.0).abs() < 0.05, "{:?}", skin.wall_min_mm);
    assert!((skin.wall_max_mm.expect("wall") - 10.0).abs() < 0.05, "{:?}", skin.wall_max_mm);
    assert!(skin.doubtful);
}

#[test]
fn a_foil_and_a_thick_hatch_plug_are_plugs_that_the_job_file_may_overrule() {
    let camber = |x: f64| 15.0 * crate::maths::sin(x / 200.0 * std::f64::consts::PI).max(0.1);
    let upper = (0..=20).rev().map(|k| [10.0 * f64::from(k), camber(10.0 * f64::from(k))]);
    let foil: Vec<[f64; 2]> =
        (0..=20).map(|k| [10.0 * f64::from(k), -camber(10.0 * f64::from(k))]).chain(upper).collect();
    for mesh in [turned(&prism(&foil, 300.0)), turned(&block(300.0, 200.0, 25.0))] {
        let skin = skin_of(&mesh);
        assert_eq!(skin.kind, SkinKind::Solid);
        assert!(skin.doubtful);
        assert_eq!((skin.inside_m2, skin.rim_m2, skin.wall_mm), (0.0, 0.0, None));
        assert!(skin.notes.iter().any(|note| note.remedy.contains("kind = \"thin-solid\"")));
        let options = SkinOptions { kind: Some(SkinKind::ThinSolid) };
        let overruled = find(&Surface::stitched(&mesh), &options, &Unwatched);
        assert_eq!(overruled.kind, SkinKind::ThinSolid);
        assert!(!overruled.doubtful && overruled.inside_m2 > 0.4 * skin.outside_m2);
    }
}

#[test]
fn an_s_shaped_panel_has_two_like_sides_and_the_upper_one_is_taken() {
    let path: Vec<[f64; 2]> = (0..=40)
        .map(|k| [10.0 * f64::from(k), 40.0 * crate::maths::sin(f64::from(k) / 40.0 * std::f64::consts::TAU)])
        .collect();
    let lying = prism(&strip_outline(&path, 3.0), 250.0);
    // The section stands upright: x stays, the section's height becomes z.
    let mesh = Mesh {
        points_mm: lying.points_mm.iter().map(|p| Point::new(p.x, 250.0 - p.z, p.y)).collect(),
        faces: lying.faces,
    };
    let skin = skin_of(&mesh);
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!(skin.either_side);
    let laid = choose(&mesh, &skin, &FaceChoice::Outside, &OutwardChoice::AsWound);
    let facing: f64 = laid.mesh.face_ids().map(|face| laid.mesh.doubled_area_vector(face).z).sum();
    assert!(facing > 0.0);
    assert!((skin.wall_mm.expect("wall") - 3.0).abs() < 0.05);
}

#[test]
fn lumps_are_plugs_beyond_doubt() {
    for mesh in [
        block(200.0, 300.0, 500.0),
        shapes::l_block(160.0, 140.0, 120.0, 60.0),
        ball(100.0, 24),
        finer(&finer(&block(20.0, 30.0, 50.0))),
    ] {
        let skin = skin_of(&turned(&mesh));
        assert_eq!(skin.kind, SkinKind::Solid);
        assert!(!skin.doubtful && skin.notes.is_empty(), "{:?}", skin.notes);
        assert!((skin.outside_m2 / mesh.area_m2() - 1.0).abs() < 1e-9);
        assert_eq!((skin.inside_m2, skin.rim_m2, skin.wall_mm), (0.0, 0.0, None));
    }
}

#[test]
fn an_open_sheet_is_a_sheet_and_so_is_a_deep_open_hood() {
    let (tray, _) = small_tray();
    let lidless: Vec<u32> = block(120.0, 80.0, 60.0).face_ids().collect();
    let hood = block(120.0, 80.0, 60.0);
    let open: Vec<u32> = lidless.into_iter().filter(|&face| hood.normal(face).z < 0.5).collect();
    let outer_only: Vec<u32> = tray.face_ids().filter(|&face| tray.normal(face).z < -0.5).collect();
    for mesh in [turned(&hood.submesh(&open)), turned(&tray.submesh(&outer_only))] {
        let skin = skin_of(&mesh);
        assert_eq!(skin.kind, SkinKind::Sheet);
        assert!((skin.outside_m2 / mesh.area_m2() - 1.0).abs() < 1e-9);
        assert_eq!((skin.inside_m2, skin.rim_m2, skin.wall_mm), (0.0, 0.0, None));
    }
}

#[test]
fn a_ball_loose_in_a_hollow_box_is_a_body_of_its_own() {
    let hollow = moved(&reversed(&block(114.0, 94.0, 84.0)), Vector::new(3.0, 3.0, 3.0));
    let loose = moved(&ball(20.0, 16), Vector::new(50.0, 45.0, 40.0));
    let mesh = turned(&joined(&[block(120.0, 100.0, 90.0), hollow, loose]));
    let skin = skin_of(&mesh);
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    let kinds: Vec<_> = skin.bodies.iter().map(|body| (body.kind, body.n_hollows)).collect();
    assert_eq!(kinds, [(SkinKind::ThinSolid, 1), (SkinKind::Solid, 0)]);
    assert!(told(&skin, "skin-bodies"));
    assert_wall_mm(&skin, 3.0, 1e-4);
}

#[test]
fn a_void_in_a_plug_belongs_to_the_plug() {
    let void = moved(&reversed(&ball(20.0, 16)), Vector::new(70.0, 60.0, 50.0));
    let skin = skin_of(&turned(&joined(&[block(150.0, 140.0, 130.0), void])));
    assert_eq!(skin.kind, SkinKind::Solid);
    assert_eq!(skin.bodies.len(), 1);
    assert!(told(&skin, "skin-hollows"));
}

#[test]
fn bodies_that_touch_are_not_taken_for_each_others_walls() {
    let (tray, areas_mm2) = small_tray();
    let stand = moved(&block(220.0, 160.0, 90.0), Vector::new(-110.0, -80.0, -90.0));
    let skin = skin_of(&turned(&joined(&[tray, stand])));
    let kinds: Vec<_> = skin.bodies.iter().map(|body| body.kind).collect();
    assert_eq!(kinds, [SkinKind::ThinSolid, SkinKind::Solid]);
    let stand_mm2 = 2.0 * (220.0 * 160.0 + 160.0 * 90.0 + 90.0 * 220.0);
    assert_areas_mm2(&skin, [areas_mm2[0] + stand_mm2, areas_mm2[1], areas_mm2[2]], 1e-9);
}

#[test]
fn a_panel_with_a_rib_is_thin_and_the_branch_is_told() {
    let outline =
        [[0.0, 0.0], [200.0, 0.0], [200.0, 3.0], [101.5, 3.0], [101.5, 30.0], [98.5, 30.0], [98.5, 3.0], [0.0, 3.0]];
    let skin = skin_of(&turned(&finer(&finer(&finer(&prism(&outline, 250.0))))));
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!((skin.wall_mm.expect("wall") - 3.0).abs() < 1e-3);
    let smooth_side_m2 = m2_from_mm2(200.0 * 250.0);
    assert!(skin.outside_m2.min(skin.inside_m2) > 0.9 * smooth_side_m2, "{skin:?}");
    assert!(told(&skin, "skin-branches"));
}

#[test]
fn a_rounded_rim_is_rim_up_to_where_the_sides_are_parallel() {
    // A plate of 120 mm between the middles of its rounds, 6 mm thick, its two ends half rounds of 3 mm.
    for steps in [6u32, 12, 60] {
        let round = |centre: f64, from: f64| {
            (0..=steps).map(move |k| {
                let angle = from + std::f64::consts::PI * f64::from(k) / f64::from(steps);
                [centre + 3.0 * crate::maths::cos(angle), 3.0 * crate::maths::sin(angle)]
            })
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let outline: Vec<[f64; 2]> = round(120.0, -quarter).chain(round(0.0, quarter)).collect();
        let [section_mm2, _] = outline_measures(&outline);
        let chord_mm = 6.0 * crate::maths::sin(quarter / f64::from(steps));
        let rims_mm2 = 2.0 * section_mm2 + 2.0 * chord_mm * f64::from(steps) * 150.0;
        let skin = skin_of(&turned(&prism(&outline, 150.0)));
        assert_eq!(skin.kind, SkinKind::ThinSolid);
        assert_areas_mm2(&skin, [120.0 * 150.0, 120.0 * 150.0, rims_mm2], 1e-9);
        assert_wall_mm(&skin, 6.0, 1e-3);
    }
}

#[test]
fn the_job_file_may_call_a_thin_solid_a_plug_and_then_all_of_it_is_outside() {
    let (mesh, areas_mm2) = small_tray();
    let options = SkinOptions { kind: Some(SkinKind::Solid) };
    let skin = find(&Surface::stitched(&mesh), &options, &Unwatched);
    assert_eq!(skin.kind, SkinKind::Solid);
    assert_areas_mm2(&skin, [areas_mm2.iter().sum(), 0.0, 0.0], 1e-9);
}

#[test]
fn the_laid_side_is_half_of_a_thin_solid_and_a_direction_chooses_it() {
    let (mesh, areas_mm2) = small_tray();
    let skin = skin_of(&mesh);
    let area_mm2 = |choice: FaceChoice| 1e6 * choose(&mesh, &skin, &choice, &OutwardChoice::AsWound).mesh.area_m2();
    assert!((area_mm2(FaceChoice::Outside) / areas_mm2[0] - 1.0).abs() < 1e-9);
    assert!((area_mm2(FaceChoice::Inside) / areas_mm2[1] - 1.0).abs() < 1e-9);
    assert!((area_mm2(FaceChoice::Towards(Vector::z())) / areas_mm2[1] - 1.0).abs() < 1e-9);
    assert!((area_mm2(FaceChoice::Towards(-Vector::z())) / areas_mm2[0] - 1.0).abs() < 1e-9);
    let sideways = choose(&mesh, &skin, &FaceChoice::Towards(Vector::x()), &OutwardChoice::AsWound);
    assert!(sideways.notes.iter().any(|note| note.code == "side-undecided"));
}

#[test]
fn a_sheet_is_seen_from_the_side_that_the_job_names() {
    let sheet = Mesh {
        points_mm: vec![
            Point::new(0.0, 0.0, 0.0),
            Point::new(300.0, 0.0, 20.0),
            Point::new(0.0, 200.0, 0.0),
            Point::new(300.0, 200.0, 20.0),
        ],
        faces: vec![[0, 2, 1], [1, 2, 3]],
    };
    let skin = skin_of(&sheet);
    let up = |outward: OutwardChoice| {
        let laid = choose(&sheet, &skin, &FaceChoice::Outside, &outward);
        assert_eq!(laid.faces, [0, 1]);
        laid.mesh.normal(0).z > 0.0
    };
    assert!(!up(OutwardChoice::AsWound));
    assert!(up(OutwardChoice::Reversed));
    assert!(up(OutwardChoice::Towards(Vector::new(0.0, 0.0, 3.0))));
    assert!(!up(OutwardChoice::Towards(-Vector::z())));
    assert!(
        choose(&sheet, &skin, &FaceChoice::Outside, &OutwardChoice::AsWound)
            .notes
            .iter()
            .any(|note| note.code == "sheet-as-wound")
    );
}

#[test]
fn a_big_plug_and_a_big_shell_are_told_apart() {
    let big = ball(300.0, 240);
    assert!(big.faces.len() > 2 * walls::BIG_MESH_FACES);
    let skin = skin_of(&big);
    assert_eq!(skin.kind, SkinKind::Solid);
    let shell = joined(&[ball(300.0, 200), reversed(&ball(296.0, 190))]);
    let skin = skin_of(&shell);
    assert_eq!(skin.kind, SkinKind::ThinSolid);
    assert!((skin.wall_mm.expect("wall") - 4.0).abs() < 0.02);
    assert_eq!(skin.rim_m2, 0.0);
}

#[test]
fn one_thread_and_several_find_the_same() {
    let (mesh, _) = hat();
    let mesh = turned(&unsewn(&finer(&mesh), 0.05));
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| skin_of(&mesh))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn nothing_at_all_is_a_sheet_without_area() {
    let skin = skin_of(&Mesh::default());
    assert_eq!((skin.kind, skin.outside_m2), (SkinKind::Sheet, 0.0));
    let flat = Mesh { points_mm: vec![Point::origin(); 3], faces: vec![[0, 1, 2]] };
    assert_eq!(skin_of(&flat).outside_m2, 0.0);
    let doubled = Mesh {
        points_mm: vec![Point::origin(), Point::new(3.0, 0.0, 0.0), Point::new(0.0, 2.0, 0.0)],
        faces: vec![[0, 1, 2], [0, 2, 1]],
    };
    assert!((skin_of(&doubled).outside_m2 * 1e6 - 6.0).abs() < 1e-9);
}
