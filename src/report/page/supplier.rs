//! Supplier's sheets: one for each mould and each moulding, to be criticised by someone who was not in the shop.

use maud::{Markup, html};
use rayon::prelude::*;

use super::figure::{At, count, figure, spread};
use super::sheet::{Item, how_many, items, mesh_line, print_buttons, shop_temperature, size};
use super::starts;
use crate::laminate::cautions::FIRST_OF_ALL;
use crate::laminate::schedule::Make;
use crate::laminate::stages::Stage;
use crate::plan::{CureFigures, Plan};
use crate::report::drawing::{self, Sheet};

mod questions;
mod told;

/// Room for the drawing beside the facts.
const DRAWING_MM: [f64; 2] = [108.0, 56.0];

/// The section.
pub fn sheets(plan: &Plan) -> Markup {
    let items = items(plan);
    let sheets: Vec<Markup> = items.par_iter().map(|item| sheet(item, &items)).collect();
    html! {
        section id="supplier" {
            h2 { "Supplier's sheets" }
            p.about-sheets { "One for each mould and each moulding, A4 or Letter: what is to be laid and how, and what only the makers know, with room for the answers." }
            (print_buttons())
            @for sheet in &sheets { (sheet) }
        }
    }
}

fn sheet(item: &Item<'_>, all: &[Item<'_>]) -> Markup {
    let id = format!("supplier-{}", item.id);
    let drawn =
        Sheet { width_mm: DRAWING_MM[0], height_mm: DRAWING_MM[1], corners: true, dimensions: true, starts: false };
    html! {
        article.sheet.supplier-sheet id=(id) aria-labelledby=(format!("{id}-name")) {
            header.sheet-head {
                h3 id=(format!("{id}-name")) {
                    span dir="auto" { (item.part.name) } " · " (item.build.make.word()) " · please criticise"
                }
                dl {
                    div { dt { "Job" } dd dir="auto" { (item.plan.job) } }
                    div { dt { "From" } dd { span.blank {} } }
                    div { dt { "To" } dd { span.blank {} } }
                    div { dt { "Date" } dd { span.blank {} } }
                }
            }
            div.abreast {
                (facts(item))
                figure.sketch { (drawing::of_build_at(item.part, item.build, &item.part_at, drawn)) }
            }
            (schedule(item))
            div.abreast.columns {
                (told::procedure(item))
                (questions::questions(item))
            }
            (foot(item, all))
        }
    }
}

fn facts(item: &Item<'_>) -> Markup {
    let at = item.at.key("together");
    let together = &item.build.together;
    html! {
        dl.to-know {
            div { dt { "To build" } dd { (how_many(item)) " " (item.build.make.word()) @if item.build.count != 1 { "s" } (serves(item)) } }
            div { dt { "Size" } dd { (size(item)) } }
            div { dt { "Area, net" } dd { (figure(together.area_m2, 2, &at.key("area_m2"))) " m²" (pieces(item)) } }
            div { dt { "Weight" } dd { (spread(item.build.mass_kg(), 1, &item.at, "mass_kg")) " kg each" } }
            div { dt { "Glass" } dd { (figure(together.glass_kg, 1, &at.key("glass_kg"))) " kg laid for one" } }
            div { dt { "Resin" } dd { (spread(together.resin_kg, 1, &at, "resin_kg")) " kg laid for one" } }
            div { dt { "Gelcoat" } dd { (gelcoat(item)) } }
            @for (index, cure) in item.build.cures.iter().enumerate() {
                div { dt dir="auto" { (cure.name) } dd { (goes_off(cure, &item.at.key("cures").item(index))) } }
            }
            div { dt { "Shop" } dd { (shop_temperature(item.plan)) @if item.plan.practice.temperature_c.is_none() { " (to be told)" } } }
            div { dt { "Tightest" } dd { (tightest(item)) } }
            div { dt { "Heaviest stage" } dd { (heaviest(item)) } }
            @if let Some(release) = starts::release(item) { div { dt { "Release" } dd { (release) } } }
            div { dt { "Mesh" } dd { (mesh_line(item.part)) } }
        }
    }
}

fn serves(item: &Item<'_>) -> Markup {
    html! {
        @if item.build.make == Make::Mould && let Some((mouldings, at)) = item.mouldings() {
            ", for " (count(mouldings, &at)) " moulding" @if mouldings != 1 { "s" }
        }
        @if item.part.mirrored { ", half of them mirrored" }
    }
}

fn pieces(item: &Item<'_>) -> Markup {
    let letters: Vec<&str> = item.build.pieces.iter().map(|piece| piece.name.as_str()).collect();
    html! { @if letters.len() > 1 { ", in pieces " (letters.join(", ")) } }
}

fn gelcoat(item: &Item<'_>) -> Markup {
    let first = item
        .build
        .pieces
        .iter()
        .enumerate()
        .find_map(|(piece, planned)| Some((piece, planned.lay_up.gelcoat.as_ref()?)));
    let at = item.at.key("together");
    html! {
        @match first {
            Some((piece, gelcoat)) => {
                (spread(item.build.together.gelcoat_kg, 1, &at, "gelcoat_kg")) " kg for one, film "
                (spread(gelcoat.thickness_mm, 1, &item.piece_at(piece), "gelcoat_mm")) " mm, colour "
                @match &gelcoat.colour { Some(colour) => { span dir="auto" { (colour) } } None => { span.blank {} " (to be told)" } }
            }
            None => { "none; the glass is the face" }
        }
    }
}

