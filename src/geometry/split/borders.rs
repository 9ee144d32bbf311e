//! Where pieces meet: the stretches along which facets of different pieces touch.

use super::super::mesh::{Mesh, Point, PointId};
use super::super::refine::Joints;
use super::super::stitch::Meeting;
use super::super::topology::HalfEdge;
use super::{CRACK_GAP_MM, Cut, Plane};

/// A stretch along which a piece on the plus side of a plane meets one on the minus side.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Border {
    /// Number of the plane: the first that the two pieces lie on different sides of.
    pub split: usize,
    /// The side of the facet at plus.
    pub plus: HalfEdge,
    /// The side of the facet at minus.
    pub minus: HalfEdge,
    /// The pieces at plus and minus, as numbers of groups.
    pub groups: [u32; 2],
    /// From where to where, as the side at plus runs.
    pub ends_mm: [Point; 2],
    /// The edge, if the stretch is a whole edge of the mesh.
    pub edge: Option<[PointId; 2]>,
    /// It is part of the cut. False where, across a crack, the two sides of a cut do not end at the same point, and a
    /// stretch of the seam shorter than the crack is wide remains between them.
    pub is_cut: bool,
}

/// A stretch of a seam is part of a cut if it runs along the plane: within a crack's width of it, and no steeper than this.
/// Steeper: what is left between the two ends of a cut that crosses a seam would lengthen it.
const ALONG_PLANE_MOST_SINE: f64 = 0.02;

/// All stretches between facets of different groups, in order of the side at plus.
pub(super) fn between_groups(
    cut: &Cut,
    joints: &Joints,
    groups: &[u32],
    planes: &[(String, Plane)],
    tolerance_mm: f64,
) -> Vec<Border> {
    if planes.is_empty() {
        return Vec::new();
    }
    let mesh = &cut.refined.mesh;
    let mut borders = Vec::new();
    for plus in joints.topology.half_edges() {
        for meeting in joints.meetings(mesh, plus) {
            let pair = [plus.face(), meeting.other.face()];
            if groups[pair[0] as usize] == groups[pair[1] as usize] {
                continue;
            }
            let split = cut.sides.iter().position(|sides| sides[pair[0] as usize] != sides[pair[1] as usize]);
            let Some(split) = split.filter(|&split| cut.sides[split][pair[0] as usize] > 0) else {
                continue;
            };
            let ends_mm = stretch_mm(mesh, plus, &meeting);
            let is_whole = meeting.span == [0.0, 1.0] && same_edge(mesh, plus, meeting.other);
            borders.push(Border {
                split,
                plus,
                minus: meeting.other,
                groups: pair.map(|face| groups[face as usize]),
                ends_mm,
                edge: is_whole.then(|| sorted(plus.ends(mesh))),
                is_cut: is_whole || runs_along(&planes[split].1, ends_mm, tolerance_mm),
            });
        }
    }
    borders
}

/// From where to where a meeting runs along a side.
fn stretch_mm(mesh: &Mesh, half: HalfEdge, meeting: &Meeting) -> [Point; 2] {
    let [a, b] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
    // The ends themselves are taken as they are, so that neighbours share them bit for bit.
    meeting.span.map(|t| {
        if t == 0.0 {
            a
        } else if t == 1.0 {
            b
        } else {
            a + (b - a) * t
        }
    })
}

fn same_edge(mesh: &Mesh, one: HalfEdge, other: HalfEdge) -> bool {
    sorted(one.ends(mesh)) == sorted(other.ends(mesh))
}

fn sorted([a, b]: [PointId; 2]) -> [PointId; 2] {
    [a.min(b), a.max(b)]
}

fn runs_along(plane: &Plane, ends_mm: [Point; 2], tolerance_mm: f64) -> bool {
    let [a, b] = ends_mm.map(|end| plane.signed_distance_mm(&end));
    let farthest = a.abs().max(b.abs());
    let length = (ends_mm[1] - ends_mm[0]).norm();
    farthest <= CRACK_GAP_MM.max(tolerance_mm) && (a - b).abs() <= ALONG_PLANE_MOST_SINE * length
}
