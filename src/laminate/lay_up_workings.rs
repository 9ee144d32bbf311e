//! The sums behind what one piece takes and weighs.

use super::cure::{Agent, Cure, Dose};
use super::lay_up::{LaidGelcoat, LaidPly, LayUp, PlyAreas};
use super::plies::{PlannedPly, PliesPlan, Stuff, resin_factors};
use super::schedule::Zone;
use super::stock::Stock;
use super::workings::{Op, Term, Working};
use crate::units::{g_from_kg, m_from_mm, m2_from_mm2};

/// Where the piece's document holds its plies.
const PLIES: &str = "plies";

/// Sums behind one ply.
pub(super) fn ply_workings(
    ply: &PlannedPly,
    areas: &PlyAreas,
    laid: &LaidPly,
    plan: &PliesPlan,
    stock: &Stock,
) -> Vec<Working> {
    let of = |key, words, result, unit| Working::of_ply(PLIES, ply.ply, key, words, result, unit);
    let mut workings = vec![
        laid_area(of("laid_m2", "laid area", laid.laid_m2, "m2"), areas),
        on_part_area(of("on_part_m2", "area on the part", laid.on_part_m2, "m2"), areas),
    ];
    let wet = as_factors(&resin_factors(ply, stock));
    if matches!(ply.stuff, Stuff::Core { .. }) {
        workings.extend(core_working(ply, areas, laid, stock));
    } else {
        let glass = of("glass_kg", "glass", laid.glass_kg, "kg").plus(laid.laid_m2, "m2", "laid");
        workings.push(glass.times(ply.per_m2.glass_kg_m2, "kg/m2", "glass"));
    }
    workings.push(of("resin_kg", "resin", laid.resin_kg.likely, "kg").plus(laid.laid_m2, "m2", "laid").then(&wet));
    let cure = stock.resins.get(&ply.resin).and_then(|resin| Cure::of_resin(resin, plan.catalyst_percent));
    if let (Some(cure), Some(dose)) = (cure, laid.dose) {
        let keys = dose_keys(dose.agent);
        let working = |key: usize, result, unit| of(keys[key].0, keys[key].1, result, unit);
        workings.extend(dose_workings(cure, dose, laid.resin_kg.likely, &working));
    }
    if !matches!(ply.stuff, Stuff::Core { .. }) {
        let mass = of("mass_kg", "mass on the part", laid.mass_kg.likely, "kg");
        let mass = mass.plus(laid.on_part_m2, "m2", "on the part").times(ply.per_m2.glass_kg_m2, "kg/m2", "glass");
        workings.push(mass.plus(laid.on_part_m2, "m2", "on the part").then(&wet));
    }
    workings
}

/// Sums behind the gelcoat.
pub(super) fn gelcoat_workings(
    gelcoat: &LaidGelcoat,
    areas: &PlyAreas,
    plan: &PliesPlan,
    stock: &Stock,
) -> Vec<Working> {
    let coverage = plan.gelcoat.as_ref().map_or(0.0, |planned| planned.coverage_kg_m2.likely);
    let area = Working::of("gelcoat_laid_m2", "laid area of gelcoat", gelcoat.laid_m2, "m2");
    let kg = Working::of("gelcoat_kg", "gelcoat", gelcoat.laid_kg.likely, "kg");
    let kg = kg.plus(gelcoat.laid_m2, "m2", "laid").times(coverage, "kg/m2", "gelcoat");
    let mut workings = vec![laid_area(area, areas), kg];
    let cure = stock.gelcoats.get(&gelcoat.name).and_then(Cure::of_gelcoat);
    if let (Some(cure), Some(dose)) = (cure, gelcoat.dose) {
        const KEYS: [(&str, &str); 2] =
            [("gelcoat_dose/g", "catalyst or hardener in the gelcoat"), ("gelcoat_dose/ml", "the same by volume")];
        let working = |key: usize, result, unit| Working::of(KEYS[key].0, KEYS[key].1, result, unit);
        workings.extend(dose_workings(cure, dose, gelcoat.laid_kg.likely, &working));
    }
    let mass = Working::of("gelcoat_mass_kg", "gelcoat on the part", gelcoat.mass_kg.likely, "kg");
    workings.push(mass.plus(gelcoat.on_part_m2, "m2", "on the part").times(coverage, "kg/m2", "gelcoat"));
    workings
}

