//! `matloft stock`: the materials with their figures and where these come from.

use std::path::{Path, PathBuf};

use super::check::unopened;
use super::job_input::open;
use super::{Exit, Streams};
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
        Err(why) => return unopened(args.job.as_deref().unwrap_or(Path::new("")), args.json, &why, streams),
    };
    let shelf = job.shelf().expect("the starter's stock is tested, and a job's is checked as it is read");
    if args.json {
        report::stock::json(&shelf.stock, &shelf.habits(), &shelf.schedules, &mut *streams.out)?;
    } else {
        report::terminal::stock::stock(&shelf.stock, &shelf.habits(), &shelf.schedules, &mut *streams.out)?;
    }
    Ok(Exit::Done)
}
