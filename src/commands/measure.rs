//! `matloft measure`: what the meshes themselves say; needs no job file.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::progress::Progress;
use super::{Exit, Streams, input};
use crate::geometry::corners::Listing;
use crate::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use crate::geometry::mesh::Vector;
use crate::geometry::pull::{BaseChoice, PullOptions, SplitAsked};
use crate::geometry::survey::{Survey, SurveyOptions, survey};
use crate::laminate::materials::MOST_DRAFT_DEG;
use crate::laminate::stock::Stock;
use crate::notes::Level;
use crate::report;
use crate::units::LengthUnit;

/// What `measure` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// STL or OBJ files, or folders that hold them
    #[arg(required = true, value_name = "FILE|FOLDER")]
    pub files: Vec<PathBuf>,
    /// Unit of the meshes: mm, cm, m, in or ft
    #[arg(long, value_parser = unit)]
    pub units: Option<LengthUnit>,
    /// List corners tighter than this radius
    #[arg(long, value_name = "MM", value_parser = positive)]
    pub radius: Option<f64>,
    /// List bends that turn at least this far
    #[arg(long, value_name = "DEG", default_value = "30", value_parser = positive)]
    pub least_turn: f64,
    /// One part for each object of an OBJ
    #[arg(long)]
    pub objects: bool,
    /// Pull the mould off this way, instead of searching: X,Y,Z
    #[arg(long, value_name = "X,Y,Z", value_parser = direction, allow_hyphen_values = true)]
    pub pull: Option<Vector>,
    /// Draft that every wall ought to have
    #[arg(long, value_name = "DEG", default_value = "3", value_parser = draft)]
    pub draft: f64,
    /// The face that a plug stands on, which is not moulded: none, auto or the way it looks, X,Y,Z
    #[arg(long, default_value = "none", value_parser = super::splits::base, allow_hyphen_values = true)]
    pub base: BaseChoice,
    /// Also write the report, one HTML file, here
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// End with 1 if a warning needs a person
    #[arg(long)]
    pub strict: bool,
}

/// Reads a unit's short name.
pub(super) fn unit(text: &str) -> Result<LengthUnit, String> {
    LengthUnit::from_symbol(text).ok_or_else(|| format!("unknown unit '{text}'; known are mm, cm, m, in and ft"))
}

/// Reads a number above zero.
pub(super) fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value > 0.0 => Ok(value),
        _ => Err(format!("'{text}' is not a number above zero")),
    }
}

/// Reads a draft that is wanted of every wall.
pub(super) fn draft(text: &str) -> Result<f64, String> {
    match positive(text)? {
        draft_deg if draft_deg <= MOST_DRAFT_DEG => Ok(draft_deg),
        _ => Err(format!("'{text}' is no draft of a wall; write degrees up to {MOST_DRAFT_DEG}, such as 3")),
    }
}

/// Reads a direction: three numbers with commas between, not all zero.
pub(super) fn direction(text: &str) -> Result<Vector, String> {
    let parts: Result<Vec<f64>, _> = text.split(',').map(|part| part.trim().parse::<f64>()).collect();
    match parts.as_deref() {
        Ok(&[x, y, z]) if [x, y, z].iter().all(|part| part.is_finite()) && [x, y, z] != [0.0; 3] => {
            Ok(Vector::new(x, y, z))
        }
        _ => Err(format!("'{text}' is not a direction; write three numbers such as 0,0,1, not all of them 0")),
    }
}

/// What the heaviest mat of the starter's schedules follows: the limit that a builder meets first.
fn heaviest_mat_limit_mm() -> f64 {
    // Used only if the built-in stock could not be read, which a test rules out.
    const FALLBACK_MM: f64 = 8.0;
    Stock::starter().ok().and_then(|stock| stock.heaviest_mat_limit_mm()).unwrap_or(FALLBACK_MM)
}

/// Width of a mould's flanges, for what a split would add.
fn flange_mm() -> f64 {
    // Used only if the built-in stock could not be read, which a test rules out.
    const FALLBACK_MM: f64 = 75.0;
    Stock::starter().map_or(FALLBACK_MM, |stock| stock.practice.flange_mm.value)
}

