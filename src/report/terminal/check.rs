//! What `check` found, for a person at a terminal.

use std::io::{self, Write};

use super::notes;
use super::table::{Column, Listing};
use crate::notes::Level;
use crate::report::check::{Checked, CheckedPart};

/// Writes the parts, what should be looked at, and a verdict.
///
/// # Errors
/// If `out` cannot be written.
pub fn check(checked: &Checked, out: &mut dyn Write) -> io::Result<()> {
    let mut table = Listing::new(&[
        Column::Words("part"),
        Column::Figures("size mm"),
        Column::Figures("mesh m2"),
        Column::Figures("mouldings"),
        Column::Words(""),
    ]);
    checked.parts.iter().for_each(|part| table.row(row(part)));
    if !table.is_empty() {
        write!(out, "{table}")?;
    }
    notes(&checked.file, &checked.notes, out)?;
    writeln!(out, "{}: {}", checked.file, verdict(checked))
}

fn row(part: &CheckedPart) -> [String; 5] {
    let size = part.size_mm.map(|extent| format!("{extent:.1}")).join(" x ");
    let hands = if part.mirrored { "of each hand" } else { "" };
    [part.name.clone(), size, format!("{:.4}", part.area_m2), part.quantity.to_string(), hands.to_owned()]
}

fn verdict(checked: &Checked) -> String {
    let n_warnings = checked.notes.iter().filter(|note| note.level >= Level::Warning).count();
    let n_errors = checked.job_errors().len() + checked.faults.len();
    match (n_errors, n_warnings) {
        (0, 0) => "can be planned".to_owned(),
        (0, 1) => "can be planned; 1 warning needs a look".to_owned(),
        (0, several) => format!("can be planned; {several} warnings need a look"),
        (1, _) => "cannot be planned as a whole: 1 error".to_owned(),
        (several, _) => format!("cannot be planned as a whole: {several} errors"),
    }
}
