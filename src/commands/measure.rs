//! `matloft measure`: what the meshes themselves say; needs no job file.

use std::path::PathBuf;

use rayon::prelude::*;

use super::progress::Progress;
use super::{Exit, Streams, input};
use crate::geometry::corners::Listing;
use crate::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use crate::geometry::survey::{Survey, SurveyOptions, survey};
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

/// What the heaviest mat of the starter's schedules follows: the limit that a builder meets first.
fn heaviest_mat_limit_mm() -> f64 {
    // Used only if the built-in stock could not be read, which a test rules out.
    const FALLBACK_MM: f64 = 8.0;
    Stock::starter().ok().and_then(|stock| stock.heaviest_mat_limit_mm()).unwrap_or(FALLBACK_MM)
}

/// Measures the files and prints the result.
///
/// # Errors
/// If the result cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let (files, mut faults) = input::mesh_files(&args.files);
    let options = LoadOptions { unit: args.units, by_object: args.objects };
    let survey_options = SurveyOptions::listing(Listing {
        tighter_than_mm: args.radius.unwrap_or_else(heaviest_mat_limit_mm),
        least_turn_deg: args.least_turn,
    });
    let progress = Progress::of(files.len());
    let measured: Vec<(Vec<Survey>, Vec<LoadFault>)> = files
        .par_iter()
        .map(|path| {
            let loaded = match input::read(path) {
                Ok(bytes) => load(&bytes, &input::shown(path), &options),
                Err(fault) => Loaded { parts: Vec::new(), errors: vec![fault] },
            };
            let surveys = loaded.parts.into_par_iter().map(|part| survey(part, &survey_options, &progress)).collect();
            progress.done_with(&input::shown(path));
            (surveys, loaded.errors)
        })
        .collect();
    progress.finish();
    let mut surveys = Vec::new();
    for (some, errors) in measured {
        surveys.extend(some);
        faults.extend(errors);
    }
    if let Some(path) = &args.report
        && let Err(error) = super::write_out::replace(path, &super::pictures::page_of_surveys(&surveys))
    {
        faults.push(LoadFault {
            file: input::shown(path),
            object: None,
            message: format!("the report cannot be written: {error}"),
            remedy: "check the folder's name, its rights and the room on the disk".to_owned(),
        });
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
