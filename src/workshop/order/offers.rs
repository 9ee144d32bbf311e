//! The packs on offer for a need: a supplier's, or the usual ones where no supplier says.

use serde::Deserialize;

use super::entries::SupplierEntry;
use super::packs::Pack;
use super::units::{Amount, SaleUnit, Unlike, converted, fine, in_unit, roll_m, sale_name, sheet_m2};
use crate::laminate::error::LaminateError;
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::stock::{Roll, Stock};
use crate::workshop::needs::{Need, NeedKind};

/// The usual packs, every size with source and mark.
pub const STARTER_TEXT: &str = include_str!("../starter/packs.toml");

/// What a usual pack is of that stands for whatever has no other.
const ANY: &str = "any";

/// A pack on offer for one need.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// What is in it, in the unit by which the need is sold.
    pub size: f64,
    /// What is in it as its list says, if that counts otherwise.
    pub listed: Option<(f64, SaleUnit)>,
    /// What it costs.
    pub price: Option<f64>,
    /// How long it keeps, in months.
    pub shelf_life_months: Option<u32>,
    /// Coldest that it may be stored and used at, in deg C.
    pub least_c: Option<f64>,
    /// The size with its range, source and mark.
    pub figure: Figure,
}

impl Offer {
    /// What the choice of packs has to know of it.
    #[must_use]
    pub const fn pack(&self) -> Pack {
        Pack { size: self.size, price: self.price }
    }
}

/// The usual packs of the trade.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualPacks(Vec<UsualPack>);

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Starter {
    pack: Vec<UsualPack>,
}

/// One usual pack, as the starter's text has it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct UsualPack {
    kind: Option<String>,
    of: Option<String>,
    kg: Option<Figure>,
    litres: Option<Figure>,
    metres: Option<Figure>,
    m2: Option<Figure>,
    pieces: Option<Figure>,
}

impl UsualPack {
    fn size(&self) -> Option<(SaleUnit, &Figure)> {
        let ways = [
            (SaleUnit::Kg, &self.kg),
            (SaleUnit::Litres, &self.litres),
            (SaleUnit::Metres, &self.metres),
            (SaleUnit::M2, &self.m2),
            (SaleUnit::Pieces, &self.pieces),
        ];
        ways.into_iter().find_map(|(unit, figure)| Some((unit, figure.as_ref()?)))
    }
}

impl UsualPacks {
    /// The starter's.
    ///
    /// # Errors
    /// None that a test would not have found: the text is part of the program.
    pub fn starter() -> Result<Self, LaminateError> {
        let text: Starter =
            toml::from_str(STARTER_TEXT).map_err(|error| LaminateError::Text { message: error.to_string() })?;
        Ok(Self(text.pack))
    }

    /// Materials that they are known of by name.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.0.iter().filter_map(|pack| pack.of.as_deref())
    }

    fn of_kind(&self, kind: &str) -> Vec<(SaleUnit, &Figure)> {
        self.0.iter().filter(|pack| pack.kind.as_deref() == Some(kind)).filter_map(UsualPack::size).collect()
    }

    /// Those of a need: by its name, else by its kind.
    fn of(&self, need: &Need) -> Vec<(SaleUnit, &Figure)> {
        let name = sale_name(need);
        let named = self.0.iter().filter(|pack| pack.of.as_deref() == Some(&name));
        let by_name: Vec<_> = named.filter_map(UsualPack::size).collect();
        if by_name.is_empty() { self.of_kind(need.kind.word()) } else { by_name }
    }

    /// What a need is sold by: glass by the metre, core by area, the rest as its usual packs are; else by the measure by
    /// which it is counted, or the first in which it is known.
    #[must_use]
    pub fn unit_of_sale(&self, need: &Need) -> SaleUnit {
        let usual = match need.kind {
            NeedKind::Reinforcement => Some(SaleUnit::Metres),
            NeedKind::Core => Some(SaleUnit::M2),
            _ => self.of(need).first().map(|(unit, _)| *unit),
        };
        let known = |unit: &SaleUnit| in_unit(need, *unit).is_some();
        let counted = || Some(SaleUnit::of(need.measure)).filter(known);
        usual.filter(known).or_else(counted).or_else(|| SaleUnit::ALL.into_iter().find(known)).unwrap_or(SaleUnit::Kg)
    }

    /// The usual packs of a need in the unit by which it is sold, full rolls and sheets of the stock first.
    #[must_use]
    pub fn offers(&self, need: &Need, sold_by: SaleUnit, stock: &Stock) -> Vec<Offer> {
        let mut offers: Vec<Offer> = of_stock(need, sold_by, stock).into_iter().map(usual).collect();
        offers.extend(self.of(need).into_iter().filter_map(|(unit, figure)| {
            let amount = Amount { unit, value: figure.value, width_mm: None };
            let size = converted(amount, need, sold_by, stock).ok()?;
            Some(Offer { size, listed: otherwise(amount, sold_by), ..usual(figure.clone()) })
        }));
        if offers.is_empty() {
            let any = self.of_kind(ANY).into_iter();
            offers.extend(any.filter(|(unit, _)| *unit == sold_by).map(|(_, figure)| usual(figure.clone())));
        }
        offers
    }
}

