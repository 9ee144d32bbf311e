//! Mixes: what is stirred into what at the shop's temperature, how many of which size, and the cards for the scales.

use super::keys::{sentence, with_keys};
use maud::{Markup, html};

use super::cautions;
use super::figure::{At, as_written, count, figure, fine, rounded};
use super::sheet::{caution, kg, measured};
use super::workings;
use crate::laminate::cautions::{FIRST_OF_ALL, Work};
use crate::laminate::figure::Spread;
use crate::plan::Plan;
use crate::workshop::mixes::card::{Card, CardCell};
use crate::workshop::mixes::lines::{HeldBy, MixLine, MixStep};
use crate::workshop::mixes::recipe::Stirred;
use crate::workshop::mixes::{MixedMaterial, kind_word};

/// The section.
pub fn section(plan: &Plan) -> Markup {
    let at = At::root().key("mixes");
    let mixes = &plan.mixes;
    html! {
        section id="mixes" {
            h2 { "Mixes" }
            (cautions::beside_these(Work::Mixing, |caution| mixes.materials.iter().any(|material| of_mixing(material).contains(&caution.about))))
            @if mixes.materials.is_empty() {
                p { "Nothing is mixed." }
            } @else {
                p {
                    "For " (figure(mixes.temperature_c, written(mixes.temperature_c), &at.key("temperature_c"))) " °C of shop and resin"
                    @if mixes.is_assumed { ", which is assumed: give " code { "temperature_c" } " under " code { "[shop]" } }
                    ". Gel times are the maker's where the job gives them, and otherwise stand for them: before work begins, time a \
                     cup of each lot and write it on its card. Figures are for one build."
                }
                (materials(plan, &at))
                (lines(plan, &at))
                (unmixed(plan, &at))
                (sums(plan, &at))
                h3 { "Cards for the scales" }
                p.about-sheets { "One for each resin, gelcoat, putty and adhesive, to hang over the scales. Blank where nothing may be mixed." }
                @for (number, material) in mixes.materials.iter().enumerate() {
                    @if let Some(card) = &material.card {
                        (card_sheet(plan, number, material, card, &at.key("materials").item(number)))
                    }
                }
            }
        }
    }
}

fn written(value: f64) -> usize {
    super::figure::written_decimals(value).min(1)
}

/// Low to high of a spread.
fn range(spread: Spread, decimals: usize, at: &At) -> Markup {
    html! { (figure(spread.low, decimals, &at.key("low"))) " to " (figure(spread.high, decimals, &at.key("high"))) }
}

fn likely(spread: Spread, decimals: usize, at: &At) -> Markup {
    html! {
        (figure(spread.likely, decimals, &at.key("likely")))
        @if spread.low < spread.high { " " span.range { "(" (range(spread, decimals, at)) ")" } }
    }
}

/// The name of a material, with the share that a schedule asks for where it does.
fn name(material: &MixedMaterial, at: &At) -> Markup {
    html! {
        bdi { (material.material) }
        @if let Some(percent) = material.told_percent {
            " at the schedule's " (as_written(percent, &at.key("told_percent"))) " %"
        }
    }
}

fn materials(plan: &Plan, at: &At) -> Markup {
    let at = at.key("materials");
    html! {
        div.scroll tabindex="0" role="region" aria-label="What is stirred into what" {
            table {
                caption { "What is stirred into what" }
                thead { tr {
                    th scope="col" { "Material" }
                    th scope="col" { "Takes" }
                    th.number scope="col" { "Share" span.unit { "%" } }
                    th.number scope="col" { "Gel time in the cup" span.unit { "min" } }
                    th.number scope="col" { "Lay a mix within" span.unit { "min" } }
                    th scope="col" { "This share is for" }
                    th.number scope="col" { "Mixes in all" }
                } }
                tbody {
                    @for (number, material) in plan.mixes.materials.iter().enumerate() {
                        (material_row(material, &at.item(number)))
                    }
                }
            }
        }
    }
}

