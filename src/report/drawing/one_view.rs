//! One view of a drawing: what is seen, what is hidden, what it is called.

use maud::html;

use super::depth::Depth;
use super::dimension::{Along, Measure, dimension};
use super::ink::Ink;
use super::labels::{Wish, place};
use super::layout::{DIMENSION_MM, Placed, TITLE_MM};
use super::pen::{Pen, Stroke};
use super::seen::{Run, runs};
use super::subject::{CornerLine, Piece};
use super::view::Area;
use crate::geometry::mesh::Point;

/// What is drawn in every view.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The pieces.
    pub pieces: &'a [Piece<'a>],
    /// Corners are drawn and numbered.
    pub corners: bool,
    /// Overall extents along x, y and z.
    pub measures: &'a [Option<Measure>; 3],
}

/// Squares of the depth grid for a mm of paper. Fewer: lines show through close behind others; more: only time.
const SQUARES_PER_MM: f64 = 8.0;
/// The grid has at most so many squares along a side.
const MOST_SQUARES: f64 = 3000.0;
/// Height of numbers. Source: the nominal sizes of lettering of ISO 3098-1:2015 (2.5 and 5 mm); from memory.
const NUMBER_MM: f64 = 2.5;
/// Height of the letters of pieces.
const LETTER_MM: f64 = 5.0;
/// Squares in which is kept what is drawn already.
const INK_MM: f64 = 0.5;

/// Draws one view.
#[must_use]
pub fn draw(order: Order<'_>, placed: &Placed) -> Pen {
    let mut sketch = Sketch::of(order, placed);
    sketch.faces(order);
    sketch.splits(order);
    let labelled = if order.corners { sketch.corners(order) } else { Vec::new() };
    let mut taken = sketch.dimensions(order);
    taken.extend(sketch.letters(order));
    taken.push(sketch.title());
    sketch.numbers(&labelled, &taken);
    sketch.pen
}

struct Sketch<'a> {
    placed: &'a Placed,
    depth: Depth,
    ink: Ink,
    pen: Pen,
}

/// A name beside a line.
struct Label {
    text: String,
    at: [f64; 2],
    framed: bool,
}

impl<'a> Sketch<'a> {
    fn of(order: Order<'_>, placed: &'a Placed) -> Self {
        let factor = placed.area_on_paper(&placed.whole).size()[0] / placed.whole.size()[0].max(1e-9);
        let side = placed.whole.size()[0].max(placed.whole.size()[1]).max(1e-9);
        let per_mm = (SQUARES_PER_MM * factor).min(MOST_SQUARES / side);
        let mut depth = Depth::over(&placed.whole, if per_mm > 0.0 { per_mm } else { 1.0 });
        for piece in order.pieces {
            let mesh = piece.shape.mesh;
            mesh.face_ids().for_each(|face| depth.cover(mesh.corners(face).map(|corner| placed.view.seen(&corner))));
        }
        Self { placed, depth, ink: Ink::over(&placed.room, INK_MM), pen: Pen::default() }
    }

    fn runs(&self, line: &[Point]) -> Vec<Run> {
        let mut runs = runs(line, &self.placed.view, &self.depth);
        for run in &mut runs {
            run.points.iter_mut().for_each(|point| *point = self.placed.on_paper(*point));
        }
        runs
    }

    /// Draws the parts of lines that are seen, then what is hidden and not beside something drawn already.
    fn lines(&mut self, lines: &[Vec<Run>], seen: Stroke, hidden: Option<Stroke>) {
        for run in lines.iter().flatten().filter(|run| run.seen) {
            self.pen.line(seen, &run.points);
            self.ink.draw(&run.points);
        }
        if let Some(hidden) = hidden.filter(|_| self.placed.hidden) {
            for run in lines.iter().flatten().filter(|run| !run.seen) {
                self.pen.line(hidden, &run.points);
            }
        }
    }

    fn faces(&mut self, order: Order<'_>) {
        let mut edges = Vec::new();
        let mut flanges = Vec::new();
        for piece in order.pieces {
            let outline = piece.shape.outline(&self.placed.view);
            let borders = piece.borders.iter().map(AsRef::as_ref);
            let lines = borders.chain(outline.iter().chain(&piece.shape.creases).map(Vec::as_slice));
            edges.extend(lines.map(|line| self.runs(line)));
            flanges.extend(piece.flanges.iter().map(|line| self.runs(line)));
        }
        self.lines(&edges, Stroke::Edge, Some(Stroke::Hidden));
        self.lines(&flanges, Stroke::Flange, None);
    }

    fn splits(&mut self, order: Order<'_>) {
        let mut drawn: Vec<&[Point]> = Vec::new();
        for (name, line) in order.pieces.iter().flat_map(|piece| &piece.splits) {
            // Both pieces list the cut between them.
            if drawn.contains(line) {
                continue;
            }
            drawn.push(line);
            let runs = self.runs(line);
            self.lines(std::slice::from_ref(&runs), Stroke::Split, None);
            let _ = name;
        }
    }