/// What makes a gelcoat or resin go off, and the range that it is held to.
fn goes_off(cure: &CureFigures, at: &At) -> Markup {
    html! {
        @if let Some(percent) = cure.catalyst_percent {
            (spread(percent, 2, at, "catalyst_percent")) " % catalyst"
            @if let Some(oxygen) = cure.active_oxygen_percent { ", " (figure(oxygen, 1, &at.key("active_oxygen_percent"))) " % active oxygen" }
        }
        @if let Some(hardener) = cure.hardener_per_100 {
            (figure(hardener, 1, &at.key("hardener_per_100"))) " g of hardener to 100 g"
        }
    }
}

/// The tightest corner of those that need work.
fn tightest(item: &Item<'_>) -> Markup {
    let corners = item.build.pieces.iter().enumerate().flat_map(|(piece, planned)| {
        planned.corners.iter().enumerate().map(move |(index, met)| (piece, planned, index, met))
    });
    let tightest = corners.min_by(|a, b| a.3.corner.radius_mm.total_cmp(&b.3.corner.radius_mm));
    html! {
        @match tightest {
            Some((piece, planned, index, met)) => {
                @let at = item.corner_at(piece, index);
                @let [x, y, z] = <[f64; 3]>::from(met.corner.midpoint_mm());
                @let middle = at.key("midpoint_mm");
                (figure(met.corner.radius_mm, 1, &at.key("radius_mm"))) " mm at " (item.corner_name(&planned.name, &met.corner.id))
                ", near " (figure(x, 0, &middle.item(0))) ", " (figure(y, 0, &middle.item(1))) ", " (figure(z, 0, &middle.item(2)))
                "; all plies follow from " (figure(met.needed_mm, 1, &at.key("needed_radius_mm"))) " mm"
            }
            None => { "no corner that a ply does not follow" }
        }
    }
}

/// Where most is laid in one go.
fn heaviest_stage<'a>(item: &Item<'a>) -> Option<(usize, &'a Stage)> {
    item.build.stages.iter().enumerate().max_by(|a, b| a.1.thickness_mm.total_cmp(&b.1.thickness_mm))
}

fn heaviest(item: &Item<'_>) -> Markup {
    html! {
        @if let Some((index, stage)) = heaviest_stage(item) {
            @let at = item.at.key("stages").item(index);
            "plies " (count(stage.from_ply, &at.key("from_ply"))) " to " (count(stage.to_ply, &at.key("to_ply"))) ": "
            (figure(stage.glass_g_m2, 0, &at.key("glass_g_m2"))) " g/m², " (figure(stage.thickness_mm, 1, &at.key("thickness_mm"))) " mm"
        }
    }
}

fn schedule(item: &Item<'_>) -> Markup {
    let plies = item.at.key("schedule_plies");
    let sums = item.at.key("together").key("plies");
    html! {
        div.wide {
            table.schedule {
                caption { "Schedule " span dir="auto" { (item.build.schedule) } ", from the tool outwards" @if item.build.pieces.len() > 1 { "; areas of all pieces together" } }
                thead { tr {
                    th scope="col" { "Ply" } th scope="col" { "Material" } th scope="col" { "g/m²" } th scope="col" { "Zone" }
                    th scope="col" { "Resin" } th scope="col" { "Resin kg/m²" } th scope="col" { "mm" }
                    th scope="col" { "Net m²" } th scope="col" { "Laid m²" } th scope="col" { "Glass kg" } th scope="col" { "Remarks" }
                } }
                tbody {
                    @for (index, (ply, sum)) in item.build.plies_plan.plies.iter().zip(&item.build.together.plies).enumerate() {
                        @let at = plies.item(index);
                        @let sum_at = sums.item(index);
                        tr {
                            th scope="row" { (count(ply.ply, &at.key("ply"))) }
                            td dir="auto" { (ply.material) @if ply.name != ply.material { ", " (ply.name) } }
                            td.figure { (figure(ply.areal_weight_g_m2, 0, &at.key("areal_weight_g_m2"))) }
                            td dir="auto" { (ply.zone.words()) }
                            td dir="auto" { (ply.resin) }
                            td.figure { (figure(ply.per_m2.resin_kg_m2.likely, 2, &at.key("resin_kg_m2"))) }
                            td.figure { (figure(ply.per_m2.thickness_mm.likely, 2, &at.key("thickness_mm"))) }
                            td.figure { (figure(sum.net_m2, 2, &sum_at.key("net_m2"))) }
                            td.figure { (figure(sum.laid_m2, 2, &sum_at.key("laid_m2"))) }
                            td.figure { (figure(sum.glass_kg, 2, &sum_at.key("glass_kg"))) }
                            td.box {}
                        }
                    }
                }
            }
        }
    }
}

/// Which other sheets ask the same.
fn foot(item: &Item<'_>, all: &[Item<'_>]) -> Markup {
    let same = all.iter().filter(|other| other.build.schedule == item.build.schedule && other.id != item.id);
    let names: Vec<&str> = same.map(|other| other.part.name.as_str()).collect();
    html! {
        footer.sheet-foot {
            @if !names.is_empty() {
                p.small { "The same schedule is laid on: " @for (index, name) in names.iter().enumerate() { @if index > 0 { ", " } span dir="auto" { (name) } } ". An answer on one sheet holds for all of them." }
            }
            p.small { (FIRST_OF_ALL) }
        }
    }
}

/// The resins of a build by name.
fn resins<'a>(item: &Item<'a>) -> impl Iterator<Item = &'a CureFigures> + use<'a> {
    item.build.cures.iter().filter(|cure| !cure.is_gelcoat)
}
