//! Where to split so that every piece releases.
//!
//! Many planes are ranked on gathered normals; the best are moved to where they do best, cut exactly, and each piece is
//! pulled as a piece of its own. What is told of a proposal is what its pieces really do.

mod sides;
mod slabs;

use rayon::prelude::*;

use super::best::{best_leaving_out, spread_direction};
use super::cone::{Cone, cone};
use super::facing::{Face, Facing};
use super::{Pull, PullOptions, pull};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::split::{Piece, Plane, cut};
use crate::geometry::stitch::Surface;

use sides::Straddled;
use slabs::{Celled, Slabs};

/// Normals tried beside the axes, over half the sphere.
const N_NORMALS: usize = 30;
/// Planes tried along each normal.
const N_OFFSETS: usize = 23;
/// Share of a piece's area that may be left out of its draft while planes are ranked: facets that a plane cuts count on both
/// sides then.
const RANKED_SHARE: f64 = 2e-3;
/// A piece of a smaller share of the face is no piece.
const LEAST_PIECE: f64 = 0.02;
/// Planes that are moved to where they do best, and how far that goes.
const N_MOVED: usize = 5;
const MOVED_TO_MM: f64 = 0.01;
/// A plane moves for no less than this, in the sine of the draft; else it wanders off a place that is exact by a hair.
const BETTER_SINE: f64 = 1e-4;
/// Drafts within this are alike, in degrees; then the axis decides, then the shorter cut.
const ALIKE_DEG: f64 = 0.1;
/// First planes that are tried with a second, and first planes of which only one side releases.
const N_FIRST: usize = 4;

/// What is wanted of a search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitSearch {
    /// How many planes at most, 1 or 2.
    pub n_planes: usize,
    /// Draft that every wall ought to have.
    pub wanted_draft_deg: f64,
    /// How many proposals at most.
    pub most: usize,
}

/// Planes to split by, with what the pieces then do.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// The planes, each with the name that it was marked with, if it was.
    pub planes: Vec<(Option<String>, Plane)>,
    /// The pieces, as splitting gives them.
    pub pieces: Vec<ProposedPiece>,
    /// Least draft of any piece; negative if one locks.
    pub least_draft_deg: f64,
    /// Every piece releases.
    pub releases: bool,
    /// Length of all cuts.
    pub cut_length_mm: f64,
    /// The cuts, for pictures.
    pub lines_mm: Vec<Vec<Point>>,
}

/// One piece of a proposal.
#[derive(Debug, Clone)]
pub struct ProposedPiece {
    /// Its name, as splitting gives it.
    pub name: String,
    /// Its area.
    pub area_m2: f64,
    /// How it comes off.
    pub pull: Pull,
    /// Length of the cuts along it and how far each turns, for its flange.
    pub cuts: Vec<(f64, f64)>,
}

/// Searches planes so that every piece releases, best first. `marked` planes are tried before all others.
#[must_use]
pub fn propose(surface: &Surface<'_>, marked: &[(String, Plane)], search: &SplitSearch) -> Vec<Proposal> {
    let face = Face::of(surface);
    let ranked = ranked(&face);
    let mut single: Vec<Proposal> = marked
        .par_iter()
        .filter_map(|(name, plane)| proposal(surface, vec![(Some(name.clone()), *plane)], search))
        .collect();
    let moved: Vec<Plane> = ranked.iter().take(N_MOVED).map(|tried| moved(&face, tried)).collect();
    single.extend(moved.iter().filter_map(|plane| proposal(surface, vec![(None, *plane)], search)));
    let one_is_enough = single.iter().any(|proposal| proposal.releases);
    if search.n_planes > 1 && !one_is_enough {
        let firsts = firsts(&face, &single, &ranked);
        let double: Vec<Proposal> = firsts.iter().filter_map(|first| second(surface, first, search)).collect();
        single.extend(double);
    }
    best_first(single, search.most)
}

/// A plane that was tried.
#[derive(Debug, Clone, Copy)]
struct Tried {
    normal: Vector,
    offset_mm: f64,
    /// Distance to the next plane tried.
    step_mm: f64,
    /// How many planes lie between it and the middle one.
    off_middle: usize,
    /// Sine of the lesser of both drafts, roughly.
    score: f64,
    /// The greater of both, roughly: whether the plane frees one side at least.
    better: f64,
}

/// Normals of the planes tried: the axes first.
fn normals() -> Vec<Vector> {
    let spread =
        (0..2 * N_NORMALS).map(|number| spread_direction(number, 2 * N_NORMALS)).filter(|normal| normal.z > 0.0);
    [Vector::x(), Vector::y(), Vector::z()].into_iter().chain(spread).collect()
}

