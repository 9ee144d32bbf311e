//! `matloft start`: a job file for the panels that are there.

use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;

use super::measure::unit;
use super::{Exit, Streams, check, input};
use crate::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use crate::job::{Panel, Start, add, panels_of, starter};
use crate::notes::Level;
use crate::report;
use crate::units::LengthUnit;

/// What `start` takes.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// STL or OBJ files, or folders that hold them
    #[arg(required = true, value_name = "FILE|FOLDER")]
    pub files: Vec<PathBuf>,
    /// Unit of the meshes, which never say it: mm, cm, m, in or ft
    #[arg(long, value_parser = unit)]
    pub units: Option<LengthUnit>,
    /// The job file to write
    #[arg(short, long, value_name = "JOB", default_value = "job.toml")]
    pub output: PathBuf,
    /// Replace the job file if it is there
    #[arg(long)]
    pub force: bool,
    /// Put panels that the job file does not list yet into it, and leave everything else as it is
    #[arg(long, conflicts_with = "force")]
    pub add: bool,
}

/// One mesh file, and how the job file is to call it.
struct Mesh {
    name: String,
    loaded: Loaded,
}

/// Writes a job file, or adds to one.
///
/// # Errors
/// If messages cannot be written.
pub fn run(args: &Args, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let Some(units) = args.units else { return refuse_without_units(args, streams) };
    let existing = match existing_text(args) {
        Ok(existing) => existing,
        Err(fault) => return failed(&[fault], streams),
    };
    let (files, mut faults) = input::mesh_files(&args.files);
    let meshes = load_all(&files, &args.output, Some(units), &mut faults);
    let panels: Vec<Panel> = meshes.iter().flat_map(|mesh| panels_of(&mesh.loaded, &mesh.name)).collect();
    faults.extend(meshes.iter().flat_map(|mesh| mesh.loaded.errors.clone()));
    if panels.is_empty() {
        return failed(&faults, streams);
    }
    let done = match existing {
        Some(text) => add_to(args, &text, &panels, units, streams)?,
        None => write_new(args, panels, units, &faults, streams)?,
    };
    tell_warnings(&meshes, streams)?;
    report::terminal::faults(&faults, &mut *streams.err)?;
    Ok(if faults.is_empty() { done } else { Exit::BadInput })
}

/// What needs a look in the meshes, above all a size that speaks against the unit.
fn tell_warnings(meshes: &[Mesh], streams: &mut Streams<'_>) -> io::Result<()> {
    for part in meshes.iter().flat_map(|mesh| &mesh.loaded.parts) {
        let warnings = part.notes.iter().filter(|note| note.level >= Level::Warning);
        report::terminal::notes(&part.name, warnings, &mut *streams.err)?;
    }
    Ok(())
}

fn failed(faults: &[LoadFault], streams: &mut Streams<'_>) -> io::Result<Exit> {
    report::terminal::faults(faults, &mut *streams.err)?;
    Ok(Exit::BadInput)
}

fn fault(path: &Path, message: String, remedy: &str) -> LoadFault {
    LoadFault { file: input::shown(path), object: None, message, remedy: remedy.to_owned() }
}

/// The text of the job that panels are added to; nothing if a new one is written. Tried before the meshes are read.
fn existing_text(args: &Args) -> Result<Option<String>, LoadFault> {
    if !args.add {
        return match args.output.exists() && !args.force {
            true => Err(fault(
                &args.output,
                "this job file is there already and is not overwritten".to_owned(),
                "add new panels to it with --add, replace it with --force, or write another with -o",
            )),
            false => Ok(None),
        };
    }
    let bytes = input::read(&args.output)?;
    String::from_utf8(bytes)
        .map(Some)
        .map_err(|_| fault(&args.output, "the job file is not UTF-8 text".to_owned(), "save it as UTF-8 in the editor"))
}

