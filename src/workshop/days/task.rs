//! A piece of work, what it has to wait for, and what stops it.

use serde::Serialize;

use crate::laminate::schedule::Make;
use crate::workshop::work::Place;

/// Tasks and starts are planned on a grid of so many minutes.
pub const GRID_MIN: u32 = 5;

/// What was abraded is laid over within so many minutes. Longer, and dust, damp and hands are on it again; much shorter, and
/// there is no time to wipe it down and mix. Common practice, no source.
pub const ABRADED_MOST_MIN: u32 = 30;

/// What is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A step of the test patch.
    Patch,
    /// The test patch pulled off and looked at.
    Look,
    /// Foam sealed with epoxy and glass.
    Seal,
    /// Plug filled, faired, sanded.
    Fair,
    /// A coat of primer.
    Prime,
    /// Primer sanded flat.
    Flat,
    /// A coat of paint.
    Paint,
    /// Paint flatted and polished.
    Polish,
    /// A flange board fixed along a split.
    Board,
    /// The board taken off, the flange cleaned.
    Strip,
    /// A face washed and looked over.
    Wash,
    /// Halves of a mould bolted together.
    Bolt,
    /// A coat of wax.
    Wax,
    /// Release film.
    Film,
    /// Glass cut.
    Cut,
    /// A coat of gelcoat.
    Gelcoat,
    /// Putty along corners behind the gelcoat.
    Putty,
    /// A stage of plies.
    Lay,
    /// Plates, pads, doublers and peel ply laid into a moulding while it is wet.
    Fixings,
    /// A coat on the inner face of a moulding.
    Coat,
    /// Pieces of a moulding joined.
    Join,
    /// A laminate abraded that has set too hard.
    Abrade,
    /// Edges cut with a knife.
    TrimGreen,
    /// Edges cut with a saw.
    TrimHard,
    /// Stiffeners.
    Stiffen,
    /// A cradle of timber built on a mould.
    Cradle,
    /// Flanges drilled and bolted.
    Drill,
    /// Taken off.
    Release,
    /// A moulding finished.
    Finish,
    /// The trial moulding weighed.
    Weigh,
    /// Into the warm.
    WarmIn,
    /// Out of the warm.
    WarmOut,
}

/// What a task does to the air, or asks of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Air {
    /// Neither.
    Any,
    /// Makes dust.
    Dusty,
    /// No dust from its start until so many minutes after its end.
    Still(u32),
}

/// How a greatest wait is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counted {
    /// From the start of the one to the end of the other, so that no spot is left longer.
    StartToEnd,
    /// From the end of the one to the start of the other.
    EndToStart,
}

/// A greatest wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Most {
    /// So many minutes.
    pub minutes: u32,
    /// From when to when.
    pub counted: Counted,
    /// What past it is mended by abrading; otherwise it may not be passed.
    pub mended: bool,
}

/// Why something has to be waited for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// It is done before.
    Order,
    /// Paint or primer dries.
    Dry,
    /// Paint cures through before wax.
    PaintCure,
    /// Wax hardens.
    WaxHardens,
    /// Release film dries; later it has gathered dust.
    FilmDries,
    /// Gelcoat gels before its next coat.
    GelcoatGels,
    /// Gelcoat is ready for the ply: the finger test.
    Tack,
    /// Putty firms.
    PuttyFirms,
    /// A stage heats and cools before the next; later it no longer bonds.
    StageRests,
    /// The laminate is green.
    Green,
    /// The laminate cures.
    Cure,
    /// A mould cures on its plug.
    MouldCure,
    /// The stack is proved on a patch before it goes on a plug.
    Proved,
    /// The trial moulding is weighed before the next is begun.
    Trial,
    /// The tool is free.
    Tool,
    /// The first small panel is laid before a large one.
    Learn,
    /// Post-cure.
    Warm,
    /// The face is keyed and clean.
    Abraded,
    /// What it is laid on is still wet.
    Wet,
}

/// What a task waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Number of the task before.
    pub from: usize,
    /// Least minutes from its end to the start.
    pub least_min: u32,
    /// Greatest wait.
    pub most: Option<Most>,
    /// Why.
    pub why: Why,
}

/// A plug or a mould, which holds one build at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Tool {
    /// Panel, from 0 in the order of the plan.
    pub part: usize,
    /// Hand, from 0.
    pub hand: u32,
    /// What is built on it: moulds on a plug, mouldings in a mould.
    pub make: Make,
    /// Which mould, where a panel's mouldings come out of several that are not bolted together.
    pub piece: usize,
}

/// What the minutes of a task are reckoned from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Effort {
    /// So much of it.
    pub quantity: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Minutes of one person at it.
    pub person_min: f64,
    /// Minutes of getting ready and cleaning up beside it.
    pub fixed_min: f64,
}

/// A task.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// A name that stays the same from run to run.
    pub key: String,
    /// What is done.
    pub kind: Kind,
    /// What it is done to.
    pub about: String,
    /// What is done, in words.
    pub words: String,
    /// Number of its job of work: one plug and mould, or one moulding.
    pub group: usize,
    /// Which piece of the plan.
    pub place: Option<Place>,
    /// How many do it.
    pub hands: u32,
    /// Hands that have to be asked in beside the crew, for lifting.
    pub helpers: u32,
    /// How long it takes them.
    pub minutes: u32,
    /// What that is reckoned from.
    pub effort: Effort,
    /// It can be put down and taken up again.
    pub in_parts: bool,
    /// What it does to the air.
    pub air: Air,
    /// Which large piece it wets out; nothing for small ones and for dry work.
    pub large: Option<usize>,
    /// The tool that it holds.
    pub tool: Option<Tool>,
    /// What it waits for.
    pub after: Vec<Link>,
    /// What is done if its window cannot be kept: instead of the knife the saw, before a stage abrading.
    pub fallback: Option<Box<Task>>,
}

/// One plug with its mould, one moulding, or the test patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// What it is, in words.
    pub about: String,
    /// Panel of the plan; nothing for the test patch.
    pub part: Option<usize>,
    /// Mould or moulding.
    pub make: Make,
    /// The lot of panels that it belongs to.
    pub lot: usize,
    /// Its tasks, in order.
    pub tasks: std::ops::Range<usize>,
    /// Groups that come before it: without them it is not built.
    pub needs: Vec<usize>,
}

/// Everything to be done.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tasks {
    /// Jobs of work, in the order in which they are planned.
    pub groups: Vec<Group>,
    /// The tasks, group by group.
    pub tasks: Vec<Task>,
    /// What is not laid out at all.
    pub left_out: Vec<LeftOut>,
}

/// A build that is not laid out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftOut {
    /// Number of its part.
    pub part: usize,
    /// Mould or moulding.
    pub make: Make,
    /// What it is.
    pub about: String,
    /// Why.
    pub reason: String,
    /// What would change that, each by itself; nothing where it only lacks what is left out.
    pub remedies: Vec<String>,
}

/// Up to the grid.
#[must_use]
pub fn on_grid(minutes: f64) -> u32 {
    // Ten thousand hours: past it nothing is a task, and whole numbers stay whole.
    const MOST_MIN: f64 = 600_000.0;
    // 20.000000001 minutes are 20.
    const FUZZ: f64 = 1e-6;
    let steps = (minutes.clamp(0.0, MOST_MIN) / f64::from(GRID_MIN) - FUZZ).ceil().max(0.0);
    steps as u32 * GRID_MIN
}
