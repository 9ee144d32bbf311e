//! The order, line by line.

use chrono::Months;
use serde::Serialize;

use super::baskets::{Basket, MOST_TRIED, baskets};
use super::budget::Budget;
use super::entries::{OnShelfEntry, SupplierEntry};
use super::offers::{Offer, UsualPacks};
use super::packs::{Pack, cheapest_cover};
use super::shelf::Shelf;
use super::specification::{Specification, specification};
use super::suppliers::{Quote, QuotedLine, quotes};
use super::units::{SaleUnit, Unlike, amount_in, in_unit, sale_name};
use super::{Dates, unlike_words};
use crate::laminate::error::LaminateError;
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::stock::Stock;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::listed;
use crate::workshop::needs::Need;

/// What to order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Order {
    /// A line for each need, in their order.
    pub lines: Vec<Line>,
    /// What every supplier asks.
    pub quotes: Vec<Quote>,
    /// The cheapest choice of suppliers in each currency.
    pub baskets: Vec<Basket>,
    /// When the work begins and ends, if that is known.
    pub dates: Dates,
    /// What a person should know.
    pub notes: Vec<Note>,
}

/// One line of the order. Amounts are in its unit of sale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What suppliers are asked for.
    pub name: String,
    /// What it is sold by.
    pub unit_of_sale: SaleUnit,
    /// Of what the work takes: gelcoat, fillets and plies.
    pub plies: f64,
    /// Of it beyond them: joints, fixings, stiffeners, inner faces, release, what is used up.
    pub beyond: f64,
    /// Of it for plugs.
    pub plugs: f64,
    /// All that the work takes.
    pub net: f64,
    /// The same with the reserve.
    pub with_reserve: f64,
    /// What is there already and still good when it is used.
    pub on_shelf: f64,
    /// What is to be bought at least.
    pub to_buy: f64,
    /// The packs to buy, the largest first.
    pub packs: Vec<PackLine>,
    /// What is in them.
    pub bought: f64,
    /// What they hold beyond what is to be bought.
    pub left_over: f64,
    /// Who they come from, if the job names suppliers.
    pub supplier: Option<String>,
    /// What they cost.
    pub price: Option<f64>,
    /// Currency of the price.
    pub currency: Option<String>,
    /// What the reserve rests on.
    pub reserve_source: String,
    /// How firmly that is known.
    pub reserve_mark: Option<Mark>,
    /// What a supplier has to know to quote.
    pub specification: Specification,
    /// The sums behind these.
    #[serde(skip)]
    pub workings: Vec<Working>,
}

/// Packs of one size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PackLine {
    /// How many.
    pub count: u64,
    /// What is in one, in the line's unit of sale.
    pub size: f64,
    /// What is in one as its list says, where that counts in another unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub listed_size: Option<f64>,
    /// That unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub listed_unit: Option<SaleUnit>,
    /// Who it comes from, of a choice of suppliers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supplier: Option<String>,
    /// What one costs.
    pub price_each: Option<f64>,
    /// How long it keeps, in months.
    pub shelf_life_months: Option<u32>,
    /// Coldest that it may be stored and used at, in deg C.
    pub least_c: Option<f64>,
    /// The size with its range.
    pub size_low: f64,
    /// The most that is sold as this size.
    pub size_high: f64,
    /// Where the size comes from.
    pub source: String,
    /// How firmly it is known.
    pub mark: Mark,
}

impl PackLine {
    /// The size as the list has it, with its unit.
    #[must_use]
    pub fn listed(&self, unit: SaleUnit) -> (f64, SaleUnit) {
        self.listed_size.zip(self.listed_unit).unwrap_or((self.size, unit))
    }

    /// The size as a figure.
    #[must_use]
    pub fn figure(&self) -> Figure {
        Figure {
            value: self.size,
            low: self.size_low,
            high: self.size_high,
            source: self.source.clone(),
            mark: self.mark,
        }
    }
}

/// What is asked of suppliers, before it is known what they offer.
#[derive(Debug, Clone)]
pub struct Demand<'a> {
    /// The need.
    pub need: &'a Need,
    /// What suppliers are asked for.
    pub name: String,
    /// What it is sold by.
    pub sold_by: SaleUnit,
    /// What is to be bought at least.
    pub to_buy: f64,
}

