//! Fixings: a plate or pad, doublers stepped past it, the core left out under it.

use super::Amounts;
use super::asked::{Asked, Fixing};
use super::bench::{Bench, Owner, figure, last_glass};
use super::habits::Extras;
use crate::laminate::figure::Spread;
use crate::laminate::ply::wet_ply;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{m2_from_mm2, total};
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{PieceWork, PlyWork};

pub(super) fn fixings(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    let Some(piece) = pieces.first() else { return };
    let face_m2 = total(pieces.iter().map(|piece| piece.area_m2));
    for fixing in asked.fixings {
        let pads_m2 = f64::from(fixing.how_many) * m2_from_mm2(fixing.size_mm[0] * fixing.size_mm[1]);
        if pads_m2 > face_m2 {
            let note = Note::warning(
                "fixing-over-face",
                format!("fixing \"{}\": its pads are {pads_m2:.3} m2 and the face is {face_m2:.3} m2", fixing.name),
                "give `size_mm` of one pad in mm and `how_many` of them on one moulding",
            );
            bench.taken.build_notes.push(((piece.place.part, piece.place.build), note));
        }
        let of_build = bench.wet_on(piece);
        of_build.n_fixings = of_build.n_fixings.saturating_add(fixing.how_many);
        let owner = Owner::of_build(piece);
        let why = format!("fixing {}", fixing.name);
        plate(bench, &owner, piece, fixing, &why);
        let widest_m2 = doublers(bench, &owner, piece, fixing, &why, extras);
        // Where it lies in pieces is not known, so the first piece with a core is taken, and all cores that lie there.
        if fixing.solid
            && let Some(cored) = pieces.iter().find(|piece| piece.plies.iter().any(|ply| ply.is_core))
        {
            let cores: Vec<&PlyWork> = cored.plies.iter().filter(|ply| ply.is_core).collect();
            for core in &cores {
                let of = if cores.len() > 1 { format!(" for ply {}", core.ply) } else { String::new() };
                solid(bench, &owner, cored, core, (&why, &of), widest_m2);
            }
        }
    }
}

fn plate(bench: &mut Bench<'_>, owner: &Owner, piece: &PieceWork, fixing: &Fixing, why: &str) {
    let Some(plate) = &fixing.plate else { return };
    let n = f64::from(fixing.how_many);
    let m2 = m2_from_mm2(fixing.size_mm[0] * fixing.size_mm[1]);
    // 1 mm over 1 m2 is a litre.
    let kg = n * m2 * plate.thickness_mm * plate.density_g_cm3;
    let working = Working::of("kg", "plates", kg, "kg")
        .plus(n, "", "plates")
        .times(m2, "m2", "")
        .times(plate.thickness_mm, "mm", "")
        .times(plate.density_g_cm3, "g/cm3", "");
    let Some(material) = fixing.plate_name() else { return };
    let amounts = Amounts { kg, m2: n * m2, pieces: n, ..Amounts::default() };
    bench.take(owner, why, NeedKind::FixingPlate, &material, amounts, working.clone());
    bench.line(piece, format!("{why}, plates"), Spread::exactly(kg), working);
}

/// Area of each ply over a pad of this size, in m2: ply `k` goes `k` steps past it on every side.
pub(super) fn stepped_m2(size_mm: [f64; 2], step_mm: f64, n_plies: u32) -> Vec<f64> {
    let past = |k: u32| 2.0 * f64::from(k) * step_mm;
    (1..=n_plies).map(|k| m2_from_mm2((size_mm[0] + past(k)) * (size_mm[1] + past(k)))).collect()
}

/// Lays the doublers; gives what the widest of all of them cover, in m2.
fn doublers(
    bench: &mut Bench<'_>,
    owner: &Owner,
    piece: &PieceWork,
    fixing: &Fixing,
    why: &str,
    extras: &Extras,
) -> f64 {
    let place = format!("{}, {why}", owner.name);
    let n_plies = match fixing.doublers {
        Some(plies) => bench.given("doublers", f64::from(plies), &place) as u32,
        // Checked to be 20 at most.
        None => figure!(bench, "extras", extras, doublers, place).likely.round() as u32,
    };
    let step_mm = match fixing.step_mm {
        Some(step_mm) => bench.given("step_mm", step_mm, &place),
        None => figure!(bench, "extras", extras, doubler_step_mm, place).likely,
    };
    let n = f64::from(fixing.how_many);
    let areas = stepped_m2(fixing.size_mm, step_mm, n_plies);
    let one_m2: f64 = crate::units::total(areas.iter().copied());
    let area = areas.iter().enumerate().fold(Working::of("m2", "doublers", n * one_m2, "m2"), |sum, (k, m2)| {
        sum.plus(n, "", "").times(*m2, "m2", format!("ply {}", k + 1))
    });
    let own = last_glass(piece).map(|ply| ply.material.clone());
    if let Some(material) = fixing.material.clone().or(own)
        && one_m2 > 0.0
        && let Some(wetted) = bench.wet(owner, piece, why, &material, &area)
    {
        bench.line(piece, format!("{why}, doublers"), wetted.kg, wetted.working);
        bench.wet_on(piece).fixings_m2 += area.result;
    }
    n * areas.last().copied().unwrap_or_else(|| m2_from_mm2(fixing.size_mm[0] * fixing.size_mm[1]))
}

/// The core left out, and plies of the last glass laid in its place until they are as thick.
fn solid(bench: &mut Bench<'_>, owner: &Owner, piece: &PieceWork, core: &PlyWork, (why, of): (&str, &str), m2: f64) {
    let Some(like) = last_glass(piece).cloned() else { return };
    let Some(stock_core) = bench.stock.cores.get(&core.material) else { return };
    let (Some(glass), Some(resin)) =
        (bench.stock.reinforcements.get(&like.material), bench.stock.resins.get(&like.resin))
    else {
        return;
    };
    let (ply_mm, core_mm) = (wet_ply(glass, resin).thickness_mm.likely, stock_core.thickness_mm.value);
    let core_kg_m2 = core_mm * stock_core.density_kg_m3.value / 1000.0;
    let drunk_kg_m2 = stock_core.resin_kg_m2.value;
    let n_plies = (core_mm / ply_mm.max(0.01)).ceil();
    let out_kg = -m2 * (core_kg_m2 + drunk_kg_m2);
    let out = Working::of("kg", "core and its resin left out", out_kg, "kg")
        .minus(m2, "m2", "")
        .times(core_kg_m2, "kg/m2", "core")
        .minus(m2, "m2", "")
        .times(drunk_kg_m2, "kg/m2", "drunk by it");
    // What is cut out of a sheet is bought all the same.
    bench.line(piece, format!("{why}, core left out{of}"), Spread::exactly(out_kg), out);
    let area =
        Working::of("m2", "solid", n_plies * m2, "m2").plus(m2, "m2", "").times(n_plies, "", "plies for the core");
    let why = format!("{why}, solid{of}");
    if let Some(wetted) = bench.wet(owner, piece, &why, &like.material, &area) {
        bench.line(piece, why, wetted.kg, wetted.working);
        bench.wet_on(piece).fixings_m2 += area.result;
    }
}
