//! The days as a table: one row a sitting, in the order of time.

use std::io::{self, Write};

use serde::Serialize;

use super::table;
use crate::plan::Plan;
use crate::units::h_from_min;
use crate::workshop::days::hours::{Clock, DAY_MIN};

#[derive(Default, Serialize)]
struct DayRow<'a> {
    day: u32,
    weekday: &'a str,
    date: String,
    start: String,
    end: String,
    minutes: u32,
    hours: f64,
    sitting: usize,
    sittings: usize,
    task_minutes: u32,
    people: u32,
    helpers: u32,
    about: &'a str,
    what: &'a str,
    waits_for: String,
    least_wait_min: u32,
    quantity: f64,
    unit: &'a str,
    task: &'a str,
    complete: bool,
}

/// A row a sitting: work that is put down and taken up has several. The wait shown is the one that ends last; quantity and
/// `task_minutes` are of the whole task.
pub(super) fn days(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let working = &plan.days.working;
    let complete = plan.is_complete() && plan.days.does_not_fit.is_empty();
    let mut sittings: Vec<(u32, DayRow<'_>)> = Vec::new();
    for task in &plan.days.tasks {
        let wait = task.waits.iter().min_by_key(|wait| wait.waited_min.saturating_sub(wait.least_min));
        for (index, part) in task.parts.iter().enumerate() {
            let (day, minutes) = (part.from_min / DAY_MIN, part.to_min - part.from_min);
            let from_min = part.from_min % DAY_MIN;
            sittings.push((
                part.from_min,
                DayRow {
                    day: day + 1,
                    weekday: working.weekday(day).word(),
                    date: working.date(day).map_or_else(String::new, |date| date.to_string()),
                    start: Clock(from_min).to_string(),
                    end: Clock(from_min + minutes).to_string(),
                    minutes,
                    hours: h_from_min(f64::from(minutes)),
                    sitting: index + 1,
                    sittings: task.parts.len(),
                    task_minutes: task.minutes,
                    people: task.hands,
                    helpers: task.helpers,
                    about: &task.about,
                    what: &task.words,
                    waits_for: wait.map_or_else(String::new, |wait| wait.words.to_owned()),
                    least_wait_min: wait.map_or(0, |wait| wait.least_min),
                    quantity: task.quantity,
                    unit: task.unit,
                    task: &task.key,
                    complete,
                },
            ));
        }
    }
    sittings.sort_by_key(|(from_min, _)| *from_min);
    table(sittings.into_iter().map(|(_, row)| row), out)
}
