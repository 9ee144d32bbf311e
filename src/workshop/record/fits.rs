//! What weighed builds tell of the shop: resin to glass, gelcoat per m2, waste, speed, each with its 95 % interval.

use std::collections::BTreeMap;

use serde::Serialize;

use super::Numbered;
use super::estimate::Estimate;
use super::line::{Asked, Weighed};
use super::ratio::{Build, factors};
use super::read::Records;
use crate::laminate::figure::Spread;
use crate::laminate::ply::resin_per_glass;
use crate::laminate::stock::{Reinforcement, Stock, WetOut};
use crate::units::total;

/// Builds that a fit needs before it is laid over the stock; with fewer it is only told. Two builds give an interval of
/// twelve times their scatter, three of four times.
pub const LEAST_BUILDS: usize = 3;

/// What a fit is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FitOf {
    /// Resin to glass of a reinforcement, by mass.
    ResinPerGlass,
    /// Gelcoat put on, in kg per m2.
    Gelcoat,
    /// Mixed resin thrown away, as a share of what was mixed.
    Waste,
    /// Minutes of one person per m2 of one ply.
    Minutes,
    /// Glass and resin that one person lays in an hour, in kg.
    Speed,
    /// What came out over what the plan said.
    Finished,
}

impl FitOf {
    /// Key of the figure; its ending is the unit.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::ResinPerGlass => "resin_per_glass",
            Self::Gelcoat => "coverage_kg_m2",
            Self::Waste => "waste_of_mixed",
            Self::Minutes => "minutes_m2",
            Self::Speed => "laminate_kg_h",
            Self::Finished => "finished_over_planned",
        }
    }

    /// What it is, in words, with its unit.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::ResinPerGlass => "resin to glass, by mass",
            Self::Gelcoat => "gelcoat, kg/m2",
            Self::Waste => "waste, share of the resin mixed",
            Self::Minutes => "one person's minutes per m2 of one ply",
            Self::Speed => "laid by one person, kg/h",
            Self::Finished => "finished mass over planned",
        }
    }
}

/// One figure as the builds tell it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// What kind of figure.
    pub kind: FitOf,
    /// What it is of: a material, or `shop` or `crew`.
    pub of: String,
    /// Key of the figure.
    pub figure: &'static str,
    /// The likely value.
    pub value: f64,
    /// Low end of the 95 % interval; nothing where a single build gives none.
    pub low: Option<f64>,
    /// High end of it.
    pub high: Option<f64>,
    /// Degrees of freedom of Student's t.
    pub degrees: usize,
    /// Builds that it rests on.
    pub n_builds: usize,
    /// The first of them.
    pub from_date: String,
    /// The last of them.
    pub to_date: String,
    /// Reinforcements that it could not be told apart from: they share one factor on the stock's ratios.
    pub together_with: Vec<String>,
    /// It rests on enough builds to go into the plan.
    pub is_enough: bool,
}

impl Fit {
    fn new(kind: FitOf, of: &str, estimate: Estimate, dates: &[&str]) -> Self {
        let interval = estimate.half_width.map(|_| (estimate.low(), estimate.high()));
        let date = |date: Option<&&str>| date.map_or_else(String::new, |date| (*date).to_owned());
        Self {
            kind,
            of: of.to_owned(),
            figure: kind.key(),
            value: estimate.value,
            low: interval.map(|(low, _)| low),
            high: interval.map(|(_, high)| high),
            degrees: estimate.degrees,
            n_builds: estimate.n_builds,
            from_date: date(dates.iter().min()),
            to_date: date(dates.iter().max()),
            together_with: Vec::new(),
            is_enough: estimate.n_builds >= LEAST_BUILDS && interval.is_some(),
        }
    }

    /// Where it comes from, as the source of a figure.
    #[must_use]
    pub fn source(&self) -> String {
        let builds = if self.n_builds == 1 { "build" } else { "builds" };
        let days = if self.from_date == self.to_date {
            self.from_date.clone()
        } else {
            format!("{} to {}", self.from_date, self.to_date)
        };
        let with = if self.together_with.is_empty() {
            String::new()
        } else {
            format!(", not told apart from {}", self.together_with.join(", "))
        };
        format!("{} {builds} weighed {days}; low and high are the 95 % interval of the mean{with}", self.n_builds)
    }
}

/// Resin to glass that the stock gives a reinforcement: low, likely and high; nothing where it takes resin by area.
#[must_use]
pub fn stock_ratio(glass: &Reinforcement) -> Option<Spread> {
    match glass.wet_out()? {
        WetOut::ResinPerGlass(figure) => Some(figure.spread()),
        WetOut::GlassContent(figure) => Some(figure.spread().map_falling(resin_per_glass)),
        WetOut::ResinKgM2(_) => None,
    }
}

/// Every fit, ratios first.
#[must_use]
pub fn fits(records: &Records, stock: &Stock) -> Vec<Fit> {
    let counted: Vec<&Numbered> = records.counted().collect();
    let mut fits = ratios(&counted, stock);
    fits.extend(gelcoats(&counted));
    let single = |kind, of, figure: fn(&Weighed) -> Option<f64>| one(kind, of, &counted, figure);
    fits.extend(single(FitOf::Waste, "shop", waste_of_mixed));
    fits.extend(single(FitOf::Minutes, "crew", minutes_m2));
    fits.extend(single(FitOf::Speed, "crew", laid_kg_h));
    fits.extend(single(FitOf::Finished, "shop", finished_over_planned));
    fits
}

