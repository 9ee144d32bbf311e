//! Mixes in a few lines; all of them stand in mixes.csv and in the report.

use std::io::{self, Write};

use super::table::{Column, Listing};
use crate::workshop::mixes::recipe::Stirred;
use crate::workshop::mixes::{MixedMaterial, Mixes, kind_word};

/// Writes what is stirred into what.
///
/// # Errors
/// If `out` cannot be written.
pub(super) fn mixes(mixes: &Mixes, out: &mut dyn Write) -> io::Result<()> {
    if mixes.materials.is_empty() {
        return Ok(());
    }
    let assumed = if mixes.is_assumed { ", assumed" } else { "" };
    writeln!(out, "\nMixes at {} C{assumed} (each by itself: mixes.csv, with --out)", mixes.temperature_c)?;
    let mut listing = Listing::new(&[
        Column::Words("material"),
        Column::Words("what"),
        Column::Words("takes"),
        Column::Figures("share %"),
        Column::Figures("gel min"),
        Column::Figures("lay within min"),
        Column::Figures("largest g"),
        Column::Figures("mixes"),
    ]);
    for (number, material) in mixes.materials.iter().enumerate() {
        listing.row(row(mixes, number, material));
    }
    write!(out, "{listing}")
}

fn row(mixes: &Mixes, number: usize, material: &MixedMaterial) -> [String; 8] {
    let own = mixes.lines.iter().filter(|line| line.recipe == number);
    let largest_g = own.filter_map(|line| line.mixes).map(|cups| cups.weigh_g).fold(0.0, f64::max);
    let figure = |value: Option<f64>, digits: usize| value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"));
    let share = material.share.as_ref().filter(|_| material.refused.is_none());
    [
        material.material.clone(),
        kind_word(material.kind).to_owned(),
        material.stirred.map_or("-", Stirred::word).to_owned(),
        figure(share.map(|share| share.percent), 2),
        figure(share.map(|share| share.gel_min.likely), 1),
        figure(material.lay_within_min.filter(|_| share.is_some()), 1),
        figure(share.map(|_| largest_g), 0),
        if share.is_some() { material.n_mixes.to_string() } else { "refused".to_owned() },
    ]
}
