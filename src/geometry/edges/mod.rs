//! Borders of a piece: loops, what each is, flanges round them.
//!
//! Every loop runs with the piece on its left, seen from the outward side, and so anticlockwise about its own normal.

pub(crate) mod chain;
mod fill;
mod flange;
mod loops;
mod turning;

pub use fill::{Fill, fill};
pub use flange::{FlangeArea, flange, length_mm, square_band_m2, upstand};
pub use loops::{EdgeLoop, LoopRole, Stretch, loops};
pub use turning::{Turning, turning};

#[cfg(test)]
mod tests;
