//! Volume of the convex hull, to tell a body that is mostly hollow from a lump.

use rayon::prelude::*;

use super::super::mesh::{Mesh, Point, Vector};
use crate::maths;

// Directions in which the outermost point is taken. The hull of these points falls short of the true hull by under 1 % of its
// volume on round bodies; the test that uses it asks for a half.
const N_DIRECTIONS: usize = 600;

// Points that are tried in every direction, and directions in which a big mesh's points are all tried.
const MOST_POINTS: usize = 20_000;
const N_THOROUGH: usize = 60;

/// Volume of the convex hull of a mesh's outermost points, in mm3; 0 if they lie in a plane.
#[must_use]
pub fn hull_volume_mm3(mesh: &Mesh) -> f64 {
    let points = outermost_points(mesh);
    let Some(mut facets) = first_tetrahedron(&points) else { return 0.0 };
    for point in 0..points.len() {
        let seen: Vec<bool> = facets.iter().map(|facet| sees(&points, facet, point)).collect();
        if !seen.contains(&true) {
            continue;
        }
        let edges: Vec<[usize; 2]> = facets
            .iter()
            .zip(&seen)
            .filter(|&(_, &seen)| seen)
            .flat_map(|(&[a, b, c], _)| [[a, b], [b, c], [c, a]])
            .collect();
        let mut kept = seen.iter();
        facets.retain(|_| !kept.next().is_some_and(|&seen| seen));
        let horizon = edges.iter().filter(|&&[a, b]| !edges.contains(&[b, a]));
        facets.extend(horizon.map(|&[a, b]| [a, b, point]));
    }
    let origin = points[0];
    let six_fold = |&[a, b, c]: &[usize; 3]| {
        let [a, b, c] = [points[a] - origin, points[b] - origin, points[c] - origin];
        a.dot(&b.cross(&c))
    };
    (facets.iter().map(six_fold).sum::<f64>() / 6.0).max(0.0)
}

/// The points of the mesh that lie furthest out in evenly spread directions, each once, in order.
///
/// Of a big mesh a sample of the points stands for all in most directions: its points lie close together, but for the few
/// corners of large flats, which the first directions find among all points.
fn outermost_points(mesh: &Mesh) -> Vec<Point> {
    let Some(bounds) = mesh.bounds() else { return Vec::new() };
    let centre = bounds.centre();
    let every = mesh.points_mm.len().div_ceil(MOST_POINTS).max(1);
    let n_thorough = if every > 1 { N_THOROUGH } else { 0 };
    let thorough =
        (0..n_thorough).into_par_iter().map(|k| furthest(mesh, &centre, 1, &spread_direction(k, N_THOROUGH)));
    let sampled =
        (0..N_DIRECTIONS).into_par_iter().map(|k| furthest(mesh, &centre, every, &spread_direction(k, N_DIRECTIONS)));
    let mut chosen: Vec<usize> = thorough.chain(sampled).flatten().collect();
    chosen.sort_unstable();
    chosen.dedup();
    chosen.into_iter().map(|point| mesh.points_mm[point]).collect()
}

fn furthest(mesh: &Mesh, centre: &Point, every: usize, direction: &Vector) -> Option<usize> {
    let mut best = None;
    for (k, point) in mesh.points_mm.iter().enumerate().step_by(every) {
        let height = (point - centre).dot(direction);
        if best.is_none_or(|(most, _)| height > most) {
            best = Some((height, k));
        }
    }
    best.map(|(_, k)| k)
}

/// The k-th of n unit vectors spread evenly over the sphere (a Fibonacci spiral).
#[must_use]
pub fn spread_direction(k: usize, n: usize) -> Vector {
    let z = 1.0 - (2.0 * k as f64 + 1.0) / n as f64;
    let (sine, cosine) = maths::sin_cos(2.399_963_229_728_653 * k as f64);
    let radius = (1.0 - z * z).max(0.0).sqrt();
    Vector::new(radius * cosine, radius * sine, z)
}

/// Four points that span a volume, as facets that face outwards.
fn first_tetrahedron(points: &[Point]) -> Option<Vec<[usize; 3]>> {
    let a = 0;
    let b = (1..points.len())
        .max_by(|&i, &j| (points[i] - points[a]).norm_squared().total_cmp(&(points[j] - points[a]).norm_squared()))?;
    let off_line = |i: usize| (points[i] - points[a]).cross(&(points[b] - points[a])).norm_squared();
    let c = (0..points.len()).max_by(|&i, &j| off_line(i).total_cmp(&off_line(j))).filter(|&c| off_line(c) > 0.0)?;
    let normal = (points[b] - points[a]).cross(&(points[c] - points[a]));
    let off_plane = |i: usize| normal.dot(&(points[i] - points[a])).abs();
    let d = (0..points.len()).max_by(|&i, &j| off_plane(i).total_cmp(&off_plane(j)))?;
    let facets = [[a, b, c], [a, c, d], [c, b, d], [b, a, d]];
    if sees(points, &facets[0], d) {
        Some(facets.map(|[a, b, c]| [a, c, b]).to_vec())
    } else if sees(points, &[a, c, b], d) {
        Some(facets.to_vec())
    } else {
        None
    }
}

/// True if a point lies beyond the plane of a facet, decided exactly: with rounding the hull could tear.
fn sees(points: &[Point], facet: &[usize; 3], point: usize) -> bool {
    let [a, b, c] = facet.map(|corner| coordinates(&points[corner]));
    // `orient3d` is positive for a point below the plane, from where a, b, c run clockwise: on the inner side.
    robust::orient3d(a, b, c, coordinates(&points[point])) < 0.0
}

fn coordinates(point: &Point) -> robust::Coord3D<f64> {
    robust::Coord3D { x: point.x, y: point.y, z: point.z }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::skin::shapes;

    #[test]
    fn the_hull_of_a_block_is_the_block_and_that_of_an_l_fills_the_notch() {
        let block = shapes::turned(&shapes::block(20.0, 30.0, 50.0));
        assert!((hull_volume_mm3(&block) / 30_000.0 - 1.0).abs() < 1e-9);
        let l_block = shapes::turned(&shapes::l_block(60.0, 40.0, 20.0, 10.0));
        let wanted_mm3 = 20.0 * (60.0 * 40.0 - 50.0 * 30.0 / 2.0);
        assert!((hull_volume_mm3(&l_block) / wanted_mm3 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_flat_sheet_has_no_hull_volume() {
        let sheet = Mesh {
            points_mm: vec![
                Point::new(0.0, 0.0, 0.0),
                Point::new(3.0, 0.0, 0.0),
                Point::new(0.0, 2.0, 0.0),
                Point::new(3.0, 2.0, 0.0),
            ],
            faces: vec![[0, 1, 2], [1, 3, 2]],
        };
        assert_eq!(hull_volume_mm3(&sheet), 0.0);
        assert_eq!(hull_volume_mm3(&Mesh::default()), 0.0);
    }
}
