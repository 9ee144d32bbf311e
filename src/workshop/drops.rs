//! Metres off the roll by drops: lengths cut straight across it, laid side by side with laps.
//!
//! Until cut shapes are nested, a piece is taken as the rectangle that its flattened face fills, trim included. Drops run
//! across or along it, whichever needs fewer metres. Area over width is only a lower bound: it forgets the laps, the odd
//! widths and what openings cost.

use serde::Serialize;

use crate::laminate::stock::Reinforcement;
use crate::notes::Note;
use crate::units::{m_from_mm, m2_from_mm2};

/// A quotient that is whole but for the last bits must not cost one more drop.
const FUZZ: f64 = 1e-9;

/// Which way drops run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Along the piece's length.
    Along,
    /// Across it, along its width.
    Across,
}

/// A piece laid flat, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// The longer side of the finished piece.
    pub length_mm: f64,
    /// The shorter side of the finished piece.
    pub width_mm: f64,
    /// What is laid past every edge and trimmed off.
    pub trim_mm: f64,
}

/// What a roll and its laps allow, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RollFigures {
    /// Usable width.
    pub width_mm: f64,
    /// Lap between two widths.
    pub lap_mm: f64,
}

impl RollFigures {
    /// Of a reinforcement's usual roll; nothing where the stock names no roll.
    #[must_use]
    pub fn of(reinforcement: &Reinforcement) -> Option<Self> {
        let roll = reinforcement.rolls.as_ref()?.first()?;
        Some(Self { width_mm: roll.width_mm.value, lap_mm: reinforcement.lap_mm.value })
    }
}

/// Drops for one ply of one piece.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Drops {
    /// Which way they run.
    pub way: Way,
    /// How many.
    pub n_drops: usize,
    /// Length of each in m.
    pub each_m: f64,
    /// Metres off the roll.
    pub roll_m: f64,
    /// Laps between them, with what of them lies in the trim, in m2.
    pub laps_laid_m2: f64,
    /// Laps on the finished piece, in m2.
    pub laps_on_part_m2: f64,
}

/// How many drops of a width, lapped, cover so much: `ceil((W - o) / (w - o))`. None if the roll is no wider than the lap
/// or there is nothing to cover; one if one is wide enough.
#[must_use]
pub fn n_drops(covered_mm: f64, roll: RollFigures) -> Option<usize> {
    let step_mm = roll.width_mm - roll.lap_mm;
    if step_mm.is_nan() || step_mm <= 0.0 || covered_mm.is_nan() || covered_mm <= 0.0 {
        return None;
    }
    Some((((covered_mm - roll.lap_mm) / step_mm - FUZZ).ceil() as usize).max(1))
}

/// Drops for one ply one way.
#[must_use]
pub fn drops_one_way(extent: Extent, roll: RollFigures, way: Way) -> Option<Drops> {
    let (run_mm, side_mm) = match way {
        Way::Along => (extent.length_mm, extent.width_mm),
        Way::Across => (extent.width_mm, extent.length_mm),
    };
    let drop_mm = run_mm + 2.0 * extent.trim_mm;
    let n_drops = n_drops(side_mm + 2.0 * extent.trim_mm, roll)?;
    let laps_mm = (n_drops - 1) as f64 * roll.lap_mm;
    let each_m = m_from_mm(drop_mm);
    Some(Drops {
        way,
        n_drops,
        each_m,
        roll_m: n_drops as f64 * each_m,
        laps_laid_m2: m2_from_mm2(laps_mm * drop_mm),
        laps_on_part_m2: m2_from_mm2(laps_mm * run_mm),
    })
}

/// Drops for one ply the way that needs fewer metres; along on a tie, which leaves fewer laps.
#[must_use]
pub fn drops(extent: Extent, roll: RollFigures) -> Option<Drops> {
    let along = drops_one_way(extent, roll, Way::Along)?;
    let across = drops_one_way(extent, roll, Way::Across)?;
    Some(if across.roll_m < along.roll_m - FUZZ { across } else { along })
}

/// Metres of roll that an area needs at least, in m. The truth is more.
#[must_use]
pub fn least_roll_m(laid_m2: f64, roll_width_mm: f64) -> f64 {
    if roll_width_mm > 0.0 { laid_m2 / m_from_mm(roll_width_mm) } else { 0.0 }
}

