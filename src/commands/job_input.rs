//! The job file and the meshes that it names.

use std::path::{Path, PathBuf};

use rayon::prelude::*;
use sha2::{Digest, Sha256};

use super::input;
use crate::geometry::load::{LoadFault, LoadOptions, Loaded, load};
use crate::geometry::part::Part;
use crate::geometry::split::Plane;
use crate::job::marks::{Mark, marks};
use crate::job::{Fault, Job, JobErrors, JobPart, SplitPlane, read};
use crate::nearest::nearest;
use crate::units::LengthUnit;

/// Why a job could not be opened.
#[derive(Debug, Clone, PartialEq)]
pub enum Unopened {
    /// The file itself.
    File(LoadFault),
    /// What stands in it.
    Job(JobErrors),
}

/// Reads a job file.
///
/// # Errors
/// [`Unopened`] if the file cannot be read, is not UTF-8, or is at fault.
pub fn open(path: &Path) -> Result<Job, Unopened> {
    let file = input::shown(path);
    let bytes = input::read(path).map_err(Unopened::File)?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..good].iter().filter(|&&byte| byte == b'\n').count() + 1;
        Unopened::File(LoadFault {
            file: file.clone(),
            object: None,
            message: format!("line {line} is not UTF-8 text"),
            remedy: "save the job file as UTF-8 in the editor".to_owned(),
        })
    })?;
    read(&text, &file).map_err(Unopened::Job)
}

/// The mesh of one part of a job.
#[derive(Debug, Clone)]
pub struct JobMesh {
    /// The mesh as loaded.
    pub part: Part,
    /// The planes of its splits, in the order of the job.
    pub planes: Vec<Plane>,
    /// SHA-256 of the mesh file, in hexadecimal.
    pub sha256: String,
    /// Flat objects of the file that pass through the mesh and that the job does not name.
    pub idle_marks: Vec<Mark>,
}

/// What is wrong with a part, each with its path in the job.
pub type PartFaults = Vec<(String, Fault)>;

/// One file, read in one way: parts that share it are cut from one loading.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Reading {
    path: PathBuf,
    unit: &'static str,
    by_object: bool,
}

struct Contents {
    loaded: Loaded,
    sha256: String,
}

/// Loads the mesh of every part, in the order of the job; one bad part never stops the others.
#[must_use]
pub fn meshes(job: &Job, job_file: &Path) -> Vec<Result<JobMesh, PartFaults>> {
    let folder = job_file.parent().unwrap_or(Path::new(""));
    let readings: Vec<Reading> = job.parts.iter().map(|part| reading(job, part, folder)).collect();
    let mut distinct = readings.clone();
    distinct.sort();
    distinct.dedup();
    let contents: Vec<Contents> = distinct.par_iter().map(contents_of).collect();
    job.parts
        .par_iter()
        .zip(&readings)
        .enumerate()
        .map(|(index, (part, reading))| {
            let at = distinct.binary_search(reading).expect("every reading was listed");
            let named = objects_named(job, &part.file);
            mesh_of(&format!("part[{index}]"), part, &contents[at], &named)
        })
        .collect()
}

/// Objects of a file that the job names, as panels or as marks.
fn objects_named<'a>(job: &'a Job, file: &str) -> Vec<&'a str> {
    let of_file = job.parts.iter().filter(|part| part.file == file);
    of_file
        .flat_map(|part| part.object.iter().chain(part.splits.iter().filter_map(|split| split.object.as_ref())))
        .map(String::as_str)
        .collect()
}

fn reading(job: &Job, part: &JobPart, folder: &Path) -> Reading {
    let by_object = part.object.is_some() || part.splits.iter().any(|split| split.object.is_some());
    Reading { path: folder.join(&part.file), unit: job.unit_of(part).symbol(), by_object }
}

fn contents_of(reading: &Reading) -> Contents {
    match input::read(&reading.path) {
        Ok(bytes) => {
            let options = LoadOptions { unit: LengthUnit::from_symbol(reading.unit), by_object: reading.by_object };
            let sha256 = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
            Contents { loaded: load(&bytes, &input::shown(&reading.path), &options), sha256 }
        }
        Err(fault) => Contents { loaded: Loaded { parts: Vec::new(), errors: vec![fault] }, sha256: String::new() },
    }
}

