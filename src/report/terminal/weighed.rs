//! What was weighed, and what it tells.

use std::io::{self, Write};

use super::notes;
use super::table::{Column, Listing};
use crate::notes::Level;
use crate::report::weighed::Told;
use crate::workshop::record::fits::{Fit, FitOf};
use crate::workshop::record::{Numbered, Record};

/// Writes what `weigh` tells a person.
///
/// # Errors
/// If `out` cannot be written.
pub fn weighed(told: &Told, out: &mut dyn Write) -> io::Result<()> {
    let record = &told.record;
    if let Some(number) = told.recorded {
        let words = record.builds.iter().find(|line| line.number == number).map(Numbered::words);
        writeln!(out, "Recorded in {}: {}\n", record.file, words.unwrap_or_else(|| format!("record {number}")))?;
    }
    if record.builds.is_empty() {
        writeln!(
            out,
            "Nothing is recorded in {} yet; `matloft weigh JOB PANEL --glass \"mat 450\"=KG --resin-kg KG` begins",
            record.file
        )?;
    } else {
        write!(out, "{}", builds(record))?;
        fits(record, out)?;
    }
    let all = || told.notes.iter().chain(&record.notes);
    for level in [Level::Warning, Level::Info] {
        let of_level: Vec<_> = all().filter(|note| note.level == level).collect();
        if !of_level.is_empty() {
            writeln!(out)?;
            notes("weighed", of_level, out)?;
        }
    }
    Ok(())
}

/// A few lines under a plan: what the shop's own scales say.
///
/// # Errors
/// If `out` cannot be written.
pub fn record(record: &Record, out: &mut dyn Write) -> io::Result<()> {
    let n_builds = record.builds.iter().filter(|line| line.counts()).count();
    let how = if record.applied { "planned with where there are builds enough" } else { "left out: --as-planned" };
    writeln!(out, "\nWeighed so far: {n_builds} builds in {}, {how}", record.file)?;
    fits(record, out)
}

fn builds(record: &Record) -> Listing {
    let mut listing = Listing::new(&[
        Column::Figures("record"),
        Column::Words("day"),
        Column::Words("built"),
        Column::Figures("glass kg"),
        Column::Figures("resin kg"),
        Column::Figures("waste kg"),
        Column::Figures("gelcoat kg"),
        Column::Figures("finished kg"),
        Column::Figures("planned kg"),
        Column::Figures("minutes"),
        Column::Figures("people"),
        Column::Words("beside"),
    ]);
    let kg = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |kg| format!("{kg:.2}"));
    for line in &record.builds {
        let weighed = &line.weighed;
        let glass_kg = (!weighed.glass_kg.is_empty()).then(|| weighed.glass_kg.values().sum());
        listing.row([
            line.number.to_string(),
            weighed.date.clone(),
            weighed.name(),
            kg(glass_kg),
            kg(weighed.resin_kg),
            kg(weighed.waste_kg),
            kg(weighed.gelcoat_kg),
            kg(weighed.finished_kg),
            kg(weighed.asked.as_ref().map(|asked| asked.finished_kg)),
            weighed.minutes.map_or_else(|| "-".to_owned(), |minutes| format!("{minutes:.0}")),
            weighed.people.map_or_else(|| "-".to_owned(), |people| people.to_string()),
            beside(line),
        ]);
    }
    listing
}

/// What takes a line's place or loses it, and its note.
fn beside(line: &Numbered) -> String {
    let replaced = line.replaced_by.map(|by| format!("replaced by {by}"));
    let strikes = line.weighed.replaces.map(|number| {
        let word = if line.weighed.is_empty() { "strikes" } else { "replaces" };
        format!("{word} {number}")
    });
    [replaced, strikes, line.weighed.note.clone()].into_iter().flatten().collect::<Vec<_>>().join("; ")
}

fn fits(record: &Record, out: &mut dyn Write) -> io::Result<()> {
    if record.fits.is_empty() {
        return Ok(());
    }
    let mut listing = Listing::new(&[
        Column::Words("what the builds tell"),
        Column::Words("of"),
        Column::Figures("likely"),
        Column::Words("95 % interval"),
        Column::Figures("builds"),
        Column::Words("planned with"),
    ]);
    for fit in &record.fits {
        listing.row([
            fit.kind.words().to_owned(),
            fit.of.clone(),
            figure(fit.value),
            interval(fit),
            fit.n_builds.to_string(),
            planned_with(fit, record.applied).to_owned(),
        ]);
    }
    write!(out, "\n{listing}")?;
    writeln!(
        out,
        "Intervals are of the mean, by Student's t: builds that scatter alike and independently about one true value."
    )
}

fn figure(value: f64) -> String {
    if value < 1.0 { format!("{value:.3}") } else { format!("{value:.2}") }
}

fn interval(fit: &Fit) -> String {
    match fit.low.zip(fit.high) {
        Some((low, high)) => format!("{} to {}", figure(low), figure(high)),
        None => "one build gives none".to_owned(),
    }
}

fn planned_with(fit: &Fit, applied: bool) -> &'static str {
    match fit.kind {
        FitOf::Minutes | FitOf::Finished => "only told",
        _ if !applied => "no: --as-planned",
        _ if !fit.is_enough => "not yet: too few builds",
        FitOf::Waste => "the reserve, if it is over that",
        FitOf::ResinPerGlass if !fit.together_with.is_empty() => "yes, one factor with others",
        _ => "yes",
    }
}