fn material_row(material: &MixedMaterial, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" {
                (name(material, at)) br; span.quiet { (kind_word(material.kind)) }
                @if let Some(caution) = &material.caution { br; b { "Mind: " } (caution) "." }
            }
            @match (&material.share, &material.refused) {
                (_, Some(refusal)) => { td colspan="6" { b { "Not mixed: " } (with_keys(&refusal.why)) ". " span.quiet { (sentence(&refusal.remedy)) } } }
                (Some(share), None) => {
                    @let at_share = at.key("share");
                    td { (material.stirred.map_or("", Stirred::word)) }
                    td.number {
                        (figure(share.percent, 2, &at_share.key("percent")))
                        @if let Some(allowed) = material.allowed_percent.filter(|allowed| allowed.low < allowed.high) {
                            br; span.range { "(" (range(allowed, 2, &at.key("allowed_percent"))) ")" }
                        }
                    }
                    td.number { (likely(share.gel_min, 1, &at_share.key("gel_min"))) }
                    td.number {
                        @if let Some(min) = material.lay_within_min { (figure(min, 1, &at.key("lay_within_min"))) }
                    }
                    td { (holds(material, at)) }
                    td.number { (count(material.n_mixes, &at.key("n_mixes"))) }
                }
                (None, None) => { td colspan="6" {} }
            }
        }
    }
}

/// Where a colder or a warmer shop needs another share.
fn holds(material: &MixedMaterial, at: &At) -> Markup {
    let at = at.key("holds_c");
    html! {
        @match (material.holds_c, material.stirred) {
            (_, Some(Stirred::Hardener)) => "any temperature: the ratio is fixed",
            (_, Some(Stirred::Paste)) => "its maker's range",
            (Some([from, to]), _) => {
                (figure(from, 0, &at.item(0))) " to " (figure(to, 0, &at.item(1))) " °C; colder or warmer, by the card"
            }
            _ => "no temperature: it gels too soon or too late",
        }
    }
}

fn lines(plan: &Plan, at: &At) -> Markup {
    let at = at.key("lines");
    html! {
        h3 { "Mix by mix" }
        div.scroll.tall tabindex="0" role="region" aria-label="Mix by mix" {
            table {
                thead { tr {
                    th scope="col" { "For" }
                    th scope="col" { "Step" }
                    th scope="col" { "Material" }
                    th.number scope="col" { "Laid" span.unit { "kg" } }
                    th.number scope="col" { "Mixes" }
                    th.number scope="col" { "Each" span.unit { "g" } }
                    th.number scope="col" { "Catalyst or hardener each" span.unit { "g" } }
                    th.number scope="col" { "The same" span.unit { "ml" } }
                    th.number scope="col" { "To lay one" span.unit { "min" } }
                    th.number scope="col" { "Largest" span.unit { "kg" } }
                } }
                tbody { @for (index, line) in plan.mixes.lines.iter().enumerate() { (line_row(line, &at.item(index))) } }
            }
        }
    }
}