impl Demand<'_> {
    /// Why something that is offered for it cannot be counted.
    #[must_use]
    pub fn unlike(&self, why: Unlike) -> String {
        format!("{}: {}", self.name, unlike_words(why, self.sold_by))
    }
}

/// What the job says of suppliers, of its shelf and of its days.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said<'a> {
    /// Suppliers.
    pub suppliers: &'a [SupplierEntry],
    /// What is there already.
    pub on_shelf: &'a [OnShelfEntry],
    /// Currency that the order goes by where it can.
    pub currency: Option<&'a str>,
    /// First and last day of the work.
    pub dates: Dates,
}

/// What to order for these needs.
///
/// # Errors
/// None that a test would not have found: the usual packs are part of the program.
pub fn order(needs: &[Need], said: Said<'_>, stock: &Stock) -> Result<Order, LaminateError> {
    order_within(needs, said, stock, Budget::default())
}

/// The same, with so much to go through.
pub(super) fn order_within(
    needs: &[Need],
    said: Said<'_>,
    stock: &Stock,
    mut budget: Budget,
) -> Result<Order, LaminateError> {
    let usual = UsualPacks::starter()?;
    let mut notes: Vec<Note> = Vec::new();
    let mut there = Vec::new();
    let mut demands = Vec::new();
    let mut shelf = Shelf::of(said.on_shelf);
    for need in needs {
        let sold_by = usual.unit_of_sale(need);
        let with_reserve = in_unit(need, sold_by).map_or(0.0, |(_, all)| all);
        let (on_shelf, of_shelf) = shelf.take(need, sold_by, with_reserve, said.dates, stock);
        let is_new = |note: &Note| !notes.contains(note);
        let of_shelf: Vec<Note> = of_shelf.into_iter().filter(is_new).collect();
        notes.extend(of_shelf);
        demands.push(Demand { need, name: name_of(need, needs), sold_by, to_buy: less(with_reserve, on_shelf) });
        there.push(on_shelf);
    }
    // What nobody sells must not be left without a choice by what the suppliers' lists take.
    let mut of_usual = budget.share(USUAL);
    let mut of_quotes = budget.share(QUOTES);
    let quotes = quotes(said.suppliers, &demands, stock, &mut of_quotes);
    budget.give_back(of_quotes);
    let mut baskets = baskets(said.suppliers, &demands, stock, &mut budget);
    baskets.iter_mut().for_each(|basket| basket.set_beside(&quotes, &demands));
    baskets.sort_by_key(|basket| said.currency != Some(basket.currency.as_str()));
    let chosen: Vec<Option<Chosen>> = demands
        .iter()
        .enumerate()
        .map(|(number, demand)| chosen(number, demand, (&quotes, &baskets), &usual, stock, &mut of_usual))
        .collect();
    let at_least: Vec<Option<f64>> =
        chosen.iter().map(|chosen| chosen.as_ref().and_then(|chosen| chosen.packs.at_least)).collect();
    let lines: Vec<Line> = demands
        .iter()
        .zip(there)
        .zip(chosen)
        .map(|((demand, there), chosen)| line(demand, there, chosen, stock))
        .collect();
    notes.extend(lines.iter().flat_map(|line| keeping(line, said.dates, stock)));
    notes.extend(lines.iter().zip(&at_least).filter_map(|(line, least)| Some(not_proven(line, (*least)?))));
    notes.extend(of_suppliers(&quotes, &baskets));
    notes.extend(baskets.first().and_then(|basket| mixed(&lines, &basket.currency)));
    Ok(Order { lines, quotes, baskets, dates: said.dates, notes })
}

/// One in so many steps of an order is for the usual packs: some millions are enough for 60 lines of them.
const USUAL: u64 = 11;

/// One in so many of the rest is for each supplier by itself, at most: with all of it long lists would leave none for the choice
/// among them.
const QUOTES: u64 = 3;