/// Every plane of the grid, best first; of equal ones the first tried.
fn ranked(face: &Face<'_>) -> Vec<Tried> {
    let celled = Celled::of(face);
    let per_normal: Vec<Vec<Tried>> = normals().par_iter().map(|normal| along(face, &celled, normal)).collect();
    let mut all: Vec<Tried> = per_normal.into_iter().flatten().collect();
    // Of planes that do the same the one nearest to the middle of its normal's range, and one of each normal before a second.
    all.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.off_middle.cmp(&b.off_middle)));
    let mut seen: Vec<(Vector, usize)> = Vec::new();
    let mut turns: Vec<(usize, Tried)> = Vec::with_capacity(all.len());
    for tried in all {
        let turn = match seen.iter_mut().find(|(normal, _)| *normal == tried.normal) {
            Some((_, turn)) => {
                *turn += 1;
                *turn
            }
            None => {
                seen.push((tried.normal, 0));
                0
            }
        };
        turns.push((turn, tried));
    }
    turns.sort_by_key(|&(turn, _)| turn);
    turns.into_iter().map(|(_, tried)| tried).collect()
}

fn along(face: &Face<'_>, celled: &Celled, normal: &Vector) -> Vec<Tried> {
    let extents = face.mesh().points_mm.iter().map(|point| point.coords.dot(normal));
    let (low, high) = extents.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    let step_mm = (high - low) / (N_OFFSETS + 1) as f64;
    if step_mm.is_nan() || step_mm <= 0.0 {
        return Vec::new();
    }
    let offsets = (1..=N_OFFSETS).map(|k| low + step_mm * k as f64).collect();
    let whole_mm2: f64 = face.areas_mm2.iter().sum();
    let slabs = Slabs::of(celled, face, normal, offsets);
    let tried = slabs.sides().into_iter().enumerate().filter_map(|(number, (offset_mm, above, below))| {
        let least_mm2 = LEAST_PIECE * whole_mm2;
        if above.whole_mm2 < least_mm2 || below.whole_mm2 < least_mm2 {
            return None;
        }
        let (one, other) = (quick(&above, normal, RANKED_SHARE), quick(&below, &-normal, RANKED_SHARE));
        Some(Tried {
            normal: *normal,
            offset_mm,
            step_mm,
            off_middle: number.abs_diff(N_OFFSETS / 2),
            score: one.min(other),
            better: one.max(other),
        })
    });
    tried.collect()
}

/// Sine of a piece's draft: along its own best direction, or straight off the plane.
fn quick(facing: &Facing, off_plane: &Vector, share: f64) -> f64 {
    let straight = facing.trimmed_sine(off_plane, share);
    let kept = facing.at_least(off_plane, straight.min(0.0));
    let own = [cone(facing), cone(&kept)].into_iter().flatten().filter_map(|cone| match cone {
        Cone::Releases(direction) => Some(facing.trimmed_sine(&direction, share)),
        Cone::Blocked(_) => None,
    });
    own.fold(straight, f64::max)
}

/// The plane moved along its normal to where the lesser draft is greatest, on facets cut exactly.
fn moved(face: &Face<'_>, tried: &Tried) -> Plane {
    let straddled = Straddled::of(face, &tried.normal, tried.offset_mm, tried.step_mm);
    let score = |offset_mm: f64| {
        let (above, below) = straddled.sides(offset_mm);
        let draft = |facing: &Facing, off_plane: &Vector| quick(facing, off_plane, super::LEFT_OUT_SHARE);
        draft(&above, &tried.normal).min(draft(&below, &-tried.normal))
    };
    let (mut best_mm, mut best, mut step_mm) = (tried.offset_mm, score(tried.offset_mm), 0.5 * tried.step_mm);
    while step_mm > MOVED_TO_MM {
        for offset_mm in [best_mm - step_mm, best_mm + step_mm] {
            let here = score(offset_mm);
            if here > best + BETTER_SINE {
                (best_mm, best) = (offset_mm, here);
            }
        }
        step_mm *= 0.5;
    }
    Plane { point_mm: Point::from(tried.normal * rounded(best_mm)), unit_normal: tried.normal }
}

/// A hundredth of a millimetre is as finely as a plane is told.
fn rounded(offset_mm: f64) -> f64 {
    (offset_mm / MOVED_TO_MM).round() * MOVED_TO_MM
}

/// Cuts and pulls each piece. Nothing if the planes cut nothing.
fn proposal(surface: &Surface<'_>, planes: Vec<(Option<String>, Plane)>, search: &SplitSearch) -> Option<Proposal> {
    let named: Vec<(String, Plane)> =
        planes.iter().enumerate().map(|(number, (_, plane))| (format!("{number}"), *plane)).collect();
    let split = cut(surface, &named);
    if split.pieces.len() < 2 || split.pieces.iter().all(|piece| piece.cuts.is_empty()) {
        return None;
    }
    let options = PullOptions { wanted_draft_deg: search.wanted_draft_deg, along: None };
    let pieces: Option<Vec<ProposedPiece>> = split.pieces.par_iter().map(|piece| pulled(piece, &options)).collect();
    let pieces = pieces?;
    // Each cut is listed by both of its pieces.
    let cut_length_mm = 0.5 * split.pieces.iter().flat_map(|piece| &piece.cuts).map(|cut| cut.length_mm).sum::<f64>();
    let lines = split.pieces.iter().flat_map(|piece| &piece.cuts).flat_map(|cut| &cut.lines);
    Some(Proposal {
        planes,
        least_draft_deg: pieces.iter().map(|piece| piece.pull.least_draft_deg).fold(90.0, f64::min),
        releases: pieces.iter().all(|piece| piece.pull.releases),
        cut_length_mm,
        lines_mm: lines.map(|line| line.polyline_mm.clone()).collect(),
        pieces,
    })
}

