//! The days as the report shows them: tasks by their start, and what is done in each stretch of hours.

use std::collections::BTreeMap;

use serde::Serialize;

use super::beside::Beside;
use super::hours::{Clock, DAY_MIN, Date, Stretch, Weekday, Working};
use super::schedule::{Planned, Schedule, schedule};
use super::task::{Counted, Kind, Tasks, Why};
use super::tasks::{Habits, tasks};
use super::trial::Trial;
use super::unfit::{DoesNotFit, all_that_do_not_fit};
use super::words::Stop;
use crate::laminate::schedule::Make;
use crate::notes::Note;
use crate::units::h_from_min;
use crate::workshop::work::{Place, Work};

/// A moment of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Moment {
    /// Its day, from 1.
    pub day: u32,
    /// Minutes from that day's midnight.
    pub minute: u32,
    /// The time of the day.
    pub time: Clock,
    /// The date, if the job has a start.
    pub date: Option<Date>,
}

/// A task with its time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayTask {
    /// A name that stays the same from run to run.
    pub key: String,
    /// What is done.
    pub kind: Kind,
    /// What it is done to.
    pub about: String,
    /// What is done, in words.
    pub words: String,
    /// Panel of the plan; nothing for the test patch.
    #[serde(skip)]
    pub part: Option<usize>,
    /// Piece of the plan.
    pub place: Option<Place>,
    /// How many of the crew do it.
    pub hands: u32,
    /// Hands that have to be asked in, for lifting.
    pub helpers: u32,
    /// How long it takes.
    pub minutes: u32,
    /// So much of it.
    pub quantity: f64,
    /// Unit of the quantity.
    pub unit: &'static str,
    /// Minutes of one person at it.
    pub person_min: f64,
    /// Minutes of getting ready and cleaning up beside.
    pub fixed_min: f64,
    /// When it begins.
    pub start: Moment,
    /// When it ends.
    pub end: Moment,
    /// Its parts, in minutes from the midnight that begins day 1.
    pub parts: Vec<super::bench::Span>,
    /// What it waits for.
    pub waits: Vec<WaitedFor>,
    /// When not to begin it.
    pub stops: &'static [Stop],
}

/// A wait, as planned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WaitedFor {
    /// Key of the task before.
    pub after: String,
    /// Why.
    pub why: Why,
    /// Why, in words.
    pub words: &'static str,
    /// Least wait, from its end to the start, in min.
    pub least_min: u32,
    /// Greatest wait, in min.
    pub most_min: Option<u32>,
    /// How the greatest wait is counted.
    pub counted: Option<Counted>,
    /// The wait as planned, from end to start.
    pub waited_min: u32,
}

/// A line of an evening: one task, coats of wax on one thing, or short tasks of one kind on one panel without a pause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// When it begins.
    pub from: Clock,
    /// When it ends.
    pub to: Clock,
    /// Minutes at work, waits left out.
    pub minutes: u32,
    /// What it is done to.
    pub about: String,
    /// What is done.
    pub words: String,
    /// How many do it.
    pub hands: u32,
    /// Hands that have to be asked in.
    pub helpers: u32,
    /// Its tasks, by their place in the list.
    pub tasks: Vec<usize>,
}

/// A stretch of hours with what is done in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Evening {
    /// Its number, from 1.
    pub number: usize,
    /// Its day, from 1.
    pub day: u32,
    /// Weekday.
    pub weekday: &'static str,
    /// The date, if the job has a start.
    pub date: Option<Date>,
    /// When the hours begin.
    pub from: Clock,
    /// When they end.
    pub to: Clock,
    /// Minutes of the stretch.
    pub minutes: u32,
    /// Minutes of people at work.
    pub worked_min: u32,
    /// What is done.
    pub rows: Vec<Row>,
}

/// What a day holds for a job of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Getting ready, trimming, finishing.
    Work,
    /// Gelcoat or plies go on.
    Wet,
    /// It comes off.
    Off,
}

/// A day of a job of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MarkedDay {
    /// The day, from 1.
    pub day: u32,
    /// What it holds.
    pub mark: Mark,
}

