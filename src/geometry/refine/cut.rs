//! Cuts facets where a value that runs linearly over each passes a level: a plane's distance, or a distance along the
//! surface.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::super::mesh::{FaceId, Mesh, Point, PointId};
use super::super::split::Plane;
use super::super::topology::HalfEdge;
use super::{Refined, SideOrigin};

/// A mesh whose facets lie on one side of a plane each.
#[derive(Debug, Clone)]
pub struct PlaneCut {
    /// The finer mesh.
    pub refined: Refined,
    /// For each facet, the facet of the mesh passed in.
    pub parents: Vec<FaceId>,
    /// For each facet: 1 on the side that the normal points to, -1 on the other, 0 in the plane.
    pub sides: Vec<i8>,
}

/// A mesh whose facets lie below or above a level each.
#[derive(Debug, Clone)]
pub struct LevelCut {
    /// The finer mesh.
    pub refined: Refined,
    /// For each facet, the facet of the mesh passed in.
    pub parents: Vec<FaceId>,
    /// For each facet, whether it lies at or below the level.
    pub inside: Vec<bool>,
}

/// Cuts every facet that the plane passes through. Points within `tolerance_mm` of the plane count as on it and stay
/// where they are, so the cut leaves no slivers beside them.
#[must_use]
pub fn cut_by_plane(refined: &Refined, plane: &Plane, tolerance_mm: f64) -> PlaneCut {
    let distances_mm: Vec<f64> =
        refined.mesh.points_mm.par_iter().map(|point| plane.signed_distance_mm(point)).collect();
    let (refined, parents, sides) = cut_where(refined, &distances_mm, tolerance_mm);
    PlaneCut { refined, parents, sides }
}

/// Cuts every facet in which a value, linear over each facet, passes `level`. One value per point; a value that is not
/// finite lies above every level, and the edge to it is cut in the middle if its other end lies below: give values that
/// reach past the level. Values within `tolerance` of the level count as on it.
#[must_use]
pub fn cut_at_level(refined: &Refined, values: &[f64], level: f64, tolerance: f64) -> LevelCut {
    let above: Vec<f64> = values.iter().map(|value| value - level).collect();
    let (refined, parents, sides) = cut_where(refined, &above, tolerance);
    LevelCut { refined, parents, inside: sides.iter().map(|&side| side <= 0).collect() }
}

/// Cuts facets along the line on which a value is zero; gives the finer mesh, parents, and the sign of each facet.
fn cut_where(refined: &Refined, values: &[f64], tolerance: f64) -> (Refined, Vec<FaceId>, Vec<i8>) {
    let signs: Vec<i8> = values.par_iter().map(|&value| sign(value, tolerance)).collect();
    let mesh = &refined.mesh;
    let passed = |face: &[PointId; 3]| {
        let signs = face.map(|point| signs[point as usize]);
        signs.contains(&1) && signs.contains(&-1)
    };
    if !mesh.faces.iter().any(passed) {
        let sides = mesh.faces.iter().map(|face| side_of(face.map(|point| signs[point as usize]))).collect();
        return (refined.clone(), mesh.face_ids().collect(), sides);
    }
    let mut cutter = Cutter::new(mesh, values, signs);
    for face in mesh.face_ids() {
        cutter.take(face);
    }
    let finer = refined.finer(cutter.finer, &cutter.parents, &cutter.origins);
    (finer, cutter.parents, cutter.sides)
}

fn sign(value: f64, tolerance: f64) -> i8 {
    if value > tolerance || value.is_nan() {
        1
    } else if value < -tolerance {
        -1
    } else {
        0
    }
}

/// Side of a facet that is not passed through.
fn side_of(signs: [i8; 3]) -> i8 {
    signs.into_iter().find(|&sign| sign != 0).unwrap_or(0)
}

/// A corner of a part of a facet: which point, and where on the border of the old facet it lies, as side plus fraction.
#[derive(Debug, Clone, Copy)]
struct Place {
    point: PointId,
    at: (usize, f64),
}

struct Cutter<'a> {
    mesh: &'a Mesh,
    values: &'a [f64],
    signs: Vec<i8>,
    finer: Mesh,
    parents: Vec<FaceId>,
    sides: Vec<i8>,
    origins: Vec<(FaceId, [Option<SideOrigin>; 3])>,
    /// The point on each edge that is passed, by the edge's ends, lesser first.
    new_points: FxHashMap<[PointId; 2], PointId>,
}

impl<'a> Cutter<'a> {
    fn new(mesh: &'a Mesh, values: &'a [f64], signs: Vec<i8>) -> Self {
        let n_faces = mesh.faces.len();
        Self {
            mesh,
            values,
            signs,
            finer: Mesh { points_mm: mesh.points_mm.clone(), faces: Vec::with_capacity(n_faces + n_faces / 8) },
            parents: Vec::with_capacity(n_faces + n_faces / 8),
            sides: Vec::with_capacity(n_faces + n_faces / 8),
            origins: Vec::new(),
            new_points: FxHashMap::default(),
        }
    }

