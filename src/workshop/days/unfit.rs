//! What does not fit the hours: why, and what would make it fit.

use std::collections::BTreeSet;

use serde::Serialize;

use super::hours::{Hours, MOST_DAYS};
use super::place::keeps;
use super::schedule::{Schedule, Unfit};
use super::task::{Counted, Kind, Task, Tasks};
use super::trial::{Trial, whole_week};
use super::words::duration_words;
use crate::laminate::schedule::Make;

/// Something that has no time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DoesNotFit {
    /// Number of its part; nothing for the test patch.
    pub part: Option<usize>,
    /// Mould or moulding.
    pub make: Make,
    /// What it is.
    pub about: String,
    /// Why.
    pub reason: String,
    /// What would make it fit; each by itself.
    pub remedies: Vec<String>,
    /// The longest stretch that it would need, in min; nothing if it only lacks what does not fit.
    pub needs_min: Option<u32>,
}

/// More pieces than this are no remedy: the waits between coats take the evening, not the size.
const MOST_PIECES: u32 = 4;
/// More hands than this are no remedy.
const MOST_MORE_HANDS: u32 = 4;

/// In words, with what was tried and makes it fit.
#[must_use]
pub fn does_not_fit(tasks: &Tasks, unfit: &Unfit, trial: &mut Trial<'_>) -> DoesNotFit {
    let group = &tasks.groups[unfit.group];
    let (part, make, about) = (group.part, group.make, group.about.clone());
    let bare = |reason: &str| DoesNotFit {
        part,
        make,
        about: about.clone(),
        reason: reason.to_owned(),
        remedies: Vec::new(),
        needs_min: None,
    };
    let Some((&first, _)) = unfit.block.split_first() else {
        let lacks = unfit.lacks.map(|lacks| &tasks.groups[lacks]);
        return bare(match lacks.map(|lacks| (lacks.part, lacks.make)) {
            Some((None, _)) => "its test patch does not fit, and nothing goes on a plug before that is good",
            Some((_, Make::Moulding)) => "the moulding before it has no time",
            _ => "what it is built in does not fit",
        });
    };
    if unfit.is_crowded {
        let (reason, remedies) = crowded(&tasks.tasks[first].words, unfit.group, trial);
        return DoesNotFit { remedies, ..bare(&reason) };
    }
    let Some((day, longest_min)) = trial.week().longest() else { return bare("there are no hours") };
    let chain = hardest(tasks, &unfit.block);
    let in_one_go_min = in_one_go(tasks, &chain);
    let names: Vec<&str> = chain.iter().map(|&number| tasks.tasks[number].words.as_str()).collect();
    let what = match names.as_slice() {
        [] => tasks.tasks[first].words.clone(),
        [only] => (*only).to_owned(),
        [first, .., last] => format!("from {first} to {last}"),
    };
    let reason = if in_one_go_min > longest_min {
        let how = if chain.len() > 1 { ", with its waits, may not be broken off" } else { "" };
        format!(
            "{what}: {} in one go{how}; the longest stretch of hours is {} ({})",
            duration_words(in_one_go_min),
            duration_words(longest_min),
            day.word()
        )
    } else {
        format!("{what}: no week has hours within its greatest waits")
    };
    let (remedies, needs_min) = remedies(tasks, unfit.group, (&chain, in_one_go_min), trial);
    DoesNotFit { part, make, about, reason, remedies, needs_min: Some(needs_min.max(in_one_go_min)) }
}

/// What fits the hours by itself and has no time all the same: why, and what would mend it.
fn crowded(what: &str, group: usize, trial: &mut Trial<'_>) -> (String, Vec<String>) {
    if trial.fits_if_nobody_is_away(group) {
        let reason = format!("{what}: the days away leave it no time");
        return (reason, vec!["fewer days away: without them it has its time ([days] away)".to_owned()]);
    }
    let years = MOST_DAYS / 365;
    let reason = format!("{what}: what comes before takes all the hours; past {years} years nothing is planned");
    (reason, vec!["plan the job in several".to_owned()])
}

/// What does not fit, each by itself; of mouldings that only come after one without a time, the first stands for all.
#[must_use]
pub fn all_that_do_not_fit(tasks: &Tasks, schedule: &Schedule, trial: &mut Trial<'_>) -> Vec<DoesNotFit> {
    let comes_after = |unfit: &Unfit| unfit.lacks.filter(|&before| tasks.groups[before].make == Make::Moulding);
    let waiting: BTreeSet<usize> =
        schedule.unfit.iter().filter(|unfit| comes_after(unfit).is_some()).map(|unfit| unfit.group).collect();
    // Each waits for the one before: whatever one of them is lacked by is the next.
    let goes_on: BTreeSet<usize> =
        schedule.unfit.iter().filter_map(comes_after).filter(|before| waiting.contains(before)).collect();
    let told = schedule.unfit.iter().filter(|unfit| comes_after(unfit).is_none_or(|before| !waiting.contains(&before)));
    told.map(|unfit| {
        let one = does_not_fit(tasks, unfit, trial);
        let about = if goes_on.contains(&unfit.group) { format!("{} and all after it", one.about) } else { one.about };
        DoesNotFit { about, ..one }
    })
    .collect()
}

