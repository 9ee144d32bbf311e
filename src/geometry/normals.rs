//! The normal of the CAD surface at each corner of each facet, rebuilt from the facets around it.
//!
//! A CAD system cuts a fillet into long strips between huge flats. The facets of a strip lie on chords, off the true normal by
//! half the turn of the strip; an average over all facets round a point bends the flats instead. Here a flat keeps its own
//! normal up to the seam, the strip beside it takes the flat's, and strips of like width take the bisector.

use super::mesh::{FaceId, Mesh, Point, Vector};
use super::topology::{HalfEdge, Topology};
use crate::maths;

/// Edges that turn by less are smooth: the surface goes on across them. The cosine of 35 degrees; between that and the least
/// crease of ordinary parts lie only the widest strips of coarse exports (0.5 rad, 29 degrees).
pub const SMOOTH_COSINE: f64 = 0.819_152_044_288_991_8;

// Facets that turn by less belong to one flat. Single-precision files turn flats by up to 0.02 degrees; the finest strips of
// large radii by 0.2.
const FLAT_DEG: f64 = 0.05;

// A flat counts at a corner if it is at least this share as wide as the widest there. At 1/3 narrow walls are bent by the
// fillet beside them (1.8 degrees on a coarse oval tray); at 1/1.3 strips of unlike width stop averaging (0.9 degrees).
const COUNTING_WIDTH: f64 = 0.5;

// Normals that differ by less than single precision tells, 1e-8, are one, as a squared distance: no angle has to be asked for.
const ONE_NORMAL: f64 = 1e-16;

// A facet's surface is at most so much larger or smaller than it: strips of 30 degrees turn have 1.2 %, balls of them 6 %. Normals
// that are further off their facet than this cosine are not of a surface over it.
const MOST_AREA_CHANGE: f64 = 0.1;
const LEAST_AREA_COSINE: f64 = 0.5;

pub mod borders;
mod fitted;
mod open_ends;

/// One unit normal for each corner of each facet, and how far the CAD surface may lie off each facet.
#[derive(Debug, Clone)]
pub struct CornerNormals {
    // Single precision turns a normal by 4e-6 degrees at most and halves what is the largest table of a big part.
    normals: Vec<[[f32; 3]; 3]>,
    chord_heights_mm: Vec<f32>,
    // Bent facets through whose points no surface was laid; empty if there is none.
    unfitted: Vec<bool>,
}

/// A corner of a facet that lies on another facet's side across a crack: faces meshed apart share no points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamCorner {
    /// The facet.
    pub face: FaceId,
    /// Its corner, 0 to 2.
    pub corner: usize,
    /// The side that it lies on.
    pub side: HalfEdge,
    /// Where on that side, 0 at its start to 1.
    pub place: f64,
}

/// A mesh's facet normals beside the mesh: what everything here is made from.
#[derive(Debug, Clone, Copy)]
pub struct Facets<'mesh> {
    /// The facets.
    pub mesh: &'mesh Mesh,
    /// How they meet.
    pub topology: &'mesh Topology,
    /// Unit normal of each facet, zero without area.
    pub normals: &'mesh [Vector],
}

impl Facets<'_> {
    /// The other side of an edge over which the surface goes on; nothing at a free edge or a crease.
    fn goes_on(&self, half: HalfEdge) -> Option<HalfEdge> {
        let twin = self.topology.twin(half)?;
        let cosine = self.normals[half.face() as usize].dot(&self.normals[twin.face() as usize]);
        (cosine > SMOOTH_COSINE).then_some(twin)
    }
}

impl CornerNormals {
    /// Rebuilds the normals. Time grows with the number of facets only.
    #[must_use]
    pub fn of(facets: &Facets) -> Self {
        Self::of_flats(facets, &flats(facets))
    }

