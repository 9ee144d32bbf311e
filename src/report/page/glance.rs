//! At a glance: the job in one screen.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use maud::{Markup, html};

use super::decisions;
use super::figure::{At, count, figure, spread};
use crate::plan::{Build, PartPlan, Plan};
use crate::report::stills::Still;
use crate::workshop::needs::Need;

/// The section.
pub fn section(plan: &Plan, stills: &[Still]) -> Markup {
    let parts = At::root().key("parts");
    html! {
        section id="glance" {
            h2 { "At a glance" }
            (missing(plan))
            div.glance {
                ul.cards aria-label="Panels" {
                    @for (number, part) in plan.parts.iter().enumerate() {
                        (card(part, number, stills.iter().find(|still| still.panel == number), &parts.item(number)))
                    }
                }
                div.glance-job {
                    (totals(plan))
                    (order(plan))
                    (decisions::summary(plan))
                }
            }
            (decisions::list(plan))
        }
    }
}

/// Which panels every total lacks.
fn missing(plan: &Plan) -> Markup {
    html! {
        @if !plan.is_complete() {
            p.incomplete role="note" {
                "This plan is incomplete. Missing from every total: "
                @for (index, name) in plan.needs.missing.iter().enumerate() {
                    @if index > 0 { ", " }
                    bdi { (name) }
                }
                "."
            }
        }
    }
}

/// Said beside every total of a plan that lacks a panel.
pub(super) fn unless_complete(plan: &Plan) -> Markup {
    html! { @if !plan.is_complete() { " " span.incomplete { "incomplete" } } }
}

fn card(part: &PartPlan, number: usize, still: Option<&Still>, at: &At) -> Markup {
    let builds = at.key("builds");
    html! {
        li.card {
            a.card-head href={ "#panel-" (number) } {
                @if let Some(still) = still {
                    img src={ "data:image/png;base64," (BASE64.encode(&still.png)) } alt=(still.alt)
                        width=(still.width_px) height=(still.height_px);
                }
                span.card-name dir="auto" { (part.name) }
            }
            p.card-facts {
                (figure(part.area_m2, 2, &at.key("area_m2"))) " m2"
                @if part.n_warnings() > 0 {
                    br; b { (count(part.n_warnings(), &at.key("n_warnings"))) @if part.n_warnings() == 1 { " warning" } @else { " warnings" } }
                }
            }
            table {
                thead { tr {
                    th scope="col" { span.visually-hidden { "Build" } }
                    th scope="col" { "plies" }
                    th scope="col" { "kg each" }
                    th.number scope="col" { abbr title="corners that need work" { "corners" } }
                } }
                tbody { @for (index, build) in part.builds.iter().enumerate() { (build_row(build, &builds.item(index))) } }
            }
        }
    }
}

fn build_row(build: &Build, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" {
                (build.make.word())
                @if build.count != 1 { " x " (count(build.count, &at.key("count"))) }
            }
            td {
                (count(build.n_plies_everywhere(), &at.key("n_plies_everywhere")))
                @if build.n_plies_in_zones() > 0 {
                    span.quiet { " + " (count(build.n_plies_in_zones(), &at.key("n_plies_in_zones"))) }
                }
            }
            td { (spread(build.mass_kg(), 1, at, "mass_kg")) }
            td.number { (count(build.n_corners(), &at.key("n_corners"))) }
        }
    }
}

fn totals(plan: &Plan) -> Markup {
    let (totals, at) = (&plan.totals, At::root().key("totals"));
    let more = unless_complete(plan);
    html! {
        h3 { "The job in all" }
        dl.facts.totals {
            dt { "Moulded face" } dd { (figure(totals.area_m2, 2, &at.key("area_m2"))) " m2" (more) }
            dt { "Glass" } dd { (figure(totals.glass_kg, 1, &at.key("glass_kg"))) " kg" (more) }
            dt { "Resin" } dd { (spread(totals.resin_kg, 0, &at, "resin_kg")) " kg" (more) }
            dt { "Gelcoat" } dd { (spread(totals.gelcoat_kg, 1, &at, "gelcoat_kg")) " kg" (more) }
            dt { "Catalyst" } dd { (figure(totals.catalyst_ml, 0, &at.key("catalyst_ml"))) " ml" (more) }
            dt { (count(totals.n_moulds, &at.key("n_moulds"))) " moulds" }
            dd { (spread(totals.moulds_kg, 0, &at, "moulds_kg")) " kg" (more) }
            dt { (count(totals.n_mouldings, &at.key("n_mouldings"))) " mouldings" }
            dd { (spread(totals.mouldings_kg, 0, &at, "mouldings_kg")) " kg" (more) }
        }
    }
}

fn order(plan: &Plan) -> Markup {
    let at = At::root().key("order");
    html! {
        h3 { "What to order" (unless_complete(plan)) }
        div.scroll tabindex="0" role="region" aria-label="What to order" {
            table {
                thead { tr {
                    th scope="col" { "Material" }
                    th.number scope="col" { "laid" span.unit { "kg" } }
                    th.number scope="col" { "reserve" span.unit { "%" } }
                    th.number scope="col" { "to buy" span.unit { "kg" } }
                    th.number scope="col" { span.unit { "m or l" } }
                } }
                tbody { @for (index, need) in plan.needs.needs.iter().enumerate() { (order_row(need, &at.item(index), plan)) } }
            }
        }
    }
}

fn order_row(need: &Need, at: &At, plan: &Plan) -> Markup {
    html! {
        tr {
            th scope="row" { bdi { (need.material) } (unless_complete(plan)) }
            td.number { (figure(need.kg, 1, &at.key("kg"))) }
            td.number { (figure(need.reserve_percent, 0, &at.key("reserve_percent"))) }
            td.number { (figure(need.kg_with_reserve, 1, &at.key("kg_with_reserve"))) }
            td.number {
                @if let Some(metres) = need.roll_m_with_reserve {
                    (figure(metres, 1, &at.key("roll_m_with_reserve"))) " m"
                } @else if let Some(litres) = need.litres_with_reserve {
                    (figure(litres, 1, &at.key("litres_with_reserve"))) " l"
                }
            }
        }
    }
}
