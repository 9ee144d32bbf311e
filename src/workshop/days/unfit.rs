//! What does not fit the hours: why, and what would make it fit.

use serde::Serialize;

use super::hours::Working;
use super::place::keeps;
use super::schedule::Unfit;
use super::task::{Counted, Kind, Task, Tasks, on_grid};
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

/// In words.
#[must_use]
pub fn does_not_fit(tasks: &Tasks, unfit: &Unfit, working: &Working, people: u32) -> DoesNotFit {
    let group = &tasks.groups[unfit.group];
    let (part, make, about) = (group.part, group.make, group.about.clone());
    let Some((&first, _)) = unfit.block.split_first() else {
        let reason = "what it is built in does not fit".to_owned();
        return DoesNotFit { part, make, about, reason, remedies: Vec::new(), needs_min: None };
    };
    let Some((day, longest_min)) = working.longest() else {
        return DoesNotFit {
            part,
            make,
            about,
            reason: "there are no hours".to_owned(),
            remedies: Vec::new(),
            needs_min: None,
        };
    };
    let chain = hardest(tasks, &unfit.block);
    let needs_min = in_one_go(tasks, &chain);
    let names: Vec<&str> = chain.iter().map(|&number| tasks.tasks[number].words.as_str()).collect();
    let what = match names.as_slice() {
        [] => tasks.tasks[first].words.clone(),
        [only] => (*only).to_owned(),
        [first, .., last] => format!("from {first} to {last}"),
    };
    let reason = if needs_min > longest_min {
        let how = if chain.len() > 1 { ", with its waits, may not be broken off" } else { "" };
        format!(
            "{what}: {} in one go{how}; the longest stretch of hours is {} ({})",
            duration_words(needs_min),
            duration_words(longest_min),
            day.word()
        )
    } else {
        format!("{what}: no week has hours within its greatest waits")
    };
    let remedies = remedies(tasks, &chain, people, (needs_min, longest_min));
    DoesNotFit { part, make, about, reason, remedies, needs_min: Some(needs_min) }
}

/// The task of a block that is longest by itself if that is over everything; otherwise from gelcoat to first ply.
fn hardest(tasks: &Tasks, block: &[usize]) -> Vec<usize> {
    let longest = block.iter().copied().max_by_key(|&number| tasks.tasks[number].minutes);
    let chain: Vec<usize> = {
        let from = block.iter().position(|&number| tasks.tasks[number].kind == Kind::Gelcoat);
        let to = block.iter().position(|&number| tasks.tasks[number].kind == Kind::Lay);
        match (from, to) {
            (Some(from), Some(to)) if from < to => block[from..=to].to_vec(),
            _ => Vec::new(),
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

/// How long a chain takes if every task takes so long, where all its windows are kept.
fn length(tasks: &Tasks, chain: &[usize], minutes: impl Fn(&Task) -> u32) -> Option<u32> {
    let kept = passed_window(tasks, chain, &minutes).is_none();
    one_go(tasks, chain, &minutes).last().filter(|_| kept).map(|(_, end_min)| *end_min)
}

/// Each holds by itself: with it the chain fits.
fn remedies(tasks: &Tasks, chain: &[usize], people: u32, (needs_min, longest_min): (u32, u32)) -> Vec<String> {
    let mut remedies = Vec::new();
    let fits = |minutes: &dyn Fn(&Task) -> u32| length(tasks, chain, minutes).filter(|length| *length <= longest_min);
    let with_hands = |more: u32| {
        fits(&|task| on_grid(task.effort.person_min / f64::from(task.hands + more) + task.effort.fixed_min))
    };
    if let Some((more, length_min)) = (1..=MOST_MORE_HANDS).find_map(|more| Some((more, with_hands(more)?))) {
        let helpers = if more == 1 { "a helper".to_owned() } else { format!("{more} helpers") };
        remedies.push(format!(
            "{helpers} more: about {} in one go ([crew] people = {})",
            duration_words(length_min),
            people + more
        ));
    }
    let window = passed_window(tasks, chain, |task| task.minutes).map(|(now_min, needed_min)| {
        format!(
            "gelcoat or resin that may be laid over for {} instead of {} ([shop] overlay_most_h, by the maker's sheet)",
            duration_words(needed_min.div_ceil(60) * 60),
            duration_words(now_min)
        )
    });
    let day = (needs_min > longest_min)
        .then(|| format!("one longer day, at the weekend say: {} or more ([days] hours)", duration_words(needs_min)));
    remedies.extend(match (day, window) {
        (Some(day), Some(window)) => Some(format!("{day}, together with slower {window}")),
        (None, Some(window)) => Some(format!("slower {window}")),
        (day, None) => day,
    });
    let in_pieces =
        |n: u32| fits(&|task| on_grid(task.effort.person_min / f64::from(task.hands * n) + task.effort.fixed_min));
    if let Some(n) = (2..=MOST_PIECES).find(|&n| in_pieces(n).is_some()) {
        remedies.push(format!("a split: {n} pieces of about the same size ([[part.split]])"));
    }
    if chain.len() == 1 && needs_min > longest_min {
        remedies.push(
            "thinner stages, so that fewer plies are laid in one go ([shop] stage_most_plies, stage_most_mm)"
                .to_owned(),
        );
    }
    if remedies.is_empty() {
        remedies.push("longer hours, or hours on more days of the week ([days] hours)".to_owned());
    }
    remedies
}
