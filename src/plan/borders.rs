//! What the border of a piece is: splits with their flanges, free edges with flange, trim or an opening.

use rustc_hash::FxHashMap;

use super::types::{EdgeLine, SplitLine};
use crate::geometry::corners::Bends;
use crate::geometry::edges::{EdgeLoop, LoopRole, Stretch, length_mm, square_band_m2, upstand};
use crate::geometry::mesh::{Mesh, Point, Vector};
use crate::geometry::split::{CutCurve, Piece, Plane, cut};
use crate::geometry::stitch::Surface;
use crate::geometry::topology::Topology;
use crate::job::{Edge, EdgeKind, JobPart};
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::units::m2_from_mm2;

/// The border of one piece, settled.
#[derive(Debug, Clone, Default)]
pub struct Borders {
    /// Splits.
    pub splits: Vec<SplitLine>,
    /// Free edges.
    pub edges: Vec<EdgeLine>,
    /// Trim along splits; that of free edges stands with them.
    pub split_trim_m2: f64,
    /// Roots of flanges: where the flange meets the face in an inside corner.
    pub roots: Vec<Root>,
}

/// Root of a flange.
#[derive(Debug, Clone, PartialEq)]
pub struct Root {
    /// What it stands at, for its name: a split or `edge`.
    pub at: String,
    /// Its line.
    pub line_mm: Vec<Point>,
    /// Width of the flange.
    pub width_mm: f64,
    /// How far its line turns in the plane of the flange, in radians: positive where its free edge gains.
    pub turning_rad: f64,
    /// Which way the skin bends there, seen from its outward side: a mould's flange stands out of the face and makes a
    /// hollow, a return flange turns back and makes an outside.
    pub bends: Bends,
}

/// Widths that hold for a panel.
#[derive(Debug, Clone, Copy)]
pub struct Widths {
    /// Flange of the mould.
    pub flange_mm: f64,
    /// Trim of the moulding.
    pub trim_mm: f64,
}

impl Widths {
    /// The panel's own, else the shop's.
    #[must_use]
    pub fn of(part: &JobPart, stock: &Stock) -> Self {
        Self { flange_mm: part.flange_mm(stock), trim_mm: part.trim_mm(stock) }
    }
}

/// A border loop of the unsplit panel and what it is.
#[derive(Debug, Clone)]
pub struct PanelEdge<'job> {
    /// The loop.
    pub edge_loop: EdgeLoop,
    /// The job's word, else what the loop's role says.
    pub kind: EdgeKind,
    /// The job's entry, if it has one for this loop.
    pub told: Option<&'job Edge>,
}

/// Settles what every border loop of a panel is, before anything is split. A word of the job goes to the loop that passes
/// nearest to its point.
#[must_use]
pub fn panel_edges(loops: Vec<EdgeLoop>, words: &[Edge]) -> Vec<PanelEdge<'_>> {
    let mut told = vec![None; loops.len()];
    for word in words {
        let point = Point::from(word.near_mm);
        let nearest =
            (0..loops.len()).min_by(|&a, &b| loops[a].distance_mm(&point).total_cmp(&loops[b].distance_mm(&point)));
        if let Some(nearest) = nearest {
            told[nearest] = Some(word);
        }
    }
    loops.into_iter().zip(told).map(|(edge_loop, told)| settled(edge_loop, told)).collect()
}

