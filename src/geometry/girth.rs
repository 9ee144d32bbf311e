//! How far cloth has to reach to cover a piece, along and across: measured over the surface, not through the air.

use super::axes::principal_axes;
use super::mesh::{Mesh, Point, Vector};
use super::rectangle::least_rectangle;
use crate::maths::sin_cos;

/// Reach of a piece along two directions square to each other in its flattest plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Girth {
    /// Longest way over the surface along the longer side of its outline.
    pub along_mm: f64,
    /// Longest way over the surface square to it.
    pub across_mm: f64,
}

/// Sections taken each way. Fewer miss the deepest place of a small pocket; the time is small beside loading.
const N_SECTIONS: usize = 48;

/// The reach of a piece both ways: the longest of [`N_SECTIONS`] plane sections each way, the frame being the smallest
/// rectangle round the piece as seen along its flattest direction. Nothing for a mesh without area.
///
/// Exact for a flat or singly bent rectangle and for a tray (bottom and walls). A section that holes interrupt counts what
/// is there; where a whole row of the frame is interrupted the reach is read low.
#[must_use]
pub fn girth(mesh: &Mesh) -> Option<Girth> {
    let origin = mesh.surface_centroid_mm()?;
    let [first, second] = flattest_plane(mesh, &origin);
    let flat: Vec<[f64; 2]> = mesh
        .faces
        .iter()
        .flatten()
        .map(|&point| {
            let from_origin = mesh.points_mm[point as usize] - origin;
            [from_origin.dot(&first), from_origin.dot(&second)]
        })
        .collect();
    let (sin, cos) = sin_cos(least_rectangle(flat).angle);
    let one_way = first * cos + second * sin;
    let other_way = second * cos - first * sin;
    let (one_mm, other_mm) =
        (longest_section_mm(mesh, &origin, &other_way), longest_section_mm(mesh, &origin, &one_way));
    Some(Girth { along_mm: one_mm.max(other_mm), across_mm: one_mm.min(other_mm) })
}

/// Two directions square to each other that span the plane in which the piece is widest.
fn flattest_plane(mesh: &Mesh, origin: &Point) -> [Vector; 2] {
    let mut spread = [[0.0; 3]; 3];
    for face in mesh.face_ids() {
        let share = mesh.face_area_mm2(face) / 12.0;
        let corners = mesh.corners(face).map(|corner| corner - origin);
        let sum = corners[0] + corners[1] + corners[2];
        // Second moment of a triangle: area/12 (sum of corner squares + square of the sum).
        for vector in corners.iter().chain([&sum]) {
            for row in 0..3 {
                for column in 0..3 {
                    spread[row][column] += share * vector[row] * vector[column];
                }
            }
        }
    }
    let axes = principal_axes(spread);
    [axes[0].direction, axes[1].direction]
}

/// The greatest length of the sections square to `normal`.
fn longest_section_mm(mesh: &Mesh, origin: &Point, normal: &Vector) -> f64 {
    let heights: Vec<f64> = mesh.points_mm.iter().map(|point| (point - origin).dot(normal)).collect();
    let used = || mesh.faces.iter().flatten().map(|&point| heights[point as usize]);
    let least = used().fold(f64::INFINITY, f64::min);
    let most = used().fold(f64::NEG_INFINITY, f64::max);
    let step = (most - least) / N_SECTIONS as f64;
    // A piece without extent this way (a flat one seen on edge cannot occur: the frame lies in its plane).
    if step.is_nan() || step <= 0.0 {
        return 0.0;
    }
    let mut lengths = [0.0; N_SECTIONS];
    for face in &mesh.faces {
        let corners = face.map(|point| (mesh.points_mm[point as usize], heights[point as usize]));
        let (low, high) = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), c| (a.min(c.1), b.max(c.1)));
        let first = ((low - least) / step - 0.5).ceil().max(0.0) as usize;
        for (number, length) in lengths.iter_mut().enumerate().skip(first) {
            let height = least + (number as f64 + 0.5) * step;
            if height >= high {
                break;
            }
            *length += chord_mm(&corners, height);
        }
    }
    lengths.into_iter().fold(0.0, f64::max)
}

