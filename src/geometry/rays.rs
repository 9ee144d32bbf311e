//! Rays through a mesh: which facet is hit first, and how far away it is.
//!
//! The search runs on a tree of boxes in single precision about the middle of the mesh; the distance of a hit is then
//! reckoned again in double precision from the facet's plane.

use parry3d::math::Vector as Single;
use parry3d::query::{Ray, RayCast};
use parry3d::shape::TriMesh;

use super::mesh::{FaceId, Mesh, Point, Vector};

/// How far a ray is followed if nothing is said.
pub const ENDLESS_MM: f64 = f64::INFINITY;

// Share of the facet's normal that a ray must run along for the plane's distance to be trusted. Under it the plane is met at
// so flat an angle that rounding moves the meeting point by more than single precision does.
const GRAZING: f64 = 1e-3;

/// Where a ray meets the mesh first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// How far from the ray's origin, in mm.
    pub distance_mm: f64,
    /// The facet.
    pub face: FaceId,
    /// True if the ray comes from the outward side of the facet: it enters material there; false: it leaves it.
    pub entering: bool,
}

/// A mesh made ready for rays. Some 100 bytes and 0.4 microseconds a facet to build.
pub struct Rays<'mesh> {
    mesh: &'mesh Mesh,
    centre: Point,
    diagonal_mm: f64,
    tree: Option<TriMesh>,
}

impl std::fmt::Debug for Rays<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Rays")
            .field("centre", &self.centre)
            .field("diagonal_mm", &self.diagonal_mm)
            .finish_non_exhaustive()
    }
}

impl<'mesh> Rays<'mesh> {
    /// Builds the search tree. A mesh without facets is never hit.
    #[must_use]
    pub fn through(mesh: &'mesh Mesh) -> Self {
        let bounds = mesh.bounds();
        let centre = bounds.map_or_else(Point::origin, |bounds| bounds.centre());
        let diagonal_mm = bounds.map_or(0.0, |bounds| bounds.diagonal_mm());
        // The middle is taken off in double precision: 100 m from the origin single precision is 4 micrometres coarse, and
        // errors of whole millimetres were measured.
        let points = mesh.points_mm.iter().map(|point| single(&(point - centre))).collect();
        let tree = TriMesh::new(points, mesh.faces.clone()).ok();
        Self { mesh, centre, diagonal_mm, tree }
    }

    /// Diagonal of the mesh's box, in mm.
    #[must_use]
    pub const fn diagonal_mm(&self) -> f64 {
        self.diagonal_mm
    }

    /// The first facet within `furthest_mm` along a unit direction. Rays that meet an edge or a corner exactly may slip
    /// through; start them from within facets.
    #[must_use]
    pub fn first_hit(&self, origin: &Point, direction: &Vector, furthest_mm: f64) -> Option<Hit> {
        let ray = Ray::new(single(&(origin - self.centre)), single(direction));
        let furthest = if furthest_mm.is_finite() { furthest_mm as f32 } else { f32::MAX };
        let found = self.tree.as_ref()?.cast_local_ray_and_get_normal(&ray, furthest, false)?;
        let face = found.subshape;
        Some(self.exact(face, origin, direction, f64::from(found.time_of_impact)))
    }

    /// The distance to the plane of the facet, unless the ray grazes it.
    fn exact(&self, face: FaceId, origin: &Point, direction: &Vector, roughly_mm: f64) -> Hit {
        let normal = self.mesh.normal(face);
        let along = normal.dot(direction);
        let distance_mm =
            if along.abs() > GRAZING { normal.dot(&(self.mesh.corners(face)[0] - origin)) / along } else { roughly_mm };
        Hit { distance_mm, face, entering: along < 0.0 }
    }

    /// Every facet along a ray, nearest first, at most `most` of them. Two facets that lie closer together than a millionth
    /// of the diagonal count once.
    pub fn all_hits(&self, origin: &Point, direction: &Vector, most: usize) -> impl Iterator<Item = Hit> + '_ {
        let (origin, direction) = (*origin, *direction);
        let step_mm = 1e-6 * self.diagonal_mm;
        let mut start_mm = 0.0;
        std::iter::from_fn(move || {
            let mut hit = self.first_hit(&(origin + direction * start_mm), &direction, ENDLESS_MM)?;
            hit.distance_mm += start_mm;
            start_mm = hit.distance_mm.max(start_mm) + step_mm;
            Some(hit)
        })
        .take(most)
    }
}

fn single(vector: &Vector) -> Single {
    Single::new(vector.x as f32, vector.y as f32, vector.z as f32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::skin::shapes;

    #[test]
    fn a_wall_of_three_millimetres_is_read_to_a_thousandth_on_a_part_of_three_metres_far_from_the_origin() {
        let plate = shapes::moved(&shapes::block(3000.0, 1500.0, 3.0), Vector::new(100_000.0, -40_000.0, 7000.0));
        let rays = Rays::through(&plate);
        for k in 0..1000 {
            let share = (f64::from(k) + 0.5) / 1000.0;
            let spread = (f64::from(k) * 0.618_033_988_7).fract();
            let origin = Point::new(100_000.0 + 3000.0 * share, -40_000.0 + 1500.0 * spread, 7003.0 - 0.01);
            let hit = rays.first_hit(&origin, &-Vector::z(), ENDLESS_MM).expect("the far face lies below");
            assert!((hit.distance_mm - 2.99).abs() < 1e-3, "{}", hit.distance_mm);
            assert!(!hit.entering);
        }
    }

    #[test]
    fn a_ray_counts_every_skin_that_it_crosses() {
        let mesh = shapes::joined(&[
            shapes::block(40.0, 30.0, 20.0),
            shapes::moved(&shapes::block(10.0, 7.0, 5.0), Vector::new(8.0, 9.0, 6.0)),
        ]);
        let rays = Rays::through(&mesh);
        let hits: Vec<_> = rays.all_hits(&Point::new(-5.0, 11.3, 8.7), &Vector::x(), 16).collect();
        let along: Vec<_> = hits.iter().map(|hit| (hit.distance_mm, hit.entering)).collect();
        assert_eq!(along.len(), 4);
        for ((distance_mm, entering), (wanted_mm, enters)) in
            along.iter().zip([(5.0, true), (13.0, true), (23.0, false), (45.0, false)])
        {
            assert!((distance_mm - wanted_mm).abs() < 1e-9);
            assert_eq!(*entering, enters);
        }
    }

    #[test]
    fn a_mesh_without_facets_is_never_hit() {
        let mesh = Mesh::default();
        assert!(Rays::through(&mesh).first_hit(&Point::origin(), &Vector::x(), ENDLESS_MM).is_none());
    }
}
