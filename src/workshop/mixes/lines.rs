//! The mixes of each step of the work: coats of gelcoat, fillets, stages.

use serde::Serialize;

use super::MixShop;
use super::cups::{Cups, on_scale, split};
use super::recipe::{MixKind, Recipe};
use super::share::Share;
use crate::laminate::schedule::Make;
use crate::laminate::stages::Stage;
use crate::laminate::workings::Working;
use crate::units::{g_from_kg, kg_from_g};
use crate::workshop::takes::{Also, Mixed};
use crate::workshop::work::{PieceWork, Place};

/// Fillets are drawn, and joints, fixings and stiffeners bedded, by one.
const ONE: u32 = 1;

/// What a mix is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum MixStep {
    /// One coat of gelcoat.
    Coat,
    /// Fillets behind the gelcoat, where they are chosen.
    Fillets,
    /// What is laid in one go.
    Stage,
    /// Joints, fixings, stiffeners and inner faces.
    Beyond,
}

impl MixStep {
    /// The word on a sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Coat => "coat",
            Self::Fillets => "fillets",
            Self::Stage => "stage",
            Self::Beyond => "beyond the plies",
        }
    }
}

/// What holds a mix small.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum HeldBy {
    /// What is wetted out before it gels.
    Time,
    /// What may stand in one cup.
    Cup,
}

/// The mixes for one step of one piece. Figures stand for one build; `count` says how many there are.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MixLine {
    /// Where the piece stands in the plan.
    #[serde(flatten)]
    pub place: Place,
    /// Name of the panel.
    pub panel: String,
    /// Mould or moulding.
    pub make: Make,
    /// Name of the piece.
    pub of_piece: String,
    /// How many are built.
    pub count: u32,
    /// What it is for.
    pub step: MixStep,
    /// Number of the coat or stage, from 1.
    pub number: usize,
    /// What it is for, beyond the plies.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub what: String,
    /// Number of its material in the list of them, from 0.
    pub recipe: usize,
    /// Name of its material.
    pub material: String,
    /// What is laid, in kg; of an epoxy with its hardener.
    pub need_kg: f64,
    /// The material alone, in kg.
    pub alone_kg: f64,
    /// What the plan's own sums reckon to be stirred in, in g.
    pub planned_g: f64,
    /// What is stirred in beside it, before what makes it go off.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<Also>,
    /// What is stirred in for all of it, in g, at the share for the temperature; nothing where it is refused.
    pub stir_g: Option<f64>,
    /// The same in ml, where it is poured.
    pub stir_ml: Option<f64>,
    /// How many of the crew lay it: as many as find room there.
    pub hands: u32,
    /// Minutes of one person at all of it.
    pub person_min: f64,
    /// How much of the material alone they lay in an hour, in kg.
    pub lays_kg_h: f64,
    /// The largest mix that is laid in time, in kg of the material alone.
    pub in_time_kg: Option<f64>,
    /// The largest mix, in kg of the material alone.
    pub largest_kg: Option<f64>,
    /// What holds it there.
    pub held_by: Option<HeldBy>,
    /// The mixes; nothing where they are refused.
    pub mixes: Option<Cups>,
    /// The sums behind these.
    pub workings: Vec<Working>,
}

/// What one step of one piece takes, before it is known how it is mixed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Take {
    pub(super) step: MixStep,
    pub(super) number: usize,
    pub(super) kind: MixKind,
    pub(super) material: String,
    pub(super) need_kg: f64,
    pub(super) alone_kg: f64,
    pub(super) lays_kg_h: f64,
    hands: u32,
    planned_g: f64,
    what: String,
    count: u32,
    /// How it is mixed, where the stock does not say so.
    pub(super) recipe: Option<Recipe>,
    also: Vec<Also>,
    /// The sum behind the minutes of one person at it.
    person_min: Working,
}

/// Minutes of one person at so much, at so much an hour.
fn person_min(amount: f64, unit: &'static str, per_hour: f64, per: &'static str) -> Working {
    at_work(60.0 * amount / per_hour).plus(60.0, "min/h", "").times(amount, unit, "").over(per_hour, per, "")
}