/// Reads the files side by side. A file that is named twice is read once.
fn load_all(files: &[PathBuf], output: &Path, unit: Option<LengthUnit>, faults: &mut Vec<LoadFault>) -> Vec<Mesh> {
    let mut named: Vec<(String, &PathBuf)> = Vec::new();
    for path in files {
        match name_beside(output, path) {
            Ok(name) if named.iter().any(|(known, _)| *known == name) => {}
            Ok(name) => named.push((name, path)),
            Err(unnamed) => faults.push(unnamed),
        }
    }
    let options = LoadOptions { unit, by_object: true };
    let read = |(name, path): (String, &PathBuf)| {
        let loaded = match input::read(path) {
            Ok(bytes) => load(&bytes, &input::shown(path), &options),
            Err(fault) => Loaded { parts: Vec::new(), errors: vec![fault] },
        };
        Mesh { name, loaded }
    };
    named.into_par_iter().map(read).collect()
}

/// A file's path as seen from the folder of the job file, with `/` on every system.
fn name_beside(job: &Path, file: &Path) -> Result<String, LoadFault> {
    let no_folder = |error: io::Error| fault(file, format!("its folder cannot be found: {error}"), "check the path");
    let folder = folder_of(job).canonicalize().map_err(|error| {
        fault(job, format!("the folder of the job file cannot be found: {error}"), "make the folder first")
    })?;
    let own_folder = folder_of(file).canonicalize().map_err(no_folder)?;
    let own_name = file.file_name().unwrap_or_default();
    let relative = relative(&folder, &own_folder).join(own_name);
    let Some(text) = relative.to_str() else {
        return Err(fault(
            file,
            "its name is not UTF-8, so a job file cannot hold it".to_owned(),
            "give the file or its folder another name",
        ));
    };
    Ok(if std::path::MAIN_SEPARATOR == '\\' { text.replace('\\', "/") } else { text.to_owned() })
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

/// The way from one folder to another, both absolute; the other itself if they share no root.
fn relative(from: &Path, to: &Path) -> PathBuf {
    let from: Vec<Component<'_>> = from.components().collect();
    let there: Vec<Component<'_>> = to.components().collect();
    let shared = from.iter().zip(&there).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return to.to_owned();
    }
    let up = from[shared..].iter().map(|_| Component::ParentDir);
    up.chain(there[shared..].iter().copied()).collect()
}

fn write_new(
    args: &Args,
    panels: Vec<Panel>,
    units: LengthUnit,
    faults: &[LoadFault],
    streams: &mut Streams<'_>,
) -> io::Result<Exit> {
    let (marks, parts): (Vec<&Panel>, Vec<&Panel>) = panels.iter().partition(|panel| !panel.splits.is_empty());
    let told = format!("{}: {} in {}", input::shown(&args.output), counted(parts.len(), "panel"), units.symbol());
    let marks: Vec<String> = marks.iter().map(|panel| panel.name.clone()).collect();
    let title = title_of(&args.output);
    let left_out = faults.iter().map(|fault| (fault.file.clone(), fault.message.clone())).collect();
    let text = match starter(&Start { title: &title, unit: units, panels, left_out }) {
        Ok(text) => text,
        Err(error) => return failed(&[fault(&args.output, error.to_string(), &error.remedy())], streams),
    };
    if let Err(error) = write(&args.output, &text, args.force) {
        return failed(&[unwritten(&args.output, &error)], streams);
    }
    writeln!(streams.err, "{told}")?;
    tell_marks(&marks, streams)?;
    Ok(Exit::Done)
}

