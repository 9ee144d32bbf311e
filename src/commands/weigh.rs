//! `matloft weigh`: what the scales said of a build, kept beside the job.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::Local;

use super::check::{refused, unopened};
use super::job_input::open;
use super::plan::planned_part;
use super::weighed_file::{append, beside, fault, read};
use super::{Exit, Streams};
use crate::geometry::load::LoadFault;
use crate::job::{Job, JobPart, Shelf};
use crate::laminate::schedule::Make;
use crate::nearest::nearest;
use crate::notes::{Level, Note};
use crate::report;
use crate::report::weighed::Told;
use crate::workshop::record::Numbered;
use crate::workshop::record::check::oddities;
use crate::workshop::record::line::{Asked, VERSION, Weighed, day, is_amount};
use crate::workshop::record::overlay::lay_over;
use crate::workshop::record::read::Records;

/// What `weigh` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The job file
    #[arg(value_name = "JOB")]
    pub job: PathBuf,
    /// The panel that was built; without it, what is recorded is listed with what it tells
    #[arg(value_name = "PANEL")]
    pub panel: Option<String>,
    /// What was built: moulding or mould; the moulding unless the job builds none
    #[arg(long, value_name = "MAKE", value_parser = make, requires = "panel")]
    pub make: Option<Make>,
    /// The piece, as the plan names it; all pieces together unless told
    #[arg(long, value_name = "PIECE", requires = "panel")]
    pub piece: Option<String>,
    /// Dry glass laid, offcuts taken off: "mat 450"=1.82; once for each reinforcement
    #[arg(long, value_name = "MATERIAL=KG", value_parser = named_amount, requires = "panel")]
    pub glass: Vec<(String, f64)>,
    /// Resin mixed for the plies, as sheets and cards have it: without its catalyst; an epoxy with its hardener
    #[arg(long, value_name = "KG", value_parser = amount, allow_negative_numbers = true, requires = "panel")]
    pub resin_kg: Option<f64>,
    /// Of it thrown away in cups and on tools; without it, it counts as laid
    #[arg(long, value_name = "KG", value_parser = amount_or_none, allow_negative_numbers = true, requires = "panel")]
    pub waste_kg: Option<f64>,
    /// Gelcoat put on, without its catalyst; an epoxy with its hardener
    #[arg(long, value_name = "KG", value_parser = amount, allow_negative_numbers = true, requires = "panel")]
    pub gelcoat_kg: Option<f64>,
    /// The trimmed piece
    #[arg(long, value_name = "KG", value_parser = amount, allow_negative_numbers = true, requires = "panel")]
    pub finished_kg: Option<f64>,
    /// From the first mix of resin to the last roll
    #[arg(long, value_name = "MIN", value_parser = amount, allow_negative_numbers = true, requires = "panel")]
    pub minutes: Option<f64>,
    /// How many laid it; the job's crew unless told
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100), requires = "panel")]
    pub people: Option<u32>,
    /// The day it was laid; today unless told
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = date, requires = "panel")]
    pub date: Option<String>,
    /// Of the shop, in deg C
    #[arg(long, value_name = "C", value_parser = temperature, allow_negative_numbers = true, requires = "panel")]
    pub temperature_c: Option<f64>,
    /// Anything else
    #[arg(long, value_name = "TEXT", requires = "panel")]
    pub note: Option<String>,
    /// Number of the record that this one takes the place of; alone, it strikes it out
    #[arg(long, value_name = "NUMBER")]
    pub replaces: Option<usize>,
    /// The figures were looked at again and stand: they count, however far they are from the plan
    #[arg(long, requires = "panel")]
    pub sure: bool,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
    /// End with 1 if a warning needs a person
    #[arg(long)]
    pub strict: bool,
}

fn make(text: &str) -> Result<Make, String> {
    [Make::Moulding, Make::Mould]
        .into_iter()
        .find(|make| make.word() == text)
        .ok_or_else(|| "moulding or mould".to_owned())
}

fn number(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| "not a number; write 1.82 for 1 kg 820 g".to_owned())
}

pub(super) fn amount(text: &str) -> Result<f64, String> {
    number(text).and_then(|value| if is_amount(value) { Ok(value) } else { Err("it must be over 0".to_owned()) })
}

fn amount_or_none(text: &str) -> Result<f64, String> {
    if number(text)? == 0.0 { Ok(0.0) } else { amount(text) }
}

fn temperature(text: &str) -> Result<f64, String> {
    number(text)
        .and_then(|value| if (-50.0..=100.0).contains(&value) { Ok(value) } else { Err("-50 to 100".to_owned()) })
}

/// A material and a figure.
pub(super) fn named_amount(text: &str) -> Result<(String, f64), String> {
    let (name, kg) = text.rsplit_once('=').ok_or("write the material, `=` and its figure: \"mat 450\"=1.82")?;
    Ok((name.trim().to_owned(), amount(kg)?))
}

