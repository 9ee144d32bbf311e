//! Where to split, for a person: what holds, then each proposal with the lines to paste.

use std::io::{self, Write};

use super::{degrees, notes};
use crate::geometry::pull::NO_DRAFT_DEG;
use crate::geometry::pull::propose::Proposal;
use crate::job::split_lines;
use crate::plan::blocking::contradiction;
use crate::plan::release::direction_words;
use crate::report::splits::{SplitSearched, plane_name};

/// Writes what was found, panel by panel.
///
/// # Errors
/// If `out` cannot be written.
pub fn splits(searched: &[SplitSearched], out: &mut dyn Write) -> io::Result<()> {
    for (number, panel) in searched.iter().enumerate() {
        if number > 0 {
            writeln!(out)?;
        }
        one(panel, out)?;
    }
    Ok(())
}

fn one(panel: &SplitSearched, out: &mut dyn Write) -> io::Result<()> {
    let (name, pull) = (&panel.name, &panel.pull);
    let along = direction_words(&pull.direction);
    if pull.releases {
        writeln!(out, "{name}: comes off in one along {along}, least draft {} degrees", degrees(pull.least_draft_deg))?;
    } else {
        let held_m2 = pull.undercut.by_facets_m2;
        if pull.given {
            writeln!(out, "{name}: the pull of the job, {along}, does not free it in one; {held_m2:.4} m2 hold")?;
        } else {
            writeln!(out, "{name}: no direction frees it in one; {held_m2:.4} m2 hold at least, along {along}")?;
        }
        if let Some(words) = contradiction(&pull.blocking) {
            writeln!(out, "  {words}")?;
        }
    }
    // First what may spare a split: a base that counts, a scrap that is no part of the panel.
    notes(name, &panel.notes, out)?;
    for (number, found) in panel.found.proposals.iter().enumerate() {
        proposal(number, found, panel.flange_mm, out)?;
    }
    Ok(())
}

fn proposal(number: usize, found: &Proposal, flange_mm: f64, out: &mut dyn Write) -> io::Result<()> {
    writeln!(
        out,
        "\n  {}. cut {:.0} mm long, flanges of {flange_mm:.0} mm along it {:.3} m2",
        number + 1,
        found.cut_length_mm,
        found.flanges_m2(flange_mm)
    )?;
    for piece in &found.pieces {
        let pull = &piece.pull;
        let along = direction_words(&pull.direction);
        if piece.comes_off() {
            let strays = if pull.least_draft_deg < -NO_DRAFT_DEG { ", which the facets stray by" } else { "" };
            writeln!(
                out,
                "     piece {} ({:.3} m2) comes off along {along}, least draft {} degrees{strays}",
                piece.name,
                piece.area_m2,
                degrees(pull.least_draft_deg)
            )?;
        } else {
            writeln!(
                out,
                "     piece {} ({:.3} m2) locks: {:.4} m2 hold along {along}",
                piece.name,
                piece.area_m2,
                pull.undercut.by_facets_m2.max(pull.hidden_m2)
            )?;
        }
    }
    for (number, (name, plane)) in found.planes.iter().enumerate() {
        let lines = split_lines(&plane_name(name.as_deref(), number), "mould", plane);
        lines.lines().try_for_each(|line| writeln!(out, "     {line}"))?;
    }
    Ok(())
}
