//! What is done to a build in which order: plugs, boards, epoxy, joints, fixings and inner faces.

use super::super::outcome::Moment;
use super::*;

#[test]
fn the_order_of_a_split_mould_is_board_half_one_strip_half_two_drill_part() {
    let shop = Shop::new("", "");
    let days = shop.days(&work(vec![panel(0, 0.8, 2, 2)]));
    let start = |key: &str| {
        let task = days.tasks.iter().position(|task| task.key == format!("panel 0/1/{key}"));
        task.unwrap_or_else(|| panic!("no {key}"))
    };
    let order = [
        "mould/fair",
        "mould/paint 2",
        "mould a/board",
        "mould a/wax 6",
        "mould a/film",
        "mould a/gelcoat 2",
        "mould a/putty",
        "mould a/stage 1",
        "mould a/stage 3",
        "mould a/strip",
        "mould b/wax 1",
        "mould b/stage 3",
        "mould/drill",
        "mould/release",
        "moulding 1/wash",
        "moulding 1/bolt",
        "moulding 1/wax 6",
        "moulding 1/stage 2",
        "moulding 1/release",
        "moulding 1/weigh",
        "moulding 2/wax 1",
        "moulding 2/release",
    ];
    let starts: Vec<usize> = order.iter().map(|key| start(key)).collect();
    assert!(starts.is_sorted(), "{starts:?}");
    assert_eq!(days.tasks[0].key, "test patch/prime", "the test patch is first of all");
    let rewaxed = days.tasks.iter().filter(|task| task.key.starts_with("panel 0/1/moulding 2/wax")).count();
    assert_eq!(rewaxed, 3, "a mould that is broken in takes three coats");
    assert!(!days.tasks.iter().any(|task| task.key == "panel 0/1/moulding 2/weigh"), "only the trial is weighed");
}

/// A mould in one piece has its flange board too: round its edge, as the order has it.
#[test]
fn the_flange_board_round_an_edge_is_fixed_before_the_wax_and_taken_off_before_the_mould() {
    let days = Shop::new("", "").days(&work(vec![panel(0, 0.25, 1, 1)]));
    let task = |key: &str| {
        let at = days.tasks.iter().position(|task| task.key == format!("panel 0/1/mould/{key}"));
        at.unwrap_or_else(|| panic!("no {key}"))
    };
    let order = ["paint 2", "board", "wax 1", "stage 3", "strip", "release"].map(task);
    assert!(order.is_sorted(), "{order:?}");
    // 2 m of edge at 1 h/m.
    let board = &days.tasks[task("board")];
    assert_eq!((board.minutes, board.words.contains("round the edge")), (120, true), "{board:?}");
}

/// Each stuff of plugs is proved by a patch of its own; polystyrene foam is sealed, on the patch and on the plug, a day before
/// polyester filler.
#[test]
fn polystyrene_is_sealed_before_it_is_filled_and_each_stuff_has_its_patch() {
    let mut shop = Shop::new("", "");
    let job = work(vec![panel(0, 0.2, 1, 1), panel(1, 0.2, 1, 1), panel(2, 0.3, 1, 1)]);
    shop.beside.plugs =
        BTreeMap::from([(0, PlugStuff::FoamPolystyrene), (1, PlugStuff::Timber), (2, PlugStuff::Timber)]);
    let days = shop.days(&job);
    let minute = |moment: &Moment| moment.day * 24 * 60 + moment.minute;
    let task = |key: &str| days.tasks.iter().find(|task| task.key == key).unwrap_or_else(|| panic!("no {key}"));
    for (sealed, filled) in [
        ("panel 0/1/mould/seal", "panel 0/1/mould/fair"),
        ("test patch on polystyrene foam/seal", "test patch on polystyrene foam/prime"),
    ] {
        assert!(minute(&task(filled).start) >= minute(&task(sealed).end) + 24 * 60, "{sealed}");
    }
    assert_eq!(days.tasks.iter().filter(|task| task.kind == Kind::Seal).count(), 2, "timber is not sealed");
    for (panel, patch) in [("panel 0", "polystyrene foam"), ("panel 1", "timber"), ("panel 2", "timber")] {
        let primed = task(&format!("{panel}/1/mould/primer 1"));
        let proved = primed.waits.iter().find(|wait| wait.why == Why::Proved).expect("it waits for a patch");
        assert_eq!(proved.after, format!("test patch on {patch}/look"));
    }
    let (tasks, mut schedule, working) = shop.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    let seal = schedule.planned.iter_mut().find(|planned| planned.task.key == "panel 0/1/mould/seal").expect("a seal");
    seal.spans[0] =
        Span { from_min: seal.spans[0].from_min + 14 * 24 * 60, to_min: seal.spans[0].to_min + 14 * 24 * 60 };
    let found = faults(&tasks, &schedule, &working, 1);
    assert!(found.iter().any(|fault| fault.contains("is before its foam is sealed")), "{found:?}");
}

