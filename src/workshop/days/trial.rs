//! Tries out what would make something fit: nothing is advised that was not planned and did fit.

use std::collections::{BTreeMap, BTreeSet};

use super::bench::Bench;
use super::beside::Beside;
use super::hours::{Clock, DAY_MIN, Hours, Weekday, Working};
use super::schedule::{blocks, fits_alone, schedule};
use super::task::{GRID_MIN, Tasks, on_grid};
use super::tasks::{Habits, tasks};
use crate::workshop::work::Work;

/// Weeks in which a remedy is tried: every week is like the one before, and no wait between tasks that hang together is
/// longer than one.
const TRIED_DAYS: u32 = 28;

/// A longer day begins at nine, or when the hours of that day do.
const DAY_FROM_MIN: u32 = 9 * 60;

/// What the days of a job are planned from, to plan them again with something changed.
pub struct Trial<'a> {
    work: &'a Work,
    beside: &'a Beside,
    habits: Habits<'a>,
    /// The hours of every week, nobody away.
    week: Working,
    helped: BTreeMap<u32, Tasks>,
    slower: BTreeMap<u32, Tasks>,
    /// What still finds no time if nobody is away.
    never: Option<BTreeSet<usize>>,
}

impl<'a> Trial<'a> {
    /// Of a job.
    #[must_use]
    pub fn new(work: &'a Work, beside: &'a Beside, habits: Habits<'a>) -> Self {
        let week = Working { start: None, away: Vec::new(), ..habits.pace.working() };
        Self { work, beside, habits, week, helped: BTreeMap::new(), slower: BTreeMap::new(), never: None }
    }

    /// The hours of every week.
    #[must_use]
    pub fn week(&self) -> &Working {
        &self.week
    }

    /// How many work.
    #[must_use]
    pub fn people(&self) -> u32 {
        self.habits.rates().people()
    }

    /// Whether a group fits with so many more hands.
    pub fn fits_with_hands(&mut self, group: usize, more: u32) -> bool {
        let people = self.people() + more;
        let (work, beside, habits) = (self.work, self.beside, self.habits);
        let tasks = self.helped.entry(more).or_insert_with(|| {
            let mut crew = habits.crew.clone();
            crew.people.value = f64::from(people);
            tasks(work, beside, Habits { crew: &crew, ..habits })
        });
        fits(tasks, group, &self.week, people)
    }

    /// Whether a group has a time in the whole plan if nobody is away.
    pub fn fits_if_nobody_is_away(&mut self, group: usize) -> bool {
        let working = self.habits.pace.working();
        if working.away.is_empty() || working.start.is_none() {
            return false;
        }
        let (work, beside, habits, people) = (self.work, self.beside, self.habits, self.people());
        let never = self.never.get_or_insert_with(|| {
            let tasks = tasks(work, beside, habits);
            let planned = schedule(&tasks, &Working { away: Vec::new(), ..working }, people);
            planned.unfit.iter().map(|unfit| unfit.group).collect()
        });
        !never.contains(&group)
    }

    /// Whether it fits in these hours if gelcoat may be laid over for so many hours.
    pub fn fits_if_slower(&mut self, group: usize, overlay_most_h: u32, week: &Working) -> bool {
        let (work, beside, habits) = (self.work, self.beside, self.habits);
        let tasks = self.slower.entry(overlay_most_h).or_insert_with(|| {
            let mut stock = habits.stock.clone();
            stock.practice.overlay_most_h.value = f64::from(overlay_most_h);
            tasks(work, beside, Habits { stock: &stock, ..habits })
        });
        fits(tasks, group, week, habits.rates().people())
    }

    /// Whether it fits, a piece of the size of one in so many.
    #[must_use]
    pub fn fits_in_pieces(&self, all: &Tasks, group: usize, n: u32) -> bool {
        let mut parted = all.clone();
        for task in &mut parted.tasks[all.groups[group].tasks.clone()] {
            let person_min = task.effort.person_min / f64::from(task.hands * n);
            task.minutes = on_grid(person_min + task.effort.fixed_min).max(GRID_MIN);
        }
        fits(&parted, group, &self.week, self.people())
    }

    /// Whether it fits in some hours.
    #[must_use]
    pub fn fits_in(&self, all: &Tasks, group: usize, week: &Working) -> bool {
        fits(all, group, week, self.people())
    }

    /// The shortest Saturday, of so many minutes at least, with which something fits.
    pub fn day(&mut self, least_min: u32, mut fits: impl FnMut(&mut Self, &Working) -> bool) -> Option<Hours> {
        let (mut short, mut long) = (least_min / GRID_MIN, DAY_MIN / GRID_MIN);
        let mut tried = |trial: &mut Self, steps: u32| {
            let (week, hours) = trial.with_saturday(steps * GRID_MIN);
            fits(trial, &week).then_some(hours)
        };
        let mut found = tried(self, long)?;
        while short < long {
            let middle = (short + long) / 2;
            match tried(self, middle) {
                Some(hours) => (long, found) = (middle, hours),
                None => short = middle + 1,
            }
        }
        Some(found)
    }

    fn with_saturday(&self, minutes: u32) -> (Working, Hours) {
        let usual = self.week.usual_stretches_of(Weekday::Sat);
        let from_min = usual.first().map_or(DAY_FROM_MIN, |stretch| stretch.from_min);
        let from_min = from_min.min(DAY_MIN.saturating_sub(minutes));
        let hours = Hours { days: vec![Weekday::Sat], from: Clock(from_min), to: Clock(from_min + minutes) };
        let mut week = self.week.clone();
        week.week.push(hours.clone());
        (week, hours)
    }
}

/// Hours such as few have: whoever has more needs no advice.
#[must_use]
pub fn whole_week() -> Working {
    let days = Weekday::ALL.to_vec();
    let week = [Hours { days, from: Clock(8 * 60), to: Clock(20 * 60) }];
    Working::of(Some(&week), None, None)
}

/// Whether a group and all that it needs find a time in weeks in which nothing else is done.
fn fits(tasks: &Tasks, group: usize, week: &Working, people: u32) -> bool {
    let mut empty = Bench::of_days(week, people, TRIED_DAYS);
    let mut open = vec![group];
    let mut seen = Vec::new();
    while let Some(group) = open.pop() {
        let Some(of) = tasks.groups.get(group).filter(|_| !seen.contains(&group)) else { continue };
        if !blocks(tasks, of.tasks.clone()).iter().all(|block| fits_alone(tasks, block, &mut empty)) {
            return false;
        }
        seen.push(group);
        open.extend(&of.needs);
    }
    true
}
