//! The starter: a commented job file for panels that were found, ready to be planned as it stands.

use std::fmt::Write;

use super::fault::{Fault, JobErrors};
use super::panels::{Panel, name_apart};
use super::read::read;
use super::types::Job;
use super::words::{bare_or_quoted, quoted};
use crate::laminate::error::LaminateError;
use crate::laminate::figure::Figure;
use crate::laminate::schedule::Schedule;
use crate::laminate::stock::{Stock, starter_schedules};
use crate::units::LengthUnit;

/// What the starter is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Start<'a> {
    /// Title of the job.
    pub title: &'a str,
    /// Unit of the mesh files.
    pub unit: LengthUnit,
    /// The panels that were found, in the order in which they are to be listed.
    pub panels: Vec<Panel>,
    /// Files that could not be used, each with what is wrong, to be told in a comment.
    pub left_out: Vec<(String, String)>,
}

/// A file of a starter that can be read has these panels added.
#[derive(Debug, Clone, PartialEq)]
pub struct Added {
    /// The new text.
    pub text: String,
    /// Names of the panels that were added.
    pub names: Vec<String>,
    /// How many panels were in the job before and are left as they are.
    pub n_known: usize,
}

/// The text of a new job file.
///
/// # Errors
/// None that a test would not have found: the stock and the schedules are part of the program.
pub fn starter(start: &Start<'_>) -> Result<String, LaminateError> {
    let mut panels = start.panels.clone();
    name_apart(&mut panels, Vec::new());
    let stock = Stock::starter()?;
    let mut text = String::new();
    head(&mut text, start);
    heading(&mut text, "Panels", "One [[part]] for each. Sizes are along x, y and z of the mesh.");
    text.push_str(PART_KEYS);
    for panel in &panels {
        text.push('\n');
        text.push_str(&part(panel, None));
    }
    for (file, message) in &start.left_out {
        let _ = writeln!(text, "\n# Left out: {}: {}", one_line(file), one_line(message));
    }
    heading(&mut text, "The shop's habits", "Each stands at its default; take the # away to change it.");
    habits(&mut text, &stock);
    text.push_str(DAYS_EXAMPLE);
    text.push_str(PLUG);
    text.push_str(MIXES);
    heading(
        &mut text,
        "Schedules",
        "What is laid in which order, the first layer against the gelcoat. A light first ply against print-through, then\n\
         # bulk: common practice, no source. `matloft stock` lists the materials; put your makers' figures under [stock].\n\
         # Zones: \"all\", { corners = { width_mm = 100 } }, { edges = { width_mm = 60 } },\n\
         # { above = { axis = \"z\", at_mm = 300 } }, { region = \"group of the mesh file\" }.",
    );
    for (name, schedule) in &starter_schedules()? {
        layers(&mut text, name, schedule);
    }
    text.push_str(STOCK_EXAMPLE);
    text.push_str(ORDER_EXAMPLE);
    Ok(text)
}

fn head(text: &mut String, start: &Start<'_>) {
    let _ = write!(
        text,
        "# Which panels are built, how they are split and laid up.\n\
         # `matloft check` says whether it can be used, `matloft plan` plans it. Lengths in this file are in mm, whatever\n\
         # the meshes are in. Figures for resin, glass and catalyst are starting points: the makers' data sheets and local\n\
         # rules come first. Styrene, peroxide and glass dust are dangerous; read the safety sheets before work begins.\n\
         \n\
         title = {}\n\
         units = \"{}\"                # of the mesh files, which do not say it: mm, cm, m, in or ft\n\
         growth = true               # measure each ply where it lies; false: every ply as large as the moulded face\n\
         # mould = \"mould\"           # schedule of every mould; false: no moulds are built\n\
         # moulding = \"moulding\"     # schedule of every moulding; false: no mouldings are built\n\
         # currency = \"EUR\"         # of prices that name none; each supplier may have its own\n\
         # limits_of = \"uk\"          # whose limits of exposure are shown: uk, us-osha, us-niosh, us-acgih, eu-industry; all without it\n",
        quoted(start.title),
        start.unit.symbol()
    );
}

