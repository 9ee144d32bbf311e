//! What is stirred up when: the share of catalyst for the shop's temperature, the largest mix, and how many of which size
//! each coat, fillet and stage takes; cards for the scales.
//!
//! In reading order: [`recipe`] is what goes into a material, [`share`] how much of it at a temperature, or why not;
//! [`cups`] parts a need into equal mixes, [`lines`] does so for each step of the work, [`card`] for any mass.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::stock::{Practice, Stock};
use crate::notes::Note;
use crate::units::{kg_from_g, total};
use crate::workshop::crew::Crew;
use crate::workshop::days::pace::Pace;
use crate::workshop::needs::NeedKind;
use crate::workshop::rates::Rates;
use crate::workshop::takes::{Also, Taken, Unmixed};
use crate::workshop::work::{PieceWork, Place, Work};

pub mod card;
pub mod cups;
pub mod habits;
pub mod lines;
pub mod recipe;
pub mod share;

use card::{Card, card};
use habits::MixHabits;
use lines::{MixLine, MixStep, Take, beyond, line, takes as of_plies};
use recipe::{Agent, MixKind, Recipe, Stirred};
use share::{Fit, Refused, Share, entry_of, holds_c, share_at};

/// Temperature in deg C that is reckoned with where the job tells none: a heated shop in the middle of what makers' sheets
/// ask for (18 to 22 C). It is told with a note, and the cards show what another needs.
pub const EXPECTED_C: f64 = 20.0;

/// Temperature of the shop in deg C: as the job tells it, else the one that is reckoned with.
#[must_use]
pub fn shop_c(practice: &Practice) -> f64 {
    practice.temperature_c.as_ref().map_or(EXPECTED_C, |figure| figure.value)
}

/// What mixes rest on.
#[derive(Debug, Clone, Copy)]
pub struct MixShop<'a> {
    /// Materials, and the shop's temperature.
    pub stock: &'a Stock,
    /// Who works, and how fast.
    pub crew: &'a Crew,
    /// How mixes are sized.
    pub habits: &'a MixHabits,
    /// How long the work takes.
    pub pace: &'a Pace,
}

impl MixShop<'_> {
    /// How fast things are laid, and by how many.
    #[must_use]
    pub fn rates(&self) -> Rates<'_> {
        Rates { crew: self.crew, pace: self.pace }
    }
}

/// The mixes of a job.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Mixes {
    /// Temperature of shop and resin.
    pub temperature_c: f64,
    /// The job does not tell it.
    pub is_assumed: bool,
    /// What is mixed, in the order in which the job uses it.
    pub materials: Vec<MixedMaterial>,
    /// The mixes, piece by piece in the order of the work.
    pub lines: Vec<MixLine>,
    /// Liquids of the order that no mix holds, each with why. With them the mixes come to what the order needs.
    pub unmixed: Vec<Unmixed>,
    /// What the mixes take beyond the plan's own sums; the order holds it.
    #[serde(skip)]
    pub more: Vec<More>,
    /// What a person should know; the plan shows them with its own.
    #[serde(skip)]
    pub notes: Vec<Note>,
}

/// What the mixes of a material take beyond the plan's own sums to go off, because the temperature asks for more.
#[derive(Debug, Clone, PartialEq)]
pub struct More {
    /// What it goes into.
    pub material: String,
    /// What is stirred in.
    pub agent: Agent,
    /// Temperature that asks for it, in deg C.
    pub temperature_c: f64,
    /// Over the whole job, in g.
    pub g: f64,
    /// The same in ml.
    pub ml: f64,
}

