//! Where a bend ends at a free edge or a crease.
//!
//! Inside a bend the normal at a seam between two strips is the mean of both. At its end there is no second strip, and the
//! normal of the last one is off by half its turn. The strip's far side says by how much: the normal turns from there to the
//! middle of the strip as far as from the middle to the end.

use rustc_hash::FxHashMap;

use super::{CornerNormals, Facets};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::topology::HalfEdge;
use crate::maths;

/// A flat of more facets is no strip of a bend.
const MOST_FACETS: usize = 4;
/// A bend's axis runs along its end within this.
const ALONG_DEG: f64 = 30.0;
/// A strip that turns further than this from its middle to its side is not one of a bend.
const MOST_HALF_TURN_DEG: f64 = 20.0;

/// The strip beyond is at most so many times narrower or wider, across the bend. A wall that stands on its edge under a shoulder
/// of short strips is not the last strip of the shoulder: mirrored, an upright wall leaned 4.6 degrees under itself.
const ALIKE: f64 = 2.5;

/// A new normal for a corner of a facet.
pub struct Change {
    pub face: FaceId,
    pub corner: usize,
    pub normal: Vector,
}

/// The corners at ends of bends, with what their normals become; facet by facet.
pub fn changes(facets: &Facets, normals: &CornerNormals, flats: &[u32]) -> Vec<Change> {
    let strips = Strips::of(flats);
    let mut changes = Vec::new();
    for face in facets.mesh.face_ids() {
        let Some(strip) = strips.of_flat(flats[face as usize]) else { continue };
        for side in 0..3 {
            let half = HalfEdge::new(face, side);
            if facets.goes_on(half).is_none() {
                changes.extend(at_end(facets, normals, flats, strip, half));
            }
        }
    }
    changes.sort_by_key(|change| (change.face, change.corner));
    changes.dedup_by_key(|change| (change.face, change.corner));
    changes
}

/// The facets of each flat that may be a strip.
struct Strips {
    /// Flat and facet, sorted.
    members: Vec<(u32, FaceId)>,
    /// Where each small flat begins.
    starts: FxHashMap<u32, (usize, usize)>,
}

impl Strips {
    fn of(flats: &[u32]) -> Self {
        let mut members: Vec<(u32, FaceId)> =
            flats.iter().enumerate().map(|(face, &flat)| (flat, face as FaceId)).collect();
        members.sort_unstable();
        let mut starts = FxHashMap::default();
        let mut start = 0;
        for flat in members.chunk_by(|a, b| a.0 == b.0) {
            if flat.len() <= MOST_FACETS {
                starts.insert(flat[0].0, (start, start + flat.len()));
            }
            start += flat.len();
        }
        Self { members, starts }
    }

    fn of_flat(&self, flat: u32) -> Option<&[(u32, FaceId)]> {
        self.starts.get(&flat).map(|&(start, end)| &self.members[start..end])
    }
}

