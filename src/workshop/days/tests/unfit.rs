//! What does not fit, and remedies that hold when planned with.

use super::*;

#[test]
fn what_is_too_long_for_every_evening_is_refused_with_what_would_make_it_fit() {
    let pace = "hours = [{ days = ['mon', 'tue', 'wed', 'thu', 'fri'], from = '17:30', to = '21:30' }]";
    let job = work(vec![panel(0, 0.05, 1, 1), panel(1, 3.0, 1, 1)]);
    let days = Shop::new("", pace).days(&job);
    let [mould, moulding] = days.does_not_fit.as_slice() else { panic!("{:?}", days.does_not_fit) };
    assert_eq!(mould.about, "panel 1, plug and mould");
    assert!(mould.reason.contains("the longest stretch of hours is 4 h (Mon)"), "{}", mould.reason);
    let remedies = mould.remedies.join("; ");
    for words in ["one longer day", "a split: 3 pieces", "[crew] people"] {
        assert!(remedies.contains(words), "{words}: {remedies}");
    }
    assert!(moulding.needs_min.is_none());
    // The rest is planned, and the remedy holds: with a day as long as is said, it fits.
    assert!(days.tasks.iter().all(|task| !task.key.starts_with("panel 1/")));
    assert!(days.tasks.iter().any(|task| task.key == "panel 0/1/moulding 1/weigh"));
    let with_day = |minutes: u32| {
        let to = 9 * 60 + minutes;
        let longer = format!(
            "hours = [{{ days = ['mon', 'tue', 'wed', 'thu', 'fri'], from = '17:30', to = '21:30' }}, \
             {{ days = ['sat'], from = '09:00', to = '{:02}:{:02}' }}]",
            to / 60,
            to % 60
        );
        Shop::new("", &longer).days(&job).does_not_fit.iter().all(|unfit| unfit.about != mould.about)
    };
    let needs_min = mould.needs_min.expect("a length");
    assert!(remedies.contains(&format!("{} or more", duration_words(needs_min))), "{remedies}");
    assert!(with_day(needs_min) && !with_day(needs_min - 5), "{needs_min}");
}

/// Half an hour of an evening is too short even for the test patch: that is what is told, once, with a day that was tried. It
/// is longer than from gelcoat to ply, since release film is laid at most a day before. A patch has no [[part]] to split, and a
/// helper changes nothing about it.
#[test]
fn panels_that_wait_for_a_patch_that_does_not_fit_say_so_and_the_longer_day_is_true() {
    let short = |sat: &str| {
        let hours = format!(
            "hours = [{{ days = ['tue', 'thu'], from = '18:30', to = '19:00' }}, \
             {{ days = ['sat'], from = '09:00', to = '{sat}' }}]"
        );
        Shop::new("people = 2", &hours).days(&work(vec![panel(0, 0.1, 1, 1)]))
    };
    let days = short("09:40");
    let [patch, mould, moulding] = days.does_not_fit.as_slice() else { panic!("{:?}", days.does_not_fit) };
    assert!(patch.part.is_none() && mould.reason.contains("test patch does not fit"), "{mould:?}");
    assert!(mould.remedies.is_empty() && moulding.remedies.is_empty());
    let [day] = patch.remedies.as_slice() else { panic!("{:?}", patch.remedies) };
    let needs_min = patch.needs_min.expect("a length");
    let to = format!("{:02}:{:02}", 9 + needs_min / 60, needs_min % 60);
    assert!(day.contains(&format!("from 09:00 to {to}")), "{day}");
    let fits = |sat: &str| short(sat).does_not_fit.iter().all(|unfit| unfit.part.is_some());
    assert!(fits(&to), "{day}");
    let sooner = needs_min - 5;
    assert!(!fits(&format!("{:02}:{:02}", 9 + sooner / 60, sooner % 60)), "{day}");
}

/// A remedy that is named holds: planned with it, the piece fits.
#[test]
fn a_helper_or_a_slower_gelcoat_on_a_longer_day_makes_a_large_mould_fit() {
    let mut pieces = panel(0, 3.6, 1, 1);
    pieces[0].corner_mm = 15_000.0;
    let job = work(vec![pieces]);
    let alone = Shop::new("", "").days(&job);
    let mould = &alone.does_not_fit[0];
    let remedies = mould.remedies.join("\n");
    assert!(remedies.contains("a helper more") && remedies.contains("together with slower gelcoat"), "{remedies}");
    assert!(Shop::new("people = 2", "").days(&job).does_not_fit.is_empty());
    let day = "hours = [{ days = ['sat', 'sun'], from = '07:00', to = '20:00' }]";
    // The longer day by itself does not do it: the gelcoat's window is passed.
    assert!(!Shop::new("", day).days(&job).does_not_fit.is_empty());
    let mut slow = Shop::new("", day);
    slow.stock.practice.overlay_most_h.value = 8.0;
    assert!(slow.days(&job).does_not_fit.is_empty(), "{:?}", slow.days(&job).does_not_fit);
}

/// Away from the second day on for good, a small job has no time: longer days would not help, and none are advised. In the
/// calendar the days away are what has to change.
#[test]
fn what_the_days_away_leave_no_time_is_told_so_without_a_remedy_that_does_not_help() {
    let job = work(vec![panel(0, 0.1, 1, 1)]);
    let pace = "start = 2027-03-01\naway = [{ from = 2027-03-02, to = 2060-03-02 }]";
    let days = Shop::new("", pace).days(&job);
    let patch = &days.does_not_fit[0];
    assert!(patch.reason.contains("the days away leave it no time"), "{patch:?}");
    assert_eq!(patch.remedies, ["fewer days away: without them it has its time ([days] away)"]);
    assert!(Shop::new("", "start = 2027-03-01").days(&job).does_not_fit.is_empty());
    assert!(days.notes.iter().any(|note| note.message.contains("the days away leave it no time")), "{:?}", days.notes);
}

/// Two Saturdays a moulding at least, a thousand of them in twenty years.
#[test]
fn what_falls_past_twenty_years_is_told_so() {
    let pace = "hours = [{ days = ['sat'], from = '09:00', to = '15:00' }]";
    let (shop, job) = (Shop::new("", pace), work(vec![panel(0, 0.1, 1, 1200)]));
    let (tasks, schedule, working) = shop.planned(&job);
    assert_eq!(faults(&tasks, &schedule, &working, 1), Vec::<String>::new());
    let days = shop.days(&job);
    let [late, later] = days.does_not_fit.as_slice() else { panic!("{:?}", days.does_not_fit) };
    assert!(late.reason.contains("past 20 years"), "{late:?}");
    assert_eq!(late.remedies, ["plan the job in several"]);
    assert!(later.about.ends_with("and all after it") && later.reason == "the moulding before it has no time");
    // What comes after it has no mould to be laid in: none is planned in the gaps of the others.
    let n_late: u32 = late.about.split(' ').find_map(|word| word.parse().ok().filter(|&n| n > 1)).expect("a number");
    let last = days
        .tasks
        .iter()
        .filter_map(|task| task.key.strip_prefix("panel 0/1/moulding ")?.split('/').next()?.parse::<u32>().ok());
    assert_eq!(last.max(), Some(n_late - 1), "{}", late.about);
}
