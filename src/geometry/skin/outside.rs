//! Which side of a wall is the outside: the one from which more of the sky is seen.

use rayon::prelude::*;

use super::super::mesh::{FaceId, Mesh, Vector};
use super::super::rays::{ENDLESS_MM, Rays};
use super::walls::place_on_facet;
use crate::maths;

// Rays from each side. Their shares differ by 0.01 or more wherever the shape itself has an inside (a crowned panel: 1.00 to
// 0.986); the spread of the count is under 0.003 with evenly spread rays.
const N_RAYS: u32 = 4000;

// Shares that differ by less say nothing: a flat or S-shaped panel.
const TELLING_DIFFERENCE: f64 = 0.005;

// Areas that differ by less, relative, say nothing either.
const TELLING_AREA: f64 = 0.002;

const START_OF_DIAGONAL: f64 = 1e-5;

/// The outside of a wall, and whether it might as well be the other side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outside {
    /// True if the second side is outside.
    pub second: bool,
    /// True if nothing tells the sides apart and the upper one was taken.
    pub either: bool,
}

/// Compares two sides, each given by its facets.
#[must_use]
pub fn outside(mesh: &Mesh, normals: &[Vector], areas_mm2: &[f64], rays: &Rays, sides: [&[FaceId]; 2]) -> Outside {
    if sides[0].is_empty() || sides[1].is_empty() {
        return Outside { second: sides[0].is_empty(), either: false };
    }
    let [first, second] = sides.map(|faces| open_sky(mesh, normals, areas_mm2, rays, faces));
    if (first - second).abs() >= TELLING_DIFFERENCE {
        return Outside { second: second > first, either: false };
    }
    let [first, second] = sides.map(|faces| faces.iter().map(|&face| areas_mm2[face as usize]).sum::<f64>());
    if (first - second).abs() > TELLING_AREA * first.max(second) {
        return Outside { second: second > first, either: false };
    }
    let facing = mean_normal(normals, areas_mm2, sides[0]) - mean_normal(normals, areas_mm2, sides[1]);
    Outside { second: faces_down(&facing), either: true }
}

/// Area-weighted sum of the normals.
#[must_use]
pub fn mean_normal(normals: &[Vector], areas_mm2: &[f64], faces: &[FaceId]) -> Vector {
    faces.iter().map(|&face| normals[face as usize] * areas_mm2[face as usize]).sum()
}

/// Down, or level and backwards, or level and to the left.
fn faces_down(direction: &Vector) -> bool {
    let telling = 1e-6 * direction.norm();
    [direction.z, direction.y, direction.x]
        .into_iter()
        .find(|along| along.abs() > telling)
        .is_some_and(|along| along < 0.0)
}

/// Share of the directions from a side, weighted by cosine, in which nothing of the body is in the way.
fn open_sky(mesh: &Mesh, normals: &[Vector], areas_mm2: &[f64], rays: &Rays, faces: &[FaceId]) -> f64 {
    let mut up_to = Vec::with_capacity(faces.len());
    let mut whole = 0.0;
    for &face in faces {
        whole += areas_mm2[face as usize];
        up_to.push(whole);
    }
    let free = |k: u32| {
        let aim = (f64::from(k) + 0.5) / f64::from(N_RAYS) * whole;
        let face = faces[up_to.partition_point(|&area| area < aim).min(faces.len() - 1)];
        let [a, b, c] = mesh.corners(face);
        let [u, v, w] = place_on_facet(k);
        let normal = normals[face as usize];
        let at = nalgebra::Point3::from(a.coords * u + b.coords * v + c.coords * w);
        let origin = at + normal * (START_OF_DIAGONAL * rays.diagonal_mm());
        rays.first_hit(&origin, &cosine_direction(&normal, k), ENDLESS_MM).is_none()
    };
    (0..N_RAYS).into_par_iter().filter(|&k| free(k)).count() as f64 / f64::from(N_RAYS)
}

/// The k-th of a sequence of directions about a normal, as many as their cosine with it commands (Malley's method).
fn cosine_direction(normal: &Vector, k: u32) -> Vector {
    // Fractions of multiples of the roots of 2 and 3 fill the square evenly and do not march in step with the places.
    let radius_squared = (0.5 + std::f64::consts::SQRT_2 * f64::from(k)).fract();
    let turn = std::f64::consts::TAU * (0.5 + 1.732_050_807_568_877_2 * f64::from(k)).fract();
    let (sine, cosine) = maths::sin_cos(turn);
    let least = if normal.x.abs() < 0.6 { Vector::x() } else { Vector::y() };
    let across = normal.cross(&least).normalize();
    let along = normal.cross(&across);
    (across * cosine + along * sine) * radius_squared.sqrt() + normal * (1.0 - radius_squared).max(0.0).sqrt()
}
