//! From plies to what has to be bought: needs per material, drops off the roll. Sees no facet.

pub mod crew;
pub mod drops;
pub mod needs;
pub mod work;
