//! Days of made-up jobs: every schedule is checked by what the scheduler does not use.

use std::collections::BTreeMap;

mod builds;
mod durations;
mod unfit;

use super::bench::Span;
use super::beside::{Beside, Extra, JointWork, Withheld};
use super::calendar::calendar;
use super::check::faults;
use super::hours::Working;
use super::outcome::{Days, days};
use super::pace::Pace;
use super::schedule::{Planned, Schedule, schedule};
use super::task::{Air, Counted, Kind, Most, Tasks, Why};
use super::tasks::{Habits, tasks};
use super::trial::Trial;
use super::unfit::does_not_fit;
use super::words::{Stop, duration_words};
use crate::laminate::figure::Spread;
use crate::laminate::release::Hands;
use crate::laminate::schedule::Make;
use crate::laminate::stages::{Stage, StageEnd};
use crate::laminate::stock::Stock;
use crate::workshop::crew::Crew;
use crate::workshop::mixes::habits::MixHabits;
use crate::workshop::mixes::lines::MixStep;
use crate::workshop::mixes::{MixShop, mixes};
use crate::workshop::takes::Taken;
use crate::workshop::takes::habits::PlugStuff;
use crate::workshop::work::{FlatWork, GelcoatWork, PieceWork, Place, PlyWork, Work};

/// Numbers that look random and are the same on every run (xorshift64*).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 16
    }

    fn below(&mut self, n: u64) -> u64 {
        self.next() % n
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(10_000) as f64 / 1e4
    }
}

/// The shop that a job is planned in.
struct Shop {
    stock: Stock,
    crew: Crew,
    pace: Pace,
    beside: Beside,
}

impl Shop {
    fn new(crew: &str, pace: &str) -> Self {
        Self {
            stock: Stock::starter().expect("the starter's stock"),
            crew: Crew::with(toml::from_str(crew).expect("a crew")).expect("a crew"),
            pace: Pace::with(toml::from_str(pace).expect("a pace")).expect("a pace"),
            beside: Beside::default(),
        }
    }

    fn habits(&self) -> Habits<'_> {
        Habits { stock: &self.stock, crew: &self.crew, pace: &self.pace }
    }

    fn people(&self) -> u32 {
        self.crew.people.value as u32
    }

    fn planned(&self, work: &Work) -> (Tasks, Schedule, Working) {
        let (tasks, working) = (tasks(work, &self.beside, self.habits()), self.pace.working());
        let schedule = schedule(&tasks, &working, self.people());
        (tasks, schedule, working)
    }

    fn days(&self, work: &Work) -> Days {
        days(work, &self.beside, self.habits())
    }
}

/// A piece of a panel with mat of 450 g/m2 in stages of so many plies after a light first one.
fn piece(part: usize, make: Make, (index, of): (usize, usize), area_m2: f64, stages: &[usize]) -> PieceWork {
    let laid_m2 = area_m2 * 1.2;
    let n_plies: usize = stages.iter().sum();
    let ply = |ply: usize| {
        let glass_kg = laid_m2 * if ply == 1 { 0.225 } else { 0.45 };
        PlyWork {
            ply,
            name: String::new(),
            material: "mat 450".to_owned(),
            is_core: false,
            is_everywhere: true,
            resin: "polyester".to_owned(),
            laid_m2,
            glass_kg,
            core_kg: 0.0,
            resin_kg: 2.5 * glass_kg,
            resin_alone_kg: 2.5 * glass_kg,
            dose: None,
            roll_m: laid_m2,
        }
    };
    let mut from_ply = 1;
    let stages = stages.iter().enumerate().map(|(stage, n)| {
        let (first, ends) = (from_ply, if stage == 0 { StageEnd::BehindGelcoat } else { StageEnd::Done });
        from_ply += n;
        Stage { stage: stage + 1, from_ply: first, to_ply: from_ply - 1, glass_g_m2: 450.0, thickness_mm: 1.0, ends }
    });
    let stages = stages.collect();
    let mould = make == Make::Mould;
    let name = if mould { "mould gelcoat" } else { "production gelcoat" };
    PieceWork {
        place: Place { part, build: usize::from(!mould), piece: index },
        part: format!("panel {part}"),
        piece: ["a", "b", "c", "d"][index].to_owned(),
        n_pieces: of,
        make,
        count: 1,
        n_hands: 1,
        size_mm: [1000.0; 3],
        area_m2,
        flange_m2: if mould { 0.2 * area_m2 } else { 0.0 },
        trim_m2: 0.0,
        laid_across_m2: 0.0,
        edge_mm: 4000.0 * area_m2.sqrt(),
        flanged_mm: if mould { 4000.0 * area_m2.sqrt() } else { 0.0 },
        splits: if of > 1 { vec![("ridge".to_owned(), 1000.0)] } else { vec![] },
        gelcoat: Some(GelcoatWork {
            name: name.to_owned(),
            laid_m2,
            kg: laid_m2,
            alone_kg: laid_m2,
            dose: None,
            n_coats: if mould { 2 } else { 1 },
        }),
        plies: (1..=n_plies).map(ply).collect(),
        stages,
        catalyst_percent: None,
        putty_ml: vec![("fillet putty".to_owned(), 80.0)],
        corner_mm: 1500.0,
        thickness_mm: 3.0,
        mass_kg: Spread::exactly(5.0 * area_m2),
        lifted_by: Some(if area_m2 > 2.0 { Hands::Two } else { Hands::One }),
        n_wedges: 0,
        wall: None,
        n_ports: 0,
        stiffen: (mould && area_m2 > 1.0).then_some(FlatWork { area_m2: 0.5 * area_m2, span_mm: 700.0 }),
    }
}

