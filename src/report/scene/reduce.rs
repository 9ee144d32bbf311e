//! How coarse the faces of a scene have to be, who makes them so, and how far they stray then.

use rayon::prelude::*;

use super::{Reduce, Reduction, Scene, ShadedFace};
use crate::geometry::mesh::{Mesh, PointId};
use crate::geometry::refine::nearest::FacetTree;

/// Facets of one panel, all its pieces together. At 60 bytes a facet (half a point of 40 bytes, a little more for doubled
/// ones, and three corners) this is 2.6 MB, 3.5 MB in the page: with three.js and stills a page of one panel of a million
/// facets stays under 6 MB. More: it does not; fewer: fillets of a large panel show their chords close up.
const MOST_OF_PANEL: usize = 60_000;

/// Facets of the whole scene: 10 MB in the page. With the tables, sheets and stills of ten panels (8 MB for panels of forty
/// corners) that stays under 20 MB.
const MOST_OF_SCENE: usize = 160_000;

/// Points of the full face of which the distance to the coarser one is measured. More: the time counts beside the reduction
/// itself, since a coarse face is full of long slivers; fewer: the farthest point is more often missed.
const MOST_SAMPLES: usize = 1_000;

/// The scene with faces as coarse as they have to be.
pub(super) fn reduced(mut scene: Scene, reduce: Option<&dyn Reduce>) -> Scene {
    let Some(reduce) = reduce else { return scene };
    let sizes: Vec<Vec<usize>> =
        scene.panels.iter().map(|panel| panel.layers.iter().map(|layer| layer.face.faces.len()).collect()).collect();
    let budgets = budgets(&sizes);
    let layers = scene.panels.iter_mut().flat_map(|panel| &mut panel.layers);
    let work: Vec<_> = layers.zip(budgets.into_iter().flatten()).collect();
    work.into_par_iter().for_each(|(layer, n_wanted)| {
        if layer.face.faces.len() > n_wanted
            && let Some(faces) = reduce.reduce(&layer.face, n_wanted)
        {
            let coarse = kept(&layer.face, &faces);
            layer.reduction = Some(reduction(&layer.face, &coarse));
            layer.face = coarse;
        }
    });
    scene
}

/// Facets that each layer of each panel may keep.
fn budgets(sizes: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let of_panels: Vec<usize> = sizes.iter().map(|layers| layers.iter().sum::<usize>().min(MOST_OF_PANEL)).collect();
    let shares = shared(&of_panels, MOST_OF_SCENE);
    sizes.iter().zip(shares).map(|(layers, most)| shared(layers, most)).collect()
}

/// Shares a total out: what needs little gets it, and the rest is shared alike by those that need more.
fn shared(needs: &[usize], total: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..needs.len()).collect();
    order.sort_by_key(|&k| needs[k]);
    let mut shares = vec![0; needs.len()];
    let mut left = total;
    for (done, &k) in order.iter().enumerate() {
        shares[k] = needs[k].min(left / (needs.len() - done));
        left -= shares[k];
    }
    shares
}

/// Facets over points of a face, with the points that they use, in order of first use.
fn kept(face: &ShadedFace, faces: &[[PointId; 3]]) -> ShadedFace {
    let mut number = vec![PointId::MAX; face.points_mm.len()];
    let mut coarse = ShadedFace { faces: Vec::with_capacity(faces.len()), ..ShadedFace::default() };
    for corners in faces {
        coarse.faces.push(corners.map(|point| {
            let (at, slot) = (point as usize, &mut number[point as usize]);
            if *slot == PointId::MAX {
                *slot = coarse.points_mm.len() as PointId;
                coarse.points_mm.push(face.points_mm[at]);
                coarse.normals.push(face.normals[at]);
                coarse.radius_mm.push(face.radius_mm[at]);
                coarse.thickness_mm.push(face.thickness_mm[at]);
                coarse.zone.push(face.zone[at]);
                coarse.draft_deg.extend(face.draft_deg.get(at));
                coarse.wall_mm.extend(face.wall_mm.get(at));
            }
            *slot
        }));
    }
    coarse
}

/// How a coarse face differs from the full one. The points of a coarse face are points of the full one, so that what the
/// full one's other points are off tells how far the two stray.
fn reduction(full: &ShadedFace, coarse: &ShadedFace) -> Reduction {
    let coarse_mesh = Mesh { points_mm: coarse.points_mm.clone(), faces: coarse.faces.clone() };
    let tree = FacetTree::over(&coarse_mesh, coarse_mesh.face_ids().collect());
    let step = full.points_mm.len().div_ceil(MOST_SAMPLES).max(1);
    let off_mm = |point| tree.nearest(point).map_or(0.0, |near| near.distance_mm);
    let error_mm = full.points_mm.par_iter().step_by(step).map(off_mm).reduce(|| 0.0, f64::max);
    let full_m2 = area_m2(full);
    Reduction {
        n_before: full.faces.len(),
        n_after: coarse.faces.len(),
        error_mm,
        area_share: if full_m2 > 0.0 { (coarse_mesh.area_m2() - full_m2) / full_m2 } else { 0.0 },
    }
}

fn area_m2(face: &ShadedFace) -> f64 {
    let area_mm2 = |corners: &[PointId; 3]| {
        let [a, b, c] = corners.map(|point| face.points_mm[point as usize]);
        0.5 * (b - a).cross(&(c - a)).norm()
    };
    crate::units::m2_from_mm2(face.faces.iter().map(area_mm2).sum())
}

#[cfg(test)]
mod tests;
