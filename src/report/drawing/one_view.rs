//! One view of a drawing: what is seen, what is hidden, what it is called.

use maud::html;

use super::depth::Depth;
use super::dimension::{Along, Measure, dimension};
use super::ink::Ink;
use super::labels::{Wish, place};
use super::layout::{DIMENSION_MM, LABELS_MM, Placed, TITLE_MM};
use super::pen::{Pen, Stroke};
use super::seen::{Run, length, runs, share_of};
use super::subject::{Piece, Start};
use super::view::Area;
use crate::geometry::mesh::Point;

/// What is drawn in every view.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The pieces.
    pub pieces: &'a [Piece<'a>],
    /// Corners are drawn and numbered.
    pub corners: bool,
    /// Where a release is started is marked.
    pub starts: bool,
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
/// Half the side of the mark of a wedge, and radius of that of a port.
const WEDGE_MM: f64 = 0.9;
const PORT_MM: f64 = 1.0;
/// A view this narrow bears no letters: they would hide it.
const LEAST_LETTERED_MM: f64 = 12.0;
/// Squares in which is kept what is drawn already; a hidden line within a square of a drawn one is left out.
const INK_MM: f64 = 0.4;
/// Creases and outlines shorter than this are left out. Shorter: coarse facets leave scraps along fillets; longer: an outline
/// that comes in several lines gets gaps.
const SHORTEST_EDGE_MM: f64 = 0.6;
/// Scraps of hidden lines shorter than this are left out.
const SHORTEST_HIDDEN_MM: f64 = 1.5;

/// A name that a view could bear.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Corners and splits are numbered alike in every view.
    pub number: usize,
    /// The name.
    pub text: String,
    /// Where it would point.
    pub at: [f64; 2],
    /// What it points at is seen there.
    pub seen: bool,
    /// Length on paper of the line there.
    pub length_mm: f64,
    /// It is worth naming in a second view.
    pub twice: bool,
    framed: bool,
}

/// A view with its lines, before it is lettered.
#[derive(Debug)]
pub struct Sketch<'a> {
    placed: &'a Placed,
    depth: Depth,
    ink: Ink,
    pen: Pen,
    candidates: Vec<Candidate>,
}

impl<'a> Sketch<'a> {
    /// Draws the lines of a view.
    #[must_use]
    pub fn of(order: Order<'_>, placed: &'a Placed) -> Self {
        let side = placed.whole.size()[0].max(placed.whole.size()[1]).max(1e-9);
        let per_mm = (SQUARES_PER_MM * placed.factor).min(MOST_SQUARES / side);
        let mut depth = Depth::over(&placed.whole, per_mm);
        for piece in order.pieces {
            let mesh = piece.shape.mesh;
            mesh.face_ids().for_each(|face| depth.cover(mesh.corners(face).map(|corner| placed.view.seen(&corner))));
        }
        let ink = Ink::over(&placed.room, INK_MM);
        let mut sketch = Self { placed, depth, ink, pen: Pen::default(), candidates: Vec::new() };
        if order.corners {
            sketch.corners(order);
        }
        sketch.splits(order);
        sketch.faces(order);
        sketch
    }

    /// What could be named here.
    #[must_use]
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// Whether it is square to two axes.
    #[must_use]
    pub const fn is_square(&self) -> bool {
        self.placed.is_square
    }

    /// Letters and dimensions it.
    #[must_use]
    pub fn finished(mut self, order: Order<'_>, labels: &[Candidate]) -> Pen {
        let mut taken = self.dimensions(order);
        taken.extend(self.letters(order));
        taken.push(self.title());
        if order.starts {
            taken.extend(self.starts(order));
        }
        self.numbers(labels, &taken);
        self.pen
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
        let Some(hidden) = hidden.filter(|_| self.placed.is_square) else { return };
        for run in lines.iter().flatten().filter(|run| !run.seen) {
            for part in self.ink.clear_parts(&run.points) {
                if length(&part) >= SHORTEST_HIDDEN_MM {
                    self.pen.line(hidden, &part);
                    self.ink.draw(&part);
                }
            }
        }
    }

    fn faces(&mut self, order: Order<'_>) {
        let mut edges = Vec::new();
        let mut flanges = Vec::new();
        for piece in order.pieces {
            let outline = piece.shape.outline(&self.placed.view);
            edges.extend(piece.borders.iter().map(|line| self.runs(line)));
            let inner = piece.shape.creases.iter().chain(&outline).map(|line| self.runs(line));
            edges.extend(inner.filter(|runs| runs.iter().map(Run::length).sum::<f64>() >= SHORTEST_EDGE_MM));
            flanges.extend(piece.flanges.iter().map(|line| self.runs(line)));
        }
        self.lines(&edges, Stroke::Edge, Some(Stroke::Hidden));
        self.lines(&flanges, Stroke::Flange, None);
    }

    fn splits(&mut self, order: Order<'_>) {
        let first = order.pieces.iter().map(|piece| piece.corners.len()).sum::<usize>();
        let mut drawn: Vec<&[Point]> = Vec::new();
        let mut names: Vec<&str> = Vec::new();
        for &(name, line) in order.pieces.iter().flat_map(|piece| &piece.splits) {
            // Both pieces list the cut between them.
            if drawn.contains(&line) {
                continue;
            }
            drawn.push(line);
            let runs = self.runs(line);
            self.lines(std::slice::from_ref(&runs), Stroke::Split, None);
            if !names.contains(&name) {
                self.name(first + names.len(), name, &runs, false, true);
                names.push(name);
            }
        }
    }

