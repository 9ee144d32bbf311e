//! How near the surface comes to the eye, on a grid of small squares.

use super::view::{Area, Seen};

/// Depths on a grid; greater is nearer to the eye.
#[derive(Debug, Clone)]
pub struct Depth {
    /// Squares across.
    pub width: usize,
    /// Squares from bottom to top.
    pub height: usize,
    /// Squares per mm.
    pub per_mm: f64,
    least: [f64; 2],
    cells: Vec<f32>,
}

impl Depth {
    /// An empty grid over an area, one square larger all round.
    #[must_use]
    pub fn over(area: &Area, per_mm: f64) -> Self {
        let [width, height] = area.size().map(|side| (side * per_mm).ceil() as usize + 2);
        let least = area.least.map(|side| side - 1.0 / per_mm);
        Self { width, height, per_mm, least, cells: vec![f32::NEG_INFINITY; width * height] }
    }

    /// An empty grid of so many squares, from a corner in mm.
    #[must_use]
    pub fn sized(least: [f64; 2], [width, height]: [usize; 2], per_mm: f64) -> Self {
        Self { width, height, per_mm, least, cells: vec![f32::NEG_INFINITY; width * height] }
    }

    /// The point of the surface that is seen in a square, in mm of the view.
    #[must_use]
    pub fn surface(&self, column: usize, row: usize) -> Option<Seen> {
        let depth = self.cells[row * self.width + column];
        let at = |axis: usize, square: usize| self.least[axis] + (square as f64 + 0.5) / self.per_mm;
        (depth > f32::NEG_INFINITY).then(|| [at(0, column), at(1, row), f64::from(depth)])
    }

    /// Where on the grid a point lies; the middle of the first square is at 0.5, 0.5.
    #[inline]
    #[must_use]
    pub fn place(&self, [x, y, depth]: Seen) -> Seen {
        [(x - self.least[0]) * self.per_mm, (y - self.least[1]) * self.per_mm, depth]
    }

    /// Depth in a square; minus infinity where nothing is and outside the grid.
    #[inline]
    #[must_use]
    pub fn at(&self, column: isize, row: isize) -> f32 {
        let inside = (0..self.width as isize).contains(&column) && (0..self.height as isize).contains(&row);
        if inside { self.cells[row as usize * self.width + column as usize] } else { f32::NEG_INFINITY }
    }

    /// Lays a facet over the grid: in every square whose middle it covers, the nearer of what was there and it.
    pub fn cover(&mut self, corners: [Seen; 3]) {
        self.cover_with(corners, |_, _| {});
    }

    /// As [`Self::cover`]; every square in which the facet is the nearest so far is told, with the shares of its corners.
    #[inline]
    pub fn cover_with(&mut self, corners: [Seen; 3], mut nearest: impl FnMut(usize, [f64; 3])) {
        let corners = corners.map(|corner| self.place(corner));
        let (cells, width) = (&mut self.cells, self.width);
        cover(corners, width, self.height, |column, row, depth, shares| {
            let square = row * width + column;
            if depth as f32 > cells[square] {
                cells[square] = depth as f32;
                nearest(square, shares);
            }
        });
    }

    /// Whether the surface lies in front of a point by more than the grid's coarseness can hide.
    ///
    /// A point on the surface is in front of the surface in one of the squares round its own, unless something else covers
    /// it: the side of a crease that falls away from the eye lies behind it.
    #[must_use]
    pub fn hides(&self, point: Seen) -> bool {
        let [x, y, depth] = self.place(point);
        let limit = depth + SLACK_SQUARES / self.per_mm;
        let (column, row) = (x.floor() as isize, y.floor() as isize);
        let mut round = (-1..=1).flat_map(|up| (-1..=1).map(move |right| (right, up)));
        round.all(|(right, up)| f64::from(self.at(column + right, row + up)) > limit)
    }
}

/// A line lies this many squares in front of the surface that it is on, at most. Less: lines on steep faces are broken by
/// the faces' own squares; more: lines close behind a face show through.
const SLACK_SQUARES: f64 = 1.5;

