//! Where each ply lies: zones cut into the piece's mesh one after the other, so that their borders are edges of it.

use super::piece::Ground;
use super::types::MetCorner;
use crate::geometry::edges::{EdgeLoop, LoopRole, length_mm};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::refine::nearest::nearest_on_segment;
use crate::geometry::refine::{Refined, cut_by_plane};
use crate::geometry::split::{Piece, Plane, on_plane_tolerance_mm};
use crate::geometry::strips::{StripEnds, strip};
use crate::geometry::topology::{HalfEdge, Topology};
use crate::laminate::coverage::{Coverage, core_share};
use crate::laminate::plies::{PlannedPly, Stuff};
use crate::laminate::schedule::{EdgeBand, EdgeChoice, Zone};
use crate::notes::Note;
use crate::units::m2_from_mm2;

/// A piece with its plies in place.
#[derive(Debug, Clone)]
pub struct Zoned {
    /// The facets; the borders of all zones are edges.
    pub refined: Refined,
    /// Plies on each facet.
    pub coverage: Coverage,
    /// What could not be laid as the schedule says.
    pub notes: Vec<Note>,
    /// Length of the lines that the bands of edge zones follow, by ply from 1.
    band_lengths_mm: Vec<f64>,
    topology: Topology,
}

/// One cut to be made, with the plies that lie inside.
struct Wanted<'a> {
    zone: &'a Zone,
    clear_mm: f64,
    plies: Vec<&'a PlannedPly>,
}

/// Lays every ply of the plan on a piece.
#[must_use]
pub fn cover(piece: &Piece, loops: &[EdgeLoop], met: &[MetCorner], ground: Ground<'_>) -> Zoned {
    let mut refined = piece.refined.clone();
    let mut notes = Vec::new();
    let mut laid: Vec<(Vec<usize>, Vec<usize>)> = Vec::new();
    let mut band_lengths_mm = vec![0.0; ground.plan.plies.len()];
    let mut cores = Vec::new();
    for wanted in distinct_zones(ground) {
        let mut marks = Vec::new();
        if let Some(marked) = zone_mark(&refined, wanted.zone, loops, met, ground) {
            refined = marked.refined;
            marks.push(marked.mark);
            notes.extend(lost_note(marked.lost_mm, &piece.name));
            wanted.plies.iter().for_each(|ply| band_lengths_mm[ply.ply - 1] = marked.length_mm);
        } else if *wanted.zone != Zone::All {
            notes.extend(empty_zone(&wanted, &piece.name));
            continue;
        }
        if wanted.clear_mm > 0.0 {
            let lines = edge_lines(loops, EdgeChoice::All);
            let marked = band_mark(&refined, &lines, wanted.clear_mm, StripEnds::Round);
            refined = marked.refined;
            let clear: Vec<bool> = refined.marks[marked.mark].iter().map(|inside| !inside).collect();
            marks.push(refined.mark(clear));
        }
        cores.extend(wanted.plies.iter().filter_map(|ply| match ply.stuff {
            Stuff::Core { taper_mm } => Some((taper_mm, marks.clone())),
            Stuff::Glass(_) | Stuff::BondingMat(_) => None,
        }));
        laid.push((wanted.plies.iter().map(|ply| ply.ply).collect(), marks));
    }
    let mut coverage = Coverage::everywhere(ground.plan, refined.mesh.faces.len());
    for (plies, marks) in &laid {
        let faces: Vec<FaceId> = refined
            .mesh
            .face_ids()
            .filter(|&face| marks.iter().all(|&mark| refined.marks[mark][face as usize]))
            .collect();
        plies.iter().for_each(|&ply| coverage.add(ply, faces.iter().copied()));
    }
    let topology = Topology::of(&refined.mesh);
    let mut zoned = Zoned { refined, coverage, notes, band_lengths_mm, topology };
    if let Some((taper_mm, marks)) = cores.first() {
        zoned.coverage.core_share = zoned.taper(*taper_mm, marks);
    }
    zoned
}

