//! What a job takes beside its lay-ups: joints, fixings, stiffeners, inner faces, colour, flanges of moulds, plugs, release
//! and what is used up.
//!
//! One file a kind. Each writes what it takes down as a list of [`Take`]s, one material each, and what stays on a moulding
//! or mould as [`FinishedLine`]s; `needs` adds takes and lay-ups up alike. All of it is arithmetic on the pieces as the bench
//! sees them.

use std::collections::BTreeMap;

use serde::Serialize;

use super::crew::Crew;
use super::days::pace::Pace;
use super::mixes::Mixes;
use super::mixes::recipe::{MixKind, Recipe};
use super::needs::NeedKind;
use super::rates::Rates;
use super::work::{PieceWork, Place, Work};
use crate::laminate::figure::{Figure, Spread};
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{kg_from_g, l_from_ml};

mod adhesive;
pub mod asked;
mod bench;
mod colour;
mod consumables;
mod epoxy;
mod fixings;
mod gaps;
pub mod habits;
mod inside;
mod joints;
mod moulds;
mod patch;
mod plug;
mod release;
mod seal;
mod stiffening;

pub use adhesive::{adhesive_gel_times, adhesive_recipe};
pub use asked::Asked;
use bench::{Bench, Owner};
pub use gaps::Gap;
use habits::{Colour, Consumables, Extras, Plug};
pub use patch::patch_words;
pub use plug::{PlugLine, PlugWork, spread_m2_l};

/// By what a material is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Measure {
    /// Mass, in kg.
    Kg,
    /// Volume, in litres.
    Litres,
    /// Area, in m2.
    M2,
    /// Length, in m.
    M,
    /// Pieces.
    Pieces,
}

impl Measure {
    /// The unit, as lists write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Kg => "kg",
            Self::Litres => "l",
            Self::M2 => "m2",
            Self::M => "m",
            Self::Pieces => "pieces",
        }
    }
}

/// How much of a material, in every measure that is known; 0 in the others.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Amounts {
    /// Mass in kg.
    pub kg: f64,
    /// Volume in litres.
    pub litres: f64,
    /// Area in m2.
    pub m2: f64,
    /// Length in m: of a reinforcement off the roll.
    pub m: f64,
    /// Pieces.
    pub pieces: f64,
}

impl Amounts {
    /// So much by one measure.
    #[must_use]
    pub fn by(measure: Measure, amount: f64) -> Self {
        let mut amounts = Self::default();
        *match measure {
            Measure::Kg => &mut amounts.kg,
            Measure::Litres => &mut amounts.litres,
            Measure::M2 => &mut amounts.m2,
            Measure::M => &mut amounts.m,
            Measure::Pieces => &mut amounts.pieces,
        } = amount;
        amounts
    }

    /// Adds others.
    pub fn add(&mut self, other: Self) {
        self.kg += other.kg;
        self.litres += other.litres;
        self.m2 += other.m2;
        self.m += other.m;
        self.pieces += other.pieces;
    }

    /// So many times as much.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        let times = f64::from(count);
        Self {
            kg: times * self.kg,
            litres: times * self.litres,
            m2: times * self.m2,
            m: times * self.m,
            pieces: times * self.pieces,
        }
    }
}

/// Whose a take is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Whose {
    /// A piece, or the build that it is of.
    Piece(Place),
    /// The plug of the part of this number.
    Plug(usize),
    /// The job as a whole.
    Job,
}

/// One material that is taken beside the lay-ups, for one thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Take {
    /// What it is.
    pub kind: NeedKind,
    /// Its name in the stock, or in plain words.
    pub material: String,
    /// How much one takes.
    pub amounts: Amounts,
    /// Whose it is.
    pub of: Whose,
    /// Whose it is and what for, for the sums.
    pub name: String,
    /// How many take it.
    pub count: u32,
    /// The sum behind the first of its amounts.
    pub working: Working,
}

/// A liquid that is taken beside the lay-ups and stirred up at the bench: what its mixes are reckoned from.
#[derive(Debug, Clone, PartialEq)]
pub struct Mixed {
    /// What kind of material it is.
    pub kind: MixKind,
    /// Its name in the stock.
    pub material: String,
    /// The piece, or the first of the build, that it is for.
    pub of: Place,
    /// What it is for.
    pub why: String,
    /// How many take it.
    pub count: u32,
    /// What is laid of it, in kg; of an epoxy with its hardener.
    pub need_kg: f64,
    /// The material alone, in kg.
    pub alone_kg: f64,
    /// Glass that it wets out, in kg.
    pub glass_kg: f64,
    /// Area that it is brushed over, in m2; 0 where it wets glass out or bonds.
    pub brushed_m2: f64,
    /// What the plan reckons to be stirred in, in g.
    pub planned_g: f64,
    /// How it is mixed, where the stock does not say so.
    pub recipe: Option<Recipe>,
    /// What else is stirred in, each with its kind, name and mass in kg.
    pub also: Vec<Also>,
}

