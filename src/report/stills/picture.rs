//! One picture: the face with light on it, its lines, its corners numbered, a scale bar.

use super::angles::is_seen;
use super::canvas::{ACCENT, Canvas, FINE, INK, WHITE, dashed, mixed};
use super::corner_band::tint;
use super::file;
use super::legend::{Entry, draw as draw_legend, scale_bar};
use super::shade::{Smooth, shade};
use super::words::{draw as draw_words, size as size_of_words};
use crate::geometry::mesh::Point;
use crate::laminate::remedies::MetAs;
use crate::laminate::schedule::Make;
use crate::report::drawing::depth::Depth;
use crate::report::drawing::ink::Ink;
use crate::report::drawing::labels::{Placed, Wish, place};
use crate::report::drawing::seen::{Run, runs, share_of};
use crate::report::drawing::simplify::simplified;
use crate::report::drawing::subject::{CornerLine, Piece};
use crate::report::drawing::view::{Area, View};

/// Size of every picture in pixels.
pub const WIDTH_PX: usize = 960;
/// See [`WIDTH_PX`].
pub const HEIGHT_PX: usize = 640;
/// Room for labels left, right and above.
const MARGIN_PX: f64 = 62.0;
/// Room below, for the scale bar too.
const FOOT_PX: f64 = 92.0;
/// Height of the capitals of numbers: 7 pixels where the picture is shown 360 wide.
const NUMBER_PX: f64 = 19.0;
/// Height of the letters of pieces.
const LETTER_PX: f64 = 24.0;
/// Creases and outlines shorter than this are left out: on coarse facets they come in scraps along fillets.
const SHORTEST_EDGE_PX: f64 = 12.0;
/// Squares in which is kept what is drawn already, in squares of the canvas.
const INK_SQUARES: f64 = 8.0;

/// What a panel's pictures show.
#[derive(Debug)]
pub struct Subject<'a> {
    /// What is built; nothing of a panel that was only measured.
    pub make: Option<Make>,
    /// The pieces.
    pub pieces: Vec<Piece<'a>>,
    /// Their normals.
    pub smooth: Vec<Smooth>,
    /// The corners of all of them.
    pub corners: Vec<CornerLine>,
    /// Where the mould is split and the moulding is not.
    pub mould_splits: Vec<(&'a str, &'a [Point])>,
}

/// A picture, and what of the panel is to be seen in it.
#[derive(Debug)]
pub struct Picture {
    /// From where.
    pub view: View,
    /// The file.
    pub png: Vec<u8>,
    /// For each corner whether enough of it is seen.
    pub corner_seen: Vec<bool>,
    /// For each corner whether its number stands in the picture.
    pub corner_numbered: Vec<bool>,
    /// Where labels, letters, scale bar and legend stand, in squares of the canvas.
    #[cfg(test)]
    pub labels: Vec<Area>,
}

/// Takes the picture.
#[must_use]
pub fn taken(subject: &Subject<'_>, view: &View) -> Picture {
    let mut easel = Easel::with(subject, view);
    easel.faces();
    easel.edges();
    let legend = easel.splits();
    let (corner_seen, mut wishes) = easel.corners();
    wishes.extend(easel.split_names());
    let (_labels, corner_numbered) = easel.labels(&wishes, &legend);
    Picture {
        view: *view,
        png: file::png(&easel.canvas),
        corner_seen,
        corner_numbered,
        #[cfg(test)]
        labels: _labels,
    }
}

struct Easel<'a> {
    subject: &'a Subject<'a>,
    view: &'a View,
    depth: Depth,
    canvas: Canvas,
    ink: Ink,
}

/// A label that is wanted.
struct Wanted {
    text: String,
    at: [f64; 2],
    /// The corner that it names; otherwise a split.
    corner: Option<usize>,
}

fn fine(px: f64) -> f64 {
    px * FINE as f64
}

impl<'a> Easel<'a> {
    fn with(subject: &'a Subject<'a>, view: &'a View) -> Self {
        let (width, height) = (WIDTH_PX * FINE, HEIGHT_PX * FINE);
        let whole = Area::round(subject.pieces.iter().flat_map(Piece::face_points).map(|point| view.seen(point)));
        let room = Area {
            least: [fine(MARGIN_PX), fine(FOOT_PX)],
            most: [width as f64 - fine(MARGIN_PX), height as f64 - fine(MARGIN_PX)],
        };
        let fits = |axis: usize| room.size()[axis] / whole.size()[axis];
        let per_mm = fits(0).min(fits(1));
        // A panel without extent is a dot.
        let per_mm = if per_mm.is_finite() { per_mm } else { 1.0 };
        let least = [0, 1].map(|axis| whole.middle()[axis] - room.middle()[axis] / per_mm);
        let depth = Depth::sized(least, [width, height], per_mm);
        let paper = Area::at([0.0; 2], [width as f64, height as f64]);
        Self { subject, view, depth, canvas: Canvas::white(width, height), ink: Ink::over(&paper, INK_SQUARES) }
    }

