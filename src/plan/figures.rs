//! Every figure that entered a plan, with what it is known from and where it was used.

use serde::Serialize;

use super::corners::{FLANGE_TURN_DEG, LEAST_TURN_DEG, NARROW_SIDE_MM};
use super::release::Release;
use super::types::{Build, PartPlan};
use crate::job::{Job, JobPart, Shelf};
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::plies::PlannedPly;
use crate::laminate::remedies::Remedy;
use crate::laminate::schedule::{Make, Zone};
use crate::laminate::stock::{NamedFigure, Practice, Stock};
use crate::laminate::warnings::{COLDEST_C, HOTTEST_C};
use crate::workshop::mixes::recipe::MixKind;
use crate::workshop::mixes::{EXPECTED_C, Mixes};
use crate::workshop::needs::{NeedKind, Needs, reserve_of};
use crate::workshop::takes::{Taken, UsedHere, adhesive_gel_times};

/// A figure with where it was used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UsedFigure {
    /// What it belongs to: a material, a schedule, a panel, `shop`, or `program` for what the program takes for granted.
    pub of: String,
    /// Its key there; its ending is the unit.
    pub figure: String,
    /// Its unit; empty for a ratio.
    pub unit: &'static str,
    /// The likely value.
    pub value: f64,
    /// The least to expect.
    pub low: f64,
    /// The most to expect.
    pub high: f64,
    /// Where it comes from.
    pub source: String,
    /// How firmly it is known.
    pub mark: Mark,
    /// Where it was used.
    pub used_in: Vec<String>,
}

/// The unit that a key ends in; empty for a ratio or a share.
#[must_use]
pub fn unit_of(key: &str) -> &'static str {
    unit_ending(key).map_or("", |(_, unit)| unit)
}

/// A key without the ending that is its unit, as words: `resin_per_glass` is resin per glass.
#[must_use]
pub fn words_of(key: &str) -> String {
    let bare = unit_ending(key).map_or(key, |(ending, _)| key.strip_suffix(ending).unwrap_or(key));
    bare.replace('_', " ")
}

fn unit_ending(key: &str) -> Option<(&'static str, &'static str)> {
    // Longer endings first: a weight per area ends like an area.
    const ENDINGS: [(&str, &str); 25] = [
        ("_ml_m2", "ml/m2"),
        ("_m2_l", "m2/l"),
        ("_per_m2", "per m2"),
        ("_per_h", "per h"),
        ("_kg_h", "kg/h"),
        ("_l_h", "l/h"),
        ("_um", "µm"),
        ("_kg_m2", "kg/m2"),
        ("_kg_m3", "kg/m3"),
        ("_g_m2", "g/m2"),
        ("_g_cm3", "g/cm3"),
        ("_g_ml", "g/ml"),
        ("_n_mm", "N/mm"),
        ("_mpa", "MPa"),
        ("_per_100", "g per 100 g"),
        ("_percent", "%"),
        ("_deg", "deg"),
        ("_m2", "m2"),
        ("_kg", "kg"),
        ("_ml", "ml"),
        ("_mm", "mm"),
        ("_m", "m"),
        ("_min", "min"),
        ("_h", "h"),
        ("_c", "deg C"),
    ];
    ENDINGS.into_iter().find(|(ending, _)| key.ends_with(ending))
}

/// The figures that a plan rests on: materials in the order in which the job uses them, then the shop's habits and what
/// panels and schedules of the job say themselves, then what the program takes for granted.
#[must_use]
pub fn used_figures(
    job: &Job,
    parts: &[PartPlan],
    needs: &Needs,
    takes: &Taken,
    mixes: &Mixes,
    shelf: &Shelf,
) -> Vec<UsedFigure> {
    let stock = &shelf.stock;
    let mut ledger = Ledger::default();
    for part in parts {
        let entry = job.parts.iter().find(|entry| entry.name == part.name);
        for build in &part.builds {
            let place = format!("{}, {}", part.name, build.make.word());
            of_materials(&mut ledger, build, &place, entry, stock);
        }
    }
    of_order(&mut ledger, needs, stock);
    for part in parts {
        let entry = job.parts.iter().find(|entry| entry.name == part.name);
        for build in &part.builds {
            let place = format!("{}, {}", part.name, build.make.word());
            of_shop(&mut ledger, build, &place, entry, stock);
            of_release(&mut ledger, build, &place, &stock.practice);
            of_schedule(&mut ledger, build, &place, job);
        }
    }
    of_mixes(&mut ledger, mixes, shelf);
    for UsedHere { of, field, figure, place } in &takes.figures {
        ledger.enter(of, field, figure, place);
    }
    of_reserves(&mut ledger, needs, shelf);
    if !parts.is_empty() {
        ledger.enter_all("crew", shelf.crew.figures(), &[], "days");
        ledger.enter_all("days", shelf.pace.figures(), &[], "days");
    }
    of_program(&mut ledger, parts);
    ledger.figures
}

