//! Where to begin: one section through each stretch of facets that bend.

use rayon::prelude::*;

use super::section::{self, Outcome, Scratch, Section, Start, Terrain};
use super::walk::Place;

/// Facets whose curvature is above this share of the detection curvature are tried.
const SEED_SHARE: f64 = 0.6;
/// Share of a section's width that must be aligned and no ball.
pub const LEAST_PURE: f64 = 0.6;
/// Sections that turn less are no corners; the listing's least turn can be as low as 10 degrees, less a margin.
pub const LEAST_TURN: f64 = 9.0_f64.to_radians();
/// Facets tried together. Facets covered by a section of the same lot are not tried again, those of other lots are: a
/// smaller lot costs more sections, a larger one leaves threads idle.
const LOT: usize = 1024;
/// A section that found nothing and crossed this many facets was a long one ...
const LONG: usize = 48;
/// ... and facets that so many of them crossed are not tried themselves. Rings of thousands of facets round a shallow dome took a
/// section from every facet, each over all of its ring; a corner is found from any of its facets.
const MOST_CROSSED: u8 = 4;
/// Steps of turn by which seeds are ordered: full sections before partial ones.
const TURN_STEP: f64 = 0.02;

/// Sections to trace from, fullest first.
pub fn find(terrain: Terrain) -> Vec<Section> {
    let n_slots = terrain.fields.faces.len();
    let lots: Vec<std::ops::Range<usize>> =
        (0..n_slots.div_ceil(LOT)).map(|lot| lot * LOT..((lot + 1) * LOT).min(n_slots)).collect();
    let mut seeds: Vec<Section> = lots.into_par_iter().flat_map_iter(|lot| seeds_of_lot(terrain, lot)).collect();
    // Stable: within a step of turn the order in space stays.
    seeds.sort_by_key(|seed| std::cmp::Reverse((seed.turn / TURN_STEP) as u32));
    seeds
}

/// Seeds of a range of slots.
fn seeds_of_lot(terrain: Terrain, lot: std::ops::Range<usize>) -> Vec<Section> {
    let (ground, fields) = (terrain.ground, terrain.fields);
    let mut covered = vec![false; lot.len()];
    let mut crossed = vec![0u8; lot.len()];
    let mut scratch = Scratch::default();
    let mut seeds = Vec::new();
    for slot in lot.clone() {
        let (face, principal) = (fields.faces[slot], fields.principal[slot]);
        let is_seed = principal.kappa1.abs() > SEED_SHARE / terrain.detection_radius_mm;
        if covered[slot - lot.start] || !is_seed || fields.ball[slot] || ground.is_needle(face) {
            continue;
        }
        let place = Place { face, at: ground.centroid(face) };
        let outcome = {
            let start = Start { place, axis: principal.axis, sense: principal.kappa1.signum(), kappa: None };
            section::cut(terrain, &mut scratch, start)
        };
        let is_good = match outcome {
            Outcome::Bend(section) => section.pure >= LEAST_PURE && section.turn >= LEAST_TURN,
            Outcome::Round => true,
            Outcome::Nothing => false,
        };
        let own_slots = scratch.faces.iter().filter_map(|&face| fields.slot(face)).filter(|slot| lot.contains(slot));
        if !is_good {
            if scratch.faces.len() >= LONG {
                for slot in own_slots {
                    let times = &mut crossed[slot - lot.start];
                    *times = times.saturating_add(1);
                    covered[slot - lot.start] |= *times >= MOST_CROSSED;
                }
            }
            continue;
        }
        own_slots.for_each(|slot| covered[slot - lot.start] = true);
        if let Outcome::Bend(section) = outcome {
            seeds.push(section);
        }
    }
    seeds
}
