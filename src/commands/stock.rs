//! `matloft stock`: the materials with their figures and where these come from.

use std::path::PathBuf;

use super::job_input::{Unopened, open};
use super::{Exit, Streams, check};
use crate::report;

/// What `stock` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A job file, to see its own materials and figures laid over the starter's
    #[arg(value_name = "JOB")]
    pub job: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Lists the materials and the schedules.
///
/// # Errors
/// If the list cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let job = match args.job.as_ref().map(|path| open(path)).transpose() {
        Ok(job) => job.unwrap_or_default(),
        Err(unopened) => return refused(args, &unopened, streams),
    };
    let shelf = job.shelf().expect("the starter's stock is tested, and a job's is checked as it is read");
    if args.json {
        report::stock::json(&shelf.stock, &shelf.habits(), &shelf.schedules, &mut *streams.out)?;
    } else {
        report::terminal::stock::stock(&shelf.stock, &shelf.habits(), &shelf.schedules, &mut *streams.out)?;
    }
    Ok(Exit::Done)
}

fn refused(args: &Args, unopened: &Unopened, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let (errors, faults) = match unopened {
        Unopened::Job(errors) => (Some(errors.clone()), Vec::new()),
        Unopened::File(fault) => (None, vec![fault.clone()]),
    };
    check::tell(errors.as_ref(), &faults, streams)?;
    if args.json {
        let file = args.job.as_deref().map(super::input::shown).unwrap_or_default();
        report::check::errors_json(&file, errors.as_ref(), &faults, &mut *streams.out)?;
    }
    Ok(Exit::BadInput)
}