/// A panel with a mould in so many pieces and so many mouldings.
fn panel(part: usize, area_m2: f64, n_pieces: usize, count: u32) -> Vec<PieceWork> {
    let mut pieces: Vec<PieceWork> = (0..n_pieces)
        .map(|index| piece(part, Make::Mould, (index, n_pieces), area_m2 / n_pieces as f64, &[1, 3, 2]))
        .collect();
    pieces.push(PieceWork { count, ..piece(part, Make::Moulding, (0, 1), area_m2, &[1, 2]) });
    pieces
}

fn work(panels: Vec<Vec<PieceWork>>) -> Work {
    Work { pieces: panels.into_iter().flatten().collect(), missing: Vec::new() }
}

fn random_work(dice: &mut Dice) -> Work {
    let panels = (0..1 + dice.below(5) as usize).map(|part| {
        let in_two = dice.below(3) == 0;
        let area_m2 = [dice.between(0.02, 0.5), dice.between(0.3, 4.0)][dice.below(2) as usize];
        let n_hands = 1 + dice.below(2) as u32;
        let mut pieces = panel(part, area_m2, 1 + dice.below(3) as usize, n_hands * (1 + dice.below(3) as u32));
        if in_two {
            let count = pieces.last().map_or(1, |piece| piece.count);
            pieces.retain(|piece| piece.make == Make::Mould);
            let half = |index| piece(part, Make::Moulding, (index, 2), area_m2 / 2.0, &[1, 2]);
            pieces.extend((0..2).map(half).map(|half| PieceWork { count, ..half }));
        }
        for piece in &mut pieces {
            piece.n_hands = n_hands;
            piece.count = piece.count.max(n_hands);
            match dice.below(8) {
                0 => piece.gelcoat = None,
                1 => piece.putty_ml.clear(),
                2 => piece.edge_mm = 0.0,
                3 => piece.stages.truncate(1),
                4 => *piece = in_resin("epoxy", piece.clone()),
                _ => {}
            }
        }
        if dice.below(10) == 0 {
            pieces.retain(|piece| piece.make == Make::Moulding);
        }
        pieces
    });
    work(panels.collect())
}

