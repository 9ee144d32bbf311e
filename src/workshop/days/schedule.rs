//! Which task when.
//!
//! The rule, so that a person can follow it: panels are taken from small and simple to large, in lots of four plugs. On the
//! plugs of a lot it goes step by step: all are faired, then all primed, sanded flat, painted; then mould by mould. A lot's
//! mouldings have their turn before the plugs of the lot after the next. Each task goes to the first free time after its
//! least waits, so that what comes later in this order fills the gaps. Tasks that hang together by greatest waits (release film, gelcoat, putty, plies, green
//! trim) go down together or not at all: the first start from which every one of them keeps its window. What is mended by
//! abrading may come apart, if holding all stages together would have the last ply laid more than ten days later; then the
//! laminate is abraded first, in the same sitting as the ply is laid. A green trim is given up for the saw if waiting for an evening that is long enough would have
//! the last ply laid more than two days later.

use super::bench::Bench;
use super::hours::{DAY_MIN, Working};
pub use super::place::Planned;
use super::place::{ToPlace, try_block};
use super::task::{ABRADED_MOST_MIN, Counted, Group, Kind, Link, Most, Task, Tasks, Why};
use crate::laminate::schedule::Make;

/// How much later the last ply may be laid so that all stages of a piece keep the overlay window.
const STAGES_WORTH_DAYS: u32 = 10;
/// How much later it may be laid for a green trim.
const KNIFE_WORTH_DAYS: u32 = 2;
/// Weeks without other work in which a block is tried.
const EMPTY_DAYS: u32 = 70;
/// A block that finds no start within so many days of its earliest finds none.
const TRY_DAYS: u32 = 200;

/// All tasks that have a time, and the groups that have none.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Schedule {
    /// By the order in which they were planned; links name them by their number in [`Tasks`].
    pub planned: Vec<Planned>,
    /// Groups left out, with the first and last task of what does not fit, as numbers.
    pub unfit: Vec<Unfit>,
}

/// A group that is left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfit {
    /// The group.
    pub group: usize,
    /// The tasks that hang together and do not fit; empty if it lacks a group that does not fit.
    pub block: Vec<usize>,
    /// The group that it lacks.
    pub lacks: Option<usize>,
    /// By itself it fits the hours: days away, other work or the end of the calendar leave it no time.
    pub is_crowded: bool,
}

struct Desk<'a> {
    tasks: &'a Tasks,
    bench: Bench,
    /// Start and end of tasks that have a time.
    times: Vec<Option<(u32, u32)>>,
    schedule: Schedule,
}

/// Gives every task a time.
#[must_use]
pub fn schedule(tasks: &Tasks, working: &Working, people: u32) -> Schedule {
    let mut desk = Desk {
        tasks,
        bench: Bench::new(working, people),
        times: vec![None; tasks.tasks.len()],
        schedule: Schedule::default(),
    };
    // Nobody is away, nothing else is done: what finds no time in these weeks never does.
    let mut empty = Bench::of_days(&Working { start: None, away: Vec::new(), ..working.clone() }, people, EMPTY_DAYS);
    let all: Vec<Vec<Vec<usize>>> = tasks.groups.iter().map(|group| blocks(tasks, group.tasks.clone())).collect();
    for (group, blocks) in all.iter().enumerate() {
        let unfit = blocks.iter().find(|block| !fits_alone(tasks, block, &mut empty));
        let lacks = desk.lacks(group);
        if lacks.is_some() {
            desk.schedule.unfit.push(Unfit { group, block: Vec::new(), lacks, is_crowded: false });
        } else if let Some(block) = unfit {
            desk.schedule.unfit.push(Unfit { group, block: block.clone(), lacks, is_crowded: false });
        }
    }
    for (group, block) in order(tasks, &all) {
        if desk.is_out(group) {
            continue;
        }
        let lacks = desk.lacks(group);
        if lacks.is_some() {
            desk.leave_out(Unfit { group, block: Vec::new(), lacks, is_crowded: false });
        } else if !desk.block(block) {
            desk.leave_out(Unfit { group, block: block.clone(), lacks, is_crowded: true });
        }
    }
    desk.schedule
}

/// The blocks in the order in which they get a time: lot by lot, on the plugs of a lot step by step, a lot's mouldings
/// before the plugs of the lot after the next.
fn order<'a>(tasks: &Tasks, all: &'a [Vec<Vec<usize>>]) -> Vec<(usize, &'a Vec<usize>)> {
    let mut order = Vec::new();
    for (group, blocks) in all.iter().enumerate() {
        let Group { part, make, lot, .. } = tasks.groups[group];
        // The test patch is first; the mouldings of a lot fall between the moulds of two.
        let turn = match (part, make) {
            (None, _) => 0,
            (Some(_), Make::Mould) => 2 * lot + 1,
            (Some(_), Make::Moulding) => 2 * lot + 4,
        };
        let mut step = 0;
        for (index, block) in blocks.iter().enumerate() {
            let kind = block.first().map(|&number| tasks.tasks[number].kind);
            // Never back: what comes later in a job of work waits for what comes before.
            step = step.max(kind.map_or(0, step_of));
            order.push(((turn, step, group, index), block));
        }
    }
    order.sort_by_key(|(key, _)| *key);
    order.into_iter().map(|((_, _, group, _), block)| (group, block)).collect()
}

/// What is done to all plugs of a lot before the next step is.
const fn step_of(kind: Kind) -> u32 {
    match kind {
        Kind::Patch | Kind::Look | Kind::Seal | Kind::Fair => 0,
        Kind::Prime => 1,
        Kind::Flat => 2,
        Kind::Paint => 3,
        _ => 4,
    }
}

