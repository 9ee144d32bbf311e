//! The direction of least undercut, where none releases.

use rayon::prelude::*;

use super::best::{coarser, spread_direction};
use super::facing::{Face, Facing};
use super::patches::undercuts;
use super::undercut::undercut;
use crate::geometry::axes::{principal_axes, spread, square_to};
use crate::geometry::mesh::Vector;
use crate::maths::{cos, sin, sin_cos};
use crate::units::rad_from_deg;

/// Directions looked at all over the sphere, and how many of the best are refined.
const N_SPREAD: usize = 2000;
const N_REFINED: usize = 12;
/// A normal that leans against the pull by less than this sine does not count while directions are ranked, and one that
/// leans more than [`MOST_SINE`] counts as that: a soft measure has slopes where the area alone has steps.
const SOFT_SINE: f64 = 0.02;
const MOST_SINE: f64 = 0.2;
/// The pattern search begins with this step, in radians, and halves it down to [`LAST_STEP`].
const FIRST_STEP: f64 = 0.1;
const LAST_STEP: f64 = 1e-3;
/// Nearly upright walls average their noise away: among normals within so many degrees of no draft ...
const UPRIGHT_DEG: [f64; 2] = [4.0, 2.0];
/// ... that make up this share of the face, if they leave one direction open much more than the others.
const UPRIGHT_SHARE: f64 = 0.05;
const UPRIGHT_RATIO: f64 = 20.0;
/// Directions that are compared on the facets themselves.
const N_COMPARED: usize = 8;
/// A face is open if its mean normal is at least this share of a unit vector: by Gauss, that mean is the area of its openings over
/// its own. Below, a body is as good as closed, and has no way that a mould would rather go.
const OPEN_SHARE: f64 = 0.05;
/// What does not come off an open body is told for a pull within this of its opening. A tray whose walls lean in all round locks
/// with less area if it is drawn sideways, which nobody would try.
const ALONG_OPENING_DEG: f64 = 30.0;
/// Straight out of the opening is as good as a direction beside it with up to this many times less undercut: turned to one side,
/// half of a ring of walls no longer leans in, and the mould comes off no better.
const AS_GOOD: f64 = 2.5;

/// The direction of least undercut area, and whether all of that is too shallow to be told from the tessellation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastUndercut {
    /// Unit direction.
    pub direction: Vector,
    /// Nothing locks but what the tessellation makes up.
    pub only_noise: bool,
}

/// Finds the direction of least undercut, by the normals of the facets: the strip of a coarse fillet in which the surface
/// passes from draft to undercut belongs to the side that most of it is on. Where every direction is held by more than noise, an
/// open face is judged along its opening.
#[must_use]
pub fn least_undercut(face: &Face<'_>) -> Option<LeastUndercut> {
    let facing = &face.facing_of_facets();
    let few = coarser(facing);
    let mut candidates = fixed(&few);
    let mut ranked: Vec<(f64, usize, Vector)> = (0..N_SPREAD)
        .into_par_iter()
        .map(|number| (number, spread_direction(number, N_SPREAD)))
        .map(|(number, direction)| (soft_mm2(&few, &direction), number, direction))
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    candidates.extend(ranked.into_iter().take(N_REFINED).map(|(.., direction)| direction));
    let refined: Vec<Vector> = candidates.par_iter().map(|direction| refine(&few, *direction)).collect();
    let polished: Vec<Vector> = refined.par_iter().map(|direction| polish(facing, *direction)).collect();
    let mut all: Vec<(f64, usize, Vector)> = candidates
        .into_iter()
        .chain(refined)
        .chain(polished)
        .enumerate()
        .map(|(number, direction)| (hard_mm2(&few, &direction), number, direction))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let best = best_of(face, all.iter().map(|&(.., direction)| direction))?;
    let along = (best.real_m2 > 0.0).then(|| opening(facing)).flatten().and_then(|opening| {
        let within = cos(rad_from_deg(ALONG_OPENING_DEG));
        let near = all.iter().map(|&(.., direction)| direction).filter(|direction| direction.dot(&opening) >= within);
        let (straight, near) = (judge(face, opening), best_of(face, near));
        near.filter(|near| near.real_m2 * AS_GOOD < straight.real_m2).or(Some(straight))
    });
    let best = along.unwrap_or(best);
    Some(LeastUndercut { direction: best.direction, only_noise: best.real_m2 == 0.0 })
}

/// The best of the first few directions, scored on the facets; of equally good ones the first.
fn best_of(face: &Face<'_>, directions: impl Iterator<Item = Vector>) -> Option<Judged> {
    let judged: Vec<Judged> = directions.take(N_COMPARED).map(|direction| judge(face, direction)).collect();
    judged.into_iter().reduce(|one, other| if other.beats(&one) { other } else { one })
}

