use proptest::prelude::*;

use super::card::CARD_C;
use super::lines::HeldBy;
use super::*;
use crate::laminate::cure::Cure;
use crate::laminate::schedule::Make;
use crate::laminate::stages::{Stage, StageEnd};
use crate::laminate::stock::StockFile;
use crate::laminate::warnings::{COLDEST_C, HOTTEST_C};
use crate::workshop::mixes::habits::MixHabits;
use crate::workshop::work::{GelcoatWork, PlyWork};

/// Stock, crew and habits with a job's text over them.
struct Bench {
    stock: Stock,
    crew: Crew,
    habits: MixHabits,
    pace: Pace,
}

impl Bench {
    fn with(stock: &str, crew: &str, habits: &str) -> Self {
        let file: StockFile = toml::from_str(stock).expect("a stock");
        Self {
            stock: Stock::with(file).expect("a sound stock"),
            crew: Crew::with(toml::from_str(crew).expect("a crew")).expect("a sound crew"),
            habits: MixHabits::with(toml::from_str(habits).expect("habits")).expect("sound habits"),
            pace: Pace::with(toml::from_str("").expect("a pace")).expect("the starter's pace"),
        }
    }

    fn at(temperature_c: f64) -> Self {
        Self::with(&format!("[practice]\ntemperature_c = {temperature_c:?}"), "", "")
    }

    fn shop(&self) -> MixShop<'_> {
        MixShop { stock: &self.stock, crew: &self.crew, habits: &self.habits, pace: &self.pace }
    }

    fn mixes(&self, pieces: Vec<PieceWork>) -> Mixes {
        mixes(&Work { pieces, missing: Vec::new() }, &Taken::default(), &self.shop())
    }
}

fn ply(number: usize, resin: &str, glass_kg: f64, resin_kg: f64, alone_kg: f64) -> PlyWork {
    PlyWork {
        ply: number,
        name: format!("ply {number}"),
        material: "mat 450".to_owned(),
        is_core: false,
        is_everywhere: true,
        resin: resin.to_owned(),
        laid_m2: glass_kg / 0.45,
        glass_kg,
        core_kg: 0.0,
        resin_kg,
        resin_alone_kg: alone_kg,
        dose: None,
        roll_m: 0.0,
    }
}

/// A piece of some plies, each a stage of its own.
fn piece(gelcoat: Option<(f64, f64)>, plies: Vec<PlyWork>, told_percent: Option<f64>) -> PieceWork {
    let stage = |ply: &PlyWork| Stage {
        stage: ply.ply,
        from_ply: ply.ply,
        to_ply: ply.ply,
        glass_g_m2: 450.0,
        thickness_mm: 1.0,
        ends: StageEnd::Done,
    };
    PieceWork {
        place: Place::default(),
        part: "tray".to_owned(),
        piece: "a".to_owned(),
        n_pieces: 1,
        make: Make::Moulding,
        count: 1,
        n_hands: 1,
        size_mm: [1200.0, 800.0, 150.0],
        area_m2: 1.56,
        flange_m2: 0.0,
        trim_m2: 0.0,
        laid_across_m2: 0.0,
        edge_mm: 4000.0,
        flanged_mm: 0.0,
        splits: Vec::new(),
        catalyst_percent: told_percent,
        gelcoat: gelcoat.map(|(laid_m2, kg)| GelcoatWork {
            name: "production gelcoat".to_owned(),
            laid_m2,
            kg,
            alone_kg: kg,
            dose: None,
            n_coats: 2,
        }),
        stages: plies.iter().map(stage).collect(),
        plies,
        putty_ml: Vec::new(),
        corner_mm: 0.0,
        thickness_mm: 2.8,
        mass_kg: Spread::exactly(7.0),
        lifted_by: None,
        n_wedges: 0,
        wall: None,
        n_ports: 0,
        stiffen: None,
    }
}

