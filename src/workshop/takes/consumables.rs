//! What is used up at the bench: by hours of laminating, by mixes, by plug.

use super::bench::{Bench, Owner, figure};
use super::habits::Consumables;
use super::{Measure, Take};
use crate::laminate::workings::Working;
use crate::units::total;
use crate::workshop::crew::Crew;
use crate::workshop::mixes::Mixes;
use crate::workshop::mixes::lines::MixLine;
use crate::workshop::mixes::recipe::Agent;
use crate::workshop::needs::NeedKind;
use crate::workshop::rates::Rates;
use crate::workshop::work::Work;

const WHY: &str = "consumables";

/// Hours of one person at the plies as mixes and days have them, and at what is laid beyond them by its mass.
pub(super) fn consumables(bench: &mut Bench<'_>, work: &Work, habits: &Consumables, rates: Rates<'_>) {
    let plies =
        || work.pieces.iter().flat_map(|piece| piece.plies.iter().map(move |ply| (f64::from(piece.count), ply)));
    let by_mass = plies().filter(|(_, ply)| rates.is_by_mass(ply)).map(|(count, ply)| count * ply.laid_kg());
    let laid_kg =
        total(by_mass) + taken_kg(&bench.taken.takes, &[NeedKind::Reinforcement, NeedKind::Resin, NeedKind::Hardener]);
    let light_m2 = total(plies().filter(|(_, ply)| !rates.is_by_mass(ply)).map(|(count, ply)| count * ply.laid_m2));
    if laid_kg == 0.0 && light_m2 == 0.0 {
        return;
    }
    let kg_h = bench.uses("crew", "laminate_kg_h", &rates.crew.laminate_kg_h, WHY).likely;
    let m2_h = bench.uses("days", "ply_m2_h", &rates.pace.ply_m2_h, WHY).likely;
    let hours = laid_kg / kg_h + light_m2 / m2_h;
    let by_hours = |of: &'static str, per_h: f64, unit: &'static str| {
        let mut sum = Working::of(of, "hours of one person", hours * per_h, if of == "litres" { "l" } else { "" });
        // Each product takes the rate.
        if laid_kg > 0.0 {
            sum = sum.plus(laid_kg, "kg", "glass and resin").over(kg_h, "kg/h", "").times(per_h, unit, "");
        }
        if light_m2 > 0.0 {
            sum = sum.plus(light_m2, "m2", "light plies").over(m2_h, "m2/h", "").times(per_h, unit, "");
        }
        sum
    };
    let acetone = figure!(bench, "consumables", habits, acetone_l_h, WHY).likely;
    let brushes = figure!(bench, "consumables", habits, brushes_per_h, WHY).likely;
    let rollers = figure!(bench, "consumables", habits, rollers_per_h, WHY).likely;
    let gloves = figure!(bench, "consumables", habits, glove_pairs_per_h, WHY).likely;
    let wipes = figure!(bench, "consumables", habits, wipes_per_h, WHY).likely;
    let filters = 1.0 / figure!(bench, "consumables", habits, filter_h, WHY).likely;
    let coveralls = 1.0 / figure!(bench, "consumables", habits, coverall_h, WHY).likely;
    for (kind, material, by, per_h) in [
        (NeedKind::Acetone, "acetone", Measure::Litres, acetone),
        (NeedKind::Brush, "laminating brush", Measure::Pieces, brushes),
        (NeedKind::Roller, "finned roller", Measure::Pieces, rollers),
        (NeedKind::Gloves, "nitrile gloves, pairs", Measure::Pieces, gloves),
        (NeedKind::Wipe, "wipes", Measure::Pieces, wipes),
        (NeedKind::VapourFilter, "A-type vapour filters, pairs", Measure::Pieces, filters),
        (NeedKind::Coverall, "throw-away coverall", Measure::Pieces, coveralls),
    ] {
        let (of, unit) = if by == Measure::Litres { ("litres", "l/h") } else { ("pieces", "per h") };
        let sum = by_hours(of, per_h, unit);
        bench.take_by(&Owner::job(), WHY, kind, material, by, sum);
    }
    each_person(bench, rates.crew);
    dust_masks(bench, habits);
}

