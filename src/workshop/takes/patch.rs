//! The test patch: before a plug is waxed, all that goes on it is tried on an offcut of what it is made of.

use super::bench::{Bench, Owner, figure};
use super::habits::{Plug, PlugStuff};
use super::joints::more_gelcoat;
use super::plug::offcut;
use super::release::{pva, wax};
use super::{Habits, Whose};
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::workshop::work::{PieceWork, Work};

/// A test patch in words: with several stuffs each has its own.
#[must_use]
pub fn patch_words(stuff: Option<PlugStuff>, is_only: bool) -> String {
    match stuff {
        _ if is_only => "test patch".to_owned(),
        Some(stuff) => format!("test patch on {}", stuff.words()),
        None => "test patch on what is not told".to_owned(),
    }
}

/// A patch for each stuff that plugs are made of, in the stack of the first mould on it.
pub(super) fn patches(bench: &mut Bench<'_>, work: &Work, plugs: &[Plug], habits: Habits<'_>) {
    let mut stuffs: Vec<(Option<PlugStuff>, &PieceWork)> = Vec::new();
    for piece in work.pieces.iter().filter(|piece| piece.make == Make::Mould && piece.count > 0) {
        let Some(plug) = plugs.get(piece.place.part) else { continue };
        if !stuffs.iter().any(|(known, _)| *known == plug.made_of) {
            stuffs.push((plug.made_of, piece));
        }
    }
    for (stuff, piece) in &stuffs {
        patch(bench, piece, &patch_words(*stuff, stuffs.len() == 1), *stuff, habits);
    }
}

fn patch(bench: &mut Bench<'_>, piece: &PieceWork, words: &str, stuff: Option<PlugStuff>, habits: Habits<'_>) {
    let Habits { extras, pace, plug: of_job, .. } = habits;
    let owner = Owner { of: Whose::Job, name: words.to_owned(), count: 1 };
    let m2 = figure!(bench, "days", pace, patch_m2, words).likely;
    offcut(bench, &owner, &Plug { made_of: stuff, ..of_job.clone() }, m2, habits);
    let coats = figure!(bench, "days", pace, wax_coats_new, words).likely;
    let g_m2 = figure!(bench, "extras", extras, wax_g_m2, words).likely;
    wax(bench, &owner, "wax", m2, coats, g_m2);
    pva(bench, &owner, "PVA", m2, extras);
    // Its mixes are told with those of that mould, so they say what they are for.
    let owner = Owner::job();
    if let Some(gelcoat) = piece.gelcoat.as_ref().filter(|gelcoat| gelcoat.laid_m2 > 0.0) {
        let kg_m2 = gelcoat.kg / gelcoat.laid_m2;
        let mix = Working::of("kg", "gelcoat", m2 * kg_m2, "kg").plus(m2, "m2", "test patch").times(kg_m2, "kg/m2", "");
        more_gelcoat(bench, &owner, piece, words, gelcoat, &mix, m2);
    }
    if let Some(first) = piece.plies.iter().find(|ply| !ply.is_core && ply.glass_kg > 0.0) {
        let area = Working::of("m2", "area", m2, "m2").plus(m2, "m2", "test patch");
        bench.wet_like(&owner, piece, words, &first.material, &area, first);
    }
}
