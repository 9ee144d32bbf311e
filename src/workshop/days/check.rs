//! Checks a schedule against its tasks, minute by minute, without anything that the scheduler uses.
//!
//! What is looked at: every task once and as long as it takes; every least and greatest wait; only in the hours that there
//! are; never more people than there are; no dust on wet work; a plug or mould holds one build at a time; pieces of a mould
//! one after the other; how many large pieces are wetted out in one stretch; abrading right before what is laid on it; joints
//! only of pieces that are all out and trimmed; foam sealed before it is filled; flange boards on before the wax and off before
//! the mould; fixings while the last ply is wet; inner faces in time; nothing withheld.

use std::collections::{BTreeMap, BTreeSet};

use super::hours::{DAY_MIN, Working};
use super::schedule::{Planned, Schedule};
use super::task::{Air, Counted, Kind, Tasks, Tool, Why};

/// Fixings are bedded within so long after the last ply.
const FIXED_MOST_MIN: u32 = 15;
/// What is abraded is fresh for so long.
const ABRADED_MIN: u32 = 30;

/// What is wrong with a schedule, in words, each with the key of a task; empty if nothing is.
#[must_use]
pub fn faults(tasks: &Tasks, schedule: &Schedule, working: &Working, people: u32) -> Vec<String> {
    let mut faults = Vec::new();
    each_once(tasks, schedule, &mut faults);
    for planned in &schedule.planned {
        length_and_hours(planned, working, &mut faults);
    }
    waits(schedule, &mut faults);
    people_at_a_time(schedule, people, &mut faults);
    dust(schedule, &mut faults);
    tools(schedule, &mut faults);
    large(schedule, working, people, &mut faults);
    abraded(schedule, &mut faults);
    joints(schedule, &mut faults);
    plugs(schedule, &mut faults);
    late(schedule, &mut faults);
    faults
}

fn each_once(tasks: &Tasks, schedule: &Schedule, faults: &mut Vec<String>) {
    let mut times = vec![0_u32; tasks.tasks.len()];
    for number in schedule.planned.iter().filter_map(|planned| planned.number) {
        times[number] += 1;
    }
    for (number, task) in tasks.tasks.iter().enumerate() {
        let left_out = schedule.unfit.iter().any(|unfit| unfit.group == task.group);
        if times[number] != u32::from(!left_out) {
            faults.push(format!("{} is planned {} times", task.key, times[number]));
        }
    }
}

fn length_and_hours(planned: &Planned, working: &Working, faults: &mut Vec<String>) {
    let task = &planned.task;
    let minutes: u32 = planned.spans.iter().map(|span| span.to_min.saturating_sub(span.from_min)).sum();
    if minutes != task.minutes || (planned.spans.len() != 1 && !task.in_parts) {
        faults.push(format!("{} has {minutes} of {} minutes in {} parts", task.key, task.minutes, planned.spans.len()));
    }
    if planned.spans.windows(2).any(|pair| pair[1].from_min < pair[0].to_min) {
        faults.push(format!("{} has parts that overlap", task.key));
    }
    for span in &planned.spans {
        let hours = working.stretches_of(span.from_min / DAY_MIN);
        if !hours.iter().any(|hours| hours.from_min <= span.from_min && span.to_min <= hours.to_min) {
            faults.push(format!("{} lies outside the hours", task.key));
        }
    }
}

fn waits(schedule: &Schedule, faults: &mut Vec<String>) {
    let by_number: BTreeMap<usize, &Planned> =
        schedule.planned.iter().filter_map(|planned| Some((planned.number?, planned))).collect();
    for planned in &schedule.planned {
        for link in &planned.task.after {
            let abrading = || schedule.planned.iter().find(|other| is_abraded_for(other, planned));
            let before = if link.from == usize::MAX { abrading() } else { by_number.get(&link.from).copied() };
            let Some(before) = before else {
                // There is nothing to learn from what is left out.
                if link.why == Why::Learn {
                    continue;
                }
                faults.push(format!("{} waits for what is not planned", planned.task.key));
                continue;
            };
            let waited = i64::from(planned.start_min()) - i64::from(before.end_min());
            if waited < i64::from(link.least_min) {
                faults.push(format!(
                    "{} waits {waited} min for {}, at least {}",
                    planned.task.key, before.task.key, link.least_min
                ));
            }
            let Some(most) = link.most else { continue };
            let passed = match most.counted {
                Counted::EndToStart => waited,
                Counted::StartToEnd => i64::from(planned.end_min()) - i64::from(before.start_min()),
            };
            if passed > i64::from(most.minutes) {
                faults.push(format!(
                    "{} comes {passed} min after {}, at most {}",
                    planned.task.key, before.task.key, most.minutes
                ));
            }
        }
    }
}

