//! Schedules side by side: a row a figure, a column a schedule.

use std::io::{self, Write};

use super::notes;
use crate::laminate::lamina::{MARK, SOURCE};
use crate::notes::Note;
use crate::workshop::compare::{Candidate, Comparison, NO_CERTIFICATE};

/// Writes comparisons for a person.
///
/// # Errors
/// If `out` cannot be written.
pub fn comparisons(comparisons: &[Comparison], out: &mut dyn Write) -> io::Result<()> {
    for comparison in comparisons {
        writeln!(
            out,
            "{}, {}: sag over {:.0} mm ({})",
            comparison.panel,
            comparison.make.word(),
            comparison.span_mm,
            comparison.span_from
        )?;
        write_table(&rows(comparison), out)?;
        unpriced(comparison, out)?;
        writeln!(out)?;
    }
    writeln!(out, "Moduli: {SOURCE} ({}). Days: a stage a day and the cure after the last.", MARK.words())?;
    writeln!(out, "{NO_CERTIFICATE}")?;
    let mut told: Vec<&Note> = Vec::new();
    for note in comparisons.iter().flat_map(Comparison::all_notes) {
        if !told.contains(&note) {
            told.push(note);
        }
    }
    notes("compare", told, out)
}

fn rows(comparison: &Comparison) -> Vec<Vec<String>> {
    let candidates = &comparison.candidates;
    let row = |head: &str, of: &dyn Fn(&Candidate) -> String| {
        std::iter::once(head.to_owned()).chain(candidates.iter().map(of)).collect::<Vec<_>>()
    };
    let mut rows = vec![
        row("", &|candidate| candidate.schedule.clone()),
        row("mass kg", &|candidate| {
            let mass = candidate.mass_kg;
            format!("{:.1} ({:.1} to {:.1})", mass.likely, mass.low, mass.high)
        }),
        row("glass kg", &|candidate| format!("{:.2}", candidate.glass_kg)),
        row("resin kg", &|candidate| format!("{:.2}", candidate.resin_kg)),
        row("gelcoat kg", &|candidate| format!("{:.2}", candidate.gelcoat_kg)),
    ];
    if candidates.iter().any(|candidate| candidate.cost.is_some()) {
        let currency = comparison.currency.as_ref().map(|currency| format!(", {currency}")).unwrap_or_default();
        rows.push(row(&format!("cost of what is laid{currency}"), &cost));
    }
    rows.extend([
        row("plies", &|candidate| candidate.n_plies.to_string()),
        row("thickness mm", &|candidate| format!("{:.1}", candidate.thickness_mm.likely)),
        row("kg/m2", &|candidate| format!("{:.1}", candidate.kg_m2)),
        row("stages", &|candidate| candidate.n_stages.to_string()),
        row("days to release", &|candidate| format!("{:.0}", candidate.days)),
        row("hours of wetting out", &|candidate| format!("{:.1}", candidate.laying_h)),
        row("bending along N m", &|candidate| metres(candidate.bending_along_n_mm)),
        row("bending across N m", &|candidate| metres(candidate.bending_across_n_mm)),
        row("own sag mm, edges free to turn", &|candidate| sag(candidate, candidate.own_sag_supported_mm)),
        row("own sag mm, edges held", &|candidate| sag(candidate, candidate.own_sag_clamped_mm)),
        row(&format!("sag mm under {} kN/m2, edges free to turn", comparison.load_kn_m2), &|candidate| {
            sag(candidate, candidate.load_sag_supported_mm)
        }),
        row(&format!("sag mm under {} kN/m2, edges held", comparison.load_kn_m2), &|candidate| {
            sag(candidate, candidate.load_sag_clamped_mm)
        }),
        row("mould over moulding", &|candidate| {
            candidate.mould_over_moulding.map_or_else(|| "-".to_owned(), |ratio| format!("{ratio:.1}"))
        }),
    ]);
    rows
}

fn cost(candidate: &Candidate) -> String {
    let more = if candidate.unpriced.is_empty() { "" } else { " and more" };
    candidate.cost.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}{more}"))
}

/// What a cost lacks, each schedule in a line.
fn unpriced(comparison: &Comparison, out: &mut dyn Write) -> io::Result<()> {
    for Candidate { schedule, cost, unpriced, .. } in &comparison.candidates {
        if cost.is_some() && !unpriced.is_empty() {
            writeln!(out, " {schedule}: no price for {}", unpriced.join(", "))?;
        }
    }
    Ok(())
}

/// A sag, or that it is past what the theory can say.
fn sag(candidate: &Candidate, mm: Option<f64>) -> String {
    match mm {
        None => "-".to_owned(),
        Some(mm) if mm > candidate.most_sag_mm => format!("over {:.0}", candidate.most_sag_mm),
        Some(mm) if mm < 10.0 => format!("{mm:.2}"),
        Some(mm) => format!("{mm:.0}"),
    }
}

/// A bending stiffness per width in N mm is a thousandth of it in N m (N m2 per m).
fn metres(n_mm: Option<f64>) -> String {
    n_mm.map_or_else(|| "-".to_owned(), |n_mm| format!("{:.1}", crate::units::m_from_mm(n_mm)))
}

/// The heads are a builder's own words, so the columns are set here and not by the listing with its fixed heads.
fn write_table(rows: &[Vec<String>], out: &mut dyn Write) -> io::Result<()> {
    let n_columns = rows.first().map_or(0, Vec::len);
    let wide = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..n_columns).map(wide).collect();
    for row in rows {
        let cells = row.iter().zip(&widths).enumerate();
        let line: Vec<String> = cells
            .map(
                |(column, (cell, &width))| {
                    if column == 0 { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
                },
            )
            .collect();
        writeln!(out, " {}", line.join("  ").trim_end())?;
    }
    Ok(())
}