/// A line of the timeline: one plug with its mould, one moulding, or the test patch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// What it is.
    pub about: String,
    /// Its first day, from 1.
    pub first_day: u32,
    /// Its last day.
    pub last_day: u32,
    /// Days on which something is done to it; the others wait.
    pub days: Vec<MarkedDay>,
}

/// A week of the timeline.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Week {
    /// Its first day, from 1.
    pub day: u32,
    /// Date of that day, if the job has a start.
    pub date: Option<Date>,
}

/// A stop condition in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StopWords {
    /// Which.
    pub stop: Stop,
    /// What to look at, what to do.
    pub words: String,
}

/// The days of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Days {
    /// When there is work.
    pub working: Working,
    /// How many work.
    pub people: u32,
    /// Stretches in which something is done.
    pub n_evenings: usize,
    /// Person-hours: two people at work for an hour are two.
    pub worked_h: f64,
    /// Hours by the clock in which somebody is at work.
    pub clock_h: f64,
    /// Panels of which something stands in no evening, each with what.
    pub unplanned: Vec<String>,
    /// The first day with work, from 1.
    pub first_day: Option<u32>,
    /// The last day with work.
    pub last_day: Option<u32>,
    /// Date of the last day.
    pub last_date: Option<Date>,
    /// From a mould's last ply until it leaves its plug, in h at least.
    pub mould_cure_h: f64,
    /// What does not fit.
    pub does_not_fit: Vec<DoesNotFit>,
    /// When to stop, in words.
    pub stops: Vec<StopWords>,
    /// Job of work by job of work, as a timeline draws them.
    pub lines: Vec<Line>,
    /// Weeks of the timeline, from day 1.
    pub weeks: Vec<Week>,
    /// Stretch by stretch.
    pub evenings: Vec<Evening>,
    /// Every task, by its start.
    pub tasks: Vec<DayTask>,
    /// What was assumed.
    #[serde(skip)]
    pub notes: Vec<Note>,
}

/// Plans the days of a job.
#[must_use]
pub fn days(work: &Work, beside: &Beside, habits: Habits<'_>) -> Days {
    let working = habits.pace.working();
    let people = habits.rates().people();
    let all = tasks(work, beside, habits);
    let schedule = schedule(&all, &working, people);
    let mut trial = Trial::new(work, beside, habits);
    let mut unfit = all_that_do_not_fit(&all, &schedule, &mut trial);
    unfit.extend(all.left_out.iter().map(|left_out| DoesNotFit {
        part: Some(left_out.part),
        make: left_out.make,
        about: left_out.about.clone(),
        reason: left_out.reason.clone(),
        remedies: left_out.remedies.clone(),
        needs_min: None,
    }));
    let tasks = day_tasks(&all, &schedule, &working);
    let evenings = evenings(&tasks, &working);
    let notes = notes(work, &working, &unfit);
    let stops = Stop::ALL.map(|stop| StopWords { stop, words: stop.words(&habits.stock.practice) }).to_vec();
    Days {
        people,
        n_evenings: evenings.len(),
        clock_h: h_from_min(clock_min(&tasks)),
        unplanned: unplanned(work, &unfit),
        worked_h: h_from_min(evenings.iter().map(|evening| f64::from(evening.worked_min)).sum()),
        first_day: evenings.first().map(|evening| evening.day),
        last_day: evenings.last().map(|evening| evening.day),
        last_date: evenings.last().and_then(|evening| evening.date),
        mould_cure_h: habits.mould_cure_h(),
        does_not_fit: unfit,
        stops,
        lines: lines(&all, &schedule),
        weeks: weeks(evenings.last().map_or(0, |evening| evening.day), &working),
        evenings,
        tasks,
        notes,
        working,
    }
}

/// Minutes in which anybody is at work.
fn clock_min(tasks: &[DayTask]) -> f64 {
    let mut spans: Vec<super::bench::Span> = tasks.iter().flat_map(|task| task.parts.iter().copied()).collect();
    spans.sort_unstable();
    let (mut minutes, mut until) = (0, 0);
    for span in spans {
        minutes += span.to_min.saturating_sub(span.from_min.max(until));
        until = until.max(span.to_min);
    }
    f64::from(minutes)
}

