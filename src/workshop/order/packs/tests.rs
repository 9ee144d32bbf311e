use super::*;
use crate::workshop::order::search::by_search;

fn cheapest_cover(need: f64, packs: &[Pack]) -> Option<Cover> {
    super::cheapest_cover(need, packs, &mut Budget::default())
}

/// Numbers that look random and are the same on every run (splitmix64).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn up_to(&mut self, most: u64) -> u64 {
        1 + self.next() % most
    }
}

/// Every choice of packs, in whole quarters of a unit; the best by price, left over, packs and order of the list.
fn by_trying_all(need: u64, packs: &[(u64, u64)]) -> Vec<u64> {
    fn try_from(at: usize, rest: i64, counts: &mut Vec<u64>, packs: &[(u64, u64)], best: &mut Option<Tried>) {
        if rest <= 0 {
            let sum = |of: fn(&(u64, u64)) -> u64| counts.iter().zip(packs).map(|(n, pack)| n * of(pack)).sum::<u64>();
            let order: Vec<i64> = counts.iter().map(|n| -(*n as i64)).collect();
            let tried = (sum(|pack| pack.1), sum(|pack| pack.0), counts.iter().sum(), order);
            if best.as_ref().is_none_or(|best| tried < *best) {
                *best = Some(tried);
            }
            return;
        }
        if at == packs.len() {
            return;
        }
        for n in 0..=(rest as u64).div_ceil(packs[at].0) {
            counts[at] = n;
            try_from(at + 1, rest - (n * packs[at].0) as i64, counts, packs, best);
        }
        counts[at] = 0;
    }
    type Tried = (u64, u64, u64, Vec<i64>);
    let mut best = None;
    try_from(0, need as i64, &mut vec![0; packs.len()], packs, &mut best);
    best.expect("a cover").3.iter().map(|n| n.unsigned_abs()).collect()
}

/// A need and packs, all in quarters; with prices in every second case.
fn case(dice: &mut Dice, number: u64) -> (u64, Vec<(u64, u64)>) {
    let n_packs = dice.up_to(4);
    let priced = number.is_multiple_of(2);
    let packs = (0..n_packs).map(|_| (dice.up_to(30), if priced { dice.up_to(40) } else { 0 })).collect();
    (dice.up_to(100), packs)
}

#[test]
fn the_cover_is_the_best_of_all_choices_in_a_thousand_cases() {
    let mut dice = Dice(20);
    for number in 0..1000 {
        let (need, packs) = case(&mut dice, number);
        let priced = number.is_multiple_of(2);
        let offered: Vec<Pack> = packs
            .iter()
            .map(|&(size, price)| Pack { size: size as f64 / 4.0, price: priced.then_some(price as f64 / 4.0) })
            .collect();
        let cover = cheapest_cover(need as f64 / 4.0, &offered).expect("a cover");
        assert_eq!(cover.counts, by_trying_all(need, &packs), "need {need}, packs {packs:?}");
        assert_eq!(cover.price.is_some(), priced);
    }
}

#[test]
fn the_search_finds_what_the_table_finds() {
    let mut dice = Dice(3);
    for number in 0..1000 {
        let (need, packs) = case(&mut dice, number);
        let step =
            |(number, &(size, price)): (usize, &(u64, u64))| Step { size: size.into(), price: price.into(), number };
        let steps: Vec<Step> = packs.iter().enumerate().map(step).collect();
        let table = by_table(need as usize, &steps, packs.len());
        assert_eq!(
            by_search(need.into(), &steps, packs.len(), &mut Budget::default()),
            (table, None),
            "need {need}, packs {packs:?}"
        );
    }
}

fn packs(sizes: &[f64]) -> Vec<Pack> {
    sizes.iter().map(|&size| Pack { size, price: None }).collect()
}

/// Source: by hand. 13.50 kg of worked example 20 out of cans of 1 and 5 kg and drums of 25 and 225 kg.
#[test]
fn the_resin_of_one_ply_comes_in_two_cans_and_four_tins() {
    let cover = cheapest_cover(13.5, &packs(&[1.0, 5.0, 25.0, 225.0])).expect("a cover");
    assert_eq!(cover.counts, [4, 2, 0, 0]);
    assert_eq!((cover.bought, cover.left_over, cover.price), (14.0, 0.5, None));
}

