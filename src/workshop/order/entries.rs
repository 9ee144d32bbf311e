//! What a job says of suppliers and of its own shelf.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};

use super::units::{Amount, SaleUnit};

/// A supplier's price list, or what is known of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SupplierEntry {
    /// Name of the supplier, as requests for quotation address it; each supplier has its own.
    #[schemars(length(min = 1))]
    pub name: String,
    /// Currency of its prices by the three capital letters of ISO 4217, such as "EUR"; without this key the job's. Prices in different currencies are never added up.
    #[serde(default, deserialize_with = "currency", skip_serializing_if = "String::is_empty")]
    #[schemars(regex(pattern = "^[A-Z]{3}$"))]
    pub currency: String,
    /// What it charges for delivery, once an order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub delivery: Option<f64>,
    /// The least that it takes an order for, delivery left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub minimum_order: Option<f64>,
    /// What it sells.
    #[serde(default, rename = "pack", skip_serializing_if = "Vec::is_empty")]
    pub packs: Vec<PackEntry>,
}

/// One size of one thing. What is in it is said by one of `kg`, `litres`, `metres`, `m2` and `pieces`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PackEntry {
    /// What is in it: a name of the stock, "catalyst", or a resin's name with " hardener" behind it.
    #[schemars(length(min = 1))]
    pub of: String,
    /// Mass in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 1e6))]
    pub kg: Option<f64>,
    /// Litres in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 1e6))]
    pub litres: Option<f64>,
    /// Metres on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 1e6))]
    pub metres: Option<f64>,
    /// Area in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.001, max = 1e6))]
    pub m2: Option<f64>,
    /// How many are in it; a whole number. Of a core, sheets of the stock's size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 1_000_000))]
    pub pieces: Option<u32>,
    /// Width of a roll. Without it, the width that the stock names first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1.0, max = 1e5))]
    pub width_mm: Option<f64>,
    /// Price of one pack, in the supplier's currency; tell it with or without tax, but the same for all suppliers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e9))]
    pub price: Option<f64>,
    /// How long it keeps from delivery, in months, as the maker's sheet says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 1200))]
    pub shelf_life_months: Option<u32>,
    /// Coldest that it may be stored and used at, in deg C, as the maker's sheet says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -50.0, max = 100.0))]
    pub least_c: Option<f64>,
}

/// Three capital letters, as ISO 4217 forms the codes of currencies.
fn currency<'de, D: Deserializer<'de>>(deserializer: D) -> Result<String, D::Error> {
    let text = String::deserialize(deserializer)?;
    if text.len() == 3 && text.bytes().all(|byte| byte.is_ascii_uppercase()) {
        return Ok(text);
    }
    Err(D::Error::custom(format!(
        "{text:?} is no currency: write the three capital letters of ISO 4217, such as \"EUR\" or \"GBP\""
    )))
}

/// The same where it need not be told.
///
/// # Errors
/// What the format refuses, and every text of another form.
pub fn currency_if_told<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<String>, D::Error> {
    currency(deserializer).map(Some)
}

/// What is already there and need not be bought. How much is said by one of `kg`, `litres`, `metres`, `m2` and `pieces`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OnShelfEntry {
    /// What it is: a name of the stock, "catalyst", or a resin's name with " hardener" behind it.
    #[schemars(length(min = 1))]
    pub of: String,
    /// Mass left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e6))]
    pub kg: Option<f64>,
    /// Litres left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e6))]
    pub litres: Option<f64>,
    /// Metres left on the roll.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e6))]
    pub metres: Option<f64>,
    /// Area left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 1e6))]
    pub m2: Option<f64>,
    /// How many are left; a whole number. Of a core, sheets of the stock's size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 1_000_000))]
    pub pieces: Option<u32>,
    /// Width of the roll. Without it, the width that the stock names first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1.0, max = 1e5))]
    pub width_mm: Option<f64>,
    /// The last day on which it is good, as "2027-03-31". What is past it before the work ends is not counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expires: Option<String>,
    /// The day on which it was opened, as "2026-09-30".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opened: Option<String>,
    /// How long it keeps once opened, in months, as the maker's sheet says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 1200))]
    pub keeps_opened_months: Option<u32>,
}

/// What an entry says of how much there is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// The unit, and how much, for each way in which it is told; one, in a job that was checked.
    pub ways: [Option<(SaleUnit, f64)>; 5],
    /// Width of a roll.
    pub width_mm: Option<f64>,
}

impl Told {
    /// How many ways are used.
    #[must_use]
    pub fn n_ways(&self) -> usize {
        self.ways.iter().flatten().count()
    }

    /// The amount, by the first way that is used.
    #[must_use]
    pub fn amount(&self) -> Option<Amount> {
        let &(unit, value) = self.ways.iter().flatten().next()?;
        Some(Amount { unit, value, width_mm: self.width_mm })
    }
}

macro_rules! told {
    ($entry:ident) => {
        impl $entry {
            /// How much it says there is.
            #[must_use]
            pub fn told(&self) -> Told {
                Told {
                    ways: [
                        self.kg.map(|kg| (SaleUnit::Kg, kg)),
                        self.litres.map(|litres| (SaleUnit::Litres, litres)),
                        self.metres.map(|metres| (SaleUnit::Metres, metres)),
                        self.m2.map(|m2| (SaleUnit::M2, m2)),
                        self.pieces.map(|pieces| (SaleUnit::Pieces, f64::from(pieces))),
                    ],
                    width_mm: self.width_mm,
                }
            }
        }
    };
}

told!(PackEntry);
told!(OnShelfEntry);

/// A day written as `2027-03-31`.
#[must_use]
pub fn day(text: &str) -> Option<NaiveDate> {
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d").ok()
}
