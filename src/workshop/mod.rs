//! From plies to what has to be bought: needs per material, drops off the roll. Sees no facet.

pub mod compare;
pub mod crew;
pub mod drops;
pub mod mixes;
pub mod needs;
pub mod order;
pub mod record;
pub mod takes;
pub mod work;
