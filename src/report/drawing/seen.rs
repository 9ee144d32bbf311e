//! Which parts of a line are seen and which are hidden.

use super::depth::Depth;
use super::view::View;
use crate::geometry::mesh::Point;

/// A part of a line that is seen or hidden all along, in mm of the view.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Nothing covers it.
    pub seen: bool,
    /// Its points.
    pub points: Vec<[f64; 2]>,
}

impl Run {
    /// Length as seen.
    #[must_use]
    pub fn length(&self) -> f64 {
        length(&self.points)
    }

    /// The point that so much of the length lies before.
    #[must_use]
    pub fn at(&self, share: f64) -> Option<[f64; 2]> {
        let mut left = share * self.length();
        for pair in self.points.windows(2) {
            let length = apart(pair[0], pair[1]);
            if length >= left && length > 0.0 {
                let t = left / length;
                return Some([0, 1].map(|axis| pair[0][axis] + t * (pair[1][axis] - pair[0][axis])));
            }
            left -= length;
        }
        self.points.first().copied()
    }
}

/// Where along its line the name of a number stands: not all in the middle, since lines often run beside one another.
#[must_use]
pub fn share_of(number: usize) -> f64 {
    [0.5, 0.36, 0.64, 0.43, 0.57][number % 5]
}

/// Length of a line.
#[must_use]
pub fn length(line: &[[f64; 2]]) -> f64 {
    line.windows(2).map(|pair| apart(pair[0], pair[1])).sum()
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

/// Runs shorter than this many squares of the depth grid take the state of what is before them: what flickers there is the
/// grid, not the shape.
const SHORTEST_SQUARES: f64 = 4.0;
/// A stretch is looked at in so many places at most; longer ones lie outside the grid.
const MOST_STEPS: f64 = 20_000.0;

/// Takes a line apart where it goes into hiding.
#[must_use]
pub fn runs(line: &[Point], view: &View, depth: &Depth) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for pair in line.windows(2) {
        let [from, to] = [view.seen(&pair[0]), view.seen(&pair[1])];
        let n_steps = (apart([from[0], from[1]], [to[0], to[1]]) * depth.per_mm).ceil().clamp(1.0, MOST_STEPS) as usize;
        let at = |t: f64| [0, 1, 2].map(|axis| from[axis] + t * (to[axis] - from[axis]));
        for step in 0..n_steps {
            let seen = !depth.hides(at((step as f64 + 0.5) / n_steps as f64));
            let [x, y, _] = at(step as f64 / n_steps as f64);
            let goes_on = runs.last().is_some_and(|run| run.seen == seen);
            if !goes_on {
                if let Some(before) = runs.last_mut() {
                    before.points.push([x, y]);
                }
                runs.push(Run { seen, points: vec![[x, y]] });
            }
        }
        if let Some(run) = runs.last_mut() {
            run.points.push([to[0], to[1]]);
        }
    }
    without_flicker(runs, SHORTEST_SQUARES / depth.per_mm)
}

fn without_flicker(runs: Vec<Run>, shortest: f64) -> Vec<Run> {
    let mut steady: Vec<Run> = Vec::new();
    for run in runs {
        match steady.last_mut() {
            Some(before) if before.seen == run.seen || run.length() < shortest => before.points.extend(run.points),
            Some(before) if before.length() < shortest => {
                before.seen = run.seen;
                before.points.extend(run.points);
            }
            _ => steady.push(run),
        }
    }
    steady
}
