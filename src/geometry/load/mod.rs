//! From the bytes of an STL or OBJ file to parts.

use super::mesh::{Mesh, Point};
use super::part::{Health, Part};
use crate::units::LengthUnit;

/// How to read a file.
#[derive(Debug, Clone, Copy, Default)]
pub struct LoadOptions {
    /// Unit of the file's numbers; taken as mm, with a note, if it is not given.
    pub unit: Option<LengthUnit>,
    /// One part per object of an OBJ.
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

/// Reads the parts of a file. `file` is its name as given: its ending says the format, and messages name it.
#[must_use]
pub fn load(bytes: &[u8], file: &str, options: &LoadOptions) -> Loaded {
    let unit = options.unit.unwrap_or(LengthUnit::Millimetre);
    let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = stem.rsplit_once('.').map_or(stem, |(name, _)| name).to_owned();
    let fault = |message: String| Loaded {
        parts: Vec::new(),
        errors: vec![LoadFault { file: file.to_owned(), object: None, message, remedy: String::new() }],
    };
    let mut seen = rustc_hash::FxHashMap::default();
    let mut mesh = Mesh::default();
    let mut add = |mesh: &mut Mesh, corner: [f64; 3]| {
        let corner = corner.map(|x| x * unit.mm() + 0.0);
        *seen.entry(corner.map(f64::to_bits)).or_insert_with(|| {
            mesh.points_mm.push(Point::from(corner));
            mesh.points_mm.len() as u32 - 1
        })
    };
    if file.to_lowercase().ends_with(".obj") {
        let options = tobj::LoadOptions { triangulate: true, ..Default::default() };
        let read = tobj::load_obj_buf(&mut std::io::Cursor::new(bytes), &options, |_| Ok(Default::default()));
        match read {
            Ok((models, _)) => {
                for model in models {
                    for face in model.mesh.indices.chunks_exact(3) {
                        let corners = [0, 1, 2].map(|k| {
                            let at = 3 * face[k] as usize;
                            add(&mut mesh, [0, 1, 2].map(|axis| model.mesh.positions[at + axis]))
                        });
                        mesh.faces.push(corners);
                    }
                }
            }
            Err(error) => return fault(error.to_string()),
        }
    } else {
        match stl_io::read_stl(&mut std::io::Cursor::new(bytes)) {
            Ok(stl) => {
                for face in &stl.faces {
                    let corners = [0, 1, 2].map(|k| {
                        let at = stl.vertices[face.vertices[k]];
                        add(&mut mesh, [0, 1, 2].map(|axis| f64::from(at[axis])))
                    });
                    mesh.faces.push(corners);
                }
            }
            Err(error) => return fault(error.to_string()),
        }
    }
    mesh.faces.retain(|f| f[0] != f[1] && f[1] != f[2] && f[2] != f[0]);
    if mesh.faces.is_empty() {
        return fault("empty".to_owned());
    }
    let health = Health { triangles: mesh.faces.len(), vertices: mesh.points_mm.len(), ..Health::default() };
    let face_regions = vec![0; mesh.faces.len()];
    Loaded {
        parts: vec![Part {
            name: stem,
            file: file.to_owned(),
            object: None,
            index: 0,
            unit,
            mesh,
            face_regions,
            regions: vec![String::new()],
            health,
            notes: Vec::new(),
        }],
        errors: Vec::new(),
    }
}