    fn corners(&mut self, order: Order<'_>) {
        for (number, corner) in order.pieces.iter().flat_map(|piece| &piece.corners).enumerate() {
            let runs = self.runs(&corner.path_mm);
            if !corner.at_flange {
                self.lines(std::slice::from_ref(&runs), Stroke::Corner, Some(Stroke::HiddenCorner));
            }
            self.name(number, &corner.label, &runs, true, !corner.at_flange);
        }
    }

    /// Notes where a line could be named: in the middle of its longest part that is seen, or else of its longest.
    fn name(&mut self, number: usize, text: &str, runs: &[Run], framed: bool, twice: bool) {
        let longest =
            |seen: bool| runs.iter().filter(|run| run.seen == seen).max_by(|a, b| a.length().total_cmp(&b.length()));
        let Some(run) = longest(true).or_else(|| longest(false)) else { return };
        if let Some(at) = run.at(share_of(number)) {
            let length_mm = runs.iter().filter(|other| other.seen == run.seen).map(Run::length).sum();
            let text = text.to_owned();
            self.candidates.push(Candidate { number, text, at, seen: run.seen, length_mm, twice, framed });
        }
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
        let [width, height] = self.placed.area_on_paper(&self.placed.face).size();
        if order.pieces.len() < 2 || width.min(height) < LEAST_LETTERED_MM {
            return taken;
        }
        for piece in order.pieces {
            let Some(at) = piece.middle_seen(&self.placed.view, &self.depth) else { continue };
            let [x, y] = self.placed.on_paper(at);
            let half = [0.35 * LETTER_MM * piece.name.chars().count() as f64, 0.5 * LETTER_MM];
            let room = Area { least: [x - half[0], y - half[1]], most: [x + half[0], y + half[1]] };
            if taken.iter().any(|other: &Area| other.meets(&room)) {
                continue;
            }
            taken.push(room);
            self.pen.words(html! {
                text x=(format!("{x:.2}")) y=(format!("{:.2}", y + 0.35 * LETTER_MM)) font-size=(LETTER_MM)
                    font-weight="bold" text-anchor="middle" stroke="#fff" stroke-width="1" paint-order="stroke" { (piece.name) }
            });
        }
        taken
    }

    /// Marks where a release is started, as far as that is seen here.
    fn starts(&mut self, order: Order<'_>) -> Vec<Area> {
        let mut taken = Vec::new();
        for &(start, at) in order.pieces.iter().flat_map(|piece| &piece.starts) {
            let [x, y, depth] = self.placed.view.seen(&at);
            if self.depth.hides([x, y, depth]) {
                continue;
            }
            let at = self.placed.on_paper([x, y]);
            match start {
                Start::Wedge => self.pen.triangle(at, WEDGE_MM),
                Start::Port => self.pen.ring(at, PORT_MM),
            }
            taken.push(Area { least: at.map(|x| x - PORT_MM), most: at.map(|x| x + PORT_MM) });
        }
        taken
    }

    /// What the view is called, below it.
    fn title(&mut self) -> Area {
        let whole = self.placed.area_on_paper(&self.placed.whole);
        let x = whole.middle()[0];
        let y = (whole.most[1] + LABELS_MM + 0.7 * TITLE_MM).min(self.placed.room.most[1] - 0.3 * TITLE_MM);
        let scale = if self.placed.scale.is_some() { "" } else { ", not to scale" };
        let text = format!("{}{scale}", self.placed.view.name);
        let half = 0.3 * NUMBER_MM * text.len() as f64;
        self.pen.words(html! {
            text x=(format!("{x:.2}")) y=(format!("{y:.2}")) font-size=(NUMBER_MM) text-anchor="middle" { (text) }
        });
        Area { least: [x - half, y - NUMBER_MM], most: [x + half, y + 0.8] }
    }

    fn numbers(&mut self, labels: &[Candidate], taken: &[Area]) {
        let wishes: Vec<Wish> = labels.iter().map(|label| Wish { at: label.at, size: size_of(&label.text) }).collect();
        let found = place(&wishes, &self.placed.room.grown(-0.5), taken, &self.ink);
        for (label, placed) in labels.iter().zip(found) {
            let Some(placed) = placed else { continue };
            self.pen.line(Stroke::Thin, &placed.leader);
            let [x, y] = placed.area.middle();
            let [width, height] = placed.area.size();
            let [left, top] = placed.area.least;
            let (stroke, rounding) = if label.framed { ("#000", "0.8") } else { ("none", "0") };
            self.pen.words(html! {
                rect x=(format!("{left:.2}")) y=(format!("{top:.2}")) width=(format!("{width:.2}")) height=(format!("{height:.2}"))
                    rx=(rounding) fill="#fff" stroke=(stroke) stroke-width="0.18" {}
                text x=(format!("{x:.2}")) y=(format!("{:.2}", y + 0.35 * NUMBER_MM)) font-size=(NUMBER_MM) text-anchor="middle"
                    { (label.text) }
            });
        }
    }
}

fn size_of(text: &str) -> [f64; 2] {
    [0.58 * NUMBER_MM * text.chars().count() as f64 + 1.6, NUMBER_MM + 1.1]
}
