//! Tables of what is taken beside the lay-ups: a row a take, and a row a line of each plug.

use std::io::{self, Write};

use serde::Serialize;

use super::table;
use crate::plan::Plan;

#[derive(Default, Serialize)]
struct TakeRow<'a> {
    kind: &'a str,
    material: &'a str,
    taken_for: &'a str,
    count: u32,
    kg: f64,
    litres: f64,
    m2: f64,
    m: f64,
    pieces: f64,
    complete: bool,
}

#[derive(Default, Serialize)]
struct PlugRow<'a> {
    part: &'a str,
    made_of: &'a str,
    count: u32,
    what: &'a str,
    unit: &'a str,
    low: f64,
    likely: f64,
    high: f64,
    rests_on: &'a str,
    complete: bool,
}

/// A row a take, figures for one.
pub(super) fn takes(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let rows = plan.takes.takes.iter().map(|take| TakeRow {
        kind: take.kind.word(),
        material: &take.material,
        taken_for: &take.name,
        count: take.count,
        kg: take.amounts.kg,
        litres: take.amounts.litres,
        m2: take.amounts.m2,
        m: take.amounts.m,
        pieces: take.amounts.pieces,
        complete: plan.is_complete(),
    });
    table(rows, out)
}

/// A row a thing that a plug takes, figures for one plug.
pub(super) fn plugs(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let rows = plan.takes.plugs.iter().flat_map(|plug| {
        plug.lines.iter().map(move |line| PlugRow {
            part: &plug.name,
            made_of: plug.made_of.map_or("", |stuff| stuff.words()),
            count: plug.count,
            what: &line.what,
            unit: line.unit,
            low: line.amount.low,
            likely: line.amount.likely,
            high: line.amount.high,
            rests_on: &line.rests_on,
            complete: plan.is_complete(),
        })
    });
    table(rows, out)
}
