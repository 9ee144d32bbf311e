//! `matloft compare`: schedules for the same panels side by side.

use std::path::PathBuf;

use super::check::{refused, unopened};
use super::job_input::open;
use super::plan::{planned_part, weighed};
use super::{Exit, Streams, weigh};
use crate::geometry::load::LoadFault;
use crate::job::{Choice, Job, JobPart, Shelf};
use crate::laminate::lay_up::LayUp;
use crate::laminate::plies::plan_plies;
use crate::laminate::schedule::{Make, Schedule};
use crate::laminate::warnings::schedule_notes;
use crate::nearest::nearest;
use crate::notes::Level;
use crate::plan::Build;
use crate::plan::work::work;
use crate::report;
use crate::workshop::compare::prices::Prices;
use crate::workshop::compare::{Asked, Built, Comparison, candidate};
use crate::workshop::rates::Rates;
use crate::workshop::record::Record;
use crate::workshop::work::PieceWork;

/// What `compare` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// Two or more schedules of the job or the starter, all for moulds or all for mouldings
    #[arg(long, value_name = "A,B", value_delimiter = ',', required = true)]
    pub schedules: Vec<String>,
    /// A panel to compare them on; once for each, every panel unless told
    #[arg(long, value_name = "PANEL")]
    pub panel: Vec<String>,
    /// Between supports; the panel's largest flat unless told
    #[arg(long, value_name = "MM", value_parser = weigh::amount, allow_negative_numbers = true)]
    pub span_mm: Option<f64>,
    /// Spread evenly over the panel
    #[arg(long, value_name = "KN/M2", value_parser = weigh::amount, allow_negative_numbers = true, default_value = "1")]
    pub load_kn_m2: f64,
    /// Price of a material: "mat 450"=3.20; once for each; the job's price lists unless told
    #[arg(long, value_name = "MATERIAL=PER_KG", value_parser = weigh::named_amount)]
    pub price: Vec<(String, f64)>,
    /// Leave out what was weighed
    #[arg(long)]
    pub as_planned: bool,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// End with 1 if a warning needs a person
    #[arg(long)]
    pub strict: bool,
}

/// Compares schedules and tells the result.
///
/// # Errors
/// If the result cannot be printed.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let job = match open(&args.job) {
        Ok(job) => job,
        Err(why) => return unopened(&args.job, args.json, &why, streams),
    };
    match compared(args, &job) {
        Ok(comparisons) => {
            if args.json {
                report::compare::json(&comparisons, &mut *streams.out)?;
            } else {
                report::terminal::comparisons(&comparisons, &mut *streams.out)?;
            }
            let warned = comparisons.iter().flat_map(Comparison::all_notes).any(|note| note.level >= Level::Warning);
            Ok(if args.strict && warned { Exit::NeedsPerson } else { Exit::Done })
        }
        Err(fault) => refused(&args.job, args.json, None, &[fault], streams),
    }
}

fn compared(args: &Args, job: &Job) -> Result<Vec<Comparison>, LoadFault> {
    let fault = |message: String, remedy: &str| super::weighed_file::fault(&args.job, message, remedy);
    let mut shelf = job.shelf().map_err(|error| fault(error.to_string(), &error.remedy()))?;
    let record = weighed(&args.job, &mut shelf, args.as_planned)?;
    let shelf = shelf;
    let prices = Prices::of(&args.price, &job.suppliers, &shelf.stock, job.currency.as_deref());
    let schedules = schedules(args, &shelf)?;
    let make = schedules[0].1.make;
    let entries: Vec<&JobPart> = if args.panel.is_empty() {
        job.parts.iter().filter(|part| job.schedule_name(part, make).is_some()).collect()
    } else {
        args.panel.iter().map(|panel| weigh::part(&args.job, job, panel)).collect::<Result<_, _>>()?
    };
    if entries.is_empty() {
        return Err(fault(format!("the job builds no {} to compare on", make.word()), "name a panel with --panel"));
    }
    let question =
        Question { args, job, shelf: &shelf, schedules: &schedules, make, prices: &prices, record: record.as_ref() };
    entries.into_iter().map(|entry| on_panel(&question, entry)).collect()
}

