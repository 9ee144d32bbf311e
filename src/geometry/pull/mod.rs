//! Which way a mould comes off a face, how easily, and what locks it.
//!
//! Draft along a direction is the angle by which the face leans towards it: `asin(n . d)` with the outward normal n; 0 for
//! a wall that stands along the pull, negative for an undercut. The best direction has the greatest least draft; where even
//! that is negative, the one of least undercut area is told. Facets of a coarse fillet are off by degrees, so normals are
//! rebuilt for each facet corner ([`super::normals`]).

mod advice;
mod base;
mod best;
mod certainty;
mod cone;
mod facing;
mod hidden;
mod hull;
mod least_undercut;
mod outline;
mod patches;
pub mod propose;
mod undercut;

#[cfg(test)]
mod tests;

pub use advice::{SplitAdvice, SplitAsked};
pub use base::{Base, BaseChoice, base_of, seeming_bases};
pub use best::{Best, LEFT_OUT_SHARE, best, best_leaving_out, spread_direction};
pub use certainty::{DraftError, draft_error, not_certain, tenth};
pub use cone::{Cone, cone};
pub use facing::{Face, Facing, Member};
pub use hidden::hidden_m2;
pub use hull::{Nearest, nearest};
pub use least_undercut::{LeastUndercut, least_undercut};
pub use outline::outlines;
pub use patches::{Patch, below, undercuts};
pub use undercut::{Undercut, least_facet_sine, share_below, undercut};

use super::mesh::{FaceId, Point, Vector};
use super::rays::Rays;
use crate::maths::{asin_clamped, sin};
use crate::units::{deg_from_rad, m2_from_mm2, rad_from_deg};

/// Draft from which on a wall counts as leaning against the pull, in degrees below 0: flats of single-precision files lie off
/// by up to 0.02.
pub const NO_DRAFT_DEG: f64 = 0.05;

/// What is wanted of a pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PullOptions {
    /// Draft that every wall ought to have.
    pub wanted_draft_deg: f64,
    /// Along which direction, if it is not to be searched; any length but zero.
    pub along: Option<Vector>,
}

/// Draft that every wall ought to have, unless told.
pub const WANTED_DRAFT_DEG: f64 = 3.0;

impl Default for PullOptions {
    fn default() -> Self {
        Self { wanted_draft_deg: WANTED_DRAFT_DEG, along: None }
    }
}

/// How a mould comes off a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// Unit direction in which the mould is drawn off.
    pub direction: Vector,
    /// The direction was given, not searched.
    pub given: bool,
    /// Draft that all but [`LEFT_OUT_SHARE`] of the area has at least; negative where something locks.
    pub least_draft_deg: f64,
    /// How far that may be off for all that the mesh tells.
    pub draft_error: DraftError,
    /// Nothing locks along the direction, but for what cannot be told from the tessellation.
    pub releases: bool,
    /// Area left out of the least draft, of facets with less.
    pub left_out_m2: f64,
    /// Draft that was wanted.
    pub wanted_draft_deg: f64,
    /// What holds, by area.
    pub undercut: Undercut,
    /// What cannot be seen looking against the pull, undercuts included.
    pub hidden_m2: f64,
    /// What locks, largest first; patches that may be noise are marked.
    pub undercuts: Vec<Patch>,
    /// Facets that block one another whichever way one pulls, at most four; empty if some direction releases.
    pub blocking: Vec<Blocker>,
}

/// A facet that blocks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blocker {
    /// Its middle.
    pub at_mm: Point,
    /// Its outward normal.
    pub unit_normal: Vector,
}

/// How a mould comes off a face. Nothing for a face without area, or if the given direction has no length.
///
/// Time grows with the number of facets; a million take well under a second on two cores.
#[must_use]
pub fn pull(face: &Face<'_>, options: &PullOptions) -> Option<Pull> {
    pull_seen(face, &Rays::through(face.mesh()), options)
}

/// As [`pull`], with rays through the same face.
fn pull_seen(face: &Face<'_>, rays: &Rays<'_>, options: &PullOptions) -> Option<Pull> {
    let facing = face.facing();
    if facing.is_empty() {
        return None;
    }
    let (direction, blocking) = match options.along {
        Some(along) if along.norm() > 0.0 && along.iter().all(|x| x.is_finite()) => (along.normalize(), Vec::new()),
        Some(_) => return None,
        None => searched(face, &facing)?,
    };
    let least_sine = facing.trimmed_sine(&direction, LEFT_OUT_SHARE);
    let undercuts = undercuts(face, &direction);
    let none = sin(rad_from_deg(NO_DRAFT_DEG));
    let left_out_mm2: f64 = (0..facing.len())
        .filter(|&number| facing.normals[number].dot(&direction) < least_sine)
        .map(|number| facing.weights_mm2[number])
        .sum();
    Some(Pull {
        direction,
        given: options.along.is_some(),
        least_draft_deg: deg_from_rad(asin_clamped(least_sine)),
        draft_error: draft_error(face, &facing, &direction),
        releases: least_sine >= -none || undercuts.iter().all(|patch| patch.noise),
        left_out_m2: m2_from_mm2(left_out_mm2),
        wanted_draft_deg: options.wanted_draft_deg,
        undercut: undercut(face, &direction, options.wanted_draft_deg),
        hidden_m2: hidden_m2(face, rays, &direction),
        undercuts,
        blocking,
    })
}

/// The best direction by draft; where none releases, the one of least undercut, with the facets that block one another.
fn searched(face: &Face<'_>, facing: &Facing) -> Option<(Vector, Vec<Blocker>)> {
    let best = best(facing)?;
    if best.least_sine >= -sin(rad_from_deg(NO_DRAFT_DEG)) {
        return Some((best.direction, Vec::new()));
    }
    // Facets that stray no further than the tessellation's own error block nothing; fewer of them elsewhere are no better.
    if undercuts(face, &best.direction).iter().all(|patch| patch.noise) {
        return Some((best.direction, Vec::new()));
    }
    let least = least_undercut(face)?;
    let blocker =
        |&facet: &FaceId| Blocker { at_mm: face.mesh().middle(facet), unit_normal: face.facet_normals[facet as usize] };
    let blocking = match cone(facing) {
        Some(Cone::Blocked(faces)) if !least.only_noise => faces.iter().map(blocker).collect(),
        _ => Vec::new(),
    };
    Some((least.direction, blocking))
}