/// Crew, mixes and limits of exposure: what a beginner changes first.
const MIXES: &str = "
# [crew]
# people = 2                         # how many lay together; mixes are sized for what they lay before one gels
# [mixes]                            # `matloft stock` lists the rest
# most_in_cup_kg = 1.0               # the more in a cup, the sooner it gels
# [stock.resin.polyester]            # your maker's gel times: without them rough ones stand in
# gel_min = [
#     { temperature_c = 18, catalyst_percent = 1.5, min = 28 },
#     { temperature_c = 18, catalyst_percent = 2.0, min = 21 },
#     { temperature_c = 24, catalyst_percent = 1.5, min = 18 },
#     { temperature_c = 24, catalyst_percent = 2.0, min = 13 },
# ]
";

/// What a part may say, once for all of them.
const PART_KEYS: &str = "\
# A part may also say (these are examples):
#   quantity = 2                   # mouldings, all out of one mould
#   mirrored = true                # the opposite hand too: a second plug and mould
#   face = \"inside\"                # of a body with a wall: \"outside\" (default), \"inside\" or a direction [x, y, z]
#   outward = [0, 0, 1]            # of an open surface, the side that is seen: \"as wound\" (default), \"reversed\", a direction
#   kind = \"thin-solid\"            # sheet, thin-solid or solid, where the program is in doubt
#   mould = false                  # another schedule by name, or none
#   moulding = \"moulding\"
#   flange_mm = 60                 # width of the mould's flange; trim_mm and lap_mm as well
#   [[part.split]]                 # below its part; any number
#   name = \"waist\"
#   of = \"mould\"                   # mould, moulding or both (default)
#   axis = \"z\"                     # or point_mm and normal, or through_mm (three points), or a flat object of the mesh
#   at_mm = 300
#   [[part.edge]]                  # what a free edge is, where the program assumes wrong
#   near_mm = [400, 0, 250]        # the edge that passes nearest to this point
#   kind = \"return-flange\"         # outer-edge, laid-across, blanked-off, return-flange or open-end
#   [[part.joint]]                 # how the pieces of a split moulding are joined; without it they are strapped
#   split = \"waist\"
#   kind = \"lap\"                   # strap, lap, joggle or return-flange; width_mm, plies, material, adhesive, bond_mm
#   [[part.fixing]]                # a hinge, a catch: pad or plate, plies stepped past it, the core made solid there
#   name = \"hinge\"
#   how_many = 2
#   size_mm = [60, 40]
#   [part.stiffening]              # of the mould: metres, former (foam, paper, timber), cradle = true
#   [part.inside]                  # of the moulding: finish = \"flowcoat\" or \"waxed-resin\"; peel_ply_m2
#   [part.plug]                    # what is known of this plug: made_of and the figures of [plug]
";

const STOCK_EXAMPLE: &str = "
# A material of your own, or another figure for one that is there:
# [stock.reinforcement.\"mat 450\"]
# resin_per_glass = { value = 2.3, source = \"weighed on the last job\" }
";

const ORDER_EXAMPLE: &str = "
# What your suppliers ask, for prices in the order, and what you have already (these are examples):
# [[supplier]]
# name = \"Harbour Resins\"
# currency = \"EUR\"
# delivery = 15
# [[supplier.pack]]
# of = \"polyester\"             # a name that `matloft stock` lists, \"catalyst\", or \"epoxy hardener\"
# kg = 25                       # or litres, metres (with width_mm), m2, pieces
# price = 98.5
# [[on_shelf]]
# of = \"mat 450\"
# metres = 12
";

fn heading(text: &mut String, title: &str, says: &str) {
    let _ = writeln!(text, "\n# ---- {title} {}\n# {says}", "-".repeat(100_usize.saturating_sub(title.len())));
}

