//! Welding: equal corners become one point, then points that lie closer together than the export's noise.
//!
//! Both steps take time that grows with the number of triangles only, and number the points in order of their first use,
//! whatever the number of threads: the work is cut into blocks of a fixed size, and what the blocks find is put together
//! in their order.

mod near;

use std::hash::{BuildHasher, Hash};
use std::ops::Range;
use std::sync::atomic::{AtomicU32, Ordering::Relaxed};

use rayon::prelude::*;
use rustc_hash::{FxBuildHasher, FxHashMap};

use super::mesh::{Bounds, Mesh, Point, PointId};

pub use near::join_near_points;

/// Corners of a facet that was left out, since a coordinate of it is no place.
pub const LEFT_OUT: [PointId; 3] = [PointId::MAX; 3];

/// Triangles of a block that is welded in one go.
// Its table fits the cache of one core. With 1,000 the blocks share few points within; with 100,000 the table spills.
const BLOCK: usize = 1 << 13;

/// Parts of the table of all points, each filled by one thread.
// More than any sensible number of threads; with many more, a part of a small block holds a handful of points.
const SHARDS: usize = 32;

/// A coordinate as a file holds it.
pub trait Coordinate: Copy + Send + Sync {
    /// Equal for equal numbers.
    type Bits: Copy + Eq + Hash + Send + Sync;
    /// The bits of the number, the same for -0 and 0.
    fn bits(self) -> Self::Bits;
    /// The number of these bits.
    fn from_bits(bits: Self::Bits) -> f64;
    /// The number.
    fn value(self) -> f64;
}

impl Coordinate for f32 {
    type Bits = u32;
    #[inline]
    fn bits(self) -> u32 {
        (self + 0.0).to_bits()
    }
    #[inline]
    fn from_bits(bits: u32) -> f64 {
        f64::from(Self::from_bits(bits))
    }
    #[inline]
    fn value(self) -> f64 {
        f64::from(self)
    }
}

impl Coordinate for f64 {
    type Bits = u64;
    #[inline]
    fn bits(self) -> u64 {
        (self + 0.0).to_bits()
    }
    #[inline]
    fn from_bits(bits: u64) -> f64 {
        Self::from_bits(bits)
    }
    #[inline]
    fn value(self) -> f64 {
        self
    }
}

/// Triangles that do not share points yet.
pub trait Triangles: Sync {
    /// What the source holds.
    type Number: Coordinate;
    /// How many there are.
    fn count(&self) -> usize;
    /// Hands over the corners of the triangles of a range, in order.
    fn visit(&self, range: Range<usize>, take: &mut dyn FnMut([[Self::Number; 3]; 3]));
}

/// Triangles held in memory.
impl<N: Coordinate> Triangles for [[[N; 3]; 3]] {
    type Number = N;

    fn count(&self) -> usize {
        self.len()
    }

    fn visit(&self, range: Range<usize>, take: &mut dyn FnMut([[N; 3]; 3])) {
        self[range].iter().for_each(|&corners| take(corners));
    }
}

/// What welding equal corners gives.
#[derive(Debug, Clone, Default)]
pub struct Welded {
    /// The mesh in mm, with one facet for each triangle; those left out are [`LEFT_OUT`].
    pub mesh: Mesh,
    /// Triangles with a corner that is not a finite number.
    pub not_finite: usize,
    /// Triangles with a corner farther out than the limit.
    pub too_far: usize,
    /// The greatest coordinate beyond the limit, in mm.
    pub farthest_mm: f64,
}