/// What no mix holds, so that the sum of the mixes and this is the order's net need.
fn unmixed(plan: &Plan, at: &At) -> Markup {
    let at = at.key("unmixed");
    html! {
        @if !plan.mixes.unmixed.is_empty() {
            h3 { "Ordered, and in no mix here" }
            p { "The mixes above and these come to the net need of the order, before its reserve." }
            div.scroll tabindex="0" role="region" aria-label="Ordered, and in no mix here" {
                table {
                    thead { tr { th scope="col" { "What" } th.number scope="col" { "In all" span.unit { "kg" } } th scope="col" { "Why" } } }
                    tbody {
                        @for (index, unmixed) in plan.mixes.unmixed.iter().enumerate() {
                            tr {
                                th scope="row" { bdi { (unmixed.material) } @if unmixed.material != unmixed.kind.word() { br; span.quiet { (unmixed.kind.word()) } } }
                                td.number { (figure(unmixed.kg, fine(unmixed.kg, 2), &at.item(index).key("kg"))) }
                                td { bdi { (with_keys(&unmixed.why)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn line_row(line: &MixLine, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" { bdi { (line.panel) } ", " (line.make.word()) " " (line.of_piece) }
            td {
                @match line.step {
                    MixStep::Beyond => { bdi { (line.what) } }
                    MixStep::Fillets => { (line.step.word()) ", where chosen" }
                    MixStep::Coat | MixStep::Stage => { (line.step.word()) " " (count(line.number, &at.key("number"))) }
                }
            }
            td {
                bdi { (line.material) }
                @for (index, also) in line.also.iter().enumerate() {
                    @let at = at.key("also").item(index);
                    br; span.quiet {
                        "stir in first: "
                        @if let Some(g) = also.each_g { b { (stir_g(g, &at.key("each_g"))) " g" } " to each mix, " }
                        (kg(also.kg, &at.key("kg"))) " kg of " bdi { (also.material) } " in all"
                    }
                }
            }
            td.number { (kg(line.need_kg, &at.key("need_kg"))) }
            @match line.mixes {
                None => { td colspan="6" { "not mixed" } }
                Some(cups) => {
                    @let cup = at.key("mixes");
                    td.number { (count(cups.n_mixes, &cup.key("n_mixes"))) }
                    td.number { (figure(cups.weigh_g, written(cups.weigh_g), &cup.key("weigh_g"))) }
                    td.number { (stir_g(cups.stir_g, &cup.key("stir_g"))) }
                    td.number { @if let Some(ml) = cups.stir_ml { (stir_g(ml, &cup.key("stir_ml"))) } @else { "–" } }
                    td.number { (figure(cups.minutes, 1, &cup.key("minutes"))) }
                    td.number {
                        @if let Some(largest_kg) = line.largest_kg { (figure(largest_kg, 2, &at.key("largest_kg"))) }
                        @match line.held_by {
                            Some(HeldBy::Time) => { br; span.quiet { "by time" } }
                            Some(HeldBy::Cup) => { br; span.quiet { "by the cup" } }
                            None => {}
                        }
                    }
                }
            }
        }
    }
}

/// What is stirred into one mix: to a tenth, as a scale for catalyst reads.
fn stir_g(value: f64, at: &At) -> Markup {
    if value < 100.0 { figure(value, 1, at) } else { measured(value, at) }
}

fn sums(plan: &Plan, at: &At) -> Markup {
    let at = at.key("lines");
    html! {
        details {
            summary { "The sums behind them" }
            @for (index, line) in plan.mixes.lines.iter().enumerate() {
                @let step = if line.what.is_empty() { format!("{} {}", line.step.word(), line.number) } else { line.what.clone() };
                @let name = format!("{}, {} {}, {step}", line.panel, line.make.word(), line.of_piece);
                h4 { bdi { (name) } }
                (workings::table(&name, &line.workings, &at.item(index).key("workings")))
            }
        }
    }
}

/// The card of one material, a page of its own on paper.
fn card_sheet(plan: &Plan, number: usize, material: &MixedMaterial, card: &Card, at: &At) -> Markup {
    let id = format!("mix-card-{number}");
    let in_ml = material.density_g_ml.is_some();
    html! {
        article.sheet.mix-card id=(id) aria-labelledby=(format!("{id}-name")) {
            (card_head(plan, material, at, &id))
            div.wide { (card_table(card, in_ml, kind_word(material.kind), &at.key("card"))) }
            (refusals(card))
            footer.sheet-foot {
                @if let Some(caution) = &material.caution { p.incomplete { strong { "Mind: " } (caution) "." } }
                p { strong { (FIRST_OF_ALL) } }
                p.small { @for about in minded(material) { (caution(about).unwrap_or_default()) " " } }
            }
        }
    }
}

fn card_head(plan: &Plan, material: &MixedMaterial, at: &At, id: &str) -> Markup {
    let word = material.stirred.map_or("catalyst", Stirred::word);
    html! {
        header.sheet-head {
            h3 id=(format!("{id}-name")) { (name(material, at)) " · " (kind_word(material.kind)) " · card for the scales" }
            dl {
                div { dt { "Job" } dd dir="auto" { (plan.job) } }
                @if let Some(allowed) = material.allowed_percent {
                    div {
                        dt { (cautions::capital(word)) }
                        dd {
                            @if allowed.low < allowed.high {
                                (range(allowed, 2, &at.key("allowed_percent"))) " % by mass, never more"
                            } @else {
                                (as_written(allowed.likely, &at.key("allowed_percent").key("likely"))) " g to 100 g, never varied"
                            }
                        }
                    }
                }
                @if let Some(oxygen) = material.active_oxygen_percent {
                    div { dt { "Active oxygen" } dd { (as_written(oxygen, &at.key("active_oxygen_percent"))) " %" } }
                }
                @if let Some(density) = material.density_g_ml {
                    div { dt { "Its density" } dd { (as_written(density, &at.key("density_g_ml"))) " g/ml" } }
                }
                div { dt { "Lot of the " (kind_word(material.kind)) } dd { span.blank {} } }
                div { dt { "Lot of the " (word) } dd { span.blank {} } }
                div { dt { "Date" } dd { span.blank {} } }
            }
        }
    }
}

fn card_table(card: &Card, in_ml: bool, kind: &str, at: &At) -> Markup {
    let span = if in_ml { "2" } else { "1" };
    let column_at = |index: usize| at.key("columns").item(index);
    html! {
        table.card-grid {
            thead {
                tr {
                    th scope="col" { "Shop and resin" }
                    @for (index, column) in card.columns.iter().enumerate() {
                        th scope="colgroup" colspan=(span) { (figure(column.temperature_c, 0, &column_at(index).key("temperature_c"))) " °C" }
                    }
                }
            }
            tbody {
                tr { th scope="row" { "Share, %" }
                    @for (index, column) in card.columns.iter().enumerate() {
                        td.figure colspan=(span) { @if let Some(percent) = column.percent { (figure(percent, 2, &column_at(index).key("percent"))) } }
                    }
                }
                tr { th scope="row" { "Gel time by the table, min" }
                    @for (index, column) in card.columns.iter().enumerate() {
                        td.figure colspan=(span) { @if let Some(gel_min) = column.gel_min { (figure(gel_min.likely, 0, &column_at(index).key("gel_min").key("likely"))) } }
                    }
                }
                tr.to-write { th scope="row" { "Gel time measured, min" } @for _ in &card.columns { td colspan=(span) {} } }
                tr { th scope="row" { "Largest mix, g" }
                    @for (index, column) in card.columns.iter().enumerate() {
                        td.figure colspan=(span) { @if let Some(largest_g) = column.largest_g { (figure(largest_g, written(largest_g), &column_at(index).key("largest_g"))) } }
                    }
                }
                tr {
                    th scope="row" { "g of " (kind) }
                    @for _ in &card.columns { td.figure { "g" } @if in_ml { td.figure { "ml" } } }
                }
                @for (number, row) in card.rows.iter().enumerate() {
                    @let row_at = at.key("rows").item(number);
                    tr {
                        th scope="row" { b { (figure(row.weigh_g, written(row.weigh_g), &row_at.key("weigh_g"))) } }
                        @for (index, cell) in row.cells.iter().enumerate() {
                            (card_cell(cell.as_ref(), in_ml, &row_at.key("cells").item(index)))
                        }
                    }
                }
            }
        }
    }
}

fn card_cell(cell: Option<&CardCell>, in_ml: bool, at: &At) -> Markup {
    html! {
        td.figure { @if let Some(cell) = cell { b { (figure(cell.g, 1, &at.key("g"))) } } }
        @if in_ml { td.figure { @if let Some(ml) = cell.and_then(|cell| cell.ml) { (figure(ml, 1, &at.key("ml"))) } } }
    }
}

/// Why columns are blank, each reason once.
fn refusals(card: &Card) -> Markup {
    let mut told: Vec<&str> = Vec::new();
    for why in card.columns.iter().filter_map(|column| column.refused.as_deref()) {
        if !told.contains(&why) {
            told.push(why);
        }
    }
    html! {
        p.small {
            "Blank: not to be mixed, since it would gel before it is laid"
            @for why in &told { "; " (why) }
            ". Colder than " (rounded(crate::laminate::warnings::COLDEST_C, 0)) " °C: warm shop and resin."
        }
    }
}

/// The cautions that stand under a card: those of mixing, and of what is done with it.
fn minded(material: &MixedMaterial) -> Vec<&'static str> {
    let also: &[&str] = match material.stirred {
        Some(Stirred::Hardener) => &["skin"],
        Some(Stirred::Paste) => &["dust", "skin"],
        _ => &[],
    };
    of_mixing(material).iter().chain(also).copied().collect()
}

/// Cautions of mixing that concern a material.
fn of_mixing(material: &MixedMaterial) -> &'static [&'static str] {
    match material.stirred {
        Some(Stirred::Hardener) => &["hardener in the eye", "epoxy's ratio", "heat of the mix"],
        Some(Stirred::Paste) => &["putty's hardener", "catalyst in the eye", "heat of the mix"],
        _ => &["catalyst in the eye", "accelerator", "thinning catalyst", "spilt catalyst", "heat of the mix"],
    }
}