    fn of_flats(facets: &Facets, flats: &[u32]) -> Self {
        let (widths, chord_heights_mm) = rayon::join(|| flat_widths(facets, flats), || chord_heights_mm(facets, flats));
        let mut normals: Vec<[[f32; 3]; 3]> = facets.normals.iter().map(|normal| [single(normal); 3]).collect();
        let mut done = vec![[false; 3]; normals.len()];
        let mut fan = Vec::new();
        for face in facets.mesh.face_ids() {
            for corner in 0..3 {
                if done[face as usize][corner] {
                    continue;
                }
                smooth_fan(facets, face, corner, &mut fan);
                let normal = mean_of_wide_flats(facets, &fan, &widths);
                for &(member, at) in &fan {
                    done[member as usize][at] = true;
                    if let Some(normal) = normal {
                        normals[member as usize][at] = single(&normal);
                    }
                }
            }
        }
        Self { normals, chord_heights_mm, unfitted: Vec::new() }
    }

    /// As [`Self::of`], and at free edges and creases the normal that the bend reaches there, not that of its last strip; bent
    /// facets then take the normals of the smooth surface through their points. What decides whether a mould comes off is often
    /// just there: where a plane parts a ball, where a half-round meets a flat, on round walls of little draft. `seams` says what
    /// lies beside what across cracks, if anything does.
    #[must_use]
    pub fn with_open_ends(facets: &Facets, seams: &[SeamCorner]) -> Self {
        let flats = flats(facets);
        let mut normals = Self::of_flats(facets, &flats);
        for open_ends::Change { face, corner, normal } in open_ends::changes(facets, &normals, &flats) {
            normals.normals[face as usize][corner] = single(&normal);
        }
        let fitted::Fitted { changes, unfitted } = fitted::fitted(facets, &normals, seams);
        for open_ends::Change { face, corner, normal } in changes {
            normals.normals[face as usize][corner] = single(&normal);
        }
        normals.unfitted = unfitted;
        normals
    }

    /// The normals of parts of these facets, for each the facet that it was cut from: nothing is rebuilt along the cut, where a
    /// sliver would stand for the bend that it was cut off.
    #[must_use]
    pub fn of_parts(&self, whole: &Mesh, parts: &Mesh, source_faces: &[FaceId]) -> Self {
        let carried = |(face, &source): (FaceId, &FaceId)| {
            let own = self.of_face(source);
            if own[0] == own[1] && own[1] == own[2] {
                return self.normals[source as usize];
            }
            let corners = whole.corners(source);
            parts.corners(face).map(|point| {
                let shares = shares_of(&corners, &point);
                let mixed = own[0] * shares[0] + own[1] * shares[1] + own[2] * shares[2];
                single(&mixed.try_normalize(0.0).unwrap_or(own[0]))
            })
        };
        Self {
            normals: parts.face_ids().zip(source_faces).map(carried).collect(),
            chord_heights_mm: source_faces.iter().map(|&source| self.chord_heights_mm[source as usize]).collect(),
            unfitted: if self.unfitted.is_empty() {
                Vec::new()
            } else {
                source_faces.iter().map(|&source| self.unfitted[source as usize]).collect()
            },
        }
    }

    /// The normals at the three corners of a facet.
    #[inline]
    #[must_use]
    pub fn of_face(&self, face: FaceId) -> [Vector; 3] {
        self.normals[face as usize].map(|[x, y, z]| Vector::new(f64::from(x), f64::from(y), f64::from(z)))
    }

    /// Whether a facet is flat or has the normals of a surface laid through the points round it; parts of very many bent facets
    /// are taken as they are.
    #[inline]
    #[must_use]
    pub fn is_fitted(&self, face: FaceId) -> bool {
        !self.unfitted.get(face as usize).is_some_and(|unfitted| *unfitted)
    }

    /// How far the CAD surface may lie off a facet, in mm: the file's own error there. From the turn over the smooth edges of
    /// the facet's flat: the sagitta of a bend of that turn over the lesser of the two heights at the edge.
    #[inline]
    #[must_use]
    pub fn chord_height_mm(&self, face: FaceId) -> f64 {
        f64::from(self.chord_heights_mm[face as usize])
    }

