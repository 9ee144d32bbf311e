//! Puts tasks together: durations, who does them, what they wait for.

use super::super::beside::{Beside, Extra};
use super::super::task::{
    ABRADED_MOST_MIN, Air, Counted, Effort, GRID_MIN, Group, Kind, LeftOut, Link, Most, Task, Tasks, Tool, Why, on_grid,
};
use super::{Habits, MOST_TASKS};
use crate::laminate::release::Hands;
use crate::laminate::schedule::Make;
use crate::workshop::work::{PieceWork, Place};

/// Tasks as they are written down.
pub(super) struct Builder<'a> {
    pub habits: Habits<'a>,
    /// What is withheld, and what belongs to builds beyond their plies.
    pub beside: &'a Beside,
    tasks: Tasks,
    /// First task of the group that is open.
    begun: usize,
    /// The lot of panels that groups belong to.
    pub lot: usize,
}

/// How much of what one task is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amount {
    pub quantity: f64,
    pub unit: &'static str,
    /// Minutes of one person at all of it.
    pub person_min: f64,
    /// Minutes beside it, whoever helps.
    pub fixed_min: f64,
    /// How many find room at it.
    pub room: u32,
}

impl Amount {
    /// At so much an hour.
    pub fn at_rate(quantity: f64, unit: &'static str, per_hour: f64) -> Self {
        Self::taking(quantity, unit, 60.0 * quantity / per_hour)
    }

    /// Taking one person so many minutes.
    pub fn taking(quantity: f64, unit: &'static str, person_min: f64) -> Self {
        Self { quantity, unit, person_min, fixed_min: 0.0, room: 1 }
    }

    /// With so many minutes of getting ready and cleaning up.
    pub fn and(self, fixed_min: f64) -> Self {
        Self { fixed_min, ..self }
    }

    /// With room for so many.
    pub fn room_for(self, room: u32) -> Self {
        Self { room, ..self }
    }
}

/// What the tasks of a piece have in common.
#[derive(Debug, Clone)]
pub(super) struct On {
    /// Beginning of their keys.
    pub key: String,
    /// What they are done to.
    pub about: String,
    /// Piece of the plan.
    pub place: Option<Place>,
    /// The tool.
    pub tool: Option<Tool>,
}

impl<'a> Builder<'a> {
    pub fn new(habits: Habits<'a>, beside: &'a Beside) -> Self {
        Self { habits, beside, tasks: Tasks::default(), begun: 0, lot: 0 }
    }

    pub fn done(self) -> Tasks {
        self.tasks
    }

    /// Writes a task down and gives its number.
    pub fn add(&mut self, on: &On, kind: Kind, name: &str, words: &str, amount: Amount, after: Vec<Link>) -> usize {
        let task = Task {
            key: format!("{}/{name}", on.key),
            kind,
            about: on.about.clone(),
            words: words.to_owned(),
            group: self.tasks.groups.len(),
            place: on.place,
            hands: 1,
            helpers: 0,
            minutes: GRID_MIN,
            effort: Effort { quantity: 0.0, unit: "", person_min: 0.0, fixed_min: 0.0 },
            in_parts: false,
            air: Air::Any,
            large: None,
            tool: on.tool,
            after,
            fallback: None,
        };
        self.tasks.tasks.push(self.of_amount(task, amount));
        self.tasks.tasks.len() - 1
    }

    fn of_amount(&self, task: Task, amount: Amount) -> Task {
        let Amount { quantity, unit, person_min, fixed_min, room } = amount;
        let hands = room.clamp(1, self.people());
        let minutes = on_grid(person_min / f64::from(hands) + fixed_min).max(GRID_MIN);
        Task { hands, minutes, effort: Effort { quantity, unit, person_min, fixed_min }, ..task }
    }

    /// A task like one that is written down, but of another amount.
    pub fn as_task(&self, amount: Amount, like: usize) -> Task {
        self.of_amount(self.tasks.tasks[like].clone(), amount)
    }

    pub fn task(&mut self, number: usize) -> &mut Task {
        &mut self.tasks.tasks[number]
    }

    /// Number of the task that was written down last.
    pub fn last_task(&self) -> usize {
        self.tasks.tasks.len().saturating_sub(1)
    }

    pub fn people(&self) -> u32 {
        self.habits.rates().people()
    }

    /// How many find room at a face.
    pub fn room(&self, area_m2: f64) -> u32 {
        self.habits.rates().hands_at(area_m2)
    }

