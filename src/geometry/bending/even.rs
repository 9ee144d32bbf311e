//! Evens the bending of facets out over those round them that bend alike.

use rayon::prelude::*;

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

/// Bending of every facet, evened out; nothing where it is flat.
pub(super) fn evened(ground: &Ground) -> Vec<Option<Tensor>> {
    let mesh = ground.surface.mesh;
    let faces: Vec<FaceId> = mesh.face_ids().collect();
    let own: Vec<Option<Tensor>> = faces.par_iter().map(|&face| raw(ground, face)).collect();
    let stoutness: Vec<f64> = faces.par_iter().map(|&face| stoutness(mesh, face)).collect();
    let rings = Rings::of(mesh);
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
    let [a, b, c] = mesh.corners(face);
    let longest = (b - a).norm_squared().max((c - b).norm_squared()).max((a - c).norm_squared());
    if longest > 0.0 { (mesh.face_area_mm2(face) / longest / STOUT_FROM).min(1.0) } else { 0.0 }
}

/// The facets at each point.
struct Rings {
    starts: Vec<u32>,
    faces: Vec<FaceId>,
}

impl Rings {
    fn of(mesh: &Mesh) -> Self {
        let mut starts = vec![0u32; mesh.points_mm.len() + 1];
        mesh.faces.iter().flatten().for_each(|&point| starts[point as usize + 1] += 1);
        for point in 1..starts.len() {
            starts[point] += starts[point - 1];
        }
        let mut fill = starts.clone();
        let mut faces = vec![0; 3 * mesh.faces.len()];
        for (face, corners) in (0..).zip(&mesh.faces) {
            for &point in corners {
                faces[fill[point as usize] as usize] = face;
                fill[point as usize] += 1;
            }
        }
        Self { starts, faces }
    }

    fn at(&self, point: u32) -> &[FaceId] {
        let point = point as usize;
        &self.faces[self.starts[point] as usize..self.starts[point + 1] as usize]
    }
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
        assert!(before > 0.3 && after < 0.5 * before, "{before} {after}");
    }

    #[test]
    fn long_strips_keep_what_they_read() {
        let mesh = quarter_tube(5.0, 4, 1, 0.0);
        let surface = Surface::stitched(&mesh);
        for (one, other) in of(&surface).facets.iter().zip(evened(&surface).facets) {
            assert!((one.kappa1_per_mm - other.kappa1_per_mm).abs() < 0.05 * one.kappa1_per_mm.abs());
        }
    }
}