/// Words of the job that settle nothing: a later one goes to the same edge, or the panel has no free edge.
#[must_use]
pub fn idle_words(edges: &[PanelEdge<'_>], words: &[Edge]) -> Vec<Note> {
    let is_used = |word: &Edge| edges.iter().any(|edge| edge.told.is_some_and(|told| std::ptr::eq(told, word)));
    let note = |word: &Edge| {
        let near = rounded(&Point::from(word.near_mm));
        let why = if edges.is_empty() { "the panel has no free edge" } else { "another one goes to the same edge" };
        Note::warning(
            "edge-word-unused",
            format!("the [[part.edge]] near {near} is not used: {why}"),
            "move its near_mm onto the edge that is meant, or take it out",
        )
    };
    words.iter().filter(|word| !is_used(word)).map(note).collect()
}

fn settled(edge_loop: EdgeLoop, told: Option<&Edge>) -> PanelEdge<'_> {
    let kind = match (told, edge_loop.role) {
        (Some(word), _) => word.kind,
        (None, LoopRole::Opening) => EdgeKind::LaidAcross,
        // The mould of a tube has its flange at the ends too; an end without one has to be told.
        (None, LoopRole::OuterEdge | LoopRole::OpenEnd) => EdgeKind::OuterEdge,
    };
    PanelEdge { edge_loop, kind, told }
}

impl PanelEdge<'_> {
    /// What was assumed of the loop, if that costs material or a flange.
    #[must_use]
    pub fn assumption(&self) -> Option<Note> {
        if self.told.is_some() || self.edge_loop.role == LoopRole::OuterEdge {
            return None;
        }
        // A closed line repeats its first point.
        if self.edge_loop.polyline_mm.len() <= 4 {
            return Some(self.missing_facet());
        }
        let (round_mm, fill) = (self.edge_loop.length_mm, &self.edge_loop.fill);
        let near = rounded(&fill.centroid_mm);
        let (code, message) = match self.edge_loop.role {
            LoopRole::Opening => (
                "opening-laid-across",
                format!(
                    "the opening of {round_mm:.0} mm round, middle at {near}, is taken to be laid across and cut out later: {:.3} m2 more to lay",
                    fill.area_m2
                ),
            ),
            LoopRole::OpenEnd | LoopRole::OuterEdge => (
                "end-as-outer-edge",
                format!(
                    "the end of {round_mm:.0} mm round, middle at {near}, is taken for an outer edge: flange on the mould, trim on the moulding"
                ),
            ),
        };
        let on_edge = self.edge_loop.polyline_mm.first().unwrap_or(&fill.centroid_mm);
        let remedy =
            format!("if it is something else, add [[part.edge]] with near_mm = {} and its kind", rounded(on_edge));
        Some(Note::info(code, message, remedy))
    }

    /// Three-sided holes are what a facet leaves that an export lost.
    fn missing_facet(&self) -> Note {
        let fill = &self.edge_loop.fill;
        Note::warning(
            "facet-missing",
            format!(
                "a three-sided hole of {:.0} mm2 at {} looks like a facet that the export lost; it is laid across",
                crate::units::mm2_from_m2(fill.area_m2),
                rounded(&fill.centroid_mm)
            ),
            "export the panel again, or close the hole in the CAD",
        )
    }

    /// Area of the opening that each piece lays, where it is laid across: all of it on the piece that goes round it, or its
    /// parts where splits run through it.
    #[must_use]
    pub fn laid_across_m2(&self, planes: &[(String, Plane)], pieces: &[Piece]) -> Vec<f64> {
        let mut shares = vec![0.0; pieces.len()];
        if self.kind != EdgeKind::LaidAcross || pieces.is_empty() {
            return shares;
        }
        let on_loop = self.edge_loop.polyline_mm.first().copied();
        for part in cut(&Surface::stitched(&self.edge_loop.fill.mesh), planes).pieces {
            // Of the pieces on the same sides of all planes it is the one whose border runs along the opening. Where planes
            // cross inside the opening there may be none; then it is the one that differs least, so that no area is lost.
            let other_sides = |piece: usize| {
                pieces[piece].on_plus_side.iter().zip(&part.on_plus_side).filter(|(a, b)| a != b).count()
            };
            let at = part.mesh().surface_centroid_mm().or(on_loop).unwrap_or_else(Point::origin);
            let distance = |piece: usize| {
                let points = pieces[piece].mesh().points_mm.iter();
                points.map(|point| (point - at).norm_squared()).fold(f64::INFINITY, f64::min)
            };
            let least = (0..pieces.len()).map(other_sides).min();
            let candidates = (0..pieces.len()).filter(|&piece| Some(other_sides(piece)) == least);
            let nearest = candidates.map(|piece| (distance(piece), piece)).min_by(|a, b| a.0.total_cmp(&b.0));
            if let Some((_, piece)) = nearest {
                shares[piece] += part.area_m2();
            }
        }
        shares
    }
}

