//! The seal of a plug of polystyrene foam: a skin of epoxy and glass under everything that holds styrene.

use super::bench::{Bench, Owner};
use super::habits::Plug;
use super::plug::PlugLine;
use super::{Amounts, Measure};
use crate::laminate::cure::{Agent, Cure, Dose, volume_ml};
use crate::laminate::figure::Spread;
use crate::laminate::ply::wet_ply;
use crate::laminate::stock::{Binder, Family, Reinforcement, Resin, Stock};
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{g_from_kg, m_from_mm};
use crate::workshop::needs::NeedKind;

const WHY: &str = "seal of the foam";
const BY_HAND: &str = "stirred in small mixes by its maker's ratio, over the foam and into the glass";

/// One ply of light cloth in epoxy and a filling coat over it; gives the lines of the plug.
pub(super) fn seal(bench: &mut Bench<'_>, owner: &Owner, m2: f64, coat: Spread, plug: &Plug) -> Vec<PlugLine> {
    let (Some(glass), Some(resin)) = (light_cloth(bench.stock), epoxy(bench.stock)) else {
        let note = Note::warning(
            "seal-not-ordered",
            format!("{}: the stock has no epoxy, or no cloth that goes with it, to seal the foam with", owner.name),
            "give one under [stock.resin] with family = \"epoxy\", and cloth under [stock.reinforcement]",
        );
        bench.taken.notes.push(note);
        return Vec::new();
    };
    let (glass, resin) = (glass.clone(), resin.clone());
    let per_m2 = wet_ply(&glass, &resin);
    let glass_sum = Working::of("kg", "glass", m2 * per_m2.glass_kg_m2, "kg").plus(m2, "m2", "skin").times(
        per_m2.glass_kg_m2,
        "kg/m2",
        "",
    );
    let width_m = glass.rolls.as_ref().and_then(|rolls| rolls.first()).map(|roll| m_from_mm(roll.width_mm.value));
    let m = width_m.map_or(0.0, |width_m| m2 / width_m);
    let amounts = Amounts { kg: glass_sum.result, m2, m, ..Amounts::default() };
    bench.take(owner, WHY, NeedKind::Reinforcement, &glass.name, amounts, glass_sum.clone());
    let in_glass = per_m2.resin_kg_m2;
    let mix = Spread {
        low: m2 * (in_glass.low + coat.low),
        likely: m2 * (in_glass.likely + coat.likely),
        high: m2 * (in_glass.high + coat.high),
    };
    let mix_sum = Working::of("kg", "epoxy mix", mix.likely, "kg")
        .plus(m2, "m2", "skin")
        .times(in_glass.likely, "kg/m2", "in the glass")
        .plus(m2, "m2", "skin")
        .times(coat.likely, "kg/m2", "filling coat");
    mixed(bench, owner, &resin, &mix_sum);
    let brush = Working::of("pieces", "brush", 1.0, "").plus(1.0, "", "brush that sets in the epoxy");
    bench.take_by(owner, WHY, NeedKind::Brush, "laminating brush", Measure::Pieces, brush);
    let source = &plug.seal_coat_kg_m2.source;
    let line = |what: String, amount, unit, rests_on: &str, working| PlugLine {
        what,
        amount,
        unit,
        rests_on: rests_on.to_owned(),
        working,
    };
    vec![
        line(
            format!("seal: {}", glass.name),
            Spread::exactly(m2),
            "m2",
            source,
            Working::of("m2", "glass", m2, "m2").plus(m2, "m2", "skin"),
        ),
        line(format!("seal: {} with its hardener", resin.name), mix, "kg", source, mix_sum),
    ]
}

/// Epoxy and its hardener.
fn mixed(bench: &mut Bench<'_>, owner: &Owner, resin: &Resin, mix: &Working) {
    let Some(Cure::Mix { per_100, density_g_ml }) = Cure::of_resin(resin, None) else { return };
    let alone_share = 100.0 / (100.0 + per_100);
    let alone_kg = mix.result * alone_share;
    let sum =
        Working::of("kg", "resin", alone_kg, "kg").plus(mix.result, "kg", "mix").times(alone_share, "", "resin in it");
    let amounts = Amounts { kg: alone_kg, litres: alone_kg / resin.liquid_density_g_ml.value, ..Amounts::default() };
    bench.take(owner, WHY, NeedKind::Resin, &resin.name, amounts, sum);
    let hardener_kg = mix.result - alone_kg;
    let g = g_from_kg(hardener_kg);
    let dose = Dose { agent: Agent::Hardener, g, ml: volume_ml(g, density_g_ml) };
    bench.take_dose(owner, WHY, &resin.name, 1.0, mix.result, dose);
    let n = f64::from(owner.count);
    bench.unmixed(NeedKind::Resin, &resin.name, n * alone_kg, BY_HAND);
    bench.unmixed(NeedKind::Hardener, &resin.name, n * hardener_kg, BY_HAND);
}

/// The lightest cloth that has no binder against epoxy.
fn light_cloth(stock: &Stock) -> Option<&Reinforcement> {
    let fits = |glass: &&Reinforcement| matches!(glass.binder, Binder::None | Binder::Stitched);
    let weight = |glass: &Reinforcement| glass.areal_weight_g_m2.value;
    stock.reinforcements.values().filter(fits).min_by(|a, b| weight(a).total_cmp(&weight(b)))
}

/// The first epoxy by name.
fn epoxy(stock: &Stock) -> Option<&Resin> {
    stock.resins.values().find(|resin| resin.family == Family::Epoxy)
}
