//! What only the makers of the materials know, with room for the answers.

use maud::{Markup, html};

use super::super::figure::{figure, spread};
use super::super::procedure::has_gelcoat;
use super::super::sheet::{Item, cure_h, habit, shop_temperature};
use super::{heaviest_stage, resins};

/// The open questions.
pub fn questions(item: &Item<'_>) -> Markup {
    let agents = item.agents();
    html! {
        section.questions {
            h4 { "Open questions" }
            ol {
                @for question in [
                    Some(gel_time(item)),
                    agents.catalyst.then(|| catalyst(item)),
                    agents.hardener.then(|| html! { "Hardener: is this its ratio, by mass and by volume? Which hardener for this temperature?" }),
                    Some(overlay(item)),
                    Some(heaviest(item)),
                    Some(html! { "Does this glass wet out in this resin, at this ratio? Other plies, or another order?" }),
                    Some(html! { "Release agent, and its coats? Paint or primer that sticks to the face afterwards?" }),
                    Some(html! { "Coldest and dampest shop in which all of this still cures?" }),
                    Some(cure(item)),
                    Some(html! { "Shelf life and storage of resin" @if has_gelcoat(item.build) { ", gelcoat" } @if agents.catalyst { ", catalyst" } @if agents.hardener { ", hardener" } "?" }),
                ].into_iter().flatten() {
                    li { (question) div.answer {} }
                }
            }
        }
    }
}

fn gel_time(item: &Item<'_>) -> Markup {
    let names: Vec<&str> = resins(item).map(|resin| resin.name.as_str()).collect();
    html! {
        "Gel time of " span dir="auto" { (names.join(", ")) } @if has_gelcoat(item.build) { " and of the gelcoat" }
        " at " (shop_temperature(item.plan)) ", in the cup and as a film?"
    }
}

fn catalyst(item: &Item<'_>) -> Markup {
    let planned = item.build.cures.iter().enumerate();
    let planned = planned.filter_map(|(index, cure)| Some((index, cure, cure.catalyst_percent?)));
    html! {
        "Catalyst: grade, active oxygen, range at this temperature?"
        @for (index, cure, percent) in planned {
            @let at = item.at.key("cures").item(index);
            " (" span dir="auto" { (cure.name) } ": planned " (spread(percent, 2, &at, "catalyst_percent")) " %"
            @if let Some(oxygen) = cure.active_oxygen_percent { " of a grade with " (figure(oxygen, 1, &at.key("active_oxygen_percent"))) " %" }
            ".)"
        }
    }
}

fn overlay(item: &Item<'_>) -> Markup {
    html! {
        "Overlay: least and longest time"
        @if has_gelcoat(item.build) {
            " from gelcoat to first ply (by tack test, about "
            (habit("gelcoat_tack_min", &item.plan.practice.gelcoat_tack_min, 0)) " min; abraded after "
            (habit("overlay_most_h", &item.plan.practice.overlay_most_h, 0)) " h),"
        }
        " from ply to ply and from stage to stage?"
    }
}

fn heaviest(item: &Item<'_>) -> Markup {
    html! {
        "Heaviest stage in one go"
        @if let Some((index, stage)) = heaviest_stage(item) {
            @let at = item.at.key("stages").item(index);
            " (planned " (figure(stage.glass_g_m2, 0, &at.key("glass_g_m2"))) " g/m², " (figure(stage.thickness_mm, 1, &at.key("thickness_mm"))) " mm)"
        }
        ": does it stay cool enough?"
    }
}

fn cure(item: &Item<'_>) -> Markup {
    let practice = &item.plan.practice;
    html! {
        "Cure before release (planned " (cure_h(item.plan, item.build.make)) " h at "
        (habit("cure_least_c", &practice.cure_least_c, 0)) " °C); post-cure?"
    }
}
