//! The builder's procedure, step by step, as it stands in the plan.

use maud::{Markup, html};

use super::super::figure::{count, figure};
use super::super::procedure::{Choice, Spot, Step, choice, has_gelcoat, steps};
use super::super::sheet::{Item, coats, cure_h, habit, listed};
use super::super::starts;
use crate::laminate::remedies::Remedy;
use crate::laminate::schedule::Make;
use crate::laminate::stages::Stage;

/// The procedure.
pub fn procedure(item: &Item<'_>) -> Markup {
    let pieces: Vec<usize> = (0..item.build.pieces.len()).collect();
    let steps = steps(item.build, &pieces);
    html! {
        section.procedure {
            h4 { "The builder's procedure" }
            ol {
                @for step in &steps {
                    @if let Some(words) = words(item, step) { li { (words) } }
                }
            }
        }
    }
}

/// A step in a sentence; a ply stands with its stage.
fn words(item: &Item<'_>, step: &Step<'_>) -> Option<Markup> {
    let tool = if item.build.make == Make::Mould { "plug" } else { "mould" };
    Some(match step {
        Step::Ply(..) => return None,
        Step::Plug(spots) => {
            html! { "Where chosen, before the mould is made: fill or round on the plug " (names(item, spots)) "." }
        }
        Step::Release => html! { "Release agent on the " (tool) ", in as many coats as its maker says; tape test." },
        Step::Gelcoat => gelcoat(item)?,
        Step::Tack => html! {
            "Wait until the gelcoat is sticky and leaves the finger clean, about "
            (habit("gelcoat_tack_min", &item.plan.practice.gelcoat_tack_min, 0)) " min."
        },
        Step::Fillets(spots) => {
            html! { "Where chosen, putty fillets on the " (fillet_ground(item)) (radius(item, spots)) ": " (names(item, spots)) "." }
        }
        Step::Lighter(spots) => html! { "Where chosen, a lighter first ply at " (names(item, spots)) "." },
        Step::Cuts(spots) => {
            html! { "Relief cuts in this and every later ply, staggered, at " (names(item, spots)) "." }
        }
        Step::Tapes(spots) => {
            html! { "Where chosen, from the next ply on butt the plies under tapes at " (names(item, spots)) "." }
        }
        Step::Doublers(spots) => {
            html! { "Where chosen, a doubler over the ply just laid at " (names(item, spots)) "." }
        }
        Step::Stage(index) => stage(item, *index, item.build.stages.get(*index)?),
        Step::Cure => html! {
            "Cure on the " (tool) " for " (cure_h(item.plan, item.build.make)) " h at "
            (habit("cure_least_c", &item.plan.practice.cure_least_c, 0)) " °C or warmer."
        },
        Step::Trim => html! { "Trim." },
        Step::Lift => {
            html! { "Lift off the " (tool) ": " (starts::wedges(item, &all(item))) "." (starts::locked(item, &all(item))) }
        }
    })
}

fn gelcoat(item: &Item<'_>) -> Option<Markup> {
    let mut pieces = item.build.pieces.iter().enumerate();
    let (piece, n_coats) = pieces.find_map(|(piece, of)| Some((piece, of.lay_up.gelcoat.as_ref()?.n_coats)))?;
    Some(html! {
        "Gelcoat, by brush in " (coats(n_coats, &item.piece_at(piece).key("gelcoat_coats")))
        @if n_coats > 1 { ", each when the one before has gelled" } "."
    })
}

/// What a fillet lies on.
fn fillet_ground(item: &Item<'_>) -> &'static str {
    if has_gelcoat(item.build) { "gelcoat" } else { "released tool" }
}

/// The numbers of all pieces: the sheet is for the whole build.
fn all(item: &Item<'_>) -> Vec<usize> {
    (0..item.build.pieces.len()).collect()
}

fn names(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    listed(spots.iter().map(|spot| html! { (item.corner_name(spot.letter, spot.id)) }))
}

/// The radius that the first of the fillets reaches.
fn radius(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let first = spots.iter().find(|spot| choice(spot.remedy) == Some(Choice::FilletBehind));
    html! {
        @if let Some(spot) = first && let Remedy::Fill { to_radius_mm, .. } = spot.remedy {
            " to " (figure(*to_radius_mm, 1, &item.spot_at(spot).key("to_radius_mm"))) " mm radius"
            @if spots.len() > 1 { " or near it" }
        }
    }
}

fn stage(item: &Item<'_>, index: usize, stage: &Stage) -> Markup {
    let at = item.at.key("stages").item(index);
    html! {
        @if index > 0 { "When that has gelled, heated and cooled: " } @else { "Stage: " }
        @if stage.from_ply == stage.to_ply {
            "ply " (count(stage.from_ply, &at.key("from_ply"))) " alone"
        } @else {
            "plies " (count(stage.from_ply, &at.key("from_ply"))) " to " (count(stage.to_ply, &at.key("to_ply"))) ", wet on wet"
        }
        ", " (figure(stage.thickness_mm, 1, &at.key("thickness_mm"))) " mm."
    }
}
