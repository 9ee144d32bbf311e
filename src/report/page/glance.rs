//! At a glance: the job in one screen.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use maud::{Markup, html};

use super::decisions;
use super::figure::{At, count, figure, fine, spread};
use crate::laminate::figure::Spread;
use crate::plan::{Build, PartPlan, Plan};
use crate::report::stills::Still;
use crate::workshop::needs::{Need, NeedKind};

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
            dt { "Moulded face, each panel once" } dd { (figure(totals.area_m2, 2, &at.key("area_m2"))) " m2" (more) }
            dt { "Glass" } dd { (figure(totals.glass_kg, 1, &at.key("glass_kg"))) " kg" (more) }
            dt { "Resin" } dd { (spread(totals.resin_kg, decimals(totals.resin_kg), &at, "resin_kg")) " kg" (more) }
            dt { "Gelcoat" } dd { (spread(totals.gelcoat_kg, 1, &at, "gelcoat_kg")) " kg" (more) }
            @if totals.catalyst_ml > 0.0 { dt { "Catalyst" } dd { (figure(totals.catalyst_ml, 0, &at.key("catalyst_ml"))) " ml" (more) } }
            dt { (count(totals.n_moulds, &at.key("n_moulds"))) " mould" @if totals.n_moulds != 1 { "s" } }
            dd { (spread(totals.moulds_kg, decimals(totals.moulds_kg), &at, "moulds_kg")) " kg" (more) }
            dt { (count(totals.n_mouldings, &at.key("n_mouldings"))) " moulding" @if totals.n_mouldings != 1 { "s" } }
            dd { (spread(totals.mouldings_kg, decimals(totals.mouldings_kg), &at, "mouldings_kg")) " kg" (more) }
        }
    }
}

/// Decimals for a mass in kg: small ones are weighed finer.
fn decimals(mass_kg: Spread) -> usize {
    match mass_kg.likely {
        likely if likely >= 20.0 => 0,
        likely if likely >= 2.0 => 1,
        _ => 2,
    }
}

/// Name of the table of what is laid.
const LAID: &str = "What to order";

fn order(plan: &Plan) -> Markup {
    let is_laid = |need: &Need| need.kind <= NeedKind::Filler;
    let n_besides = plan.needs.needs.iter().filter(|need| !is_laid(need)).count();
    html! {
        h3 { "What to order" (unless_complete(plan)) }
        (order_table(plan, LAID, is_laid))
        @if n_besides > 0 {
            details {
                summary { "And besides: plug, release, moulds, consumables" }
                (order_table(plan, "What to order besides", |need| !is_laid(need)))
            }
        }
    }
}

fn order_table(plan: &Plan, name: &str, shown: impl Fn(&Need) -> bool) -> Markup {
    let at = At::root().key("order");
    html! {
        div.scroll tabindex="0" role="region" aria-label=(name) {
            table {
                @if name == LAID { caption.below { "Fillet putty is reckoned for every corner that a ply does not follow, filled behind the gelcoat. Tapes or doublers instead save it and take more mat: see each corner." } }
                thead { tr {
                    th scope="col" { "Material" }
                    th.number scope="col" { "laid" span.unit { "kg" } }
                    th.number scope="col" { "reserve" span.unit { "%" } }
                    th.number scope="col" { "to buy" span.unit { "kg" } }
                    th.number scope="col" { span.unit { "m, m2, l or pieces" } }
                } }
                tbody {
                    @for (index, need) in plan.needs.needs.iter().enumerate().filter(|(_, need)| shown(need)) {
                        (order_row(need, &at.item(index), plan))
                    }
                }
            }
        }
    }
}

fn order_row(need: &Need, at: &At, plan: &Plan) -> Markup {
    html! {
        tr {
            th scope="row" { bdi { (need.material) } @if need.kind == NeedKind::Hardener { ", hardener" } (unless_complete(plan)) }
            td.number { @if need.kg > 0.0 { (figure(need.kg, fine(need.kg, 1), &at.key("kg"))) } }
            td.number { (figure(need.reserve_percent, 0, &at.key("reserve_percent"))) }
            td.number { @if need.kg > 0.0 { (figure(need.kg_with_reserve, fine(need.kg_with_reserve, 1), &at.key("kg_with_reserve"))) } }
            td.number { (otherwise(need, at)) }
        }
    }
}

/// What is bought by another measure than its mass.
fn otherwise(need: &Need, at: &At) -> Markup {
    let measures = [
        (need.pieces_with_reserve, "pieces_with_reserve", ""),
        (need.roll_m_with_reserve, "roll_m_with_reserve", " m"),
        (need.m_with_reserve, "m_with_reserve", " m"),
        (need.m2_with_reserve.filter(|_| need.kind != NeedKind::Core), "m2_with_reserve", " m2"),
        (need.litres_with_reserve, "litres_with_reserve", " l"),
    ];
    let told = measures.into_iter().find_map(|(amount, key, unit)| Some((amount?, key, unit)));
    html! {
        @if let Some((amount, key, unit)) = told {
            (figure(amount, if unit.is_empty() { 0 } else { fine(amount, 1) }, &at.key(key))) (unit)
        }
    }
}