fn at_work(minutes: f64) -> Working {
    Working::of("person_min", "one person at it", minutes, "min")
}

/// What so many lay of a material in an hour, in kg of the material alone.
fn lays_kg_h(alone_kg: f64, hands: u32, person_min: &Working) -> f64 {
    if person_min.result > 0.0 { 60.0 * alone_kg * f64::from(hands) / person_min.result } else { 0.0 }
}

/// Everything that a piece takes, in the order of the work.
pub(super) fn takes(piece: &PieceWork, shop: &MixShop<'_>) -> Vec<Take> {
    let coats = coats(piece, shop);
    let putties = piece.putty_ml.iter().filter_map(|(name, ml)| putty(piece, name, *ml, shop));
    let stages = piece.stages.iter().filter_map(|stage| stage_take(piece, stage, shop));
    coats.into_iter().chain(putties).chain(stages).filter(|take| take.need_kg > 0.0 && take.lays_kg_h > 0.0).collect()
}

fn coats(piece: &PieceWork, shop: &MixShop<'_>) -> Vec<Take> {
    let Some(gelcoat) = &piece.gelcoat else { return Vec::new() };
    let n_coats = gelcoat.n_coats.max(1);
    let coat = |kg: f64| kg / f64::from(n_coats);
    let person_min = person_min(gelcoat.laid_m2, "m2", shop.crew.gelcoat_m2_h.value, "m2/h");
    let hands = shop.rates().hands_at(gelcoat.laid_m2);
    let take = |number| Take {
        step: MixStep::Coat,
        number,
        kind: MixKind::Gelcoat,
        material: gelcoat.name.clone(),
        need_kg: coat(gelcoat.kg),
        alone_kg: coat(gelcoat.alone_kg),
        lays_kg_h: lays_kg_h(coat(gelcoat.alone_kg), hands, &person_min),
        hands,
        planned_g: coat(gelcoat.dose.map_or(0.0, |dose| dose.g)),
        what: String::new(),
        count: piece.count,
        recipe: None,
        also: Vec::new(),
        person_min: person_min.clone(),
    };
    (1..=n_coats as usize).map(take).collect()
}

fn putty(piece: &PieceWork, name: &str, ml: f64, shop: &MixShop<'_>) -> Option<Take> {
    let filler = shop.stock.fillers.get(name)?;
    let kg = kg_from_g(ml * filler.density_g_cm3.value);
    let person_min = person_min(kg, "kg", shop.habits.putty_kg_h.value, "kg/h");
    Some(Take {
        step: MixStep::Fillets,
        number: 1,
        kind: MixKind::Putty,
        material: name.to_owned(),
        need_kg: kg,
        alone_kg: kg,
        lays_kg_h: lays_kg_h(kg, ONE, &person_min),
        hands: ONE,
        planned_g: filler.hardener_percent.as_ref().map_or(0.0, |percent| g_from_kg(kg) * percent.value / 100.0),
        what: String::new(),
        count: piece.count,
        recipe: None,
        also: Vec::new(),
        person_min,
    })
}

/// A stage is laid in one resin, so that its mixes need not end with a ply.
fn stage_take(piece: &PieceWork, stage: &Stage, shop: &MixShop<'_>) -> Option<Take> {
    let material = piece.plies_of(stage).next()?.resin.clone();
    let of = |part: fn(&crate::workshop::work::PlyWork) -> f64| piece.plies_of(stage).map(part).fold(0.0, |a, b| a + b);
    let (need_kg, alone_kg) = (of(|ply| ply.resin_kg), of(|ply| ply.resin_alone_kg));
    let (hands, person_min) = (shop.rates().hands_at(piece.widest_m2()), stage_min(piece, stage, shop));
    Some(Take {
        step: MixStep::Stage,
        number: stage.stage,
        kind: MixKind::Resin,
        material,
        need_kg,
        alone_kg,
        lays_kg_h: lays_kg_h(alone_kg, hands, &person_min),
        hands,
        planned_g: of(|ply| ply.dose.map_or(0.0, |dose| dose.g)),
        what: String::new(),
        count: piece.count,
        recipe: None,
        also: Vec::new(),
        person_min,
    })
}