/// Something that is stirred into a mix beside what makes it go off.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Also {
    /// What it is.
    pub kind: NeedKind,
    /// Its name in the order.
    pub material: String,
    /// How much of it goes into all of a line's mixes, in kg.
    pub kg: f64,
    /// How much of it goes into each mix as that is weighed out, in g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub each_g: Option<f64>,
}

/// A liquid of the order that no mix holds, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Unmixed {
    /// What it is.
    pub kind: NeedKind,
    /// Its name in the order.
    pub material: String,
    /// How much, over the whole job, in kg.
    pub kg: f64,
    /// Why it is in no mix.
    pub why: String,
}

/// Something that stays on a moulding or mould beside its plies.
#[derive(Debug, Clone, PartialEq)]
pub struct FinishedLine {
    /// What it is.
    pub what: String,
    /// What it weighs in kg; less than nothing for what is left out.
    pub kg: Spread,
    /// The sum behind it.
    pub working: Working,
}

/// What is laid on a moulding while its last plies are wet: the areas that the order is reckoned from, for the days.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct WetOn {
    /// Plates and pads.
    pub n_fixings: u32,
    /// Doublers over them, and plies in the place of a core there, ply by ply, in m2.
    pub fixings_m2: f64,
    /// Peel ply on what is bonded later, in m2; never more than the inner face.
    pub peel_ply_m2: f64,
}

/// Lines of each build, by the numbers of part and build.
pub type Lines = BTreeMap<(usize, usize), Vec<FinishedLine>>;

/// What a build weighs in all.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Finished {
    /// What stays on it beside its plies.
    pub lines: Vec<FinishedLine>,
    /// All of it, plies included, in kg.
    pub mass_kg: Spread,
}

impl Finished {
    /// A build of these pieces with these lines.
    #[must_use]
    pub fn of(pieces_kg: Spread, lines: Vec<FinishedLine>) -> Self {
        let mass_kg = [pieces_kg].into_iter().chain(lines.iter().map(|line| line.kg)).sum();
        Self { lines, mass_kg }
    }

    /// The sum behind the mass.
    #[must_use]
    pub fn working(&self) -> Working {
        let lines_kg: f64 = self.lines.iter().map(|line| line.kg.likely).sum();
        let sum = Working::of("mass_kg", "finished mass", self.mass_kg.likely, "kg");
        let sum = sum.plus(self.mass_kg.likely - lines_kg, "kg", "plies and gelcoat");
        self.lines.iter().fold(sum, |sum, line| sum.plus(line.kg.likely, "kg", line.what.clone()))
    }
}

/// A figure of a table of habits, where it was used.
#[derive(Debug, Clone, PartialEq)]
pub struct UsedHere {
    /// Its table in the job file.
    pub of: String,
    /// Its key there.
    pub field: String,
    /// The figure.
    pub figure: Figure,
    /// Where.
    pub place: String,
}

/// Everything that is taken beside the lay-ups.
#[derive(Debug, Clone, Default)]
pub struct Taken {
    /// One material each.
    pub takes: Vec<Take>,
    /// Liquids among them that are stirred up, in the order in which they were taken.
    pub mixed: Vec<Mixed>,
    /// Liquids among them that no mix holds.
    pub unmixed: Vec<Unmixed>,
    /// Paste that goes into gelcoats of mouldings, by the gelcoat's name: the paste's name and its share in percent.
    pub pastes: BTreeMap<String, (String, f64)>,
    /// What stays on each build.
    pub finished: Lines,
    /// What is laid on each moulding while it is wet, by the numbers of part and build.
    pub wet_on: BTreeMap<(usize, usize), WetOn>,
    /// The plugs, part by part.
    pub plugs: Vec<PlugWork>,
    /// Gaps to leave round each panel.
    pub gaps: Vec<Gap>,
    /// Figures that were used.
    pub figures: Vec<UsedHere>,
    /// Notes on the job.
    pub notes: Vec<Note>,
    /// Notes on builds, by the numbers of part and build.
    pub build_notes: Vec<((usize, usize), Note)>,
}