/// The amount as a list has it, where that is not the unit in which the need is counted.
fn otherwise(amount: Amount, sold_by: SaleUnit) -> Option<(f64, SaleUnit)> {
    (amount.unit != sold_by).then_some((amount.value, amount.unit))
}

fn usual(figure: Figure) -> Offer {
    Offer { size: figure.value, listed: None, price: None, shelf_life_months: None, least_c: None, figure }
}

/// Full rolls and sheets, as long as the stock's figures make them.
fn of_stock(need: &Need, sold_by: SaleUnit, stock: &Stock) -> Vec<Figure> {
    match (need.kind, sold_by) {
        (NeedKind::Reinforcement, SaleUnit::Metres) => {
            let Some(glass) = stock.reinforcements.get(&need.material) else { return Vec::new() };
            let rolls = glass.rolls.as_deref().unwrap_or_default();
            // Another width is not what the drops were laid out for.
            let of_width = rolls.iter().filter(|roll| roll.width_mm.value == rolls[0].width_mm.value);
            of_width.filter_map(|roll| roll_figure(roll, glass.areal_weight_g_m2.value)).collect()
        }
        (NeedKind::Core, SaleUnit::M2) => {
            let core = stock.cores.get(&need.material);
            let sheet = core.and_then(|core| Some((core.sheet_width_mm.as_ref()?, fine(sheet_m2(core)?))));
            sheet
                .map(|(width, m2)| Figure::new(m2, width.mark, &format!("one sheet: {}", width.source)))
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}

/// Metres on a full roll, whole ones: its mass is known to a tenth only, and what a roll lacks is found when it is laid out.
fn roll_figure(roll: &Roll, areal_weight_g_m2: f64) -> Option<Figure> {
    if let Some(length) = &roll.length_m {
        return Some(Figure { value: fine(length.value), ..length.clone() });
    }
    let mass = roll.mass_kg.as_ref()?;
    let metres = |kg: f64| roll_m(kg, roll.width_mm.value, areal_weight_g_m2).floor();
    let source = format!("full roll of {} kg, {} mm wide: {}", mass.value, roll.width_mm.value, mass.source);
    Some(Figure { value: metres(mass.value), low: metres(mass.low), high: metres(mass.high), source, mark: mass.mark })
}

/// What a supplier offers for a need, in the unit by which it is sold; and what it offers of it that cannot be counted so.
#[must_use]
pub fn of_supplier(
    supplier: &SupplierEntry,
    need: &Need,
    sold_by: SaleUnit,
    stock: &Stock,
) -> (Vec<Offer>, Vec<Unlike>) {
    let name = sale_name(need);
    let (mut offers, mut unlike) = (Vec::new(), Vec::new());
    for pack in supplier.packs.iter().filter(|pack| pack.of == name) {
        let Some(amount) = pack.told().amount() else { continue };
        match converted(amount, need, sold_by, stock) {
            Ok(size) => offers.push(Offer {
                size,
                listed: otherwise(amount, sold_by),
                price: pack.price,
                shelf_life_months: pack.shelf_life_months,
                least_c: pack.least_c,
                figure: Figure::new(size, Mark::Given, &format!("price list of {}", supplier.name)),
            }),
            Err(why) => unlike.push(why),
        }
    }
    // Packs without a price cannot be compared with those that have one.
    if offers.iter().any(|offer| offer.price.is_some()) {
        offers.retain(|offer| offer.price.is_some());
    }
    (offers, unlike)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_usual_pack_says_how_much_is_in_it() {
        let packs = UsualPacks::starter().expect("the starter's text");
        assert!(packs.0.iter().all(|pack| pack.size().is_some_and(|(_, figure)| figure.value > 0.0)));
        for unit in SaleUnit::ALL {
            assert!(packs.of_kind(ANY).iter().any(|pack| pack.0 == unit), "something is sold by {}", unit.symbol());
        }
    }
}
