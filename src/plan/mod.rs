//! From a job and its meshes to one plan. Every figure in it is computed once, and every output shows it from here.
//!
//! [`panel`] plans one panel from its part and its entry in the job; [`gather`] adds the panels up.

mod types;

pub use types::*;