/// The shop's habits that takes rest on.
#[derive(Debug, Clone, Copy)]
pub struct Habits<'a> {
    /// Joints, fixings, stiffeners, inner faces, moulds, release.
    pub extras: &'a Extras,
    /// Plugs of which the panel says nothing of its own.
    pub plug: &'a Plug,
    /// What is used up.
    pub consumables: &'a Consumables,
    /// Who works.
    pub crew: &'a Crew,
    /// Coats and their waits, as the days have them.
    pub pace: &'a Pace,
    /// Colour of the mouldings, where paste is stirred in.
    pub colour: Option<&'a Colour>,
}

/// What a job takes beside its lay-ups. `asked` and `plugs` hold one entry for each part of `work`, by its number.
#[must_use]
pub fn takes(work: &Work, asked: &[Asked<'_>], plugs: &[Plug], habits: Habits<'_>, stock: &Stock) -> Taken {
    let mut bench = Bench { stock, taken: Taken::default() };
    for pieces in work.pieces.chunk_by(|a, b| (a.place.part, a.place.build) == (b.place.part, b.place.build)) {
        let Some(asked) = pieces.first().and_then(|piece| asked.get(piece.place.part)) else { continue };
        of_build(&mut bench, pieces, asked, habits);
    }
    let by_part = work.pieces.chunk_by(|a, b| a.place.part == b.place.part);
    for pieces in by_part {
        let Some(part) = pieces.first().map(|piece| piece.place.part) else { continue };
        let (Some(asked), Some(plug)) = (asked.get(part), plugs.get(part)) else { continue };
        plug::plug(&mut bench, pieces, plug, habits);
        release::release(&mut bench, pieces, habits.extras, habits.pace);
        gaps::gap(&mut bench, pieces, asked, habits.extras);
    }
    patch::patches(&mut bench, work, plugs, habits);
    plug::notes(&mut bench);
    colour::colour(&mut bench, work, habits.colour);
    let rates = Rates { crew: habits.crew, pace: habits.pace };
    consumables::consumables(&mut bench, work, habits.consumables, rates);
    bench.taken
}

/// Adds what the mixes of a job use up: cups, sticks and syringes, and what they take to go off beyond the plan's sums.
pub fn of_mixes(taken: &mut Taken, mixes: &Mixes, habits: &Consumables, stock: &Stock) {
    let mut bench = Bench { stock, taken: std::mem::take(taken) };
    for more in &mixes.more {
        let kg = kg_from_g(more.g);
        let sum = Working::of("kg", format!("more {}", more.agent.words()), kg, "kg").plus(kg, "kg", "");
        let amounts = Amounts { kg, litres: l_from_ml(more.ml), ..Amounts::default() };
        let why = format!("more for {} at {} C", more.material, more.temperature_c);
        bench.take(&Owner::job(), &why, more.agent.kind, &more.agent.material, amounts, sum);
    }
    consumables::of_mixes(&mut bench, mixes, habits);
    *taken = bench.taken;
}

fn of_build(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, habits: Habits<'_>) {
    let Habits { extras, pace, .. } = habits;
    epoxy::notes(bench, pieces, asked);
    match pieces.first().map(|piece| piece.make) {
        Some(Make::Moulding) => {
            joints::joints(bench, pieces, asked, extras);
            fixings::fixings(bench, pieces, asked, extras);
            inside::inside(bench, pieces, asked, extras);
        }
        Some(Make::Mould) => {
            moulds::flanges(bench, pieces, asked, extras, pace);
            stiffening::stiffening(bench, pieces, asked, extras);
        }
        None => {}
    }
}

/// The splits that part some pieces, each once with its length in mm: both sides of a cut list it.
fn splits_of(pieces: &[PieceWork]) -> Vec<(String, f64)> {
    let mut splits: Vec<(String, f64)> = Vec::new();
    for (name, length_mm) in pieces.iter().flat_map(|piece| &piece.splits) {
        match splits.iter_mut().find(|(known, _)| known == name) {
            Some((_, sum_mm)) => *sum_mm += 0.5 * length_mm,
            None => splits.push((name.clone(), 0.5 * length_mm)),
        }
    }
    splits
}

/// How many stand along a length at a spacing, one at either end.
fn n_along(length_mm: f64, spacing_mm: f64) -> f64 {
    (length_mm / spacing_mm).ceil() + 1.0
}

#[cfg(test)]
mod tests;