/// The task of a block that is longest by itself if that is over everything; otherwise from gelcoat to first ply, or all of
/// a block without these.
fn hardest(tasks: &Tasks, block: &[usize]) -> Vec<usize> {
    let longest = block.iter().copied().max_by_key(|&number| tasks.tasks[number].minutes);
    let chain: Vec<usize> = {
        let from = block.iter().position(|&number| tasks.tasks[number].kind == Kind::Gelcoat);
        let to = block.iter().position(|&number| tasks.tasks[number].kind == Kind::Lay);
        match (from, to) {
            (Some(from), Some(to)) if from < to => block[from..=to].to_vec(),
            _ => block.to_vec(),
        }
    };
    let alone = longest.map_or(0, |number| tasks.tasks[number].minutes);
    if in_one_go(tasks, &chain) >= alone { chain } else { longest.into_iter().collect() }
}

/// How long some tasks take with their least waits and nothing else between.
fn in_one_go(tasks: &Tasks, chain: &[usize]) -> u32 {
    one_go(tasks, chain, |task| task.minutes).last().map_or(0, |(_, end_min)| *end_min)
}

/// Start and end of each, from the start of the first.
fn one_go(tasks: &Tasks, chain: &[usize], minutes: impl Fn(&Task) -> u32) -> Vec<(u32, u32)> {
    let mut times: Vec<(u32, u32)> = Vec::new();
    for &number in chain {
        let task = &tasks.tasks[number];
        let after = task.after.iter().filter_map(|link| {
            let before = chain.iter().position(|&known| known == link.from)?;
            Some(times.get(before)?.1 + link.least_min)
        });
        let start_min = after.max().unwrap_or(0);
        times.push((start_min, start_min + minutes(task)));
    }
    times
}

/// The first greatest wait that is passed even with nothing else between: how long it is, and how long it would have to be.
fn passed_window(tasks: &Tasks, chain: &[usize], minutes: impl Fn(&Task) -> u32) -> Option<(u32, u32)> {
    let times = one_go(tasks, chain, minutes);
    let links = chain
        .iter()
        .zip(&times)
        .flat_map(|(&number, to)| tasks.tasks[number].after.iter().map(move |link| (link, *to)));
    links
        .filter_map(|(link, to)| {
            let from = *times.get(chain.iter().position(|&known| known == link.from)?)?;
            let needed_min = match link.most?.counted {
                Counted::StartToEnd => to.1 - from.0,
                Counted::EndToStart => to.0.saturating_sub(from.1),
            };
            (!keeps(link, from, to)).then_some((link.most?.minutes, needed_min))
        })
        .next()
}

/// A longer day, in words.
fn day_words(day: &Hours) -> String {
    format!(
        "one longer day, a Saturday say from {} to {}: {} or more ([days] hours)",
        day.from,
        day.to,
        duration_words(day.to.0 - day.from.0)
    )
}

/// What makes it fit, each by itself, as planned again with it; and how long a day that takes.
fn remedies(
    all: &Tasks,
    group: usize,
    (chain, least_min): (&[usize], u32),
    trial: &mut Trial<'_>,
) -> (Vec<String>, u32) {
    let mut remedies = Vec::new();
    if let Some(more) = (1..=MOST_MORE_HANDS).find(|&more| trial.fits_with_hands(group, more)) {
        let helpers = if more == 1 { "a helper".to_owned() } else { format!("{more} helpers") };
        remedies.push(format!("{helpers} more ([crew] people = {})", trial.people() + more));
    }
    let day = trial.day(least_min, |trial, week| trial.fits_in(all, group, week));
    let needs_min = day.as_ref().map_or(0, |day| day.to.0 - day.from.0);
    let slower = if day.is_none() { slower(all, group, (chain, least_min), trial) } else { None };
    remedies.extend(day.as_ref().map(day_words).or(slower));
    let is_of_panel = all.groups[group].part.is_some();
    if let Some(n) = (2..=MOST_PIECES).find(|&n| is_of_panel && trial.fits_in_pieces(all, group, n)) {
        remedies.push(format!("a split: {n} pieces of about the same size ([[part.split]])"));
    }
    if remedies.is_empty() {
        remedies.push(if trial.fits_in(all, group, &whole_week()) {
            "hours on every day, from 08:00 to 20:00 say ([days] hours)".to_owned()
        } else {
            format!(
                "nothing that was tried: no Saturday is long enough, nor do {MOST_MORE_HANDS} more hands do it; make it smaller, \
                 or its waits shorter by the makers' sheets ([days], [shop])"
            )
        });
    }
    (remedies, needs_min)
}

/// Gelcoat that may be laid over for longer: in the hours that there are, or with a longer day as well.
fn slower(all: &Tasks, group: usize, (chain, least_min): (&[usize], u32), trial: &mut Trial<'_>) -> Option<String> {
    /// The window is that of the chain at its quickest: waits for hours take a little more.
    const MORE_H: u32 = 4;
    let (now_min, needed_min) = passed_window(all, chain, |task| task.minutes)?;
    let least_h = needed_min.div_ceil(60);
    let words = |h: u32| {
        format!(
            "slower gelcoat or resin that may be laid over for {h} h instead of {} ([shop] overlay_most_h, by the maker's sheet)",
            duration_words(now_min)
        )
    };
    let week = trial.week().clone();
    (least_h..least_h + MORE_H).find_map(|h| {
        if trial.fits_if_slower(group, h, &week) {
            return Some(words(h));
        }
        let day = trial.day(least_min, |trial, week| trial.fits_if_slower(group, h, week))?;
        Some(format!("{}, together with {}", day_words(&day), words(h)))
    })
}
