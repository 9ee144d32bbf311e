//! Cuts the sides along cracks until they meet one to one, so that a crack is an edge like any other.

use std::collections::BTreeMap;

use super::super::mesh::PointId;
use super::super::stitch::Meeting;
use super::super::topology::HalfEdge;
use super::carve::Carved;

/// Ends of stretches nearer together than this share of a side are one place: stitching leaves out stretches that are
/// shorter. Larger: real short facets along a crack lose their neighbour; smaller: holes remain between stretches.
const SAME_PLACE: f64 = 0.03;

/// Cuts sides at the ends of the stretches along which they meet, and joins them one to one.
pub(super) fn sew(carved: &mut Carved, seams: &[(HalfEdge, Meeting)]) {
    if seams.is_empty() {
        return;
    }
    let places = places_of(seams);
    // Cutting a facet renumbers its sides, but not the points at their ends: parts are known by those.
    let ends: BTreeMap<HalfEdge, Ends> = places.keys().map(|&half| (half, half.ends(&carved.mesh))).collect();
    let parts: BTreeMap<HalfEdge, Vec<Part>> =
        places.iter().map(|(&half, places)| (half, cut_side(carved, ends[&half], places))).collect();
    let mut leader: Vec<PointId> = (0..carved.mesh.points_mm.len() as u32).collect();
    for (half, meeting) in seams.iter().filter(|(half, meeting)| *half < meeting.other) {
        for (span, part) in &parts[half] {
            let middle = 0.5 * (span[0] + span[1]);
            if middle <= meeting.span[0] || middle >= meeting.span[1] {
                continue;
            }
            let opposite = meeting.opposite(middle);
            let other = parts[&meeting.other].iter().find(|(span, _)| span[0] <= opposite && opposite <= span[1]);
            if let Some((_, other)) = other {
                join(carved, &mut leader, *part, *other);
            }
        }
    }
    let leader: Vec<PointId> = (0..leader.len() as u32).map(|point| root(&leader, point)).collect();
    carved.set_nodes(&leader);
}

/// The points from which to which a side runs.
type Ends = [PointId; 2];

/// A part of a side: its span of the side, and its ends.
type Part = ([f64; 2], Ends);

/// The side that runs between two points. Until nodes are set, a point is its own node.
fn side_between(carved: &Carved, ends: Ends) -> Option<HalfEdge> {
    carved.corners_at(ends[0]).find(|side| side.ends(&carved.mesh) == ends)
}

fn join(carved: &mut Carved, leader: &mut [PointId], one: Ends, other: Ends) {
    let (Some(side), Some(other_side)) = (side_between(carved, one), side_between(carved, other)) else { return };
    if side.face() == other_side.face() {
        return;
    }
    carved.join_sides(side, other_side);
    // They run against each other. Nodes that would make a facet lose an edge are kept apart.
    let ([a, b], [c, d]) = (one, other);
    if root(leader, a) != root(leader, c) && root(leader, b) != root(leader, d) {
        unite(leader, a, d);
        unite(leader, b, c);
    }
}

fn root(leader: &[PointId], mut point: PointId) -> PointId {
    while leader[point as usize] != point {
        point = leader[point as usize];
    }
    point
}

fn unite(leader: &mut [PointId], a: PointId, b: PointId) {
    let (a, b) = (root(leader, a), root(leader, b));
    leader[a.max(b) as usize] = a.min(b);
}

/// For each side along a crack, the places to cut it at, rising, with 0 and 1.
fn places_of(seams: &[(HalfEdge, Meeting)]) -> BTreeMap<HalfEdge, Vec<f64>> {
    let mut places: BTreeMap<HalfEdge, Vec<f64>> = BTreeMap::new();
    for (half, meeting) in seams {
        places.entry(*half).or_insert_with(|| vec![0.0, 1.0]).extend(meeting.span);
        places.entry(meeting.other).or_insert_with(|| vec![0.0, 1.0]).extend(meeting.other_span);
    }
    places.values_mut().for_each(settle);
    // What cuts one side within a stretch cuts the other too.
    let mut across = Vec::new();
    for (half, meeting) in seams {
        let inner = places[half].iter().filter(|&&t| t > meeting.span[0] && t < meeting.span[1]);
        across.extend(inner.map(|&t| (meeting.other, meeting.opposite(t))));
    }
    for (half, place) in across {
        if let Some(places) = places.get_mut(&half) {
            places.push(place);
        }
    }
    places.values_mut().for_each(settle);
    places
}

/// Sorts places, one of those that lie together; the ends stay.
fn settle(places: &mut Vec<f64>) {
    places.sort_by(f64::total_cmp);
    let mut kept: Vec<f64> = vec![0.0];
    for &place in places.iter() {
        if place > kept[kept.len() - 1] + SAME_PLACE && place < 1.0 - SAME_PLACE {
            kept.push(place);
        }
    }
    kept.push(1.0);
    *places = kept;
}

/// Cuts a side that lies alone; gives its parts in order.
fn cut_side(carved: &mut Carved, ends: Ends, places: &[f64]) -> Vec<Part> {
    let mut parts = Vec::with_capacity(places.len() - 1);
    let mut end = ends[1];
    let mut to = 1.0;
    for &place in places[1..places.len() - 1].iter().rev() {
        let Some(side) = side_between(carved, [ends[0], end]) else { break };
        let node = carved.split_edge(side, place / to);
        parts.push(([place, to], [node, end]));
        (end, to) = (node, place);
    }
    parts.push(([0.0, to], [ends[0], end]));
    parts.reverse();
    parts
}
