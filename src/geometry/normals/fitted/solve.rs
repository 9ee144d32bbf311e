//! Least squares over sparse rows: conjugate gradients on the normal equations (Hestenes and Stiefel 1952), each node's own two
//! unknowns solved for as preconditioner.

use nalgebra::{Matrix2, Vector2};

/// Pull of every node to its first normal: enough that nothing is left open, too little to matter.
const HOLD: f64 = 0.001;
/// The search ends at this share of the first residual ...
const ENOUGH: f64 = 1e-3;
/// ... or after so many rounds.
const MOST_ROUNDS: usize = 400;

/// One equation: the entries times the steps, and `off`, are to add up to nothing.
pub(super) struct Row {
    entries: [(u32, [f64; 2]); 4],
    n_entries: usize,
    off: f64,
}

impl Row {
    pub(super) fn new<const N: usize>(off: f64, entries: [Option<(u32, [f64; 2])>; N]) -> Self {
        let mut row = Self { entries: [(0, [0.0; 2]); 4], n_entries: 0, off };
        for entry in entries.into_iter().flatten() {
            row.entries[row.n_entries] = entry;
            row.n_entries += 1;
        }
        row
    }

    fn entries(&self) -> &[(u32, [f64; 2])] {
        &self.entries[..self.n_entries]
    }
}

type Steps = Vec<Vector2<f64>>;

/// The steps that come nearest to meeting all rows. `drift` is how far each node is from where it began.
pub(super) fn least_squares(rows: &[Row], n_nodes: usize, drift: &dyn Fn(usize, usize) -> f64) -> Vec<[f64; 2]> {
    let hold = HOLD * HOLD;
    let mut right: Steps = (0..n_nodes).map(|node| Vector2::new(drift(node, 0), drift(node, 1)) * -hold).collect();
    let mut own = vec![Matrix2::identity() * hold; n_nodes];
    for row in rows {
        for &(node, by) in row.entries() {
            let by = Vector2::from(by);
            right[node as usize] -= by * row.off;
            own[node as usize] += by * by.transpose();
        }
    }
    let inverse: Vec<Matrix2<f64>> =
        own.into_iter().map(|block| block.try_inverse().unwrap_or_else(Matrix2::zeros)).collect();
    let settle = |residual: &Steps| -> Steps { inverse.iter().zip(residual).map(|(block, r)| block * r).collect() };
    let mut steps: Steps = vec![Vector2::zeros(); n_nodes];
    let mut residual = right;
    let mut settled = settle(&residual);
    let mut direction = settled.clone();
    let mut size = dot(&residual, &settled);
    let enough = size * ENOUGH * ENOUGH;
    for _ in 0..MOST_ROUNDS {
        if size <= enough {
            break;
        }
        let image = applied(rows, &direction, hold);
        let along = dot(&direction, &image);
        if along <= 0.0 {
            break;
        }
        let length = size / along;
        for node in 0..n_nodes {
            steps[node] += direction[node] * length;
            residual[node] -= image[node] * length;
        }
        settled = settle(&residual);
        let next = dot(&residual, &settled);
        let share = next / size;
        size = next;
        for node in 0..n_nodes {
            direction[node] = settled[node] + direction[node] * share;
        }
    }
    steps.into_iter().map(|step| [step.x, step.y]).collect()
}

fn applied(rows: &[Row], steps: &Steps, hold: f64) -> Steps {
    let mut image: Steps = steps.iter().map(|step| step * hold).collect();
    for row in rows {
        let along: f64 = row.entries().iter().map(|&(node, by)| steps[node as usize].dot(&Vector2::from(by))).sum();
        for &(node, by) in row.entries() {
            image[node as usize] += Vector2::from(by) * along;
        }
    }
    image
}

fn dot(one: &Steps, other: &Steps) -> f64 {
    one.iter().zip(other).map(|(a, b)| a.dot(b)).sum()
}
