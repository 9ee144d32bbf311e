//! Follows a corner from section to section along its middle, both ways from a seed.

use super::paths::{End, Path, Registry, SAMPLE_SHARE, Sample};
use super::section::{self, Outcome, Scratch, Section, Start, Terrain};
use super::seeds::LEAST_PURE;
use super::walk::{self, Arrival};
use crate::geometry::mesh::{Point, Vector};
use crate::maths::ln;
use crate::watch::Watch;

/// First step and the step that variable fillets are followed by, in widths.
const STEP: f64 = 0.25;
/// The longest step, in widths.
const LONGEST_STEP: f64 = 8.0;
/// The step doubles while radius and turn agree within this.
const AGREES: f64 = 0.015;
/// ... and the axis turns less than this in one step (cosine of 0.2 rad): chords of a curved path stay within 0.2 %.
const STRAIGHT_COS: f64 = 0.98;
/// Steps in units of [`STEP`] by which bad triangles are bridged. None: false items and splits. Beyond one width: what a
/// real notch parts is joined.
const BRIDGES: [f64; 4] = [1.5, 2.0, 2.75, 3.5];
/// ... and over facets that cut across the bend, which coarse exports of tight curved fillets hold. Their normal stays within
/// this (cosine) of the middle's, where that of a notch's walls does not.
const FAR_BRIDGES: [f64; 4] = [5.0, 8.0, 12.0, 16.0];
const CHORD_COS: f64 = 0.75;
/// Radius and turn beyond such facets agree within this share.
const SAME_BEYOND: f64 = 0.06;
/// The end of a corner is looked for down to this share of the width.
const FINEST: f64 = 0.004;
/// Change of radius (logarithm) that is carried on to the end of a path without a section there.
const MOST_CARRIED: f64 = 0.1;
/// Towards a cone's tip width and step shrink without end.
const NARROWEST: f64 = 0.05;
/// Spots of one path at most.
const MOST_SPOTS: usize = 200_000;

/// Traces every seed that does not lie on what was traced before.
pub fn all(terrain: Terrain, seeds: &[Section], watch: &dyn Watch) -> Vec<Path> {
    let mut tracer = Tracer { terrain, registry: Registry::default(), scratch: Scratch::default(), number: 0 };
    let mut paths: Vec<Path> = Vec::new();
    for (done, seed) in seeds.iter().enumerate() {
        if done % 256 == 0 {
            watch.progress("corners", done, seeds.len());
            if watch.cancelled() {
                break;
            }
        }
        if tracer.is_traced(seed) {
            continue;
        }
        tracer.number = paths.len() as u32;
        let path = tracer.trace(seed);
        tracer.registry.enter(tracer.number, &path);
        if path.spots.len() > 1 {
            paths.push(path);
        }
    }
    paths
}

struct Tracer<'g, 's> {
    terrain: Terrain<'g, 's>,
    registry: Registry,
    scratch: Scratch,
    number: u32,
}

/// What a step came to.
enum Step {
    /// A section that continues the corner.
    To(Section),
    /// An open edge or a crease, after this walk.
    Edge(Arrival),
    /// Nothing that continues it.
    Lost,
}

impl Tracer<'_, '_> {
    /// True if a seed lies on a path already traced.
    fn is_traced(&self, seed: &Section) -> bool {
        let step_mm = STEP * seed.width_mm;
        let within_mm = (0.8 * seed.width_mm).max(1.7 * seed.radius_mm);
        self.registry.near(seed.middle.at, seed.radius_mm, seed.sense, within_mm).any(|(_, sample)| {
            let (along, across) = offset(&sample.axis, sample.at, seed.middle.at);
            ratio(sample.radius_mm, seed.radius_mm) < 2.0
                && sample.axis.dot(&seed.axis).abs() > 0.6
                && along < 1.2 * step_mm.max(0.5 * SAMPLE_SHARE * sample.width_mm) + 0.15 * seed.width_mm
                && across < 0.5 * sample.width_mm + 0.1 * seed.width_mm
        })
    }

