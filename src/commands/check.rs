//! `matloft check`: can this job be planned?

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::job_input::{JobMesh, Unopened, meshes, open};
use super::{Exit, Streams};
use crate::geometry::crossing::Crossings;
use crate::geometry::load::LoadFault;
use crate::geometry::split::Missed;
use crate::job::frames::frames;
use crate::job::twins::{Fingerprint, twin_notes};
use crate::job::{Job, JobErrors, JobPart};
use crate::notes::{Level, Note};
use crate::plan::beside::unmixed_notes;
use crate::plan::panel::missed_note;
use crate::plan::rough::not_read;
use crate::report;
use crate::report::check::{Checked, CheckedPart};
use crate::workshop::days::outcome::away_notes;

/// What `check` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// End with 1 if a warning needs a person
    #[arg(long)]
    pub strict: bool,
}

/// Checks a job and the meshes that it names, and tells what was found.
///
/// # Errors
/// If the result cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let file = super::input::shown(&args.job);
    let checked = match open(&args.job) {
        Ok(job) => checked(&job, &file, meshes(&job, &args.job)),
        Err(Unopened::File(fault)) => Checked { faults: vec![fault], ..Checked::new(&file) },
        Err(Unopened::Job(errors)) => Checked { errors: Some(errors), ..Checked::new(&file) },
    };
    if args.json {
        report::check::json(&checked, &mut *streams.out)?;
    } else {
        report::terminal::check::check(&checked, &mut *streams.out)?;
    }
    tell(checked.errors.as_ref(), &checked.faults, streams)?;
    let warned = checked.notes.iter().any(|note| note.level >= Level::Warning);
    Ok(match checked.is_sound() {
        false => Exit::BadInput,
        true if args.strict && warned => Exit::NeedsPerson,
        true => Exit::Done,
    })
}

/// Faults on standard error: those of the job in frames, those of files below.
pub(super) fn tell(errors: Option<&JobErrors>, faults: &[LoadFault], streams: &mut Streams<'_>) -> std::io::Result<()> {
    if let Some(errors) = errors {
        let colour = std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
        write!(streams.err, "{}", frames(errors, colour))?;
    }
    report::terminal::faults(faults, &mut *streams.err)
}

/// A job that a command can do nothing with: its faults on standard error, and as a document if one is asked for.
pub(super) fn refused(
    job: &Path,
    as_json: bool,
    errors: Option<&JobErrors>,
    faults: &[LoadFault],
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    if as_json {
        report::check::errors_json(&super::input::shown(job), errors, faults, &mut *streams.out)?;
    }
    tell(errors, faults, streams)?;
    Ok(Exit::BadInput)
}

/// [`refused`] for a job that could not be opened.
pub(super) fn unopened(job: &Path, as_json: bool, why: &Unopened, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    match why {
        Unopened::File(fault) => refused(job, as_json, None, std::slice::from_ref(fault), streams),
        Unopened::Job(errors) => refused(job, as_json, Some(errors), &[], streams),
    }
}

fn checked(job: &Job, file: &str, meshes: Vec<Result<JobMesh, super::job_input::PartFaults>>) -> Checked {
    let mut found = Vec::new();
    let mut parts = Vec::new();
    let mut notes = job.notes();
    let prints: Vec<Option<Fingerprint>> =
        meshes.par_iter().map(|mesh| Fingerprint::of(&mesh.as_ref().ok()?.part.mesh)).collect();
    for (part, mesh) in job.parts.iter().zip(meshes) {
        match mesh {
            Ok(mesh) => {
                notes.extend(mesh_notes(part, &mesh).iter().map(|note| of_part(&part.name, note)));
                parts.push(CheckedPart::new(part, &mesh.part));
            }
            Err(faults) => found.extend(faults),
        }
    }
    if let Ok(shelf) = job.shelf() {
        notes.extend(unmixed_notes(job, &shelf));
        notes.extend(away_notes(&shelf.pace.working()));
    }
    notes.extend(twin_notes(&job.parts, &prints));
    let errors = (!found.is_empty()).then(|| job.source.errors(found));
    Checked { title: job.title.clone(), parts, notes, errors, ..Checked::new(file) }
}

/// What is to be known of one part before it is planned: its mesh, walls that cross, its scan, splits that pass it by.
fn mesh_notes(part: &JobPart, mesh: &JobMesh) -> Vec<Note> {
    let unread = mesh.rough.iter().filter_map(|scan| Some(not_read(scan.as_ref().err()?)));
    let planes = part.splits.iter().zip(&mesh.planes);
    let missed = planes.filter_map(|(split, plane)| Missed::by(&mesh.part.mesh, &split.name, plane));
    let crossings = Crossings::of(&mesh.part.mesh).note();
    mesh.part
        .notes
        .iter()
        .cloned()
        .chain(crossings)
        .chain(unread)
        .chain(missed.map(|missed| missed_note(&missed)))
        .collect()
}

/// A note of one part among those of the job.
fn of_part(part: &str, note: &Note) -> Note {
    Note { message: format!("part \"{part}\": {}", note.message), ..note.clone() }
}