/// The last abrading of the same piece before it.
fn is_abraded_for(abrading: &Planned, laid: &Planned) -> bool {
    let key = &laid.task.key;
    let stage = key.rsplit_once("/stage ").or_else(|| key.rsplit_once("/coat "));
    stage.is_some_and(|(piece, stage)| {
        abrading.number.is_none() && abrading.task.key == format!("{piece}/abrade {stage}")
    })
}

fn people_at_a_time(schedule: &Schedule, people: u32, faults: &mut Vec<String>) {
    let mut changes: BTreeMap<u32, i64> = BTreeMap::new();
    for planned in &schedule.planned {
        for span in &planned.spans {
            *changes.entry(span.from_min).or_default() += i64::from(planned.task.hands);
            *changes.entry(span.to_min).or_default() -= i64::from(planned.task.hands);
        }
    }
    let mut at_work = 0;
    for (minute, change) in changes {
        at_work += change;
        if at_work > i64::from(people) {
            faults.push(format!("{at_work} people are needed at minute {minute}, there are {people}"));
        }
    }
}

fn dust(schedule: &Schedule, faults: &mut Vec<String>) {
    let mut dusty: Vec<(u32, u32, &str)> = Vec::new();
    for planned in schedule.planned.iter().filter(|planned| planned.task.air == Air::Dusty) {
        dusty.extend(planned.spans.iter().map(|span| (span.from_min, span.to_min, planned.task.key.as_str())));
    }
    dusty.sort_unstable();
    let longest = dusty.iter().map(|(from, to, _)| to - from).max().unwrap_or(0);
    for planned in &schedule.planned {
        let Air::Still(after_min) = planned.task.air else { continue };
        for span in &planned.spans {
            let (from_min, to_min) = (span.from_min, span.to_min.saturating_add(after_min));
            let first = dusty.partition_point(|(start, _, _)| start.saturating_add(longest) <= from_min);
            let near = dusty[first..].iter().take_while(|(start, _, _)| *start < to_min);
            for (_, _, key) in near.filter(|(_, end, _)| *end > from_min) {
                faults.push(format!("{key} makes dust on {}", planned.task.key));
            }
        }
    }
}

/// From a build's first task at a tool to its last nothing else is done at that tool. On a plug that holds piece by piece:
/// the next is not begun before the last ply of the one before is on.
fn tools(schedule: &Schedule, faults: &mut Vec<String>) {
    let mut held: BTreeMap<Tool, BTreeMap<&str, (u32, u32)>> = BTreeMap::new();
    let at_tool = schedule.planned.iter().filter(|planned| !matches!(planned.task.kind, Kind::Cut));
    for planned in at_tool {
        let Some(tool) = planned.task.tool else { continue };
        let (build, _) = planned.task.key.rsplit_once('/').unwrap_or((&planned.task.key, ""));
        // What is done to plug and mould as a whole is no build of its own.
        let whole = tool.make == crate::laminate::schedule::Make::Mould && planned.task.place.is_none();
        let aside = matches!(planned.task.kind, Kind::Stiffen | Kind::TrimHard | Kind::Strip)
            && tool.make == crate::laminate::schedule::Make::Mould;
        if whole || aside {
            continue;
        }
        let time = held.entry(tool).or_default().entry(build).or_insert((u32::MAX, 0));
        *time = (time.0.min(planned.start_min()), time.1.max(planned.end_min()));
    }
    for builds in held.values() {
        let mut times: Vec<(u32, u32, &str)> = builds.iter().map(|(build, time)| (time.0, time.1, *build)).collect();
        times.sort_unstable();
        for pair in times.windows(2).filter(|pair| pair[1].0 < pair[0].1) {
            faults.push(format!("{} begins before {} is done with the tool", pair[1].2, pair[0].2));
        }
    }
}

fn large(schedule: &Schedule, working: &Working, people: u32, faults: &mut Vec<String>) {
    let mut wetted: BTreeMap<(u32, u32), BTreeSet<usize>> = BTreeMap::new();
    for planned in &schedule.planned {
        let (Some(large), minute) = (planned.task.large, planned.start_min()) else { continue };
        let mut hours = working.stretches_of(minute / DAY_MIN).into_iter();
        if let Some(hours) = hours.find(|hours| (hours.from_min..hours.to_min).contains(&minute)) {
            wetted.entry((hours.from_min, hours.to_min)).or_default().insert(large);
        }
    }
    for ((from_min, to_min), pieces) in wetted {
        let most = (people / 2).max(1) * if to_min - from_min >= 360 { 2 } else { 1 };
        if pieces.len() > most as usize {
            faults.push(format!("{} large pieces are wetted out in the stretch from minute {from_min}", pieces.len()));
        }
    }
}

