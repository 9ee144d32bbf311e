//! The days: what fits and what does not, a timeline, when to stop, and what is done evening by evening.

use super::keys::with_keys;
use maud::{Markup, html};

use super::figure::{At, count, figure};
use crate::plan::Plan;
use crate::workshop::days::hours::Hours;
use crate::workshop::days::outcome::{Days, Evening, Row};
use crate::workshop::days::unfit::DoesNotFit;

mod timeline;

/// The section; empty where there is nothing to do.
pub fn section(plan: &Plan) -> Markup {
    let (days, at) = (&plan.days, At::root().key("days"));
    html! {
        section id="days" {
            h2 { "Days" }
            @if days.tasks.is_empty() && days.does_not_fit.is_empty() { p { "There is nothing to do." } }
            @else {
                (summary(days, &at))
                (unfit(&days.does_not_fit))
                (timeline::timeline(days, &at))
                (stops(days))
                (evenings(days, &at.key("evenings")))
            }
        }
    }
}

fn summary(days: &Days, at: &At) -> Markup {
    html! {
        @if !days.unplanned.is_empty() { p { b { "Not in the days: " (days.unplanned.join(", ")) "." } } }
        p {
            "Panels are taken from small and simple to large, in lots of four plugs; on the plugs of a lot it goes step by step, "
            "then mould by mould, and a lot's mouldings have their turn before the plugs of the lot after the next. Each task "
            "goes to the first free time after its least waits. Release film, gelcoat, putty, plies and the green trim go down together, "
            "so that every greatest wait is kept, or not at all. No dust is made while something wet is open. "
            "The first moulding of each mould is a trial that is weighed."
        }
        dl.facts {
            dt { "Evenings and days of work" } dd { (count(days.n_evenings, &at.key("n_evenings"))) }
            dt { "Somebody at work" } dd { (figure(days.clock_h, 0, &at.key("clock_h"))) " h by the clock" }
            dt { "Work" } dd { (figure(days.worked_h, 0, &at.key("worked_h"))) " person-hours, by a crew of " (count(days.people, &at.key("people"))) }
            @if let (Some(first), Some(last)) = (days.first_day, days.last_day) {
                dt { "From" } dd { (on(first, days.evenings.first(), &at.key("first_day"))) }
                dt { "To" } dd { (on(last, days.evenings.last(), &at.key("last_day"))) }
            }
            dt { "Hours" @if !days.working.told { ", assumed" } }
            dd { @for (index, hours) in days.working.week.iter().enumerate() { @if index > 0 { "; " } (week(hours)) } }
            @if !days.working.away.is_empty() {
                dt { "Away" }
                dd { @for (index, away) in days.working.away.iter().enumerate() {
                    @if index > 0 { "; " } (away.from) @if away.to != away.from { " to " (away.to) }
                } }
            }
        }
    }
}

fn on(day: u32, evening: Option<&Evening>, at: &At) -> Markup {
    html! {
        "day " (count(day, at))
        @if let Some(date) = evening.and_then(|evening| evening.date) { ", " (date) }
    }
}

fn week(hours: &Hours) -> String {
    let days: Vec<&str> = hours.days.iter().map(|day| day.word()).collect();
    format!("{} {} to {}", days.join(", "), hours.from, hours.to)
}

fn unfit(unfit: &[DoesNotFit]) -> Markup {
    html! {
        @if !unfit.is_empty() {
            h3 { "What is not in the days" }
            p { "In no evening below. The rest is planned without it." }
            @for one in unfit {
                div class={ "note" @if !one.remedies.is_empty() { " warning" } } {
                    span.about { bdi { (one.about) } } ": " (with_keys(&one.reason)) "."
                    @if !one.remedies.is_empty() {
                        span.remedy { "What would change that, each by itself:" }
                        ul { @for remedy in &one.remedies { li { (with_keys(remedy)) } } }
                    }
                }
            }
        }
    }
}

fn stops(days: &Days) -> Markup {
    html! {
        h3 { "When to stop" }
        ul.stops { @for stop in &days.stops { li { (stop.words) } } }
    }
}

fn evenings(days: &Days, at: &At) -> Markup {
    html! {
        h3 { "Evening by evening" }
        div.scroll tabindex="0" role="region" aria-label="Evening by evening" {
            table.evenings {
                caption.below { "Times hold what has to be waited for; coats of wax on one thing stand in one line, with other work between them. Minutes are of work." }
                thead { tr {
                    th scope="col" { "From" }
                    th scope="col" { "To" }
                    th.number scope="col" { "min" }
                    @if days.people > 1 { th.number scope="col" { "people" } }
                    th scope="col" { "On" }
                    th scope="col" { "What" }
                } }
                @for (index, evening) in days.evenings.iter().enumerate() { (one(evening, &at.item(index), days.people > 1)) }
            }
        }
    }
}

fn one(evening: &Evening, at: &At, with_people: bool) -> Markup {
    let rows = at.key("rows");
    html! {
        tbody {
            tr.evening {
                th colspan=(if with_people { 6 } else { 5 }) scope="rowgroup" {
                    (count(evening.number, &at.key("number"))) ". " (evening.weekday) ", day " (count(evening.day, &at.key("day")))
                    @if let Some(date) = evening.date { ", " (date) }
                    span.quiet { ", " (evening.from) " to " (evening.to) }
                }
            }
            @for (index, row) in evening.rows.iter().enumerate() { (line(row, &rows.item(index), with_people)) }
        }
    }
}

fn line(row: &Row, at: &At, with_people: bool) -> Markup {
    html! {
        tr {
            td.time { (row.from) }
            td.time { (row.to) }
            td.number { (count(row.minutes, &at.key("minutes"))) }
            @if with_people { td.number { (count(row.hands, &at.key("hands"))) } }
            th scope="row" { bdi { (row.about) } }
            td {
                (row.words)
                @if row.helpers > 0 { b { "; ask in " (count(row.helpers, &at.key("helpers"))) " more to lift" } }
            }
        }
    }
}
