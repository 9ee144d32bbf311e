//! Figures of a section from its kinks and where they are.

use super::flank::Flank;
use crate::maths::sin;

/// Kinks under this share of the largest are no edges of strips: at the ends they are flats taken by mistake, between others
/// they are folded into their neighbours.
const LEAST_KINK_SHARE: f64 = 0.05;
/// A kink at the end is a whole strip's and not half a strip's between these shares of curvature x chord.
const WHOLE_KINK: std::ops::RangeInclusive<f64> = 0.8..=1.3;
/// Width of the strip beyond, as a share of the last chord.
const NEXT_STRIP: std::ops::RangeInclusive<f64> = 0.6..=1.6;
/// The kink at the strip's far side is cancelled if it is under this share of the end kink.
const CANCELLED_SHARE: f64 = 0.45;
/// An end kink under this share of curvature x chord is less than half a strip's: part of it is cancelled.
const PARTLY_CANCELLED: f64 = 0.4;

/// Inner kinks of a bend cut in strips are even within this factor.
const EVEN_KINKS: f64 = 1.6;

/// A kink and its distance along the walk.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Kink {
    at_mm: f64,
    turn: f64,
}

/// Figures of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Radius in mm.
    pub radius_mm: f64,
    /// Turn in radians.
    pub turn: f64,
    /// Width of the arc in mm.
    pub width_mm: f64,
    /// Distance along the walk of the point with half the turn to each side.
    pub middle_mm: f64,
    /// Distance along the walk at which the bend begins.
    pub from_mm: f64,
    /// ... and ends.
    pub to_mm: f64,
}

/// The kinks of a section.
#[derive(Debug, Default)]
pub struct Profile {
    kinks: Vec<Kink>,
    folded: Vec<Kink>,
    /// Every kink walked over or looked at, the section's own and those beyond.
    all: Vec<Kink>,
    /// True if the surface ends behind the first or the last of all kinks.
    ends: [bool; 2],
}

impl Profile {
    /// Fills in what two flanks found. Distance 0 is the left end of the facet between them.
    pub fn fill(&mut self, left: &Flank, right: &Flank, sense: f64) {
        let first_mm = (left.start - right.start).norm();
        self.kinks.clear();
        let border = |flank: &Flank| flank.ahead.front().map_or(0.0, |stride| sense * stride.kink);
        let mut at_mm = -left.chords_mm;
        self.kinks.push(Kink { at_mm, turn: border(left) });
        for stride in left.taken.iter().rev() {
            at_mm += stride.chord_mm();
            self.kinks.push(Kink { at_mm, turn: sense * stride.kink });
        }
        at_mm = first_mm;
        for stride in &right.taken {
            self.kinks.push(Kink { at_mm, turn: sense * stride.kink });
            at_mm += stride.chord_mm();
        }
        self.kinks.push(Kink { at_mm, turn: border(right) });
        self.look_beyond(left, right, sense);
    }

    /// Lists all kinks, with those that were only looked at.
    fn look_beyond(&mut self, left: &Flank, right: &Flank, sense: f64) {
        self.all.clear();
        let [from, to] = [0, self.kinks.len() - 1].map(|k| self.kinks[k].at_mm);
        // The kink behind each facet ahead; the surface's end counts as one without turn.
        let behind = |flank: &Flank| {
            let mut away = 0.0;
            let mut kinks: Vec<Kink> = Vec::with_capacity(flank.ahead.len());
            for (number, stride) in flank.ahead.iter().enumerate() {
                away += stride.chord_mm();
                match flank.ahead.get(number + 1) {
                    Some(next) => kinks.push(Kink { at_mm: away, turn: sense * next.kink }),
                    None if flank.stop.is_some() => kinks.push(Kink { at_mm: away, turn: 0.0 }),
                    None => {}
                }
            }
            kinks
        };
        self.all.extend(behind(left).iter().rev().map(|kink| Kink { at_mm: from - kink.at_mm, turn: kink.turn }));
        self.all.extend(&self.kinks);
        self.all.extend(behind(right).iter().map(|kink| Kink { at_mm: to + kink.at_mm, turn: kink.turn }));
        self.ends = [left, right].map(|flank| flank.stop.is_some() && flank.stop_is_along);
    }

    /// The figures; nothing if fewer than two kinks are left once slivers and flats are cleared away.
    pub fn figures(&mut self, sliver_mm: f64) -> Option<Figures> {
        self.merge_slivers(sliver_mm);
        self.cancel_folds();
        self.fold_lesser();
        if self.folded.len() < 2 {
            return None;
        }
        self.restore_end(1);
        // Seen from the other end.
        self.mirror();
        self.restore_end(0);
        self.mirror();
        evaluate(&self.folded)
    }