fn polyester(glass_kg: f64) -> PieceWork {
    piece(None, vec![ply(1, "polyester", glass_kg, 2.5 * glass_kg, 2.5 * glass_kg)], None)
}

/// Source: own sum. Alone at 5 kg/h of laminate, of it 2.5 / 3.5 resin: 3.571 kg/h. 65 % of 17.5 min lays 0.677 kg, on the
/// scale 670 g. 5 kg of resin are 8 mixes of 630 g, with 12.6 g or 10.68 ml of catalyst at 2 % and 1.18 g/ml.
#[test]
fn five_kilos_of_resin_alone_at_20_c_are_eight_mixes() {
    let mixes = Bench::at(20.0).mixes(vec![polyester(2.0)]);
    let line = &mixes.lines[0];
    assert!((line.in_time_kg.expect("laid") - 17.5 * 0.65 * 5.0 / 60.0 * 2.5 / 3.5).abs() < 1e-12);
    assert!((line.largest_kg.expect("laid") - 0.67).abs() < 1e-12);
    assert_eq!(line.held_by, Some(HeldBy::Time));
    let cups = line.mixes.expect("mixes");
    assert_eq!((cups.n_mixes, cups.weigh_g), (8, 630.0));
    assert!((cups.stir_g - 12.6).abs() < 1e-9 && (cups.stir_ml.expect("poured") - 12.6 / 1.18).abs() < 1e-9);
    assert_eq!(mixes.notes, []);
}

/// Source: own sum. Four people lay 2.708 kg in the time; a cup holds 1.5 kg. At a face of 1.56 m2 two of them find room (1.5
/// m2 each), who lay 1.354 kg.
#[test]
fn with_many_hands_the_cup_holds_the_mix_small() {
    let bench = Bench::with("[practice]\ntemperature_c = 20", "people = 4", "");
    let mixes = bench.mixes(vec![PieceWork { area_m2: 6.0, ..polyester(2.0) }]);
    assert_eq!((mixes.lines[0].hands, mixes.lines[0].held_by), (4, Some(HeldBy::Cup)));
    let cups = mixes.lines[0].mixes.expect("mixes");
    assert_eq!((cups.n_mixes, cups.weigh_g), (4, 1250.0));
    let mixes = bench.mixes(vec![polyester(2.0)]);
    assert_eq!((mixes.lines[0].hands, mixes.lines[0].held_by), (2, Some(HeldBy::Time)));
    assert_eq!(mixes.lines[0].largest_kg, Some(1.35));
}

#[test]
fn under_15_c_nothing_is_mixed_and_the_shop_is_to_be_warmed() {
    let mixes = Bench::at(14.9).mixes(vec![polyester(2.0)]);
    let refusal = mixes.materials[0].refused.as_ref().expect("refused");
    assert!(refusal.why.contains("14.9 C") && refusal.remedy.contains("warm shop, tool and resin"), "{refusal:?}");
    assert!(mixes.lines[0].mixes.is_none() && mixes.lines[0].need_kg == 5.0);
    assert!(mixes.notes.iter().any(|note| note.code == "mixes-refused" && note.message.contains("polyester")));
    // The card still shows what warmth would allow.
    assert!(mixes.materials[0].card.is_some());
    assert!(Bench::at(COLDEST_C).mixes(vec![polyester(2.0)]).lines[0].mixes.is_some());
}

