//! One part as loaded: its mesh in millimetres, where it came from and the state of the file.

use serde::Serialize;

use super::mesh::Mesh;
use crate::notes::Note;
use crate::units::LengthUnit;

/// A panel as the file holds it, welded and wound alike.
#[derive(Debug, Clone)]
pub struct Part {
    /// Name of the object, or of the file without folder and ending.
    pub name: String,
    /// File as given by the caller.
    pub file: String,
    /// Name of the object in the file if the parts of a file were asked for one by one.
    pub object: Option<String>,
    /// Position of the object in its file, from 0; tells equal names apart.
    pub index: usize,
    /// The unit that the file's numbers were taken in.
    pub unit: LengthUnit,
    /// Welded mesh in mm.
    pub mesh: Mesh,
    /// For each facet, the number of its region in `regions`.
    pub face_regions: Vec<u32>,
    /// Names of groups and materials of an OBJ (`group`, or `group/material`), in order of appearance; one nameless region for an
    /// STL of one solid.
    pub regions: Vec<String>,
    /// State of the welded mesh.
    pub health: Health,
    /// What was repaired or assumed.
    pub notes: Vec<Note>,
}

/// Counts on the welded mesh, before cracks are stitched.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Health {
    /// Facets with area that were kept.
    pub triangles: usize,
    /// Points after welding that facets use.
    pub vertices: usize,
    /// Edges of one facet.
    pub open_edges: usize,
    /// Edges of three or more facets.
    pub nonmanifold_edges: usize,
    /// Edges whose two facets were wound against each other, as in the file.
    pub flipped_edges: usize,
    /// Facets with the corners and winding of an earlier one; dropped.
    pub duplicate_triangles: usize,
    /// Facets with the corners of an earlier one that faces the other way; dropped, so that both count once.
    pub back_to_back_triangles: usize,
    /// Facets whose smallest height is under the weld tolerance; they have no area.
    pub degenerate_triangles: usize,
    /// Facets with a corner that is not a finite number; left out.
    pub not_finite_triangles: usize,
    /// Groups of facets joined by edges.
    pub components: usize,
    /// Closed chains of open edges.
    pub boundary_loops: usize,
    /// No open edge and no edge of three or more facets.
    pub closed: bool,
}