#[derive(Debug, Default)]
struct Ledger {
    figures: Vec<UsedFigure>,
}

impl Ledger {
    fn enter(&mut self, of: &str, key: &str, figure: &Figure, place: &str) {
        let known = self.figures.iter_mut().find(|used| used.of == of && used.figure == key);
        let used = match known {
            Some(used) => used,
            None => {
                let Figure { value, low, high, source, mark } = figure.clone();
                let (of, key, unit) = (of.to_owned(), key.to_owned(), unit_of(key));
                let used = UsedFigure { of, figure: key, unit, value, low, high, source, mark, used_in: Vec::new() };
                self.figures.push(used);
                let last = self.figures.len() - 1;
                &mut self.figures[last]
            }
        };
        if !used.used_in.iter().any(|known| known == place) {
            used.used_in.push(place.to_owned());
        }
    }

    fn enter_all(&mut self, of: &str, figures: Vec<NamedFigure<'_>>, but: &[&str], place: &str) {
        for NamedFigure { field, figure } in figures.into_iter().filter(|named| !but.contains(&named.field)) {
            self.enter(of, field, figure, place);
        }
    }
}

fn of_materials(ledger: &mut Ledger, build: &Build, place: &str, entry: Option<&JobPart>, stock: &Stock) {
    let plan = &build.plies_plan;
    if let Some((gelcoat, name)) =
        plan.gelcoat.as_ref().and_then(|gelcoat| Some((stock.gelcoats.get(&gelcoat.name)?, &gelcoat.name)))
    {
        ledger.enter_all(name, gelcoat.figures(), &["density_g_cm3"], &format!("{place}, gelcoat"));
    }
    for material in distinct(plan.plies.iter().map(|ply| ply.material.as_str())) {
        let place = format!("{place}, {}", plies_words(&plan.plies, |ply| ply.material == material));
        if let Some(glass) = stock.reinforcements.get(material) {
            let own_lap = entry.is_some_and(|entry| entry.lap_mm.is_some());
            ledger.enter_all(material, glass.figures(), if own_lap { &["lap_mm"] } else { &[] }, &place);
            if let Some(roll) = glass.rolls.as_ref().and_then(|rolls| rolls.first()) {
                ledger.enter(material, "roll_width_mm", &roll.width_mm, &place);
            }
        }
        if let Some(core) = stock.cores.get(material) {
            ledger.enter_all(
                material,
                core.figures(),
                &["sheet_width_mm", "sheet_length_mm", "modulus_mpa", "shear_modulus_mpa"],
                &place,
            );
        }
    }
    for name in distinct(plan.plies.iter().map(|ply| ply.resin.as_str())) {
        let Some(resin) = stock.resins.get(name) else { continue };
        let place = format!("{place}, {}", plies_words(&plan.plies, |ply| ply.resin == name));
        let own_percent = plan.catalyst_percent.is_some();
        let but: &[&str] =
            if own_percent { &["catalyst_percent", "liquid_density_g_ml"] } else { &["liquid_density_g_ml"] };
        ledger.enter_all(name, resin.figures(), but, &place);
    }
    let fillers = build.pieces.iter().flat_map(|piece| &piece.corners).flat_map(|met| &met.advice.remedies);
    for name in distinct(fillers.filter_map(|remedy| match remedy {
        Remedy::Fill { filler, .. } => Some(filler.as_str()),
        _ => None,
    })) {
        if let Some(filler) = stock.fillers.get(name) {
            ledger.enter_all(name, filler.figures(), &[], &format!("{place}, fillets"));
        }
    }
}

