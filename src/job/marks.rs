//! Flat objects of a mesh file that mark where to split, found without being told.

use rustc_hash::FxHashSet;

use super::panels::marks_split_of;
use crate::geometry::mesh::{Mesh, Point};
use crate::geometry::part::Part;
use crate::geometry::split::Plane;

/// A flat object that marks a plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Name of the object.
    pub name: String,
    /// Its plane.
    pub plane: Plane,
    /// Which of the objects it is.
    pub index: usize,
}

/// The flat objects that pass through another object of their file and beyond it. `may_mark` says which are asked, `body` which may
/// be passed through.
#[must_use]
pub fn marks(objects: &[Part], may_mark: impl Fn(&Part) -> bool, body: impl Fn(&Part) -> bool) -> Vec<Mark> {
    let marked = objects.iter().enumerate().filter(|(_, object)| may_mark(object)).filter_map(|(index, object)| {
        let plane = Plane::of_flat_object(&object.mesh).ok()?;
        let passes = objects.iter().any(|other| body(other) && marks_split_of(&object.mesh, &plane, &other.mesh));
        passes.then(|| Mark { name: object.name.clone(), plane, index })
    });
    marked.collect()
}

/// A file read as one part, without the facets of its marks.
#[must_use]
pub fn without_marks(whole: Part, objects: &[Part], marks: &[Mark]) -> Part {
    let corners = |mesh: &Mesh, face: u32| {
        let mut corners = mesh.corners(face).map(|corner| bits(&corner));
        corners.sort_unstable();
        corners
    };
    let marking: FxHashSet<[[u64; 3]; 3]> = marks
        .iter()
        .map(|mark| &objects[mark.index].mesh)
        .flat_map(|mesh| mesh.face_ids().map(move |face| corners(mesh, face)))
        .collect();
    let kept: Vec<u32> = whole.mesh.face_ids().filter(|&face| !marking.contains(&corners(&whole.mesh, face))).collect();
    let face_regions = kept.iter().filter_map(|&face| whole.face_regions.get(face as usize).copied()).collect();
    Part { mesh: whole.mesh.submesh(&kept), face_regions, ..whole }
}

fn bits(point: &Point) -> [u64; 3] {
    // Adding 0 turns -0 into 0.
    [point.x, point.y, point.z].map(|coordinate| (coordinate + 0.0).to_bits())
}
