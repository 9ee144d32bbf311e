//! The skin: is the mesh a sheet, a thin solid or a plug, how thick is its wall, and which facets lie on which side.
//!
//! CAD exports a panel of wall `t` as a solid whose surface is twice the skin. [`find`] looks through the material with rays:
//! facets that see the back of another close behind them are skin, opposed facets lie on different sides, neighbours on the
//! same, and the side that sees more of the sky is the outside. [`choose`] hands on the side that is laid.

mod body;
mod choose;
mod cracks;
mod examine;
mod glance;
mod hull;
mod leftovers;
mod neighbours;
mod outside;
mod quantiles;
mod round_rims;
#[cfg(test)]
pub mod shapes;
mod sides;
mod tell;
#[cfg(test)]
mod tests;
mod thickness;
mod walls;

use rayon::prelude::*;

use super::mesh::{FaceId, Mesh};
use super::shells::Shell;
use super::stitch::Surface;
use super::topology::Topology;
use crate::notes::Note;
use crate::units::m2_from_mm2;
use crate::watch::Watch;

pub use choose::{FaceChoice, LaidSide, OutwardChoice, choose};
pub(crate) use cracks::Cracks;
pub(crate) use walls::place_on_facet;

use body::{BodyFaces, bodies, open_bodies_as_one};
use examine::{Found, double_sheet, examine};
use glance::Glance;

/// What kind of body the mesh is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SkinKind {
    /// An open surface without thickness.
    Sheet,
    /// A body with a wall: two opposed skins and a rim.
    ThinSolid,
    /// A body without a wall, such as a plug.
    Solid,
}

impl SkinKind {
    /// The kind in the shop's words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::ThinSolid => "thin solid",
            Self::Solid => "plug",
        }
    }
}

/// Where a facet belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Outer skin; every facet of a sheet or a plug.
    Outside,
    /// Inner skin of a thin solid.
    Inside,
    /// Edge face of a thin solid between its skins.
    Rim,
}

/// What the caller knows better than the shape tells.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct SkinOptions {
    /// The kind, as the job file says; found from the shape if nothing.
    pub kind: Option<SkinKind>,
}

/// One body of the mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// What it is.
    pub kind: SkinKind,
    /// Its whole surface, in m2.
    pub area_m2: f64,
    /// Closed hollows that it holds.
    pub n_hollows: usize,
    /// Its facets face into the material; what is laid of it is turned over.
    pub inside_out: bool,
    /// The kind is a convention and not plain from the shape.
    pub doubtful: bool,
}

/// The skin of a mesh. `outside_m2 + inside_m2 + rim_m2` is its area.
#[derive(Debug, Clone, PartialEq)]
pub struct Skin {
    /// Kind of the body with the largest outside.
    pub kind: SkinKind,
    /// For each facet its side.
    pub sides: Vec<Side>,
    /// For each facet the number of its body in `bodies`.
    pub body_of_face: Vec<u32>,
    /// The bodies, in order of their first facet.
    pub bodies: Vec<Body>,
    /// Mean wall behind each facet, in mm; 0 where none was met, and empty where no body has a wall.
    pub face_walls_mm: Vec<f32>,
    /// Most common wall of thin solids.
    pub wall_mm: Option<f64>,
    /// Thinnest wall, but for a thousandth of the area.
    pub wall_min_mm: Option<f64>,
    /// Thickest wall where both faces are parallel, but for a thousandth of the area.
    pub wall_max_mm: Option<f64>,
    /// Thickest along a ray through a joint, if that is more.
    pub wall_at_joints_mm: Option<f64>,
    /// Thinnest and thickest are good to this: the chord heights of the file where the wall was measured.
    pub wall_chord_mm: Option<f64>,
    /// Area of the outer skin; of sheets and plugs all.
    pub outside_m2: f64,
    /// Area of the inner skin.
    pub inside_m2: f64,
    /// Area of the edge faces.
    pub rim_m2: f64,
    /// Nothing tells outside from inside; the upper side was taken.
    pub either_side: bool,
    /// The kind is a convention and not plain from the shape; a note says how to settle it.
    pub doubtful: bool,
    /// What was assumed.
    pub notes: Vec<Note>,
}

/// Tells the sides of a mesh apart.
///
/// Closed shells must be wound outwards already (see [`super::shells`]); a body that is only closed across cracks is looked at
/// turned over if it is inside out. Good for walls up to a tenth of the root of one
/// side's area and 60 mm. A cancelled search calls the rest a plug; the result is not wanted then anyway.
#[must_use]
pub fn find(surface: &Surface, options: &SkinOptions, watch: &dyn Watch) -> Skin {
    let mesh = surface.mesh;
    let areas_mm2: Vec<f64> =
        (0..mesh.faces.len() as FaceId).into_par_iter().map(|face| mesh.face_area_mm2(face)).collect();
    let cracks = Cracks::find(mesh, &surface.topology);
    let mut bodies = bodies(mesh, &surface.topology, &cracks, &areas_mm2);
    if options.kind == Some(SkinKind::ThinSolid) {
        bodies = open_bodies_as_one(bodies);
    }
    let mut skin = Skin::all_outside(mesh.faces.len());
    let mut found = Vec::with_capacity(bodies.len());
    for (number, body) in bodies.iter().enumerate() {
        watch.progress("skin", number, bodies.len());
        let kind = if watch.cancelled() { Some(SkinKind::Solid) } else { options.kind };
        let inside_out = body.closed && !cracks.is_empty() && Shell::of(mesh, body.faces.clone()).volume_mm3 < 0.0;
        let one = match early(body, kind) {
            Some(kind) => Found::one_sided(kind, body.faces.len()),
            None if bodies.len() == 1 && !inside_out => {
                examine(mesh, &surface.topology, &cracks, &areas_mm2, body, kind)
            }
            None => examine_apart(mesh, &areas_mm2, body, inside_out, kind),
        };
        skin.take(number, body, inside_out, &one);
        found.push(one);
    }
    skin.sum_up(&areas_mm2, &found);
    let double = if options.kind.is_none() { open_facets_face_each_other(mesh, &areas_mm2, &bodies) } else { None };
    skin.doubtful |= double.is_some();
    skin.notes = tell::notes(mesh, &skin, &bodies, &found, options, double);
    skin
}

