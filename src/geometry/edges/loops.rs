//! The border of a piece, loop by loop.

use super::super::mesh::{Mesh, Point, PointId, Vector};
use super::super::refine::Joints;
use super::super::refine::nearest::nearest_on_segment;
use super::super::split::{CRACK_GAP_MM, Piece};
use super::super::topology::{Across, HalfEdge};
use super::chain::{Chain, chains};
use super::fill::{Fill, fill};
use super::flange::length_mm;

/// What a loop is taken for. An assumption: it is told, and the job may say otherwise.
///
/// The longest loop of a piece is its outer edge. Of every other, the facets along it say: where the piece lies round the
/// loop like a plate round its hole, it is an opening; where it comes up to the loop as a wall or a tube does, an open end;
/// where it lies within the loop like a second outer edge (the flange of a funnel), an outer edge too. If the longest loop
/// is itself the end of a wall, and another such loop is at least half as long, the piece is a tube or a funnel, and the
/// longest is an open end as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LoopRole {
    /// The piece ends here.
    OuterEdge,
    /// A hole in the skin: a door, a wheel arch.
    Opening,
    /// End of a tube or a neck.
    OpenEnd,
}

/// A part of a loop between places where a split begins or ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Number of the plane that cut it, in the list that the part was split by; nothing for a free edge.
    pub split: Option<usize>,
    /// From end to end, in the direction of the loop.
    pub polyline_mm: Vec<Point>,
    /// Length; a jump across a crack counts nothing.
    pub length_mm: f64,
}

/// One loop of the border of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLoop {
    /// Its line; the first point is repeated at the end if it is closed.
    pub polyline_mm: Vec<Point>,
    /// It meets itself. On meshes whose cracks are too wide to be closed it may not.
    pub closed: bool,
    /// Its length.
    pub length_mm: f64,
    /// Its parts, in order: along which split, or free. One part if it is all alike.
    pub stretches: Vec<Stretch>,
    /// What it is taken for.
    pub role: LoopRole,
    /// How the piece meets the loop, -1 as a plate its outer edge, 0 as a wall its end, 1 as a plate a hole in it.
    pub openness: f64,
    /// The surface that closes it.
    pub fill: Fill,
}

impl EdgeLoop {
    /// Whether the piece ends here, and nothing is laid across.
    #[must_use]
    pub fn is_outer(&self) -> bool {
        self.role != LoopRole::Opening
    }

    /// Distance from a point, for jobs that name a loop by a point near it.
    #[must_use]
    pub fn distance_mm(&self, point: &Point) -> f64 {
        self.nearest_point(point).map_or(f64::INFINITY, |nearest| (point - nearest).norm())
    }

    /// The point of the loop nearest to a point; nothing for a loop without a line.
    #[must_use]
    pub fn nearest_point(&self, point: &Point) -> Option<Point> {
        let on_chords = self.polyline_mm.windows(2).map(|pair| nearest_on_segment(point, pair[0], pair[1]));
        on_chords.min_by(|a, b| (point - a).norm_squared().total_cmp(&(point - b).norm_squared()))
    }
}

/// Between an outer edge, an open end and an opening: the piece meets the loop at 60 degrees to its plane.
const OPENING_FROM: f64 = 0.5;
/// A second open end at least this share as long as the first makes a tube of the piece. Smaller: a short neck on a deep
/// tray turns its rim into an open end; larger: a funnel's mouth is taken for an outer edge.
const TUBE_LEAST_RATIO: f64 = 0.5;

