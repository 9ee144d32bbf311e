//! Line drawings for paper, as SVG: hidden lines dashed, corners and pieces lettered, dimensions.
//!
//! [`subject`] says what is drawn, [`layout`] which views go where, [`one_view`] draws one of them. [`view`], [`shape`], [`depth`],
//! [`seen`] and [`labels`] serve the still pictures too.

mod chain;
pub(super) mod depth;
mod dimension;
pub(super) mod ink;
pub(super) mod labels;
mod layout;
mod numbering;
mod one_view;
mod pen;
mod scale;
pub(super) mod seen;
pub(super) mod shape;
pub(super) mod simplify;
pub(super) mod subject;
#[cfg(test)]
pub(super) mod tests;
pub(super) mod view;

use maud::{Markup, html};
use rayon::prelude::*;

use crate::geometry::mesh::Vector;
use crate::plan::{Build, PartPlan};
use crate::report::page::figure::At;
use dimension::Measure;
use layout::{Extent, Extents, FOOT_MM, ISOMETRIC, Placed, arranged};
use one_view::{Order, Sketch};
use pen::Pen;
use scale::Scale;
use subject::{Piece, Start};
use view::{Area, View};

/// What a drawing shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Room on paper, in mm.
    pub width_mm: f64,
    /// Room on paper, in mm.
    pub height_mm: f64,
    /// Draws and numbers the corners that need work.
    pub corners: bool,
    /// Gives overall dimensions.
    pub dimensions: bool,
    /// Marks where wedges start it and where air or water is let in.
    pub starts: bool,
}

/// A build of a panel, in as many views as it takes to show every corner, drawn to one scale that is stated. Its dimensions
/// do not say where plan.json holds them; see [`of_build_at`].
#[must_use]
pub fn of_build(part: &PartPlan, build: &Build, sheet: Sheet) -> Markup {
    drawn(part, build, None, sheet)
}

/// As [`of_build`]; `at` is the place of the panel in plan.json, and every dimension says where in it its figure stands.
#[must_use]
pub fn of_build_at(part: &PartPlan, build: &Build, at: &At, sheet: Sheet) -> Markup {
    drawn(part, build, Some(at), sheet)
}

fn drawn(part: &PartPlan, build: &Build, at: Option<&At>, sheet: Sheet) -> Markup {
    let pieces: Vec<Piece<'_>> = build.pieces.par_iter().map(|piece| Piece::of_plan(piece, build)).collect();
    let extents = extents(&pieces);
    let views = arranged(&extents, [sheet.width_mm, sheet.height_mm], sheet.dimensions);
    let measures = measures(part, build, at, &extents);
    let order = Order { pieces: &pieces, corners: sheet.corners, starts: sheet.starts, measures: &measures };
    let sketches: Vec<Sketch<'_>> = views.par_iter().map(|placed| Sketch::of(order, placed)).collect();
    let labels = numbering::shared_out(&sketches);
    let pens: Vec<Pen> =
        sketches.into_par_iter().zip(labels).map(|(sketch, labels)| sketch.finished(order, &labels)).collect();
    let [width, height] = [sheet.width_mm, sheet.height_mm].map(|mm| mm.max(1.0));
    let foot = foot(&views, &pieces, sheet);
    html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" width=(format!("{width}mm")) height=(format!("{height}mm"))
            viewBox=(format!("0 0 {width} {height}")) {
            title { "Drawing of " (part.name) ", " (build.make.word()) }
            desc { (described(&views, &pieces, sheet)) }
            rect width=(width) height=(height) fill="#fff" {}
            @for pen in &pens { (pen.drawn()) }
            text x="1" y=(format!("{:.2}", height - 0.3 * FOOT_MM)) font-family="sans-serif" font-size="3" fill="#000" { (foot) }
        }
    }
}