/// One `[[part]]`, with its size in a comment above it; a panel that marks a split is all comment.
fn part(panel: &Panel, unit: Option<LengthUnit>) -> String {
    let [x, y, z] = panel.size_mm;
    let size = format!("{x:.1} x {y:.1} x {z:.1} mm, {:.4} m2 of mesh", panel.area_m2);
    let mut lines = vec!["[[part]]".to_owned(), format!("name = {}", quoted(&panel.name))];
    lines.push(format!("file = {}", quoted(&panel.file)));
    if let Some(object) = &panel.object {
        lines.push(format!("object = {}", quoted(object)));
    }
    if panel.object_number > 1 {
        lines.push(format!("object_number = {}    # this name stands more than once in the file", panel.object_number));
    }
    if let Some(unit) = unit {
        lines.push(format!("units = \"{}\"", unit.symbol()));
    }
    if panel.splits.is_empty() {
        return format!("# {}: {size}\n{}\n", one_line(&panel.name), lines.join("\n"));
    }
    let through: Vec<String> = panel.splits.iter().map(|other| quoted(other)).collect();
    let object = quoted(panel.object.as_deref().unwrap_or(&panel.name));
    let name = one_line(&panel.name);
    format!(
        "# {name}: {size}\n\
         # It is flat and passes through {}: taken for the mark of a split and not listed as a panel.\n\
         # To split by it, put these lines below the part that it parts:\n\
         #   [[part.split]]\n#   name = {}\n#   object = {object}\n\
         # If it is a panel, take the # off these:\n{}",
        through.join(", "),
        quoted(&panel.name),
        lines.iter().map(|line| format!("# {line}\n")).collect::<String>(),
    )
}

fn habits(text: &mut String, stock: &Stock) {
    text.push_str("[shop]\n");
    for habit in stock.practice.figures() {
        let setting = format!("# {} = {}", habit.field, habit.figure.value);
        let _ = writeln!(text, "{setting:<36} # {}", figure_words(habit.figure));
    }
    text.push_str(TEMPERATURE);
}

/// When there is work.
const DAYS_EXAMPLE: &str = "
# When there is work, for the plan evening by evening; without it evenings of 3 h and weekend days of 6 h.
# [days]
# start = 2027-03-01                 # the first day, for dates and a calendar file
# hours = [
#     { days = [\"tue\", \"thu\"], from = \"18:30\", to = \"21:30\" },
#     { days = [\"sat\"], from = \"09:00\", to = \"16:00\" },
# ]
# away = [{ from = 2027-04-02, to = 2027-04-05 }]
";

/// A habit that has no default: the program assumes none.
const TEMPERATURE: &str =
    "# temperature_c = 18                 # of the shop while it is laid up; not assumed, for the sheets\n";

/// What the plugs are is asked, and colour. Other figures of [plug], [extras] and [consumables] are listed by `stock`.
const PLUG: &str = "
# [plug]                             # what the plugs are: not assumed; filler, and what may touch them, hang on it
# made_of = \"timber\"                 # foam-polystyrene, foam-polyurethane, timber, plaster, filler-on-board, other
# paint = \"two-pack\"                 # or one-pack, which styrene lifts
# primer = \"other\"                   # epoxy, polyester or other
# [colour]                           # paste in gelcoat that is bought without pigment
# paste = \"cream\"
# Figures of [extras], [plug] and [consumables]: `matloft stock` lists them.
";

fn figure_words(figure: &Figure) -> String {
    let source = one_line(&figure.source);
    let mark = figure.mark.words();
    if figure.low < figure.high {
        format!("{} to {}; {mark}: {source}", figure.low, figure.high)
    } else {
        format!("{mark}: {source}")
    }
}

fn layers(text: &mut String, name: &str, schedule: &Schedule) {
    let _ = writeln!(text, "\n[schedule.{}]\nmake = \"{}\"", bare_or_quoted(name), schedule.make.word());
    if let Some(gelcoat) = &schedule.gelcoat {
        let _ = writeln!(text, "gelcoat = {}", quoted(gelcoat));
    }
    let _ = writeln!(text, "resin = {}", quoted(&schedule.resin));
    if let Some(percent) = schedule.catalyst_percent {
        let _ = writeln!(text, "catalyst_percent = {percent}");
    }
    text.push_str("layers = [\n");
    for layer in &schedule.layers {
        let mut written =
            toml::Table::try_from(layer).expect("a layer holds text, numbers and tables, all of which TOML has");
        leave_out_defaults(&mut written);
        let _ = writeln!(text, "    {},", toml::Value::Table(written));
    }
    text.push_str("]\n");
}