    fn faces(&mut self) {
        for (piece, smooth) in self.subject.pieces.iter().zip(&self.subject.smooth) {
            shade(&piece.shape, smooth, self.view, &mut self.depth, &mut self.canvas);
        }
        tint(&self.subject.corners, self.view, &self.depth, &mut self.canvas);
    }

    /// The seen parts of a line, on the canvas.
    fn runs(&self, line: &[Point]) -> Vec<Run> {
        let mut runs = runs(line, self.view, &self.depth);
        for run in &mut runs {
            let placed: Vec<[f64; 2]> = run
                .points
                .iter()
                .map(|&[x, y]| {
                    let [x, y, _] = self.depth.place([x, y, 0.0]);
                    [x, y]
                })
                .collect();
            run.points = simplified(&placed, 0.4);
        }
        runs
    }

    fn seen(&self, line: &[Point]) -> Vec<Run> {
        self.runs(line).into_iter().filter(|run| run.seen).collect()
    }

    /// Draws the edges of the face.
    fn edges(&mut self) {
        let subject = self.subject;
        for piece in &subject.pieces {
            let outline = piece.shape.outline(self.view);
            let creases = piece.shape.creases.iter().map(|line| (line.as_slice(), 1.1, SHORTEST_EDGE_PX));
            let outlines = outline.iter().map(|line| (line.as_slice(), 1.5, SHORTEST_EDGE_PX));
            let borders = piece.borders.iter().map(|line| (line.as_ref(), 1.8, 0.0));
            for (line, width_px, shortest_px) in creases.chain(outlines).chain(borders) {
                let runs = self.runs(line);
                if runs.iter().map(Run::length).sum::<f64>() < fine(shortest_px) {
                    continue;
                }
                for run in runs.iter().filter(|run| run.seen) {
                    self.canvas.line(&run.points, fine(width_px), INK);
                    self.ink.draw(&run.points);
                }
            }
        }
    }

    /// Draws the splits, and says what the legend has to explain.
    fn splits(&mut self) -> Vec<Entry> {
        let subject = self.subject;
        let mut legend = Vec::new();
        let own = subject.pieces.iter().flat_map(|piece| &piece.splits);
        for (entry, lines) in
            [(Entry::Split, own.collect::<Vec<_>>()), (Entry::MouldSplit, subject.mould_splits.iter().collect())]
        {
            for (_, line) in lines {
                for run in self.seen(line) {
                    entry.draw(&mut self.canvas, &run.points);
                    self.ink.draw(&run.points);
                    if !legend.contains(&entry) {
                        legend.push(entry);
                    }
                }
            }
        }
        for corner in &subject.corners {
            let entry = Entry::of_corner(corner.met_as);
            if !legend.contains(&entry) {
                legend.push(entry);
            }
        }
        legend
    }

    /// Draws the corners; says which are seen, and where each is best pointed at.
    fn corners(&mut self) -> (Vec<bool>, Vec<Wanted>) {
        let subject = self.subject;
        let mut wanted = Vec::new();
        let mut corner_seen = Vec::with_capacity(subject.corners.len());
        for (number, corner) in subject.corners.iter().enumerate() {
            let all = self.runs(&corner.path_mm);
            corner_seen.push(is_seen(&all));
            let seen: Vec<Run> = all.into_iter().filter(|run| run.seen).collect();
            for run in &seen {
                Entry::of_corner(corner.met_as).draw(&mut self.canvas, &run.points);
                self.ink.draw(&run.points);
            }
            if let (true, Some(at)) = (corner_seen[number], best_place(&seen, number)) {
                wanted.push(Wanted { text: corner.label.clone(), at, corner: Some(number) });
            }
        }
        (corner_seen, wanted)
    }

    /// Every split is named once.
    fn split_names(&self) -> Vec<Wanted> {
        let own = self.subject.pieces.iter().flat_map(|piece| &piece.splits);
        let mut wanted: Vec<Wanted> = Vec::new();
        for &(name, line) in own.chain(&self.subject.mould_splits) {
            let text = short_name(name);
            if wanted.iter().any(|other| other.text == text) {
                continue;
            }
            if let Some(at) = best_place(&self.seen(line), self.subject.corners.len() + wanted.len()) {
                wanted.push(Wanted { text, at, corner: None });
            }
        }
        wanted
    }

