//! A first look at a big mesh: can it have a wall at all? A few thousand short rays, and each facet asked once which of them
//! it stops, cost a tenth of the search tree over all facets.

use rayon::prelude::*;

use super::super::mesh::{Bounds, FaceId, Mesh, Point, Vector};
use super::walls::{OPPOSED_COSINE, place_on_facet, thickest_wall_mm};

// 1 000 rays tell the kind of everything tried; twice as many keep the share good to 0.02.
const N_RAYS: usize = 2000;

// Cells are half as wide as the rays are long: narrower ones hold each ray many times, wider ones too many rays each.
const CELL_OF_RAY: f64 = 0.5;

// But no more than so many along an edge of the box.
const MOST_CELLS: f64 = 160.0;

// Facets that one task looks at.
const FACETS_PER_TASK: usize = 16_384;

const START_OF_DIAGONAL: f64 = 1e-5;

/// A short ray into the material.
#[derive(Debug, Clone, Copy)]
struct ShortRay {
    origin: Point,
    /// Unit length.
    direction: Vector,
    /// The facet that it starts from; cannot stop it.
    face: FaceId,
}

/// What stops a ray: how far, how squarely, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stop {
    distance_mm: f64,
    cosine: f64,
    face: FaceId,
}

/// At most this share of the body's surface has a wall behind it; an upper bound but for the spread of the sample.
#[must_use]
pub fn most_skin_share(mesh: &Mesh, areas_mm2: &[f64], bounds: &Bounds) -> f64 {
    let whole: f64 = areas_mm2.iter().sum();
    let reach_mm = thickest_wall_mm(whole);
    if whole <= 0.0 || reach_mm <= 0.0 {
        return 0.0;
    }
    let rays = spread_rays(mesh, areas_mm2, whole, bounds);
    let cells = Cells::holding(&rays, reach_mm, bounds);
    let faces: Vec<FaceId> = (0..mesh.faces.len() as FaceId).step_by(FACETS_PER_TASK).collect();
    let stops = faces
        .into_par_iter()
        .map(|first| {
            cells.stops(mesh, &rays, first..(first + FACETS_PER_TASK as FaceId).min(mesh.faces.len() as FaceId))
        })
        .reduce(|| vec![None; rays.len()], nearest);
    let walls =
        stops.iter().flatten().filter(|stop| stop.distance_mm <= reach_mm && stop.cosine >= OPPOSED_COSINE).count();
    walls as f64 / rays.len() as f64
}

/// The nearer stop of each ray; of equal ones that of the lesser facet, so that the order of tasks is of no consequence.
fn nearest(mut some: Vec<Option<Stop>>, others: Vec<Option<Stop>>) -> Vec<Option<Stop>> {
    for (one, other) in some.iter_mut().zip(others) {
        let Some(candidate) = other else { continue };
        if one.is_none_or(|best| (candidate.distance_mm, candidate.face) < (best.distance_mm, best.face)) {
            *one = Some(candidate);
        }
    }
    some
}

/// Rays in proportion to area.
fn spread_rays(mesh: &Mesh, areas_mm2: &[f64], whole: f64, bounds: &Bounds) -> Vec<ShortRay> {
    let start_mm = START_OF_DIAGONAL * bounds.diagonal_mm();
    let mut rays = Vec::with_capacity(N_RAYS);
    let mut passed = 0.0;
    for (face, area_mm2) in areas_mm2.iter().enumerate() {
        passed += area_mm2;
        while rays.len() < N_RAYS && (rays.len() as f64 + 0.5) / N_RAYS as f64 * whole <= passed {
            let face = face as FaceId;
            let [a, b, c] = mesh.corners(face);
            let [u, v, w] = place_on_facet(rays.len() as u32);
            let direction = -mesh.normal(face);
            let at = Point::from(a.coords * u + b.coords * v + c.coords * w);
            rays.push(ShortRay { origin: at + direction * start_mm, direction, face });
        }
    }
    rays
}