#[test]
fn epoxy_is_laid_on_gelcoat_that_has_cured_and_been_abraded() {
    let shop = Shop::new("", "");
    let mut pieces = panel(0, 0.3, 1, 1);
    pieces[1] = in_resin("epoxy", pieces[1].clone());
    let job = work(vec![pieces]);
    let (tasks, mut schedule, working) = shop.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    let abraded: Vec<&Planned> = schedule.planned.iter().filter(|planned| planned.task.kind == Kind::Abrade).collect();
    let [abraded] = abraded.as_slice() else { panic!("{abraded:?}") };
    assert_eq!(abraded.task.key, "panel 0/1/moulding 1/abrade 1");
    assert!(abraded.task.words.contains("gelcoat"), "{}", abraded.task.words);
    assert!(epoxy_on_tacky(&job, &schedule, 48 * 60).is_empty());
    // And it finds one that is laid while the gelcoat is tacky.
    let gelled =
        schedule.planned.iter().find(|planned| planned.task.key == "panel 0/1/moulding 1/putty").expect("putty");
    let spans = gelled.spans.clone();
    let stage = schedule.planned.iter_mut().find(|planned| planned.task.key == "panel 0/1/moulding 1/stage 1");
    stage.expect("a stage").spans = spans;
    assert_eq!(epoxy_on_tacky(&job, &schedule, 48 * 60), ["panel 0/1/moulding 1/stage 1"]);
}

/// A shop with what belongs to the moulding of panel 0 beyond its plies.
fn shop_with(extra: Extra) -> Shop {
    let mut shop = Shop::new("", "");
    shop.beside.extras.insert((0, 1), extra);
    shop
}

/// A moulding in two pieces out of one mould: joined when both are out and trimmed, keyed right before, coated when joined.
#[test]
fn pieces_are_joined_when_both_are_out_and_trimmed_and_coated_inside_after_that() {
    let joint = JointWork { split: "ridge".to_owned(), kind: "strap", length_m: 2.0, width_m: 0.1, n_plies: 2.0 };
    let shop = shop_with(Extra { joints: vec![joint], coat: Some("flowcoat"), ..Extra::default() });
    let mut pieces = panel(0, 0.8, 1, 1);
    pieces.pop();
    pieces.extend((0..2).map(|index| piece(0, Make::Moulding, (index, 2), 0.4, &[1, 2])));
    let job = work(vec![pieces]);
    let days = shop.days(&job);
    let task = |key: &str| {
        let key = format!("panel 0/1/moulding 1{key}");
        days.tasks.iter().find(|task| task.key == key).unwrap_or_else(|| panic!("no {key}"))
    };
    // 2 m at 0.5 h/m are 60 min; two plies on 0.2 m2 at 4 m2/h are 6 min; with 20 of getting ready and cleaning: 86, 90.
    assert_eq!(task("/join ridge").minutes, 90);
    let minute = |moment: &Moment| moment.day * 24 * 60 + moment.minute;
    for piece in ["a", "b"] {
        assert!(minute(&task(&format!(" {piece}/release")).end) <= minute(&task("/abrade ridge").start));
    }
    assert!(minute(&task("/join ridge").start) - minute(&task("/abrade ridge").end) <= 30);
    assert!(minute(&task("/coat inner").start) >= minute(&task("/join ridge").end) + 24 * 60);
    assert!(minute(&task("/finish").start) > minute(&task("/coat inner").end));
    // The checker finds a joint that comes before a half is out.
    let (tasks, mut schedule, working) = shop.planned(&job);
    let spans =
        schedule.planned.iter().find(|planned| planned.task.key.ends_with(" a/release")).map(|p| p.spans.clone());
    let join = schedule.planned.iter_mut().find(|planned| planned.task.kind == Kind::Join).expect("a joint");
    join.spans = spans.expect("a release");
    let found = faults(&tasks, &schedule, &working, 1);
    assert!(found.iter().any(|fault| fault.contains("is before")), "{found:?}");
    assert!(found.iter().any(|fault| fault.contains("is abraded and not laid over")), "{found:?}");
}

