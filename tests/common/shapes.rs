//! Shapes as bare triangles, turned and off the origin so that no symmetry hides a fault.

/// Corners of one triangle, in mm.
pub type Triangle = [[f64; 3]; 3];

/// A closed box of these edges, facing outwards, turned about an odd axis and moved off the origin.
pub fn turned_box(edges_mm: [f64; 3]) -> Vec<Triangle> {
    plain_box(edges_mm).into_iter().map(|triangle| triangle.map(turned)).collect()
}

/// A closed box with a corner at the origin, facing outwards.
pub fn plain_box([x, y, z]: [f64; 3]) -> Vec<Triangle> {
    let corner = |k: usize| [[0.0, x][k & 1], [0.0, y][k >> 1 & 1], [0.0, z][k >> 2 & 1]];
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).map(|triangle| triangle.map(corner)).collect()
}

/// A wavy sheet over a rectangle, of `across` by `along` cells, seen from above.
pub fn wavy_sheet(width_mm: f64, length_mm: f64, across: usize, along: usize) -> Vec<Triangle> {
    let point = |i: usize, k: usize| {
        let (u, v) = (i as f64 / across as f64, k as f64 / along as f64);
        let bump = 16.0 * u * (1.0 - u) * v * (1.0 - v);
        turned([u * width_mm, v * length_mm, 0.1 * width_mm * bump + 0.02 * length_mm * u * v])
    };
    let cells = (0..along).flat_map(|k| (0..across).map(move |i| (i, k)));
    cells
        .flat_map(|(i, k)| {
            let [a, b, c, d] = [point(i, k), point(i + 1, k), point(i + 1, k + 1), point(i, k + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect()
}

/// Turned about (1, 2, 3) by an odd angle, moved off the origin, rounded to what single precision holds.
pub fn turned(point: [f64; 3]) -> [f64; 3] {
    // Rodrigues' formula with sin = 0.6, cos = 0.8.
    let axis = [1.0, 2.0, 3.0].map(|part: f64| part / 14.0_f64.sqrt());
    let dot: f64 = (0..3).map(|k| axis[k] * point[k]).sum();
    let cross = [0, 1, 2].map(|k| axis[(k + 1) % 3] * point[(k + 2) % 3] - axis[(k + 2) % 3] * point[(k + 1) % 3]);
    let offset = [31.0, -17.0, 53.0];
    [0, 1, 2].map(|k| {
        let turned = 0.8 * point[k] + 0.6 * cross[k] + 0.2 * dot * axis[k] + offset[k];
        f64::from(turned as f32)
    })
}

/// The triangles moved.
pub fn moved(triangles: &[Triangle], by: [f64; 3]) -> Vec<Triangle> {
    triangles.iter().map(|triangle| triangle.map(|corner| [0, 1, 2].map(|k| corner[k] + by[k]))).collect()
}

/// The triangles facing the other way.
pub fn reversed(triangles: &[Triangle]) -> Vec<Triangle> {
    triangles.iter().map(|&[a, b, c]| [a, c, b]).collect()
}

/// Area in mm2, summed plainly.
pub fn area_mm2(triangles: &[Triangle]) -> f64 {
    triangles.iter().map(triangle_area_mm2).sum()
}

fn triangle_area_mm2([a, b, c]: &Triangle) -> f64 {
    let u = [0, 1, 2].map(|k| b[k] - a[k]);
    let v = [0, 1, 2].map(|k| c[k] - a[k]);
    let cross = [0, 1, 2].map(|k| u[(k + 1) % 3] * v[(k + 2) % 3] - u[(k + 2) % 3] * v[(k + 1) % 3]);
    0.5 * cross.iter().map(|x| x * x).sum::<f64>().sqrt()
}

/// A hood whose rim is turned in by 8 mm over 20 mm all round: it locks along z, and no other way is free.
pub fn lipped_hood() -> Vec<Triangle> {
    let ring = |half: [f64; 2], z: f64| {
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|[x, y]| [x * half[0], y * half[1], z])
    };
    let rings = [ring([292.0, 192.0], 0.0), ring([300.0, 200.0], 20.0), ring([290.0, 190.0], 120.0)];
    let quad = |[a, b, c, d]: [[f64; 3]; 4]| [[a, b, c], [a, c, d]];
    let mut hood: Vec<Triangle> = quad(rings[2]).to_vec();
    for pair in rings.windows(2) {
        for k in 0..4 {
            let next = (k + 1) % 4;
            hood.extend(quad([pair[0][k], pair[0][next], pair[1][next], pair[1][k]]));
        }
    }
    hood
}
