use super::super::entries::PackEntry;
use super::super::tests::{MOULDING, needs_of, stock};
use super::super::units::SaleUnit;
use super::*;
use crate::workshop::needs::{Need, NeedKind};

/// Numbers that look random and are the same on every run (splitmix64).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % end
    }
}

fn three_needs() -> Vec<Need> {
    let kinds = [NeedKind::Gelcoat, NeedKind::Resin, NeedKind::Filler];
    needs_of(MOULDING, 3.0, &stock()).needs.into_iter().filter(|need| kinds.contains(&need.kind)).collect()
}

fn demands<'a>(needs: &'a [Need], wanted_kg: &[u64]) -> Vec<Demand<'a>> {
    let demand = |(need, kg): (&'a Need, &u64)| Demand {
        need,
        name: need.material.clone(),
        sold_by: SaleUnit::Kg,
        to_buy: *kg as f64,
    };
    needs.iter().zip(wanted_kg).map(demand).collect()
}

fn supplier(number: usize, delivery: u64, minimum: u64, packs: Vec<PackEntry>) -> SupplierEntry {
    SupplierEntry {
        name: format!("S{number}"),
        currency: "EUR".to_owned(),
        delivery: Some(delivery as f64),
        minimum_order: (minimum > 0).then_some(minimum as f64),
        packs,
    }
}

fn pack(of: &str, kg: u64, price: u64) -> PackEntry {
    PackEntry { of: of.to_owned(), kg: Some(kg as f64), price: Some(price as f64), ..PackEntry::default() }
}

/// One random market: needs in whole kg, suppliers with up to two sizes of each thing.
fn market(dice: &mut Dice, needs: &[Need]) -> (Vec<u64>, Vec<SupplierEntry>) {
    let wanted = (0..needs.len()).map(|_| dice.below(9)).collect();
    let n = 1 + dice.below(3) as usize;
    let suppliers = (0..n).map(|number| {
        let mut packs = Vec::new();
        for need in needs {
            for _ in 0..dice.below(3) {
                packs.push(pack(&need.material, 1 + dice.below(6), 1 + dice.below(30)));
            }
        }
        let minimum = if dice.below(2) == 0 { 0 } else { 5 + dice.below(60) };
        supplier(number, dice.below(12), minimum, packs)
    });
    (wanted, suppliers.collect())
}

/// Counts of packs that cover a need, none of which can be left out: every count of every pack, looked at.
fn covers(need: u64, sizes: &[u64]) -> Vec<Vec<u64>> {
    let mut all = vec![Vec::new()];
    for &size in sizes {
        let longer = |counts: &Vec<u64>| {
            let counts = counts.clone();
            (0..=need.div_ceil(size)).map(move |n| [counts.clone(), vec![n]].concat())
        };
        all = all.iter().flat_map(longer).collect();
    }
    let sum = |counts: &[u64]| counts.iter().zip(sizes).map(|(n, size)| n * size).sum::<u64>();
    let is_bare = |counts: &Vec<u64>| {
        let spare = |(n, size): (&u64, &u64)| *n > 0 && sum(counts) - size >= need;
        sum(counts) >= need && !counts.iter().zip(sizes).any(spare)
    };
    all.into_iter().filter(is_bare).collect()
}