/// Makes equal corners one point and takes the numbers to mm. Triangles with a corner that is no number, or beyond
/// `limit_mm`, are left out and counted.
#[must_use]
pub fn weld_equal_corners<T: Triangles + ?Sized>(triangles: &T, mm_per_unit: f64, limit_mm: f64) -> Welded {
    let mut faces = vec![LEFT_OUT; triangles.count()];
    let limit = limit_mm / mm_per_unit;
    let blocks: Vec<Block<T::Number>> = faces
        .par_chunks_mut(BLOCK)
        .enumerate()
        .map(|(number, faces)| Block::weld(triangles, number * BLOCK, faces, limit))
        .collect();
    let starts: Vec<usize> = blocks
        .iter()
        .scan(0, |sum, block| {
            let start = *sum;
            *sum += block.points.len();
            Some(start)
        })
        .collect();
    let (numbers, points_mm) = number_points(&blocks, &starts, mm_per_unit);
    faces.par_chunks_mut(BLOCK).zip(&starts).for_each(|(faces, &start)| {
        for face in faces.iter_mut().filter(|face| **face != LEFT_OUT) {
            *face = face.map(|local| numbers[start + local as usize]);
        }
    });
    Welded {
        mesh: Mesh { points_mm, faces },
        not_finite: blocks.iter().map(|block| block.not_finite).sum(),
        too_far: blocks.iter().map(|block| block.too_far).sum(),
        farthest_mm: blocks.iter().map(|block| block.farthest).fold(0.0, f64::max) * mm_per_unit,
    }
}

/// A point's coordinates as bits.
type Key<N> = [<N as Coordinate>::Bits; 3];

/// A run of triangles whose equal corners are found among themselves first.
struct Block<N: Coordinate> {
    /// Its points, in order of first use.
    points: Vec<Key<N>>,
    /// Its points again by shard of the common table, in order within each.
    by_shard: Vec<u32>,
    /// Where each shard starts in `by_shard`.
    shard_starts: [u32; SHARDS + 1],
    not_finite: usize,
    too_far: usize,
    farthest: f64,
}

impl<N: Coordinate> Block<N> {
    /// Gives each corner of the triangles from `first` on a number of this block.
    fn weld<T>(triangles: &T, first: usize, faces: &mut [[PointId; 3]], limit: f64) -> Self
    where
        T: Triangles<Number = N> + ?Sized,
    {
        let mut block = Self {
            points: Vec::with_capacity(faces.len()),
            by_shard: Vec::new(),
            shard_starts: [0; SHARDS + 1],
            not_finite: 0,
            too_far: 0,
            farthest: 0.0,
        };
        let mut seen = PointTable::with_room_for(faces.len());
        let range = first..first + faces.len();
        let mut slots = faces.iter_mut();
        triangles.visit(range, &mut |corners| {
            let Some(slot) = slots.next() else { return };
            if block.is_a_place(&corners, limit) {
                *slot = corners.map(|corner| seen.number(corner.map(N::bits), &mut block.points));
            }
        });
        block.sort_by_shard();
        block
    }

    /// Whether all corners are finite and within the limit; counts those that are not.
    fn is_a_place(&mut self, corners: &[[N; 3]; 3], limit: f64) -> bool {
        let sizes = || corners.iter().flatten().map(|number| number.value().abs());
        if sizes().all(|size| size <= limit) {
            return true;
        }
        let greatest =
            sizes().fold(0.0, |greatest, size| if size >= greatest || size.is_nan() { size } else { greatest });
        if sizes().all(f64::is_finite) {
            self.too_far += 1;
            self.farthest = self.farthest.max(greatest);
        } else {
            self.not_finite += 1;
        }
        false
    }

    fn sort_by_shard(&mut self) {
        let shards: Vec<u8> = self.points.iter().map(shard).collect();
        for &shard in &shards {
            self.shard_starts[shard as usize + 1] += 1;
        }
        for shard in 0..SHARDS {
            self.shard_starts[shard + 1] += self.shard_starts[shard];
        }
        let mut fill = self.shard_starts;
        self.by_shard = vec![0; self.points.len()];
        for (local, &shard) in shards.iter().enumerate() {
            let slot = &mut fill[shard as usize];
            self.by_shard[*slot as usize] = local as u32;
            *slot += 1;
        }
    }

    fn of_shard(&self, shard: usize) -> &[u32] {
        &self.by_shard[self.shard_starts[shard] as usize..self.shard_starts[shard + 1] as usize]
    }
}

