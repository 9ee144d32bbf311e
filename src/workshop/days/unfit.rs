//! What does not fit the hours: why, and what would make it fit.

use serde::Serialize;

use super::hours::Working;
use super::place::keeps;
use super::schedule::Unfit;
use super::task::{Kind, Task, Tasks, on_grid};
use super::words::duration_words;

/// Something that has no time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DoesNotFit {
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
    let about = group.about.clone();
    let Some((&first, _)) = unfit.block.split_first() else {
        let reason = "what it is built in does not fit".to_owned();
        return DoesNotFit { about, reason, remedies: Vec::new(), needs_min: None };
    };
    let Some((day, longest_min)) = working.longest() else {
        return DoesNotFit { about, reason: "there are no hours".to_owned(), remedies: Vec::new(), needs_min: None };
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
    DoesNotFit { about, reason, remedies, needs_min: Some(needs_min) }
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

/// The first window that is passed even with nothing else between.
fn passed_window(tasks: &Tasks, chain: &[usize]) -> Option<u32> {
    let times = one_go(tasks, chain, |task| task.minutes);
    let links = chain
        .iter()
        .zip(&times)
        .flat_map(|(&number, to)| tasks.tasks[number].after.iter().map(move |link| (link, *to)));
    let mut passed = links.filter(|(link, to)| {
        let from = chain.iter().position(|&known| known == link.from).and_then(|at| times.get(at));
        from.is_some_and(|from| !keeps(link, *from, *to))
    });
    passed.find_map(|(link, _)| link.most).map(|most| most.minutes)
}

fn remedies(tasks: &Tasks, chain: &[usize], people: u32, (needs_min, longest_min): (u32, u32)) -> Vec<String> {
    let mut remedies = Vec::new();
    if needs_min > longest_min {
        let with_hands = |more: u32| {
            let minutes =
                |task: &Task| on_grid(task.effort.person_min / f64::from(task.hands + more) + task.effort.fixed_min);
            one_go(tasks, chain, minutes).last().map_or(0, |(_, end_min)| *end_min)
        };
        if let Some(more) = (1..=MOST_MORE_HANDS).find(|&more| with_hands(more) <= longest_min) {
            let helpers = if more == 1 { "a helper".to_owned() } else { format!("{more} helpers") };
            remedies.push(format!(
                "{helpers} more: about {} in one go ([crew] people = {})",
                duration_words(with_hands(more)),
                people + more
            ));
        }
        remedies
            .push(format!("one longer day, at the weekend say: {} or more ([days] hours)", duration_words(needs_min)));
        let fixed: u32 = needs_min.saturating_sub(chain.iter().map(|&number| person_min(&tasks.tasks[number])).sum());
        if fixed < longest_min {
            let work = needs_min - fixed;
            let n = work.div_ceil(longest_min - fixed).max(2);
            if n <= MOST_PIECES {
                remedies.push(format!("a split: {n} pieces of about the same size ([[part.split]])"));
            }
        }
        if chain.len() == 1 {
            remedies.push(
                "thinner stages, so that fewer plies are laid in one go ([shop] stage_most_plies, stage_most_mm)"
                    .to_owned(),
            );
        }
    }
    if let Some(window_min) = passed_window(tasks, chain) {
        remedies.push(format!(
            "slower gelcoat or resin, with a longer overlay window than {}, if the maker has one ([shop] overlay_most_h)",
            duration_words(window_min)
        ));
    }
    if remedies.is_empty() {
        remedies.push("longer hours, or hours on more days of the week ([days] hours)".to_owned());
    }
    remedies
}

/// Minutes of a task that shrink with its size.
fn person_min(task: &Task) -> u32 {
    (task.effort.person_min / f64::from(task.hands)).round() as u32
}
