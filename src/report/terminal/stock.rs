//! The materials and schedules as tables that fit a page of 100 columns.

use std::io::{self, Write};

use super::table::{Column, Listing};
use crate::job::resolve::Habits;
use crate::laminate::schedule::Schedules;
use crate::laminate::stock::Stock;
use crate::report::stock::{StockFigure, entries, schedule_rows};

/// Sources are long; wider tables break lines on a common terminal and on paper.
const WIDTH: u16 = 100;

/// Writes every material with its figures, sources and marks, then the schedules.
///
/// # Errors
/// If `out` cannot be written.
pub fn stock(stock: &Stock, habits: &[Habits<'_>], schedules: &Schedules, out: &mut dyn Write) -> io::Result<()> {
    for entry in entries(stock, habits) {
        let name = entry.name.map_or_else(String::new, |name| format!(" \"{name}\""));
        let facts: Vec<String> = entry.facts.iter().map(|(key, value)| format!("{key} {value}")).collect();
        let facts = if facts.is_empty() { String::new() } else { format!(": {}", facts.join(", ")) };
        writeln!(out, "{}{name}{facts}", entry.table)?;
        let mut table = Listing::new(&[
            Column::Words("figure"),
            Column::Figures("value"),
            Column::Figures("range"),
            Column::Words("mark"),
            Column::Words("source"),
        ])
        .within(WIDTH);
        for figure in &entry.figures {
            let (mark, source) = (figure.mark.words().to_owned(), figure.source.to_owned());
            table.row([figure.key.clone(), number(figure.value), range(figure), mark, source]);
        }
        writeln!(out, "{table}")?;
    }
    for (name, schedule) in schedules {
        writeln!(out, "schedule \"{name}\": makes a {}, resin {}", schedule.make.word(), schedule.resin)?;
        let columns =
            [Column::Words("layer"), Column::Words("material"), Column::Figures("plies"), Column::Words("zone")];
        let mut table = Listing::new(&columns).within(WIDTH);
        schedule_rows(schedule).into_iter().for_each(|row| table.row(row));
        writeln!(out, "{table}")?;
    }
    Ok(())
}

fn range(figure: &StockFigure<'_>) -> String {
    if figure.low < figure.high { format!("{} to {}", number(figure.low), number(figure.high)) } else { String::new() }
}

/// Without the noise that ten percent of a decimal number leaves in its sixteenth digit.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
