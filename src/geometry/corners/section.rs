//! Plane sections square to a corner's axis: which facets belong to the bend, and how far it turns about what radius.

mod flank;
mod profile;

use super::fields::Fields;
use super::ground::{Crease, Ground};
use super::walk::Place;
use crate::geometry::mesh::{FaceId, Point, Vector};
use flank::{Flank, Since};
use profile::{Figures, Profile};

/// A section that turns further about is a post or a cone, even if the walk has not come back to where it began.
const ROUND_TURN: f64 = 350.0_f64.to_radians();
/// A section that turns further and is cut off by edges at both ends is a post or a cone beside its rim.
const CUT_ROUND_TURN: f64 = 150.0_f64.to_radians();
/// A section with one soft crease that has more than this share of the turn is that crease and no bend. The middle edge of a
/// fillet cut in two strips has one half.
const CREASE_SHARE: f64 = 0.65;
/// The axis is settled when it moves less than this (cosine).
const AXIS_SETTLED_COS: f64 = 0.9995;
/// The axis is given up when it moves more than this (cosine).
const AXIS_LOST_COS: f64 = 0.5;
/// If the facets beside the bend disagree with its own by more than this about the axis (cosine of 15 degrees), they decide:
/// on meshes of equal sides the facets of a wide bend can lean to one side by 45 degrees. Coarse curved walls are off by up to
/// 14 degrees themselves.
const FLANKS_DISAGREE_COS: f64 = 0.966;
/// ... if they turn by at least 25 degrees from each other (sine).
const FLANKS_SIN: f64 = 0.42;
/// Times that the axis is corrected. Never: radius, turn or length are off in a third of all files.
const AXIS_ROUNDS: usize = 2;
/// Facets of the pure share have their alignment axis within 45 degrees of the section's.
const ALIGNED_COS: f64 = 0.707;
/// A flank looks again if the curvature has changed by this factor since it found nothing more.
const LOOK_AGAIN: f64 = 1.3;
/// Facets of one section at most.
const MOST_FACETS: usize = 20_000;

/// What sections need to know of the surface.
#[derive(Clone, Copy)]
pub struct Terrain<'g, 's> {
    /// Facets, walks, creases.
    pub ground: &'g Ground<'s>,
    /// Curvature fields.
    pub fields: &'g Fields,
    /// Largest radius that counts as a corner, in mm.
    pub detection_radius_mm: f64,
}

/// A plane section of a bend.
#[derive(Debug, Clone, Copy)]
pub struct Section {
    /// Middle of the arc, on the surface.
    pub middle: Place,
    /// Unit vector along the corner.
    pub axis: Vector,
    /// +1 if convex, -1 if concave.
    pub sense: f64,
    /// Radius in mm.
    pub radius_mm: f64,
    /// Turn in radians.
    pub turn: f64,
    /// Width of the arc in mm.
    pub width_mm: f64,
    /// Share of the width that is aligned with the axis and part of no ball.
    pub pure: f64,
    /// Where the bend begins and ends, on the surface.
    pub borders: [Point; 2],
}

/// What a section found.
#[derive(Debug, Clone, Copy)]
pub enum Outcome {
    /// A bend.
    Bend(Section),
    /// It closes on itself: a post, a tube or a cone.
    Round,
    /// Nothing that bends.
    Nothing,
}

/// Facets of the last section, kept between sections so that they need no new memory.
#[derive(Default)]
pub struct Scratch {
    left: Flank,
    right: Flank,
    profile: Profile,
    /// The facets of the last section.
    pub faces: Vec<FaceId>,
}

/// How a section begins.
#[derive(Debug, Clone, Copy)]
pub struct Start {
    /// Where.
    pub place: Place,
    /// Along the corner, as far as is known.
    pub axis: Vector,
    /// +1 if convex, -1 if concave.
    pub sense: f64,
    /// Curvature that is expected, in 1/mm; the facet's own if nothing is known.
    pub kappa: Option<f64>,
}

/// Cuts a section through a place, correcting the axis.
pub fn cut(terrain: Terrain, scratch: &mut Scratch, start: Start) -> Outcome {
    let Start { place, mut axis, sense, .. } = start;
    scratch.faces.clear();
    for round in 0..=AXIS_ROUNDS {
        match walk_out(terrain, scratch, &Start { axis, ..start }) {
            Walked::Round => return Outcome::Round,
            Walked::Nothing => return Outcome::Nothing,
            Walked::Ends => {}
        }
        if round == AXIS_ROUNDS {
            break;
        }
        let mut better = common_axis(terrain, &scratch.faces, &axis, sense);
        if let Some(square) = axis_of_flanks(terrain, scratch, &axis)
            && square.dot(&better) < FLANKS_DISAGREE_COS
        {
            better = square;
        }
        let agreement = better.dot(&axis);
        if agreement < AXIS_LOST_COS {
            return Outcome::Nothing;
        }
        axis = better;
        if agreement > AXIS_SETTLED_COS {
            break;
        }
    }
    measure(terrain, scratch, place, axis, sense)
}

