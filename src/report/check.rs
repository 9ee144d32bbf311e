//! What `check` found, and its JSON document.

use std::io::{self, Write};

use serde::Serialize;

use super::json::{ErrorEntry, write};
use crate::geometry::load::LoadFault;
use crate::geometry::part::Part;
use crate::job::{JobError, JobErrors, JobPart};
use crate::notes::Note;

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
    /// Name in the job.
    pub name: String,
    /// Mesh file as the job names it.
    pub file: String,
    /// The object of it that is meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub object: Option<String>,
    /// Unit of the mesh.
    pub units: &'static str,
    /// Mouldings to be made, one hand.
    pub quantity: u32,
    /// The other hand too.
    pub mirrored: bool,
    /// Extent along x, y and z.
    pub size_mm: [f64; 3],
    /// Area of the mesh, both sides of a body with a wall.
    pub area_m2: f64,
    /// Facets of the mesh.
    pub triangles: usize,
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

    /// What is wrong with the job, line by line.
    #[must_use]
    pub fn job_errors(&self) -> &[JobError] {
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
        errors: any_errors(&checked.file, checked.job_errors(), &checked.faults),
    };
    write(&document, out)
}

/// Writes a document that holds nothing but errors, for a command that could not start.
///
/// # Errors
/// If `out` cannot be written.
pub fn errors_json(
    file: &str,
    errors: Option<&JobErrors>,
    faults: &[LoadFault],
    out: &mut dyn Write,
) -> io::Result<()> {
    #[derive(Serialize)]
    struct Errors<'a> {
        errors: Vec<AnyError<'a>>,
    }
    let in_lines = errors.map_or(&[][..], |errors| &errors.errors);
    write(&Errors { errors: any_errors(file, in_lines, faults) }, out)
}

fn any_errors<'a>(file: &'a str, in_lines: &'a [JobError], faults: &'a [LoadFault]) -> Vec<AnyError<'a>> {
    let in_lines = in_lines.iter().map(|error| AnyError::Line {
        file,
        line: error.line,
        column: error.column,
        text: &error.text,
        message: error.fault.to_string(),
        remedy: error.fault.remedy(),
    });
    in_lines.chain(faults.iter().map(|fault| AnyError::File(fault.into()))).collect()
}