/// Calls `paint` for every square whose middle a triangle covers, row by row, with the depth there and the shares of the
/// three corners. Squares on a shared edge are painted by both triangles.
pub fn cover([a, b, c]: [Seen; 3], width: usize, height: usize, mut paint: impl FnMut(usize, usize, f64, [f64; 3])) {
    let doubled = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    if doubled == 0.0 || !doubled.is_finite() {
        return;
    }
    let range = |axis: usize, end: usize| {
        let least = a[axis].min(b[axis]).min(c[axis]);
        let most = a[axis].max(b[axis]).max(c[axis]);
        let first = (least - 0.5).ceil().max(0.0);
        let past = (most - 0.5).floor() + 1.0;
        (first as usize, past.clamp(0.0, end as f64) as usize)
    };
    let (left, right) = range(0, width);
    let (bottom, top) = range(1, height);
    let per = 1.0 / doubled;
    // Shares of b and c grow evenly along a row and from row to row.
    let of_b = |y: f64| (-a[0] * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) * per;
    let of_c = |y: f64| ((b[0] - a[0]) * (y - a[1]) + (b[1] - a[1]) * a[0]) * per;
    let (b_step, c_step) = ((c[1] - a[1]) * per, -(b[1] - a[1]) * per);
    for row in bottom..top {
        let y = row as f64 + 0.5;
        // Only the squares between the sides are looked at: long slivers lie aslant in boxes that are otherwise empty.
        let (at_b, at_c) = (of_b(y), of_c(y));
        let mut between = [left as f64, right as f64];
        for (at, step) in [(at_b, b_step), (at_c, c_step), (1.0 - at_b - at_c, -b_step - c_step)] {
            let crosses = -at / step;
            if step > 0.0 {
                between[0] = between[0].max(crosses - 1.5);
            } else if step < 0.0 {
                between[1] = between[1].min(crosses + 1.5);
            }
        }
        for column in between[0] as usize..between[1] as usize {
            let x = column as f64 + 0.5;
            let (of_b, of_c) = (at_b + x * b_step, at_c + x * c_step);
            let of_a = 1.0 - of_b - of_c;
            // Not quite zero, so that rounding leaves no pinholes along shared edges.
            if of_a >= -1e-9 && of_b >= -1e-9 && of_c >= -1e-9 {
                paint(column, row, of_a * a[2] + of_b * b[2] + of_c * c[2], [of_a, of_b, of_c]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn covered(corners: [Seen; 3]) -> Vec<(usize, usize)> {
        let mut squares = Vec::new();
        cover(corners, 20, 12, |column, row, _, _| squares.push((column, row)));
        squares
    }

    /// Against the plain rule, square by square: on the same side of all three sides.
    #[test]
    fn a_facet_covers_the_squares_whose_middles_lie_in_it() {
        let facets = [
            [[1.2, 0.7], [18.6, 10.9], [18.9, 11.4]],
            [[-5.0, 3.0], [30.0, 4.2], [2.0, 9.0]],
            [[3.0, 11.0], [4.1, -2.0], [3.6, 5.0]],
        ];
        for [a, b, c] in facets {
            let side =
                |p: [f64; 2], q: [f64; 2], x: f64, y: f64| (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]);
            let inside = |column: usize, row: usize| {
                let (x, y) = (column as f64 + 0.5, row as f64 + 0.5);
                let sides = [side(a, b, x, y), side(b, c, x, y), side(c, a, x, y)];
                sides.iter().all(|side| *side > 0.0) || sides.iter().all(|side| *side < 0.0)
            };
            let plain: Vec<_> = (0..12)
                .flat_map(|row| (0..20).map(move |column| (column, row)))
                .filter(|&(x, y)| inside(x, y))
                .collect();
            assert!(!plain.is_empty());
            assert_eq!(covered([a, b, c].map(|[x, y]| [x, y, 1.0])), plain);
        }
    }

    #[test]
    fn facets_without_area_or_place_cover_nothing() {
        assert!(covered([[1.0, 1.0, 0.0], [5.0, 5.0, 0.0], [9.0, 9.0, 0.0]]).is_empty());
        assert!(covered([[1.0, f64::NAN, 0.0], [5.0, 5.0, 0.0], [9.0, 2.0, 0.0]]).is_empty());
        assert!(covered([[1.0, 1.0, 0.0], [f64::INFINITY, 5.0, 0.0], [9.0, 2.0, 0.0]]).is_empty());
    }
}