    /// Follows a seed both ways.
    fn trace(&mut self, seed: &Section) -> Path {
        let mut back = *seed;
        back.axis = -seed.axis;
        let (mut spots, first_end, closed) = self.follow(&back, seed, seed);
        spots.reverse();
        // Every axis points from the first spot to the last.
        spots.iter_mut().for_each(|spot| spot.axis = -spot.axis);
        spots.push(*seed);
        if closed {
            return Path { spots, closed, ends: [End::Met; 2] };
        }
        // The second way must know the first, on which it may come in from behind.
        let first = Path { spots, closed: false, ends: [first_end; 2] };
        self.registry.enter(self.number, &first);
        let (ahead, last_end, closed) = self.follow(seed, seed, &first.spots[0]);
        let mut spots = first.spots;
        spots.extend(ahead);
        Path { spots, closed, ends: [first_end, last_end] }
    }

    /// Follows a corner one way; `far_end` is where the other way ended. Returns the spots after the first, why it ended, and whether it came back to the seed.
    fn follow(&mut self, from: &Section, seed: &Section, far_end: &Section) -> (Vec<Section>, End, bool) {
        let mut spots: Vec<Section> = Vec::new();
        let (mut here, mut walked_mm) = (*from, 0.0);
        let mut step_mm = STEP * here.width_mm;
        while spots.len() < MOST_SPOTS {
            if here.width_mm < NARROWEST * seed.width_mm {
                return (spots, End::Fades, false);
            }
            let next = match self.advance(&here, &mut step_mm) {
                Advance::To(next) => next,
                Advance::End(at, end) => {
                    let before = if spots.len() > 1 { &spots[spots.len() - 2] } else { from };
                    let at = at.map(|at| carried_on(before, &here, at));
                    spots.extend(at);
                    return (spots, end, false);
                }
            };
            let run = next.middle.at - here.middle.at;
            if walked_mm > 1.5 * seed.width_mm && passes(&here, &run, seed) {
                return (spots, End::Met, true);
            }
            if let Some((number, met)) = self.meets(&here, &next, walked_mm) {
                let gap_mm = (met.middle.at - far_end.middle.at).norm();
                let closed = number == self.number && walked_mm > 1.5 * seed.width_mm && gap_mm < met.width_mm;
                spots.push(met);
                return (spots, End::Met, closed);
            }
            walked_mm += run.norm();
            spots.push(next);
            here = next;
        }
        (spots, End::Fades, false)
    }

    /// One step on from a section: as long as the corner stays the same, shorter where it does not.
    fn advance(&mut self, here: &Section, step_mm: &mut f64) -> Advance {
        let base_mm = STEP * here.width_mm;
        while *step_mm > 1.5 * base_mm {
            match self.stride(here, *step_mm) {
                Step::To(next) => {
                    if agrees(here, &next) {
                        *step_mm = (2.0 * *step_mm).min(LONGEST_STEP * here.width_mm);
                        return Advance::To(next);
                    }
                }
                Step::Edge(arrival) if arrival.walked_mm > 2.0 * base_mm => {
                    // One more section close to the edge; what is left is walked straight on.
                    *step_mm = arrival.walked_mm - base_mm;
                    if let Step::To(next) = self.stride(here, *step_mm)
                        && agrees(here, &next)
                    {
                        *step_mm = base_mm;
                        return Advance::To(next);
                    }
                }
                Step::Edge(_) | Step::Lost => {}
            }
            *step_mm = (0.5 * *step_mm).max(base_mm);
        }
        *step_mm = step_mm.min(base_mm);
        self.short_step(here, step_mm, base_mm)
    }

    /// A step of the usual length or shorter; bridges a bad spot; or finds the end.
    fn short_step(&mut self, here: &Section, step_mm: &mut f64, base_mm: f64) -> Advance {
        match self.stride(here, *step_mm) {
            Step::To(next) => {
                let may_grow = *step_mm < base_mm || agrees(here, &next);
                if may_grow {
                    *step_mm *= 2.0;
                }
                return Advance::To(next);
            }
            Step::Edge(arrival) => return Advance::End(Some(moved(here, &arrival)), End::Edge),
            Step::Lost => {}
        }
        if *step_mm >= base_mm {
            for bridge in BRIDGES {
                match self.stride(here, bridge * base_mm) {
                    Step::To(next) => return Advance::To(next),
                    Step::Edge(arrival) if self.bends_up_to(here, arrival.walked_mm) => {
                        return Advance::End(Some(moved(here, &arrival)), End::Edge);
                    }
                    Step::Edge(_) | Step::Lost => {}
                }
            }
            if let Some(arrival) = self.edge_ahead(here) {
                return Advance::End(Some(moved(here, &arrival)), End::Edge);
            }
            if let Some(next) = self.over_bad_facets(here, base_mm) {
                return Advance::To(next);
            }
        }
        *step_mm *= 0.5;
        while *step_mm > FINEST * here.width_mm {
            match self.stride(here, *step_mm) {
                Step::To(next) => return Advance::To(next),
                Step::Edge(arrival) => return Advance::End(Some(moved(here, &arrival)), End::Edge),
                Step::Lost => *step_mm *= 0.5,
            }
        }
        Advance::End(None, End::Fades)
    }

