//! Makes faces coarser by `meshopt`, which collapses edges by quadric error (Garland and Heckbert 1997).

use meshopt::{SimplifyOptions, simplify_decoder};

use crate::geometry::mesh::PointId;
use crate::report::scene::{Reduce, ShadedFace};

/// The library at work. It keeps seams by itself: a point that is doubled because a value or a normal changes there only
/// moves along that edge, and where more than two regions meet it stays.
pub(super) struct Meshopt;

/// As far as the number of facets asks for; the error is measured and told.
const ANY_ERROR: f32 = 1.0;

impl Reduce for Meshopt {
    fn reduce(&self, face: &ShadedFace, n_wanted: usize) -> Option<Vec<[PointId; 3]>> {
        let corners = face.faces.as_flattened();
        let fewer = simplify_decoder(corners, &positions(face), 3 * n_wanted, ANY_ERROR, SimplifyOptions::None, None);
        let (faces, _) = fewer.as_chunks::<3>();
        (!faces.is_empty()).then(|| faces.to_vec())
    }
}

/// Points in single precision about the middle of the face, so that a panel far from the origin loses nothing.
fn positions(face: &ShadedFace) -> Vec<[f32; 3]> {
    let Some(first) = face.points_mm.first() else { return Vec::new() };
    let (least, most) =
        face.points_mm.iter().fold((*first, *first), |(least, most), point| (least.inf(point), most.sup(point)));
    let middle = nalgebra::center(&least, &most);
    face.points_mm
        .iter()
        .map(|point| {
            let from = point - middle;
            [from.x as f32, from.y as f32, from.z as f32]
        })
        .collect()
}
