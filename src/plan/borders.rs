//! What the border of a piece is: splits with their flanges, free edges with flange, trim or an opening.

use rustc_hash::FxHashMap;

use super::types::{EdgeLine, SplitLine};
use crate::geometry::edges::{EdgeLoop, LoopRole, length_mm, square_band_m2, upstand};
use crate::geometry::mesh::{Mesh, Point, Vector};
use crate::geometry::split::Piece;
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
    /// What was assumed.
    pub notes: Vec<Note>,
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

/// Settles the border of a piece. `chosen` holds for each loop the job's word on it, if there is one.
#[must_use]
pub fn borders(piece: &Piece, loops: &[EdgeLoop], chosen: &[Option<&Edge>], make: Make, widths: Widths) -> Borders {
    let mut borders = Borders::default();
    for cut in &piece.cuts {
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
                    });
                }
                Make::Moulding => borders.split_trim_m2 += strip(widths.trim_mm),
            }
            split.lines_mm.push(line.polyline_mm.clone());
        }
        borders.splits.push(split);
    }
    let normals = BorderNormals::of(piece.mesh());
    for (edge_loop, chosen) in loops.iter().zip(chosen) {
        free_edge(&mut borders, edge_loop, *chosen, make, widths, &normals);
    }
    borders
}

/// What a loop is: the job's word, else the loop's own role.
fn kind_of(edge_loop: &EdgeLoop, chosen: Option<&Edge>) -> EdgeKind {
    match (chosen, edge_loop.role) {
        (Some(edge), _) => edge.kind,
        (None, LoopRole::Opening) => EdgeKind::LaidAcross,
        // The mould of a tube has its flange at the ends too; an end without one has to be told.
        (None, LoopRole::OuterEdge | LoopRole::OpenEnd) => EdgeKind::OuterEdge,
    }
}

fn free_edge(
    borders: &mut Borders,
    edge_loop: &EdgeLoop,
    chosen: Option<&Edge>,
    make: Make,
    widths: Widths,
    normals: &BorderNormals,
) {
    let kind = kind_of(edge_loop, chosen);
    let free: Vec<_> = edge_loop.stretches.iter().filter(|stretch| stretch.split.is_none()).collect();
    let length: f64 = free.iter().map(|stretch| stretch.length_mm).sum();
    if free.is_empty() || length <= 0.0 {
        return;
    }
    let closed = edge_loop.closed && edge_loop.stretches.len() == 1;
    let own_mm = chosen.and_then(|edge| edge.width_mm);
    let mut line = EdgeLine {
        kind,
        told: chosen.is_some(),
        length_mm: length,
        flange_m2: 0.0,
        trim_m2: 0.0,
        laid_across_m2: 0.0,
        lines_mm: free.iter().map(|stretch| stretch.polyline_mm.clone()).collect(),
    };
    for stretch in free {
        let beside = |width_mm| upstand(&stretch.polyline_mm, closed, &|point| normals.near(point), width_mm);
        let mut root = |width_mm: f64, turning_rad: f64| {
            borders.roots.push(Root {
                at: "edge".to_owned(),
                line_mm: stretch.polyline_mm.clone(),
                width_mm,
                turning_rad,
            });
        };
        match (kind, make) {
            (EdgeKind::OuterEdge, Make::Mould) => {
                let width_mm = own_mm.unwrap_or(widths.flange_mm);
                let strip = beside(width_mm);
                line.flange_m2 += strip.area_m2;
                root(width_mm, strip.turning_rad);
            }
            (EdgeKind::OuterEdge, Make::Moulding) => {
                let normal = &edge_loop.fill.normal;
                line.trim_m2 += square_band_m2(&stretch.polyline_mm, closed, normal, widths.trim_mm);
            }
            // Plies end at a blank and are trimmed there, in the mould as in the moulding.
            (EdgeKind::BlankedOff, _) => line.trim_m2 += m2_from_mm2(stretch.length_mm * widths.trim_mm),
            (EdgeKind::ReturnFlange, _) => {
                // It stands square to the skin, like a short tube: its far edge is as long as the opening's.
                line.flange_m2 += m2_from_mm2(stretch.length_mm * own_mm.unwrap_or(widths.flange_mm));
            }
            (EdgeKind::LaidAcross | EdgeKind::OpenEnd, _) => {}
        }
    }
    if kind == EdgeKind::LaidAcross {
        // Of an opening that a split runs through, each piece lays its own share, by length of free edge.
        line.laid_across_m2 = edge_loop.fill.area_m2;
    }
    borders.notes.extend(assumption(&line, edge_loop));
    borders.edges.push(line);
}

/// An opening that was assumed to be laid across costs material, so it is told.
fn assumption(line: &EdgeLine, edge_loop: &EdgeLoop) -> Option<Note> {
    if line.told || edge_loop.role == LoopRole::OuterEdge {
        return None;
    }
    let at = edge_loop.fill.centroid_mm;
    let near = format!("[{:.0}, {:.0}, {:.0}]", at.x + 0.0, at.y + 0.0, at.z + 0.0);
    let (code, message) = match edge_loop.role {
        LoopRole::Opening => (
            "opening-laid-across",
            format!(
                "the opening of {:.0} mm round, middle at {near}, is taken to be laid across and cut out later: {:.3} m2 more to lay",
                line.length_mm, line.laid_across_m2
            ),
        ),
        LoopRole::OpenEnd | LoopRole::OuterEdge => (
            "end-as-outer-edge",
            format!(
                "the end of {:.0} mm round, middle at {near}, is taken for an outer edge: flange on the mould, trim on the moulding",
                line.length_mm
            ),
        ),
    };
    let on_edge = edge_loop.polyline_mm.first().copied().unwrap_or(at);
    let remedy = format!(
        "if it is something else, add [[part.edge]] with near_mm = [{:.0}, {:.0}, {:.0}] and its kind",
        on_edge.x + 0.0,
        on_edge.y + 0.0,
        on_edge.z + 0.0
    );
    Some(Note::info(code, message, remedy))
}

/// For each loop of each piece the job's word on it: a word goes to the loop that passes nearest to its point.
#[must_use]
pub fn choose<'job>(loops: &[Vec<EdgeLoop>], edges: &'job [Edge]) -> Vec<Vec<Option<&'job Edge>>> {
    let mut chosen: Vec<Vec<Option<&Edge>>> = loops.iter().map(|loops| vec![None; loops.len()]).collect();
    for edge in edges {
        let point = Point::from(edge.near_mm);
        let mut best = (f64::INFINITY, None);
        for (piece, loops) in loops.iter().enumerate() {
            for (number, edge_loop) in loops.iter().enumerate() {
                let distance_mm = edge_loop.distance_mm(&point);
                if distance_mm < best.0 {
                    best = (distance_mm, Some((piece, number)));
                }
            }
        }
        if let Some((piece, number)) = best.1 {
            chosen[piece][number] = Some(edge);
        }
    }
    chosen
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