/// Source: International Chemical Safety Card 0073, styrene: over 31 C vapour and air may explode.
#[test]
fn from_31_c_on_nothing_that_holds_styrene_is_mixed_though_its_table_goes_there() {
    const TABLE: &str = "[resin.polyester]\ngel_min = [{ temperature_c = 18, catalyst_percent = 2, min = 28 }, \
                         { temperature_c = 35, catalyst_percent = 2, min = 14 }]\n[resin.epoxy]\n\
                         gel_min = [{ temperature_c = 18, min = 40 }, { temperature_c = 35, min = 25 }]";
    let at = |temperature_c: f64| {
        let bench = Bench::with(&format!("[practice]\ntemperature_c = {temperature_c:?}\n{TABLE}"), "", "");
        let plies = vec![ply(1, "polyester", 1.0, 2.5, 2.5), ply(2, "epoxy", 1.0, 1.0, 0.8)];
        let stage = |number: usize| Stage {
            stage: number,
            from_ply: number,
            to_ply: number,
            glass_g_m2: 450.0,
            thickness_mm: 1.0,
            ends: StageEnd::Resin,
        };
        bench.mixes(vec![PieceWork { stages: vec![stage(1), stage(2)], ..piece(None, plies, None) }])
    };
    let hot = at(HOTTEST_C);
    let [polyester, epoxy] = hot.materials.as_slice() else { panic!("{:?}", hot.materials) };
    let refusal = polyester.refused.as_ref().expect("refused");
    assert!(refusal.why.contains("31 C") && refusal.remedy.contains("25 C or less"), "{refusal:?}");
    assert!(hot.lines[0].mixes.is_none() && epoxy.refused.is_none());
    assert!(at(30.9).materials[0].refused.is_none());
    let holds_c = at(30.0).materials[0].holds_c.expect("useful");
    assert!(holds_c[1] <= HOTTEST_C, "{holds_c:?}");
    let caution = crate::laminate::cautions::CAUTIONS.iter().find(|caution| caution.about == "hot day").expect("one");
    assert!(caution.text.contains(&format!("{HOTTEST_C} C")), "one limit: {}", caution.text);
}

#[test]
fn past_its_table_a_resin_is_not_mixed() {
    let mixes = Bench::at(27.0).mixes(vec![polyester(2.0)]);
    let refusal = mixes.materials[0].refused.as_ref().expect("refused");
    assert!(refusal.why.contains("27 C") && refusal.why.contains("15 to 25 C"), "{refusal:?}");
    assert!(refusal.remedy.contains("nothing is read past it"));
}

#[test]
fn a_resin_without_a_table_asks_for_it() {
    let plies = vec![ply(1, "vinyl ester", 1.0, 2.5, 2.5)];
    let mixes = Bench::at(20.0).mixes(vec![piece(None, plies, None)]);
    let refusal = mixes.materials[0].refused.as_ref().expect("refused");
    assert!(refusal.remedy.contains("stock.resin.\"vinyl ester\""), "{refusal:?}");
    assert!(mixes.materials[0].card.is_none());
}

/// Source: own sum on the starter's table. At 25 C 2 % gels in 12 min; between 20 min at 1.25 % and that, 15 min is reached at
/// 1.25 + 0.75 ln(15/20) / ln(12/20) = 1.672 %, rounded down to 1.65.
#[test]
fn in_a_warm_shop_less_catalyst_is_taken_and_never_more_than_the_maker_allows() {
    let mixes = Bench::at(25.0).mixes(vec![polyester(2.0)]);
    let share = mixes.materials[0].share.expect("a share");
    assert_eq!((share.percent, share.fit), (1.65, Fit::Useful));
    assert!(share.gel_min.likely >= 15.0);
    let note = mixes.notes.iter().find(|note| note.code == "share-for-temperature").expect("it is told");
    assert!(note.message.contains("1.65 %") && note.message.contains("2 %"), "{}", note.message);
    for temperature_c in [15.0, 17.5, 20.0, 22.2, 25.0] {
        let mixes = Bench::at(temperature_c).mixes(vec![polyester(2.0)]);
        let share = mixes.materials[0].share.expect("a share");
        assert!((1.0..=2.5).contains(&share.percent));
    }
}

/// Source: own sum on the starter's table: 2 % gels in 15 min at 20 + 5 ln(15/17.5) / ln(12/17.5) = 22.04 C, and at 15 C, the
/// coldest, in 25 min.
#[test]
fn it_is_said_between_which_temperatures_a_share_holds() {
    let mixes = Bench::at(20.0).mixes(vec![polyester(2.0)]);
    let [from, to] = mixes.materials[0].holds_c.expect("it holds");
    assert!((from - 15.0).abs() < 1e-9 && (to - 22.043).abs() < 1e-3, "{from} to {to}");
}

