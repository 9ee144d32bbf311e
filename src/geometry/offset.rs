//! Area of the surface that lies a depth before or behind the skin: what a ply measures where it lies.
//!
//! For a depth t on one side, each facet gets `A + a t + b t^2`, and a sum over any set of facets is the area over that
//! set. As seen from that side:
//!
//! - an edge that bends smoothly, or over an outside corner, adds or takes `t L d` (length, bend): the parallel surface's
//!   arc, exact on the strips of a fillet;
//! - a sharp inside edge takes `t tan(d/2) L` from either side: the two faces meet earlier;
//! - a point adds its angle deficit times t^2 (the ball over an outside corner point), and where sharp inside edges meet,
//!   what their strips share is taken off only once, and bends that run into them end at the strip.
//!
//! Together these are Steiner's formula where the surface is smooth or round, and exact on polyhedral trays, boxes and
//! cups. Terms in t^2 at points on seams whose sides do not share points are left out.
//!
//! Once the depth passes the radius of an inside bend nothing holds there: the true ply bridges. The formula then goes
//! below zero on those facets, which still is nearer to the two faces that meet than cutting it off at zero would be;
//! [`AreaAtDepth::folded_m2`] says how much area is concerned.

use std::f64::consts::{PI, TAU};

use rayon::iter::{IntoParallelIterator, ParallelIterator};

use super::mesh::{FaceId, Mesh, Vector};
use super::stitch::Surface;
use super::topology::{Across, HalfEdge};
use crate::maths::{acos_clamped, atan2, sin_cos, tan};
use crate::notes::Note;
use crate::units::{m2_from_mm2, rad_from_deg};

/// An edge that bends more than this is sharp. Arc and tangent part by a third of the bend's cube: at 45 degrees they
/// differ by 5 % of the edge's own share. Lower, and the strips of a fillet that is tessellated at 0.7 rad (40 degrees)
/// lose area as sharp edges; higher, and chines between flats keep too much. Either way 5 % of the growth is the worst.
pub const SHARP_FROM_DEG: f64 = 45.0;

/// Which side of the skin is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// The side the normals point to: a mould over its plug.
    Outward,
    /// The other side: a moulding in its mould, where the mesh is the moulded face seen from outside.
    Inward,
}

/// How the area of one facet goes with depth: `area + per_mm t + per_mm2 t^2`, in mm2 with t in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FaceGrowth {
    /// Area of the facet itself, in mm2.
    pub area_mm2: f64,
    /// Change per mm of depth, in mm2.
    pub per_mm: f64,
    /// Change per mm of depth squared, in mm2.
    pub per_mm2: f64,
}

impl FaceGrowth {
    /// Its area at a depth, in mm2; may be negative where the depth passes the radius.
    #[inline]
    #[must_use]
    pub fn at_depth_mm2(&self, depth_mm: f64) -> f64 {
        self.area_mm2 + depth_mm * (self.per_mm + depth_mm * self.per_mm2)
    }
}

/// Area of a set of facets at a depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AreaAtDepth {
    /// Area on the skin, in m2.
    pub net_m2: f64,
    /// Area at the depth, in m2; never under zero.
    pub grown_m2: f64,
    /// Area on the skin of the facets whose bend is tighter than the depth, in m2: there nothing holds.
    pub folded_m2: f64,
}

/// How the area of every facet goes with depth on one side, edges told sharp by [`SHARP_FROM_DEG`].
#[must_use]
pub fn face_growth(surface: &Surface<'_>, side: Side) -> Vec<FaceGrowth> {
    face_growth_with(surface, side, |_, bend_rad| bend_rad.abs() > rad_from_deg(SHARP_FROM_DEG))
}

/// How the area of every facet goes with depth on one side. `is_sharp` is asked for the side of a facet and its bend in
/// radians (positive: an outside bend of the mesh as wound), and must answer alike for both sides of an edge.
#[must_use]
pub fn face_growth_with(
    surface: &Surface<'_>,
    side: Side,
    is_sharp: impl Fn(HalfEdge, f64) -> bool + Sync,
) -> Vec<FaceGrowth> {
    let sign = match side {
        Side::Outward => 1.0,
        Side::Inward => -1.0,
    };
    let facets = Facets::of(surface);
    let n_faces = surface.mesh.faces.len() as FaceId;
    let along_sides: Vec<(FaceGrowth, [f64; 3])> =
        (0..n_faces).into_par_iter().map(|face| along_sides(&facets, face, sign, &is_sharp)).collect();
    let (mut growth, setback): (Vec<FaceGrowth>, Vec<[f64; 3]>) = along_sides.into_iter().unzip();
    add_points(&facets, sign, setback.as_flattened(), &mut growth);
    growth
}

