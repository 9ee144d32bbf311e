//! What faces where on either side of one plane, with the facets that it cuts clipped and their normals carried along.

use super::super::facing::{Face, Facing, Member};
use crate::geometry::mesh::{FaceId, Vector};

/// Cells a side of the octahedron for what no plane of the range cuts: about 0.2 degrees each.
const CELLS: u32 = 1024;

/// A face seen along a plane's normal: what lies above or below the range in which the plane is moved, gathered once, and
/// the facets within it one by one.
#[derive(Debug)]
pub struct Straddled {
    above: Facing,
    below: Facing,
    within: Vec<Within>,
}

/// A facet in the range.
#[derive(Debug, Clone, Copy)]
struct Within {
    face: FaceId,
    area_mm2: f64,
    /// Offset of each corner along the plane's normal.
    along_mm: [f64; 3],
    /// Normal of the CAD surface at each corner.
    normals: [Vector; 3],
}

impl Straddled {
    /// Sorts the facets by a range of offsets round a middle.
    pub fn of(face: &Face<'_>, normal: &Vector, middle_mm: f64, range_mm: f64) -> Self {
        let (mut above, mut below, mut within) = (Vec::new(), Vec::new(), Vec::new());
        for facet in face.mesh().face_ids() {
            let area_mm2 = face.areas_mm2[facet as usize];
            if area_mm2 <= 0.0 {
                continue;
            }
            let along_mm = face.mesh().corners(facet).map(|corner| corner.coords.dot(normal));
            let normals = face.corner_normals.of_face(facet);
            let low = along_mm.into_iter().fold(f64::INFINITY, f64::min);
            let high = along_mm.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let members = normals.map(|normal| Member { normal, weight_mm2: area_mm2 / 3.0, face: facet });
            if low >= middle_mm + range_mm {
                above.extend(members);
            } else if high <= middle_mm - range_mm {
                below.extend(members);
            } else {
                within.push(Within { face: facet, area_mm2, along_mm, normals });
            }
        }
        let gathered = |members| Facing::new(members).gathered(CELLS);
        Self { above: gathered(above), below: gathered(below), within }
    }

    /// What faces where above and below the plane at an offset.
    pub fn sides(&self, offset_mm: f64) -> (Facing, Facing) {
        let members = |facing: &Facing| (0..facing.len()).map(|number| facing.member(number)).collect::<Vec<_>>();
        let (mut above, mut below) = (members(&self.above), members(&self.below));
        for facet in &self.within {
            facet.part(offset_mm, 1.0, &mut above);
            facet.part(offset_mm, -1.0, &mut below);
        }
        (Facing::new(above), Facing::new(below))
    }
}

impl Within {
    /// Adds the corner normals of what lies on one side; a side of no more than a speck is none.
    fn part(&self, offset_mm: f64, sign: f64, members: &mut Vec<Member>) {
        let over = self.along_mm.map(|along| sign * (along - offset_mm));
        let mut normals: Vec<Vector> = Vec::with_capacity(4);
        for k in 0..3 {
            let next = (k + 1) % 3;
            if over[k] >= 0.0 {
                normals.push(self.normals[k]);
            }
            if (over[k] > 0.0 && over[next] < 0.0) || (over[k] < 0.0 && over[next] > 0.0) {
                let share = over[k] / (over[k] - over[next]);
                normals.push(self.normals[k] * (1.0 - share) + self.normals[next] * share);
            }
        }
        let share = 1.0 - super::super::undercut::share_below(over, 0.0);
        if share <= 0.0 || normals.is_empty() {
            return;
        }
        let weight_mm2 = self.area_mm2 * share / normals.len() as f64;
        members.extend(normals.into_iter().map(|normal| Member {
            normal: normal.try_normalize(0.0).unwrap_or(self.normals[0]),
            weight_mm2,
            face: self.face,
        }));
    }
}
