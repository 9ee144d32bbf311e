//! From plies to what has to be bought and done: needs per material, drops off the roll, the days. Sees no facet.

pub mod compare;
pub mod crew;
pub mod days;
pub mod drops;
pub mod mixes;
pub mod needs;
pub mod order;
pub mod rates;
pub mod record;
pub mod takes;
pub mod work;
