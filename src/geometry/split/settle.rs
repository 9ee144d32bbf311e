//! Which side the doubtful facets go to: those that lie in a plane, and flakes.

use std::collections::BTreeMap;

use super::super::mesh::{FaceId, Mesh};
use super::super::refine::{Joints, Refined};
use super::super::stitch::Meeting;
use super::super::topology::HalfEdge;
use super::Plane;
use crate::units::m2_from_mm2;

/// A face that lies in a plane, and where it went.
#[derive(Debug, Clone, PartialEq)]
pub struct InPlane {
    /// Name of the split.
    pub split: String,
    /// Area of the face.
    pub area_m2: f64,
    /// It went to the side that the normal points to.
    pub to_plus: bool,
    /// Parts of the surface meet it on both sides of the plane, so that the plane cuts along its border.
    pub cut_along: bool,
}

/// A part broken off by a plane with less than this share of the area is a flake: nobody builds it, and on faces that were
/// meshed apart a plane that grazes a seam breaks off slivers that the CAD model does not have. Larger: real small pieces
/// vanish; at 1e-4 the areas by side are off by what a check of the cut would find.
const FLAKE_FRACTION: f64 = 1e-6;

/// Gives every connected face in a plane to one side: the one that it shares the longer border with.
pub(super) fn settle_in_plane(
    refined: &Refined,
    joints: &Joints,
    sides: &mut [Vec<i8>],
    planes: &[(String, Plane)],
) -> Vec<InPlane> {
    let mut found = Vec::new();
    for (sides, (name, _)) in sides.iter_mut().zip(planes) {
        for face in faces_in_plane(&refined.mesh, joints, sides) {
            let borders = [1, -1].map(|side| border_mm(&refined.mesh, joints, &face, |other| sides[other] == side));
            let to_plus = borders[0] >= borders[1];
            let area_mm2: f64 = face.iter().map(|&facet| refined.mesh.face_area_mm2(facet)).sum();
            for facet in face {
                sides[facet as usize] = if to_plus { 1 } else { -1 };
            }
            let cut_along = borders[0] > 0.0 && borders[1] > 0.0;
            found.push(InPlane { split: name.clone(), area_m2: m2_from_mm2(area_mm2), to_plus, cut_along });
        }
    }
    found
}

/// The connected faces of which all facets lie in the plane.
fn faces_in_plane(mesh: &Mesh, joints: &Joints, sides: &[i8]) -> Vec<Vec<FaceId>> {
    if !sides.contains(&0) {
        return Vec::new();
    }
    let in_plane = |face: FaceId| sides[face as usize] == 0;
    let (groups, n_groups) = joints.groups(mesh, |a, b| in_plane(a) && in_plane(b));
    let mut faces = vec![Vec::new(); n_groups];
    for face in mesh.face_ids().filter(|&face| in_plane(face)) {
        faces[groups[face as usize] as usize].push(face);
    }
    faces.retain(|face| !face.is_empty());
    faces
}

/// Length along which facets meet others for which `counts` holds.
fn border_mm(mesh: &Mesh, joints: &Joints, faces: &[FaceId], counts: impl Fn(usize) -> bool) -> f64 {
    let halves = faces.iter().flat_map(|&face| (0..3).map(move |side| HalfEdge::new(face, side)));
    halves
        .flat_map(|half| joints.meetings(mesh, half).map(move |meeting| (half, meeting)))
        .filter(|(_, meeting)| counts(meeting.other.face() as usize))
        .map(|(half, meeting)| meeting_length_mm(mesh, half, &meeting))
        .sum()
}

fn meeting_length_mm(mesh: &Mesh, half: HalfEdge, meeting: &Meeting) -> f64 {
    let [a, b] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
    (b - a).norm() * (meeting.span[1] - meeting.span[0])
}

/// Connected groups of facets that lie on the same side of every plane.
pub(super) fn groups(mesh: &Mesh, joints: &Joints, sides: &[Vec<i8>]) -> (Vec<u32>, usize) {
    joints.groups(mesh, |a, b| same_sides(sides, a, b))
}

fn same_sides(sides: &[Vec<i8>], a: FaceId, b: FaceId) -> bool {
    sides.iter().all(|sides| sides[a as usize] == sides[b as usize])
}

/// Gives flakes back to the larger neighbour that they share the longest border with; tells how many.
pub(super) fn keep_flakes(refined: &Refined, joints: &Joints, sides: &mut [Vec<i8>]) -> usize {
    let mesh = &refined.mesh;
    let (groups, n_groups) = groups(mesh, joints, sides);
    let mut area_mm2 = vec![0.0; n_groups];
    for face in mesh.face_ids() {
        area_mm2[groups[face as usize] as usize] += mesh.face_area_mm2(face);
    }
    let limit_mm2 = FLAKE_FRACTION * area_mm2.iter().sum::<f64>();
    let is_flake = |group: u32| area_mm2[group as usize] < limit_mm2;
    if !(0..n_groups as u32).any(is_flake) {
        return 0;
    }
    let mut flakes: BTreeMap<u32, Vec<FaceId>> = BTreeMap::new();
    for face in mesh.face_ids().filter(|&face| is_flake(groups[face as usize])) {
        flakes.entry(groups[face as usize]).or_default().push(face);
    }
    let mut kept = 0;
    for faces in flakes.values() {
        let Some(neighbour) = longest_neighbour(mesh, joints, faces, |face| !is_flake(groups[face as usize])) else {
            continue;
        };
        for sides in sides.iter_mut() {
            let side = sides[neighbour as usize];
            faces.iter().for_each(|&face| sides[face as usize] = side);
        }
        kept += 1;
    }
    kept
}

/// The facet with the longest meeting among those for which `counts` holds.
fn longest_neighbour(
    mesh: &Mesh,
    joints: &Joints,
    faces: &[FaceId],
    counts: impl Fn(FaceId) -> bool,
) -> Option<FaceId> {
    let halves = faces.iter().flat_map(|&face| (0..3).map(move |side| HalfEdge::new(face, side)));
    halves
        .flat_map(|half| joints.meetings(mesh, half).map(move |meeting| (half, meeting)))
        .filter(|(_, meeting)| counts(meeting.other.face()))
        .max_by(|(a, to_a), (b, to_b)| {
            meeting_length_mm(mesh, *a, to_a).total_cmp(&meeting_length_mm(mesh, *b, to_b)).then(b.cmp(a))
        })
        .map(|(_, meeting)| meeting.other.face())
}
