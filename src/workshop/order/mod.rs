//! What to order: each need less what is on the shelf, in the packs that cover it cheapest.
//!
//! [`units`] says by what a need is sold, [`offers`] which packs there are, [`packs`] which of them cover it cheapest,
//! [`budget`] how much is gone through for that,
//! [`shelf`] what is there already, [`suppliers`] sets price lists side by side, [`lines`] puts the order together.
//! [`specification`] is what a supplier is told, [`entries`] what a job says. The reserve is in the need already and is not added again.

use chrono::NaiveDate;

pub mod baskets;
pub mod budget;
pub mod entries;
pub mod lines;
pub mod offers;
pub mod packs;
mod search;
pub mod shelf;
pub mod specification;
pub mod suppliers;
pub mod units;

pub use baskets::Basket;
pub use lines::{Line, Order, Said, order};
pub use suppliers::{Quote, QuotedLine};

use units::{SaleUnit, Unlike};

/// When the work begins and ends, if that is known.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Dates {
    /// The first day that the job gives, whether or not anything could be planned from it.
    pub start: Option<NaiveDate>,
    /// The first day of work; everything is taken to be bought by then.
    pub first_day: Option<NaiveDate>,
    /// The last one.
    pub last_day: Option<NaiveDate>,
}

fn unlike_words(why: Unlike, sold_by: SaleUnit) -> String {
    match why {
        Unlike::Width { mm, wanted_mm } => {
            format!("it is {mm} mm wide, and the drops are laid out for {wanted_mm} mm")
        }
        Unlike::Unit => {
            format!("nothing says how much of it makes one of what it is reckoned in, {}", sold_by.symbol())
        }
    }
}

#[cfg(test)]
mod tests;