enum Walked {
    Ends,
    Round,
    Nothing,
}

/// Walks from a place to both sides in turn while the facets belong to the bend.
fn walk_out(terrain: Terrain, scratch: &mut Scratch, start: &Start) -> Walked {
    let Scratch { left, right, faces, .. } = scratch;
    let &Start { place, ref axis, sense, .. } = start;
    let ground = terrain.ground;
    if !left.start(ground, place, axis, -1.0) || !right.start(ground, place, axis, 1.0) {
        return Walked::Nothing;
    }
    let first_mm = (left.start - right.start).norm();
    let own_kappa = sense * terrain.fields.about(ground, place.face, axis);
    let start_kappa = start.kappa.unwrap_or(own_kappa).max(flank::LEAST_SHARE / terrain.detection_radius_mm);
    let end_kink = |flank: &mut Flank| flank.peek(ground, 0).map_or(0.0, |stride| sense * stride.kink);
    let (to_left, to_right) = (end_kink(left), end_kink(right));
    left.since = Since { last_kink: to_right, kinks: 0.0, width_mm: first_mm };
    right.since = Since { last_kink: to_left, kinks: 0.0, width_mm: first_mm };
    let mut most_kink = to_left.max(to_right).max(0.0);
    let mut lefts_go = true;
    while !(left.done && right.done) {
        let kappa = curvature(ground, left, right, first_mm, sense).unwrap_or(start_kappa);
        let kappa = kappa.clamp(0.4 * start_kappa, 2.5 * start_kappa);
        let side = if (lefts_go && !left.done) || right.done { &mut *left } else { &mut *right };
        lefts_go = !lefts_go;
        let taken = side.grow(&flank::Rule { terrain, axis: *axis, sense, kappa, start_kappa, most_kink });
        if taken == 0 {
            side.failed_at = kappa;
        }
        let new = &side.taken[side.taken.len() - taken..];
        most_kink = new.iter().map(|stride| sense * stride.kink).fold(most_kink, f64::max);
        let meets = new.iter().any(|stride| stride.face == place.face);
        if meets || sense * (left.kinks + right.kinks) > ROUND_TURN {
            gather(faces, left, right, place.face);
            return Walked::Round;
        }
        if left.taken.len() + right.taken.len() > MOST_FACETS {
            gather(faces, left, right, place.face);
            return Walked::Nothing;
        }
        // What one flank takes may change what the bend is like so much that the other has to look again.
        if taken > 0 {
            for flank in [&mut *left, &mut *right] {
                let ratio = kappa / flank.failed_at;
                if flank.done && !(1.0 / LOOK_AGAIN..=LOOK_AGAIN).contains(&ratio) {
                    flank.done = false;
                }
            }
        }
    }
    gather(faces, left, right, place.face);
    Walked::Ends
}

/// Curvature of what both flanks have taken, in the sense of the bend; nothing before the first is taken. Of the kinks at
/// the border one half belongs to what lies beyond.
fn curvature(ground: &Ground, left: &mut Flank, right: &mut Flank, first_mm: f64, sense: f64) -> Option<f64> {
    if left.taken.is_empty() && right.taken.is_empty() {
        return None;
    }
    let border: f64 = [&mut *left, &mut *right]
        .map(|flank| flank.peek(ground, 0).map_or(0.0, |stride| (sense * stride.kink).max(0.0)))
        .iter()
        .sum();
    let chords_mm = first_mm + left.chords_mm + right.chords_mm;
    (chords_mm > 0.0).then(|| (sense * (left.kinks + right.kinks) + 0.5 * border) / chords_mm)
}

/// Lists the facets of both flanks and the one between.
fn gather(faces: &mut Vec<FaceId>, left: &Flank, right: &Flank, first: FaceId) {
    faces.clear();
    faces.extend(left.taken.iter().rev().map(|stride| stride.face));
    faces.push(first);
    faces.extend(right.taken.iter().map(|stride| stride.face));
}

/// The axis about which the facets bend together.
fn common_axis(terrain: Terrain, faces: &[FaceId], axis: &Vector, sense: f64) -> Vector {
    let mut sum = super::tensor::Tensor::default();
    for slot in faces.iter().filter_map(|&face| terrain.fields.slot(face)) {
        sum.add(sense as f32, &terrain.fields.walk[slot]);
    }
    let mut better = *axis;
    for _ in 0..12 {
        let next = sum.times(&better);
        let size = next.norm();
        if size <= 0.0 {
            return *axis;
        }
        better = next / size;
    }
    if better.dot(axis) < 0.0 { -better } else { better }
}