fn pulled(piece: &Piece, options: &PullOptions) -> Option<ProposedPiece> {
    let surface = Surface::stitched(piece.mesh());
    let pull = pull(&Face::of(&surface), options)?;
    let cuts = piece.cuts.iter().flat_map(|cut| &cut.lines).map(|line| (line.length_mm, line.turning_rad)).collect();
    Some(ProposedPiece { name: piece.name.clone(), area_m2: piece.area_m2(), pull, cuts })
}

/// Planes to begin with where one is not enough: the best so far, and those that free one side.
fn firsts(face: &Face<'_>, single: &[Proposal], ranked: &[Tried]) -> Vec<Plane> {
    let mut firsts: Vec<Plane> =
        single.iter().take(N_FIRST).flat_map(|proposal| &proposal.planes).map(|(_, plane)| *plane).collect();
    let mut freeing: Vec<&Tried> = ranked.iter().filter(|tried| tried.better >= 0.0).collect();
    freeing.sort_by(|a, b| b.better.total_cmp(&a.better));
    firsts.extend(freeing.into_iter().take(N_FIRST).map(|tried| moved(face, tried)));
    // Three planes through the middle, square to the axes, part whatever is alike on both sides.
    let middle = face.mesh().bounds().map(|bounds| bounds.centre());
    let axes = [Vector::x(), Vector::y(), Vector::z()];
    firsts.extend(middle.iter().flat_map(|middle| axes.map(|unit_normal| Plane { point_mm: *middle, unit_normal })));
    firsts
}

/// A first plane and the best second one, searched on the piece that releases worst.
fn second(surface: &Surface<'_>, first: &Plane, search: &SplitSearch) -> Option<Proposal> {
    let split = cut(surface, &[("first".to_owned(), *first)]);
    let worst = split
        .pieces
        .iter()
        .filter_map(|piece| {
            let surface = Surface::stitched(piece.mesh());
            let facing = Face::of(&surface).facing();
            Some((best_leaving_out(&facing, super::LEFT_OUT_SHARE)?.least_sine, piece))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let own = Surface::stitched(worst.1.mesh());
    let face = Face::of(&own);
    let tried = *ranked(&face).first()?;
    proposal(surface, vec![(None, *first), (None, moved(&face, &tried))], search)
}

/// Those that release first, then by draft; of drafts that are alike, marked planes, fewer planes, axes, shorter cuts.
fn best_first(mut proposals: Vec<Proposal>, most: usize) -> Vec<Proposal> {
    let axial =
        |proposal: &Proposal| proposal.planes.iter().all(|(_, plane)| plane.unit_normal.abs().max() > 1.0 - 1e-12);
    let marked = |proposal: &Proposal| proposal.planes.iter().any(|(name, _)| name.is_some());
    let rank = |proposal: &Proposal| {
        let steps = (proposal.least_draft_deg / ALIKE_DEG).round() as i64;
        (!proposal.releases, proposal.planes.len(), -steps, !marked(proposal), !axial(proposal))
    };
    proposals.sort_by(|a, b| rank(a).cmp(&rank(b)).then(a.cut_length_mm.total_cmp(&b.cut_length_mm)));
    let mut kept: Vec<Proposal> = Vec::new();
    for proposal in proposals {
        if kept.len() < most && !kept.iter().any(|other| alike(other, &proposal)) {
            kept.push(proposal);
        }
    }
    kept
}

/// The same planes, within what a saw sees.
fn alike(one: &Proposal, other: &Proposal) -> bool {
    const SAW_MM: f64 = 0.5;
    let same = |a: &Plane, b: &Plane| {
        a.unit_normal.dot(&b.unit_normal).abs() > 1.0 - 1e-9
            && (a.point_mm - b.point_mm).dot(&a.unit_normal).abs() < SAW_MM
    };
    one.planes.len() == other.planes.len() && one.planes.iter().zip(&other.planes).all(|((_, a), (_, b))| same(a, b))
}

impl Proposal {
    /// Area that flanges of a width along the cuts add to the pieces, in m2: length times width, and half the turning times
    /// its square, on either side.
    #[must_use]
    pub fn flanges_m2(&self, width_mm: f64) -> f64 {
        let one = |&(length_mm, turning_rad): &(f64, f64)| {
            (length_mm * width_mm + 0.5 * turning_rad * width_mm * width_mm).max(0.0)
        };
        crate::units::m2_from_mm2(self.pieces.iter().flat_map(|piece| &piece.cuts).map(one).sum())
    }
}

#[cfg(test)]
mod tests;
