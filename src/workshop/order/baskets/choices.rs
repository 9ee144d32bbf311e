//! Covers of each line out of several, and the choice of one for every line by branch and bound.

use super::super::budget::Budget;
use super::{FUZZ, SAME};

/// How a line is covered: counts of its packs, what they cost, and how much of that each supplier gets.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    pub(super) counts: Vec<u64>,
    pub(super) cost: f64,
    pub(super) spent: Vec<f64>,
    /// No packs can cost less than this, where these were not proved the cheapest.
    pub(super) at_least: Option<f64>,
}

impl Choice {
    /// What no cover out of the same packs can come under.
    pub(super) fn least(&self) -> f64 {
        self.at_least.unwrap_or(self.cost)
    }
}

/// Covers of one need.
pub(super) struct Listing {
    /// The largest first.
    pub(super) sizes: Vec<f64>,
    pub(super) counts: Vec<u64>,
    pub(super) found: Vec<Vec<u64>>,
    pub(super) complete: bool,
    pub(super) most: usize,
}

impl Listing {
    /// With the largest first, the last pack that covers the rest is the smallest taken, and no other can be left out.
    pub(super) fn descend(&mut self, from: usize, rest: f64) {
        if self.found.len() >= self.most {
            self.complete = false;
            return;
        }
        let Some(&size) = self.sizes.get(from) else { return };
        let most = ((rest - FUZZ) / size).ceil().max(1.0) as u64;
        let is_last = from + 1 == self.sizes.len();
        for n in (if is_last { most } else { 0 }..=most).rev() {
            self.counts[from] = n;
            if rest - n as f64 * size <= FUZZ {
                self.found.push(self.counts.clone());
            } else {
                self.descend(from + 1, rest - n as f64 * size);
            }
            if !self.complete {
                break;
            }
        }
        self.counts[from] = 0;
    }
}

/// Choices without those that cost no less than another and give no supplier with a least order more. Cheapest first.
/// Where the budget ends the cheapest are kept; says whether all were looked at.
pub(super) fn undominated(mut choices: Vec<Choice>, bounded: &[usize], budget: &mut Budget) -> (Vec<Choice>, bool) {
    choices.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let mut kept: Vec<Choice> = Vec::new();
    for choice in choices {
        if !kept.is_empty() && !budget.take(kept.len() as u64) {
            return (kept, false);
        }
        let beats = |other: &Choice| bounded.iter().all(|&seller| other.spent[seller] >= choice.spent[seller]);
        if !kept.iter().any(beats) {
            kept.push(choice);
        }
    }
    (kept, true)
}

/// Branch and bound over the lines.
pub(super) struct Search<'a> {
    listed: &'a [(usize, Vec<Choice>)],
    minima: Vec<(usize, f64)>,
    /// Least that the lines from one on cost, and the most that each bounded supplier can get of them.
    rest: Vec<(f64, Vec<f64>)>,
    spent: Vec<f64>,
    picked: Vec<usize>,
    most: f64,
    pub(super) best: Option<Vec<usize>>,
    pub(super) n_seen: u64,
    n_most: u64,
}

impl<'a> Search<'a> {
    pub(super) fn new(listed: &'a [(usize, Vec<Choice>)], minima: Vec<(usize, f64)>, most: f64, n_most: u64) -> Self {
        let mut rest = vec![(0.0, vec![0.0; minima.len()])];
        for (_, choices) in listed.iter().rev() {
            let (cost, spent) = rest[rest.len() - 1].clone();
            let least = choices.first().map_or(0.0, |choice| choice.cost);
            let greatest = |seller: usize| choices.iter().map(|choice| choice.spent[seller]).fold(0.0, f64::max);
            let spent = minima.iter().zip(spent).map(|((seller, _), spent)| spent + greatest(*seller)).collect();
            rest.push((cost + least, spent));
        }
        rest.reverse();
        let spent = vec![0.0; minima.len()];
        Self { listed, minima, rest, spent, picked: Vec::new(), most, best: None, n_seen: 0, n_most }
    }

    pub(super) fn descend(&mut self, line: usize, cost: f64) {
        self.n_seen += 1;
        let (least, greatest) = &self.rest[line];
        let cannot = |((spent, (_, minimum)), more): ((&f64, &(usize, f64)), &f64)| spent + more < minimum - SAME;
        if self.n_seen > self.n_most
            || cost + least >= self.most + SAME
            || self.spent.iter().zip(&self.minima).zip(greatest).any(cannot)
        {
            return;
        }
        let Some((_, choices)) = self.listed.get(line) else {
            if self.best.is_none() || cost < self.most - SAME {
                self.most = cost;
                self.best = Some(self.picked.clone());
            }
            return;
        };
        let sellers: Vec<usize> = self.minima.iter().map(|(seller, _)| *seller).collect();
        for (pick, choice) in choices.iter().enumerate() {
            let before = self.spent.clone();
            sellers.iter().enumerate().for_each(|(at, &seller)| self.spent[at] += choice.spent[seller]);
            self.picked.push(pick);
            self.descend(line + 1, cost + choice.cost);
            self.picked.pop();
            self.spent = before;
        }
    }
}