/// The zones of a plan, each once, with the plies that lie in it. Plies that lie everywhere need no cut.
fn distinct_zones<'a>(ground: Ground<'a>) -> Vec<Wanted<'a>> {
    let mut zones: Vec<Wanted<'a>> = Vec::new();
    for ply in &ground.plan.plies {
        let clear_mm = ply.clear_of_edges_mm;
        if ply.zone == Zone::All && clear_mm == 0.0 {
            continue;
        }
        match zones.iter_mut().find(|known| *known.zone == ply.zone && known.clear_mm == clear_mm) {
            Some(known) => known.plies.push(ply),
            None => zones.push(Wanted { zone: &ply.zone, clear_mm, plies: vec![ply] }),
        }
    }
    zones
}

/// A zone cut into a mesh.
struct Marked {
    /// The finer mesh.
    refined: Refined,
    /// Number of the mark of the facets inside.
    mark: usize,
    /// Length of the lines that it follows.
    length_mm: f64,
    /// Length of them that could not be drawn on the mesh.
    lost_mm: f64,
}

/// Cuts a zone into the mesh. Nothing for the whole piece, and for a zone that has nothing here.
fn zone_mark(
    refined: &Refined,
    zone: &Zone,
    loops: &[EdgeLoop],
    met: &[MetCorner],
    ground: Ground<'_>,
) -> Option<Marked> {
    match zone {
        Zone::All => None,
        Zone::Corners(strip) => {
            let lines: Vec<Vec<Point>> = met
                .iter()
                .filter(|corner| strip.takes(&corner.met))
                .map(|corner| corner.corner.path.iter().map(|station| station.at_mm).collect())
                .collect();
            (!lines.is_empty()).then(|| band_mark(refined, &lines, 0.5 * strip.width_mm, StripEnds::Square))
        }
        Zone::Edges(EdgeBand { width_mm, at }) => {
            let lines = edge_lines(loops, *at);
            (!lines.is_empty()).then(|| band_mark(refined, &lines, *width_mm, StripEnds::Round))
        }
        Zone::Above(height) => plane_mark(refined, height.axis.direction(), height.at_mm, 1.0),
        Zone::Below(height) => plane_mark(refined, height.axis.direction(), height.at_mm, -1.0),
        Zone::Beyond(plane) => {
            let plane = Plane::at(Point::from(plane.point_mm), Vector::from(plane.normal)).ok()?;
            Some(beyond(refined, &plane))
        }
        Zone::Region(name) => {
            let wanted = ground.regions.iter().position(|region| region == name)? as u32;
            let mut refined = refined.clone();
            let inside: Vec<bool> =
                refined.source_faces.iter().map(|&face| ground.face_regions[face as usize] == wanted).collect();
            if !inside.contains(&true) {
                return None;
            }
            let mark = refined.mark(inside);
            Some(Marked { refined, mark, length_mm: 0.0, lost_mm: 0.0 })
        }
    }
}

/// What lies above (`sign` 1) or below (-1) a height on an axis.
fn plane_mark(refined: &Refined, axis: [f64; 3], at_mm: f64, sign: f64) -> Option<Marked> {
    let axis = Vector::from(axis);
    let plane = Plane::at(Point::from(axis * at_mm), axis * sign).ok()?;
    Some(beyond(refined, &plane))
}

fn beyond(refined: &Refined, plane: &Plane) -> Marked {
    let cut = cut_by_plane(refined, plane, on_plane_tolerance_mm(&refined.mesh));
    let mut refined = cut.refined;
    // Facets in the plane count as beyond it.
    let mark = refined.mark(cut.sides.iter().map(|&side| side >= 0).collect());
    Marked { refined, mark, length_mm: 0.0, lost_mm: 0.0 }
}

/// What lies within a distance of some lines, along the surface.
fn band_mark(refined: &Refined, lines: &[Vec<Point>], reach_mm: f64, ends: StripEnds) -> Marked {
    let length_mm = lines.iter().map(|line| length_mm(line)).sum();
    let strip = strip(refined, lines, reach_mm, ends);
    let mut refined = strip.refined;
    let mark = refined.mark(strip.inside);
    Marked { refined, mark, length_mm, lost_mm: strip.lost_mm }
}

/// The lines of the edges that are meant.
fn edge_lines(loops: &[EdgeLoop], at: EdgeChoice) -> Vec<Vec<Point>> {
    let stretches = loops.iter().flat_map(|edge| edge.stretches.iter().map(move |stretch| (edge.role, stretch)));
    stretches
        .filter(|(role, stretch)| match at {
            EdgeChoice::All => true,
            EdgeChoice::Outer => stretch.split.is_none() && *role != LoopRole::Opening,
            EdgeChoice::Openings => stretch.split.is_none() && *role == LoopRole::Opening,
            EdgeChoice::Splits => stretch.split.is_some(),
        })
        .map(|(_, stretch)| stretch.polyline_mm.clone())
        .collect()
}

