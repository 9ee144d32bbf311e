//! A face made ready for drawing: normals, where facets meet, sharp edges.

use rayon::prelude::*;

use super::chain::chained;
use super::view::View;
use crate::geometry::mesh::{FaceId, Mesh, Point, Vector};
use crate::geometry::normals::SMOOTH_COSINE;
use crate::geometry::refine::Refined;
use crate::geometry::topology::HalfEdge;

/// A facet that turns from the eye by less than this counts as edge-on, which is not towards it: faces that are drawn
/// square to the view carry the rounding of their file in their normals. Larger: gently drafted walls lose their outline;
/// smaller: square ones get it twice, in scraps.
const EDGE_ON: f64 = 1e-4;

/// Where two facets meet.
#[derive(Debug, Clone, Copy)]
struct Edge {
    half: HalfEdge,
    other: FaceId,
    /// The part of the side along which they meet.
    span: [f32; 2],
}

/// A face made ready for drawing.
#[derive(Debug)]
pub struct Shape<'a> {
    /// The facets.
    pub mesh: &'a Mesh,
    /// Unit normal of each facet; zero without area.
    pub normals: Vec<Vector>,
    /// Edges across which the surface does not go on smoothly, as lines.
    pub creases: Vec<Vec<Point>>,
    edges: Vec<Edge>,
}

impl<'a> Shape<'a> {
    /// Prepares a face.
    #[must_use]
    pub fn of(refined: &'a Refined) -> Self {
        let mesh = &refined.mesh;
        let normals: Vec<Vector> =
            (0..mesh.faces.len() as FaceId).into_par_iter().map(|face| mesh.normal(face)).collect();
        let edges = edges_of(refined);
        let mut shape = Self { mesh, normals, creases: Vec::new(), edges };
        shape.creases = shape.lines(|[one, other]| {
            let [a, b] = [one, other].map(|face| shape.normals[face as usize]);
            // Facets without area have no normal, and no say.
            a.dot(&b) < SMOOTH_COSINE && a != Vector::zeros() && b != Vector::zeros()
        });
        shape
    }

    /// The outline inside the border: where the surface turns away from the eye.
    #[must_use]
    pub fn outline(&self, view: &View) -> Vec<Vec<Point>> {
        let toward = view.toward();
        let faces_eye: Vec<bool> = self.normals.par_iter().map(|normal| normal.dot(&toward) > EDGE_ON).collect();
        self.lines(|[one, other]| faces_eye[one as usize] != faces_eye[other as usize])
    }

    /// The edges between pairs of facets that are chosen, as lines.
    fn lines(&self, chosen: impl Fn([FaceId; 2]) -> bool) -> Vec<Vec<Point>> {
        let edges = self.edges.iter().filter(|edge| chosen([edge.half.face(), edge.other]));
        chained(edges.map(|edge| self.ends(edge)))
    }

    fn ends(&self, edge: &Edge) -> [Point; 2] {
        let [a, b] = edge.half.ends(self.mesh).map(|point| self.mesh.points_mm[point as usize]);
        let at = |t: f32| match t {
            0.0 => a,
            1.0 => b,
            t => a + (b - a) * f64::from(t),
        };
        edge.span.map(at)
    }
}

/// Every meeting of two facets once, across cracks too, in order of the sides.
fn edges_of(refined: &Refined) -> Vec<Edge> {
    let joints = refined.joints();
    let mut edges = Vec::with_capacity(refined.mesh.faces.len() * 3 / 2);
    for half in joints.topology.half_edges() {
        for meeting in joints.meetings(&refined.mesh, half).filter(|meeting| half < meeting.other) {
            edges.push(Edge { half, other: meeting.other.face(), span: meeting.span.map(|t| t as f32) });
        }
    }
    edges
}

/// The open sides of a face where nothing goes on across a crack, as lines.
#[must_use]
pub fn open_lines(refined: &Refined) -> Vec<Vec<Point>> {
    let joints = refined.joints();
    let mesh = &refined.mesh;
    let open = joints.topology.half_edges().filter(|&half| joints.meetings(mesh, half).next().is_none());
    chained(open.map(|half| half.ends(mesh).map(|point| mesh.points_mm[point as usize])))
}
