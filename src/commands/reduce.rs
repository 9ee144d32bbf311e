//! Makes faces coarser by `meshopt`, which collapses edges by quadric error (Garland and Heckbert 1997).

use meshopt::{SimplifyOptions, SimplifyVertex, simplify_with_attributes_and_locks_decoder};
use rustc_hash::FxHashMap;

use crate::geometry::mesh::{PointId, Vector};
use crate::maths::ln;
use crate::report::scene::{FLAT_MM, Reduce, ShadedFace};

/// The library at work. A point that is doubled lies on a seam: where the zone, the normal or the radius changes for good it
/// only moves along that edge, or stays. Where radii of one bend scatter, seams give way.
pub(super) struct Meshopt;

/// As far as the number of facets asks for; the error is measured and told.
const ANY_ERROR: f32 = 1.0;
/// Beyond this many times what was wanted the seams hold too much, and those of the radius give way as well.
const STUCK_FROM: f64 = 1.2;
/// A seam holds where radii differ by more than this factor: a fillet beside a flat. Less: the scatter of irregular facets
/// holds everything; more: the colour of a tight fillet runs into a wide one.
const LASTING_FACTOR: f64 = 3.0;
/// Normals that differ by more than a third of a degree at a point belong to a crease.
const CREASE_COSINE: f64 = 0.999_98;
/// What a factor of e in the radius weighs against the extent of the face, where seams of the radius give way. A tenth of
/// it: fillets run into the flats beside them; ten times: the shape suffers for colours.
const RADIUS_WEIGHT: f32 = 0.02;
/// Radii beyond these are alike to a picture, in mm.
const SHOWN_MM: [f64; 2] = [0.5, 500.0];

impl Reduce for Meshopt {
    fn reduce(&self, face: &ShadedFace, n_wanted: usize) -> Option<Vec<[PointId; 3]>> {
        let positions = positions(face);
        let seams = Seams::of(face);
        let corners = face.faces.as_flattened();
        let mut fewer = simplified(corners, &positions, face, &seams.locks(LASTING_FACTOR), n_wanted, 0.0);
        if fewer.len() as f64 > STUCK_FROM * (3 * n_wanted) as f64 {
            let locks = seams.locks(f64::INFINITY);
            fewer = simplified(&fewer, &positions, face, &locks, n_wanted, RADIUS_WEIGHT);
        }
        let (faces, _) = fewer.as_chunks::<3>();
        (!faces.is_empty()).then(|| faces.to_vec())
    }
}

fn simplified(
    corners: &[PointId],
    positions: &[[f32; 3]],
    face: &ShadedFace,
    locks: &[SimplifyVertex],
    n_wanted: usize,
    radius_weight: f32,
) -> Vec<PointId> {
    let shown = |radius_mm: &f64| ln(radius_mm.clamp(SHOWN_MM[0], SHOWN_MM[1])) as f32;
    let weights: &[f32] = if radius_weight > 0.0 { &[radius_weight] } else { &[] };
    // Without a weight the list is not looked at.
    let radii: Vec<f32> = if weights.is_empty() { Vec::new() } else { face.radius_mm.iter().map(shown).collect() };
    simplify_with_attributes_and_locks_decoder(
        corners,
        positions,
        &radii,
        weights,
        size_of::<f32>() * weights.len(),
        locks,
        3 * n_wanted,
        ANY_ERROR,
        SimplifyOptions::Permissive,
        None,
    )
}

/// What the points at one place differ in.
#[derive(Clone, Copy)]
struct Place {
    zone: u16,
    normal: Vector,
    radius_mm: [f64; 2],
    /// The zone or the normal changes here.
    is_border: bool,
}

/// For each point, what changes where it lies.
struct Seams {
    places: Vec<Place>,
    of_point: Vec<u32>,
}

