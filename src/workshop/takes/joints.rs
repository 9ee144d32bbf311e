//! Joints of split mouldings: strap, lap, joggle, return flange.

use super::asked::{Asked, Joint, JointKind};
use super::bench::{Bench, Owner, figure, last_glass};
use super::habits::Extras;
use super::{Amounts, Mixed, splits_of};
use crate::laminate::cure::{Agent, Dose, volume_ml};
use crate::laminate::figure::Spread;
use crate::laminate::gel::{GelPoint, GelTable};
use crate::laminate::stock::Stock;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{g_from_kg, m_from_mm};
use crate::workshop::mixes::recipe::{MixKind, Recipe, Stirred};
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{GelcoatWork, PieceWork, PlyWork};

/// Name of an adhesive that the job does not name.
const ADHESIVE: &str = "bonding paste";
/// Density of the catalyst where the gelcoat and resins of the piece have none, in g/ml.
const CATALYST_G_ML: f64 = 1.18;

pub(super) fn joints(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    for (split, length_mm) in splits_of(pieces) {
        let Some(piece) = pieces.iter().find(|piece| piece.splits.iter().any(|(name, _)| *name == split)) else {
            continue;
        };
        let told = asked.joints.iter().find(|joint| joint.split == split);
        let assumed = Joint {
            split: split.clone(),
            kind: JointKind::Strap,
            width_mm: None,
            plies: None,
            material: None,
            adhesive: None,
            bond_mm: None,
            adhesive_density_g_cm3: None,
        };
        joint(bench, piece, told.unwrap_or(&assumed), length_mm, extras);
        if told.is_none() {
            let note = Note::info(
                "joint-assumed",
                format!(
                    "the job does not say how the pieces are joined at split \"{split}\": a strap of glass inside is reckoned"
                ),
                "add a [[part.joint]] with the split's name and a kind: strap, lap, joggle or return-flange",
            );
            bench.taken.build_notes.push(((piece.place.part, piece.place.build), note));
        }
    }
}

fn joint(bench: &mut Bench<'_>, piece: &PieceWork, joint: &Joint, length_mm: f64, extras: &Extras) {
    let owner = Owner::of_build(piece);
    let why = format!("{} at {}", joint.kind.words(), joint.split);
    let place = format!("{}, {why}", owner.name);
    let width_mm = match (joint.width_mm, joint.kind) {
        (Some(own_mm), _) => bench.given("width_mm", own_mm, &place),
        (None, JointKind::Strap) => figure!(bench, "extras", extras, strap_width_mm, place).likely,
        (None, JointKind::Lap | JointKind::Joggle) => figure!(bench, "extras", extras, lap_width_mm, place).likely,
        (None, JointKind::ReturnFlange) => figure!(bench, "extras", extras, return_flange_width_mm, place).likely,
    };
    let n_plies = match (joint.plies, joint.kind) {
        (Some(plies), _) => bench.given("plies", f64::from(plies), &place),
        (None, JointKind::Strap) => figure!(bench, "extras", extras, strap_plies, place).likely.round(),
        (None, _) => 0.0,
    };
    let (length_m, width_m) = (m_from_mm(length_mm), m_from_mm(width_mm));
    let strip =
        Working::of("m2", "area", length_m * width_m, "m2").plus(length_m, "m", "joint").times(width_m, "m", "wide");
    let n_skins = match joint.kind {
        JointKind::Strap => 0.0,
        JointKind::Lap | JointKind::Joggle => 1.0,
        JointKind::ReturnFlange => 2.0,
    };
    more_skin(bench, &owner, piece, &why, &strip, n_skins);
    if n_plies > 0.0 {
        let area = Working { result: n_plies * strip.result, ..strip.clone() }.times(n_plies, "", "plies");
        let own = last_glass(piece).map(|ply| ply.material.clone());
        if let Some(material) = joint.material.clone().or(own)
            && let Some(wetted) = bench.wet(&owner, piece, &why, &material, &area)
        {
            bench.line(piece, format!("{why}, glass and resin"), wetted.kg, wetted.working);
        }
    }
    adhesive(bench, &owner, piece, joint, &why, &strip, extras);
}

