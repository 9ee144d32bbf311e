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

/// The mesh with every facet turned over.
pub fn reversed(mesh: &Mesh) -> Mesh {
    Mesh { points_mm: mesh.points_mm.clone(), faces: mesh.faces.iter().map(|&[a, b, c]| [a, c, b]).collect() }
}

/// An open tray: the outer outline up to `height`, the inner one (as many points, inside it) down to `floor` above the ground.
pub fn tray(outer: &[[f64; 2]], inner: &[[f64; 2]], height: f64, floor: f64) -> Mesh {
    let n = outer.len() as PointId;
    let level = |outline: &[[f64; 2]], z: f64| outline.iter().map(|&[x, y]| Point::new(x, y, z)).collect::<Vec<_>>();
    let rings = [level(outer, 0.0), level(outer, height), level(inner, height), level(inner, floor)];
    let mut mesh = Mesh { points_mm: rings.concat(), faces: Vec::new() };
    for ring in 0..3 {
        for i in 0..n {
            let (a, b) = (ring * n + i, ring * n + (i + 1) % n);
            mesh.faces.push([a, b, b + n]);
            mesh.faces.push([a, b + n, a + n]);
        }
    }
    for i in 1..n - 1 {
        mesh.faces.push([0, i + 1, i]);
        mesh.faces.push([3 * n, 3 * n + i, 3 * n + i + 1]);
    }
    mesh
}

/// Area and length round of an outline.
pub fn outline_measures(outline: &[[f64; 2]]) -> [f64; 2] {
    let mut sums = [0.0; 2];
    for (i, &[x, y]) in outline.iter().enumerate() {
        let [next_x, next_y] = outline[(i + 1) % outline.len()];
        sums[0] += 0.5 * (x * next_y - next_x * y);
        sums[1] += ((next_x - x).powi(2) + (next_y - y).powi(2)).sqrt();
    }
    sums
}

/// The outline of a strip of so much thickness along a path, to its left; corners mitred. Anticlockwise.
pub fn strip_outline(path: &[[f64; 2]], thickness: f64) -> Vec<[f64; 2]> {
    let at = |i: usize| nalgebra::Vector2::from(path[i]);
    let left = |i: usize| {
        let along = (at(i + 1) - at(i)).normalize();
        nalgebra::Vector2::new(-along.y, along.x)
    };
    let last = path.len() - 1;
    let offset = |i: usize| {
        let (before, after) = (left(i.saturating_sub(1)), left(i.min(last - 1)));
        let shift = (before + after) * (thickness / (1.0 + before.dot(&after)));
        [path[i][0] + shift.x, path[i][1] + shift.y]
    };
    path.iter().copied().chain((0..=last).rev().map(offset)).collect()
}

/// A ball of so many rings about the origin.
pub fn ball(radius: f64, rings: usize) -> Mesh {
    let around = 2 * rings;
    let mut mesh = Mesh { points_mm: vec![Point::new(0.0, 0.0, -radius)], faces: Vec::new() };
    for ring in 1..rings {
        let (sine, cosine) = crate::maths::sin_cos(std::f64::consts::PI * ring as f64 / rings as f64);
        for step in 0..around {
            let (across, along) = crate::maths::sin_cos(std::f64::consts::TAU * step as f64 / around as f64);
            mesh.points_mm.push(Point::new(radius * sine * along, radius * sine * across, -radius * cosine));
        }
    }
    let top = mesh.points_mm.len() as PointId;
    mesh.points_mm.push(Point::new(0.0, 0.0, radius));
    let point = |ring: usize, step: usize| (1 + (ring - 1) * around + step % around) as PointId;
    for step in 0..around {
        mesh.faces.push([0, point(1, step + 1), point(1, step)]);
        mesh.faces.push([top, point(rings - 1, step), point(rings - 1, step + 1)]);
        for ring in 1..rings - 1 {
            let [a, b, c, d] =
                [point(ring, step), point(ring, step + 1), point(ring + 1, step + 1), point(ring + 1, step)];
            mesh.faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

/// Every facet cut in four, points shared.
pub fn finer(mesh: &Mesh) -> Mesh {
    let mut fine = Mesh { points_mm: mesh.points_mm.clone(), faces: Vec::new() };
    let mut middles = rustc_hash::FxHashMap::default();
    for &[a, b, c] in &mesh.faces {
        let mut middle = |one: PointId, other: PointId| {
            *middles.entry((one.min(other), one.max(other))).or_insert_with(|| {
                fine.points_mm.push(nalgebra::center(&mesh.points_mm[one as usize], &mesh.points_mm[other as usize]));
                fine.points_mm.len() as PointId - 1
            })
        };
        let [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
        fine.faces.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
    }
    fine
}

/// The mesh as if its flats had been meshed apart: each has points of its own, lies up to `gap` off, and every other one is
/// finer, so that there are cracks and T-junctions along the seams.
pub fn unsewn(mesh: &Mesh, gap: f64) -> Mesh {
    let mut flats: Vec<(Vector, f64, Vec<u32>)> = Vec::new();
    for face in mesh.face_ids() {
        let normal = mesh.normal(face);
        let height = normal.dot(&mesh.corners(face)[0].coords);
        match flats
            .iter_mut()
            .find(|(other, at, _)| (other.dot(&normal) - 1.0).abs() < 1e-9 && (at - height).abs() < 1e-6)
        {
            Some((_, _, faces)) => faces.push(face),
            None => flats.push((normal, height, vec![face])),
        }
    }
    let parts: Vec<Mesh> = flats
        .iter()
        .enumerate()
        .map(|(k, (normal, _, faces))| {
            let flat = moved(&mesh.submesh(faces), normal * (gap * ((k % 5) as f64 / 4.0 - 0.5)));
            if k % 2 == 0 { finer(&flat) } else { flat }
        })
        .collect();
    joined(&parts)
}
