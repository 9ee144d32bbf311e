//! Paths of corners as they are traced, and a grid in which to find what was traced already.

use rustc_hash::FxHashMap;

use super::section::Section;
use crate::geometry::mesh::{Point, Vector};

/// Why a path ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// At an open edge or a hard crease.
    Edge,
    /// The bend is no longer there, or no longer the same.
    Fades,
    /// It ran into a path traced before.
    Met,
}

/// The middle line of a corner, with its sections.
#[derive(Debug, Clone)]
pub struct Path {
    /// Sections from end to end; of a closed path the first is not repeated.
    pub spots: Vec<Section>,
    /// It closes on itself.
    pub closed: bool,
    /// Why it ends, at its first and at its last spot.
    pub ends: [End; 2],
}

impl Path {
    /// +1 if convex, -1 if concave.
    pub fn sense(&self) -> f64 {
        self.spots[0].sense
    }

    /// Length of the line through the middles, in mm.
    pub fn length_mm(&self) -> f64 {
        let open: f64 = self.spots.windows(2).map(|pair| (pair[1].middle.at - pair[0].middle.at).norm()).sum();
        open + self.closing_mm()
    }

    /// From the last spot to the first, if closed.
    fn closing_mm(&self) -> f64 {
        match (self.closed, self.spots.first(), self.spots.last()) {
            (true, Some(first), Some(last)) => (first.middle.at - last.middle.at).norm(),
            _ => 0.0,
        }
    }

    /// Length that each spot stands for: half the way to both neighbours.
    pub fn shares_mm(&self) -> Vec<f64> {
        let mut shares = vec![0.0; self.spots.len()];
        for (k, pair) in self.spots.windows(2).enumerate() {
            let half = 0.5 * (pair[1].middle.at - pair[0].middle.at).norm();
            shares[k] += half;
            shares[k + 1] += half;
        }
        let half = 0.5 * self.closing_mm();
        if let Some(last) = shares.len().checked_sub(1) {
            shares[0] += half;
            shares[last] += half;
        }
        shares
    }

    /// Value in the middle of a figure's spread along the path, by length.
    pub fn median(&self, figure: impl Fn(&Section) -> f64) -> f64 {
        self.quantile(0.5, figure)
    }

    /// Value that a share of the path's length stays under.
    pub fn quantile(&self, share: f64, figure: impl Fn(&Section) -> f64) -> f64 {
        let shares = self.shares_mm();
        let mut values: Vec<(f64, f64)> = self.spots.iter().map(figure).zip(shares).collect();
        values.sort_by(|a, b| a.0.total_cmp(&b.0));
        let all: f64 = values.iter().map(|value| value.1).sum();
        let mut below = 0.0;
        for &(value, length) in &values {
            below += length;
            if below >= share * all {
                return value;
            }
        }
        values.last().map_or(0.0, |value| value.0)
    }

    /// Direction out of the path at its first (0) or last (1) spot, over the given length of its end.
    pub fn outward(&self, end: usize, over_mm: f64) -> Vector {
        let from_end = |k: usize| if end == 0 { k } else { self.spots.len() - 1 - k };
        let tip = self.spots[from_end(0)].middle.at;
        let mut way = 0.0;
        for k in 1..self.spots.len() {
            let (near, far) = (self.spots[from_end(k - 1)].middle.at, self.spots[from_end(k)].middle.at);
            way += (far - near).norm();
            if way >= over_mm || k + 1 == self.spots.len() {
                let out = tip - far;
                let size = out.norm();
                if size > 0.0 {
                    return out / size;
                }
            }
        }
        self.spots[from_end(0)].axis
    }

    /// Points along the path no further apart than the given share of the width, each with the spot before it.
    pub fn samples(&self, share: f64) -> Vec<Sample> {
        let mut samples = Vec::new();
        let n_steps = if self.closed { self.spots.len() } else { self.spots.len() - 1 };
        for k in 0..n_steps {
            let (near, far) = (&self.spots[k], &self.spots[(k + 1) % self.spots.len()]);
            let run = far.middle.at - near.middle.at;
            let steps = (run.norm() / (share * near.width_mm)).ceil().max(1.0) as usize;
            for step in 0..steps {
                samples.push(Sample::between(near, far, step as f64 / steps as f64));
            }
        }
        if !self.closed
            && let Some(last) = self.spots.last()
        {
            samples.push(Sample::between(last, last, 0.0));
        }
        samples
    }
}

