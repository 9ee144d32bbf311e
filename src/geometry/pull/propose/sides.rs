//! What faces where on either side of one plane, with the facets that it cuts clipped and their normals carried along.

use super::super::facing::{Face, Facing, Member};
use super::slabs::Celled;
use crate::geometry::mesh::{FaceId, Vector};

/// A face seen along a plane's normal: what lies above or below the range in which the plane is moved, gathered by cells, and
/// the facets within it one by one.
#[derive(Debug)]
pub struct Straddled<'a> {
    celled: &'a Celled,
    /// Weight of each cell in what lies above and below the range, and the members that they make.
    above_mm2: Vec<f64>,
    below_mm2: Vec<f64>,
    above: Vec<Member>,
    below: Vec<Member>,
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

impl<'a> Straddled<'a> {
    /// Sorts the facets by a range of offsets round a middle.
    pub fn of(celled: &'a Celled, face: &Face<'_>, normal: &Vector, middle_mm: f64, range_mm: f64) -> Self {
        let (mut above_mm2, mut below_mm2, mut within) = (celled.weights(), celled.weights(), Vec::new());
        for facet in face.mesh().face_ids() {
            let area_mm2 = face.areas_mm2[facet as usize];
            if area_mm2 <= 0.0 {
                continue;
            }
            let along_mm = face.mesh().corners(facet).map(|corner| corner.coords.dot(normal));
            match over_range(&along_mm, middle_mm, range_mm) {
                Over::Above => celled.add(facet, &mut above_mm2),
                Over::Below => celled.add(facet, &mut below_mm2),
                Over::Within => {
                    let normals = face.corner_normals.of_face(facet);
                    within.push(Within { face: facet, area_mm2, along_mm, normals });
                }
            }
        }
        let (above, below) = (celled.members(&above_mm2), celled.members(&below_mm2));
        Self { celled, above_mm2, below_mm2, above, below, within }
    }

    /// The same for a lesser range, within the range so far.
    pub fn narrowed(mut self, middle_mm: f64, range_mm: f64) -> Self {
        let (celled, above_mm2, below_mm2) = (self.celled, &mut self.above_mm2, &mut self.below_mm2);
        self.within.retain(|facet| {
            let over = over_range(&facet.along_mm, middle_mm, range_mm);
            match over {
                Over::Above => celled.add(facet.face, above_mm2),
                Over::Below => celled.add(facet.face, below_mm2),
                Over::Within => {}
            }
            matches!(over, Over::Within)
        });
        (self.above, self.below) = (celled.members(&self.above_mm2), celled.members(&self.below_mm2));
        self
    }

    /// What faces where above and below the plane at an offset.
    pub fn sides(&self, offset_mm: f64) -> (Facing, Facing) {
        let (mut above, mut below) = (self.above.clone(), self.below.clone());
        for facet in &self.within {
            facet.part(offset_mm, 1.0, &mut above);
            facet.part(offset_mm, -1.0, &mut below);
        }
        (Facing::new(above), Facing::new(below))
    }
}

/// Where a facet lies of a range of offsets.
enum Over {
    Above,
    Within,
    Below,
}

fn over_range(along_mm: &[f64; 3], middle_mm: f64, range_mm: f64) -> Over {
    let low = along_mm.iter().copied().fold(f64::INFINITY, f64::min);
    let high = along_mm.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low >= middle_mm + range_mm {
        Over::Above
    } else if high <= middle_mm - range_mm {
        Over::Below
    } else {
        Over::Within
    }
}

impl Within {
    /// Adds the corner normals of what lies on one side; a side of no more than a speck is none.
    fn part(&self, offset_mm: f64, sign: f64, members: &mut Vec<Member>) {
        let over = self.along_mm.map(|along| sign * (along - offset_mm));
        // Entirely on one side: as it is, or not at all.
        if over.iter().all(|over| *over <= 0.0) {
            return;
        }
        // At most three corners, or two and two places where the plane cuts.
        let (mut normals, mut n) = ([Vector::zeros(); 4], 0);
        let mut add = |normal: Vector| {
            normals[n] = normal;
            n += 1;
        };
        for k in 0..3 {
            let next = (k + 1) % 3;
            if over[k] >= 0.0 {
                add(self.normals[k]);
            }
            if (over[k] > 0.0 && over[next] < 0.0) || (over[k] < 0.0 && over[next] > 0.0) {
                let share = over[k] / (over[k] - over[next]);
                add(self.normals[k] * (1.0 - share) + self.normals[next] * share);
            }
        }
        let share = 1.0 - super::super::undercut::share_below(over, 0.0);
        if share <= 0.0 || n == 0 {
            return;
        }
        let weight_mm2 = self.area_mm2 * share / n as f64;
        members.extend(normals.into_iter().take(n).map(|normal| Member {
            normal: normal.try_normalize(0.0).unwrap_or(self.normals[0]),
            weight_mm2,
            face: self.face,
        }));
    }
}