/// Flanges and laps are laid as the moulding is: its own plies that lie everywhere, and its gelcoat.
fn more_skin(bench: &mut Bench<'_>, owner: &Owner, piece: &PieceWork, why: &str, strip: &Working, n_skins: f64) {
    if n_skins == 0.0 {
        return;
    }
    let area = Working { result: n_skins * strip.result, ..strip.clone() };
    let area = if n_skins == 1.0 { area } else { area.times(n_skins, "", "sides") };
    let everywhere = piece.plies.iter().filter(|ply| ply.is_everywhere && !ply.is_core);
    let mut kg = Spread::default();
    let mut sum = Working::of("kg", "own plies", 0.0, "kg");
    for ply in everywhere {
        if let Some(wetted) = bench.wet(owner, piece, why, &ply.material, &area) {
            kg = kg + wetted.kg;
            sum = sum.plus(wetted.kg.likely, "kg", ply.name.clone());
        }
    }
    if let Some(gelcoat) = piece.gelcoat.as_ref().filter(|gelcoat| gelcoat.laid_m2 > 0.0) {
        let kg_m2 = gelcoat.kg / gelcoat.laid_m2;
        let mix = Working::of("kg", "gelcoat", area.result * kg_m2, "kg")
            .plus(area.result, "m2", "")
            .times(kg_m2, "kg/m2", "");
        more_gelcoat(bench, owner, piece, why, gelcoat, &mix, area.result);
        kg = kg + Spread::exactly(mix.result);
        sum = sum.plus(mix.result, "kg", "gelcoat");
    }
    sum.result = kg.likely;
    bench.line(piece, format!("{why}, own laminate"), kg, sum);
}

/// More of a piece's gelcoat, brushed over so many m2; `mix` is the sum behind its mass, an epoxy's hardener included.
pub(super) fn more_gelcoat(
    bench: &mut Bench<'_>,
    owner: &Owner,
    piece: &PieceWork,
    why: &str,
    gelcoat: &GelcoatWork,
    mix: &Working,
    m2: f64,
) {
    if gelcoat.kg <= 0.0 {
        return;
    }
    let (share, alone) = (mix.result / gelcoat.kg, gelcoat.alone_kg / gelcoat.kg);
    let kg = mix.result * alone;
    let density_g_cm3 = bench.stock.gelcoats.get(&gelcoat.name).map_or(1.0, |found| found.density_g_cm3.value);
    let sum = Working { result: kg, ..mix.clone() };
    let sum = if alone == 1.0 { sum } else { sum.times(alone, "", "gelcoat in the mix") };
    let amounts = Amounts { kg, litres: kg / density_g_cm3, ..Amounts::default() };
    bench.take(owner, why, NeedKind::Gelcoat, &gelcoat.name, amounts, sum);
    if let Some(dose) = gelcoat.dose {
        bench.take_dose(owner, why, &gelcoat.name, share, kg, dose);
    }
    bench.mixed(Mixed {
        kind: MixKind::Gelcoat,
        material: gelcoat.name.clone(),
        of: piece.place,
        why: why.to_owned(),
        count: owner.count,
        need_kg: mix.result,
        alone_kg: kg,
        glass_kg: 0.0,
        brushed_m2: m2,
        planned_g: gelcoat.dose.map_or(0.0, |dose| share * dose.g),
        recipe: None,
        also: Vec::new(),
    });
}