/// Joints, fixings, inner faces and cradles for some of the builds; now and then one that is withheld.
fn random_beside(dice: &mut Dice, work: &Work) -> Beside {
    let mut beside = Beside::default();
    for piece in &work.pieces {
        let at = (piece.place.part, piece.place.build);
        if dice.below(2) == 0 {
            let moulding = piece.make == Make::Moulding;
            let joint =
                JointWork { split: "ridge".to_owned(), kind: "strap", length_m: 1.0, width_m: 0.1, n_plies: 2.0 };
            beside.extras.insert(
                at,
                Extra {
                    n_fixings: dice.below(5) as u32,
                    fixings_m2: 0.05,
                    peel_ply_m2: [0.0, 0.1][dice.below(2) as usize],
                    joints: if moulding && dice.below(2) == 0 { vec![joint] } else { vec![] },
                    coat: (moulding && dice.below(2) == 0).then_some("flowcoat"),
                    cradle_m: if moulding { 0.0 } else { dice.between(0.0, 6.0) },
                },
            );
        }
        if dice.below(4) == 0 {
            let stuff = [PlugStuff::FoamPolystyrene, PlugStuff::Timber][dice.below(2) as usize];
            beside.plugs.insert(piece.place.part, stuff);
        }
        if dice.below(30) == 0 {
            beside.withheld.push(Withheld {
                part: piece.place.part,
                make: piece.make,
                reason: "it locks".to_owned(),
                remedies: vec!["a split".to_owned()],
            });
        }
    }
    beside
}

fn random_shop(dice: &mut Dice) -> Shop {
    let days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    let hours: Vec<String> = (0..1 + dice.below(4))
        .map(|_| {
            let from = dice.below(20 * 12) * 5;
            let to = (from + 45 + dice.below(90) * 5).min(24 * 60);
            let on: Vec<&str> = days.iter().copied().filter(|_| dice.below(2) == 0).collect();
            let on = if on.is_empty() { vec!["sat"] } else { on };
            let clock = |minutes: u64| format!("{:02}:{:02}", minutes / 60, minutes % 60);
            format!("{{ days = {on:?}, from = '{}', to = '{}' }}", clock(from), clock(to))
        })
        .collect();
    let first = 1 + dice.below(20);
    let pace = format!(
        "start = 2027-03-{:02}\nhours = [{}]\naway = [{{ from = 2027-04-{first:02}, to = 2027-04-{:02} }}]\n\
         stage_most_h = {}\npva_pulls = {}\nmould_cure_h = {}\ngreen_to_min = {}\n{}",
        1 + dice.below(28),
        hours.join(", "),
        first + dice.below(9),
        [20, 30, 48, 72][dice.below(4) as usize],
        dice.below(3),
        [48, 168][dice.below(2) as usize],
        [40, 90][dice.below(2) as usize],
        ["", "post_cure_h = 16"][dice.below(2) as usize],
    );
    Shop::new(&format!("people = {}", 1 + dice.below(5)), &pace)
}

/// The same piece, laid in another resin.
fn in_resin(resin: &str, piece: PieceWork) -> PieceWork {
    let plies = piece.plies.into_iter().map(|ply| PlyWork { resin: resin.to_owned(), ..ply });
    PieceWork { plies: plies.collect(), ..piece }
}

/// Epoxy that is laid on gelcoat of polyester which has not cured and been abraded, whichever way it was planned.
fn epoxy_on_tacky(work: &Work, schedule: &Schedule, cure_min: u32) -> Vec<String> {
    let mut found = Vec::new();
    let on_gelcoat =
        |piece: &&PieceWork| piece.gelcoat.is_some() && piece.plies.first().is_some_and(|ply| ply.resin == "epoxy");
    for piece in work.pieces.iter().filter(on_gelcoat) {
        let of_piece = || schedule.planned.iter().filter(|planned| planned.task.place == Some(piece.place));
        for laid in of_piece().filter(|planned| planned.task.key.ends_with("/stage 1")) {
            let build = laid.task.key.trim_end_matches("stage 1");
            let of_build = || of_piece().filter(|planned| planned.task.key.starts_with(build));
            let under = of_build().filter(|planned| matches!(planned.task.kind, Kind::Gelcoat | Kind::Putty));
            let wet_min = under.map(Planned::end_min).max().unwrap_or(0);
            let keyed = of_build()
                .filter(|planned| planned.task.kind == Kind::Abrade)
                .any(|abraded| abraded.start_min() >= wet_min + cure_min && abraded.end_min() <= laid.start_min());
            found.extend((!keyed).then(|| laid.task.key.clone()));
        }
    }
    found
}