/// Looks whether the open bodies together look like the sides of one wall.
fn open_facets_face_each_other(mesh: &Mesh, areas_mm2: &[f64], bodies: &[BodyFaces]) -> Option<Glance> {
    if bodies.iter().all(|body| !body.closed) {
        return double_sheet(mesh, areas_mm2);
    }
    let open: Vec<FaceId> =
        bodies.iter().filter(|body| !body.closed).flat_map(|body| body.faces.iter().copied()).collect();
    let own_areas_mm2: Vec<f64> = open.iter().map(|&face| areas_mm2[face as usize]).collect();
    double_sheet(&mesh.submesh(&open), &own_areas_mm2)
}

/// The kind of a body that needs no rays.
fn early(body: &BodyFaces, kind: Option<SkinKind>) -> Option<SkinKind> {
    match kind {
        Some(SkinKind::ThinSolid) => None,
        Some(kind) => Some(kind),
        None if body.closed => None,
        None => Some(SkinKind::Sheet),
    }
}

/// Examines one body of several as a mesh of its own: other bodies that touch it or stand inside it must not be taken for
/// its own far side.
fn examine_apart(mesh: &Mesh, areas_mm2: &[f64], body: &BodyFaces, inside_out: bool, kind: Option<SkinKind>) -> Found {
    let mut own = mesh.submesh(&body.faces);
    if inside_out {
        own.faces.iter_mut().for_each(|face| face.swap(1, 2));
    }
    let topology = Topology::of(&own);
    let cracks = Cracks::find(&own, &topology);
    let own_areas_mm2: Vec<f64> = body.faces.iter().map(|&face| areas_mm2[face as usize]).collect();
    examine(&own, &topology, &cracks, &own_areas_mm2, body, kind)
}

impl Skin {
    fn all_outside(n_faces: usize) -> Self {
        Self {
            kind: SkinKind::Sheet,
            sides: vec![Side::Outside; n_faces],
            body_of_face: vec![0; n_faces],
            bodies: Vec::new(),
            face_walls_mm: Vec::new(),
            wall_mm: None,
            wall_min_mm: None,
            wall_max_mm: None,
            wall_at_joints_mm: None,
            wall_chord_mm: None,
            outside_m2: 0.0,
            inside_m2: 0.0,
            rim_m2: 0.0,
            either_side: false,
            doubtful: false,
            notes: Vec::new(),
        }
    }

    /// Puts down what was found of one body.
    fn take(&mut self, number: usize, body: &BodyFaces, inside_out: bool, found: &Found) {
        for (&face, &side) in body.faces.iter().zip(&found.sides) {
            self.sides[face as usize] = side;
            self.body_of_face[face as usize] = number as u32;
        }
        if !found.walls.0.is_empty() {
            self.face_walls_mm.resize(self.sides.len(), 0.0);
            for (&face, &wall_mm) in body.faces.iter().zip(&found.walls.0) {
                self.face_walls_mm[face as usize] = wall_mm;
            }
        }
        let area_m2 = m2_from_mm2(body.area_mm2);
        let (kind, n_hollows, doubtful) = (found.kind, body.n_hollows, found.doubtful);
        self.bodies.push(Body { kind, area_m2, n_hollows, inside_out, doubtful });
        self.either_side |= found.either_side;
        self.doubtful |= found.doubtful;
    }

    /// Areas, the leading kind and the wall.
    fn sum_up(&mut self, areas_mm2: &[f64], found: &[Found]) {
        let mut sums = [0.0; 3];
        let mut outside_of_body = vec![0.0; self.bodies.len()];
        for (face, &area_mm2) in areas_mm2.iter().enumerate() {
            sums[self.sides[face] as usize] += area_mm2;
            if self.sides[face] == Side::Outside {
                outside_of_body[self.body_of_face[face] as usize] += area_mm2;
            }
        }
        [self.outside_m2, self.inside_m2, self.rim_m2] = sums.map(m2_from_mm2);
        let by_outside =
            |&a: &usize, &b: &usize| f64::total_cmp(&outside_of_body[a], &outside_of_body[b]).then(b.cmp(&a));
        if let Some(leading) = (0..self.bodies.len()).max_by(by_outside) {
            self.kind = self.bodies[leading].kind;
        }
        let with_wall = |&body: &usize| found[body].thickness.is_some();
        let leading_wall = (0..found.len()).filter(with_wall).max_by(by_outside).and_then(|body| found[body].thickness);
        let all = || found.iter().filter_map(|found| found.thickness);
        self.wall_mm = leading_wall.map(|wall| wall.usual_mm);
        self.wall_min_mm = all().map(|wall| wall.least_mm).reduce(f64::min);
        self.wall_max_mm = all().map(|wall| wall.most_mm).reduce(f64::max);
        self.wall_chord_mm = all().map(|wall| wall.chord_height_mm).reduce(f64::max);
        let at_joints_mm = all().filter_map(|wall| wall.at_joints_mm).reduce(f64::max);
        self.wall_at_joints_mm =
            at_joints_mm.filter(|&joint_mm| self.wall_max_mm.is_some_and(|most_mm| joint_mm > most_mm));
    }
}
