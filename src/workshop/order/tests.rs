use proptest::prelude::*;

use super::budget::Budget;
use super::entries::{OnShelfEntry, SupplierEntry};
use super::lines::order_within;
use super::*;
use crate::laminate::lay_up::{LayUp, PlyAreas, lay_up};
use crate::laminate::plies::plan_plies;
use crate::laminate::stock::{Stock, StockFile};
use crate::units::total;
use crate::workshop::needs::{Build, Need, NeedKind, Needs, needs};
use crate::workshop::takes::habits::{Extras, ExtrasEntry};

pub(super) fn stock() -> Stock {
    Stock::starter().expect("the starter stock")
}

fn extras() -> Extras {
    Extras::with(ExtrasEntry::default()).expect("the starter's")
}

fn laid(schedule: &str, area_m2: f64, stock: &Stock) -> LayUp {
    let plan = plan_plies("example", &toml::from_str(schedule).expect("a schedule"), stock).expect("a plan");
    let area = PlyAreas::plain(area_m2);
    lay_up(&plan, &area, &vec![area; plan.plies.len()], stock).expect("a lay-up")
}

pub(super) const MOULDING: &str = "make = 'moulding'\ngelcoat = 'production gelcoat'\nresin = 'polyester'\n\
                        layers = [{ material = 'mat 225' }, { material = 'mat 450', plies = 2 }]";
const EPOXY: &str =
    "make = 'moulding'\nresin = 'epoxy'\nlayers = [{ material = 'woven 300' }, { material = 'foam core 5' }]";

/// Needs of one build of so many m2, each ply off the roll at 10 % more than its area.
pub(super) fn needs_of(schedule: &str, area_m2: f64, stock: &Stock) -> Needs {
    let lay_up = laid(schedule, area_m2, stock);
    let roll_m = vec![1.1 * area_m2; lay_up.plies.len()];
    let name = "nose, moulding a".to_owned();
    let build = Build { name, count: 1, lay_up: &lay_up, roll_m: &roll_m, filler_ml: vec![("fillet putty", 120.0)] };
    needs(&[build], &[], &[], stock, &extras())
}

#[derive(Debug, Default, serde::Deserialize)]
struct Lists {
    #[serde(default)]
    supplier: Vec<SupplierEntry>,
    #[serde(default)]
    on_shelf: Vec<OnShelfEntry>,
}

fn ordered_on(needs: &[Need], lists: &str, dates: Dates, stock: &Stock) -> Order {
    let lists: Lists = toml::from_str(lists).expect("the lists");
    let said = Said { suppliers: &lists.supplier, on_shelf: &lists.on_shelf, currency: None, dates };
    order(needs, said, stock).expect("an order")
}

fn ordered(needs: &[Need], lists: &str) -> Order {
    ordered_on(needs, lists, Dates::default(), &stock())
}

fn line<'a>(order: &'a Order, name: &str) -> &'a Line {
    order.lines.iter().find(|line| line.name == name).expect("the line")
}

fn packs(line: &Line) -> Vec<(u64, f64)> {
    line.packs.iter().map(|pack| (pack.count, pack.size)).collect()
}

fn codes(order: &Order) -> Vec<&str> {
    order.notes.iter().map(|note| note.code.as_str()).collect()
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{value} is not {expected}");
}

/// Example 20. Source: a supplier's note on resin loss, 15 %: 11.25 kg are 12.94 kg with it. Packs by hand: 13 kg leave
/// least over, and 2 x 5 and 3 x 1 are the fewest of these. Published; packs common practice.
#[test]
fn ten_square_metres_of_one_mat_come_in_two_cans_and_three_tins() {
    let needs = needs_of("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }]", 10.0, &stock());
    let order = ordered(&needs.needs, "");
    let resin = line(&order, "polyester");
    near(resin.net, 11.25);
    near(resin.with_reserve, 12.9375);
    assert_eq!(packs(resin), [(2, 5.0), (3, 1.0)]);
    near(resin.left_over, 0.0625);
    assert_eq!((resin.price, &resin.supplier), (None, &None));
}

