//! Where to split so that every piece releases.
//!
//! Many planes are ranked on gathered normals; the best are moved to where they do best, cut exactly, and each piece is
//! pulled as a piece of its own. What is told of a proposal is what its pieces really do.

mod pairs;
mod planes;
mod sides;
mod sight;
mod slabs;

use rayon::prelude::*;

use super::facing::Face;
use super::{Pull, PullOptions, pull_seen};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::rays::Rays;
use crate::geometry::split::{Piece, Plane, cut};
use crate::geometry::stitch::Surface;
use crate::maths::{asin_clamped, sin};
use crate::units::{deg_from_rad, rad_from_deg};

use planes::{Ground, LARGE_FACE};

/// Planes that are moved to where they do best.
const N_MOVED: usize = 5;
/// A plane's draft is known so well before its pieces are judged.
const ROUGHLY_DEG: f64 = 0.5;
/// Drafts within this are alike, in degrees; then the axis decides, then the shorter cut.
const ALIKE_DEG: f64 = 0.1;

/// What is wanted of a search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitSearch {
    /// How many planes at most, 1 or 2.
    pub n_planes: usize,
    /// Draft that every wall ought to have; more is no better.
    pub wanted_draft_deg: f64,
    /// Least draft with which a proposal is enough, so that no more planes are looked for; -90 if coming off is.
    pub enough_deg: f64,
    /// Least draft with which a proposal is worth telling; -90 if any is. Planes that promise less are not judged.
    pub least_deg: f64,
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
    /// Part of it stands before another along the pull, though nothing leans against it.
    pub stands_before_itself: bool,
    /// Length of the cuts along it and how far each turns, for its flange.
    pub cuts: Vec<(f64, f64)>,
}

/// What a search found.
#[derive(Debug, Clone, Default)]
pub struct Found {
    /// Proposals, best first.
    pub proposals: Vec<Proposal>,
    /// First planes that were tried with a second, of how many; none if one plane is enough or was asked for.
    pub pairs_begun: Option<(usize, usize)>,
}

/// Searches planes so that every piece releases, best first. `marked` planes are tried before all others.
///
/// Time grows with the number of facets; of a large mesh fewer first planes are tried with a second.
#[must_use]
pub fn propose(face: &Face<'_>, marked: &[(String, Plane)], search: &SplitSearch) -> Found {
    let ground = Ground::of([face]);
    let any = search.least_deg <= -90.0;
    let least = if any { f64::NEG_INFINITY } else { sin(rad_from_deg(search.least_deg - ROUGHLY_DEG)) };
    // What comes off already is not worth the search over the whole sphere.
    let ranked = if any { ground.ranked() } else { ground.ranked_of_own(least) };
    let mut found: Vec<Proposal> = marked
        .par_iter()
        .filter_map(|(name, plane)| proposal(face, vec![(Some(name.clone()), *plane)], search))
        .collect();
    let best = &ranked[..ranked.len().min(N_MOVED)];
    let mut moved: Vec<(Plane, f64)> = best.par_iter().map(|tried| ground.moved(tried)).collect();
    moved.retain(|(_, sine)| *sine >= least);
    let judged = |(plane, _): &(Plane, f64)| proposal(face, vec![(None, *plane)], search);
    // Of a large mesh, on which cutting and pulling take seconds, and for more draft alone, the last planes only if not enough
    // of the first do.
    let by_turns = face.areas_mm2.len() > LARGE_FACE || !any;
    let n_first = if by_turns { roughly_first(face, &mut moved, search) } else { moved.len() };
    found.par_extend(moved[..n_first].par_iter().filter_map(judged));
    if found.iter().filter(|proposal| proposal.releases).count() < search.most {
        found.par_extend(moved[n_first..].par_iter().filter_map(judged));
    }
    let mut pairs_begun = None;
    if search.n_planes > 1 && !found.iter().any(|proposal| search.is_enough(proposal)) {
        let firsts = pairs::firsts(&ground, face, &best_first(found.clone(), N_MOVED, search), marked, &ranked);
        let (double, n_begun) = pairs::doubles(face, &firsts, search);
        found.extend(double);
        pairs_begun = Some((n_begun, firsts.len()));
    }
    found.retain(|proposal| proposal.least_draft_deg >= search.least_deg);
    Found { proposals: best_first(found, search.most, search), pairs_begun }
}

/// Puts planes in the order in which they will most likely stand once judged, and says how many of them are wanted.
fn roughly_first(face: &Face<'_>, moved: &mut Vec<(Plane, f64)>, search: &SplitSearch) -> usize {
    let order = |&(plane, sine): &(Plane, f64)| {
        let draft_deg = deg_from_rad(asin_clamped(sine)).min(search.wanted_draft_deg);
        let rank = (-(draft_deg / ROUGHLY_DEG).round() as i64, !is_axial(&plane));
        (rank, planes::cut_length_mm(face, &plane), (plane, sine))
    };
    let mut ordered: Vec<_> = moved.par_iter().map(order).collect();
    ordered.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    *moved = ordered.into_iter().map(|(.., own)| own).collect();
    search.most.min(moved.len())
}

fn is_axial(plane: &Plane) -> bool {
    plane.unit_normal.abs().max() > 1.0 - 1e-12
}