/// A material that is mixed, with its share at the temperature and its card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixedMaterial {
    /// What it is.
    pub kind: MixKind,
    /// Its name in the stock.
    pub material: String,
    /// What is stirred in.
    pub stirred: Option<Stirred>,
    /// The share that a schedule asks for, in percent.
    pub told_percent: Option<f64>,
    /// Least, likely and most share by the stock, in percent.
    pub allowed_percent: Option<Spread>,
    /// Active oxygen of the catalyst that the shares are for, in percent.
    pub active_oxygen_percent: Option<f64>,
    /// Density of what is stirred in, in g/ml.
    pub density_g_ml: Option<f64>,
    /// The share at the temperature; nothing where it is refused.
    pub share: Option<Share>,
    /// What stands beside every mix of it, where its share may be more than is sound.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// Time to lay a mix in at most: so much of the gel time is used.
    pub lay_within_min: Option<f64>,
    /// Between which temperatures this share keeps its gel time useful.
    pub holds_c: Option<[f64; 2]>,
    /// Why nothing is mixed.
    pub refused: Option<Refusal>,
    /// Its mixes over the whole job.
    pub n_mixes: u64,
    /// What is laid of the material alone over the whole job, in kg.
    pub alone_kg: f64,
    /// What is stirred in over the whole job, in g, without what is weighed over.
    pub stir_g: Option<f64>,
    /// The card for the scales.
    pub card: Option<Card>,
}

/// Why nothing is mixed, and what to change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Why.
    pub why: String,
    /// What to change.
    pub remedy: String,
    /// What to change, without lines to paste.
    #[serde(skip)]
    pub in_short: String,
}

impl From<&Refused> for Refusal {
    fn from(refused: &Refused) -> Self {
        Self { why: refused.to_string(), remedy: refused.remedy(), in_short: refused.in_short() }
    }
}

impl Mixes {
    /// The mixes of a step of a piece, with their numbers in the list.
    pub fn of(&self, place: Place, step: MixStep) -> impl Iterator<Item = (usize, &MixLine)> {
        self.lines.iter().enumerate().filter(move |(_, line)| line.place == place && line.step == step)
    }
}

/// A material as the job uses it, found once.
struct Used {
    kind: MixKind,
    material: String,
    recipe: Option<Recipe>,
    told_percent: Option<f64>,
    /// The fastest that it is laid.
    lays_kg_h: f64,
}

/// The mixes of what there is to build.
#[must_use]
pub fn mixes(work: &Work, takes: &Taken, shop: &MixShop<'_>) -> Mixes {
    let temperature_c = shop_c(&shop.stock.practice);
    let mut used: Vec<Used> = Vec::new();
    let mut taken: Vec<(&PieceWork, Take, usize)> = Vec::new();
    for piece in &work.pieces {
        let beyond = takes.mixed.iter().filter(|mixed| mixed.of == piece.place).map(|mixed| beyond(mixed, shop));
        for take in of_plies(piece, shop).into_iter().chain(beyond) {
            let number = numbered(&mut used, piece, &take, shop.stock);
            taken.push((piece, take, number));
        }
    }
    let shares: Vec<Result<Share, Refused>> = used.iter().map(|used| share_of(used, temperature_c, shop)).collect();
    let of_take = |(piece, take, number): &(&PieceWork, Take, usize)| {
        line(piece, take, *number, used[*number].recipe.as_ref(), shares[*number].as_ref().ok(), shop)
    };
    let mut lines: Vec<MixLine> = taken.iter().map(of_take).collect();
    for line in &mut lines {
        coloured(line, &used, &takes.pastes);
        each_mix(line);
    }
    let materials: Vec<MixedMaterial> = used
        .iter()
        .zip(shares)
        .enumerate()
        .map(|(number, (used, share))| material(number, used, share, &lines, temperature_c, shop))
        .collect();
    let is_assumed = shop.stock.practice.temperature_c.is_none();
    let notes = notes(&materials, &used, temperature_c, is_assumed);
    let mut unmixed = takes.unmixed.clone();
    let mut more = Vec::new();
    for (number, used) in used.iter().enumerate() {
        let own = || lines.iter().filter(|line| line.recipe == number);
        balance(used, own, temperature_c, &mut unmixed, &mut more);
    }
    Mixes { temperature_c, is_assumed, materials, lines, unmixed, more, notes }
}

