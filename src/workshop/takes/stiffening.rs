//! Stiffeners and cradle of a mould. They go on after the skin has cured and cooled, on a soft bed, before release: put on
//! sooner, or hard, they print through.

use super::Amounts;
use super::asked::{Asked, Former, Stiffening};
use super::bench::{Bench, Owner, figure, last_glass};
use super::habits::Extras;
use crate::laminate::figure::Spread;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::m_from_mm;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::PieceWork;

pub(super) fn stiffening(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    let assumed = Stiffening::default();
    let told = asked.stiffening;
    let stiffening = told.unwrap_or(&assumed);
    for piece in pieces {
        let Some(metres) = metres(bench, piece, stiffening, extras) else { continue };
        stiffeners(bench, piece, stiffening, &metres, extras);
        if told.is_none() {
            let note = Note::info(
                "stiffeners-assumed",
                format!(
                    "piece {}: its largest flat of {:.2} m2 needs stiffeners: {:.1} m of them are reckoned, over foam",
                    piece.piece,
                    piece.stiffen.map_or(0.0, |flat| flat.area_m2),
                    metres.result
                ),
                "put them on after the skin has cured and cooled, on a soft bed, before release; [part.stiffening] says \
                 otherwise, and `metres = 0` leaves them out",
            );
            bench.taken.build_notes.push(((piece.place.part, piece.place.build), note));
        }
    }
    if stiffening.cradle
        && let Some(piece) = pieces.first()
    {
        cradle(bench, piece, pieces, stiffening, extras);
    }
}

/// Metres of stiffener on a piece; nothing if it has none.
fn metres(bench: &mut Bench<'_>, piece: &PieceWork, stiffening: &Stiffening, extras: &Extras) -> Option<Working> {
    if let Some(metres) = stiffening.metres {
        return (metres > 0.0).then(|| Working::of("m", "stiffeners", metres, "m").plus(metres, "m", "given"));
    }
    let flat = piece.stiffen?;
    let spacing_mm = match stiffening.spacing_mm {
        Some(spacing_mm) => bench.given("spacing_mm", spacing_mm, &piece.name()),
        None => figure!(bench, "extras", extras, stiffener_spacing_mm, piece.name()).likely,
    };
    let spacing_m = m_from_mm(spacing_mm);
    let working =
        Working::of("m", "stiffeners", flat.area_m2 / spacing_m, "m").plus(flat.area_m2, "m2", "largest flat");
    Some(working.over(spacing_m, "m", "from one to the next"))
}

fn stiffeners(bench: &mut Bench<'_>, piece: &PieceWork, stiffening: &Stiffening, metres: &Working, extras: &Extras) {
    const WHY: &str = "stiffeners";
    let owner = Owner::of_piece(piece);
    let place = format!("{}, {WHY}", owner.name);
    let width_m = m_from_mm(figure!(bench, "extras", extras, former_width_mm, place).likely);
    let height_m = m_from_mm(figure!(bench, "extras", extras, former_height_mm, place).likely);
    let land_m = m_from_mm(figure!(bench, "extras", extras, stiffener_land_mm, place).likely);
    let density_kg_m3 = match stiffening.former {
        Former::Foam => figure!(bench, "extras", extras, foam_former_kg_m3, place),
        Former::Paper => figure!(bench, "extras", extras, paper_former_kg_m3, place),
        Former::Timber => figure!(bench, "extras", extras, timber_former_kg_m3, place),
    };
    let kg = density_kg_m3.map(|density| metres.result * width_m * height_m * density);
    let former = Working::of("kg", "formers", kg.likely, "kg")
        .plus(metres.result, "m", "")
        .times(width_m, "m", "wide")
        .times(height_m, "m", "high")
        .times(density_kg_m3.likely, "kg/m3", "");
    let material = format!("{} former", stiffening.former.words());
    let amounts = Amounts { kg: kg.likely, m: metres.result, ..Amounts::default() };
    bench.take(&owner, WHY, NeedKind::StiffenerFormer, &material, amounts, metres.clone());
    let bed = Amounts { m: metres.result, ..Amounts::default() };
    bench.take(&owner, WHY, NeedKind::StiffenerBed, "soft strip under stiffeners", bed, metres.clone());
    bench.line(piece, format!("stiffeners of piece {}, formers", piece.piece), kg, former);
    let n_plies = n_plies(bench, stiffening, extras, &place);
    let girth_m = width_m + 2.0 * height_m + 2.0 * land_m;
    let area = Working::of("m2", "tapes", metres.result * girth_m * n_plies, "m2")
        .plus(metres.result, "m", "")
        .times(girth_m, "m", "over the former and on both sides of it")
        .times(n_plies, "", "plies");
    let what = format!("stiffeners of piece {}, tapes", piece.piece);
    tapes(bench, &owner, piece, WHY, stiffening, &area, what);
}

