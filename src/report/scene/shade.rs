//! From values on facets to values on points, doubled where they change at an edge.

use super::{FLAT_MM, ShadedFace};
use crate::geometry::mesh::{FaceId, Mesh, PointId, Vector};
use crate::geometry::topology::{HalfEdge, Topology};
use crate::maths::{cos, exp, ln};
use crate::units::rad_from_deg;

/// What is known of each facet.
#[derive(Debug, Clone, Copy)]
pub(super) struct FacetValues<'a> {
    /// The facets.
    pub mesh: &'a Mesh,
    /// Smallest radius on each in mm; infinite where flat.
    pub radius_mm: &'a [f64],
    /// Thickness in mm.
    pub thickness_mm: &'a [f64],
    /// Zone.
    pub zone: &'a [u16],
    /// Draft at each of its corners in degrees; empty without a pull.
    pub draft_deg: &'a [[f64; 3]],
    /// Wall behind each in mm, 0 where there is none; empty where the panel has none.
    pub wall_mm: &'a [f32],
}

/// Facets that turn less than this at an edge are drawn as one round face. Smaller: a fillet that is cut at half a radian
/// (29 degrees), as coarse as CAD exports come, shows its chords; larger: edges that a hand would feel look round.
const SMOOTH_UNDER_DEG: f64 = 35.0;

/// Radii of neighbours within this share of each other are one bend whose value is smoothed over the points. Smaller: the
/// scatter of irregular facets doubles every point; larger: a fillet bleeds into the one beside it.
const ALIKE_RADIUS: f64 = 1.2;

/// Walls of neighbours within this share of each other are smoothed over the points, as radii are.
const ALIKE_WALL: f64 = 1.2;

/// Drafts that differ by less at a point, from facet to facet, are smoothed there. Smaller: what is left of the chords of a
/// coarse fillet doubles its points; larger: two flat walls that meet in a slight bend run into one another from end to end.
const ALIKE_DRAFT_DEG: f64 = 1.0;

/// Everything wider is one bend: no mat minds. Smaller: it would reach what a stiff woven minds; larger: the scatter of
/// nearly flat facets doubles points for nothing.
const WIDE_MM: f64 = 500.0;

/// Tighter than this is as good as sharp; its logarithm is kept finite.
const LEAST_MM: f64 = 1e-3;

/// Puts what is on facets onto points. Facets without area are left out.
pub(super) fn shade(values: FacetValues<'_>) -> ShadedFace {
    let mesh = values.mesh;
    let topology = Topology::of(mesh);
    let faces: Vec<Facet> = mesh.face_ids().map(|face| Facet::of(&values, face)).collect();
    let smooth_from = cos(rad_from_deg(SMOOTH_UNDER_DEG));
    let mut smooth = Groups::new(3 * faces.len());
    let mut alike = Groups::new(3 * faces.len());
    for half in topology.half_edges() {
        let Some(twin) = topology.twin(half).filter(|twin| half < *twin) else { continue };
        let (one, other) = (&faces[half.face() as usize], &faces[twin.face() as usize]);
        if !one.is_drawn() || !other.is_drawn() || one.cosine_to(other) < smooth_from {
            continue;
        }
        // The other side runs against this one: its start lies at this one's end.
        let pairs = [(half.0, next(twin).0), (next(half).0, twin.0)];
        pairs.iter().for_each(|&(a, b)| smooth.unite(a, b));
        if one.is_alike(other) {
            let near =
                |&&(a, b): &&(u32, u32)| (draft_deg(&values, a) - draft_deg(&values, b)).abs() <= ALIKE_DRAFT_DEG;
            pairs.iter().filter(near).for_each(|&(a, b)| alike.unite(a, b));
        }
    }
    collect(&values, &faces, &smooth.numbered(&faces), &alike.numbered(&faces))
}

/// Draft at a corner of a facet; 0 without a pull.
fn draft_deg(values: &FacetValues<'_>, corner: u32) -> f64 {
    values.draft_deg.get(corner as usize / 3).map_or(0.0, |drafts| drafts[corner as usize % 3])
}

/// One facet with its values.
struct Facet {
    /// Normal times twice the area.
    doubled: Vector,
    area_mm2: f64,
    radius_mm: f64,
    log_radius: f64,
    thickness_mm: f64,
    wall_mm: f64,
    zone: u16,
}

impl Facet {
    fn of(values: &FacetValues<'_>, face: FaceId) -> Self {
        let doubled = values.mesh.doubled_area_vector(face);
        let at = face as usize;
        let known_mm = values.radius_mm.get(at).copied().filter(|radius_mm| !radius_mm.is_nan());
        let radius_mm = known_mm.unwrap_or(FLAT_MM).clamp(0.0, FLAT_MM);
        Self {
            doubled,
            area_mm2: 0.5 * doubled.norm(),
            radius_mm,
            log_radius: ln(radius_mm.max(LEAST_MM)),
            thickness_mm: values.thickness_mm.get(at).copied().unwrap_or_default(),
            wall_mm: values.wall_mm.get(at).copied().map_or(0.0, f64::from),
            zone: values.zone.get(at).copied().unwrap_or_default(),
        }
    }

    fn is_drawn(&self) -> bool {
        self.area_mm2 > 0.0 && self.area_mm2.is_finite()
    }

    fn cosine_to(&self, other: &Self) -> f64 {
        self.doubled.dot(&other.doubled) / (4.0 * self.area_mm2 * other.area_mm2)
    }