/// Rays by the cells of a grid that they pass.
struct Cells {
    least: Point,
    per_mm: f64,
    counts: [usize; 3],
    starts: Vec<u32>,
    rays: Vec<u32>,
}

impl Cells {
    fn holding(rays: &[ShortRay], reach_mm: f64, bounds: &Bounds) -> Self {
        let size = bounds.size_mm();
        let cell_mm = (CELL_OF_RAY * reach_mm).max(size.max() / MOST_CELLS);
        let counts = [size.x, size.y, size.z].map(|extent| (extent / cell_mm) as usize + 1);
        let mut cells =
            Self { least: bounds.least, per_mm: 1.0 / cell_mm, counts, starts: Vec::new(), rays: Vec::new() };
        let mut held: Vec<(u32, u32)> = Vec::new();
        for (number, ray) in rays.iter().enumerate() {
            let end = ray.origin + ray.direction * reach_mm;
            cells.for_each_cell(&ray.origin.inf(&end), &ray.origin.sup(&end), |cell| {
                held.push((cell as u32, number as u32))
            });
        }
        held.sort_unstable();
        cells.starts = vec![0; counts.iter().product::<usize>() + 1];
        held.iter().for_each(|&(cell, _)| cells.starts[cell as usize + 1] += 1);
        for cell in 1..cells.starts.len() {
            cells.starts[cell] += cells.starts[cell - 1];
        }
        cells.rays = held.into_iter().map(|(_, ray)| ray).collect();
        cells
    }

    /// Cells that a box touches.
    #[inline]
    fn for_each_cell(&self, least: &Point, most: &Point, mut visit: impl FnMut(usize)) {
        let place = |point: &Point, axis: usize| {
            (((point[axis] - self.least[axis]) * self.per_mm).max(0.0) as usize).min(self.counts[axis] - 1)
        };
        for x in place(least, 0)..=place(most, 0) {
            for y in place(least, 1)..=place(most, 1) {
                for z in place(least, 2)..=place(most, 2) {
                    visit((x * self.counts[1] + y) * self.counts[2] + z);
                }
            }
        }
    }

    /// What a run of facets stops of each ray.
    fn stops(&self, mesh: &Mesh, rays: &[ShortRay], faces: std::ops::Range<FaceId>) -> Vec<Option<Stop>> {
        let mut stops = vec![None; rays.len()];
        for face in faces {
            let corners = mesh.corners(face);
            let [a, b, c] = corners;
            self.for_each_cell(&a.inf(&b).inf(&c), &a.sup(&b).sup(&c), |cell| {
                for &number in &self.rays[self.starts[cell] as usize..self.starts[cell + 1] as usize] {
                    let Some(stop) = meet(&rays[number as usize], &corners, face) else { continue };
                    let best = &mut stops[number as usize];
                    if best.is_none_or(|best: Stop| (stop.distance_mm, face) < (best.distance_mm, best.face)) {
                        *best = Some(stop);
                    }
                }
            });
        }
        stops
    }
}

/// Where a ray meets a facet (Moeller and Trumbore's test).
#[inline]
fn meet(ray: &ShortRay, [a, b, c]: &[Point; 3], face: FaceId) -> Option<Stop> {
    if face == ray.face {
        return None;
    }
    let (ab, ac, from_a) = (b - a, c - a, ray.origin - a);
    let across = ray.direction.cross(&ac);
    let volume = ab.dot(&across);
    if volume == 0.0 {
        return None;
    }
    let v = from_a.dot(&across) / volume;
    if !(0.0..=1.0).contains(&v) {
        return None;
    }
    let turned = from_a.cross(&ab);
    let w = ray.direction.dot(&turned) / volume;
    let distance_mm = ac.dot(&turned) / volume;
    if w < 0.0 || v + w > 1.0 || distance_mm <= 0.0 {
        return None;
    }
    let normal = ab.cross(&ac);
    Some(Stop { distance_mm, cosine: normal.dot(&ray.direction) / normal.norm(), face })
}
