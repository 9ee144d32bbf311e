//! What to order, line by line, and price lists side by side.

use std::io::{self, Write};

use super::table::{Column, Listing};
use crate::plan::Plan;
use crate::report::csv::order::packs_words;
use crate::units::listed;
use crate::workshop::order::Line;
use crate::workshop::order::units::SaleUnit;

/// Writes the order, and what suppliers ask if the job names any.
///
/// # Errors
/// If `out` cannot be written.
pub fn order(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    if plan.order.lines.is_empty() {
        return Ok(());
    }
    writeln!(
        out,
        "\nWhat to order (reserve in it, what is on the shelf taken off; sums and marks: order.csv, with --out)"
    )?;
    write!(out, "{}", lines(plan))?;
    if !plan.order.quotes.is_empty() {
        writeln!(out, "\nWhat suppliers ask")?;
        write!(out, "{}", quotes(plan))?;
        for basket in &plan.order.baskets {
            let from: Vec<&str> = basket.from.iter().map(|share| share.supplier.as_str()).collect();
            let lacks = if basket.complete { String::new() } else { format!("; without {}", some(&basket.lacks)) };
            let (total, currency) = (basket.total, &basket.currency);
            let said = if !basket.taken && basket.exact {
                "No choice meets every least order; the cheapest before that"
            } else if !basket.taken {
                "No choice was found that meets every least order; the best without that"
            } else if basket.exact {
                "Cheapest choice"
            } else {
                "Best choice found"
            };
            writeln!(out, "{said}: {total:.2} {currency} from {}, delivery in it{lacks}", from.join(" and "))?;
            for other in &basket.cheaper_without {
                writeln!(
                    out,
                    "  {} alone asks {:.2} {currency}, without {}, which is {:.2} of that",
                    other.supplier,
                    other.total,
                    some(&other.lacks),
                    other.lacks_price
                )?;
            }
        }
    }
    Ok(())
}

fn lines(plan: &Plan) -> Listing {
    let priced = !plan.order.quotes.is_empty();
    let mut columns = vec![
        Column::Words("what"),
        Column::Figures("have"),
        Column::Figures("on shelf"),
        Column::Figures("buy"),
        Column::Words("unit"),
        Column::Words("packs"),
        Column::Figures("left over"),
    ];
    if priced {
        columns.extend([Column::Words("from"), Column::Figures("price"), Column::Words("")]);
    }
    let mut listing = Listing::new(&columns);
    for line in &plan.order.lines {
        let unit = line.unit_of_sale;
        let mut row = vec![
            line.name.clone(),
            shown(line.with_reserve, unit),
            if line.on_shelf > 0.0 { shown(line.on_shelf, unit) } else { "-".to_owned() },
            shown(line.to_buy, unit),
            unit.symbol().to_owned(),
            packs(line),
            shown(line.left_over, unit),
        ];
        if priced {
            row.push(line.supplier.clone().unwrap_or_else(|| "-".to_owned()));
            row.push(line.price.map_or_else(|| "-".to_owned(), |price| format!("{price:.2}")));
            row.push(line.currency.clone().unwrap_or_default());
        }
        listing.row(row);
    }
    listing
}

/// Two decimals, as a shop's scale shows; pieces are whole.
fn shown(amount: f64, unit: SaleUnit) -> String {
    let decimals = if unit == SaleUnit::Pieces { 0 } else { 2 };
    format!("{amount:.decimals$}")
}

/// The first few of a list, and how many more there are.
fn some(names: &[String]) -> String {
    const MOST: usize = 3;
    let more = names.len().saturating_sub(MOST);
    let first = listed(&names[..names.len().min(MOST)]);
    if more > 0 { format!("{first} and {more} more") } else { first }
}

fn packs(line: &Line) -> String {
    if line.packs.is_empty() { "-".to_owned() } else { packs_words(line) }
}

fn quotes(plan: &Plan) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("supplier"),
        Column::Figures("goods"),
        Column::Figures("delivery"),
        Column::Figures("total"),
        Column::Words(""),
        Column::Words("offers"),
    ]);
    for quote in &plan.order.quotes {
        let offers = match (quote.complete, quote.cheapest) {
            (true, true) => "everything, the cheapest that does".to_owned(),
            (true, false) => "everything".to_owned(),
            _ => format!("no price for {}", some(&[&quote.lacks[..], &quote.without_price[..]].concat())),
        };
        listing.row([
            quote.supplier.clone(),
            format!("{:.2}", quote.goods),
            format!("{:.2}", quote.delivery),
            format!("{:.2}", quote.total),
            quote.currency.clone(),
            offers,
        ]);
    }
    listing
}
