//! What plugs, test patches, moulds and cradles take, against what the days do to them.

use super::*;
use crate::workshop::days::beside::Beside;
use crate::workshop::days::task::{Kind, Task};
use crate::workshop::days::tasks::{Habits as DayHabits, tasks};

/// Mould of 2 m2 with 0.4 m2 of flange, and its moulding; openings of 0.3 m2 are laid across.
fn with_openings(stock: &Stock) -> Vec<PieceWork> {
    [Make::Mould, Make::Moulding]
        .into_iter()
        .enumerate()
        .map(|(build, make)| {
            let piece = piece(stock, [0, build, 0], make, 2.0, "polyester");
            let flange_m2 = if make == Make::Mould { 0.4 } else { 0.0 };
            PieceWork { laid_across_m2: 0.3, flange_m2, stages: vec![one_stage()], ..piece }
        })
        .collect()
}

fn tasks_of(pieces: Vec<PieceWork>, stock: &Stock) -> Vec<Task> {
    let crew = Crew::with(CrewEntry::default()).expect("the starter's");
    let pace = Pace::with(PaceEntry::default()).expect("the starter's");
    let habits = DayHabits { stock, crew: &crew, pace: &pace };
    tasks(&Work { pieces, missing: Vec::new() }, &Beside::default(), habits).tasks
}

/// Source: own sum. An opening that is laid across is closed on the plug: filled, painted, waxed like the rest. 2.3 m2 of plug;
/// 2.7 m2 of it and its flanges under wax, in six coats of 10 g/m2. The days do as much as is ordered.
#[test]
fn openings_that_are_laid_across_are_filled_painted_and_waxed_as_the_days_have_it() {
    let stock = Stock::starter().expect("the starter stock");
    let taken = taken(with_openings(&stock), &[Asked::default()], &plug_of(""), None, &stock);
    let days = tasks_of(with_openings(&stock), &stock);
    let done_m2 = |kind: Kind, key: &str| {
        let task = days.iter().find(|task| task.kind == kind && task.key.contains(key)).expect("a task");
        task.effort.quantity
    };
    near(taken.plugs[0].skin_m2, 2.3, 1e-12);
    near(done_m2(Kind::Fair, "mould"), 2.3, 1e-12);
    near(kg_of(&taken, NeedKind::ReleaseWax, "new plug"), 2.7 * 6.0 * 0.010, 1e-12);
    near(done_m2(Kind::Wax, "mould"), 2.7, 1e-12);
    near(kg_of(&taken, NeedKind::ReleaseWax, "new mould"), 2.7 * 6.0 * 0.010, 1e-12);
}

/// Source: own sum. A patch of 0.1 m2: mould gelcoat as on the mould, one ply of mat 450 at 2.5 to 1, six coats of wax.
#[test]
fn the_test_patch_is_ordered_and_mixed_once_for_each_stuff_of_plug() {
    let stock = Stock::starter().expect("the starter stock");
    let mould = |part: usize| PieceWork {
        stages: vec![one_stage()],
        ..piece(&stock, [part, 0, 0], Make::Mould, 1.0, "polyester")
    };
    let own = taken(vec![mould(0)], &[Asked::default()], &plug_of("made_of = 'timber'"), None, &stock);
    let gelcoat_kg = 0.1 * stock.gelcoats["mould gelcoat"].coverage_kg_m2.value;
    near(kg_of(&own, NeedKind::Gelcoat, "test patch"), gelcoat_kg, 1e-12);
    near(kg_of(&own, NeedKind::Reinforcement, "test patch"), 0.1 * 0.45, 1e-12);
    near(kg_of(&own, NeedKind::Resin, "test patch"), 0.1 * 0.45 * 2.5, 1e-12);
    near(kg_of(&own, NeedKind::Catalyst, "test patch"), 0.02 * (gelcoat_kg + 0.1125), 1e-12);
    near(kg_of(&own, NeedKind::ReleaseWax, "test patch"), 0.1 * 6.0 * 0.010, 1e-12);
    for kind in [NeedKind::PlugFiller, NeedKind::Primer, NeedKind::Paint, NeedKind::Abrasive, NeedKind::Pva] {
        assert!(own.takes.iter().any(|take| take.kind == kind && take.name.contains("test patch")), "{kind:?}");
    }
    let mixed: Vec<(MixKind, u32)> = own.mixed.iter().map(|mixed| (mixed.kind, mixed.count)).collect();
    assert_eq!(mixed, [(MixKind::Gelcoat, 1), (MixKind::Resin, 1)]);
    // Two panels on one stuff prove it once; both hands of a panel too.
    let mut both = vec![mould(0), mould(1)];
    both.iter_mut().for_each(|mould| (mould.count, mould.n_hands) = (2, 2));
    let both = taken(both, &[Asked::default(), Asked::default()], &plug_of(""), None, &stock);
    let patches = both.takes.iter().filter(|take| take.kind == NeedKind::Gelcoat && take.name.contains("test patch"));
    assert_eq!(patches.map(|take| take.count).collect::<Vec<_>>(), [1]);
}

/// Source: own sum. A frame of 2 x 1.2 + 2 x 0.8 = 4 m: 14 tabs each 300 mm, 150 mm wide, over 3 x 50 mm of timber and 50 mm on
/// the mould on either side, in two plies: 1.05 m2 of mat 450 at 2.5 to 1.
#[test]
fn the_glass_that_ties_a_cradle_to_its_mould_is_ordered_and_mixed() {
    let stock = Stock::starter().expect("the starter stock");
    let mould = piece(&stock, [0, 0, 0], Make::Mould, 2.4, "polyester");
    let told = Stiffening { metres: Some(0.0), cradle: true, ..Stiffening::default() };
    let taken =
        taken(vec![mould], &[Asked { stiffening: Some(&told), ..Asked::default() }], &plug_of(""), None, &stock);
    near(kg_of(&taken, NeedKind::Reinforcement, "cradle"), 1.05 * 0.45, 1e-12);
    near(kg_of(&taken, NeedKind::Resin, "cradle"), 1.05 * 0.45 * 2.5, 1e-12);
    assert!(taken.mixed.iter().any(|mixed| mixed.why == "cradle"));
    let tabs = taken.finished[&(0, 0)].iter().find(|line| line.what == "cradle, tabs of glass").expect("tabs");
    near(tabs.kg.likely, 1.05 * 0.45 * 3.5, 1e-12);
}
