//! The fits laid over stock and crew, and a note on every figure that moved and by how much.

use super::Record;
use super::check::{outliers, trusted_records};
use super::fits::{Fit, FitOf, LEAST_BUILDS, fits};
use super::read::Records;
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::ply::glass_content_from_ratio;
use crate::laminate::stock::{Practice, Stock, WetOut};
use crate::notes::{Level, Note};
use crate::workshop::crew::Crew;

/// Under this a figure would divide the plan by next to nothing; an interval of three scattered builds may reach below.
const LEAST_SHARE: f64 = 0.05;

/// Reads the fits off the records, lays those that rest on enough builds over stock and crew, and tells what moved. Without
/// `apply` everything is told and nothing moves.
#[must_use]
pub fn lay_over(records: &Records, file: &str, stock: &mut Stock, crew: &mut Crew, apply: bool) -> Record {
    let (trusted, aside) = trusted_records(records, crew.laminate_kg_h.spread());
    let fits = fits(&trusted, stock);
    let mut notes = records.notes.clone();
    notes.extend(aside);
    notes.extend(outliers(records, stock, &fits));
    if apply {
        let (enough, few): (Vec<&Fit>, Vec<&Fit>) = fits.iter().partition(|fit| fit.is_enough);
        notes.extend(enough.into_iter().filter_map(|fit| moved(fit, stock, crew)));
        notes.extend(too_few(&few));
    }
    Record { file: file.to_owned(), applied: apply, builds: records.lines.clone(), fits, notes }
}

/// Puts one fit into its place.
fn moved(fit: &Fit, stock: &mut Stock, crew: &mut Crew) -> Option<Note> {
    match fit.kind {
        FitOf::ResinPerGlass => {
            let glass = stock.reinforcements.get_mut(&fit.of)?;
            let weighed = figure(fit);
            match glass.wet_out()? {
                WetOut::ResinPerGlass(_) => put(fit, glass.resin_per_glass.as_mut()?, weighed),
                WetOut::GlassContent(_) => {
                    let content = Figure {
                        value: glass_content_from_ratio(weighed.value),
                        low: glass_content_from_ratio(weighed.high),
                        high: glass_content_from_ratio(weighed.low),
                        ..weighed
                    };
                    put(&Fit { figure: "glass_content", ..fit.clone() }, glass.glass_content.as_mut()?, content)
                }
                WetOut::ResinKgM2(_) => None,
            }
        }
        FitOf::Gelcoat => put(fit, &mut stock.gelcoats.get_mut(&fit.of)?.coverage_kg_m2, figure(fit)),
        FitOf::Speed => put(fit, &mut crew.laminate_kg_h, figure(fit)),
        FitOf::Waste => Some(reserve(fit, &mut stock.practice)),
        FitOf::Minutes | FitOf::Finished => None,
    }
}

fn figure(fit: &Fit) -> Figure {
    let least = LEAST_SHARE * fit.value;
    Figure {
        value: fit.value,
        low: fit.low.unwrap_or(fit.value).max(least),
        high: fit.high.unwrap_or(fit.value),
        source: fit.source(),
        mark: Mark::Weighed,
    }
}

fn put(fit: &Fit, place: &mut Figure, weighed: Figure) -> Option<Note> {
    let before = std::mem::replace(place, weighed);
    let now = &*place;
    let percent = 100.0 * (now.value / before.value - 1.0);
    let change = if percent < 0.0 { format!("{:.1} % less", -percent) } else { format!("{percent:.1} % more") };
    let is_out = !(before.low..=before.high).contains(&now.value);
    let (level, remedy) = if is_out {
        (
            Level::Warning,
            "outside the range it had: look at the builds (`matloft weigh JOB`) before you order; `--as-planned` plans without what was weighed",
        )
    } else {
        (Level::Info, "`--as-planned` plans without what was weighed")
    };
    Some(Note::new(
        level,
        "weighed-figure",
        format!(
            "{}, {}: {} ({} to {}) as weighed in place of {} ({} to {}; {}), {change}; {}",
            fit.of,
            fit.figure.replace('_', " "),
            short(now.value),
            short(now.low),
            short(now.high),
            short(before.value),
            short(before.low),
            short(before.high),
            before.mark.words(),
            now.source,
        ),
        remedy,
    ))
}

/// The reserve of what was weighed, laminating resin and what makes it go off, is what is likely thrown away or the stock's,
/// whichever is more. Not the high end of the interval: that is of the mean of a few builds, and with three of them it says how
/// few they are rather than what a job of many wastes. It is told, for who wants to buy more.
fn reserve(fit: &Fit, practice: &mut Practice) -> Note {
    let of_laid = |share: f64| 100.0 * share / (1.0 - share).max(0.01);
    let likely = of_laid(fit.value);
    let (low, high) = (of_laid(fit.low.unwrap_or(fit.value).max(0.0)), of_laid(fit.high.unwrap_or(fit.value)));
    let told =
        format!("resin thrown away was {likely:.1} ({low:.1} to {high:.1}) % of what was laid ({})", fit.source());
    let before = practice.laminate_reserve_percent.as_ref().unwrap_or(&practice.resin_reserve_percent).value;
    if likely <= before {
        return Note::info("weighed-waste", format!("{told}; the reserve of {} % holds it", short(before)), "");
    }
    let source = format!("what was likely thrown away, in percent of what was laid: {}", fit.source());
    practice.laminate_reserve_percent = Some(Figure { value: likely, low, high, source, mark: Mark::Weighed });
    Note::info(
        "weighed-waste",
        format!(
            "{told}; the reserve of laminating resin and its catalyst or hardener goes up from {} to {likely:.1} %",
            short(before)
        ),
        "mix smaller cups; `--as-planned` plans without what was weighed",
    )
}

fn too_few(few: &[&Fit]) -> Option<Note> {
    let waiting: Vec<String> = few
        .iter()
        .filter(|fit| !matches!(fit.kind, FitOf::Minutes | FitOf::Finished))
        .map(|fit| format!("{} of {} ({})", fit.figure.replace('_', " "), fit.of, fit.n_builds))
        .collect();
    (!waiting.is_empty()).then(|| {
        Note::info(
            "weighed-too-few",
            format!(
                "weighed on fewer than {LEAST_BUILDS} builds, so told and not planned with: {}",
                waiting.join(", ")
            ),
            "weigh on",
        )
    })
}

/// Three or four digits.
fn short(value: f64) -> String {
    let text = if value.abs() >= 100.0 { format!("{value:.0}") } else { format!("{value:.2}") };
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests;
