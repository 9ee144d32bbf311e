//! Makes faces coarser by `meshopt`, which collapses edges by quadric error (Garland and Heckbert 1997).

use meshopt::{SimplifyOptions, SimplifyVertex, simplify_with_attributes_and_locks_decoder};
use rustc_hash::FxHashMap;

use crate::geometry::mesh::{PointId, Vector};
use crate::maths::ln;
use crate::report::scene::{Reduce, ShadedFace};

/// The library at work. A point that is doubled lies on a seam: where the zone or the normal changes it only moves along
/// that edge, or stays. Seams of the radius may give way, but that weighs: held alike, the many of a finely meshed panel
/// leave nothing to take away but its fillets.
pub(super) struct Meshopt;

/// As far as the number of facets asks for; the error is measured and told.
const ANY_ERROR: f32 = 1.0;
/// Normals that differ by more than a third of a degree at a point belong to a crease.
const CREASE_COSINE: f64 = 0.999_98;
/// What a factor of e in the radius weighs against the extent of the face. On a ribbed panel of a million facets, reduced to
/// a fortieth: a quarter of it, and a tenth of the area shows a fillet's colour running into a flat (here 4 %); ten times,
/// and the shape strays three times as far.
const RADIUS_WEIGHT: f32 = 0.02;
/// Radii beyond these are alike to a picture, in mm.
const SHOWN_MM: [f64; 2] = [0.5, 500.0];

impl Reduce for Meshopt {
    fn reduce(&self, face: &ShadedFace, n_wanted: usize) -> Option<Vec<[PointId; 3]>> {
        let shown = |radius_mm: &f64| ln(radius_mm.clamp(SHOWN_MM[0], SHOWN_MM[1])) as f32;
        let radii: Vec<f32> = face.radius_mm.iter().map(shown).collect();
        let fewer = simplify_with_attributes_and_locks_decoder(
            face.faces.as_flattened(),
            &positions(face),
            &radii,
            &[RADIUS_WEIGHT],
            size_of::<f32>(),
            &locks(face),
            3 * n_wanted,
            ANY_ERROR,
            SimplifyOptions::Permissive,
            None,
        );
        let (faces, _) = fewer.as_chunks::<3>();
        (!faces.is_empty()).then(|| faces.to_vec())
    }
}

/// What the points at one place are.
struct Place {
    zone: u16,
    normal: Vector,
    /// The zone or the normal changes here.
    is_border: bool,
}

/// The points at which a seam has to hold.
fn locks(face: &ShadedFace) -> Vec<SimplifyVertex> {
    let mut number: FxHashMap<[u64; 3], u32> = FxHashMap::default();
    let mut places: Vec<Place> = Vec::new();
    let mut of_point: Vec<u32> = Vec::with_capacity(face.points_mm.len());
    for (point, at) in face.points_mm.iter().enumerate() {
        let (zone, normal) = (face.zone[point], face.normals[point]);
        let place = *number.entry([at.x, at.y, at.z].map(f64::to_bits)).or_insert_with(|| {
            places.push(Place { zone, normal, is_border: false });
            places.len() as u32 - 1
        });
        let known = &mut places[place as usize];
        known.is_border |= known.zone != zone || known.normal.dot(&normal) < CREASE_COSINE;
        of_point.push(place);
    }
    let lock = |place: u32| {
        if places[place as usize].is_border { SimplifyVertex::Protect } else { SimplifyVertex::None }
    };
    of_point.into_iter().map(lock).collect()
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
    use crate::report::scene::FLAT_MM;

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