/// Finds points of a block by their coordinates. Holds numbers only, four bytes each: a general table, which holds the keys
/// as well, left the cache and took three times as long.
struct PointTable {
    /// Numbers of points, or `EMPTY`; a power of two of them.
    slots: Vec<u32>,
}

impl PointTable {
    const EMPTY: u32 = u32::MAX;

    fn with_room_for(count: usize) -> Self {
        Self { slots: vec![Self::EMPTY; (2 * count).next_power_of_two()] }
    }

    /// The number of a point, which is added if it is new.
    #[inline]
    fn number<K: Copy + Eq + Hash>(&mut self, key: K, points: &mut Vec<K>) -> u32 {
        let slot = self.slot(&key, points);
        if self.slots[slot] != Self::EMPTY {
            return self.slots[slot];
        }
        let number = points.len() as u32;
        self.slots[slot] = number;
        points.push(key);
        if 2 * points.len() > self.slots.len() {
            self.grow(points);
        }
        number
    }

    /// Where a point's number stands or should stand.
    #[inline]
    fn slot<K: Copy + Eq + Hash>(&self, key: &K, points: &[K]) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = (FxBuildHasher.hash_one(key) >> 8) as usize & mask;
        while self.slots[slot] != Self::EMPTY && points[self.slots[slot] as usize] != *key {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow<K: Copy + Eq + Hash>(&mut self, points: &[K]) {
        self.slots = vec![Self::EMPTY; 2 * self.slots.len()];
        for (number, key) in (0..).zip(points) {
            let slot = self.slot(key, points);
            self.slots[slot] = number;
        }
    }
}

/// Which part of the common table holds a point.
fn shard(key: &impl Hash) -> u8 {
    // The tables use the upper and the lowest bits of the same hash; these lie between.
    ((FxBuildHasher.hash_one(key) >> 40) % SHARDS as u64) as u8
}

/// The number of each block's points in the whole, and the points, in order of first use.
fn number_points<N: Coordinate>(blocks: &[Block<N>], starts: &[usize], mm_per_unit: f64) -> (Vec<PointId>, Vec<Point>) {
    let n_held: usize = blocks.iter().map(|block| block.points.len()).sum();
    let firsts: Vec<AtomicU32> = (0..n_held).into_par_iter().map(|_| AtomicU32::new(0)).collect();
    (0..SHARDS).into_par_iter().for_each(|shard| {
        let n_points: usize = blocks.iter().map(|block| block.of_shard(shard).len()).sum();
        let mut seen: FxHashMap<Key<N>, u32> = FxHashMap::with_capacity_and_hasher(n_points, FxBuildHasher);
        for (block, &start) in blocks.iter().zip(starts) {
            for &local in block.of_shard(shard) {
                let held = start + local as usize;
                let first = *seen.entry(block.points[local as usize]).or_insert(held as u32);
                firsts[held].store(first, Relaxed);
            }
        }
    });
    let mut numbers: Vec<PointId> = Vec::with_capacity(n_held);
    let mut points_mm = Vec::with_capacity(n_held);
    for (block, &start) in blocks.iter().zip(starts) {
        for (local, key) in block.points.iter().enumerate() {
            let first = firsts[start + local].load(Relaxed) as usize;
            if first == start + local {
                numbers.push(points_mm.len() as PointId);
                points_mm.push(Point::from(key.map(|bits| N::from_bits(bits) * mm_per_unit)));
            } else {
                numbers.push(numbers[first]);
            }
        }
    }
    points_mm.shrink_to_fit();
    (numbers, points_mm)
}

/// How far apart two points may lie and still be one, in mm.
///
/// Smaller, and the noise of single-precision exports leaves cracks; larger, and strips of 0.05 mm vanish. The cap keeps
/// a stray point far away from welding what is fine.
#[must_use]
pub fn tolerance_mm(bounds: &Bounds) -> f64 {
    const PER_DIAGONAL: f64 = 1e-6;
    const LEAST_MM: f64 = 1e-4;
    const MOST_MM: f64 = 0.03;
    (PER_DIAGONAL * bounds.diagonal_mm()).clamp(LEAST_MM, MOST_MM)
}