    /// Draws the corners, and says where each is best pointed at.
    fn corners(&mut self, order: Order<'_>) -> Vec<Label> {
        let mut labels = Vec::new();
        for corner in order.pieces.iter().flat_map(|piece| &piece.corners) {
            let runs = self.runs(&corner.path_mm);
            let (seen, hidden) = strokes(corner);
            self.lines(std::slice::from_ref(&runs), seen, hidden);
            let longest = runs.iter().filter(|run| run.seen).max_by(|a, b| a.length().total_cmp(&b.length()));
            if let Some(at) = longest.and_then(Run::middle) {
                labels.push(Label { text: corner.label.clone(), at, framed: true });
            }
        }
        for (name, line) in split_names(order) {
            let runs = self.runs(line);
            let longest = runs.iter().filter(|run| run.seen).max_by(|a, b| a.length().total_cmp(&b.length()));
            if let Some(at) = longest.and_then(Run::middle) {
                labels.push(Label { text: name.to_owned(), at, framed: false });
            }
        }
        labels
    }

    fn dimensions(&mut self, order: Order<'_>) -> Vec<Area> {
        let face = self.placed.area_on_paper(&self.placed.face);
        let whole = self.placed.area_on_paper(&self.placed.whole);
        let mut taken = Vec::new();
        for (along, axis) in [Along::Width, Along::Height].into_iter().zip(self.placed.dimensions) {
            if let Some(measure) = axis.and_then(|axis| order.measures[axis].as_ref()) {
                taken.push(dimension(&mut self.pen, &face, &whole, along, DIMENSION_MM, measure));
            }
        }
        taken
    }

    /// Letters the pieces, each in the middle of what is seen of it.
    fn letters(&mut self, order: Order<'_>) -> Vec<Area> {
        let mut taken = Vec::new();
        if order.pieces.len() < 2 {
            return taken;
        }
        for piece in order.pieces {
            let Some(at) = piece.middle_seen(&self.placed.view, &self.depth) else { continue };
            let [x, y] = self.placed.on_paper(at);
            let half = [0.4 * LETTER_MM * piece.name.len() as f64, 0.5 * LETTER_MM];
            taken.push(Area { least: [x - half[0], y - half[1]], most: [x + half[0], y + half[1]] });
            self.pen.words(html! {
                text x=(format!("{x:.2}")) y=(format!("{:.2}", y + 0.35 * LETTER_MM)) font-size=(LETTER_MM)
                    font-weight="bold" text-anchor="middle" stroke="#fff" stroke-width="1" paint-order="stroke" { (piece.name) }
            });
        }
        taken
    }

    /// What the view is called, below it.
    fn title(&mut self) -> Area {
        let room = &self.placed.room;
        let x = self.placed.area_on_paper(&self.placed.whole).middle()[0];
        let y = room.most[1] - 0.3 * TITLE_MM;
        self.pen.words(html! {
            text x=(format!("{x:.2}")) y=(format!("{y:.2}")) font-size="2.5" text-anchor="middle" { (self.placed.view.name) }
        });
        Area { least: [x - 12.0, y - 3.0], most: [x + 12.0, y + 1.0] }
    }

    fn numbers(&mut self, labels: &[Label], taken: &[Area]) {
        let wishes: Vec<Wish> = labels.iter().map(|label| Wish { at: label.at, size: size_of(&label.text) }).collect();
        let found = place(&wishes, &self.placed.room.grown(-0.5), taken, &self.ink);
        for (label, placed) in labels.iter().zip(found) {
            let Some(placed) = placed else { continue };
            self.pen.line(Stroke::Thin, &placed.leader);
            let [x, y] = placed.area.middle();
            let [width, height] = placed.area.size();
            let [left, top] = placed.area.least;
            self.pen.words(html! {
                rect x=(format!("{left:.2}")) y=(format!("{top:.2}")) width=(format!("{width:.2}")) height=(format!("{height:.2}"))
                    rx=(if label.framed { "0.8" } else { "0" }) fill="#fff" stroke=(if label.framed { "#000" } else { "none" })
                    stroke-width="0.18" {}
                text x=(format!("{x:.2}")) y=(format!("{:.2}", y + 0.35 * NUMBER_MM)) font-size=(NUMBER_MM) text-anchor="middle"
                    { (label.text) }
            });
        }
    }
}

fn split_names<'a>(order: Order<'a>) -> Vec<(&'a str, &'a [Point])> {
    let mut names: Vec<(&str, &[Point])> = Vec::new();
    for &(name, line) in order.pieces.iter().flat_map(|piece| &piece.splits) {
        if !names.iter().any(|(other, _)| *other == name) {
            names.push((name, line));
        }
    }
    names
}

const fn strokes(corner: &CornerLine) -> (Stroke, Option<Stroke>) {
    if corner.at_flange { (Stroke::Edge, None) } else { (Stroke::Corner, Some(Stroke::HiddenCorner)) }
}

fn size_of(text: &str) -> [f64; 2] {
    [0.58 * NUMBER_MM * text.chars().count() as f64 + 1.6, NUMBER_MM + 1.1]
}
