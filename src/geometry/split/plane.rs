//! Planes to split by, and the ways in which a job gives one.

use super::super::mesh::{Mesh, Point, Vector};

/// A plane; its unit normal points to the side called plus.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// A point on the plane.
    pub point_mm: Point,
    /// Normal of length 1.
    pub unit_normal: Vector,
}

/// An axis of the mesh's coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Axis {
    /// x
    X,
    /// y
    Y,
    /// z
    Z,
}

/// Why no plane can be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlaneError {
    /// A coordinate is NaN or infinite.
    #[error("a coordinate of the split plane is not a finite number")]
    NotFinite,
    /// The normal has no direction.
    #[error("the normal of the split plane has no length")]
    NoNormal,
    /// Three points on one line.
    #[error("the three points of the split plane lie on one line or coincide")]
    PointsOnALine,
    /// A marking object without area.
    #[error("the object that marks the split has no area")]
    NoArea,
    /// A marking object that is not flat.
    #[error("the object that marks the split is not flat: it leaves its best plane by {deviation_mm:.3} mm near ({}, {}, {})",
        at_mm[0], at_mm[1], at_mm[2])]
    NotFlat {
        /// Greatest distance from the best plane.
        deviation_mm: f64,
        /// Where.
        at_mm: [f64; 3],
    },
}

impl PlaneError {
    /// How to mend it.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::NotFinite => "give every coordinate as a plain number in mm",
            Self::NoNormal => "give a normal with at least one number that is not zero, such as [0, 0, 1]",
            Self::PointsOnALine => "give three points that span a triangle, well apart from one another",
            Self::NoArea | Self::NotFlat { .. } => {
                "mark the split with one flat face (a rectangle a little larger than the part will do), or give a point and a normal"
            }
        }
    }
}

/// A marking object may leave its plane by this fraction of its size, or [`FLAT_MM`] if that is more. Tighter: the single
/// precision of STL refuses flat faces; looser: a crowned panel named by mistake passes as a plane.
const FLAT_FRACTION: f64 = 1e-5;
/// See [`FLAT_FRACTION`].
const FLAT_MM: f64 = 0.01;

impl Plane {
    /// The plane square to an axis at `at_mm` along it.
    ///
    /// # Errors
    /// [`PlaneError::NotFinite`].
    pub fn across(axis: Axis, at_mm: f64) -> Result<Self, PlaneError> {
        let unit_normal = match axis {
            Axis::X => Vector::x(),
            Axis::Y => Vector::y(),
            Axis::Z => Vector::z(),
        };
        Self::at(Point::origin() + unit_normal * at_mm, unit_normal)
    }

    /// The plane through a point, square to a normal of any length.
    ///
    /// # Errors
    /// [`PlaneError::NotFinite`], [`PlaneError::NoNormal`].
    pub fn at(point_mm: Point, normal: Vector) -> Result<Self, PlaneError> {
        if !point_mm.iter().chain(normal.iter()).all(|x| x.is_finite()) {
            return Err(PlaneError::NotFinite);
        }
        // Scaled first, so that the square of a very long or very short normal neither overflows nor vanishes.
        let largest = normal.amax();
        if largest == 0.0 {
            return Err(PlaneError::NoNormal);
        }
        Ok(Self { point_mm, unit_normal: (normal / largest).normalize() })
    }

    /// The plane through three points; seen from its plus side they run anticlockwise.
    ///
    /// # Errors
    /// [`PlaneError::NotFinite`], [`PlaneError::PointsOnALine`].
    pub fn through(points_mm: [Point; 3]) -> Result<Self, PlaneError> {
        let [a, b, c] = points_mm;
        if !points_mm.iter().flat_map(|point| point.iter()).all(|x| x.is_finite()) {
            return Err(PlaneError::NotFinite);
        }
        let (ab, ac) = (b - a, c - a);
        let normal = ab.cross(&ac);
        let longest = ab.norm().max(ac.norm()).max((c - b).norm());
        // Height of the triangle under a millionth of its longest side: the direction would be noise.
        if normal.norm() <= 1e-6 * longest * longest {
            return Err(PlaneError::PointsOnALine);
        }
        Self::at(a, normal)
    }

    /// The plane of a flat object: the mean normal of its facets, or, where front and back cancel out (a thin plate), the
    /// direction in which it is thinnest. It must be flat.
    ///
    /// # Errors
    /// [`PlaneError::NoArea`], [`PlaneError::NotFlat`].
    pub fn of_flat_object(mesh: &Mesh) -> Result<Self, PlaneError> {
        let point_mm = mesh.surface_centroid_mm().ok_or(PlaneError::NoArea)?;
        let largest = mesh
            .face_ids()
            .map(|face| mesh.doubled_area_vector(face))
            .max_by(|a, b| a.norm_squared().total_cmp(&b.norm_squared()))
            .ok_or(PlaneError::NoArea)?;
        // Wound alike or not, every facet of a flat object has this normal or its opposite.
        let sum: Vector = mesh
            .face_ids()
            .map(|face| mesh.doubled_area_vector(face))
            .map(|vector| if vector.dot(&largest) < 0.0 { -vector } else { vector })
            .sum();
        let plane = Self::at(point_mm, sum).map_err(|_| PlaneError::NoArea)?;
        plane.check_flat(mesh)?;
        Ok(plane)
    }

