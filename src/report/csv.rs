//! CSV tables of a plan, one row a thing, unrounded, units in the heads. Every row says whether the plan is complete, so
//! that a total is never read off half a job.

use std::io::{self, Write};

use csv::{ReaderBuilder, Writer};
use serde::Serialize;

use crate::laminate::cure::{Agent, Dose};
use crate::laminate::lay_up::LaidPly;
use crate::laminate::remedies::{CornerFrom, MetAs};
use crate::plan::{Build, PartPlan, PiecePlan, Plan};
use crate::units::total;

mod days;
mod mixes;
pub mod order;
mod takes;

/// A table and the file it is kept in.
pub type Table = (&'static str, fn(&Plan, &mut dyn Write) -> io::Result<()>);

/// The tables of a plan by file name.
pub const TABLES: [Table; 9] = [
    ("pieces.csv", pieces),
    ("plies.csv", plies),
    ("corners.csv", corners),
    ("mixes.csv", mixes::mixes),
    ("order.csv", order::order),
    ("request_for_quotation.csv", order::request),
    ("takes.csv", takes::takes),
    ("plugs.csv", takes::plugs),
    ("days.csv", days::days),
];

#[derive(Default, Serialize)]
struct PieceRow<'a> {
    part: &'a str,
    make: &'a str,
    count: u32,
    schedule: &'a str,
    piece: &'a str,
    area_m2: f64,
    split_length_mm: f64,
    split_flange_m2: f64,
    edge_length_mm: f64,
    edge_flange_m2: f64,
    laid_across_m2: f64,
    gelcoat_kg: f64,
    glass_kg: f64,
    resin_kg: f64,
    resin_low_kg: f64,
    resin_high_kg: f64,
    catalyst_ml: f64,
    thickness_mm: f64,
    mass_kg: f64,
    mass_low_kg: f64,
    mass_high_kg: f64,
    centre_x_mm: f64,
    centre_y_mm: f64,
    centre_z_mm: f64,
    complete: bool,
}

#[derive(Default, Serialize)]
struct PlyRow<'a> {
    part: &'a str,
    make: &'a str,
    count: u32,
    piece: &'a str,
    ply: usize,
    name: &'a str,
    material: &'a str,
    zone: &'a str,
    resin: &'a str,
    net_m2: f64,
    on_part_m2: f64,
    laid_m2: f64,
    glass_kg: f64,
    core_kg: f64,
    resin_kg: f64,
    catalyst_g: f64,
    catalyst_ml: f64,
    hardener_g: f64,
    hardener_ml: f64,
    thickness_mm: f64,
    roll_m: f64,
    complete: bool,
}

#[derive(Default, Serialize)]
struct CornerRow<'a> {
    part: &'a str,
    make: &'a str,
    piece: &'a str,
    corner: &'a str,
    from: &'a str,
    met_as: &'a str,
    radius_mm: f64,
    radius_mean_mm: f64,
    turn_deg: f64,
    length_mm: f64,
    middle_x_mm: f64,
    middle_y_mm: f64,
    middle_z_mm: f64,
    first_failing_ply: Option<usize>,
    needed_radius_mm: f64,
    remedies: String,
    complete: bool,
}

