//! The cheapest cover by branch and bound, where a table of every step would be too long.

use super::budget::Budget;
use super::packs::{Cost, Step, greatest_common_divisor};

/// What can be said of covering a rest with the packs from one on.
#[derive(Debug, Clone, Copy)]
struct Bound {
    /// The cheapest of them for what is in it.
    rate: Step,
    /// The largest of them.
    largest: u128,
    /// What they come in together is a whole number of these.
    grid: u128,
}

impl Bound {
    fn of(steps: &[Step]) -> Option<Self> {
        let rate = *steps.first()?;
        let largest = steps.iter().map(|step| step.size).max()?;
        let grid = steps.iter().fold(0, |divisor, step| greatest_common_divisor(divisor, step.size));
        Some(Self { rate, largest, grid })
    }

    /// No choice that covers the rest costs less.
    fn least(self, rest: u128) -> Cost {
        Cost {
            price: (rest * self.rate.price).div_ceil(self.rate.size),
            bought: rest.div_ceil(self.grid) * self.grid,
            n_packs: rest.div_ceil(self.largest),
        }
    }
}

/// What one step costs of the budget: a step of the table is about so much cheaper.
const STEP: u64 = 20;

/// One search takes at most this share of what is left, so that the lines after it are searched as well.
const SHARE: u64 = 2;

/// Every search goes through so many, whatever is left: with none the first cover would stand, a drum for a cupful; with a
/// thousand times as many a price list of absurd sizes would seem to hang.
const LEAST_SEEN: u64 = 1_000;

struct Search {
    n_seen: u64,
    most_seen: u64,
    /// Cheapest for what is in them first, then the larger.
    steps: Vec<Step>,
    bounds: Vec<Bound>,
    counts: Vec<u64>,
    best: Option<(Cost, Vec<u64>)>,
}

/// The same answer as the table's, by trying counts of the cheapest pack from the most down, and leaving out what cannot
/// be better than the best so far.
///
/// Past its budget it gives the best so far, and what no choice can come under.
pub(super) fn by_search(need: u128, steps: &[Step], n_packs: usize, budget: &mut Budget) -> (Vec<u64>, Option<Cost>) {
    let mut steps = steps.to_vec();
    // a.price / a.size < b.price / b.size, without a division.
    steps.sort_by(|a, b| {
        (a.price * b.size).cmp(&(b.price * a.size)).then(b.size.cmp(&a.size)).then(a.number.cmp(&b.number))
    });
    let bounds: Vec<Bound> = (0..steps.len()).filter_map(|from| Bound::of(&steps[from..])).collect();
    let least = bounds.first().map(|bound| bound.least(need));
    let most_seen = (budget.left() / SHARE / STEP).max(LEAST_SEEN);
    let mut search = Search { n_seen: 0, most_seen, steps, bounds, counts: vec![0; n_packs], best: None };
    search.descend(0, need, Cost::default());
    budget.spend(search.n_seen.saturating_mul(STEP).min(budget.left() / SHARE));
    let Some((cost, counts)) = search.best else { return (vec![0; n_packs], None) };
    // What none can come under is proven, however much was gone through.
    let is_least = |bound: &Cost| (cost.price, cost.bought) <= (bound.price, bound.bought);
    let is_cheapest = |bound: &Cost| cost.price > 0 && cost.price <= bound.price;
    let bound = least.filter(|bound| search.n_seen > most_seen && !is_least(bound) && !is_cheapest(bound));
    (counts, bound)
}

impl Search {
    fn descend(&mut self, from: usize, rest: u128, cost: Cost) {
        self.n_seen += 1;
        // The first descent has found a cover.
        if self.n_seen > self.most_seen && self.best.is_some() {
            return;
        }
        if rest == 0 {
            self.offer(cost);
            return;
        }
        let (Some(&step), Some(&bound)) = (self.steps.get(from), self.bounds.get(from)) else { return };
        if self.is_worse(cost + bound.least(rest)) {
            return;
        }
        let is_last = from + 1 == self.steps.len();
        let most = rest.div_ceil(step.size);
        // As many others as the cheapest has steps hold some that come to a whole number of the cheapest, which cost no
        // more; so there are fewer.
        let of_others = self.bounds.get(from + 1).map_or(0, |next| next.largest);
        let least = if is_last { most } else { most.saturating_sub(of_others + 1) };
        for n in (least..=most).rev() {
            if self.n_seen > self.most_seen && self.best.is_some() {
                break;
            }
            let left = rest.saturating_sub(n * step.size);
            let taken = cost + step.cost(n);
            // With fewer of the cheapest the rest only gets dearer.
            let floor = self.bounds.get(from + 1).map_or(taken, |next| taken + next.least(left));
            if left > 0 && floor.price > self.best.as_ref().map_or(u128::MAX, |(best, _)| best.price) {
                break;
            }
            self.counts[step.number] = n as u64;
            self.descend(from + 1, left, taken);
        }
        self.counts[step.number] = 0;
    }

    fn is_worse(&self, cost: Cost) -> bool {
        self.best.as_ref().is_some_and(|(best, _)| cost > *best)
    }

    fn offer(&mut self, cost: Cost) {
        let is_better = match &self.best {
            None => true,
            Some((best, counts)) => cost < *best || (cost == *best && self.counts > *counts),
        };
        if is_better {
            self.best = Some((cost, self.counts.clone()));
        }
    }
}