    /// How many times as large as a facet the surface is that it stands for: what lies over the facet, and half of what lies over
    /// each smooth edge between the spaces over either facet. Right to the second order of the turn; balls and cylinders have it
    /// by the chord's sagitta.
    #[must_use]
    pub fn area_factor(&self, facets: &Facets, face: FaceId) -> f64 {
        let own = facets.normals[face as usize];
        let corners = facets.mesh.corners(face);
        let area_mm2 = facets.mesh.face_area_mm2(face);
        let normals = self.of_face(face);
        if area_mm2 <= 0.0 || normals[0] == normals[1] && normals[1] == normals[2] {
            return 1.0;
        }
        // Slopes of the surface over the facet, linear from corner to corner.
        let slopes = normals.map(|normal| normal / normal.dot(&own).max(LEAST_AREA_COSINE) - own);
        let over_middle = |side: usize| {
            let slope = (slopes[side] + slopes[(side + 1) % 3]) * 0.5;
            (1.0 + slope.norm_squared()).sqrt()
        };
        let over_facet = (over_middle(0) + over_middle(1) + over_middle(2)) / 3.0;
        let over_edge = |side: usize| {
            let Some(twin) = facets.goes_on(HalfEdge::new(face, side as u32)) else { return 0.0 };
            let other = facets.normals[twin.face() as usize];
            let edge = corners[(side + 1) % 3] - corners[side];
            let turn_sine = own.cross(&other).dot(&edge) / edge.norm();
            // The sagitta is an eighth of the edge times the turn along it, the arc two thirds of sagitta times edge.
            let over_chord_mm2 = (normals[(side + 1) % 3] - normals[side]).dot(&edge) * edge.norm() / 12.0;
            0.5 * over_chord_mm2 * turn_sine
        };
        let over_edges = (over_edge(0) + over_edge(1) + over_edge(2)) / area_mm2;
        (over_facet + over_edges).clamp(1.0 - MOST_AREA_CHANGE, 1.0 + MOST_AREA_CHANGE)
    }
}

/// Shares of a triangle's corners in a point of it: its barycentric coordinates, none below 0. Thirds without area.
fn shares_of([a, b, c]: &[Point; 3], point: &Point) -> [f64; 3] {
    let (ab, ac) = (b - a, c - a);
    let normal = ab.cross(&ac);
    let whole = normal.norm_squared();
    if whole <= 0.0 {
        return [1.0 / 3.0; 3];
    }
    let at = point - a;
    let second = at.cross(&ac).dot(&normal) / whole;
    let third = ab.cross(&at).dot(&normal) / whole;
    [1.0 - second - third, second, third].map(|share| share.clamp(0.0, 1.0))
}

fn single(vector: &Vector) -> [f32; 3] {
    [vector.x as f32, vector.y as f32, vector.z as f32]
}

/// Facets round a corner that are reached over smooth edges, each with the number of its corner there.
fn smooth_fan(facets: &Facets, face: FaceId, corner: usize, fan: &mut Vec<(FaceId, usize)>) {
    fan.clear();
    fan.push((face, corner));
    let most = facets.mesh.faces.len();
    let across = |from: FaceId, side: usize| {
        facets.goes_on(HalfEdge::new(from, side as u32)).map(|twin| (twin.face(), twin.side()))
    };
    let (mut at, mut here) = (face, corner);
    while let Some((next, side)) = across(at, here) {
        if next == face || fan.len() > most {
            return;
        }
        (at, here) = (next, (side + 1) % 3);
        fan.push((at, here));
    }
    (at, here) = (face, corner);
    while let Some((next, side)) = across(at, (here + 2) % 3) {
        if next == face || fan.len() > most {
            return;
        }
        (at, here) = (next, side);
        fan.push((at, here));
    }
}

/// Mean normal of the facets in the fan that belong to wide flats, each counted by its angle at the corner.
fn mean_of_wide_flats(facets: &Facets, fan: &[(FaceId, usize)], widths: &[f32]) -> Option<Vector> {
    let own = facets.normals[fan[0].0 as usize];
    if own.norm_squared() > 0.0
        && fan.iter().all(|&(face, _)| (facets.normals[face as usize] - own).norm_squared() < ONE_NORMAL)
    {
        return Some(own);
    }
    let widest = fan.iter().map(|&(face, _)| widths[face as usize]).fold(0.0, f32::max);
    let mut sum = Vector::zeros();
    for &(face, corner) in fan {
        if f64::from(widths[face as usize]) >= COUNTING_WIDTH * f64::from(widest) {
            sum += facets.normals[face as usize] * angle_at(facets.mesh, face, corner);
        }
    }
    let length = sum.norm();
    (length > 1e-9).then(|| sum / length)
}

