//! What shows of a pull: its arrow, what locks, what blocks, where it could be split, and the draft facet by facet.

use rayon::prelude::*;

use super::lines::drawn;
use super::{Line, LineKind};
use crate::geometry::axes::square_to;
use crate::geometry::mesh::{Mesh, Point, Vector};
use crate::geometry::normals::CornerNormals;
use crate::geometry::pull::{Blocker, Pull, SplitAdvice};
use crate::maths::asin_clamped;
use crate::units::deg_from_rad;

/// Sizes as shares of the diagonal of the box round the face: how far the arrow starts above it, how long it is, its head.
const ARROW_OFF: f64 = 0.03;
const ARROW_LENGTH: f64 = 0.2;
const ARROW_HEAD: f64 = 0.045;
/// Arms of the cross on a facet that blocks, and its normal.
const CROSS_ARM: f64 = 0.02;
const CROSS_NORMAL: f64 = 0.07;

/// The lines of a pull of a face, with the borders of what locks.
pub(super) fn lines(mesh: &Mesh, pull: &Pull, undercuts: &[Vec<Point>], split: Option<&SplitAdvice>) -> Vec<Line> {
    let Some(bounds) = mesh.bounds() else { return Vec::new() };
    let size_mm = bounds.size_mm().norm();
    let mut lines = vec![arrow(mesh, bounds.centre(), size_mm, &pull.direction)];
    lines.extend(undercuts.iter().map(|border| drawn(LineKind::Undercut, "undercut", border.iter().copied())));
    lines.extend(pull.blocking.iter().enumerate().map(|(number, blocker)| cross(number, blocker, size_mm)));
    for (number, proposal) in split.iter().flat_map(|split| split.proposals.iter().enumerate()) {
        let name = format!("proposal {}", number + 1);
        lines.extend(proposal.lines_mm.iter().map(|line| drawn(LineKind::Proposal, &name, line.iter().copied())));
    }
    lines
}

/// One line that runs up the shaft and back and forth along the four barbs of its head.
fn arrow(mesh: &Mesh, centre: Point, size_mm: f64, direction: &Vector) -> Line {
    let top_mm = mesh.points_mm.iter().map(|point| (point - centre).dot(direction)).fold(0.0, f64::max);
    let foot = centre + direction * (top_mm + ARROW_OFF * size_mm);
    let tip = foot + direction * (ARROW_LENGTH * size_mm);
    let [one, other] = square_to(direction);
    let head_mm = ARROW_HEAD * size_mm;
    let barbs = [one, -one, other, -other].map(|side| tip - direction * head_mm + side * (0.5 * head_mm));
    let path_mm = [foot, tip].into_iter().chain(barbs.into_iter().flat_map(|barb| [barb, tip])).collect();
    Line { kind: LineKind::Pull, name: "pull".to_owned(), path_mm }
}

fn cross(number: usize, blocker: &Blocker, size_mm: f64) -> Line {
    let at = blocker.at_mm;
    let [one, other] = square_to(&blocker.unit_normal).map(|side| side * (CROSS_ARM * size_mm));
    let end = at + blocker.unit_normal * (CROSS_NORMAL * size_mm);
    let path_mm = vec![at - one, at + one, at, at - other, at + other, at, end];
    Line { kind: LineKind::Holds, name: format!("holds {}", number + 1), path_mm }
}

/// Draft at each corner of each facet in degrees, on the normals that the pull was found by.
pub(super) fn drafts_deg(normals: &CornerNormals, n_faces: usize, direction: &Vector) -> Vec<[f64; 3]> {
    let draft_deg = |normal: Vector| deg_from_rad(asin_clamped(normal.dot(direction)));
    (0..n_faces as u32).into_par_iter().map(|facet| normals.of_face(facet).map(draft_deg)).collect()
}