/// Every panel of which something has no time: with its moulding, its mould and moulding, or all of it.
fn unplanned(work: &Work, unfit: &[DoesNotFit]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let mut last = None;
    for piece in work.pieces.iter().filter(|piece| piece.count > 0) {
        if last == Some(piece.place.part) {
            continue;
        }
        last = Some(piece.place.part);
        let is_out = |make| unfit.iter().any(|unfit| (unfit.part, unfit.make) == (last, make));
        match (is_out(Make::Mould), is_out(Make::Moulding)) {
            (false, false) => {}
            (true, true) => names.push(format!("{} (mould and moulding)", piece.part)),
            (true, false) => names.push(format!("{} (mould)", piece.part)),
            (false, true) => names.push(format!("{} (moulding)", piece.part)),
        }
    }
    names.extend(work.missing.iter().map(|name| format!("{name} (not planned at all)")));
    names
}

fn lines(all: &Tasks, schedule: &Schedule) -> Vec<Line> {
    let mut days: Vec<BTreeMap<u32, Mark>> = vec![BTreeMap::new(); all.groups.len()];
    for planned in &schedule.planned {
        let mark = match planned.task.kind {
            Kind::Gelcoat | Kind::Lay | Kind::Fixings | Kind::Coat | Kind::Join => Mark::Wet,
            Kind::Release => Mark::Off,
            _ => Mark::Work,
        };
        for span in &planned.spans {
            let of_day = days[planned.task.group].entry(span.from_min / DAY_MIN + 1).or_insert(mark);
            *of_day = (*of_day).max(mark);
        }
    }
    let lines = all.groups.iter().zip(days).filter_map(|(group, days)| {
        Some(Line {
            about: group.about.clone(),
            first_day: *days.keys().next()?,
            last_day: *days.keys().next_back()?,
            days: days.into_iter().map(|(day, mark)| MarkedDay { day, mark }).collect(),
        })
    });
    let mut lines: Vec<Line> = lines.collect();
    lines.sort_by_key(|line| (line.first_day, line.last_day));
    lines
}

fn weeks(last_day: u32, working: &Working) -> Vec<Week> {
    (0..last_day).step_by(7).map(|day| Week { day: day + 1, date: working.date(day) }).collect()
}

fn notes(work: &Work, working: &Working, unfit: &[DoesNotFit]) -> Vec<Note> {
    let mut notes = Vec::new();
    if work.pieces.is_empty() {
        return notes;
    }
    if !working.told {
        notes.push(Note::info(
            "hours-assumed",
            "the days are planned for evenings of 3 h from Monday to Friday and 6 h on Saturday and on Sunday",
            "write your own: [days] hours = [{ days = [\"mon\", \"wed\"], from = \"18:30\", to = \"21:30\" }]",
        ));
    }
    notes.extend(away_notes(working));
    if working.start.is_none() {
        notes.push(Note::info(
            "start-not-told",
            "the days are counted from day 1, a Monday, and there is no calendar file",
            "write [days] start = 2027-03-01 for dates and days.ics",
        ));
    }
    let told: Vec<&DoesNotFit> = unfit.iter().filter(|unfit| !unfit.remedies.is_empty()).collect();
    notes.extend(together(&told).into_iter().map(|(abouts, unfit)| {
        let code = if unfit.needs_min.is_some() { "does-not-fit" } else { "not-in-the-days" };
        Note::warning(code, format!("{}: {}", abouts.join("; "), unfit.reason), unfit.remedies.join("; or "))
    }));
    notes
}

/// What does not fit for one reason, with the same remedies: once, with all that it is told of.
#[must_use]
pub fn together<'a>(unfit: &[&'a DoesNotFit]) -> Vec<(Vec<&'a str>, &'a DoesNotFit)> {
    let mut told: Vec<(Vec<&str>, &DoesNotFit)> = Vec::new();
    for one in unfit {
        let same = |other: &DoesNotFit| {
            (&other.reason, &other.remedies, other.needs_min) == (&one.reason, &one.remedies, one.needs_min)
        };
        match told.iter_mut().find(|(_, other)| same(other)) {
            Some((abouts, _)) => abouts.push(&one.about),
            None => told.push((vec![&one.about], one)),
        }
    }
    told
}