/// Example 29. Source: own sum: 30 kg of 450 g/m2, 1 m wide, are 66.67 m; 64.2 m with 10 % are 70.62: with full rolls alone
/// two are bought.
#[test]
fn mat_that_is_sold_by_the_full_roll_is_bought_so() {
    let mut all = needs_of(MOULDING, 1.0, &stock()).needs;
    let mat = all.iter_mut().find(|need| need.material == "mat 450").expect("mat");
    (mat.roll_m, mat.roll_m_with_reserve) = (Some(64.2), Some(70.62));
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'mat 450'\nkg = 30\nprice = 90";
    let order = ordered(&all, list);
    assert_eq!(packs(line(&order, "mat 450")), [(2, 66.666)]);
    assert_eq!(line(&order, "mat 450").price, Some(180.0));
    // Cut by the metre, or off a usual roll of 66 m and the rest by the metre, least is left over.
    assert_eq!(packs(line(&ordered(&all, ""), "mat 450")), [(1, 66.0), (5, 1.0)]);
}

const TWO_LISTS: &str = "
[[supplier]]
name = 'North'
currency = 'EUR'
delivery = 12
[[supplier.pack]]
of = 'polyester'
kg = 25
price = 100
[[supplier.pack]]
of = 'polyester'
kg = 5
price = 30
[[supplier.pack]]
of = 'catalyst'
litres = 1
price = 15
[[supplier]]
name = 'South'
currency = 'EUR'
delivery = 20
[[supplier.pack]]
of = 'polyester'
kg = 5
price = 24
[[supplier.pack]]
of = 'catalyst'
kg = 1
price = 20
";

/// Resin and catalyst alone, as 10 m2 of one mat take them.
fn resin_and_catalyst() -> Vec<Need> {
    let all =
        needs_of("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }]", 10.0, &stock()).needs;
    all.into_iter().filter(|need| matches!(need.kind, NeedKind::Resin | NeedKind::Catalyst)).collect()
}

/// Source: by hand. 12.94 kg: North 3 x 5 = 90 (a drum is 100), South 3 x 5 = 72. Catalyst 0.219 l: North 15, South 20.
/// North 90 + 15 + 12 = 117; South 72 + 20 + 20 = 112; line by line 72 + 15 + 32 = 119, so that South alone is cheapest.
#[test]
fn delivery_decides_whether_two_suppliers_are_cheaper_than_one() {
    let order = ordered(&resin_and_catalyst(), TWO_LISTS);
    let totals: Vec<(f64, bool)> = order.quotes.iter().map(|quote| (quote.total, quote.cheapest)).collect();
    assert_eq!(totals, [(117.0, false), (112.0, true)]);
    assert_eq!((order.baskets[0].total, order.baskets[0].from.len()), (112.0, 1));
    assert_eq!(line(&order, "polyester").supplier.as_deref(), Some("South"));
    // Without delivery each line comes from the one that asks least.
    let free = TWO_LISTS.replace("delivery = 12", "").replace("delivery = 20", "");
    let order = ordered(&resin_and_catalyst(), &free);
    assert_eq!(order.baskets[0].total, 87.0);
    assert_eq!(line(&order, "catalyst").supplier.as_deref(), Some("North"));
    assert_eq!(line(&order, "catalyst").price, Some(15.0));
}

#[test]
fn a_supplier_that_would_not_take_the_order_comes_last() {
    let list = TWO_LISTS.replace("delivery = 20", "delivery = 20\nminimum_order = 200");
    let order = ordered(&resin_and_catalyst(), &list);
    assert_eq!(order.baskets[0].from.len(), 1);
    assert_eq!((order.baskets[0].from[0].supplier.as_str(), order.baskets[0].total), ("North", 117.0));
    near(order.quotes[1].short_of_minimum, 108.0);
    let both = list.replace("delivery = 12", "delivery = 12\nminimum_order = 200");
    assert!(codes(&ordered(&resin_and_catalyst(), &both)).contains(&"under-minimum-order"));
}