/// Tasks that hang together by greatest waits, in order.
#[must_use]
pub fn blocks(tasks: &Tasks, range: std::ops::Range<usize>) -> Vec<Vec<usize>> {
    let mut blocks: Vec<Vec<usize>> = Vec::new();
    for number in range {
        let holds = |link: &Link| link.most.is_some() && blocks.last().is_some_and(|block| block.contains(&link.from));
        if tasks.tasks[number].after.iter().any(holds) {
            blocks.last_mut().into_iter().for_each(|block| block.push(number));
        } else {
            blocks.push(vec![number]);
        }
    }
    blocks
}

impl Desk<'_> {
    /// Gives a block a time, if there is one.
    fn block(&mut self, block: &[usize]) -> bool {
        let Some(placed) = best(self.tasks, &mut self.bench, &self.times, block) else { return false };
        placed.into_iter().for_each(|placed| self.put(placed));
        true
    }

    fn put(&mut self, planned: Planned) {
        self.bench.take(&planned.task, &planned.spans);
        if let Some(number) = planned.number {
            self.times[number] = Some((planned.start_min(), planned.end_min()));
        }
        self.schedule.planned.push(planned);
    }

    fn is_out(&self, group: usize) -> bool {
        self.schedule.unfit.iter().any(|unfit| unfit.group == group)
    }

    /// What it is built in, or comes after, that is left out.
    fn lacks(&self, group: usize) -> Option<usize> {
        self.tasks.groups[group].needs.iter().copied().find(|&need| self.is_out(need))
    }

    /// Takes the tasks of a group out again.
    fn leave_out(&mut self, unfit: Unfit) {
        let group = unfit.group;
        self.schedule.planned.retain(|planned| planned.task.group != group);
        self.tasks.groups[group].tasks.clone().for_each(|number| self.times[number] = None);
        self.schedule.unfit.push(unfit);
    }
}

/// Whether a block finds a time in weeks in which nothing else is done.
#[must_use]
pub fn fits_alone(tasks: &Tasks, block: &[usize], empty: &mut Bench) -> bool {
    best(tasks, empty, &vec![None; tasks.tasks.len()], block).is_some()
}

/// The best of the ways to plan a block: all stages within the overlay window or apart, with the knife or the saw.
fn best(tasks: &Tasks, bench: &mut Bench, times: &[Option<(u32, u32)>], block: &[usize]) -> Option<Vec<Planned>> {
    let has_knife = block.iter().any(|&number| tasks.tasks[number].kind == Kind::TrimGreen);
    let has_stages = block.iter().skip(1).any(|&number| is_mended(&tasks.tasks[number]));
    let mut best: Option<(u32, Vec<Planned>)> = None;
    for (whole, knife) in [(true, true), (true, false), (false, true), (false, false)] {
        if (!knife && !has_knife) || (!whole && !has_stages) {
            continue;
        }
        let penalty = if whole { 0 } else { STAGES_WORTH_DAYS } + if knife { 0 } else { KNIFE_WORTH_DAYS };
        let Some(placed) = one_way(tasks, bench, times, block, whole, knife) else { continue };
        let laid = placed.iter().rev().find(|placed| placed.task.kind == Kind::Lay).or(placed.last());
        let cost = laid.map_or(0, Planned::end_min).saturating_add(penalty * DAY_MIN);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, placed));
        }
    }
    best.map(|(_, placed)| placed)
}

fn is_mended(task: &Task) -> bool {
    task.after.iter().any(|link| link.most.is_some_and(|most| most.mended))
}

fn one_way(
    tasks: &Tasks,
    bench: &mut Bench,
    times: &[Option<(u32, u32)>],
    block: &[usize],
    whole: bool,
    knife: bool,
) -> Option<Vec<Planned>> {
    let mut placed: Vec<Planned> = Vec::new();
    let mut part: Vec<ToPlace<'_>> = Vec::new();
    for &number in block {
        let task = &tasks.tasks[number];
        let saw = if knife { None } else { task.fallback.as_deref().filter(|_| task.kind == Kind::TrimGreen) };
        if saw.is_some() || (!whole && !part.is_empty() && is_mended(task)) {
            add_part(bench, times, &mut placed, &part)?;
            part.clear();
        }
        part.push((saw.unwrap_or(task), Some(number)));
    }
    add_part(bench, times, &mut placed, &part)?;
    Some(placed)
}

/// Plans some tasks after those that have a time; abrades first if the overlay window of what they go on is past.
fn add_part(
    bench: &mut Bench,
    times: &[Option<(u32, u32)>],
    placed: &mut Vec<Planned>,
    part: &[ToPlace<'_>],
) -> Option<()> {
    let Some(&(first, number)) = part.first() else { return Some(()) };
    if let Some(found) = try_block(bench, times, placed, part, TRY_DAYS) {
        placed.extend(found);
        return Some(());
    }
    let abrade = first.fallback.as_deref().filter(|_| !placed.is_empty() && is_mended(first))?;
    let most = Most { minutes: ABRADED_MOST_MIN, counted: Counted::EndToStart, mended: false };
    let abraded = Link { from: usize::MAX, least_min: 0, most: Some(most), why: Why::Order };
    let keyed = Task { after: others(first, abraded), fallback: None, ..first.clone() };
    let mut with_abrading: Vec<ToPlace<'_>> = vec![(abrade, None), (&keyed, number)];
    with_abrading.extend_from_slice(part.get(1..).unwrap_or_default());
    placed.extend(try_block(bench, times, placed, &with_abrading, TRY_DAYS)?);
    Some(())
}

/// A task's waits with the one for the overlay window changed for another.
fn others(task: &Task, instead: Link) -> Vec<Link> {
    let kept = task.after.iter().filter(|link| !link.most.is_some_and(|most| most.mended));
    kept.copied().chain([instead]).collect()
}
