//! The panels that are reckoned by hand. Turned in space, so that no axis is special.

use std::f64::consts::PI;

use matloft::maths::{cos, sin};

use super::shapes::{Triangle, turned};

/// A rectangle from a corner along two sides, as two facets; outward where the first side turns to the second.
pub fn rectangle(corner: [f64; 3], one: [f64; 3], other: [f64; 3]) -> [Triangle; 2] {
    let add = |a: [f64; 3], b: [f64; 3]| [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
    let (a, b, c, d) = (corner, add(corner, one), add(add(corner, one), other), add(corner, other));
    [[a, b, c], [a, c, d]].map(|triangle| triangle.map(turned))
}

/// An open tray 1200 x 800 x 150 mm, sharp, without draft; seen from outside.
pub fn tray() -> Vec<Triangle> {
    let (x, y, z) = (1200.0, 800.0, 150.0);
    [
        rectangle([0.0, 0.0, 0.0], [0.0, y, 0.0], [x, 0.0, 0.0]),
        rectangle([0.0, 0.0, 0.0], [x, 0.0, 0.0], [0.0, 0.0, z]),
        rectangle([x, y, 0.0], [-x, 0.0, 0.0], [0.0, 0.0, z]),
        rectangle([0.0, y, 0.0], [0.0, -y, 0.0], [0.0, 0.0, z]),
        rectangle([x, 0.0, 0.0], [0.0, y, 0.0], [0.0, 0.0, z]),
    ]
    .concat()
}

/// A tube 400 mm across and 1000 mm long, seen from outside.
pub fn tube(n_strips: usize) -> Vec<Triangle> {
    let at = |strip: usize| {
        let angle = 2.0 * PI * strip as f64 / n_strips as f64;
        [200.0 * cos(angle), 200.0 * sin(angle), 0.0]
    };
    (0..n_strips)
        .flat_map(|strip| {
            let (from, to) = (at(strip), at((strip + 1) % n_strips));
            rectangle(from, [to[0] - from[0], to[1] - from[1], 0.0], [0.0, 0.0, 1000.0])
        })
        .collect()
}

/// A flat side 2400 x 1200 mm with a door of 600 x 900 mm.
pub fn side_with_door() -> Vec<Triangle> {
    [
        rectangle([0.0, 0.0, 0.0], [900.0, 0.0, 0.0], [0.0, 1200.0, 0.0]),
        rectangle([900.0, 0.0, 0.0], [600.0, 0.0, 0.0], [0.0, 150.0, 0.0]),
        rectangle([900.0, 1050.0, 0.0], [600.0, 0.0, 0.0], [0.0, 150.0, 0.0]),
        rectangle([1500.0, 0.0, 0.0], [900.0, 0.0, 0.0], [0.0, 1200.0, 0.0]),
    ]
    .concat()
}