/// Measures the files and prints the result.
///
/// # Errors
/// If the result cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let (files, mut faults) = input::mesh_files(&args.files);
    let listing =
        Listing { tighter_than_mm: args.radius.unwrap_or_else(heaviest_mat_limit_mm), least_turn_deg: args.least_turn };
    let survey_options = SurveyOptions {
        pull: Some(PullOptions { wanted_draft_deg: args.draft, along: args.pull }),
        split: args.report.is_some().then(|| SplitAsked { wanted_draft_deg: args.draft, flange_mm: flange_mm() }),
        base: args.base,
        ..SurveyOptions::listing(listing)
    };
    let mut surveys = Vec::new();
    if let Some(fault) = args.report.as_deref().and_then(|report| in_the_way(report, &files)) {
        faults.push(fault);
    } else {
        for (some, errors) in surveyed(args, &files, &survey_options) {
            surveys.extend(some);
            faults.extend(errors);
        }
        let written = args.report.as_deref().map(|report| write_report(report, &surveys, &faults));
        faults.extend(written.and_then(Result::err));
    }
    if args.json {
        report::json::measure(&surveys, &faults, &mut *streams.out)?;
    } else {
        report::terminal::measure(&surveys, &survey_options, &mut *streams.out)?;
    }
    report::terminal::faults(&faults, &mut *streams.err)?;
    let warned = surveys.iter().flat_map(|survey| survey.notes()).any(|note| note.level >= Level::Warning);
    Ok(if !faults.is_empty() {
        Exit::BadInput
    } else if args.strict && warned {
        Exit::NeedsPerson
    } else {
        Exit::Done
    })
}

/// What each file gave, in their order.
fn surveyed(args: &Args, files: &[PathBuf], survey_options: &SurveyOptions) -> Vec<(Vec<Survey>, Vec<LoadFault>)> {
    let options = LoadOptions { unit: args.units, by_object: args.objects };
    let progress = Progress::of(files.len());
    let measured = files
        .par_iter()
        .map(|path| {
            let loaded = match input::read(path) {
                Ok(bytes) => load(&bytes, &input::shown(path), &options),
                Err(fault) => Loaded { parts: Vec::new(), errors: vec![fault] },
            };
            let surveys = loaded.parts.into_par_iter().map(|part| survey(part, survey_options, &progress)).collect();
            progress.done_with(&input::shown(path));
            (surveys, loaded.errors)
        })
        .collect();
    progress.finish();
    measured
}

/// A mesh where the report is to be written. The report takes the place of what is there, and a mesh may be the only one.
fn in_the_way(report: &Path, files: &[PathBuf]) -> Option<LoadFault> {
    let there = report.canonicalize().ok()?;
    let is_input = || files.iter().any(|file| file.canonicalize().is_ok_and(|file| file == there));
    let is_mesh = there.is_file() && (input::has_mesh_ending(report) || input::has_mesh_ending(&there));
    (is_mesh || is_input()).then(|| {
        of_report(
            report,
            "the report would overwrite a mesh; nothing was measured or written".to_owned(),
            "give the report another name, one that ends in .html",
        )
    })
}

/// Writes the report, unless it would show no panel: then an older one is worth more.
fn write_report(path: &Path, surveys: &[Survey], faults: &[LoadFault]) -> Result<(), LoadFault> {
    if surveys.is_empty() {
        let message = "the report is not written, because no panel could be measured; an older one is as it was";
        return Err(of_report(path, message.to_owned(), "mend the files at fault and measure again"));
    }
    super::write_out::replace(path, &super::pictures::page_of_surveys(surveys, faults)).map_err(|error| {
        let remedy = "check the folder's name, its rights and the room on the disk";
        of_report(path, format!("the report cannot be written: {error}"), remedy)
    })
}

fn of_report(path: &Path, message: String, remedy: &str) -> LoadFault {
    LoadFault { file: input::shown(path), object: None, message, remedy: remedy.to_owned() }
}
