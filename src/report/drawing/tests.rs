//! Drawings of whole builds.

use super::depth::Depth;
use super::seen::runs;
use super::shape::Shape;
use super::view::{Area, View};
use super::*;
use crate::geometry::load::{LoadOptions, load};
use crate::geometry::mesh::{Mesh, Point};
use crate::geometry::part::Part;
use crate::geometry::refine::Refined;
use crate::geometry::split::shapes::welded;
use crate::geometry::stitch::Surface;
use crate::job::SplitPlane;
use crate::job::read::read;
use crate::plan::panel::{Panel, plan_panel};
use crate::watch::Unwatched;

/// A panel of the demo.
pub(in crate::report) fn demo_part(file: &str) -> Part {
    let path = format!("{}/fixtures/demo/{file}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).expect("the demo is there");
    load(&bytes, file, &LoadOptions::default()).parts.into_iter().next().expect("a part")
}

/// The first panel of a job, its mesh a panel of the demo. Splits are planes.
pub(in crate::report) fn planned(job: &str, part: Part) -> PartPlan {
    let job = read(job, "job.toml").expect("a job");
    let entry = &job.parts[0];
    let planes = entry.splits.iter().map(|split| match split.plane() {
        Some(SplitPlane::Plane(plane)) => plane,
        other => panic!("no plane: {other:?}"),
    });
    let panel = Panel { entry, part, planes: planes.collect(), mesh_sha256: String::new() };
    plan_panel(panel, &job, &job.shelf().expect("a shelf"), &Unwatched).expect("a plan")
}

/// The roof of the demo, its mould in two pieces.
pub(in crate::report) fn roof() -> PartPlan {
    let job = "title = 'bench'\nunits = 'mm'\n[[part]]\nname = 'roof <&\"> shell'\nfile = 'roof_shell.stl'\n[[part.split]]\nname = 'ridge'\nof = 'mould'\naxis = 'y'\nat_mm = 0\n";
    planned(job, demo_part("roof_shell.stl"))
}

const SHEET: Sheet = Sheet { width_mm: 180.0, height_mm: 150.0, corners: true, dimensions: true, starts: false };

/// A closed box with a corner at the origin.
fn boxed([x, y, z]: [f64; 3]) -> Mesh {
    let corner = |k: usize| Point::new([0.0, x][k & 1], [0.0, y][k >> 1 & 1], [0.0, z][k >> 2 & 1]);
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]);
    welded(&triangles.map(|triangle: [usize; 3]| triangle.map(corner)).collect::<Vec<_>>())
}

/// Of a box seen over a corner the three edges at the corner behind are hidden, and no others.
#[test]
fn of_a_box_the_three_edges_at_the_far_corner_are_hidden() {
    let mesh = boxed([200.0, 300.0, 500.0]);
    let refined = Refined::of(&Surface::stitched(&mesh));
    let shape = Shape::of(&refined);
    assert_eq!(shape.creases.len(), 12);
    let view = View::from("", Vector::new(-1.0, -0.7, 0.8));
    let far = Point::new(200.0, 300.0, 0.0);
    let whole = Area::round(mesh.points_mm.iter().map(|point| view.seen(point)));
    let mut depth = Depth::over(&whole, 1.0);
    mesh.face_ids().for_each(|face| depth.cover(mesh.corners(face).map(|corner| view.seen(&corner))));
    for edge in &shape.creases {
        let runs = runs(edge, &view, &depth);
        let share = |seen: bool| {
            let those = runs.iter().filter(|run| run.seen == seen).map(super::seen::Run::length);
            those.sum::<f64>() / runs.iter().map(super::seen::Run::length).sum::<f64>()
        };
        // Within a square or two of the outline a line is not told from it.
        assert!(share(edge.contains(&far)) < 0.03, "{edge:?}: {runs:?}");
    }
    let outline: f64 = shape
        .outline(&view)
        .iter()
        .flat_map(|line| line.windows(2).map(|pair| (pair[1] - pair[0]).norm()).collect::<Vec<_>>())
        .sum();
    assert!((outline - 2.0 * (200.0 + 300.0 + 500.0)).abs() < 1e-9, "six of the edges are the outline");
}