fn taken_kg(takes: &[Take], kinds: &[NeedKind]) -> f64 {
    let takes = takes.iter().filter(|take| kinds.contains(&take.kind));
    total(takes.map(|take| f64::from(take.count) * take.amounts.kg))
}

/// A cup and a stick for each mix, and syringes that each catalyst and hardener is drawn with.
pub(super) fn of_mixes(bench: &mut Bench<'_>, mixes: &Mixes, habits: &Consumables) {
    let n_mixes = total(mixes.lines.iter().filter_map(n_mixes_of));
    let refused_kg =
        total(mixes.lines.iter().filter(|line| line.mixes.is_none()).map(|line| f64::from(line.count) * line.need_kg));
    // A need that is not mixed at this temperature is in no cup yet.
    let cup_kg = (refused_kg > 0.0).then(|| figure!(bench, "consumables", habits, cup_kg, WHY).likely);
    let n = n_mixes + cup_kg.map_or(0.0, |cup_kg| refused_kg / cup_kg);
    if n == 0.0 {
        return;
    }
    let sum = |words: &'static str, result| {
        let sum = Working::of("pieces", words, result, "").plus(n_mixes, "", "mixes");
        match cup_kg {
            Some(cup_kg) => sum.plus(refused_kg, "kg", "not mixed at this temperature").over(cup_kg, "kg", "a cup"),
            None => sum,
        }
    };
    bench.take_by(&Owner::job(), WHY, NeedKind::Cup, "mixing cup", Measure::Pieces, sum("cups", n));
    bench.take_by(&Owner::job(), WHY, NeedKind::Stick, "mixing stick", Measure::Pieces, sum("sticks", n));
    let per_syringe = figure!(bench, "consumables", habits, mixes_per_syringe, WHY).likely;
    for (agent, n_poured) in poured(mixes) {
        let material = format!("syringe for {}", agent.words());
        let syringes = Working::of("pieces", "syringes", n_poured / per_syringe, "")
            .plus(n_poured, "", format!("mixes that take {}", agent.words()))
            .over(per_syringe, "", "mixes a syringe");
        bench.take_by(&Owner::job(), WHY, NeedKind::Syringe, &material, Measure::Pieces, syringes);
    }
}

/// Mixes that take each agent as a liquid. One syringe never draws two agents: what is left of one reacts with the other.
fn poured(mixes: &Mixes) -> Vec<(Agent, f64)> {
    let mut poured: Vec<(Agent, f64)> = Vec::new();
    for line in mixes.lines.iter().filter(|line| line.stir_ml.is_some()) {
        let stirred = mixes.materials.get(line.recipe).and_then(|material| material.stirred);
        let (Some(stirred), Some(n)) = (stirred, n_mixes_of(line)) else { continue };
        let agent = stirred.agent(&line.material);
        match poured.iter_mut().find(|(known, _)| *known == agent) {
            Some((_, all)) => *all += n,
            None => poured.push((agent, n)),
        }
    }
    poured
}

fn n_mixes_of(line: &MixLine) -> Option<f64> {
    line.mixes.map(|cups| f64::from(line.count) * cups.n_mixes as f64)
}

/// What each person has once.
fn each_person(bench: &mut Bench<'_>, crew: &Crew) {
    let people = bench.uses("crew", "people", &crew.people, WHY).likely;
    for (kind, material) in [
        (NeedKind::Mask, "half mask for vapour filters"),
        (NeedKind::Goggles, "goggles"),
        (NeedKind::EyeWash, "eye wash bottle"),
    ] {
        let sum = Working::of("pieces", material, people, "").plus(people, "", "people");
        bench.take_by(&Owner::job(), WHY, kind, material, Measure::Pieces, sum);
    }
}

fn dust_masks(bench: &mut Bench<'_>, habits: &Consumables) {
    let m2 = total(bench.taken.plugs.iter().map(|plug| f64::from(plug.count) * plug.skin_m2));
    let per_m2 = figure!(bench, "consumables", habits, dust_masks_per_m2, WHY).likely;
    let sum = Working::of("pieces", "dust masks", m2 * per_m2, "").plus(m2, "m2", "plugs").times(per_m2, "per m2", "");
    bench.take_by(&Owner::job(), WHY, NeedKind::DustMask, "P3 dust mask", Measure::Pieces, sum);
}
