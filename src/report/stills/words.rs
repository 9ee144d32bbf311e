//! Words on a canvas.

use super::canvas::{Canvas, Colour};
use super::font;

/// Width of the pen for capitals of height 1. Thinner: grey where the picture is shown small; thicker: letters fill up.
const PEN: f64 = 0.14;

/// Width and height of words with capitals so high.
#[must_use]
pub fn size(text: &str, height: f64) -> [f64; 2] {
    [font::width(text, height) + PEN * height, height]
}

/// Draws words round a middle.
pub fn draw(canvas: &mut Canvas, text: &str, middle: [f64; 2], height: f64, colour: Colour) {
    let left = middle[0] - 0.5 * font::width(text, height);
    let foot = middle[1] - 0.5 * height;
    for line in font::lines(text, height) {
        let line: Vec<[f64; 2]> = line.iter().map(|[x, y]| [left + x, foot + y]).collect();
        canvas.line(&line, PEN * height, colour);
    }
}