/// Every `key="..."` of a drawing.
fn values<'a>(drawing: &'a str, key: &str) -> Vec<&'a str> {
    let key = format!("{key}=\"");
    drawing.split(key.as_str()).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn dimensions_are_figures_of_the_plan_and_say_where_they_stand() {
    let part = roof();
    let at = At::root().key("parts").item(4);
    for (number, build) in part.builds.iter().enumerate() {
        let drawing = of_build_at(&part, build, &at, SHEET).into_string();
        let (found, places) = (values(&drawing, "data-value"), values(&drawing, "data-at"));
        assert_eq!(found.len(), 3, "{drawing}");
        assert_eq!(places.len(), 3);
        for (value, place) in found.iter().zip(places) {
            let axis: usize = place[place.len() - 1..].parse().expect("an axis");
            let size_mm = if build.pieces.len() == 1 { build.pieces[0].size_mm } else { part.size_mm };
            let wanted = if build.pieces.len() == 1 {
                format!("/parts/4/builds/{number}/pieces/0/size_mm/{axis}")
            } else {
                format!("/parts/4/size_mm/{axis}")
            };
            assert_eq!(place, wanted);
            assert_eq!(value.parse::<f64>().expect("a number").to_bits(), size_mm[axis].to_bits());
        }
    }
}

#[test]
fn a_drawing_without_dimensions_or_corners_has_neither() {
    let part = roof();
    let bare = Sheet { corners: false, dimensions: false, ..SHEET };
    let drawing = of_build(&part, &part.builds[0], bare).into_string();
    assert!(values(&drawing, "data-value").is_empty());
    assert!(!drawing.contains(">a c6<") && of_build(&part, &part.builds[0], SHEET).into_string().contains(">a c6<"));
}

#[test]
fn every_corner_of_a_build_is_numbered_and_no_number_covers_another() {
    let part = roof();
    for build in &part.builds {
        let drawing = of_build(&part, build, SHEET).into_string();
        let prefix = |name: &str| if build.pieces.len() > 1 { format!("{name} ") } else { String::new() };
        for piece in &build.pieces {
            for met in &piece.corners {
                let text = format!(">{}{}<", prefix(&piece.name), met.corner.id);
                assert!(drawing.contains(&text), "{text} of the {}", build.make.word());
            }
        }
        let boxes = framed(&drawing);
        assert!(boxes.len() >= build.pieces.iter().map(|piece| piece.corners.len()).sum());
        let paper = Area::at([0.0, 0.0], [SHEET.width_mm, SHEET.height_mm]);
        for (number, area) in boxes.iter().enumerate() {
            assert!(paper.holds(area), "{area:?}");
            assert!(boxes[number + 1..].iter().all(|other| !other.meets(area)), "{area:?}");
        }
    }
}

/// The boxes of the numbers.
fn framed(drawing: &str) -> Vec<Area> {
    let boxes = drawing.split("<rect x=").skip(1);
    let read = |text: &str, key: &str| -> f64 { values(text, key)[0].parse().expect("a number") };
    boxes
        .map(|text| {
            let text = format!("<rect x={text}");
            Area::at([read(&text, " x"), read(&text, " y")], [read(&text, " width"), read(&text, " height")])
        })
        .collect()
}

#[test]
fn a_drawing_is_the_same_on_one_thread_and_on_many() {
    let part = roof();
    let on = |n: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("threads");
        pool.install(|| of_build(&part, &part.builds[0], SHEET).into_string())
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn names_are_text_and_drawings_are_small() {
    let part = roof();
    let drawing = of_build(&part, &part.builds[0], SHEET).into_string();
    assert!(drawing.contains("roof &lt;&amp;&quot;&gt; shell"), "{}", &drawing[..400]);
    assert!(drawing.len() < 100_000, "{} bytes", drawing.len());
}

#[test]
fn sheets_of_any_size_do_no_harm() {
    let part = roof();
    for side in [0.0, 1.0, 30.0, 2000.0, f64::NAN] {
        let sheet = Sheet { width_mm: side, height_mm: side, ..SHEET };
        assert!(of_build(&part, &part.builds[0], sheet).into_string().ends_with("</svg>"));
    }
}
