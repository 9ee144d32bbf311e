//! Which facets lie round each point of a mesh.

use crate::geometry::mesh::{FaceId, Mesh, PointId};

/// The facets at each point.
pub(super) struct Rings {
    starts: Vec<u32>,
    faces: Vec<FaceId>,
}

impl Rings {
    pub(super) fn of(mesh: &Mesh) -> Self {
        let mut starts = vec![0u32; mesh.points_mm.len() + 1];
        mesh.faces.iter().flatten().for_each(|&point| starts[point as usize + 1] += 1);
        for point in 1..starts.len() {
            starts[point] += starts[point - 1];
        }
        let mut fill = starts.clone();
        let mut faces = vec![0; 3 * mesh.faces.len()];
        for (face, corners) in (0..).zip(&mesh.faces) {
            for &point in corners {
                faces[fill[point as usize] as usize] = face;
                fill[point as usize] += 1;
            }
        }
        Self { starts, faces }
    }

    /// The facets at a point, in order.
    pub(super) fn at(&self, point: PointId) -> &[FaceId] {
        let point = point as usize;
        &self.faces[self.starts[point] as usize..self.starts[point + 1] as usize]
    }
}