/// Length of a triangle's section at a height.
fn chord_mm(corners: &[(Point, f64); 3], height: f64) -> f64 {
    let mut ends = (0..3).filter_map(|side| {
        let ((from, low), (to, high)) = (corners[side], corners[(side + 1) % 3]);
        // A corner exactly at the height belongs to one of its two sides only.
        ((low < height) != (high < height)).then(|| from + (to - from) * ((height - low) / (high - low)))
    });
    match (ends.next(), ends.next()) {
        (Some(from), Some(to)) => (to - from).norm(),
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Rotation3;

    fn rectangle(mesh: &mut Mesh, corner: [f64; 3], one: [f64; 3], other: [f64; 3]) {
        let [corner, one, other] = [corner, one, other].map(Vector::from);
        let first = mesh.points_mm.len() as u32;
        mesh.points_mm.extend([corner, corner + one, corner + one + other, corner + other].map(Point::from));
        mesh.faces.extend([[first, first + 1, first + 2], [first, first + 2, first + 3]]);
    }

    fn turned(mut mesh: Mesh) -> Mesh {
        let rotation = Rotation3::from_euler_angles(0.4, -0.9, 2.2);
        for point in &mut mesh.points_mm {
            *point = rotation * *point + Vector::new(1000.0, -300.0, 50.0);
        }
        mesh
    }

    fn close(girth: Option<Girth>, along_mm: f64, across_mm: f64) {
        let girth = girth.expect("it has area");
        assert!((girth.along_mm - along_mm).abs() < 1e-6, "{girth:?}");
        assert!((girth.across_mm - across_mm).abs() < 1e-6, "{girth:?}");
    }

    #[test]
    fn a_side_with_a_door_reaches_as_far_as_without() {
        // 2400 x 1200 with a door of 600 x 900 that starts 300 from one end and 200 from the bottom.
        let mut mesh = Mesh::default();
        rectangle(&mut mesh, [0.0, 0.0, 0.0], [300.0, 0.0, 0.0], [0.0, 1200.0, 0.0]);
        rectangle(&mut mesh, [300.0, 0.0, 0.0], [600.0, 0.0, 0.0], [0.0, 200.0, 0.0]);
        rectangle(&mut mesh, [300.0, 1100.0, 0.0], [600.0, 0.0, 0.0], [0.0, 100.0, 0.0]);
        rectangle(&mut mesh, [900.0, 0.0, 0.0], [1500.0, 0.0, 0.0], [0.0, 1200.0, 0.0]);
        close(girth(&turned(mesh)), 2400.0, 1200.0);
    }

    #[test]
    fn a_tray_is_reached_up_its_walls() {
        let mut mesh = Mesh::default();
        rectangle(&mut mesh, [0.0, 0.0, 0.0], [1200.0, 0.0, 0.0], [0.0, 800.0, 0.0]);
        rectangle(&mut mesh, [0.0, 0.0, 0.0], [1200.0, 0.0, 0.0], [0.0, 0.0, 150.0]);
        rectangle(&mut mesh, [0.0, 800.0, 0.0], [1200.0, 0.0, 0.0], [0.0, 0.0, 150.0]);
        rectangle(&mut mesh, [0.0, 0.0, 0.0], [0.0, 800.0, 0.0], [0.0, 0.0, 150.0]);
        rectangle(&mut mesh, [1200.0, 0.0, 0.0], [0.0, 800.0, 0.0], [0.0, 0.0, 150.0]);
        close(girth(&turned(mesh)), 1500.0, 1100.0);
    }

    #[test]
    fn a_half_tube_is_reached_round_its_arc() {
        let (n_strips, radius_mm) = (64, 200.0);
        let mut mesh = Mesh::default();
        for strip in 0..n_strips {
            let at = |number: usize| {
                let (sin, cos) = sin_cos(std::f64::consts::PI * number as f64 / n_strips as f64);
                Vector::new(radius_mm * cos, radius_mm * sin, 0.0)
            };
            let (from, to) = (at(strip), at(strip + 1));
            rectangle(&mut mesh, from.into(), (to - from).into(), [0.0, 0.0, 1000.0]);
        }
        let girth = girth(&turned(mesh)).expect("it has area");
        assert!((girth.along_mm - 1000.0).abs() < 1e-6, "{girth:?}");
        assert!((girth.across_mm - std::f64::consts::PI * radius_mm).abs() < 0.1, "{girth:?}");
    }

    #[test]
    fn a_mesh_without_area_has_no_girth() {
        assert_eq!(girth(&Mesh::default()), None);
    }
}