/// The least that every choice costs in which every supplier takes its order; nothing if there is none.
fn by_trying_all(needs: &[Need], wanted: &[u64], suppliers: &[SupplierEntry]) -> Option<u64> {
    // Spent at each supplier, and who is used, for what has been chosen so far.
    let mut choices: Vec<(Vec<u64>, Vec<bool>)> = vec![(vec![0; suppliers.len()], vec![false; suppliers.len()])];
    for (need, &wanted) in needs.iter().zip(wanted) {
        let offers: Vec<(usize, u64, u64)> = suppliers
            .iter()
            .enumerate()
            .flat_map(|(number, supplier)| supplier.packs.iter().map(move |pack| (number, pack)))
            .filter(|(_, pack)| pack.of == need.material)
            .map(|(number, pack)| (number, pack.kg.unwrap_or_default() as u64, pack.price.unwrap_or_default() as u64))
            .collect();
        if wanted == 0 || offers.is_empty() {
            continue;
        }
        let sizes: Vec<u64> = offers.iter().map(|offer| offer.1).collect();
        let mut longer = std::collections::BTreeSet::new();
        for counts in covers(wanted, &sizes) {
            for (spent, used) in &choices {
                let (mut spent, mut used) = (spent.clone(), used.clone());
                for (n, (number, _, price)) in counts.iter().zip(&offers) {
                    spent[*number] += n * price;
                    used[*number] |= *n > 0;
                }
                longer.insert((spent, used));
            }
        }
        choices = longer.into_iter().collect();
    }
    let total = |(spent, used): &(Vec<u64>, Vec<bool>)| {
        let mut sum = 0;
        for ((spent, used), supplier) in spent.iter().zip(used).zip(suppliers) {
            if *used && (*spent as f64) < supplier.minimum_order.unwrap_or(0.0) {
                return None;
            }
            sum += spent + if *used { supplier.delivery.unwrap_or(0.0) as u64 } else { 0 };
        }
        Some(sum)
    };
    choices.iter().filter_map(total).min()
}

/// Source: every choice of packs of every supplier, tried one by one.
#[test]
fn the_choice_of_suppliers_is_the_cheapest_of_all_in_a_thousand_markets() {
    let (mut dice, stock, needs) = (Dice(7), stock(), three_needs());
    let (mut n_taken, mut n_refused, mut n_split) = (0, 0, 0);
    for _ in 0..1000 {
        let (wanted, suppliers) = market(&mut dice, &needs);
        let demands = demands(&needs, &wanted);
        let least = by_trying_all(&needs, &wanted, &suppliers);
        let Some(basket) = baskets(&suppliers, &demands, &stock, &mut Budget::default()).into_iter().next() else {
            continue;
        };
        assert!(basket.exact);
        match least {
            Some(least) => {
                assert!((basket.total - least as f64).abs() < 1e-9 && basket.taken, "{basket:?} is not {least}");
                assert!(basket.from.iter().all(|share| share.short_of_minimum == 0.0));
                n_taken += 1;
            }
            None => {
                assert!(!basket.taken && basket.from.iter().any(|share| share.short_of_minimum > 0.0), "{basket:?}");
                n_refused += 1;
            }
        }
        for (line, demand) in basket.lines.iter().zip(&demands) {
            let Some(line) = line else { continue };
            assert!(line.bought >= demand.to_buy - 1e-9, "nothing is ordered short");
            n_split += usize::from(line.packs.iter().any(|pack| pack.supplier != line.packs[0].supplier));
        }
    }
    assert!(n_taken > 300 && n_refused > 30 && n_split > 30, "{n_taken} taken, {n_refused} refused, {n_split} split");
}

/// Source: by hand. 6 kg: A 5 kg for 10 and 1 kg for 9, B 1 kg for 2; A's drum and B's tin cost 12, A alone 19, B alone 12
/// as six tins; delivery of 1 by B makes its six tins 13 and both together 13: the one supplier is taken.
#[test]
fn a_material_may_come_from_two_suppliers_and_does_not_where_one_is_as_cheap() {
    let (stock, needs) = (stock(), three_needs());
    let name = needs[1].material.clone();
    let demands = demands(&needs, &[0, 6, 0]);
    let a = supplier(0, 0, 0, vec![pack(&name, 5, 10), pack(&name, 1, 9)]);
    let both = |price| {
        let b = supplier(1, 1, 0, vec![pack(&name, 1, price)]);
        baskets(&[a.clone(), b], &demands, &stock, &mut Budget::default()).remove(0)
    };
    assert_eq!((both(2).total, both(2).from.len()), (13.0, 1));
    assert_eq!((both(3).total, both(3).from.len()), (14.0, 2));
}

