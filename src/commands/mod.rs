//! The commands: read, compute, render. Only these open files.

use std::ffi::OsString;
use std::io::Write;

use clap::{Parser, Subcommand};

pub mod check;
pub mod compare;
pub mod input;
pub mod job_input;
pub mod measure;
pub mod pictures;
pub mod plan;
mod progress;
mod reduce;
pub mod schema;
pub mod splits;
pub mod start;
pub mod stock;
pub mod weigh;
pub mod weighed_file;
mod write_out;

/// How the program ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// Done.
    Done = 0,
    /// Done, with warnings that need a person, and `--strict` was given.
    NeedsPerson = 1,
    /// Some input could not be used.
    BadInput = 2,
    /// Wrong usage.
    WrongUsage = 64,
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// Where a command writes: data to one, messages for the person to the other.
pub struct Streams<'a> {
    /// Standard output: nothing but data.
    pub out: &'a mut dyn Write,
    /// Standard error: messages.
    pub err: &'a mut dyn Write,
}

/// From CAD exports of a body's panels to areas, corners, plies and masses for hand lay-up in glass fibre.
#[derive(Debug, Parser)]
#[command(name = "matloft", version, arg_required_else_help = true)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Measure panels: area, skin, corners, state of the mesh
    Measure(measure::Args),
    /// Write a job file for panels, ready to be planned
    Start(start::Args),
    /// Plan a job: splits, corners, plies, materials and mass of every panel
    Plan(plan::Args),
    /// Record what the scales said of a build, or list what is recorded and what it tells
    Weigh(weigh::Args),
    /// Set schedules for the same panels side by side: mass, cost, thickness, days, stiffness
    Compare(compare::Args),
    /// Search where to split so that every mould comes off
    Splits(splits::Args),
    /// Say whether a job can be planned, and what to look at first
    Check(check::Args),
    /// List the materials with their figures, sources and marks
    Stock(stock::Args),
    /// Print the JSON Schema of the job file, for editors
    Schema(schema::Args),
}

/// Runs the program on its arguments and returns how it ended.
pub fn run(arguments: impl IntoIterator<Item = OsString>, streams: &mut Streams<'_>) -> Exit {
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(error) => return usage(&error, streams),
    };
    let done = match cli.command {
        Command::Measure(args) => measure::run(&args, streams),
        Command::Start(args) => start::run(&args, streams),
        Command::Plan(args) => plan::run(&args, streams),
        Command::Weigh(args) => weigh::run(&args, streams),
        Command::Compare(args) => compare::run(&args, streams),
        Command::Splits(args) => splits::run(&args, streams),
        Command::Check(args) => check::run(&args, streams),
        Command::Stock(args) => stock::run(&args, streams),
        Command::Schema(args) => schema::run(&args, streams),
    };
    match done.and_then(|exit| streams.out.flush().map(|()| exit)) {
        Ok(exit) => exit,
        // A reader that closes the pipe early (`head`) has what it wanted.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Exit::Done,
        Err(error) => {
            let _ = writeln!(streams.err, "matloft: cannot write the result: {error}");
            Exit::BadInput
        }
    }
}

/// Help and version go to standard output and are no fault; everything else is wrong usage.
fn usage(error: &clap::Error, streams: &mut Streams<'_>) -> Exit {
    if error.use_stderr() {
        let _ = write!(streams.err, "{error}");
        Exit::WrongUsage
    } else {
        let _ = write!(streams.out, "{error}");
        Exit::Done
    }
}
