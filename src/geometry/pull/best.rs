//! The best direction, robust to a share of bad facets.

use rayon::prelude::*;

use super::cone::{Cone, cone};
use super::facing::Facing;
use crate::geometry::axes::{principal_axes, spread};
use crate::geometry::mesh::Vector;
use crate::maths::{cos, sin, sin_cos};
use crate::units::rad_from_deg;

/// Share of the area that may be left out. Kernel meshes have tiny facets that lie 6 to 30 degrees off: at 0 they decide
/// (4.4 instead of 10.0 degrees on a coarse shell); at a thousandth the tangent line of a half-round hides; at five
/// thousandths a half-round rail turns by 7 degrees.
pub const LEFT_OUT_SHARE: f64 = 2e-4;
/// A face of more members is searched on gathered normals first.
const MANY_MEMBERS: usize = 30_000;
/// Cells a side of the octahedron for that, about 0.2 degrees each; where a rounded shape fills more cells than
/// [`MANY_MEMBERS`] with them, wider ones, but none wider than [`WIDE_CELLS`], 1.4 degrees each.
const FINE_CELLS: u32 = 1024;
const WIDE_CELLS: u32 = 128;
/// Of the directions found on gathered normals, so many that differ by more than [`SAME_DEG`] are followed on all of them, if
/// the gathering may have put the best of them behind another.
const N_FOLLOWED: usize = 3;
const SAME_DEG: f64 = 0.5;
/// A direction that is close stays within so many degrees, and what has more draft than the least by this sine does not get less
/// than it by such a turn, even if the least grows by as much. The narrow pair mostly does: normals gathered within 0.2 degrees
/// lead that close, and looking at what lies within the wide one takes four times as long on a million facets.
const NEAR: [(f64, f64); 2] = [(0.5, 0.02), (5.0, 0.2)];
/// Rounds of leaving out and searching anew.
const MOST_ROUNDS: usize = 20;
/// Directions spread over the sphere that the search may start from, and how many of the best of them it does start from.
const N_SPREAD: usize = 2000;
const N_FROM_SPREAD: usize = 4;
/// Members on which the spread directions are scored; the score only has to rank them.
const N_SCORED: usize = 3000;
/// A draft better by less than this sine is no better.
const BETTER_SINE: f64 = 1e-9;

/// The best direction by draft.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// Unit direction.
    pub direction: Vector,
    /// Sine of the draft that all but [`LEFT_OUT_SHARE`] of the area has at least.
    pub least_sine: f64,
}

/// The direction along which all but [`LEFT_OUT_SHARE`] of the area has the greatest least draft. Nothing without area.
#[must_use]
pub fn best(facing: &Facing) -> Option<Best> {
    best_leaving_out(facing, LEFT_OUT_SHARE)
}

/// As [`best`], leaving out another share.
#[must_use]
pub fn best_leaving_out(facing: &Facing, share: f64) -> Option<Best> {
    if facing.is_empty() {
        return None;
    }
    let many = facing.len() > MANY_MEMBERS;
    let gathered = many.then(|| gathered_to_few(facing));
    let ground = gathered.as_ref().map_or(facing, |(gathered, _)| gathered);
    let starts = starts(ground, share);
    let mut climbed: Vec<(Vector, f64)> = starts.par_iter().map(|start| climb(ground, *start, share)).collect();
    if let Some((_, cells)) = &gathered {
        climbed = followed(climbed, *cells).into_iter().map(|start| climb_near(facing, ground, start, share)).collect();
    }
    let better = |one: (Vector, f64), other: (Vector, f64)| if other.1 > one.1 + BETTER_SINE { other } else { one };
    let (direction, least_sine) = climbed.into_iter().reduce(better)?;
    Some(Best { direction, least_sine })
}

/// Normals gathered until they are few, and how many cells a side that took.
fn gathered_to_few(facing: &Facing) -> (Facing, u32) {
    let (mut gathered, mut cells) = (facing.gathered(FINE_CELLS), FINE_CELLS);
    while gathered.len() > MANY_MEMBERS && cells > WIDE_CELLS {
        cells /= 2;
        gathered = gathered.gathered(cells);
    }
    (gathered, cells)
}

