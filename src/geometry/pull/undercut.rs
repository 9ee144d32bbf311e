//! How much of a face holds against a pull.

use super::facing::Face;
use crate::geometry::mesh::{FaceId, Vector};
use crate::maths::{cos, sin};
use crate::units::{m2_from_mm2, rad_from_deg};

/// A facet counts as level with the pull if it leans against it by less than this sine.
const LEVEL_SINE: f64 = 1e-6;
/// Round walls stand along the pull where rebuilt normals lean against it by less than this sine, a hundredth of a degree: single
/// precision and the fit leave less, and without it half of every upright wall is told as undercut.
pub(super) const UPRIGHT_SINE: f64 = 1.745e-4;
/// Facets whose corners agree within this are flats and are not clipped ...
const FLAT_DEG: f64 = 0.1;
/// ... and are undercut only from so much on: single-precision walls without draft lean to either side.
const NO_DRAFT_DEG: f64 = 0.05;

/// Areas of a face along a pull.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Undercut {
    /// Facets that face away from the pull, whole, in m2.
    pub by_facets_m2: f64,
    /// The same on the surface that the facets stand for: its area over each, clipped where the rebuilt normals turn away, in m2.
    pub clipped_m2: f64,
    /// What has less than the wanted draft, undercuts included, clipped likewise, in m2.
    pub under_wanted_m2: f64,
}

/// The areas of a face that hold against a pull along a unit direction.
#[must_use]
pub fn undercut(face: &Face<'_>, direction: &Vector, wanted_deg: f64) -> Undercut {
    let mut sums = Undercut::default();
    // A wall that was drawn with just the draft wanted must not count half.
    let wanted = sin(rad_from_deg(wanted_deg - NO_DRAFT_DEG));
    let flat = cos(rad_from_deg(FLAT_DEG));
    let least = sin(rad_from_deg(NO_DRAFT_DEG));
    for (number, area_mm2) in face.areas_mm2.iter().enumerate() {
        if face.facet_normals[number].dot(direction) < -LEVEL_SINE {
            sums.by_facets_m2 += area_mm2;
        }
        let normals = face.corner_normals.of_face(number as FaceId);
        let sines = normals.map(|normal| normal.dot(direction));
        let is_flat =
            normals[0].dot(&normals[1]).min(normals[1].dot(&normals[2])).min(normals[2].dot(&normals[0])) > flat;
        if is_flat {
            let mean = sines.iter().sum::<f64>() / 3.0;
            if mean < wanted.max(-least) {
                let area_mm2 = face.surface_area_mm2(number as FaceId);
                sums.clipped_m2 += if mean < -least { area_mm2 } else { 0.0 };
                sums.under_wanted_m2 += if mean < wanted { area_mm2 } else { 0.0 };
            }
        } else {
            let shares = [-UPRIGHT_SINE, wanted].map(|level| share_below(sines, level));
            if shares != [0.0; 2] {
                let area_mm2 = face.surface_area_mm2(number as FaceId);
                sums.clipped_m2 += area_mm2 * shares[0];
                sums.under_wanted_m2 += area_mm2 * shares[1];
            }
        }
    }
    Undercut {
        by_facets_m2: m2_from_mm2(sums.by_facets_m2),
        clipped_m2: m2_from_mm2(sums.clipped_m2),
        under_wanted_m2: m2_from_mm2(sums.under_wanted_m2),
    }
}

/// Sine of the least draft of any facet along a direction; 1 without area.
#[must_use]
pub fn least_facet_sine(face: &Face<'_>, direction: &Vector) -> f64 {
    let with_area = face.facet_normals.iter().filter(|normal| normal.norm_squared() > 0.0);
    with_area.map(|normal| normal.dot(direction)).fold(1.0, f64::min)
}

/// Share of a triangle on which a value that is linear over it, given at its corners, lies below a level.
#[must_use]
pub fn share_below(values: [f64; 3], level: f64) -> f64 {
    let mut sorted = values.map(|value| value - level);
    sorted.sort_by(f64::total_cmp);
    let [a, b, c] = sorted;
    if a >= 0.0 {
        0.0
    } else if c < 0.0 {
        1.0
    } else if b < 0.0 {
        // Two corners below: all but the corner above.
        1.0 - c / (c - a) * (c / (c - b))
    } else {
        a / (a - b) * (a / (a - c))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_is_clipped_where_the_value_passes_the_level() {
        assert_eq!(share_below([1.0, 2.0, 3.0], 0.0), 0.0);
        assert_eq!(share_below([-1.0, -2.0, -3.0], 0.0), 1.0);
        // From -1 at one corner to 1 at the others: half of either side, a quarter of the area.
        assert!((share_below([1.0, -1.0, 1.0], 0.0) - 0.25).abs() < 1e-15);
        assert!((share_below([-1.0, 1.0, -1.0], 0.0) - 0.75).abs() < 1e-15);
        assert!((share_below([3.0, 5.0, 3.0], 4.0) - 0.75).abs() < 1e-15);
    }
}