#[test]
fn currencies_are_never_added_up() {
    let order = ordered(&resin_and_catalyst(), &TWO_LISTS.replacen("EUR", "GBP", 1));
    assert_eq!(order.baskets.iter().map(|basket| basket.currency.as_str()).collect::<Vec<_>>(), ["GBP", "EUR"]);
    assert!(order.quotes.iter().all(|quote| quote.cheapest), "each is alone in its currency");
    assert!(order.lines.iter().all(|line| line.currency.as_deref() == Some("GBP")));
    assert!(codes(&order).contains(&"currencies-apart"));
}

#[test]
fn what_a_supplier_does_not_offer_is_told_and_bought_in_usual_packs() {
    let all = needs_of(MOULDING, 3.0, &stock()).needs;
    let order = ordered(&all, TWO_LISTS);
    assert!(order.quotes.iter().all(|quote| !quote.complete && quote.lacks.contains(&"mat 225".to_owned())));
    assert!(!order.baskets[0].complete);
    assert_eq!(line(&order, "production gelcoat").supplier, None);
    assert!(line(&order, "production gelcoat").bought > 0.0);
    let told = order.notes.iter().find(|note| note.code == "not-offered").expect("it is told");
    assert!(told.message.starts_with("North does not offer: mat 225"), "{}", told.message);
}

#[test]
fn a_roll_of_another_width_is_told_and_not_counted() {
    let all = needs_of(MOULDING, 3.0, &stock()).needs;
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'mat 450'\nmetres = 10\nwidth_mm = 1270\nprice = 1";
    let order = ordered(&all, list);
    assert_eq!(line(&order, "mat 450").supplier, None);
    let told = order.notes.iter().find(|note| note.code == "pack-not-counted").expect("it is told");
    assert!(told.message.contains("1270 mm wide") && told.message.contains("1000 mm"), "{}", told.message);
}

#[test]
fn a_pack_without_a_price_is_asked_for_and_one_with_a_price_goes_first() {
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'polyester'\nkg = 20";
    let order = ordered(&resin_and_catalyst(), list);
    assert_eq!((packs(line(&order, "polyester")), line(&order, "polyester").price), (vec![(1, 20.0)], None));
    assert_eq!(order.quotes[0].without_price, ["polyester"]);
    assert!(order.baskets.is_empty() && codes(&order).contains(&"no-price"));
    let both = format!("{list}\n[[supplier.pack]]\nof = 'polyester'\nkg = 25\nprice = 90");
    assert_eq!(packs(line(&ordered(&resin_and_catalyst(), &both), "polyester")), [(1, 25.0)]);
}

#[test]
fn what_is_on_the_shelf_is_taken_off_and_never_more_than_is_needed() {
    let needs = resin_and_catalyst();
    let order = ordered(&needs, "[[on_shelf]]\nof = 'polyester'\nkg = 8\n[[on_shelf]]\nof = 'catalyst'\nlitres = 2");
    near(line(&order, "polyester").to_buy, 12.9375 - 8.0);
    assert_eq!(packs(line(&order, "polyester")), [(1, 5.0)]);
    let catalyst = line(&order, "catalyst");
    assert_eq!((catalyst.on_shelf, catalyst.to_buy, catalyst.bought, catalyst.packs.len()), (2.0, 0.0, 0.0, 0));
    // Litres of resin are kg by its density: 5 l of 1.13 g/ml.
    let order = ordered(&needs, "[[on_shelf]]\nof = 'polyester'\nlitres = 5");
    near(line(&order, "polyester").on_shelf, 5.65);
}

fn dates(first: &str, last: &str) -> Dates {
    Dates { start: entries::day(first), first_day: entries::day(first), last_day: entries::day(last) }
}

