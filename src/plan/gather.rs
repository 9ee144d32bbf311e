//! Adds the panels of a job up.

use super::beside::beside;
use super::decisions::decisions;
use super::figures::used_figures;
use super::order::ordered;
use super::takes::beside_lay_ups;
use super::types::{PartFault, PartPlan, PiecePlan, Plan, Totals};
use super::work::work;
use crate::job::{Job, Shelf};
use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::workshop::days::days;
use crate::workshop::days::tasks::Habits;
use crate::workshop::mixes::{MixShop, mixes};
use crate::workshop::needs::{Build as NeededBuild, needs};
use crate::workshop::order::Dates;
use crate::workshop::takes::of_mixes;

/// The plan of a job from the plans of its panels. What is missing is named on every total.
#[must_use]
pub fn gather(
    job: &Job,
    mut parts: Vec<PartPlan>,
    errors: Vec<PartFault>,
    mut notes: Vec<Note>,
    shelf: &Shelf,
) -> Plan {
    let stock = &shelf.stock;
    // A panel with several faults is missing once.
    let mut missing: Vec<String> = Vec::new();
    for fault in &errors {
        if !missing.contains(&fault.part) {
            missing.push(fault.part.clone());
        }
    }
    let mut work = work(&parts, &missing, stock);
    let mut takes = beside_lay_ups(job, &mut parts, &work, shelf);
    notes.extend(takes.notes.clone());
    let mut mixes =
        mixes(&work, &takes, &MixShop { stock, crew: &shelf.crew, habits: &shelf.mixes, pace: &shelf.pace });
    of_mixes(&mut takes, &mixes, &shelf.consumables, stock);
    let builds: Vec<NeededBuild<'_>> = built_pieces(&parts)
        .map(|Built { name, count, piece, .. }| NeededBuild {
            name,
            count,
            lay_up: &piece.lay_up,
            roll_m: &piece.roll_m,
            filler_ml: piece.filler_ml.iter().map(|(name, ml)| (name.as_str(), *ml)).collect(),
        })
        .collect();
    let mut needs = needs(&builds, &takes.takes, &missing, stock, &shelf.extras);
    drop(builds);
    needs.hold(&mixes, &takes.unmixed);
    let habits = Habits { stock, crew: &shelf.crew, pace: &shelf.pace };
    let beside = beside(job, &parts, &mut work, &takes, &mixes, shelf);
    let days = days(&work, &beside, habits);
    notes.extend(days.notes.iter().cloned());
    notes.append(&mut mixes.notes);
    let dates = Dates {
        start: days.working.start.map(|date| date.0),
        first_day: days.evenings.iter().find_map(|evening| evening.date).map(|date| date.0),
        last_day: days.last_date.map(|date| date.0),
    };
    let totals = totals(&parts);
    let workings = workings(&parts, &totals);
    let mut figures = used_figures(job, &parts, &needs, &takes, &mixes, shelf);
    let order = ordered(job, &mut needs, &mut figures, dates, shelf);
    notes.extend(order.notes.iter().cloned());
    let title = job.title.clone();
    let mut plan = Plan {
        job: title,
        totals,
        needs,
        mixes,
        limits_of: job.limits_of,
        order,
        takes,
        days,
        practice: stock.practice.clone(),
        parts,
        notes,
        errors,
        workings,
        figures,
        decisions: Vec::new(),
        record: None,
    };
    plan.decisions = decisions(&plan);
    plan
}

/// A piece with what it belongs to and how often it is built.
struct Built<'a> {
    name: String,
    make: Make,
    count: u32,
    piece: &'a PiecePlan,
}

fn built_pieces(parts: &[PartPlan]) -> impl Iterator<Item = Built<'_>> {
    let builds = parts.iter().flat_map(|part| part.builds.iter().map(move |build| (part, build)));
    builds.flat_map(|(part, build)| {
        build.pieces.iter().map(move |piece| Built {
            name: format!("{}, {} {}", part.name, build.make.word(), piece.name),
            make: build.make,
            count: build.count,
            piece,
        })
    })
}

/// The sums behind the totals: each piece times how often it is built.
fn workings(parts: &[PartPlan], totals: &Totals) -> Vec<Working> {
    let area = Working::of("area_m2", "moulded face of every panel, once", totals.area_m2, "m2");
    let area = parts.iter().fold(area, |sum, part| sum.plus(part.area_m2, "m2", part.name.clone()));
    let gelcoat_kg = |piece: &PiecePlan| piece.lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.laid_kg.likely);
    let over = |working: Working, make: Option<Make>, part: &dyn Fn(&PiecePlan) -> f64| {
        let unit = working.unit;
        let wanted = built_pieces(parts).filter(|built| make.is_none_or(|make| make == built.make));
        wanted
            .filter(|built| part(built.piece) != 0.0)
            .fold(working, |sum, built| sum.plus_times(built.count, part(built.piece), unit, built.name))
    };
    let all = [
        area,
        over(Working::of("glass_kg", "glass laid", totals.glass_kg, "kg"), None, &|piece| piece.lay_up.glass_kg),
        over(Working::of("resin_kg", "resin laid", totals.resin_kg.likely, "kg"), None, &|piece| {
            piece.lay_up.resin_kg.likely
        }),
        over(Working::of("gelcoat_kg", "gelcoat laid", totals.gelcoat_kg.likely, "kg"), None, &gelcoat_kg),
        over(Working::of("catalyst_ml", "catalyst", totals.catalyst_ml, "ml"), None, &|piece| piece.lay_up.catalyst_ml),
        over(Working::of("moulds_kg", "moulds", totals.moulds_kg.likely, "kg"), Some(Make::Mould), &|piece| {
            piece.lay_up.mass_kg.likely
        }),
        over(
            Working::of("mouldings_kg", "mouldings", totals.mouldings_kg.likely, "kg"),
            Some(Make::Moulding),
            &|piece| piece.lay_up.mass_kg.likely,
        ),
    ];
    all.into_iter().filter(|working| !working.terms.is_empty()).collect()
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
    for Built { make, count, piece, .. } in built_pieces(parts) {
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
