//! Forms of output. Formats and never computes: every form shows the same values.

pub mod json;
#[cfg(feature = "cli")]
pub mod terminal;
