//! Which panels a set of mesh files holds, for the starter.

use std::collections::BTreeMap;

use crate::geometry::load::Loaded;
use crate::geometry::mesh::{Bounds, Mesh};
use crate::geometry::part::Part;
use crate::geometry::split::Plane;

/// A panel that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Name for the job file.
    pub name: String,
    /// Mesh file as the job file is to name it.
    pub file: String,
    /// Name of the object, if its file holds several.
    pub object: Option<String>,
    /// Which of the objects of this name, from 1; 1 unless the file holds several.
    pub object_number: u32,
    /// Extent along x, y and z in mm.
    pub size_mm: [f64; 3],
    /// Area of the mesh in m2, both sides of a body with a wall.
    pub area_m2: f64,
    /// The objects of the same file through which this flat one passes, if it looks like the mark of a split.
    pub splits: Vec<String>,
}

/// The panels of one file that was loaded object by object, in its order. `file` is what the job file is to call it.
///
/// A flat object that passes through another object of the same file and beyond it is taken for the mark of a split: it carries the
/// names of those objects in `splits`.
#[must_use]
pub fn panels_of(loaded: &Loaded, file: &str) -> Vec<Panel> {
    let parts = &loaded.parts;
    let several = parts.len() > 1 || loaded.errors.iter().any(|error| error.object.is_some());
    let mut numbers: BTreeMap<&str, u32> = BTreeMap::new();
    let mut panels = Vec::new();
    for part in parts {
        let object = part.object.as_deref().unwrap_or("");
        let number = numbers.entry(object).or_insert(0);
        *number += 1;
        panels.push(Panel {
            name: part.name.clone(),
            file: file.to_owned(),
            object: several.then(|| object.to_owned()),
            object_number: *number,
            size_mm: part.mesh.bounds().map_or([0.0; 3], |bounds| bounds.size_mm().into()),
            area_m2: part.mesh.area_m2(),
            splits: split_by(part, parts),
        });
    }
    panels
}

/// Names of the parts whose split this one marks.
fn split_by(part: &Part, parts: &[Part]) -> Vec<String> {
    match Plane::of_flat_object(&part.mesh) {
        Ok(plane) => {
            let marked = |other: &&Part| marks_split_of(&part.mesh, &plane, &other.mesh);
            parts.iter().filter(marked).map(|other| other.name.clone()).collect()
        }
        Err(_) => Vec::new(),
    }
}

/// A plane passes through a body if more than this part of the body's diagonal lies on either side: what touches or lies
/// on a face is no mark of a split.
const THROUGH: f64 = 0.01;
/// A mark reaches beyond the body that it cuts by at least this part of the cut's diagonal. A bulkhead or a shelf that is
/// fitted into a shell ends at its skin; who draws a mark draws it larger, so that it can be seen.
const BEYOND: f64 = 0.005;

/// True if a flat object marks a split of a body: its plane passes through the body, and it holds all of the cut.
pub(super) fn marks_split_of(mark: &Mesh, plane: &Plane, body: &Mesh) -> bool {
    let (Some(marked), Some(bounds), Some(cut)) = (mark.bounds(), body.bounds(), section_bounds(plane, body)) else {
        return false;
    };
    let heights = body.faces.iter().flatten().map(|&point| plane.signed_distance_mm(&body.points_mm[point as usize]));
    let (below, above) =
        heights.fold((0.0_f64, 0.0_f64), |(below, above), height| (below.min(height), above.max(height)));
    let least = THROUGH * bounds.diagonal_mm();
    let reach = BEYOND * cut.diagonal_mm();
    let (before, after) = (cut.least - marked.least, marked.most - cut.most);
    let holds = before.min() >= -reach && after.min() >= -reach;
    above > least && -below > least && holds && before.max().max(after.max()) >= reach
}

/// The box round the section of a mesh by a plane; nothing if the plane misses it.
fn section_bounds(plane: &Plane, mesh: &Mesh) -> Option<Bounds> {
    let mut bounds: Option<Bounds> = None;
    for corners in mesh.face_ids().map(|face| mesh.corners(face)) {
        for side in 0..3 {
            let (a, b) = (corners[side], corners[(side + 1) % 3]);
            let (from, to) = (plane.signed_distance_mm(&a), plane.signed_distance_mm(&b));
            if (from < 0.0) == (to < 0.0) {
                continue;
            }
            let at = a + (b - a) * (from / (from - to));
            let so_far = bounds.get_or_insert(Bounds { least: at, most: at });
            so_far.least = so_far.least.inf(&at);
            so_far.most = so_far.most.sup(&at);
        }
    }
    bounds
}

/// Gives every panel a name of its own, apart from those taken: a name that is met again gets a number.
pub(super) fn name_apart(panels: &mut [Panel], mut taken: Vec<String>) {
    for panel in panels {
        let wanted = if panel.name.trim().is_empty() { "panel" } else { panel.name.as_str() };
        let numbered = |number: usize| if number == 1 { wanted.to_owned() } else { format!("{wanted} {number}") };
        let free = (1..).map(numbered).find(|name| !taken.contains(name));
        panel.name = free.unwrap_or_default();
        taken.push(panel.name.clone());
    }
}
