//! Forms of output. Formats and never computes: every form shows the same values.

pub mod check;
pub mod csv;
pub mod json;
pub mod stock;
#[cfg(feature = "cli")]
pub mod terminal;
