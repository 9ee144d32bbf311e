//! The objects of an OBJ: which faces belong to each, and their triangles.

use rustc_hash::FxHashMap;

use super::{Face, Obj, Region};
use crate::geometry::load::error::LoadError;
use crate::geometry::load::polygon::{Cutter, Shape};
use crate::geometry::mesh::Point;
use crate::notes::Note;

/// Faces that belong together.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Object {
    /// Name as written; empty for faces that stand before the first name.
    pub name: String,
    /// Its faces in order.
    faces: Vec<u32>,
}

/// Triangles of an object.
#[derive(Debug, Clone, Default)]
pub struct Cut {
    /// Their corners.
    pub triangles: Vec<[[f64; 3]; 3]>,
    /// For each, the number of its region.
    pub regions: Vec<u32>,
    /// Names of the regions.
    pub region_names: Vec<String>,
    /// What was found odd.
    pub notes: Vec<Note>,
}

/// The objects of a file: those after `o`, or those after `g` where there is no `o`. Objects without faces are left out.
#[must_use]
pub fn objects(obj: &Obj) -> Vec<Object> {
    let has_objects = obj.n_objects > 0;
    let mut places: FxHashMap<(u32, Option<u32>), usize> = FxHashMap::default();
    let mut objects: Vec<Object> = Vec::new();
    for (number, face) in (0..).zip(&obj.faces) {
        let region = &obj.regions[face.region as usize];
        // Objects of one name are different objects; what stands under one group name is one group.
        let key = if has_objects { (region.object, region.object_name) } else { (0, region.group) };
        let place = *places.entry(key).or_insert_with(|| {
            let name = key.1.map(|name| obj.names[name as usize].clone()).unwrap_or_default();
            objects.push(Object { name, faces: Vec::new() });
            objects.len() - 1
        });
        objects[place].faces.push(number);
    }
    objects
}

impl Object {
    /// All faces of the file.
    #[must_use]
    pub fn whole(obj: &Obj) -> Self {
        Self { name: String::new(), faces: (0..obj.faces.len() as u32).collect() }
    }

    /// Cuts the faces into triangles.
    ///
    /// # Errors
    /// If a face names a vertex that does not exist.
    pub fn cut(&self, obj: &Obj) -> Result<Cut, LoadError> {
        self.check_indices(obj)?;
        let mut cut = Cut::default();
        let mut regions = Regions::default();
        let mut cutter = Cutter::default();
        let mut corners: Vec<Point> = Vec::new();
        let mut ears = Vec::new();
        let mut crossing: Vec<usize> = Vec::new();
        for &number in &self.faces {
            let face = &obj.faces[number as usize];
            corners.clear();
            corners.extend(vertices(obj, face).iter().map(|&vertex| Point::from(obj.vertices[vertex as usize])));
            if cutter.cut(&corners, &mut ears) == Shape::CrossesItself {
                crossing.push(face.line);
            }
            let region = regions.number(obj, face.region, &mut cut.region_names);
            cut.triangles.extend(ears.iter().map(|ear| ear.map(|place| corners[place as usize].into())));
            cut.regions.resize(cut.triangles.len(), region);
        }
        cut.notes.extend(crossing_note(&crossing));
        Ok(cut)
    }

    fn check_indices(&self, obj: &Obj) -> Result<(), LoadError> {
        const TOLD: usize = 10;
        if obj.bad_indices.is_empty() {
            return Ok(());
        }
        let mut bad: Vec<(usize, i64)> = Vec::new();
        for &(number, index) in &obj.bad_indices {
            let line = obj.faces[number as usize].line;
            if self.faces.binary_search(&number).is_ok() && bad.last().is_none_or(|&(last, _)| last != line) {
                bad.push((line, index));
            }
        }
        if bad.is_empty() {
            return Ok(());
        }
        let mut places: Vec<String> =
            bad.iter().take(TOLD).map(|(line, index)| format!("line {line} (index {index})")).collect();
        if bad.len() > TOLD {
            places.push(format!("and {} more", bad.len() - TOLD));
        }
        let faces = if bad.len() == 1 { "face refers" } else { "faces refer" };
        Err(LoadError::BadIndex { count: bad.len(), faces, vertices: obj.vertices.len(), places: places.join(", ") })
    }
}

fn vertices<'a>(obj: &'a Obj, face: &Face) -> &'a [u32] {
    &obj.corners[face.first_corner..face.first_corner + face.n_corners as usize]
}

/// A polygon that crosses itself is measured as its ears fall, and told.
fn crossing_note(lines: &[usize]) -> Option<Note> {
    let first = lines.first()?;
    Some(Note::warning(
        "crossing-polygons",
        format!(
            "{} polygons have an outline that crosses itself (first at line {first}); their area is doubtful",
            lines.len()
        ),
        "mend these faces in the CAD program, or export triangles",
    ))
}

/// The named regions of one object, in order of appearance.
#[derive(Default)]
struct Regions {
    /// From the file's region to the part's.
    known: FxHashMap<u32, u32>,
}

impl Regions {
    fn number(&mut self, obj: &Obj, region: u32, names: &mut Vec<String>) -> u32 {
        *self.known.entry(region).or_insert_with(|| {
            let name = region_name(obj, &obj.regions[region as usize]);
            let number = names.iter().position(|known| *known == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            });
            number as u32
        })
    }
}

/// `group`, or `group/material`; the object's name stands in for a group.
fn region_name(obj: &Obj, region: &Region) -> String {
    let named = |name: Option<u32>| name.map_or("", |name| obj.names[name as usize].as_str());
    let group = named(region.group.or(region.object_name));
    match named(region.material) {
        "" => group.to_owned(),
        material => format!("{group}/{material}"),
    }
}