fn table<Row: Serialize + Default>(rows: impl Iterator<Item = Row>, out: &mut dyn Write) -> io::Result<()> {
    let mut rows = rows.peekable();
    let is_empty = rows.peek().is_none();
    let mut writer = Writer::from_writer(Vec::new());
    let mut values = Vec::new();
    // The writer knows the head only from a row.
    for row in rows.chain(is_empty.then(Row::default)) {
        values.push(serde_json::to_value(&row).map_err(io::Error::other)?);
        writer.serialize(row).map_err(io::Error::other)?;
    }
    let text = writer.into_inner().map_err(|error| io::Error::other(error.to_string()))?;
    let mut written = ReaderBuilder::new().from_reader(text.as_slice());
    let head = written.headers().map_err(io::Error::other)?.clone();
    let mut writer = Writer::from_writer(out);
    writer.write_record(&head).map_err(io::Error::other)?;
    for (record, value) in written.records().zip(&values).take(if is_empty { 0 } else { usize::MAX }) {
        let record = record.map_err(io::Error::other)?;
        let cells = head.iter().zip(&record).map(|(key, cell)| match &value[key] {
            serde_json::Value::Number(number) if number.is_f64() => {
                number.as_f64().map_or_else(String::new, meaningful)
            }
            _ => defused(cell),
        });
        writer.write_record(cells).map_err(io::Error::other)?;
    }
    writer.flush()
}

/// Six digits, whole numbers whole: more than any scale or tape of a shop reads. plan.json has them all.
fn meaningful(value: f64) -> String {
    const DIGITS: usize = 6;
    let short: f64 = format!("{value:.*e}", DIGITS - 1).parse().unwrap_or(value);
    let shown = if short.abs() >= 1e6 { value.round() } else { short };
    format!("{shown:?}")
}

/// Text that a spreadsheet would take for a formula gets an apostrophe before it, which makes it text there: a name may
/// come from anywhere. Numbers stay numbers.
fn defused(cell: &str) -> String {
    let is_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
    format!("{}{cell}", if is_formula { "'" } else { "" })
}

/// A row a piece.
fn pieces(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    table(plan.pieces().map(|(part, build, piece)| piece_row(part, build, piece, plan.is_complete())), out)
}

fn piece_row<'a>(part: &'a PartPlan, build: &'a Build, piece: &'a PiecePlan, complete: bool) -> PieceRow<'a> {
    let lay_up = &piece.lay_up;
    PieceRow {
        part: &part.name,
        make: build.make.word(),
        count: build.count,
        schedule: &build.schedule,
        piece: &piece.name,
        area_m2: piece.area_m2,
        split_length_mm: total(piece.splits.iter().map(|split| split.length_mm)),
        split_flange_m2: total(piece.splits.iter().map(|split| split.flange_m2)),
        edge_length_mm: total(piece.edges.iter().map(|edge| edge.length_mm)),
        edge_flange_m2: total(piece.edges.iter().map(|edge| edge.flange_m2)),
        laid_across_m2: total(piece.edges.iter().map(|edge| edge.laid_across_m2)),
        gelcoat_kg: lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.laid_kg.likely),
        glass_kg: lay_up.glass_kg,
        resin_kg: lay_up.resin_kg.likely,
        resin_low_kg: lay_up.resin_kg.low,
        resin_high_kg: lay_up.resin_kg.high,
        catalyst_ml: lay_up.catalyst_ml,
        thickness_mm: lay_up.thickness_mm.likely,
        mass_kg: lay_up.mass_kg.likely,
        mass_low_kg: lay_up.mass_kg.low,
        mass_high_kg: lay_up.mass_kg.high,
        centre_x_mm: piece.centre_of_mass_mm.x,
        centre_y_mm: piece.centre_of_mass_mm.y,
        centre_z_mm: piece.centre_of_mass_mm.z,
        complete,
    }
}

/// A row a ply.
fn plies(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let complete = plan.is_complete();
    let rows = plan.pieces().flat_map(|(part, build, piece)| {
        piece.lay_up.plies.iter().zip(&piece.roll_m).map(move |(ply, &roll_m)| PlyRow {
            part: &part.name,
            make: build.make.word(),
            count: build.count,
            piece: &piece.name,
            ply: ply.ply,
            name: &ply.name,
            material: &ply.material,
            zone: &ply.zone,
            resin: &ply.resin,
            net_m2: ply.net_m2,
            on_part_m2: ply.on_part_m2,
            laid_m2: ply.laid_m2,
            glass_kg: ply.glass_kg,
            core_kg: ply.core_kg,
            resin_kg: ply.resin_kg.likely,
            catalyst_g: dose(ply, Agent::Catalyst, Dose::g_of),
            catalyst_ml: dose(ply, Agent::Catalyst, Dose::ml_of),
            hardener_g: dose(ply, Agent::Hardener, Dose::g_of),
            hardener_ml: dose(ply, Agent::Hardener, Dose::ml_of),
            thickness_mm: ply.thickness_mm.likely,
            roll_m,
            complete,
        })
    });
    table(rows, out)
}