    /// Takes a facet over, cut if it is passed through.
    fn take(&mut self, face: FaceId) {
        let corners = self.mesh.faces[face as usize];
        let signs = corners.map(|point| self.signs[point as usize]);
        if !(signs.contains(&1) && signs.contains(&-1)) {
            self.push(face, corners, side_of(signs));
            return;
        }
        // Turn the facet so that corner 0 is the odd one out: alone on its side, or on the level with the others apart.
        let odd =
            (0..3).find(|&k| signs[k] == 0).or_else(|| (0..3).find(|&k| signs[(k + 1) % 3] == signs[(k + 2) % 3]));
        let first = odd.expect("one of three signs differs from the other two");
        if signs[first] == 0 {
            self.cut_through_corner(face, first);
        } else {
            self.cut_off_corner(face, first);
        }
    }

    /// The line runs from a corner to the opposite side: two parts.
    fn cut_through_corner(&mut self, face: FaceId, first: usize) {
        let [a, b, c] = [first, (first + 1) % 3, (first + 2) % 3].map(|k| self.corner(face, k));
        let m = self.passing(face, (first + 1) % 3);
        let side = self.signs[b.point as usize];
        self.push_part(face, [a, b, m], side);
        self.push_part(face, [a, m, c], -side);
    }

    /// The line runs between two sides and cuts a corner off: three parts.
    fn cut_off_corner(&mut self, face: FaceId, first: usize) {
        let [a, b, c] = [first, (first + 1) % 3, (first + 2) % 3].map(|k| self.corner(face, k));
        let (p, q) = (self.passing(face, first), self.passing(face, (first + 2) % 3));
        let side = self.signs[a.point as usize];
        self.push_part(face, [a, p, q], side);
        // The four-sided rest is parted along its shorter diagonal, which keeps its parts as stout as can be.
        let length = |x: Place, y: Place| (self.at(x.point) - self.at(y.point)).norm_squared();
        if length(p, c) <= length(b, q) {
            self.push_part(face, [p, b, c], -side);
            self.push_part(face, [p, c, q], -side);
        } else {
            self.push_part(face, [p, b, q], -side);
            self.push_part(face, [b, c, q], -side);
        }
    }

    fn at(&self, point: PointId) -> Point {
        self.finer.points_mm[point as usize]
    }

    fn corner(&self, face: FaceId, k: usize) -> Place {
        Place { point: self.mesh.faces[face as usize][k], at: (k, 0.0) }
    }

    /// The point where a side passes the level: one for both facets of an edge.
    fn passing(&mut self, face: FaceId, side: usize) -> Place {
        let [start, end] = HalfEdge::new(face, side as u32).ends(self.mesh);
        let [low, high] = [start.min(end), start.max(end)];
        let fraction = fraction_at_zero(self.values[low as usize], self.values[high as usize]);
        let points = &mut self.finer.points_mm;
        let point = *self.new_points.entry([low, high]).or_insert_with(|| {
            let (from, to) = (points[low as usize], points[high as usize]);
            points.push(from + (to - from) * fraction);
            points.len() as PointId - 1
        });
        Place { point, at: (side, if start == low { fraction } else { 1.0 - fraction }) }
    }

    fn push(&mut self, parent: FaceId, corners: [PointId; 3], side: i8) -> FaceId {
        self.finer.faces.push(corners);
        self.parents.push(parent);
        self.sides.push(side);
        self.parents.len() as FaceId - 1
    }

    fn push_part(&mut self, parent: FaceId, places: [Place; 3], side: i8) {
        let face = self.push(parent, places.map(|place| place.point), side);
        let origins = [0, 1, 2].map(|k| origin_of_side(parent, places[k], places[(k + 1) % 3]));
        self.origins.push((face, origins));
    }
}

/// Which stretch of an old side runs from one place on the border to the next, if it does not run through the inside.
fn origin_of_side(parent: FaceId, from: Place, to: Place) -> Option<SideOrigin> {
    // A corner is the start of its own side and the end of the one before it.
    let ends_on = |place: Place, side: usize| match place.at {
        (own, fraction) if own == side => Some(fraction),
        (own, 0.0) if own == (side + 1) % 3 => Some(1.0),
        _ => None,
    };
    (0..3).find_map(|side| {
        let span = [ends_on(from, side)?, ends_on(to, side)?];
        Some(SideOrigin { half: HalfEdge::new(parent, side as u32), span })
    })
}

/// Where between two ends a value passes zero, as a fraction from the first.
fn fraction_at_zero(from: f64, to: f64) -> f64 {
    let fraction = from / (from - to);
    // An end without a finite value: the middle is as good as any.
    if fraction > 0.0 && fraction < 1.0 && from.is_finite() && to.is_finite() { fraction } else { 0.5 }
}
