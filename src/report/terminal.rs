//! Tables and messages for a person at a terminal; clear without colour.

use std::io::{self, Write};

use crate::geometry::load::LoadFault;
use crate::geometry::survey::{Survey, SurveyOptions};

/// Writes what `measure` found.
///
/// # Errors
/// If `out` cannot be written.
pub fn measure(surveys: &[Survey], _options: &SurveyOptions, out: &mut dyn Write) -> io::Result<()> {
    for survey in surveys {
        writeln!(out, "{}: {:.4} m2", survey.part.name, survey.area_m2)?;
    }
    Ok(())
}

/// Writes what could not be used and how to mend it.
///
/// # Errors
/// If `err` cannot be written.
pub fn faults(faults: &[LoadFault], err: &mut dyn Write) -> io::Result<()> {
    for fault in faults {
        let object = fault.object.as_ref().map(|object| format!(", object '{object}'")).unwrap_or_default();
        writeln!(err, "error: {}{object}: {}", fault.file, fault.message)?;
        if !fault.remedy.is_empty() {
            writeln!(err, "       {}", fault.remedy)?;
        }
    }
    Ok(())
}