/// A window is kept, or what does not keep it is left out and told with what would mend it.
#[test]
fn a_thousand_random_jobs_break_no_window_or_say_what_does_not_fit() {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let (mut n_tasks, mut n_unfit, mut n_abraded, mut n_sawn, mut n_in_parts) = (0, 0, 0, 0, 0);
    let (mut n_joined, mut n_coated, mut n_fixed, mut n_sealed) = (0, 0, 0, 0);
    for number in 0..1000 {
        let (mut shop, work) = (random_shop(&mut dice), random_work(&mut dice));
        shop.beside = random_beside(&mut dice, &work);
        let (tasks, schedule, working) = shop.planned(&work);
        let mut found = faults(&tasks, &schedule, &working, shop.people());
        let on_tacky = epoxy_on_tacky(&work, &schedule, 48 * 60);
        n_sealed += schedule.planned.iter().filter(|planned| planned.task.kind == Kind::Seal).count();
        found.extend(on_tacky.into_iter().map(|key| format!("{key} is laid on tacky gelcoat")));
        for withheld in &shop.beside.withheld {
            let is_of = |group: usize| {
                let group = &tasks.groups[group];
                group.part == Some(withheld.part) && (withheld.make == Make::Mould || group.make == withheld.make)
            };
            let begun = schedule.planned.iter().find(|planned| is_of(planned.task.group));
            found.extend(begun.map(|planned| format!("{} is withheld", planned.task.key)));
        }
        assert!(found.is_empty(), "job {number}: {:?}", &found[..found.len().min(5)]);
        n_tasks += schedule.planned.len();
        let n_of = |kind: Kind| schedule.planned.iter().filter(|planned| planned.task.kind == kind).count();
        n_joined += n_of(Kind::Join);
        n_coated += n_of(Kind::Coat);
        n_fixed += n_of(Kind::Fixings);
        n_abraded += n_of(Kind::Abrade);
        n_sawn += n_of(Kind::TrimHard);
        n_in_parts += schedule.planned.iter().filter(|planned| planned.spans.len() > 1).count();
        n_unfit += schedule.unfit.len();
        let mut trial = Trial::new(&work, &shop.beside, shop.habits());
        for unfit in &schedule.unfit {
            let told = does_not_fit(&tasks, unfit, &mut trial);
            assert!(!told.reason.is_empty(), "job {number}: {told:?}");
            assert_eq!(told.needs_min.is_some(), !told.remedies.is_empty(), "job {number}: {told:?}");
        }
    }
    // The jobs are such that every way out is taken.
    assert!(n_sealed > 100, "{n_sealed}");
    assert!(n_joined > 100 && n_coated > 100 && n_fixed > 100, "{n_joined} {n_coated} {n_fixed}");
    assert!(n_tasks > 50_000 && n_unfit > 100, "{n_tasks} tasks, {n_unfit} left out");
    assert!(n_abraded > 100 && n_sawn > 100 && n_in_parts > 100, "{n_abraded} {n_sawn} {n_in_parts}");
}

