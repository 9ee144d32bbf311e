//! Walking over facets: along a plane cut, and straight ahead.

use super::ground::{Crease, Ground};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::stitch::MeetingId;
use crate::geometry::topology::HalfEdge;
use crate::maths::atan2;

/// Why a walk cannot go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// An open edge.
    Open,
    /// A hard crease.
    Crease,
}

/// A facet crossed by a walk.
#[derive(Debug, Clone, Copy)]
pub struct Stride {
    /// The facet.
    pub face: FaceId,
    /// Where the walk comes in.
    pub from: Point,
    /// Where it leaves.
    pub to: Point,
    /// Signed kink on the way in, in the plane of the cut, positive if convex.
    pub kink: f64,
    /// The meeting it came in by, seen from the facet before.
    pub entry: MeetingId,
}

impl Stride {
    /// Length of the way over the facet.
    #[inline]
    pub fn chord_mm(&self) -> f64 {
        (self.to - self.from).norm()
    }
}

/// Walks along the cut of a plane through the facets, one way.
#[derive(Debug, Clone, Copy)]
pub struct CutWalk {
    /// Normal of the plane.
    across: Vector,
    /// +1 to walk towards normal x `across` of the first facet, -1 away.
    way: f64,
    /// False to pass over hard creases too.
    stops_at_creases: bool,
    face: FaceId,
    exit: HalfEdge,
    place: f64,
    at: Point,
}

impl CutWalk {
    /// Starts at a point of a facet. Nothing if the plane misses the facet's inside.
    pub fn start(ground: &Ground, face: FaceId, point: Point, across: Vector, way: f64) -> Option<Self> {
        let corners = ground.surface.mesh.corners(face);
        let offsets = corners.map(|corner| (corner - point).dot(&across));
        let ahead = ground.normals[face as usize].cross(&across) * way;
        let mut best: Option<(f64, usize, f64, Point)> = None;
        for side in 0..3 {
            let next = (side + 1) % 3;
            if (offsets[side] >= 0.0) == (offsets[next] >= 0.0) {
                continue;
            }
            let place = (offsets[side] / (offsets[side] - offsets[next])).clamp(0.0, 1.0);
            let at = corners[side] + (corners[next] - corners[side]) * place;
            let forward = (at - point).dot(&ahead);
            if best.is_none_or(|(most, ..)| forward > most) {
                best = Some((forward, side, place, at));
            }
        }
        best.map(|(_, side, place, at)| Self {
            across,
            way,
            stops_at_creases: true,
            face,
            exit: HalfEdge::new(face, side as u32),
            place,
            at,
        })
    }

    /// Passes over hard creases too.
    pub fn over_creases(mut self) -> Self {
        self.stops_at_creases = false;
        self
    }

    /// Where the walk is: on the side by which it leaves the facet.
    pub fn at(&self) -> Point {
        self.at
    }

    /// Normal of the plane.
    pub fn across(&self) -> Vector {
        self.across
    }

    /// Direction of the side by which the walk leaves its facet.
    pub fn exit_direction(&self, ground: &Ground) -> Vector {
        let [start, end] = ground.side_ends(self.exit);
        let run = end - start;
        let length = run.norm();
        if length > 0.0 { run / length } else { Vector::zeros() }
    }

    /// Crosses to the next facet and over it.
    pub fn stride(&mut self, ground: &Ground) -> Result<Stride, Stop> {
        let (id, meeting) = ground.surface.meeting_at(self.exit, self.place).ok_or(Stop::Open)?;
        if self.stops_at_creases && ground.crease(id) == Crease::Hard {
            return Err(Stop::Crease);
        }
        let entry = meeting.other;
        let face = entry.face();
        let kink = self.kink(ground, face);
        let corners = ground.surface.mesh.corners(face);
        let side = entry.side();
        let (start, end, apex) = (corners[side], corners[(side + 1) % 3], corners[(side + 2) % 3]);
        let from = start + (end - start) * meeting.opposite(self.place);
        // The plane is moved to go through `from`: on a shared edge it does so already, across a crack it may not.
        let offset = |corner: Point| (corner - from).dot(&self.across);
        let rises = (end - start).dot(&self.across) >= 0.0;
        let apex_offset = offset(apex);
        let exit_side = if (apex_offset >= 0.0) == rises { side + 2 } else { side + 1 } % 3;
        let (near, far) = (corners[exit_side], corners[(exit_side + 1) % 3]);
        let (near_offset, far_offset) = (offset(near), offset(far));
        let spread = near_offset - far_offset;
        let place = if spread == 0.0 { 0.5 } else { (near_offset / spread).clamp(0.0, 1.0) };
        let to = near + (far - near) * place;
        self.face = face;
        self.exit = HalfEdge::new(face, exit_side as u32);
        self.place = place;
        self.at = to;
        Ok(Stride { face, from, to, kink, entry: id })
    }

