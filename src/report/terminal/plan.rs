//! A plan as tables: what is built, what it takes, what to do at corners, what to order.

use std::io::{self, Write};

use super::table::{Column, Listing};
use super::{draft_words, notes};
use crate::laminate::figure::Spread;
use crate::laminate::remedies::{Place, Remedy, measured};
use crate::laminate::schedule::Make;
use crate::notes::Level;
use crate::plan::release::direction_words;
use crate::plan::{MetCorner, Plan};
use crate::report::csv::{from_word, met_word};
use crate::units::total;
use crate::workshop::needs::NeedKind;
use crate::workshop::takes::FinishedLine;

/// Writes a plan for a person: panels, corners, order, notes.
///
/// # Errors
/// If `out` cannot be written.
pub fn plan(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    if !plan.job.is_empty() {
        writeln!(out, "{}\n", plan.job)?;
    }
    incomplete(plan, out)?;
    writeln!(out, "What is built; figures stand for one of each")?;
    write!(out, "{}", builds(plan))?;
    totals(plan, out)?;
    let corners = corners(plan);
    if !corners.is_empty() {
        writeln!(out, "\nCorners that a ply does not follow (what can be done at each: corners.csv, with --out)")?;
        write!(out, "{corners}")?;
    }
    let releases = releases(plan);
    if !releases.is_empty() {
        writeln!(out, "\nHow each piece comes off and who lifts it")?;
        write!(out, "{releases}")?;
    }
    writeln!(out, "\nWhat to have in the shop")?;
    write!(out, "{}", order(plan))?;
    super::mixes::mixes(&plan.mixes, out)?;
    beside(plan, out)?;
    super::order::order(plan, out)?;
    if let Some(record) = &plan.record {
        super::record(record, out)?;
    }
    super::days::days(plan, out)?;
    incomplete(plan, out)?;
    assumptions(plan, out)
}

/// A missing panel stands beside every total.
fn incomplete(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    if plan.is_complete() {
        return Ok(());
    }
    writeln!(out, "INCOMPLETE: no total holds {}\n", plan.needs.missing.join(", "))
}

fn builds(plan: &Plan) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("panel"),
        Column::Words("make"),
        Column::Figures("build"),
        Column::Words("piece"),
        Column::Figures("face m2"),
        Column::Figures("flange m2"),
        Column::Figures("laid m2"),
        Column::Figures("glass kg"),
        Column::Figures("resin kg"),
        Column::Figures("gelcoat kg"),
        Column::Figures("plies mm"),
        Column::Figures("mass kg"),
        Column::Figures("corners"),
    ]);
    for (part, build, piece) in plan.pieces() {
        let lay_up = &piece.lay_up;
        let flanges = piece.splits.iter().map(|split| split.flange_m2);
        let flange_m2 = total(flanges.chain(piece.edges.iter().map(|edge| edge.flange_m2)));
        listing.row([
            part.name.clone(),
            build.make.word().to_owned(),
            build.count.to_string(),
            piece.name.clone(),
            format!("{:.3}", piece.area_m2),
            format!("{flange_m2:.3}"),
            format!("{:.3}", lay_up.plies.iter().map(|ply| ply.laid_m2).fold(0.0, f64::max)),
            format!("{:.2}", lay_up.glass_kg),
            format!("{:.1}", lay_up.resin_kg.likely),
            format!("{:.2}", lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.laid_kg.likely)),
            format!("{:.1}", lay_up.thickness_mm.likely),
            range(lay_up.mass_kg),
            piece.corners.len().to_string(),
        ]);
    }
    listing
}

/// A quantity that a hand cannot hit: likely, with low and high.
fn range(spread: Spread) -> String {
    format!("{:.1} ({:.1} to {:.1})", spread.likely, spread.low, spread.high)
}

fn totals(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let totals = &plan.totals;
    writeln!(
        out,
        "\nIn all: {:.2} m2 of face on {} panels; {} moulds of {} kg, {} mouldings of {} kg",
        totals.area_m2,
        plan.parts.len(),
        totals.n_moulds,
        range(totals.moulds_kg),
        totals.n_mouldings,
        range(totals.mouldings_kg),
    )?;
    writeln!(
        out,
        "To lay as plies and gelcoat: glass {:.1} kg, resin {} kg, gelcoat {} kg, catalyst {:.0} ml (the order below adds the rest)",
        totals.glass_kg,
        range(totals.resin_kg),
        range(totals.gelcoat_kg),
        totals.catalyst_ml,
    )
}