/// Plies over a former, or over the timber of a cradle.
fn n_plies(bench: &mut Bench<'_>, stiffening: &Stiffening, extras: &Extras, place: &String) -> f64 {
    match stiffening.plies {
        Some(plies) => bench.given("plies", f64::from(plies), place),
        None => figure!(bench, "extras", extras, stiffener_plies, *place).likely.round(),
    }
}

/// Glass and resin that hold something to a mould.
fn tapes(
    bench: &mut Bench<'_>,
    owner: &Owner,
    piece: &PieceWork,
    why: &str,
    stiffening: &Stiffening,
    area: &Working,
    what: String,
) {
    let own = last_glass(piece).map(|ply| ply.material.clone());
    if let Some(material) = stiffening.material.clone().or(own)
        && let Some(wetted) = bench.wet(owner, piece, why, &material, area)
    {
        bench.line(piece, what, wetted.kg, wetted.working);
    }
}

/// A frame round the two greatest extents and four legs, the frame tied to the mould by tabs of glass.
fn cradle(bench: &mut Bench<'_>, piece: &PieceWork, pieces: &[PieceWork], stiffening: &Stiffening, extras: &Extras) {
    let owner = Owner::of_build(piece);
    let place = format!("{}, cradle", owner.name);
    let mut size_mm = [0, 1, 2].map(|axis| pieces.iter().map(|piece| piece.size_mm[axis]).fold(0.0, f64::max));
    size_mm.sort_by(f64::total_cmp);
    let side_m = m_from_mm(figure!(bench, "extras", extras, cradle_side_mm, place).likely);
    let leg_m = m_from_mm(figure!(bench, "extras", extras, cradle_leg_mm, place).likely);
    let density = figure!(bench, "extras", extras, timber_former_kg_m3, place);
    let [width_m, length_m] = [m_from_mm(size_mm[1]), m_from_mm(size_mm[2])];
    let m = 2.0 * length_m + 2.0 * width_m + 4.0 * leg_m;
    let run = Working::of("m", "cradle", m, "m")
        .plus(2.0, "", "")
        .times(length_m, "m", "long")
        .plus(2.0, "", "")
        .times(width_m, "m", "wide")
        .plus(4.0, "", "")
        .times(leg_m, "m", "legs");
    let kg: Spread = density.map(|density| m * side_m * side_m * density);
    let amounts = Amounts { kg: kg.likely, m, ..Amounts::default() };
    bench.take(&owner, "cradle", NeedKind::CradleTimber, "cradle timber", amounts, run);
    let working = Working::of("kg", "cradle", kg.likely, "kg")
        .plus(m, "m", "timber")
        .times(side_m, "m", "")
        .times(side_m, "m", "")
        .times(density.likely, "kg/m3", "");
    bench.line(piece, "cradle".to_owned(), kg, working);
    // As over a former: over three sides of the timber and on the mould on either side of it.
    let land_m = m_from_mm(figure!(bench, "extras", extras, stiffener_land_mm, place).likely);
    let tab_m = m_from_mm(figure!(bench, "extras", extras, cradle_tab_mm, place).likely);
    let spacing_m = m_from_mm(figure!(bench, "extras", extras, cradle_tab_spacing_mm, place).likely);
    let n_plies = n_plies(bench, stiffening, extras, &place);
    let (n, girth_m) = ((2.0 * (length_m + width_m) / spacing_m).ceil(), 3.0 * side_m + 2.0 * land_m);
    let area = Working::of("m2", "tabs", n * tab_m * girth_m * n_plies, "m2")
        .plus(n, "", "tabs along the frame")
        .times(tab_m, "m", "wide")
        .times(girth_m, "m", "over the timber and on both sides of it")
        .times(n_plies, "", "plies");
    tapes(bench, &owner, piece, "cradle", stiffening, &area, "cradle, tabs of glass".to_owned());
}
