//! Lines and words on paper, as SVG in mm.

use std::fmt::Write;

use maud::{Markup, html};

use super::simplify::simplified;

/// Lines on paper are drawn with as many points as it takes to stray by no more than this.
const TOLERANCE_MM: f64 = 0.05;

/// Kinds of lines. Source: the types and widths of ISO 128-2:2020 (wide and narrow lines 2 : 1, dashed for hidden edges, long
/// dash with a dot for cuts); from memory, the standard was not at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stroke {
    /// Edges that are seen.
    Edge,
    /// Edges that are hidden.
    Hidden,
    /// Where a split parts the panel.
    Split,
    /// A corner that needs work.
    Corner,
    /// The same where it is hidden.
    HiddenCorner,
    /// What belongs to the mould beside its face.
    Flange,
    /// Dimensions and leaders.
    Thin,
}

impl Stroke {
    /// Every kind, in the order in which they are drawn.
    pub const ALL: [Self; 7] =
        [Self::Hidden, Self::Flange, Self::HiddenCorner, Self::Edge, Self::Split, Self::Corner, Self::Thin];

    const fn width_mm(self) -> f64 {
        match self {
            Self::Edge => 0.35,
            Self::Hidden | Self::HiddenCorner | Self::Flange | Self::Thin => 0.18,
            Self::Split => 0.25,
            Self::Corner => 0.5,
        }
    }

    const fn dashes(self) -> Option<&'static str> {
        match self {
            Self::Edge | Self::Corner | Self::Flange | Self::Thin => None,
            Self::Hidden | Self::HiddenCorner => Some("1.5 0.8"),
            Self::Split => Some("6 0.8 0.3 0.8"),
        }
    }
}

/// What is drawn, sorted by kind of line.
#[derive(Debug, Default)]
pub struct Pen {
    paths: [String; Stroke::ALL.len()],
    words: Vec<Markup>,
}

impl Pen {
    /// Draws a line.
    pub fn line(&mut self, stroke: Stroke, line: &[[f64; 2]]) {
        let line = simplified(line, TOLERANCE_MM);
        if line.len() < 2 {
            return;
        }
        let path = &mut self.paths[place(stroke)];
        let mut last = [0, 0];
        for (number, point) in line.iter().enumerate() {
            let here = point.map(hundredths);
            if number == 0 {
                let _ = write!(path, "M{} {}", short(here[0]), short(here[1]));
            } else if here != last || line.len() == 2 {
                let _ = write!(path, "l{} {}", short(here[0] - last[0]), short(here[1] - last[1]));
            }
            last = here;
        }
    }

    /// Draws a filled triangle.
    pub fn arrow(&mut self, tip: [f64; 2], toward: [f64; 2]) {
        const LENGTH_MM: f64 = 2.5;
        const HALF_WIDTH_MM: f64 = 0.4;
        let [dx, dy] = toward;
        let foot = [tip[0] - dx * LENGTH_MM, tip[1] - dy * LENGTH_MM];
        let corners = [[-dy, dx], [dy, -dx]].map(|[x, y]| [foot[0] + x * HALF_WIDTH_MM, foot[1] + y * HALF_WIDTH_MM]);
        let points: Vec<String> = [tip, corners[0], corners[1]].iter().map(|[x, y]| format!("{x:.2},{y:.2}")).collect();
        self.words.push(html! { polygon points=(points.join(" ")) fill="#000" {} });
    }

    /// Draws a filled triangle that stands on its base, about a place.
    pub fn triangle(&mut self, [x, y]: [f64; 2], half_mm: f64) {
        let corners = [[x, y - half_mm], [x + half_mm, y + half_mm], [x - half_mm, y + half_mm]];
        let points: Vec<String> = corners.iter().map(|[x, y]| format!("{x:.2},{y:.2}")).collect();
        self.words.push(html! { polygon points=(points.join(" ")) fill="#000" stroke="#fff" stroke-width="0.15" {} });
    }

    /// Draws a ring about a place.
    pub fn ring(&mut self, [x, y]: [f64; 2], radius_mm: f64) {
        self.words.push(html! {
            circle cx=(format!("{x:.2}")) cy=(format!("{y:.2}")) r=(radius_mm) fill="#fff" stroke="#000" stroke-width="0.35" {}
        });
    }

    /// Adds words, or whatever else lies over the lines.
    pub fn words(&mut self, words: Markup) {
        self.words.push(words);
    }

    /// All that was drawn.
    #[must_use]
    pub fn drawn(&self) -> Markup {
        html! {
            g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" {
                @for stroke in Stroke::ALL {
                    @let path = &self.paths[place(stroke)];
                    @if !path.is_empty() {
                        path d=(path) stroke-width=(stroke.width_mm()) stroke-dasharray=[stroke.dashes()] {}
                    }
                }
            }
            g font-family="sans-serif" fill="#000" { @for words in &self.words { (words) } }
        }
    }
}

fn place(stroke: Stroke) -> usize {
    Stroke::ALL.iter().position(|&other| other == stroke).expect("every kind is in the list of all")
}

fn hundredths(mm: f64) -> i64 {
    (100.0 * mm).round() as i64
}

/// Hundredths as a decimal number without needless characters.
fn short(hundredths: i64) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let (whole, part) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    match (whole, part) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, part) if part % 10 == 0 => format!("{sign}.{}", part / 10),
        (0, part) => format!("{sign}.{part:02}"),
        (whole, part) if part % 10 == 0 => format!("{sign}{whole}.{}", part / 10),
        (whole, part) => format!("{sign}{whole}.{part:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_paths_are_written_short_and_read_back() {
        for value in [-12_345, -100, -50, -5, 0, 5, 50, 100, 105, 12_300, 12_340] {
            let text = short(value);
            let read: f64 = text.parse().expect("a number");
            assert!((100.0 * read - value as f64).abs() < 1e-9, "{text}");
        }
    }
}
