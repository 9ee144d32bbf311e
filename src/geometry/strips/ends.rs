//! The ends of lines: the mesh is cut square to the line there, so that no facet lies on both sides of an end.

use super::super::mesh::{FaceId, Mesh, Point, Vector};
use super::super::refine::carve::{Carved, NodeId};
use super::super::refine::nearest::FacetTree;
use super::super::topology::HalfEdge;
use super::{BEYOND, centre_mm, radius_mm};

/// The ends of lines that do not close, each with the unit direction in which the line ends.
#[derive(Debug, Clone, Default)]
pub(super) struct Ends(Vec<(Point, Vector)>);

/// Nearer to the plane than this share of the width is on it. Larger: the end is moved; smaller: slivers.
const ON_END_SHARE: f64 = 1e-5;

impl Ends {
    pub(super) fn of(carved: &Carved, lines: &[Vec<NodeId>]) -> Self {
        let end = |last: NodeId, before: NodeId| {
            let (last, before) = (carved.at(last), carved.at(before));
            (last - before).try_normalize(0.0).map(|outward| (last, outward))
        };
        let both = |line: &Vec<NodeId>| match line.as_slice() {
            [first, second, .., before, last] if first != last => [end(*first, *second), end(*last, *before)],
            [first, last] => [end(*first, *last), end(*last, *first)],
            _ => [None, None],
        };
        Self(lines.iter().flat_map(both).flatten().collect())
    }

    /// The ends as a mesh of facets without size, to find the nearest.
    fn as_mesh(&self) -> Mesh {
        let points_mm: Vec<Point> = self.0.iter().map(|&(end, _)| end).collect();
        let faces = (0..points_mm.len() as u32).map(|point| [point; 3]).collect();
        Mesh { points_mm, faces }
    }

    /// Cuts the edges near each end that pass through the plane square to the line there.
    ///
    /// Each facet is cut for the end that it is nearest to at first, and its parts for the same one: where the ends of many
    /// lines crowd, parts that changed over to another end would be cut again and again.
    pub(super) fn cut_square(&self, carved: &mut Carved, width_mm: f64) {
        let points = self.as_mesh();
        let tree = FacetTree::over(&points, points.face_ids().collect());
        let snap_mm = ON_END_SHARE * width_mm;
        let mut end_of: Vec<Option<FaceId>> = carved
            .mesh
            .face_ids()
            .map(|face| {
                let centre = centre_mm(&carved.mesh, face);
                let reach_mm = BEYOND * width_mm + radius_mm(&carved.mesh, face, &centre);
                tree.nearest_within(&centre, reach_mm).map(|near| near.face)
            })
            .collect();
        let mut queue: Vec<FaceId> =
            (0..end_of.len() as FaceId).filter(|&face| end_of[face as usize].is_some()).rev().collect();
        while let Some(face) = queue.pop() {
            let Some(number) = end_of[face as usize] else { continue };
            let (end, outward) = self.0[number as usize];
            let off = |node: NodeId| (carved.at(node) - end).dot(&outward);
            let passing = (0..3).map(|side| HalfEdge::new(face, side)).find_map(|half| {
                let [a, b] = carved.ends(half).map(off);
                let passes = a.abs() > snap_mm && b.abs() > snap_mm && (a > 0.0) != (b > 0.0);
                passes.then(|| (half, a / (a - b)))
            });
            let Some((half, fraction)) = passing else { continue };
            let around: Vec<FaceId> = carved.around(half).iter().map(|side| side.face()).collect();
            carved.split_edge(half, fraction);
            // Each facet round the edge keeps its number for one part; the others are new, in the same order.
            let first_new = end_of.len() as FaceId;
            end_of.extend(around.iter().map(|&cut| end_of[cut as usize]).collect::<Vec<_>>());
            queue.extend(around);
            queue.extend(first_new..end_of.len() as FaceId);
        }
    }

    /// Whether a place lies past an end of a line and nearer to it than to any other part of the lines.
    pub(super) fn is_beyond(&self, at: &Point, lines: &LineTree, width_mm: f64) -> bool {
        let past = |&&(end, outward): &&(Point, Vector)| {
            (at - end).norm() < BEYOND * width_mm && (at - end).dot(&outward) > 0.0
        };
        let mut past = self.0.iter().filter(past).peekable();
        if past.peek().is_none() {
            return false;
        }
        let nearest = lines.nearest(at);
        past.any(|(end, _)| nearest.is_none_or(|nearest| (nearest - end).norm() < 1e-3 * width_mm))
    }
}

/// Finds the place of the lines nearest to a point.
pub(super) struct LineTree<'a>(FacetTree<'a>);

impl<'a> LineTree<'a> {
    pub(super) fn over(chords: &'a Mesh) -> Self {
        Self(FacetTree::over(chords, chords.face_ids().collect()))
    }

    fn nearest(&self, point: &Point) -> Option<Point> {
        self.0.nearest(point).map(|near| near.at_mm)
    }
}