#[test]
fn a_schedules_own_share_is_kept_or_refused() {
    let with = |told| piece(None, vec![ply(1, "polyester", 2.0, 5.0, 5.0)], Some(told));
    let kept = Bench::at(25.0).mixes(vec![with(2.0)]);
    let share = kept.materials[0].share.expect("a share");
    assert_eq!((share.percent, share.fit), (2.0, Fit::Short));
    assert!(kept.notes.iter().any(|note| note.code == "gel-short"));
    let refused = Bench::at(20.0).mixes(vec![with(3.0)]);
    assert!(
        refused.materials[0].refused.as_ref().is_some_and(|refusal| refusal.why.contains("outside the 1 to 2.5 %"))
    );
    // 2.5 % is within the range, and past the starter's table.
    let unknown = Bench::at(20.0).mixes(vec![with(2.5)]);
    assert!(unknown.materials[0].refused.as_ref().is_some_and(|refusal| refusal.why.contains("1.25 to 2 %")));
}

#[test]
fn more_catalyst_than_the_order_holds_is_warned_of() {
    let slow =
        "[practice]\ntemperature_c = 16\n[resin.polyester]\ncatalyst_percent = { value = 1.25, low = 1, high = 2.5 }\n";
    let mixes = Bench::with(slow, "", "").mixes(vec![polyester(2.0)]);
    let share = mixes.materials[0].share.expect("a share");
    assert!(share.percent > 1.25 && share.fit == Fit::Useful, "{share:?}");
    assert!(mixes.notes.iter().any(|note| note.code == "share-over-order"));
}

/// Source: own sum, 30 g to 100 g. 1.3 kg of mix are 1000 g and 300 g; two cups of half that.
#[test]
fn epoxy_goes_by_its_fixed_ratio_and_needs_a_pot_life() {
    // Of so small an area that its mass is what takes the time.
    let plies = vec![PlyWork { laid_m2: 2.0, ..ply(1, "epoxy", 1.3, 1.3, 1.0) }];
    let without = Bench::at(20.0).mixes(vec![piece(None, plies.clone(), Some(2.0))]);
    let refusal = without.materials[0].refused.as_ref().expect("refused");
    assert!(refusal.remedy.contains("pot life") && refusal.remedy.contains("ratio stays"), "{refusal:?}");
    let stock = "[practice]\ntemperature_c = 20\n[resin.epoxy]\ngel_min = [{ temperature_c = 18, min = 30 }, { temperature_c = 25, min = 20 }]";
    let mixes = Bench::with(stock, "", "").mixes(vec![piece(None, plies, Some(2.0))]);
    let material = &mixes.materials[0];
    assert_eq!((material.stirred, material.told_percent), (Some(Stirred::Hardener), None));
    // 26.72 min of pot life: 0.65 of it lay 5 kg/h of which half is mix, 0.7236 kg, of it 0.5566 kg resin.
    let line = &mixes.lines[0];
    let cups = line.mixes.expect("mixes");
    assert_eq!((cups.n_mixes, cups.weigh_g), (2, 500.0));
    assert!((cups.stir_g - 150.0).abs() < 1e-9);
    let card = material.card.as_ref().expect("a card");
    for row in &card.rows {
        for cell in row.cells.iter().flatten() {
            assert!((cell.g - 0.3 * row.weigh_g).abs() < 1e-9);
        }
    }
    assert!(card.columns[0].refused.is_some() && card.columns[2].percent == Some(30.0));
}