fn rounded(point: &Point) -> String {
    // Adding 0 turns -0 into 0.
    let [x, y, z] = [point.x, point.y, point.z].map(|coordinate| coordinate.round() + 0.0);
    format!("[{x}, {y}, {z}]")
}

/// A panel's edges and what of each opening this piece lays.
#[derive(Debug, Clone, Copy)]
pub struct EdgesHere<'a> {
    /// The panel's edges.
    pub edges: &'a [PanelEdge<'a>],
    /// For each of them, what this piece lays across it, in m2.
    pub laid_across_m2: &'a [f64],
}

/// Settles the border of a piece.
#[must_use]
pub fn borders(piece: &Piece, loops: &[EdgeLoop], here: EdgesHere<'_>, make: Make, widths: Widths) -> Borders {
    let mut borders = Borders::default();
    for cut in &piece.cuts {
        along_split(&mut borders, cut, make, widths);
    }
    let normals = BorderNormals::of(piece.mesh());
    let mut lines: Vec<Option<EdgeLine>> = vec![None; here.edges.len()];
    for edge_loop in loops {
        let closed = edge_loop.closed && edge_loop.stretches.len() == 1;
        for stretch in edge_loop.stretches.iter().filter(|stretch| stretch.split.is_none()) {
            let Some(number) = edge_of(stretch, here.edges) else { continue };
            let edge = &here.edges[number];
            let line = lines[number].get_or_insert_with(|| EdgeLine {
                kind: edge.kind,
                told: edge.told.is_some(),
                length_mm: 0.0,
                flange_m2: 0.0,
                trim_m2: 0.0,
                laid_across_m2: here.laid_across_m2[number],
                lines_mm: Vec::new(),
            });
            let run = Run { stretch, closed, edge, make, widths };
            run.add_to(line, &mut borders.roots, &normals);
        }
    }
    borders.edges = lines.into_iter().flatten().collect();
    borders
}

fn along_split(borders: &mut Borders, cut: &CutCurve, make: Make, widths: Widths) {
    let mut split =
        SplitLine { name: cut.split.clone(), length_mm: cut.length_mm, flange_m2: 0.0, lines_mm: Vec::new() };
    for line in &cut.lines {
        let strip = |width_mm: f64| {
            m2_from_mm2((width_mm * line.length_mm + 0.5 * line.turning_rad * width_mm * width_mm).max(0.0))
        };
        match make {
            Make::Mould => {
                split.flange_m2 += strip(widths.flange_mm);
                borders.roots.push(Root {
                    at: format!("split {}", cut.split),
                    line_mm: line.polyline_mm.clone(),
                    width_mm: widths.flange_mm,
                    turning_rad: line.turning_rad,
                    bends: Bends::Inward,
                });
            }
            Make::Moulding => borders.split_trim_m2 += strip(widths.trim_mm),
        }
        split.lines_mm.push(line.polyline_mm.clone());
    }
    borders.splits.push(split);
}

/// The panel's edge that a stretch of a piece's border is a part of.
fn edge_of(stretch: &Stretch, edges: &[PanelEdge<'_>]) -> Option<usize> {
    let middle = stretch.polyline_mm.get(stretch.polyline_mm.len() / 2)?;
    let distance = |number: usize| edges[number].edge_loop.distance_mm(middle);
    (0..edges.len()).min_by(|&a, &b| distance(a).total_cmp(&distance(b)))
}

/// A run of free edge of a piece.
struct Run<'a> {
    stretch: &'a Stretch,
    closed: bool,
    edge: &'a PanelEdge<'a>,
    make: Make,
    widths: Widths,
}

