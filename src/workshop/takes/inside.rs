//! The inner face of a moulding: flowcoat or waxed resin, and peel ply where something is bonded later.

use super::asked::{Asked, Finish};
use super::bench::{Bench, Owner, figure};
use super::habits::Extras;
use super::joints::more_gelcoat;
use super::{Also, Amounts, Measure};
use crate::laminate::figure::Spread;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::total;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::PieceWork;

const WAX: &str = "wax solution";

pub(super) fn inside(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    let (Some(inside), Some(first)) = (asked.inside, pieces.first()) else { return };
    let all_m2 = total(pieces.iter().map(|piece| piece.area_m2));
    let told_m2 = inside.peel_ply_m2.unwrap_or(0.0);
    let peel_m2 = told_m2.min(all_m2);
    if told_m2 > all_m2 {
        let note = Note::warning(
            "peel-ply-over-face",
            format!(
                "`peel_ply_m2` is {told_m2}, more than the {all_m2:.3} m2 of the inner face: the whole face is reckoned"
            ),
            "give `peel_ply_m2` under [part.inside] as what is bonded later; one moulding's, in m2",
        );
        bench.taken.build_notes.push(((first.place.part, first.place.build), note));
    }
    if peel_m2 > 0.0 {
        bench.wet_on(first).peel_ply_m2 = peel_m2;
        let sum = Working::of("m2", "peel ply", peel_m2, "m2").plus(peel_m2, "m2", "to be bonded later");
        bench.take_by(&Owner::of_build(first), "inner face", NeedKind::PeelPly, "peel ply", Measure::M2, sum);
    }
    // What is bonded later stays bare: wax keeps everything from sticking.
    let share = if all_m2 > 0.0 { 1.0 - peel_m2 / all_m2 } else { 0.0 };
    for piece in pieces {
        let m2 = share * piece.area_m2;
        match inside.finish {
            Finish::Bare => {}
            Finish::Flowcoat => flowcoat(bench, piece, m2, extras),
            Finish::WaxedResin => waxed_resin(bench, piece, m2, extras),
        }
    }
}

/// Flowcoat is made of the moulding's own gelcoat, from the same lot; a moulding without gelcoat takes one that is bought.
fn flowcoat(bench: &mut Bench<'_>, piece: &PieceWork, m2: f64, extras: &Extras) {
    const WHY: &str = "inner face, flowcoat";
    let owner = Owner::of_piece(piece);
    let place = format!("{}, {WHY}", owner.name);
    let kg_m2 = figure!(bench, "extras", extras, flowcoat_kg_m2, place);
    let kg = kg_m2.map(|kg_m2| m2 * kg_m2);
    let working = Working::of("kg", "flowcoat", kg.likely, "kg").plus(m2, "m2", "").times(kg_m2.likely, "kg/m2", "");
    match piece.gelcoat.as_ref().filter(|gelcoat| gelcoat.kg > 0.0) {
        Some(gelcoat) => more_gelcoat(bench, &owner, piece, WHY, gelcoat, &working, m2),
        None => {
            bench.take_by(&owner, WHY, NeedKind::Flowcoat, "flowcoat", Measure::Kg, working.clone());
            let all_kg = f64::from(owner.count) * kg.likely;
            bench.unmixed(
                NeedKind::Flowcoat,
                "flowcoat",
                all_kg,
                "bought as such: mix it by the sheet that comes with it",
            );
        }
    }
    wax(bench, &owner, piece, WHY, kg.likely, extras);
    bench.line(piece, format!("flowcoat inside piece {}", piece.piece), kg, working);
}

fn waxed_resin(bench: &mut Bench<'_>, piece: &PieceWork, m2: f64, extras: &Extras) {
    const WHY: &str = "inner face, waxed resin";
    let owner = Owner::of_piece(piece);
    let kg_m2: Spread = figure!(bench, "extras", extras, waxed_resin_kg_m2, format!("{}, {WHY}", owner.name));
    if let Some(coat) = bench.coat(&owner, piece, WHY, m2, kg_m2) {
        wax(bench, &owner, piece, WHY, coat.kg.likely, extras);
        bench.line(piece, format!("waxed resin inside piece {}", piece.piece), coat.kg, coat.working);
    }
}

/// Wax solution, stirred into what is mixed for the same face before its catalyst.
fn wax(bench: &mut Bench<'_>, owner: &Owner, piece: &PieceWork, why: &str, of_kg: f64, extras: &Extras) {
    let percent = figure!(bench, "extras", extras, wax_solution_percent, format!("{}, {why}", owner.name)).likely;
    let kg = of_kg * percent / 100.0;
    let sum = Working::of("kg", WAX, kg, "kg").plus(of_kg, "kg", "").times(percent, "%", "").over(100.0, "", "");
    bench.take(owner, why, NeedKind::WaxSolution, WAX, Amounts { kg, ..Amounts::default() }, sum);
    match bench.taken.mixed.iter_mut().find(|mixed| mixed.of == piece.place && mixed.why == why) {
        Some(mixed) => {
            mixed.also.push(Also { kind: NeedKind::WaxSolution, material: WAX.to_owned(), kg, each_g: None })
        }
        None => bench.unmixed(
            NeedKind::WaxSolution,
            WAX,
            f64::from(owner.count) * kg,
            "goes into flowcoat that is bought as such",
        ),
    }
}
