//! Gaps between panels that must meet: a moulding shrinks, and its corners close.

use super::asked::Asked;
use super::bench::{Bench, figure};
use super::habits::Extras;
use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::maths;
use crate::units::rad_from_deg;
use crate::workshop::work::PieceWork;

/// The gap to leave at each edge of a panel that must meet another.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Number of the part.
    pub part: usize,
    /// Name of the panel.
    pub name: String,
    /// How much shorter it gets over its greatest extent, in mm.
    pub shrink_mm: Spread,
    /// How far the edge of a wall as deep as the panel's least extent moves in, in mm.
    pub spring_in_mm: Spread,
    /// Half the one and the other, in mm.
    pub gap_mm: Spread,
    /// The sum behind the gap.
    pub working: Working,
}

pub(super) fn gap(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    let Some(piece) = pieces.iter().find(|piece| piece.make == Make::Moulding) else { return };
    let place = format!("{}, gaps", piece.part);
    let longest_mm = asked.size_mm.into_iter().fold(0.0, f64::max);
    let deepest_mm = asked.size_mm.into_iter().fold(longest_mm, f64::min);
    let percent = figure!(bench, "extras", extras, shrink_percent, place);
    let turn_deg = figure!(bench, "extras", extras, spring_in_deg, place);
    let shrink_mm = percent.map(|percent| longest_mm * percent / 100.0);
    let slope = turn_deg.map(|turn_deg| maths::tan(rad_from_deg(turn_deg)));
    let spring_in_mm = slope.map(|slope| deepest_mm * slope);
    let gap_mm = shrink_mm.map(|shrink_mm| 0.5 * shrink_mm) + spring_in_mm;
    let working = Working::of("gap_mm", "gap at each edge", gap_mm.likely, "mm")
        .plus(longest_mm, "mm", "greatest extent")
        .times(percent.likely, "%", "shrinkage")
        .over(100.0, "", "")
        .over(2.0, "", "edges")
        .plus(deepest_mm, "mm", "least extent, taken for a wall")
        .times(slope.likely, "", "slope of the angle that a corner closes by");
    let (part, name) = (piece.place.part, piece.part.clone());
    bench.taken.gaps.push(Gap { part, name, shrink_mm, spring_in_mm, gap_mm, working });
}
