//! Overall dimensions, by extension lines, arrows and figures of the plan.

use maud::html;

use super::pen::{Pen, Stroke};
use super::view::Area;
use crate::report::page::figure::{At, rounded};

/// A figure of the plan that a drawing shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// The figure, unrounded.
    pub mm: f64,
    /// Where plan.json holds it, if the caller knows.
    pub at: Option<At>,
}

/// Which way a dimension runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// Above the view.
    Width,
    /// To the left of the view.
    Height,
}

/// From the outline to where the extension line begins, and from the dimension line to where it ends.
const GAP_MM: f64 = 1.0;
/// Height of the figures.
const FIGURE_MM: f64 = 3.0;

/// Shorter dimensions have their arrows outside.
const LEAST_ROOM_MM: f64 = 9.0;
/// Length of the line behind such an arrow.
const TAIL_MM: f64 = 5.0;

/// Draws the overall width or height of `face`, its line `away_mm` from `whole`, and gives the room that it takes.
///
/// Source: the arrangement of ISO 129-1:2018 (figure above the line, upright ones read from the right); from memory, the
/// standard was not at hand.
pub fn dimension(pen: &mut Pen, face: &Area, whole: &Area, along: Along, away_mm: f64, measure: &Measure) -> Area {
    let (axis, line_at) = match along {
        Along::Width => (0, whole.least[1] - away_mm),
        Along::Height => (1, whole.least[0] - away_mm),
    };
    let on_paper =
        |along_mm: f64, across_mm: f64| if axis == 0 { [along_mm, across_mm] } else { [across_mm, along_mm] };
    let ends = [face.least[axis], face.most[axis]];
    for end in ends {
        let from = face.least[1 - axis] - GAP_MM;
        pen.line(Stroke::Thin, &[on_paper(end, from), on_paper(end, line_at - GAP_MM)]);
    }
    arrows(pen, ends, &|mm| on_paper(mm, line_at), axis);
    // Whole millimetres where tenths would be finer than the line, or say nothing.
    let is_whole = measure.mm >= 100.0 || (measure.mm - measure.mm.round()).abs() < 0.05;
    let text = rounded(measure.mm, if is_whole { 0 } else { 1 });
    let half = 0.3 * FIGURE_MM * text.len() as f64;
    // Where the arrows stand outside, so does the figure: to the right, or above.
    let at = match along {
        _ if ends[1] - ends[0] >= LEAST_ROOM_MM => 0.5 * (ends[0] + ends[1]),
        Along::Width => ends[1] + TAIL_MM + half,
        Along::Height => ends[0] - TAIL_MM - half,
    };
    let middle = on_paper(at, line_at - if ends[1] - ends[0] >= LEAST_ROOM_MM { GAP_MM } else { -0.35 * FIGURE_MM });
    let turned = (axis == 1).then(|| format!("rotate(-90 {:.2} {:.2})", middle[0], middle[1]));
    let place = measure.at.as_ref().map(ToString::to_string);
    pen.words(html! {
        text x=(format!("{:.2}", middle[0])) y=(format!("{:.2}", middle[1])) font-size=(FIGURE_MM) text-anchor="middle"
            transform=[turned] data-value=(measure.mm) data-at=[place] { (text) }
    });
    let mut room = Area::EMPTY;
    for (along_mm, across_mm) in [(ends[0], line_at + 0.5), (ends[1], line_at - 0.5)] {
        room.take_in(on_paper(along_mm, across_mm));
    }
    for (along_mm, across_mm) in [(at - half, line_at - GAP_MM - FIGURE_MM), (at + half, line_at + 0.5)] {
        room.take_in(on_paper(along_mm, across_mm));
    }
    room
}

/// Arrows between the extension lines, or from outside where there is no room between them.
fn arrows(pen: &mut Pen, ends: [f64; 2], on_line: &dyn Fn(f64) -> [f64; 2], axis: usize) {
    let unit = |sign: f64| if axis == 0 { [sign, 0.0] } else { [0.0, sign] };
    if ends[1] - ends[0] >= LEAST_ROOM_MM {
        pen.line(Stroke::Thin, &[on_line(ends[0]), on_line(ends[1])]);
        pen.arrow(on_line(ends[0]), unit(-1.0));
        pen.arrow(on_line(ends[1]), unit(1.0));
    } else {
        pen.line(Stroke::Thin, &[on_line(ends[0] - TAIL_MM), on_line(ends[1] + TAIL_MM)]);
        pen.arrow(on_line(ends[0]), unit(1.0));
        pen.arrow(on_line(ends[1]), unit(-1.0));
    }
}
