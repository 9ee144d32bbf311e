//! The plan of each piece as the bench sees it.

use super::types::{Build, PartPlan, PiecePlan};
use crate::geometry::mesh::{Bounds, Point, Vector};
use crate::geometry::refine::nearest::distance_to_line_mm;
use crate::laminate::schedule::Zone;
use crate::laminate::stock::Stock;
use crate::workshop::work::{FlatWork, GelcoatWork, PieceWork, Place, PlyWork, WallWork, Work};

/// What the panels of a job take at the bench. `missing` names those that could not be planned.
#[must_use]
pub fn work(parts: &[PartPlan], missing: &[String], stock: &Stock) -> Work {
    let mut pieces = Vec::new();
    for (part_index, part) in parts.iter().enumerate() {
        for (build_index, build) in part.builds.iter().enumerate() {
            pieces.extend(build.pieces.iter().enumerate().map(|(piece_index, piece)| {
                let place = Place { part: part_index, build: build_index, piece: piece_index };
                piece_work(place, part, build, piece, stock)
            }));
        }
    }
    Work { pieces, missing: missing.to_vec() }
}

fn piece_work(place: Place, part: &PartPlan, build: &Build, piece: &PiecePlan, stock: &Stock) -> PieceWork {
    let lay_up = &piece.lay_up;
    let release = piece.release.as_ref();
    let of_edges = |figure: fn(&super::types::EdgeLine) -> f64| piece.edges.iter().map(figure).sum::<f64>();
    PieceWork {
        place,
        part: part.name.clone(),
        piece: piece.name.clone(),
        n_pieces: build.pieces.len(),
        make: build.make,
        count: build.count,
        n_hands: if part.mirrored { 2 } else { 1 },
        size_mm: piece.size_mm,
        area_m2: piece.area_m2,
        flange_m2: of_edges(|edge| edge.flange_m2) + piece.splits.iter().map(|split| split.flange_m2).sum::<f64>(),
        trim_m2: of_edges(|edge| edge.trim_m2),
        laid_across_m2: of_edges(|edge| edge.laid_across_m2),
        edge_mm: of_edges(|edge| edge.length_mm),
        flanged_mm: piece.edges.iter().filter(|edge| edge.flange_m2 > 0.0).map(|edge| edge.length_mm).sum(),
        splits: piece.splits.iter().map(|split| (split.name.clone(), split.length_mm)).collect(),
        catalyst_percent: build.plies_plan.catalyst_percent,
        gelcoat: lay_up.gelcoat.as_ref().map(|gelcoat| GelcoatWork {
            name: gelcoat.name.clone(),
            laid_m2: gelcoat.laid_m2,
            kg: gelcoat.laid_kg.likely,
            alone_kg: gelcoat.alone_kg,
            dose: gelcoat.dose,
            n_coats: gelcoat.n_coats,
        }),
        plies: plies(build, piece, stock),
        stages: build.stages.clone(),
        putty_ml: piece.filler_ml.clone(),
        corner_mm: piece.corners.iter().map(|met| met.corner.length_mm).sum(),
        thickness_mm: lay_up.thickness_mm.likely,
        mass_kg: lay_up.mass_kg,
        lifted_by: release.map(|release| release.hands),
        n_wedges: release.map_or(0, |release| release.wedges_mm.len()),
        wall: wall(piece),
        n_ports: release.map_or(0, |release| release.ports_mm.len()),
        stiffen: release
            .and_then(|release| release.flat)
            .filter(|flat| flat.stiffen)
            .map(|flat| FlatWork { area_m2: flat.area_m2, span_mm: flat.span_mm }),
    }
}

/// The corner whose closing moves what lies past it farthest. Of the two sides of a corner the shallower is its wall: from each
/// of its stations to the nearest free edge, or to another corner, as of a step in the middle of a floor.
fn wall(piece: &PiecePlan) -> Option<WallWork> {
    /// More stations than this do not find a deeper wall.
    const MOST_STATIONS: usize = 24;
    /// A deep wall stands on a long corner: of scans with thousands of short ones only the longest are looked at.
    const MOST_CORNERS: usize = 128;
    let paths: Vec<Line> =
        piece.corners.iter().map(|met| Line::along(met.corner.path.iter().map(|at| at.at_mm).collect())).collect();
    let edges: Vec<Line> =
        piece.edges.iter().flat_map(|edge| &edge.lines_mm).map(|line| Line::along(line.clone())).collect();
    if edges.is_empty() {
        return None;
    }
    let of_corner = |number: usize| {
        let met = &piece.corners[number];
        let step = met.corner.path.len().div_ceil(MOST_STATIONS).max(1);
        let stations = met.corner.path.iter().step_by(step);
        let depths = stations.map(|station| {
            let others = paths.iter().enumerate().filter(|(other, _)| *other != number).map(|(_, path)| path);
            edges.iter().chain(others).fold(f64::INFINITY, |least_mm, line| line.nearer_mm(&station.at_mm, least_mm))
        });
        let depth_mm = depths.filter(|mm| mm.is_finite()).max_by(f64::total_cmp)?;
        Some(WallWork { depth_mm, turn_deg: met.corner.turn_deg })
    };
    let mut longest: Vec<usize> = (0..piece.corners.len()).collect();
    longest.sort_by(|&a, &b| piece.corners[b].corner.length_mm.total_cmp(&piece.corners[a].corner.length_mm));
    longest.truncate(MOST_CORNERS);
    // Of walls alike the first in the order of the panel is told.
    longest.sort_unstable();
    longest.into_iter().filter_map(of_corner).max_by(|a, b| a.closes().total_cmp(&b.closes()))
}

/// A line with the box that it lies in.
struct Line {
    points_mm: Vec<Point>,
    bounds: Option<Bounds>,
}

impl Line {
    fn along(points_mm: Vec<Point>) -> Self {
        Self { bounds: Bounds::of(points_mm.iter().copied()), points_mm }
    }

    /// The distance to a point, if it is less than one that is known; else that one.
    fn nearer_mm(&self, at: &Point, least_mm: f64) -> f64 {
        let Some(Bounds { least, most }) = self.bounds else { return least_mm };
        let off = (least - at).sup(&(at - most)).sup(&Vector::zeros());
        if off.norm() >= least_mm { least_mm } else { least_mm.min(distance_to_line_mm(at, &self.points_mm)) }
    }
}

fn plies(build: &Build, piece: &PiecePlan, stock: &Stock) -> Vec<PlyWork> {
    let laid = piece.lay_up.plies.iter().enumerate();
    laid.map(|(index, ply)| PlyWork {
        ply: ply.ply,
        name: ply.name.clone(),
        material: ply.material.clone(),
        is_core: stock.cores.contains_key(&ply.material),
        is_everywhere: build.plies_plan.plies.get(index).is_some_and(|planned| planned.zone == Zone::All),
        resin: ply.resin.clone(),
        laid_m2: ply.laid_m2,
        glass_kg: ply.glass_kg,
        core_kg: ply.core_kg,
        resin_kg: ply.resin_kg.likely,
        resin_alone_kg: ply.resin_alone_kg,
        dose: ply.dose,
        roll_m: piece.roll_m.get(index).copied().unwrap_or(0.0),
    })
    .collect()
}
