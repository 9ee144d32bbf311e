//! Requests for quotation: a sheet for each supplier of the job, and one for whoever else is asked. No price of ours is
//! on them.

use maud::{Markup, html};

use super::figure::{At, as_written, figure, fine};
use super::order::{listed_packs, packs};
use super::sheet::print_buttons;
use crate::plan::Plan;
use crate::workshop::order::specification::Specification;
use crate::workshop::order::{Line, Quote};

/// The section.
pub fn sheets(plan: &Plan) -> Markup {
    html! {
        section id="quotation" {
            h2 { "Requests for quotation" }
            p.about-sheets { "A4 or Letter: what is wanted, how much, in which packs, and by when, with room for prices. The same stands in request_for_quotation.csv." }
            (print_buttons())
            (sheet(plan, None))
            @for index in 0..plan.order.quotes.len() { (sheet(plan, Some(index))) }
        }
    }
}

fn sheet(plan: &Plan, supplier: Option<usize>) -> Markup {
    let quote = supplier.and_then(|index| plan.order.quotes.get(index));
    let id = supplier.map_or_else(|| "quotation-any".to_owned(), |index| format!("quotation-{index}"));
    html! {
        article.sheet.quotation-sheet id=(id) aria-labelledby=(format!("{id}-name")) {
            header.sheet-head {
                h3 id=(format!("{id}-name")) { "Request for quotation" @if let Some(quote) = quote { " · " span dir="auto" { (quote.supplier) } } }
                dl {
                    div { dt { "Job" } dd dir="auto" { (plan.job) } }
                    div { dt { "From" } dd { span.blank {} } }
                    div { dt { "To" } dd { @match quote { Some(quote) => { span dir="auto" { (quote.supplier) } } None => { span.blank {} } } } }
                    div { dt { "Date" } dd { span.blank {} } }
                    div { dt { "Delivery by" } dd { @match plan.order.dates.first_day { Some(day) => { (day) } None => { span.blank {} } } } }
                    div { dt { "To be delivered to" } dd { span.blank {} } }
                }
            }
            @if !plan.is_complete() { p.incomplete { "Panels are missing from these amounts: they are not the final ones." } }
            (table(plan, supplier, quote))
            footer.sheet-foot {
                p.small { "Please quote each line in the packs that you sell, with what a pack costs, delivery, the least order, how long each keeps from delivery and at which temperature, and with the data sheet and the safety data sheet. Amounts are the least that is needed; offer the full roll or the larger drum where it costs less. Gelcoat of one colour from one lot." }
                p.small { "Peroxide, resin and solvent travel and are stored under rules of their own: say what you need from us for that." }
            }
        }
    }
}

fn table(plan: &Plan, supplier: Option<usize>, quote: Option<&Quote>) -> Markup {
    let order = At::root().key("order");
    let wanted = plan.order.lines.iter().enumerate().filter(|(_, line)| line.to_buy > 0.0);
    html! {
        div.wide {
            table.quotation {
                thead { tr {
                    th scope="col" { "No." } th scope="col" { "Material" } th scope="col" { "Specification" }
                    th scope="col" { "At least" } th scope="col" { "Packs wanted" } th scope="col" { "Packs offered" }
                    th scope="col" { "Price each" } th scope="col" { "Price in all" } th scope="col" { "Keeps, months" }
                } }
                tbody {
                    @for (number, (index, line)) in wanted.enumerate() {
                        @let at = order.item(index);
                        tr {
                            td.no { (number + 1) }
                            th scope="row" dir="auto" { (line.name) }
                            td { (specified(&line.specification, &at.key("specification"))) }
                            td.figure { (figure(line.to_buy, if line.to_buy.fract() == 0.0 { 0 } else { fine(line.to_buy, 1) }, &at.key("to_buy"))) " " (line.unit_of_sale.symbol()) }
                            td { (packs_wanted(line, index, supplier, quote, &at)) }
                            td.box {} td.box {} td.box {} td.box {}
                        }
                    }
                }
            }
        }
    }
}

/// In the packs of this supplier's own list, if it has the thing there.
fn packs_wanted(line: &Line, index: usize, supplier: Option<usize>, quote: Option<&Quote>, at: &At) -> Markup {
    let own = quote.and_then(|quote| quote.lines.get(index)?.as_ref()).zip(supplier);
    match own {
        None => packs(line, at),
        Some((quoted, supplier)) => {
            let at = At::root().key("quotes").item(supplier).key("lines").item(index).key("packs");
            listed_packs(&quoted.packs, line.unit_of_sale, &at)
        }
    }
}

fn specified(of: &Specification, at: &At) -> Markup {
    let figures = [
        (of.areal_weight_g_m2, "areal_weight_g_m2", "", " g/m²"),
        (of.width_mm, "width_mm", "", " mm wide"),
        (of.thickness_mm, "thickness_mm", "", " mm thick"),
        (of.density_kg_m3, "density_kg_m3", "", " kg/m³"),
        (of.active_oxygen_percent, "active_oxygen_percent", "active oxygen ", " %"),
    ];
    html! {
        (of.words)
        @for (value, key, before, after) in figures {
            @if let Some(value) = value { ", " (before) (as_written(value, &at.key(key))) (after) }
        }
    }
}
