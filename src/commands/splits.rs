//! `matloft splits`: where to split so that every mould comes off.

use std::path::{Path, PathBuf};

use super::check::tell;
use super::job_input::{JobMesh, Unopened, meshes, open};
use super::measure::{draft, unit};
use super::progress::Progress;
use super::{Exit, Streams, input};
use crate::geometry::corners::Listing;
use crate::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use crate::geometry::mesh::Vector;
use crate::geometry::part::Part;
use crate::geometry::pull::propose::{Found, SplitSearch, propose};
use crate::geometry::pull::{BaseChoice, Face, Pull, PullOptions, pull};
use crate::geometry::split::{Missed, Plane};
use crate::geometry::stitch::Surface;
use crate::geometry::survey::{Survey, SurveyOptions, survey};
use crate::job::marks::{Mark, marks, without_marks};
use crate::job::{JobErrors, JobPart};
use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::plan::panel::{assumed_side, missed_note, survey_options};
use crate::plan::release::{other_pull, pull_locks, pull_of_job};
use crate::report;
use crate::report::splits::SplitSearched;
use crate::units::LengthUnit;

/// Proposals shown of one panel.
const MOST_PROPOSALS: usize = 3;

/// What `splits` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A job file, or STL or OBJ files or folders that hold them
    #[arg(required = true, value_name = "JOB|FILE|FOLDER")]
    pub files: Vec<PathBuf>,
    /// Unit of the meshes, where no job says it: mm, cm, m, in or ft
    #[arg(long, value_parser = unit)]
    pub units: Option<LengthUnit>,
    /// How many planes at most: 1 or 2
    #[arg(long, default_value = "1", value_parser = clap::value_parser!(u8).range(1..=2))]
    pub planes: u8,
    /// Search for panels with less draft than this, too; without it only for those that lock
    #[arg(long, value_name = "DEG", value_parser = draft)]
    pub draft: Option<f64>,
    /// The face that a plug stands on, which is not moulded: none, auto or X,Y,Z, where no job says it
    #[arg(long, default_value = "none", value_parser = base, allow_hyphen_values = true)]
    pub base: BaseChoice,
    /// Print one JSON document
    #[arg(long)]
    pub json: bool,
}

/// Reads the choice of a base.
pub(super) fn base(text: &str) -> Result<BaseChoice, String> {
    match text {
        "none" => Ok(BaseChoice::None),
        "auto" => Ok(BaseChoice::Auto),
        _ => super::measure::direction(text)
            .map(BaseChoice::Towards)
            .map_err(|_| format!("'{text}' is no base; write none, auto, or the way it looks, such as 0,0,-1")),
    }
}

/// Searches and tells.
///
/// # Errors
/// If the result cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> std::io::Result<Exit> {
    let (searched, faults, errors) = match args.files.as_slice() {
        [only] if only.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml")) => of_job(only, args),
        files => {
            let (searched, faults) = of_files(files, args);
            (searched, faults, None)
        }
    };
    if args.json {
        report::json::splits(&searched, &faults, &mut *streams.out)?;
    } else {
        report::terminal::splits(&searched, &mut *streams.out)?;
    }
    tell(errors.as_ref(), &faults, streams)?;
    Ok(if faults.is_empty() && errors.is_none() { Exit::Done } else { Exit::BadInput })
}

type Searched = (Vec<SplitSearched>, Vec<LoadFault>, Option<JobErrors>);

fn of_job(path: &Path, args: &Args) -> Searched {
    let job = match open(path) {
        Ok(job) => job,
        Err(Unopened::File(fault)) => return (Vec::new(), vec![fault], None),
        Err(Unopened::Job(errors)) => return (Vec::new(), Vec::new(), Some(errors)),
    };
    let stock = match job.shelf() {
        Ok(shelf) => shelf.stock,
        Err(error) => {
            let (message, remedy) = (error.to_string(), error.remedy());
            return (Vec::new(), vec![LoadFault { file: input::shown(path), object: None, message, remedy }], None);
        }
    };
    let progress = Progress::of(job.parts.len());
    let (mut searched, mut found) = (Vec::new(), Vec::new());
    for (entry, mesh) in job.parts.iter().zip(meshes(&job, path)) {
        match mesh {
            Ok(mesh) => searched.extend(of_entry(entry, mesh, &stock, args, &progress)),
            Err(faults) => found.extend(faults),
        }
        progress.done_with(&entry.name);
    }
    progress.finish();
    let errors = (!found.is_empty()).then(|| job.source.errors(found));
    (searched, Vec::new(), errors)
}

/// A panel of a job, with the planes that it names tried first.
fn of_entry(entry: &JobPart, mesh: JobMesh, stock: &Stock, args: &Args, watch: &Progress) -> Option<SplitSearched> {
    let JobMesh { part, planes, idle_marks, .. } = mesh;
    let mut marked: Vec<(String, Plane)> = entry.splits.iter().map(|split| split.name.clone()).zip(planes).collect();
    marked.extend(idle_marks.into_iter().map(|mark| (mark.name, mark.plane)));
    let asked = Asked {
        entry: Some(entry),
        options: survey_options(entry),
        along: entry.pull.map(Vector::from),
        marked: &marked,
        flange_mm: entry.flange_mm(stock),
        usual_draft_deg: stock.practice.draft_deg.value,
    };
    search(part, &asked, args, watch)
}