#[test]
fn the_check_finds_whatever_is_shifted() {
    let shop = Shop::new("people = 2", "");
    let work = work(vec![panel(0, 0.4, 1, 2), panel(1, 1.2, 2, 1)]);
    let (tasks, schedule, working) = shop.planned(&work);
    let faulty = |change: &dyn Fn(&mut Vec<Planned>)| {
        let mut changed = schedule.clone();
        change(&mut changed.planned);
        faults(&tasks, &changed, &working, 2)
    };
    assert!(faulty(&|_| {}).is_empty());
    let at = |kind: Kind| schedule.planned.iter().position(|planned| planned.task.kind == kind).expect("such a task");
    let shift = |planned: &mut Planned, minutes: i64| {
        for span in &mut planned.spans {
            let moved = |minute: u32| u32::try_from((i64::from(minute) + minutes).max(0)).expect("a minute");
            *span = Span { from_min: moved(span.from_min), to_min: moved(span.to_min) };
        }
    };
    let any = |found: &[String], words: &str| found.iter().any(|fault| fault.contains(words));
    let day = 24 * 60;
    // Earlier than its least wait, later than its greatest.
    for kind in [Kind::Gelcoat, Kind::Lay, Kind::TrimGreen, Kind::Release, Kind::Paint, Kind::Strip, Kind::Drill] {
        let found = faulty(&|planned| shift(&mut planned[at(kind)], -7 * day));
        assert!(any(&found, "at least"), "{kind:?} a week earlier: {found:?}");
    }
    for kind in [Kind::Gelcoat, Kind::Lay, Kind::TrimGreen] {
        let found = faulty(&|planned| shift(&mut planned[at(kind)], 7 * day));
        assert!(any(&found, "at most") || any(&found, "at least"), "{kind:?} a week later: {found:?}");
    }
    assert!(any(&faulty(&|planned| shift(&mut planned[at(Kind::Fair)], 11 * 60)), "outside the hours"));
    assert!(any(&faulty(&|planned| drop(planned.remove(at(Kind::Weigh)))), "planned 0 times"));
    let twice = |planned: &mut Vec<Planned>| planned.push(planned[at(Kind::Weigh)].clone());
    assert!(any(&faulty(&twice), "planned 2 times"));
    assert!(any(&faulty(&|planned| planned[at(Kind::Lay)].spans[0].to_min -= 5), "minutes in 1 parts"));
    assert!(any(&faulty(&|planned| planned[at(Kind::Lay)].task.hands = 3), "people are needed"));
    let released = |planned: &mut Vec<Planned>| {
        let spans = planned[at(Kind::Release)].spans.clone();
        let strip = planned.iter().position(|planned| planned.task.kind == Kind::Strip).expect("a strip");
        planned[strip].spans =
            vec![Span { from_min: spans[0].from_min + day as u32, to_min: spans[0].to_min + day as u32 }];
    };
    assert!(any(&faulty(&released), "is before panel 0/1/mould/strip"), "{:?}", faulty(&released));
    assert!(any(&faulty(&|planned| shift(&mut planned[at(Kind::Board)], 14 * day)), "is before its board is on"));
    // Dust on gelcoat.
    let dusty = |planned: &mut Vec<Planned>| {
        let wet = planned[at(Kind::Gelcoat)].end_min();
        let dusty = planned.iter().position(|planned| planned.task.air == Air::Dusty).expect("dust");
        let minutes = planned[dusty].task.minutes;
        planned[dusty].spans = vec![Span { from_min: wet, to_min: wet + minutes }];
    };
    assert!(any(&faulty(&dusty), "makes dust on"));
    // The second moulding begun while the first is in the mould.
    let crowd = |planned: &mut Vec<Planned>| {
        let first =
            planned.iter().position(|planned| planned.task.key == "panel 0/1/moulding 1/stage 2").expect("stage");
        let second = planned.iter().position(|planned| planned.task.key == "panel 0/1/moulding 2/wax 1").expect("wax");
        planned[second].spans = planned[first].spans.clone();
    };
    assert!(any(&faulty(&crowd), "is done with the tool"));
    // The second half of the mould before the first.
    let halves = |planned: &mut Vec<Planned>| {
        let first = planned.iter().position(|planned| planned.task.key == "panel 1/1/mould a/stage 1").expect("a");
        let second = planned.iter().position(|planned| planned.task.key == "panel 1/1/mould b/wax 1").expect("b");
        planned[second].spans = planned[first].spans.clone();
    };
    assert!(any(&faulty(&halves), "is done with the tool"));
}

#[test]
fn small_panels_are_laid_before_large_ones_and_two_large_ones_never_in_one_evening() {
    let days = Shop::new("", "").days(&work(vec![panel(0, 1.6, 1, 1), panel(1, 0.1, 1, 1), panel(2, 1.7, 1, 1)]));
    let first = |part: usize| {
        days.tasks.iter().position(|task| task.kind == Kind::Lay && task.key.starts_with(&format!("panel {part}/")))
    };
    assert!(first(1) < first(0) && first(0) < first(2), "{:?}", days.does_not_fit);
    let evening = days.evenings.iter().filter(|evening| evening.minutes < 360);
    for evening in evening {
        let wet = evening.rows.iter().flat_map(|row| &row.tasks).map(|&task| &days.tasks[task]);
        let mut large: Vec<usize> = wet
            .filter(|task| matches!(task.kind, Kind::Gelcoat | Kind::Lay))
            .filter_map(|task| Some(task.place?.part).filter(|part| *part != 1))
            .collect();
        large.dedup();
        assert!(large.len() <= 1, "evening {}: {large:?}", evening.number);
    }
}

