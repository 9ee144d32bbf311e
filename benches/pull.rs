//! How long it takes to find a pull, a plane to split by and what hides, on a closed panel of a million triangles.
//!
//! `cargo bench --bench pull` runs them. Rates are facets a second; those of rays are rays a second, and `bare_rays` is what the
//! ray library does by itself with the same number of rays on the same mesh.

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use common::files::binary_stl;
use common::ribbed::ribbed_panel;
use common::shapes::Triangle;
use common::solids::revolved;
use divan::Bencher;
use divan::counter::ItemsCount;
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::mesh::{FaceId, Mesh, Vector};
use matloft::geometry::pull::propose::{SplitSearch, propose};
use matloft::geometry::pull::{Face, best, hidden_m2};
use matloft::geometry::rays::Rays;
use matloft::geometry::stitch::Surface;
use matloft::maths;
use matloft::units::LengthUnit;
use parry3d::math::Vector as Single;
use parry3d::query::{Ray, RayCast};
use parry3d::shape::TriMesh;
use rayon::prelude::*;

const SIZES: [usize; 2] = [100_000, 1_000_000];
/// Rays with which the hidden area of a big face is found.
const N_RAYS: usize = 40_000;

fn main() {
    divan::main();
}

fn loaded(triangles: &[Triangle]) -> Mesh {
    let options = LoadOptions { unit: Some(LengthUnit::Millimetre), by_object: false };
    load(&binary_stl(triangles), "panel.stl", &options).parts.remove(0).mesh
}

fn panel(count: usize) -> Mesh {
    loaded(&ribbed_panel(count))
}

/// An egg of 800 mm by 500 with about so many facets.
fn rounded(count: usize) -> Mesh {
    let rings = (count / 4).isqrt();
    let angle = |ring: usize| std::f64::consts::PI * ring as f64 / rings as f64;
    let egg = |ring: usize| {
        let (sin, cos) = (maths::sin(angle(ring)), maths::cos(angle(ring)));
        [250.0 * sin * (1.0 - 0.2 * cos), 400.0 * cos]
    };
    let mut profile: Vec<[f64; 2]> = vec![[0.0, 400.0]];
    profile.extend((1..rings).map(egg));
    profile.push([0.0, -400.0]);
    loaded(&revolved(&profile, 2 * rings))
}

/// The direction alone, from facets that are known to meet.
#[divan::bench(args = SIZES, sample_count = 3)]
fn direction(bencher: Bencher<'_, '_>, count: usize) {
    let mesh = panel(count);
    let surface = Surface::stitched(&mesh);
    let search = || best(&Face::of(black_box(&surface)).facing());
    bencher.counter(ItemsCount::new(mesh.faces.len())).bench_local(search);
}

/// One plane to split by.
#[divan::bench(args = SIZES, sample_count = 1)]
fn one_plane(bencher: Bencher<'_, '_>, count: usize) {
    let mesh = panel(count);
    let surface = Surface::stitched(&mesh);
    let search = SplitSearch { n_planes: 1, wanted_draft_deg: 3.0, enough_deg: -90.0, least_deg: -90.0, most: 3 };
    bencher
        .counter(ItemsCount::new(mesh.faces.len()))
        .bench_local(|| propose(black_box(&Face::of(&surface)), &[], &search));
}

/// The same on a rounded body, whose normals fill the whole sphere.
#[divan::bench(args = SIZES, sample_count = 1)]
fn one_plane_of_a_rounded_body(bencher: Bencher<'_, '_>, count: usize) {
    let mesh = rounded(count);
    let surface = Surface::stitched(&mesh);
    let search = SplitSearch { n_planes: 1, wanted_draft_deg: 3.0, enough_deg: -90.0, least_deg: -90.0, most: 3 };
    let propose = || propose(&Face::of(black_box(&surface)), &[], &search);
    bencher.counter(ItemsCount::new(mesh.faces.len())).bench_local(propose);
}

/// Line of sight along the pull, in rays.
#[divan::bench(args = SIZES, sample_count = 5)]
fn line_of_sight(bencher: Bencher<'_, '_>, count: usize) {
    let mesh = panel(count);
    let surface = Surface::stitched(&mesh);
    let (face, rays) = (Face::of(&surface), Rays::through(&mesh));
    let look = || hidden_m2(black_box(&face), &rays, &Vector::z());
    // Facets that look away need no ray.
    let seen_mm2: f64 = (face.facet_normals.iter().zip(&face.areas_mm2))
        .filter(|(normal, _)| normal.z >= 0.0)
        .map(|(_, area_mm2)| area_mm2)
        .sum();
    let share = seen_mm2 / face.areas_mm2.iter().sum::<f64>();
    bencher.counter(ItemsCount::new((share * N_RAYS as f64) as usize)).bench_local(look);
}

/// The ray library by itself: a ray straight up from as many facets, evenly spread.
#[divan::bench(args = SIZES, sample_count = 5)]
fn bare_rays(bencher: Bencher<'_, '_>, count: usize) {
    let mesh = panel(count);
    let single = |v: Vector| Single::new(v.x as f32, v.y as f32, v.z as f32);
    let points = mesh.points_mm.iter().map(|point| single(point.coords)).collect();
    let tree = TriMesh::new(points, mesh.faces.clone()).expect("the panel has facets");
    let looking_up: Vec<FaceId> = mesh.face_ids().filter(|&face| mesh.normal(face).z >= 0.0).collect();
    let step = (looking_up.len() / N_RAYS).max(1);
    let rays: Vec<Ray> = (looking_up.iter().step_by(step))
        .map(|&face| Ray::new(single(mesh.middle(face).coords + Vector::z() * 0.01), single(Vector::z())))
        .collect();
    let shoot = || {
        let meets = |ray: &Ray| tree.cast_local_ray_and_get_normal(ray, f32::MAX, false).is_some();
        black_box(&rays).par_iter().filter(|ray| meets(ray)).count()
    };
    bencher.counter(ItemsCount::new(rays.len())).bench_local(shoot);
}