fn date(text: &str) -> Result<String, String> {
    day(text).ok_or_else(|| "there is no such day; write year-month-day: 2027-03-02".to_owned())
}

/// The day by the machine's clock where it stands.
fn today() -> String {
    Local::now().format("%Y-%m-%d").to_string()
}

/// Records a build, or lists what is recorded.
///
/// # Errors
/// If the result cannot be printed.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let job = match open(&args.job) {
        Ok(job) => job,
        Err(why) => return unopened(&args.job, args.json, &why, streams),
    };
    match done(args, &job) {
        Ok(told) => {
            if args.json {
                report::weighed::json(&told, &mut *streams.out)?;
            } else {
                report::terminal::weighed(&told, &mut *streams.out)?;
            }
            let warned = told.notes.iter().chain(&told.record.notes).any(|note| note.level >= Level::Warning);
            Ok(if args.strict && warned { Exit::NeedsPerson } else { Exit::Done })
        }
        Err(fault) => refused(&args.job, args.json, None, &[fault], streams),
    }
}

fn done(args: &Args, job: &Job) -> Result<Told, LoadFault> {
    let mut shelf = job.shelf().map_err(|error| fault(&args.job, error.to_string(), &error.remedy()))?;
    let path = beside(&args.job);
    let mut notes = Vec::new();
    let mut recorded = None;
    let to_record = match (&args.panel, args.replaces) {
        (Some(panel), _) => Some(weighed(args, job, &shelf, panel, &mut notes)?),
        (None, Some(number)) => Some(strikes(args, &read(&path)?.unwrap_or_default(), number)?),
        (None, None) => None,
    };
    if let Some(weighed) = to_record {
        notes.extend(oddities(&weighed, &shelf.stock));
        let mut replaced = None;
        recorded = Some(append(&path, &weighed, |records| {
            replaced = args.replaces.and_then(|number| records.get(number)).cloned();
            may_replace(args, records)
        })?);
        notes.extend(replaced.and_then(|line| other_build(&weighed, &line.weighed, line.number)));
    }
    let records = read(&path)?.unwrap_or_default();
    let record = lay_over(&records, &super::input::shown(&path), &mut shelf.stock, &mut shelf.crew, true);
    Ok(Told { recorded, notes, record })
}

/// A line that holds nothing but that another is struck out.
fn strikes(args: &Args, records: &Records, number: usize) -> Result<Weighed, LoadFault> {
    let struck = &replaceable(args, records, number)?.weighed;
    Ok(Weighed {
        matloft_weighed: VERSION,
        panel: struck.panel.clone(),
        make: struck.make,
        piece: struck.piece.clone(),
        date: today(),
        replaces: Some(number),
        ..Weighed::default()
    })
}

/// A record in the place of one of another build is the mending of a wrong name, or a wrong number.
fn other_build(weighed: &Weighed, replaced: &Weighed, number: usize) -> Option<Note> {
    (weighed.name() != replaced.name()).then(|| {
        Note::warning(
            "weighed-odd",
            format!(
                "record {number}, which no longer counts, was of {}; this one is of {}",
                replaced.name(),
                weighed.name()
            ),
            "if the number was a slip, record that build again",
        )
    })
}

/// A record that is not there, or is replaced already, is not replaced by what may be a slip.
fn may_replace(args: &Args, records: &Records) -> Result<(), LoadFault> {
    args.replaces.map_or(Ok(()), |number| replaceable(args, records, number).map(|_| ()))
}

/// The record of a number, if it is there and not replaced yet.
fn replaceable<'a>(args: &Args, records: &'a Records, number: usize) -> Result<&'a Numbered, LoadFault> {
    let refuse = |message: String, remedy: &str| fault(&beside(&args.job), message, remedy);
    let line = records
        .get(number)
        .ok_or_else(|| refuse(format!("there is no record {number} to replace"), "`matloft weigh JOB` lists them"))?;
    match line.replaced_by {
        Some(by) => {
            let message = format!("record {number} is replaced by record {by} already");
            Err(refuse(message, &format!("replace record {by}")))
        }
        None => Ok(line),
    }
}

