//! The ground on which corners are looked for: facets with their normals and areas, which of them are needles, which
//! meetings are creases, and how to walk over them.

use rayon::prelude::*;

use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::stitch::{Meeting, MeetingId, Surface};
use crate::geometry::topology::HalfEdge;
use crate::maths::{asin_clamped, atan2};

/// Height over longest edge of a facet, as a share of the part's diagonal, under which its normal is noise. At 3e-5 true
/// strips of 0.05 mm on a large part are lost.
const NEEDLE_SHARE: f64 = 1e-5;

/// How much of an edge a meeting is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Crease {
    /// A smooth meeting.
    #[default]
    None,
    /// An edge without a radius that turns little; it blocks no walk and gives way to a fillet that it lies in.
    Soft,
    /// An edge without a radius.
    Hard,
}

/// A surface with what every walk over it needs.
pub struct Ground<'s> {
    /// Facets and how they meet.
    pub surface: &'s Surface<'s>,
    /// Outward unit normal of each facet; zero if it has no area.
    pub normals: Vec<Vector>,
    /// Area of each facet in mm2.
    pub areas_mm2: Vec<f64>,
    /// Kinks closer than this belong to one edge, in mm.
    pub sliver_mm: f64,
    /// What was found of each meeting, by its number; empty until creases are known.
    pub creases: Vec<Crease>,
    needles: Vec<bool>,
}

/// A meeting between two facets as it lies in the first.
#[derive(Debug, Clone, Copy)]
pub struct Hinge {
    /// Its number, seen from the first facet.
    pub id: MeetingId,
    /// The stretches that meet.
    pub meeting: Meeting,
    /// Direction of the side as it runs in the first facet.
    pub along: Vector,
    /// Length of the stretch in mm.
    pub length_mm: f64,
    /// Signed dihedral angle, positive if convex.
    pub turn: f64,
}

impl<'s> Ground<'s> {
    /// Normals, areas and needles of a surface; no creases yet.
    #[must_use]
    pub fn of(surface: &'s Surface<'s>) -> Self {
        let mesh = surface.mesh;
        let needle_mm = NEEDLE_SHARE * mesh.bounds().map_or(0.0, |bounds| bounds.diagonal_mm());
        let per_face: Vec<(Vector, f64, bool)> = (0..mesh.faces.len() as FaceId)
            .into_par_iter()
            .map(|face| {
                let doubled = mesh.doubled_area_vector(face);
                let size = doubled.norm();
                let [a, b, c] = mesh.corners(face);
                let longest = (b - a).norm_squared().max((c - b).norm_squared()).max((a - c).norm_squared()).sqrt();
                let normal = if size > 0.0 { doubled / size } else { Vector::zeros() };
                (normal, 0.5 * size, size <= needle_mm * longest)
            })
            .collect();
        let mut normals = Vec::with_capacity(per_face.len());
        let mut areas_mm2 = Vec::with_capacity(per_face.len());
        let mut needles = Vec::with_capacity(per_face.len());
        for (normal, area, needle) in per_face {
            normals.push(normal);
            areas_mm2.push(area);
            needles.push(needle);
        }
        Self { surface, normals, areas_mm2, sliver_mm: 2.0 * needle_mm, creases: Vec::new(), needles }
    }

    /// True if a facet is too thin for its normal to mean anything.
    #[inline]
    #[must_use]
    pub fn is_needle(&self, face: FaceId) -> bool {
        self.needles[face as usize]
    }

    /// What a meeting was found to be.
    #[inline]
    #[must_use]
    pub fn crease(&self, id: MeetingId) -> Crease {
        self.creases.get(id.0 as usize).copied().unwrap_or_default()
    }

    /// Signed dihedral angle from one facet over a side with direction `along` to another, positive if convex.
    #[inline]
    #[must_use]
    pub fn dihedral(&self, from: FaceId, to: FaceId, along: &Vector) -> f64 {
        let (n, m) = (&self.normals[from as usize], &self.normals[to as usize]);
        let cross = n.cross(m);
        let (sin, cos) = (cross.dot(along), n.dot(m));
        // Most meetings of a panel are flat or nearly so; the series is exact to 1e-12 there.
        if sin.abs() < 0.02 && cos > 0.5 {
            let s2 = sin * sin;
            return sin * (1.0 + s2 * (1.0 / 6.0 + s2 * (3.0 / 40.0)));
        }
        if cos > 0.9 { asin_clamped(sin) } else { atan2(sin, cos) }
    }

    /// Ends of a side.
    #[inline]
    #[must_use]
    pub fn side_ends(&self, half: HalfEdge) -> [Point; 2] {
        half.ends(self.surface.mesh).map(|point| self.surface.mesh.points_mm[point as usize])
    }

    /// The meetings of one side of a facet, with their angles.
    pub fn hinges(&self, half: HalfEdge) -> impl Iterator<Item = Hinge> + '_ {
        let [start, end] = self.side_ends(half);
        let run = end - start;
        let side_mm = run.norm();
        let along = if side_mm > 0.0 { run / side_mm } else { Vector::zeros() };
        self.surface.numbered_meetings(half).map(move |(id, meeting)| Hinge {
            id,
            meeting,
            along,
            length_mm: side_mm * (meeting.span[1] - meeting.span[0]),
            turn: self.dihedral(half.face(), meeting.other.face(), &along),
        })
    }

    /// Height of a facet over one of its sides, in mm.
    #[inline]
    #[must_use]
    pub fn height_mm(&self, half: HalfEdge) -> f64 {
        let [start, end] = self.side_ends(half);
        let length = (end - start).norm();
        if length > 0.0 { 2.0 * self.areas_mm2[half.face() as usize] / length } else { 0.0 }
    }

    /// Centroid of a facet.
    #[inline]
    #[must_use]
    pub fn centroid(&self, face: FaceId) -> Point {
        let [a, b, c] = self.surface.mesh.corners(face);
        Point::from((a.coords + b.coords + c.coords) / 3.0)
    }
}
