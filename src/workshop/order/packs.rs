//! The cheapest packs that cover a need, exactly: every size as often as wanted.
//!
//! Cheapest first; of equal prices the one that leaves least over; of these the one with fewest packs; of these the one
//! that takes most of the pack that stands first in the list. Without prices: least left over, then fewest packs.

use super::budget::Budget;
use super::search::by_search;

/// Sizes are kept to a millionth of their unit, rounded down, and the need is rounded up: rounding never orders short. What it
/// adds up to over thousands of packs is taken off again by [`without_spare`].
const GRID: f64 = 1e6;

/// How far a need may stick out over whole packs by the last bits of its sum, in its unit.
const FUZZ: f64 = 1e-9;

/// Prices are kept to a ten-thousandth of the currency, rounded to the nearest.
const MONEY: f64 = 1e4;

/// Over so many steps the table takes more memory and time than the search. 100 m in steps of 2 mm are 50 000.
const MOST_STEPS: u128 = 250_000;

/// A table of so few steps of all packs together is gone through whatever is left: with none a line of ten steps would come
/// at random, with a thousand times as many a price list of absurd sizes would seem to hang.
const ALWAYS: u64 = 20_000;

/// A pack on offer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pack {
    /// What is in it, in the unit of the need.
    pub size: f64,
    /// What it costs, if that is known.
    pub price: Option<f64>,
}

/// Packs that cover a need.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// How many of each pack, in the order of the list.
    pub counts: Vec<u64>,
    /// What is in all of them.
    pub bought: f64,
    /// What they hold beyond the need.
    pub left_over: f64,
    /// What they cost, if every pack of the list has a price.
    pub price: Option<f64>,
    /// Set if there was more to go through than is gone through: no cover can come under this, in the price, or without
    /// prices in what is bought.
    pub at_least: Option<f64>,
}

/// What a choice of packs comes to; the lesser is the better one.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cost {
    pub(super) price: u128,
    pub(super) bought: u128,
    pub(super) n_packs: u128,
}

impl std::ops::Add for Cost {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            price: self.price + other.price,
            bought: self.bought + other.bought,
            n_packs: self.n_packs + other.n_packs,
        }
    }
}

/// A pack in whole steps of the grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) size: u128,
    pub(super) price: u128,
    /// Its place in the list.
    pub(super) number: usize,
}

impl Step {
    pub(super) fn cost(self, n_packs: u128) -> Cost {
        Cost { price: n_packs * self.price, bought: n_packs * self.size, n_packs }
    }
}

/// The cheapest cover of a need. Nothing if there is no pack with anything in it, or a number is none.
///
/// The grid of the table is the greatest common divisor of the sizes, so that nothing is lost on it; where that would be
/// too fine for a table, the same answer is searched for by branch and bound. Past the budget the best found is given with
/// what none can come under.
///
/// # Source
/// Unbounded knapsack cover by dynamic programming, own derivation; equal to trying every choice on 1,000 cases, see tests.
#[must_use]
pub fn cheapest_cover(need: f64, packs: &[Pack], budget: &mut Budget) -> Option<Cover> {
    if !need.is_finite() || need > MOST || packs.iter().any(|pack| !(0.0..=MOST).contains(&pack.size)) {
        return None;
    }
    if need <= FUZZ {
        return Some(cover(need.max(0.0), vec![0; packs.len()], packs, None));
    }
    let all_priced = packs.iter().all(|pack| pack.price.is_some());
    let priced =
        |pack: &Pack| pack.price.filter(|_| all_priced).map_or(0, |price| (price.max(0.0) * MONEY).round() as u128);
    let steps: Vec<Step> = packs
        .iter()
        .enumerate()
        .map(|(number, pack)| Step {
            size: (pack.size * GRID + FUZZ * GRID).floor() as u128,
            price: priced(pack),
            number,
        })
        .filter(|step| step.size > 0)
        .collect();
    let grid = steps.iter().fold(0, |divisor, step| greatest_common_divisor(divisor, step.size));
    if grid == 0 {
        return None;
    }
    let steps: Vec<Step> = steps.iter().map(|step| Step { size: step.size / grid, ..*step }).collect();
    let need_steps = (((need - FUZZ) * GRID).ceil() as u128).div_ceil(grid).max(1);
    let of_table = u64::try_from(need_steps * steps.len() as u128).unwrap_or(u64::MAX);
    if need_steps <= MOST_STEPS && (budget.take(of_table) || of_table <= ALWAYS) {
        return Some(cover(need, by_table(need_steps as usize, &steps, packs.len()), packs, None));
    }
    let (counts, bound) = by_search(need_steps, &steps, packs.len(), budget);
    let at_least =
        bound.map(|bound| if all_priced { bound.price as f64 / MONEY } else { (bound.bought * grid) as f64 / GRID });
    Some(cover(need, counts, packs, at_least))
}

/// Past this nothing in a workshop is meant.
const MOST: f64 = 1e9;

/// Counts without packs that the sizes as they are do without, the dearest first.
fn without_spare(need: f64, mut counts: Vec<u64>, packs: &[Pack]) -> Vec<u64> {
    let bought: f64 = counts.iter().zip(packs).map(|(&count, pack)| count as f64 * pack.size).sum();
    let mut spare = bought - need + FUZZ;
    let mut dearest: Vec<usize> = (0..packs.len()).filter(|&pack| packs[pack].size > 0.0).collect();
    let price = |pack: usize| packs[pack].price.unwrap_or_default();
    dearest.sort_by(|&a, &b| price(b).total_cmp(&price(a)).then(packs[b].size.total_cmp(&packs[a].size)));
    for pack in dearest {
        while counts[pack] > 0 && spare >= packs[pack].size {
            counts[pack] -= 1;
            spare -= packs[pack].size;
        }
    }
    counts
}

fn cover(need: f64, counts: Vec<u64>, packs: &[Pack], at_least: Option<f64>) -> Cover {
    let counts = without_spare(need, counts, packs);
    let taken = || counts.iter().zip(packs).filter(|(count, _)| **count > 0);
    let bought = taken().map(|(&count, pack)| count as f64 * pack.size).fold(0.0, std::ops::Add::add);
    let price = packs.iter().all(|pack| pack.price.is_some()).then(|| {
        let of = |(&count, pack): (&u64, &Pack)| count as f64 * pack.price.unwrap_or_default();
        taken().map(of).fold(0.0, std::ops::Add::add)
    });
    Cover { bought, left_over: (bought - need).max(0.0), price, counts, at_least }
}

/// The best cost of covering each number of steps from the ones before it; then the packs, the first of the list first.
///
/// No pack of a best choice can be left out, so its packs may be taken in any order, and taking the first of the list as
/// long as that stays best gives the choice that has most of it.
pub(super) fn by_table(need: usize, steps: &[Step], n_packs: usize) -> Vec<u64> {
    let before = |at: usize, step: &Step| at.saturating_sub(usize::try_from(step.size).unwrap_or(usize::MAX));
    let mut best = vec![Cost::default(); need + 1];
    for at in 1..=need {
        let costs = steps.iter().map(|step| best[before(at, step)] + step.cost(1));
        best[at] = costs.min().expect("there is a pack, or the grid would be 0");
    }
    let mut counts = vec![0; n_packs];
    let mut at = need;
    while at > 0 {
        let step = steps.iter().find(|step| best[before(at, step)] + step.cost(1) == best[at]);
        let step = step.expect("the best cost came of one of them");
        counts[step.number] += 1;
        at = before(at, step);
    }
    counts
}

pub(super) fn greatest_common_divisor(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests;