fn corners(plan: &Plan) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("panel"),
        Column::Words("make"),
        Column::Words("piece"),
        Column::Words("corner"),
        Column::Words("made by"),
        Column::Words("met as"),
        Column::Figures("radius mm"),
        Column::Figures("turn deg"),
        Column::Figures("length mm"),
        Column::Figures("fails at ply"),
        Column::Figures("needs mm"),
        Column::Figures("putty ml"),
    ]);
    for (part, build, piece) in plan.pieces() {
        for met in &piece.corners {
            let Some(ply) = met.advice.first_failing_ply else { continue };
            let corner = &met.corner;
            listing.row([
                part.name.clone(),
                build.make.word().to_owned(),
                piece.name.clone(),
                corner.id.clone(),
                from_word(met.met.from).to_owned(),
                met_word(met.met.met_as).to_owned(),
                if corner.sharp { "sharp".to_owned() } else { format!("{:.1}", corner.radius_mm) },
                format!("{:.0}", corner.turn_deg),
                format!("{:.0}", corner.length_mm),
                ply.to_string(),
                format!("{:.1}", met.needed_mm),
                putty(met).map_or_else(|| "-".to_owned(), measured),
            ]);
        }
    }
    listing
}

/// Putty behind the gelcoat that brings it there.
fn putty(met: &MetCorner) -> Option<f64> {
    met.advice.remedies.iter().find_map(|remedy| match remedy {
        Remedy::Fill { place: Place::BehindGelcoat, filler_ml, .. } => Some(*filler_ml),
        _ => None,
    })
}

fn releases(plan: &Plan) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("panel"),
        Column::Words("make"),
        Column::Words("piece"),
        Column::Words("release"),
        Column::Words("drawn off along"),
        Column::Figures("least draft deg"),
        Column::Figures("wedges"),
        Column::Figures("ports"),
        Column::Words("lifted by"),
        Column::Figures("lifted kg"),
        Column::Words("stiffeners"),
    ]);
    for (part, build, piece) in plan.pieces() {
        let Some(release) = &piece.release else { continue };
        let stiffen = release.flat.filter(|flat| flat.stiffen && build.make == Make::Mould);
        listing.row([
            part.name.clone(),
            build.make.word().to_owned(),
            piece.name.clone(),
            if release.mould_parts.is_empty() {
                release.answer.words().to_owned()
            } else {
                format!("{}, its mould parts", release.answer.words())
            },
            direction_words(&release.pull.direction),
            draft_words(&release.pull),
            release.wedges_mm.len().to_string(),
            release.ports_mm.len().to_string(),
            release.hands.words().to_owned(),
            format!("{:.1}", release.lifted_kg),
            stiffen.map_or_else(|| "-".to_owned(), |flat| format!("over a flat of {:.2} m2", flat.area_m2)),
        ]);
    }
    listing
}

fn order(plan: &Plan) -> Listing {
    let mut listing = Listing::new(&[
        Column::Words("material"),
        Column::Words("what"),
        Column::Figures("laid kg"),
        Column::Figures("laid m2"),
        Column::Figures("reserve %"),
        Column::Figures("have kg"),
        Column::Figures("have litres"),
        Column::Figures("off the roll m"),
    ]);
    let figure = |value: Option<f64>, digits: usize| value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"));
    for need in plan.needs.needs.iter().filter(|need| need.kind <= NeedKind::Filler) {
        listing.row([
            need.material.clone(),
            need.kind.word().to_owned(),
            format!("{:.2}", need.kg),
            figure(need.m2, 2),
            format!("{:.0}", need.reserve_percent),
            format!("{:.2}", need.kg_with_reserve),
            figure(need.litres_with_reserve, 2),
            figure(need.roll_m_with_reserve, 1),
        ]);
    }
    listing
}

/// What is had beside glass, core, resin and gelcoat, by the measure by which it is bought; then what stays on a build.
fn beside(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    for (part, build) in plan.parts.iter().flat_map(|part| part.builds.iter().map(move |build| (part, build))) {
        let line = |line: &FinishedLine| format!("{} {:.2} kg", line.what, line.kg.likely);
        let lines: Vec<String> = build.finished.lines.iter().map(line).collect();
        if !lines.is_empty() {
            let (name, make) = (&part.name, build.make.word());
            writeln!(
                out,
                "\n{name}, {make}: {} kg finished, with {}",
                range(build.finished.mass_kg),
                lines.join("; ")
            )?;
        }
    }
    Ok(())
}

/// Warnings first, then what was assumed.
fn assumptions(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    for level in [Level::Error, Level::Warning, Level::Info] {
        let of_level: Vec<_> = plan.notes().filter(|(_, note)| note.level == level).collect();
        if !of_level.is_empty() {
            writeln!(out)?;
        }
        for (about, note) in of_level {
            notes(&about, [note], out)?;
        }
    }
    Ok(())
}
