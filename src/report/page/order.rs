//! The order: what to buy in which packs, price lists side by side.

use super::keys::with_keys;
use maud::{Markup, html};

use super::figure::{At, as_written, count, figure, fine};
use super::glance::unless_complete;
use crate::plan::Plan;
use crate::units::listed;
use crate::workshop::needs::Need;
use crate::workshop::order::lines::PackLine;
use crate::workshop::order::units::SaleUnit;
use crate::workshop::order::{Basket, Line, Quote};

/// The section.
pub fn section(plan: &Plan) -> Markup {
    html! {
        section id="order" {
            h2 { "Order" }
            p {
                "A line reads from left to right: plies (with gelcoat and fillets), what is taken beyond the plies and what plugs take come to the "
                "net need; with its reserve that is what to have; less what is on the shelf it is to buy, in the packs that cover it "
                @if plan.order.baskets.is_empty() { "with least left over. " } @else { "cheapest; what the packs hold over it is left over. " }
                "Where no supplier of the job offers a thing, the packs are the usual ones of the trade, without a price. The sums stand under "
                a href="#assumptions" { "Assumptions" } "."
            }
            (lines(plan))
            @if !plan.order.quotes.is_empty() {
                h3 { "Price lists side by side" }
                (quotes(plan))
                (baskets(plan))
            }
        }
    }
}

fn lines(plan: &Plan) -> Markup {
    let at = At::root().key("order");
    let priced = plan.order.lines.iter().any(|line| line.price.is_some());
    let stocked = plan.order.lines.iter().any(|line| line.on_shelf > 0.0);
    let shown = Shown { priced, stocked };
    html! {
        div.scroll tabindex="0" role="region" aria-label="Order, line by line" {
            table.order-lines {
                caption { "What to buy, in the unit by which it is sold" (unless_complete(plan)) }
                thead { tr {
                    th scope="col" { "What" }
                    th scope="col" { "Unit" }
                    th.number scope="col" { "plies" }
                    th.number scope="col" { "+ beyond" }
                    th.number scope="col" { "+ plugs" }
                    th.number scope="col" { "= net" }
                    th.number scope="col" { "+ reserve" span.unit { "%" } }
                    th.number scope="col" { "= to have" }
                    @if stocked { th.number scope="col" { "− on shelf" } }
                    th.number scope="col" { "= to buy" }
                    th scope="col" { "Packs" }
                    th.number scope="col" { "left over" }
                    @if priced { th scope="col" { "From" } th.number scope="col" { "price" } }
                    th scope="col" { "Why so much, why these packs" }
                } }
                tbody {
                    @for (index, line) in plan.order.lines.iter().enumerate() { (row(line, index, plan, shown, &at.item(index))) }
                }
            }
        }
    }
}

/// Columns that not every order has.
#[derive(Debug, Clone, Copy)]
struct Shown {
    priced: bool,
    stocked: bool,
}

fn row(line: &Line, index: usize, plan: &Plan, shown: Shown, at: &At) -> Markup {
    let of_pieces = line.unit_of_sale == SaleUnit::Pieces;
    let decimals = |value: f64| if of_pieces && value.fract() == 0.0 { 0 } else { fine(value, 1) };
    let amount = |value: f64, key: &str| figure(value, decimals(value), &at.key(key));
    let part = |value: f64, key: &str| html! { @if value > 0.0 { (amount(value, key)) } @else { "–" } };
    html! {
        tr {
            th scope="row" { bdi { (line.name) } }
            td { (line.unit_of_sale.symbol()) }
            td.number { (part(line.plies, "plies")) }
            td.number { (part(line.beyond, "beyond")) }
            td.number { (part(line.plugs, "plugs")) }
            td.number { (amount(line.net, "net")) }
            td.number {
                @if let Some(need) = plan.needs.needs.get(index) { (figure(need.reserve_percent, 0, &at.key("reserve_percent"))) }
            }
            td.number { (amount(line.with_reserve, "with_reserve")) }
            @if shown.stocked { td.number { @if line.on_shelf > 0.0 { (amount(line.on_shelf, "on_shelf")) } } }
            td.number { (amount(line.to_buy, "to_buy")) }
            td { (packs(line, at)) }
            td.number { (amount(line.left_over, "left_over")) }
            @if shown.priced {
                td { @if let Some(supplier) = &line.supplier { bdi { (supplier) } } }
                td.number {
                    @if let Some(price) = line.price { (figure(price, 2, &at.key("price"))) " " @if let Some(currency) = &line.currency { bdi { (currency) } } }
                }
            }
            td.source { (rules(line, plan.needs.needs.get(index))) }
        }
    }
}

/// How many packs of which size; of single pieces how many.
pub(super) fn packs(line: &Line, at: &At) -> Markup {
    listed_packs(&line.packs, line.unit_of_sale, &at.key("packs"))
}

/// Packs of a line, in its unit of sale.
pub(super) fn listed_packs(packs: &[PackLine], unit: SaleUnit, at: &At) -> Markup {
    let several = packs.iter().any(|pack| pack.supplier != packs[0].supplier);
    html! {
        @if packs.is_empty() { "none" }
        @for (index, pack) in packs.iter().enumerate() {
            @let at = at.item(index);
            @if index > 0 { ", " }
            span.kept {
                (count(pack.count, &at.key("count")))
                @if let Some((listed, by)) = pack.listed_size.zip(pack.listed_unit) {
                    " × " (as_written(listed, &at.key("listed_size"))) " " (by.symbol())
                    span.quiet { " (" (as_written(pack.size, &at.key("size"))) " " (unit.symbol()) " each)" }
                }
                @else if unit != SaleUnit::Pieces { " × " (as_written(pack.size, &at.key("size"))) " " (unit.symbol()) }
                @else if pack.size != 1.0 { " × " (as_written(pack.size, &at.key("size"))) }
                @if let Some(supplier) = pack.supplier.as_ref().filter(|_| several) { " (" bdi { (supplier) } ")" }
            }
        }
    }
}

