//! Pairs open sides that run along each other.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::super::mesh::{Mesh, Point, Vector};
use super::super::topology::{Across, HalfEdge, Topology};
use super::Meeting;

/// Cosine that two sides of a seam keep to at least, since they run against each other. Curved seams meshed apart turn by
/// up to a strip (0.5 rad) between neighbours; nearer to -1 their stretches are lost.
const AGAINST_COS: f64 = -0.85;
/// Largest gap in mm. Smaller: curved seams stay open and fillets end there. Larger: real slits close.
const GAP_MM: f64 = 0.5;
/// Largest gap as a share of the longer side: small features are not sewn to each other.
const GAP_SHARE: f64 = 0.35;
/// Facets whose normals are nearly opposite are the two skins of a thin wall, not a seam.
const OPPOSED_COS: f64 = -0.87;
/// Stretches under this share of the shorter side are dropped.
const LEAST_SHARE: f64 = 0.02;

/// An open side.
struct OpenSide {
    half: HalfEdge,
    start: Point,
    along: Vector,
    length: f64,
    normal: Vector,
}

/// Two sides that may meet, from `one`'s point of view.
struct Candidate {
    gap: f64,
    one: u32,
    other: u32,
    meeting: Meeting,
}

/// Meetings of open sides across cracks, sorted by side and place on it.
pub fn pair(mesh: &Mesh, topology: &Topology) -> Vec<(HalfEdge, Meeting)> {
    let sides = open_sides(mesh, topology);
    if sides.len() < 2 {
        return Vec::new();
    }
    let mut candidates = candidates(&sides);
    // The nearest first: what is left for a worse match is what no better one has taken.
    candidates.sort_by(|a, b| a.gap.total_cmp(&b.gap).then((a.one, a.other).cmp(&(b.one, b.other))));
    let mut taken: FxHashMap<u32, Vec<[f64; 2]>> = FxHashMap::default();
    let mut seams = Vec::new();
    for candidate in candidates {
        let (one, other) = (&sides[candidate.one as usize], &sides[candidate.other as usize]);
        let Some(meeting) = what_is_free(&candidate, one, other, &taken) else { continue };
        taken.entry(candidate.one).or_default().push(meeting.span);
        taken.entry(candidate.other).or_default().push(meeting.other_span);
        let back = Meeting { other: one.half, span: meeting.other_span, other_span: meeting.span };
        seams.push((one.half, meeting));
        seams.push((other.half, back));
    }
    seams.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.span[0].total_cmp(&b.1.span[0])));
    seams
}

/// The open sides that have a length and whose facet has an area.
fn open_sides(mesh: &Mesh, topology: &Topology) -> Vec<OpenSide> {
    let open: Vec<HalfEdge> = topology.open_sides();
    open.into_iter()
        .filter_map(|half| {
            let [start, end] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
            let run = end - start;
            let length = run.norm();
            let normal = mesh.normal(half.face());
            debug_assert!(topology.across(half) == Across::Open);
            (length > 0.0 && normal != Vector::zeros()).then(|| OpenSide {
                half,
                start,
                along: run / length,
                length,
                normal,
            })
        })
        .collect()
}

/// Every pair of sides that run along each other, each pair once.
fn candidates(sides: &[OpenSide]) -> Vec<Candidate> {
    let mean = sides.iter().map(|side| side.length).sum::<f64>() / sides.len() as f64;
    let cell_mm = mean.max(2.0 * GAP_MM);
    let cells: Vec<Vec<[i32; 3]>> = sides.par_iter().map(|side| cells_along(side, cell_mm)).collect();
    let mut grid: FxHashMap<[i32; 3], Vec<u32>> = FxHashMap::default();
    for (number, along) in cells.iter().enumerate() {
        for &cell in along {
            grid.entry(cell).or_default().push(number as u32);
        }
    }
    (0..sides.len() as u32)
        .into_par_iter()
        .flat_map_iter(|one| {
            let mut near: Vec<u32> = cells[one as usize]
                .iter()
                .flat_map(|&cell| neighbours(cell))
                .filter_map(|cell| grid.get(&cell))
                .flatten()
                .copied()
                .filter(|&other| other > one)
                .collect();
            near.sort_unstable();
            near.dedup();
            near.into_iter().filter_map(move |other| match_sides(sides, one, other)).collect::<Vec<_>>()
        })
        .collect()
}

