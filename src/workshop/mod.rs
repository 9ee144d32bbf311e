//! From plies to what has to be bought and done: needs per material, drops off the roll, the days. Sees no facet.

pub mod crew;
pub mod days;
pub mod drops;
pub mod needs;
pub mod work;
