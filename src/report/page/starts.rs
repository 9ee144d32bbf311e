//! How a release is started, as both kinds of sheet tell it: wedges, ports, hands, and what must not be begun.

use maud::{Markup, html};

use super::figure::{At, count, figure};
use super::sheet::{Item, listed};
use crate::laminate::release::{Answer, Hands};
use crate::laminate::schedule::Make;
use crate::plan::Release;

/// The releases of some pieces of a build, each with its letter and its place in the plan.
fn releases<'a>(item: &Item<'a>, pieces: &[usize]) -> Vec<(&'a str, &'a Release, At)> {
    let of_piece = |&piece: &usize| {
        let planned = item.build.pieces.get(piece)?;
        Some((planned.name.as_str(), planned.release.as_ref()?, item.piece_at(piece)))
    };
    pieces.iter().filter_map(of_piece).collect()
}

/// The letter of a piece, where there are several.
fn letter(item: &Item<'_>, name: &str) -> Markup {
    html! { @if item.build.pieces.len() > 1 { "piece " (name) ": " } }
}

/// How many wedge starts each piece has.
pub fn wedges(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let all = releases(item, pieces);
    let one = |(name, release, at): &(&str, &Release, At)| {
        html! {
            (letter(item, name)) (count(release.wedges_mm.len(), &at.key("release").key("n_wedges"))) " wedge start"
            @if release.wedges_mm.len() != 1 { "s" }
        }
    };
    listed(all.iter().map(one))
}

/// How many ports each piece has.
pub fn ports(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let all = releases(item, pieces);
    listed(all.iter().map(|(name, release, at)| {
        html! { (letter(item, name)) (count(release.ports_mm.len(), &at.key("release").key("n_ports"))) }
    }))
}

/// Who lifts each piece, where one person does not.
pub fn hands(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let all = releases(item, pieces);
    let heavy: Vec<_> = all.iter().filter(|(_, release, _)| release.hands != Hands::One).collect();
    html! {
        @if !heavy.is_empty() {
            "Carried by " (listed(heavy.iter().map(|(name, release, _)| html! { (release.hands.words()) @if item.build.pieces.len() > 1 { " (" (name) ")" } })))
            "."
        }
    }
}

/// What locks must not be laid.
pub fn locked(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let all = releases(item, pieces);
    let locked: Vec<_> = all.iter().filter(|(_, release, _)| release.answer == Answer::Locks).collect();
    html! {
        @if !locked.is_empty() {
            " " b {
                @if item.build.pieces.len() > 1 { "Piece " (listed(locked.iter().map(|(name, ..)| html! { (name) }))) " locks" } @else { "It locks" }
                " as planned: "
                @match item.build.make {
                    Make::Mould => { "settle the split, or how the plug is broken out, before anything is laid." }
                    Make::Moulding => { "settle how its mould parts before anything is laid." }
                }
            }
        }
    }
}

/// The release in a line: the worst answer with the least draft behind it.
pub fn release(item: &Item<'_>) -> Option<Markup> {
    let pieces: Vec<usize> = (0..item.build.pieces.len()).collect();
    let all = releases(item, &pieces);
    // The first of the worst.
    let worst = all.iter().rev().max_by_key(|(_, release, _)| release.answer);
    worst.map(|(name, release, at)| {
        html! {
            (letter(item, name)) (release.answer.words()) ", least draft "
            (figure(release.pull.least_draft_deg, 1, &at.key("pull").key("least_draft_deg"))) " deg"
        }
    })
}