#[test]
fn what_is_past_its_date_before_the_work_ends_is_not_counted() {
    let needs = resin_and_catalyst();
    let shelf = "[[on_shelf]]\nof = 'polyester'\nkg = 8\nexpires = '2027-03-31'";
    let on = |last| ordered_on(&needs, shelf, dates("2027-01-09", last), &stock());
    assert_eq!(line(&on("2027-03-31"), "polyester").on_shelf, 8.0);
    let late = on("2027-04-01");
    assert_eq!((line(&late, "polyester").on_shelf, codes(&late)), (0.0, vec!["shelf-expires"]));
    let undated = ordered(&needs, shelf);
    assert_eq!((line(&undated, "polyester").on_shelf, codes(&undated)), (8.0, vec!["shelf-date-unchecked"]));
    // Once opened it keeps six months, whatever is printed on it.
    // A start is told and nothing could be planned from it: what is good then is counted, and nothing else.
    let unplanned = |start| Dates { start: entries::day(start), ..Dates::default() };
    let good = ordered_on(&needs, shelf, unplanned("2027-03-31"), &stock());
    assert_eq!((line(&good, "polyester").on_shelf, codes(&good)), (8.0, vec!["shelf-date-unchecked"]));
    assert!(good.notes[0].message.contains("no day could be planned"), "{:?}", good.notes);
    let past = ordered_on(&needs, shelf, unplanned("2027-04-01"), &stock());
    assert_eq!((line(&past, "polyester").on_shelf, codes(&past)), (0.0, vec!["shelf-expires"]));
    assert!(past.notes[0].message.contains("the work begins on 2027-04-01"), "{:?}", past.notes);
    let opened = format!("{shelf}\nopened = '2026-08-15'\nkeeps_opened_months = 6");
    let order = ordered_on(&needs, &opened, dates("2027-01-09", "2027-02-16"), &stock());
    assert_eq!(line(&order, "polyester").on_shelf, 0.0);
}

#[test]
fn a_pack_that_does_not_keep_as_long_as_the_work_goes_on_is_told() {
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'polyester'\nkg = 5\nprice = 20\nshelf_life_months = 3";
    let on = |last| ordered_on(&resin_and_catalyst(), list, dates("2027-01-31", last), &stock());
    // Three months from 31 January end on 30 April.
    assert!(!codes(&on("2027-04-30")).contains(&"shelf-life-short"));
    assert!(codes(&on("2027-05-01")).contains(&"shelf-life-short"));
    assert!(!codes(&ordered(&resin_and_catalyst(), list)).contains(&"shelf-life-short"));
}

#[test]
fn a_pack_that_must_not_stand_as_cold_as_the_shop_is_told() {
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'polyester'\nkg = 5\nprice = 20\nleast_c = 15";
    let at = |celsius: f64| {
        let practice = toml::from_str(&format!("temperature_c = {celsius}")).expect("a habit");
        let stock = Stock::with(StockFile { practice, ..StockFile::default() }).expect("a stock");
        codes(&ordered_on(&resin_and_catalyst(), list, Dates::default(), &stock)).contains(&"pack-too-cold")
    };
    assert!(at(14.0) && !at(15.0));
}

#[test]
fn an_epoxy_and_its_hardener_are_bought_under_names_of_their_own() {
    let order = ordered(&needs_of(EPOXY, 2.6, &stock()).needs, "");
    assert!(line(&order, "epoxy").bought > 0.0 && line(&order, "epoxy hardener").bought > 0.0);
    let core = line(&order, "foam core 5");
    near(core.with_reserve, 2.6 * 1.1);
    assert_eq!((core.unit_of_sale, packs(core)), (SaleUnit::M2, vec![(2, 2.0)]));
}

#[test]
fn nothing_needed_is_nothing_ordered() {
    assert_eq!(ordered(&[], TWO_LISTS).lines, []);
}

