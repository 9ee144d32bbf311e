//! What a kilogram costs: as asked for on the command line, else the cheapest pack of the job's own price lists.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::laminate::stock::Stock;
use crate::notes::Note;
use crate::units::m_from_mm;
use crate::workshop::order::entries::{PackEntry, SupplierEntry};
use crate::workshop::order::units::{Amount, SaleUnit, hardener_name, off_roll, sheet_m2};

/// Name under which peroxide is sold.
pub const CATALYST: &str = "catalyst";
/// Source of a price that was given with the question.
const GIVEN: &str = "as asked for";

/// What a kilogram of a material costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Price {
    /// In the currency of the comparison.
    pub per_kg: f64,
    /// Whose price, and by which pack.
    pub source: String,
}

/// Prices by the name under which a material is sold.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Prices {
    /// The job's currency, or that of its first price list; nothing where neither says one.
    pub currency: Option<String>,
    /// Prices by name.
    pub by_name: BTreeMap<String, Price>,
    /// Price lists that were left out.
    pub notes: Vec<Note>,
}

impl Prices {
    /// Prices asked for first, then the cheapest pack per kg of the price lists in the job's currency, or the first list's. A
    /// pack is priced whole: what is left over of it and what delivery costs is the order's.
    #[must_use]
    pub fn of(asked: &[(String, f64)], suppliers: &[SupplierEntry], stock: &Stock, currency: Option<&str>) -> Self {
        let of_list = || suppliers.first().map(|supplier| supplier.currency.clone());
        let currency = currency.map(str::to_owned).or_else(of_list);
        let mut prices = Self { currency, ..Self::default() };
        for supplier in suppliers {
            if Some(&supplier.currency) == prices.currency.as_ref() {
                prices.take(supplier, stock);
            } else {
                prices.notes.push(other_currency(supplier, prices.currency.as_deref().unwrap_or_default()));
            }
        }
        if !asked.is_empty() && prices.currency.is_none() {
            prices.notes.push(without_currency());
        }
        for (name, per_kg) in asked {
            let source = prices.currency.as_ref().map_or_else(|| GIVEN.to_owned(), |of| format!("{GIVEN}, in {of}"));
            prices.by_name.insert(name.clone(), Price { per_kg: *per_kg, source });
        }
        prices
    }

    fn take(&mut self, supplier: &SupplierEntry, stock: &Stock) {
        for pack in &supplier.packs {
            let Some((price, kg)) = pack.price.zip(kg_in(pack, stock)) else { continue };
            let per_kg = price / kg;
            if self.by_name.get(&pack.of).is_none_or(|found| per_kg < found.per_kg) {
                let source = format!("{}: {price} {} for {kg:.3} kg", supplier.name, supplier.currency);
                self.by_name.insert(pack.of.clone(), Price { per_kg, source });
            }
        }
    }
}

fn without_currency() -> Note {
    Note::info(
        "price-without-currency",
        "the prices asked for have no currency",
        "give `currency = \"EUR\"`, say, at the top of the job",
    )
}

fn other_currency(supplier: &SupplierEntry, currency: &str) -> Note {
    Note::info(
        "currencies-apart",
        format!("prices of {} are in {} and not compared with those in {currency}", supplier.name, supplier.currency),
        "give the price of a material in one currency with --price",
    )
}

/// What a pack weighs, if the stock says enough.
fn kg_in(pack: &PackEntry, stock: &Stock) -> Option<f64> {
    let amount = pack.told().amount()?;
    let kg = if let Some(glass) = stock.reinforcements.get(&pack.of) {
        off_roll(amount, glass, SaleUnit::Kg).ok()
    } else {
        weighed(&pack.of, amount, stock)
    };
    kg.filter(|&kg| kg > 0.0)
}

fn weighed(of: &str, amount: Amount, stock: &Stock) -> Option<f64> {
    match amount.unit {
        SaleUnit::Kg => Some(amount.value),
        SaleUnit::Litres => Some(amount.value * density_kg_l(of, stock)?),
        SaleUnit::M2 => Some(amount.value * core_kg_m2(of, stock)?),
        SaleUnit::Pieces => Some(amount.value * sheet_m2(stock.cores.get(of)?)? * core_kg_m2(of, stock)?),
        SaleUnit::Metres => None,
    }
}

fn core_kg_m2(of: &str, stock: &Stock) -> Option<f64> {
    let core = stock.cores.get(of)?;
    Some(core.density_kg_m3.value * m_from_mm(core.thickness_mm.value))
}

/// Density of what is poured, in kg per litre, which is g per ml.
fn density_kg_l(of: &str, stock: &Stock) -> Option<f64> {
    if let Some(resin) = stock.resins.get(of) {
        return Some(resin.liquid_density_g_ml.value);
    }
    if let Some(gelcoat) = stock.gelcoats.get(of) {
        return Some(gelcoat.density_g_cm3.value);
    }
    let agent = if of == CATALYST {
        stock.resins.values().find_map(|resin| resin.catalyst_density_g_ml.as_ref())
    } else {
        let of_resin = stock.resins.values().find(|resin| hardener_name(&resin.name) == of);
        of_resin.and_then(|resin| resin.hardener_density_g_ml.as_ref())
    };
    agent.map(|figure| figure.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn supplier(text: &str) -> SupplierEntry {
        toml::from_str(text).expect("a price list")
    }

    /// By hand: 30 kg at 90 are 3 a kg; 66 m of 450 g/m2, 1 m wide, are 29.7 kg, at 80 2.69 a kg; 25 l of resin of 1.1 are 27.5 kg.
    #[test]
    fn the_cheapest_pack_per_kg_counts_however_it_is_sold_and_a_price_asked_for_before_all() {
        let stock = Stock::starter().expect("the starter's stock");
        let density = stock.resins["polyester"].liquid_density_g_ml.value;
        let lists = [
            supplier(
                "name = 'A'\ncurrency = 'EUR'\n[[pack]]\nof = 'mat 450'\nkg = 30\nprice = 90\n[[pack]]\nof = 'polyester'\nlitres = 25\nprice = 110",
            ),
            supplier(
                "name = 'B'\ncurrency = 'EUR'\n[[pack]]\nof = 'mat 450'\nmetres = 66\nwidth_mm = 1000\nprice = 80",
            ),
            supplier("name = 'C'\ncurrency = 'SEK'\n[[pack]]\nof = 'mat 450'\nkg = 30\nprice = 1"),
        ];
        let asked = [("polyester".to_owned(), 4.5)];
        let found = Prices::of(&[], &lists, &stock, None);
        assert!((found.by_name["mat 450"].per_kg - 80.0 / (66.0 * 0.45)).abs() < 1e-3, "{found:?}");
        assert!((found.by_name["polyester"].per_kg - 110.0 / (25.0 * density)).abs() < 1e-9);
        assert!(found.notes.len() == 1 && found.currency.as_deref() == Some("EUR"));
        assert_eq!(Prices::of(&asked, &lists, &stock, None).by_name["polyester"].per_kg, 4.5);
        // In the job's own currency only its list counts, and what was asked for is in that.
        let own = Prices::of(&asked, &lists, &stock, Some("SEK"));
        assert_eq!((own.currency.as_deref(), own.notes.len()), (Some("SEK"), 2));
        assert!((own.by_name["mat 450"].per_kg - 1.0 / 30.0).abs() < 1e-9);
        assert_eq!(own.by_name["polyester"].source, "as asked for, in SEK");
        assert_eq!(Prices::of(&asked, &[], &stock, None).notes[0].code, "price-without-currency");
    }
}