/// Densities by which the order turns kg into litres.
fn of_order(ledger: &mut Ledger, needs: &Needs, stock: &Stock) {
    for need in &needs.needs {
        let name = &need.material;
        match need.kind {
            NeedKind::Resin => {
                let density = stock.resins.get(name).map(|resin| &resin.liquid_density_g_ml);
                density.into_iter().for_each(|figure| ledger.enter(name, "liquid_density_g_ml", figure, "order"));
            }
            NeedKind::Gelcoat => {
                let density = stock.gelcoats.get(name).map(|gelcoat| &gelcoat.density_g_cm3);
                density.into_iter().for_each(|figure| ledger.enter(name, "density_g_cm3", figure, "order"));
            }
            _ => {}
        }
    }
}

const SHOP: &str = "shop";

fn of_shop(ledger: &mut Ledger, build: &Build, place: &str, entry: Option<&JobPart>, stock: &Stock) {
    let practice = &stock.practice;
    let name = entry.map_or("", |entry| entry.name.as_str());
    let mut width = |key: &str, own: Option<f64>, shops: &Figure, place: &str| match own {
        Some(own_mm) => ledger.enter(name, key, &Figure::given(own_mm), place),
        None => ledger.enter(SHOP, key, shops, place),
    };
    match build.make {
        Make::Mould => width("flange_mm", entry.and_then(|entry| entry.flange_mm), &practice.flange_mm, place),
        Make::Moulding => width("trim_mm", entry.and_then(|entry| entry.trim_mm), &practice.trim_mm, place),
    }
    if let Some(lap_mm) = entry.and_then(|entry| entry.lap_mm) {
        ledger.enter(name, "lap_mm", &Figure::given(lap_mm), place);
    }
    for (number, edge) in entry.into_iter().flat_map(|entry| entry.edges.iter().enumerate()) {
        if let Some(width_mm) = edge.width_mm {
            ledger.enter(name, &format!("edge {} width_mm", number + 1), &Figure::given(width_mm), place);
        }
    }
    let checked = format!("check of schedule {}", build.schedule);
    ledger.enter(SHOP, "first_ply_most_g_m2", &practice.first_ply_most_g_m2, &checked);
    ledger.enter(SHOP, "mat_most_glass_content", &practice.mat_most_glass_content, &checked);
    if build.make == Make::Mould {
        ledger.enter(SHOP, "mould_over_moulding", &practice.mould_over_moulding, &checked);
    }
    of_sheets(ledger, build, practice);
    let corners = format!("{place}, corners");
    for remedy in build.pieces.iter().flat_map(|piece| &piece.corners).flat_map(|met| &met.advice.remedies) {
        match remedy {
            Remedy::ButtUnderTape { .. } | Remedy::Doubler { .. } => {
                ledger.enter(SHOP, "corner_strip_mm", &practice.corner_strip_mm, &corners);
            }
            Remedy::ReliefCuts { .. } => ledger.enter(SHOP, "relief_gap_mm", &practice.relief_gap_mm, &corners),
            Remedy::Fill { .. } | Remedy::Round { .. } | Remedy::LighterFirstPly { .. } => {}
        }
    }
}

/// What decides how a build comes off, where it is started and who lifts it.
fn of_release(ledger: &mut Ledger, build: &Build, place: &str, practice: &Practice) {
    let releases: Vec<&Release> = build.pieces.iter().filter_map(|piece| piece.release.as_ref()).collect();
    if releases.is_empty() {
        return;
    }
    let place = format!("{place}, release");
    let mut enter = |key: &str, figure: &Figure| ledger.enter(SHOP, key, figure, &place);
    enter("draft_deg", &practice.draft_deg);
    enter("near_zero_draft_deg", &practice.near_zero_draft_deg);
    if releases.iter().any(|release| !release.pull.releases) {
        enter("least_lock_mm", &practice.least_lock_mm);
    }
    enter("wedge_spacing_mm", &practice.wedge_spacing_mm);
    if build.make == Make::Mould {
        enter("port_area_m2", &practice.port_area_m2);
    }
    if releases.iter().any(|release| release.peel.is_some()) {
        enter("peel_strain_percent", &practice.peel_strain_percent);
        enter("peel_force_n_mm", &practice.peel_force_n_mm);
    }
    if releases.iter().any(|release| release.peel.is_some() || release.flat.is_some()) {
        enter("laminate_modulus_mpa", &practice.laminate_modulus_mpa);
    }
    if releases.iter().any(|release| release.flat.is_some()) {
        enter("sag_over_span", &practice.sag_over_span);
    }
    enter("lift_one_kg", &practice.lift_one_kg);
    enter("lift_two_kg", &practice.lift_two_kg);
    enter("lift_one_mm", &practice.lift_one_mm);
}

