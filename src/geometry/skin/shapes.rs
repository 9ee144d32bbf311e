//! Shapes for tests, made in code.

use super::super::mesh::{Mesh, Point, PointId, Vector};

/// The mesh moved.
pub fn moved(mesh: &Mesh, by: Vector) -> Mesh {
    Mesh { points_mm: mesh.points_mm.iter().map(|point| point + by).collect(), faces: mesh.faces.clone() }
}

/// The mesh turned in space, so that nothing runs along an axis, and moved off the origin.
pub fn turned(mesh: &Mesh) -> Mesh {
    let skew = Vector::new(-0.8, 0.6, 0.0);
    let first = Vector::new(0.48, 0.64, 0.6);
    let third = first.cross(&skew).normalize();
    let second = third.cross(&first);
    let place = |point: &Point| {
        Point::from(first * point.x + second * point.y + third * point.z) + Vector::new(310.0, -127.0, 54.0)
    };
    Mesh { points_mm: mesh.points_mm.iter().map(place).collect(), faces: mesh.faces.clone() }
}

/// Several meshes in one, points not shared.
pub fn joined(meshes: &[Mesh]) -> Mesh {
    let mut whole = Mesh::default();
    for mesh in meshes {
        let offset = whole.points_mm.len() as PointId;
        whole.points_mm.extend(&mesh.points_mm);
        whole.faces.extend(mesh.faces.iter().map(|face| face.map(|point| point + offset)));
    }
    whole
}

/// A block with one corner at the origin.
pub fn block(x: f64, y: f64, z: f64) -> Mesh {
    prism(&[[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]], z)
}

/// An L in the x-z plane: a foot of length `x`, a back of height `z`, both `thick`, `y` deep.
pub fn l_block(x: f64, z: f64, y: f64, thick: f64) -> Mesh {
    let outline = [[0.0, 0.0], [x, 0.0], [x, thick], [thick, thick], [thick, z], [0.0, z]];
    let lying = prism(&outline, y);
    // Outline in x-z, depth along -y moved back to 0..y: (u, v, w) -> (u, y - w, v) keeps the winding.
    Mesh { points_mm: lying.points_mm.iter().map(|p| Point::new(p.x, y - p.z, p.y)).collect(), faces: lying.faces }
}

/// A prism over an outline that runs anticlockwise, from z = 0 up to `height`; caps cut off ear by ear.
pub fn prism(outline: &[[f64; 2]], height: f64) -> Mesh {
    let n = outline.len() as PointId;
    let level = |z: f64| outline.iter().map(move |&[x, y]| Point::new(x, y, z));
    let mut mesh = Mesh { points_mm: level(0.0).chain(level(height)).collect(), faces: Vec::new() };
    let flat: Vec<f64> = outline.iter().flatten().copied().collect();
    let mut caps: Vec<PointId> = Vec::new();
    earcut::Earcut::new().earcut(flat.chunks(2).map(|xy| [xy[0], xy[1]]), &[], &mut caps);
    for corner in caps.chunks(3) {
        let [a, b, c] = [corner[0], corner[1], corner[2]];
        let side = |i: PointId| mesh.points_mm[i as usize];
        let upward = (side(b) - side(a)).cross(&(side(c) - side(a))).z > 0.0;
        let [a, b, c] = if upward { [a, b, c] } else { [a, c, b] };
        mesh.faces.push([a + n, b + n, c + n]);
        mesh.faces.push([a, c, b]);
    }
    for i in 0..n {
        let j = (i + 1) % n;
        mesh.faces.push([i, j, j + n]);
        mesh.faces.push([i, j + n, i + n]);
    }
    mesh
}

/// A bar along z with a rectangular section whose four corners are rounded in so many strips each.
pub fn rounded_bar(x: f64, y: f64, radius: f64, strips: usize, length: f64) -> Mesh {
    prism(&rounded_outline(x, y, radius, strips), length)
}

/// A rectangle with rounded corners, anticlockwise, middle at the origin.
pub fn rounded_outline(x: f64, y: f64, radius: f64, strips: usize) -> Vec<[f64; 2]> {
    let (dx, dy) = (x / 2.0 - radius, y / 2.0 - radius);
    let centres = [[dx, dy], [-dx, dy], [-dx, -dy], [dx, -dy]];
    let mut outline = Vec::new();
    for (corner, [cx, cy]) in centres.into_iter().enumerate() {
        for step in 0..=strips {
            let angle = std::f64::consts::FRAC_PI_2 * (corner as f64 + step as f64 / strips as f64);
            let (sine, cosine) = crate::maths::sin_cos(angle);
            outline.push([cx + radius * cosine, cy + radius * sine]);
        }
    }
    outline
}