    fn check_flat(&self, mesh: &Mesh) -> Result<(), PlaneError> {
        let size_mm = mesh.bounds().map_or(0.0, |bounds| bounds.diagonal_mm());
        let off = |point: &Point| self.signed_distance_mm(point).abs();
        let corners = mesh.faces.iter().flatten().map(|&point| mesh.points_mm[point as usize]);
        let farthest = corners.max_by(|a, b| off(a).total_cmp(&off(b))).ok_or(PlaneError::NoArea)?;
        if off(&farthest) <= FLAT_MM.max(FLAT_FRACTION * size_mm) {
            return Ok(());
        }
        Err(PlaneError::NotFlat { deviation_mm: off(&farthest), at_mm: farthest.coords.into() })
    }

    /// Distance of a point from the plane, positive on the side that the normal points to.
    #[inline]
    #[must_use]
    pub fn signed_distance_mm(&self, point: &Point) -> f64 {
        (point - self.point_mm).dot(&self.unit_normal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(x: f64, y: f64, z: f64) -> Point {
        Point::new(x, y, z)
    }

    #[test]
    fn a_plane_across_an_axis_puts_the_far_side_at_plus() {
        let plane = Plane::across(Axis::Y, 40.0).unwrap();
        assert_eq!(plane.signed_distance_mm(&point(7.0, 43.0, -2.0)), 3.0);
        assert_eq!(plane.signed_distance_mm(&point(7.0, 38.0, -2.0)), -2.0);
        assert_eq!(Plane::across(Axis::X, f64::NAN), Err(PlaneError::NotFinite));
    }

    #[test]
    fn the_length_of_the_normal_does_not_matter() {
        for length in [1e-200, 1.0, 1e200] {
            let plane = Plane::at(point(1.0, 2.0, 3.0), Vector::new(0.0, 3.0, 4.0) * length).unwrap();
            assert!((plane.signed_distance_mm(&point(1.0, 5.0, 7.0)) - 5.0).abs() < 1e-12);
        }
        assert_eq!(Plane::at(Point::origin(), Vector::zeros()), Err(PlaneError::NoNormal));
    }

    #[test]
    fn three_points_give_the_plane_that_they_span_and_three_in_a_row_give_none() {
        let plane = Plane::through([point(0.0, 0.0, 5.0), point(10.0, 0.0, 5.0), point(0.0, 10.0, 5.0)]).unwrap();
        assert!((plane.signed_distance_mm(&point(3.0, 4.0, 7.0)) - 2.0).abs() < 1e-12);
        let row = [point(0.0, 0.0, 0.0), point(1.0, 2.0, 3.0), point(2.0, 4.0, 6.0)];
        assert_eq!(Plane::through(row), Err(PlaneError::PointsOnALine));
        assert_eq!(Plane::through([row[0], row[0], row[1]]), Err(PlaneError::PointsOnALine));
    }

    fn rectangle(lift_mm: f64) -> Mesh {
        Mesh {
            points_mm: vec![
                point(-5.0, 0.0, 1.0),
                point(200.0, 0.0, 1.0),
                point(200.0, 90.0, 1.0),
                point(-5.0, 90.0, 1.0 + lift_mm),
            ],
            faces: vec![[0, 1, 2], [0, 2, 3]],
        }
    }

    #[test]
    fn a_flat_object_marks_its_own_plane() {
        let plane = Plane::of_flat_object(&rectangle(0.0)).unwrap();
        assert!((plane.unit_normal - Vector::z()).norm() < 1e-12);
        let mut half_flipped = rectangle(0.0);
        half_flipped.faces[1].swap(0, 1);
        assert!(Plane::of_flat_object(&half_flipped).unwrap().unit_normal.z.abs() > 1.0 - 1e-12);
    }

    #[test]
    fn an_object_that_is_not_flat_marks_no_plane_and_says_how_far_it_bends() {
        let error = Plane::of_flat_object(&rectangle(8.0)).unwrap_err();
        assert!(matches!(error, PlaneError::NotFlat { deviation_mm, .. } if deviation_mm > 1.0), "{error}");
        assert!(error.remedy().contains("flat"));
        assert_eq!(Plane::of_flat_object(&Mesh::default()), Err(PlaneError::NoArea));
    }
}
