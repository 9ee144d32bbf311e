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

/// What lies beyond one end of a section.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Beyond {
    /// Width of the next facet, if there is one.
    chord_mm: Option<f64>,
    /// The kink behind it, in the sense of the bend; 0 if the surface ends there.
    kink: f64,
    /// True if the surface ends behind the next facet.
    ends: bool,
}

/// The kinks of a section.
#[derive(Debug, Default)]
pub struct Profile {
    kinks: Vec<Kink>,
    folded: Vec<Kink>,
    beyond: [Beyond; 2],
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
        self.beyond = [left, right].map(|flank| beyond(flank, sense));
    }

    /// The figures; nothing if fewer than two kinks are left once slivers and flats are cleared away.
    pub fn figures(&mut self, sliver_mm: f64) -> Option<Figures> {
        let [whole_from, whole_to] = [self.kinks.first()?.at_mm, self.kinks.last()?.at_mm];
        self.merge_slivers(sliver_mm);
        self.fold_lesser();
        if self.folded.len() < 2 {
            return None;
        }
        self.restore_end(1, whole_to);
        // Seen from the other end.
        self.mirror();
        self.restore_end(0, -whole_from);
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
        self.folded.reverse();
        self.folded.iter_mut().for_each(|kink| kink.at_mm = -kink.at_mm);
    }

    /// Gives back what the neighbour beyond the last kink has cancelled: it bends the other way, or there is none, so that
    /// half a strip's turn is missing. `whole_to` is where the facets taken end.
    fn restore_end(&mut self, end: usize, whole_to: f64) {
        let kinks = &mut self.folded;
        let n_chords = kinks.len() - 1;
        let (last, before) = (kinks[n_chords], kinks[n_chords - 1]);
        let chord_mm = last.at_mm - before.at_mm;
        // A facet that was taken and dropped again lies between the last kink and the end of the walk.
        let beyond = self.beyond[end];
        let dropped_mm = whole_to - last.at_mm;
        let next = if dropped_mm > 1e-6 * chord_mm {
            let border = 0.0;
            Some((dropped_mm, border, beyond.chord_mm.is_none() || beyond.kink < 0.0))
        } else {
            beyond.chord_mm.map(|chord| (chord, beyond.kink, beyond.ends || beyond.kink < 0.0))
        };
        let Some((next_mm, next_kink, is_other)) = next else { return };
        let curvature = if n_chords >= 2 {
            let inner: f64 = kinks[1..n_chords].iter().map(|kink| kink.turn).sum();
            let all_mm = last.at_mm - kinks[0].at_mm;
            inner / (all_mm - 0.5 * (chord_mm + kinks[1].at_mm - kinks[0].at_mm))
        } else {
            2.0 * before.turn / chord_mm
        };
        let whole = curvature * chord_mm;
        if WHOLE_KINK.contains(&(last.turn / whole))
            && NEXT_STRIP.contains(&(next_mm / chord_mm))
            && next_kink.abs() < CANCELLED_SHARE * last.turn
            && (n_chords >= 3 || is_other)
        {
            kinks.push(Kink { at_mm: last.at_mm + next_mm, turn: 0.5 * curvature * next_mm });
        } else if n_chords >= 2 && last.turn < PARTLY_CANCELLED * whole && next_kink < -0.3 * last.turn {
            kinks[n_chords].turn = 0.5 * whole;
        }
    }
}

/// What lies beyond a flank.
fn beyond(flank: &Flank, sense: f64) -> Beyond {
    let Some(next) = flank.ahead.front() else { return Beyond::default() };
    match flank.ahead.get(1) {
        Some(after) => Beyond { chord_mm: Some(next.chord_mm()), kink: sense * after.kink, ends: false },
        None => Beyond { chord_mm: Some(next.chord_mm()), kink: 0.0, ends: flank.stop.is_some() },
    }
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
    for j in 0..n_chords {
        if before + span(j) >= 0.5 * turn {
            middle_mm = kinks[j].at_mm + chord(j) * (0.5 * turn - before) / span(j);
            break;
        }
        before += span(j);
    }
    let radius_mm = width_mm / sines;
    let sound = turn > 0.0 && radius_mm > 0.0 && radius_mm.is_finite();
    sound.then_some(Figures { radius_mm, turn, width_mm, middle_mm, from_mm, to_mm })
}