/// Over the limit of suppliers the best found is given as such, with what none can come under: the cheapest cover, 6 kg for
/// 25, and the cheapest delivery, 4 of the ninth supplier; where every delivery costs 3 that proves it.
#[test]
fn too_many_suppliers_are_told_unless_what_was_found_cannot_be_beaten() {
    let (stock, needs) = (stock(), three_needs());
    let name = needs[1].material.clone();
    let demands = demands(&needs, &[0, 6, 0]);
    let basket = |delivery: fn(u64) -> u64| {
        let of = |n: u64| supplier(n as usize, delivery(n), 0, vec![pack(&name, 1 + n, 5 + 4 * n)]);
        let suppliers: Vec<SupplierEntry> = (0..9).map(of).collect();
        baskets(&suppliers, &demands, &stock, &mut Budget::default()).remove(0)
    };
    let told = basket(|n| 12 - n);
    assert!(!told.exact && told.taken && (told.least, told.total) == (29.0, 32.0), "{told:?}");
    let proved = basket(|_| 3);
    assert!(proved.exact && (proved.least, proved.total) == (28.0, 28.0), "{proved:?}");
}

/// 70 suppliers of which ten have nothing that is bought: all sixty others are tried, and the cheapest stands last. With 70
/// that sell, six are told by name.
#[test]
fn no_supplier_is_dropped_without_being_named() {
    let (stock, needs) = (stock(), three_needs());
    let name = needs[1].material.clone();
    let demands = demands(&needs, &[0, 6, 0]);
    let basket = |n_idle: usize| {
        let of = |n: usize| {
            let of = if n < n_idle { &needs[0].material } else { &name };
            supplier(n, 3, 0, vec![pack(of, 6, 100 - n as u64)])
        };
        let suppliers: Vec<SupplierEntry> = (0..70).map(of).collect();
        baskets(&suppliers, &demands, &stock, &mut Budget::default()).remove(0)
    };
    let all = basket(10);
    assert!(all.left_out.is_empty() && all.from[0].supplier == "S69" && all.exact, "{all:?}");
    let some = basket(0);
    assert_eq!(some.left_out, ["S64", "S65", "S66", "S67", "S68", "S69"]);
    assert_eq!(some.from[0].supplier, "S63");
}

/// With next to nothing to go through: covered all the same, and nothing costs less than what is told.
#[test]
fn where_the_budget_ends_the_bound_is_the_sum_of_the_least_of_each_line() {
    let (mut dice, stock, needs) = (Dice(11), stock(), three_needs());
    let (mut n_told, mut n_positive) = (0, 0);
    for _ in 0..300 {
        let (wanted, suppliers) = market(&mut dice, &needs);
        let demands = demands(&needs, &wanted);
        let budget = |steps| baskets(&suppliers, &demands, &stock, &mut Budget::of(steps)).into_iter().next();
        let (Some(basket), Some(least)) = (budget(3), by_trying_all(&needs, &wanted, &suppliers)) else { continue };
        assert!(basket.least <= least as f64 + 1e-9, "{basket:?}: {least}");
        assert!(!basket.taken || basket.total >= least as f64 - 1e-9, "{basket:?}: {least}");
        assert!(!basket.exact || basket.total <= least as f64 + 1e-9, "{basket:?}: {least}");
        n_told += usize::from(!basket.exact);
        n_positive += usize::from(!basket.exact && basket.least > 0.0);
        // A price that is not proven says so on its own line.
        let unproven = basket.lines.iter().flatten().filter_map(|line| Some((line.at_least?, line.price?)));
        assert!(unproven.into_iter().all(|(at_least, price)| at_least <= price + 1e-9));
    }
    // Small tables are gone through whatever is left, so that not every market is open.
    assert!(n_told > 50 && n_positive > 50, "{n_told} {n_positive}");
}
