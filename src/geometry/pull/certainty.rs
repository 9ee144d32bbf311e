//! How far a draft may be off for all that the mesh tells.
//!
//! A mesh knows the surface at its points. Between two rows of points a wall may go straight or bulge by the chord height s that
//! the export allowed; over a height h an arc of sagitta s leans by `4 s / h` more at one end and less at the other, and both
//! walls have the same mesh. Where a wall has points between its foot and its rim they would show the bulge, and it counts as told.
//! In parts of so many bent facets that no surface is laid through their points, a facet may lean by its own turn.

use super::facing::Face;
use super::{Facing, LEFT_OUT_SHARE, Pull};
use crate::geometry::mesh::{FaceId, Vector};
use crate::maths::{asin_clamped, atan2, sin};
use crate::notes::Note;
use crate::units::{deg_from_rad, rad_from_deg};

/// What lies within this of the least draft decides it.
const DECIDES_DEG: f64 = 0.25;
/// A wall is what goes on with no more than this more draft; what leans further is a fillet.
const OF_WALL_DEG: f64 = 5.0;
/// A facet that spans this share of its wall's height has no points between foot and rim.
const ONE_ROW: f64 = 0.8;
/// A facet's draft is the same all over if it changes by less than this; a strip of a fine fillet turns by 3 degrees.
const STRAIGHT_DEG: f64 = 1.0;
/// Draft that one wants to be sure of, in degrees: a fifth of the half degree under which a wall counts as upright.
const SURE_DEG: f64 = 0.1;

/// How far a least draft may be off.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DraftError {
    /// By so much either way, in degrees; 0 where flats decide.
    pub error_deg: f64,
    /// Chord height of an export that would tell it to a tenth of a degree, in mm; nothing where this one does.
    pub finer_mm: Option<f64>,
}

impl DraftError {
    /// Of a facet through whose points no surface was laid: how far its draft is from that of the surface at its corners, as the
    /// facets round them have it.
    fn of_lean(face: &Face<'_>, facet: FaceId, direction: &Vector) -> Self {
        let draft = |normal: &Vector| deg_from_rad(asin_clamped(normal.dot(direction)));
        let own_deg = draft(&face.facet_normals[facet as usize]);
        let off = |normal: Vector| (draft(&normal) - own_deg).abs();
        let error_deg = face.corner_normals.of_face(facet).into_iter().map(off).fold(0.0, f64::max);
        Self { error_deg, finer_mm: None }
    }
}

/// How far the least draft along a direction may be off.
#[must_use]
pub fn draft_error(face: &Face<'_>, facing: &Facing, direction: &Vector) -> DraftError {
    let least = facing.trimmed_sine(direction, LEFT_OUT_SHARE);
    let most = least + sin(rad_from_deg(DECIDES_DEG));
    let decides = |facet: &FaceId| {
        let lies_there = |normal: Vector| (least..=most).contains(&normal.dot(direction));
        face.areas_mm2[*facet as usize] > 0.0
            && !face.is_flat(*facet)
            && face.corner_normals.of_face(*facet).into_iter().any(lies_there)
    };
    let walls = Walls::of(face, direction, least + sin(rad_from_deg(OF_WALL_DEG)));
    let mut worst = DraftError::default();
    for facet in face.mesh().face_ids().filter(decides) {
        let error = if face.corner_normals.is_fitted(facet) {
            walls.error(facet)
        } else {
            DraftError::of_lean(face, facet, direction)
        };
        if error.error_deg > worst.error_deg {
            worst = error;
        }
    }
    worst
}

/// The least draft where the mesh is too coarse to tell on which side of a limit it lies.
#[must_use]
pub fn not_certain(pull: &Pull, limits_deg: &[f64]) -> Option<Note> {
    let finer_mm = pull.draft_error.finer_mm?;
    let (least_deg, error_deg) = (tenth(pull.least_draft_deg), pull.draft_error.error_deg);
    if !limits_deg.iter().any(|limit_deg| (least_deg - limit_deg).abs() < error_deg) {
        return None;
    }
    let locks = if least_deg.abs() < error_deg { "; whether that wall locks cannot be told" } else { "" };
    Some(Note::info(
        "draft-not-certain",
        format!(
            "the mesh is too coarse to tell a draft of {least_deg:.1} degrees from {:.1} or {:.1}: between its points a wall may bulge by the chord height of the export{locks}",
            least_deg - error_deg,
            least_deg + error_deg
        ),
        format!("export with a chord height of {finer_mm} mm"),
    ))
}

/// To a tenth, without a minus before 0.
#[must_use]
pub fn tenth(angle_deg: f64) -> f64 {
    (10.0 * angle_deg).round() / 10.0 + 0.0
}

/// The bent facets with little draft, by wall.
struct Walls<'a, 'mesh> {
    face: &'a Face<'mesh>,
    direction: &'a Vector,
    /// For each facet the number of its wall.
    wall_of: Vec<u32>,
    heights_mm: Vec<f64>,
}

