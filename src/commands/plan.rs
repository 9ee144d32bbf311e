//! `matloft plan`: a job to what every panel takes, piece by piece.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::check::tell;
use super::job_input::{JobMesh, PartFaults, Unopened, meshes, open};
use super::progress::Progress;
use super::weighed_file::{beside, read};
use super::write_out::write_out;
use super::{Exit, Streams};
use crate::geometry::load::LoadFault;
use crate::job::twins::{Fingerprint, twin_notes};
use crate::job::{Job, JobErrors, JobPart, Shelf};
use crate::laminate::error::LaminateError;
use crate::laminate::plies::plan_plies;
use crate::laminate::schedule::Make;
use crate::laminate::warnings::{cold_shop_note, cool_cure_note, hot_shop_note, mould_note, schedule_notes};
use crate::notes::{Level, Note};
use crate::plan::gather::gather;
use crate::plan::panel::{Panel, plan_panel};
use crate::plan::{PartFault, PartPlan, Plan};
use crate::report;
use crate::watch::Unwatched;
use crate::workshop::record::Record;
use crate::workshop::record::overlay::lay_over;

/// What `plan` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Also write plan.json, report.html, scene.glb, still pictures, the CSV tables and, for a job with a start, days.ics into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// Let an incomplete plan take the place of a complete one
    #[arg(long)]
    pub force: bool,
    /// Leave out what `matloft weigh` recorded beside the job
    #[arg(long)]
    pub as_planned: bool,
    /// End with 1 if a warning needs a person
    #[arg(long)]
    pub strict: bool,
}

/// Plans a job and tells the result.
///
/// # Errors
/// If the result cannot be printed.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let (plan, errors) = match open(&args.job) {
        Ok(job) => match planned(&job, &args.job, args.as_planned) {
            Ok(planned) => planned,
            Err(fault) => return refused(args, None, &[fault], streams),
        },
        Err(Unopened::File(fault)) => return refused(args, None, &[fault], streams),
        Err(Unopened::Job(errors)) => return refused(args, Some(&errors), &[], streams),
    };
    let mut document = Vec::new();
    report::json::plan(&plan, &mut document)?;
    let written = args.out.as_deref().map(|folder| write_out(folder, &plan, &document, args.force));
    if args.json {
        streams.out.write_all(&document)?;
    } else {
        report::terminal::plan(&plan, &mut *streams.out)?;
    }
    tell(errors.as_ref(), &[], streams)?;
    let kept = match written {
        None => true,
        Some(Ok(moves)) => {
            moves.iter().try_for_each(|moved| writeln!(streams.err, "since the last plan: {}", moved.sentence()))?;
            true
        }
        Some(Err(fault)) => {
            report::terminal::faults(&[fault], &mut *streams.err)?;
            false
        }
    };
    let warned = plan.notes().any(|(_, note)| note.level >= Level::Warning);
    Ok(match plan.is_complete() && kept {
        false => Exit::BadInput,
        true if args.strict && warned => Exit::NeedsPerson,
        true => Exit::Done,
    })
}

/// A job that cannot be planned at all is an empty plan with its faults.
fn refused(
    args: &Args,
    errors: Option<&JobErrors>,
    faults: &[LoadFault],
    streams: &mut Streams<'_>,
) -> std::io::Result<Exit> {
    if args.json {
        report::json::refused_plan(&super::input::shown(&args.job), errors, faults, &mut *streams.out)?;
    }
    tell(errors, faults, streams)?;
    Ok(Exit::BadInput)
}

fn of_laminate(job: &Path, error: &LaminateError) -> LoadFault {
    LoadFault { file: super::input::shown(job), object: None, message: error.to_string(), remedy: error.remedy() }
}

/// The plan, and what is at fault with single panels.
fn planned(job: &Job, path: &Path, as_planned: bool) -> Result<(Plan, Option<JobErrors>), LoadFault> {
    let of_laminate = |error| of_laminate(path, &error);
    let mut shelf = job.shelf().map_err(of_laminate)?;
    let record = weighed(path, &mut shelf, as_planned)?;
    let meshes = meshes(job, path);
    let mut notes = job.notes();
    notes.extend(record.iter().flat_map(|record| record.notes.iter().cloned()));
    notes.extend(lay_up_notes(job, &shelf).map_err(of_laminate)?);
    let prints: Vec<Option<Fingerprint>> =
        meshes.par_iter().map(|mesh| Fingerprint::of(&mesh.as_ref().ok()?.part.mesh)).collect();
    notes.extend(twin_notes(&job.parts, &prints));
    let progress = Progress::of(job.parts.len());
    let panels: Vec<Result<PartPlan, (PartFaults, Option<LaminateError>)>> = job
        .parts
        .par_iter()
        .zip(meshes)
        .map(|(entry, mesh)| {
            let JobMesh { part, planes, sha256, rough, .. } = mesh.map_err(|faults| (faults, None))?;
            let panel = Panel { entry, part, planes, mesh_sha256: sha256, rough };
            let planned = plan_panel(panel, job, &shelf, &progress).map_err(|error| (Vec::new(), Some(error)));
            progress.done_with(&entry.name);
            planned
        })
        .collect();
    progress.finish();
    let mut parts = Vec::new();
    let mut faults = Vec::new();
    let mut found = Vec::new();
    for (entry, panel) in job.parts.iter().zip(panels) {
        match panel {
            Ok(part) => parts.push(part),
            Err((part_faults, error)) => {
                let of_job = part_faults.iter().map(|(_, fault)| (fault.to_string(), fault.remedy()));
                let of_lay_up = error.iter().map(|error| (error.to_string(), error.remedy()));
                faults.extend(of_job.chain(of_lay_up).map(|(message, remedy)| PartFault {
                    part: entry.name.clone(),
                    file: entry.file.clone(),
                    message,
                    remedy,
                }));
                found.extend(part_faults);
            }
        }
    }
    let errors = (!found.is_empty()).then(|| job.source.errors(found));
    let mut plan = gather(job, parts, faults, notes, &shelf);
    plan.record = record;
    Ok((plan, errors))
}