/// What a layer says by saying nothing need not be read by the builder.
fn leave_out_defaults(layer: &mut toml::Table) {
    layer.retain(|key, value| match (key, value) {
        ("plies", toml::Value::Integer(1)) => false,
        ("zone", toml::Value::String(zone)) => zone != "all",
        ("zone", toml::Value::Table(zone)) => {
            for rules in zone.iter_mut().filter_map(|(_, rules)| rules.as_table_mut()) {
                rules.retain(|key, word| {
                    !matches!((key, word.as_str()), ("met_as", Some("both")) | ("at", Some("all")))
                });
            }
            true
        }
        _ => true,
    });
}

/// Text that may stand in a comment: a line break or a control character would end it.
fn one_line(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

/// Adds the panels that a job does not list yet, below its last part; everything else stays as it is, comments too.
///
/// # Errors
/// [`JobErrors`] if the job itself cannot be read.
pub fn add(text: &str, file: &str, panels: &[Panel], unit: LengthUnit) -> Result<Added, JobErrors> {
    let job = read(text, file)?;
    if job.source.is_inline("part") {
        return Err(job.source.errors(vec![("part".to_owned(), Fault::InlineParts)]));
    }
    let is_known = |panel: &&Panel| {
        job.parts.iter().any(|part| {
            let same_object = part.object.is_none()
                || (part.object == panel.object && part.object_number.unwrap_or(1) == panel.object_number);
            same_file(&part.file, &panel.file) && same_object
        }) || job
            .parts
            .iter()
            .flat_map(|part| &part.splits)
            .any(|split| split.object.is_some() && split.object == panel.object && !panel.splits.is_empty())
    };
    let (known, new): (Vec<&Panel>, Vec<&Panel>) = panels.iter().partition(is_known);
    let mut new: Vec<Panel> = new.into_iter().cloned().collect();
    name_apart(&mut new, job.parts.iter().map(|part| part.name.clone()).collect());
    let own_unit = (job.units != Some(unit)).then_some(unit);
    let blocks: String = new.iter().map(|panel| format!("\n{}", part(panel, own_unit))).collect();
    let names = new.iter().filter(|panel| panel.splits.is_empty()).map(|panel| panel.name.clone()).collect();
    Ok(Added { text: inserted(&job, text, &blocks), names, n_known: known.len() })
}

/// The text with blocks put below the last part, or at its end if it has none.
///
/// This is done on the text and not on a parsed document: not a byte of what the builder wrote may change, line ends
/// included.
fn inserted(job: &Job, text: &str, blocks: &str) -> String {
    let at = match job.source.end_of("part[") {
        Some(end) => end_of_section(text, end),
        None => text.len(),
    };
    let (before, after) = text.split_at(at);
    let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let open_line = if before.is_empty() || before.ends_with('\n') { "" } else { line_end };
    format!("{before}{open_line}{}{after}", blocks.replace('\n', line_end))
}

/// Where the line that holds byte `end` ends, comments that follow at once included, unless they head the next table.
fn end_of_section(text: &str, end: usize) -> usize {
    let mut at = line_end(text, end);
    let section = at;
    while text[at..].trim_start_matches([' ', '\t']).starts_with('#') {
        at = line_end(text, at);
    }
    if text[at..].trim_start_matches([' ', '\t']).starts_with('[') { section } else { at }
}

fn line_end(text: &str, from: usize) -> usize {
    text[from..].find('\n').map_or(text.len(), |newline| from + newline + 1)
}

/// Names of one file, however the slashes go.
fn same_file(one: &str, other: &str) -> bool {
    let plain = |name: &str| name.replace('\\', "/").trim_start_matches("./").to_owned();
    plain(one) == plain(other)
}
