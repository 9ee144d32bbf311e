//! The face with light on it.

use super::canvas::{Canvas, Colour};
use crate::geometry::mesh::Vector;
use crate::geometry::normals::{CornerNormals, Facets};
use crate::geometry::topology::Topology;
use crate::report::drawing::depth::Depth;
use crate::report::drawing::shape::Shape;
use crate::report::drawing::view::View;

/// Normals of a face for shading: smooth across the strips of fillets, broken at creases.
#[derive(Debug)]
pub struct Smooth(CornerNormals);

impl Smooth {
    /// Rebuilds them.
    #[must_use]
    pub fn of(shape: &Shape<'_>) -> Self {
        let topology = Topology::of(shape.mesh);
        Self(CornerNormals::of(&Facets { mesh: shape.mesh, topology: &topology, normals: &shape.normals }))
    }
}

/// Where the light comes from as the view shows it: from the upper left, in front of the panel.
const LIGHT: [f64; 3] = [-0.45, 0.55, 0.70];
/// Greys of the face turned away from the light and towards it. Darker: lines and numbers are lost in it; lighter: the shape is.
const DARKEST: f64 = 150.0;
const LIGHTEST: f64 = 246.0;
/// Steps of grey on a face. Fewer show as bands, more make the file larger.
const N_STEPS: f64 = 96.0;
/// The inner side is that much darker, so that one knows which side one sees.
const INNER: f64 = 0.88;

/// Lays a face into depth and picture.
pub fn shade(shape: &Shape<'_>, smooth: &Smooth, view: &View, depth: &mut Depth, canvas: &mut Canvas) {
    for face in shape.mesh.face_ids() {
        let corners = shape.mesh.corners(face).map(|corner| view.seen(&corner));
        let normals = smooth.0.of_face(face).map(|normal| view.turned(&normal));
        let is_outer = view.turned(&shape.normals[face as usize]).z >= 0.0;
        depth.cover_with(corners, |square, shares| {
            let normal = normals[0] * shares[0] + normals[1] * shares[1] + normals[2] * shares[2];
            canvas.set(square, lit(normal, is_outer));
        });
    }
}

fn lit(normal: Vector, is_outer: bool) -> Colour {
    let length = normal.norm();
    let [x, y, z] = LIGHT;
    let towards = if length > 0.0 { normal.dot(&Vector::new(x, y, z)) / length } else { 0.0 };
    // The side that is seen is the side that is lit; light wraps round, so that nothing is black.
    let towards = if is_outer { towards } else { -towards };
    let light = (0.5 + 0.5 * towards).clamp(0.0, 1.0);
    let step = f64::from((light * N_STEPS + 0.5) as u8) / N_STEPS;
    let grey = (DARKEST + step * (LIGHTEST - DARKEST)) * if is_outer { 1.0 } else { INNER };
    [(grey + 0.5) as u8; 3]
}
