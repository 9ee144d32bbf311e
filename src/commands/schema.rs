//! `matloft schema`: the JSON Schema of the job file, for editors.

use super::{Exit, Streams};
use crate::job;

/// What `schema` takes: nothing.
#[derive(Debug, clap::Args)]
pub struct Args {}

/// Prints the schema.
///
/// # Errors
/// If it cannot be written.
pub fn run(_args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    serde_json::to_writer_pretty(&mut *streams.out, &job::schema()).map_err(std::io::Error::from)?;
    writeln!(streams.out)?;
    Ok(Exit::Done)
}
