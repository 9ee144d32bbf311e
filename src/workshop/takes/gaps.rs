//! Gaps between panels that must meet: a moulding shrinks, and its corners close.

use super::asked::Asked;
use super::bench::{Bench, figure};
use super::habits::Extras;
use crate::laminate::figure::Spread;
use crate::laminate::schedule::Make;
use crate::laminate::workings::Working;
use crate::maths;
use crate::units::rad_from_deg;
use crate::workshop::work::{PieceWork, WallWork};

/// The gap to leave at each edge of a panel that must meet another.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Number of the part.
    pub part: usize,
    /// Name of the panel.
    pub name: String,
    /// How much shorter it gets over its greatest extent, in mm.
    pub shrink_mm: Spread,
    /// How far the free edge past the corner moves in that closes farthest, in mm; 0 without such a corner.
    pub spring_in_mm: Spread,
    /// Half the one and the other, in mm.
    pub gap_mm: Spread,
    /// The sum behind the gap.
    pub working: Working,
}

/// The turn of the corner that the figure for closing is for.
const SQUARE_DEG: f64 = 90.0;

pub(super) fn gap(bench: &mut Bench<'_>, pieces: &[PieceWork], asked: &Asked<'_>, extras: &Extras) {
    let Some(piece) = pieces.iter().find(|piece| piece.make == Make::Moulding) else { return };
    let place = format!("{}, gaps", piece.part);
    let longest_mm = asked.size_mm.into_iter().fold(0.0, f64::max);
    let mouldings = pieces.iter().filter(|piece| piece.make == Make::Moulding);
    let wall = mouldings.filter_map(|piece| piece.wall).max_by(|a, b| a.closes().total_cmp(&b.closes()));
    let wall = wall.unwrap_or(WallWork { depth_mm: 0.0, turn_deg: 0.0 });
    let percent = figure!(bench, "extras", extras, shrink_percent, place);
    let turn_deg = figure!(bench, "extras", extras, spring_in_deg, place);
    let shrink_mm = percent.map(|percent| longest_mm * percent / 100.0);
    let slope = turn_deg.map(|turn_deg| maths::tan(rad_from_deg(turn_deg)));
    // A corner that turns less closes by less.
    let spring_in_mm = slope.map(|slope| wall.depth_mm * slope * wall.turn_deg / SQUARE_DEG);
    let gap_mm = shrink_mm.map(|shrink_mm| 0.5 * shrink_mm) + spring_in_mm;
    let working = Working::of("gap_mm", "gap at each edge", gap_mm.likely, "mm")
        .plus(longest_mm, "mm", "greatest extent")
        .times(percent.likely, "%", "shrinkage")
        .over(100.0, "", "")
        .over(2.0, "", "edges");
    let working = if wall.depth_mm > 0.0 {
        working
            .plus(wall.depth_mm, "mm", "from the corner to the end of the wall past it")
            .times(slope.likely, "", "slope of the angle that a square corner closes by")
            .times(wall.turn_deg, "deg", "turn of the corner")
            .over(SQUARE_DEG, "deg", "")
    } else {
        working
    };
    let (part, name) = (piece.place.part, piece.part.clone());
    bench.taken.gaps.push(Gap { part, name, shrink_mm, spring_in_mm, gap_mm, working });
}
