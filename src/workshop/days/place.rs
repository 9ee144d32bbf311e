//! Finds a start for tasks that hang together.

use super::bench::{Bench, Span};
use super::hours::DAY_MIN;
use super::task::{Air, Counted, Link, Most, Task};

/// Starts are tried so far apart.
const TRY_MIN: u32 = 15;

/// A task with the time that it is given.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// The task.
    pub task: Task,
    /// Its number among [`super::task::Tasks`]; nothing for abrading that came of the schedule.
    pub number: Option<usize>,
    /// When it is done; several spans for what is put down and taken up.
    pub spans: Vec<Span>,
}

impl Planned {
    /// When it begins.
    #[must_use]
    pub fn start_min(&self) -> u32 {
        self.spans.first().map_or(0, |span| span.from_min)
    }

    /// When it ends.
    #[must_use]
    pub fn end_min(&self) -> u32 {
        self.spans.last().map_or(0, |span| span.to_min)
    }
}

/// A task to be placed, and its number.
pub type ToPlace<'a> = (&'a Task, Option<usize>);

/// Tasks planned together: the first start, tried every quarter of an hour for so many days, from which each finds a time
/// within all its windows. `before` has times already but is not at the bench yet. A link from `usize::MAX` is one from the
/// first of them.
pub fn try_block(
    bench: &mut Bench,
    times: &[Option<(u32, u32)>],
    before: &[Planned],
    block: &[ToPlace<'_>],
    try_days: u32,
) -> Option<Vec<Planned>> {
    let (first, _) = block.first()?;
    let mut known = Known { times, before, here: Vec::new() };
    let mut from_min = known.earliest(first);
    let last_min = bench.earliest(first, from_min)?.first()?.from_min.saturating_add(try_days * DAY_MIN);
    loop {
        known.here.clear();
        match one_try(bench, &mut known, block, from_min) {
            Ok(spans) => {
                let all = block.iter().zip(spans);
                return Some(
                    all.map(|(&(task, number), spans)| Planned { task: task.clone(), number, spans }).collect(),
                );
            }
            Err(Miss::Never) => return None,
            Err(Miss::From(start_min)) if start_min > last_min => return None,
            Err(Miss::From(start_min)) => from_min = start_min + TRY_MIN,
        }
    }
}

enum Miss {
    /// A window is passed from this start: a later one may keep it.
    From(u32),
    /// No later start will do.
    Never,
}

struct Known<'a> {
    times: &'a [Option<(u32, u32)>],
    before: &'a [Planned],
    /// The tasks of this try.
    here: Vec<Here>,
}

/// A task of a try.
struct Here {
    number: Option<usize>,
    start_min: u32,
    end_min: u32,
    air: Air,
}

impl Known<'_> {
    /// Start and end of a task that has a time.
    fn time(&self, number: usize) -> Option<(u32, u32)> {
        if number == usize::MAX {
            return self.here.first().map(|here| (here.start_min, here.end_min));
        }
        let here = self.here.iter().find(|here| here.number == Some(number));
        let before = || self.before.iter().find(|placed| placed.number == Some(number));
        here.map(|here| (here.start_min, here.end_min))
            .or_else(|| before().map(|placed| (placed.start_min(), placed.end_min())))
            .or_else(|| *self.times.get(number)?)
    }

    /// When all least waits are over.
    fn earliest(&self, task: &Task) -> u32 {
        let ends = task.after.iter().filter_map(|link| Some(self.time(link.from)?.1.saturating_add(link.least_min)));
        ends.max().unwrap_or(0)
    }

    /// When the last of the tasks that are not at the bench yet is over, and for what makes dust, when it no longer harms them.
    fn free_from(&self, task: &Task) -> u32 {
        let before = self.before.iter().map(|placed| (placed.end_min(), placed.task.air));
        let here = self.here.iter().map(|here| (here.end_min, here.air));
        let free = |(end_min, air): (u32, Air)| match (air, task.air) {
            (Air::Still(after_min), Air::Dusty) => end_min.saturating_add(after_min),
            _ => end_min,
        };
        before.chain(here).map(free).max().unwrap_or(0)
    }

    fn keeps_windows(&self, task: &Task, start_min: u32, end_min: u32) -> bool {
        task.after.iter().all(|link| self.time(link.from).is_none_or(|from| keeps(link, from, (start_min, end_min))))
    }
}

/// Whether a greatest wait is kept.
#[must_use]
pub fn keeps(link: &Link, from: (u32, u32), to: (u32, u32)) -> bool {
    match link.most {
        None => true,
        Some(Most { minutes, counted: Counted::StartToEnd, .. }) => to.1 <= from.0.saturating_add(minutes),
        Some(Most { minutes, counted: Counted::EndToStart, .. }) => to.0 <= from.1.saturating_add(minutes),
    }
}

fn one_try(
    bench: &mut Bench,
    known: &mut Known<'_>,
    block: &[ToPlace<'_>],
    from_min: u32,
) -> Result<Vec<Vec<Span>>, Miss> {
    let mut placed: Vec<Vec<Span>> = Vec::with_capacity(block.len());
    for (index, (task, number)) in block.iter().enumerate() {
        // The bench knows nothing of this try yet: its own tasks go one after the other.
        let earliest = known.earliest(task).max(if index == 0 { from_min } else { 0 }).max(known.free_from(task));
        let spans = bench.earliest(task, earliest).ok_or(Miss::Never)?;
        let (start_min, end_min) =
            (spans.first().map_or(0, |span| span.from_min), spans.last().map_or(0, |span| span.to_min));
        if !known.keeps_windows(task, start_min, end_min) {
            // The first has nothing of this try before it: a later start passes its window by more.
            return Err(known.here.first().map_or(Miss::Never, |here| Miss::From(here.start_min)));
        }
        known.here.push(Here { number: *number, start_min, end_min, air: task.air });
        placed.push(spans);
    }
    Ok(placed)
}