/// Angle of a facet at one of its corners, in radians.
#[must_use]
pub fn angle_at(mesh: &Mesh, face: FaceId, corner: usize) -> f64 {
    let corners = mesh.corners(face);
    let here = corners[corner];
    let (one, other) = (corners[(corner + 1) % 3] - here, corners[(corner + 2) % 3] - here);
    maths::atan2(one.cross(&other).norm(), one.dot(&other))
}

/// For each facet the width of the flat that it belongs to, in mm: twice the flat's area over the length of its border.
///
/// A side over which the surface turns less than over the flat's main bend counts in that proportion. The panels of a round
/// wall are narrow between their neighbours and tall from shoulder to rim, and beside the shoulder it is the height that counts.
fn flat_widths(facets: &Facets, flats: &[u32]) -> Vec<f32> {
    let n_faces = flats.len();
    // How far the surface turns over a side, as the sine; nothing within a flat, 1 at an end.
    let turn = |face: FaceId, side: u32| {
        let Some(twin) = facets.topology.twin(HalfEdge::new(face, side)) else { return Some(1.0) };
        if flats[twin.face() as usize] == flats[face as usize] {
            return None;
        }
        let (here, there) = (facets.normals[face as usize], facets.normals[twin.face() as usize]);
        Some(if here.dot(&there) > SMOOTH_COSINE { here.cross(&there).norm() } else { 1.0 })
    };
    let mut most_turn = vec![0.0f64; n_faces];
    for face in facets.mesh.face_ids() {
        let most = &mut most_turn[flats[face as usize] as usize];
        let smooth_turns = (0..3).filter_map(|side| turn(face, side)).filter(|turn| *turn < 1.0);
        *most = smooth_turns.fold(*most, f64::max);
    }
    let (mut area, mut border) = (vec![0.0f64; n_faces], vec![0.0f64; n_faces]);
    for face in facets.mesh.face_ids() {
        let flat = flats[face as usize] as usize;
        area[flat] += facets.mesh.face_area_mm2(face);
        let corners = facets.mesh.corners(face);
        for side in 0..3 {
            let Some(turn) = turn(face, side as u32) else { continue };
            let counts = if most_turn[flat] > 0.0 { (turn / most_turn[flat]).min(1.0) } else { 1.0 };
            border[flat] += counts * (corners[(side + 1) % 3] - corners[side]).norm();
        }
    }
    let width = |flat: u32| {
        let (area, border) = (area[flat as usize], border[flat as usize]);
        if border > 0.0 { (2.0 * area / border) as f32 } else { 0.0 }
    };
    flats.iter().map(|&flat| width(flat)).collect()
}

/// Facets that lie in one plane and touch: for each facet the least facet of its flat.
fn flats(facets: &Facets) -> Vec<u32> {
    let flat_sine = maths::sin(FLAT_DEG.to_radians());
    let mut flat = vec![u32::MAX; facets.mesh.faces.len()];
    let mut stack = Vec::new();
    for seed in facets.mesh.face_ids() {
        if flat[seed as usize] != u32::MAX {
            continue;
        }
        flat[seed as usize] = seed;
        stack.push(seed);
        while let Some(face) = stack.pop() {
            for side in 0..3 {
                let Some(twin) = facets.topology.twin(HalfEdge::new(face, side)) else { continue };
                let (here, there) = (facets.normals[face as usize], facets.normals[twin.face() as usize]);
                let level = here.dot(&there) > 0.0 && here.cross(&there).norm() < flat_sine;
                if level && flat[twin.face() as usize] == u32::MAX {
                    flat[twin.face() as usize] = seed;
                    stack.push(twin.face());
                }
            }
        }
    }
    flat
}

