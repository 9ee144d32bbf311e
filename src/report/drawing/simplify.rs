//! Lines with fewer points that stay within a tolerance.

use crate::report::thin::kept;

/// Leaves out points from which the line strays by no more than `tolerance`. Ends stay; a ring keeps its farthest point too.
#[must_use]
pub fn simplified(line: &[[f64; 2]], tolerance: f64) -> Vec<[f64; 2]> {
    let stray = |point: usize, from: usize, to: usize| distance(line[point], line[from], line[to]);
    kept(line.len(), tolerance, stray).into_iter().map(|point| line[point]).collect()
}

/// Distance of a point from the stretch between two.
#[must_use]
pub fn distance(point: [f64; 2], from: [f64; 2], to: [f64; 2]) -> f64 {
    let along = [to[0] - from[0], to[1] - from[1]];
    let squared = along[0] * along[0] + along[1] * along[1];
    let apart = [point[0] - from[0], point[1] - from[1]];
    let t = if squared > 0.0 { ((apart[0] * along[0] + apart[1] * along[1]) / squared).clamp(0.0, 1.0) } else { 0.0 };
    let off = [apart[0] - t * along[0], apart[1] - t * along[1]];
    (off[0] * off[0] + off[1] * off[1]).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kink_stays_and_noise_goes() {
        let line = [[0.0, 0.0], [1.0, 0.04], [2.0, -0.03], [3.0, 0.0], [3.02, 2.0]];
        assert_eq!(simplified(&line, 0.1), vec![[0.0, 0.0], [3.0, 0.0], [3.02, 2.0]]);
    }

    #[test]
    fn a_ring_does_not_shrink_to_a_point() {
        let ring = [[0.0, 0.0], [2.0, 0.0], [2.0, 3.0], [0.0, 3.0], [0.0, 0.0]];
        assert_eq!(simplified(&ring, 0.1), ring.to_vec());
    }
}
