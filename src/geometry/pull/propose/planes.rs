//! Many planes tried on gathered normals, and the best of them moved to where they do best.

use rayon::prelude::*;

use super::sides::Straddled;
use super::slabs::{Celled, Slabs};
use crate::geometry::axes::{principal_axes, spread};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::pull::best::spread_direction;
use crate::geometry::pull::cone::{Cone, cone};
use crate::geometry::pull::facing::{Face, Facing};
use crate::geometry::pull::{LEFT_OUT_SHARE, NO_DRAFT_DEG};
use crate::geometry::split::Plane;
use crate::maths::{cos, sin};
use crate::units::rad_from_deg;

/// Normals tried beside the axes and the shape's own, over half the sphere.
const N_NORMALS: usize = 30;
/// Planes tried along each normal.
const N_OFFSETS: usize = 23;
/// Share of a piece's area that may be left out of its draft while planes are ranked: facets that a plane cuts count on both
/// sides then.
const RANKED_SHARE: f64 = 2e-3;
/// A piece of a smaller share of the face is no piece.
const LEAST_PIECE: f64 = 0.02;
/// How finely a plane is moved, and told.
const MOVED_TO_MM: f64 = 0.01;
/// A plane moves for no less than this, in the sine of the draft; else it wanders off a place that is exact by a hair.
const BETTER_SINE: f64 = 1e-4;
/// Largest flats whose normals, and whose bisectors, planes are square to; each holds at least [`LEAST_PIECE`] of the face.
/// A box that lies askew is parted along its own edges so, and a tray from corner to corner.
const N_FLATS: usize = 6;
const N_BISECTED: usize = 4;
/// Cells a side of the octahedron in which flats are looked for: about 3 degrees each.
const FLAT_CELLS: u32 = 64;
/// Cells a side of the octahedron by which planes are ranked, about 1.4 degrees each: few enough to try hundreds of planes.
const WIDE_CELLS: u32 = 128;
/// Cells by which they are moved, for what no plane of the range cuts: about 0.2 degrees each, and of a face of more facets than
/// [`LARGE_FACE`] 0.7, since a rounded one fills hundreds of thousands of the finer.
const FINE_CELLS: u32 = 1024;
const FINE_CELLS_OF_LARGE: u32 = 256;
pub const LARGE_FACE: usize = 100_000;
/// Normals nearer than this are one.
const SAME_NORMAL_DEG: f64 = 0.25;

/// A plane that was tried.
#[derive(Debug, Clone, Copy)]
pub struct Tried {
    pub normal: Vector,
    pub offset_mm: f64,
    /// Distance to the next plane tried.
    step_mm: f64,
    /// How many planes lie between it and the middle one.
    off_middle: usize,
    /// Sine of the least draft of what it leaves, roughly.
    score: f64,
    /// Area of the larger side that it frees by itself, and whether that is the side above.
    pub frees: Option<(f64, bool)>,
}

/// A face with its normals in cells: wide ones by which planes are ranked, and fine ones by which they are moved.
#[derive(Debug)]
struct Part<'a> {
    face: &'a Face<'a>,
    wide: Celled,
    fine: Celled,
}

impl<'a> Part<'a> {
    fn of(face: &'a Face<'a>) -> Self {
        let n_cells = if face.areas_mm2.len() > LARGE_FACE { FINE_CELLS_OF_LARGE } else { FINE_CELLS };
        Self { face, wide: Celled::of(face, WIDE_CELLS), fine: Celled::of(face, n_cells) }
    }
}

/// What planes are tried on: one face, or the pieces of one that lock.
#[derive(Debug)]
pub struct Ground<'a> {
    faces: Vec<Part<'a>>,
}

impl<'a> Ground<'a> {
    /// From faces that have to be freed all of them.
    pub fn of(faces: impl IntoIterator<Item = &'a Face<'a>>) -> Self {
        Self { faces: faces.into_iter().map(Part::of).collect() }
    }

    /// Every plane of the grid, best first; of equal ones the first tried.
    pub fn ranked(&self) -> Vec<Tried> {
        self.ranked_of(&self.normals(), f64::NEG_INFINITY)
    }

    /// The planes square to the axes and to what the shape itself is square to that promise a sine of the draft, best first.
    pub fn ranked_of_own(&self, least_sine: f64) -> Vec<Tried> {
        let mut tried = self.ranked_of(&self.own_normals(), least_sine);
        tried.retain(|tried| tried.score >= least_sine);
        tried
    }