#[test]
fn gelcoat_is_mixed_coat_by_coat_and_putty_for_itself() {
    let mut tray = piece(Some((1.56, 0.975)), Vec::new(), None);
    tray.putty_ml = vec![("fillet putty".to_owned(), 63.18)];
    let mixes = Bench::at(20.0).mixes(vec![tray]);
    let steps: Vec<(MixStep, usize)> = mixes.lines.iter().map(|line| (line.step, line.number)).collect();
    assert_eq!(steps, [(MixStep::Coat, 1), (MixStep::Coat, 2), (MixStep::Fillets, 1)]);
    // 17 min x 0.65 at 4 m2/h brush 0.7367 m2, at 0.3125 kg/m2 a coat: 0.2302 kg. 487.5 g are three of 170.
    let cups = mixes.lines[0].mixes.expect("mixes");
    assert_eq!((cups.n_mixes, cups.weigh_g), (3, 170.0));
    // 63.18 ml x 1.8 = 113.7 g of putty; 5 min x 0.65 at 2 kg/h work 108.3 g: two of 60.
    let cups = mixes.lines[2].mixes.expect("mixes");
    assert_eq!((cups.n_mixes, cups.weigh_g, cups.stir_ml), (2, 60.0, None));
    assert!((cups.stir_g - 1.2).abs() < 1e-9);
}

/// The starter's putty has gel times for one share only, so none are left out between two.
#[test]
fn a_table_of_one_share_is_not_told_as_a_range() {
    let mut tray = piece(None, Vec::new(), None);
    tray.putty_ml = vec![("fillet putty".to_owned(), 63.18)];
    let mixes = Bench::at(17.0).mixes(vec![tray]);
    let refusal = mixes.materials[0].refused.as_ref().expect("refused");
    assert!(refusal.why.ends_with("before 17 C and 2 %: the table holds 18 to 25 C and 2 %"), "{}", refusal.why);
}

#[test]
fn what_gels_before_a_scale_step_is_laid_is_refused() {
    let slow = Bench::with("[practice]\ntemperature_c = 20", "laminate_kg_h = 0.1", "scale_step_g = 100");
    let mixes = slow.mixes(vec![polyester(2.0)]);
    assert!(mixes.materials[0].refused.as_ref().is_some_and(|refusal| refusal.why.contains("100 g")));
    assert_eq!(mixes.materials[0].n_mixes, 0);
}

#[test]
fn where_no_temperature_is_told_twenty_is_taken_and_told() {
    let mixes = Bench::with("", "", "").mixes(vec![polyester(2.0)]);
    assert!(mixes.is_assumed && mixes.temperature_c == 20.0);
    assert!(mixes.notes.iter().any(|note| note.code == "temperature-of-mixes"));
    assert!(Bench::with("", "", "").mixes(Vec::new()).notes.is_empty());
}

/// A card is what the mixes are: the same share, blank past the largest mix and past the table.
#[test]
fn the_card_is_blank_where_nothing_may_be_mixed() {
    let bench = Bench::with("", "", "");
    let mixes = bench.mixes(vec![polyester(2.0)]);
    let card = mixes.materials[0].card.as_ref().expect("a card");
    assert_eq!(card.columns.iter().map(|column| column.temperature_c).collect::<Vec<_>>(), CARD_C);
    for row in &card.rows {
        for (cell, column) in row.cells.iter().zip(&card.columns) {
            let allowed = column.largest_g.is_some_and(|largest_g| row.weigh_g <= largest_g);
            assert_eq!(cell.is_some(), allowed, "{} g at {} C", row.weigh_g, column.temperature_c);
            if let (Some(cell), Some(percent)) = (cell, column.percent) {
                assert!((cell.g - row.weigh_g * percent / 100.0).abs() < 1e-9);
                assert!((cell.ml.expect("poured") - cell.g / 1.18).abs() < 1e-9);
            }
        }
    }
    assert!(card.rows.iter().any(|row| row.cells.iter().any(Option::is_none)));
}

