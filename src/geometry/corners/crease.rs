//! Creases: edges without a radius, told from the strips of coarse fillets and of coarse wide bends.

use rayon::prelude::*;

use super::ground::{Crease, Ground, Hinge};
use super::walk::CutWalk;
use crate::geometry::mesh::{FaceId, Point};
use crate::geometry::topology::HalfEdge;
use crate::maths::{sin, tan};

/// Below this an edge is never a crease; the listing's own least turn can be as low as 10 degrees, less a margin.
const LEAST_TURN: f64 = 9.0_f64.to_radians();
/// From here on an edge that looks smooth to neither side blocks the walks that measure fillets. Nearer to 20, the 45
/// degree kinks of two-strip fillets and odd edges of irregular ones block them.
const HARD_TURN: f64 = 45.0_f64.to_radians();
/// From here on an edge is a crease whatever lies beside it: eight strips to the circle are the coarsest in use, and no
/// tolerance that leaves fewer says anything about a radius.
const CERTAIN_TURN: f64 = 52.0_f64.to_radians();
/// From here on a lone pair of equal edges is a chamfer with two sharp edges. Kernels cut strips of up to 0.5 rad; below
/// this a pair may be a fillet cut as one strip.
const CHAMFER_TURN: f64 = 30.0_f64.to_radians();
/// Two of a chamfer's edges are alike within this factor.
const PAIR_FACTOR: f64 = 1.45;
/// Below this, like turns at like distances to both sides make an edge one of the facets of a coarse wide bend.
const WIDE_BEND_TURN: f64 = 35.0_f64.to_radians();
/// Reach to each side within which folds cancel, in mm: the coarsest usual export tolerance halved.
const FOLD_REACH_MM: f64 = 0.5;
/// Share of the edge's own turn that the net turn over the reach must keep; less is a fold of slivers.
const FOLD_SHARE: f64 = 0.5;
/// Share of the edge's turn at which the kinks met on the way out are weighed.
const MET_SHARE: f64 = 0.35;
/// The most of the edge's turn that they may amount to then and still be its like.
const LIKE_SHARE: f64 = 2.8;
/// Distances of the like turns to both sides differ by no more than this on a coarse wide bend.
const LIKE_DISTANCE: f64 = 2.5;
/// Chords up to this many times the widest fillet's are its strips.
const STRIP_SLACK: f64 = 1.2;
/// Height of arc over chord beyond which a facet is no strip of a bend but a face of its own, in mm. Exports keep to 1 mm, by
/// angle alone to some 1.2 mm on the largest corners; at 5 mm the faces of a chamfered block are strips.
const STRIP_RISE_MM: f64 = 2.5;
/// A coarse strip's neighbour turns at one edge or a few. What takes more kinks than this to turn as far is a curved wall.
const MOST_KINKS: usize = 4;
/// Kinks under this are none, in radians.
const LEAST_KINK: f64 = 1e-3;
/// Facets that a look to one side crosses at most.
const MOST_FACETS: usize = 40;

/// What a look to one side of an edge met.
#[derive(Debug, Clone, Copy)]
enum Met {
    /// Turns of the edge's own size and sense after this distance in mm. `lone`: about as large as the edge itself, with
    /// nothing of the kind beyond.
    Like { distance_mm: f64, lone: bool },
    /// Turns unlike it, or nothing as far as was looked.
    Unlike,
    /// An open edge after this distance in mm, with next to no turn before it.
    Rim(f64),
}

/// Finds what every meeting is, by its number.
#[must_use]
pub fn find(ground: &Ground, detection_radius_mm: f64) -> Vec<Crease> {
    let found: Vec<(Hinge, HalfEdge)> = (0..ground.surface.mesh.faces.len() as FaceId)
        .into_par_iter()
        .flat_map_iter(|face| (0..3).map(move |side| HalfEdge::new(face, side)))
        .flat_map_iter(|half| candidates(ground, half).map(move |hinge| (hinge, half)))
        .collect();
    let judged: Vec<Crease> =
        found.par_iter().map(|(hinge, half)| judge(ground, *half, hinge, detection_radius_mm)).collect();
    let mut creases = vec![Crease::None; ground.surface.n_meeting_ids()];
    for ((hinge, half), crease) in found.iter().zip(judged) {
        creases[hinge.id.0 as usize] = crease;
        for (id, back) in ground.surface.numbered_meetings(hinge.meeting.other) {
            if back.other == *half && back.span == hinge.meeting.other_span {
                creases[id.0 as usize] = crease;
            }
        }
    }
    creases
}

/// Meetings of a side that turn enough, each seen from the side of lower number.
fn candidates<'g>(ground: &'g Ground, half: HalfEdge) -> impl Iterator<Item = Hinge> + use<'g> {
    let area = |face: FaceId| ground.areas_mm2[face as usize] > 0.0;
    ground.hinges(half).filter(move |hinge| {
        half < hinge.meeting.other
            && hinge.turn.abs() >= LEAST_TURN
            && area(half.face())
            && area(hinge.meeting.other.face())
    })
}

/// Tells whether an edge is a crease.
fn judge(ground: &Ground, half: HalfEdge, hinge: &Hinge, detection_radius_mm: f64) -> Crease {
    let Some(net) = net_turn(ground, half, hinge, 0.5) else { return Crease::None };
    if net * hinge.turn <= 0.0 || net.abs() < FOLD_SHARE * hinge.turn.abs() {
        return Crease::None;
    }
    if hinge.turn.abs() >= CERTAIN_TURN {
        return Crease::Hard;
    }
    let smooth = [0.5, 0.25, 0.75].iter().any(|&share| is_strip_edge(ground, half, hinge, share, detection_radius_mm));
    match (smooth, hinge.turn.abs() >= HARD_TURN) {
        (true, _) => Crease::None,
        (false, true) => Crease::Hard,
        (false, false) => Crease::Soft,
    }
}

