//! Which points of a line it takes to stay within a tolerance of all of them.

/// Numbers of the points that are kept of `n`, rising: the ends, and whichever strays most from the stretch between two that
/// are kept, again and again, as long as it strays by more than `within` (Ramer 1972, Douglas and Peucker 1973).
/// `stray(point, from, to)` is the distance of a point from a stretch; of equal ones the first is kept.
pub(super) fn kept(n: usize, within: f64, stray: impl Fn(usize, usize, usize) -> f64) -> Vec<usize> {
    if n < 3 {
        return (0..n).collect();
    }
    let mut keep = vec![false; n];
    keep[0] = true;
    keep[n - 1] = true;
    let mut stretches = vec![(0, n - 1)];
    while let Some((from, to)) = stretches.pop() {
        let mut farthest = (within, None);
        for point in from + 1..to {
            let away = stray(point, from, to);
            if away > farthest.0 {
                farthest = (away, Some(point));
            }
        }
        if let (_, Some(point)) = farthest {
            keep[point] = true;
            stretches.extend([(from, point), (point, to)]);
        }
    }
    (0..n).filter(|&point| keep[point]).collect()
}
