//! Loose stretches to lines.

use rustc_hash::FxHashMap;

use crate::geometry::mesh::Point;

/// Joins stretches end to end at points that are the same to the last bit. A line ends where no other or several others go
/// on. Lines come in the order of their first stretch; a closed one repeats its first point.
#[must_use]
pub fn chained(stretches: impl Iterator<Item = [Point; 2]>) -> Vec<Vec<Point>> {
    let mut numbers: FxHashMap<[u64; 3], usize> = FxHashMap::default();
    let mut points: Vec<Point> = Vec::new();
    let mut number_of = |point: Point| {
        *numbers.entry([point.x, point.y, point.z].map(f64::to_bits)).or_insert_with(|| {
            points.push(point);
            points.len() - 1
        })
    };
    let links: Vec<[usize; 2]> =
        stretches.map(|ends| ends.map(&mut number_of)).filter(|[from, to]| from != to).collect();
    let mut at_point: Vec<Vec<usize>> = vec![Vec::new(); points.len()];
    for (link, ends) in links.iter().enumerate() {
        ends.iter().for_each(|&end| at_point[end].push(link));
    }
    let mut used = vec![false; links.len()];
    let mut lines = Vec::new();
    // First the lines with ends, each from the end that comes first; what is then left runs in circles.
    for only_ends in [true, false] {
        for first in 0..links.len() {
            let starts = links[first].into_iter().find(|&end| !only_ends || at_point[end].len() != 2);
            if let (false, Some(start)) = (used[first], starts) {
                let line = walk(first, start, &links, &at_point, &mut used);
                lines.push(line.into_iter().map(|point| points[point]).collect());
            }
        }
    }
    lines
}

fn walk(first: usize, start: usize, links: &[[usize; 2]], at_point: &[Vec<usize>], used: &mut [bool]) -> Vec<usize> {
    let mut line = vec![start];
    let mut link = first;
    let mut here = start;
    loop {
        used[link] = true;
        let [a, b] = links[link];
        here = if a == here { b } else { a };
        line.push(here);
        let next = if at_point[here].len() == 2 { at_point[here].iter().find(|&&next| !used[next]) } else { None };
        let Some(&next) = next else { return line };
        link = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64) -> Point {
        Point::new(x, 2.0 * x, 5.0)
    }

    #[test]
    fn stretches_in_any_order_and_direction_make_one_line() {
        let lines = chained([[at(1.0), at(2.0)], [at(4.0), at(3.0)], [at(2.0), at(3.0)]].into_iter());
        assert_eq!(lines, vec![vec![at(1.0), at(2.0), at(3.0), at(4.0)]]);
    }

    #[test]
    fn a_ring_closes_and_a_fork_parts() {
        let ring = chained([[at(1.0), at(2.0)], [at(2.0), at(3.0)], [at(3.0), at(1.0)]].into_iter());
        assert_eq!(ring, vec![vec![at(1.0), at(2.0), at(3.0), at(1.0)]]);
        let fork = chained([[at(1.0), at(2.0)], [at(2.0), at(3.0)], [at(2.0), at(4.0)]].into_iter());
        assert_eq!(fork.len(), 3);
    }
}
