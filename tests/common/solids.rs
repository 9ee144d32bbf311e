//! Solids whose moulds lock, made in code; all face outwards.

use super::shapes::Triangle;
use matloft::maths::{cos, sin};

/// What is solid of a grid of boxes between rising coordinates: the faces between solid and empty boxes.
pub fn boxes([xs, ys, zs]: [&[f64]; 3], solid: impl Fn(usize, usize, usize) -> bool) -> Vec<Triangle> {
    let counts = [xs.len() - 1, ys.len() - 1, zs.len() - 1];
    let at = |[i, j, k]: [usize; 3]| [xs[i], ys[j], zs[k]];
    let filled = |cell: [isize; 3]| {
        let inside = (0..3).all(|axis| cell[axis] >= 0 && (cell[axis] as usize) < counts[axis]);
        inside && solid(cell[0] as usize, cell[1] as usize, cell[2] as usize)
    };
    let mut triangles = Vec::new();
    for cell in cells(counts) {
        let own = cell.map(|index| index as isize);
        if !filled(own) {
            continue;
        }
        for (axis, side) in (0..3).flat_map(|axis| [(axis, 0), (axis, 1)]) {
            let mut next = own;
            next[axis] += 2 * side as isize - 1;
            if filled(next) {
                continue;
            }
            let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
            let corner = |du: usize, dv: usize| {
                let mut corner = cell;
                corner[axis] += side;
                corner[u] += du;
                corner[v] += dv;
                at(corner)
            };
            let [a, b, c, d] = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
            triangles.extend(if side == 1 { [[a, b, c], [a, c, d]] } else { [[a, c, b], [a, d, c]] });
        }
    }
    triangles
}

fn cells([n_x, n_y, n_z]: [usize; 3]) -> impl Iterator<Item = [usize; 3]> {
    (0..n_x).flat_map(move |i| (0..n_y).flat_map(move |j| (0..n_z).map(move |k| [i, j, k])))
}

/// A profile in radius and height turned about z, in `n` steps; the outward side is to the right of the profile's way.
pub fn revolved(profile: &[[f64; 2]], n: usize) -> Vec<Triangle> {
    let at = |k: usize, [radius, z]: [f64; 2]| {
        let angle = std::f64::consts::TAU * (k % n) as f64 / n as f64;
        [radius * cos(angle), radius * sin(angle), z]
    };
    let mut triangles = Vec::new();
    for pair in profile.windows(2) {
        for k in 0..n {
            let [a, b, c, d] = [at(k, pair[0]), at(k, pair[1]), at(k + 1, pair[1]), at(k + 1, pair[0])];
            // On the axis two corners are one.
            triangles.extend((pair[1][0] > 0.0).then_some([a, b, c]));
            triangles.extend((pair[0][0] > 0.0).then_some([a, c, d]));
        }
    }
    triangles
}

/// A ball of 50 mm.
pub fn ball() -> Vec<Triangle> {
    let ring = |k: u32| std::f64::consts::PI * f64::from(k) / 24.0;
    let mut profile = vec![[0.0, 50.0]];
    profile.extend((1..24).map(|k| [50.0 * sin(ring(k)), 50.0 * cos(ring(k))]));
    profile.push([0.0, -50.0]);
    revolved(&profile, 36)
}

/// A sheet: a ball of 50 mm with its foot cut off at 120 degrees from its top.
pub fn ball_240() -> Vec<Triangle> {
    let ring = |k: u32| std::f64::consts::PI * f64::from(k) / 24.0;
    let mut profile = vec![[0.0, 50.0]];
    profile.extend((1..=16).map(|k| [50.0 * sin(ring(k)), 50.0 * cos(ring(k))]));
    revolved(&profile, 36)
}

/// A cap on a stem, closed below.
pub fn mushroom() -> Vec<Triangle> {
    revolved(&[[0.0, 90.0], [80.0, 90.0], [80.0, 50.0], [30.0, 50.0], [30.0, 0.0], [0.0, 0.0]], 36)
}

/// A back and two arms, the mouth towards +x; a prism along z.
pub fn channel() -> Vec<Triangle> {
    boxes([&[0.0, 50.0, 120.0], &[0.0, 45.0, 95.0, 145.0], &[0.0, 300.0]], |i, j, _| i == 0 || j != 1)
}

