//! The bent strip of every corner that needs work, in the accent's tint.

use super::canvas::{ACCENT, Canvas, mixed};
use crate::geometry::mesh::Vector;
use crate::report::drawing::depth::Depth;
use crate::report::drawing::subject::CornerLine;
use crate::report::drawing::view::{Area, View};

/// So much of the accent in the tint.
const SHARE: f64 = 0.34;

/// Tints the face within half a strip's width of each corner's line, where it is seen.
pub fn tint(corners: &[CornerLine], view: &View, depth: &Depth, canvas: &mut Canvas) {
    let mut is_bent = vec![false; canvas.width * canvas.height];
    for corner in corners {
        let line: Vec<Vector> = corner.path_mm.iter().map(|point| Vector::from(view.seen(point))).collect();
        for pair in line.windows(2) {
            mark(pair[0], pair[1], corner.half_width_mm, depth, &mut is_bent);
        }
    }
    for (square, _) in is_bent.iter().enumerate().filter(|(_, bent)| **bent) {
        canvas.set(square, mixed(ACCENT, canvas.at(square), SHARE));
    }
}

fn mark(from: Vector, to: Vector, half_width_mm: f64, depth: &Depth, is_bent: &mut [bool]) {
    let mut around = Area::EMPTY;
    for end in [from, to] {
        let [x, y, _] = depth.place(end.into());
        around.take_in([x, y]);
    }
    let around = around.grown(half_width_mm * depth.per_mm);
    let range = |axis: usize, end: usize| {
        let first = around.least[axis].floor().max(0.0) as usize;
        first..(around.most[axis].ceil().clamp(0.0, end as f64) as usize).max(first)
    };
    let along = to - from;
    let squared = along.norm_squared();
    let columns = range(0, depth.width);
    for row in range(1, depth.height) {
        for column in columns.clone() {
            let Some(at) = depth.surface(column, row) else { continue };
            let apart = Vector::from(at) - from;
            let t = if squared > 0.0 { (apart.dot(&along) / squared).clamp(0.0, 1.0) } else { 0.0 };
            if (apart - along * t).norm_squared() <= half_width_mm * half_width_mm {
                is_bent[row * depth.width + column] = true;
            }
        }
    }
}
