//! A picture in the making: colours on a grid twice as fine as the picture, so that edges come out smooth.

use crate::report::drawing::view::Area;

/// Red, green and blue, as screens take them (sRGB).
pub type Colour = [u8; 3];

/// Paper.
pub const WHITE: Colour = [255; 3];
/// Lines and letters.
pub const INK: Colour = [28; 3];
/// The one colour that stands out: corners that need work. It is a dark grey on a black and white print.
pub const ACCENT: Colour = [190, 60, 10];

/// Squares of the grid along a side of a pixel.
pub const FINE: usize = 2;

/// A grid of colours, the first row at the bottom.
#[derive(Debug, Clone)]
pub struct Canvas {
    /// Squares across.
    pub width: usize,
    /// Squares from bottom to top.
    pub height: usize,
    squares: Vec<Colour>,
}

impl Canvas {
    /// White paper.
    #[must_use]
    pub fn white(width: usize, height: usize) -> Self {
        Self { width, height, squares: vec![WHITE; width * height] }
    }

    /// The colour of a square.
    #[must_use]
    pub fn at(&self, square: usize) -> Colour {
        self.squares[square]
    }

    /// Colours a square.
    pub fn set(&mut self, square: usize, colour: Colour) {
        self.squares[square] = colour;
    }

    /// Draws a line with a round pen.
    pub fn line(&mut self, line: &[[f64; 2]], width: f64, colour: Colour) {
        for pair in line.windows(2) {
            self.stretch(pair[0], pair[1], 0.5 * width, colour);
        }
    }

    fn stretch(&mut self, from: [f64; 2], to: [f64; 2], radius: f64, colour: Colour) {
        let mut around = Area::EMPTY;
        around.take_in(from);
        around.take_in(to);
        let along = [to[0] - from[0], to[1] - from[1]];
        let squared = along[0] * along[0] + along[1] * along[1];
        self.fill(&around.grown(radius), colour, |[x, y]| {
            let apart = [x - from[0], y - from[1]];
            let t = if squared > 0.0 { (apart[0] * along[0] + apart[1] * along[1]) / squared } else { 0.0 };
            let t = t.clamp(0.0, 1.0);
            let off = [apart[0] - t * along[0], apart[1] - t * along[1]];
            off[0] * off[0] + off[1] * off[1] <= radius * radius
        });
    }

    /// Fills a rectangle.
    pub fn rectangle(&mut self, area: &Area, colour: Colour) {
        self.fill(area, colour, |_| true);
    }

    /// Fills a disc.
    pub fn disc(&mut self, middle: [f64; 2], radius: f64, colour: Colour) {
        self.stretch(middle, middle, radius, colour);
    }

    /// Colours the squares of an area whose middles are `inside`.
    pub fn fill(&mut self, area: &Area, colour: Colour, inside: impl Fn([f64; 2]) -> bool) {
        let range = |axis: usize, end: usize| {
            let first = (area.least[axis] - 0.5).ceil().max(0.0) as usize;
            let past = ((area.most[axis] - 0.5).floor() + 1.0).clamp(0.0, end as f64) as usize;
            first..past.max(first)
        };
        let columns = range(0, self.width);
        for row in range(1, self.height) {
            for column in columns.clone() {
                if inside([column as f64 + 0.5, row as f64 + 0.5]) {
                    self.squares[row * self.width + column] = colour;
                }
            }
        }
    }

    /// The picture, from the top: every pixel the mean of its squares.
    pub fn pixels(&self) -> impl Iterator<Item = Colour> + '_ {
        let (width, height) = (self.width / FINE, self.height / FINE);
        (0..height).rev().flat_map(move |row| {
            (0..width).map(move |column| {
                let mut sums = [0u32; 3];
                for up in 0..FINE {
                    let start = (row * FINE + up) * self.width + column * FINE;
                    for square in &self.squares[start..start + FINE] {
                        (0..3).for_each(|channel| sums[channel] += u32::from(square[channel]));
                    }
                }
                let n = (FINE * FINE) as u32;
                sums.map(|sum| ((sum + n / 2) / n) as u8)
            })
        })
    }
}

/// So much of one colour in another.
#[must_use]
pub fn mixed(of: Colour, into: Colour, share: f64) -> Colour {
    [0, 1, 2].map(|channel| {
        let (of, into) = (f64::from(of[channel]), f64::from(into[channel]));
        (into + share * (of - into) + 0.5) as u8
    })
}

/// A line as dashes: so long on, so long off.
#[must_use]
pub fn dashed(line: &[[f64; 2]], on: f64, off: f64) -> Vec<Vec<[f64; 2]>> {
    let mut dashes = Vec::new();
    let mut dash: Vec<[f64; 2]> = line.first().map(|&point| vec![point]).unwrap_or_default();
    let (mut is_on, mut left) = (true, on);
    for pair in line.windows(2) {
        let step = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
        let length = (step[0] * step[0] + step[1] * step[1]).sqrt();
        let mut gone = 0.0;
        while length - gone > left {
            gone += left;
            let at = [0, 1].map(|axis| pair[0][axis] + step[axis] * (gone / length));
            dash.push(at);
            if is_on {
                dashes.push(std::mem::take(&mut dash));
            }
            is_on = !is_on;
            left = if is_on { on } else { off };
            dash = vec![at];
        }
        left -= length - gone;
        dash.push(pair[1]);
    }
    if is_on && dash.len() > 1 {
        dashes.push(dash);
    }
    dashes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_and_gaps_go_round_corners() {
        let dashes = dashed(&[[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]], 4.0, 2.0);
        assert_eq!(dashes, vec![vec![[0.0, 0.0], [3.0, 0.0], [3.0, 1.0]], vec![[3.0, 3.0], [3.0, 4.0]]]);
    }

    #[test]
    fn a_line_off_the_paper_does_no_harm() {
        let mut canvas = Canvas::white(8, 6);
        canvas.line(&[[-1e6, 3.0], [1e6, 3.0]], 2.0, INK);
        canvas.line(&[[f64::NAN, 3.0], [1e6, 3.0]], 2.0, INK);
        assert_eq!(canvas.pixels().filter(|pixel| *pixel != WHITE).count(), 4, "one row of pixels");
        assert_eq!(canvas.pixels().count(), 12);
    }
}