/// The way out of an open face.
fn opening(facing: &Facing) -> Option<Vector> {
    let sum: Vector = facing.normals.iter().zip(&facing.weights_mm2).map(|(normal, weight)| normal * *weight).sum();
    (sum.norm() >= OPEN_SHARE * facing.whole_mm2).then(|| sum.normalize())
}

/// Directions that a builder would try first.
fn fixed(facing: &Facing) -> Vec<Vector> {
    let axes = principal_axes(spread(facing.normals.iter().copied().zip(facing.weights_mm2.iter().copied())));
    let axes = axes.iter().map(|axis| axis.direction);
    let along = [Vector::x(), Vector::y(), Vector::z()].into_iter().chain(axes).flat_map(|axis| [axis, -axis]);
    let mean = facing.mean_normal();
    along.chain((mean.norm() > 0.0).then_some(mean)).collect()
}

/// A direction scored on the facets.
struct Judged {
    direction: Vector,
    /// Area of undercuts deeper than noise.
    real_m2: f64,
    /// Area of all that leans against it, by facets.
    facets_m2: f64,
}

impl Judged {
    /// Less undercut that is real, then less by facets; a share of a thousandth decides nothing.
    fn beats(&self, other: &Self) -> bool {
        const ALIKE: f64 = 1e-3;
        let less = |a: f64, b: f64| a < b * (1.0 - ALIKE);
        if self.real_m2 == 0.0 || other.real_m2 == 0.0 {
            if (self.real_m2 == 0.0) != (other.real_m2 == 0.0) {
                return self.real_m2 == 0.0;
            }
        } else if less(self.real_m2, other.real_m2) || less(other.real_m2, self.real_m2) {
            return self.real_m2 < other.real_m2;
        }
        less(self.facets_m2, other.facets_m2)
    }
}

fn judge(face: &Face<'_>, direction: Vector) -> Judged {
    let real_m2 = undercuts(face, &direction).iter().filter(|patch| !patch.noise).map(|patch| patch.area_m2).sum();
    Judged { direction, real_m2, facets_m2: undercut(face, &direction, 0.0).by_facets_m2 }
}

fn soft_mm2(facing: &Facing, direction: &Vector) -> f64 {
    let against = |(normal, weight): (&Vector, &f64)| {
        let sine = normal.dot(direction);
        if sine < -SOFT_SINE { weight * (-sine).min(MOST_SINE) } else { 0.0 }
    };
    facing.normals.iter().zip(&facing.weights_mm2).map(against).sum()
}

fn hard_mm2(facing: &Facing, direction: &Vector) -> f64 {
    let against = |(normal, _): &(&Vector, &f64)| normal.dot(direction) < -1e-6;
    facing.normals.iter().zip(&facing.weights_mm2).filter(against).map(|(_, weight)| weight).sum()
}

/// Pattern search over the sphere.
fn refine(facing: &Facing, start: Vector) -> Vector {
    let (mut best, mut least) = (start, soft_mm2(facing, &start));
    let mut step = FIRST_STEP;
    while step >= LAST_STEP {
        let [across, other] = square_to(&best);
        let tried = (0..8u32).map(|k| sin_cos(f64::from(k) * std::f64::consts::FRAC_PI_4)).map(|(s, c)| {
            let direction = (best + (across * c + other * s) * step).normalize();
            (direction, soft_mm2(facing, &direction))
        });
        let found = tried.fold((best, least), |one, other| if other.1 < one.1 { other } else { one });
        if found.1 < least {
            (best, least) = found;
        } else {
            step *= 0.5;
        }
    }
    best
}

/// Takes the direction square to the nearly upright walls, if they are many and agree.
fn polish(facing: &Facing, start: Vector) -> Vector {
    let mut direction = start;
    for upright_deg in UPRIGHT_DEG {
        let most = sin(rad_from_deg(upright_deg));
        let upright: Vec<(Vector, f64)> = facing
            .normals
            .iter()
            .copied()
            .zip(facing.weights_mm2.iter().copied())
            .filter(|(normal, _)| normal.dot(&direction).abs() < most)
            .collect();
        let area_mm2: f64 = upright.iter().map(|(_, weight)| weight).sum();
        let axes = principal_axes(spread(upright));
        if area_mm2 > UPRIGHT_SHARE * facing.whole_mm2 && axes[1].value > UPRIGHT_RATIO * axes[2].value {
            let open = axes[2].direction;
            direction = if open.dot(&direction) < 0.0 { -open } else { open };
        }
    }
    direction
}