/// The loops of a piece: first the outer edges, then the others, each longest first.
#[must_use]
pub fn loops(piece: &Piece) -> Vec<EdgeLoop> {
    let mesh = piece.mesh();
    let joints = piece.refined.joints();
    let free = free_stretches(mesh, &joints);
    let ends: Vec<[Point; 2]> = free.iter().map(|stretch| stretch.ends_mm).collect();
    let starts = Starts::of(mesh, &free);
    let next = |link: usize| starts.after(mesh, &joints, &free, link);
    let has_cracks = !piece.refined.seams().is_empty();
    let mut found: Vec<EdgeLoop> = chains(&ends, next, CRACK_GAP_MM)
        .iter()
        .map(|chain| loop_of(chain, &free, piece))
        // Where a crack is not closed to its very end, what is left is no border.
        .filter(|border| !has_cracks || border.length_mm > 2.0 * CRACK_GAP_MM)
        .collect();
    found.sort_by(|a, b| b.length_mm.total_cmp(&a.length_mm));
    settle_roles(&mut found);
    found.sort_by_key(|border| border.role != LoopRole::OuterEdge);
    found
}

/// A stretch of the border along one side of a facet.
struct Free {
    half: HalfEdge,
    ends_mm: [Point; 2],
    is_whole: bool,
}

/// What of every open side meets nothing, in order of the sides.
fn free_stretches(mesh: &Mesh, joints: &Joints) -> Vec<Free> {
    let open = joints.topology.half_edges().filter(|&half| joints.topology.across(half) == Across::Open);
    open.flat_map(|half| free_on(mesh, joints, half)).collect()
}

fn free_on(mesh: &Mesh, joints: &Joints, half: HalfEdge) -> Vec<Free> {
    let [a, b] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
    let mut spans = Vec::new();
    let mut from = 0.0;
    let mut is_met = false;
    for meeting in joints.meetings(mesh, half) {
        is_met = true;
        if meeting.span[0] > from {
            spans.push([from, meeting.span[0]]);
        }
        from = meeting.span[1].max(from);
    }
    if from < 1.0 {
        spans.push([from, 1.0]);
    }
    let at = |t: f64| {
        if t == 0.0 {
            a
        } else if t == 1.0 {
            b
        } else {
            a + (b - a) * t
        }
    };
    let length = (b - a).norm();
    // A crack closed but for less than its own width is closed.
    let counts = |span: &[f64; 2]| !is_met || (span[1] - span[0]) * length > CRACK_GAP_MM;
    let free = |span: [f64; 2]| Free { half, ends_mm: span.map(at), is_whole: !is_met };
    spans.into_iter().filter(counts).map(free).collect()
}

/// Stretches that are whole sides, by the point at which they start.
struct Starts(Vec<(PointId, usize)>);

impl Starts {
    fn of(mesh: &Mesh, free: &[Free]) -> Self {
        let whole = free.iter().enumerate().filter(|(_, stretch)| stretch.is_whole);
        let mut starts: Vec<_> = whole.map(|(link, stretch)| (stretch.half.ends(mesh)[0], link)).collect();
        starts.sort_unstable();
        Self(starts)
    }

    /// The stretch that follows another. Where the border touches itself in a point, it goes on across the empty side, so
    /// that two holes that touch stay two.
    fn after(&self, mesh: &Mesh, joints: &Joints, free: &[Free], link: usize) -> Option<usize> {
        if !free[link].is_whole {
            return None;
        }
        let point = free[link].half.ends(mesh)[1];
        let from = self.0.partition_point(|&(start, _)| start < point);
        let to = self.0.partition_point(|&(start, _)| start <= point);
        let through_facets = || {
            let half = next_free(joints, free[link].half)?;
            free.binary_search_by_key(&half, |stretch| stretch.half).ok()
        };
        match self.0[from..to] {
            [] => None,
            [(_, next)] => Some(next),
            [(_, one), (_, other)] => Some(if through_facets() == Some(one) { other } else { one }),
            _ => through_facets(),
        }
    }
}

/// The open side that follows an open side round the point at its end, through the facets that meet there.
fn next_free(joints: &Joints, half: HalfEdge) -> Option<HalfEdge> {
    let mut here = following(half);
    // A point has few facets; a fault in the mesh must not keep us here.
    for _ in 0..10_000 {
        match joints.topology.across(here) {
            Across::Open => return Some(here),
            Across::Facet(other) => here = following(other),
            Across::Branch => return None,
        }
    }
    None
}