/// A floor with four walls and a lip that reaches back over it: a sheet, seen from outside.
pub fn lipped_tray() -> Vec<Triangle> {
    let (x, y) = ([0.0, 15.0, 285.0, 300.0], [0.0, 15.0, 185.0, 200.0]);
    let mut sheet = Vec::new();
    let mut quad = |[a, b, c, d]: [[f64; 3]; 4]| sheet.extend([[a, b, c], [a, c, d]]);
    for (i, j) in (0..3).flat_map(|i| (0..3).map(move |j| (i, j))) {
        let level = |z: f64| [[x[i], y[j], z], [x[i + 1], y[j], z], [x[i + 1], y[j + 1], z], [x[i], y[j + 1], z]];
        let [a, b, c, d] = level(0.0);
        quad([a, d, c, b]);
        if (i, j) != (1, 1) {
            quad(level(60.0));
        }
    }
    for k in 0..3 {
        quad([[x[k], 0.0, 0.0], [x[k + 1], 0.0, 0.0], [x[k + 1], 0.0, 60.0], [x[k], 0.0, 60.0]]);
        quad([[x[k], 200.0, 60.0], [x[k + 1], 200.0, 60.0], [x[k + 1], 200.0, 0.0], [x[k], 200.0, 0.0]]);
        quad([[300.0, y[k], 0.0], [300.0, y[k + 1], 0.0], [300.0, y[k + 1], 60.0], [300.0, y[k], 60.0]]);
        quad([[0.0, y[k], 60.0], [0.0, y[k + 1], 60.0], [0.0, y[k + 1], 0.0], [0.0, y[k], 0.0]]);
    }
    sheet
}

/// A beam along z with a groove on either side, closed by plates at its ends, and on its flange a cup with the mouth
/// towards +y. The grooves want a plane square to x; the cup comes off along y alone, in one piece.
pub fn grooved_beam_with_cup() -> Vec<Triangle> {
    let xs = [-120.0, -90.0, -45.0, -30.0, 30.0, 45.0, 90.0, 120.0];
    let ys = [0.0, 50.0, 120.0, 170.0, 200.0, 280.0];
    let zs = [0.0, 50.0, 150.0, 200.0, 260.0, 310.0, 400.0, 450.0];
    boxes([&xs, &ys, &zs], |i, j, k| {
        let plate = j < 3 && (k == 0 || k == 6);
        let flange = j == 0 || j == 2;
        let web = j == 1 && i == 3;
        let cup = (1..=5).contains(&i) && (2..=4).contains(&k) && j >= 3;
        let hollow = (2..=4).contains(&i) && k == 3 && j == 4;
        plate || flange || web || (cup && !hollow)
    })
}

/// Three bars square to one another through one middle, with knobs at their ends: no two planes free them.
pub fn three_spools() -> Vec<Triangle> {
    let steps = [-100.0, -80.0, -30.0, -12.0, 12.0, 30.0, 80.0, 100.0];
    boxes([&steps, &steps, &steps], |i, j, k| {
        // How far from the middle box a box lies along each axis: 3 is a knob, 1 its rim.
        let off = [i.abs_diff(3), j.abs_diff(3), k.abs_diff(3)];
        (0..3).any(|axis| {
            let across = off[(axis + 1) % 3].max(off[(axis + 2) % 3]);
            across == 0 || (off[axis] == 3 && across == 1)
        })
    })
}

/// A tray upside down: a floor and four walls that lean out by a draft, as a sheet seen from outside.
pub fn tray(x: f64, y: f64, height: f64, draft_deg: f64) -> Vec<Triangle> {
    let out = height * sin(draft_deg.to_radians()) / cos(draft_deg.to_radians());
    let ring = |out: f64, z: f64| [[-out, -out, z], [x + out, -out, z], [x + out, y + out, z], [-out, y + out, z]];
    let (top, foot) = (ring(0.0, height), ring(out, 0.0));
    let mut sheet = vec![[top[0], top[1], top[2]], [top[0], top[2], top[3]]];
    for k in 0..4 {
        let next = (k + 1) % 4;
        sheet.extend([[foot[k], foot[next], top[next]], [foot[k], top[next], top[k]]]);
    }
    sheet
}
