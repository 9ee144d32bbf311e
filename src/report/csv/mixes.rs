//! The mixes as a table.

use std::io::{self, Write};

use serde::Serialize;

use super::table;
use crate::plan::Plan;
use crate::workshop::mixes::recipe::Stirred;

#[derive(Default, Serialize)]
struct MixRow<'a> {
    part: &'a str,
    make: &'a str,
    count: u32,
    piece: &'a str,
    step: &'a str,
    number: usize,
    what: &'a str,
    material: &'a str,
    stirred_in: &'a str,
    temperature_c: f64,
    share_percent: Option<f64>,
    gel_min: Option<f64>,
    lay_within_min: Option<f64>,
    also: String,
    laid_kg: f64,
    alone_kg: f64,
    n_mixes: Option<u64>,
    each_g: Option<f64>,
    weigh_g: Option<f64>,
    stir_g: Option<f64>,
    stir_ml: Option<f64>,
    to_lay_min: Option<f64>,
    refused: &'a str,
    caution: &'a str,
    complete: bool,
}

/// A row a step of a piece.
pub(super) fn mixes(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let mixes = &plan.mixes;
    let rows = mixes.lines.iter().filter_map(|line| {
        let material = mixes.materials.get(line.recipe)?;
        let share = material.share.as_ref();
        Some(MixRow {
            part: &line.panel,
            make: line.make.word(),
            count: line.count,
            piece: &line.of_piece,
            step: line.step.word(),
            number: line.number,
            what: &line.what,
            material: &line.material,
            stirred_in: material.stirred.map_or("", Stirred::word),
            temperature_c: mixes.temperature_c,
            share_percent: share.map(|share| share.percent),
            gel_min: share.map(|share| share.gel_min.likely),
            lay_within_min: material.lay_within_min,
            also: line
                .also
                .iter()
                .map(|also| match also.each_g {
                    Some(g) => format!("{} {g:.1} g in each, {:.4} kg in all", also.material, also.kg),
                    None => format!("{} {:.4} kg in all", also.material, also.kg),
                })
                .collect::<Vec<_>>()
                .join("; "),
            laid_kg: line.need_kg,
            alone_kg: line.alone_kg,
            n_mixes: line.mixes.map(|cups| cups.n_mixes),
            each_g: line.mixes.map(|cups| cups.each_g),
            weigh_g: line.mixes.map(|cups| cups.weigh_g),
            stir_g: line.mixes.map(|cups| cups.stir_g),
            stir_ml: line.mixes.and_then(|cups| cups.stir_ml),
            to_lay_min: line.mixes.map(|cups| cups.minutes),
            refused: material.refused.as_ref().map_or("", |refusal| &refusal.why),
            caution: material.caution.as_deref().unwrap_or(""),
            complete: plan.is_complete(),
        })
    });
    table(rows, out)
}