/// What is abraded is laid, coated or joined within half an hour.
fn abraded(schedule: &Schedule, faults: &mut Vec<String>) {
    let build = |key: &str| key.rsplit_once('/').map_or_else(String::new, |(build, _)| build.to_owned());
    for abrading in schedule.planned.iter().filter(|planned| planned.task.kind == Kind::Abrade) {
        let end_min = abrading.end_min();
        let follows = schedule.planned.iter().any(|planned| {
            matches!(planned.task.kind, Kind::Lay | Kind::Coat | Kind::Join)
                && build(&planned.task.key) == build(&abrading.task.key)
                && (end_min..=end_min + ABRADED_MIN).contains(&planned.start_min())
        });
        if !follows {
            faults.push(format!("{} is abraded and not laid over within half an hour", abrading.task.key));
        }
    }
}

/// Pieces are joined when every one of them is out of its mould and trimmed.
fn joints(schedule: &Schedule, faults: &mut Vec<String>) {
    for join in schedule.planned.iter().filter(|planned| planned.task.kind == Kind::Join) {
        let before = schedule.planned.iter().filter(|other| other.task.group == join.task.group);
        for other in before.filter(|other| matches!(other.task.kind, Kind::TrimGreen | Kind::TrimHard | Kind::Release))
        {
            if other.end_min() > join.start_min() {
                faults.push(format!("{} is before {}", join.task.key, other.task.key));
            }
        }
    }
}

/// Foam is sealed before anything with styrene is on it; a flange board is on before the first wax of its piece, and off when
/// that is laid and before the mould is.
fn plugs(schedule: &Schedule, faults: &mut Vec<String>) {
    let build =
        |planned: &Planned| planned.task.key.rsplit_once('/').map_or(String::new(), |(build, _)| build.to_owned());
    for planned in &schedule.planned {
        let of_build = || schedule.planned.iter().filter(|other| build(other) == build(planned));
        match planned.task.kind {
            Kind::Seal => {
                let other = of_build().find(|other| {
                    !matches!(other.task.kind, Kind::Seal | Kind::Cut) && other.start_min() < planned.end_min()
                });
                faults.extend(other.map(|other| format!("{} is before its foam is sealed", other.task.key)));
            }
            Kind::Board => {
                let waxed = |other: &&Planned| other.task.kind == Kind::Wax && other.start_min() < planned.end_min();
                faults.extend(
                    of_build().find(waxed).map(|other| format!("{} is before its board is on", other.task.key)),
                );
                if !of_build().any(|other| other.task.kind == Kind::Strip) {
                    faults.push(format!("{} is never taken off", planned.task.key));
                }
            }
            Kind::Strip => {
                let of_group = schedule.planned.iter().filter(|other| other.task.group == planned.task.group);
                let released = of_group.filter(|other| other.task.kind == Kind::Release);
                let sooner = released.filter(|other| other.start_min() < planned.end_min());
                faults.extend(sooner.map(|other| format!("{} is before {}", other.task.key, planned.task.key)));
                let laid = |other: &&Planned| other.task.kind == Kind::Lay && other.end_min() > planned.start_min();
                faults
                    .extend(of_build().find(laid).map(|other| format!("{} is after its board is off", other.task.key)));
            }
            _ => {}
        }
    }
}

/// Fixings go on while the last ply is wet; inner faces within their window after what was wetted out last on the same piece, and
/// joints and inner faces without one right after abrading.
fn late(schedule: &Schedule, faults: &mut Vec<String>) {
    for planned in &schedule.planned {
        let (key, kind) = (&planned.task.key, planned.task.kind);
        if !matches!(kind, Kind::Fixings | Kind::Coat | Kind::Join) {
            continue;
        }
        let piece = key.rsplit_once('/').map_or("", |(piece, _)| piece);
        let of_piece = || schedule.planned.iter().filter(|other| is_of(&other.task.key, piece));
        let is_wet = |other: &&Planned| {
            other.task.kind == Kind::Lay || (other.task.kind == Kind::Fixings && kind != Kind::Fixings)
        };
        let wet = of_piece().filter(is_wet).max_by_key(|other| other.end_min());
        if kind == Kind::Fixings {
            if wet.is_none_or(|wet| planned.start_min() > wet.end_min() + FIXED_MOST_MIN) {
                faults.push(format!("{key} comes when the last ply is no longer wet"));
            }
            continue;
        }
        let was_abraded = of_piece()
            .filter(|other| other.task.kind == Kind::Abrade)
            .any(|abrading| (abrading.end_min()..=abrading.end_min() + ABRADED_MIN).contains(&planned.start_min()));
        let window_min = planned.task.after.iter().filter_map(|link| Some(link.most?.minutes)).min();
        match (window_min, wet) {
            _ if was_abraded => {}
            (Some(window_min), Some(wet)) if kind == Kind::Coat => {
                if planned.end_min() > wet.start_min() + window_min {
                    faults.push(format!("{key} comes when {} has set, and is not abraded for", wet.task.key));
                }
            }
            _ => faults.push(format!("{key} is not abraded for")),
        }
    }
}

/// Whether a key is of a piece itself, and not of another whose name begins so.
fn is_of(key: &str, piece: &str) -> bool {
    key.strip_prefix(piece).is_some_and(|rest| rest.starts_with('/') && !rest[1..].contains('/'))
}