impl<'a, 'mesh> Walls<'a, 'mesh> {
    fn of(face: &'a Face<'mesh>, direction: &'a Vector, below_sine: f64) -> Self {
        let mesh = face.mesh();
        let is_of_wall = |facet: FaceId| {
            let bent = face.areas_mm2[facet as usize] > 0.0 && !face.is_flat(facet);
            bent && face.mean_normal(facet).dot(direction) < below_sine
        };
        let mut walls = Self { face, direction, wall_of: vec![u32::MAX; mesh.faces.len()], heights_mm: Vec::new() };
        for facets in face.surface.groups(mesh.face_ids().map(is_of_wall).collect()) {
            let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
            for facet in facets {
                walls.wall_of[facet as usize] = walls.heights_mm.len() as u32;
                let (own_low, own_high) = walls.extent(facet);
                (low, high) = (low.min(own_low), high.max(own_high));
            }
            walls.heights_mm.push(high - low);
        }
        walls
    }

    /// From where to where a facet reaches along the pull.
    fn extent(&self, facet: FaceId) -> (f64, f64) {
        let along = self.face.mesh().corners(facet).map(|corner| corner.coords.dot(self.direction));
        (along[0].min(along[1]).min(along[2]), along[0].max(along[1]).max(along[2]))
    }

    fn error(&self, facet: FaceId) -> DraftError {
        let wall_mm = self.heights_mm.get(self.wall_of[facet as usize] as usize).copied().unwrap_or(0.0);
        let (low, high) = self.extent(facet);
        let chord_mm = self.face.corner_normals.chord_height_mm(facet);
        let error_deg = if wall_mm > 0.0 && high - low >= ONE_ROW * wall_mm && self.is_straight(facet) {
            deg_from_rad(atan2(4.0 * chord_mm, wall_mm))
        } else {
            0.0
        };
        // A bulge grows with the chord height in proportion.
        let finer_mm = (error_deg > SURE_DEG && chord_mm > 0.0).then(|| rounded_down(chord_mm * SURE_DEG / error_deg));
        DraftError { error_deg, finer_mm }
    }

    /// Whether a facet has the same draft from its foot to its rim. The last strip of a fillet that runs into an upright wall has not.
    fn is_straight(&self, facet: FaceId) -> bool {
        let sines = self.face.corner_normals.of_face(facet).map(|normal| normal.dot(self.direction));
        let spread = sines[0].max(sines[1]).max(sines[2]) - sines[0].min(sines[1]).min(sines[2]);
        spread < sin(rad_from_deg(STRAIGHT_DEG))
    }
}

/// The next of 1, 2, 5, 10 ... below a length, as one would type it into a box; a thousandth of a mm at least.
fn rounded_down(length_mm: f64) -> f64 {
    const STEPS_MM: [f64; 10] = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0];
    STEPS_MM.into_iter().rev().find(|step| *step <= length_mm).unwrap_or(STEPS_MM[0])
}

#[cfg(test)]
mod tests {
    use super::super::tests::{plug, revolved};
    use super::super::{PullOptions, pull};
    use super::*;
    use crate::geometry::mesh::Mesh;
    use crate::geometry::stitch::Surface;
    use crate::maths::{asin_clamped, cos, tan};

    /// The error told, and the least draft.
    fn told(mesh: &Mesh) -> (f64, f64, Option<f64>) {
        let surface = Surface::stitched(mesh);
        let options = PullOptions { along: Some(Vector::z()), ..PullOptions::default() };
        let pull = pull(&Face::of(&surface), &options).expect("it has area");
        (pull.draft_error.error_deg, pull.least_draft_deg, pull.draft_error.finer_mm)
    }

    #[test]
    fn a_round_wall_of_one_row_may_be_a_bulging_one_and_the_error_covers_both() {
        // A cone of 3 degrees and 40 mm height in 24 steps, sharp at its top. Of the same points: an arc of that chord.
        let steps = 24;
        let foot_mm = 60.0 + 40.0 * tan(3f64.to_radians());
        let mesh = revolved(&[[0.0, 40.0], [60.0, 40.0], [foot_mm, 0.0]], steps);
        let (error_deg, draft_deg, finer_mm) = told(&mesh);
        assert!((draft_deg - 3.0).abs() < 0.05, "{draft_deg}");
        let half_step = std::f64::consts::PI / steps as f64;
        let chord_mm = 60.0 * (1.0 - cos(half_step));
        let bulge_deg = deg_from_rad(atan2(4.0 * chord_mm, 40.0));
        assert!((error_deg / bulge_deg - 1.0).abs() < 0.1, "{error_deg} {bulge_deg}");
        assert!(finer_mm.is_some_and(|finer_mm| finer_mm < chord_mm * SURE_DEG / bulge_deg * 1.1));
        // An arc of 40 mm chord that bulges by that height leans so much less at its foot.
        let radius_mm = (20.0 * 20.0 + chord_mm * chord_mm) / (2.0 * chord_mm);
        let end_deg = deg_from_rad(asin_clamped(20.0 / radius_mm));
        assert!((end_deg / bulge_deg - 1.0).abs() < 0.02, "{end_deg} {bulge_deg}");
    }

    #[test]
    fn the_error_shrinks_with_the_steps_and_is_nothing_on_flats() {
        let wall = |steps| told(&revolved(&plug(60.0, 8.0, 3.0, 40.0, 6), steps)).0;
        let [coarse, medium, fine] = [wall(24), wall(72), wall(288)];
        assert!(coarse > 4.0 * medium && medium > fine && fine > 0.0, "{coarse} {medium} {fine}");
        let (error_deg, draft_deg, finer_mm) = told(&revolved(&[[0.0, 40.0], [60.0, 40.0], [63.0, 0.0]], 4));
        assert_eq!((error_deg, finer_mm), (0.0, None), "four flats: {draft_deg}");
    }
}