    /// Walks straight on by a step and cuts a section there.
    fn stride(&mut self, here: &Section, step_mm: f64) -> Step {
        let ground = self.terrain.ground;
        let is_long = step_mm > 4.0 * STEP * here.width_mm;
        let terrain = self.terrain;
        let mut visit = |face| !is_long || bends_alike(terrain, here, face);
        let Some(arrival) = walk::straight(ground, here.middle, here.axis, step_mm, &mut visit) else {
            return Step::Lost;
        };
        if arrival.stop.is_some() {
            return Step::Edge(arrival);
        }
        let kappa = Some(1.0 / here.radius_mm);
        let start = Start { place: arrival.place, axis: arrival.heading, sense: here.sense, kappa };
        match section::cut(self.terrain, &mut self.scratch, start) {
            Outcome::Bend(mut next) => {
                if next.axis.dot(&arrival.heading) < 0.0 {
                    next.axis = -next.axis;
                }
                if continues(here, &next, step_mm) { Step::To(next) } else { Step::Lost }
            }
            Outcome::Round | Outcome::Nothing => Step::Lost,
        }
    }

    /// The same corner beyond facets that cut across it: the way there never leaves the middle's direction.
    fn over_bad_facets(&mut self, here: &Section, base_mm: f64) -> Option<Section> {
        let ground = self.terrain.ground;
        let normal = ground.normals[here.middle.face as usize];
        FAR_BRIDGES.iter().find_map(|bridge| {
            let mut visit =
                |face: u32| ground.is_needle(face) || ground.normals[face as usize].dot(&normal) > CHORD_COS;
            let arrival = walk::straight(ground, here.middle, here.axis, bridge * base_mm, &mut visit)?;
            if arrival.stop.is_some() {
                return None;
            }
            let kappa = Some(1.0 / here.radius_mm);
            let start = Start { place: arrival.place, axis: arrival.heading, sense: here.sense, kappa };
            let Outcome::Bend(mut next) = section::cut(self.terrain, &mut self.scratch, start) else { return None };
            if next.axis.dot(&arrival.heading) < 0.0 {
                next.axis = -next.axis;
            }
            let same = ln(next.radius_mm / here.radius_mm).abs() < SAME_BEYOND
                && (next.turn - here.turn).abs() < SAME_BEYOND * here.turn
                && (next.middle.at - arrival.place.at).norm() < 0.3 * here.width_mm;
            (same && continues(here, &next, bridge * base_mm)).then_some(next)
        })
    }

    /// The edge that a straight walk meets within 1.2 widths over facets that all bend like the corner.
    fn edge_ahead(&self, here: &Section) -> Option<Arrival> {
        let terrain = self.terrain;
        let mut visit = |face| bends_alike(terrain, here, face);
        let arrival = walk::straight(terrain.ground, here.middle, here.axis, 1.2 * here.width_mm, &mut visit)?;
        arrival.stop.is_some().then_some(arrival)
    }

    /// True if every facet straight ahead bends like the corner, for a length.
    fn bends_up_to(&self, here: &Section, length_mm: f64) -> bool {
        let terrain = self.terrain;
        let mut visit = |face| bends_alike(terrain, here, face);
        walk::straight(terrain.ground, here.middle, here.axis, length_mm, &mut visit).is_some()
    }

