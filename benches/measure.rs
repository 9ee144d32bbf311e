//! How long loading and measuring take, on a closed panel with large flats and 52 fillets (15 % of the triangles).
//!
//! `cargo bench --bench measure` runs them; `cargo bench --bench measure -- write 1000000 ribbed.stl` writes the panel as a
//! binary STL, for runs of the whole program.

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use common::files::binary_stl;
use common::ribbed::{FILLETS, ribbed_panel};
use divan::Bencher;
use divan::counter::ItemsCount;
use matloft::geometry::bending;
use matloft::geometry::corners::Listing;
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::part::Part;
use matloft::geometry::stitch::Surface;
use matloft::geometry::survey::{SurveyOptions, survey};
use matloft::geometry::topology::Topology;
use matloft::units::LengthUnit;
use matloft::watch::Unwatched;

const SIZES: [usize; 2] = [100_000, 1_000_000];

fn main() -> std::io::Result<()> {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(at) = arguments.iter().position(|argument| argument == "write") {
        return write(&arguments[at + 1..]);
    }
    divan::main();
    Ok(())
}

/// Writes the panel as a file.
fn write(arguments: &[String]) -> std::io::Result<()> {
    let usage = || std::io::Error::other("usage: cargo bench --bench measure -- write TRIANGLES FILE.stl");
    let count = arguments.first().and_then(|count| count.parse().ok()).ok_or_else(usage)?;
    let file = arguments.get(1).ok_or_else(usage)?;
    std::fs::write(file, binary_stl(&ribbed_panel(count)))
}

fn loaded(bytes: &[u8]) -> Part {
    let options = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: false };
    let mut loaded = load(bytes, "ribbed.stl", &options);
    let part = loaded.parts.remove(0);
    assert!(part.health.closed && part.health.components == 1 && part.notes.is_empty());
    part
}

/// Reading, welding and counting.
#[divan::bench(args = SIZES)]
fn read_weld_and_check(bencher: Bencher<'_, '_>, count: usize) {
    let bytes = binary_stl(&ribbed_panel(count));
    bencher.counter(ItemsCount::new((bytes.len() - 84) / 50)).bench_local(|| loaded(black_box(&bytes)));
}

/// Which facets meet.
#[divan::bench(args = SIZES)]
fn pair_sides(bencher: Bencher<'_, '_>, count: usize) {
    let part = loaded(&binary_stl(&ribbed_panel(count)));
    bencher.counter(ItemsCount::new(part.mesh.faces.len())).bench_local(|| Topology::of(black_box(&part.mesh)));
}

/// The least that any program can do: read the numbers and add up the areas.
#[divan::bench(args = SIZES)]
fn read_and_add_areas_only(bencher: Bencher<'_, '_>, count: usize) {
    let bytes = binary_stl(&ribbed_panel(count));
    bencher.counter(ItemsCount::new((bytes.len() - 84) / 50)).bench_local(|| plain_area_mm2(black_box(&bytes)));
}

fn plain_area_mm2(bytes: &[u8]) -> f64 {
    let number = |record: &[u8], at: usize| {
        let bytes = record[at..at + 4].try_into().unwrap_or_default();
        f64::from(f32::from_le_bytes(bytes))
    };
    bytes[84..]
        .chunks_exact(50)
        .map(|record| {
            let corner = |first: usize| nalgebra::Vector3::from([0, 4, 8].map(|step| number(record, first + step)));
            let (a, b, c) = (corner(12), corner(24), corner(36));
            0.5 * (b - a).cross(&(c - a)).norm()
        })
        .sum()
}

/// From the mesh to the bending of every facet: seams closed, no skin, no corners.
#[divan::bench(args = SIZES)]
fn stitch_and_bend(bencher: Bencher<'_, '_>, count: usize) {
    let part = loaded(&binary_stl(&ribbed_panel(count)));
    bencher.counter(ItemsCount::new(part.mesh.faces.len())).bench_local(|| {
        let bending = bending::of(&Surface::stitched(black_box(&part.mesh)));
        assert_eq!(bending.facets.len(), part.mesh.faces.len());
    });
}

/// From the mesh to its corners: skin, bending, sections, traces. Every fillet is found.
#[divan::bench(args = SIZES, sample_count = 5)]
fn survey_to_corners(bencher: Bencher<'_, '_>, count: usize) {
    let part = loaded(&binary_stl(&ribbed_panel(count)));
    let n_faces = part.mesh.faces.len();
    let options = SurveyOptions::listing(Listing { tighter_than_mm: 60.0, least_turn_deg: 30.0 });
    bencher.counter(ItemsCount::new(n_faces)).with_inputs(|| part.clone()).bench_local_values(|part| {
        let survey = survey(part, &options, &Unwatched);
        let fillets = survey.listed.corners.iter().filter(|corner| !corner.sharp).count();
        assert_eq!(fillets, FILLETS);
    });
}
