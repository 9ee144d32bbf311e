//! From what there is to build to tasks with durations and waits.
//!
//! The order of work of one panel: plug faired, primed, painted; full cure of the paint; wax and release film; the mould
//! piece by piece, each laid stage by stage, cured, trimmed, stiffened; flanges drilled before anything is parted; the mould
//! cures on its plug and is taken off; the first moulding, a trial that is weighed; then the others. Panels follow one
//! another from small and simple to large, so that the crew learns.

mod build;
mod laying;
mod mould;
mod moulding;
mod plug;

use std::collections::{BTreeMap, BTreeSet};

use self::build::Builder;
use super::beside::Beside;
use super::pace::Pace;
use super::task::Tasks;
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::workshop::crew::Crew;
use crate::workshop::rates::Rates;
use crate::workshop::takes::habits::PlugStuff;
use crate::workshop::work::{PieceWork, Work};

/// More tasks than this are not laid out: what is past them is named.
const MOST_TASKS: usize = 40_000;

/// So many plugs go through their preparation together: fewer, and wet paint keeps the sanding waiting; more, and the first
/// mould comes late.
const LOT: usize = 4;

/// What durations and waits are reckoned from.
#[derive(Debug, Clone, Copy)]
pub struct Habits<'a> {
    /// Gelcoats, and the shop's habits.
    pub stock: &'a Stock,
    /// Who works.
    pub crew: &'a Crew,
    /// How long it takes.
    pub pace: &'a Pace,
}

impl Habits<'_> {
    /// How fast things are laid, and by how many.
    #[must_use]
    pub fn rates(&self) -> Rates<'_> {
        Rates { crew: self.crew, pace: self.pace }
    }

    /// From a mould's last ply until it leaves its plug, in h at least: never less than any laminate cures.
    #[must_use]
    pub fn mould_cure_h(&self) -> f64 {
        self.pace.mould_cure_h.value.max(self.stock.practice.cure_h.value)
    }
}

/// A panel: its pieces by make.
#[derive(Debug, Clone)]
pub(super) struct Panel<'a> {
    part: usize,
    name: &'a str,
    n_hands: u32,
    mould: Vec<&'a PieceWork>,
    moulding: Vec<&'a PieceWork>,
}

impl Panel<'_> {
    /// How hard it is: laid area in m2, corners at a tenth of their metres, and a quarter for every piece after the first.
    fn difficulty(&self) -> f64 {
        let pieces = || self.mould.iter().chain(&self.moulding);
        let area: f64 = pieces().map(|piece| piece.widest_m2()).sum();
        let corners: f64 = pieces().map(|piece| piece.corner_mm / 1e4).sum();
        let extra = self.mould.len().saturating_sub(1) + self.moulding.len().saturating_sub(1);
        area + corners + 0.25 * extra as f64
    }
}

/// Everything that has to be done for a job.
#[must_use]
pub fn tasks(work: &Work, beside: &Beside, habits: Habits<'_>) -> Tasks {
    let mut panels = panels(work);
    panels.sort_by(|a, b| a.difficulty().total_cmp(&b.difficulty()).then(a.part.cmp(&b.part)));
    let mut builder = Builder::new(habits, beside);
    let is_built = |panel: &Panel<'_>| !panel.mould.is_empty() && beside.withheld(panel.part, Make::Mould).is_none();
    let mut stuffs: Vec<Option<PlugStuff>> = Vec::new();
    for panel in panels.iter().filter(|panel| is_built(panel)) {
        let stuff = beside.plugs.get(&panel.part).copied();
        if !stuffs.contains(&stuff) {
            stuffs.push(stuff);
        }
    }
    // A patch proves the stack on its own stuff only.
    let patches: Vec<usize> = stuffs.iter().map(|&stuff| builder.patch(stuff, stuffs.len() == 1)).collect();
    let proved_on = |part: usize| {
        let stuff = beside.plugs.get(&part).copied();
        stuffs.iter().position(|&known| known == stuff).map(|at| patches[at])
    };
    let mut out: BTreeSet<(usize, u32)> = BTreeSet::new();
    let mut first_laid = None;
    // Moulds first, then mouldings: a mould has a week on its plug, which belongs to the others.
    let mut moulds: BTreeMap<(usize, u32), (usize, usize)> = BTreeMap::new();
    for panel in &panels {
        for hand in 0..panel.n_hands {
            if panel.mould.is_empty() {
                continue;
            }
            let named = (panel.part, panel.name);
            if builder.is_withheld(named, Make::Mould) || builder.is_full(named, Make::Mould) {
                out.insert((panel.part, hand));
                continue;
            }
            builder.lot = moulds.len() / LOT;
            let group = builder.mould(panel, hand, proved_on(panel.part), first_laid);
            first_laid = first_laid.or_else(|| builder.last_laid(group));
            moulds.insert((panel.part, hand), (group, builder.lot));
        }
    }
    for panel in &panels {
        for hand in 0..panel.n_hands {
            let named = (panel.part, panel.name);
            if panel.moulding.is_empty() || builder.is_withheld(named, Make::Moulding) {
                continue;
            }
            if out.contains(&(panel.part, hand)) {
                builder.leave_out(named, Make::Moulding, "its mould is not planned".to_owned(), Vec::new());
                continue;
            }
            let mould = moulds.get(&(panel.part, hand));
            builder.lot = mould.map_or(0, |(_, lot)| *lot);
            builder.mouldings(panel, hand, mould.map(|(group, _)| *group));
        }
    }
    builder.done()
}

/// What tells two hands apart; nothing where there is one.
fn hand_words(n_hands: u32, hand: u32) -> &'static str {
    match (n_hands, hand) {
        (0 | 1, _) => "",
        (_, 0) => ", as drawn",
        _ => ", opposite hand",
    }
}

/// Panels with something to build, in the order of the job.
fn panels(work: &Work) -> Vec<Panel<'_>> {
    let mut panels: Vec<Panel<'_>> = Vec::new();
    for piece in work.pieces.iter().filter(|piece| piece.count > 0) {
        let part = piece.place.part;
        let at = match panels.iter().position(|panel| panel.part == part) {
            Some(at) => at,
            None => {
                let n_hands = piece.n_hands.max(1);
                panels.push(Panel { part, name: &piece.part, n_hands, mould: Vec::new(), moulding: Vec::new() });
                panels.len() - 1
            }
        };
        match piece.make {
            Make::Mould => panels[at].mould.push(piece),
            Make::Moulding => panels[at].moulding.push(piece),
        }
    }
    panels
}
