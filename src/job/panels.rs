//! Which panels a set of mesh files holds, for the starter.

use std::collections::BTreeMap;

use crate::geometry::mesh::{Mesh, Point, Vector};
use crate::geometry::part::Part;

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

/// The panels of one file, in its order. `file` is what the job file is to call it.
///
/// A flat object that passes through another object of the same file is taken for the mark of a split: it carries the
/// names of those objects in `splits`.
#[must_use]
pub fn panels_of(parts: &[Part], file: &str) -> Vec<Panel> {
    let several = parts.len() > 1;
    let mut numbers: BTreeMap<&str, u32> = BTreeMap::new();
    let planes: Vec<Option<FlatPlane>> = parts.iter().map(|part| FlatPlane::of(&part.mesh)).collect();
    let mut panels = Vec::new();
    for (part, plane) in parts.iter().zip(&planes) {
        let object = part.object.as_deref().unwrap_or(&part.name);
        let number = numbers.entry(object).or_insert(0);
        *number += 1;
        let cut_through = |other: &&Part| plane.as_ref().is_some_and(|plane| plane.passes_through(&other.mesh));
        let splits = match several {
            true => parts.iter().filter(cut_through).map(|other| other.name.clone()).collect(),
            false => Vec::new(),
        };
        panels.push(Panel {
            name: part.name.clone(),
            file: file.to_owned(),
            object: several.then(|| object.to_owned()),
            object_number: *number,
            size_mm: part.mesh.bounds().map_or([0.0; 3], |bounds| bounds.size_mm().into()),
            area_m2: part.mesh.area_m2(),
            splits,
        });
    }
    panels
}

/// A mesh whose points lie this near to one plane, per its diagonal, is flat. A panel with a crown of a millimetre in
/// two metres is 5e-4; the rounding of an STL file is under 1e-6.
const FLAT: f64 = 1e-5;
/// A plane passes through a body if more than this part of the body's diagonal lies on either side: what touches or lies
/// on a face is no mark of a split.
const THROUGH: f64 = 0.01;

struct FlatPlane {
    at: Point,
    normal: Vector,
}

impl FlatPlane {
    /// The plane of a flat mesh.
    fn of(mesh: &Mesh) -> Option<Self> {
        let largest = mesh.face_ids().max_by(|&a, &b| mesh.face_area_mm2(a).total_cmp(&mesh.face_area_mm2(b)))?;
        let plane = Self { at: mesh.corners(largest)[0], normal: mesh.normal(largest) };
        let most = FLAT * mesh.bounds()?.diagonal_mm();
        let flat = plane.normal != Vector::zeros() && plane.heights(mesh).all(|height| height.abs() <= most);
        flat.then_some(plane)
    }

    fn heights<'a>(&'a self, mesh: &'a Mesh) -> impl Iterator<Item = f64> + 'a {
        mesh.faces.iter().flatten().map(|&point| self.normal.dot(&(mesh.points_mm[point as usize] - self.at)))
    }

    fn passes_through(&self, mesh: &Mesh) -> bool {
        let Some(bounds) = mesh.bounds() else { return false };
        let (mut below, mut above) = (0.0_f64, 0.0_f64);
        for height in self.heights(mesh) {
            below = below.min(height);
            above = above.max(height);
        }
        let least = THROUGH * bounds.diagonal_mm();
        above > least && -below > least
    }
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
