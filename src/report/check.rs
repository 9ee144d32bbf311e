//! What `check` found, as text and as JSON.

use std::io::{self, Write};

use serde::Serialize;

use super::json::ErrorEntry;
use crate::geometry::load::LoadFault;
use crate::geometry::part::Part;
use crate::job::{JobError, JobErrors, JobPart};
use crate::notes::{Level, Note};

/// What `check` found.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The job file as given.
    pub file: String,
    /// Title of the job.
    pub title: String,
    /// Parts that can be used, in the order of the job.
    pub parts: Vec<CheckedPart>,
    /// What a person should know.
    pub notes: Vec<Note>,
    /// What is wrong with the job or the meshes that it names.
    pub errors: Option<JobErrors>,
    /// What is wrong with the file itself.
    pub faults: Vec<LoadFault>,
}

/// A part that can be used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheckedPart {
    name: String,
    file: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    object: Option<String>,
    units: &'static str,
    quantity: u32,
    mirrored: bool,
    size_mm: [f64; 3],
    area_m2: f64,
    triangles: usize,
}

impl Checked {
    /// Nothing found yet.
    #[must_use]
    pub fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            title: String::new(),
            parts: Vec::new(),
            notes: Vec::new(),
            errors: None,
            faults: Vec::new(),
        }
    }

    /// True if nothing stands in the way of planning the job.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.errors.is_none() && self.faults.is_empty()
    }

    fn job_errors(&self) -> &[JobError] {
        self.errors.as_ref().map_or(&[], |errors| &errors.errors)
    }
}

impl CheckedPart {
    /// A part of the job and its mesh.
    #[must_use]
    pub fn new(wanted: &JobPart, part: &Part) -> Self {
        Self {
            name: wanted.name.clone(),
            file: wanted.file.clone(),
            object: wanted.object.clone(),
            units: part.unit.symbol(),
            quantity: wanted.quantity,
            mirrored: wanted.mirrored,
            size_mm: part.mesh.bounds().map_or([0.0; 3], |bounds| bounds.size_mm().into()),
            area_m2: part.mesh.area_m2(),
            triangles: part.mesh.faces.len(),
        }
    }
}

#[derive(Serialize)]
struct Document<'a> {
    job: &'a str,
    title: &'a str,
    complete: bool,
    parts: &'a [CheckedPart],
    notes: &'a [Note],
    errors: Vec<AnyError<'a>>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum AnyError<'a> {
    Line { file: &'a str, line: usize, column: usize, text: &'a str, message: String, remedy: String },
    File(ErrorEntry<'a>),
}

/// Writes the document of `check`.
///
/// # Errors
/// If `out` cannot be written.
pub fn json(checked: &Checked, out: &mut dyn Write) -> io::Result<()> {
    let document = Document {
        job: &checked.file,
        title: &checked.title,
        complete: checked.is_sound(),
        parts: &checked.parts,
        notes: &checked.notes,
        errors: errors(checked),
    };
    serde_json::to_writer_pretty(&mut *out, &document).map_err(io::Error::from)?;
    writeln!(out)
}

fn errors(checked: &Checked) -> Vec<AnyError<'_>> {
    let in_lines = checked.job_errors().iter().map(|error| AnyError::Line {
        file: &checked.file,
        line: error.line,
        column: error.column,
        text: &error.text,
        message: error.fault.to_string(),
        remedy: error.fault.remedy(),
    });
    in_lines.chain(checked.faults.iter().map(|fault| AnyError::File(fault.into()))).collect()
}

/// Writes what `check` found for a person: the parts, what should be looked at, and a verdict.
///
/// # Errors
/// If `out` cannot be written.
pub fn text(checked: &Checked, out: &mut dyn Write) -> io::Result<()> {
    let widest = checked.parts.iter().map(|part| part.name.chars().count()).max().unwrap_or(0);
    for part in &checked.parts {
        let [x, y, z] = part.size_mm;
        let pad = " ".repeat(widest - part.name.chars().count());
        let hands = if part.mirrored { ", both hands" } else { "" };
        writeln!(
            out,
            "{}{pad}  {x:8.1} x {y:8.1} x {z:8.1} mm  {:9.4} m2 of mesh  x{}{hands}",
            part.name, part.area_m2, part.quantity
        )?;
    }
    for note in &checked.notes {
        let level = match note.level {
            Level::Info => "note",
            Level::Warning => "warning",
            Level::Error => "error",
        };
        writeln!(out, "{level}: {}", note.message)?;
        if !note.remedy.is_empty() {
            writeln!(out, "  {}", note.remedy)?;
        }
    }
    let n_warnings = checked.notes.iter().filter(|note| note.level >= Level::Warning).count();
    let n_errors = checked.job_errors().len() + checked.faults.len();
    let verdict = match (n_errors, n_warnings) {
        (0, 0) => "can be planned".to_owned(),
        (0, 1) => "can be planned; 1 warning needs a look".to_owned(),
        (0, several) => format!("can be planned; {several} warnings need a look"),
        (1, _) => "cannot be planned as a whole: 1 error".to_owned(),
        (several, _) => format!("cannot be planned as a whole: {several} errors"),
    };
    writeln!(out, "{}: {verdict}", checked.file)
}
