//! The surface that closes a loop: what is laid across an opening.

use earcut::Earcut;

use super::super::mesh::{Mesh, Point, PointId, Vector};
use crate::units::m2_from_mm2;

/// A surface that spans a loop.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fill {
    /// Its triangles, wound as the loop runs.
    pub mesh: Mesh,
    /// Its area.
    pub area_m2: f64,
    /// Centre of the loop.
    pub centroid_mm: Point,
    /// Unit normal about which the loop runs anticlockwise; zero for a loop that encloses nothing.
    pub normal: Vector,
    /// Greatest distance of the loop from its mean plane. The area is exact for a flat loop; of a bent one it is that of
    /// triangles between its points, near the least that spans it.
    pub planarity_mm: f64,
    /// The loop crosses itself as seen along its normal, so that the surface is a fan about its centre: a rough figure.
    pub rough: bool,
}

/// The triangulation must cover the loop's own area to this share; if not, the loop crosses itself in projection. Tighter:
/// rounding on slivers; looser: a small crossing goes unseen.
const COVERED_SHARE: f64 = 1e-6;

/// The surface that spans a closed line; whether its first point is repeated at the end does not matter.
#[must_use]
pub fn fill(line_mm: &[Point]) -> Fill {
    let mut points = line_mm.to_vec();
    points.dedup();
    if points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    if points.len() < 3 {
        return Fill { centroid_mm: points.first().copied().unwrap_or(Point::origin()), ..Fill::default() };
    }
    let centroid_mm = centre_of_line(&points);
    let doubled_area = doubled_area_vector(&points, centroid_mm);
    let normal = doubled_area.try_normalize(0.0).unwrap_or_default();
    let planarity_mm = points.iter().map(|point| (point - centroid_mm).dot(&normal).abs()).fold(0.0, f64::max);
    let flat = triangles_over_mean_plane(&points, &normal, 0.5 * doubled_area.norm());
    let rough = flat.is_none();
    let mesh = flat.unwrap_or_else(|| fan(&points, centroid_mm));
    let area_mm2: f64 = mesh.face_ids().map(|face| mesh.face_area_mm2(face)).sum();
    Fill { area_m2: m2_from_mm2(area_mm2), mesh, centroid_mm, normal, planarity_mm, rough }
}

/// Centre of mass of the line, so that many points on one stretch do not pull it.
fn centre_of_line(points: &[Point]) -> Point {
    let mut length = 0.0;
    let mut moment = Vector::zeros();
    for (k, from) in points.iter().enumerate() {
        let to = points[(k + 1) % points.len()];
        let share = (to - from).norm();
        length += share;
        moment += (from - points[0] + (to - points[0])) * (0.5 * share);
    }
    if length > 0.0 { points[0] + moment / length } else { points[0] }
}

fn doubled_area_vector(points: &[Point], centre: Point) -> Vector {
    let pairs = (0..points.len()).map(|k| (points[k] - centre, points[(k + 1) % points.len()] - centre));
    pairs.map(|(from, to)| from.cross(&to)).sum()
}

/// Triangles between the points of the loop, found in its mean plane; nothing if they do not cover it.
fn triangles_over_mean_plane(points: &[Point], normal: &Vector, area_mm2: f64) -> Option<Mesh> {
    if area_mm2 == 0.0 {
        return None;
    }
    let across = any_square_to(normal);
    let up = normal.cross(&across);
    let flat = points.iter().map(|point| point - points[0]).map(|at| [at.dot(&across), at.dot(&up)]);
    let mut numbers: Vec<u32> = Vec::new();
    Earcut::new().earcut(flat, &[], &mut numbers);
    let faces: Vec<[PointId; 3]> =
        numbers.chunks_exact(3).map(|corners| [corners[0], corners[1], corners[2]]).collect();
    let mesh = Mesh { points_mm: points.to_vec(), faces };
    let covered: f64 = mesh.face_ids().map(|face| 0.5 * mesh.doubled_area_vector(face).dot(normal).abs()).sum();
    ((covered - area_mm2).abs() <= COVERED_SHARE * area_mm2).then(|| wound_along(mesh, normal))
}

fn wound_along(mut mesh: Mesh, normal: &Vector) -> Mesh {
    for face in mesh.face_ids() {
        if mesh.doubled_area_vector(face).dot(normal) < 0.0 {
            mesh.faces[face as usize].swap(1, 2);
        }
    }
    mesh
}

fn fan(points: &[Point], centre: Point) -> Mesh {
    let n = points.len() as PointId;
    let mut points_mm = points.to_vec();
    points_mm.push(centre);
    Mesh { points_mm, faces: (0..n).map(|k| [k, (k + 1) % n, n]).collect() }
}

/// A unit vector square to a unit vector.
fn any_square_to(normal: &Vector) -> Vector {
    let mut axis = Vector::zeros();
    axis[normal.iamin()] = 1.0;
    normal.cross(&axis).normalize()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::maths::{cos, sin};

    #[test]
    fn a_flat_loop_is_filled_exactly_however_it_bends() {
        let bent = [[0.0, 0.0], [60.0, 0.0], [60.0, 20.0], [20.0, 20.0], [20.0, 90.0], [0.0, 90.0]];
        let fill = fill(&bent.map(|[x, y]| Point::new(x, y, 8.0)));
        assert!((fill.area_m2 * 1e6 - (60.0 * 20.0 + 20.0 * 70.0)).abs() < 1e-9);
        assert!(!fill.rough && fill.planarity_mm < 1e-12);
        assert!((fill.normal - Vector::z()).norm() < 1e-12);
        assert!(fill.mesh.face_ids().all(|face| fill.mesh.normal(face).z > 0.0));
    }

    /// Source: a saddle-shaped loop spans at least its projection and at most its fan about the centre.
    #[test]
    fn a_bent_loop_says_how_far_it_is_bent() {
        let at = |k: usize| TAU * k as f64 / 90.0;
        let saddle: Vec<Point> =
            (0..90).map(|k| Point::new(100.0 * cos(at(k)), 100.0 * sin(at(k)), 6.0 * cos(2.0 * at(k)))).collect();
        let fill = fill(&saddle);
        assert!((fill.planarity_mm - 6.0).abs() < 0.1);
        let disc = 0.5 * TAU * 1e4;
        assert!(fill.area_m2 * 1e6 > 0.999 * disc && fill.area_m2 * 1e6 < 1.02 * disc, "{}", fill.area_m2 * 1e6 / disc);
    }

    #[test]
    fn a_loop_that_crosses_itself_is_told_as_rough() {
        let bow = [[0.0, 0.0, 0.0], [50.0, 40.0, 0.0], [50.0, 0.0, 0.0], [0.0, 30.0, 0.0]].map(Point::from);
        assert!(fill(&bow).rough);
        assert_eq!(fill(&[]).area_m2, 0.0);
        assert_eq!(fill(&bow[..2]).area_m2, 0.0);
    }
}