/// Paste goes into all gelcoat of mouldings that is bought without colour.
fn coloured(line: &mut MixLine, used: &[Used], pastes: &BTreeMap<String, (String, f64)>) {
    let is_gelcoat = used.get(line.recipe).is_some_and(|used| used.kind == MixKind::Gelcoat);
    if let Some((paste, percent)) = pastes.get(&line.material).filter(|_| is_gelcoat && line.make == Make::Moulding) {
        let kg = line.alone_kg * percent / 100.0;
        line.also.push(Also { kind: NeedKind::ColourPaste, material: paste.clone(), kg, each_g: None });
    }
}

/// What is stirred in beside catalyst or hardener, mix by mix: the same share of what is weighed out.
fn each_mix(line: &mut MixLine) {
    let Some(cups) = line.mixes.filter(|_| line.alone_kg > 0.0) else { return };
    for also in &mut line.also {
        also.each_g = Some(also.kg / line.alone_kg * cups.weigh_g);
    }
}

/// What makes the mixes of a material go off against what the plan's own sums hold for them: the greater is ordered, and
/// what is then in no mix is told.
fn balance<'a, Lines: Iterator<Item = &'a MixLine>>(
    used: &Used,
    own: impl Fn() -> Lines,
    temperature_c: f64,
    unmixed: &mut Vec<Unmixed>,
    more: &mut Vec<More>,
) {
    let over = |of: fn(&MixLine) -> f64| total(own().map(|line| f64::from(line.count) * of(line)));
    let planned_g = over(|line| line.planned_g);
    let stirred_g = over(|line| line.stir_g.unwrap_or(0.0));
    let Some(agent) = used.recipe.as_ref().map(|recipe| recipe.stirred.agent(&used.material)) else { return };
    let over_g = stirred_g - planned_g;
    if over_g > SAME_PERCENT * planned_g {
        let ml = used.recipe.as_ref().and_then(|recipe| recipe.stirred_ml(over_g)).unwrap_or(0.0);
        more.push(More { material: used.material.clone(), agent, temperature_c, g: over_g, ml });
    } else if -over_g > SAME_PERCENT * planned_g {
        let name = &used.material;
        let why = if stirred_g == 0.0 {
            format!("for {name}, which is not mixed as planned")
        } else {
            format!("for {name}: the plan's share is more than mixes take at {temperature_c} C, and the order keeps it")
        };
        unmixed.push(Unmixed { kind: agent.kind, material: agent.material, kg: kg_from_g(-over_g), why });
    }
}

/// The number of a take's material in the list, which it joins if it is new there.
fn numbered(used: &mut Vec<Used>, piece: &PieceWork, take: &Take, stock: &Stock) -> usize {
    let recipe = match take.kind {
        MixKind::Gelcoat => stock.gelcoats.get(&take.material).and_then(Recipe::of_gelcoat),
        MixKind::Putty => stock.fillers.get(&take.material).and_then(Recipe::of_filler),
        MixKind::Adhesive => take.recipe.clone(),
        MixKind::Resin => {
            let resin = stock.resins.get(&take.material);
            resin.and_then(|resin| Recipe::of_resin(resin, piece.catalyst_percent))
        }
    };
    let told_percent = recipe.as_ref().and_then(|recipe| recipe.told_percent);
    let is_same =
        |used: &Used| (used.kind, &used.material, used.told_percent) == (take.kind, &take.material, told_percent);
    if let Some(number) = used.iter().position(is_same) {
        used[number].lays_kg_h = used[number].lays_kg_h.max(take.lays_kg_h);
        return number;
    }
    let (kind, material, lays_kg_h) = (take.kind, take.material.clone(), take.lays_kg_h);
    used.push(Used { kind, material, recipe, told_percent, lays_kg_h });
    used.len() - 1
}

