//! Cuts a polygon in space into triangles, concave ones too.

use earcut::Earcut;
use rustc_hash::FxHashMap;

use crate::geometry::mesh::{Point, Vector};

/// A triangle by places in the polygon.
pub type Ear = [u32; 3];

/// Cuts polygons; keeps its memory from one to the next.
pub struct Cutter {
    ears: Earcut<f64>,
    flat: Vec<[f64; 2]>,
    places: Vec<u32>,
}

/// What a cut polygon is like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// The triangles cover it once.
    Simple,
    /// Its outline crosses itself; what it covers is a guess.
    CrossesItself,
}

impl Default for Cutter {
    fn default() -> Self {
        Self { ears: Earcut::new(), flat: Vec::new(), places: Vec::new() }
    }
}

impl Cutter {
    /// Cuts a polygon of three or more corners; the triangles turn the way it turns. All corners are used, also those in
    /// line with their neighbours: another facet may end there.
    pub fn cut(&mut self, corners: &[Point], ears: &mut Vec<Ear>) -> Shape {
        ears.clear();
        let doubled_area = doubled_area_vector(corners);
        ears.extend((2..corners.len() as u32).map(|k| [0, k - 1, k]));
        if corners.len() == 3 || ears.iter().all(|&ear| turns_with(corners, ear, &doubled_area)) {
            return Shape::Simple;
        }
        // Area without size: all in line, or a bow tie whose halves cancel. Or not numbers; those are left out later.
        if doubled_area.norm() <= 1e-12 * perimeter_squared(corners) || !doubled_area.norm().is_finite() {
            return if ears.iter().any(|&ear| has_area(corners, ear)) { Shape::CrossesItself } else { Shape::Simple };
        }
        self.flatten(corners, &doubled_area);
        self.ears.earcut_slice::<u32>(&self.flat, &[], &mut self.places);
        ears.clear();
        ears.extend(self.places.chunks_exact(3).map(|ear| [ear[0], ear[1], ear[2]]));
        ears.iter_mut().filter(|ear| signed_area(&self.flat, **ear) < 0.0).for_each(|ear| ear.swap(1, 2));
        let covered: f64 = ears.iter().map(|&ear| signed_area(&self.flat, ear)).sum();
        use_all_corners(corners.len() as u32, ears);
        // Ears of a simple polygon add up to it; of one that crosses itself, lobes count against each other.
        if (2.0 * covered - doubled_area.norm()).abs() > 1e-6 * doubled_area.norm() {
            Shape::CrossesItself
        } else {
            Shape::Simple
        }
    }

    /// Projects the corners to the polygon's mean plane.
    fn flatten(&mut self, corners: &[Point], doubled_area: &Vector) {
        let up = doubled_area / doubled_area.norm();
        let across = up.cross(&Vector::ith(up.iamin(), 1.0)).normalize();
        let along = up.cross(&across);
        let flat = corners.iter().map(|corner| {
            let from_first = corner - corners[0];
            [from_first.dot(&across), from_first.dot(&along)]
        });
        self.flat.clear();
        self.flat.extend(flat);
    }
}

/// Twice the area of a polygon times its normal; of one that is not flat, of its shadow on its mean plane.
fn doubled_area_vector(corners: &[Point]) -> Vector {
    corners[1..].windows(2).map(|pair| (pair[0] - corners[0]).cross(&(pair[1] - corners[0]))).sum()
}

fn perimeter_squared(corners: &[Point]) -> f64 {
    let open: f64 = corners.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
    let closing = (corners[0] - corners[corners.len() - 1]).norm();
    (open + closing) * (open + closing)
}

fn turns_with(corners: &[Point], ear: Ear, doubled_area: &Vector) -> bool {
    let [a, b, c] = ear.map(|place| corners[place as usize]);
    (b - a).cross(&(c - a)).dot(doubled_area) > 1e-12 * doubled_area.norm_squared()
}

fn has_area(corners: &[Point], ear: Ear) -> bool {
    let [a, b, c] = ear.map(|place| corners[place as usize]);
    (b - a).cross(&(c - a)).norm() > 1e-9 * perimeter_squared(&[a, b, c])
}

fn signed_area(flat: &[[f64; 2]], ear: Ear) -> f64 {
    let [a, b, c] = ear.map(|place| flat[place as usize]);
    0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]))
}

/// Splits ears along whose outer side corners were passed over because they lie in line.
fn use_all_corners(n_corners: u32, ears: &mut Vec<Ear>) {
    let mut used = vec![false; n_corners as usize];
    ears.iter().flatten().for_each(|&place| used[place as usize] = true);
    let Some(first_used) = (0..n_corners).find(|&place| used[place as usize]) else { return };
    if used.iter().all(|&used| used) {
        return;
    }
    let mut ear_at: FxHashMap<[u32; 2], usize> = FxHashMap::default();
    for (number, &[a, b, c]) in ears.iter().enumerate() {
        ear_at.extend([([a, b], number), ([b, c], number), ([c, a], number)]);
    }
    let round = (1..=n_corners).map(|step| (first_used + step) % n_corners);
    let mut start = first_used;
    let mut passed_over = Vec::new();
    for place in round {
        if !used[place as usize] {
            passed_over.push(place);
            continue;
        }
        if let Some(&number) = ear_at.get(&[start, place]).filter(|_| !passed_over.is_empty()) {
            split_side(ears, number, [start, place], &passed_over, &mut ear_at);
        }
        passed_over.clear();
        start = place;
    }
}

/// Makes a fan of an ear whose side is broken at the given places.
fn split_side(
    ears: &mut Vec<Ear>,
    number: usize,
    [start, end]: [u32; 2],
    places: &[u32],
    ear_at: &mut FxHashMap<[u32; 2], usize>,
) {
    let Some(&apex) = ears[number].iter().find(|&&corner| corner != start && corner != end) else { return };
    let stops: Vec<u32> = [start].iter().chain(places).chain(&[end]).copied().collect();
    for (step, side) in stops.windows(2).enumerate() {
        let ear = [side[0], side[1], apex];
        let slot = if step == 0 { number } else { ears.len() };
        if step == 0 {
            ears[number] = ear;
        } else {
            ears.push(ear);
        }
        // The apex's own sides may be broken in turn.
        ear_at.extend([([ear[0], ear[1]], slot), ([ear[1], ear[2]], slot), ([ear[2], ear[0]], slot)]);
    }
}

#[cfg(test)]
mod tests;