fn schedules<'a>(args: &'a Args, shelf: &'a Shelf) -> Result<Vec<(&'a str, &'a Schedule)>, LoadFault> {
    let fault = |message: String, remedy: &str| super::weighed_file::fault(&args.job, message, remedy);
    let mut found: Vec<(&str, &Schedule)> = Vec::new();
    for name in &args.schedules {
        let Some(schedule) = shelf.schedules.get(name) else {
            let near = nearest(name, shelf.schedules.keys().map(String::as_str));
            let names: Vec<&str> = shelf.schedules.keys().map(String::as_str).collect();
            let remedy = near
                .map_or_else(|| format!("there are {}", names.join(", ")), |near| format!("did you mean \"{near}\"?"));
            return Err(fault(format!("there is no schedule \"{name}\""), &remedy));
        };
        if !found.iter().any(|(other, _)| other == name) {
            found.push((name, schedule));
        }
    }
    if found.len() < 2 {
        return Err(fault("one schedule cannot be compared".to_owned(), "give two or more: --schedules a,b"));
    }
    let of =
        |make| found.iter().filter(|(_, schedule)| schedule.make == make).map(|(name, _)| *name).collect::<Vec<_>>();
    let (moulds, mouldings) = (of(Make::Mould), of(Make::Moulding));
    if !moulds.is_empty() && !mouldings.is_empty() {
        let message = format!("{} makes moulds and {} mouldings", moulds.join(", "), mouldings.join(", "));
        return Err(fault(message, "compare moulds with moulds and mouldings with mouldings"));
    }
    Ok(found)
}

/// What all panels of a comparison share.
struct Question<'a> {
    args: &'a Args,
    job: &'a Job,
    shelf: &'a Shelf,
    schedules: &'a [(&'a str, &'a Schedule)],
    make: Make,
    prices: &'a Prices,
    record: Option<&'a Record>,
}

fn on_panel(question: &Question<'_>, entry: &JobPart) -> Result<Comparison, LoadFault> {
    let &Question { args, job, shelf, schedules, make, prices, record } = question;
    let fault = |error: crate::laminate::LaminateError| {
        super::weighed_file::fault(&args.job, error.to_string(), &error.remedy())
    };
    let other = match make {
        Make::Mould => Make::Moulding,
        Make::Moulding => Make::Mould,
    };
    let other_mm = match shelf.schedule(job, entry, other) {
        Some((name, schedule)) => {
            Some(plan_plies(name, schedule, &shelf.stock).map_err(fault)?.plain_thickness_mm().likely)
        }
        None => None,
    };
    let (mut builds, mut at_bench): (Vec<Build>, Vec<Vec<PieceWork>>) = Default::default();
    for (name, _) in schedules {
        let chosen =
            |make_here| Some(if make_here == make { Choice::Schedule((*name).to_owned()) } else { Choice::Nothing });
        let alone = JobPart { mould: chosen(Make::Mould), moulding: chosen(Make::Moulding), ..entry.clone() };
        let planned = planned_part(job, &args.job, &alone, shelf)?;
        at_bench.push(work(std::slice::from_ref(&planned), &[], &shelf.stock).pieces);
        builds.extend(planned.builds);
    }
    let flat_mm = builds.first().and_then(|build| {
        let flats = build.pieces.iter().filter_map(|piece| piece.release.as_ref()?.flat);
        flats.map(|flat| flat.span_mm).max_by(f64::total_cmp)
    });
    /// Where a panel has no flat to speak of.
    const USUAL_SPAN_MM: f64 = 500.0;
    let (span_mm, span_from) = match (args.span_mm, flat_mm) {
        (Some(given), _) => (given, "given"),
        (None, Some(flat)) => (flat, "the panel's largest flat"),
        (None, None) => (USUAL_SPAN_MM, "half a metre, since the panel has no flat"),
    };
    let asked = Asked { span_mm, load_kn_m2: args.load_kn_m2, prices: prices.clone() };
    let mut candidates = Vec::new();
    let rates = Rates { crew: &shelf.crew, pace: &shelf.pace };
    for ((build, pieces), (_, schedule)) in builds.iter().zip(&at_bench).zip(schedules) {
        let lay_ups: Vec<&LayUp> = build.pieces.iter().map(|piece| &piece.lay_up).collect();
        let notes = schedule_notes(&build.plies_plan, schedule, &shelf.stock).map_err(fault)?;
        let built = Built { make, plies: &build.plies_plan, lay_ups: &lay_ups, pieces, stages: &build.stages };
        candidates.push(candidate(built, other_mm, notes, &asked, &shelf.stock, rates));
    }
    let weighed = record.iter().flat_map(|record| record.notes.iter().cloned());
    Ok(Comparison {
        panel: entry.name.clone(),
        make,
        span_mm,
        span_from,
        load_kn_m2: args.load_kn_m2,
        currency: prices.currency.clone(),
        prices: prices.by_name.clone(),
        notes: prices.notes.iter().cloned().chain(weighed).collect(),
        candidates,
    })
}