/// New normals at both ends of a side at which a strip ends, free or with a crease.
fn at_end(
    facets: &Facets,
    normals: &CornerNormals,
    flats: &[u32],
    strip: &[(u32, FaceId)],
    half: HalfEdge,
) -> Vec<Change> {
    let mesh = facets.mesh;
    let ends = half.ends(mesh);
    let [from, to] = ends.map(|point| mesh.points_mm[point as usize]);
    let Some(axis) = (to - from).try_normalize(0.0) else { return Vec::new() };
    if !bends_beyond(facets, flats, strip, &axis) {
        return Vec::new();
    }
    let flat_normal = facets.normals[half.face() as usize];
    let corners = || strip.iter().flat_map(|&(_, face)| (0..3).map(move |corner| (face, corner)));
    let at = |face: FaceId, corner: usize| mesh.corners(face)[corner];
    let off = |point: &Point| (point - from - axis * (point - from).dot(&axis)).norm();
    let widest = corners().map(|(face, corner)| off(&at(face, corner))).fold(0.0, f64::max);
    let far: Vec<(f64, f64)> = corners()
        .filter(|&(face, corner)| off(&at(face, corner)) > 0.5 * widest)
        .map(|(face, corner)| {
            let turn = turn_rad(&flat_normal, &normals.of_face(face)[corner], &axis);
            ((at(face, corner) - from).dot(&axis), turn)
        })
        .collect();
    let mut changes = Vec::new();
    for end in ends {
        let place = (mesh.points_mm[end as usize] - from).dot(&axis);
        let nearest = far.iter().min_by(|a, b| (a.0 - place).abs().total_cmp(&(b.0 - place).abs()));
        let Some(&(_, turn)) = nearest.filter(|(_, turn)| turn.abs() <= MOST_HALF_TURN_DEG.to_radians()) else {
            continue;
        };
        let here = corners().filter(|&(face, corner)| mesh.faces[face as usize][corner] == end);
        changes.extend(here.map(|(face, corner)| Change {
            face,
            corner,
            normal: turned(&normals.of_face(face)[corner], &axis, -turn),
        }));
    }
    changes
}

/// Whether the strip meets another, across a smooth edge that runs along the axis.
fn bends_beyond(facets: &Facets, flats: &[u32], strip: &[(u32, FaceId)], axis: &Vector) -> bool {
    let along = maths::cos(ALONG_DEG.to_radians());
    let mesh = facets.mesh;
    strip.iter().flat_map(|&(_, face)| (0..3).map(move |side| HalfEdge::new(face, side))).any(|half| {
        let Some(twin) = facets.goes_on(half) else { return false };
        let [from, to] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
        let runs_along = (to - from).dot(axis).abs() > along * (to - from).norm();
        let [here, there] = [half, twin].map(|half| mesh.face_area_mm2(half.face()));
        let alike = here <= ALIKE * there && there <= ALIKE * here;
        let another = flats[half.face() as usize] != flats[twin.face() as usize];
        another && runs_along && alike
    })
}

/// Angle from one vector to another about an axis, in radians.
fn turn_rad(from: &Vector, to: &Vector, axis: &Vector) -> f64 {
    let (from, to) = (from - axis * from.dot(axis), to - axis * to.dot(axis));
    maths::atan2(from.cross(&to).dot(axis), from.dot(&to))
}

/// A vector turned about a unit axis (Rodrigues).
fn turned(vector: &Vector, axis: &Vector, angle_rad: f64) -> Vector {
    let (sin, cos) = maths::sin_cos(angle_rad);
    vector * cos + axis.cross(vector) * sin + axis * (axis.dot(vector) * (1.0 - cos))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::Mesh;
    use crate::geometry::split::shapes::grid;
    use crate::geometry::topology::Topology;

    fn rebuilt(mesh: &Mesh) -> CornerNormals {
        let topology = Topology::of(mesh);
        let normals: Vec<Vector> = mesh.face_ids().map(|face| mesh.normal(face)).collect();
        CornerNormals::with_open_ends(&Facets { mesh, topology: &topology, normals: &normals }, &[])
    }

    #[test]
    fn a_coarse_half_round_ends_where_its_circle_does() {
        // A half-round of six strips: its ends stand upright, its last strips lean 15 degrees.
        let mesh = grid([6, 2], [false, false], |u, v| {
            let (sin, cos) = maths::sin_cos(std::f64::consts::PI * u);
            Point::new(10.0 * cos, 60.0 * v, 10.0 * sin)
        });
        let normals = rebuilt(&mesh);
        for face in mesh.face_ids() {
            for (corner, normal) in mesh.corners(face).iter().zip(normals.of_face(face)) {
                let radial = Vector::new(corner.x, 0.0, corner.z).normalize();
                let off_deg = maths::acos_clamped(normal.dot(&radial).abs()).to_degrees();
                assert!(off_deg < 0.01, "{off_deg} at {corner}");
            }
        }
    }
}