    /// Kinks closer than a needle is high belong to one edge.
    fn merge_slivers(&mut self, sliver_mm: f64) {
        let kinks = &mut self.kinks;
        let mut last = 0;
        for next in 1..kinks.len() {
            let kink = kinks[next];
            if kink.at_mm - kinks[last].at_mm < sliver_mm {
                kinks[last].turn += kink.turn;
            } else {
                last += 1;
                kinks[last] = kink;
            }
        }
        kinks.truncate(last + 1);
    }

    /// Lets kinks of the other sense cancel against their nearest neighbours: a facet that lies off the surface is bent one
    /// way at one side and back at the other. Dropped instead, they would leave the bend turning too far.
    fn cancel_folds(&mut self) {
        let kinks = &mut self.kinks;
        let most = kinks.iter().map(|kink| kink.turn).fold(0.0, f64::max);
        // The borders are left alone: what bends the other way there belongs to the next bend.
        while let Some(k) = (1..kinks.len() - 1).find(|&k| kinks[k].turn < -LEAST_KINK_SHARE * most) {
            let (before, after) = (kinks[k].at_mm - kinks[k - 1].at_mm, kinks[k + 1].at_mm - kinks[k].at_mm);
            let near = if before <= after { k - 1 } else { k + 1 };
            let (one, other) = (kinks[k], kinks[near]);
            let weight = other.turn.abs() / (one.turn.abs() + other.turn.abs());
            kinks[near] = Kink { at_mm: one.at_mm + (other.at_mm - one.at_mm) * weight, turn: one.turn + other.turn };
            kinks.remove(k);
        }
    }

    /// Leaves out lesser kinks at the ends; shares those in between out to their neighbours so that turn and centre stay.
    fn fold_lesser(&mut self) {
        self.folded.clear();
        let most = self.kinks.iter().map(|kink| kink.turn).fold(0.0, f64::max);
        let counts = |kink: &Kink| kink.turn > LEAST_KINK_SHARE * most;
        let Some(first) = self.kinks.iter().position(counts) else { return };
        let last = self.kinks.iter().rposition(counts).unwrap_or(first);
        let mut lesser: Vec<Kink> = Vec::new();
        for kink in &self.kinks[first..=last] {
            if !counts(kink) {
                lesser.push(*kink);
                continue;
            }
            self.folded.push(*kink);
            let here = self.folded.len() - 1;
            for small in lesser.drain(..) {
                let (before, after) = (self.folded[here - 1].at_mm, kink.at_mm);
                let share = (small.at_mm - before) / (after - before);
                self.folded[here - 1].turn += small.turn * (1.0 - share);
                self.folded[here].turn += small.turn * share;
            }
        }
        self.folded.retain(|kink| kink.turn > 0.0);
    }

    fn mirror(&mut self) {
        for kinks in [&mut self.folded, &mut self.all] {
            kinks.reverse();
            kinks.iter_mut().for_each(|kink| kink.at_mm = -kink.at_mm);
        }
    }

    /// Gives back what the neighbour beyond the last kink has cancelled: it bends the other way, or there is none, so that
    /// half a strip's turn is missing.
    fn restore_end(&mut self, end: usize) {
        let kinks = &mut self.folded;
        let n_chords = kinks.len() - 1;
        let (last, before) = (kinks[n_chords], kinks[n_chords - 1]);
        let chord_mm = last.at_mm - before.at_mm;
        let curvature = if n_chords >= 2 {
            let inner: f64 = kinks[1..n_chords].iter().map(|kink| kink.turn).sum();
            let all_mm = last.at_mm - kinks[0].at_mm;
            inner / (all_mm - 0.5 * (chord_mm + kinks[1].at_mm - kinks[0].at_mm))
        } else {
            2.0 * before.turn / chord_mm
        };
        let whole = curvature * chord_mm;
        let first_beyond = self.all.partition_point(|kink| kink.at_mm <= last.at_mm + 1e-3 * chord_mm);
        let beyond = &self.all[first_beyond..];
        let near = beyond.iter().take_while(|kink| kink.at_mm - last.at_mm < 3.5 * chord_mm);
        let turns_back = near
            .clone()
            .find(|kink| kink.turn.abs() > CANCELLED_SHARE * 0.5 * last.turn)
            .is_some_and(|kink| kink.turn < 0.0);
        let small = near.take_while(|kink| kink.turn.abs() < CANCELLED_SHARE * last.turn);
        let off = |kink: &Kink| ((kink.at_mm - last.at_mm) / chord_mm - 1.0).abs();
        let next = small
            .enumerate()
            .filter(|(_, kink)| NEXT_STRIP.contains(&((kink.at_mm - last.at_mm) / chord_mm)))
            .min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        let is_whole = WHOLE_KINK.contains(&(last.turn / whole)) && is_strip_like(kinks);
        if let (true, Some((number, next))) = (is_whole, next) {
            let surface_ends = self.ends[end] && number + 1 == beyond.len();
            if turns_back || surface_ends {
                let width_mm = next.at_mm - last.at_mm;
                kinks.push(Kink { at_mm: next.at_mm, turn: 0.5 * curvature * width_mm });
            }
        } else if n_chords >= 2 && turns_back && last.turn < PARTLY_CANCELLED * whole {
            kinks[n_chords].turn = 0.5 * whole;
        }
    }
}

