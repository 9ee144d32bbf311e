//! A triangle mesh in millimetres, and the measures that need nothing but its triangles.

use nalgebra::{Point3, Vector3};

use crate::units::{m2_from_mm2, m3_from_mm3};

/// A point in millimetres.
pub type Point = Point3<f64>;
/// A direction, or a difference of two points in millimetres.
pub type Vector = Vector3<f64>;

/// Number of a facet in its mesh.
pub type FaceId = u32;
/// Number of a point in its mesh.
pub type PointId = u32;

/// Triangles over shared points, in millimetres. The outward side of a facet sees its corners run anticlockwise.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mesh {
    /// The points.
    pub points_mm: Vec<Point>,
    /// The corners of each facet, anticlockwise from outside.
    pub faces: Vec<[PointId; 3]>,
}

impl Mesh {
    /// The three corners of a facet.
    #[inline]
    #[must_use]
    pub fn corners(&self, face: FaceId) -> [Point; 3] {
        self.faces[face as usize].map(|point| self.points_mm[point as usize])
    }

    /// Middle of a facet.
    #[inline]
    #[must_use]
    pub fn middle(&self, face: FaceId) -> Point {
        let [a, b, c] = self.corners(face);
        Point::from((a.coords + b.coords + c.coords) / 3.0)
    }

    /// Twice the area of a facet times its outward normal, in mm2; zero for a facet without area.
    #[inline]
    #[must_use]
    pub fn doubled_area_vector(&self, face: FaceId) -> Vector {
        let [a, b, c] = self.corners(face);
        (b - a).cross(&(c - a))
    }

    /// Outward unit normal of a facet; zero for a facet without area.
    #[must_use]
    pub fn normal(&self, face: FaceId) -> Vector {
        let vector = self.doubled_area_vector(face);
        let length = vector.norm();
        if length > 0.0 { vector / length } else { Vector::zeros() }
    }

    /// Area of a facet in mm2.
    #[inline]
    #[must_use]
    pub fn face_area_mm2(&self, face: FaceId) -> f64 {
        0.5 * self.doubled_area_vector(face).norm()
    }

    /// Every facet's number.
    pub fn face_ids(&self) -> impl Iterator<Item = FaceId> + use<> {
        0..self.faces.len() as FaceId
    }

    /// Area of all facets in m2.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        m2_from_mm2(self.face_ids().map(|face| self.face_area_mm2(face)).sum())
    }

    /// Volume enclosed, in m3, positive if the facets face outwards. Meaningless for an open mesh.
    #[must_use]
    pub fn signed_volume_m3(&self) -> f64 {
        let origin = self.bounds().map_or_else(Point::origin, |bounds| bounds.centre());
        let six_fold: f64 = self
            .face_ids()
            .map(|face| {
                let [a, b, c] = self.corners(face).map(|corner| corner - origin);
                a.dot(&b.cross(&c))
            })
            .sum();
        m3_from_mm3(six_fold / 6.0)
    }

    /// Centroid of the surface (not of the body it may enclose), in mm; nothing for a mesh without area.
    #[must_use]
    pub fn surface_centroid_mm(&self) -> Option<Point> {
        let origin = self.bounds()?.centre();
        let mut area = 0.0;
        let mut moment = Vector::zeros();
        for face in self.face_ids() {
            let [a, b, c] = self.corners(face).map(|corner| corner - origin);
            let share = self.face_area_mm2(face);
            area += share;
            moment += (a + b + c) * (share / 3.0);
        }
        (area > 0.0).then(|| origin + moment / area)
    }

    /// The box that holds the points which facets use; nothing for a mesh without facets.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::of(self.faces.iter().flatten().map(|&point| self.points_mm[point as usize]))
    }

    /// The given facets as a mesh of their own, points renumbered in order of first use.
    #[must_use]
    pub fn submesh(&self, faces: &[FaceId]) -> Self {
        let mut renumbered = vec![PointId::MAX; self.points_mm.len()];
        let mut part = Self { points_mm: Vec::new(), faces: Vec::with_capacity(faces.len()) };
        for &face in faces {
            let corners = self.faces[face as usize].map(|point| {
                let slot = &mut renumbered[point as usize];
                if *slot == PointId::MAX {
                    *slot = part.points_mm.len() as PointId;
                    part.points_mm.push(self.points_mm[point as usize]);
                }
                *slot
            });
            part.faces.push(corners);
        }
        part
    }
}

/// A box along the axes, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Corner of least coordinates.
    pub least: Point,
    /// Corner of greatest coordinates.
    pub most: Point,
}

impl Bounds {
    /// The box of points; nothing without any.
    #[must_use]
    pub fn of(points_mm: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut points_mm = points_mm.into_iter();
        let first = points_mm.next()?;
        let (least, most) =
            points_mm.fold((first, first), |(least, most), point| (least.inf(&point), most.sup(&point)));
        Some(Self { least, most })
    }

    /// Middle of the box.
    #[must_use]
    pub fn centre(&self) -> Point {
        nalgebra::center(&self.least, &self.most)
    }

    /// Extent along x, y and z.
    #[must_use]
    pub fn size_mm(&self) -> Vector {
        self.most - self.least
    }

    /// Length of the diagonal.
    #[must_use]
    pub fn diagonal_mm(&self) -> f64 {
        self.size_mm().norm()
    }
}
