//! Facets that pass through one another: walls that cross themselves, and bodies that poke into each other unjoined.

use parry3d::bounding_volume::Aabb;
use parry3d::math::Vector as Single;
use parry3d::partitioning::{Bvh, BvhBuildStrategy};
use rayon::prelude::*;

use super::mesh::{FaceId, Mesh, Point};
use crate::notes::Note;

/// Facets that go through one another by less than this share of the longest edge are two pictures of one curved seam: chords
/// of a coarse export leave it by up to an eighth of their turn. At this a rib that pokes less than 20 mm through a facet of a
/// metre is missed; with a thousandth, faces that were meshed each for itself are said to cross along every curved seam.
const LEAST_DEPTH: f64 = 0.02;
/// Nor is less than this told, in mm: it does not show on a plug.
const LEAST_DEPTH_MM: f64 = 0.05;
/// A point so close to a facet's edge, as a share of its height, is on the edge: faces that meet there touch and do not cross.
const MARGIN: f64 = 1e-4;

/// Facets that pass through one another.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Crossings {
    /// How many facets pass through another.
    pub n_facets: usize,
    /// The place where one goes deepest.
    pub deepest: Option<Crossing>,
}

/// One place where an edge goes through a facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where.
    pub at_mm: Point,
    /// How far the edge reaches through, on the shorter side, in mm.
    pub depth_mm: f64,
}

impl Crossings {
    /// Looks for facets that pass through one another, those that share a corner left out. Some 2 microseconds a facet.
    #[must_use]
    pub fn of(mesh: &Mesh) -> Self {
        let Some(bounds) = mesh.bounds() else { return Self::default() };
        let centre = bounds.centre();
        let boxes: Vec<Aabb> = mesh.face_ids().map(|face| boxed(mesh, face, &centre)).collect();
        let tree = Bvh::from_iter(BvhBuildStrategy::Binned, boxes.iter().copied().enumerate());
        let found: Vec<(FaceId, FaceId, Crossing)> = mesh
            .faces
            .par_iter()
            .enumerate()
            .flat_map_iter(|(face, _)| {
                let later = tree.intersect_aabb(&boxes[face]).filter(move |&other| other as usize > face);
                let pairs =
                    later.filter_map(move |other| Some((face as FaceId, other, crossed(mesh, face as FaceId, other)?)));
                pairs.collect::<Vec<_>>()
            })
            .collect();
        let mut facets: Vec<FaceId> = found.iter().flat_map(|(one, other, _)| [*one, *other]).collect();
        facets.sort_unstable();
        facets.dedup();
        let mut deepest: Option<(FaceId, FaceId, Crossing)> = None;
        for &(one, other, crossing) in &found {
            // The tree's order is not that of the facets: of two alike, the first facets.
            let is_deeper = deepest.is_none_or(|(first, second, held)| {
                crossing.depth_mm > held.depth_mm
                    || crossing.depth_mm == held.depth_mm && (one, other) < (first, second)
            });
            if is_deeper {
                deepest = Some((one, other, crossing));
            }
        }
        Self { n_facets: facets.len(), deepest: deepest.map(|(_, _, crossing)| crossing) }
    }

    /// What to tell of it.
    #[must_use]
    pub fn note(&self) -> Option<Note> {
        let Crossing { at_mm, depth_mm } = self.deepest?;
        Some(Note::warning(
            "crosses-itself",
            format!(
                "{} facets pass through one another, {depth_mm:.1} mm deep near ({:.1}, {:.1}, {:.1}): walls that cross, or bodies that were not \
                 joined; area past the crossing counts, and draft and undercuts there are not to be trusted",
                self.n_facets, at_mm.x, at_mm.y, at_mm.z
            ),
            "trim the faces where they meet, or join the bodies into one, in CAD, and export again",
        ))
    }
}

fn boxed(mesh: &Mesh, face: FaceId, centre: &Point) -> Aabb {
    let corners = mesh.corners(face).map(|corner| {
        let from = corner - centre;
        Single::new(from.x as f32, from.y as f32, from.z as f32)
    });
    Aabb::from_points(corners)
}