/// A surface with what is asked of its facets again and again.
struct Facets<'a> {
    surface: &'a Surface<'a>,
    normals: Vec<Vector>,
    areas_mm2: Vec<f64>,
    /// Height over each side, in mm.
    heights_mm: Vec<f64>,
    /// Of each side that meets one other facet, the bend to it.
    bends_rad: Vec<f64>,
}

impl<'a> Facets<'a> {
    fn of(surface: &'a Surface<'a>) -> Self {
        let mesh = surface.mesh;
        let sides = || (0..3 * mesh.faces.len() as u32).into_par_iter();
        let faces = || (0..mesh.faces.len() as FaceId).into_par_iter();
        let mut facets = Self {
            surface,
            normals: faces().map(|face| mesh.normal(face)).collect(),
            areas_mm2: faces().map(|face| mesh.face_area_mm2(face)).collect(),
            heights_mm: sides().map(|half| height_mm(mesh, HalfEdge(half))).collect(),
            bends_rad: Vec::new(),
        };
        // Both sides of an edge have the same bend; it is worked out from the lesser.
        let twin = |half: HalfEdge| surface.topology.twin(half);
        let bend = |half: u32| match twin(HalfEdge(half)) {
            Some(other) if half < other.0 => facets.bend_rad(HalfEdge(half), other),
            _ => 0.0,
        };
        let mut bends_rad: Vec<f64> = sides().map(bend).collect();
        for half in surface.topology.half_edges() {
            if let Some(other) = twin(half).filter(|other| *other < half) {
                bends_rad[half.0 as usize] = bends_rad[other.0 as usize];
            }
        }
        facets.bends_rad = bends_rad;
        facets
    }

    /// Signed bend from one facet to the next in radians, positive over an outside edge; 0 beside a facet without area.
    fn bend_rad(&self, half: HalfEdge, other: HalfEdge) -> f64 {
        let along = side_vector(self.surface.mesh, half);
        let length = along.norm();
        if length == 0.0 {
            return 0.0;
        }
        let (here, there) = (&self.normals[half.face() as usize], &self.normals[other.face() as usize]);
        if *here == Vector::zeros() || *there == Vector::zeros() {
            return 0.0;
        }
        atan2(here.cross(there).dot(&along) / length, here.dot(there))
    }

    /// The same, looked up where two facets share a whole side.
    fn known_bend_rad(&self, half: HalfEdge, other: HalfEdge) -> f64 {
        if self.surface.topology.twin(half) == Some(other) {
            self.bends_rad[half.0 as usize]
        } else {
            self.bend_rad(half, other)
        }
    }

    /// Share of an edge's bend that belongs to the facet on this side: what its neighbour's height commands, so that a
    /// fillet's narrow strip has it and not the wide flat beside it.
    fn share(&self, half: HalfEdge, other: HalfEdge) -> f64 {
        let (here, there) = (self.heights_mm[half.0 as usize], self.heights_mm[other.0 as usize]);
        if here + there > 0.0 { there / (here + there) } else { 0.5 }
    }
}

/// What one facet gains along its three sides, and how far it steps back from each per mm of depth.
fn along_sides(
    facets: &Facets<'_>,
    face: FaceId,
    sign: f64,
    is_sharp: &impl Fn(HalfEdge, f64) -> bool,
) -> (FaceGrowth, [f64; 3]) {
    let mesh = facets.surface.mesh;
    let mut growth = FaceGrowth { area_mm2: facets.areas_mm2[face as usize], ..FaceGrowth::default() };
    let mut setback = [0.0; 3];
    for side in 0..3 {
        let half = HalfEdge::new(face, side);
        for meeting in facets.surface.meetings(half) {
            let bend = facets.known_bend_rad(half, meeting.other);
            let length_mm = side_vector(mesh, half).norm() * (meeting.span[1] - meeting.span[0]);
            if sign * bend < 0.0 && is_sharp(half, bend) {
                let set = setback_per_mm(bend);
                growth.per_mm -= set * length_mm;
                setback[side as usize] = set;
            } else {
                growth.per_mm += sign * bend * length_mm * facets.share(half, meeting.other);
            }
        }
    }
    (growth, setback)
}