/// Lines that leave the mesh give strips with gaps.
fn lost_note(lost_mm: f64, piece: &str) -> Option<Note> {
    // A jump across a crack or a rounded end is no loss of a strip.
    const LEAST_MM: f64 = 5.0;
    (lost_mm > LEAST_MM).then(|| {
        Note::warning(
            "strip-with-gaps",
            format!("piece {piece}: {lost_mm:.0} mm of the lines that a strip follows could not be drawn on the mesh; there the strip is missing"),
            "mend the mesh there (holes, folds), or add the strip by hand",
        )
    })
}

/// A zone without a place on this piece is told, unless it follows corners or edges, which a piece may just not have.
fn empty_zone(wanted: &Wanted<'_>, piece: &str) -> Option<Note> {
    let Zone::Region(name) = wanted.zone else { return None };
    Some(Note::warning(
        "region-not-here",
        format!("piece {piece} has no facet of the region \"{name}\", so the layer is not laid on it"),
        "name a group or material of the mesh file; `matloft check` lists them",
    ))
}

impl Zoned {
    /// Area of the face under a ply.
    #[must_use]
    pub fn area_m2(&self, ply: usize) -> f64 {
        m2_from_mm2(self.coverage.faces_of(ply).map(|face| self.refined.mesh.face_area_mm2(face)).sum())
    }

    /// Length of the edges that the band of a ply follows.
    #[must_use]
    pub fn band_length_mm(&self, ply: usize) -> f64 {
        self.band_lengths_mm.get(ply - 1).copied().unwrap_or(0.0)
    }

    /// Share of the piece's border, by length, along which a ply reaches the edge: it runs on over flange and trim there.
    #[must_use]
    pub fn border_share(&self, ply: usize) -> f64 {
        let (mut whole, mut reached) = (0.0, 0.0);
        for half in self.topology.half_edges().filter(|&half| self.topology.twin(half).is_none()) {
            let length = self.side_mm(half);
            whole += length;
            if self.coverage.plies[half.face() as usize].holds(ply) {
                reached += length;
            }
        }
        if whole > 0.0 { reached / whole } else { 0.0 }
    }

    /// Length round the area of a ply.
    #[must_use]
    pub fn outline_mm(&self, ply: usize) -> f64 {
        let holds = |half: HalfEdge| self.coverage.plies[half.face() as usize].holds(ply);
        let ends_here = |&half: &HalfEdge| holds(half) && !self.topology.twin(half).is_some_and(holds);
        self.topology.half_edges().filter(ends_here).map(|half| self.side_mm(half)).sum()
    }

    fn side_mm(&self, half: HalfEdge) -> f64 {
        let [a, b] = half.ends(&self.refined.mesh).map(|point| self.refined.mesh.points_mm[point as usize]);
        (b - a).norm()
    }

    /// How much of a core is left on each facet: it thins towards its edge. The distance is that of the facet's centroid
    /// from the nearest border of the core, through the air, which over the width of a taper is that along the skin.
    fn taper(&self, taper_mm: f64, marks: &[usize]) -> Vec<f64> {
        let inside = |face: FaceId| marks.iter().all(|&mark| self.refined.marks[mark][face as usize]);
        let mesh = &self.refined.mesh;
        let border: Vec<[Point; 2]> = self
            .topology
            .half_edges()
            .filter(|half| inside(half.face()) && !self.topology.twin(*half).is_some_and(|twin| inside(twin.face())))
            .map(|half| half.ends(mesh).map(|point| mesh.points_mm[point as usize]))
            .collect();
        mesh.face_ids()
            .map(|face| {
                let [a, b, c] = mesh.corners(face);
                let middle = Point::from((a.coords + b.coords + c.coords) / 3.0);
                let to_side = |[a, b]: &[Point; 2]| (middle - nearest_on_segment(&middle, *a, *b)).norm();
                let nearest = border.iter().map(to_side).fold(f64::INFINITY, f64::min);
                core_share(nearest, taper_mm)
            })
            .collect()
    }
}
