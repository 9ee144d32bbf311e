//! What is in stock already, and need not be bought.

use chrono::{Months, NaiveDate};

use super::entries::{OnShelfEntry, day};
use super::units::{SaleUnit, Unlike, converted, sale_name};
use super::{Dates, unlike_words};
use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::workshop::needs::Need;

/// The shelf while an order is drawn from it: what one need takes no other finds there.
#[derive(Debug, Clone)]
pub struct Shelf<'a> {
    entries: &'a [OnShelfEntry],
    /// Of each entry the share that nothing has taken yet.
    left: Vec<f64>,
}

impl<'a> Shelf<'a> {
    /// As the job says it.
    #[must_use]
    pub fn of(entries: &'a [OnShelfEntry]) -> Self {
        Self { entries, left: vec![1.0; entries.len()] }
    }

    /// How much of a need is there and still good when it is used, in the unit by which it is sold, and what has to be told.
    /// As much as is wanted of it is taken off.
    pub fn take(
        &mut self,
        need: &Need,
        sold_by: SaleUnit,
        wanted: f64,
        dates: Dates,
        stock: &Stock,
    ) -> (f64, Vec<Note>) {
        let name = sale_name(need);
        let (mut sum, mut rest) = (0.0, wanted);
        let mut notes = Vec::new();
        for (entry, left) in self.entries.iter().zip(&mut self.left).filter(|(entry, _)| entry.of == name) {
            let Some(amount) = entry.told().amount() else { continue };
            let all = match converted(amount, need, sold_by, stock) {
                Ok(all) => all,
                Err(why) => {
                    notes.push(not_counted(&name, why, sold_by));
                    continue;
                }
            };
            let (counts, note) = is_good(entry, &name, dates);
            notes.extend(note);
            if !counts || all <= 0.0 {
                continue;
            }
            let there = all * *left;
            sum += there;
            *left = (there - rest).max(0.0) / all;
            rest = (rest - there).max(0.0);
        }
        (sum, notes)
    }
}

fn not_counted(name: &str, why: Unlike, sold_by: SaleUnit) -> Note {
    Note::warning(
        "shelf-not-counted",
        format!("{name} on the shelf is not counted: {}", unlike_words(why, sold_by)),
        format!("say in [[on_shelf]] how many {} there are", sold_by.key()),
    )
}

/// The last day on which it is good.
fn good_until(entry: &OnShelfEntry) -> Option<NaiveDate> {
    let opened = entry.opened.as_deref().and_then(day);
    let from_opening =
        opened.zip(entry.keeps_opened_months).and_then(|(day, n)| day.checked_add_months(Months::new(n)));
    let printed = entry.expires.as_deref().and_then(day);
    // Whichever comes first; a date that is missing does not come.
    [printed, from_opening].into_iter().flatten().min()
}

/// Whether it counts, and what a person should know about it.
fn is_good(entry: &OnShelfEntry, name: &str, dates: Dates) -> (bool, Option<Note>) {
    match (good_until(entry), dates.last_day) {
        (Some(until), Some(last)) if until < last => {
            let message =
                format!("{name} on the shelf is good until {until}, the work ends on {last}: it is not counted");
            (
                false,
                Some(Note::warning("shelf-expires", message, "use it up first and give it as of that, or buy fresh")),
            )
        }
        (Some(until), None) => undated(name, until, dates.start),
        (None, _) if entry.opened.is_some() => {
            let message = format!("{name} on the shelf was opened, and nothing says how long it keeps: it is counted");
            let remedy = "give `expires`, or `keeps_opened_months` from the maker's sheet";
            (true, Some(Note::info("shelf-date-unchecked", message, remedy)))
        }
        _ => (true, None),
    }
}

/// The same where it is not known when the work ends.
fn undated(name: &str, until: NaiveDate, start: Option<NaiveDate>) -> (bool, Option<Note>) {
    let good = format!("{name} on the shelf is good until {until}");
    let unchecked = |why: &str| {
        let remedy = "see that the work ends before";
        (true, Some(Note::info("shelf-date-unchecked", format!("{good}, {why}"), remedy)))
    };
    match start {
        Some(start) if until < start => {
            let message = format!("{good}, the work begins on {start}: it is not counted");
            (false, Some(Note::warning("shelf-expires", message, "buy fresh, or begin sooner")))
        }
        Some(_) => unchecked(
            "and no day could be planned, so that it is not known when the work ends: it is counted, as good when the work begins",
        ),
        None => unchecked("and the job says no first day: it is counted"),
    }
}
