//! The card for the scales: grams of resin down, temperatures across.

use serde::Serialize;

use super::MixShop;
use super::cups::on_scale;
use super::lines::largest;
use super::recipe::Recipe;
use super::share::share_at;
use crate::laminate::figure::Spread;
use crate::units::g_from_kg;

/// Temperatures of a card, in deg C: from the coldest that is mixed at, in steps that a shop's thermometer shows.
pub const CARD_C: [f64; 6] = [15.0, 17.0, 19.0, 21.0, 23.0, 25.0];

/// Rows that a card has at most, but for the largest mix: more do not fit a page beside the cautions.
const MOST_ROWS: f64 = 12.0;

/// Steps of a card, in g. A small mix, as of putty, needs a finer one than 100 g.
const STEPS_G: [f64; 9] = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0];

/// The card of a material.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Card {
    /// Temperatures, coldest first.
    pub columns: Vec<CardColumn>,
    /// Masses, smallest first.
    pub rows: Vec<CardRow>,
}

/// One temperature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardColumn {
    /// Of shop and resin.
    pub temperature_c: f64,
    /// Share of what is stirred in, in percent; nothing where it is not to be mixed.
    pub percent: Option<f64>,
    /// Gel time in the cup.
    pub gel_min: Option<Spread>,
    /// The largest mix, in g of the material alone.
    pub largest_g: Option<f64>,
    /// Why nothing is mixed there.
    pub refused: Option<String>,
}

/// One mass of the material alone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardRow {
    /// The mass.
    pub weigh_g: f64,
    /// What is stirred in, column by column; nothing where it is not to be mixed.
    pub cells: Vec<Option<CardCell>>,
}

/// What is stirred into one mass at one temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CardCell {
    /// In g.
    pub g: f64,
    /// In ml, where it is poured.
    pub ml: Option<f64>,
}

/// The card of a material that is laid at most at some rate, in kg an hour of the material alone.
#[must_use]
pub fn card(recipe: &Recipe, lays_kg_h: f64, shop: &MixShop<'_>) -> Card {
    let columns: Vec<CardColumn> = CARD_C.iter().map(|&at_c| column(recipe, at_c, lays_kg_h, shop)).collect();
    let largest_g = columns.iter().filter_map(|column| column.largest_g).fold(0.0, f64::max);
    let rows = masses_g(largest_g).into_iter().map(|weigh_g| row(recipe, weigh_g, &columns)).collect();
    Card { columns, rows }
}

fn column(recipe: &Recipe, temperature_c: f64, lays_kg_h: f64, shop: &MixShop<'_>) -> CardColumn {
    let empty = CardColumn { temperature_c, percent: None, gel_min: None, largest_g: None, refused: None };
    match share_at(recipe, temperature_c, shop.habits.useful_gel_min.spread()) {
        Err(refused) => CardColumn { refused: Some(refused.to_string()), ..empty },
        Ok(share) => {
            let (_, largest_kg, _) = largest(recipe, share.gel_min.likely, lays_kg_h, shop);
            let largest_g = on_scale(g_from_kg(largest_kg), shop.habits.scale_step_g.value);
            CardColumn {
                percent: Some(share.percent),
                gel_min: Some(share.gel_min),
                largest_g: Some(largest_g),
                ..empty
            }
        }
    }
}

/// Masses in steps up to the largest, and the largest itself.
fn masses_g(largest_g: f64) -> Vec<f64> {
    if largest_g <= 0.0 {
        return Vec::new();
    }
    let is_coarse_enough = |step: &&f64| largest_g / **step <= MOST_ROWS;
    let step_g = STEPS_G.iter().find(is_coarse_enough).copied().unwrap_or(largest_g);
    let n_whole = (largest_g / step_g).floor();
    let mut masses: Vec<f64> = (1..=n_whole as u32).map(|n| f64::from(n) * step_g).collect();
    if masses.last().is_none_or(|last| *last < largest_g) {
        masses.push(largest_g);
    }
    masses
}

fn row(recipe: &Recipe, weigh_g: f64, columns: &[CardColumn]) -> CardRow {
    let cell = |column: &CardColumn| {
        let percent = column.percent.filter(|_| column.largest_g.is_some_and(|largest_g| weigh_g <= largest_g))?;
        let g = recipe.stirred_g(weigh_g, percent);
        Some(CardCell { g, ml: recipe.stirred_ml(g) })
    };
    CardRow { weigh_g, cells: columns.iter().map(cell).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_goes_by_hundreds_up_to_the_largest_mix() {
        assert_eq!(masses_g(670.0), [100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 670.0]);
        assert_eq!(masses_g(90.0), [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0]);
        assert_eq!(masses_g(1500.0).len(), 8);
        assert_eq!(masses_g(0.0), [0.0; 0]);
    }
}
