//! Release of mouldings: wax and PVA on a new mould, re-wax from moulding to moulding.

use super::bench::{Bench, Owner, figure};
use super::habits::Extras;
use super::{Amounts, Whose};
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::units::{kg_from_g, l_from_ml, total};
use crate::workshop::days::pace::Pace;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::PieceWork;

pub(super) const WAX: &str = "release wax";
pub(super) const PVA: &str = "PVA release";

pub(super) fn release(bench: &mut Bench<'_>, pieces: &[PieceWork], extras: &Extras, pace: &Pace) {
    let moulding = pieces.iter().find(|piece| piece.make == Make::Moulding);
    let mould: Vec<&PieceWork> = pieces.iter().filter(|piece| piece.make == Make::Mould).collect();
    let Some(moulding) = moulding else { return };
    // Without a mould of its own the moulding comes out of one that is there already.
    let mouldings = pieces.iter().filter(|piece| piece.make == Make::Moulding).collect();
    let faces: Vec<&PieceWork> = if mould.is_empty() { mouldings } else { mould.clone() };
    let m2 = total(faces.iter().map(|piece| piece.tool_m2()));
    let n_new = if mould.is_empty() { 0 } else { moulding.n_hands.min(moulding.count) };
    let owner = |count| Owner { of: Whose::Piece(moulding.place), name: moulding.part.clone(), count };
    let place = format!("{}, release", moulding.part);
    let g_m2 = figure!(bench, "extras", extras, wax_g_m2, place).likely;
    if n_new > 0 {
        let coats = figure!(bench, "days", pace, wax_coats_new, place).likely;
        wax(bench, &owner(n_new), "wax on the new mould", m2, coats, g_m2);
        let n_filmed = (n_new * Pace::whole(&pace.pva_pulls)).min(moulding.count);
        figure!(bench, "days", pace, pva_pulls, place);
        pva(bench, &owner(n_filmed), "PVA on the new mould", m2, extras);
    }
    let again = moulding.count.saturating_sub(n_new);
    if again > 0 {
        let coats = figure!(bench, "days", pace, wax_coats_again, place).likely;
        wax(bench, &owner(again), "re-wax before each later moulding", m2, coats, g_m2);
    }
}

pub(super) fn wax(bench: &mut Bench<'_>, owner: &Owner, why: &str, m2: f64, coats: f64, g_m2: f64) {
    let kg = m2 * coats * kg_from_g(g_m2);
    let sum = Working::of("kg", "wax", kg, "kg").plus(m2, "m2", "").times(coats, "", "coats").times(
        kg_from_g(g_m2),
        "kg/m2",
        "a coat",
    );
    bench.take(owner, why, NeedKind::ReleaseWax, WAX, Amounts { kg, ..Amounts::default() }, sum);
}

pub(super) fn pva(bench: &mut Bench<'_>, owner: &Owner, why: &str, m2: f64, extras: &Extras) {
    let ml_m2 = figure!(bench, "extras", extras, pva_ml_m2, owner.name).likely;
    let litres = m2 * l_from_ml(ml_m2);
    let sum = Working::of("litres", "PVA", litres, "l").plus(m2, "m2", "").times(l_from_ml(ml_m2), "l/m2", "");
    bench.take(owner, why, NeedKind::Pva, PVA, Amounts { litres, ..Amounts::default() }, sum);
}
