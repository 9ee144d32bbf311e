//! `matloft plan`: a job to what every panel takes, piece by piece.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::check::tell;
use super::job_input::{JobMesh, PartFaults, Unopened, meshes, open};
use super::progress::Progress;
use super::write_out::write_out;
use super::{Exit, Streams};
use crate::geometry::load::LoadFault;
use crate::job::twins::{Fingerprint, twin_notes};
use crate::job::{Job, JobErrors, Shelf};
use crate::laminate::error::LaminateError;
use crate::laminate::plies::plan_plies;
use crate::laminate::schedule::Make;
use crate::laminate::warnings::{cold_shop_note, mould_note, schedule_notes};
use crate::notes::{Level, Note};
use crate::plan::gather::gather;
use crate::plan::panel::{Panel, plan_panel};
use crate::plan::{PartFault, PartPlan, Plan};
use crate::report;

/// What `plan` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Also write plan.json, report.html, scene.glb, still pictures and the CSV tables into this folder
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// Let an incomplete plan take the place of a complete one
    #[arg(long)]
    pub force: bool,
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
        Ok(job) => match planned(&job, &args.job) {
            Ok(planned) => planned,
            Err(error) => return refused(args, None, &[of_laminate(&args.job, &error)], streams),
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
fn planned(job: &Job, path: &Path) -> Result<(Plan, Option<JobErrors>), LaminateError> {
    let shelf = job.shelf()?;
    let meshes = meshes(job, path);
    let mut notes = job.notes();
    notes.extend(lay_up_notes(job, &shelf)?);
    let prints: Vec<Option<Fingerprint>> =
        meshes.par_iter().map(|mesh| Fingerprint::of(&mesh.as_ref().ok()?.part.mesh)).collect();
    notes.extend(twin_notes(&job.parts, &prints));
    let progress = Progress::of(job.parts.len());
    let panels: Vec<Result<PartPlan, (PartFaults, Option<LaminateError>)>> = job
        .parts
        .par_iter()
        .zip(meshes)
        .map(|(entry, mesh)| {
            let JobMesh { part, planes, sha256, .. } = mesh.map_err(|faults| (faults, None))?;
            let panel = Panel { entry, part, planes, mesh_sha256: sha256 };
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
    Ok((gather(job, parts, faults, notes, &shelf.stock), errors))
}

/// Notes on the schedules that the job uses, each once.
fn lay_up_notes(job: &Job, shelf: &Shelf) -> Result<Vec<Note>, LaminateError> {
    let mut notes: Vec<Note> = cold_shop_note(&shelf.stock.practice).into_iter().collect();
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