/// Limits of a stage, times and temperatures that sheets give.
fn of_sheets(ledger: &mut Ledger, build: &Build, practice: &Practice) {
    let stages = format!("stages of schedule {}", build.schedule);
    ledger.enter(SHOP, "stage_most_plies", &practice.stage_most_plies, &stages);
    ledger.enter(SHOP, "stage_most_g_m2", &practice.stage_most_g_m2, &stages);
    ledger.enter(SHOP, "stage_most_mm", &practice.stage_most_mm, &stages);
    const SHEETS: &str = "sheets";
    if build.plies_plan.gelcoat.is_some() {
        ledger.enter(SHOP, "gelcoat_coat_mm", &practice.gelcoat_coat_mm, "mixes, sheets and days");
        ledger.enter(SHOP, "gelcoat_tack_min", &practice.gelcoat_tack_min, SHEETS);
        ledger.enter(SHOP, "overlay_most_h", &practice.overlay_most_h, SHEETS);
    }
    ledger.enter(SHOP, "cure_h", &practice.cure_h, SHEETS);
    ledger.enter(SHOP, "cure_least_c", &practice.cure_least_c, SHEETS);
    if let Some(temperature_c) = &practice.temperature_c {
        ledger.enter(SHOP, "temperature_c", temperature_c, SHEETS);
    }
}

/// Figures that stand in the schedule itself: the job's, or the starter's.
fn of_schedule(ledger: &mut Ledger, build: &Build, place: &str, job: &Job) {
    let name = format!("schedule {}", build.schedule);
    let figure = |value: f64| {
        if job.schedules.contains_key(&build.schedule) {
            Figure::given(value)
        } else {
            Figure::new(value, Mark::CommonPractice, "starter schedule")
        }
    };
    if let Some(percent) = build.plies_plan.catalyst_percent {
        ledger.enter(&name, "catalyst_percent", &figure(percent), place);
    }
    for ply in &build.plies_plan.plies {
        let here = format!("{place}, ply {}", ply.ply);
        match &ply.zone {
            Zone::Corners(strip) => {
                ledger.enter(&name, "corner strip width_mm", &figure(strip.width_mm), &here);
                if let Some(limit_mm) = strip.tighter_than_mm {
                    ledger.enter(&name, "corner strip tighter_than_mm", &figure(limit_mm), &here);
                }
            }
            Zone::Edges(band) => ledger.enter(&name, "edge band width_mm", &figure(band.width_mm), &here),
            Zone::Above(height) | Zone::Below(height) => {
                // Heights are given, of whichever sign.
                ledger.enter(&name, "height at_mm", &figure(height.at_mm), &here);
            }
            Zone::All | Zone::Beyond(_) | Zone::Region(_) => {}
        }
        if ply.clear_of_edges_mm > 0.0 {
            ledger.enter(&name, "clear_of_edges_mm", &figure(ply.clear_of_edges_mm), &here);
        }
    }
}

fn of_reserves(ledger: &mut Ledger, needs: &Needs, shelf: &Shelf) {
    for need in &needs.needs {
        let reserve = reserve_of(need.kind, &shelf.stock.practice, &shelf.extras);
        // What is kept for more than the figure's sake does not rest on it.
        if let Some(figure) = reserve.figure.filter(|figure| figure.value == need.reserve_percent) {
            ledger.enter(reserve.table, reserve.key, figure, &format!("order, {}", need.material));
        }
    }
}