/// Two walks square to an edge, away from each other, from a share of its stretch.
fn walks(ground: &Ground, half: HalfEdge, hinge: &Hinge, share: f64) -> [Option<CutWalk>; 2] {
    let start = |half: HalfEdge, span: [f64; 2], share: f64| {
        let [from, to] = ground.side_ends(half);
        let on_edge = on_stretch(ground, half, span, share);
        // A little inside, so that the plane is sure to cut the facet and the walk leads away from the edge.
        let inside = on_edge + (ground.centroid(half.face()) - on_edge) * 1e-3;
        let across = (to - from).normalize();
        // Walking towards normal x across leads inwards, since a facet's sides run anticlockwise.
        CutWalk::start(ground, half.face(), inside, across, 1.0).map(CutWalk::over_creases)
    };
    [start(half, hinge.meeting.span, share), start(hinge.meeting.other, hinge.meeting.other_span, 1.0 - share)]
}

/// Where a stretch of a side is, at a share of it.
fn on_stretch(ground: &Ground, half: HalfEdge, span: [f64; 2], share: f64) -> Point {
    let [from, to] = ground.side_ends(half);
    from + (to - from) * (span[0] + share * (span[1] - span[0]))
}

/// Turn over the edge and what lies within the fold reach to both sides.
fn net_turn(ground: &Ground, half: HalfEdge, hinge: &Hinge, share: f64) -> Option<f64> {
    let mut net = hinge.turn;
    let from = on_stretch(ground, half, hinge.meeting.span, share);
    for mut walk in walks(ground, half, hinge, share).into_iter().flatten() {
        let mut way = (walk.at() - from).norm();
        for _ in 0..MOST_FACETS {
            if way > FOLD_REACH_MM {
                break;
            }
            let Ok(stride) = walk.stride(ground) else { break };
            net += stride.kink;
            way += stride.chord_mm();
        }
    }
    net.is_finite().then_some(net)
}

/// True if what lies to both sides says that the edge is one of the edges of a fillet, a chamfer or a wide bend.
fn is_strip_edge(ground: &Ground, half: HalfEdge, hinge: &Hinge, share: f64, detection_radius_mm: f64) -> bool {
    let turn = hinge.turn.abs();
    let from = on_stretch(ground, half, hinge.meeting.span, share);
    let [one, other] = walks(ground, half, hinge, share).map(|walk| match walk {
        Some(walk) => look_out(ground, walk, from, hinge.turn),
        None => Met::Unlike,
    });
    let strip_mm =
        (STRIP_SLACK * detection_radius_mm * 2.0 * sin(0.5 * turn)).min(2.0 * STRIP_RISE_MM / tan(0.25 * turn));
    let is_strip = |met: Met| match met {
        Met::Like { distance_mm, lone } => distance_mm <= strip_mm && !(lone && turn >= CHAMFER_TURN),
        Met::Unlike | Met::Rim(_) => false,
    };
    if is_strip(one) || is_strip(other) {
        return true;
    }
    let alike = |a: f64, b: f64| a <= LIKE_DISTANCE * b && b <= LIKE_DISTANCE * a;
    turn < WIDE_BEND_TURN
        && match (one, other) {
            // At the rim of a coarse wide bend one facet is the last: it is as wide as the others or narrower.
            (Met::Like { distance_mm: a, .. }, Met::Like { distance_mm: b, .. }) => alike(a, b),
            (Met::Like { distance_mm: a, .. }, Met::Rim(b)) | (Met::Rim(b), Met::Like { distance_mm: a, .. }) => {
                b <= LIKE_DISTANCE * a
            }
            _ => false,
        }
}

/// Follows a walk until the kinks amount to a share of the edge's turn.
fn look_out(ground: &Ground, mut walk: CutWalk, from: Point, turn: f64) -> Met {
    let (mut sum, mut way, mut n_kinks) = (0.0, (walk.at() - from).norm(), 0);
    for _ in 0..MOST_FACETS {
        let Ok(stride) = walk.stride(ground) else { return Met::Rim(way) };
        sum += stride.kink;
        n_kinks += usize::from(stride.kink.abs() > LEAST_KINK);
        if n_kinks > MOST_KINKS {
            return Met::Unlike;
        }
        if sum.abs() >= MET_SHARE * turn.abs() {
            let share = sum / turn;
            if !(MET_SHARE..=LIKE_SHARE).contains(&share) {
                return Met::Unlike;
            }
            let lone = (1.0 / PAIR_FACTOR..=PAIR_FACTOR).contains(&share) && ends_after(ground, walk, turn, 3.0 * way);
            return Met::Like { distance_mm: way, lone };
        }
        way += stride.chord_mm();
    }
    Met::Unlike
}

/// True if nothing more of an edge's kind follows within a distance.
fn ends_after(ground: &Ground, mut walk: CutWalk, turn: f64, within_mm: f64) -> bool {
    let (mut sum, mut way, mut at) = (0.0f64, 0.0, walk.at());
    for _ in 0..MOST_FACETS {
        // The facet that the walk stands on comes before the next kink.
        let Ok(stride) = walk.stride(ground) else { return true };
        way += (stride.from - at).norm().min(stride.chord_mm());
        at = stride.to;
        way += stride.chord_mm();
        sum += stride.kink;
        if (sum / turn).abs() >= MET_SHARE {
            return sum / turn < 0.0;
        }
        if way > within_mm {
            return true;
        }
    }
    true
}
