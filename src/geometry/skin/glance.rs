//! A first look at a big mesh: can it have a wall at all? A few thousand short rays, and each facet asked once which of them
//! it stops, cost a tenth of the search tree over all facets.

use rayon::prelude::*;

use super::super::mesh::{Bounds, FaceId, Mesh, Point, Vector};
use super::quantiles::weighted_quantile;
use super::walls::{OPPOSED_COSINE, place_on_facet, thickest_wall_mm};

// 1 000 rays tell the kind of everything tried and keep the share good to 0.03; 300 do not.
const N_RAYS: usize = 1000;

// Cells are a quarter as wide as the rays are long: narrower ones hold each ray many times, wider ones too many rays each.
const CELL_OF_RAY: f64 = 0.25;

// A ray is put into the cells that its pieces touch, so many pieces to a cell: a whole diagonal ray's box holds ten times the
// cells that it passes.
const PIECES_PER_CELL: f64 = 4.0;

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

/// What a first look says.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Glance {
    /// Share of the rays that met the back of another facet within the greatest thickness that counts as a wall. At most this
    /// share of a closed body is skin, but for the spread of the sample.
    pub wall_share: f64,
    /// Median distance of these, in mm.
    pub median_mm: f64,
}

/// Into which side of the facets the rays go, and whose back counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Into the material of a closed body, to facets that face away.
    Inwards,
    /// To both sides of a sheet, whose winding means nothing, to facets that face either way.
    BothWays,
}

/// Looks at a mesh.
#[must_use]
pub fn glance(mesh: &Mesh, areas_mm2: &[f64], bounds: &Bounds, look: Look) -> Glance {
    let whole: f64 = areas_mm2.iter().sum();
    let reach_mm = thickest_wall_mm(whole);
    if whole <= 0.0 || reach_mm <= 0.0 {
        return Glance::default();
    }
    let rays = spread_rays(mesh, areas_mm2, whole, bounds, look);
    let cells = Cells::holding(&rays, reach_mm, bounds);
    let firsts: Vec<FaceId> = (0..mesh.faces.len() as FaceId).step_by(FACETS_PER_TASK).collect();
    let end = |first: FaceId| (first as usize + FACETS_PER_TASK).min(mesh.faces.len()) as FaceId;
    let stops = firsts
        .into_par_iter()
        .map(|first| cells.stops(mesh, &rays, first..end(first)))
        .reduce(|| vec![None; rays.len()], nearest);
    let squarely = |cosine: f64| if look == Look::BothWays { cosine.abs() } else { cosine };
    let mut walls: Vec<(f64, f64)> = stops
        .iter()
        .flatten()
        .filter(|stop| stop.distance_mm <= reach_mm && squarely(stop.cosine) >= OPPOSED_COSINE)
        .map(|stop| (stop.distance_mm, 1.0))
        .collect();
    let wall_share = walls.len() as f64 / rays.len() as f64;
    Glance { wall_share, median_mm: weighted_quantile(&mut walls, 0.5).unwrap_or(0.0) }
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
fn spread_rays(mesh: &Mesh, areas_mm2: &[f64], whole: f64, bounds: &Bounds, look: Look) -> Vec<ShortRay> {
    let start_mm = START_OF_DIAGONAL * bounds.diagonal_mm();
    let mut rays = Vec::with_capacity(N_RAYS);
    let mut passed = 0.0;
    for (face, area_mm2) in areas_mm2.iter().enumerate() {
        passed += area_mm2;
        while rays.len() < N_RAYS && (rays.len() as f64 + 0.5) / N_RAYS as f64 * whole <= passed {
            let face = face as FaceId;
            let [a, b, c] = mesh.corners(face);
            let [u, v, w] = place_on_facet(rays.len() as u32);
            let outwards = look == Look::BothWays && rays.len() % 2 == 1;
            let direction = if outwards { mesh.normal(face) } else { -mesh.normal(face) };
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
            cells.for_each_cell_along(&ray.origin, &end, |cell| held.push((cell as u32, number as u32)));
        }
        held.sort_unstable();
        held.dedup();
        cells.starts = vec![0; counts.iter().product::<usize>() + 1];
        held.iter().for_each(|&(cell, _)| cells.starts[cell as usize + 1] += 1);
        for cell in 1..cells.starts.len() {
            cells.starts[cell] += cells.starts[cell - 1];
        }
        cells.rays = held.into_iter().map(|(_, ray)| ray).collect();
        cells
    }

    /// The cell that holds a point, along each axis.
    #[inline]
    fn place(&self, point: &Point) -> [usize; 3] {
        [0, 1, 2]
            .map(|axis| (((point[axis] - self.least[axis]) * self.per_mm).max(0.0) as usize).min(self.counts[axis] - 1))
    }

    /// Cells that a stretch passes: the cells that its pieces' boxes touch.
    fn for_each_cell_along(&self, start: &Point, end: &Point, mut visit: impl FnMut(usize)) {
        let pieces = (PIECES_PER_CELL * (end - start).norm() * self.per_mm).ceil().max(1.0) as usize;
        let mut from = *start;
        for piece in 1..=pieces {
            let to = start + (end - start) * (piece as f64 / pieces as f64);
            self.for_each_cell(&from.inf(&to), &from.sup(&to), &mut visit);
            from = to;
        }
    }

    /// Cells that a box touches.
    #[inline]
    fn for_each_cell(&self, least: &Point, most: &Point, mut visit: impl FnMut(usize)) {
        let (least, most) = (self.place(least), self.place(most));
        for x in least[0]..=most[0] {
            for y in least[1]..=most[1] {
                for z in least[2]..=most[2] {
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