    /// Draws scale bar, legend, letters and numbers.
    fn labels(&mut self, wanted: &[Wanted], legend: &[Entry]) -> (Vec<Area>, Vec<bool>) {
        let mut taken = vec![scale_bar(&mut self.canvas, self.depth.per_mm)];
        let legend = draw_legend(&mut self.canvas, legend, &taken[0]);
        taken.extend(legend);
        taken.extend(self.letters());
        let sizes: Vec<[f64; 2]> = wanted.iter().map(|label| boxed(&label.text)).collect();
        let wishes: Vec<Wish> = wanted.iter().zip(sizes).map(|(label, size)| Wish { at: label.at, size }).collect();
        let frame = Area::at([0.0; 2], [self.canvas.width as f64, self.canvas.height as f64]).grown(-fine(6.0));
        let found = place(&wishes, &frame, &taken, &self.ink);
        let mut numbered = vec![false; self.subject.corners.len()];
        let placed: Vec<(&Wanted, Placed)> =
            wanted.iter().zip(&found).filter_map(|(label, placed)| placed.map(|placed| (label, placed))).collect();
        for (_, Placed { leader, .. }) in &placed {
            self.canvas.line(leader, fine(3.6), WHITE);
        }
        for (label, Placed { leader, .. }) in &placed {
            self.canvas.line(leader, fine(1.3), INK);
            self.canvas.disc(leader[1], fine(3.2), INK);
            if let Some(number) = label.corner {
                numbered[number] = true;
            }
        }
        for (label, placed) in &placed {
            self.label(label, &placed.area);
        }
        (placed.iter().map(|(_, placed)| placed.area).chain(taken).collect(), numbered)
    }

    fn label(&mut self, label: &Wanted, area: &Area) {
        let edge = if label.corner.is_some() { ACCENT } else { mixed(INK, WHITE, 0.5) };
        self.canvas.rectangle(&area.grown(fine(1.5)), edge);
        self.canvas.rectangle(area, WHITE);
        draw_words(&mut self.canvas, &label.text, area.middle(), fine(NUMBER_PX), INK);
    }

    /// Letters the pieces where there are several, each on a dark disc in the middle of what is seen of it.
    fn letters(&mut self) -> Vec<Area> {
        let mut taken = Vec::new();
        let subject = self.subject;
        if subject.pieces.len() < 2 {
            return taken;
        }
        for piece in &subject.pieces {
            let Some(at) = piece.middle_seen(self.view, &self.depth) else { continue };
            let [x, y, _] = self.depth.place([at[0], at[1], 0.0]);
            let half = 0.5 * size_of_words(piece.name, fine(LETTER_PX))[0].max(fine(LETTER_PX)) + fine(8.0);
            self.canvas.disc([x, y], half, WHITE);
            self.canvas.disc([x, y], half - fine(2.0), INK);
            draw_words(&mut self.canvas, piece.name, [x, y], fine(LETTER_PX), WHITE);
            taken.push(Area { least: [x - half, y - half], most: [x + half, y + half] });
        }
        taken
    }
}

impl Entry {
    /// How a corner is drawn.
    const fn of_corner(met_as: Option<MetAs>) -> Self {
        match met_as {
            Some(MetAs::Inside) => Self::Inside,
            Some(MetAs::Outside) => Self::Outside,
            None => Self::Corner,
        }
    }

    /// Draws a line of this kind.
    pub fn draw(self, canvas: &mut Canvas, line: &[[f64; 2]]) {
        match self {
            Self::Split | Self::MouldSplit => {
                canvas.line(line, fine(4.2), WHITE);
                for dash in dashed(line, fine(16.0), fine(6.0)) {
                    canvas.line(&dash, fine(2.4), INK);
                }
            }
            Self::Outside | Self::Corner => {
                canvas.line(line, fine(6.0), INK);
                canvas.line(line, fine(3.8), ACCENT);
            }
            Self::Inside => {
                canvas.line(line, fine(6.0), INK);
                canvas.line(line, fine(3.8), WHITE);
                for dash in dashed(line, fine(12.0), fine(9.0)) {
                    canvas.line(&dash, fine(3.8), ACCENT);
                }
            }
        }
    }
}

/// A place about the middle of the longest run that is seen.
fn best_place(seen: &[Run], number: usize) -> Option<[f64; 2]> {
    let longest = seen.iter().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    longest.at(share_of(number))
}

fn boxed(text: &str) -> [f64; 2] {
    let [width, height] = size_of_words(text, fine(NUMBER_PX));
    [width + fine(14.0), height + fine(13.0)]
}

/// Names of splits are cut where they would fill the picture.
fn short_name(name: &str) -> String {
    const MOST: usize = 16;
    if name.chars().count() <= MOST {
        name.to_owned()
    } else {
        name.chars().take(MOST - 2).chain("..".chars()).collect()
    }
}