fn mesh_of(path: &str, wanted: &JobPart, contents: &Contents, named: &[&str]) -> Result<JobMesh, PartFaults> {
    let mut faults = Vec::new();
    let part = match part_of(wanted, &contents.loaded) {
        Ok(part) => Some(part),
        Err((key, fault)) => {
            faults.push((format!("{path}.{key}"), fault));
            None
        }
    };
    let mut planes = Vec::new();
    // Without a part there may be no objects to mark a plane either; that is told once.
    if part.is_some() {
        for (index, split) in wanted.splits.iter().enumerate() {
            match split.plane() {
                Some(SplitPlane::Plane(plane)) => planes.push(plane),
                Some(SplitPlane::Object(object)) => match marked_plane(wanted, object, &contents.loaded) {
                    Ok(plane) => planes.push(plane),
                    Err(fault) => faults.push((format!("{path}.split[{index}].object"), fault)),
                },
                None => faults.push((format!("{path}.split[{index}]"), Fault::NoPlane { split: split.name.clone() })),
            }
        }
    }
    match part {
        Some(part) if faults.is_empty() => {
            let is_idle = |part: &Part| part.object.as_deref().is_some_and(|object| !named.contains(&object));
            let idle_marks = marks(&contents.loaded.parts, is_idle, |other| std::ptr::eq(other, part));
            let part = Part { name: wanted.name.clone(), ..part.clone() };
            Ok(JobMesh { part, planes, sha256: contents.sha256.clone(), idle_marks })
        }
        _ => Err(faults),
    }
}

/// The part that is meant, or the key at fault and why.
fn part_of<'a>(wanted: &JobPart, loaded: &'a Loaded) -> Result<&'a Part, (&'static str, Fault)> {
    if let Some(object) = &wanted.object {
        let found = objects_called(object, loaded);
        return match (wanted.object_number, found.as_slice()) {
            (None, [only]) => Ok(only),
            (Some(number), _) if found.len() >= number as usize && number > 0 => Ok(found[number as usize - 1]),
            (None, [_, _, ..]) => Err(("object", many(wanted, object, found.len()))),
            (Some(_), [_, ..]) => Err(("object_number", many(wanted, object, found.len()))),
            (_, []) => Err(no_object(wanted, object, loaded)),
        };
    }
    if let Some(error) = loaded.errors.first() {
        return Err(("file", mesh_fault(wanted, error)));
    }
    let is_mark =
        |part: &&Part| wanted.splits.iter().any(|split| split.object.is_some() && split.object == part.object);
    let panels: Vec<&Part> = loaded.parts.iter().filter(|part| !is_mark(part)).collect();
    match panels.as_slice() {
        [only] => Ok(only),
        _ => {
            let known = panels.iter().map(|part| part.object.clone().unwrap_or_default()).collect();
            Err(("file", Fault::WhichObject { file: wanted.file.clone(), known }))
        }
    }
}

fn objects_called<'a>(object: &str, loaded: &'a Loaded) -> Vec<&'a Part> {
    loaded.parts.iter().filter(|part| part.object.as_deref().unwrap_or("") == object).collect()
}

fn many(wanted: &JobPart, object: &str, count: usize) -> Fault {
    Fault::ManyObjects { object: object.to_owned(), file: wanted.file.clone(), count }
}

fn no_object(wanted: &JobPart, object: &str, loaded: &Loaded) -> (&'static str, Fault) {
    let of_whole_file = loaded.errors.iter().find(|error| error.object.is_none());
    let of_object = loaded.errors.iter().find(|error| error.object.as_deref() == Some(object));
    match of_object.or(of_whole_file) {
        Some(error) => ("file", mesh_fault(wanted, error)),
        None => ("object", unknown_object(wanted, object, loaded)),
    }
}

fn unknown_object(wanted: &JobPart, object: &str, loaded: &Loaded) -> Fault {
    let known: Vec<String> = loaded.parts.iter().filter_map(|part| part.object.clone()).collect();
    let nearest = nearest(object, known.iter().map(String::as_str)).map(str::to_owned);
    Fault::NoObject { object: object.to_owned(), file: wanted.file.clone(), nearest, known }
}

fn mesh_fault(wanted: &JobPart, error: &LoadFault) -> Fault {
    Fault::Mesh {
        part: wanted.name.clone(),
        file: wanted.file.clone(),
        message: error.message.clone(),
        remedy: error.remedy.clone(),
    }
}

fn marked_plane(wanted: &JobPart, object: &str, loaded: &Loaded) -> Result<Plane, Fault> {
    match objects_called(object, loaded).as_slice() {
        [only] => Plane::of_flat_object(&only.mesh).map_err(|error| Fault::NoMark {
            object: object.to_owned(),
            message: error.to_string(),
            remedy: error.remedy().to_owned(),
        }),
        [] => Err(unknown_object(wanted, object, loaded)),
        several => Err(many(wanted, object, several.len())),
    }
}
