//! The document of `compare`.

use std::io::{self, Write};

use serde::Serialize;

use crate::laminate::figure::Mark;
use crate::laminate::lamina::{MARK, SOURCE};
use crate::workshop::compare::{Comparison, NO_CERTIFICATE};

#[derive(Serialize)]
struct Document<'a> {
    comparisons: &'a [Comparison],
    moduli_source: &'static str,
    moduli_mark: Mark,
    first_of_all: &'static str,
    errors: [(); 0],
}

/// Writes one JSON document.
///
/// # Errors
/// If `out` cannot be written.
pub fn json(comparisons: &[Comparison], out: &mut dyn Write) -> io::Result<()> {
    let document =
        Document { comparisons, moduli_source: SOURCE, moduli_mark: MARK, first_of_all: NO_CERTIFICATE, errors: [] };
    super::json::write(&document, out)
}