/// Days away that cannot be kept, or that are the first day.
#[must_use]
pub fn away_notes(working: &Working) -> Vec<Note> {
    let Some(start) = working.start else {
        let told = (!working.away.is_empty()).then(|| {
            Note::warning(
                "away-without-start",
                "[days] `away` has no effect: without a first day the days have no dates",
                "write [days] start = 2027-03-01",
            )
        });
        return told.into_iter().collect();
    };
    let away = working.away.iter().find(|away| (away.from..=away.to).contains(&start));
    let told = away.map(|away| {
        Note::warning(
            "start-while-away",
            format!(
                "[days] `start` = {start} lies in the days away from {} to {}: work begins after them",
                away.from, away.to
            ),
            "write a `start` after them, or mend `away`",
        )
    });
    told.into_iter().collect()
}

fn moment(minute: u32, working: &Working) -> Moment {
    let day = minute / DAY_MIN;
    Moment { day: day + 1, minute: minute % DAY_MIN, time: Clock(minute % DAY_MIN), date: working.date(day) }
}

/// The end of a day is 24:00 of that day.
fn end_moment(minute: u32, working: &Working) -> Moment {
    let day = minute.saturating_sub(1) / DAY_MIN;
    let of_day = minute - day * DAY_MIN;
    Moment { day: day + 1, minute: of_day, time: Clock(of_day), date: working.date(day) }
}

fn day_tasks(all: &Tasks, schedule: &Schedule, working: &Working) -> Vec<DayTask> {
    let mut planned: Vec<&Planned> = schedule.planned.iter().collect();
    planned.sort_by_key(|planned| (planned.start_min(), planned.end_min(), planned.task.group, planned.number));
    let mut times = vec![None; all.tasks.len()];
    for planned in &planned {
        planned.number.into_iter().for_each(|number| times[number] = Some(planned.end_min()));
    }
    planned.into_iter().map(|planned| day_task(planned, all, &times, working)).collect()
}

fn day_task(planned: &Planned, all: &Tasks, times: &[Option<u32>], working: &Working) -> DayTask {
    let task = &planned.task;
    let waits = task.after.iter().filter_map(|link| {
        let end_min = (*times.get(link.from)?)?;
        Some(WaitedFor {
            after: all.tasks[link.from].key.clone(),
            why: link.why,
            words: link.why.words(),
            least_min: link.least_min,
            most_min: link.most.map(|most| most.minutes),
            counted: link.most.map(|most| most.counted),
            waited_min: planned.start_min().saturating_sub(end_min),
        })
    });
    DayTask {
        key: task.key.clone(),
        kind: task.kind,
        about: task.about.clone(),
        words: task.words.clone(),
        part: all.groups.get(task.group).and_then(|group| group.part),
        place: task.place,
        hands: task.hands,
        helpers: task.helpers,
        minutes: task.minutes,
        quantity: task.effort.quantity,
        unit: task.effort.unit,
        person_min: task.effort.person_min,
        fixed_min: task.effort.fixed_min,
        start: moment(planned.start_min(), working),
        end: end_moment(planned.end_min(), working),
        parts: planned.spans.clone(),
        waits: waits.collect(),
        stops: Stop::of(task.kind),
    }
}

fn evenings(tasks: &[DayTask], working: &Working) -> Vec<Evening> {
    let mut parts: Vec<(u32, u32, usize)> = Vec::new();
    for (index, task) in tasks.iter().enumerate() {
        parts.extend(task.parts.iter().map(|part| (part.from_min, part.to_min, index)));
    }
    parts.sort_unstable();
    let mut evenings: Vec<Evening> = Vec::new();
    let mut open: Option<Stretch> = None;
    for (from_min, to_min, index) in parts {
        if open.is_none_or(|open| from_min >= open.to_min) {
            let day = from_min / DAY_MIN;
            let stretch = working.stretches_of(day).into_iter().find(|stretch| from_min < stretch.to_min);
            let Some(stretch) = stretch else { continue };
            evenings.push(evening(evenings.len() + 1, day, stretch, working));
            open = Some(stretch);
        }
        if let Some(evening) = evenings.last_mut() {
            add_row(evening, tasks, index, (from_min, to_min));
        }
    }
    evenings
}

