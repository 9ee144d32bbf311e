//! Joins points that lie within a tolerance of each other, in time that grows with the number of points only.

use std::hash::BuildHasher;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};

use rayon::prelude::*;
use rustc_hash::{FxBuildHasher, FxHashMap};

use crate::geometry::mesh::{Bounds, Mesh, Point, PointId};
use crate::geometry::weld::LEFT_OUT;

/// Width of a grid cell in tolerances.
// Narrower, and many points lie near a cell's border and count for several; wider, and cells hold several points.
const CELL_TOLERANCES: f64 = 64.0;

/// Bits of the two filters for each point.
// Half of it doubles the points that are looked at closely for nothing; double of it leaves the cache sooner.
const FILTER_BITS: usize = 16;

/// Points of a cell beyond which not all pairs are compared. Real cells hold a few points; only a part that is hardly
/// larger than the tolerance gets here.
const CROWD: usize = 512;

/// Points looked at by one thread in one go.
const BLOCK: usize = 1 << 14;

/// Makes one point of those that lie within `tolerance_mm` of each other, chains included, at the mean of their places.
/// Points keep the order of their first. Returns how many points went.
pub fn join_near_points(mesh: &mut Mesh, bounds: &Bounds, tolerance_mm: f64) -> usize {
    let grid = Grid { origin: bounds.least, tolerance_mm, cell_mm: CELL_TOLERANCES * tolerance_mm };
    let crowded = grid.points_in_crowded_cells(&mesh.points_mm);
    let pairs = grid.near_pairs(&mesh.points_mm, crowded);
    if pairs.is_empty() {
        return 0;
    }
    let numbers = join(&mut mesh.points_mm, &pairs);
    mesh.faces.par_iter_mut().filter(|face| **face != LEFT_OUT).for_each(|face| {
        *face = face.map(|point| numbers[point as usize]);
    });
    numbers.len() - mesh.points_mm.len()
}

struct Grid {
    origin: Point,
    tolerance_mm: f64,
    cell_mm: f64,
}

/// A cell's place in the grid, packed.
type Cell = u64;

impl Grid {
    /// The cells that a point belongs to: its own and those whose border is within the tolerance. Two points within the
    /// tolerance of each other share a cell.
    #[inline]
    fn visit_cells(&self, point: &Point, mut take: impl FnMut(Cell)) {
        let mut own = [0i64; 3];
        let mut beside = [0i64; 3];
        for axis in 0..3 {
            let at = (point[axis] - self.origin[axis]) / self.cell_mm;
            let floor = at.floor();
            own[axis] = floor as i64;
            // A hair more than the tolerance, for rounding.
            let margin = 1.01 * self.tolerance_mm / self.cell_mm;
            beside[axis] = if at - floor < margin {
                -1
            } else if at - floor > 1.0 - margin {
                1
            } else {
                0
            };
        }
        take(pack(own));
        if beside == [0; 3] {
            return;
        }
        for choice in 1..8u8 {
            let step = [0, 1, 2].map(|axis| if choice >> axis & 1 == 1 { beside[axis] } else { 0 });
            let repeats = (0..3).any(|axis| choice >> axis & 1 == 1 && beside[axis] == 0);
            if !repeats {
                take(pack([0, 1, 2].map(|axis| own[axis] + step[axis])));
            }
        }
    }

    /// Points that may share a cell with another: two filters of bits say which cells were met, and which twice.
    fn points_in_crowded_cells(&self, points: &[Point]) -> Vec<PointId> {
        let n_words = (points.len() * FILTER_BITS / 64).next_power_of_two().max(64);
        let filter = || (0..n_words).into_par_iter().map(|_| AtomicU64::new(0)).collect::<Vec<_>>();
        let (met, met_twice) = (filter(), filter());
        let place = |cell: Cell| {
            let hash = FxBuildHasher.hash_one(cell);
            ((hash >> 6) as usize & (n_words - 1), 1u64 << (hash & 63))
        };
        points.par_chunks(BLOCK).for_each(|block| {
            for point in block {
                self.visit_cells(point, |cell| {
                    let (word, bit) = place(cell);
                    if met[word].fetch_or(bit, Relaxed) & bit != 0 {
                        met_twice[word].fetch_or(bit, Relaxed);
                    }
                });
            }
        });
        points
            .par_iter()
            .enumerate()
            .with_min_len(BLOCK)
            .filter(|(_, point)| {
                let mut crowded = false;
                self.visit_cells(point, |cell| {
                    let (word, bit) = place(cell);
                    crowded |= met_twice[word].load(Relaxed) & bit != 0;
                });
                crowded
            })
            .map(|(number, _)| number as PointId)
            .collect()
    }

