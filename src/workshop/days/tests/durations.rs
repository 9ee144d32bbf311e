//! How long tasks take, by the pocket calculator and by the mixes.

use super::*;

/// Mixes are sized for those who lay them: every coat and every stage lays each of its mixes within the time that its gel time
/// leaves, with the hands that its task has.
#[test]
fn every_mix_is_laid_within_its_gel_time_by_the_hands_that_its_task_has() {
    let mut dice = Dice(0x1234_5678_9abc_def1);
    let habits = MixHabits::with(toml::from_str("").expect("habits")).expect("the starter's");
    let (mut n_checked, mut n_shared) = (0, 0);
    for _ in 0..60 {
        let shop = Shop::new(&format!("people = {}", 1 + dice.below(5)), "");
        let job = random_work(&mut dice);
        let mix_shop = MixShop { stock: &shop.stock, crew: &shop.crew, habits: &habits, pace: &shop.pace };
        let mixes = mixes(&job, &Taken::default(), &mix_shop);
        for task in &shop.planned(&job).0.tasks {
            let (step, number) = match task.kind {
                Kind::Gelcoat => (MixStep::Coat, 1),
                Kind::Lay => {
                    (MixStep::Stage, task.key.rsplit(' ').next().and_then(|n| n.parse().ok()).expect("a number"))
                }
                _ => continue,
            };
            let line = mixes
                .lines
                .iter()
                .find(|line| Some(line.place) == task.place && (line.step, line.number) == (step, number));
            let line = line.expect("what is laid is mixed");
            let Some(cups) = line.mixes else { continue };
            let within_min = mixes.materials[line.recipe].lay_within_min.expect("a gel time");
            let each_min = task.effort.person_min / f64::from(task.hands) / cups.n_mixes as f64;
            assert_eq!(line.hands, task.hands, "{}", task.key);
            assert!(each_min <= within_min + 1e-9, "{}: {each_min} of {within_min} min", task.key);
            assert!(cups.minutes <= within_min + 1e-9, "{}: {} of {within_min} min", task.key, cups.minutes);
            n_checked += 1;
            n_shared += usize::from(task.hands > 1);
        }
    }
    assert!(n_checked > 500 && n_shared > 100, "{n_checked} {n_shared}");
}

/// 0.2 m2 laid: gelcoat of 0.8 mm in two coats; 20 minutes of getting ready and cleaning beside each.
#[test]
fn durations_are_those_of_a_pocket_calculator() {
    let shop = Shop::new("", "");
    let days = shop.days(&work(vec![panel(0, 1.0, 1, 1)]));
    let minutes = |key: &str| {
        days.tasks
            .iter()
            .find(|task| task.key == format!("panel 0/1/{key}"))
            .unwrap_or_else(|| panic!("no {key}"))
            .minutes
    };
    // 1.0 m2 at 3 h/m2.
    assert_eq!(minutes("mould/fair"), 180);
    // 1.2 m2 at 4 m2/h are 18 min, with 20: 38, on the grid 40.
    assert_eq!((minutes("mould/gelcoat 1"), minutes("mould/gelcoat 2")), (40, 40));
    // The one figure of [crew] that mixes are sized by as well: at 12 m2/h 6 min, with 20: 30.
    let quick = Shop::new("gelcoat_m2_h = 12", "").days(&work(vec![panel(0, 1.0, 1, 1)]));
    let coat = quick.tasks.iter().find(|task| task.key == "panel 0/1/mould/gelcoat 1").expect("a coat");
    assert_eq!(coat.minutes, 30);
    // 1.2 m2 of 225 g/m2 weigh 0.945 kg: by mass 11.3 min, by area (4 m2/h) 18 min; with 20: 38, 40.
    assert_eq!(minutes("mould/stage 1"), 40);
    // Three of 450: 3 x 1.89 kg at 5 kg/h are 68.04 min; with 20: 90.
    assert_eq!(minutes("mould/stage 2"), 90);
    // 1.5 m of corner at 10 m/h: 9 min, with 10: 20.
    assert_eq!(minutes("mould/putty"), 20);
    // Two lay it out faster, but clean up as long.
    let two = Shop::new("people = 2", "hand_m2 = 0.6").days(&work(vec![panel(0, 1.0, 1, 1)]));
    let lay = two.tasks.iter().find(|task| task.key == "panel 0/1/mould/stage 2").expect("a stage");
    assert_eq!((lay.hands, lay.minutes), (2, 55));
}

/// Worked example 24: 10 plies by 4 are three sessions; each is a task of its own, a rest apart.
#[test]
fn ten_plies_by_four_are_three_sessions_with_a_rest_between() {
    let mut pieces = panel(0, 0.3, 1, 1);
    pieces[0] = piece(0, Make::Mould, (0, 1), 0.3, &[4, 4, 2]);
    let days = Shop::new("", "").days(&work(vec![pieces]));
    let laid: Vec<_> = days.tasks.iter().filter(|task| task.key.starts_with("panel 0/1/mould/stage")).collect();
    assert_eq!(laid.len(), 3);
    for (stage, least_min) in laid[1..].iter().zip([8 * 60, 4 * 60]) {
        let wait = stage.waits.iter().find(|wait| wait.least_min == least_min).expect("the rest");
        assert!(wait.waited_min >= least_min && wait.waited_min <= 48 * 60, "{wait:?}");
    }
}
