//! What is odd about a weighed build: told when it is kept, and no reason not to keep it. What is far from the plan is set
//! aside: nothing is learned from it until somebody says that it stands.

use super::fits::{Fit, FitOf, asked_by_stock, laid_kg_h, resin_on_glass_kg, waste_of_mixed};
use super::line::Weighed;
use super::read::Records;
use crate::laminate::figure::Spread;
use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::units::total;

/// A mass outside this share of what the plan asks for is a slip of the scales or of the finger.
const ODD: (f64, f64) = (0.5, 2.0);
/// So many times faster or slower than the crew's whole range is a slip of the clock, or of the masses that it goes by.
const ODD_SPEED: f64 = 4.0;
/// Who throws away more than this share of what was mixed lost a cup that went off, and does not do so every time.
const MOST_WASTE: f64 = 0.5;
/// A mass so many times the plan's was read in grams.
const GRAMS: (f64, f64) = (300.0, 3000.0);
/// No hand laminates outside this, in deg C.
const USUAL_C: (f64, f64) = (15.0, 35.0);

/// What is odd about a build by itself and against what the plan asks for. `resin` is told against the stock's range.
#[must_use]
pub fn oddities(weighed: &Weighed, stock: &Stock) -> Vec<Note> {
    let mut notes = Vec::new();
    if let Some(asked) = &weighed.asked {
        for (name, &kg) in &weighed.glass_kg {
            match asked.glass_kg.get(name) {
                Some(&asked_kg) => notes.extend(against_plan(name, kg, asked_kg)),
                // What takes resin by area is weighed or not, as one likes.
                None if stock.reinforcements.get(name).and_then(super::fits::stock_ratio).is_none() => {}
                None => notes.push(odd(
                    format!("\"{name}\" is not in schedule \"{}\" of {}", asked.schedule, weighed.name()),
                    "",
                )),
            }
        }
        let unweighed: Vec<&str> =
            asked.glass_kg.keys().filter(|name| !weighed.glass_kg.contains_key(*name)).map(String::as_str).collect();
        if weighed.resin_kg.is_some() && !unweighed.is_empty() {
            notes.push(odd(
                format!(
                    "{} of the schedule was not weighed, so nothing is learned of resin to glass",
                    unweighed.join(", ")
                ),
                "weigh every glass of the schedule, offcuts taken off",
            ));
        }
        if let Some(kg) = weighed.gelcoat_kg {
            notes.extend(against_plan("gelcoat", kg, asked.gelcoat_kg));
        }
        if let Some(kg) = weighed.resin_kg {
            notes.extend(against_plan("resin", kg, asked.resin_kg));
        }
        if let Some(kg) = weighed.finished_kg {
            notes.extend(against_plan("the finished piece", kg, asked.finished_kg));
        }
    }
    notes.extend(of_itself(weighed));
    notes
}

fn against_plan(what: &str, kg: f64, asked_kg: f64) -> Option<Note> {
    let share = kg / asked_kg;
    if asked_kg <= 0.0 {
        return Some(odd(format!("{what}: {kg} kg, and the plan has none"), "check the piece and the make"));
    }
    if !is_far(kg, asked_kg) {
        return None;
    }
    if (GRAMS.0..GRAMS.1).contains(&share) {
        return Some(odd(
            format!("{what}: {kg} kg is some thousand times the {asked_kg:.2} kg of the plan"),
            "if these were grams, record it again in kg with --replaces",
        ));
    }
    Some(odd(
        format!("{what}: {kg} kg, where the plan has {asked_kg:.2} kg"),
        "check panel, make, piece and scales; mend a slip with --replaces; with --sure it counts as it stands",
    ))
}

/// Whether a mass is too far from the plan's to be learned from unseen.
fn is_far(kg: f64, asked_kg: f64) -> bool {
    let share = kg / asked_kg;
    !(ODD.0..=ODD.1).contains(&share)
}

/// A build without the figures that are set aside, and the names of those. `kg_h` is what one person lays in an hour.
#[must_use]
pub fn trusted(weighed: &Weighed, kg_h: Spread) -> (Weighed, Vec<&'static str>) {
    let (mut kept, mut aside) = (weighed.clone(), Vec::new());
    let Some(asked) = weighed.asked.as_ref().filter(|_| !weighed.is_sure) else { return (kept, aside) };
    let far = |kg: Option<f64>, asked_kg: f64| kg.is_some_and(|kg| is_far(kg, asked_kg));
    let glass_far = asked.glass_kg.iter().any(|(name, &kg)| far(weighed.glass_kg.get(name).copied(), kg));
    if glass_far || far(weighed.resin_kg, asked.resin_kg) {
        (kept.resin_kg, kept.waste_kg) = (None, None);
        aside.push("resin to glass");
    } else if waste_of_mixed(weighed).is_some_and(|share| share > MOST_WASTE) {
        (kept.resin_kg, kept.waste_kg) = (None, None);
        aside.push("waste (over half of what was mixed)");
    }
    if far(weighed.gelcoat_kg, asked.gelcoat_kg) {
        kept.gelcoat_kg = None;
        aside.push("gelcoat");
    }
    if far(weighed.finished_kg, asked.finished_kg) {
        kept.finished_kg = None;
        aside.push("finished mass");
    }
    let usual = kg_h.low / ODD_SPEED..=kg_h.high * ODD_SPEED;
    if laid_kg_h(&kept).is_some_and(|speed| !usual.contains(&speed)) {
        kept.minutes = None;
        aside.push("time");
    }
    (kept, aside)
}

