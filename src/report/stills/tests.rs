//! Pictures of whole panels.

use sha2::{Digest, Sha256};

use super::picture::taken;
use super::*;
use crate::geometry::corners::Listing;
use crate::geometry::mesh::Point;
use crate::geometry::survey::{SurveyOptions, survey};
use crate::report::drawing::tests::{demo_part, planned, roof};
use crate::report::drawing::view::Area;
use crate::watch::Unwatched;

const DEMO: [&str; 6] = [
    "roof_shell.stl",
    "door_skin.stl",
    "floor_tray.stl",
    "vent_cowl.stl",
    "window_surround.stl",
    "mudguards_and_lamps.obj",
];

fn surveyed(file: &str) -> Survey {
    survey(
        demo_part(file),
        &SurveyOptions::listing(Listing { tighter_than_mm: 20.0, least_turn_deg: 30.0 }),
        &Unwatched,
    )
}

fn on_threads<T: Send>(n: usize, work: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("threads").install(work)
}

#[test]
fn pictures_are_the_same_to_the_byte_on_one_thread_and_on_many() {
    let surveys = [surveyed("vent_cowl.stl")];
    let [one, many] = [1, 3].map(|n| on_threads(n, || of_surveys(&surveys)));
    assert_eq!(one, many);
    let parts = [roof()];
    let [one, many] = [1, 3].map(|n| on_threads(n, || of_parts(&parts)));
    assert_eq!(one, many);
}

/// Recorded from this renderer: a change of the picture is to be looked at and recorded anew.
#[test]
fn a_picture_keeps_its_bytes() {
    let stills = of_surveys(&[surveyed("vent_cowl.stl")]);
    let sum: String = Sha256::digest(&stills[0].png).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(sum, "3be069bf6a0d857ccb91ebf26d63e5aa57e3c0e7dc5110685d20e050598a3ae5");
}

#[test]
fn pictures_are_small_files_of_one_size() {
    for still in of_surveys(&DEMO.map(surveyed)) {
        assert!(still.png.len() < 60_000, "{}: {} bytes", still.file, still.png.len());
        let reader = png::Decoder::new(std::io::Cursor::new(&still.png)).read_info().expect("a PNG");
        assert_eq!((reader.info().width, reader.info().height), (still.width_px, still.height_px));
    }
}

#[test]
fn labels_of_the_demo_neither_overlap_nor_leave_the_picture() {
    let frame = Area::at([0.0; 2], [(WIDTH_PX * canvas::FINE) as f64, (HEIGHT_PX * canvas::FINE) as f64]);
    for file in DEMO {
        let survey = surveyed(file);
        let refined = Refined::of(&Surface::stitched(survey.laid_mesh()));
        let subject = subject_of_survey(&refined, &survey);
        for view in opposite_pair(&subject.pieces) {
            let picture = taken(&subject, &view);
            assert!(picture.labels.len() >= 2, "{file}: a scale bar and a corner at least");
            for (number, area) in picture.labels.iter().enumerate() {
                assert!(frame.holds(area), "{file} {}: {area:?}", view.name);
                let others = &picture.labels[number + 1..];
                assert!(others.iter().all(|other| !other.meets(area)), "{file} {}: {area:?}", view.name);
            }
        }
    }
}

#[test]
fn every_corner_of_the_demo_is_numbered_in_some_picture() {
    for file in DEMO {
        let survey = surveyed(file);
        let stills = of_surveys(std::slice::from_ref(&survey));
        assert!((2..=MOST_VIEWS).contains(&stills.len()));
        for corner in &survey.listed.corners {
            let missing = stills.iter().filter(|still| {
                let rest = still.alt.split("not numbered in this view: ").nth(1).unwrap_or_default();
                rest.trim_end_matches('.').split(['.', ',']).any(|name| name.trim() == corner.id)
            });
            assert!(missing.count() < stills.len(), "{file}: {} is numbered nowhere", corner.id);
        }
    }
}

#[test]
fn a_panel_says_what_is_to_be_seen() {
    let stills = of_parts(&[roof()]);
    assert_eq!(stills[0].file, "stills/01-roof-shell-1.png");
    let alt = &stills[0].alt;
    assert!(alt.starts_with("roof <&\"> shell, moulding, seen from the "), "{alt}");
    assert!(
        alt.contains("Corners that the mat goes into: ") && alt.contains("Splits of the mould alone: ridge."),
        "{alt}"
    );
}

#[test]
fn a_moulding_in_pieces_bears_their_letters() {
    let job = "title = 'bench'\nunits = 'mm'\n[[part]]\nname = 'roof'\nfile = 'roof_shell.stl'\n[[part.split]]\nname = 'ridge'\naxis = 'y'\nat_mm = 0\n";
    let stills = of_parts(&[planned(job, demo_part("roof_shell.stl"))]);
    assert!(stills[0].alt.contains("Pieces: a, b. Splits: ridge."), "{}", stills[0].alt);
}

#[test]
fn panels_without_extent_give_no_picture_or_an_empty_one() {
    let mut part = demo_part("vent_cowl.stl");
    part.mesh.faces.clear();
    assert!(of_surveys(&[surveyed_part(part)]).is_empty());
    let mut part = demo_part("vent_cowl.stl");
    part.mesh.points_mm.iter_mut().for_each(|point| *point = Point::origin());
    assert!(of_surveys(&[surveyed_part(part)]).len() <= MOST_VIEWS);
}

fn surveyed_part(part: crate::geometry::part::Part) -> Survey {
    survey(part, &SurveyOptions::listing(Listing { tighter_than_mm: 20.0, least_turn_deg: 30.0 }), &Unwatched)
}