fn adhesive(
    bench: &mut Bench<'_>,
    owner: &Owner,
    piece: &PieceWork,
    joint: &Joint,
    why: &str,
    strip: &Working,
    extras: &Extras,
) {
    let place = format!("{}, {why}", owner.name);
    let bond_mm = match (joint.bond_mm, joint.kind) {
        (Some(bond_mm), _) => Spread::exactly(bench.given("bond_mm", bond_mm, &place)),
        (None, JointKind::Strap) => return,
        (None, _) => figure!(bench, "extras", extras, bond_mm, place),
    };
    let density_g_cm3 = match joint.adhesive_density_g_cm3 {
        Some(density) => bench.given("adhesive_density_g_cm3", density, &place),
        None => figure!(bench, "extras", extras, adhesive_density_g_cm3, place).likely,
    };
    // 1 mm over 1 m2 is a litre.
    let kg = bond_mm.map(|bond_mm| strip.result * bond_mm * density_g_cm3);
    let working =
        Working { of: "kg".to_owned(), words: "adhesive".into(), result: kg.likely, unit: "kg", ..strip.clone() }
            .times(bond_mm.likely, "mm", "bond")
            .times(density_g_cm3, "g/cm3", "its density");
    let name = joint.adhesive.as_deref().unwrap_or(ADHESIVE);
    let amounts = Amounts { kg: kg.likely, litres: strip.result * bond_mm.likely, ..Amounts::default() };
    bench.take(owner, why, NeedKind::Adhesive, name, amounts, working.clone());
    // An adhesive for epoxy comes in two parts, whose mass is in its own: peroxide has no place in it.
    let doses = || piece.plies.iter().filter_map(|ply: &PlyWork| ply.dose);
    let is_of_epoxy =
        doses().any(|dose| dose.agent == Agent::Hardener) && doses().all(|dose| dose.agent != Agent::Catalyst);
    if is_of_epoxy || extras.adhesive_catalyst_percent.value == 0.0 {
        const OWN: &str = "it comes with a hardener of its own: mix it by the sheet that comes with it";
        bench.unmixed(NeedKind::Adhesive, name, f64::from(owner.count) * kg.likely, OWN);
        bench.line(piece, format!("{why}, adhesive"), kg, working);
        return;
    }
    let range = figure!(bench, "extras", extras, adhesive_catalyst_percent, place);
    let percent = range.likely;
    let g = g_from_kg(kg.likely) * percent / 100.0;
    let dose = Dose { agent: Agent::Catalyst, g, ml: volume_ml(g, catalyst_g_ml(piece)) };
    bench.take_dose(owner, &format!("{why}, adhesive"), name, 1.0, kg.likely, dose);
    let recipe = Recipe {
        kind: MixKind::Adhesive,
        material: name.to_owned(),
        stirred: Stirred::Catalyst,
        percent: range,
        told_percent: None,
        density_g_ml: Some(catalyst_g_ml(piece)),
        active_oxygen_percent: None,
        table: GelTable::of(&adhesive_gel_times(name, bench.stock)),
    };
    bench.mixed(Mixed {
        kind: MixKind::Adhesive,
        material: name.to_owned(),
        of: piece.place,
        why: why.to_owned(),
        count: owner.count,
        need_kg: kg.likely,
        alone_kg: kg.likely,
        glass_kg: 0.0,
        brushed_m2: 0.0,
        planned_g: g,
        recipe: Some(recipe),
        also: Vec::new(),
    });
    bench.line(piece, format!("{why}, adhesive"), kg, working);
}

/// Gel times of an adhesive: those of the stock's filler of its name, or the starter's for the paste that is taken unasked.
#[must_use]
pub fn adhesive_gel_times(name: &str, stock: &Stock) -> Vec<GelPoint> {
    #[derive(serde::Deserialize)]
    struct Starter {
        gel_min: Vec<GelPoint>,
    }
    if let Some(own) = stock.fillers.get(name).and_then(|found| found.gel_min.clone()) {
        return own;
    }
    if name != ADHESIVE {
        return Vec::new();
    }
    let starter: Starter = toml::from_str(include_str!("../starter/adhesive.toml"))
        .expect("the starter's gel times are part of the program and were tested");
    starter.gel_min
}

/// Density of the catalyst that the piece's own resin takes.
pub(super) fn catalyst_g_ml(piece: &PieceWork) -> f64 {
    let doses = piece.plies.iter().filter_map(|ply: &PlyWork| ply.dose);
    let mut doses = doses.chain(piece.gelcoat.as_ref().and_then(|gelcoat| gelcoat.dose));
    doses.find(|dose| dose.agent == Agent::Catalyst && dose.ml > 0.0).map_or(CATALYST_G_ML, |dose| dose.g / dose.ml)
}