/// Source: the plan's own sums: at the likely share the mixes hold what the plan's catalyst is reckoned from.
#[test]
fn catalyst_of_the_mixes_is_that_of_the_plan() {
    let bench = Bench::at(20.0);
    let mixes = bench.mixes(vec![polyester(1.755)]);
    let cure = Cure::of_resin(&bench.stock.resins["polyester"], None).expect("by catalyst");
    let dose = cure.dose(2.5 * 1.755);
    let line = &mixes.lines[0];
    assert!((line.stir_g.expect("a share") - dose.g).abs() < 1e-9);
    assert!((line.stir_ml.expect("a share") - dose.ml).abs() < 1e-9);
    let cups = line.mixes.expect("mixes");
    assert!((cups.n_mixes as f64 * cups.each_g - 1000.0 * line.alone_kg).abs() < 1e-9);
}

proptest! {
    #[test]
    fn mixes_hold_the_need_within_cup_and_time(
        glass_kg in 0.001f64..40.0, temperature_c in 15.0f64..25.0, people in 1u32..6, told in proptest::option::of(1.25f64..2.0)
    ) {
        let bench = Bench::with(&format!("[practice]\ntemperature_c = {temperature_c:?}"), &format!("people = {people}"), "");
        let mut work = polyester(glass_kg);
        work.catalyst_percent = told;
        let mixes = bench.mixes(vec![work]);
        let (line, material) = (&mixes.lines[0], &mixes.materials[0]);
        let cups = line.mixes.expect("within the table");
        let share = material.share.expect("within the table");
        let (need_g, all_g) = (1000.0 * line.alone_kg, cups.n_mixes as f64 * cups.weigh_g);
        prop_assert!(all_g >= need_g - 1e-6 && all_g - need_g < 10.0 * cups.n_mixes as f64 + 1e-6);
        prop_assert!((cups.n_mixes as f64 * cups.each_g - need_g).abs() < 1e-9 * need_g.max(1.0));
        prop_assert!(cups.weigh_g <= 1500.0 + 1e-6);
        prop_assert!(cups.minutes <= material.lay_within_min.expect("a share") * (1.0 + 1e-9));
        prop_assert!((1.0..=2.5).contains(&share.percent));
        prop_assert!(told.is_none_or(|told| told == share.percent));
        for working in &line.workings {
            prop_assert!((working.value() - working.result).abs() <= 1e-9 * working.result.abs().max(1.0), "{}", working.line());
        }
    }

    /// At one share a warmer shop gels sooner, and its largest mix is no larger.
    #[test]
    fn warmer_is_sooner_and_smaller(cold_c in 15.0f64..25.0, by_c in 0.0f64..10.0, told in 1.25f64..2.0) {
        let warm_c = (cold_c + by_c).min(25.0);
        let at = |temperature_c: f64| {
            let mut work = polyester(3.0);
            work.catalyst_percent = Some(told);
            let mixes = Bench::at(temperature_c).mixes(vec![work]);
            (mixes.materials[0].share.expect("a share").gel_min.likely, mixes.lines[0].largest_kg.expect("a mix"))
        };
        let ((cold_min, cold_kg), (warm_min, warm_kg)) = (at(cold_c), at(warm_c));
        prop_assert!(warm_min <= cold_min * (1.0 + 1e-12) && warm_kg <= cold_kg);
    }

    /// The chosen share never rises with the temperature.
    #[test]
    fn a_warmer_shop_never_gets_more_catalyst(cold_c in 15.0f64..25.0, by_c in 0.0f64..10.0) {
        let bench = Bench::at(20.0);
        let at = |temperature_c: f64, recipe: &Recipe| {
            share_at(recipe, temperature_c, bench.habits.useful_gel_min.spread()).expect("within the table").percent
        };
        let polyester = Recipe::of_resin(&bench.stock.resins["polyester"], None).expect("a recipe");
        let gelcoat = Recipe::of_gelcoat(&bench.stock.gelcoats["production gelcoat"]).expect("a recipe");
        for recipe in [polyester, gelcoat] {
            prop_assert!(at((cold_c + by_c).min(25.0), &recipe) <= at(cold_c, &recipe));
        }
    }
}
