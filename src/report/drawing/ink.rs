//! Where something is drawn already, on a coarse grid, so that labels keep off it.

use super::view::Area;

/// A grid of squares, each empty or drawn on.
#[derive(Debug, Clone)]
pub struct Ink {
    width: usize,
    height: usize,
    square: f64,
    least: [f64; 2],
    drawn: Vec<bool>,
}

impl Ink {
    /// An empty grid.
    #[must_use]
    pub fn over(area: &Area, square: f64) -> Self {
        let [width, height] = area.size().map(|side| (side / square).ceil().max(1.0) as usize);
        Self { width, height, square, least: area.least, drawn: vec![false; width * height] }
    }

    fn cell(&self, point: [f64; 2]) -> Option<usize> {
        let [column, row] = [0, 1].map(|axis| ((point[axis] - self.least[axis]) / self.square).floor());
        let inside = column >= 0.0 && row >= 0.0 && column < self.width as f64 && row < self.height as f64;
        inside.then(|| row as usize * self.width + column as usize)
    }

    /// Draws a line.
    pub fn draw(&mut self, line: &[[f64; 2]]) {
        for pair in line.windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let length = ((to[0] - from[0]).abs()).max((to[1] - from[1]).abs());
            let n_steps = (2.0 * length / self.square).ceil().max(1.0) as usize;
            for step in 0..=n_steps {
                let t = step as f64 / n_steps as f64;
                if let Some(cell) = self.cell([from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])]) {
                    self.drawn[cell] = true;
                }
            }
        }
    }

    /// The parts of a line that keep a square away from everything drawn so far.
    #[must_use]
    pub fn clear_parts(&self, line: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
        let mut parts: Vec<Vec<[f64; 2]>> = Vec::new();
        let mut is_open = false;
        for pair in line.windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let length = (to[0] - from[0]).abs().max((to[1] - from[1]).abs());
            let n_steps = (length / self.square).ceil().max(1.0) as usize;
            let at = |step: usize| {
                let t = step as f64 / n_steps as f64;
                [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])]
            };
            for step in 0..n_steps {
                let ends = [at(step), at(step + 1)];
                if self.is_near([0.5 * (ends[0][0] + ends[1][0]), 0.5 * (ends[0][1] + ends[1][1])]) {
                    is_open = false;
                    continue;
                }
                match parts.last_mut().filter(|_| is_open) {
                    Some(part) => part.push(ends[1]),
                    None => parts.push(ends.to_vec()),
                }
                is_open = true;
            }
        }
        parts
    }

    fn is_near(&self, point: [f64; 2]) -> bool {
        let steps = [-1.0, 0.0, 1.0].map(|step| step * self.square);
        let mut round = steps.iter().flat_map(|up| steps.iter().map(move |right| (right, up)));
        round.any(|(right, up)| self.cell([point[0] + right, point[1] + up]).is_some_and(|cell| self.drawn[cell]))
    }

    /// How many squares under a rectangle are drawn on.
    #[must_use]
    pub fn under(&self, area: &Area) -> usize {
        let range = |axis: usize, end: usize| {
            let first = ((area.least[axis] - self.least[axis]) / self.square).floor().max(0.0) as usize;
            let past = ((area.most[axis] - self.least[axis]) / self.square).ceil().max(0.0) as usize;
            first..past.min(end)
        };
        let columns = range(0, self.width);
        range(1, self.height)
            .map(|row| columns.clone().filter(|column| self.drawn[row * self.width + column]).count())
            .sum()
    }
}