/// The name of a need's line. Lines of one name that are for different things say what for.
fn name_of(need: &Need, needs: &[Need]) -> String {
    let name = sale_name(need);
    let n_named = needs.iter().filter(|other| sale_name(other) == name).count();
    if n_named > 1 { format!("{name} ({})", need.kind.word()) } else { name }
}

/// What is left to buy; the last bits of a sum are nothing.
fn less(with_reserve: f64, on_shelf: f64) -> f64 {
    const NOTHING: f64 = 1e-9;
    let rest = with_reserve - on_shelf;
    if rest > NOTHING { rest } else { 0.0 }
}

/// The packs that cover a demand cheapest, of these on offer; nothing if none does.
#[must_use]
pub fn covered(demand: &Demand<'_>, offers: &[Offer], budget: &mut Budget) -> Option<QuotedLine> {
    let packs: Vec<Pack> = offers.iter().map(Offer::pack).collect();
    let cover = cheapest_cover(demand.to_buy, &packs, budget)?;
    let taken = cover.counts.iter().zip(offers).filter(|(count, _)| **count > 0);
    let packs = pack_lines(taken.map(|(&count, offer)| (count, offer, None)));
    Some(QuotedLine {
        packs,
        bought: cover.bought,
        left_over: cover.left_over,
        price: cover.price,
        at_least: cover.at_least,
    })
}

/// Packs of some offers, as a person counts them out: the largest first.
pub(super) fn pack_lines<'a>(taken: impl Iterator<Item = (u64, &'a Offer, Option<String>)>) -> Vec<PackLine> {
    let mut packs: Vec<PackLine> = taken
        .map(|(count, offer, supplier)| PackLine {
            count,
            size: offer.size,
            listed_size: offer.listed.map(|(size, _)| size),
            listed_unit: offer.listed.map(|(_, unit)| unit),
            supplier,
            price_each: offer.price,
            shelf_life_months: offer.shelf_life_months,
            least_c: offer.least_c,
            size_low: offer.figure.low,
            size_high: offer.figure.high,
            source: offer.figure.source.clone(),
            mark: offer.figure.mark,
        })
        .collect();
    packs.sort_by(|a, b| b.size.total_cmp(&a.size));
    packs
}

/// Packs for a line, and who they come from.
struct Chosen {
    packs: QuotedLine,
    supplier: Option<String>,
    currency: Option<String>,
}

/// From the cheapest basket that has it, the currency named first before the others; else from the first supplier that
/// offers it without a price; else in the usual packs.
fn chosen(
    number: usize,
    demand: &Demand<'_>,
    (quotes, baskets): (&[Quote], &[Basket]),
    usual: &UsualPacks,
    stock: &Stock,
    budget: &mut Budget,
) -> Option<Chosen> {
    if demand.to_buy <= 0.0 {
        return None;
    }
    if let Some((basket, packs)) = baskets.iter().find_map(|basket| Some((basket, basket.lines.get(number)?.clone()?)))
    {
        let mut from: Vec<String> = packs.packs.iter().filter_map(|pack| pack.supplier.clone()).collect();
        from.sort();
        from.dedup();
        return Some(Chosen { packs, supplier: Some(from.join(" and ")), currency: Some(basket.currency.clone()) });
    }
    let from = quotes.iter().find(|quote| quote.lines.get(number).is_some_and(Option::is_some));
    if let Some((quote, packs)) = from.and_then(|quote| Some((quote, quote.lines.get(number)?.clone()?))) {
        let currency = packs.price.map(|_| quote.currency.clone());
        return Some(Chosen { packs, supplier: Some(quote.supplier.clone()), currency });
    }
    let packs = covered(demand, &usual.offers(demand.need, demand.sold_by, stock), budget)?;
    Some(Chosen { packs, supplier: None, currency: None })
}

