//! Flanges of a mould: the board that they are laid against, bolts, locating dimples, wedge starts, air or water ports.

use super::asked::Asked;
use super::bench::{Bench, Owner, figure};
use super::habits::Extras;
use super::{Measure, n_along, splits_of};
use crate::laminate::workings::Working;
use crate::units::{kg_from_g, m_from_mm, total};
use crate::workshop::days::pace::Pace;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::PieceWork;

pub(super) fn flanges(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras, pace: &Pace) {
    let Some(first) = pieces.first() else { return };
    let owner = Owner::of_build(first);
    let splits = splits_of(pieces);
    let board_m2 = board(bench, &owner, pieces, &splits, asked.flange_mm);
    clay(bench, &owner, board_m2, asked.flange_mm, extras);
    for (split, length_mm) in &splits {
        let why = format!("split {split}");
        let place = format!("{}, {why}", owner.name);
        let bolts_mm = figure!(bench, "days", pace, bolt_pitch_mm, place).likely;
        along(bench, &owner, &why, *length_mm, bolts_mm, NeedKind::FlangeBolt, "flange bolt with nut and two washers");
        let dimples_mm = figure!(bench, "extras", extras, dimple_spacing_mm, place).likely;
        along(bench, &owner, &why, *length_mm, dimples_mm, NeedKind::Dimple, "locating dimple former");
    }
    for piece in pieces {
        let owner = Owner::of_piece(piece);
        counted(bench, &owner, piece.n_wedges, NeedKind::WedgeStart, "wedge start");
        counted(bench, &owner, piece.n_ports, NeedKind::Port, "air or water port");
    }
}

/// The second half of a split mould is laid against the first one's flange, so that a split takes its board once. Gives its m2.
fn board(bench: &mut Bench<'_>, owner: &Owner, pieces: &[PieceWork], splits: &[(String, f64)], flange_mm: f64) -> f64 {
    let flanges_m2 = total(pieces.iter().map(|piece| piece.flange_m2));
    let width_m = m_from_mm(flange_mm);
    let split_m = m_from_mm(total(splits.iter().map(|(_, length_mm)| *length_mm)));
    let m2 = (flanges_m2 - split_m * width_m).max(0.0);
    let sum = Working::of("m2", "board under the flanges", m2, "m2").plus(flanges_m2, "m2", "flanges of all pieces");
    let sum =
        if split_m > 0.0 { sum.minus(split_m, "m", "splits, laid against once").times(width_m, "m", "") } else { sum };
    bench.take_by(owner, "flanges", NeedKind::FlangeSheet, "flange sheet", Measure::M2, sum);
    m2
}

/// A strip of clay along each board, where it meets the plug.
fn clay(bench: &mut Bench<'_>, owner: &Owner, board_m2: f64, flange_mm: f64, extras: &Extras) {
    if flange_mm <= 0.0 || board_m2 <= 0.0 {
        return;
    }
    let metres = board_m2 / m_from_mm(flange_mm);
    let g_m = figure!(bench, "extras", extras, seal_clay_g_m, owner.name).likely;
    let sum = Working::of("kg", "clay along the boards", metres * kg_from_g(g_m), "kg")
        .plus(metres, "m", "board")
        .times(kg_from_g(g_m), "kg/m", "a strip");
    bench.take_by(owner, "flanges", NeedKind::Clay, "modelling clay without sulphur", Measure::Kg, sum);
}

fn along(
    bench: &mut Bench<'_>,
    owner: &Owner,
    why: &str,
    length_mm: f64,
    spacing_mm: f64,
    kind: NeedKind,
    material: &str,
) {
    let n = n_along(length_mm, spacing_mm);
    let spaces = n - 1.0;
    let sum = Working::of("pieces", material.to_owned(), n, "").plus(spaces, "", "spaces").plus(1.0, "", "at the end");
    bench.take_by(owner, why, kind, material, Measure::Pieces, sum);
}

fn counted(bench: &mut Bench<'_>, owner: &Owner, n: usize, kind: NeedKind, material: &str) {
    if n > 0 {
        let sum = Working::of("pieces", material.to_owned(), n as f64, "").plus(n as f64, "", "");
        bench.take_by(owner, "release", kind, material, Measure::Pieces, sum);
    }
}