/// How far a face steps back from a sharp inside edge per mm of depth: `tan(d/2)`.
fn setback_per_mm(bend_rad: f64) -> f64 {
    // Two faces folded flat upon each other would step back without end; past this no ply lies between them anyway.
    const MOST_BEND_RAD: f64 = 170.0 / 180.0 * PI;
    tan(0.5 * bend_rad.abs().min(MOST_BEND_RAD))
}

fn side_vector(mesh: &Mesh, half: HalfEdge) -> Vector {
    let corners = mesh.corners(half.face());
    corners[(half.side() + 1) % 3] - corners[half.side()]
}

/// Height of a facet over one of its sides, in mm.
fn height_mm(mesh: &Mesh, half: HalfEdge) -> f64 {
    let base = side_vector(mesh, half).norm();
    if base > 0.0 { 2.0 * mesh.face_area_mm2(half.face()) / base } else { 0.0 }
}

/// Adds what points contribute in the square of the depth.
fn add_points(facets: &Facets<'_>, sign: f64, setback: &[f64], growth: &mut [FaceGrowth]) {
    let surface = facets.surface;
    let mesh = surface.mesh;
    let n_sides = 3 * mesh.faces.len() as u32;
    let corner_angles: Vec<f64> = (0..n_sides).into_par_iter().map(|half| corner_rad(mesh, HalfEdge(half))).collect();
    let mut point_angle = vec![0.0; mesh.points_mm.len()];
    let mut inner = vec![true; mesh.points_mm.len()];
    let mut has_setback = vec![false; mesh.points_mm.len()];
    for half in surface.topology.half_edges() {
        let ends = half.ends(mesh).map(|point| point as usize);
        point_angle[ends[0]] += corner_angles[half.0 as usize];
        for end in ends {
            inner[end] &= matches!(surface.topology.across(half), Across::Facet(_));
            has_setback[end] |= setback[half.0 as usize] > 0.0;
        }
    }
    for half in surface.topology.half_edges() {
        let point = half.ends(mesh)[0] as usize;
        if has_setback[point] {
            add_sector(facets, sign, half, setback, &corner_angles, growth);
        } else if inner[point] && point_angle[point] > 0.0 {
            let deficit = TAU - point_angle[point];
            growth[half.face() as usize].per_mm2 += deficit * corner_angles[half.0 as usize] / point_angle[point];
        }
    }
}

/// Angle of a facet at the start of one of its sides, in radians.
fn corner_rad(mesh: &Mesh, half: HalfEdge) -> f64 {
    let corners = mesh.corners(half.face());
    let at = corners[half.side()];
    let (to_next, to_last) = (corners[(half.side() + 1) % 3] - at, corners[(half.side() + 2) % 3] - at);
    let lengths = to_next.norm() * to_last.norm();
    if lengths > 0.0 { acos_clamped(to_next.dot(&to_last) / lengths) } else { 0.0 }
}

/// If a side begins a sector at its start point (the fan of facets up to the next sharp inside edge or border), adds what
/// the strips along its two arms share, and takes the ends of its bends that lie in those strips.
fn add_sector(
    facets: &Facets<'_>,
    sign: f64,
    first: HalfEdge,
    setback: &[f64],
    corner_angles: &[f64],
    growth: &mut [FaceGrowth],
) {
    let surface = facets.surface;
    let s1 = setback[first.0 as usize];
    if s1 == 0.0 && surface.topology.twin(first).is_some() {
        return;
    }
    let mut fan = vec![first];
    // The side that ends at the point, in the fan's last facet, is the sector's far arm.
    let s2 = loop {
        let last = before(fan[fan.len() - 1]);
        let set = setback[last.0 as usize];
        match surface.topology.twin(last) {
            Some(next) if set == 0.0 && next != first && fan.len() <= MOST_FACETS_AT_POINT => fan.push(next),
            _ => break set,
        }
    };
    let angle: f64 = fan.iter().map(|half| corner_angles[half.0 as usize]).sum();
    if angle <= 0.0 {
        return;
    }
    let shared = shared_by_strips(s1, s2, angle);
    let mut turned = 0.0;
    for (&half, next) in fan.iter().zip(fan.iter().skip(1).map(Some).chain([None])) {
        growth[half.face() as usize].per_mm2 += shared * corner_angles[half.0 as usize] / angle;
        turned += corner_angles[half.0 as usize];
        if let Some(&bent) = next {
            take_end_of_bend(facets, sign, bent, [(s1, turned), (s2, angle - turned)], growth);
        }
    }
}