    /// Whether one value may stand for both.
    fn is_alike(&self, other: &Self) -> bool {
        let (least, most) = (self.radius_mm.min(other.radius_mm), self.radius_mm.max(other.radius_mm));
        let (thin, thick) = (self.wall_mm.min(other.wall_mm), self.wall_mm.max(other.wall_mm));
        self.zone == other.zone && thick <= ALIKE_WALL * thin && (least >= WIDE_MM || most <= ALIKE_RADIUS * least)
    }
}

/// The next side of the same facet.
const fn next(half: HalfEdge) -> HalfEdge {
    let face = half.0 / 3;
    HalfEdge(3 * face + (half.0 + 1 - 3 * face) % 3)
}

/// Facet corners that belong together.
struct Groups(Vec<u32>);

impl Groups {
    fn new(n: usize) -> Self {
        Self((0..n as u32).collect())
    }

    fn root(&mut self, mut corner: u32) -> u32 {
        while self.0[corner as usize] != corner {
            let above = self.0[self.0[corner as usize] as usize];
            self.0[corner as usize] = above;
            corner = above;
        }
        corner
    }

    fn unite(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b) as usize] = a.min(b);
    }

    /// Numbers the groups of drawn facets in the order of their first corners.
    fn numbered(mut self, faces: &[Facet]) -> Numbered {
        let mut number = vec![PointId::MAX; self.0.len()];
        let mut n_groups = 0;
        for corner in 0..self.0.len() as u32 {
            if !faces[corner as usize / 3].is_drawn() {
                continue;
            }
            // The least corner of a group leads it, so that it is met first.
            let root = self.root(corner);
            if root == corner {
                number[corner as usize] = n_groups;
                n_groups += 1;
            } else {
                number[corner as usize] = number[root as usize];
            }
        }
        Numbered { of_corner: number, n_groups: n_groups as usize }
    }
}

/// Groups by number.
struct Numbered {
    /// The group of each facet corner; none of a facet that is not drawn.
    of_corner: Vec<PointId>,
    n_groups: usize,
}

/// Sums over the facets round a point.
#[derive(Clone, Copy, Default)]
struct Sums {
    area: f64,
    log_radius: f64,
    thickness: f64,
    wall: f64,
    draft: f64,
    /// Least and most, so that what is alike all round stays as it is.
    radius: [f64; 2],
    thick: [f64; 2],
    is_begun: bool,
}

impl Sums {
    fn add(&mut self, facet: &Facet, draft_deg: f64) {
        let widened = |range: [f64; 2], value: f64, begun: bool| {
            if begun { [range[0].min(value), range[1].max(value)] } else { [value, value] }
        };
        self.area += facet.area_mm2;
        self.log_radius += facet.area_mm2 * facet.log_radius;
        self.thickness += facet.area_mm2 * facet.thickness_mm;
        self.wall += facet.area_mm2 * facet.wall_mm;
        self.draft += facet.area_mm2 * draft_deg;
        self.radius = widened(self.radius, facet.radius_mm, self.is_begun);
        self.thick = widened(self.thick, facet.thickness_mm, self.is_begun);
        self.is_begun = true;
    }

    fn radius_mm(&self) -> f64 {
        let [least, most] = self.radius;
        if least == most { least } else { exp(self.log_radius / self.area).clamp(least, most) }
    }

    fn thickness_mm(&self) -> f64 {
        let [least, most] = self.thick;
        if least == most { least } else { (self.thickness / self.area).clamp(least, most) }
    }
}

/// One point for each group of corners that are alike, in the order of the facets.
fn collect(values: &FacetValues<'_>, faces: &[Facet], smooth: &Numbered, alike: &Numbered) -> ShadedFace {
    let mesh = values.mesh;
    let mut normals = vec![Vector::zeros(); smooth.n_groups];
    let mut sums = vec![Sums::default(); alike.n_groups];
    let drawn = || faces.iter().enumerate().filter(|(_, facet)| facet.is_drawn());
    for (face, facet) in drawn() {
        for corner in 3 * face..3 * face + 3 {
            normals[smooth.of_corner[corner] as usize] += facet.doubled;
            sums[alike.of_corner[corner] as usize].add(facet, draft_deg(values, corner as u32));
        }
    }
    let mut shaded = ShadedFace::default();
    for (face, facet) in drawn() {
        let corners = [0, 1, 2].map(|k| 3 * face + k);
        for (k, corner) in corners.into_iter().enumerate() {
            let number = alike.of_corner[corner] as usize;
            // Groups are numbered in the order of the facets, so that the next new one is the next point.
            if number < shaded.points_mm.len() {
                continue;
            }
            let normal = normals[smooth.of_corner[corner] as usize].try_normalize(0.0);
            shaded.points_mm.push(mesh.points_mm[mesh.faces[face][k] as usize]);
            shaded.normals.push(normal.unwrap_or(facet.doubled / (2.0 * facet.area_mm2)));
            shaded.radius_mm.push(sums[number].radius_mm());
            shaded.thickness_mm.push(sums[number].thickness_mm());
            shaded.zone.push(facet.zone);
            if !values.draft_deg.is_empty() {
                shaded.draft_deg.push(sums[number].draft / sums[number].area);
            }
            if !values.wall_mm.is_empty() {
                shaded.wall_mm.push(sums[number].wall / sums[number].area);
            }
        }
        shaded.faces.push(corners.map(|corner| alike.of_corner[corner]));
    }
    shaded
}

#[cfg(test)]
mod tests;