/// Sums behind the piece, ply upon ply.
pub(super) fn piece_workings(lay_up: &LayUp, plan: &PliesPlan) -> Vec<Working> {
    let over_plies = |working: Working, part: &dyn Fn(&LaidPly) -> f64, unit: &'static str| {
        lay_up.plies.iter().fold(working, |sum, ply| sum.plus_if_any(part(ply), unit, format!("ply {}", ply.ply)))
    };
    let gelcoat_dose =
        |agent| lay_up.gelcoat.as_ref().and_then(|gelcoat| gelcoat.dose).filter(|dose| dose.agent == agent);
    let dose = |agent, part: fn(&Dose) -> f64, key, words, result, unit: &'static str| {
        let sum = Working::of(key, words, result, unit);
        let sum = sum.plus_if_any(gelcoat_dose(agent).map_or(0.0, |dose| part(&dose)), unit, "gelcoat");
        over_plies(sum, &|ply| ply.dose.filter(|dose| dose.agent == agent).map_or(0.0, |dose| part(&dose)), unit)
    };
    let everywhere = |ply: &LaidPly| {
        let lies = plan.plies.get(ply.ply - 1).is_some_and(|planned| planned.zone == Zone::All);
        if lies { ply.thickness_mm.likely } else { 0.0 }
    };
    let gelcoat_kg = lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.mass_kg.likely);
    let mass = Working::of("mass_kg", "mass", lay_up.mass_kg.likely, "kg").plus_if_any(gelcoat_kg, "kg", "gelcoat");
    let workings = [
        over_plies(Working::of("glass_kg", "glass", lay_up.glass_kg, "kg"), &|ply| ply.glass_kg, "kg"),
        over_plies(Working::of("core_kg", "core", lay_up.core_kg, "kg"), &|ply| ply.core_kg, "kg"),
        over_plies(Working::of("resin_kg", "resin", lay_up.resin_kg.likely, "kg"), &|ply| ply.resin_kg.likely, "kg"),
        dose(Agent::Catalyst, |dose| dose.g, "catalyst_g", "catalyst", lay_up.catalyst_g, "g"),
        dose(Agent::Catalyst, |dose| dose.ml, "catalyst_ml", "catalyst by volume", lay_up.catalyst_ml, "ml"),
        dose(Agent::Hardener, |dose| dose.g, "hardener_g", "hardener", lay_up.hardener_g, "g"),
        over_plies(Working::of("thickness_mm", "thickness", lay_up.thickness_mm.likely, "mm"), &everywhere, "mm"),
        over_plies(mass, &|ply| ply.mass_kg.likely, "kg"),
    ];
    workings.into_iter().filter(|working| !working.terms.is_empty()).collect()
}

fn laid_area(working: Working, areas: &PlyAreas) -> Working {
    working
        .plus(areas.grown_m2, "m2", "face at its depth")
        .plus_if_any(areas.laps_laid_m2, "m2", "laps")
        .plus_if_any(areas.flange_m2, "m2", "flanges")
        .plus_if_any(areas.trim_m2, "m2", "trim")
        .plus_if_any(areas.laid_across_m2, "m2", "openings laid across")
}

fn on_part_area(working: Working, areas: &PlyAreas) -> Working {
    working
        .plus(areas.grown_m2, "m2", "face at its depth")
        .plus_if_any(areas.laps_on_part_m2, "m2", "laps")
        .plus_if_any(areas.flange_m2, "m2", "flanges")
}

/// Factors that multiply an area, where they stood alone.
fn as_factors(terms: &[Term]) -> Vec<Term> {
    let factor = |term: &Term| Term { op: if term.op == Op::Plus { Op::Times } else { term.op }, ..term.clone() };
    terms.iter().map(factor).collect()
}

/// Full thickness everywhere, less half of the band over which it tapers. Nothing where the taper takes it all.
fn core_working(ply: &PlannedPly, areas: &PlyAreas, laid: &LaidPly, stock: &Stock) -> Option<Working> {
    let Stuff::Core { taper_mm } = ply.stuff else { return None };
    let core = stock.cores.get(&ply.material)?;
    let taper_m2 = m2_from_mm2(0.5 * taper_mm * areas.edge_mm);
    if taper_m2 >= laid.laid_m2 {
        return None;
    }
    let (thickness_m, density) = (m_from_mm(core.thickness_mm.value), core.density_kg_m3.value);
    let working = Working::of_ply(PLIES, ply.ply, "core_kg", "core", laid.core_kg, "kg")
        .plus(laid.laid_m2, "m2", "laid")
        .times(thickness_m, "m", "thick")
        .times(density, "kg/m3", "density");
    Some(if taper_m2 > 0.0 {
        working
            .minus(taper_m2, "m2", "half of the taper")
            .times(thickness_m, "m", "thick")
            .times(density, "kg/m3", "density")
    } else {
        working
    })
}

const fn dose_keys(agent: Agent) -> [(&'static str, &'static str); 2] {
    match agent {
        Agent::Catalyst => [("catalyst_g", "catalyst"), ("catalyst_ml", "catalyst by volume")],
        Agent::Hardener => [("hardener_g", "hardener"), ("hardener_ml", "hardener by volume")],
    }
}

/// Grams, then millilitres, of what is stirred into so many kg.
fn dose_workings(
    cure: Cure,
    dose: Dose,
    laid_kg: f64,
    working: &dyn Fn(usize, f64, &'static str) -> Working,
) -> [Working; 2] {
    let grams = working(0, dose.g, "g").plus(g_from_kg(laid_kg), "g", "laid");
    let (grams, density_g_ml) = match cure {
        Cure::Peroxide { percent, density_g_ml } => {
            (grams.times(percent, "", "percent").over(100.0, "", ""), density_g_ml)
        }
        Cure::Mix { per_100, density_g_ml } => {
            (grams.times(per_100, "", "to 100 of resin").over(100.0 + per_100, "", "of mix"), density_g_ml)
        }
    };
    [grams, working(1, dose.ml, "ml").plus(dose.g, "g", "").over(density_g_ml, "g/ml", "its density")]
}