#[test]
fn a_larger_can_that_is_cheaper_is_taken_though_more_is_left_over() {
    let offered = [(1.0, 9.0), (5.0, 30.0), (25.0, 95.0)].map(|(size, price)| Pack { size, price: Some(price) });
    let cover = cheapest_cover(16.2, &offered).expect("a cover");
    assert_eq!((cover.counts.as_slice(), cover.price), ([0, 0, 1].as_slice(), Some(95.0)));
}

#[test]
fn a_need_that_sticks_out_by_the_last_bits_takes_no_pack_more() {
    let need = (0..10).map(|_| 0.1).sum::<f64>() + 1e-12;
    assert_eq!(cheapest_cover(need, &packs(&[1.0])).map(|cover| cover.counts), Some(vec![1]));
    assert_eq!(cheapest_cover(1.000_001, &packs(&[1.0])).map(|cover| cover.counts), Some(vec![2]));
}

#[test]
fn nothing_to_buy_takes_no_pack_and_no_pack_covers_nothing() {
    assert_eq!(cheapest_cover(0.0, &packs(&[1.0])).map(|cover| cover.counts), Some(vec![0]));
    assert_eq!(cheapest_cover(1.0, &[]), None);
    assert_eq!(cheapest_cover(1.0, &packs(&[0.0])), None);
    assert_eq!(cheapest_cover(f64::NAN, &packs(&[1.0])), None);
    assert_eq!(cheapest_cover(1.0, &packs(&[f64::INFINITY])), None);
}

/// By hand: 2957.948670837617 / 0.3883861480304423 is 7615.9994, so 7616 packs; of packs of 0.388386 it would be 7617.
#[test]
fn what_rounding_adds_up_to_over_thousands_of_packs_buys_none_more() {
    for price in [None, Some(0.5)] {
        let offered = [Pack { size: 0.388_386_148_030_442_3, price }];
        assert_eq!(cheapest_cover(2_957.948_670_837_617, &offered).map(|cover| cover.counts), Some(vec![7616]));
    }
}

/// A table of these would have 400 million steps and more.
#[test]
fn a_huge_need_in_odd_sizes_is_covered_exactly() {
    let offered = packs(&[66.666, 1.001, 25.123_456, 133.3, 200.0, 96.153]);
    let cover = cheapest_cover(987_654.321, &offered).expect("a cover");
    assert!(cover.bought >= 987_654.321 - 1e-9 && cover.left_over < 0.002, "{cover:?}");
    let priced: Vec<Pack> = offered.iter().map(|pack| Pack { price: Some(pack.size * 3.0 + 2.0), ..*pack }).collect();
    let cover = cheapest_cover(987_654.321, &priced).expect("a cover");
    assert!(cover.bought >= 987_654.321 - 1e-9, "{cover:?}");
    // Not under what the best rate gives, and under the largest alone: 4939 of 602.
    let price = cover.price.expect("a price");
    assert!((987_654.321 * 602.0 / 200.0..4939.0 * 602.0).contains(&price), "{cover:?}");
}

/// Sizes that differ by a hair and cost the same for what is in them: nothing bounds the search.
#[test]
fn absurd_sizes_end_within_the_budget_and_tell_what_none_can_come_under() {
    let offered: Vec<Pack> = (0..40)
        .map(|n| {
            let size = 1.000_003 + 0.000_137 * f64::from(n * n) + 0.01 * f64::from(n);
            Pack { size, price: Some((size * 1e4).round() / 1e4 + 0.0001 * f64::from(n % 7)) }
        })
        .collect();
    let need = 54_321.987_654;
    for steps in [0, 1_000, 10_000_000] {
        let mut budget = Budget::of(steps);
        let cover = super::cheapest_cover(need, &offered, &mut budget).expect("a cover");
        assert!(cover.bought >= need - 1e-9, "{cover:?}");
        let (least, price) = (cover.at_least.expect("the budget ends first"), cover.price.expect("priced"));
        assert!(least <= price + 1e-9 && price < 1.001 * least, "{least} {price}");
        // A search never takes all that is left: the lines after it are searched as well.
        assert!(budget.left() >= steps / 3, "{} of {steps}", budget.left());
    }
}
