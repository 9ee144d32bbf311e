//! The lay-up drawn: a section through each schedule, and through the corners as each build meets them.

use maud::{Markup, html};

use super::cautions;
use super::figure::{At, as_written, count, figure, spread};
use super::workings;
use crate::laminate::cautions::Work;
use crate::laminate::plies::{PlannedPly, PliesPlan};
use crate::laminate::schedule::Zone;
use crate::plan::{Build, PartPlan, Plan};

mod corner;
mod flat;
mod hatch;
mod labels;

/// A build with its panel and its place in the document.
#[derive(Clone)]
struct Placed<'a> {
    part: &'a PartPlan,
    build: &'a Build,
    at: At,
}

/// The section.
pub fn section(plan: &Plan) -> Markup {
    let schedules = by_schedule(plan);
    html! {
        section id="lay-up" {
            h2 { "The lay-up drawn" }
            (hatch::patterns())
            @for builds in &schedules { (schedule(builds)) }
            @if !schedules.is_empty() {
                h3 { "What to mind" }
                @for work in [Work::LayUp, Work::Stages] { h4 { (work.words()) } (cautions::beside(work)) }
            }
        }
    }
}

/// The builds, those of one schedule together.
fn by_schedule(plan: &Plan) -> Vec<Vec<Placed<'_>>> {
    let mut schedules: Vec<Vec<Placed<'_>>> = Vec::new();
    let parts = At::root().key("parts");
    for (number, part) in plan.parts.iter().enumerate() {
        for (index, build) in part.builds.iter().enumerate() {
            let placed = Placed { part, build, at: parts.item(number).key("builds").item(index) };
            match schedules.iter_mut().find(|builds| builds[0].build.schedule == build.schedule) {
                Some(builds) => builds.push(placed),
                None => schedules.push(vec![placed]),
            }
        }
    }
    schedules
}

fn schedule(builds: &[Placed<'_>]) -> Markup {
    let first = &builds[0];
    html! {
        h3 { "Schedule " bdi { (first.build.schedule) } ", " (first.build.make.word()) }
        p.quiet {
            "For "
            @for (index, placed) in builds.iter().enumerate() {
                @if index > 0 { ", " }
                bdi { (placed.part.name) }
            }
            "."
        }
        (flat::section(&first.build.plies_plan, &first.at))
        (plies(&first.build.plies_plan, &first.at))
        details {
            summary { "the sums behind resin and thickness" }
            (workings::table(&first.build.schedule, &first.build.plies_plan.workings, &first.at.key("workings")))
        }
        h4 { "At corners" }
        @let drawn: Vec<Markup> = builds.iter().filter_map(corners).collect();
        @if drawn.is_empty() { p { "No corner needs work." } }
        @for (index, markup) in drawn.iter().enumerate() {
            @if index == 0 { (markup) }
        }
        @if drawn.len() > 1 {
            details {
                summary { "the same at the other panels" }
                @for markup in &drawn[1..] { (markup) }
            }
        }
    }
}

/// One inside and one outside corner of a build, as it meets them.
fn corners(placed: &Placed<'_>) -> Option<Markup> {
    let chosen = corner::chosen(placed.build);
    if chosen.is_empty() {
        return None;
    }
    let pieces = placed.at.key("pieces");
    Some(html! {
        div.corner-sections {
            @for choice in chosen {
                @let met = &placed.build.pieces[choice.piece].corners[choice.corner];
                @let at = pieces.item(choice.piece).key("corners").item(choice.corner);
                (corner::section(placed, choice.piece, met, &at))
            }
        }
    })
}

/// The plies as a table: what the drawing cannot say.
fn plies(plan: &PliesPlan, at: &At) -> Markup {
    let list = at.key("schedule_plies");
    html! {
        div.scroll tabindex="0" role="region" aria-label={ "Plies of schedule " (plan.schedule) } {
            table {
                caption { "From the tool outwards" }
                thead { tr {
                    th scope="col" { "Ply" }
                    th scope="col" { "Name" }
                    th scope="col" { "Material" }
                    th scope="col" { "Where" }
                    th.number scope="col" { "weight" span.unit { "g/m2" } }
                    th scope="col" { "resin" span.unit { "kg/m2" } }
                    th scope="col" { "thickness" span.unit { "mm" } }
                    th.number scope="col" { "from the tool" span.unit { "mm" } }
                    th.number scope="col" { "least inside" span.unit { "mm radius" } }
                    th.number scope="col" { "least outside" span.unit { "mm radius" } }
                    th scope="col" { "Laid in" }
                } }
                tbody {
                    @if let Some(gelcoat) = &plan.gelcoat {
                        @let film = at.key("schedule_gelcoat");
                        tr {
                            td {}
                            th scope="row" { "gelcoat" }
                            td { bdi { (gelcoat.name) } }
                            td { "all" }
                            td.number {}
                            td { (spread(gelcoat.coverage_kg_m2, 3, &film, "coverage_kg_m2")) " of gelcoat" }
                            td { (spread(gelcoat.thickness_mm, 2, &film, "thickness_mm")) }
                            td.number { "0" }
                            td.number {} td.number {} td {}
                        }
                    }
                    @for (index, ply) in plan.plies.iter().enumerate() { (row(ply, &list.item(index))) }
                }
                tfoot { tr {
                    th scope="row" colspan="6" { "In all, where only the plies lie that lie everywhere, without gelcoat" }
                    td { (spread(plan.plain_thickness_mm(), 2, at, "thickness_mm")) }
                    td colspan="4" {}
                } }
            }
        }
    }
}

fn row(ply: &PlannedPly, at: &At) -> Markup {
    html! {
        tr {
            td { (count(ply.ply, &at.key("ply"))) }
            th scope="row" { bdi { (ply.name) } }
            td { bdi { (ply.material) } }
            td { (zone_words(ply)) }
            td.number { (as_written(ply.areal_weight_g_m2, &at.key("areal_weight_g_m2"))) }
            td { (spread(ply.per_m2.resin_kg_m2, 3, at, "resin_kg_m2")) }
            td { (spread(ply.per_m2.thickness_mm, 2, at, "thickness_mm")) }
            td.number { (figure(ply.depth_mm, 2, &at.key("depth_mm"))) }
            td.number { (as_written(ply.inside_limit_mm, &at.key("inside_limit_mm"))) }
            td.number { (as_written(ply.outside_limit_mm, &at.key("outside_limit_mm"))) }
            td { bdi { (ply.resin) } }
        }
    }
}

/// Where a ply lies, its distance from edges included.
fn zone_words(ply: &PlannedPly) -> String {
    let zone = ply.zone.words();
    let clear_mm = ply.clear_of_edges_mm;
    match (&ply.zone, clear_mm > 0.0) {
        (_, false) => zone,
        (Zone::All, true) => format!("{clear_mm} mm clear of every edge"),
        (_, true) => format!("{zone}, {clear_mm} mm clear of edges"),
    }
}
