//! Forms of output. Formats and never computes: every form shows the same values.

pub mod check;
pub mod compare;
pub mod csv;
pub mod drawing;
pub mod glb;
pub mod json;
pub mod page;
pub mod scene;
pub mod splits;
pub mod stills;
pub mod stock;
#[cfg(feature = "cli")]
pub mod terminal;
mod thin;
pub mod weighed;