fn dose(ply: &LaidPly, agent: Agent, part: fn(&Dose, Agent) -> f64) -> f64 {
    ply.dose.map_or(0.0, |dose| part(&dose, agent))
}

/// A row a corner.
fn corners(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let complete = plan.is_complete();
    let rows = plan.pieces().flat_map(|(part, build, piece)| {
        piece.corners.iter().map(move |met| {
            let corner = &met.corner;
            let middle = corner.midpoint_mm();
            let sentences: Vec<String> = met.advice.remedies.iter().map(|remedy| remedy.sentence()).collect();
            CornerRow {
                part: &part.name,
                make: build.make.word(),
                piece: &piece.name,
                corner: &corner.id,
                from: from_word(met.met.from),
                met_as: met_word(met.met.met_as),
                radius_mm: corner.radius_mm,
                radius_mean_mm: corner.radius_mean_mm,
                turn_deg: corner.turn_deg,
                length_mm: corner.length_mm,
                middle_x_mm: middle.x,
                middle_y_mm: middle.y,
                middle_z_mm: middle.z,
                first_failing_ply: met.advice.first_failing_ply,
                needed_radius_mm: met.needed_mm,
                remedies: sentences.join(" | "),
                complete,
            }
        })
    });
    table(rows, out)
}

/// The word for how a corner is met.
#[must_use]
pub const fn met_word(met_as: MetAs) -> &'static str {
    match met_as {
        MetAs::Inside => "inside",
        MetAs::Outside => "outside",
    }
}

/// The word for what makes a corner.
#[must_use]
pub const fn from_word(from: CornerFrom) -> &'static str {
    match from {
        CornerFrom::Face => "face",
        CornerFrom::Flange => "flange",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written<Row: Serialize + Default>(rows: impl Iterator<Item = Row>) -> String {
        let mut out = Vec::new();
        table(rows, &mut out).expect("it is written");
        String::from_utf8(out).expect("text")
    }

    #[test]
    fn a_table_without_rows_keeps_its_head() {
        let text = written(std::iter::empty::<PlyRow<'_>>());
        assert!(text.starts_with("part,make,count,") && text.ends_with("roll_m,complete\n"), "{text}");
        assert_eq!(text.lines().count(), 1);
    }

    /// Source: what spreadsheets take for the beginning of a formula (OWASP, CSV injection).
    #[test]
    fn a_name_that_a_spreadsheet_would_run_is_written_as_text() {
        for name in ["=1+2", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1"] {
            let text = written([PlyRow { part: name, net_m2: -1.5, ..PlyRow::default() }].into_iter());
            let mut read = ReaderBuilder::new().from_reader(text.as_bytes());
            let row = read.records().next().expect("a row").expect("a record");
            assert_eq!((row[0].to_owned(), &row[9]), (format!("'{name}"), "-1.5"));
        }
    }

    #[test]
    fn quotes_commas_and_line_breaks_in_a_name_stay_in_their_cell() {
        let name = "lid \"left\", for\nthe galley; 5 mm";
        let text = written([PlyRow { part: name, ply: 3, ..PlyRow::default() }].into_iter());
        let mut read = ReaderBuilder::new().from_reader(text.as_bytes());
        let row = read.records().next().expect("a row").expect("a record");
        assert_eq!((&row[0], &row[4]), (name, "3"));
    }
}
