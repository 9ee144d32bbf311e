//! The timeline: a line for each plug with its mould and for each moulding, some weeks to a drawing.

use maud::{Markup, html};

use crate::report::page::figure::{At, count, drawn};
use crate::workshop::days::outcome::{Days, Line, Mark, Week};

/// So many weeks to a drawing: what a page holds.
const WEEKS: usize = 6;
/// Room for names.
const NAMES_PX: f64 = 210.0;
const DAY_PX: f64 = 11.0;
const LINE_PX: f64 = 14.0;
const HEAD_PX: f64 = 30.0;

/// All drawings.
pub fn timeline(days: &Days, at: &At) -> Markup {
    let weeks = at.key("weeks");
    html! {
        h3 { "Timeline" }
        @for (index, chunk) in days.weeks.chunks(WEEKS).enumerate() {
            (drawing(days, chunk, index * WEEKS, &weeks))
        }
    }
}

fn drawing(days: &Days, weeks: &[Week], first_week: usize, at: &At) -> Markup {
    let Some(first) = weeks.first() else { return html! {} };
    let n_days = 7 * weeks.len() as u32;
    let (from, to) = (first.day, first.day + n_days - 1);
    let lines: Vec<&Line> = days.lines.iter().filter(|line| line.first_day <= to && line.last_day >= from).collect();
    let width = NAMES_PX + f64::from(n_days) * DAY_PX + 4.0;
    let height = HEAD_PX + lines.len() as f64 * LINE_PX + 4.0;
    html! {
        figure.timeline {
            div.scroll tabindex="0" role="region" aria-label={ "Timeline from day " (from) } {
                svg viewBox={ "0 0 " (width) " " (height) } width=(width) height=(height) role="img"
                    aria-label={ "Timeline from day " (from) " to " (to) ": the same as the table by evening" } {
                    (rests(days, from, to, height))
                    @for (index, week) in weeks.iter().enumerate() {
                        @let x = left(week.day, from);
                        path.week d={ "M" (x) " 14V" (height - 2.0) } {}
                        text x=(x + 2.0) y="11" {
                            @if let Some(date) = week.date { (date) } @else { "day " (drawn(f64::from(week.day), 0, &at.item(first_week + index).key("day"))) }
                        }
                    }
                    @for (index, line) in lines.iter().enumerate() {
                        (row(line, HEAD_PX + index as f64 * LINE_PX, from, to))
                    }
                }
            }
            figcaption {
                "From day " (count(from, &at.item(first_week).key("day")))
                ": full squares, gelcoat or plies go on; hollow squares, other work; triangles, it comes off; lines, it waits. Days without hours are shaded."
            }
        }
    }
}

fn left(day: u32, from: u32) -> f64 {
    NAMES_PX + f64::from(day.saturating_sub(from)) * DAY_PX
}

/// Days without hours.
fn rests(days: &Days, from: u32, to: u32, height: f64) -> Markup {
    html! {
        @for day in from..=to {
            @if days.working.stretches_of(day - 1).is_empty() {
                rect.rest x=(left(day, from)) y=(HEAD_PX - 4.0) width=(DAY_PX) height=(height - HEAD_PX + 2.0) {}
            }
        }
    }
}

fn row(line: &Line, top: f64, from: u32, to: u32) -> Markup {
    let middle = top + LINE_PX / 2.0;
    let begins = left(line.first_day.max(from), from);
    let ends = left(line.last_day.min(to), from) + DAY_PX;
    html! {
        text x=(NAMES_PX - 6.0) y=(middle + 3.5) text-anchor="end" { (short(&line.about)) title { (line.about) } }
        path.wait d={ "M" (begins) " " (middle) "H" (ends) } {}
        @for marked in line.days.iter().filter(|marked| (from..=to).contains(&marked.day)) {
            @let x = left(marked.day, from);
            @match marked.mark {
                Mark::Wet => { rect.wet x=(x + 1.5) y=(middle - 4.0) width=(DAY_PX - 3.0) height="8" {} }
                Mark::Work => { rect.work x=(x + 2.5) y=(middle - 3.0) width=(DAY_PX - 5.0) height="6" {} }
                Mark::Off => { path.off d={ "M" (x + 1.0) " " (middle + 4.0) "h" (DAY_PX - 2.0) "l" (1.0 - DAY_PX / 2.0) " -8z" } {} }
            }
        }
    }
}

/// What the room for names takes.
fn short(about: &str) -> String {
    const MOST: usize = 36;
    if about.chars().count() <= MOST {
        about.to_owned()
    } else {
        about.chars().take(MOST - 3).chain("...".chars()).collect()
    }
}
