//! Evens the bending of facets out over those round them that bend alike.

use rayon::prelude::*;

use super::FacetBending;
use super::rings::Rings;
use crate::geometry::corners::fields::raw;
use crate::geometry::corners::ground::Ground;
use crate::geometry::corners::tensor::Tensor;
use crate::geometry::mesh::{FaceId, Mesh};

/// Rounds of evening out. One: neighbours on irregular facets of one fillet still differ by half; more: fillets of
/// different radius that meet begin to blur.
const ROUNDS: usize = 2;
/// Facets that bend the same way within this factor are evened out. Less: the scatter on irregular facets is larger than
/// that; more: a flat beside a fillet takes part in it.
const ALIKE_FACTOR: f64 = 3.0;
/// How much a facet counts at each point that it shares with another: on the whole edge between two it counts twice.
const SHARE_AT_POINT: f64 = 0.5;
/// Area over the square of the longest side from which a facet counts in full; an even-sided one has 0.43. Long strips are
/// exact by themselves and keep their own.
const STOUT_FROM: f64 = 0.2;

/// Bending of every facet, mixed with that of those round it that bend alike; nothing where it is flat.
pub(super) fn mixed(ground: &Ground, rings: &Rings) -> Vec<Option<Tensor>> {
    let mesh = ground.surface.mesh;
    let faces: Vec<FaceId> = mesh.face_ids().collect();
    let own: Vec<Option<Tensor>> = faces.par_iter().map(|&face| raw(ground, face)).collect();
    let stoutness: Vec<f64> = faces.par_iter().map(|&face| stoutness(mesh, face)).collect();
    let mut tensors: Vec<Tensor> = own.iter().map(|tensor| tensor.unwrap_or_default()).collect();
    for _ in 0..ROUNDS {
        let kappa = |(tensor, &face): (&Tensor, &FaceId)| tensor.principal(&ground.normals[face as usize]).kappa1;
        let kappas: Vec<f64> = tensors.par_iter().zip(&faces).map(kappa).collect();
        let mixed = |&face: &FaceId| {
            let at = face as usize;
            let mut mixed = tensors[at];
            for other in mesh.faces[at].iter().flat_map(|&point| rings.at(point)).map(|&other| other as usize) {
                let ratio = kappas[other] / kappas[at];
                // Not a number beside a flat facet: fails.
                if other != at && (1.0 / ALIKE_FACTOR..=ALIKE_FACTOR).contains(&ratio) {
                    let share = SHARE_AT_POINT * stoutness[at].min(stoutness[other]);
                    mixed.add(share as f32, &tensors[other]);
                }
            }
            mixed
        };
        tensors = faces.par_iter().map(mixed).collect();
    }
    own.iter().zip(tensors).map(|(own, tensor)| own.map(|_| tensor)).collect()
}

/// 0 for a needle to 1 for a facet about as high as long.
fn stoutness(mesh: &Mesh, face: FaceId) -> f64 {
    let longest_mm = longest_mm(mesh, face);
    let squared = longest_mm * longest_mm;
    let share = if squared > 0.0 { (mesh.face_area_mm2(face) / squared / STOUT_FROM).min(1.0) } else { 0.0 };
    // Squared, so that many neighbours of a long strip together still count little.
    share * share
}

/// Longest side of a facet.
fn longest_mm(mesh: &Mesh, face: FaceId) -> f64 {
    let [a, b, c] = mesh.corners(face);
    (b - a).norm_squared().max((c - b).norm_squared()).max((a - c).norm_squared()).sqrt()
}

/// A facet takes part in the vote of its neighbours if its longest side is under this share of its radius: then a fillet
/// of that radius is some facets wide. Longer sides are strips, which read right by themselves.
const VOTES_UNDER: f64 = 0.35;
/// Bends wider than this are all flat to a picture, in mm: where a whole neighbourhood is, there is nothing to vote on.
const FLAT_FROM_MM: f64 = 500.0;