#[test]
fn fixings_are_bedded_while_the_last_ply_is_wet_and_the_inner_face_is_coated_in_time() {
    let shop = shop_with(Extra { n_fixings: 4, fixings_m2: 0.2, coat: Some("flowcoat"), ..Extra::default() });
    let job = work(vec![panel(0, 0.5, 1, 1)]);
    let (tasks, schedule, working) = shop.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    let at = |kind: Kind| schedule.planned.iter().position(|planned| planned.task.kind == kind).expect("such a task");
    let (fixings, coat) = (&schedule.planned[at(Kind::Fixings)], &schedule.planned[at(Kind::Coat)]);
    // 4 at 10 min, and 0.2 m2 at 4 m2/h.
    assert_eq!(fixings.task.minutes, 45);
    let most = coat.task.after[0].most.expect("a window");
    assert!(coat.end_min() <= fixings.start_min() + most.minutes && coat.start_min() >= fixings.end_min() + 240);
    let mut later = schedule.clone();
    for span in &mut later.planned[at(Kind::Fixings)].spans {
        *span = Span { from_min: span.from_min + 24 * 60, to_min: span.to_min + 24 * 60 };
    }
    let found = faults(&tasks, &later, &working, 1);
    assert!(found.iter().any(|fault| fault.contains("no longer wet")), "{found:?}");
    // A coat whose wait is said to be for something later is found to be late on what was really laid.
    let (mut later, moved_min) = (schedule.clone(), 6 * 24 * 60);
    let weigh =
        schedule.planned.iter().find(|planned| planned.task.kind == Kind::Weigh).and_then(|planned| planned.number);
    for link in &mut later.planned[at(Kind::Coat)].task.after {
        link.from = weigh.expect("a trial that is weighed");
        link.most = link.most.map(|most| Most { counted: Counted::EndToStart, ..most });
        link.least_min = 0;
    }
    for span in &mut later.planned[at(Kind::Coat)].spans {
        *span = Span { from_min: span.from_min + moved_min, to_min: span.to_min + moved_min };
    }
    let found = faults(&tasks, &later, &working, 1);
    assert!(found.iter().any(|fault| fault.contains("has set, and is not abraded for")), "{found:?}");
    // Without any window it is to be abraded for.
    later.planned[at(Kind::Coat)].task.after.iter_mut().for_each(|link| link.most = None);
    let found = faults(&tasks, &later, &working, 1);
    assert!(found.iter().any(|fault| fault.ends_with("coat inner is not abraded for")), "{found:?}");
}

/// What is laid, brushed or drawn wet by hand must not go into the cold, the damp or a night that falls: every such task says
/// so, the test patch and the cradle among them.
#[test]
fn every_wet_task_has_its_stops_and_still_air() {
    let mut shop = Shop::new("", "");
    shop.beside.extras.insert((0, 0), Extra { cradle_m: 5.0, ..Extra::default() });
    let job = work(vec![panel(0, 0.8, 1, 1)]);
    let (tasks, schedule, working) = shop.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    for kind in [Kind::Patch, Kind::Cradle, Kind::Gelcoat, Kind::Lay] {
        let of_kind: Vec<_> = tasks.tasks.iter().filter(|task| task.kind == kind).collect();
        assert!(!of_kind.is_empty(), "{kind:?}");
        for stop in [Stop::Cold, Stop::Hot, Stop::Falling, Stop::Damp] {
            assert!(Stop::of(kind).contains(&stop), "{kind:?} {stop:?}");
        }
    }
    assert!(Stop::of(Kind::Putty).contains(&Stop::Cold) && Stop::of(Kind::Look) == [Stop::Soft]);
    let wet = ["gelcoat it", "lay one ply", "cradle"];
    for task in tasks.tasks.iter().filter(|task| wet.iter().any(|words| task.words.contains(words))) {
        assert!(matches!(task.air, Air::Still(minutes) if minutes > 0), "{}", task.key);
    }
}

/// No coat of wax is no task of waxing: the face is looked over, and film goes on it.
#[test]
fn without_a_coat_of_wax_nothing_is_waxed() {
    let shop = Shop::new("", "wax_coats_new = 0\nwax_coats_again = 0\npva_pulls = 1");
    let job = work(vec![panel(0, 0.3, 2, 2)]);
    let (tasks, schedule, working) = shop.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    let of_wax = |task: &&super::super::task::Task| task.kind == Kind::Wax || task.words.contains("the wax");
    assert_eq!(tasks.tasks.iter().find(of_wax), None);
    for key in ["test patch/wipe", "panel 0/1/mould a/wipe", "panel 0/1/moulding 1/wipe", "panel 0/1/moulding 2/wipe"] {
        assert!(tasks.tasks.iter().any(|task| task.key == key && task.kind == Kind::Wash), "{key}");
    }
    // What waits for wax to harden elsewhere waits for nothing here.
    let film = tasks.tasks.iter().find(|task| task.key == "panel 0/1/mould a/film").expect("film");
    assert!(film.after.iter().all(|link| link.least_min == 0), "{:?}", film.after);
}

/// Without primer and paint there is no coat that waits for the test patch: the mould itself does.
#[test]
fn nothing_is_laid_on_a_bare_plug_before_its_test_patch_is_good() {
    let shop = Shop::new("", "prime_coats = 0\npaint_coats = 0");
    let days = shop.days(&work(vec![panel(0, 0.3, 1, 1)]));
    let place = |key: &str| days.tasks.iter().position(|task| task.key == key).expect("a task");
    assert!(place("test patch/look") < place("panel 0/1/mould/board"));
    assert!(place("test patch/look") < place("panel 0/1/mould/wax 1"));
}
