//! Colour of the mouldings: paste in gelcoat that is bought without pigment, and what is kept for repairs. All of it of one
//! maker's lot: another lot is another shade.

use super::bench::{Bench, Owner};
use super::habits::Colour;
use super::{Amounts, Whose};
use crate::laminate::cure::Agent;
use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::kg_from_g;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{GelcoatWork, PieceWork, Work};

const WHY: &str = "colour";

pub(super) fn colour(bench: &mut Bench<'_>, work: &Work, colour: Option<&Colour>) {
    let Some(colour) = colour else { return };
    let mut ready: Vec<&str> = Vec::new();
    let mut lots: Vec<(&GelcoatWork, f64)> = Vec::new();
    for piece in work.pieces.iter().filter(|piece| piece.make == Make::Moulding) {
        let Some(gelcoat) = &piece.gelcoat else { continue };
        if bench.stock.gelcoats.get(&gelcoat.name).is_some_and(|found| found.colour.is_some()) {
            if !ready.contains(&gelcoat.name.as_str()) {
                ready.push(&gelcoat.name);
            }
            continue;
        }
        let more_kg = beside_lay_up(bench, piece, &gelcoat.name);
        let kg = gelcoat.alone_kg + more_kg;
        paste(bench, &Owner::of_piece(piece), colour, kg);
        let share = (colour.paste.clone(), colour.paste_percent.value);
        bench.taken.pastes.insert(gelcoat.name.clone(), share);
        on_part(bench, piece, gelcoat, colour, more_kg);
        let all_kg = f64::from(piece.count) * kg;
        match lots.iter_mut().find(|(known, _)| known.name == gelcoat.name) {
            Some((_, sum_kg)) => *sum_kg += all_kg,
            None => lots.push((gelcoat, all_kg)),
        }
    }
    for (gelcoat, kg) in lots {
        repair(bench, gelcoat, kg, colour);
    }
    if !ready.is_empty() {
        bench.taken.notes.push(Note::info(
            "colour-twice",
            format!(
                "no colour paste is reckoned for {}: the stock says that it is bought in its colour",
                ready.join(", ")
            ),
            "take `colour` off that gelcoat under [stock.gelcoat] if paste is stirred into it",
        ));
    }
}

/// Gelcoat that one of a piece takes beside its lay-up: flowcoat, flanges of joints.
fn beside_lay_up(bench: &Bench<'_>, piece: &PieceWork, gelcoat: &str) -> f64 {
    let own = bench.taken.takes.iter().filter(|take| take.of == Whose::Piece(piece.place));
    let own = own.filter(|take| take.kind == NeedKind::Gelcoat && take.material == gelcoat);
    crate::units::total(own.map(|take| take.amounts.kg))
}

fn paste(bench: &mut Bench<'_>, owner: &Owner, colour: &Colour, gelcoat_kg: f64) {
    let percent = bench.uses(WHY, "paste_percent", &colour.paste_percent, &owner.name).likely;
    let kg = gelcoat_kg * percent / 100.0;
    let sum = Working::of("kg", "colour paste", kg, "kg").plus(gelcoat_kg, "kg", "gelcoat").times(percent, "%", "");
    let amounts = Amounts { kg, ..Amounts::default() };
    bench.take(owner, WHY, NeedKind::ColourPaste, &colour.paste, amounts, sum.over(100.0, "", ""));
}

/// What of the paste stays on the moulding: the share of the gelcoat that is not trimmed off.
fn on_part(bench: &mut Bench<'_>, piece: &PieceWork, gelcoat: &GelcoatWork, colour: &Colour, more_kg: f64) {
    let share =
        if gelcoat.laid_m2 > 0.0 { ((piece.area_m2 + piece.flange_m2) / gelcoat.laid_m2).min(1.0) } else { 1.0 };
    let kg: Spread =
        colour.paste_percent.spread().map(|percent| (gelcoat.alone_kg * share + more_kg) * percent / 100.0);
    let working = Working::of("kg", "colour paste", kg.likely, "kg")
        .plus(gelcoat.alone_kg * share + more_kg, "kg", "gelcoat that stays on")
        .times(colour.paste_percent.value, "%", "paste")
        .over(100.0, "", "");
    bench.line(piece, format!("colour paste, piece {}", piece.piece), kg, working);
}

fn repair(bench: &mut Bench<'_>, gelcoat: &GelcoatWork, of_kg: f64, colour: &Colour) {
    const KEPT: &str = "kept for repairs";
    let owner = Owner::job();
    let percent = bench.uses(WHY, "repair_percent", &colour.repair_percent, KEPT).likely;
    let kg = of_kg * percent / 100.0;
    let sum = Working::of("kg", KEPT, kg, "kg").plus(of_kg, "kg", "in all mouldings").times(percent, "%", "");
    let density_g_cm3 = bench.stock.gelcoats.get(&gelcoat.name).map_or(1.0, |found| found.density_g_cm3.value);
    let amounts = Amounts { kg, litres: kg / density_g_cm3, ..Amounts::default() };
    bench.take(&owner, KEPT, NeedKind::Gelcoat, &gelcoat.name, amounts, sum.over(100.0, "", ""));
    if let Some(dose) = gelcoat.dose
        && gelcoat.alone_kg > 0.0
    {
        let share = kg / gelcoat.alone_kg;
        bench.take_dose(&owner, KEPT, &gelcoat.name, share, kg, dose);
        let (kind, material) = match dose.agent {
            Agent::Catalyst => (NeedKind::Catalyst, "catalyst"),
            Agent::Hardener => (NeedKind::Hardener, gelcoat.name.as_str()),
        };
        bench.unmixed(kind, material, share * kg_from_g(dose.g), KEPT);
    }
    bench.unmixed(NeedKind::Gelcoat, &gelcoat.name, kg, KEPT);
    bench.unmixed(NeedKind::ColourPaste, &colour.paste, kg * colour.paste_percent.value / 100.0, KEPT);
    paste(bench, &owner, colour, kg);
}
