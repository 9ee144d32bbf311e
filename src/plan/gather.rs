//! Adds the panels of a job up.

use super::types::{PartFault, PartPlan, PiecePlan, Plan, Totals};
use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::workshop::needs::{Build as NeededBuild, needs};

/// The plan of a job from the plans of its panels. What is missing is named on every total.
#[must_use]
pub fn gather(job: &str, parts: Vec<PartPlan>, errors: Vec<PartFault>, notes: Vec<Note>, stock: &Stock) -> Plan {
    let mut missing: Vec<String> = errors.iter().map(|fault| fault.part.clone()).collect();
    // A panel with several faults is missing once.
    missing.dedup();
    let builds: Vec<NeededBuild<'_>> = built_pieces(&parts)
        .map(|(_, count, piece)| NeededBuild {
            count,
            lay_up: &piece.lay_up,
            roll_m: &piece.roll_m,
            filler_ml: piece.filler_ml.iter().map(|(name, ml)| (name.as_str(), *ml)).collect(),
        })
        .collect();
    let needs = needs(&builds, &missing, stock);
    drop(builds);
    let totals = totals(&parts);
    Plan { job: job.to_owned(), totals, needs, practice: stock.practice.clone(), parts, notes, errors }
}

/// Every piece with what it belongs to and how often it is built.
fn built_pieces(parts: &[PartPlan]) -> impl Iterator<Item = (Make, u32, &PiecePlan)> {
    let builds = parts.iter().flat_map(|part| &part.builds);
    builds.flat_map(|build| build.pieces.iter().map(move |piece| (build.make, build.count, piece)))
}

fn totals(parts: &[PartPlan]) -> Totals {
    let mut totals = Totals { area_m2: parts.iter().map(|part| part.area_m2).sum(), ..Totals::default() };
    for build in parts.iter().flat_map(|part| &part.builds) {
        let n_built = match build.make {
            Make::Mould => &mut totals.n_moulds,
            Make::Moulding => &mut totals.n_mouldings,
        };
        // A mistyped quantity must not end the program.
        *n_built = n_built.saturating_add(build.count);
    }
    for (make, count, piece) in built_pieces(parts) {
        let times = f64::from(count);
        let often = |spread: Spread| spread.map(|value| times * value);
        let lay_up = &piece.lay_up;
        totals.glass_kg += times * lay_up.glass_kg;
        totals.resin_kg = totals.resin_kg + often(lay_up.resin_kg);
        if let Some(gelcoat) = &lay_up.gelcoat {
            totals.gelcoat_kg = totals.gelcoat_kg + often(gelcoat.laid_kg);
        }
        totals.catalyst_ml += times * lay_up.catalyst_ml;
        let mass = match make {
            Make::Mould => &mut totals.moulds_kg,
            Make::Moulding => &mut totals.mouldings_kg,
        };
        *mass = *mass + often(lay_up.mass_kg);
    }
    totals
}