/// The share at the temperature, if a mix of it can be laid and weighed.
fn share_of(used: &Used, temperature_c: f64, shop: &MixShop<'_>) -> Result<Share, Refused> {
    let Some(recipe) = &used.recipe else {
        return Err(Refused::NoHardener { entry: entry_of(used.kind, &used.material) });
    };
    share_at(recipe, temperature_c, shop.habits.useful_gel_min.spread())
}

fn material(
    number: usize,
    used: &Used,
    share: Result<Share, Refused>,
    lines: &[MixLine],
    temperature_c: f64,
    shop: &MixShop<'_>,
) -> MixedMaterial {
    let own = || lines.iter().filter(|line| line.recipe == number);
    let step_g = shop.habits.scale_step_g.value;
    // A share without mixes: the scale does not read what is laid in time.
    let too_quick = share.is_ok() && own().any(|line| line.mixes.is_none());
    let refused = match &share {
        Err(refused) => Some(refused.into()),
        Ok(_) => too_quick.then(|| (&Refused::TooQuick { step_g }).into()),
    };
    let share = share.ok();
    let recipe = used.recipe.as_ref();
    let useful_min = shop.habits.useful_gel_min.spread();
    let holds_c =
        recipe.zip(share.as_ref()).and_then(|(recipe, share)| holds_c(recipe, share, temperature_c, useful_min));
    let over_builds =
        |of: &dyn Fn(&MixLine) -> f64| own().fold(0.0, |sum, line| sum + f64::from(line.count) * of(line));
    let n_mixes = own().map(|line| u64::from(line.count).saturating_mul(line.mixes.map_or(0, |cups| cups.n_mixes)));
    let card = recipe.map(|recipe| card(recipe, used.lays_kg_h, shop)).filter(|card| !card.rows.is_empty());
    MixedMaterial {
        kind: used.kind,
        material: used.material.clone(),
        stirred: recipe.map(|recipe| recipe.stirred),
        told_percent: used.told_percent,
        allowed_percent: recipe.map(|recipe| recipe.percent),
        active_oxygen_percent: recipe.and_then(|recipe| recipe.active_oxygen_percent),
        density_g_ml: recipe.and_then(|recipe| recipe.density_g_ml),
        share,
        caution: recipe.and_then(peroxide_caution),
        lay_within_min: share.map(|share| share.gel_min.likely * shop.habits.use_of_gel_time_percent.value / 100.0),
        holds_c,
        refused,
        n_mixes: n_mixes.fold(0, u64::saturating_add),
        alone_kg: over_builds(&|line| line.alone_kg),
        stir_g: share.map(|_| over_builds(&|line| line.stir_g.unwrap_or(0.0))),
        card,
    }
}

/// A share that is this near to the planned one is that.
const SAME_PERCENT: f64 = 1e-9;

fn notes(materials: &[MixedMaterial], used: &[Used], temperature_c: f64, is_assumed: bool) -> Vec<Note> {
    let mut notes = Vec::new();
    if is_assumed && !materials.is_empty() {
        notes.push(Note::info(
            "temperature-of-mixes",
            format!("the job does not say how warm the shop is: mixes are reckoned for {temperature_c} C"),
            "give `temperature_c` under [shop]; the cards show 15 to 25 C",
        ));
    }
    let name_of = |mixed: &MixedMaterial| format!("{} \"{}\"", kind_word(mixed.kind), mixed.material);
    let mut refused: Vec<(&Refusal, Vec<String>)> = Vec::new();
    for mixed in materials {
        let Some(refusal) = &mixed.refused else { continue };
        match refused.iter_mut().find(|(other, _)| *other == refusal) {
            Some((_, names)) => names.push(name_of(mixed)),
            None => refused.push((refusal, vec![name_of(mixed)])),
        }
    }
    notes.extend(refused.into_iter().map(|(refusal, names)| {
        let message = format!("no mixes of {}: {}", names.join("; "), refusal.why);
        Note::warning("mixes-refused", message, refusal.remedy.clone())
    }));
    for (mixed, used) in materials.iter().zip(used) {
        let name = name_of(mixed);
        notes.extend(used.recipe.as_ref().and_then(|recipe| peroxide_note(&name, recipe)));
        if let (Some(share), Some(recipe)) = (&mixed.share, &used.recipe) {
            notes.extend(share_note(&name, share, recipe, temperature_c));
            notes.extend(fit_note(&name, share, recipe.is_fixed(), temperature_c));
        }
    }
    notes
}