/// One build of a random job: schedule, area, count, and metres off the roll over the area.
type Drawn = (bool, f64, u32, f64);

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// From plies to packs: the plies of all builds weigh what the need says, the line has that with its reserve, and the
    /// packs hold what the shelf does not.
    #[test]
    fn every_need_is_covered_and_nothing_is_ordered_short(
        drawn in proptest::collection::vec((any::<bool>(), 0.01..40.0f64, 1..30u32, 1.0..1.6f64), 1..6),
        on_shelf in 0.0..60.0f64,
        sizes in proptest::collection::vec((0.05..30.0f64, 0.5..200.0f64), 1..4),
    ) {
        let stock = stock();
        let lay_ups: Vec<LayUp> = drawn.iter().map(|(epoxy, area_m2, ..): &Drawn| laid(if *epoxy { EPOXY } else { MOULDING }, *area_m2, &stock)).collect();
        let rolls: Vec<Vec<f64>> = lay_ups.iter().zip(&drawn).map(|(lay_up, (_, area_m2, _, over))| vec![area_m2 * over; lay_up.plies.len()]).collect();
        let builds: Vec<Build<'_>> = lay_ups.iter().zip(&rolls).zip(&drawn).map(|((lay_up, roll_m), (.., count, _))| {
            Build { name: "panel".to_owned(), count: *count, lay_up, roll_m, filler_ml: vec![("fillet putty", 35.0)] }
        }).collect();
        let needs = needs(&builds, &[], &[], &stock, &extras()).needs;
        let packs: String = sizes.iter().map(|(kg, price)| format!("[[supplier.pack]]\nof = 'polyester'\nkg = {kg}\nprice = {price}\n")).collect();
        let lists = format!("[[on_shelf]]\nof = 'polyester'\nkg = {on_shelf}\n[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n{packs}");
        let order = ordered_on(&needs, &lists, Dates::default(), &stock);
        prop_assert_eq!(order.lines.len(), needs.len());
        for (need, line) in needs.iter().zip(&order.lines) {
            // Plies of every build, as often as it is built.
            let laid_kg = total(builds.iter().map(|build| f64::from(build.count) * total(build.lay_up.plies.iter().map(|ply| match need.kind {
                NeedKind::Reinforcement if ply.material == need.material => ply.glass_kg,
                NeedKind::Core if ply.material == need.material => ply.core_kg,
                NeedKind::Resin if ply.resin == need.material => ply.resin_alone_kg,
                _ => 0.0,
            }))));
            if matches!(need.kind, NeedKind::Reinforcement | NeedKind::Core | NeedKind::Resin) {
                prop_assert!((laid_kg - need.kg).abs() <= 1e-9 * need.kg, "{}: {laid_kg} laid, {} needed", line.name, need.kg);
            }
            let (net, with_reserve) = units::in_unit(need, line.unit_of_sale).expect("it is known in its unit");
            prop_assert_eq!((line.net, line.with_reserve), (net, with_reserve));
            // The reserve is there once.
            prop_assert!(need.kind == NeedKind::Reinforcement || (with_reserve - net * (1.0 + need.reserve_percent / 100.0)).abs() <= 1e-9 * net);
            let in_packs = total(line.packs.iter().map(|pack| pack.count as f64 * pack.size));
            prop_assert!(in_packs + line.on_shelf >= with_reserve - 1e-9, "{} short: {line:?}", line.name);
            prop_assert!((in_packs - line.bought).abs() <= 1e-9 * in_packs.max(1.0));
            prop_assert!((line.bought - line.to_buy - line.left_over).abs() <= 1e-9 * line.bought.max(1.0));
            prop_assert!(line.to_buy >= 0.0 && line.left_over >= 0.0);
            let smallest = line.packs.iter().map(|pack| pack.size).fold(f64::INFINITY, f64::min);
            prop_assert!(line.packs.is_empty() || line.left_over < smallest + 1e-9, "no pack could be left out: {line:?}");
        }
    }
}

/// Sizes that differ by next to nothing and cost the same for what is in them: nothing bounds the search.
fn like_tins() -> String {
    let tin = |n: u32| {
        let kg = 1.003 + 0.137 * f64::from(n) + 0.001 * f64::from(n * n);
        let price = (kg * 1e2).round() / 1e2 + 0.01 * f64::from(n % 7);
        format!("[[supplier.pack]]\nof = 'polyester'\nkg = {kg:.3}\nprice = {price:.2}\n")
    };
    format!("[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n{}", (0..40).map(tin).collect::<String>())
}

fn ordered_within(needs: &[Need], list: &str, steps: u64) -> Order {
    let lists: Lists = toml::from_str(list).expect("the lists");
    let said = Said { suppliers: &lists.supplier, ..Said::default() };
    order_within(needs, said, &stock(), Budget::of(steps)).expect("an order")
}

