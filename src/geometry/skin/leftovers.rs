//! Facets that no wall claims: strips behind a joint, feet of flanges, blocks and bosses, and the rim.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::super::mesh::{FaceId, Vector};
use super::Side;
use super::neighbours::Neighbours;
use crate::maths;

// A side goes on over edges that turn by less, while the normal stays this near to that of the skin facet where it began.
// Round rims keep their middle 90 degrees as rim this way; the rest goes to either side.
const GOES_ON_DEG: f64 = 40.0;
const STAYS_WITHIN_DEG: f64 = 30.0;

/// A facet that a side may go on to, best aligned first.
#[derive(Debug, PartialEq)]
struct Step {
    cosine: f64,
    face: FaceId,
    seed: FaceId,
}

impl Eq for Step {}

impl Ord for Step {
    fn cmp(&self, other: &Self) -> Ordering {
        self.cosine.total_cmp(&other.cosine).then(other.face.cmp(&self.face)).then(other.seed.cmp(&self.seed))
    }
}

impl PartialOrd for Step {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Gives every facet a side: first what goes on smoothly from a skin facet, then patches that touch one side only; what
/// touches both sides, or none, is rim.
#[must_use]
pub fn settle(mut sides: Vec<Option<Side>>, neighbours: &Neighbours, normals: &[Vector]) -> Vec<Side> {
    go_on_smoothly(&mut sides, neighbours, normals);
    give_patches(&mut sides, neighbours);
    sides.into_iter().map(|side| side.unwrap_or(Side::Rim)).collect()
}

fn go_on_smoothly(sides: &mut [Option<Side>], neighbours: &Neighbours, normals: &[Vector]) {
    let (goes_on, stays) = (maths::cos(GOES_ON_DEG.to_radians()), maths::cos(STAYS_WITHIN_DEG.to_radians()));
    let mut steps = BinaryHeap::new();
    let visit = |from: FaceId, seed: FaceId, sides: &[Option<Side>], steps: &mut BinaryHeap<Step>| {
        for (next, meet) in neighbours.around(from) {
            let cosine = normals[seed as usize].dot(&normals[next as usize]);
            if sides[next as usize].is_none() && f64::from(meet.cosine) > goes_on && cosine > stays {
                steps.push(Step { cosine, face: next, seed });
            }
        }
    };
    let seeds: Vec<FaceId> = (0..sides.len() as FaceId).filter(|&face| sides[face as usize].is_some()).collect();
    for seed in seeds {
        visit(seed, seed, sides, &mut steps);
    }
    while let Some(Step { face, seed, .. }) = steps.pop() {
        if sides[face as usize].is_none() {
            sides[face as usize] = sides[seed as usize];
            visit(face, seed, sides, &mut steps);
        }
    }
}

fn give_patches(sides: &mut [Option<Side>], neighbours: &Neighbours) {
    let mut seen: Vec<bool> = sides.iter().map(Option::is_some).collect();
    for start in 0..sides.len() as FaceId {
        if seen[start as usize] {
            continue;
        }
        seen[start as usize] = true;
        let mut patch = vec![start];
        let mut touches = [0.0f64; 2];
        let mut next = 0;
        while let Some(&face) = patch.get(next) {
            next += 1;
            for (other, meet) in neighbours.around(face) {
                match sides[other as usize] {
                    Some(Side::Outside) => touches[0] += f64::from(meet.length_mm),
                    Some(Side::Inside) => touches[1] += f64::from(meet.length_mm),
                    Some(Side::Rim) => {}
                    None if !seen[other as usize] => {
                        seen[other as usize] = true;
                        patch.push(other);
                    }
                    None => {}
                }
            }
        }
        let side = match touches {
            [outside, inside] if outside > 0.0 && inside == 0.0 => Side::Outside,
            [outside, inside] if inside > 0.0 && outside == 0.0 => Side::Inside,
            _ => Side::Rim,
        };
        // Marked at the end, so that a patch cannot change what the next one touches.
        patch.iter().for_each(|&face| sides[face as usize] = Some(side));
    }
}