/// Scale and unit, and what the marks mean.
fn foot(views: &[Placed], pieces: &[Piece<'_>], sheet: Sheet) -> String {
    let scale = views.first().and_then(|placed| placed.scale).map(Scale::words).unwrap_or_default();
    let unit = if sheet.dimensions { ", dimensions in mm" } else { "" };
    let marked =
        |kind: Start| sheet.starts && pieces.iter().flat_map(|piece| &piece.starts).any(|start| start.0 == kind);
    let wedges = if marked(Start::Wedge) { "; triangle: wedge start" } else { "" };
    let ports = if marked(Start::Port) { "; ring: air or water port" } else { "" };
    format!("Scale {scale}{unit}{wedges}{ports}")
}

/// What the four views show. The isometric one is taken from the side above that shows most of the face.
fn extents(pieces: &[Piece<'_>]) -> Extents {
    const N_LOOKED_AT: usize = 20_000;
    let shown = |toward: &Vector| pieces.iter().map(|piece| piece.shown_mm2(toward, N_LOOKED_AT)).sum::<f64>();
    let mut best = (Vector::new(-1.0, -1.0, 1.0), f64::NEG_INFINITY);
    for toward in [[-1.0, -1.0, 1.0], [1.0, -1.0, 1.0], [-1.0, 1.0, 1.0], [1.0, 1.0, 1.0]].map(Vector::from) {
        let area = shown(&toward);
        // The first of equals, so that rounding does not choose.
        if area > best.1 * (1.0 + 1e-6) || best.1 == f64::NEG_INFINITY {
            best = (toward, area);
        }
    }
    let extent = |view: View| {
        let face = Area::round(pieces.iter().flat_map(Piece::face_points).map(|point| view.seen(point)));
        let mut whole = face;
        for point in pieces.iter().flat_map(Piece::extra_points) {
            let [x, y, _] = view.seen(point);
            whole.take_in([x, y]);
        }
        Extent { view, face, whole }
    };
    Extents {
        front: extent(View::front()),
        left: extent(View::left()),
        above: extent(View::above()),
        isometric: extent(View::from(ISOMETRIC, best.0)),
    }
}

/// What is to be seen, for those who cannot.
fn described(views: &[Placed], pieces: &[Piece<'_>], sheet: Sheet) -> String {
    let names: Vec<&str> = views.iter().map(|placed| placed.view.name).collect();
    let mut words = format!("Views {}. {}.", names.join(", "), foot(views, pieces, sheet));
    if pieces.len() > 1 {
        let names: Vec<&str> = pieces.iter().map(|piece| piece.name).collect();
        words += &format!(" Pieces {}.", names.join(", "));
    }
    let corners: Vec<&str> =
        pieces.iter().flat_map(|piece| &piece.corners).map(|corner| corner.label.as_str()).collect();
    if sheet.corners && !corners.is_empty() {
        words += &format!(" Corners {}.", corners.join(", "));
    }
    words
}

/// The overall extents along x, y and z that the plan gives for what is drawn: those of the one piece, or of the panel. Nothing
/// where the plan's figure is not that of the face drawn (the panel's box holds both sides of a thin solid).
fn measures(part: &PartPlan, build: &Build, at: Option<&At>, extents: &Extents) -> [Option<Measure>; 3] {
    const ALIKE: f64 = 1e-3;
    let number = part.builds.iter().position(|other| std::ptr::eq(other, build));
    let (size_mm, at) = match build.pieces.as_slice() {
        [piece] => {
            let of_piece = |(at, number): (&At, usize)| at.key("builds").item(number).key("pieces").item(0);
            (piece.size_mm, at.zip(number).map(of_piece))
        }
        _ => (part.size_mm, at.cloned()),
    };
    let [front, above] = [extents.front.face.size(), extents.above.face.size()];
    let drawn = [front[0], above[1], front[1]];
    [0, 1, 2].map(|axis| {
        let is_alike = (size_mm[axis] - drawn[axis]).abs() <= ALIKE * drawn[axis].max(1.0);
        let at = at.as_ref().map(|at| at.key("size_mm").item(axis));
        is_alike.then_some(Measure { mm: size_mm[axis], at })
    })
}
