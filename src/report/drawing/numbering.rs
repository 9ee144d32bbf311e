//! Which view names what: each corner once where it is seen best, and once more in the isometric view.

use super::one_view::{Candidate, Sketch};

/// For each view the names that it bears.
///
/// A corner that is seen nowhere is named where most of its hidden line is drawn.
#[must_use]
pub fn shared_out(sketches: &[Sketch<'_>]) -> Vec<Vec<Candidate>> {
    let n_names = sketches.iter().flat_map(Sketch::candidates).map(|candidate| candidate.number + 1).max().unwrap_or(0);
    let mut shared: Vec<Vec<Candidate>> = vec![Vec::new(); sketches.len()];
    for number in 0..n_names {
        let of_view = |view: usize| sketches[view].candidates().iter().find(|candidate| candidate.number == number);
        let all = || (0..sketches.len()).filter_map(|view| of_view(view).map(|candidate| (view, candidate)));
        let seen = |square: bool| {
            let of_kind =
                all().filter(move |(view, candidate)| candidate.seen && sketches[*view].is_square() == square);
            longest(of_kind)
        };
        let chosen = match (seen(true), seen(false)) {
            (Some(best), Some(again)) if best.1.twice => vec![best, again],
            (Some(best), _) | (None, Some(best)) => vec![best],
            (None, None) => longest(all()).into_iter().collect(),
        };
        for (view, candidate) in chosen {
            shared[view].push(candidate.clone());
        }
    }
    shared
}

/// The first of the longest.
fn longest<'a>(candidates: impl Iterator<Item = (usize, &'a Candidate)>) -> Option<(usize, &'a Candidate)> {
    let mut best: Option<(usize, &Candidate)> = None;
    for (view, candidate) in candidates {
        if best.is_none_or(|(_, other)| candidate.length_mm > other.length_mm * (1.0 + 1e-6)) {
            best = Some((view, candidate));
        }
    }
    best
}
