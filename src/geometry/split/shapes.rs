//! Shapes made in code for the tests of splits, edges and strips.

use std::f64::consts::TAU;

use nalgebra::{Rotation3, Unit};

use super::super::mesh::{Mesh, Point, PointId, Vector};
use crate::maths::{cos, sin};

/// Welds triangles given by their corners: equal corners become one point.
pub(crate) fn welded(triangles: &[[Point; 3]]) -> Mesh {
    let mut numbers = std::collections::BTreeMap::new();
    let mut mesh = Mesh::default();
    for triangle in triangles {
        let face = triangle.map(|corner| {
            *numbers.entry([corner.x, corner.y, corner.z].map(f64::to_bits)).or_insert_with(|| {
                mesh.points_mm.push(corner);
                mesh.points_mm.len() as PointId - 1
            })
        });
        mesh.faces.push(face);
    }
    mesh
}

/// A grid of quads over (i, j), each parted in two; `wrap_u`, `wrap_v` close it in that direction.
pub(crate) fn grid(n: [usize; 2], wrap: [bool; 2], at: impl Fn(f64, f64) -> Point) -> Mesh {
    let rows = [n[0] + usize::from(!wrap[0]), n[1] + usize::from(!wrap[1])];
    let mut mesh = Mesh::default();
    for i in 0..rows[0] {
        for j in 0..rows[1] {
            mesh.points_mm.push(at(i as f64 / n[0] as f64, j as f64 / n[1] as f64));
        }
    }
    let number = |i: usize, j: usize| ((i % rows[0]) * rows[1] + j % rows[1]) as PointId;
    for i in 0..n[0] {
        for j in 0..n[1] {
            let [a, b, c, d] = [number(i, j), number(i + 1, j), number(i + 1, j + 1), number(i, j + 1)];
            mesh.faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

/// A tube along z without ends, from z = 0, outward side out.
pub(crate) fn tube(radius_mm: f64, length_mm: f64, n: [usize; 2]) -> Mesh {
    grid(n, [true, false], |u, v| Point::new(radius_mm * cos(TAU * u), radius_mm * sin(TAU * u), length_mm * v))
}

/// A torus about z, outward side out.
pub(crate) fn torus(large_mm: f64, small_mm: f64, n: [usize; 2]) -> Mesh {
    grid(n, [true, true], |u, v| {
        let r = large_mm + small_mm * cos(TAU * v);
        Point::new(r * cos(TAU * u), r * sin(TAU * u), small_mm * sin(TAU * v))
    })
}

/// A flat plate from the origin, outward side at +z.
pub(crate) fn plate(size_mm: [f64; 2], n: [usize; 2]) -> Mesh {
    grid(n, [false, false], |u, v| Point::new(size_mm[0] * u, size_mm[1] * v, 0.0))
}

/// A closed box from the origin, two facets a face, outward side out.
pub(crate) fn cuboid(size_mm: [f64; 3]) -> Mesh {
    let corner = |k: usize| {
        let bit = |axis: usize| if k >> axis & 1 == 1 { size_mm[axis] } else { 0.0 };
        Point::new(bit(0), bit(1), bit(2))
    };
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles: Vec<_> = quads
        .iter()
        .flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]])
        .map(|triangle| triangle.map(corner))
        .collect();
    welded(&triangles)
}

/// Steps like a stair seen from the side: treads at the given heights, each `run_mm` deep along x, joined by risers.
pub(crate) fn steps(heights_mm: &[f64], run_mm: f64, width_mm: f64) -> Mesh {
    let mut profile = Vec::new();
    for (k, &height) in (0..).zip(heights_mm) {
        profile.push((f64::from(k) * run_mm, height));
        profile.push((f64::from(k + 1) * run_mm, height));
    }
    let n = profile.len() - 1;
    grid([n, 1], [false, false], |u, v| {
        let (x, z) = profile[(u * n as f64).round() as usize];
        Point::new(x, width_mm * v, z)
    })
}

/// The mesh turned about an axis that is no coordinate axis and moved.
pub(crate) fn turned(mut mesh: Mesh, angle_rad: f64, by_mm: [f64; 3]) -> Mesh {
    let axis = Unit::new_normalize(Vector::new(0.3, -0.8, 0.52));
    let turn = Rotation3::from_axis_angle(&axis, angle_rad);
    mesh.points_mm.iter_mut().for_each(|point| *point = turn * *point + Vector::from(by_mm));
    mesh
}

/// Two meshes side by side as one, points not shared.
pub(crate) fn together(one: &Mesh, other: &Mesh) -> Mesh {
    let mut both = one.clone();
    let shift = both.points_mm.len() as PointId;
    both.points_mm.extend_from_slice(&other.points_mm);
    both.faces.extend(other.faces.iter().map(|face| face.map(|point| point + shift)));
    both
}