/// The next side of the same facet.
fn following(half: HalfEdge) -> HalfEdge {
    HalfEdge::new(half.face(), (half.side() as u32 + 1) % 3)
}

fn loop_of(chain: &Chain, free: &[Free], piece: &Piece) -> EdgeLoop {
    let mut links: Vec<&Free> = chain.links.iter().map(|&link| &free[link]).collect();
    let split_of = |link: &Free| {
        let from = piece.cut_sides.partition_point(|&(half, _)| half < link.half);
        piece.cut_sides.get(from).filter(|&&(half, _)| half == link.half).map(|&(_, split)| split)
    };
    if chain.closed {
        begin_at_a_change(&mut links, split_of);
    }
    let stretches: Vec<Stretch> =
        links.chunk_by(|a, b| split_of(a) == split_of(b)).map(|run| stretch_of(run, split_of(run[0]))).collect();
    let mut polyline_mm = line_through(&links);
    if chain.closed && polyline_mm.first() != polyline_mm.last() {
        polyline_mm.push(polyline_mm[0]);
    }
    let fill = fill(&polyline_mm);
    EdgeLoop {
        openness: openness(&links, piece.mesh(), &fill.normal),
        polyline_mm,
        closed: chain.closed,
        length_mm: stretches.iter().map(|stretch| stretch.length_mm).sum(),
        stretches,
        role: LoopRole::OuterEdge,
        fill,
    }
}

/// Turns a closed loop so that no stretch runs through its beginning.
fn begin_at_a_change(links: &mut [&Free], split_of: impl Fn(&Free) -> Option<usize>) {
    let n = links.len();
    if let Some(first) = (1..n).find(|&k| split_of(links[k]) != split_of(links[k - 1])) {
        links.rotate_left(first);
    }
}

fn stretch_of(links: &[&Free], split: Option<usize>) -> Stretch {
    let length_mm = links.iter().map(|link| length_mm(&link.ends_mm)).sum();
    Stretch { split, polyline_mm: line_through(links), length_mm }
}

fn line_through(links: &[&Free]) -> Vec<Point> {
    let mut line: Vec<Point> = Vec::with_capacity(links.len() + 1);
    for link in links {
        if line.last() != Some(&link.ends_mm[0]) {
            line.push(link.ends_mm[0]);
        }
        line.push(link.ends_mm[1]);
    }
    line
}

/// The loop runs anticlockwise about its normal with the piece on its left, seen from the piece's outward side. If that is
/// the normal's own side, the piece lies within the loop; if it is the opposite, round it.
fn openness(links: &[&Free], mesh: &Mesh, normal: &Vector) -> f64 {
    let mut length = 0.0;
    let mut sum = 0.0;
    for link in links {
        let share = length_mm(&link.ends_mm);
        length += share;
        sum -= share * mesh.normal(link.half.face()).dot(normal);
    }
    if length > 0.0 { sum / length } else { 0.0 }
}

/// Loops come longest first.
fn settle_roles(loops: &mut [EdgeLoop]) {
    let Some((first, others)) = loops.split_first_mut() else { return };
    let is_end = |border: &EdgeLoop| border.openness.abs() < OPENING_FROM;
    for border in others.iter_mut() {
        border.role = if is_end(border) {
            LoopRole::OpenEnd
        } else if border.openness > 0.0 {
            LoopRole::Opening
        } else {
            LoopRole::OuterEdge
        };
    }
    let long_enough = |border: &EdgeLoop| border.length_mm >= TUBE_LEAST_RATIO * first.length_mm;
    let is_tube = is_end(first) && others.iter().any(|border| is_end(border) && long_enough(border));
    first.role = if is_tube { LoopRole::OpenEnd } else { LoopRole::OuterEdge };
}