/// The records with nothing in them that is set aside, which is told build by build.
#[must_use]
pub fn trusted_records(records: &Records, kg_h: Spread) -> (Records, Vec<Note>) {
    let (mut kept, mut notes) = (records.clone(), Vec::new());
    for line in &mut kept.lines {
        let (weighed, aside) = trusted(&line.weighed, kg_h);
        if line.counts() && !aside.is_empty() {
            notes.push(Note::warning(
                "weighed-set-aside",
                format!("{}: {} out of all proportion, so nothing is learned from that", line.words(), aside.join(", ")),
                format!("if it is a slip, weigh again with --replaces {0}; if it stands, the same figures with --replaces {0} --sure", line.number),
            ));
        }
        line.weighed = weighed;
    }
    (kept, notes)
}

fn of_itself(weighed: &Weighed) -> Vec<Note> {
    let mut notes = Vec::new();
    let parts = [Some(total(weighed.glass_kg.values().copied())), weighed.resin_kg, weighed.gelcoat_kg];
    let (went_in_kg, finished_kg) = (total(parts.into_iter().flatten()), weighed.finished_kg.unwrap_or(0.0));
    let all_told = !weighed.glass_kg.is_empty() && weighed.resin_kg.is_some() && weighed.gelcoat_kg.is_some();
    if all_told && finished_kg > went_in_kg {
        notes.push(odd(format!("{finished_kg} kg came out of {went_in_kg:.2} kg that went in"), "check the masses"));
    }
    if let Some(temperature_c) = weighed.temperature_c
        && !(USUAL_C.0..=USUAL_C.1).contains(&temperature_c)
    {
        notes.push(odd(
            format!("laid at {temperature_c} C; resin wants {} to {} C", USUAL_C.0, USUAL_C.1),
            "see that it cured through before it is released",
        ));
    }
    notes
}

fn odd(message: String, remedy: &str) -> Note {
    Note::warning("weighed-odd", message, remedy)
}

/// Builds whose resin lies outside both the stock's range and the fitted interval: too dry or too rich.
#[must_use]
pub fn outliers(records: &Records, stock: &Stock, fits: &[Fit]) -> Vec<Note> {
    records.counted().filter_map(|line| Some((line.words(), wetness(&line.weighed, stock, fits)?))).map(note).collect()
}

/// How wet a build came out, if outside all that was to be expected.
#[must_use]
pub fn wetness(weighed: &Weighed, stock: &Stock, fits: &[Fit]) -> Option<Wetness> {
    let resin_kg = resin_on_glass_kg(weighed)?;
    let by_stock: Spread = asked_by_stock(weighed, stock)?.into_values().sum();
    let glass_kg: f64 = weighed.asked.as_ref()?.glass_kg.keys().filter_map(|name| weighed.glass_kg.get(name)).sum();
    let fitted = fitted(weighed, fits).unwrap_or(by_stock);
    let (low, high) = (by_stock.low.min(fitted.low), by_stock.high.max(fitted.high));
    let is_out = resin_kg < low || resin_kg > high;
    (is_out && glass_kg > 0.0).then(|| Wetness {
        is_dry: resin_kg < low,
        ratio: resin_kg / glass_kg,
        stock: by_stock.map(|kg| kg / glass_kg),
        fitted: fitted.map(|kg| kg / glass_kg),
    })
}

/// A build outside what was to be expected, as resin to glass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wetness {
    /// Too little resin; otherwise too much.
    pub is_dry: bool,
    /// Resin to glass of the build.
    pub ratio: f64,
    /// What the stock expects.
    pub stock: Spread,
    /// What was weighed so far.
    pub fitted: Spread,
}

/// Resin that the fits expect on a build's glass; nothing where one of them rests on too few builds.
fn fitted(weighed: &Weighed, fits: &[Fit]) -> Option<Spread> {
    let names = weighed.asked.as_ref()?.glass_kg.keys();
    let of = |name: &String| {
        let fit = fits.iter().find(|fit| fit.kind == FitOf::ResinPerGlass && fit.of == *name && fit.is_enough)?;
        let kg = weighed.glass_kg.get(name)?;
        Some(Spread { low: fit.low?, likely: fit.value, high: fit.high? }.map(|ratio| ratio * kg))
    };
    names.map(of).sum()
}

fn note((build, wetness): (String, Wetness)) -> Note {
    let Wetness { is_dry, ratio, stock, fitted } = wetness;
    let told = format!(
        "{build}: {ratio:.2} of resin to 1 of glass, where the stock has {:.2} to {:.2} and the fit {:.2} to {:.2}",
        stock.low, stock.high, fitted.low, fitted.high
    );
    if is_dry {
        Note::warning(
            "weighed-too-dry",
            format!("{told}: too dry"),
            "look for white, unwetted glass before it is used; if a mass was written down wrong, mend it with --replaces",
        )
    } else {
        Note::warning(
            "weighed-too-rich",
            format!("{told}: too rich"),
            "heavy, brittle and hot in cure: roll out more; if a mass was written down wrong, mend it with --replaces",
        )
    }
}
