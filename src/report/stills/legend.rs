//! Scale bar and what the lines mean, at the foot of a picture.

use super::canvas::{Canvas, FINE, INK, WHITE};
use super::words;
use crate::report::drawing::view::Area;

/// A kind of line that the legend explains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    /// The mat goes into the corner.
    Inside,
    /// The mat goes over the corner.
    Outside,
    /// A corner of a panel that was only measured.
    Corner,
    /// A split of what is shown.
    Split,
    /// A split of the mould alone.
    MouldSplit,
}

impl Entry {
    const fn words(self) -> &'static str {
        match self {
            Self::Inside => "mat goes in",
            Self::Outside => "mat goes over",
            Self::Corner => "corner",
            Self::Split => "split",
            Self::MouldSplit => "mould split",
        }
    }
}

/// Height of capitals.
const WORDS_PX: f64 = 16.0;
/// Middle of the foot line.
const LINE_PX: f64 = 26.0;
/// Free at both ends.
const MARGIN_PX: f64 = 22.0;
/// Length of the sample of a line.
const SAMPLE_PX: f64 = 46.0;
/// The scale bar is at least so long.
const SHORTEST_BAR_PX: f64 = 24.0;
/// Lengths of the scale bar in mm, and their words: 100 mm wherever it can be drawn.
const BARS: [(f64, &str); 7] = [
    (100.0, "100 mm"),
    (1000.0, "1 m"),
    (10_000.0, "10 m"),
    (100_000.0, "100 m"),
    (10.0, "10 mm"),
    (1.0, "1 mm"),
    (0.1, "0.1 mm"),
];

fn fine(px: f64) -> f64 {
    px * FINE as f64
}

/// The length of the scale bar at so many pixels per mm.
fn bar(px_per_mm: f64) -> (f64, &'static str) {
    const LONGEST_BAR_PX: f64 = 420.0;
    let fits = |(mm, _): &&(f64, &str)| (SHORTEST_BAR_PX..=LONGEST_BAR_PX).contains(&(mm * px_per_mm));
    *BARS.iter().find(fits).unwrap_or(&BARS[0])
}

/// Draws the scale bar at the lower left; gives the room that it takes.
pub fn scale_bar(canvas: &mut Canvas, squares_per_mm: f64) -> Area {
    let (mm, text) = bar(squares_per_mm / FINE as f64);
    let (left, middle) = (fine(MARGIN_PX), fine(LINE_PX));
    let length = (mm * squares_per_mm).min(canvas.width as f64);
    let half = fine(4.0);
    let whole = Area { least: [left, middle - half], most: [left + length, middle + half] };
    canvas.rectangle(&whole.grown(fine(1.2)), INK);
    // Half of it hollow, so that it is seen to be a measure.
    canvas.rectangle(&Area { least: [left + 0.5 * length, middle - half], most: whole.most }, WHITE);
    let size = words::size(text, fine(WORDS_PX));
    let right = left + length + fine(12.0);
    words::draw(canvas, text, [right + 0.5 * size[0], middle], fine(WORDS_PX), INK);
    Area { least: [0.0, 0.0], most: [right + size[0] + fine(6.0), middle + size[1]] }
}

/// Draws the legend at the lower right, as many entries as there is room for; gives the room that it takes.
pub fn draw(canvas: &mut Canvas, entries: &[Entry], bar: &Area) -> Option<Area> {
    let middle = fine(LINE_PX);
    let mut right = canvas.width as f64 - fine(MARGIN_PX);
    let mut least = None;
    for entry in entries.iter().rev() {
        let size = words::size(entry.words(), fine(WORDS_PX));
        let left = right - size[0] - fine(10.0) - fine(SAMPLE_PX);
        if left < bar.most[0] + fine(10.0) {
            break;
        }
        words::draw(canvas, entry.words(), [right - 0.5 * size[0], middle], fine(WORDS_PX), INK);
        entry.draw(canvas, &[[left, middle], [left + fine(SAMPLE_PX), middle]]);
        least = Some(left);
        right = left - fine(26.0);
    }
    least.map(|left| Area { least: [left, 0.0], most: [canvas.width as f64, middle + fine(WORDS_PX)] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_100_mm_on_panels_of_every_common_size() {
        for size_mm in [200.0, 620.0, 1400.0, 2300.0, 3400.0] {
            assert_eq!(bar(836.0 / size_mm).1, "100 mm", "{size_mm}");
        }
        assert_eq!(bar(836.0 / 5.0).1, "1 mm");
        assert_eq!(bar(836.0 / 40.0).1, "10 mm");
        assert_eq!(bar(836.0 / 9000.0).1, "1 m");
    }
}
