//! From a job and its meshes to one plan. Every figure in it is computed once, and every output shows it from here.
//!
//! [`panel`] plans one panel from its mesh and its entry in the job, [`piece`] one piece of one build of it ([`borders`],
//! [`corners`], [`zones`]); [`gather`] adds the panels up; [`figures`] lists
//! what they rest on and [`decisions`] what a builder has to settle; [`older`] tells what moved since an earlier plan.

pub mod beside;
pub mod blocking;
pub mod borders;
pub mod corners;
pub mod cures;
pub mod decisions;
pub mod figures;
pub mod gather;
mod lifting;
pub mod older;
pub mod order;
pub mod panel;
pub mod piece;
pub mod release;
pub mod rough;
mod takes;
pub mod together;
mod types;
pub mod work;
pub mod zones;

pub use cures::CureFigures;
pub use release::{Flat, Release};
pub use together::{PlyTogether, Together};
pub use types::*;
