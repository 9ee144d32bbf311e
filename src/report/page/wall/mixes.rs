//! How many mixes of which size, where the sheet has its coats and stages.

use maud::{Markup, html};

use super::super::figure::{At, count, figure};
use super::super::sheet::{Item, measured};
use crate::workshop::mixes::cups::Cups;
use crate::workshop::mixes::lines::{MixLine, MixStep};
use crate::workshop::takes::Also;
use crate::workshop::work::Place;

/// The mixes of a step on some pieces, each named where there are several: `3 of 630 g with 12.6 g (10.7 ml)`. Nothing if
/// there are none.
pub fn mixes(item: &Item<'_>, pieces: &[usize], step: MixStep, number: usize) -> Option<Markup> {
    let lines = At::root().key("mixes").key("lines");
    let of_piece = |&piece: &usize| {
        let place = Place { piece, ..item.place };
        let (index, line) = item.plan.mixes.of(place, step).find(|(_, line)| line.number == number)?;
        let cups = line.mixes?;
        let letter = (item.build.pieces.len() > 1).then_some(line.of_piece.as_str());
        let at = lines.item(index);
        Some(html! {
            span.kept { @if let Some(letter) = letter { (letter) ": " } (words(&cups, &at.key("mixes"))) } (first(&line.also, &at.key("also")))
            (mind(item, line))
        })
    };
    let each: Vec<Markup> = pieces.iter().filter_map(of_piece).collect();
    (!each.is_empty())
        .then(|| html! { @for (index, mixes) in each.iter().enumerate() { @if index > 0 { ", " } (mixes) } })
}

/// What is stirred into each mix before that: `, and first 20.0 g of colour paste`.
fn first(also: &[Also], at: &At) -> Markup {
    html! {
        @for (index, also) in also.iter().enumerate() {
            @if let Some(g) = also.each_g {
                ", and first " (figure(g, 1, &at.item(index).key("each_g"))) " g of " bdi { (also.material) }
            }
        }
    }
}

/// What stands beside every mix of a material whose share may be more than is sound.
fn mind(item: &Item<'_>, line: &MixLine) -> Markup {
    let caution = item.plan.mixes.materials.get(line.recipe).and_then(|material| material.caution.as_deref());
    html! { @if let Some(caution) = caution { " (" b { "mind" } ": " (caution) ")" } }
}

/// The mixes of what belongs to some pieces beyond their plies: joints, fixings, stiffeners, inner faces. What is stirred in
/// beside what makes it go off is told for all of them together.
pub fn beyond(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let at = At::root().key("mixes").key("lines");
    let of_piece = |&piece: &usize| item.plan.mixes.of(Place { piece, ..item.place }, MixStep::Beyond);
    let lines: Vec<_> = pieces.iter().flat_map(of_piece).collect();
    html! {
        @if !lines.is_empty() {
            p.small { b { "Mixes beyond the plies: " }
                @for (number, (index, line)) in lines.iter().enumerate() {
                    @if number > 0 { "; " }
                    @let at = at.item(*index);
                    bdi { (line.what) } ", " bdi { (line.material) } ": "
                    @match &line.mixes {
                        Some(cups) => (words(cups, &at.key("mixes"))),
                        None => "not mixed at this temperature",
                    }
                    (first(&line.also, &at.key("also")))
                    @for (also, stirred) in line.also.iter().enumerate() {
                        ", in all " (figure(stirred.kg, 3, &at.key("also").item(also).key("kg"))) " kg of " bdi { (stirred.material) }
                    }
                    (mind(item, line))
                }
                "."
            }
        }
    }
}

fn words(cups: &Cups, at: &At) -> Markup {
    html! {
        (count(cups.n_mixes, &at.key("n_mixes"))) " of " (figure(cups.weigh_g, 0, &at.key("weigh_g"))) " g with "
        (figure(cups.stir_g, 1, &at.key("stir_g"))) " g"
        @if let Some(ml) = cups.stir_ml { " (" (measured(ml, &at.key("stir_ml"))) " ml)" }
    }
}
