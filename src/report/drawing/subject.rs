//! What is drawn of a panel: its pieces with their lines.

use std::borrow::Cow;

use super::depth::Depth;
use super::shape::{Shape, open_lines};
use super::view::View;
use crate::geometry::corners::{Corner, FoundCorners};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::refine::Refined;
use crate::laminate::remedies::{CornerFrom, MetAs};
use crate::laminate::schedule::Make;
use crate::plan::borders::BorderNormals;
use crate::plan::{Build, MetCorner, PiecePlan};
use crate::units::mm2_from_m2;

/// One piece.
#[derive(Debug)]
pub struct Piece<'a> {
    /// Its letter.
    pub name: &'a str,
    /// Its face.
    pub shape: Shape<'a>,
    /// Its free edges.
    pub borders: Vec<Cow<'a, [Point]>>,
    /// Where splits part it, with their names.
    pub splits: Vec<(&'a str, &'a [Point])>,
    /// Its corners.
    pub corners: Vec<CornerLine>,
    /// Outer edges of its flanges, and where they end.
    pub flanges: Vec<Vec<Point>>,
}

/// A corner that is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerLine {
    /// What it is called in the lists; with the letter of the piece where there are several.
    pub label: String,
    /// Its line.
    pub path_mm: Vec<Point>,
    /// Half the width of the bent strip.
    pub half_width_mm: f64,
    /// The mat goes into it or over it; nothing where that is not known.
    pub met_as: Option<MetAs>,
    /// It is where a flange meets the face.
    pub at_flange: bool,
}

impl<'a> Piece<'a> {
    /// A piece of a build.
    #[must_use]
    pub fn of_plan(piece: &'a PiecePlan, build: &Build) -> Self {
        let refined = &piece.coverage.refined;
        let prefix = if build.pieces.len() > 1 { format!("{} ", piece.name) } else { String::new() };
        let splits = piece
            .splits
            .iter()
            .flat_map(|split| split.lines_mm.iter().map(move |line| (split.name.as_str(), line.as_slice())));
        Self {
            name: &piece.name,
            shape: Shape::of(refined),
            borders: piece
                .edges
                .iter()
                .flat_map(|edge| edge.lines_mm.iter().map(|line| line.as_slice().into()))
                .collect(),
            splits: splits.collect(),
            corners: piece.corners.iter().map(|met| CornerLine::of_met(met, &prefix)).collect(),
            flanges: if build.make == Make::Mould { flanges(piece, refined) } else { Vec::new() },
        }
    }

    /// A panel that was only measured.
    #[must_use]
    pub fn of_survey(refined: &'a Refined, listed: &FoundCorners) -> Self {
        Self {
            name: "",
            shape: Shape::of(refined),
            borders: open_lines(refined).into_iter().map(Cow::Owned).collect(),
            splits: Vec::new(),
            corners: listed.corners.iter().map(CornerLine::of).collect(),
            flanges: Vec::new(),
        }
    }

    /// Of what is seen of it, the place nearest to the middle, in mm of the view.
    #[must_use]
    pub fn middle_seen(&self, view: &View, depth: &Depth) -> Option<[f64; 2]> {
        const MOST_LOOKED_AT: usize = 20_000;
        let mesh = self.shape.mesh;
        let every = mesh.faces.len() / MOST_LOOKED_AT + 1;
        let middles = mesh.face_ids().step_by(every).map(|face| {
            let [a, b, c] = mesh.corners(face);
            (view.seen(&Point::from((a.coords + b.coords + c.coords) / 3.0)), mesh.face_area_mm2(face))
        });
        let seen: Vec<_> = middles.filter(|(middle, _)| !depth.hides(*middle)).collect();
        let total_mm2: f64 = seen.iter().map(|(_, area)| area).sum();
        let mean = [0, 1].map(|axis| seen.iter().map(|(middle, area)| middle[axis] * area).sum::<f64>() / total_mm2);
        let squared = |[x, y, _]: &[f64; 3]| (x - mean[0]) * (x - mean[0]) + (y - mean[1]) * (y - mean[1]);
        let nearest = seen.iter().min_by(|a, b| squared(&a.0).total_cmp(&squared(&b.0)));
        nearest.map(|(middle, _)| [middle[0], middle[1]])
    }

    /// The points of its face.
    pub fn face_points(&self) -> impl Iterator<Item = &Point> {
        self.shape.mesh.faces.iter().flatten().map(|&point| &self.shape.mesh.points_mm[point as usize])
    }

    /// The points of what belongs to it beside the face.
    pub fn extra_points(&self) -> impl Iterator<Item = &Point> {
        self.flanges.iter().flatten()
    }
}

impl CornerLine {
    fn of(corner: &Corner) -> Self {
        Self {
            label: corner.id.clone(),
            path_mm: corner.path.iter().map(|station| station.at_mm).collect(),
            half_width_mm: 0.5 * corner.radius_mean_mm * corner.turn_deg.to_radians(),
            met_as: None,
            at_flange: false,
        }
    }

    fn of_met(met: &MetCorner, prefix: &str) -> Self {
        Self {
            label: format!("{prefix}{}", met.corner.id),
            met_as: Some(met.met.met_as),
            at_flange: met.met.from == CornerFrom::Flange,
            ..Self::of(&met.corner)
        }
    }
}

/// Outlines of flanges: out from the border along the face's normal there, as wide as area over length.
fn flanges(piece: &PiecePlan, refined: &Refined) -> Vec<Vec<Point>> {
    let normals = BorderNormals::of(&refined.mesh);
    let of_edges = piece.edges.iter().map(|edge| (edge.flange_m2, edge.length_mm, &edge.lines_mm));
    let of_splits = piece.splits.iter().map(|split| (split.flange_m2, split.length_mm, &split.lines_mm));
    let with_flange =
        of_edges.chain(of_splits).filter(|(flange_m2, length_mm, _)| *flange_m2 > 0.0 && *length_mm > 0.0);
    with_flange
        .flat_map(|(flange_m2, length_mm, lines)| {
            let width_mm = mm2_from_m2(flange_m2) / length_mm;
            lines.iter().map(move |line| (line, width_mm))
        })
        .filter_map(|(line, width_mm)| flange_outline(line, width_mm, &normals))
        .collect()
}

fn flange_outline(line: &[Point], width_mm: f64, normals: &BorderNormals) -> Option<Vec<Point>> {
    let chord_normals: Vec<Vector> =
        line.windows(2).map(|pair| normals.near(&nalgebra::center(&pair[0], &pair[1]))).collect();
    let is_closed = line.first() == line.last();
    let out = |number: usize| {
        let before = number.checked_sub(1).or(is_closed.then_some(chord_normals.len().saturating_sub(1)));
        let after = if number < chord_normals.len() { Some(number) } else { is_closed.then_some(0) };
        let sum: Vector = [before, after].into_iter().flatten().filter_map(|k| chord_normals.get(k)).sum();
        line[number] + sum.try_normalize(0.0).unwrap_or_else(Vector::zeros) * width_mm
    };
    let mut outline: Vec<Point> = (0..line.len()).map(out).collect();
    if !is_closed {
        outline.insert(0, *line.first()?);
        outline.push(*line.last()?);
    }
    Some(outline)
}
