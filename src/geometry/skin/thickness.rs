//! How thick the wall is, with the chords of both faces taken out.

use super::super::mesh::{FaceId, Mesh, Point, Vector};
use super::super::normals::CornerNormals;
use super::Side;
use super::quantiles::{most_common, weighted_quantile};
use super::walls::{WallRay, Walls};

// Rays between faces that are not parallel within 15 degrees run through a joint (a fillet over a sharp inside corner), and
// say nothing of the wall.
const PARALLEL_COSINE: f64 = 0.965_925_826_289_068_3;

// The most common wall is the middle of the window of this relative width that holds most area.
const WINDOW: f64 = 0.03;

// Area that the thinnest and the thickest wall must have: a single stray ray is none.
const EXTREME_SHARE: f64 = 0.001;

// Joints hold at least this share of the area; less is single facets beside a rounded rim.
const LEAST_JOINTS: f64 = 0.002;

/// Figures of the wall, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness {
    /// Most common.
    pub usual_mm: f64,
    /// Thinnest.
    pub least_mm: f64,
    /// Thickest where both faces are parallel.
    pub most_mm: f64,
    /// Thickest along a ray through a joint, if that is more.
    pub at_joints_mm: Option<f64>,
    /// The greatest chord height at the places that were measured: least and most are good to this.
    pub chord_height_mm: f64,
}

/// Mean wall behind each facet in mm; 0 where no ray from it met a parallel wall.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FaceWalls(pub Vec<f32>);

impl FaceWalls {
    /// Divides the sums of wall times area by the area.
    fn of_sums(sums: &[(f64, f64)]) -> Self {
        Self(sums.iter().map(|&(moment, area)| if area > 0.0 { (moment / area) as f32 } else { 0.0 }).collect())
    }
}

/// Measures the wall from rays, in all and facet by facet; nothing if no ray met a parallel wall.
#[must_use]
pub fn thickness(
    mesh: &Mesh,
    normals: &[Vector],
    corners: &CornerNormals,
    walls: &Walls,
    sides: &[Side],
) -> Option<(Thickness, FaceWalls)> {
    let mut of_faces = vec![(0.0, 0.0); mesh.faces.len()];
    let (mut all, mut outer, mut joints) = (Vec::new(), Vec::new(), Vec::new());
    let mut chord_height_mm = 0.0f64;
    let on_rim = |face: FaceId| sides[face as usize] == Side::Rim;
    for ray in walls.rays.iter().filter(|ray| ray.wall && !on_rim(ray.face) && !on_rim(ray.met)) {
        let outside = sides[ray.face as usize] == Side::Outside;
        if f64::from(ray.cosine) < PARALLEL_COSINE {
            if outside {
                joints.push(ray.weighted());
            }
            continue;
        }
        let (distance_mm, area_mm2) = ray.weighted();
        let through_mm = distance_mm + off_chords_mm(mesh, normals, corners, ray);
        all.push((through_mm, area_mm2));
        let own = &mut of_faces[ray.face as usize];
        *own = (own.0 + through_mm * area_mm2, own.1 + area_mm2);
        if outside {
            outer.push((through_mm, area_mm2));
            chord_height_mm = chord_height_mm.max(corners.chord_height_mm(ray.face) + corners.chord_height_mm(ray.met));
        }
    }
    let usual_mm = most_common(&mut all, WINDOW)?;
    let measured = if outer.is_empty() { &mut all } else { &mut outer };
    let least_mm = weighted_quantile(measured, EXTREME_SHARE)?;
    let most_mm = weighted_quantile(measured, 1.0 - EXTREME_SHARE)?;
    let area = |rays: &[(f64, f64)]| rays.iter().map(|&(_, area_mm2)| area_mm2).sum::<f64>();
    let at_joints_mm = weighted_quantile(&mut joints, 1.0 - EXTREME_SHARE)
        .filter(|&joint_mm| joint_mm > most_mm && area(&joints) > LEAST_JOINTS * area(&all));
    Some((Thickness { usual_mm, least_mm, most_mm, at_joints_mm, chord_height_mm }, FaceWalls::of_sums(&of_faces)))
}

/// How much further the CAD surfaces are apart than the two facets of a ray, in mm.
fn off_chords_mm(mesh: &Mesh, normals: &[Vector], corners: &CornerNormals, ray: &WallRay) -> f64 {
    let start = ray.start(mesh);
    let end = start - normals[ray.face as usize] * f64::from(ray.distance_mm);
    curved_height_mm(mesh, normals, corners, ray.face, &start) + curved_height_mm(mesh, normals, corners, ray.met, &end)
}

/// How far the CAD surface lies outward of a place on a facet, in mm: a patch that bends from corner normal to corner normal,
/// no further than the facet's own chord height (without that limit it is worse: 2.4 to 4.0 mm on a wall of 3).
fn curved_height_mm(mesh: &Mesh, normals: &[Vector], corners: &CornerNormals, face: FaceId, at: &Point) -> f64 {
    let vertices = mesh.corners(face);
    let shares = shares_of(&vertices, at);
    let normal = normals[face as usize];
    let bent_to = corners.of_face(face);
    let bent: f64 = (0..3)
        .map(|k| {
            let own = &bent_to[k];
            shares[k] * (vertices[k] - at).dot(own) * own.dot(&normal)
        })
        .sum();
    let most = corners.chord_height_mm(face);
    (0.5 * bent).clamp(-most, most)
}

/// The normal of the CAD surface at a place on a facet.
#[must_use]
pub fn normal_at(mesh: &Mesh, corners: &CornerNormals, face: FaceId, at: &Point) -> Vector {
    let shares = shares_of(&mesh.corners(face), at);
    let normals = corners.of_face(face);
    (0..3).map(|k| normals[k] * shares[k]).sum()
}

/// Shares of the corners at a place in the plane of a facet.
fn shares_of([a, b, c]: &[Point; 3], at: &Point) -> [f64; 3] {
    let normal = (b - a).cross(&(c - a));
    let squared = normal.norm_squared();
    if squared <= 0.0 {
        return [1.0 / 3.0; 3];
    }
    let v = (at - a).cross(&(c - a)).dot(&normal) / squared;
    let w = (b - a).cross(&(at - a)).dot(&normal) / squared;
    [1.0 - v - w, v, w]
}