/// A point on a path.
#[derive(Debug, Clone, Copy)]
pub struct Sample {
    /// Where.
    pub at: Point,
    /// Along the corner.
    pub axis: Vector,
    /// Radius, turn and width there.
    pub radius_mm: f64,
    /// Turn in radians.
    pub turn: f64,
    /// Width of the arc.
    pub width_mm: f64,
    /// +1 if convex, -1 if concave.
    pub sense: f64,
}

impl Sample {
    /// At a share of the way between two sections.
    pub fn between(near: &Section, far: &Section, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + (b - a) * share;
        let far_axis = if near.axis.dot(&far.axis) < 0.0 { -far.axis } else { far.axis };
        let axis = near.axis + (far_axis - near.axis) * share;
        Self {
            at: near.middle.at + (far.middle.at - near.middle.at) * share,
            axis: axis.normalize(),
            radius_mm: mix(near.radius_mm, far.radius_mm),
            turn: mix(near.turn, far.turn),
            width_mm: mix(near.width_mm, far.width_mm),
            sense: near.sense,
        }
    }
}

impl Sample {
    /// True if a point lies within the bend here, out to a share of the way from its middle to its borders.
    pub fn holds(&self, at: &Point, share: f64) -> bool {
        let gap = at - self.at;
        let along = gap.dot(&self.axis);
        let border_mm = 2.0 * self.radius_mm * crate::maths::sin(0.25 * self.turn);
        along.abs() <= 0.6 * self.width_mm && (gap - self.axis * along).norm() < share * border_mm
    }
}

/// A level of size and a cell of its grid.
type Cell = (i32, [i32; 3]);

/// Samples of paths by place and size.
#[derive(Default)]
pub struct Registry {
    levels: std::collections::BTreeSet<i32>,
    cells: FxHashMap<Cell, Vec<(u32, Sample)>>,
}

/// Samples stand no further apart than this share of the width.
pub const SAMPLE_SHARE: f64 = 0.5;

impl Registry {
    /// Enters a path under a number.
    pub fn enter(&mut self, number: u32, path: &Path) {
        for sample in path.samples(SAMPLE_SHARE) {
            let level = level(sample.radius_mm);
            self.levels.insert(level);
            self.cells.entry((level, cell(&sample.at, size(level)))).or_default().push((number, sample));
        }
    }

    /// Samples of like sense whose radius is within a factor of two or so and that may lie within a distance of a point.
    pub fn near(
        &self,
        at: Point,
        radius_mm: f64,
        sense: f64,
        within_mm: f64,
    ) -> impl Iterator<Item = (u32, Sample)> + '_ {
        let middle = level(radius_mm);
        (middle - 1..=middle + 1)
            .flat_map(move |level| {
                let reach = Vector::repeat(within_mm);
                let (least, most) = (cell(&(at - reach), size(level)), cell(&(at + reach), size(level)));
                (least[0]..=most[0]).flat_map(move |x| {
                    (least[1]..=most[1]).flat_map(move |y| (least[2]..=most[2]).map(move |z| (level, [x, y, z])))
                })
            })
            .filter_map(|key| self.cells.get(&key))
            .flatten()
            .filter(move |(_, sample)| sample.sense == sense && (sample.at - at).norm() <= 2.0 * within_mm)
            .copied()
    }

    /// Samples of any radius whose bend may hold a point: those within twice the size of their level.
    pub fn around(&self, at: Point) -> impl Iterator<Item = Sample> + '_ {
        self.levels
            .iter()
            .flat_map(move |&level| {
                let middle = cell(&at, size(level));
                (0..125)
                    .map(move |k| (level, [middle[0] + k % 5 - 2, middle[1] + k / 5 % 5 - 2, middle[2] + k / 25 - 2]))
            })
            .filter_map(|key| self.cells.get(&key))
            .flatten()
            .map(|&(_, sample)| sample)
    }
}

/// Which power of two a radius is next above.
fn level(radius_mm: f64) -> i32 {
    crate::maths::ln(radius_mm.max(1e-6)).div_euclid(std::f64::consts::LN_2) as i32
}

/// Cell of a level, in mm: one to two times the radii in it.
fn size(level: i32) -> f64 {
    (2.0f64).powi(level + 1)
}

fn cell(at: &Point, size: f64) -> [i32; 3] {
    [at.x, at.y, at.z].map(|x| (x / size).floor() as i32)
}