fn of_files(files: &[PathBuf], args: &Args) -> (Vec<SplitSearched>, Vec<LoadFault>) {
    let (paths, mut faults) = input::mesh_files(files);
    let progress = Progress::of(paths.len());
    // Used only if the built-in stock could not be read, which a test rules out.
    const FALLBACK: (f64, f64) = (75.0, 3.0);
    let (flange_mm, usual_draft_deg) =
        Stock::starter().map_or(FALLBACK, |stock| (stock.practice.flange_mm.value, stock.practice.draft_deg.value));
    let mut searched = Vec::new();
    for path in &paths {
        let shown = input::shown(path);
        match input::read(path) {
            Ok(bytes) => {
                let (loaded, marked) = parts_and_marks(&bytes, &shown, args.units);
                faults.extend(loaded.errors);
                let listing = Listing { tighter_than_mm: 0.0, least_turn_deg: 30.0 };
                let options = SurveyOptions { base: args.base, ..SurveyOptions::listing(listing) };
                let asked = Asked { entry: None, options, along: None, marked: &marked, flange_mm, usual_draft_deg };
                searched.extend(loaded.parts.into_iter().filter_map(|part| search(part, &asked, args, &progress)));
            }
            Err(fault) => faults.push(fault),
        }
        progress.done_with(&shown);
    }
    progress.finish();
    (searched, faults)
}

/// The part that a file holds, and the planes that flat objects of an OBJ mark, which are not part of it.
fn parts_and_marks(bytes: &[u8], shown: &str, unit: Option<LengthUnit>) -> (Loaded, Vec<(String, Plane)>) {
    let mut whole = load(bytes, shown, &LoadOptions { unit, by_object: false });
    if !shown.to_lowercase().ends_with(".obj") {
        return (whole, Vec::new());
    }
    let objects = load(bytes, shown, &LoadOptions { unit, by_object: true }).parts;
    let marked = marks(&objects, |_| true, |_| true);
    if !marked.is_empty() {
        whole.parts =
            whole.parts.into_iter().map(|part| told_of(without_marks(part, &objects, &marked), &marked)).collect();
    }
    (whole, marked.into_iter().map(|mark| (mark.name, mark.plane)).collect())
}

fn told_of(mut part: Part, marked: &[Mark]) -> Part {
    let names: Vec<String> = marked.iter().map(|mark| format!("'{}'", mark.name)).collect();
    part.notes.push(Note::info(
        "flat-objects-as-planes",
        format!(
            "flat objects that pass through the panel are taken for marked planes, not for parts of it: {}",
            names.join(", ")
        ),
        "if one is part of the panel, leave the others out of the file, or name the panel's object in a job",
    ));
    part
}

/// What is asked of one panel.
struct Asked<'a> {
    /// What the job says of it, if there is one.
    entry: Option<&'a JobPart>,
    options: SurveyOptions,
    along: Option<Vector>,
    marked: &'a [(String, Plane)],
    flange_mm: f64,
    usual_draft_deg: f64,
}

/// What the job says of a panel that does nothing to it. Its own splits come first among the planes.
fn job_notes(entry: &JobPart, survey: &Survey, planes: &[(String, Plane)]) -> Vec<Note> {
    let own = &planes[..entry.splits.len().min(planes.len())];
    let missed = own.iter().filter_map(|(name, plane)| Missed::by(survey.laid_mesh(), name, plane));
    assumed_side(entry, survey).into_iter().chain(missed.map(|missed| missed_note(&missed))).collect()
}

/// Leaves out proposals that free nothing, or give no more draft than the panel has in one, if others do.
fn keep_what_helps(found: &mut Found, in_one: &Pull) {
    /// What a proposal gains has to show in the tenths that are printed. `plan`, which was not asked, tells of more gain only.
    const LEAST_GAIN_DEG: f64 = 0.05;
    let gains = |deg: f64| !in_one.releases || deg > in_one.least_draft_deg + LEAST_GAIN_DEG;
    if in_one.releases || found.proposals.iter().any(|proposal| proposal.releases) {
        found.proposals.retain(|proposal| proposal.releases && gains(proposal.least_draft_deg));
    }
}

fn search(part: Part, asked: &Asked<'_>, args: &Args, watch: &Progress) -> Option<SplitSearched> {
    let survey = survey(part, &asked.options, watch);
    let surface = Surface::stitched(survey.laid_mesh());
    let wanted_draft_deg = args.draft.unwrap_or(asked.usual_draft_deg);
    let options = PullOptions { wanted_draft_deg, along: asked.along };
    let face = Face::of(&surface);
    let pull = pull(&face, &options)?;
    let enough_deg = args.draft.unwrap_or(-90.0);
    let needs_none = pull.releases && pull.least_draft_deg >= enough_deg;
    let n_planes = usize::from(args.planes);
    let wanted = SplitSearch { n_planes, wanted_draft_deg, enough_deg, least_deg: -90.0, most: MOST_PROPOSALS };
    let mut found = if needs_none { Found::default() } else { propose(&face, asked.marked, &wanted) };
    let free = other_pull(&face, &pull);
    keep_what_helps(&mut found, free.as_ref().unwrap_or(&pull));
    let of_pull = pull.given && !pull.releases && !found.proposals.is_empty();
    let given = free.iter().map(|free| pull_locks(&pull, free)).chain(of_pull.then(pull_of_job));
    let of_job = asked.entry.into_iter().flat_map(|entry| job_notes(entry, &survey, asked.marked));
    let notes = survey.notes().cloned().chain(of_job).chain(given).collect();
    let Part { name, file, .. } = survey.part;
    let searched = SplitSearched {
        name,
        file,
        pull,
        asked_draft_deg: args.draft,
        n_planes,
        found,
        flange_mm: asked.flange_mm,
        notes,
    };
    Some(searched.judged())
}
