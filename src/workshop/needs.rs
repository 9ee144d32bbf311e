//! Totals per material over the whole job, with the reserve stated.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::laminate::cure::{Agent, Dose};
use crate::laminate::lay_up::LayUp;
use crate::laminate::stock::{Filler, Stock};
use crate::laminate::workings::Working;
use crate::units::{kg_from_g, kg_m2_from_g_m2, l_from_ml, m_from_mm};

/// A quantity with its reserve: `q (1 + percent / 100)`.
#[must_use]
pub fn with_reserve(quantity: f64, reserve_percent: f64) -> f64 {
    quantity * (1.0 + reserve_percent / 100.0)
}

/// Volume in the unit of the coverage that so many layers of an area take: suppliers' "so much area from so much resin".
/// Such figures are for buying; they hold the loss and are no ratio of a laminate. Nothing for no coverage.
#[must_use]
pub fn volume_by_coverage(area: f64, n_layers: u32, coverage_per_volume: f64) -> Option<f64> {
    (coverage_per_volume > 0.0).then(|| area * f64::from(n_layers) / coverage_per_volume)
}

/// What is needed; the order in which lists show it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum NeedKind {
    /// Glass off a roll.
    Reinforcement,
    /// Core.
    Core,
    /// Gelcoat.
    Gelcoat,
    /// Resin, an epoxy's hardener left out.
    Resin,
    /// Catalyst; all peroxides together.
    Catalyst,
    /// Hardener, by the resin it belongs to.
    Hardener,
    /// Fillet putty.
    Filler,
}

impl NeedKind {
    /// The word for it, as in lists and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Reinforcement => "reinforcement",
            Self::Core => "core",
            Self::Gelcoat => "gelcoat",
            Self::Resin => "resin",
            Self::Catalyst => "catalyst",
            Self::Hardener => "hardener",
            Self::Filler => "filler",
        }
    }
}

/// What one build of one piece takes beside its lay-up.
#[derive(Debug, Clone)]
pub struct Build<'a> {
    /// What it is, for the sums: panel, make and piece.
    pub name: String,
    /// How many are built.
    pub count: u32,
    /// Glass, resin and gelcoat.
    pub lay_up: &'a LayUp,
    /// Metres off the roll for each ply, in its order; 0 for a core or where they are not known.
    pub roll_m: &'a [f64],
    /// Fillers by name, in ml.
    pub filler_ml: Vec<(&'a str, f64)>,
}

/// Total of one material.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Need {
    /// What it is.
    pub kind: NeedKind,
    /// Name in the stock; `catalyst`, or the resin's name for its hardener.
    pub material: String,
    /// Mass as laid, in kg, without reserve.
    pub kg: f64,
    /// Volume as laid, in litres, without reserve; for what is poured.
    pub litres: Option<f64>,
    /// Area as laid, in m2, without reserve; for what is spread.
    pub m2: Option<f64>,
    /// Metres off the roll by drops, without reserve; for reinforcements.
    pub roll_m: Option<f64>,
    /// The reserve, in percent.
    pub reserve_percent: f64,
    /// Mass to buy, with reserve, in kg: of glass what the metres off the roll weigh.
    pub kg_with_reserve: f64,
    /// Volume with reserve, in litres.
    pub litres_with_reserve: Option<f64>,
    /// Metres off the roll with reserve.
    pub roll_m_with_reserve: Option<f64>,
    /// The sums behind these.
    pub workings: Vec<Working>,
}

/// Totals of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Needs {
    /// False if a panel is missing from every total.
    pub complete: bool,
    /// Names of the panels that are missing.
    pub missing: Vec<String>,
    /// Materials, by kind and name.
    pub needs: Vec<Need>,
}

/// What one material adds up to.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    kg: f64,
    litres: f64,
    m2: f64,
    roll_m: f64,
}

impl Sum {
    fn add(&mut self, other: Self) {
        self.kg += other.kg;
        self.litres += other.litres;
        self.m2 += other.m2;
        self.roll_m += other.roll_m;
    }

    fn times(self, count: u32) -> Self {
        let times = f64::from(count);
        Self { kg: times * self.kg, litres: times * self.litres, m2: times * self.m2, roll_m: times * self.roll_m }
    }
}