/// The best of the directions found on gathered normals, and those that are worse by no more than the cells are wide.
fn followed(mut climbed: Vec<(Vector, f64)>, cells: u32) -> Vec<Vector> {
    climbed.sort_by(|a, b| b.1.total_cmp(&a.1));
    let best = climbed.first().map_or(0.0, |(_, sine)| *sine);
    let (wide, same) = (sin(std::f64::consts::PI / f64::from(cells)), cos(rad_from_deg(SAME_DEG)));
    let mut kept: Vec<Vector> = Vec::new();
    for (direction, sine) in climbed {
        if kept.len() < N_FOLLOWED && sine >= best - wide && !kept.iter().any(|other| other.dot(&direction) > same) {
            kept.push(direction);
        }
    }
    kept
}

/// As [`climb`], from a start that is close: only what leans nearly as little as anything there can decide, and is looked at one
/// by one; the rest, gathered, keeps the direction from running off to where the near ones alone would have it.
fn climb_near(facing: &Facing, gathered: &Facing, start: Vector, share: f64) -> (Vector, f64) {
    let least = facing.trimmed_sine(&start, share);
    for (moved_deg, sine) in NEAR {
        let near = facing.at_least(&-start, -least - sine);
        let all = near.with(gathered.at_least(&start, least + sine));
        let (direction, _) = climb(&all, start, share * facing.whole_mm2 / all.whole_mm2);
        if direction.dot(&start) >= cos(rad_from_deg(moved_deg)) {
            let reached = facing.trimmed_sine(&direction, share);
            return if reached > least { (direction, reached) } else { (start, least) };
        }
    }
    climb(facing, start, share)
}

/// Leaves out what lies below the draft that the share allows, searches anew, and goes on while that gains.
fn climb(facing: &Facing, start: Vector, share: f64) -> (Vector, f64) {
    let (mut direction, mut least) = (start, facing.trimmed_sine(&start, share));
    for _ in 0..MOST_ROUNDS {
        let Some(Cone::Releases(next)) = cone(&facing.at_least(&direction, least)) else { break };
        let reached = facing.trimmed_sine(&next, share);
        if reached <= least + BETTER_SINE {
            break;
        }
        (direction, least) = (next, reached);
    }
    (direction, least)
}

/// Where the search starts: the exact answer, the mean normal, the axes of the normals and of the mesh, and the best of many
/// directions all over the sphere.
fn starts(facing: &Facing, share: f64) -> Vec<Vector> {
    let mut starts = Vec::new();
    if let Some(Cone::Releases(direction)) = cone(facing) {
        starts.push(direction);
    }
    let mean = facing.mean_normal();
    starts.extend((mean.norm() > 0.0).then_some(mean));
    let axes = principal_axes(spread(facing.normals.iter().copied().zip(facing.weights_mm2.iter().copied())));
    starts.extend(axes.iter().map(|axis| axis.direction).flat_map(|axis| [axis, -axis]));
    starts.extend([Vector::x(), Vector::y(), Vector::z()].into_iter().flat_map(|axis| [axis, -axis]));
    let scored = coarser(facing);
    let mut ranked: Vec<(f64, usize, Vector)> = (0..N_SPREAD)
        .into_par_iter()
        .map(|number| (number, spread_direction(number, N_SPREAD)))
        .map(|(number, direction)| (scored.trimmed_sine(&direction, share), number, direction))
        .collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    starts.extend(ranked.into_iter().take(N_FROM_SPREAD).map(|(.., direction)| direction));
    starts
}

/// Few enough members to score thousands of directions on.
pub(super) fn coarser(facing: &Facing) -> Facing {
    let mut cells = FINE_CELLS;
    let mut few = facing.clone();
    while few.len() > N_SCORED && cells > 8 {
        cells /= 2;
        few = facing.gathered(cells);
    }
    few
}

/// One of `n` directions spread evenly over the sphere, by the golden angle.
#[must_use]
pub fn spread_direction(number: usize, n: usize) -> Vector {
    const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;
    let z = 1.0 - (2.0 * number as f64 + 1.0) / n as f64;
    let radius = (1.0 - z * z).max(0.0).sqrt();
    let (sin, cos) = sin_cos(GOLDEN_ANGLE * number as f64);
    Vector::new(radius * cos, radius * sin, z)
}