/// With nothing to go through: what it costs is not proved the least, and both line and basket say so, with a bound that is
/// over nothing.
#[test]
fn a_priced_line_that_is_not_proved_the_cheapest_says_so() {
    let needs =
        needs_of("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }]", 400.0, &stock()).needs;
    let order = ordered_within(&needs, &like_tins(), 0);
    let note =
        order.notes.iter().find(|note| note.code == "packs-not-proven" && note.message.starts_with("polyester: "));
    let note = note.expect("it is told");
    assert!(note.message.contains(" cost ") && note.remedy.contains("round their sizes"), "{note:?}");
    let basket = &order.baskets[0];
    assert!(!basket.exact && basket.least > 0.99 * basket.total && basket.least <= basket.total, "{basket:?}");
    assert!(codes(&order).contains(&"choice-not-proven"));
}

/// 51.75 kg out of 24 and 5 kg are a table of 52 steps: it is gone through, and the line proved, whatever is left.
#[test]
fn a_line_of_few_steps_is_covered_exactly_with_nothing_left_to_go_through() {
    let needs =
        needs_of("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }]", 40.0, &stock()).needs;
    let list = "[[supplier]]\nname = 'A'\ncurrency = 'EUR'\n[[supplier.pack]]\nof = 'polyester'\nkg = 24\nprice = 94\n\
                [[supplier.pack]]\nof = 'polyester'\nkg = 5\nprice = 22";
    let (poor, rich) = (ordered_within(&needs, list, 0), ordered(&needs, list));
    assert_eq!(packs(line(&poor, "polyester")), packs(line(&rich, "polyester")));
    assert!(!codes(&poor).contains(&"packs-not-proven"), "{:?}", poor.notes);
}

/// Two suppliers of resin alone, who use up what is gone through: what neither sells comes in the packs in which it comes
/// without them, and nothing is said of it.
#[test]
fn suppliers_of_other_things_change_no_line_that_they_do_not_sell() {
    let needs = needs_of(MOULDING, 137.0, &stock()).needs;
    let list = like_tins() + &like_tins().replace("'A'", "'B'");
    for steps in [0, 1_000_000] {
        let (with, without) = (ordered_within(&needs, &list, steps), ordered(&needs, ""));
        for (with, without) in with.lines.iter().zip(&without.lines).filter(|(line, _)| line.name != "polyester") {
            assert_eq!((packs(with), with.bought), (packs(without), without.bought), "{} of {steps}", with.name);
        }
        let not_proven = with.notes.iter().filter(|note| note.code == "packs-not-proven");
        let others: Vec<&str> =
            not_proven.map(|note| note.message.as_str()).filter(|of| !of.starts_with("polyester")).collect();
        assert!(others.is_empty(), "{others:?}");
    }
}

/// A kilogram on the shelf, 0.9 kg for one thing and 0.5 kg for another: 0.4 kg are bought, with the reserve.
#[test]
fn what_one_need_takes_off_the_shelf_no_other_of_that_name_finds_there() {
    let mut needs = needs_of(MOULDING, 3.0, &stock()).needs;
    needs.retain(|need| need.kind == NeedKind::Filler);
    let mut bond = Need { kind: NeedKind::Adhesive, ..needs[0].clone() };
    (needs[0].kg, needs[0].kg_with_reserve) = (0.9, 0.9);
    (bond.kg, bond.kg_with_reserve) = (0.5, 0.5);
    needs.push(bond);
    let shelf = "[[on_shelf]]\nof = 'fillet putty'\nkg = 0.25\n[[on_shelf]]\nof = 'fillet putty'\nkg = 0.75";
    let order = ordered(&needs, shelf);
    // Told apart by what they are for.
    let names: Vec<&str> = order.lines.iter().map(|line| line.name.as_str()).collect();
    assert_eq!(names, ["fillet putty (filler)", "fillet putty (adhesive)"]);
    near(order.lines[0].on_shelf, 1.0);
    near(order.lines[1].on_shelf, 0.1);
    near(order.lines[0].to_buy + order.lines[1].to_buy, 0.4);
    // What is past its date is told once.
    let late = shelf.replace("kg = 0.75", "kg = 0.75\nexpires = '2026-01-01'");
    let order = ordered_on(&needs, &late, dates("2027-01-09", "2027-01-10"), &stock());
    assert_eq!(codes(&order), ["shelf-expires"]);
    near(order.lines[0].to_buy + order.lines[1].to_buy, 1.15);
}
