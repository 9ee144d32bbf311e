//! Curvature fields of the facets that bend: what tells where to look, about which axis, and where a section stops.

use rayon::prelude::*;

use super::ground::{Crease, Ground};
use super::tensor::{Principal, Tensor};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::topology::HalfEdge;

/// Facets that bend less than this share of the detection curvature are flat. The walk field mixes facets whose curvatures
/// are within a factor of three, twice: what is under a ninth of the stop test's threshold cannot matter.
const FLAT_SHARE: f64 = 0.02;
/// Rounds of mixing in the walk field. None: fillets of zigzag strips are lost. More: no change.
const WALK_ROUNDS: usize = 2;
/// Facets mix if their curvatures are within this factor: a flat beside a strip must not share its bending.
const MIX_FACTOR: f64 = 3.0;
/// A mixed-in neighbour counts this much at most.
const MIX_SHARE: f64 = 0.5;

/// The fields, for the facets that bend. `slot`: their number in these lists, in an order that follows the place in space.
pub struct Fields {
    /// Slot of each facet; `FLAT` if it does not bend.
    slots: Vec<u32>,
    /// Facet of each slot.
    pub faces: Vec<FaceId>,
    /// Field that walks use: zigzag strips even out.
    pub walk: Vec<Tensor>,
    /// Principal curvatures of the walk field.
    pub principal: Vec<Principal>,
    /// Axis of the alignment field, which mixes facets of one sense only.
    pub aligned: Vec<Vector>,
    /// Facets of balls; empty until they are known.
    pub ball: Vec<bool>,
}

const FLAT: u32 = u32::MAX;

impl Fields {
    /// Fields of a ground whose creases are known.
    pub fn of(ground: &Ground, detection_radius_mm: f64) -> Self {
        let flat = FLAT_SHARE / detection_radius_mm;
        let mut bent: Vec<(FaceId, Tensor, Principal)> = (0..ground.normals.len() as FaceId)
            .into_par_iter()
            .filter_map(|face| {
                let tensor = raw(ground, face)?;
                let principal = tensor.principal(&ground.normals[face as usize]);
                (principal.kappa1.abs() > flat).then_some((face, tensor, principal))
            })
            .collect();
        sort_by_place(ground, &mut bent);
        let mut slots = vec![FLAT; ground.normals.len()];
        for (slot, &(face, ..)) in bent.iter().enumerate() {
            slots[face as usize] = slot as u32;
        }
        let raw_kappas: Vec<f64> = bent.iter().map(|&(.., principal)| principal.kappa1).collect();
        let faces: Vec<FaceId> = bent.iter().map(|&(face, ..)| face).collect();
        let raw: Vec<Tensor> = bent.iter().map(|&(_, tensor, _)| tensor).collect();
        drop(bent);
        let sizes: Vec<f64> = raw_kappas.iter().map(|kappa| kappa.abs()).collect();
        let mut walk = raw.clone();
        for _ in 0..WALK_ROUNDS {
            walk = mix(ground, &slots, &faces, &walk, &sizes);
        }
        let aligned = mix(ground, &slots, &faces, &raw, &raw_kappas);
        let principal_of = |tensors: &[Tensor]| -> Vec<Principal> {
            faces.par_iter().zip(tensors).map(|(&face, t)| t.principal(&ground.normals[face as usize])).collect()
        };
        let principal = principal_of(&walk);
        let aligned = principal_of(&aligned).into_iter().map(|principal| principal.axis).collect();
        let ball = vec![false; faces.len()];
        Self { slots, faces, walk, principal, aligned, ball }
    }

    /// Slot of a facet, if it bends.
    #[inline]
    pub fn slot(&self, face: FaceId) -> Option<usize> {
        let slot = self.slots[face as usize];
        (slot != FLAT).then_some(slot as usize)
    }

    /// Curvature of a facet about an axis (laid into the facet), in 1/mm; 0 if it does not bend.
    #[inline]
    pub fn about(&self, ground: &Ground, face: FaceId, axis: &Vector) -> f64 {
        let Some(slot) = self.slot(face) else { return 0.0 };
        let normal = &ground.normals[face as usize];
        let laid = axis - normal * axis.dot(normal);
        let size = laid.norm_squared();
        if size > 0.0 { self.walk[slot].about(&laid) / size } else { 0.0 }
    }
}

