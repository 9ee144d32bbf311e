//! Clips a mesh by planes, exactly, into the pieces that are built one by one.
//!
//! Rules. A point within tolerance of a plane is on it. Both sides of a cut share its points bit for bit, and the areas of
//! the pieces add up to the whole. What does not hang together is a piece of its own; cracks between facets that were
//! meshed apart do not part anything. Facets that lie in a plane go whole to the side that they share the longer border
//! with (to the plus side if both are alike), so that the cut is as short as can be. Touching is no cut.

mod borders;
mod corners;
mod curves;
mod pieces;
mod plane;
mod settle;

#[cfg(test)]
pub(crate) mod shapes;
#[cfg(test)]
mod tests;

pub use corners::{AlongSplit, ClippedCorners, PieceCorners, clip_corners};
pub use curves::{CutCurve, CutLine};
pub use pieces::Piece;
pub use plane::{Axis, Plane, PlaneError};
pub use settle::InPlane;

use super::mesh::{FaceId, Mesh};
use super::refine::{Refined, cut_by_plane};
use super::stitch::Surface;

/// Points nearer to a plane than this fraction of the part's diagonal are on it. Smaller: coordinates that STL rounds to
/// single precision miss the plane that they were drawn on, and slivers break off along every edge that lies in it.
/// Larger: the cut leaves its plane by more than the weld tolerance.
const ON_PLANE_FRACTION: f64 = 1e-6;
/// Rounding of a single-precision coordinate, relative to its size; counts for parts far from the origin.
const SINGLE_PRECISION: f64 = 1.2e-7;

/// Two facet borders count as the two sides of a crack up to this gap, as in the stitching of the surface.
pub(crate) const CRACK_GAP_MM: f64 = 0.5;

/// What splitting a mesh gives.
#[derive(Debug, Clone, Default)]
pub struct SplitResult {
    /// The pieces: those on the plus side of the first plane first, then by the other planes, then by place.
    pub pieces: Vec<Piece>,
    /// Planes that cut nothing, in the order given.
    pub missed: Vec<Missed>,
    /// Faces that lie in a plane, and where they went.
    pub in_plane: Vec<InPlane>,
    /// Flakes under a millionth of the area that a plane broke off; they stay with the piece that they were cut from.
    pub flakes: usize,
}

/// A plane that cuts nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Missed {
    /// Name of the split.
    pub split: String,
    /// Distance from the plane to the nearest point of the surface; zero if it touches.
    pub nearest_mm: f64,
    /// The plane passes between components without cutting any.
    pub between: bool,
}

impl Missed {
    /// A plane that passes by the whole mesh; nothing of one that has points of it on both sides.
    #[must_use]
    pub fn by(mesh: &Mesh, split: &str, plane: &Plane) -> Option<Self> {
        let distances = || mesh.points_mm.iter().map(|point| plane.signed_distance_mm(point));
        let (least, most) = distances().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), distance| {
            (least.min(distance), most.max(distance))
        });
        (least.is_finite() && (least >= 0.0 || most <= 0.0)).then(|| Self {
            split: split.to_owned(),
            nearest_mm: least.max(-most).max(0.0),
            between: false,
        })
    }
}

/// A mesh cut by planes, before it is taken apart.
pub(crate) struct Cut {
    pub refined: Refined,
    /// For each plane, the side of each facet: 1 or -1; 0 in the plane, until that is settled.
    pub sides: Vec<Vec<i8>>,
}

/// Clips a surface by planes and takes it apart. Without planes the pieces are the connected components.
///
/// Time grows with the number of facets, times the number of planes.
#[must_use]
pub fn cut(surface: &Surface, planes: &[(String, Plane)]) -> SplitResult {
    if surface.mesh.faces.is_empty() {
        let missed = |(name, _): &(String, Plane)| Missed { split: name.clone(), nearest_mm: 0.0, between: false };
        return SplitResult { missed: planes.iter().map(missed).collect(), ..SplitResult::default() };
    }
    let tolerance_mm = on_plane_tolerance_mm(surface.mesh);
    let mut cut = cut_by_all(surface, planes, tolerance_mm);
    let joints = cut.refined.joints();
    let in_plane = settle::settle_in_plane(&cut.refined, &joints, &mut cut.sides, planes);
    let flakes = settle::keep_flakes(&cut.refined, &joints, &mut cut.sides);
    let (groups, n_groups) = settle::groups(&cut.refined.mesh, &joints, &cut.sides);
    let borders = borders::between_groups(&cut, &joints, &groups, planes, tolerance_mm);
    drop(joints);
    let missed = missed(surface.mesh, planes, &borders, &cut.sides, tolerance_mm);
    let pieces = pieces::take_apart(&cut, &groups, n_groups, &borders, planes);
    SplitResult { pieces, missed, in_plane, flakes }
}

/// Within this distance a point is on a plane.
#[must_use]
pub fn on_plane_tolerance_mm(mesh: &Mesh) -> f64 {
    let Some(bounds) = mesh.bounds() else { return 0.0 };
    let farthest = bounds.least.coords.amax().max(bounds.most.coords.amax());
    (ON_PLANE_FRACTION * bounds.diagonal_mm()).max(SINGLE_PRECISION * farthest)
}

fn cut_by_all(surface: &Surface, planes: &[(String, Plane)], tolerance_mm: f64) -> Cut {
    let mut cut = Cut { refined: Refined::of(surface), sides: Vec::new() };
    for (_, plane) in planes {
        let next = cut_by_plane(&cut.refined, plane, tolerance_mm);
        for sides in &mut cut.sides {
            *sides = carried(sides, &next.parents);
        }
        cut.refined = next.refined;
        cut.sides.push(next.sides);
    }
    cut
}

fn carried(sides: &[i8], parents: &[FaceId]) -> Vec<i8> {
    parents.iter().map(|&parent| sides[parent as usize]).collect()
}

fn missed(
    mesh: &Mesh,
    planes: &[(String, Plane)],
    borders: &[borders::Border],
    sides: &[Vec<i8>],
    tolerance_mm: f64,
) -> Vec<Missed> {
    let cuts_nothing =
        |&(split, _): &(usize, &(String, Plane))| !borders.iter().any(|border| border.split == split && border.is_cut);
    let told = |(split, (name, plane)): (usize, &(String, Plane))| {
        let distances = mesh.faces.iter().flatten().map(|&point| &mesh.points_mm[point as usize]);
        let nearest_mm = distances.map(|point| plane.signed_distance_mm(point).abs()).fold(f64::INFINITY, f64::min);
        Missed {
            split: name.clone(),
            nearest_mm: if nearest_mm <= tolerance_mm { 0.0 } else { nearest_mm },
            between: sides[split].contains(&1) && sides[split].contains(&-1),
        }
    };
    planes.iter().enumerate().filter(cuts_nothing).map(told).collect()
}