/// Minutes of one person at a stage, ply by ply by mass or by area.
fn stage_min(piece: &PieceWork, stage: &Stage, shop: &MixShop<'_>) -> Working {
    let rates = shop.rates();
    let sum = at_work(rates.stage_min(piece, stage));
    piece.plies_of(stage).fold(sum, |sum, ply| {
        let sum = sum.plus(60.0, "min/h", "");
        let name = format!("ply {}", ply.ply);
        if rates.is_by_mass(ply) {
            sum.times(ply.laid_kg(), "kg", name).over(shop.crew.laminate_kg_h.value, "kg/h", "")
        } else {
            sum.times(ply.laid_m2, "m2", name).over(shop.pace.ply_m2_h.value, "m2/h", "")
        }
    })
}

/// What is stirred up beyond the plies of a piece. Glass is wetted out and faces are brushed at the pace of plies and
/// gelcoat, adhesive is spread at that of putty.
pub(super) fn beyond(mixed: &Mixed, shop: &MixShop<'_>) -> Take {
    let (hands, person_min) = if mixed.brushed_m2 > 0.0 && mixed.glass_kg == 0.0 {
        let m2 = mixed.brushed_m2;
        (shop.rates().hands_at(m2), person_min(m2, "m2", shop.crew.gelcoat_m2_h.value, "m2/h"))
    } else if mixed.glass_kg > 0.0 {
        let laminate_kg = mixed.need_kg + mixed.glass_kg;
        (ONE, person_min(laminate_kg, "kg", shop.crew.laminate_kg_h.value, "kg/h"))
    } else {
        (ONE, person_min(mixed.alone_kg, "kg", shop.habits.putty_kg_h.value, "kg/h"))
    };
    Take {
        step: MixStep::Beyond,
        number: 1,
        kind: mixed.kind,
        material: mixed.material.clone(),
        need_kg: mixed.need_kg,
        alone_kg: mixed.alone_kg,
        lays_kg_h: lays_kg_h(mixed.alone_kg, hands, &person_min),
        hands,
        planned_g: mixed.planned_g,
        what: mixed.why.clone(),
        count: mixed.count,
        recipe: mixed.recipe.clone(),
        also: mixed.also.clone(),
        person_min,
    }
}

/// The largest mix of a material that is laid at some rate, in kg of the material alone, and what holds it there: what is
/// laid within the share of the gel time that is used, and what may stand in a cup.
#[must_use]
pub fn largest(recipe: &Recipe, gel_min: f64, lays_kg_h: f64, shop: &MixShop<'_>) -> (f64, f64, HeldBy) {
    let in_time_kg = gel_min * shop.habits.use_of_gel_time_percent.value / 100.0 * lays_kg_h / 60.0;
    let in_cup_kg = shop.habits.most_in_cup_kg.value / recipe.in_cup_per_alone();
    let (largest_kg, held_by) =
        if in_time_kg <= in_cup_kg { (in_time_kg, HeldBy::Time) } else { (in_cup_kg, HeldBy::Cup) };
    (in_time_kg, largest_kg, held_by)
}

/// The line of a step: in mixes where there is a share, and the need alone where it is refused.
pub(super) fn line(
    piece: &PieceWork,
    take: &Take,
    number: usize,
    recipe: Option<&Recipe>,
    share: Option<&Share>,
    shop: &MixShop<'_>,
) -> MixLine {
    let mut line = MixLine {
        place: piece.place,
        panel: piece.part.clone(),
        make: piece.make,
        of_piece: piece.piece.clone(),
        count: take.count,
        step: take.step,
        number: take.number,
        what: take.what.clone(),
        recipe: number,
        material: take.material.clone(),
        need_kg: take.need_kg,
        alone_kg: take.alone_kg,
        planned_g: take.planned_g,
        also: take.also.clone(),
        stir_g: None,
        stir_ml: None,
        hands: take.hands,
        person_min: take.person_min.result,
        lays_kg_h: take.lays_kg_h,
        in_time_kg: None,
        largest_kg: None,
        held_by: None,
        mixes: None,
        workings: vec![take.person_min.clone(), rate_working(take)],
    };
    if let (Some(recipe), Some(share)) = (recipe, share) {
        mix(&mut line, take, recipe, share, shop);
    }
    line
}

