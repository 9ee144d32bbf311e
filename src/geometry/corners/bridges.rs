//! Joins pieces of one fillet over facets that cut across it. Coarse exports of curved and of running-out fillets hold such
//! facets: no section can be cut there, and the line is broken for two widths and more, often close to a rim.

use super::ground::Ground;
use super::joins;
use super::paths::{End, Path};
use super::section::Section;
use super::walk;
use crate::geometry::mesh::{FaceId, Vector};

/// Gaps of this many widths are bridged. What parts two fillets for longer is no bad facet.
const GAP: std::ops::Range<f64> = 0.0..2.6;
/// The ends lie off each other's line by this many widths at most.
const ACROSS: f64 = 0.35;
/// Both ends point along the gap (cosine): two fillets that meet at a corner do not.
const AHEAD_COS: f64 = 0.9;
/// The ends' own directions are taken over this many widths.
const DIRECTION_OVER: f64 = 0.4;
/// Turns at both ends agree within this share.
const TURN: f64 = 0.12;
/// Radii at both ends agree within this factor ...
const RADIUS: f64 = 1.2;
/// ... or, if the radius runs out and one piece is a scrap, within this one.
const SCRAP_RADIUS: f64 = 1.7;
/// A piece up to this many widths long is a scrap.
const SCRAP_WIDTHS: f64 = 2.5;
/// Facets on the way have their normals within this (cosine) of the ends': the walls of a notch do not.
const SURFACE_COS: f64 = 0.75;

/// One end of a path.
struct Tip<'p> {
    path: usize,
    end: usize,
    spot: &'p Section,
    outward: Vector,
    length_mm: f64,
}

/// Joins paths, the nearest ends first, until no gap can be bridged.
pub fn lay(ground: &Ground, mut paths: Vec<Path>) -> Vec<Path> {
    loop {
        let pairs = pairs(ground, &paths);
        if pairs.is_empty() {
            return paths;
        }
        // Each path takes part once a round, so that a joined path is judged anew by its own figures.
        let mut slots: Vec<Option<Path>> = paths.into_iter().map(Some).collect();
        let mut busy = vec![false; slots.len()];
        for (_, [one, other]) in pairs {
            if busy[one.0] || busy[other.0] {
                continue;
            }
            (busy[one.0], busy[other.0]) = (true, true);
            if let (Some(first), Some(second)) = (slots[one.0].take(), slots[other.0].take()) {
                slots[one.0] = Some(joins::joined(first, one.1, second, other.1));
            }
        }
        paths = slots.into_iter().flatten().collect();
    }
}

/// Ends whose gap can be bridged, least gap first: gap in widths, path and end of both, the earlier path first.
fn pairs(ground: &Ground, paths: &[Path]) -> Vec<(f64, [(usize, usize); 2])> {
    let mut tips: Vec<Tip> = paths.iter().enumerate().flat_map(|(number, path)| tips_of(number, path)).collect();
    tips.sort_by(|a, b| a.spot.middle.at.x.total_cmp(&b.spot.middle.at.x));
    let widest_mm = tips.iter().map(|tip| tip.spot.width_mm).fold(0.0, f64::max);
    let mut pairs = Vec::new();
    for (one, a) in tips.iter().enumerate() {
        let reach_mm = GAP.end * 0.5 * (a.spot.width_mm + widest_mm);
        for b in &tips[one + 1..] {
            if b.spot.middle.at.x - a.spot.middle.at.x > reach_mm {
                break;
            }
            if let Some(gap) = gap(a, b)
                && surface_goes_on(ground, a, b)
            {
                let ends = [(a.path, a.end), (b.path, b.end)];
                pairs.push((gap, if a.path < b.path { ends } else { [ends[1], ends[0]] }));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    pairs
}

/// The ends of an open path that are no rims.
fn tips_of(number: usize, path: &Path) -> impl Iterator<Item = Tip<'_>> {
    let length_mm = path.length_mm();
    (0..2).filter(|&end| !path.closed && path.ends[end] != End::Edge).map(move |end| {
        let spot = if end == 0 { &path.spots[0] } else { &path.spots[path.spots.len() - 1] };
        Tip { path: number, end, spot, outward: path.outward(end, DIRECTION_OVER * spot.width_mm), length_mm }
    })
}

/// The gap between two ends in widths, if they continue each other.
fn gap(a: &Tip, b: &Tip) -> Option<f64> {
    if a.path == b.path || a.spot.sense != b.spot.sense {
        return None;
    }
    let width = 0.5 * (a.spot.width_mm + b.spot.width_mm);
    let gap = b.spot.middle.at - a.spot.middle.at;
    let (to_b, to_a) = (gap.dot(&a.outward), -gap.dot(&b.outward));
    let across = (gap - a.outward * to_b).norm().min((gap + b.outward * to_a).norm());
    let (along, length) = (to_b.min(to_a), gap.norm());
    let on_line = GAP.contains(&(along / width)) && across < ACROSS * width && along > AHEAD_COS * length;
    let ratio = a.spot.radius_mm / b.spot.radius_mm;
    let is_scrap = a.length_mm.min(b.length_mm) < SCRAP_WIDTHS * width;
    let factor = if is_scrap { SCRAP_RADIUS } else { RADIUS };
    let alike = (a.spot.turn - b.spot.turn).abs() < TURN * a.spot.turn.max(b.spot.turn)
        && (1.0 / factor..factor).contains(&ratio);
    (on_line && alike).then_some(length / width)
}

/// True if a straight walk from one end arrives at the other without leaving the way the surface faces.
fn surface_goes_on(ground: &Ground, a: &Tip, b: &Tip) -> bool {
    let normals = [a, b].map(|tip| ground.normals[tip.spot.middle.face as usize]);
    let mut visit = |face: FaceId| {
        ground.is_needle(face) || normals.iter().any(|normal| ground.normals[face as usize].dot(normal) > SURFACE_COS)
    };
    let gap = b.spot.middle.at - a.spot.middle.at;
    let Some(arrival) = walk::straight(ground, a.spot.middle, gap, gap.norm(), &mut visit) else { return false };
    arrival.stop.is_none()
        && (arrival.place.at - b.spot.middle.at).norm() < ACROSS * (a.spot.width_mm + b.spot.width_mm)
}