/// Greatest chord height at the edges of each facet's flat. A strip's two triangles see one of its long edges each, so that
/// the facet alone would say too little beside a flat.
fn chord_heights_mm(facets: &Facets, flats: &[u32]) -> Vec<f32> {
    let height = |face: FaceId, side: usize| {
        let corners = facets.mesh.corners(face);
        let length = (corners[(side + 1) % 3] - corners[side]).norm();
        if length > 0.0 { 2.0 * facets.mesh.face_area_mm2(face) / length } else { 0.0 }
    };
    let mut of_flat = vec![0.0f32; flats.len()];
    for face in facets.mesh.face_ids() {
        for side in 0..3 {
            let Some(twin) = facets.goes_on(HalfEdge::new(face, side)) else { continue };
            let (here, there) = (facets.normals[face as usize], facets.normals[twin.face() as usize]);
            if flats[face as usize] != flats[twin.face() as usize] {
                let turn = maths::atan2(here.cross(&there).norm(), here.dot(&there));
                let sagitta = height(face, side as usize).min(height(twin.face(), twin.side())) * turn / 8.0;
                let most = &mut of_flat[flats[face as usize] as usize];
                *most = most.max(sagitta as f32);
            }
        }
    }
    flats.iter().map(|&flat| of_flat[flat as usize]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::skin::shapes;

    fn normals_of(mesh: &Mesh) -> (Vec<Vector>, Topology) {
        (mesh.face_ids().map(|face| mesh.normal(face)).collect(), Topology::of(mesh))
    }

    #[test]
    fn a_flat_keeps_its_normal_beside_a_coarse_fillet_and_the_strips_take_the_cylinders() {
        let (radius_mm, strips) = (8.0, 3);
        let mesh = shapes::turned(&shapes::rounded_bar(60.0, 40.0, radius_mm, strips, 90.0));
        let (normals, topology) = normals_of(&mesh);
        let facets = Facets { mesh: &mesh, topology: &topology, normals: &normals };
        let corners = CornerNormals::of(&facets);
        let chord_mm = radius_mm * (1.0 - maths::cos(std::f64::consts::FRAC_PI_4 / strips as f64));
        for face in mesh.face_ids() {
            let own = normals[face as usize];
            let off_deg = |normal: &Vector| maths::acos_clamped(own.dot(normal)).to_degrees();
            let deviations = corners.of_face(face).map(|normal| off_deg(&normal));
            // Flats and end caps: 0; strips of 30 degrees turn: 15 to either side.
            let flat = deviations.iter().all(|&deg| deg < 0.1);
            let strip = deviations.iter().all(|&deg| (deg - 15.0).abs() < 0.1);
            assert!(flat || strip, "{deviations:?}");
            if strip {
                let height_mm = corners.chord_height_mm(face);
                assert!((height_mm / chord_mm - 1.0).abs() < 0.06, "{height_mm} for {chord_mm}");
            }
        }
    }

    #[test]
    fn edges_are_smooth_up_to_35_degrees() {
        assert_eq!(SMOOTH_COSINE, maths::cos(35f64.to_radians()));
    }

    #[test]
    fn the_surface_over_the_facets_of_a_torus_has_the_torus_area() {
        let mesh = crate::geometry::split::shapes::torus(50.0, 20.0, [24, 12]);
        let (normals, topology) = normals_of(&mesh);
        let facets = Facets { mesh: &mesh, topology: &topology, normals: &normals };
        let corners = CornerNormals::with_open_ends(&facets, &[]);
        let of_facet = |face: FaceId| mesh.face_area_mm2(face) * corners.area_factor(&facets, face);
        let truth_mm2 = std::f64::consts::TAU * std::f64::consts::TAU * 50.0 * 20.0;
        let [facets_off, off] =
            [mesh.area_m2() * 1e6, mesh.face_ids().map(of_facet).sum()].map(|a: f64| a / truth_mm2 - 1.0);
        assert!(facets_off < -0.01 && off.abs() < 0.001, "by facets {facets_off}, over them {off}");
    }
}