/// Each facet with the bending that the facets round it have in the middle (the median by area, of which none counts more
/// than the facet itself): a single reading that strays goes, and the border of a fillet stays where it is.
pub(super) fn without_strays(facets: &[FacetBending], mesh: &Mesh, rings: &Rings) -> Vec<FacetBending> {
    let areas: Vec<f64> = (0..facets.len() as FaceId).into_par_iter().map(|face| mesh.face_area_mm2(face)).collect();
    let voted = |face: usize| {
        let own = facets[face].kappa1_per_mm;
        let round = || mesh.faces[face].iter().flat_map(|&point| rings.at(point)).map(|&other| other as usize);
        let is_alike = |kappa: f64| {
            let (least, most) = (kappa.abs().min(own.abs()), kappa.abs().max(own.abs()));
            most * FLAT_FROM_MM <= 1.0 || (kappa * own > 0.0 && most <= 1.2 * least)
        };
        // A flat facet would become a part of the tightest bend beside it.
        let tightest = || round().map(|other| facets[other].kappa1_per_mm.abs()).fold(0.0, f64::max);
        let scale = if own.abs() * FLAT_FROM_MM > 1.0 { own.abs() } else { tightest() };
        let takes_part = longest_mm(mesh, face as FaceId) * scale <= VOTES_UNDER;
        if !takes_part || round().all(|other| is_alike(facets[other].kappa1_per_mm)) {
            return facets[face];
        }
        let mut votes: Vec<(f64, usize)> = round().map(|other| (facets[other].kappa1_per_mm, other)).collect();
        votes.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let weight = |other: usize| areas[other].min(areas[face]);
        let mut left = 0.5 * votes.iter().map(|&(_, other)| weight(other)).sum::<f64>();
        let middle = votes.iter().find(|&&(_, other)| {
            left -= weight(other);
            left <= 0.0
        });
        middle.map_or(facets[face], |&(_, other)| facets[other])
    };
    (0..facets.len()).into_par_iter().map(voted).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{evened, of};
    use crate::geometry::mesh::{Mesh, Point};
    use crate::geometry::stitch::Surface;
    use crate::maths::sin_cos;

    /// A quarter of a tube of this radius, 80 mm long, `n` strips round; inner points are moved off the grid.
    fn quarter_tube(radius_mm: f64, n: u32, along: u32, uneven: f64) -> Mesh {
        let mut mesh = Mesh::default();
        for k in 0..=along {
            for i in 0..=n {
                // A fixed scatter, none at the borders.
                let scatter = |seed: u32| f64::from((seed * 7919 + i * 104_729 + k * 1_299_709) % 1000) / 1000.0 - 0.5;
                let inner = |at: u32, most: u32| if at == 0 || at == most { 0.0 } else { uneven };
                let angle = (f64::from(i) + inner(i, n) * scatter(1)) / f64::from(n) * std::f64::consts::FRAC_PI_2;
                let x = 80.0 * (f64::from(k) + inner(k, along) * scatter(2)) / f64::from(along);
                let (sin, cos) = sin_cos(angle);
                mesh.points_mm.push(Point::new(x, radius_mm * cos, radius_mm * sin));
            }
        }
        for k in 0..along {
            for i in 0..n {
                let [a, b] = [k * (n + 1) + i, k * (n + 1) + i + 1];
                mesh.faces.extend([[a, a + n + 1, b + n + 1], [a, b + n + 1, b]]);
            }
        }
        mesh
    }

    /// The share of facets whose radius is more than this factor off.
    fn share_off(mesh: &Mesh, is_evened: bool, radius_mm: f64, factor: f64) -> f64 {
        let surface = Surface::stitched(mesh);
        let bending = if is_evened { evened(&surface) } else { of(&surface) };
        let is_off = |kappa: f64| !(1.0 / factor..=factor).contains(&(kappa.abs() * radius_mm));
        let n_off = bending.facets.iter().filter(|facet| is_off(facet.kappa1_per_mm)).count();
        n_off as f64 / mesh.faces.len() as f64
    }

    #[test]
    fn irregular_facets_of_one_fillet_read_alike_once_evened_out() {
        let mesh = quarter_tube(20.0, 8, 20, 0.7);
        let (before, after) = (share_off(&mesh, false, 20.0, 1.25), share_off(&mesh, true, 20.0, 1.25));
        assert!(before > 0.3 && after < 0.75 * before, "{before} {after}");
    }

    #[test]
    fn a_fine_fillet_ends_at_the_facets_that_share_its_last_edge() {
        // A quarter of a tube of 20 mm with a flat of 30 mm beside it, both in facets of about 2 mm.
        let mut mesh = quarter_tube(20.0, 16, 40, 0.0);
        let n_fillet = mesh.faces.len();
        let first = mesh.points_mm.len() as u32;
        for k in 0..=40 {
            mesh.points_mm.extend((1..=15).map(|i| Point::new(2.0 * f64::from(k), 20.0, -2.0 * f64::from(i))));
        }
        for k in 0..40 {
            let at = |k: u32, i: u32| if i == 0 { k * 17 } else { first + k * 15 + i - 1 };
            for i in 0..15 {
                let [a, b, c, d] = [at(k, i + 1), at(k + 1, i + 1), at(k + 1, i), at(k, i)];
                mesh.faces.extend([[a, b, c], [a, c, d]]);
            }
        }
        let facets = evened(&Surface::stitched(&mesh)).facets;
        let is_bent = |face: usize| facets[face].kappa1_per_mm.abs() > 1.0 / 40.0;
        let n_bent_flats = (n_fillet..facets.len()).filter(|&face| is_bent(face)).count();
        let n_bent = (0..n_fillet).filter(|&face| is_bent(face)).count();
        // One facet of the flat in each of 40 rows has its edge on the fillet, and a share of that edge's bend.
        assert!(n_bent_flats <= 40, "{n_bent_flats} facets of the flat");
        assert!(n_bent + 4 >= n_fillet, "{n_bent} of {n_fillet} facets of the fillet");
    }

    #[test]
    fn long_strips_keep_what_they_read() {
        let mesh = quarter_tube(5.0, 4, 1, 0.0);
        let surface = Surface::stitched(&mesh);
        for (one, other) in of(&surface).facets.iter().zip(evened(&surface).facets) {
            assert!((one.kappa1_per_mm - other.kappa1_per_mm).abs() <= 0.05 * one.kappa1_per_mm.abs());
        }
    }
}
