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
    /// Where its release is started.
    pub starts: Vec<(Start, Point)>,
}

/// How a release is started at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// A wedge is driven in.
    Wedge,
    /// Air or water is let in.
    Port,
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
            starts: starts(piece, build.make),
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
            starts: Vec::new(),
        }
    }

    /// Of what is seen of it, the place nearest to the middle, in mm of the view; nothing if most of it is hidden.
    #[must_use]
    pub fn middle_seen(&self, view: &View, depth: &Depth) -> Option<[f64; 2]> {
        const MOST_LOOKED_AT: usize = 20_000;
        // A letter on the sliver that shows behind another piece would name the wrong one.
        const LEAST_SEEN: f64 = 0.3;
        let mesh = self.shape.mesh;
        let every = mesh.faces.len() / MOST_LOOKED_AT + 1;
        let middles = mesh.face_ids().step_by(every).map(|face| {
            let [a, b, c] = mesh.corners(face);
            (view.seen(&Point::from((a.coords + b.coords + c.coords) / 3.0)), mesh.face_area_mm2(face))
        });
        let all: Vec<_> = middles.collect();
        let seen: Vec<_> = all.iter().filter(|(middle, _)| !depth.hides(*middle)).collect();
        let total_mm2: f64 = seen.iter().map(|(_, area)| area).sum();
        if total_mm2 < LEAST_SEEN * all.iter().map(|(_, area)| area).sum::<f64>() {
            return None;
        }
        let mean = [0, 1].map(|axis| seen.iter().map(|(middle, area)| middle[axis] * area).sum::<f64>() / total_mm2);
        let squared = |[x, y, _]: &[f64; 3]| (x - mean[0]) * (x - mean[0]) + (y - mean[1]) * (y - mean[1]);
        let nearest = seen.iter().min_by(|a, b| squared(&a.0).total_cmp(&squared(&b.0)));
        nearest.map(|(middle, _)| [middle[0], middle[1]])
    }

    /// Area of the outer side as seen from a direction, from about so many of its facets.
    #[must_use]
    pub fn shown_mm2(&self, toward: &Vector, n_looked_at: usize) -> f64 {
        let mesh = self.shape.mesh;
        let faces = mesh.face_ids().step_by(mesh.faces.len() / n_looked_at.max(1) + 1);
        0.5 * faces.map(|face| mesh.doubled_area_vector(face).dot(toward).max(0.0)).sum::<f64>()
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

/// Ports are the mould's: a moulding is blown out through those.
fn starts(piece: &PiecePlan, make: Make) -> Vec<(Start, Point)> {
    let Some(release) = &piece.release else { return Vec::new() };
    let ports = release.ports_mm.iter().filter(|_| make == Make::Mould).map(|&at| (Start::Port, at));
    release.wedges_mm.iter().map(|&at| (Start::Wedge, at)).chain(ports).collect()
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
    let chords: Vec<(f64, Vector)> = line
        .windows(2)
        .map(|pair| ((pair[1] - pair[0]).norm(), normals.near(&nalgebra::center(&pair[0], &pair[1]))))
        .collect();
    let is_closed = line.first() == line.last();
    let mut outline: Vec<Point> = (0..line.len())
        .map(|number| {
            let normal = mean_normal(&chords, number, SMOOTHED_WIDTHS * width_mm, is_closed);
            line[number] + normal.try_normalize(0.0).unwrap_or_else(Vector::zeros) * width_mm
        })
        .collect();
    if !is_closed {
        outline.insert(0, *line.first()?);
        outline.push(*line.last()?);
    }
    Some(outline)
}

/// A flange follows the mean of the face's normals within so many of its widths to both sides. Less: its edge shows every
/// facet of the fillet that it stands on; more: it is rounded off where the border turns a corner.
const SMOOTHED_WIDTHS: f64 = 0.35;

/// Mean of the normals of the chords that lie within a reach of a point of the line, by their length.
fn mean_normal(chords: &[(f64, Vector)], number: usize, reach_mm: f64, is_closed: bool) -> Vector {
    let n = chords.len();
    let mut sum = Vector::zeros();
    let mut add = |steps: &mut dyn Iterator<Item = usize>| {
        let mut left = reach_mm;
        for (length, normal) in steps.map(|chord| chords[chord]) {
            sum += normal * length.min(left).max(1e-9);
            left -= length;
            if left <= 0.0 {
                break;
            }
        }
    };
    if is_closed {
        add(&mut (0..n).map(|step| (number + step) % n));
        add(&mut (0..n).map(|step| (number + 2 * n - 1 - step) % n));
    } else {
        add(&mut (number..n));
        add(&mut (0..number).rev());
    }
    sum
}