    /// Getting ready and cleaning up.
    pub fn wet_min(&self) -> f64 {
        self.habits.pace.set_up_min.value + self.habits.pace.clean_up_min.value
    }

    /// A wait that runs from when the last of it is on: cleaning up counts into it.
    pub fn less_clean_up(&self, minutes: f64) -> u32 {
        on_grid((minutes - self.habits.pace.clean_up_min.value).max(0.0))
    }

    /// Number of the group that is open.
    pub fn group(&self) -> usize {
        self.tasks.groups.len()
    }

    pub fn begin(&mut self) {
        self.begun = self.tasks.tasks.len();
    }

    /// Closes the open group and gives its number.
    pub fn end(&mut self, about: String, part: Option<usize>, make: Make, needs: Vec<usize>) -> usize {
        let tasks = self.begun..self.tasks.tasks.len();
        self.tasks.groups.push(Group { about, part, make, lot: self.lot, tasks, needs });
        self.tasks.groups.len() - 1
    }

    /// The first gelcoat, or ply, of a group is laid when this has been.
    pub fn last_laid(&self, group: usize) -> Option<usize> {
        let tasks = self.tasks.groups.get(group)?.tasks.clone();
        tasks.rev().find(|&number| self.tasks.tasks[number].kind == Kind::Lay)
    }

    /// The last task of a group.
    pub fn last_of(&self, group: usize) -> Option<usize> {
        self.tasks.groups.get(group)?.tasks.clone().next_back()
    }

    /// Whether there are too many tasks for another; told.
    pub fn is_full(&mut self, (part, panel): (usize, &str), make: Make) -> bool {
        let full = self.tasks.tasks.len() >= MOST_TASKS;
        if full {
            let reason = format!("there are more than {MOST_TASKS} tasks before it");
            self.leave_out((part, panel), make, reason, vec!["plan the job in several".to_owned()]);
        }
        full
    }

    /// Tells once why a build of a panel is not laid out.
    pub fn leave_out(&mut self, (part, panel): (usize, &str), make: Make, reason: String, remedies: Vec<String>) {
        let told = self.tasks.left_out.iter().any(|known| (known.part, known.make) == (part, make));
        if !told {
            let about = format!("{panel}, {}", if make == Make::Mould { "plug and mould" } else { "moulding" });
            self.tasks.left_out.push(LeftOut { part, make, about, reason, remedies });
        }
    }

    /// Whether a build is withheld; told.
    pub fn is_withheld(&mut self, (part, panel): (usize, &str), make: Make) -> bool {
        let Some(withheld) = self.beside.withheld(part, make) else { return false };
        self.leave_out((part, panel), make, withheld.reason.clone(), withheld.remedies.clone());
        true
    }

    /// What belongs to a build of a piece beyond its plies.
    pub fn extra(&self, place: Place) -> Extra {
        self.beside.extras.get(&(place.part, place.build)).cloned().unwrap_or_default()
    }

    /// The piece's number, if it is a large one.
    pub fn large(&self, piece: &PieceWork) -> bool {
        piece.widest_m2() >= self.habits.pace.large_m2.value || piece.lifted_by.is_some_and(|hands| hands != Hands::One)
    }

    /// Hands for lifting that the crew lacks.
    pub fn lift(&mut self, number: usize, lifted_by: Option<Hands>) {
        let wanted = match lifted_by {
            None | Some(Hands::One) => 1,
            Some(Hands::Two) => 2,
            Some(Hands::More) => 4,
        };
        let people = self.people();
        let task = self.task(number);
        task.hands = wanted.min(people);
        task.helpers = wanted.saturating_sub(people);
    }
}

/// When the one before is done.
pub(super) const fn done(from: usize) -> Link {
    Link { from, least_min: 0, most: None, why: Why::Order }
}

/// So many minutes after the one before.
pub(super) const fn wait(from: usize, least_min: u32, why: Why) -> Link {
    Link { from, least_min, most: None, why }
}

/// Within a window that may not be passed.
pub(super) const fn within(from: usize, least_min: u32, minutes: u32, counted: Counted, why: Why) -> Link {
    Link { from, least_min, most: Some(Most { minutes, counted, mended: false }), why }
}

/// Right after abrading: in the same sitting, before dust and hands spoil the face.
pub(super) const fn right_after(from: usize) -> Link {
    within(from, 0, ABRADED_MOST_MIN, Counted::EndToStart, Why::Abraded)
}

/// Minutes of so many hours.
pub(super) fn hours(h: f64) -> u32 {
    on_grid(60.0 * h)
}
