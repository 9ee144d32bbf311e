//! Two planes: a first one, and a second that frees whatever the first leaves locked.
//!
//! What one plane has freed stays free when another cuts it, so the second has to free only the pieces that lock.

use rayon::prelude::*;

use super::planes::{Ground, Tried, plane, quick};
use super::{ALIKE_DEG, Proposal, SplitSearch, proposal};
use crate::geometry::pull::LEFT_OUT_SHARE;
use crate::geometry::pull::facing::Face;
use crate::geometry::split::{Piece, Plane, cut};
use crate::geometry::stitch::Surface;
use crate::maths::{asin_clamped, sin};
use crate::units::{deg_from_rad, rad_from_deg};

/// First planes of each kind: the best by themselves, and those that free most of one side.
const N_BEST: usize = 4;
const N_FREEING: usize = 8;
/// Normals, the axes first, along which a plane through the middle and one at each quarter are tried as first planes.
const N_MIDDLES: usize = 6;
/// First planes tried times facets, which bounds the time. A mesh of 10,000 facets has every one tried, one of a million the
/// least.
const MOST_FACETS: usize = 3_000_000;
const LEAST_FIRSTS: usize = 3;
/// Second planes that are cut exactly for each first.
const N_SECONDS: usize = 3;

/// A first plane, with the name that it was marked with, if it was.
pub type First = (Option<String>, Plane);

/// Planes to begin with, in the order in which they are tried.
pub fn firsts(
    ground: &Ground<'_>,
    face: &Face<'_>,
    best: &[Proposal],
    marked: &[(String, Plane)],
    ranked: &[Tried],
) -> Vec<First> {
    let mut firsts: Vec<First> = marked.iter().map(|(name, plane)| (Some(name.clone()), *plane)).collect();
    let bounds = face.mesh().bounds();
    let normals = ground.normals();
    let at_share = |share: f64| {
        let own = normals.iter().take(N_MIDDLES).filter_map(move |normal| {
            bounds?;
            let along = face.mesh().points_mm.iter().map(|point| point.coords.dot(normal));
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
            Some((None, plane(normal, low + share * (high - low))))
        });
        own.collect::<Vec<First>>()
    };
    firsts.extend(freeing(ranked).into_iter().filter_map(|tried| Some((None, ground.pushed(&tried)?))));
    firsts.extend(at_share(0.5));
    firsts.extend(best.iter().take(N_BEST).flat_map(|proposal| proposal.planes.iter().cloned()));
    firsts.extend([0.25, 0.75].into_iter().flat_map(at_share));
    let mut kept: Vec<First> = Vec::new();
    for first in firsts {
        if !kept.iter().any(|other| super::same_plane(&other.1, &first.1)) {
            kept.push(first);
        }
    }
    kept
}

/// Planes that free one side, the largest side first, one of each normal.
fn freeing(ranked: &[Tried]) -> Vec<Tried> {
    let mut freeing: Vec<Tried> = ranked.iter().filter(|tried| tried.frees.is_some()).copied().collect();
    let area = |tried: &Tried| tried.frees.map_or(0.0, |(area_mm2, _)| area_mm2);
    freeing.sort_by(|a, b| area(b).total_cmp(&area(a)));
    let mut kept: Vec<Tried> = Vec::new();
    for tried in freeing {
        if kept.len() < N_FREEING && !kept.iter().any(|other| other.normal == tried.normal) {
            kept.push(tried);
        }
    }
    kept
}

/// Pairs that are pulled piece by piece, so many at a time until one is enough, and at most: a pull takes many times as
/// long as the rough draft by which they are put in order.
const N_PULLED_AT_ONCE: usize = 8;
const MOST_PULLED: usize = 24;

/// A pair of planes, with the least draft of its pieces, roughly, and the length that it cuts.
struct Pair {
    planes: Vec<First>,
    least_sine: f64,
    cut_length_mm: f64,
}

