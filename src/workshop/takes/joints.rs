//! Joints of split mouldings: strap, lap, joggle, return flange.

use super::adhesive::{Bond, adhesive};
use super::asked::{Asked, Joint, JointKind};
use super::bench::{Bench, Owner, figure, last_glass};
use super::habits::Extras;
use super::{Amounts, Mixed, splits_of};
use crate::laminate::figure::Spread;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::m_from_mm;
use crate::workshop::mixes::recipe::MixKind;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{GelcoatWork, PieceWork};

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
    adhesive(bench, &Bond { owner, piece, joint, why, strip }, extras);
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
