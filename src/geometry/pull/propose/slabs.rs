//! What faces where on either side of many parallel planes at once.

use super::super::facing::{Face, Facing, Member, cell_of};
use crate::geometry::mesh::{FaceId, Vector};
use rustc_hash::FxHashMap;

/// A face with the cell of each corner normal.
#[derive(Debug)]
pub struct Celled {
    /// Cell of each corner of each facet.
    cells: Vec<[u32; 3]>,
    /// Normal that stands for each cell.
    normals: Vec<Vector>,
    /// A facet of each cell.
    faces: Vec<FaceId>,
    areas_mm2: Vec<f64>,
}

/// Parallel planes that part a face.
#[derive(Debug)]
pub struct Slabs<'a> {
    celled: &'a Celled,
    /// Offsets of the planes along their normal, rising.
    offsets_mm: Vec<f64>,
    /// For each plane the weight of each cell among facets that reach above it, as differences from plane to plane.
    above: Vec<Vec<f64>>,
    below: Vec<Vec<f64>>,
}

impl Celled {
    /// Puts every corner normal into its cell, of so many a side of the octahedron.
    pub fn of(face: &Face<'_>, n_cells: u32) -> Self {
        let mut numbers: FxHashMap<u32, u32> = FxHashMap::default();
        let mut sums: Vec<Vector> = Vec::new();
        let mut faces = Vec::new();
        let mut cells = Vec::with_capacity(face.areas_mm2.len());
        for facet in face.mesh().face_ids() {
            let area_mm2 = face.areas_mm2[facet as usize];
            let own = face.corner_normals.of_face(facet).map(|normal| {
                let cell = *numbers.entry(cell_of(&normal, n_cells)).or_insert(sums.len() as u32);
                if cell as usize == sums.len() {
                    sums.push(Vector::zeros());
                    faces.push(facet);
                }
                sums[cell as usize] += normal * area_mm2;
                cell
            });
            cells.push(own);
        }
        let normals = sums.iter().map(|sum| sum.try_normalize(0.0).unwrap_or_else(Vector::z)).collect();
        Self { cells, normals, faces, areas_mm2: face.areas_mm2.clone() }
    }

    /// A weight for each cell, none yet.
    pub fn weights(&self) -> Vec<f64> {
        vec![0.0; self.normals.len()]
    }

    /// Adds a facet to the weights of its cells.
    pub fn add(&self, facet: FaceId, weights: &mut [f64]) {
        let own = self.areas_mm2[facet as usize] / 3.0;
        self.cells[facet as usize].into_iter().for_each(|cell| weights[cell as usize] += own);
    }

    /// The cells that weigh anything, as members.
    pub fn members(&self, weights: &[f64]) -> Vec<Member> {
        let held = weights.iter().enumerate().filter(|(_, weight)| **weight > 0.0);
        let member = |(cell, weight): (usize, &f64)| Member {
            normal: self.normals[cell],
            weight_mm2: *weight,
            face: self.faces[cell],
        };
        held.map(member).collect()
    }
}

impl<'a> Slabs<'a> {
    /// Sorts the facets by planes square to a unit normal at rising offsets. A facet that a plane cuts counts on both sides.
    pub fn of(celled: &'a Celled, face: &Face<'_>, normal: &Vector, offsets_mm: Vec<f64>) -> Self {
        let n_planes = offsets_mm.len();
        let mut above = vec![vec![0.0; celled.normals.len()]; n_planes];
        let mut below = above.clone();
        for facet in face.mesh().face_ids() {
            let along = face.mesh().corners(facet).map(|corner| corner.coords.dot(normal));
            let low = along.into_iter().fold(f64::INFINITY, f64::min);
            let high = along.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let weight = celled.areas_mm2[facet as usize] / 3.0;
            // Planes under its top see it above, planes over its foot see it below.
            let n_under = offsets_mm.partition_point(|&offset| offset < high);
            let n_up_to_foot = offsets_mm.partition_point(|&offset| offset <= low);
            for cell in celled.cells[facet as usize] {
                if n_under > 0 {
                    above[n_under - 1][cell as usize] += weight;
                }
                if n_up_to_foot < n_planes {
                    below[n_up_to_foot][cell as usize] += weight;
                }
            }
        }
        Self { celled, offsets_mm, above, below }
    }

    /// For each plane its offset and what faces where above and below it, from the lowest plane up.
    pub fn sides(&self) -> Vec<(f64, Facing, Facing)> {
        let n_planes = self.offsets_mm.len();
        let mut above = self.above.clone();
        for plane in (1..n_planes).rev() {
            let (lower, upper) = above.split_at_mut(plane);
            lower[plane - 1].iter_mut().zip(&upper[0]).for_each(|(sum, more)| *sum += more);
        }
        let mut below = self.below.clone();
        for plane in 1..n_planes {
            let (lower, upper) = below.split_at_mut(plane);
            upper[0].iter_mut().zip(&lower[plane - 1]).for_each(|(sum, more)| *sum += more);
        }
        let facing = |weights: &[f64]| Facing::new(self.celled.members(weights));
        let planes = self.offsets_mm.iter().zip(above.iter().zip(&below));
        planes.map(|(&offset_mm, (above, below))| (offset_mm, facing(above), facing(below))).collect()
    }
}
