//! Tables and messages for a person at a terminal; clear without colour. Figures are rounded here and nowhere else.

use std::io::{self, Write};

use crate::geometry::load::LoadFault;
use crate::geometry::mesh::Point;
use crate::geometry::pull::Pull;
use crate::notes::{Level, Note};

pub mod check;
mod compare;
mod days;
mod measure;
mod mixes;
mod order;
mod plan;
mod splits;
pub mod stock;
pub mod table;
mod weighed;

pub use compare::comparisons;
pub use measure::measure;
pub use plan::plan;
pub use splits::splits;
pub use weighed::{record, weighed};

/// Writes what could not be used and how to mend it.
///
/// # Errors
/// If `err` cannot be written.
pub fn faults(faults: &[LoadFault], err: &mut dyn Write) -> io::Result<()> {
    for fault in faults {
        let object = fault.object.as_ref().map(|object| format!(", object '{object}'")).unwrap_or_default();
        message(err, "error", &format!("{}{object}: {}", fault.file, fault.message), &fault.remedy)?;
    }
    Ok(())
}

/// Writes the notes on one thing, each under the other.
///
/// # Errors
/// If `out` cannot be written.
pub fn notes<'a>(about: &str, notes: impl IntoIterator<Item = &'a Note>, out: &mut dyn Write) -> io::Result<()> {
    for note in notes {
        let word = match note.level {
            Level::Info => "note",
            Level::Warning => "warning",
            Level::Error => "error",
        };
        let about = if about.is_empty() { String::new() } else { format!("{about}: ") };
        message(out, word, &format!("{about}{}", note.message), &note.remedy)?;
    }
    Ok(())
}

fn message(out: &mut dyn Write, word: &str, text: &str, remedy: &str) -> io::Result<()> {
    writeln!(out, "{word}: {text}")?;
    let mut lines = remedy.lines();
    if let Some(first) = lines.next() {
        writeln!(out, "{:width$}-> {first}", "", width = word.len() + 2)?;
    }
    // Lines to paste stand at the margin, as they are pasted.
    lines.try_for_each(|line| writeln!(out, "{line}"))
}

/// The least draft of a pull, and how far it may be off where that shows.
fn draft_words(pull: &Pull) -> String {
    let error_deg = pull.draft_error.error_deg;
    let least = degrees(pull.least_draft_deg);
    if pull.draft_error.finer_mm.is_some() { format!("{least} ± {error_deg:.1}") } else { least }
}

/// An angle to a tenth of a degree, without a minus before 0.
fn degrees(deg: f64) -> String {
    format!("{:.1}", (10.0 * deg).round() / 10.0 + 0.0)
}

/// A point to the millimetre, for finding a place in the CAD model.
fn place(point: &Point) -> String {
    // Adding 0 turns -0 into 0.
    let [x, y, z] = [point.x, point.y, point.z].map(|coordinate| coordinate.round() + 0.0);
    format!("{x} {y} {z}")
}
