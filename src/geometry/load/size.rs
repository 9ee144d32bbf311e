//! Units and unlikely sizes. Size is never used to guess a unit, only to doubt it.

use crate::notes::Note;
use crate::units::LengthUnit;

/// Sizes across between which a panel lies if its file says no unit.
const PANEL_MM: [f64; 2] = [300.0, 10_000.0];
/// Sizes across between which a part lies whose unit was given.
const PART_MM: [f64; 2] = [30.0, 30_000.0];

/// Notes on the unit: which one was assumed, and whether the size across speaks for another.
#[must_use]
pub fn unit_notes(given: Option<LengthUnit>, across_mm: f64) -> Vec<Note> {
    let mut notes = Vec::new();
    if given.is_none() {
        notes.push(Note::info(
            "unit-assumed",
            "the file carries no unit and none was given: its numbers were taken as mm",
            "give the unit with --units, or `units` in the job",
        ));
    }
    let [least, most] = if given.is_some() { PART_MM } else { PANEL_MM };
    if across_mm < least || across_mm > most {
        notes.push(unlikely_size(given.unwrap_or(LengthUnit::Millimetre), across_mm, across_mm < least));
    }
    notes
}

fn unlikely_size(unit: LengthUnit, across_mm: f64, small: bool) -> Note {
    let taken = if small { "small" } else { "large" };
    let across = length(across_mm);
    let message = format!(
        "taken in {}, the part is {across} across, which is {taken} for a panel: the unit (scale) may be wrong; {}",
        unit.symbol(),
        likely(unit, across_mm)
    );
    Note::warning("size-unlikely", message, "give the unit of the file with --units, or `units` in the job")
}

/// The units in which the part would have a panel's size, the likeliest first.
fn likely(unit: LengthUnit, across_mm: f64) -> String {
    let in_file = across_mm / unit.mm();
    let others = [
        (LengthUnit::Metre, "metres"),
        (LengthUnit::Inch, "inches"),
        (LengthUnit::Millimetre, "millimetres"),
        (LengthUnit::Centimetre, "centimetres"),
        (LengthUnit::Foot, "feet"),
    ];
    let is_panel = |mm: f64| (PANEL_MM[0]..=PANEL_MM[1]).contains(&mm);
    let sizes = others.iter().filter(|(other, _)| *other != unit).map(|(other, name)| (in_file * other.mm(), *name));
    let (panels, rest): (Vec<_>, Vec<_>) = sizes.partition(|&(mm, _)| is_panel(mm));
    let told = |sizes: &[(f64, &str)]| {
        sizes.iter().map(|&(mm, name)| format!("{name} ({})", length(mm))).collect::<Vec<_>>().join(" or ")
    };
    match (panels.is_empty(), in_file > PANEL_MM[1]) {
        (false, _) => format!("probably it is in {}; in {} it would not be a panel's size", told(&panels), told(&rest)),
        (true, true) => "probably it is in micrometres or thousandths of an inch: export it in mm".to_owned(),
        (true, false) => format!("in {} it would not be a panel's size either", told(&rest)),
    }
}

/// A length as people say it.
fn length(mm: f64) -> String {
    if mm >= 1000.0 { format!("{} m", rounded(mm / 1000.0)) } else { format!("{} mm", rounded(mm)) }
}

/// Three digits or all before the point.
fn rounded(value: f64) -> String {
    if value >= 1e9 || (value > 0.0 && value < 1e-3) {
        return format!("{value:.2e}");
    }
    let decimals = if value >= 100.0 {
        0
    } else if value >= 10.0 {
        1
    } else if value >= 1.0 {
        2
    } else {
        4
    };
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
