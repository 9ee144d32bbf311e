//! Price lists side by side: what each supplier's whole basket costs, and the cheapest choice of suppliers.

use serde::Serialize;

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
}

/// The cheapest choice of suppliers in one currency: each line from the one that asks least, and delivery from each.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Basket {
    /// The currency.
    pub currency: String,
    /// Who delivers what.
    pub from: Vec<Share>,
    /// Which supplier each line of the order comes from; nothing where none of this currency says a price for it.
    pub lines: Vec<Option<String>>,
    /// Price of all goods.
    pub goods: f64,
    /// Delivery of all suppliers.
    pub delivery: f64,
    /// Goods and delivery.
    pub total: f64,
    /// Every line is in it.
    pub complete: bool,
    /// What is not in it.
    pub lacks: Vec<String>,
}

/// What comes from one supplier of a basket.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// Its name.
    pub supplier: String,
    /// Price of what comes from it.
    pub goods: f64,
    /// Delivery.
    pub delivery: f64,
    /// What is missing to the least that it takes an order for; 0 if nothing is.
    pub short_of_minimum: f64,
}

/// What every supplier asks, in the order of the job.
#[must_use]
pub fn quotes(suppliers: &[SupplierEntry], demands: &[Demand<'_>], stock: &Stock) -> Vec<Quote> {
    let mut quotes: Vec<Quote> = suppliers.iter().map(|supplier| quote(supplier, demands, stock)).collect();
    let least = |currency: &str| {
        let same = quotes.iter().filter(|quote| quote.complete && quote.currency == currency);
        same.map(|quote| quote.total).min_by(f64::total_cmp)
    };
    let cheapest: Vec<bool> =
        quotes.iter().map(|quote| quote.complete && least(&quote.currency) == Some(quote.total)).collect();
    quotes.iter_mut().zip(cheapest).for_each(|(quote, cheapest)| quote.cheapest = cheapest);
    quotes
}

fn quote(supplier: &SupplierEntry, demands: &[Demand<'_>], stock: &Stock) -> Quote {
    let (mut lacks, mut without_price, mut unlike) = (Vec::new(), Vec::new(), Vec::new());
    let mut lines = Vec::new();
    for demand in demands {
        let (offers, cannot) = of_supplier(supplier, demand.need, demand.sold_by, stock);
        unlike.extend(cannot.into_iter().map(|why| demand.unlike(why)));
        let line = covered(demand, &offers).filter(|_| demand.to_buy > 0.0);
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

fn short(supplier: &SupplierEntry, goods: f64) -> f64 {
    supplier.minimum_order.filter(|_| goods > 0.0).map_or(0.0, |least| (least - goods).max(0.0))
}

/// With more suppliers of one currency than this, choices of them are not tried one by one: 2^10 choices of 40 lines are
/// nothing, 2^20 would be felt.
const MOST_TRIED: usize = 10;

/// The cheapest choice of suppliers, currency by currency, in the order in which the job names them.
///
/// Each choice of suppliers takes each line from the one of them that asks least, and pays delivery to every one; choices
/// in which one of them would not take its order come behind all others. With more than ten suppliers of one currency
/// each line simply comes from the one that asks least.
#[must_use]
pub fn baskets(suppliers: &[SupplierEntry], quotes: &[Quote], demands: &[Demand<'_>]) -> Vec<Basket> {
    let mut currencies: Vec<&str> = Vec::new();
    for supplier in suppliers {
        if !currencies.contains(&supplier.currency.as_str()) {
            currencies.push(&supplier.currency);
        }
    }
    currencies.into_iter().filter_map(|currency| basket(currency, suppliers, quotes, demands)).collect()
}

fn price(quotes: &[Quote], supplier: usize, line: usize) -> Option<f64> {
    quotes[supplier].lines.get(line)?.as_ref()?.price
}

fn basket(currency: &str, suppliers: &[SupplierEntry], quotes: &[Quote], demands: &[Demand<'_>]) -> Option<Basket> {
    let with_prices = |&number: &usize| (0..demands.len()).any(|line| price(quotes, number, line).is_some());
    let in_it: Vec<usize> =
        (0..suppliers.len()).filter(|&n| suppliers[n].currency == currency).filter(with_prices).collect();
    if in_it.is_empty() {
        return None;
    }
    let all = assigned(&in_it, quotes, demands.len());
    let n_lines = all.iter().flatten().count();
    let mut best: Option<(Vec<Option<usize>>, Order)> = None;
    let choices = if in_it.len() <= MOST_TRIED { 1_usize << in_it.len() } else { 0 };
    for choice in 1..choices {
        let chosen: Vec<usize> =
            in_it.iter().enumerate().filter(|(bit, _)| choice >> bit & 1 == 1).map(|(_, n)| *n).collect();
        let lines = assigned(&chosen, quotes, demands.len());
        // One that leaves out what another offers is no answer, and one with a supplier to whom nothing falls is another's.
        let all_used = chosen.iter().all(|n| lines.contains(&Some(*n)));
        if lines.iter().flatten().count() < n_lines || !all_used {
            continue;
        }
        let order = rank(&lines, &chosen, suppliers, quotes);
        if best.as_ref().is_none_or(|(_, least)| order.is_less(least)) {
            best = Some((lines, order));
        }
    }
    let lines = best.map_or(all, |(lines, _)| lines);
    Some(made(currency, &lines, suppliers, quotes, demands))
}

/// Each line from the one of these that asks least; the first in the job of those that ask the same.
fn assigned(chosen: &[usize], quotes: &[Quote], n_lines: usize) -> Vec<Option<usize>> {
    let cheapest = |line: usize| {
        let priced = chosen.iter().filter_map(|&n| Some((n, price(quotes, n, line)?)));
        priced.reduce(|best, next| if next.1 < best.1 { next } else { best }).map(|(n, _)| n)
    };
    (0..n_lines).map(cheapest).collect()
}

/// What makes one choice better than another.
#[derive(Debug, Clone, Copy)]
struct Order {
    refused: bool,
    total: f64,
    n_suppliers: usize,
}

impl Order {
    fn is_less(self, other: &Self) -> bool {
        let by_total = self.total.total_cmp(&other.total);
        self.refused.cmp(&other.refused).then(by_total).then(self.n_suppliers.cmp(&other.n_suppliers)).is_lt()
    }
}

fn goods_of(supplier: usize, lines: &[Option<usize>], quotes: &[Quote]) -> f64 {
    let own = lines.iter().enumerate().filter(|(_, from)| **from == Some(supplier));
    crate::units::total(own.filter_map(|(line, _)| price(quotes, supplier, line)))
}

fn rank(lines: &[Option<usize>], chosen: &[usize], suppliers: &[SupplierEntry], quotes: &[Quote]) -> Order {
    let mut order = Order { refused: false, total: 0.0, n_suppliers: chosen.len() };
    for &number in chosen {
        let goods = goods_of(number, lines, quotes);
        order.refused |= short(&suppliers[number], goods) > 0.0;
        order.total += goods + suppliers[number].delivery.unwrap_or(0.0);
    }
    order
}

fn made(
    currency: &str,
    lines: &[Option<usize>],
    suppliers: &[SupplierEntry],
    quotes: &[Quote],
    demands: &[Demand<'_>],
) -> Basket {
    let used = (0..suppliers.len()).filter(|n| lines.contains(&Some(*n)));
    let from: Vec<Share> = used
        .map(|number| {
            let goods = goods_of(number, lines, quotes);
            Share {
                supplier: suppliers[number].name.clone(),
                goods,
                delivery: suppliers[number].delivery.unwrap_or(0.0),
                short_of_minimum: short(&suppliers[number], goods),
            }
        })
        .collect();
    let goods = crate::units::total(from.iter().map(|share| share.goods));
    let delivery = crate::units::total(from.iter().map(|share| share.delivery));
    let wanted = demands.iter().zip(lines).filter(|(demand, from)| demand.to_buy > 0.0 && from.is_none());
    let lacks: Vec<String> = wanted.map(|(demand, _)| demand.name.clone()).collect();
    Basket {
        currency: currency.to_owned(),
        from,
        lines: lines.iter().map(|from| from.map(|number| suppliers[number].name.clone())).collect(),
        goods,
        delivery,
        total: goods + delivery,
        complete: lacks.is_empty(),
        lacks,
    }
}
