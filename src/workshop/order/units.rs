//! What things are sold by, and how much of a need that is.

use serde::Serialize;

use crate::laminate::stock::{Core, Reinforcement, Stock};
use crate::units::{kg_m2_from_g_m2, m_from_mm, m2_from_mm2};
use crate::workshop::needs::{Need, NeedKind};
use crate::workshop::takes::{Amounts, Measure};

/// What something is sold by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum SaleUnit {
    /// Metres of one width.
    #[serde(rename = "m")]
    Metres,
    /// Kilograms.
    #[serde(rename = "kg")]
    Kg,
    /// Litres.
    #[serde(rename = "l")]
    Litres,
    /// Square metres.
    #[serde(rename = "m2")]
    M2,
    /// Pieces.
    #[serde(rename = "pieces")]
    Pieces,
}

impl SaleUnit {
    /// All of them, in the order in which a need is taken by the first that it has.
    pub const ALL: [Self; 5] = [Self::Metres, Self::Kg, Self::Litres, Self::M2, Self::Pieces];

    /// The unit of the measure by which a need is counted.
    #[must_use]
    pub const fn of(measure: Measure) -> Self {
        match measure {
            Measure::Kg => Self::Kg,
            Measure::Litres => Self::Litres,
            Measure::M2 => Self::M2,
            Measure::M => Self::Metres,
            Measure::Pieces => Self::Pieces,
        }
    }

    /// The unit as lists and JSON write it.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::Kg => "kg",
            Self::Litres => "l",
            Self::M2 => "m2",
            Self::Pieces => "pieces",
        }
    }

    /// The key by which a pack says it.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Metres => "metres",
            Self::Kg => "kg",
            Self::Litres => "litres",
            Self::M2 => "m2",
            Self::Pieces => "pieces",
        }
    }
}

/// So much of something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// What it is counted in.
    pub unit: SaleUnit,
    /// How much.
    pub value: f64,
    /// Width, of what comes off a roll.
    pub width_mm: Option<f64>,
}

/// Why an amount cannot be counted against a need.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unlike {
    /// It is of another width than the drops were laid out for.
    Width {
        /// Its own.
        mm: f64,
        /// That of the drops.
        wanted_mm: f64,
    },
    /// Nothing tells how much of the need's unit it is.
    Unit,
}

/// What is got off a roll of other width than this is not what the drops were laid out for, in mm.
const SAME_WIDTH_MM: f64 = 0.5;

/// Converted sizes are rounded down to a gram, millilitre or millimetre, so that no pack is taken for more than it is.
const FINE: f64 = 1e3;

/// The name by which a need is sold: what the job file calls it.
#[must_use]
pub fn sale_name(need: &Need) -> String {
    match need.kind {
        NeedKind::Hardener => hardener_name(&need.material),
        _ => need.material.clone(),
    }
}

/// The name by which the hardener of a resin is sold.
#[must_use]
pub fn hardener_name(resin: &str) -> String {
    format!("{resin} hardener")
}

/// What a need comes to in a unit, without and with its reserve; nothing if it is not known in that unit.
#[must_use]
pub fn in_unit(need: &Need, unit: SaleUnit) -> Option<(f64, f64)> {
    let both = match unit {
        SaleUnit::Metres => need.roll_m.zip(need.roll_m_with_reserve).or(need.m.zip(need.m_with_reserve)),
        SaleUnit::Kg => Some((need.kg, need.kg_with_reserve)),
        SaleUnit::Litres => need.litres.zip(need.litres_with_reserve),
        SaleUnit::M2 => need.m2.zip(need.m2_with_reserve),
        SaleUnit::Pieces => need.pieces.zip(need.pieces_with_reserve),
    };
    both.filter(|&(net, all)| net > 0.0 && all.is_finite())
}

/// Some amounts in a unit.
#[must_use]
pub const fn amount_in(amounts: &Amounts, unit: SaleUnit) -> f64 {
    match unit {
        SaleUnit::Metres => amounts.m,
        SaleUnit::Kg => amounts.kg,
        SaleUnit::Litres => amounts.litres,
        SaleUnit::M2 => amounts.m2,
        SaleUnit::Pieces => amounts.pieces,
    }
}