/// Each first plane with the best second ones, and how many first planes were tried: all, but of a large mesh.
pub fn doubles(whole: &Face<'_>, firsts: &[First], search: &SplitSearch) -> (Vec<Proposal>, usize) {
    let n_facets = whole.mesh().faces.len();
    let n_begun = (MOST_FACETS / n_facets.max(1)).max(LEAST_FIRSTS).min(firsts.len());
    let tried: Vec<Vec<Pair>> = firsts[..n_begun].par_iter().map(|first| seconds(whole, first, search)).collect();
    let mut pairs: Vec<Pair> = tried.into_iter().flatten().collect();
    let steps = |pair: &Pair| {
        let draft_deg = deg_from_rad(asin_clamped(pair.least_sine));
        (draft_deg.min(search.wanted_draft_deg) / ALIKE_DEG).round() as i64
    };
    pairs.sort_by(|a, b| steps(b).cmp(&steps(a)).then(a.cut_length_mm.total_cmp(&b.cut_length_mm)));
    pairs.truncate(MOST_PULLED);
    let mut pulled: Vec<Proposal> = Vec::new();
    for some in pairs.chunks(N_PULLED_AT_ONCE) {
        pulled.par_extend(some.par_iter().filter_map(|pair| proposal(whole, pair.planes.clone(), search)));
        if pulled.iter().any(|proposal| search.is_enough(proposal)) {
            break;
        }
    }
    (pulled, n_begun)
}

/// The best second planes after a first, searched on the pieces that have less draft than is enough.
fn seconds(whole: &Face<'_>, first: &First, search: &SplitSearch) -> Vec<Pair> {
    let split = cut(whole.surface, &[("first".to_owned(), first.1)]);
    let surfaces = stitched(&split.pieces);
    let faces = faces(whole, &split.pieces, &surfaces);
    let enough = sin(rad_from_deg(search.enough_deg.max(-super::super::NO_DRAFT_DEG)));
    let short = faces.iter().filter(|face| least_sine(face) < enough);
    let ground = Ground::of(short);
    let ranked = ground.ranked();
    let planes = ranked.iter().take(N_SECONDS).map(|tried| vec![first.clone(), (None, ground.moved(tried).0)]);
    planes.filter_map(|planes| pair(whole, planes)).collect()
}

/// Cuts by both planes and looks at the pieces roughly. Nothing if either cuts nothing.
fn pair(whole: &Face<'_>, planes: Vec<First>) -> Option<Pair> {
    let named: Vec<(String, Plane)> =
        planes.iter().enumerate().map(|(number, (_, plane))| (format!("{number}"), *plane)).collect();
    let split = cut(whole.surface, &named);
    if split.missed.len() == planes.len() {
        return None;
    }
    let surfaces = stitched(&split.pieces);
    let faces = faces(whole, &split.pieces, &surfaces);
    let cuts = split.pieces.iter().flat_map(|piece| &piece.cuts);
    Some(Pair {
        least_sine: faces.iter().map(least_sine).fold(1.0, f64::min),
        // Each cut is listed by both of its pieces.
        cut_length_mm: 0.5 * cuts.map(|cut| cut.length_mm).sum::<f64>(),
        planes,
    })
}

fn stitched(pieces: &[Piece]) -> Vec<Surface<'_>> {
    pieces.iter().map(|piece| Surface::stitched(piece.mesh())).collect()
}

fn faces<'a>(whole: &Face<'_>, pieces: &[Piece], surfaces: &'a [Surface<'a>]) -> Vec<Face<'a>> {
    pieces.iter().zip(surfaces).map(|(piece, surface)| Face::part(surface, whole, piece.source_faces())).collect()
}

/// Sine of the least draft of a piece, roughly.
fn least_sine(face: &Face<'_>) -> f64 {
    let facing = face.facing();
    quick(&facing, &facing.mean_normal(), LEFT_OUT_SHARE)
}