/// True if the last kink and chord are like those before them, as those of strips are; on other meshes a kink that looks
/// whole says nothing.
fn is_strip_like(kinks: &[Kink]) -> bool {
    let n_chords = kinks.len() - 1;
    let (first, last) = (kinks[0], kinks[n_chords]);
    if n_chords == 1 {
        return (0.35..=0.65).contains(&(first.turn / last.turn));
    }
    let inner_kinks = kinks[1..n_chords].iter().map(|kink| kink.turn);
    let (least, most) =
        inner_kinks.clone().fold((f64::INFINITY, 0.0f64), |(least, most), turn| (least.min(turn), most.max(turn)));
    if most > EVEN_KINKS * least {
        return false;
    }
    let inner = inner_kinks.sum::<f64>() / (n_chords - 1) as f64;
    let chord_mm = (last.at_mm - first.at_mm) / n_chords as f64;
    let last_chord_mm = last.at_mm - kinks[n_chords - 1].at_mm;
    (0.75..=1.33).contains(&(last.turn / inner)) && (0.7..=1.4).contains(&(last_chord_mm / chord_mm))
}

/// Figures from the kinks that are left.
///
/// Each chord spans the share of the kinks at its ends that its length commands, the end kinks in full (they are the half
/// strip). The width follows from the spread of the turn along the walk: exact for equal strips with half kinks at their
/// ends, and blind to flats. Chord against arc: the radius is the width over the sum of 2 sin(span / 2).
fn evaluate(kinks: &[Kink]) -> Option<Figures> {
    let turn: f64 = kinks.iter().map(|kink| kink.turn).sum();
    let mean = kinks.iter().map(|kink| kink.turn * kink.at_mm).sum::<f64>() / turn;
    let spread = kinks.iter().map(|kink| kink.turn * (kink.at_mm - mean) * (kink.at_mm - mean)).sum::<f64>() / turn;
    let n_chords = kinks.len() - 1;
    let chord = |j: usize| kinks[j + 1].at_mm - kinks[j].at_mm;
    let span = |j: usize| {
        let near = if j == 0 { 1.0 } else { chord(j) / (chord(j - 1) + chord(j)) };
        let far = if j + 1 == n_chords { 1.0 } else { chord(j) / (chord(j) + chord(j + 1)) };
        near * kinks[j].turn + far * kinks[j + 1].turn
    };
    let (mut squares, mut sines) = (0.0, 0.0);
    for j in 0..n_chords {
        squares += span(j) / turn * chord(j) * chord(j);
        sines += 2.0 * sin(0.5 * span(j));
    }
    let (from_mm, to_mm) = (kinks[0].at_mm, kinks[n_chords].at_mm);
    let by_spread = 12.0 * spread - 2.0 * squares;
    let width_mm = if by_spread > 0.0 { (to_mm - from_mm).min(by_spread.sqrt()) } else { to_mm - from_mm };
    let mut middle_mm = to_mm;
    let mut before = 0.0;
    for (j, kink) in kinks[..n_chords].iter().enumerate() {
        if before + span(j) >= 0.5 * turn {
            middle_mm = kink.at_mm + chord(j) * (0.5 * turn - before) / span(j);
            break;
        }
        before += span(j);
    }
    let radius_mm = width_mm / sines;
    let sound = turn > 0.0 && radius_mm > 0.0 && radius_mm.is_finite();
    sound.then_some(Figures { radius_mm, turn, width_mm, middle_mm, from_mm, to_mm })
}