fn mix(line: &mut MixLine, take: &Take, recipe: &Recipe, share: &Share, shop: &MixShop<'_>) {
    let (in_time_kg, largest_kg, held_by) = largest(recipe, share.gel_min.likely, take.lays_kg_h, shop);
    let step_g = shop.habits.scale_step_g.value;
    let alone_g = g_from_kg(take.alone_kg);
    let stir_g = recipe.stirred_g(alone_g, share.percent);
    line.stir_g = Some(stir_g);
    line.stir_ml = recipe.stirred_ml(stir_g);
    line.in_time_kg = Some(in_time_kg);
    line.largest_kg = Some(kg_from_g(on_scale(g_from_kg(largest_kg), step_g)));
    line.held_by = Some(held_by);
    line.mixes = split(alone_g, g_from_kg(largest_kg), step_g).map(|(n_mixes, weigh_g)| {
        let stir_g = recipe.stirred_g(weigh_g, share.percent);
        Cups {
            n_mixes,
            each_g: alone_g / n_mixes as f64,
            weigh_g,
            stir_g,
            stir_ml: recipe.stirred_ml(stir_g),
            minutes: kg_from_g(weigh_g) / take.lays_kg_h * 60.0,
        }
    });
    line.workings.extend(mix_workings(line, recipe, share, shop));
}

fn rate_working(take: &Take) -> Working {
    Working::of("lays_kg_h", "laid in an hour", take.lays_kg_h, "kg/h")
        .plus(60.0, "min/h", "")
        .times(take.alone_kg, "kg", "")
        .times(f64::from(take.hands), "", if take.hands == 1 { "person" } else { "people" })
        .over(take.person_min.result, "min", "")
}

fn mix_workings(line: &MixLine, recipe: &Recipe, share: &Share, shop: &MixShop<'_>) -> Vec<Working> {
    let use_percent = shop.habits.use_of_gel_time_percent.value;
    let in_time = Working::of("in_time_kg", "laid before it gels", line.in_time_kg.unwrap_or(0.0), "kg")
        .plus(share.gel_min.likely, "min", "gel time")
        .times(use_percent, "", "% of it used")
        .over(100.0, "", "")
        .times(line.lays_kg_h, "kg/h", "")
        .over(60.0, "", "min in an hour");
    let stir = Working::of("stir_g", recipe.stirred.word(), line.stir_g.unwrap_or(0.0), "g")
        .plus(line.alone_kg, "kg", "")
        .times(1000.0, "", "g in a kg")
        .times(share.percent, "", "%")
        .over(100.0, "", "");
    let of_cups = line.mixes.iter().flat_map(|cups| {
        let grams = Working::of("mixes/stir_g", "in each mix", cups.stir_g, "g")
            .plus(cups.weigh_g, "g", "weighed out")
            .times(share.percent, "", "%")
            .over(100.0, "", "");
        let millilitres = recipe.density_g_ml.zip(cups.stir_ml).map(|(density_g_ml, ml)| {
            Working::of("mixes/stir_ml", "of that volume", ml, "ml").plus(cups.stir_g, "g", "").over(
                density_g_ml,
                "g/ml",
                "",
            )
        });
        let each = Working::of("mixes/each_g", "each exactly", cups.each_g, "g")
            .plus(line.alone_kg, "kg", "")
            .times(1000.0, "", "g in a kg")
            .over(cups.n_mixes as f64, "", "mixes");
        [Some(each), Some(grams), millilitres].into_iter().flatten()
    });
    [in_time, stir].into_iter().chain(of_cups).collect()
}