impl SplitSearch {
    fn is_enough(&self, proposal: &Proposal) -> bool {
        proposal.releases && proposal.least_draft_deg >= self.enough_deg
    }
}

/// Cuts and pulls each piece. Nothing if the planes cut nothing.
fn proposal(face: &Face<'_>, planes: Vec<(Option<String>, Plane)>, search: &SplitSearch) -> Option<Proposal> {
    let named: Vec<(String, Plane)> =
        planes.iter().enumerate().map(|(number, (_, plane))| (format!("{number}"), *plane)).collect();
    let split = cut(face.surface, &named);
    if split.pieces.len() < 2 || split.pieces.iter().all(|piece| piece.cuts.is_empty()) {
        return None;
    }
    let options = PullOptions { wanted_draft_deg: search.wanted_draft_deg, along: None };
    let pieces: Option<Vec<ProposedPiece>> =
        split.pieces.par_iter().map(|piece| pulled(piece, face, &options)).collect();
    let pieces = pieces?;
    // Each cut is listed by both of its pieces.
    let cut_length_mm = 0.5 * split.pieces.iter().flat_map(|piece| &piece.cuts).map(|cut| cut.length_mm).sum::<f64>();
    Some(Proposal {
        planes,
        least_draft_deg: pieces.iter().map(|piece| piece.pull.least_draft_deg).fold(90.0, f64::min),
        releases: pieces.iter().all(ProposedPiece::comes_off),
        cut_length_mm,
        lines_mm: lines_once(&split.pieces),
        pieces,
    })
}

/// The lines of all cuts, each once: both pieces of a cut list it, each from a start of its own and its own way round.
fn lines_once(pieces: &[Piece]) -> Vec<Vec<Point>> {
    // Lengths and middles of one cut agree to rounding; two cuts that agree in both to this would lie on one another.
    const ALIKE_MM: f64 = 1e-3;
    let middle = |line: &[Point]| line.iter().map(|point| point.coords).sum::<Vector>() / line.len().max(1) as f64;
    let mut once: Vec<(f64, Vector, Vec<Point>)> = Vec::new();
    for line in pieces.iter().flat_map(|piece| &piece.cuts).flat_map(|cut| &cut.lines) {
        // A closed line repeats its first point, which one there is.
        let open = if line.polyline_mm.first() == line.polyline_mm.last() {
            line.polyline_mm.get(1..).unwrap_or_default()
        } else {
            &line.polyline_mm
        };
        let (length_mm, middle) = (line.length_mm, middle(open));
        let known = |(length, at, _): &(f64, Vector, Vec<Point>)| {
            (length - length_mm).abs() < ALIKE_MM && (at - middle).norm() < ALIKE_MM
        };
        if !once.iter().any(known) {
            once.push((length_mm, middle, line.polyline_mm.clone()));
        }
    }
    once.into_iter().map(|(_, _, line)| line).collect()
}

fn pulled(piece: &Piece, whole: &Face<'_>, options: &PullOptions) -> Option<ProposedPiece> {
    let surface = Surface::stitched(piece.mesh());
    let face = Face::part(&surface, whole, piece.source_faces());
    let rays = Rays::through(face.mesh());
    let pull = pull_seen(&face, &rays, options)?;
    let stands_before_itself = pull.releases && sight::stands_before_itself(&face, &rays, &pull.direction);
    let cuts = piece.cuts.iter().flat_map(|cut| &cut.lines).map(|line| (line.length_mm, line.turning_rad)).collect();
    Some(ProposedPiece { name: piece.name.clone(), area_m2: piece.area_m2(), pull, stands_before_itself, cuts })
}

/// Those that release first, then those with draft enough, of these fewer planes; then by draft up to the wanted; of drafts that
/// are alike, marked planes, axes, shorter cuts.
fn best_first(mut proposals: Vec<Proposal>, most: usize, search: &SplitSearch) -> Vec<Proposal> {
    let axial = |proposal: &Proposal| proposal.planes.iter().all(|(_, plane)| is_axial(plane));
    let marked = |proposal: &Proposal| proposal.planes.iter().any(|(name, _)| name.is_some());
    let rank = |proposal: &Proposal| {
        let steps = (proposal.least_draft_deg.min(search.wanted_draft_deg) / ALIKE_DEG).round() as i64;
        let (enough, n_planes) = (search.is_enough(proposal), proposal.planes.len());
        let at_first = if enough { n_planes } else { 0 };
        (!proposal.releases, !enough, at_first, -steps, n_planes, !marked(proposal), !axial(proposal))
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
    let pairs = one.planes.iter().zip(&other.planes);
    one.planes.len() == other.planes.len() && pairs.into_iter().all(|((_, a), (_, b))| same_plane(a, b))
}

fn same_plane(a: &Plane, b: &Plane) -> bool {
    const SAW_MM: f64 = 0.5;
    a.unit_normal.dot(&b.unit_normal).abs() > 1.0 - 1e-9 && (a.point_mm - b.point_mm).dot(&a.unit_normal).abs() < SAW_MM
}

impl ProposedPiece {
    /// Nothing of it locks, and nothing of it stands before itself.
    #[must_use]
    pub const fn comes_off(&self) -> bool {
        self.pull.releases && !self.stands_before_itself
    }
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
