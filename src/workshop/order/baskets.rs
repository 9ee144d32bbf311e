//! The cheapest choice of suppliers, currency by currency: which packs of which material from whom.
//!
//! Every set of suppliers is tried. With no least order in the way each material comes in the packs of the set that cover
//! it cheapest, from one supplier or from several; that is also the bound under which no choice of the set can come. Where
//! a least order is missed, the covers of each material are listed and chosen from by branch and bound until every order is
//! taken. Nothing is bought only to fill an order up: no pack of a cover can be left out. All of it draws on the order's one
//! budget; where that runs out the best found is told as such, with the sum of the least that each line can cost.

use std::collections::BTreeMap;

use serde::Serialize;

mod choices;

use self::choices::{Choice, Listing, Search, undominated};
use super::budget::Budget;
use super::entries::SupplierEntry;
use super::lines::{Demand, PackLine, pack_lines};
use super::offers::{Offer, of_supplier};
use super::packs::{Pack, cheapest_cover};
use super::suppliers::{Quote, QuotedLine, short};
use crate::laminate::stock::Stock;
use crate::units::total;

/// With more suppliers of one currency than this only sets of three and all of them are tried: 2^6 sets of 40 lines are
/// nothing, 2^12 would be felt.
const MOST_SUPPLIERS: usize = 6;

/// Suppliers of one currency that the choice is made from; a set of them is kept in the bits of a number.
pub const MOST_TRIED: usize = 64;

/// What one cover that is listed costs of the budget, and one choice that is gone through.
const LISTED: u64 = 20;
const CHOICE: u64 = 50;

/// Covers of one material that are listed at most. A drum's worth out of three suppliers' tins has some thousands.
const MOST_COVERS: usize = 20_000;

/// Choices that are gone through for one set at most, so that the sets after it are gone through as well.
const MOST_CHOICES: u64 = 200_000;

/// Prices this near are the same, in the currency.
const SAME: f64 = 1e-9;

/// What a need may stick out over whole packs by the last bits of its sum.
const FUZZ: f64 = 1e-9;

/// The cheapest choice of suppliers in one currency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Basket {
    /// The currency.
    pub currency: String,
    /// Who delivers what.
    pub from: Vec<Share>,
    /// What is taken for each line of the order; nothing where none of this currency says a price for it.
    pub lines: Vec<Option<QuotedLine>>,
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
    /// Every supplier of it takes its order.
    pub taken: bool,
    /// No choice is cheaper; else there was more to go through than is gone through.
    pub exact: bool,
    /// No choice can cost less than this.
    pub least: f64,
    /// Suppliers beyond those that can be tried, by name.
    pub left_out: Vec<String>,
    /// Single suppliers who ask less because they do not have everything.
    pub cheaper_without: Vec<Without>,
}

/// A supplier who takes the order and asks less than the choice, because something is lacking.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Without {
    /// Its name.
    pub supplier: String,
    /// What it asks for all that it has, with delivery.
    pub total: f64,
    /// What it has no price for and the choice has.
    pub lacks: Vec<String>,
    /// What that costs in the choice.
    pub lacks_price: f64,
}