/// Gel times, the crew's pace and how mixes are sized.
fn of_mixes(ledger: &mut Ledger, mixes: &Mixes, shelf: &Shelf) {
    if mixes.materials.is_empty() {
        return;
    }
    const MIXES: &str = "mixes";
    let stock = &shelf.stock;
    for material in &mixes.materials {
        let name = &material.material;
        let of_stock = match material.kind {
            MixKind::Gelcoat => stock.gelcoats.get(name).and_then(|gelcoat| gelcoat.gel_min.clone()),
            MixKind::Putty => stock.fillers.get(name).and_then(|filler| filler.gel_min.clone()),
            MixKind::Resin => stock.resins.get(name).and_then(|resin| resin.gel_min.clone()),
            MixKind::Adhesive => Some(adhesive_gel_times(name, stock)),
        };
        for point in of_stock.unwrap_or_default() {
            ledger.enter(name, &point.key(), &point.min, MIXES);
        }
    }
    ledger.enter_all("crew", shelf.crew.figures(), &[], MIXES);
    ledger.enter_all("mixes", shelf.mixes.figures(), &[], MIXES);
    let coldest = Figure::new(
        COLDEST_C,
        Mark::Published,
        "heating that holds over 15 C, in a classification society's approval guidance for workshops",
    );
    ledger.enter("program", "coldest_c", &coldest, MIXES);
    let hottest =
        Figure::new(HOTTEST_C, Mark::Published, "flash point of styrene, International Chemical Safety Card 0073");
    ledger.enter("program", "hottest_c", &hottest, MIXES);
    if mixes.is_assumed {
        let expected = Figure::new(EXPECTED_C, Mark::CommonPractice, "the job does not tell its shop's temperature");
        ledger.enter("program", "expected_c", &expected, MIXES);
    }
}

/// What the program takes for granted, because no job says otherwise.
fn of_program(ledger: &mut Ledger, parts: &[PartPlan]) {
    const PROGRAM: &str = "program";
    let mut enter = |key, value, why, place: &str| {
        ledger.enter(PROGRAM, key, &Figure::new(value, Mark::CommonPractice, why), place);
    };
    if parts.is_empty() {
        return;
    }
    enter("least_turn_deg", LEAST_TURN_DEG, "bends that turn less are followed by any mat", "corners");
    enter("flange_turn_deg", FLANGE_TURN_DEG, "a flange is taken to stand square to the face", "corners at flanges");
    enter(
        "narrow_side_mm",
        NARROW_SIDE_MM,
        "a face this narrow beside a curved corner is cut, not draped",
        "relief cuts",
    );
}

fn distinct<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut distinct = Vec::new();
    for name in names {
        if !distinct.contains(&name) {
            distinct.push(name);
        }
    }
    distinct
}

/// `ply 1`, `plies 2 to 5 and 7`.
fn plies_words(plies: &[PlannedPly], takes: impl Fn(&PlannedPly) -> bool) -> String {
    let numbers: Vec<usize> = plies.iter().filter(|ply| takes(ply)).map(|ply| ply.ply).collect();
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &number in &numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|&(first, last)| if first == last { first.to_string() } else { format!("{first} to {last}") })
        .collect();
    let word = if numbers.len() == 1 { "ply" } else { "plies" };
    format!("{word} {}", words.join(" and "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_ends_in_its_unit() {
        for (key, unit) in [
            ("areal_weight_g_m2", "g/m2"),
            ("coverage_kg_m2", "kg/m2"),
            ("catalyst_density_g_ml", "g/ml"),
            ("catalyst_percent", "%"),
            ("inside_limit_mm", "mm"),
            ("resin_per_glass", ""),
            ("hardener_per_100", "g per 100 g"),
            ("least_turn_deg", "deg"),
            ("peel_force_n_mm", "N/mm"),
            ("laminate_modulus_mpa", "MPa"),
        ] {
            assert_eq!(unit_of(key), unit, "{key}");
        }
    }

    #[test]
    fn a_figure_is_entered_once_with_every_place() {
        let mut ledger = Ledger::default();
        for place in ["roof shell, mould", "roof shell, mould", "nose, mould"] {
            ledger.enter("shop", "flange_mm", &Figure::given(75.0), place);
        }
        assert_eq!(ledger.figures.len(), 1);
        assert_eq!(ledger.figures[0].used_in, ["roof shell, mould", "nose, mould"]);
    }
}
