//! Patches of a face that hold against a pull: where, how large, how deep.

use super::facing::Face;
use crate::geometry::axes::square_to;
use crate::geometry::mesh::{Bounds, FaceId, Point, Vector};
use crate::maths::sin;
use crate::units::{m2_from_mm2, rad_from_deg};

/// Undercuts that are no deeper than this, or than [`NOISE_CHORDS`] chord heights of the file, cannot be told from its
/// tessellation.
const NOISE_MM: f64 = 0.03;
/// See [`NOISE_MM`].
const NOISE_CHORDS: f64 = 2.0;
/// Facets that lean against the pull by less are walls without draft.
const NO_DRAFT_DEG: f64 = 0.05;

/// Connected facets below a draft.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its facets, rising.
    pub faces: Vec<FaceId>,
    /// Its area.
    pub area_m2: f64,
    /// Centre of its area.
    pub at_mm: Point,
    /// Extent along x, y and z.
    pub bounds: Bounds,
    /// How far it reaches under itself: its area as seen along the pull over its extent across it.
    pub depth_mm: f64,
    /// Extent along the pull.
    pub height_mm: f64,
    /// Mean draft, in degrees; negative where it locks.
    pub mean_draft_deg: f64,
    /// Too shallow to be told from the tessellation.
    pub noise: bool,
}

/// Patches that lean against the pull, largest first.
#[must_use]
pub fn undercuts(face: &Face<'_>, direction: &Vector) -> Vec<Patch> {
    below(face, direction, -NO_DRAFT_DEG)
}

/// Patches whose facets have less draft than so many degrees, largest first.
#[must_use]
pub fn below(face: &Face<'_>, direction: &Vector, draft_deg: f64) -> Vec<Patch> {
    let level = sin(rad_from_deg(draft_deg));
    let sine = |facet: FaceId| face.mean_normal(facet).dot(direction);
    let mesh = face.mesh();
    let marked = mesh.face_ids().map(|facet| face.areas_mm2[facet as usize] > 0.0 && sine(facet) < level).collect();
    let groups = face.surface.groups(marked).into_iter();
    let mut patches: Vec<Patch> = groups
        .filter_map(|mut faces| {
            faces.sort_unstable();
            patch(face, direction, faces, &sine)
        })
        .collect();
    patches.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.faces[0].cmp(&b.faces[0])));
    patches
}

fn patch(face: &Face<'_>, direction: &Vector, faces: Vec<FaceId>, sine: &impl Fn(FaceId) -> f64) -> Option<Patch> {
    let mesh = face.mesh();
    let (mut area, mut against, mut chord, mut moment) = (0.0, 0.0, 0.0, Vector::zeros());
    let [one, other] = square_to(direction);
    // Extent along the pull and along two directions square to it.
    let mut extents = [(f64::INFINITY, f64::NEG_INFINITY); 3];
    let (mut least, mut most) =
        (Point::from(Vector::repeat(f64::INFINITY)), Point::from(Vector::repeat(f64::NEG_INFINITY)));
    for &facet in &faces {
        let own = face.areas_mm2[facet as usize];
        area += own;
        against += own * sine(facet);
        chord += own * face.corner_normals.chord_height_mm(facet);
        for corner in mesh.corners(facet) {
            moment += corner.coords * (own / 3.0);
            for ((low, high), axis) in extents.iter_mut().zip([direction, &one, &other]) {
                let along = corner.coords.dot(axis);
                (*low, *high) = (low.min(along), high.max(along));
            }
            (least, most) = (least.inf(&corner), most.sup(&corner));
        }
    }
    if area <= 0.0 {
        return None;
    }
    let mean = against / area;
    let [height_mm, wide_mm, broad_mm] = extents.map(|(low, high)| high - low);
    let depth_mm = -against / wide_mm.max(broad_mm).max(f64::MIN_POSITIVE);
    Some(Patch {
        area_m2: m2_from_mm2(area),
        at_mm: Point::from(moment / area),
        bounds: Bounds { least, most },
        depth_mm,
        height_mm,
        mean_draft_deg: crate::units::deg_from_rad(crate::maths::asin_clamped(mean)),
        noise: depth_mm <= (NOISE_CHORDS * chord / area).max(NOISE_MM),
        faces,
    })
}