impl Basket {
    /// Looks through the quotes for single suppliers who would be cheaper without something.
    pub(super) fn set_beside(&mut self, quotes: &[Quote], demands: &[Demand<'_>]) {
        let of_currency = quotes.iter().filter(|quote| quote.currency == self.currency);
        let taking = of_currency.filter(|quote| quote.goods > 0.0 && quote.short_of_minimum <= 0.0);
        let cheaper = taking.filter(|quote| quote.total < self.total - SAME);
        let without = |quote: &Quote| {
            let prices = self.lines.iter().map(|line| line.as_ref().and_then(|line| line.price));
            let lacked: Vec<(f64, &str)> = prices
                .zip(demands)
                .zip(&quote.lines)
                .filter(|(_, quoted)| quoted.as_ref().is_none_or(|quoted| quoted.price.is_none()))
                .filter_map(|((price, demand), _)| Some((price?, demand.name.as_str())))
                .collect();
            (!lacked.is_empty()).then(|| Without {
                supplier: quote.supplier.clone(),
                total: quote.total,
                lacks: lacked.iter().map(|(_, name)| (*name).to_owned()).collect(),
                lacks_price: total(lacked.iter().map(|(price, _)| *price)),
            })
        };
        self.cheaper_without = cheaper.filter_map(without).collect();
    }
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

/// The cheapest choice in each currency, in the order in which the job names them.
#[must_use]
pub fn baskets(suppliers: &[SupplierEntry], demands: &[Demand<'_>], stock: &Stock, budget: &mut Budget) -> Vec<Basket> {
    let mut currencies: Vec<&str> = Vec::new();
    for supplier in suppliers {
        if !currencies.contains(&supplier.currency.as_str()) {
            currencies.push(&supplier.currency);
        }
    }
    let of_currency = |currency| Market::of(currency, suppliers, demands, stock, budget)?.basket();
    currencies.into_iter().filter_map(of_currency).collect()
}

/// A pack with a price, and which of the suppliers offers it.
#[derive(Debug, Clone)]
struct Priced {
    offer: Offer,
    price: f64,
    seller: usize,
}

/// A choice for every line; nothing for a line that nobody prices.
#[derive(Debug, Clone)]
struct Found {
    choices: Vec<Option<Choice>>,
    total: f64,
    n_suppliers: u32,
}

impl Found {
    fn is_better_than(&self, other: Option<&Self>) -> bool {
        other.is_none_or(|other| {
            self.total < other.total - SAME
                || (self.total <= other.total + SAME && self.n_suppliers < other.n_suppliers)
        })
    }
}

/// Suppliers of one currency and what they offer for each line.
struct Market<'a> {
    currency: &'a str,
    sellers: Vec<&'a SupplierEntry>,
    demands: &'a [Demand<'a>],
    offers: Vec<Vec<Priced>>,
    /// Cheapest covers by line and set, as they are found.
    known: BTreeMap<(usize, u64), Option<Choice>>,
    /// Suppliers that are not tried.
    left_out: Vec<String>,
    budget: &'a mut Budget,
}

impl<'a> Market<'a> {
    fn of(
        currency: &'a str,
        suppliers: &'a [SupplierEntry],
        demands: &'a [Demand<'a>],
        stock: &Stock,
        budget: &'a mut Budget,
    ) -> Option<Self> {
        let priced = |supplier: &SupplierEntry, demand: &Demand<'_>| {
            let (offers, _) = of_supplier(supplier, demand.need, demand.sold_by, stock);
            offers.into_iter().filter_map(|offer| Some((offer.price?, offer))).collect::<Vec<_>>()
        };
        // Who has a price for nothing that is bought takes no one's place.
        let sells = |supplier: &&SupplierEntry| {
            demands.iter().any(|demand| demand.to_buy > 0.0 && !priced(supplier, demand).is_empty())
        };
        let of_currency = suppliers.iter().filter(|supplier| supplier.currency == currency);
        let mut sellers: Vec<&SupplierEntry> = of_currency.filter(sells).collect();
        let left_out = sellers.drain(sellers.len().min(MOST_TRIED)..).map(|seller| seller.name.clone()).collect();
        let of_line = |demand: &Demand<'_>| -> Vec<Priced> {
            if demand.to_buy <= 0.0 {
                return Vec::new();
            }
            let of_seller = |(seller, supplier): (usize, &&SupplierEntry)| {
                priced(supplier, demand).into_iter().map(move |(price, offer)| Priced { offer, price, seller })
            };
            sellers.iter().enumerate().flat_map(of_seller).collect()
        };
        let offers: Vec<Vec<Priced>> = demands.iter().map(of_line).collect();
        let any = offers.iter().any(|offers| !offers.is_empty());
        any.then_some(Self { currency, sellers, demands, offers, known: BTreeMap::new(), left_out, budget })
    }

    fn basket(mut self) -> Option<Basket> {
        let n = self.sellers.len();
        let floor = self.floor()?;
        let (mut taken, mut refused): (Option<Found>, Option<Found>) = (None, None);
        let (bounds, mut all_seen) = self.bounds();
        let least = bounds.first().filter(|_| all_seen && n <= MOST_SUPPLIERS).map_or(floor, |(bound, _)| *bound);
        all_seen &= n <= MOST_SUPPLIERS;
        for (bound, set) in bounds {
            if taken.as_ref().is_some_and(|best| bound > best.total + SAME) {
                break;
            }
            let relaxed = self.relaxed(set)?;
            all_seen &= relaxed.choices.iter().flatten().all(|choice| choice.at_least.is_none());
            if self.every_order_is_taken(set, &relaxed) {
                if relaxed.is_better_than(taken.as_ref()) {
                    taken = Some(relaxed);
                }
                continue;
            }
            let (found, all_gone_through) = self.constrained(set, taken.as_ref());
            all_seen &= all_gone_through;
            if let Some(found) = found.filter(|found| found.is_better_than(taken.as_ref())) {
                taken = Some(found);
            }
            if self.is_used(set, &relaxed) && relaxed.is_better_than(refused.as_ref()) {
                refused = Some(relaxed);
            }
        }
        let is_taken = taken.is_some();
        // What costs no more than anything can is the cheapest, however much was gone through.
        let is_least = taken.as_ref().is_some_and(|found| found.total <= least + SAME);
        let found = taken.or(refused)?;
        Some(self.made(&found, is_taken, all_seen || is_least, least))
    }

    /// What no choice can come under: the least that each line can cost out of everybody's packs, and the cheapest delivery.
    fn floor(&mut self) -> Option<f64> {
        let everybody = self.relaxed(everybody(self.sellers.len()))?;
        let deliveries = self.sellers.iter().map(|seller| seller.delivery.unwrap_or(0.0));
        let delivery = deliveries.min_by(f64::total_cmp).unwrap_or(0.0);
        Some(total(everybody.choices.iter().flatten().map(Choice::least)) + delivery)
    }

    /// The sets with what no choice of them can come under, the set that can be cheapest first, so that the others need not
    /// be gone through; and whether all of them are there. Where the budget ends before, the smallest sets and everybody are.
    fn bounds(&mut self) -> (Vec<(f64, u64)>, bool) {
        let mut sets = sets(self.sellers.len());
        let everybody = everybody(self.sellers.len());
        sets.sort_by_key(|&set| (set != everybody, set.count_ones(), set));
        let (mut bounds, mut all_seen) = (Vec::new(), true);
        for set in sets {
            if set != everybody && !self.budget.take(CHOICE * self.offers.len() as u64) {
                all_seen = false;
                break;
            }
            bounds.extend(self.bound(set).map(|bound| (bound, set)));
        }
        bounds.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.count_ones().cmp(&b.1.count_ones())).then(a.1.cmp(&b.1)));
        (bounds, all_seen)
    }

    /// What no choice of a set can come under; nothing if it leaves out what another supplier prices.
    fn bound(&mut self, set: u64) -> Option<f64> {
        let found = self.relaxed(set)?;
        Some(total(found.choices.iter().flatten().map(Choice::least)) + self.delivery(set))
    }

    /// Every line as the set covers it cheapest, least orders left aside.
    fn relaxed(&mut self, set: u64) -> Option<Found> {
        let mut choices = Vec::with_capacity(self.offers.len());
        for line in 0..self.offers.len() {
            choices.push(if self.offers[line].is_empty() { None } else { Some(self.cheapest(line, set)?) });
        }
        Some(self.found(set, choices))
    }

    fn found(&self, set: u64, choices: Vec<Option<Choice>>) -> Found {
        let goods = total(choices.iter().flatten().map(|choice| choice.cost));
        Found { choices, total: goods + self.delivery(set), n_suppliers: set.count_ones() }
    }

    fn delivery(&self, set: u64) -> f64 {
        total(members(set).map(|seller| self.sellers[seller].delivery.unwrap_or(0.0)))
    }

    fn minimum(&self, seller: usize) -> f64 {
        self.sellers[seller].minimum_order.unwrap_or(0.0)
    }

    fn cheapest(&mut self, line: usize, set: u64) -> Option<Choice> {
        // Sets that differ in suppliers who do not have it are one.
        let of_line = self.offers[line].iter().fold(0, |all, priced| all | 1 << priced.seller);
        let key = (line, set & of_line);
        if let Some(known) = self.known.get(&key) {
            return known.clone();
        }
        let within: Vec<usize> =
            (0..self.offers[line].len()).filter(|&pack| is_in(set, self.offers[line][pack].seller)).collect();
        let packs: Vec<Pack> = within.iter().map(|&pack| self.offers[line][pack].offer.pack()).collect();
        let cover = cheapest_cover(self.demands[line].to_buy, &packs, self.budget);
        let choice = cover.map(|cover| {
            let mut counts = vec![0; self.offers[line].len()];
            within.iter().zip(cover.counts).for_each(|(&pack, count)| counts[pack] = count);
            Choice { at_least: cover.at_least, ..self.choice(line, counts) }
        });
        self.known.insert(key, choice.clone());
        choice
    }

    fn choice(&self, line: usize, counts: Vec<u64>) -> Choice {
        let mut spent = vec![0.0; self.sellers.len()];
        for (count, priced) in counts.iter().zip(&self.offers[line]) {
            spent[priced.seller] += *count as f64 * priced.price;
        }
        Choice { cost: total(spent.iter().copied()), counts, spent, at_least: None }
    }

    fn goods_of(choices: &[Option<Choice>], seller: usize) -> f64 {
        total(choices.iter().flatten().map(|choice| choice.spent[seller]))
    }

    fn uses(&self, choices: &[Option<Choice>], seller: usize) -> bool {
        let of_line = |(choice, offers): (&Option<Choice>, &Vec<Priced>)| {
            let counts = choice.as_ref().map(|choice| choice.counts.as_slice()).unwrap_or_default();
            counts.iter().zip(offers).any(|(count, priced)| *count > 0 && priced.seller == seller)
        };
        choices.iter().zip(&self.offers).any(of_line)
    }

    /// A set with a supplier to whom nothing falls is another's.
    fn is_used(&self, set: u64, found: &Found) -> bool {
        members(set).all(|seller| self.uses(&found.choices, seller))
    }

    fn every_order_is_taken(&self, set: u64, found: &Found) -> bool {
        let enough = |seller| Self::goods_of(&found.choices, seller) >= self.minimum(seller) - SAME;
        self.is_used(set, found) && members(set).all(enough)
    }

    /// The cheapest choice of a set in which every least order is met, and whether all were gone through.
    fn constrained(&mut self, set: u64, best: Option<&Found>) -> (Option<Found>, bool) {
        let bounded: Vec<usize> = members(set).filter(|&seller| self.minimum(seller) > 0.0).collect();
        if bounded.is_empty() {
            return (None, true);
        }
        let mut all_seen = true;
        let mut listed: Vec<(usize, Vec<Choice>)> = Vec::new();
        for line in 0..self.offers.len() {
            if self.offers[line].is_empty() {
                continue;
            }
            let Some(cheapest) = self.cheapest(line, set) else { return (None, true) };
            let touches = self.offers[line].iter().any(|priced| bounded.contains(&priced.seller));
            let mut choices = vec![cheapest];
            if touches {
                let (more, complete) = self.covers(line, set);
                all_seen &= complete;
                choices.extend(more);
                // What one supplier alone does stands in for what is not listed.
                choices.extend(members(set).filter_map(|seller| self.cheapest(line, 1 << seller)));
            }
            let (kept, complete) = undominated(choices, &bounded, self.budget);
            all_seen &= complete;
            listed.push((line, kept));
        }
        listed.sort_by_key(|(line, choices)| (std::cmp::Reverse(choices.len()), *line));
        let most = best.map_or(f64::INFINITY, |best| best.total) - self.delivery(set);
        let minima = bounded.iter().map(|&seller| (seller, self.minimum(seller))).collect();
        let n_most = (self.budget.left() / CHOICE).min(MOST_CHOICES);
        let mut search = Search::new(&listed, minima, most, n_most);
        search.descend(0, 0.0);
        self.budget.spend(search.n_seen.saturating_mul(CHOICE));
        all_seen &= search.n_seen <= n_most;
        let found = search.best.map(|picked| {
            let mut choices = vec![None; self.offers.len()];
            for ((line, of_line), pick) in listed.iter().zip(picked) {
                choices[*line] = Some(of_line[pick].clone());
            }
            self.found(set, choices)
        });
        (found, all_seen)
    }

    /// Every cover of a line out of a set's packs of which no pack can be left out, and whether all are there.
    fn covers(&mut self, line: usize, set: u64) -> (Vec<Choice>, bool) {
        let offers = &self.offers[line];
        let mut packs: Vec<usize> = (0..offers.len())
            .filter(|&pack| is_in(set, offers[pack].seller) && offers[pack].offer.size > FUZZ)
            .collect();
        packs.sort_by(|&a, &b| offers[b].offer.size.total_cmp(&offers[a].offer.size).then(a.cmp(&b)));
        let sizes: Vec<f64> = packs.iter().map(|&pack| offers[pack].offer.size).collect();
        let most = MOST_COVERS.min(usize::try_from(self.budget.left() / LISTED).unwrap_or(usize::MAX));
        let mut listing = Listing { sizes, counts: vec![0; packs.len()], found: Vec::new(), complete: true, most };
        listing.descend(0, self.demands[line].to_buy);
        self.budget.spend(LISTED.saturating_mul(listing.found.len() as u64));
        let offers = &self.offers[line];
        let choice = |of_packs: &Vec<u64>| {
            let mut counts = vec![0; offers.len()];
            packs.iter().zip(of_packs).for_each(|(&pack, &count)| counts[pack] = count);
            self.choice(line, counts)
        };
        (listing.found.iter().map(choice).collect(), listing.complete)
    }

    fn made(&self, found: &Found, taken: bool, exact: bool, least: f64) -> Basket {
        let used = (0..self.sellers.len()).filter(|&seller| self.uses(&found.choices, seller));
        let from: Vec<Share> = used
            .map(|seller| {
                let (supplier, goods) = (self.sellers[seller], Self::goods_of(&found.choices, seller));
                Share {
                    supplier: supplier.name.clone(),
                    goods,
                    delivery: supplier.delivery.unwrap_or(0.0),
                    short_of_minimum: Some(short(supplier, goods)).filter(|short| *short > SAME).unwrap_or(0.0),
                }
            })
            .collect();
        let goods = total(from.iter().map(|share| share.goods));
        let delivery = total(from.iter().map(|share| share.delivery));
        let wanted = self.demands.iter().zip(&found.choices);
        let lacks: Vec<String> = wanted
            .filter(|(demand, choice)| demand.to_buy > 0.0 && choice.is_none())
            .map(|(demand, _)| demand.name.clone())
            .collect();
        let lines = found.choices.iter().enumerate().map(|(line, choice)| Some(self.line(line, choice.as_ref()?)));
        Basket {
            currency: self.currency.to_owned(),
            from,
            lines: lines.collect(),
            goods,
            delivery,
            total: goods + delivery,
            complete: lacks.is_empty(),
            lacks,
            taken,
            exact,
            least: if exact && taken { goods + delivery } else { least },
            left_out: self.left_out.clone(),
            cheaper_without: Vec::new(),
        }
    }

    fn line(&self, line: usize, choice: &Choice) -> QuotedLine {
        let offers = &self.offers[line];
        let taken = choice.counts.iter().zip(offers).filter(|(count, _)| **count > 0);
        let packs: Vec<PackLine> = pack_lines(
            taken.map(|(&count, priced)| (count, &priced.offer, Some(self.sellers[priced.seller].name.clone()))),
        );
        let bought = total(packs.iter().map(|pack| pack.count as f64 * pack.size));
        let left_over = (bought - self.demands[line].to_buy).max(0.0);
        QuotedLine { packs, bought, left_over, price: Some(choice.cost), at_least: choice.at_least }
    }
}

/// Sets of suppliers that are tried.
fn sets(n: usize) -> Vec<u64> {
    if n <= MOST_SUPPLIERS {
        return (1..1 << n).collect();
    }
    let mut sets = Vec::new();
    for a in 0..n {
        for b in a..n {
            for c in b..n {
                sets.push(1 << a | 1 << b | 1 << c);
            }
        }
    }
    sets.push(everybody(n));
    sets.sort_unstable();
    sets.dedup();
    sets
}

fn everybody(n: usize) -> u64 {
    (0..n.min(64)).fold(0, |all, seller| all | 1 << seller)
}

fn is_in(set: u64, seller: usize) -> bool {
    set >> seller & 1 == 1
}

fn members(set: u64) -> impl Iterator<Item = usize> {
    (0..64).filter(move |&seller| is_in(set, seller))
}

#[cfg(test)]
mod tests;