fn evening(number: usize, day: u32, stretch: Stretch, working: &Working) -> Evening {
    let weekday: Weekday = working.weekday(day);
    Evening {
        number,
        day: day + 1,
        weekday: weekday.word(),
        date: working.date(day),
        from: Clock(stretch.from_min - day * DAY_MIN),
        to: Clock(stretch.to_min - day * DAY_MIN),
        minutes: stretch.minutes(),
        worked_min: 0,
        rows: Vec::new(),
    }
}

fn add_row(evening: &mut Evening, tasks: &[DayTask], index: usize, (from_min, to_min): (u32, u32)) {
    let task = &tasks[index];
    let (from, to) = (Clock(from_min % DAY_MIN), Clock(from_min % DAY_MIN + to_min - from_min));
    evening.worked_min += (to_min - from_min) * task.hands;
    let is_wax = task.kind == Kind::Wax;
    let same =
        |row: &&mut Row| is_wax && row.about == task.about && row.tasks.iter().all(|&one| tasks[one].kind == Kind::Wax);
    if let Some(row) = evening.rows.iter_mut().find(same) {
        row.tasks.push(index);
        row.to = to;
        row.minutes += to_min - from_min;
        row.words = coats_words(row.tasks.iter().map(|&one| tasks[one].words.as_str()));
        return;
    }
    if let Some(row) = evening.rows.last_mut().filter(|row| row.to == from && goes_with(row, tasks, task)) {
        if !row.about.split(" and ").any(|about| about == task.about) {
            row.about = format!("{} and {}", row.about, task.about);
        }
        row.tasks.push(index);
        row.to = to;
        row.minutes += to_min - from_min;
        return;
    }
    let begun = task.parts.first().is_some_and(|part| part.from_min < from_min);
    let goes_on = task.parts.last().is_some_and(|part| part.to_min > to_min);
    let words = match (begun, goes_on) {
        (false, false) => task.words.clone(),
        (false, true) => format!("{}; begin", task.words),
        (true, true) => format!("{}; go on", task.words),
        (true, false) => format!("{}; finish", task.words),
    };
    evening.rows.push(Row {
        from,
        to,
        minutes: to_min - from_min,
        about: task.about.clone(),
        words,
        hands: task.hands,
        helpers: task.helpers,
        tasks: vec![index],
    });
}

/// Tasks of no more minutes than this do not stand alone beside one of their kind.
const SHORT_MIN: u32 = 10;

/// Whether a short task goes on a line of short ones: of the same kind on the same panel, done by the same hands.
fn goes_with(row: &Row, tasks: &[DayTask], task: &DayTask) -> bool {
    let is_short = |task: &DayTask| task.minutes <= SHORT_MIN && task.parts.len() == 1;
    let alike = |&one: &usize| {
        let other = &tasks[one];
        is_short(other)
            && (other.kind, other.part, &other.words) == (task.kind, task.part, &task.words)
            && (other.hands, other.helpers) == (task.hands, task.helpers)
    };
    is_short(task) && task.part.is_some() && row.tasks.iter().all(alike)
}

/// `wax, coat 1 of 6` and `wax, coat 2 of 6` are `wax, coats 1 to 2 of 6`.
fn coats_words<'a>(mut words: impl Iterator<Item = &'a str>) -> String {
    let parts =
        |words: &'a str| words.split_once(", coat ").and_then(|(what, rest)| Some((what, rest.split_once(" of ")?)));
    let first = words.next().unwrap_or_default();
    let last = words.last().unwrap_or(first);
    match (parts(first), parts(last)) {
        (Some((what, (from, of))), Some((_, (to, _)))) => format!("{what}, coats {from} to {to} of {of}"),
        _ => first.to_owned(),
    }
}
