//! The evenings as a calendar file (iCalendar, RFC 5545): one event a stretch of hours, in floating local time.

use chrono::{Duration, NaiveDateTime, NaiveTime, TimeZone, Utc};
use icalendar::{Calendar, Component, Event, EventLike, Property};

use super::hours::{Clock, Date};
use super::outcome::{Days, Evening, Row};

/// Lines of a description past this are summed up: calendars show no more.
const MOST_ROWS: usize = 40;

/// The text of the calendar; nothing without a start.
///
/// Names of events stay the same from run to run, so that a file that is read again moves them instead of adding them:
/// they are the job's name and the stretch's number. The stamp is the first day's, not the clock's.
#[must_use]
pub fn calendar(days: &Days, job: &str) -> Option<String> {
    let first = days.working.start?;
    // The library's own head names the library as the maker; the standard allows one maker.
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    let name = if job.trim().is_empty() { "Lay-up" } else { job };
    calendar.append_property(Property::new("PRODID", "-//matloft//days//EN"));
    calendar.append_property(Property::new("X-WR-CALNAME", printable(name)));
    let stamp = Utc.from_utc_datetime(&first.0.and_time(NaiveTime::MIN));
    for evening in &days.evenings {
        let Some(date) = evening.date else { continue };
        let (from, to) = whole(evening);
        let mut event = Event::with_uid(&uid(job, evening.number));
        event.timestamp(stamp).starts(at(date, from)).ends(at(date, to));
        event.summary(&printable(&summary(evening))).description(&printable(&description(evening)));
        calendar.push(event.done());
    }
    Some(calendar.to_string())
}

/// Without what would break a line of the file in two; line feeds are written as such.
fn printable(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() && letter != '\n' { ' ' } else { letter }).collect()
}

fn at(date: Date, clock: Clock) -> NaiveDateTime {
    date.0.and_time(NaiveTime::MIN) + Duration::minutes(i64::from(clock.0))
}

/// From the first to the last thing that is done.
fn whole(evening: &Evening) -> (Clock, Clock) {
    let from = evening.rows.iter().map(|row| row.from).min().unwrap_or(evening.from);
    let to = evening.rows.iter().map(|row| row.to).max().unwrap_or(evening.to);
    (from, to)
}

/// Letters and digits of the job's name, and the stretch.
fn uid(job: &str, number: usize) -> String {
    let mut name: String = job.chars().filter(|letter| letter.is_ascii_alphanumeric()).take(24).collect();
    // Names in other letters are told apart by their sum.
    let sum = job.bytes().fold(0_u32, |sum, byte| sum.wrapping_mul(31).wrapping_add(u32::from(byte)));
    name.make_ascii_lowercase();
    format!("evening-{number}-{name}-{sum:08x}@matloft")
}

/// What most of the time goes to.
fn summary(evening: &Evening) -> String {
    let longest = evening.rows.iter().max_by_key(|row| (row.minutes, std::cmp::Reverse(row.from)));
    let what = longest.map_or_else(String::new, |row| format!("{}: {}", row.about, row.words));
    match evening.rows.len() {
        0 | 1 => what,
        n => format!("{what} (and {} more)", n - 1),
    }
}

fn description(evening: &Evening) -> String {
    let mut lines: Vec<String> = evening.rows.iter().take(MOST_ROWS).map(line).collect();
    if evening.rows.len() > MOST_ROWS {
        lines.push(format!("and {} more: see the plan", evening.rows.len() - MOST_ROWS));
    }
    lines.join("\n")
}

fn line(row: &Row) -> String {
    let helpers = if row.helpers > 0 { format!(" (ask in {} more to lift)", row.helpers) } else { String::new() };
    format!("{}-{} {}: {}{helpers}", row.from, row.to, row.about, row.words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_events_tell_jobs_apart_and_stay() {
        assert_eq!(uid("Teardrop body", 3), uid("Teardrop body", 3));
        assert_ne!(uid("Тело", 3), uid("Лодка", 3));
        assert!(uid("a, b; c", 1).chars().all(|letter| letter.is_ascii_alphanumeric() || "-@".contains(letter)));
    }
}