    /// Angle in the plane of the cut between this facet and the next, positive if convex.
    fn kink(&self, ground: &Ground, next: FaceId) -> f64 {
        let n = &ground.normals[self.face as usize];
        let m = &ground.normals[next as usize];
        let (n, m) = (n - self.across * n.dot(&self.across), m - self.across * m.dot(&self.across));
        let (sin, cos) = (self.across.dot(&n.cross(&m)), n.dot(&m));
        // A facet without area has no normal: its kink is counted where the normals come back.
        if sin == 0.0 && cos <= 0.0 { 0.0 } else { -self.way * atan2(sin, cos) }
    }
}

/// A place on a facet.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The facet.
    pub face: FaceId,
    /// The point on it.
    pub at: Point,
}

/// Where a straight walk came to.
#[derive(Debug, Clone, Copy)]
pub struct Arrival {
    /// The last place reached.
    pub place: Place,
    /// Direction of the walk there, a unit vector in the facet.
    pub heading: Vector,
    /// How far it went, in mm.
    pub walked_mm: f64,
    /// What ended it before its time, if anything did.
    pub stop: Option<Stop>,
}

/// Facets that one straight walk may cross; a fan of slivers about one point could hold it forever.
const MOST_FACETS: usize = 100_000;

/// Walks straight ahead over the surface, unfolding it, for a length. `visit` is told of each facet and may end the walk by
/// returning false; the walk then has no result.
pub fn straight(
    ground: &Ground,
    from: Place,
    heading: Vector,
    length_mm: f64,
    visit: &mut dyn FnMut(FaceId) -> bool,
) -> Option<Arrival> {
    let normal = &ground.normals[from.face as usize];
    let flat = heading - normal * heading.dot(normal);
    let size = flat.norm();
    if size < 1e-9 {
        return None;
    }
    let (mut place, mut heading, mut left) = (from, flat / size, length_mm);
    let mut entered: Option<usize> = None;
    for _ in 0..MOST_FACETS {
        if !visit(place.face) {
            return None;
        }
        let corners = ground.surface.mesh.corners(place.face);
        let (side, run) = leave_by(ground, place, &heading, entered)?;
        if run >= left {
            place.at += heading * left;
            return Some(Arrival { place, heading, walked_mm: length_mm, stop: None });
        }
        left -= run;
        let (start, end) = (corners[side], corners[(side + 1) % 3]);
        let edge = end - start;
        let length = edge.norm();
        let along = edge / length;
        let spot = (((place.at + heading * run) - start).dot(&along) / length).clamp(0.001, 0.999);
        place.at = start + edge * spot;
        let half = HalfEdge::new(place.face, side as u32);
        let here = Arrival { place, heading, walked_mm: length_mm - left, stop: None };
        let arrived = |stop| Some(Arrival { stop: Some(stop), ..here });
        let Some((id, meeting)) = ground.surface.meeting_at(half, spot) else { return arrived(Stop::Open) };
        if ground.crease(id) == Crease::Hard {
            return arrived(Stop::Crease);
        }
        let next = meeting.other.face();
        let [other_start, other_end] = ground.side_ends(meeting.other);
        let forward = heading.dot(&along);
        let sideways = (1.0 - forward * forward).max(0.0).sqrt();
        let back = (other_start - other_end).normalize();
        // Inwards from a side that runs along -`back` in a facet seen from outside: normal x direction of the side.
        heading = back * forward - ground.normals[next as usize].cross(&back) * sideways;
        place = Place { face: next, at: other_start + (other_end - other_start) * meeting.opposite(spot) };
        entered = Some(meeting.other.side());
        let size = heading.norm();
        if size < 0.5 {
            return arrived(Stop::Open);
        }
        heading /= size;
    }
    None
}

/// The side by which a straight line leaves a facet, and how far away it is.
fn leave_by(ground: &Ground, place: Place, heading: &Vector, entered: Option<usize>) -> Option<(usize, f64)> {
    let corners = ground.surface.mesh.corners(place.face);
    let normal = &ground.normals[place.face as usize];
    let mut best: Option<(usize, f64)> = None;
    for side in 0..3 {
        if entered == Some(side) {
            continue;
        }
        let edge = corners[(side + 1) % 3] - corners[side];
        let outward = edge.cross(normal);
        let speed = heading.dot(&outward);
        if speed <= 1e-12 * edge.norm() {
            continue;
        }
        let run = ((corners[side] - place.at).dot(&outward) / speed).max(0.0);
        if best.is_none_or(|(_, least)| run < least) {
            best = Some((side, run));
        }
    }
    best
}