    fn ranked_of(&self, normals: &[Vector], least_sine: f64) -> Vec<Tried> {
        let per_normal: Vec<Vec<Tried>> = normals.par_iter().map(|normal| self.along(normal, least_sine)).collect();
        // Of planes that do the same the one nearest to the middle of its normal's range, and one of each normal before a second.
        let mut turns: Vec<(usize, usize, Tried)> = Vec::new();
        for (number, mut tried) in per_normal.into_iter().enumerate() {
            tried.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.off_middle.cmp(&b.off_middle)));
            turns.extend(tried.into_iter().enumerate().map(|(turn, tried)| (turn, number, tried)));
        }
        turns.sort_by(|a, b| (a.0.cmp(&b.0)).then(b.2.score.total_cmp(&a.2.score)).then(a.1.cmp(&b.1)));
        turns.into_iter().map(|(.., tried)| tried).collect()
    }

    /// Normals of the planes tried: the shape's own, then more over half the sphere.
    pub fn normals(&self) -> Vec<Vector> {
        let mut normals = self.own_normals();
        let spread =
            (0..2 * N_NORMALS).map(|number| spread_direction(number, 2 * N_NORMALS)).filter(|normal| normal.z > 0.0);
        normals.extend(spread);
        normals
    }

    /// The axes first, then the normals of the shape's flats, what bisects these, the shape's own axes.
    fn own_normals(&self) -> Vec<Vector> {
        let mut normals = vec![Vector::x(), Vector::y(), Vector::z()];
        let same = cos(rad_from_deg(SAME_NORMAL_DEG));
        let mut add = |normal: Vector| {
            if !normals.iter().any(|other| other.dot(&normal).abs() >= same) {
                normals.push(normal);
            }
        };
        for Part { face, .. } in &self.faces {
            let facing = face.facing_of_facets().gathered(FLAT_CELLS);
            let mut flats: Vec<usize> =
                (0..facing.len()).filter(|&k| facing.weights_mm2[k] >= LEAST_PIECE * facing.whole_mm2).collect();
            flats.sort_by(|&a, &b| facing.weights_mm2[b].total_cmp(&facing.weights_mm2[a]).then(a.cmp(&b)));
            flats.truncate(N_FLATS);
            flats.iter().for_each(|&flat| add(facing.normals[flat]));
            let few = &flats[..flats.len().min(N_BISECTED)];
            for (number, &one) in few.iter().enumerate() {
                for &other in &few[number + 1..] {
                    let (one, other) = (facing.normals[one], facing.normals[other]);
                    [one + other, one - other].iter().filter_map(|sum| sum.try_normalize(0.1)).for_each(&mut add);
                }
            }
            let weighed = facing.normals.iter().copied().zip(facing.weights_mm2.iter().copied());
            principal_axes(spread(weighed)).iter().for_each(|axis| add(axis.direction));
        }
        normals
    }

    /// The planes square to a normal. Of one that leaves less than a sine of the draft above it what lies below is not looked at.
    fn along(&self, normal: &Vector, least_sine: f64) -> Vec<Tried> {
        let points = self.faces.iter().flat_map(|part| &part.face.mesh().points_mm);
        let extents = points.map(|point| point.coords.dot(normal));
        let (low, high) = extents.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        let step_mm = (high - low) / (N_OFFSETS + 1) as f64;
        if step_mm.is_nan() || step_mm <= 0.0 {
            return Vec::new();
        }
        let offsets: Vec<f64> = (1..=N_OFFSETS).map(|k| low + step_mm * k as f64).collect();
        let mut scores = [f64::INFINITY; N_OFFSETS];
        let mut frees: Vec<Option<(f64, bool)>> = vec![None; N_OFFSETS];
        for Part { face, wide, .. } in &self.faces {
            let least_mm2 = LEAST_PIECE * face.areas_mm2.iter().sum::<f64>();
            let slabs = Slabs::of(wide, face, normal, offsets.clone());
            for (number, (_, above, below)) in slabs.sides().into_iter().enumerate() {
                // A plane that parts next to nothing off leaves the piece as it was.
                if above.whole_mm2 < least_mm2 || below.whole_mm2 < least_mm2 {
                    scores[number] = f64::NEG_INFINITY;
                    continue;
                }
                let one = quick(&above, normal, RANKED_SHARE);
                if one < least_sine {
                    scores[number] = f64::NEG_INFINITY;
                    continue;
                }
                let other = quick(&below, &-normal, RANKED_SHARE);
                scores[number] = scores[number].min(one.min(other));
                let freed = |sine: f64, side: &Facing, is_above| (sine >= none()).then_some((side.whole_mm2, is_above));
                let larger = [freed(one, &above, true), freed(other, &below, false), frees[number]];
                frees[number] = larger.into_iter().flatten().max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            }
        }
        let tried = |number: usize| Tried {
            normal: *normal,
            offset_mm: offsets[number],
            step_mm,
            off_middle: number.abs_diff(N_OFFSETS / 2),
            score: scores[number],
            frees: frees[number],
        };
        (0..N_OFFSETS).filter(|&number| scores[number] > f64::NEG_INFINITY).map(tried).collect()
    }

    /// The plane moved along its normal to where the least draft is greatest, on facets cut exactly, with the sine of that draft,
    /// roughly.
    pub fn moved(&self, tried: &Tried) -> (Plane, f64) {
        let mut straddled = self.straddled(tried);
        let score = |straddled: &[Straddled<'_>], offset_mm: f64| {
            let drafts = straddled.iter().map(|straddled| {
                let (above, below) = straddled.sides(offset_mm);
                let draft = |facing: &Facing, off_plane: &Vector| quick(facing, off_plane, LEFT_OUT_SHARE);
                draft(&above, &tried.normal).min(draft(&below, &-tried.normal))
            });
            drafts.fold(f64::INFINITY, f64::min)
        };
        let (mut best_mm, mut step_mm) = (tried.offset_mm, 0.5 * tried.step_mm);
        let mut best = score(&straddled, best_mm);
        while step_mm > MOVED_TO_MM {
            // All steps that are left add up to less than twice this one.
            straddled = narrowed(straddled, best_mm, 2.0 * step_mm);
            for offset_mm in [best_mm - step_mm, best_mm + step_mm] {
                let here = score(&straddled, offset_mm);
                if here > best + BETTER_SINE {
                    (best_mm, best) = (offset_mm, here);
                }
            }
            step_mm *= 0.5;
        }
        (plane(&tried.normal, best_mm), best)
    }

    /// The plane moved so far that the side that it frees is as large as can be: what is left locks least then.
    pub fn pushed(&self, tried: &Tried) -> Option<Plane> {
        let (_, is_above) = tried.frees?;
        let mut straddled = self.straddled(tried);
        let draft = |straddled: &[Straddled<'_>], offset_mm: f64| {
            let drafts = straddled.iter().map(|straddled| {
                let (above, below) = straddled.sides(offset_mm);
                let (side, off_plane) = if is_above { (above, tried.normal) } else { (below, -tried.normal) };
                quick(&side, &off_plane, LEFT_OUT_SHARE)
            });
            drafts.fold(f64::INFINITY, f64::min)
        };
        let (mut frees_mm, mut step_mm) = (tried.offset_mm, if is_above { -tried.step_mm } else { tried.step_mm });
        let here = draft(&straddled, frees_mm);
        if here < none() {
            // Facets that the plane cuts were counted whole.
            return Some(plane(&tried.normal, frees_mm));
        }
        // A ball may be pushed to its equator, not as far beyond it as rounding of walls without draft is forgiven.
        let least = here.min(0.0) - BETTER_SINE;
        while step_mm.abs() > MOVED_TO_MM {
            step_mm *= 0.5;
            straddled = narrowed(straddled, frees_mm, 2.0 * step_mm.abs());
            if draft(&straddled, frees_mm + step_mm) >= least {
                frees_mm += step_mm;
            }
        }
        Some(plane(&tried.normal, frees_mm))
    }

    fn straddled(&self, tried: &Tried) -> Vec<Straddled<'_>> {
        let parts = self.faces.iter();
        parts
            .map(|Part { face, fine, .. }| Straddled::of(fine, face, &tried.normal, tried.offset_mm, tried.step_mm))
            .collect()
    }
}