    /// Pairs within the tolerance, the lesser number first.
    fn near_pairs(&self, points: &[Point], crowded: Vec<PointId>) -> Vec<(PointId, PointId)> {
        let mut members: Vec<(Cell, PointId)> = Vec::with_capacity(crowded.len());
        for number in crowded {
            self.visit_cells(&points[number as usize], |cell| members.push((cell, number)));
        }
        members.par_sort_unstable();
        let cells: Vec<&[(Cell, PointId)]> =
            members.chunk_by(|a, b| a.0 == b.0).filter(|cell| cell.len() > 1).collect();
        let mut pairs: Vec<(PointId, PointId)> =
            cells.into_par_iter().flat_map_iter(|cell| self.near_pairs_of_cell(points, cell)).collect();
        pairs.par_sort_unstable();
        pairs.dedup();
        pairs
    }

    /// The pairs among the points of one cell.
    fn near_pairs_of_cell(&self, points: &[Point], cell: &[(Cell, PointId)]) -> Vec<(PointId, PointId)> {
        if cell.len() > CROWD { self.links_in_crowd(points, cell) } else { self.pairs_along_x(points, cell) }
    }

    /// Compares the points along x, so that only those in reach meet.
    fn pairs_along_x(&self, points: &[Point], cell: &[(Cell, PointId)]) -> Vec<(PointId, PointId)> {
        let mut along: Vec<PointId> = cell.iter().map(|&(_, number)| number).collect();
        along.sort_unstable_by(|&a, &b| points[a as usize].x.total_cmp(&points[b as usize].x).then(a.cmp(&b)));
        let mut pairs = Vec::new();
        for (place, &one) in along.iter().enumerate() {
            for &other in &along[place + 1..] {
                let apart = points[other as usize] - points[one as usize];
                if apart.x > self.tolerance_mm {
                    break;
                }
                if apart.norm() <= self.tolerance_mm {
                    pairs.push((one.min(other), one.max(other)));
                }
            }
        }
        pairs
    }

    /// Links points by way of small cells, all of whose points are in reach of each other, and the first point of each:
    /// a mesh finer than the tolerance has too many pairs to list them all.
    fn links_in_crowd(&self, points: &[Point], cell: &[(Cell, PointId)]) -> Vec<(PointId, PointId)> {
        // The diagonal of a cube of this side is just under the tolerance; two cells on, points may still be in reach.
        let side_mm = 0.577 * self.tolerance_mm;
        let place = |number: PointId| {
            let from_origin = points[number as usize] - self.origin;
            [0, 1, 2].map(|axis| (from_origin[axis] / side_mm).floor() as i64)
        };
        let mut firsts: FxHashMap<[i64; 3], PointId> = FxHashMap::default();
        let mut links = Vec::new();
        for &(_, number) in cell {
            let first = *firsts.entry(place(number)).or_insert(number);
            if first != number {
                links.push((first, number));
                continue;
            }
            let [x, y, z] = place(number);
            for step in 0..125 {
                let neighbour = [x + step % 5 - 2, y + step / 5 % 5 - 2, z + step / 25 - 2];
                if let Some(&other) = firsts.get(&neighbour)
                    && other != number
                    && (points[other as usize] - points[number as usize]).norm() <= self.tolerance_mm
                {
                    links.push((other.min(number), other.max(number)));
                }
            }
        }
        links
    }
}

/// Cells of a part within a thousand kilometres, at a cell of 0.006 mm or more, stay within the 21 bits of a side or wrap
/// round; wrapping costs a comparison and changes no result.
fn pack(cell: [i64; 3]) -> Cell {
    const SIDE: u64 = (1 << 21) - 1;
    cell.iter().fold(0, |packed, &side| packed << 21 | (side as u64 & SIDE))
}

/// Replaces linked points by their mean; returns the new number of each old point.
fn join(points_mm: &mut Vec<Point>, pairs: &[(PointId, PointId)]) -> Vec<PointId> {
    let mut parents: Vec<PointId> = (0..points_mm.len() as PointId).collect();
    for &(one, other) in pairs {
        let (one, other) = (root(&mut parents, one), root(&mut parents, other));
        parents[one.max(other) as usize] = one.min(other);
    }
    let mut members = vec![1u32; points_mm.len()];
    for number in 0..points_mm.len() {
        let first = root(&mut parents, number as PointId) as usize;
        if first != number {
            // The sum first, the mean below: in order of numbers, so always the same.
            let place = points_mm[number].coords;
            points_mm[first] += place;
            members[first] += 1;
        }
    }
    let mut numbers = vec![0; points_mm.len()];
    let mut kept = 0;
    for number in 0..points_mm.len() {
        let first = root(&mut parents, number as PointId) as usize;
        if first == number {
            let mean = points_mm[number].coords / f64::from(members[number]);
            points_mm[kept] = Point::from(mean);
            numbers[number] = kept as PointId;
            kept += 1;
        } else {
            numbers[number] = numbers[first];
        }
    }
    points_mm.truncate(kept);
    numbers
}

fn root(parents: &mut [PointId], mut number: PointId) -> PointId {
    while parents[number as usize] != number {
        let above = parents[parents[number as usize] as usize];
        parents[number as usize] = above;
        number = above;
    }
    number
}
