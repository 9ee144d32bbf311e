//! The days in a few lines.

use std::io::{self, Write};

use crate::plan::Plan;

/// How many evenings, until when, and what does not fit.
pub(super) fn days(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let days = &plan.days;
    let Some((first, last)) = days.evenings.first().zip(days.evenings.last()) else {
        return not_fitting(plan, out);
    };
    let on = |day: u32, date: Option<crate::workshop::days::hours::Date>| match date {
        Some(date) => date.to_string(),
        None => format!("day {day}"),
    };
    let people = if days.people == 1 { "one person".to_owned() } else { format!("{} people", days.people) };
    writeln!(
        out,
        "\nDays: {} evenings or days of work, {:.0} hours of work for {people}, from {} to {} (evening by evening: report.html and days.csv, with --out)",
        days.n_evenings,
        days.worked_h,
        on(first.day, first.date),
        on(last.day, last.date),
    )?;
    not_fitting(plan, out)
}

fn not_fitting(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let unfit = &plan.days.does_not_fit;
    if !unfit.is_empty() {
        let names: Vec<&str> = unfit.iter().map(|unfit| unfit.about.as_str()).collect();
        writeln!(out, "Does not fit the hours, and is in no evening: {}", names.join("; "))?;
    }
    Ok(())
}
