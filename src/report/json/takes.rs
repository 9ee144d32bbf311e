//! What is taken beside the lay-ups, as the document of a plan shows it.

use serde::Serialize;

use super::builds::Range;
use crate::laminate::workings::Working;
use crate::workshop::takes::habits::PlugStuff;
use crate::workshop::takes::{Finished, FinishedLine, Gap, PlugLine, PlugWork, Take, Taken};

#[derive(Default, Serialize)]
pub(super) struct TakesEntry<'a> {
    lines: &'a [Take],
    plugs: Vec<PlugEntry<'a>>,
    gaps: Vec<GapEntry<'a>>,
}

#[derive(Serialize)]
struct PlugEntry<'a> {
    part: usize,
    name: &'a str,
    made_of: Option<PlugStuff>,
    count: u32,
    skin_m2: f64,
    flange_m2: f64,
    lines: Vec<PlugLineEntry<'a>>,
}

#[derive(Serialize)]
struct PlugLineEntry<'a> {
    what: &'a str,
    amount: f64,
    amount_range: Range,
    unit: &'static str,
    rests_on: &'a str,
    working: &'a Working,
}

#[derive(Serialize)]
struct GapEntry<'a> {
    part: usize,
    name: &'a str,
    shrink_mm: f64,
    shrink_mm_range: Range,
    spring_in_mm: f64,
    spring_in_mm_range: Range,
    gap_mm: f64,
    gap_mm_range: Range,
    working: &'a Working,
}

#[derive(Serialize)]
pub(super) struct FinishedEntry<'a> {
    lines: Vec<FinishedLineEntry<'a>>,
    mass_kg: f64,
    mass_kg_range: Range,
    working: Working,
}

#[derive(Serialize)]
struct FinishedLineEntry<'a> {
    what: &'a str,
    kg: f64,
    kg_range: Range,
    working: &'a Working,
}

impl<'a> From<&'a Taken> for TakesEntry<'a> {
    fn from(taken: &'a Taken) -> Self {
        Self {
            lines: &taken.takes,
            plugs: taken.plugs.iter().map(Into::into).collect(),
            gaps: taken.gaps.iter().map(Into::into).collect(),
        }
    }
}

impl<'a> From<&'a PlugWork> for PlugEntry<'a> {
    fn from(plug: &'a PlugWork) -> Self {
        Self {
            part: plug.part,
            name: &plug.name,
            made_of: plug.made_of,
            count: plug.count,
            skin_m2: plug.skin_m2,
            flange_m2: plug.flange_m2,
            lines: plug.lines.iter().map(Into::into).collect(),
        }
    }
}

impl<'a> From<&'a PlugLine> for PlugLineEntry<'a> {
    fn from(line: &'a PlugLine) -> Self {
        Self {
            what: &line.what,
            amount: line.amount.likely,
            amount_range: line.amount.into(),
            unit: line.unit,
            rests_on: &line.rests_on,
            working: &line.working,
        }
    }
}

impl<'a> From<&'a Gap> for GapEntry<'a> {
    fn from(gap: &'a Gap) -> Self {
        Self {
            part: gap.part,
            name: &gap.name,
            shrink_mm: gap.shrink_mm.likely,
            shrink_mm_range: gap.shrink_mm.into(),
            spring_in_mm: gap.spring_in_mm.likely,
            spring_in_mm_range: gap.spring_in_mm.into(),
            gap_mm: gap.gap_mm.likely,
            gap_mm_range: gap.gap_mm.into(),
            working: &gap.working,
        }
    }
}

impl<'a> From<&'a Finished> for FinishedEntry<'a> {
    fn from(finished: &'a Finished) -> Self {
        Self {
            lines: finished.lines.iter().map(Into::into).collect(),
            mass_kg: finished.mass_kg.likely,
            mass_kg_range: finished.mass_kg.into(),
            working: finished.working(),
        }
    }
}

impl<'a> From<&'a FinishedLine> for FinishedLineEntry<'a> {
    fn from(line: &'a FinishedLine) -> Self {
        Self { what: &line.what, kg: line.kg.likely, kg_range: line.kg.into(), working: &line.working }
    }
}