/// Metres of roll for strips of one width, cut side by side along the roll; a strip may be pieced. Nothing for a strip
/// that is wider than the roll, or without width.
#[must_use]
pub fn strips_roll_m(strip_width_mm: f64, total_length_mm: f64, roll_width_mm: f64) -> Option<f64> {
    Some(m_from_mm(total_length_mm) / strips_beside(strip_width_mm, roll_width_mm)?)
}

/// How many strips of one width lie side by side on a roll; a whole number. Nothing for a strip that is wider than the
/// roll, or without width.
#[must_use]
pub fn strips_beside(strip_width_mm: f64, roll_width_mm: f64) -> Option<f64> {
    if strip_width_mm.is_nan() || strip_width_mm <= 0.0 || strip_width_mm > roll_width_mm {
        return None;
    }
    Some((roll_width_mm / strip_width_mm + FUZZ).floor())
}

/// Metres for one ply, and a note if its drops hold less than it lays: the flat extent was then too small, as happens
/// where a face curls up on itself, and area over width is taken as the least that it can be.
#[must_use]
pub fn roll_m(piece: &str, ply: usize, drops: Option<Drops>, laid_m2: f64, roll_width_mm: f64) -> (f64, Option<Note>) {
    let least_m = least_roll_m(laid_m2, roll_width_mm);
    match drops {
        Some(drops) if drops.roll_m + FUZZ >= least_m => (drops.roll_m, None),
        _ => {
            let note = Note::info(
                "roll-lower-bound",
                format!("{piece}, ply {ply}: metres off the roll are area over width, which is the least there can be"),
                "add for odd widths, or lay the piece out by hand",
            );
            (least_m, Some(note))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_width_that_covers_needs_one_drop_and_no_lap() {
        let extent = Extent { length_mm: 1800.0, width_mm: 940.0, trim_mm: 30.0 };
        let drops = drops(extent, RollFigures { width_mm: 1000.0, lap_mm: 50.0 }).expect("drops");
        assert_eq!((drops.way, drops.n_drops), (Way::Along, 1));
        assert!((drops.roll_m - 1.86).abs() < 1e-12 && drops.laps_laid_m2 == 0.0);
    }

    #[test]
    fn a_width_that_just_covers_with_its_laps_is_not_one_drop_more() {
        // Three widths of 1000 with laps of 50 cover 2900, in numbers that binary cannot hold.
        let roll = RollFigures { width_mm: 100.1, lap_mm: 0.1 };
        assert_eq!(n_drops(300.1, roll), Some(3));
        assert_eq!(n_drops(300.2, roll), Some(4));
    }

    #[test]
    fn a_roll_no_wider_than_its_lap_covers_nothing() {
        assert_eq!(n_drops(1000.0, RollFigures { width_mm: 50.0, lap_mm: 50.0 }), None);
        assert_eq!(n_drops(f64::NAN, RollFigures { width_mm: 1000.0, lap_mm: 50.0 }), None);
    }

    #[test]
    fn strips_lie_side_by_side_on_the_roll() {
        // 4.6 m of 100 mm strip off a 1000 mm roll: ten beside each other.
        assert!((strips_roll_m(100.0, 4600.0, 1000.0).expect("strips") - 0.46).abs() < 1e-12);
        assert!((strips_roll_m(150.0, 4600.0, 1000.0).expect("strips") - 4.6 / 6.0).abs() < 1e-12);
        assert_eq!(strips_roll_m(1200.0, 4600.0, 1000.0), None);
    }

    #[test]
    fn drops_that_hold_less_than_is_laid_are_told() {
        let extent = Extent { length_mm: 500.0, width_mm: 400.0, trim_mm: 0.0 };
        let drops = drops(extent, RollFigures { width_mm: 1000.0, lap_mm: 50.0 });
        let (metres, note) = roll_m("tray", 1, drops, 1.5, 1000.0);
        assert_eq!(metres, 1.5);
        assert!(note.is_some_and(|note| note.message.contains("tray, ply 1")));
        let (metres, note) = roll_m("tray", 1, drops, 0.2, 1000.0);
        assert!((metres - 0.4).abs() < 1e-12 && note.is_none());
    }
}