impl Run<'_> {
    fn add_to(&self, line: &mut EdgeLine, roots: &mut Vec<Root>, normals: &BorderNormals) {
        let (points, length) = (&self.stretch.polyline_mm, self.stretch.length_mm);
        let own_mm = self.edge.told.and_then(|word| word.width_mm);
        line.length_mm += length;
        line.lines_mm.push(points.clone());
        match (self.edge.kind, self.make) {
            (EdgeKind::OuterEdge, Make::Mould) => {
                let width_mm = own_mm.unwrap_or(self.widths.flange_mm);
                let flange = upstand(points, self.closed, &|point| normals.near(point), width_mm);
                line.flange_m2 += flange.area_m2;
                let turning_rad = flange.turning_rad;
                let (at, line_mm) = ("edge".to_owned(), points.clone());
                roots.push(Root { at, line_mm, width_mm, turning_rad, bends: Bends::Inward });
            }
            (EdgeKind::OuterEdge, Make::Moulding) => {
                let normal = &self.edge.edge_loop.fill.normal;
                line.trim_m2 += square_band_m2(points, self.closed, normal, self.widths.trim_mm);
            }
            // Plies end at a blank and are trimmed there, in the mould as in the moulding.
            (EdgeKind::BlankedOff, _) => line.trim_m2 += m2_from_mm2(length * self.widths.trim_mm),
            (EdgeKind::ReturnFlange, _) => {
                // It stands square to the skin, like a short tube: its far edge is as long as the opening's.
                let width_mm = own_mm.unwrap_or(self.widths.flange_mm);
                line.flange_m2 += m2_from_mm2(length * width_mm);
                let (at, line_mm) = ("return flange".to_owned(), points.clone());
                roots.push(Root { at, line_mm, width_mm, turning_rad: 0.0, bends: Bends::Outward });
            }
            (EdgeKind::LaidAcross | EdgeKind::OpenEnd, _) => {}
        }
    }
}

impl Root {
    /// Length of the root.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        length_mm(&self.line_mm)
    }
}

/// Normals of the skin along its border, found by place.
#[derive(Debug, Clone)]
pub struct BorderNormals {
    middles: Vec<(Point, Vector)>,
    by_place: FxHashMap<[i64; 3], Vector>,
}

impl BorderNormals {
    /// The normals along the open sides of a mesh.
    #[must_use]
    pub fn of(mesh: &Mesh) -> Self {
        let topology = Topology::of(mesh);
        let open = topology.half_edges().filter(|&half| topology.twin(half).is_none());
        let middles: Vec<(Point, Vector)> = open
            .map(|half| {
                let [a, b] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
                (nalgebra::center(&a, &b), mesh.normal(half.face()))
            })
            .collect();
        let by_place = middles.iter().map(|(middle, normal)| (Self::place(middle), *normal)).collect();
        Self { middles, by_place }
    }

    /// A border's chord is a side of a facet, so its middle is found at once, but for rounding and joined chords.
    fn place(point: &Point) -> [i64; 3] {
        [point.x, point.y, point.z].map(|coordinate| (coordinate * 100.0).round() as i64)
    }

    /// The normal of the skin at the border nearest to a point; zero if there is no border.
    #[must_use]
    pub fn near(&self, point: &Point) -> Vector {
        if let Some(normal) = self.by_place.get(&Self::place(point)) {
            return *normal;
        }
        let squared = |middle: &Point| (middle - point).norm_squared();
        let nearest = self.middles.iter().min_by(|a, b| squared(&a.0).total_cmp(&squared(&b.0)));
        nearest.map_or_else(Vector::zeros, |(_, normal)| *normal)
    }
}
