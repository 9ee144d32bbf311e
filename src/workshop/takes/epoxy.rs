//! What must not lie on or under epoxy beside the plies: wax, flowcoat and putty of polyester.

use super::Asked;
use super::asked::Finish;
use super::bench::{Bench, last_glass};
use crate::laminate::stock::Family;
use crate::notes::Note;
use crate::workshop::work::PieceWork;

/// Notes on a build; each once.
pub(super) fn notes(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>) {
    let Some(first) = pieces.first() else { return };
    let stock = bench.stock;
    let in_epoxy = pieces.iter().any(|piece| last_glass(piece).is_some_and(|ply| stock.is_epoxy(&ply.resin)));
    let under_epoxy = pieces
        .iter()
        .any(|piece| !piece.putty_ml.is_empty() && piece.plies.first().is_some_and(|ply| stock.is_epoxy(&ply.resin)));
    let gelcoat = pieces.iter().find_map(|piece| stock.gelcoats.get(&piece.gelcoat.as_ref()?.name));
    let coat_is_epoxy = gelcoat.is_some_and(|gelcoat| gelcoat.family == Family::Epoxy);
    let finish = asked.inside.map_or(Finish::Bare, |inside| inside.finish);
    let waxed = match finish {
        Finish::Bare => false,
        Finish::WaxedResin => in_epoxy,
        Finish::Flowcoat => coat_is_epoxy,
    };
    let mut notes = Vec::new();
    if waxed {
        notes.push(Note::warning(
            "wax-in-epoxy",
            "the inner face takes paraffin wax in epoxy: epoxy cures in air without it, and the wax keeps paint and bonds off",
            "take `finish = \"bare\"`, or coat it with epoxy without wax, or with two-pack paint",
        ));
    }
    if finish == Finish::Flowcoat && in_epoxy && !coat_is_epoxy {
        notes.push(Note::warning(
            "flowcoat-over-epoxy",
            "flowcoat of polyester goes over plies in epoxy: its cure is inhibited there and it bonds badly",
            "coat the inner face with epoxy or two-pack paint, or take `finish = \"bare\"`",
        ));
    }
    if under_epoxy {
        notes.push(Note::warning(
            "putty-under-epoxy",
            "fillet putty of polyester lies under plies in epoxy, to which it bonds badly",
            "let it cure and abrade it with the gelcoat, as the days have it, or fill with thickened epoxy",
        ));
    }
    let at = (first.place.part, first.place.build);
    bench.taken.build_notes.extend(notes.into_iter().map(|note| (at, note)));
}