/// What was weighed, laid over the shelf unless it is to stay as planned; nothing where nothing was weighed.
pub(super) fn weighed(job: &Path, shelf: &mut Shelf, as_planned: bool) -> Result<Option<Record>, LoadFault> {
    let path = beside(job);
    let Some(records) = read(&path)? else { return Ok(None) };
    Ok(Some(lay_over(&records, &super::input::shown(&path), &mut shelf.stock, &mut shelf.crew, !as_planned)))
}

/// The plan of one panel of a job, by the shelf given, without the scan of its rough plug: nothing that is laid rests on that.
///
/// # Errors
/// A fault naming the job, if the panel's mesh or its lay-up cannot be used.
pub(super) fn planned_part(job: &Job, path: &Path, entry: &JobPart, shelf: &Shelf) -> Result<PartPlan, LoadFault> {
    let alone = Job { parts: vec![JobPart { rough: None, ..entry.clone() }], ..job.clone() };
    let mesh = meshes(&alone, path).into_iter().next().expect("a job of one part has one mesh");
    let JobMesh { part, planes, sha256, .. } = mesh.map_err(|faults| {
        let (message, remedy) =
            faults.first().map_or_else(Default::default, |(_, fault)| (fault.to_string(), fault.remedy()));
        LoadFault { file: super::input::shown(path), object: None, message, remedy }
    })?;
    let panel = Panel { entry, part, planes, mesh_sha256: sha256, rough: None };
    plan_panel(panel, job, shelf, &Unwatched).map_err(|error| of_laminate(path, &error))
}

/// Notes on the schedules that the job uses, each once.
fn lay_up_notes(job: &Job, shelf: &Shelf) -> Result<Vec<Note>, LaminateError> {
    let practice = &shelf.stock.practice;
    let of_shop = [cold_shop_note(practice), cool_cure_note(practice), hot_shop_note(practice)];
    let mut notes: Vec<Note> = of_shop.into_iter().flatten().collect();
    for entry in &job.parts {
        let mut plans = Vec::new();
        for make in [Make::Mould, Make::Moulding] {
            if let Some((name, schedule)) = shelf.schedule(job, entry, make) {
                let plan = plan_plies(name, schedule, &shelf.stock)?;
                notes.extend(schedule_notes(&plan, schedule, &shelf.stock)?);
                plans.push(plan);
            }
        }
        if let [mould, moulding] = plans.as_slice() {
            notes.extend(mould_note(mould, moulding, &shelf.stock.practice));
        }
    }
    let mut each_once: Vec<Note> = Vec::new();
    for note in notes {
        if !each_once.contains(&note) {
            each_once.push(note);
        }
    }
    Ok(each_once)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The scan is a file that cannot be read: whoever reads it has a note of that.
    #[test]
    fn one_panel_is_planned_without_the_scan_of_its_rough_plug() {
        let folder = tempfile::tempdir().expect("a folder");
        let facet = |corners: [&str; 3]| {
            let vertices: String = corners.iter().map(|at| format!("vertex {at}\n")).collect();
            format!("facet normal 0 0 1\nouter loop\n{vertices}endloop\nendfacet\n")
        };
        let flat = facet(["0 0 0", "500 0 0", "500 300 0"]) + &facet(["0 0 0", "500 300 0", "0 300 0"]);
        let job = "units = \"mm\"\n[[part]]\nname = \"lid\"\nfile = \"lid.stl\"\nrough = \"scan.stl\"\n";
        let path = folder.path().join("job.toml");
        let files = [("lid.stl", format!("solid lid\n{flat}endsolid lid\n")), ("job.toml", job.to_owned())];
        for (name, text) in files.into_iter().chain([("scan.stl", "no scan".to_owned())]) {
            std::fs::write(folder.path().join(name), text).expect("a file");
        }
        let job = open(&path).expect("a job");
        let shelf = job.shelf().expect("a shelf");
        let has_note = |part: &PartPlan| part.notes.iter().any(|note| note.code == "rough-not-read");
        let alone = planned_part(&job, &path, &job.parts[0], &shelf).expect("a plan");
        assert!(alone.rough.is_none() && !has_note(&alone));
        let (whole, _) = planned(&job, &path, true).expect("a plan");
        assert!(has_note(&whole.parts[0]), "{:?}", whole.parts[0].notes);
    }
}