/// What each build takes of one material; a build is named by its number.
type Shares = Vec<(usize, Sum)>;

/// Adds up what a job takes. `missing` names the panels that could not be planned; with any, no total is complete.
#[must_use]
pub fn needs(builds: &[Build<'_>], missing: &[String], stock: &Stock) -> Needs {
    let mut shares: BTreeMap<(NeedKind, String), Shares> = BTreeMap::new();
    for number in 0..builds.len() {
        add_build(&mut shares, number, builds, stock);
    }
    let needs =
        shares.into_iter().map(|((kind, material), shares)| need(kind, material, &shares, builds, stock)).collect();
    Needs { complete: missing.is_empty(), missing: missing.to_vec(), needs }
}

fn add_build(shares: &mut BTreeMap<(NeedKind, String), Shares>, number: usize, builds: &[Build<'_>], stock: &Stock) {
    let build = &builds[number];
    let mut add = |kind, name: &str, sum: Sum| {
        let shares = shares.entry((kind, name.to_owned())).or_default();
        match shares.last_mut() {
            Some((last, own)) if *last == number => own.add(sum),
            _ => shares.push((number, sum)),
        }
    };
    for (index, ply) in build.lay_up.plies.iter().enumerate() {
        let is_core = stock.cores.contains_key(&ply.material);
        let (kind, kg) = if is_core { (NeedKind::Core, ply.core_kg) } else { (NeedKind::Reinforcement, ply.glass_kg) };
        let roll_m = build.roll_m.get(index).copied().unwrap_or(0.0);
        add(kind, &ply.material, Sum { kg, m2: ply.laid_m2, roll_m, litres: 0.0 });
    }
    for resin in &build.lay_up.resins {
        let density_g_ml = stock.resins.get(&resin.name).map_or(1.0, |resin| resin.liquid_density_g_ml.value);
        let kg = resin.resin_alone_kg;
        add(NeedKind::Resin, &resin.name, Sum { kg, litres: kg / density_g_ml, ..Sum::default() });
        add_dose(&mut add, &resin.name, resin.dose);
    }
    if let Some(gelcoat) = &build.lay_up.gelcoat {
        let density_g_cm3 = stock.gelcoats.get(&gelcoat.name).map_or(1.0, |gelcoat| gelcoat.density_g_cm3.value);
        let kg = gelcoat.laid_kg.likely;
        add(NeedKind::Gelcoat, &gelcoat.name, Sum { kg, litres: kg / density_g_cm3, ..Sum::default() });
        add_dose(&mut add, &gelcoat.name, gelcoat.dose);
    }
    for &(name, ml) in &build.filler_ml {
        let kg = kg_from_g(ml * stock.fillers.get(name).map_or(1.0, |filler: &Filler| filler.density_g_cm3.value));
        add(NeedKind::Filler, name, Sum { kg, litres: l_from_ml(ml), ..Sum::default() });
    }
}

fn add_dose(add: &mut impl FnMut(NeedKind, &str, Sum), of: &str, dose: Option<Dose>) {
    let Some(dose) = dose else { return };
    let sum = Sum { kg: kg_from_g(dose.g), litres: l_from_ml(dose.ml), ..Sum::default() };
    match dose.agent {
        Agent::Catalyst => add(NeedKind::Catalyst, "catalyst", sum),
        Agent::Hardener => add(NeedKind::Hardener, of, sum),
    }
}

fn need(kind: NeedKind, material: String, shares: &Shares, builds: &[Build<'_>], stock: &Stock) -> Need {
    let practice = &stock.practice;
    let mut sum = Sum::default();
    shares.iter().for_each(|&(number, share)| sum.add(share.times(builds[number].count)));
    let reserve_percent = match kind {
        NeedKind::Reinforcement => practice.glass_reserve_percent.value,
        NeedKind::Core => practice.core_reserve_percent.value,
        NeedKind::Gelcoat => practice.gelcoat_reserve_percent.value,
        // Catalyst, hardener and filler are lost with what they are stirred into.
        NeedKind::Resin | NeedKind::Catalyst | NeedKind::Hardener | NeedKind::Filler => {
            practice.resin_reserve_percent.value
        }
    };
    // What is bought comes off the roll, so that its mass is that of the metres and not that of what is laid.
    let roll = stock.reinforcements.get(&material).filter(|_| kind == NeedKind::Reinforcement).and_then(|glass| {
        let width_m = m_from_mm(glass.rolls.as_ref()?.first()?.width_mm.value);
        Some(RollOf { width_m, kg_m2: kg_m2_from_g_m2(glass.areal_weight_g_m2.value) })
    });
    let off_roll = roll.filter(|roll| roll.kg(sum.roll_m) > sum.kg);
    let bought_kg = off_roll.map_or(sum.kg, |roll| roll.kg(sum.roll_m));
    let spread = matches!(kind, NeedKind::Reinforcement | NeedKind::Core);
    let litres = (!spread).then_some(sum.litres);
    let roll_m = (kind == NeedKind::Reinforcement).then_some(sum.roll_m);
    let mut need = Need {
        kind,
        material,
        kg: sum.kg,
        litres,
        m2: spread.then_some(sum.m2),
        roll_m,
        reserve_percent,
        kg_with_reserve: with_reserve(bought_kg, reserve_percent),
        litres_with_reserve: litres.map(|litres| with_reserve(litres, reserve_percent)),
        roll_m_with_reserve: roll_m.map(|roll_m| with_reserve(roll_m, reserve_percent)),
        workings: Vec::new(),
    };
    need.workings = workings(&need, shares, builds, off_roll);
    need
}

/// A roll that a reinforcement is cut from.
#[derive(Debug, Clone, Copy)]
struct RollOf {
    width_m: f64,
    kg_m2: f64,
}

impl RollOf {
    fn kg(self, roll_m: f64) -> f64 {
        roll_m * self.width_m * self.kg_m2
    }
}

/// The sums behind one line of the order: build upon build, then the reserve.
fn workings(need: &Need, shares: &Shares, builds: &[Build<'_>], off_roll: Option<RollOf>) -> Vec<Working> {
    let over_builds = |of: &str, words: &'static str, result: f64, unit: &'static str, part: fn(&Sum) -> f64| {
        shares.iter().filter(|(_, share)| part(share) != 0.0).fold(
            Working::of(of, words, result, unit),
            |sum, (number, share)| {
                let build = &builds[*number];
                sum.plus_times(build.count, part(share), unit, build.name.clone())
            },
        )
    };
    let reserve = with_reserve(1.0, need.reserve_percent);
    let with = |working: Working| working.times(reserve, "", format!("{} % reserve", need.reserve_percent));
    let bought = Working::of("kg_with_reserve", "mass to buy", need.kg_with_reserve, "kg");
    let bought = match (off_roll, need.roll_m) {
        (Some(roll), Some(roll_m)) => {
            bought.plus(roll_m, "m", "off the roll").times(roll.width_m, "m", "wide").times(roll.kg_m2, "kg/m2", "")
        }
        _ => bought.plus(need.kg, "kg", "laid"),
    };
    let litres = need.litres.zip(need.litres_with_reserve).into_iter().flat_map(|(litres, all)| {
        let bought = Working::of("litres_with_reserve", "volume to buy", all, "l").plus(litres, "l", "");
        [over_builds("litres", "volume", litres, "l", |sum| sum.litres), with(bought)]
    });
    let metres = need.roll_m.zip(need.roll_m_with_reserve).into_iter().flat_map(|(roll_m, all)| {
        let bought = Working::of("roll_m_with_reserve", "metres to buy", all, "m").plus(roll_m, "m", "");
        [over_builds("roll_m", "metres off the roll", roll_m, "m", |sum| sum.roll_m), with(bought)]
    });
    let area = need.m2.map(|m2| over_builds("m2", "area", m2, "m2", |sum| sum.m2));
    let mass = over_builds("kg", "mass", need.kg, "kg", |sum| sum.kg);
    let all = [mass].into_iter().chain(area).chain(metres).chain(litres).chain([with(bought)]);
    all.filter(|working| !working.terms.is_empty()).collect()
}

#[cfg(test)]
mod tests;
