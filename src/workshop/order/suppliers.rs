//! Price lists side by side: what each supplier's whole basket costs.

use serde::Serialize;

use super::budget::Budget;
use super::entries::SupplierEntry;
use super::lines::{Demand, PackLine, covered};
use super::offers::of_supplier;
use crate::laminate::stock::Stock;

/// What one supplier asks for everything that it offers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Quote {
    /// Its name.
    pub supplier: String,
    /// Currency of its prices.
    pub currency: String,
    /// What it offers for each line of the order, in that order; nothing where it offers nothing or nothing is to be bought.
    pub lines: Vec<Option<QuotedLine>>,
    /// Price of all lines that have one, delivery left out.
    pub goods: f64,
    /// Delivery, once.
    pub delivery: f64,
    /// Goods and delivery.
    pub total: f64,
    /// What is missing to the least that it takes an order for; 0 if nothing is.
    pub short_of_minimum: f64,
    /// It offers every line, with a price.
    pub complete: bool,
    /// No other complete quote in its currency asks less.
    pub cheapest: bool,
    /// What it does not offer.
    pub lacks: Vec<String>,
    /// What it offers without saying a price.
    pub without_price: Vec<String>,
    /// What it offers in a unit or width that cannot be counted here, and why.
    pub unlike: Vec<String>,
}

/// One line of a quote.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuotedLine {
    /// The packs that cover it cheapest.
    pub packs: Vec<PackLine>,
    /// What is in them, in the line's unit of sale.
    pub bought: f64,
    /// What they hold beyond the need.
    pub left_over: f64,
    /// What they cost.
    pub price: Option<f64>,
    /// No packs can come under this, in the price or without prices in what is bought; told where there was too much to go
    /// through for the packs to be certain to be the best.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least: Option<f64>,
}

/// What every supplier asks, in the order of the job.
#[must_use]
pub fn quotes(suppliers: &[SupplierEntry], demands: &[Demand<'_>], stock: &Stock, budget: &mut Budget) -> Vec<Quote> {
    let mut quotes: Vec<Quote> = suppliers.iter().map(|supplier| quote(supplier, demands, stock, budget)).collect();
    let least = |currency: &str| {
        let same = quotes.iter().filter(|quote| quote.complete && quote.currency == currency);
        same.map(|quote| quote.total).min_by(f64::total_cmp)
    };
    let cheapest: Vec<bool> =
        quotes.iter().map(|quote| quote.complete && least(&quote.currency) == Some(quote.total)).collect();
    quotes.iter_mut().zip(cheapest).for_each(|(quote, cheapest)| quote.cheapest = cheapest);
    quotes
}

fn quote(supplier: &SupplierEntry, demands: &[Demand<'_>], stock: &Stock, budget: &mut Budget) -> Quote {
    let (mut lacks, mut without_price, mut unlike) = (Vec::new(), Vec::new(), Vec::new());
    let mut lines = Vec::new();
    for demand in demands {
        let (offers, cannot) = of_supplier(supplier, demand.need, demand.sold_by, stock);
        unlike.extend(cannot.into_iter().map(|why| demand.unlike(why)));
        let line = covered(demand, &offers, budget).filter(|_| demand.to_buy > 0.0);
        if demand.to_buy > 0.0 {
            match &line {
                None => lacks.push(demand.name.clone()),
                Some(line) if line.price.is_none() => without_price.push(demand.name.clone()),
                Some(_) => {}
            }
        }
        lines.push(line);
    }
    let goods = crate::units::total(lines.iter().flatten().filter_map(|line| line.price));
    let delivery = if goods > 0.0 { supplier.delivery.unwrap_or(0.0) } else { 0.0 };
    Quote {
        supplier: supplier.name.clone(),
        currency: supplier.currency.clone(),
        goods,
        delivery,
        total: goods + delivery,
        short_of_minimum: short(supplier, goods),
        complete: lacks.is_empty() && without_price.is_empty(),
        cheapest: false,
        lines,
        lacks,
        without_price,
        unlike,
    }
}

pub(super) fn short(supplier: &SupplierEntry, goods: f64) -> f64 {
    supplier.minimum_order.filter(|_| goods > 0.0).map_or(0.0, |least| (least - goods).max(0.0))
}
