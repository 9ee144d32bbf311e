//! The days in a few lines.

use std::io::{self, Write};

use crate::plan::Plan;
use crate::workshop::days::outcome::together;
use crate::workshop::days::unfit::DoesNotFit;

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
    let but =
        if days.unplanned.is_empty() { String::new() } else { format!(", without {}", days.unplanned.join(", ")) };
    writeln!(
        out,
        "\nDays{but}: {} evenings or days of work for {people}, {:.0} hours by the clock ({:.0} person-hours), from {} to {} (evening by evening: report.html and days.csv, with --out)",
        days.n_evenings,
        days.clock_h,
        days.worked_h,
        on(first.day, first.date),
        on(last.day, last.date),
    )?;
    not_fitting(plan, out)
}

fn not_fitting(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let unfit = &plan.days.does_not_fit;
    if !unfit.is_empty() {
        let unfit: Vec<&DoesNotFit> = unfit.iter().collect();
        let names: Vec<String> = together(&unfit)
            .into_iter()
            .map(|(abouts, unfit)| format!("{} ({})", abouts.join("; "), unfit.reason))
            .collect();
        writeln!(out, "In no evening: {}", names.join("; "))?;
    }
    Ok(())
}
