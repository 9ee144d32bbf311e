//! Lines with fewer points that stay within a tolerance.

/// Leaves out points from which the line strays by no more than `tolerance` (Ramer 1972, Douglas and Peucker 1973). Ends stay;
/// a ring keeps its farthest point too.
#[must_use]
pub fn simplified(line: &[[f64; 2]], tolerance: f64) -> Vec<[f64; 2]> {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut keep = vec![false; line.len()];
    keep[0] = true;
    keep[line.len() - 1] = true;
    let mut stack = vec![(0, line.len() - 1)];
    while let Some((from, to)) = stack.pop() {
        let mut farthest = (tolerance, None);
        for middle in from + 1..to {
            let away = distance(line[middle], line[from], line[to]);
            if away > farthest.0 {
                farthest = (away, Some(middle));
            }
        }
        if let (_, Some(middle)) = farthest {
            keep[middle] = true;
            stack.push((from, middle));
            stack.push((middle, to));
        }
    }
    line.iter().zip(&keep).filter(|&(_, &keep)| keep).map(|(point, _)| *point).collect()
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