fn weighed(args: &Args, job: &Job, shelf: &Shelf, panel: &str, notes: &mut Vec<Note>) -> Result<Weighed, LoadFault> {
    let entry = part(&args.job, job, panel)?;
    let make = made(args, job, entry)?;
    let mut weighed = Weighed {
        matloft_weighed: VERSION,
        panel: panel.to_owned(),
        make,
        piece: args.piece.clone(),
        date: args.date.clone().unwrap_or_else(today),
        temperature_c: args.temperature_c,
        glass_kg: glasses(args, shelf)?,
        resin_kg: args.resin_kg,
        waste_kg: args.waste_kg,
        gelcoat_kg: args.gelcoat_kg,
        finished_kg: args.finished_kg,
        minutes: args.minutes,
        people: args.people.or_else(|| args.minutes.map(|_| shelf.crew.people.value as u32)),
        note: args.note.clone(),
        is_sure: args.sure,
        replaces: args.replaces,
        asked: None,
    };
    if weighed.is_empty() {
        if args.replaces.is_none() {
            let message = format!("nothing was weighed of {}", weighed.name());
            return Err(fault(
                &args.job,
                message,
                "give at least one of --glass, --resin-kg (with it --waste-kg), --gelcoat-kg, --finished-kg, --minutes",
            ));
        }
        return Ok(weighed);
    }
    if let Some(why) = weighed.impossible().or_else(|| weighed.all_wasted()) {
        return Err(fault(
            &args.job,
            format!("this cannot be: {why}"),
            "look at both figures again; nothing was recorded",
        ));
    }
    if let Some(why) = weighed.waste_alone() {
        return Err(fault(
            &args.job,
            format!("nothing can be learned from {why}"),
            "give --resin-kg, all that was mixed, beside --waste-kg; nothing was recorded",
        ));
    }
    weighed.asked = asked(args, job, shelf, entry, make, notes)?;
    Ok(weighed)
}

/// The panel of that name.
pub(super) fn part<'job>(path: &Path, job: &'job Job, panel: &str) -> Result<&'job JobPart, LoadFault> {
    job.parts.iter().find(|part| part.name == panel).ok_or_else(|| {
        let names = || job.parts.iter().map(|part| part.name.as_str());
        let remedy = match nearest(panel, names()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("its panels are {}", names().collect::<Vec<_>>().join(", ")),
        };
        fault(path, format!("the job has no panel \"{panel}\""), &remedy)
    })
}

/// What was built: as told, or the moulding, or the mould where no moulding is built.
fn made(args: &Args, job: &Job, entry: &JobPart) -> Result<Make, LoadFault> {
    let is_built = |make: &Make| job.schedule_name(entry, *make).is_some();
    match args.make {
        Some(make) if is_built(&make) => Ok(make),
        Some(make) => Err(fault(
            &args.job,
            format!("the job builds no {} of \"{}\"", make.word(), entry.name),
            "check --make, or let the job build it",
        )),
        None => Ok([Make::Moulding, Make::Mould].into_iter().find(is_built).unwrap_or(Make::Moulding)),
    }
}

fn glasses(args: &Args, shelf: &Shelf) -> Result<BTreeMap<String, f64>, LoadFault> {
    let mut glasses = BTreeMap::new();
    for (name, kg) in &args.glass {
        if !shelf.stock.reinforcements.contains_key(name) {
            let near = nearest(name, shelf.stock.reinforcements.keys().map(String::as_str));
            let remedy = near
                .map_or_else(|| "`matloft stock` lists them".to_owned(), |near| format!("did you mean \"{near}\"?"));
            return Err(fault(&args.job, format!("the stock has no reinforcement \"{name}\""), &remedy));
        }
        if glasses.insert(name.clone(), *kg).is_some() {
            return Err(fault(&args.job, format!("\"{name}\" is given twice"), "add its pieces up"));
        }
    }
    Ok(glasses)
}

/// What the plan asks of the build now. A plan that cannot be made costs only what is reckoned from areas.
fn asked(
    args: &Args,
    job: &Job,
    shelf: &Shelf,
    entry: &JobPart,
    make: Make,
    notes: &mut Vec<Note>,
) -> Result<Option<Asked>, LoadFault> {
    let plan = match planned_part(job, &args.job, entry, shelf) {
        Ok(plan) => plan,
        Err(fault) => {
            notes.push(Note::warning(
                "weighed-odd",
                format!(
                    "\"{}\" cannot be planned, so the record is kept but nothing can be learned from it: {}",
                    entry.name, fault.message
                ),
                format!("{}; then record it again with --replaces", fault.remedy),
            ));
            return Ok(None);
        }
    };
    let Some(build) = plan.builds.iter().find(|build| build.make == make) else { return Ok(None) };
    let wanted = |name: &str| args.piece.as_ref().is_none_or(|piece| piece == name);
    let pieces: Vec<&crate::plan::PiecePlan> = build.pieces.iter().filter(|piece| wanted(&piece.name)).collect();
    if pieces.is_empty() {
        let names: Vec<&str> = build.pieces.iter().map(|piece| piece.name.as_str()).collect();
        let message = format!("the {} of \"{}\" has no such piece", make.word(), entry.name);
        return Err(fault(&args.job, message, &format!("its pieces are {}", names.join(", "))));
    }
    let lay_ups: Vec<_> = pieces.iter().map(|piece| &piece.lay_up).collect();
    Ok(Some(Asked::of(&build.schedule, &lay_ups, &shelf.stock)))
}
