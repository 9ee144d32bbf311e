//! The bench: who is free in each stretch of hours, whether the air has to be still, which large pieces were wetted out.

use super::hours::{DAY_MIN, MOST_DAYS, Stretch, Working};
use super::task::{Air, GRID_MIN, Task};

/// Less than this is not worth taking up work that can be put down.
const LEAST_PART_MIN: u32 = 30;

/// A stretch of hours as it fills.
#[derive(Debug, Clone)]
struct Shift {
    from_min: u32,
    /// People at work, slot by slot.
    busy: Vec<u16>,
    /// Slots in which somebody is free.
    n_free: usize,
    /// Slots that ask for still air.
    still: Vec<bool>,
    /// Slots with dust.
    dusty: Vec<bool>,
    /// Large pieces wetted out.
    large: Vec<usize>,
}

/// Some minutes of work, from the midnight that begins day 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Span {
    /// When it begins.
    pub from_min: u32,
    /// When it ends.
    pub to_min: u32,
}

/// All stretches, made as they are needed.
#[derive(Debug, Clone)]
pub struct Bench {
    working: Working,
    people: u16,
    most_days: u32,
    days_made: u32,
    shifts: Vec<Shift>,
}

impl Bench {
    /// An empty bench for a crew.
    #[must_use]
    pub fn new(working: &Working, people: u32) -> Self {
        Self {
            working: working.clone(),
            people: people.clamp(1, 100) as u16,
            most_days: MOST_DAYS,
            days_made: 0,
            shifts: Vec::new(),
        }
    }

    /// The same for so many days only.
    #[must_use]
    pub fn of_days(working: &Working, people: u32, most_days: u32) -> Self {
        Self { most_days, ..Self::new(working, people) }
    }

    /// The first span, or spans of work that can be put down, in which a task can be done from a minute on.
    pub fn earliest(&mut self, task: &Task, from_min: u32) -> Option<Vec<Span>> {
        let mut at = self.first_from(from_min);
        let mut left = task.minutes;
        let mut spans: Vec<Span> = Vec::new();
        loop {
            while at >= self.shifts.len() {
                if !self.make_a_day() {
                    return None;
                }
            }
            let shift = &self.shifts[at];
            if task.in_parts {
                for span in self.parts_in(shift, task, from_min, &mut left) {
                    match spans.last_mut() {
                        Some(last) if last.to_min == span.from_min => last.to_min = span.to_min,
                        _ => spans.push(span),
                    }
                }
                if left == 0 {
                    return Some(spans);
                }
            } else if let Some(span) = self.whole_in(shift, task, from_min) {
                return Some(vec![span]);
            }
            at += 1;
        }
    }

    /// Writes a task's spans down.
    pub fn take(&mut self, task: &Task, spans: &[Span]) {
        for span in spans {
            // A span of work in parts may run on from one stretch into the next, where hours touch at midnight.
            let first = self.first_from(span.from_min);
            for shift in self.shifts[first..].iter_mut().take_while(|shift| shift.from_min < span.to_min) {
                let slots = shift.slots(span.from_min, span.to_min);
                for slot in slots.clone() {
                    let was_free = shift.busy[slot] < self.people;
                    shift.busy[slot] = shift.busy[slot].saturating_add(task.hands as u16);
                    if was_free && shift.busy[slot] >= self.people {
                        shift.n_free -= 1;
                    }
                }
                match task.air {
                    Air::Any => {}
                    Air::Dusty => shift.dusty[slots].fill(true),
                    Air::Still(_) => {}
                }
                if let Some(large) = task.large
                    && !shift.large.contains(&large)
                {
                    shift.large.push(large);
                }
            }
        }
        if let Air::Still(after_min) = task.air {
            spans.iter().for_each(|span| self.keep_still(span.from_min, span.to_min.saturating_add(after_min)));
        }
    }

    /// No dust between two minutes.
    fn keep_still(&mut self, from_min: u32, to_min: u32) {
        let mut at = self.first_from(from_min);
        while self.days_made.saturating_mul(DAY_MIN) < to_min && self.make_a_day() {}
        while let Some(shift) = self.shifts.get_mut(at).filter(|shift| shift.from_min < to_min) {
            let slots = shift.slots(from_min, to_min);
            shift.still[slots].fill(true);
            at += 1;
        }
    }

