//! What `measure` found, as tables.

use std::io::{self, Write};

use super::table::{Column, Listing};
use super::{draft_words, notes, place};
use crate::geometry::corners::{Bends, PointKind};
use crate::geometry::survey::{Survey, SurveyOptions};
use crate::plan::blocking::contradiction;
use crate::plan::release::direction_words;

/// Writes what `measure` found: a row a panel, then corners and notes panel by panel.
///
/// # Errors
/// If `out` cannot be written.
pub fn measure(surveys: &[Survey], options: &SurveyOptions, out: &mut dyn Write) -> io::Result<()> {
    if surveys.is_empty() {
        return Ok(());
    }
    write!(out, "{}", panels(surveys))?;
    let pulls = pulls(surveys);
    if !pulls.is_empty() {
        writeln!(out, "\nHow a mould comes off{}", drafts_words(surveys))?;
        write!(out, "{pulls}")?;
        contradictions(surveys, out)?;
    }
    for survey in surveys {
        let (corners, points) = (corners(survey), points(survey));
        let name = &survey.part.name;
        if !corners.is_empty() {
            writeln!(
                out,
                "\n{name}: corners tighter than {} mm that turn {} degrees or more",
                options.listing.tighter_than_mm, options.listing.least_turn_deg
            )?;
            write!(out, "{corners}")?;
            more(survey.listed.corners.len(), "corners", out)?;
        }
        if !points.is_empty() {
            writeln!(out, "\n{name}: points where it bends both ways")?;
            write!(out, "{points}")?;
            more(survey.listed.points.len(), "points", out)?;
        }
    }
    if surveys.iter().any(|survey| survey.notes().next().is_some()) {
        writeln!(out)?;
    }
    surveys.iter().try_for_each(|survey| notes(&survey.part.name, survey.notes(), out))
}

/// Lines of one list on a terminal: past this nobody reads, and a rough scan has ten thousands.
const MOST_LISTED: usize = 200;

/// Corners named beside one point.
const MOST_BESIDE: usize = 6;

/// What a list leaves out.
fn more(n: usize, what: &str, out: &mut dyn Write) -> io::Result<()> {
    match n.saturating_sub(MOST_LISTED) {
        0 => Ok(()),
        left_out => writeln!(out, "... and {left_out} {what} more; all {n} stand in the JSON (--json)"),
    }
}

fn some_corners(names: &[String]) -> String {
    let first = names[..names.len().min(MOST_BESIDE)].join(" ");
    match names.len().saturating_sub(MOST_BESIDE) {
        0 => first,
        left_out => format!("{first} and {left_out} more"),
    }
}

fn panels(surveys: &[Survey]) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("panel"),
        Column::Figures("size mm"),
        Column::Figures("surface m2"),
        Column::Words("body"),
        Column::Figures("outside m2"),
        Column::Figures("inside m2"),
        Column::Figures("rim m2"),
        Column::Figures("wall mm"),
        Column::Figures("corners"),
        Column::Figures("facets"),
        Column::Figures("open edges"),
    ]);
    for survey in surveys {
        let size = survey.bounds.size_mm();
        let skin = &survey.skin;
        listing.row([
            survey.part.name.clone(),
            format!("{:.0} x {:.0} x {:.0}", size.x, size.y, size.z),
            format!("{:.4}", survey.area_m2),
            skin.kind.words().to_owned(),
            format!("{:.4}", skin.outside_m2),
            format!("{:.4}", skin.inside_m2),
            format!("{:.4}", skin.rim_m2),
            skin.wall_mm.map_or_else(|| "-".to_owned(), |wall_mm| format!("{wall_mm:.2}")),
            survey.listed.corners.len().to_string(),
            survey.part.health.triangles.to_string(),
            survey.part.health.open_edges.to_string(),
        ]);
    }
    listing
}

fn pulls(surveys: &[Survey]) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("panel"),
        Column::Words("in one"),
        Column::Words("drawn off along"),
        Column::Figures("least draft deg"),
        Column::Figures("less draft m2"),
        Column::Figures("undercut m2"),
        Column::Figures("hidden m2"),
    ]);
    for survey in surveys {
        let Some(pull) = &survey.pull else { continue };
        listing.row([
            survey.part.name.clone(),
            if pull.releases { "comes off" } else { "locks" }.to_owned(),
            direction_words(&pull.direction),
            draft_words(pull),
            format!("{:.4}", pull.undercut.under_wanted_m2),
            format!("{:.4}", pull.undercut.clipped_m2),
            format!("{:.4}", pull.hidden_m2),
        ]);
    }
    listing
}

/// What the columns are about: the draft that was wanted, and whose direction it is.
fn drafts_words(surveys: &[Survey]) -> String {
    let Some(pull) = surveys.iter().find_map(|survey| survey.pull.as_ref()) else { return String::new() };
    let whose = if pull.given { "along the direction given" } else { "along its best direction" };
    format!(" {whose}; less draft than {} degrees counts as less", pull.wanted_draft_deg)
}

fn contradictions(surveys: &[Survey], out: &mut dyn Write) -> io::Result<()> {
    for survey in surveys {
        let words = survey.pull.as_ref().and_then(|pull| contradiction(&pull.blocking));
        if let Some(words) = words {
            let name = &survey.part.name;
            writeln!(
                out,
                "{name}: {words}\n{:width$}-> `matloft splits` searches where to split it",
                "",
                width = name.len() + 2
            )?;
        }
    }
    Ok(())
}

fn corners(survey: &Survey) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("corner"),
        Column::Words("bends"),
        Column::Figures("radius mm"),
        Column::Figures("mean mm"),
        Column::Figures("turn deg"),
        Column::Figures("length mm"),
        Column::Words("middle at x y z mm"),
    ]);
    for corner in survey.listed.corners.iter().take(MOST_LISTED) {
        let bends = match corner.bends {
            Bends::Outward => "outward",
            Bends::Inward => "inward",
        };
        let radius = |radius_mm: f64| if corner.sharp { "sharp".to_owned() } else { format!("{radius_mm:.2}") };
        listing.row([
            corner.id.clone(),
            bends.to_owned(),
            radius(corner.radius_mm),
            radius(corner.radius_mean_mm),
            format!("{:.1}", corner.turn_deg),
            format!("{:.0}", corner.length_mm),
            place(&corner.midpoint_mm()),
        ]);
    }
    listing
}

fn points(survey: &Survey) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("what"),
        Column::Figures("radius mm"),
        Column::Words("corners"),
        Column::Words("at x y z mm"),
    ]);
    for point in survey.listed.points.iter().take(MOST_LISTED) {
        let kind = match point.kind {
            PointKind::Apex => "tip",
            PointKind::Ball => "ball",
            PointKind::Meeting => "corners meet",
        };
        listing.row([
            kind.to_owned(),
            format!("{:.2}", point.radius_mm),
            some_corners(&point.corners),
            place(&point.at_mm),
        ]);
    }
    listing
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_list_is_cut_and_says_how_many_more_there_are() {
        let told = |n| {
            let mut out = Vec::new();
            more(n, "corners", &mut out).expect("it is written");
            String::from_utf8(out).expect("text")
        };
        assert_eq!(told(200), "");
        assert_eq!(told(18_700), "... and 18500 corners more; all 18700 stand in the JSON (--json)\n");
        let names: Vec<String> = (1..=8).map(|n| format!("c{n}")).collect();
        assert_eq!(some_corners(&names), "c1 c2 c3 c4 c5 c6 and 2 more");
        assert_eq!(some_corners(&names[..2]), "c1 c2");
    }
}
