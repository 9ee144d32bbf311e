//! From the bytes of an STL or OBJ file to parts.
//!
//! What is safe to measure is measured and told in the part's notes; what cannot be trusted as a whole is an error.

mod assemble;
mod error;
mod obj;
mod polygon;
mod size;
mod sniff;
mod stl;
mod stl_text;
mod text;

use super::part::Part;
use crate::notes::Note;
use crate::units::LengthUnit;
use assemble::Source;
use sniff::Format;

pub use error::LoadError;

/// How to read a file.
#[derive(Debug, Clone, Copy, Default)]
pub struct LoadOptions {
    /// Unit of the file's numbers; taken as mm, with a note, if it is not given.
    pub unit: Option<LengthUnit>,
    /// One part per object of an OBJ, or per solid of a text STL.
    pub by_object: bool,
}

/// What could not be trusted as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadFault {
    /// File as given.
    pub file: String,
    /// The object in it, if the others of the file are sound.
    pub object: Option<String>,
    /// What is wrong and where.
    pub message: String,
    /// How to mend it.
    pub remedy: String,
}

/// What a file gave.
#[derive(Debug, Clone, Default)]
pub struct Loaded {
    /// The parts that can be measured.
    pub parts: Vec<Part>,
    /// What cannot.
    pub errors: Vec<LoadFault>,
}

/// Reads the parts of a file. `file` is its name as given, which messages and parts carry; the bytes say the format.
///
/// There is at least a part or an error, and never both for one object.
#[must_use]
pub fn load(bytes: &[u8], file: &str, options: &LoadOptions) -> Loaded {
    let (stem, ending) = stem_and_ending(file);
    let reading = Reading { file, stem, options };
    let format = match sniff::format(bytes, &ending) {
        Ok(format) => format,
        Err(error) => return reading.fault(None, &error),
    };
    let mut loaded = match format {
        Format::BinaryStl => reading.binary_stl(bytes),
        Format::TextStl => reading.text_stl(bytes),
        Format::Obj => reading.obj(bytes),
    };
    if let Some(note) = ending_note(format, &ending) {
        loaded.parts.iter_mut().for_each(|part| part.notes.insert(0, note.clone()));
    }
    loaded
}

/// One file being read.
struct Reading<'a> {
    file: &'a str,
    stem: &'a str,
    options: &'a LoadOptions,
}

impl Reading<'_> {
    fn binary_stl(&self, bytes: &[u8]) -> Loaded {
        let (records, notes) = match stl::records(bytes) {
            Ok(read) => read,
            Err(error) => return self.fault(None, &error),
        };
        let regions = vec![0; crate::geometry::weld::Triangles::count(&records)];
        self.part(&records, regions, Source { regions: vec![String::new()], notes, ..self.source(None, 0) })
    }

    fn text_stl(&self, bytes: &[u8]) -> Loaded {
        let stl = match stl_text::read(bytes) {
            Ok(stl) => stl,
            Err(error) => return self.fault(None, &error),
        };
        if !self.options.by_object || stl.solids.len() == 1 {
            let mut notes = stl.notes;
            notes.extend(solids_note(&stl.solids));
            let regions = if stl.solids.len() == 1 { vec![String::new()] } else { stl.solids };
            let source = Source { regions, notes, ..self.source(None, 0) };
            return self.part(stl.triangles.as_slice(), stl.solid_of, source);
        }
        let mut loaded = Loaded::default();
        let mut start = 0;
        for solid in stl.solid_of.chunk_by(|a, b| a == b) {
            let triangles = &stl.triangles[start..start + solid.len()];
            start += solid.len();
            let name = &stl.solids[solid[0] as usize];
            let source = Source {
                regions: vec![String::new()],
                notes: stl.notes.clone(),
                ..self.source(Some(name), loaded.parts.len() + loaded.errors.len())
            };
            loaded.add(self.part(triangles, vec![0; solid.len()], source));
        }
        loaded
    }

    fn obj(&self, bytes: &[u8]) -> Loaded {
        let obj = match obj::read(bytes) {
            Ok(obj) => obj,
            Err(error) => return self.fault(None, &error),
        };
        let objects = if self.options.by_object { obj::objects(&obj) } else { vec![obj::Object::whole(&obj)] };
        let mut loaded = Loaded::default();
        for (index, object) in objects.iter().enumerate() {
            let name = Some(object.name.as_str()).filter(|name| !name.is_empty());
            match object.cut(&obj) {
                Ok(cut) => {
                    let notes = [obj.notes.as_slice(), cut.notes.as_slice()].concat();
                    let source = Source { regions: cut.region_names, notes, ..self.source(name, index) };
                    loaded.add(self.part(cut.triangles.as_slice(), cut.regions, source));
                }
                Err(error) => loaded.add(self.fault(name, &error)),
            }
        }
        loaded
    }

    fn source(&self, object: Option<&str>, index: usize) -> Source {
        Source {
            name: object.filter(|name| !name.is_empty()).unwrap_or(self.stem).to_owned(),
            file: self.file.to_owned(),
            object: object.map(str::to_owned),
            index,
            ..Source::default()
        }
    }

    fn part<T>(&self, triangles: &T, regions: Vec<u32>, source: Source) -> Loaded
    where
        T: crate::geometry::weld::Triangles + ?Sized,
    {
        let object = source.object.clone();
        match assemble::part(triangles, regions, source, self.options.unit) {
            Ok(part) => Loaded { parts: vec![part], errors: Vec::new() },
            Err(error) => self.fault(object.as_deref(), &error),
        }
    }

    fn fault(&self, object: Option<&str>, error: &LoadError) -> Loaded {
        let fault = LoadFault {
            file: self.file.to_owned(),
            object: object.map(str::to_owned),
            message: error.to_string(),
            remedy: error.remedy().to_owned(),
        };
        Loaded { parts: Vec::new(), errors: vec![fault] }
    }
}

impl Loaded {
    fn add(&mut self, other: Self) {
        self.parts.extend(other.parts);
        self.errors.extend(other.errors);
    }
}

/// Name without folder and ending, and the ending in lower case.
fn stem_and_ending(file: &str) -> (&str, String) {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    match name.rsplit_once('.') {
        Some((stem, ending)) if !stem.is_empty() => (stem, ending.to_lowercase()),
        _ => (name, String::new()),
    }
}

fn ending_note(format: Format, ending: &str) -> Option<Note> {
    let holds = match format {
        Format::BinaryStl => "a binary STL",
        Format::TextStl => "a text (ASCII) STL",
        Format::Obj => "an OBJ",
    };
    (ending != format.ending()).then(|| {
        Note::warning(
            "wrong-ending",
            format!(
                "the name of the file does not end in .{}, but it holds {holds} and was read as that",
                format.ending()
            ),
            "name the file by what it holds",
        )
    })
}

fn solids_note(solids: &[String]) -> Option<Note> {
    const TOLD: usize = 10;
    if solids.len() < 2 {
        return None;
    }
    let mut names: Vec<&str> = solids.iter().take(TOLD).map(String::as_str).collect();
    if solids.len() > TOLD {
        names.push("...");
    }
    Some(Note::info(
        "several-solids",
        format!("the file holds {} solids ({}), taken together as one part", solids.len(), names.join(", ")),
        "measure them one by one with --objects",
    ))
}