/// The direction square to the facets beside the bend, if they turn far enough from each other to say.
fn axis_of_flanks(terrain: Terrain, scratch: &Scratch, axis: &Vector) -> Option<Vector> {
    let beside = |flank: &Flank| {
        let face = flank.ahead.front()?.face;
        (!terrain.ground.is_needle(face)).then(|| terrain.ground.normals[face as usize])
    };
    let square = beside(&scratch.left)?.cross(&beside(&scratch.right)?);
    let size = square.norm();
    if size < FLANKS_SIN {
        return None;
    }
    Some(if square.dot(axis) < 0.0 { -square / size } else { square / size })
}

/// Turns what was walked into figures.
fn measure(terrain: Terrain, scratch: &mut Scratch, place: Place, axis: Vector, sense: f64) -> Outcome {
    let Scratch { left, right, profile, .. } = scratch;
    profile.fill(left, right, sense);
    let Some(Figures { radius_mm, turn, width_mm, middle_mm, from_mm, to_mm }) =
        profile.figures(terrain.ground.sliver_mm)
    else {
        return Outcome::Nothing;
    };
    let Some(middle) = place_at(left, right, place, middle_mm, 0.03) else { return Outcome::Nothing };
    let pure = pure_share(terrain, left, right, place, &axis, [from_mm, to_mm]);
    if crease_turn(terrain, [&*left, &*right], sense) > CREASE_SHARE * turn {
        return Outcome::Nothing;
    }
    // A plane that runs out at a rim across the corner has seen only part of the bend.
    let runs_out = |flank: &Flank| flank.ahead.is_empty() && flank.stop.is_some() && !flank.stop_is_along;
    if runs_out(left) || runs_out(right) {
        return Outcome::Nothing;
    }
    let cut_off = [&*left, &*right].iter().all(|flank| flank.ahead.is_empty() && flank.stop.is_some());
    if cut_off && turn > CUT_ROUND_TURN {
        return Outcome::Round;
    }
    let borders = [from_mm, to_mm].map(|at_mm| point_at(left, right, place, at_mm));
    Outcome::Bend(Section { middle, axis, sense, radius_mm, turn, width_mm, pure, borders })
}

/// The largest turn at a soft crease inside a section or at its borders.
fn crease_turn(terrain: Terrain, flanks: [&Flank; 2], sense: f64) -> f64 {
    let strides = flanks.into_iter().flat_map(|flank| flank.taken.iter().chain(flank.ahead.front()));
    let creases = strides.filter(|stride| terrain.ground.crease(stride.entry) == Crease::Soft);
    creases.map(|stride| sense * stride.kink).fold(0.0, f64::max)
}

/// Every chord walked, from left to right: facet, ends, position of its start along the walk.
fn chords<'a>(left: &'a Flank, right: &'a Flank, place: Place) -> impl Iterator<Item = (FaceId, Point, Point)> + 'a {
    let first = (place.face, left.start, right.start);
    left.taken
        .iter()
        .rev()
        .map(|s| (s.face, s.to, s.from))
        .chain([first])
        .chain(right.taken.iter().map(|s| (s.face, s.from, s.to)))
}

/// The place at a distance along the walk, kept off the ends of its chord by a share so that it lies inside a facet.
fn place_at(left: &Flank, right: &Flank, place: Place, at_mm: f64, keep: f64) -> Option<Place> {
    let mut walked = -left.chords_mm;
    let mut last = None;
    for (face, from, to) in chords(left, right, place) {
        let chord = (to - from).norm();
        if chord > 0.0 {
            let share = (at_mm - walked) / chord;
            last = Some(Place { face, at: from + (to - from) * share.clamp(keep, 1.0 - keep) });
            if share <= 1.0 {
                break;
            }
        }
        walked += chord;
    }
    last
}

/// The point at a distance along the walk; the nearer end if the walk does not go so far.
fn point_at(left: &Flank, right: &Flank, place: Place, at_mm: f64) -> Point {
    place_at(left, right, place, at_mm, 0.0).map_or(place.at, |place| place.at)
}

/// Share of the width between two distances along the walk that is aligned with the axis and part of no ball.
fn pure_share(terrain: Terrain, left: &Flank, right: &Flank, place: Place, axis: &Vector, span: [f64; 2]) -> f64 {
    let (mut pure, mut all, mut walked) = (0.0, 0.0, -left.chords_mm);
    for (face, from, to) in chords(left, right, place) {
        let chord = (to - from).norm();
        let inside = (walked + chord).min(span[1]) - walked.max(span[0]);
        walked += chord;
        if inside <= 0.0 {
            continue;
        }
        all += inside;
        let fields = terrain.fields;
        let aligned = match fields.slot(face) {
            Some(slot) => !fields.ball[slot] && fields.aligned[slot].dot(axis).abs() > ALIGNED_COS,
            // A needle or a flat sliver inside the bend has no axis of its own and speaks neither for nor against.
            None => true,
        };
        if aligned {
            pure += inside;
        }
    }
    if all > 0.0 { pure / all } else { 0.0 }
}