fn one(kind: FitOf, of: &str, counted: &[&Numbered], figure: impl Fn(&Weighed) -> Option<f64>) -> Option<Fit> {
    let told: Vec<(f64, &str)> =
        counted.iter().filter_map(|line| Some((figure(&line.weighed)?, line.weighed.date.as_str()))).collect();
    let (figures, dates): (Vec<f64>, Vec<&str>) = told.into_iter().unzip();
    Some(Fit::new(kind, of, Estimate::mean(&figures)?, &dates))
}

/// Resin that went by the weight of glass, in kg: what was mixed, without what was thrown away and what tissue and cores
/// took by the plan. Nothing if that is not known, or not every such glass was weighed.
#[must_use]
pub fn resin_on_glass_kg(weighed: &Weighed) -> Option<f64> {
    let asked = weighed.asked.as_ref()?;
    let all_weighed =
        !asked.glass_kg.is_empty() && asked.glass_kg.keys().all(|name| weighed.glass_kg.contains_key(name));
    let net_kg = weighed.resin_kg? - weighed.waste_kg.unwrap_or(0.0) - asked.resin_by_area_kg;
    (all_weighed && net_kg > 0.0).then_some(net_kg)
}

/// What the stock asks for the glass that was weighed, in kg, reinforcement by reinforcement.
#[must_use]
pub fn asked_by_stock(weighed: &Weighed, stock: &Stock) -> Option<BTreeMap<String, Spread>> {
    let mut asked_kg = BTreeMap::new();
    for (name, &kg) in &weighed.glass_kg {
        let glass = stock.reinforcements.get(name)?;
        if let Some(ratio) = stock_ratio(glass) {
            asked_kg.insert(name.clone(), ratio.map(|ratio| ratio * kg));
        }
    }
    Some(asked_kg)
}

fn ratios(counted: &[&Numbered], stock: &Stock) -> Vec<Fit> {
    let known: Vec<(Build, &str)> = counted
        .iter()
        .filter_map(|line| {
            let asked = asked_by_stock(&line.weighed, stock)?;
            let asked_kg = asked.into_iter().map(|(name, spread)| (name, spread.likely)).collect();
            Some((Build { asked_kg, resin_kg: resin_on_glass_kg(&line.weighed)? }, line.weighed.date.as_str()))
        })
        .collect();
    let builds: Vec<Build> = known.iter().map(|(build, _)| build.clone()).collect();
    let mut fits = Vec::new();
    for factor in factors(&builds) {
        for name in &factor.materials {
            let Some(ratio) = stock.reinforcements.get(name).and_then(stock_ratio) else { continue };
            let uses_it = |build: &Build| factor.materials.iter().any(|name| build.asked_kg.contains_key(name));
            let dates: Vec<&str> = known.iter().filter(|(build, _)| uses_it(build)).map(|(_, date)| *date).collect();
            let mut fit = Fit::new(FitOf::ResinPerGlass, name, factor.factor.times(ratio.likely), &dates);
            fit.together_with = factor.materials.iter().filter(|other| *other != name).cloned().collect();
            fits.push(fit);
        }
    }
    fits
}

fn gelcoats(counted: &[&Numbered]) -> Vec<Fit> {
    let name_of = |weighed: &Weighed| weighed.asked.as_ref().and_then(|asked| asked.gelcoat.clone());
    let mut names: Vec<String> = counted.iter().filter_map(|line| name_of(&line.weighed)).collect();
    names.sort();
    names.dedup();
    let kg_m2 = |weighed: &Weighed| {
        let asked_m2 = weighed.asked.as_ref().map_or(0.0, |asked| asked.gelcoat_m2);
        weighed.gelcoat_kg.filter(|_| asked_m2 > 0.0).map(|kg| kg / asked_m2)
    };
    let of = |name: &String| {
        one(FitOf::Gelcoat, name, counted, |weighed| kg_m2(weighed).filter(|_| name_of(weighed).as_ref() == Some(name)))
    };
    names.iter().filter_map(of).collect()
}

/// Share of the mixed resin that was thrown away.
pub(super) fn waste_of_mixed(weighed: &Weighed) -> Option<f64> {
    Some(weighed.waste_kg? / weighed.resin_kg?)
}

fn person_minutes(weighed: &Weighed) -> Option<f64> {
    Some(weighed.minutes? * f64::from(weighed.people?))
}

fn minutes_m2(weighed: &Weighed) -> Option<f64> {
    let plies_m2 = weighed.asked.as_ref().map(|asked: &Asked| asked.plies_m2).filter(|&m2| m2 > 0.0)?;
    Some(person_minutes(weighed)? / plies_m2)
}

/// By the same mass that the plan's hours are reckoned from: glass and resin laid.
pub(super) fn laid_kg_h(weighed: &Weighed) -> Option<f64> {
    const MINUTES_PER_HOUR: f64 = 60.0;
    // Where all glass that drinks was weighed; the little in tissue counts if it was.
    resin_on_glass_kg(weighed)?;
    let laid_kg = total(weighed.glass_kg.values().copied()) + weighed.resin_kg? - weighed.waste_kg.unwrap_or(0.0);
    Some(laid_kg * MINUTES_PER_HOUR / person_minutes(weighed)?)
}

fn finished_over_planned(weighed: &Weighed) -> Option<f64> {
    let planned_kg = weighed.asked.as_ref().map(|asked| asked.finished_kg).filter(|&kg| kg > 0.0)?;
    Some(weighed.finished_kg? / planned_kg)
}

#[cfg(test)]
pub(super) mod tests;