/// What two strips share at the angle f between them, where the arms step back by s1 and s2 per mm of depth:
/// `(2 s1 s2 + (s1^2 + s2^2) cos f) / (2 sin f)`, split so that nearly straight arms lose no digits, and bounded.
fn shared_by_strips(s1: f64, s2: f64, angle_rad: f64) -> f64 {
    // Arms on one line that step back by different amounts would meet far away: left out under this sine of their angle.
    const LEAST_SINE: f64 = 0.1;
    // Arms folded on each other (under 11 degrees) share more than there is; where a crease just ends its one arm is both,
    // a whole turn apart, and shares nothing like what the formula says. Corners of parts lie between 20 and 270 degrees.
    const COTANGENTS: [f64; 2] = [-1.0, 10.0];
    let (sin, cos) = sin_cos(angle_rad);
    let (half_sin, half_cos) = sin_cos(0.5 * angle_rad);
    let cotangent = if half_sin > 0.0 { half_cos / half_sin } else { 0.0 };
    let even = s1 * s2 * cotangent.clamp(COTANGENTS[0], COTANGENTS[1]);
    let uneven = if sin.abs() > LEAST_SINE { (s1 - s2) * (s1 - s2) * cos / (2.0 * sin) } else { 0.0 };
    even + uneven
}

/// A bend that runs into a strip ends where the strip begins: takes its growth over that stretch off the facets it parts.
/// `arms` are the setbacks of the sector's two arms and the angles from them to the bend.
fn take_end_of_bend(facets: &Facets<'_>, sign: f64, bent: HalfEdge, arms: [(f64, f64); 2], growth: &mut [FaceGrowth]) {
    let Some(other) = facets.surface.topology.twin(bent) else { return };
    // A bend that runs off at a flatter angle than this runs along the strip and is the strip's own business.
    const LEAST_SINE: f64 = 0.2;
    let within = |(setback, angle_rad): (f64, f64)| {
        let sine = sin_cos(angle_rad).0;
        if sine > LEAST_SINE { setback / sine } else { 0.0 }
    };
    let lost_length = within(arms[0]).max(within(arms[1]));
    if lost_length == 0.0 {
        return;
    }
    let lost = sign * facets.known_bend_rad(bent, other) * lost_length;
    growth[bent.face() as usize].per_mm2 -= lost * facets.share(bent, other);
    growth[other.face() as usize].per_mm2 -= lost * facets.share(other, bent);
}

/// A fan is walked no further; only a mesh that is broken round a point has more, and a walk there might not end.
const MOST_FACETS_AT_POINT: usize = 10_000;

/// The side of the same facet that ends where this one starts.
fn before(half: HalfEdge) -> HalfEdge {
    HalfEdge::new(half.face(), (half.side() as u32 + 2) % 3)
}

/// Area of a set of facets at a depth in mm.
#[must_use]
pub fn area_at_depth(growth: &[FaceGrowth], faces: impl IntoIterator<Item = FaceId>, depth_mm: f64) -> AreaAtDepth {
    let (mut net, mut grown, mut folded) = (0.0, 0.0, 0.0);
    for face in faces {
        let Some(face) = growth.get(face as usize) else { continue };
        let at_depth = face.at_depth_mm2(depth_mm);
        net += face.area_mm2;
        grown += at_depth;
        if at_depth < 0.0 {
            folded += face.area_mm2;
        }
    }
    AreaAtDepth { net_m2: m2_from_mm2(net), grown_m2: m2_from_mm2(grown.max(0.0)), folded_m2: m2_from_mm2(folded) }
}

impl AreaAtDepth {
    /// A note if some of the area bends tighter than the depth.
    #[must_use]
    pub fn note(&self, piece: &str, depth_mm: f64) -> Option<Note> {
        // Tight corners are told one by one with their remedies; here only what moves the sums of a piece counts.
        const LEAST_SHARE: f64 = 0.01;
        (self.folded_m2 > LEAST_SHARE * self.net_m2).then(|| {
            Note::info(
                "depth-over-radius",
                format!(
                    "{piece}: {:.4} m2 bend tighter than the {depth_mm:.1} mm that lie over them; area there is a guess",
                    self.folded_m2
                ),
                "fill those corners, or expect mat to bridge",
            )
        })
    }
}

#[cfg(test)]
mod tests;