/// A facet's own bending: of each meeting the share that the neighbour's height commands. Nothing if every meeting is flat.
pub fn raw(ground: &Ground, face: FaceId) -> Option<Tensor> {
    let area = ground.areas_mm2[face as usize];
    if area <= 0.0 {
        return None;
    }
    let mut entries = [0.0; 6];
    let mut bends = false;
    for side in 0..3 {
        let half = HalfEdge::new(face, side);
        for hinge in ground.hinges(half) {
            if hinge.turn.abs() < 1e-9 || ground.crease(hinge.id) == Crease::Hard {
                continue;
            }
            let other = hinge.meeting.other;
            let (own, its) = (ground.height_mm(half), ground.height_mm(other));
            let share = match (ground.is_needle(face), ground.is_needle(other.face())) {
                (true, false) => 0.0,
                (false, true) => 1.0,
                _ => its / (own + its),
            };
            let part = Tensor::along(&hinge.along, share * hinge.turn * hinge.length_mm);
            entries.iter_mut().zip(part).for_each(|(entry, more)| *entry += more);
            bends = true;
        }
    }
    bends.then(|| Tensor::new(entries, area))
}

/// Mixes each facet with its neighbours of like curvature. The share L^2/A lets long strips keep their own value while
/// facets with equal sides mix. `kappas` decide what is like: with their sign only facets of one sense mix.
fn mix(ground: &Ground, slots: &[u32], faces: &[FaceId], tensors: &[Tensor], kappas: &[f64]) -> Vec<Tensor> {
    faces
        .par_iter()
        .enumerate()
        .map(|(slot, &face)| {
            let mut mixed = tensors[slot];
            for side in 0..3 {
                let half = HalfEdge::new(face, side);
                let [start, end] = ground.side_ends(half);
                let side_mm = (end - start).norm();
                for (id, meeting) in ground.surface.numbered_meetings(half) {
                    let other = meeting.other.face();
                    let Some(&its) = slots.get(other as usize).filter(|&&slot| slot != FLAT) else { continue };
                    let ratio = kappas[its as usize] / kappas[slot];
                    if !(1.0 / MIX_FACTOR..=MIX_FACTOR).contains(&ratio) || ground.crease(id) == Crease::Hard {
                        continue;
                    }
                    let length = side_mm * (meeting.span[1] - meeting.span[0]);
                    let (own, other) = (ground.areas_mm2[face as usize], ground.areas_mm2[other as usize]);
                    let share = MIX_SHARE * (length * length / own.max(other)).min(1.0);
                    mixed.add(share as f32, &tensors[its as usize]);
                }
            }
            mixed
        })
        .collect()
}

/// Sorts by place along a curve that keeps near things near, so that neither the order of the facets in the file nor the
/// number of threads decides where work starts.
fn sort_by_place(ground: &Ground, bent: &mut Vec<(FaceId, Tensor, Principal)>) {
    let Some(bounds) = ground.surface.mesh.bounds() else { return };
    let scale = 2_097_151.0 / bounds.diagonal_mm().max(f64::MIN_POSITIVE);
    let mut keyed: Vec<(u64, Point, usize)> = bent
        .par_iter()
        .enumerate()
        .map(|(number, &(face, ..))| {
            let at = ground.centroid(face);
            let cell = (at - bounds.least) * scale;
            (interleave(cell.x) | interleave(cell.y) << 1 | interleave(cell.z) << 2, at, number)
        })
        .collect();
    keyed.par_sort_unstable_by(|a, b| {
        let place = |p: &Point| [p.x, p.y, p.z];
        let by_place = || place(&a.1).iter().zip(place(&b.1)).map(|(x, y)| x.total_cmp(&y)).find(|o| o.is_ne());
        a.0.cmp(&b.0).then_with(|| by_place().unwrap_or(a.2.cmp(&b.2)))
    });
    *bent = keyed.into_iter().map(|(.., number)| bent[number]).collect();
}

/// Spreads 21 bits of a whole number, two empty bits between each.
fn interleave(value: f64) -> u64 {
    let mut x = (value.max(0.0) as u64).min(0x1f_ffff);
    x = (x | x << 32) & 0x001f_0000_0000_ffff;
    x = (x | x << 16) & 0x001f_0000_ff00_00ff;
    x = (x | x << 8) & 0x100f_00f0_0f00_f00f;
    x = (x | x << 4) & 0x10c3_0c30_c30c_30c3;
    (x | x << 2) & 0x1249_2492_4924_9249
}
