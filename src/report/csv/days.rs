//! The days as a table: one row a task, by its start.

use std::io::{self, Write};

use serde::Serialize;

use super::table;
use crate::plan::Plan;

#[derive(Default, Serialize)]
struct DayRow<'a> {
    day: u32,
    date: String,
    start: String,
    end_day: u32,
    end: String,
    minutes: u32,
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

/// A row a task. The wait shown is the one that ends last.
pub(super) fn days(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let rows = plan.days.tasks.iter().map(|task| {
        let wait = task.waits.iter().min_by_key(|wait| wait.waited_min.saturating_sub(wait.least_min));
        DayRow {
            day: task.start.day,
            date: task.start.date.map_or_else(String::new, |date| date.to_string()),
            start: task.start.time.to_string(),
            end_day: task.end.day,
            end: task.end.time.to_string(),
            minutes: task.minutes,
            people: task.hands,
            helpers: task.helpers,
            about: &task.about,
            what: &task.words,
            waits_for: wait.map_or_else(String::new, |wait| wait.words.to_owned()),
            least_wait_min: wait.map_or(0, |wait| wait.least_min),
            quantity: task.quantity,
            unit: task.unit,
            task: &task.key,
            complete: plan.is_complete() && plan.days.does_not_fit.is_empty(),
        }
    });
    table(rows, out)
}