impl Seams {
    fn of(face: &ShadedFace) -> Self {
        let mut number: FxHashMap<[u64; 3], u32> = FxHashMap::default();
        let mut seams = Self { places: Vec::new(), of_point: Vec::with_capacity(face.points_mm.len()) };
        for (point, at) in face.points_mm.iter().enumerate() {
            let (zone, normal, radius_mm) = (face.zone[point], face.normals[point], face.radius_mm[point]);
            let key = [at.x, at.y, at.z].map(f64::to_bits);
            let place = *number.entry(key).or_insert_with(|| {
                seams.places.push(Place { zone, normal, radius_mm: [FLAT_MM, 0.0], is_border: false });
                seams.places.len() as u32 - 1
            });
            seams.of_point.push(place);
            let place = &mut seams.places[place as usize];
            place.is_border |= place.zone != zone || place.normal.dot(&normal) < CREASE_COSINE;
            place.radius_mm = [place.radius_mm[0].min(radius_mm), place.radius_mm[1].max(radius_mm)];
        }
        seams
    }

    /// The points at which a seam has to hold, if radii may differ by a factor without it.
    fn locks(&self, factor: f64) -> Vec<SimplifyVertex> {
        let holds = |place: &Place| {
            let [least, most] = place.radius_mm.map(|radius_mm| radius_mm.clamp(SHOWN_MM[0], SHOWN_MM[1]));
            place.is_border || most > factor * least
        };
        let lock = |&place: &u32| {
            if holds(&self.places[place as usize]) { SimplifyVertex::Protect } else { SimplifyVertex::None }
        };
        self.of_point.iter().map(lock).collect()
    }
}

/// Points in single precision about the middle of the face, so that a panel far from the origin loses nothing.
fn positions(face: &ShadedFace) -> Vec<[f32; 3]> {
    let Some(first) = face.points_mm.first() else { return Vec::new() };
    let (least, most) =
        face.points_mm.iter().fold((*first, *first), |(least, most), point| (least.inf(point), most.sup(point)));
    let middle = nalgebra::center(&least, &most);
    face.points_mm
        .iter()
        .map(|point| {
            let from = point - middle;
            [from.x as f32, from.y as f32, from.z as f32]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::Point;

    /// A flat of 60 by 40 cells of 5 mm, in two zones that meet along the middle; the second bends over a fillet.
    fn two_zones() -> ShadedFace {
        let mut face = ShadedFace::default();
        for zone in 0..2u16 {
            let first = face.points_mm.len() as u32;
            for (i, k) in (0..=40u32).flat_map(|k| (0..=30u32).map(move |i| (i, k))) {
                let x = 5.0 * f64::from(i) + 150.0 * f64::from(zone);
                face.points_mm.push(Point::new(x, 5.0 * f64::from(k), 1000.0));
                face.normals.push(Vector::z());
                face.radius_mm.push(if zone == 0 { FLAT_MM } else { 30.0 });
                face.n_plies.push(4 + zone);
                face.thickness_mm.push(3.0 + f64::from(zone));
                face.zone.push(zone);
            }
            for (i, k) in (0..40u32).flat_map(|k| (0..30u32).map(move |i| (i, k))) {
                let [a, b] = [first + k * 31 + i, first + (k + 1) * 31 + i];
                face.faces.extend([[a, a + 1, b + 1], [a, b + 1, b]]);
            }
        }
        face
    }

    #[test]
    fn the_border_of_a_zone_holds_however_few_facets_are_left() {
        let face = two_zones();
        let coarse = Meshopt.reduce(&face, 100).expect("it is reduced");
        assert!(coarse.len() <= 120, "{}", coarse.len());
        let mut area_mm2 = [0.0; 2];
        for corners in &coarse {
            let zone = corners.map(|point| face.zone[point as usize]);
            assert!(zone[0] == zone[1] && zone[1] == zone[2], "no facet lies in two zones");
            let [a, b, c] = corners.map(|point| face.points_mm[point as usize]);
            area_mm2[usize::from(zone[0])] += 0.5 * (b - a).cross(&(c - a)).norm();
        }
        // 150 mm by 200 mm each.
        assert!(area_mm2.iter().all(|area| (area - 30_000.0).abs() < 1e-6), "{area_mm2:?}");
    }

    #[test]
    fn a_panel_far_from_the_origin_is_reduced_alike() {
        let near = two_zones();
        let mut far = near.clone();
        far.points_mm.iter_mut().for_each(|point| *point += Vector::new(3e7, -2e7, 1e7));
        assert_eq!(Meshopt.reduce(&near, 200), Meshopt.reduce(&far, 200));
    }

    #[test]
    fn nothing_to_reduce_gives_nothing() {
        assert_eq!(Meshopt.reduce(&ShadedFace::default(), 10), None);
    }
}