/// What the reserve and the sizes of the packs rest on.
fn rules(line: &Line, need: Option<&Need>) -> Markup {
    let mut of_packs: Vec<(&str, &str)> = Vec::new();
    for pack in &line.packs {
        let words = (pack.source.as_str(), pack.mark.words());
        if !of_packs.contains(&words) {
            of_packs.push(words);
        }
    }
    html! {
        @if let Some(need) = need { "Reserve: " (need.reserve_why) @if line.reserve_mark.is_none() { ". " } }
        @if let Some(mark) = line.reserve_mark { "; " bdi { (with_keys(&line.reserve_source)) } " (" (mark.words()) "). " }
        @for (index, (source, mark)) in of_packs.iter().enumerate() {
            @if index == 0 { "Packs: " } @else { "; " }
            bdi { (with_keys(source)) } " (" (mark) ")"
        }
    }
}

fn quotes(plan: &Plan) -> Markup {
    let at = At::root().key("quotes");
    html! {
        div.scroll tabindex="0" role="region" aria-label="Price lists side by side" {
            table {
                caption { "What each supplier asks for what it offers" }
                thead {
                    tr {
                        th scope="col" { "What" }
                        @for quote in &plan.order.quotes { th.number scope="col" { bdi { (quote.supplier) } span.unit { bdi { (quote.currency) } } } }
                    }
                }
                tbody {
                    @for (line, wanted) in plan.order.lines.iter().enumerate().filter(|(_, line)| line.to_buy > 0.0) {
                        tr {
                            th scope="row" { bdi { (wanted.name) } }
                            @for (index, quote) in plan.order.quotes.iter().enumerate() {
                                td.number { (asked(quote, line, &at.item(index))) }
                            }
                        }
                    }
                }
                tfoot {
                    (foot_row("Goods", plan, |quote, at| figure(quote.goods, 2, &at.key("goods"))))
                    (foot_row("Delivery", plan, |quote, at| figure(quote.delivery, 2, &at.key("delivery"))))
                    (foot_row("In all", plan, |quote, at| figure(quote.total, 2, &at.key("total"))))
                    (foot_row("Offers", plan, offers))
                }
            }
        }
    }
}

fn asked(quote: &Quote, line: usize, at: &At) -> Markup {
    let at = at.key("lines").item(line).key("price");
    html! {
        @match quote.lines.get(line).and_then(Option::as_ref) {
            Some(quoted) => { @match quoted.price { Some(price) => { (figure(price, 2, &at)) } None => { "no price" } } }
            None => { "–" }
        }
    }
}

fn foot_row(name: &str, plan: &Plan, cell: impl Fn(&Quote, &At) -> Markup) -> Markup {
    let at = At::root().key("quotes");
    html! {
        tr {
            th scope="row" { (name) }
            @for (index, quote) in plan.order.quotes.iter().enumerate() { td.number { (cell(quote, &at.item(index))) } }
        }
    }
}

fn offers(quote: &Quote, at: &At) -> Markup {
    html! {
        @if quote.cheapest { b { "everything, cheapest" } } @else if quote.complete { "everything" } @else { "not everything" }
        @if quote.short_of_minimum > 0.0 { br; (figure(quote.short_of_minimum, 2, &at.key("short_of_minimum"))) " short of its minimum" }
    }
}

/// The cheapest choice of suppliers, currency by currency.
fn baskets(plan: &Plan) -> Markup {
    let at = At::root().key("baskets");
    html! {
        @for (index, basket) in plan.order.baskets.iter().enumerate() { (one_basket(basket, &at.item(index))) }
        @if plan.order.baskets.len() > 1 { p { "Prices in different currencies are not added up or set against each other." } }
    }
}

fn one_basket(basket: &Basket, at: &At) -> Markup {
    html! {
        p {
            @if !basket.taken && basket.exact { "No choice of suppliers meets every least order; the cheapest before that: " }
            @else if !basket.taken { "No choice of suppliers was found that meets every least order; the best without that: " }
            @else if basket.exact { "Cheapest choice of suppliers, every least order met: " }
            @else { "Best choice of suppliers that was found: " }
            b { (figure(basket.total, 2, &at.key("total"))) " " bdi { (basket.currency) } }
            ", of which delivery " (figure(basket.delivery, 2, &at.key("delivery"))) ": "
            @for (index, share) in basket.from.iter().enumerate() {
                @if index > 0 { "; " }
                @let of = at.key("from").item(index);
                bdi { (share.supplier) } " " (figure(share.goods, 2, &of.key("goods")))
                @if share.short_of_minimum > 0.0 { " (" (figure(share.short_of_minimum, 2, &of.key("short_of_minimum"))) " short of its least order)" }
            }
            "."
            @if !basket.exact { " There are more choices than are gone through; none can cost less than " (figure(basket.least, 2, &at.key("least"))) "." }
            @for (index, other) in basket.cheaper_without.iter().enumerate() {
                @let at = at.key("cheaper_without").item(index);
                " " bdi { (other.supplier) } " alone asks " (figure(other.total, 2, &at.key("total"))) " " bdi { (basket.currency) } ", without "
                bdi { (listed(&other.lacks)) } ", which is " (figure(other.lacks_price, 2, &at.key("lacks_price"))) " of the choice."
            }
            @if !basket.complete { " Not in it: " @for (index, name) in basket.lacks.iter().enumerate() { @if index > 0 { ", " } bdi { (name) } } "." }
        }
    }
}