/// The cells that a side passes through, sampled at half a cell's length.
fn cells_along(side: &OpenSide, cell_mm: f64) -> Vec<[i32; 3]> {
    let steps = (side.length / (0.5 * cell_mm)).ceil().max(1.0) as usize;
    let mut cells: Vec<[i32; 3]> = (0..=steps)
        .map(|step| {
            let at = side.start + side.along * (side.length * step as f64 / steps as f64);
            [at.x, at.y, at.z].map(|x| (x / cell_mm).floor() as i32)
        })
        .collect();
    cells.sort_unstable();
    cells.dedup();
    cells
}

/// A cell and the 26 around it.
fn neighbours(cell: [i32; 3]) -> impl Iterator<Item = [i32; 3]> {
    (0..27).map(move |k| {
        [cell[0].wrapping_add(k % 3 - 1), cell[1].wrapping_add(k / 3 % 3 - 1), cell[2].wrapping_add(k / 9 - 1)]
    })
}

/// How two open sides meet, if they run along each other closely enough.
fn match_sides(sides: &[OpenSide], one: u32, other: u32) -> Option<Candidate> {
    let (e, f) = (&sides[one as usize], &sides[other as usize]);
    if e.half.face() == f.half.face() || e.along.dot(&f.along) > AGAINST_COS || e.normal.dot(&f.normal) < OPPOSED_COS {
        return None;
    }
    let on_e = |point: Point| (point - e.start).dot(&e.along) / e.length;
    let (far, near) = (on_e(f.start), on_e(f.start + f.along * f.length));
    let span = [near.max(0.0), far.min(1.0)];
    let on_f = |place: f64| ((far - place) / (far - near)).clamp(0.0, 1.0);
    let overlap_mm = (span[1] - span[0]) * e.length;
    if overlap_mm <= LEAST_SHARE * e.length.min(f.length) {
        return None;
    }
    let limit_mm = GAP_MM.min(GAP_SHARE * e.length.max(f.length));
    let gap_at = |place: f64| {
        let (p, q) = (e.start + e.along * (place * e.length), f.start + f.along * (on_f(place) * f.length));
        (p - q).norm()
    };
    let gap = gap_at(span[0]).max(gap_at(span[1])).max(gap_at(0.5 * (span[0] + span[1])));
    let meeting = Meeting { other: f.half, span, other_span: [on_f(span[1]), on_f(span[0])] };
    (gap < limit_mm).then_some(Candidate { gap, one, other, meeting })
}

/// The longest part of a candidate's stretch that is not taken on either side.
fn what_is_free(
    candidate: &Candidate,
    one: &OpenSide,
    other: &OpenSide,
    taken: &FxHashMap<u32, Vec<[f64; 2]>>,
) -> Option<Meeting> {
    let meeting = &candidate.meeting;
    let back = Meeting { other: one.half, span: meeting.other_span, other_span: meeting.span };
    let none = Vec::new();
    let on_one = taken.get(&candidate.one).unwrap_or(&none).iter().copied();
    let on_other = taken.get(&candidate.other).unwrap_or(&none).iter();
    let mapped = on_other.map(|&[from, to]| [back.opposite(to), back.opposite(from)]);
    let mut blocked: Vec<[f64; 2]> = on_one.chain(mapped).collect();
    blocked.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let (mut best, mut from) = ([0.0, 0.0], meeting.span[0]);
    for [start, end] in blocked.into_iter().chain([[meeting.span[1], meeting.span[1]]]) {
        let to = start.min(meeting.span[1]);
        if to - from > best[1] - best[0] {
            best = [from, to];
        }
        from = from.max(end);
    }
    let least = LEAST_SHARE * one.length.min(other.length) / one.length;
    let other_span = [meeting.opposite(best[1]), meeting.opposite(best[0])];
    (best[1] - best[0] > least && other_span[1] > other_span[0]).then_some(Meeting {
        other: other.half,
        span: best,
        other_span,
    })
}