/// More peroxide than this reads hard and is badly cured, as a trade journal's page on curing has it: 1.0 to 2.5 % of MEKP.
const MOST_PEROXIDE_PERCENT: f64 = 2.5;

/// A job's own stock may allow more than makers do.
fn peroxide_caution(recipe: &Recipe) -> Option<String> {
    let high = recipe.percent.high;
    (recipe.stirred == Stirred::Catalyst && high > MOST_PEROXIDE_PERCENT).then(|| {
        format!(
            "the stock allows up to {high} % of peroxide catalyst; over {MOST_PEROXIDE_PERCENT} % it reads hard, is badly cured, \
             and heats more in cup and laminate"
        )
    })
}

fn peroxide_note(name: &str, recipe: &Recipe) -> Option<Note> {
    Some(Note::warning(
        "peroxide-high",
        format!("{name}: {}", peroxide_caution(recipe)?),
        "keep `catalyst_percent` within 1.0 to 2.5 unless the maker's own sheet for this resin and this peroxide says more; warm a cold shop instead",
    ))
}

/// The word for what is mixed.
#[must_use]
pub const fn kind_word(kind: MixKind) -> &'static str {
    match kind {
        MixKind::Gelcoat => "gelcoat",
        MixKind::Putty => "putty",
        MixKind::Adhesive => "adhesive",
        MixKind::Resin => "resin",
    }
}

/// The mixes take another share than the plan's sums, and with them the order.
fn share_note(name: &str, share: &Share, recipe: &Recipe, temperature_c: f64) -> Option<Note> {
    let (percent, planned) = (share.percent, recipe.planned_percent());
    let gel_min = share.gel_min.likely;
    let words = format!("{name}: at {temperature_c} C mixes take {percent:.2} % for a gel time of {gel_min:.0} min");
    if (percent - planned).abs() <= SAME_PERCENT {
        None
    } else if percent > planned {
        Some(Note::warning(
            "share-over-order",
            format!("{words}, more than the {planned} % of the plan's sums; the order holds the greater"),
            "warm the shop and less is needed",
        ))
    } else {
        Some(Note::info(
            "share-for-temperature",
            format!("{words}; the order keeps catalyst for {planned} %"),
            "nothing to do; some catalyst is left over",
        ))
    }
}

fn fit_note(name: &str, share: &Share, is_fixed: bool, temperature_c: f64) -> Option<Note> {
    let gel_min = share.gel_min.likely;
    match share.fit {
        Fit::Useful => None,
        Fit::Short => Some(Note::info(
            "gel-short",
            format!("{name}: at {temperature_c} C it gels in {gel_min:.0} min, so that mixes are small"),
            "work cooler, not under 15 C, or take a slower grade",
        )),
        Fit::Long => Some(Note::info(
            "gel-long",
            if is_fixed {
                format!("{name}: at {temperature_c} C it takes {gel_min:.0} min to gel, and drains off walls")
            } else {
                format!(
                    "{name}: at {temperature_c} C it takes {gel_min:.0} min to gel, drains off walls and loses styrene"
                )
            },
            if is_fixed {
                "warm shop and resin, or take a faster hardener of the same maker; the ratio stays as it is"
            } else {
                "warm shop and resin; do not go over the maker's share of catalyst"
            },
        )),
    }
}

#[cfg(test)]
mod tests;
