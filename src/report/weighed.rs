//! What `weigh` tells: the build that was recorded, every build that counts, and the fits.

use std::io::{self, Write};

use serde::Serialize;

use crate::notes::Note;
use crate::workshop::record::Record;

/// What `weigh` tells.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// Number of the build that was recorded; nothing if they are only listed.
    pub recorded: Option<usize>,
    /// What is odd about it.
    pub notes: Vec<Note>,
    /// Everything that is recorded, and what it tells.
    pub record: Record,
}

#[derive(Serialize)]
struct Document<'a> {
    recorded: Option<usize>,
    notes: &'a [Note],
    #[serde(flatten)]
    record: Entry<'a>,
    errors: [(); 0],
}

#[derive(Serialize)]
struct Entry<'a> {
    file: &'a str,
    builds: &'a [crate::workshop::record::Numbered],
    fits: &'a [crate::workshop::record::fits::Fit],
    record_notes: &'a [Note],
}

/// Writes one JSON document.
///
/// # Errors
/// If `out` cannot be written.
pub fn json(told: &Told, out: &mut dyn Write) -> io::Result<()> {
    let Told { recorded, notes, record } = told;
    let entry = Entry { file: &record.file, builds: &record.builds, fits: &record.fits, record_notes: &record.notes };
    super::json::write(&Document { recorded: *recorded, notes, record: entry, errors: [] }, out)
}