/// The deepest crossing of two facets.
fn crossed(mesh: &Mesh, one: FaceId, other: FaceId) -> Option<Crossing> {
    let (first, second) = (mesh.faces[one as usize], mesh.faces[other as usize]);
    if first.iter().any(|point| second.contains(point)) {
        return None;
    }
    let (a, b) = (mesh.corners(one), mesh.corners(other));
    let pierced = edges(&a).into_iter().filter_map(|edge| pierced(edge, &b));
    let piercing = edges(&b).into_iter().filter_map(|edge| self::pierced(edge, &a));
    pierced.chain(piercing).max_by(|one, other| one.depth_mm.total_cmp(&other.depth_mm))
}

fn edges(corners: &[Point; 3]) -> [[Point; 2]; 3] {
    [[corners[0], corners[1]], [corners[1], corners[2]], [corners[2], corners[0]]]
}

/// Where an edge goes through the inside of a facet.
fn pierced(edge: [Point; 2], facet: &[Point; 3]) -> Option<Crossing> {
    let [a, b, c] = facet;
    let area = (b - a).cross(&(c - a));
    let twice_mm2 = area.norm();
    if twice_mm2 <= 0.0 {
        return None;
    }
    let unit = area / twice_mm2;
    let (from_mm, to_mm) = (unit.dot(&(edge[0] - a)), unit.dot(&(edge[1] - a)));
    let depth_mm = from_mm.abs().min(to_mm.abs());
    let longest_mm = edges(facet).into_iter().chain([edge]).map(|[from, to]| (to - from).norm()).fold(0.0, f64::max);
    if from_mm * to_mm >= 0.0 || depth_mm <= LEAST_DEPTH_MM.max(LEAST_DEPTH * longest_mm) {
        return None;
    }
    let at_mm = edge[0] + (edge[1] - edge[0]) * (from_mm / (from_mm - to_mm));
    let share = |from: &Point, to: &Point| unit.dot(&(to - from).cross(&(at_mm - from))) / twice_mm2;
    let is_inside = [share(a, b), share(b, c), share(c, a)].into_iter().all(|share| share > MARGIN);
    is_inside.then_some(Crossing { at_mm, depth_mm })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::Vector;
    use crate::geometry::skin::shapes;

    /// A rib of 40 x 3 x 30 that stands 5 mm deep in a plate of 200 x 120 x 4, far from the origin.
    #[test]
    fn a_rib_that_was_not_joined_pokes_through_its_plate() {
        let far = Vector::new(9000.0, -4000.0, 2000.0);
        let plate = shapes::block(200.0, 120.0, 4.0);
        let rib = |deep_mm: f64| shapes::moved(&shapes::block(40.0, 3.0, 30.0), Vector::new(81.0, 57.0, 4.0 - deep_mm));
        let found = |deep_mm| Crossings::of(&shapes::moved(&shapes::joined(&[plate.clone(), rib(deep_mm)]), far));
        let deep = found(9.0);
        let crossing = deep.deepest.expect("it goes right through");
        assert!(deep.n_facets >= 4, "{deep:?}");
        let on_face = [2000.0, 2004.0].into_iter().any(|z: f64| (crossing.at_mm.z - z).abs() < 1e-6);
        assert!(on_face && crossing.depth_mm > 8.9, "{crossing:?}");
        assert_eq!(found(0.0), Crossings::default(), "it stands on the plate");
        assert_eq!(found(-1.0), Crossings::default(), "it floats above it");
        assert!(deep.note().is_some_and(|note| note.message.contains("pass through one another")));
    }

    #[test]
    fn sound_bodies_do_not_cross_themselves() {
        assert_eq!(Crossings::of(&shapes::block(300.0, 20.0, 7.0)), Crossings::default());
        assert_eq!(Crossings::of(&Mesh::default()), Crossings::default());
    }
}