fn line(demand: &Demand<'_>, on_shelf: f64, chosen: Option<Chosen>, stock: &Stock) -> Line {
    let (net, with_reserve) = in_unit(demand.need, demand.sold_by).unwrap_or_default();
    let (packs, supplier, currency) = match chosen {
        Some(Chosen { packs, supplier, currency }) => (Some(packs), supplier, currency),
        None => (None, None, None),
    };
    let price = packs.as_ref().and_then(|packs| packs.price);
    let of = |amounts| amount_in(amounts, demand.sold_by);
    let (bought, left_over) = packs.as_ref().map_or((0.0, 0.0), |packs| (packs.bought, packs.left_over));
    let mut line = Line {
        name: demand.name.clone(),
        unit_of_sale: demand.sold_by,
        plies: of(&demand.need.of_plies),
        beyond: of(&demand.need.beyond),
        plugs: of(&demand.need.of_plugs),
        net,
        with_reserve,
        on_shelf,
        to_buy: demand.to_buy,
        packs: packs.map(|packs| packs.packs).unwrap_or_default(),
        bought,
        left_over,
        supplier,
        price,
        currency,
        reserve_source: String::new(),
        reserve_mark: None,
        specification: specification(demand.need, stock),
        workings: Vec::new(),
    };
    line.workings = workings(&line, demand.need);
    line
}

/// The sums behind a line, in the unit by which it is sold.
fn workings(line: &Line, need: &Need) -> Vec<Working> {
    let unit = line.unit_of_sale.symbol();
    let mut workings = Vec::new();
    let net = Working::of("net", "needed", line.net, unit).plus(line.plies, unit, "plies");
    workings.push(net.plus(line.beyond, unit, "beyond the plies").plus(line.plugs, unit, "plugs"));
    if line.unit_of_sale == SaleUnit::M2 {
        let reserve = crate::workshop::needs::with_reserve(1.0, need.reserve_percent);
        let with = Working::of("with_reserve", "area to have", line.with_reserve, unit).plus(line.net, unit, "");
        workings.push(with.times(reserve, "", format!("{} % reserve", need.reserve_percent)));
    }
    if line.on_shelf > 0.0 && line.to_buy > 0.0 {
        let to_buy = Working::of("to_buy", "to buy", line.to_buy, unit).plus(line.with_reserve, unit, "with reserve");
        workings.push(to_buy.minus(line.on_shelf, unit, "on the shelf"));
    }
    let counted = |working: Working, of: fn(&PackLine) -> Option<f64>, unit: &'static str| {
        line.packs
            .iter()
            .filter_map(|pack| Some((pack, of(pack)?)))
            .fold(working, |sum, (pack, each)| sum.plus(pack.count as f64, "", "packs").times(each, unit, "each"))
    };
    if line.bought > 0.0 {
        workings.push(counted(Working::of("bought", "packs", line.bought, unit), |pack| Some(pack.size), unit));
        let over = Working::of("left_over", "left over", line.left_over, unit);
        workings.push(over.plus(line.bought, unit, "in packs").minus(line.to_buy, unit, "to buy"));
    }
    if let Some(price) = line.price.filter(|price| *price > 0.0) {
        workings.push(counted(Working::of("price", "price", price, ""), |pack| pack.price_each, ""));
    }
    workings
}

fn not_proven(line: &Line, least: f64) -> Note {
    let (what, unit) = match line.price {
        Some(price) => (format!("cost {price:.2}"), String::new()),
        None => (format!("hold {}", line.bought), format!(" {}", line.unit_of_sale.symbol())),
    };
    Note::info(
        "packs-not-proven",
        format!(
            "{}: more choices of packs than are gone through; the packs here {what}{unit}, and none that cover it can come under {least:.2}{unit}",
            line.name
        ),
        match line.supplier {
            Some(_) => "leave out packs that differ by next to nothing, or round their sizes",
            None => {
                "these are usual packs, for want of a supplier's: name those of a supplier, or see that the amount is meant"
            }
        },
    )
}

/// Whether the packs of a line keep as long as the work goes on, and stand the shop's temperature.
fn keeping(line: &Line, dates: Dates, stock: &Stock) -> Vec<Note> {
    let mut notes = Vec::new();
    let name = &line.name;
    let shortest = line.packs.iter().filter_map(|pack| pack.shelf_life_months).min();
    if let (Some(months), Some(first), Some(last)) = (shortest, dates.first_day, dates.last_day)
        && first.checked_add_months(Months::new(months)).is_some_and(|until| until < last)
    {
        notes.push(Note::warning(
            "shelf-life-short",
            format!(
                "{name} keeps {months} months; bought for the first day, {first}, it is past that on the last, {last}"
            ),
            "buy what the last weeks take later, and ask the supplier for a fresh lot",
        ));
    }
    let coldest = line.packs.iter().filter_map(|pack| pack.least_c).max_by(f64::total_cmp);
    if let (Some(least_c), Some(shop)) = (coldest, &stock.practice.temperature_c)
        && shop.value < least_c
    {
        notes.push(Note::warning(
            "pack-too-cold",
            format!("{name} is to be kept and used at {least_c} deg C or more, and the shop has {} deg C", shop.value),
            "warm the shop and what stands in it a day before, or choose another make",
        ));
    }
    notes
}