fn add_to(args: &Args, text: &str, panels: &[Panel], units: LengthUnit, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let file = input::shown(&args.output);
    let added = match add(text, &file, panels, units) {
        Ok(added) => added,
        Err(errors) => {
            check::tell(Some(&errors), &[], streams)?;
            return Ok(Exit::BadInput);
        }
    };
    if added.text != text
        && let Err(error) = write(&args.output, &added.text, true)
    {
        return failed(&[unwritten(&args.output, &error)], streams);
    }
    let known = counted(added.n_known, "panel");
    writeln!(streams.err, "{file}: {known} known, {} added", counted(added.names.len(), "panel"))?;
    for name in &added.names {
        writeln!(streams.err, "  {name}")?;
    }
    Ok(Exit::Done)
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn tell_marks(marks: &[String], streams: &mut Streams<'_>) -> io::Result<()> {
    for mark in marks {
        writeln!(
            streams.err,
            "note: \"{mark}\" is flat and passes through another object: taken for the mark of a split and not listed as a \
             panel; the job file says how to split by it"
        )?;
    }
    Ok(())
}

/// The job file's own name, or its folder's if it is just called job.
fn title_of(output: &Path) -> String {
    let stem = output.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    if stem != "job" {
        return stem;
    }
    let folder = folder_of(output).canonicalize().ok();
    folder.as_deref().and_then(Path::file_name).map_or(stem, |name| name.to_string_lossy().into_owned())
}

fn unwritten(path: &Path, error: &io::Error) -> LoadFault {
    let (message, remedy) = match error.kind() {
        io::ErrorKind::AlreadyExists => (
            "this job file has come to be there meanwhile and is not overwritten".to_owned(),
            "add new panels to it with --add, or replace it with --force",
        ),
        _ => (format!("the job file cannot be written: {error}"), "check the folder and your rights in it"),
    };
    fault(path, message, remedy)
}

/// Writes a file as a whole or not at all: into a new file beside it, which then takes its name.
fn write(path: &Path, text: &str, replace: bool) -> io::Result<()> {
    let mut beside = tempfile::Builder::new();
    beside.prefix(".matloft-");
    #[cfg(unix)]
    let rights = {
        use std::os::unix::fs::PermissionsExt;
        // A new file gets what the system grants any new file; one that is replaced keeps its rights.
        std::fs::metadata(path).map_or_else(|_| std::fs::Permissions::from_mode(0o666), |known| known.permissions())
    };
    #[cfg(unix)]
    beside.permissions(rights);
    let mut file = beside.tempfile_in(folder_of(path))?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    let named = if replace { file.persist(path) } else { file.persist_noclobber(path) };
    named.map(drop).map_err(|error| error.error)
}

/// Shows each panel's size in mm and in inches, so that the user can tell which it is.
fn refuse_without_units(args: &Args, streams: &mut Streams<'_>) -> io::Result<Exit> {
    let (files, mut faults) = input::mesh_files(&args.files);
    let meshes = load_all(&files, &args.output, Some(LengthUnit::Millimetre), &mut faults);
    faults.extend(meshes.iter().flat_map(|mesh| mesh.loaded.errors.clone()));
    let parts: Vec<_> = meshes.iter().flat_map(|mesh| &mesh.loaded.parts).collect();
    writeln!(
        streams.err,
        "error: start needs --units: neither STL nor OBJ says what its numbers mean, and areas in the wrong unit are 100 or \
         645 times wrong"
    )?;
    let widest = parts.iter().map(|part| part.name.chars().count()).max().unwrap_or(0);
    for part in parts {
        let Some(bounds) = part.mesh.bounds() else { continue };
        let [x, y, z]: [f64; 3] = bounds.size_mm().into();
        let pad = " ".repeat(widest - part.name.chars().count());
        let of = |factor: f64| format!("{:.1} x {:.1} x {:.1}", x * factor, y * factor, z * factor);
        let (inch, inches) = (LengthUnit::Inch.mm(), LengthUnit::Inch.mm().recip());
        writeln!(streams.err, "  {}{pad}  if its numbers are mm:     {} mm = {} in", part.name, of(1.0), of(inches))?;
        writeln!(streams.err, "  {}  if its numbers are inches: {} mm = {} in", " ".repeat(widest), of(inch), of(1.0))?;
    }
    writeln!(
        streams.err,
        "       measure one panel on the plug or in the CAD and say --units mm or --units in (cm, m and ft are known too)"
    )?;
    report::terminal::faults(&faults, &mut *streams.err)?;
    Ok(Exit::WrongUsage)
}