    fn whole_in(&self, shift: &Shift, task: &Task, from_min: u32) -> Option<Span> {
        let needed = (task.minutes / GRID_MIN) as usize;
        if shift.n_free < needed || !self.has_room_for_large(shift, task) {
            return None;
        }
        let mut run = 0;
        for slot in shift.first_slot(from_min)..shift.busy.len() {
            run = if self.is_free(shift, slot, task) { run + 1 } else { 0 };
            if run >= needed {
                let end = shift.from_min + (slot as u32 + 1) * GRID_MIN;
                let span = Span { from_min: end - task.minutes, to_min: end };
                if self.air_stays_still(task, span) {
                    return Some(span);
                }
            }
        }
        None
    }

    fn parts_in(&self, shift: &Shift, task: &Task, from_min: u32, left: &mut u32) -> Vec<Span> {
        let mut spans = Vec::new();
        let mut slot = shift.first_slot(from_min);
        if shift.n_free == 0 {
            return spans;
        }
        while slot < shift.busy.len() && *left > 0 {
            let run = (slot..shift.busy.len()).take_while(|&slot| self.is_free(shift, slot, task)).count() as u32;
            let minutes = (run * GRID_MIN).min(*left);
            let span = Span {
                from_min: shift.from_min + slot as u32 * GRID_MIN,
                to_min: shift.from_min + slot as u32 * GRID_MIN + minutes,
            };
            if minutes >= LEAST_PART_MIN.min(*left) && minutes > 0 && self.air_stays_still(task, span) {
                spans.push(span);
                *left -= minutes;
            }
            slot += (run as usize).max(1);
        }
        spans
    }

    fn is_free(&self, shift: &Shift, slot: usize, task: &Task) -> bool {
        let hands = (task.hands as u16).min(self.people);
        shift.busy[slot] + hands <= self.people
            && match task.air {
                Air::Any => true,
                Air::Dusty => !shift.still[slot],
                Air::Still(_) => !shift.dusty[slot],
            }
    }

    fn has_room_for_large(&self, shift: &Shift, task: &Task) -> bool {
        task.large.is_none_or(|large| {
            shift.large.contains(&large) || {
                shift.large.len() < most_large(u32::from(self.people), shift.end_min() - shift.from_min)
            }
        })
    }

    /// After a span of wet work no dust that was planned before comes too soon.
    fn air_stays_still(&self, task: &Task, span: Span) -> bool {
        let Air::Still(after_min) = task.air else { return true };
        let to_min = span.to_min.saturating_add(after_min);
        let first = self.shifts.partition_point(|shift| shift.end_min() <= span.to_min);
        self.shifts[first..].iter().take_while(|shift| shift.from_min < to_min).all(|shift| {
            let slots = shift.slots(span.to_min, to_min);
            !shift.dusty[slots].iter().any(|&dusty| dusty)
        })
    }

    fn first_from(&self, from_min: u32) -> usize {
        self.shifts.partition_point(|shift| shift.end_min() <= from_min)
    }

    fn make_a_day(&mut self) -> bool {
        if self.days_made >= self.most_days {
            return false;
        }
        for Stretch { from_min, to_min } in self.working.stretches_of(self.days_made) {
            // Odd minutes at the ends are left out, so that slots lie on the grid.
            let from_min = from_min.div_ceil(GRID_MIN) * GRID_MIN;
            let n = (to_min.saturating_sub(from_min) / GRID_MIN) as usize;
            if n > 0 {
                let (still, dusty) = (vec![false; n], vec![false; n]);
                self.shifts.push(Shift { from_min, busy: vec![0; n], n_free: n, still, dusty, large: Vec::new() });
            }
        }
        self.days_made += 1;
        true
    }
}

/// A stretch of so many minutes is a whole day's work.
pub const LONG_MIN: u32 = 6 * 60;

/// How many large pieces are wetted out in one stretch: one for each two people, one at least; twice as many in a long one.
#[must_use]
pub const fn most_large(people: u32, minutes: u32) -> usize {
    let pairs = if people < 4 { 1 } else { people as usize / 2 };
    if minutes >= LONG_MIN { 2 * pairs } else { pairs }
}

impl Shift {
    fn end_min(&self) -> u32 {
        self.from_min + self.busy.len() as u32 * GRID_MIN
    }

    fn first_slot(&self, from_min: u32) -> usize {
        (from_min.saturating_sub(self.from_min).div_ceil(GRID_MIN) as usize).min(self.busy.len())
    }

    /// The slots that a span touches.
    fn slots(&self, from_min: u32, to_min: u32) -> std::ops::Range<usize> {
        let from = (from_min.saturating_sub(self.from_min) / GRID_MIN) as usize;
        let to = (to_min.saturating_sub(self.from_min).div_ceil(GRID_MIN) as usize).min(self.busy.len());
        from.min(to)..to
    }
}