/// That an order is paid for in several currencies, with what is not in the one that it goes by.
fn mixed(lines: &[Line], first: &str) -> Option<Note> {
    let others = lines.iter().filter_map(|line| Some((line.name.as_str(), line.currency.as_deref()?)));
    let others: Vec<String> =
        others.filter(|(_, of)| *of != first).map(|(name, of)| format!("{name} in {of}")).collect();
    (!others.is_empty()).then(|| {
        Note::warning(
            "currencies-mixed",
            format!("the order is paid for in {first}, but for {}: there is no one sum of it", others.join(", ")),
            format!("ask a supplier that is paid in {first} for them, or give the list's prices in {first}"),
        )
    })
}

/// What has to be known of the suppliers' lists.
fn of_suppliers(quotes: &[Quote], baskets: &[Basket]) -> Vec<Note> {
    let mut notes = Vec::new();
    for quote in quotes {
        let supplier = &quote.supplier;
        let mut tell = |code: &str, what: &str, things: &[String], remedy: &str| {
            if !things.is_empty() {
                notes.push(Note::info(code, format!("{supplier} {what}: {}", listed(things)), remedy));
            }
        };
        tell("not-offered", "does not offer", &quote.lacks, "ask for it, or order it elsewhere");
        tell("no-price", "says no price for", &quote.without_price, "ask for it, and put it into [[supplier.pack]]");
        tell(
            "pack-not-counted",
            "offers what cannot be counted here",
            &quote.unlike,
            "give the pack in the unit of the order, or plan with that width: put it first under `rolls` of the material",
        );
    }
    for basket in baskets.iter().filter(|basket| !basket.left_out.is_empty()) {
        notes.push(Note::info(
            "suppliers-left-out",
            format!(
                "more than {MOST_TRIED} suppliers name prices in {}: those of {} are set beside the others and not searched for the cheapest choice",
                basket.currency,
                listed(&basket.left_out)
            ),
            "leave out suppliers that are dear or far, or name first those that matter",
        ));
    }
    /// What is over the bound by less is not seen in the sums that are told.
    const TOLD: f64 = 0.005;
    for basket in baskets.iter().filter(|basket| !basket.exact && basket.total >= basket.least + TOLD) {
        notes.push(Note::info(
            "choice-not-proven",
            format!(
                "more choices of suppliers than are gone through: the best found costs {:.2} {}, and none can cost less than {:.2}",
                basket.total, basket.currency, basket.least
            ),
            "name fewer suppliers or packs to have the cheapest for certain",
        ));
    }
    for (basket, share) in baskets.iter().flat_map(|basket| basket.from.iter().map(move |share| (basket, share))) {
        if share.short_of_minimum > 0.0 {
            notes.push(Note::warning(
                "under-minimum-order",
                format!(
                    "no choice of suppliers was found that meets every least order; in the cheapest what comes from {} is {:.2} {} short of its own",
                    share.supplier, share.short_of_minimum, basket.currency
                ),
                "order more there, or ask whether it is taken all the same",
            ));
        }
    }
    if let [first, others @ ..] = baskets
        && !others.is_empty()
    {
        let names: Vec<&str> = others.iter().map(|basket| basket.currency.as_str()).collect();
        notes.push(Note::info(
            "currencies-apart",
            format!(
                "prices stand in {} and in {}: they are not added up or set against each other; the order goes by {} where it can",
                first.currency,
                names.join(", "),
                first.currency
            ),
            "give all price lists in one currency to compare them",
        ));
    }
    notes
}
