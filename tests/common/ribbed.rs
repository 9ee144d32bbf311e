//! A closed panel like a CAD export: large flats between many straight fillets, of any number of triangles.

use super::shapes::{Triangle, turned};

/// Ribs along the panel; each has four fillets, two convex and two concave.
pub const RIBS: usize = 13;
/// Radius of every fillet.
pub const FILLET_MM: f64 = 6.0;
/// Turn of every fillet.
pub const FILLET_TURN_DEG: f64 = 60.0;
/// Length of every fillet: the width of the panel.
pub const WIDTH_MM: f64 = 1000.0;
/// Height of a rib over the flats between.
pub const RIB_MM: f64 = 60.0;
/// From one rib to the next.
pub const PITCH_MM: f64 = 150.0;
/// Height of the flats between over the underside.
pub const BASE_MM: f64 = 40.0;

/// Strips of a fillet, strips of a flat and rows along the width for fineness 1; all grow with it.
const STRIPS_PER_FILLET: usize = 3;
const STRIPS_PER_FLAT: usize = 7;
const ROWS: usize = 30;

/// The number of fillets.
pub const FILLETS: usize = 4 * RIBS;

/// The panel with about `n_triangles` triangles, turned in space. Fillets hold 15 % of them.
pub fn ribbed_panel(n_triangles: usize) -> Vec<Triangle> {
    // Top and underside have two triangles for each strip and row.
    let per_fineness = 4 * FILLETS * (STRIPS_PER_FILLET + STRIPS_PER_FLAT) * ROWS;
    let fineness = ((n_triangles as f64 / per_fineness as f64).sqrt().round() as usize).max(1);
    let profile = profile(STRIPS_PER_FILLET * fineness, STRIPS_PER_FLAT * fineness);
    let rows = ROWS * fineness;
    let y = |row: usize| WIDTH_MM * row as f64 / rows as f64;
    let mut triangles = Vec::with_capacity(4 * profile.len() * rows);
    let mut quad = |corners: [[f64; 3]; 4]| {
        let [a, b, c, d] = corners.map(turned);
        triangles.extend([[a, b, c], [a, c, d]]);
    };
    for pair in profile.windows(2) {
        let [[x0, z0], [x1, z1]] = [pair[0], pair[1]];
        for row in 0..rows {
            let (y0, y1) = (y(row), y(row + 1));
            quad([[x0, y0, z0], [x1, y0, z1], [x1, y1, z1], [x0, y1, z0]]);
            quad([[x0, y0, 0.0], [x0, y1, 0.0], [x1, y1, 0.0], [x1, y0, 0.0]]);
        }
        quad([[x0, 0.0, 0.0], [x1, 0.0, 0.0], [x1, 0.0, z1], [x0, 0.0, z0]]);
        quad([[x1, WIDTH_MM, 0.0], [x0, WIDTH_MM, 0.0], [x0, WIDTH_MM, z0], [x1, WIDTH_MM, z1]]);
    }
    let [first, last] = [profile[0], profile[profile.len() - 1]];
    for row in 0..rows {
        let (y0, y1) = (y(row), y(row + 1));
        quad([[first[0], y0, 0.0], [first[0], y0, first[1]], [first[0], y1, first[1]], [first[0], y1, 0.0]]);
        quad([[last[0], y0, 0.0], [last[0], y1, 0.0], [last[0], y1, last[1]], [last[0], y0, last[1]]]);
    }
    triangles
}

/// The upper outline, x rising: flats and fillets of each rib in turn.
fn profile(strips_per_fillet: usize, strips_per_flat: usize) -> Vec<[f64; 2]> {
    let turn = FILLET_TURN_DEG.to_radians();
    // Along x, a fillet takes up R sin(turn), along z, R (1 - cos(turn)).
    let (run, rise) = (FILLET_MM * turn.sin(), FILLET_MM * (1.0 - turn.cos()));
    let slope = [(RIB_MM - 2.0 * rise) / turn.tan(), RIB_MM - 2.0 * rise];
    let flat_mm = 0.5 * (PITCH_MM - 4.0 * run - 2.0 * slope[0]);
    let mut points = vec![[0.0, BASE_MM]];
    let mut heading = 0.0f64;
    for _ in 0..RIBS {
        for (kind, sense) in [
            ("flat", 0.0),
            ("fillet", 1.0),
            ("slope", 1.0),
            ("fillet", -1.0),
            ("flat", 0.0),
            ("fillet", -1.0),
            ("slope", -1.0),
            ("fillet", 1.0),
        ] {
            let start = points[points.len() - 1];
            match kind {
                "flat" => line(&mut points, start, [flat_mm, 0.0], strips_per_flat),
                "slope" => line(&mut points, start, [slope[0], sense * slope[1]], strips_per_flat),
                _ => {
                    arc(&mut points, start, heading, sense * turn, strips_per_fillet);
                    heading += sense * turn;
                }
            }
        }
    }
    points
}

fn line(points: &mut Vec<[f64; 2]>, start: [f64; 2], by: [f64; 2], strips: usize) {
    points.extend((1..=strips).map(|k| {
        let share = k as f64 / strips as f64;
        [start[0] + share * by[0], start[1] + share * by[1]]
    }));
}

fn arc(points: &mut Vec<[f64; 2]>, start: [f64; 2], heading: f64, turn: f64, strips: usize) {
    let sense = turn.signum();
    points.extend((1..=strips).map(|k| {
        let end = heading + turn * k as f64 / strips as f64;
        let (dx, dz) = (end.sin() - heading.sin(), heading.cos() - end.cos());
        [start[0] + sense * FILLET_MM * dx, start[1] + sense * FILLET_MM * dz]
    }));
}