/// An amount in the unit by which a need is sold.
///
/// # Errors
/// [`Unlike`], if the two cannot be compared.
pub fn converted(amount: Amount, need: &Need, sold_by: SaleUnit, stock: &Stock) -> Result<f64, Unlike> {
    let glass = stock.reinforcements.get(&need.material).filter(|_| need.kind == NeedKind::Reinforcement);
    if let Some(glass) = glass {
        return off_roll(amount, glass, sold_by);
    }
    if amount.unit == sold_by {
        return Ok(amount.value);
    }
    if let Some(core) = stock.cores.get(&need.material).filter(|_| need.kind == NeedKind::Core)
        && let (SaleUnit::Pieces, SaleUnit::M2) = (amount.unit, sold_by)
    {
        return Ok(fine(amount.value * sheet_m2(core).ok_or(Unlike::Unit)?));
    }
    // Both are known of the need, so that its own density turns one into the other.
    let poured = |unit| matches!(unit, SaleUnit::Kg | SaleUnit::Litres);
    match (in_unit(need, amount.unit), in_unit(need, sold_by)) {
        (Some((from, _)), Some((to, _))) if poured(amount.unit) && poured(sold_by) => {
            Ok(fine(amount.value * to / from))
        }
        _ => Err(Unlike::Unit),
    }
}

/// An amount of glass off the roll in another unit.
///
/// # Errors
/// [`Unlike`], if it is of another width or the unit tells nothing of glass.
pub fn off_roll(amount: Amount, glass: &Reinforcement, sold_by: SaleUnit) -> Result<f64, Unlike> {
    let usual_mm = glass.rolls.as_ref().and_then(|rolls| rolls.first()).map(|roll| roll.width_mm.value);
    if let (Some(mm), Some(wanted_mm)) = (amount.width_mm, usual_mm)
        && (mm - wanted_mm).abs() > SAME_WIDTH_MM
    {
        return Err(Unlike::Width { mm, wanted_mm });
    }
    if amount.unit == sold_by {
        return Ok(amount.value);
    }
    let width_mm = amount.width_mm.or(usual_mm).ok_or(Unlike::Unit)?;
    let g_m2 = glass.areal_weight_g_m2.value;
    let metres = match amount.unit {
        SaleUnit::Metres => amount.value,
        SaleUnit::Kg => roll_m(amount.value, width_mm, g_m2),
        SaleUnit::M2 => amount.value / m_from_mm(width_mm),
        SaleUnit::Litres | SaleUnit::Pieces => return Err(Unlike::Unit),
    };
    match sold_by {
        SaleUnit::Metres => Ok(fine(metres)),
        SaleUnit::Kg => Ok(fine(metres * m_from_mm(width_mm) * kg_m2_from_g_m2(g_m2))),
        SaleUnit::M2 => Ok(fine(metres * m_from_mm(width_mm))),
        SaleUnit::Litres | SaleUnit::Pieces => Err(Unlike::Unit),
    }
}

/// Metres on a roll of so many kg: `mass / (width x mass per area)`. 30 kg of 450 g/m2, 1 m wide, are 66.67 m.
#[must_use]
pub fn roll_m(mass_kg: f64, width_mm: f64, areal_weight_g_m2: f64) -> f64 {
    mass_kg / (m_from_mm(width_mm) * kg_m2_from_g_m2(areal_weight_g_m2))
}

/// Area of a sheet of core, if the stock says its size.
#[must_use]
pub fn sheet_m2(core: &Core) -> Option<f64> {
    let (width, length) = (core.sheet_width_mm.as_ref()?, core.sheet_length_mm.as_ref()?);
    Some(m2_from_mm2(width.value * length.value)).filter(|&m2| m2 > 0.0)
}

/// Rounded down to a thousandth; what a whole number misses by its last bits is that number.
pub(super) fn fine(value: f64) -> f64 {
    (value * FINE + 1e-6).floor() / FINE
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: worked example 29, own sum: 30 / (1.00 x 0.450) and 30 / (1.04 x 0.300). 0.01 m.
    #[test]
    fn a_roll_is_as_long_as_its_mass_says() {
        assert!((roll_m(30.0, 1000.0, 450.0) - 66.67).abs() < 0.01);
        assert!((roll_m(30.0, 1040.0, 300.0) - 96.15).abs() < 0.01);
    }

    #[test]
    fn a_converted_size_is_never_taken_for_more_than_it_is() {
        assert_eq!([fine(66.666_66), fine(0.3), fine(0.1 + 0.2), fine(5.65)], [66.666, 0.3, 0.3, 5.65]);
    }
}