fn narrowed<'a>(straddled: Vec<Straddled<'a>>, middle_mm: f64, range_mm: f64) -> Vec<Straddled<'a>> {
    straddled.into_iter().map(|straddled| straddled.narrowed(middle_mm, range_mm)).collect()
}

/// Length along which a plane cuts the facets of a face.
pub fn cut_length_mm(face: &Face<'_>, plane: &Plane) -> f64 {
    let mesh = face.mesh();
    let of_facet = |facet| {
        let corners = mesh.corners(facet);
        let off_mm = corners.map(|corner| plane.signed_distance_mm(&corner));
        let met =
            [(0, 1), (1, 2), (2, 0)].into_iter().filter(|&(one, other)| (off_mm[one] < 0.0) != (off_mm[other] < 0.0));
        let mut met = met.map(|(one, other)| {
            corners[one] + (corners[other] - corners[one]) * (off_mm[one] / (off_mm[one] - off_mm[other]))
        });
        met.next().zip(met.next()).map_or(0.0, |(from, to)| (to - from).norm())
    };
    mesh.face_ids().map(of_facet).sum()
}

/// A plane at an offset, as finely as it is told.
pub fn plane(normal: &Vector, offset_mm: f64) -> Plane {
    let rounded_mm = (offset_mm / MOVED_TO_MM).round() * MOVED_TO_MM;
    Plane { point_mm: Point::from(normal * rounded_mm), unit_normal: *normal }
}

fn none() -> f64 {
    -sin(rad_from_deg(NO_DRAFT_DEG))
}

/// Sine of a piece's draft: along its own best direction, or straight off the plane. Nothing there is free. A closed body's mean
/// normal is zero and no way off.
pub fn quick(facing: &Facing, off_plane: &Vector, share: f64) -> f64 {
    if facing.is_empty() {
        return 1.0;
    }
    let straight = if *off_plane == Vector::zeros() { -1.0 } else { facing.trimmed_sine(off_plane, share) };
    let kept = facing.at_least(off_plane, straight.min(0.0));
    // With nothing left out both are one.
    let trimmed = if kept.len() < facing.len() { cone(&kept) } else { None };
    let own = [cone(facing), trimmed].into_iter().flatten().filter_map(|cone| match cone {
        Cone::Releases(direction) => Some(facing.trimmed_sine(&direction, share)),
        Cone::Blocked(_) => None,
    });
    own.fold(straight, f64::max)
}