#[test]
fn every_minute_of_work_stands_in_one_evening() {
    let days = Shop::new("people = 3", "").days(&work(vec![panel(0, 0.8, 2, 2), panel(1, 2.2, 1, 1)]));
    let of_tasks: u32 = days.tasks.iter().map(|task| task.minutes * task.hands).sum();
    let of_evenings: u32 = days.evenings.iter().map(|evening| evening.worked_min).sum();
    let of_rows: u32 = days.evenings.iter().flat_map(|evening| &evening.rows).map(|row| row.minutes * row.hands).sum();
    assert_eq!((of_tasks, of_tasks), (of_evenings, of_rows));
    assert_eq!(days, Shop::new("people = 3", "").days(&work(vec![panel(0, 0.8, 2, 2), panel(1, 2.2, 1, 1)])));
}

#[test]
fn a_job_without_pieces_has_no_days() {
    let days = Shop::new("", "start = 2027-03-01").days(&Work::default());
    assert!(days.tasks.is_empty() && days.notes.is_empty() && days.last_day.is_none());
}

#[test]
fn a_calendar_is_made_with_a_start_and_is_the_same_on_every_run() {
    let job = work(vec![panel(0, 0.3, 1, 1)]);
    assert_eq!(calendar(&Shop::new("", "").days(&job), "Boat"), None);
    let made = || {
        calendar(&Shop::new("", "start = 2027-03-01").days(&job), "Käfer, rund; \"eins\"\rzwei").expect("a calendar")
    };
    let text = made();
    assert_eq!(text, made());
    // RFC 5545: lines of 75 octets at most, ended by CR LF; text with commas and semicolons escaped.
    assert!(text.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')), "{text}");
    assert!(text.contains("Käfer\\, rund\\; \"eins\" zwei"), "{text}");
    assert!(text.contains("DTSTART:20270301T183000\r\n"), "floating local time: {text}");
    for once in ["PRODID:", "VERSION:", "CALSCALE:"] {
        assert_eq!(text.matches(once).count(), 1, "{once} {text}");
    }
    let n = text.matches("BEGIN:VEVENT").count();
    let mut uids: Vec<&str> = text.lines().filter(|line| line.starts_with("UID:")).collect();
    uids.sort_unstable();
    uids.dedup();
    assert_eq!((uids.len(), n > 10), (n, true));
}

/// A mould that is withheld takes its mouldings with it; the other panels go on, and the headline names it.
#[test]
fn what_is_withheld_is_named_and_the_others_go_on() {
    let mut shop = Shop::new("", "");
    let withheld =
        |part, make| Withheld { part, make, reason: "it locks".to_owned(), remedies: vec!["a split".to_owned()] };
    shop.beside.withheld = vec![withheld(1, Make::Mould), withheld(2, Make::Moulding)];
    let days = shop.days(&work(vec![panel(0, 0.1, 1, 1), panel(1, 0.1, 1, 2), panel(2, 0.1, 1, 1)]));
    assert_eq!(days.unplanned, ["panel 1 (mould and moulding)", "panel 2 (moulding)"]);
    assert!(days.tasks.iter().all(|task| !task.key.starts_with("panel 1/")));
    assert!(days.tasks.iter().all(|task| !task.key.starts_with("panel 2/1/moulding")));
    for key in ["panel 0/1/moulding 1/weigh", "panel 2/1/mould/release"] {
        assert!(days.tasks.iter().any(|task| task.key == key), "{key}");
    }
    let told: Vec<_> = days.notes.iter().filter(|note| note.code == "not-in-the-days").collect();
    let [told] = told.as_slice() else { panic!("one reason is told once: {told:?}") };
    assert_eq!(told.remedy, "a split");
    assert!(told.message.contains("panel 1") && told.message.contains("panel 2"), "{}", told.message);
}

/// With little else to do, no stage is put off past its window to be abraded; with Saturdays alone it must be, and then the
/// abrading is in the same sitting.
#[test]
fn plies_follow_within_their_window_or_are_abraded_in_the_same_sitting() {
    let job = work(vec![panel(0, 0.4, 1, 2), panel(1, 1.6, 1, 1), panel(2, 0.9, 1, 1), panel(3, 1.2, 1, 1)]);
    let n_abraded = |days: &Days| days.tasks.iter().filter(|task| task.kind == Kind::Abrade).count();
    assert_eq!(n_abraded(&Shop::new("", "").days(&job)), 0);
    let saturdays = Shop::new("", "hours = [{ days = ['sat'], from = '08:00', to = '18:00' }]");
    assert!(n_abraded(&saturdays.days(&job)) > 0);
    let (tasks, schedule, working) = saturdays.planned(&job);
    assert!(faults(&tasks, &schedule, &working, 1).is_empty());
    let mut parted = schedule.clone();
    let abrade = parted.planned.iter().position(|planned| planned.task.kind == Kind::Abrade).expect("abrading");
    for span in &mut parted.planned[abrade].spans {
        *span = Span { from_min: span.from_min - 7 * 24 * 60, to_min: span.to_min - 7 * 24 * 60 };
    }
    let found = faults(&tasks, &parted, &working, 1);
    assert!(found.iter().any(|fault| fault.contains("is abraded and not laid over")), "{found:?}");
}

#[test]
fn paint_is_flatted_and_polished_before_it_is_waxed_and_hours_are_told_both_ways() {
    let days = Shop::new("people = 2", "").days(&work(vec![panel(0, 3.2, 1, 1)]));
    let place = |key: &str| days.tasks.iter().position(|task| task.key == format!("panel 0/1/{key}")).expect("a task");
    assert!(place("mould/paint 2") < place("mould/polish") && place("mould/polish") < place("mould/wax 1"));
    assert!(days.clock_h < days.worked_h && days.worked_h < 2.0 * days.clock_h, "{} {}", days.clock_h, days.worked_h);
}

#[test]
fn days_away_that_do_nothing_are_told() {
    let told = |pace: &str| {
        let notes = Shop::new("", pace).days(&work(vec![panel(0, 0.1, 1, 1)])).notes;
        notes.into_iter().map(|note| note.code).collect::<Vec<String>>()
    };
    let away = "away = [{ from = 2027-04-02, to = 2027-04-05 }]";
    assert!(told(away).contains(&"away-without-start".to_owned()));
    assert!(told(&format!("start = 2027-04-03\n{away}")).contains(&"start-while-away".to_owned()));
    assert!(!told(&format!("start = 2027-04-06\n{away}")).iter().any(|code| code.contains("away")));
}

/// Source: own sums. The plug of each hand of a small panel takes 10 min of fairing, one after the other: one line. Those of
/// another panel stand for themselves, and so do tasks between which there is a wait.
#[test]
fn short_tasks_of_one_kind_on_one_panel_stand_on_one_line() {
    let mut pieces = panel(0, 0.05, 1, 1);
    pieces.iter_mut().for_each(|piece| piece.n_hands = 2);
    pieces.iter_mut().filter(|piece| piece.make == Make::Moulding).for_each(|piece| piece.count = 2);
    let days = Shop::new("", "").days(&work(vec![pieces, panel(1, 0.05, 1, 1)]));
    let fairs = |row: &&super::outcome::Row| row.tasks.iter().all(|&task| days.tasks[task].kind == Kind::Fair);
    let rows: Vec<_> = days.evenings.iter().flat_map(|evening| &evening.rows).filter(fairs).collect();
    let (both, n): (Vec<usize>, u32) =
        (rows.iter().map(|row| row.tasks.len()).collect(), rows.iter().map(|row| row.minutes).sum());
    assert_eq!((both, n), (vec![2, 1], 30), "{rows:?}");
    assert!(rows[0].about.contains("as drawn") && rows[0].about.contains("opposite hand"), "{}", rows[0].about);
    for (evening, row) in days.evenings.iter().flat_map(|evening| evening.rows.iter().map(move |row| (evening, row))) {
        let minutes: u32 = row
            .tasks
            .iter()
            .map(|&task| {
                // A task may be left and taken up again on one day: a row is one sitting.
                let here = |at_min: u32| at_min / (24 * 60) + 1 == evening.day && at_min % (24 * 60) >= row.from.0;
                let of_evening = days.tasks[task]
                    .parts
                    .iter()
                    .filter(|part| here(part.from_min) && part.to_min - (evening.day - 1) * 24 * 60 <= row.to.0);
                of_evening.map(|part| part.to_min - part.from_min).sum::<u32>()
            })
            .sum();
        assert_eq!(row.minutes, minutes, "{row:?}");
    }
}