    /// The first place on the way between two sections where a path traced before runs.
    fn meets(&self, here: &Section, next: &Section, walked_mm: f64) -> Option<(u32, Section)> {
        let run_mm = (next.middle.at - here.middle.at).norm();
        let spacing_mm = SAMPLE_SHARE * next.width_mm;
        let steps = (run_mm / spacing_mm).ceil().max(1.0) as usize;
        let window_mm = 0.6 * run_mm.min(spacing_mm) + 0.02 * next.width_mm;
        for step in 1..=steps {
            let share = step as f64 / steps as f64;
            let probe = Sample::between(here, next, share);
            let found =
                self.registry.near(probe.at, probe.radius_mm, probe.sense, window_mm).find(|(number, sample)| {
                    let (along, across) = offset(&sample.axis, sample.at, probe.at);
                    let is_own_start = *number == self.number && walked_mm + share * run_mm < 1.5 * next.width_mm;
                    !is_own_start
                        && along < window_mm
                        && across < 0.2 * probe.width_mm
                        && ratio(sample.radius_mm, probe.radius_mm) < 1.2
                        && sample.axis.dot(&probe.axis).abs() > 0.6
                });
            if let Some((number, _)) = found {
                let mut met = *next;
                met.middle.at = probe.at;
                return Some((number, met));
            }
        }
        None
    }
}

enum Advance {
    To(Section),
    End(Option<Section>, End),
}

/// Distance along and across an axis from one point to another.
fn offset(axis: &Vector, from: Point, to: Point) -> (f64, f64) {
    let gap = to - from;
    let along = gap.dot(axis);
    (along.abs(), (gap - axis * along).norm())
}

/// The greater over the lesser.
fn ratio(a: f64, b: f64) -> f64 {
    if a > b { a / b } else { b / a }
}

/// The radius of a running-out fillet carried on to its end, at the rate at which it changed before.
fn carried_on(before: &Section, here: &Section, end: Section) -> Section {
    let (behind, ahead) = ((here.middle.at - before.middle.at).norm(), (end.middle.at - here.middle.at).norm());
    if behind < 0.05 * here.width_mm {
        return end;
    }
    let change = ln(here.radius_mm / before.radius_mm) * ahead / behind;
    let factor = crate::maths::exp(change.clamp(-MOST_CARRIED, MOST_CARRIED));
    Section { radius_mm: end.radius_mm * factor, width_mm: end.width_mm * factor, ..end }
}

/// The section carried on to where a walk arrived.
fn moved(here: &Section, arrival: &Arrival) -> Section {
    Section { middle: arrival.place, axis: arrival.heading, ..*here }
}

/// True if a step passes the seed in its own direction: the corner is closed.
fn passes(here: &Section, run: &Vector, seed: &Section) -> bool {
    let length = run.norm();
    let to_seed = seed.middle.at - here.middle.at;
    let along = (to_seed.dot(run) / (length * length)).clamp(0.0, 1.0);
    (to_seed - run * along).norm() < 0.3 * seed.width_mm && (run.dot(&seed.axis) / length).abs() > 0.5
}

/// True if a facet bends in the corner's sense, about its axis, and is part of no ball.
fn bends_alike(terrain: Terrain, here: &Section, face: u32) -> bool {
    let fields = terrain.fields;
    if terrain.ground.is_needle(face) {
        return true;
    }
    let Some(slot) = fields.slot(face) else { return false };
    !fields.ball[slot] && here.sense * fields.principal[slot].kappa1 > 0.3 / here.radius_mm
}

/// True if a section continues the corner.
fn continues(here: &Section, next: &Section, step_mm: f64) -> bool {
    let run = next.middle.at - here.middle.at;
    let length = run.norm();
    let steps = step_mm / (STEP * here.width_mm);
    let radius_change = ln(next.radius_mm / here.radius_mm).abs();
    next.pure >= LEAST_PURE
        && radius_change < 0.12 + 0.03 * steps.min(4.0)
        && (next.turn - here.turn).abs() < (0.1 * here.turn).max(0.06)
        && run.dot(&here.axis) >= 0.35 * length
        && length <= 2.5 * step_mm
        && length > 0.0
        && next.axis.dot(&here.axis) > 0.6
}

/// True if two sections are so alike that the way between them needs no more.
fn agrees(here: &Section, next: &Section) -> bool {
    let run = next.middle.at - here.middle.at;
    ln(next.radius_mm / here.radius_mm).abs() < AGREES
        && (next.turn - here.turn).abs() < AGREES * here.turn.max(1.0)
        && next.axis.dot(&here.axis) > STRAIGHT_COS
        && run.dot(&here.axis) > STRAIGHT_COS * run.norm()
}
