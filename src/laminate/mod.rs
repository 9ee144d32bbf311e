//! From areas to plies, glass, resin, thickness and mass. Only `coverage` sees facets; the rest takes numbers.
//!
//! In reading order: [`figure`] is a number that knows where it comes from; [`materials`] are what a [`stock`] holds,
//! [`schedule`] says what is laid in which order. [`ply`], [`cure`] and [`gel`] are the formulas; [`plies`] expands a schedule,
//! [`lay_up`] reckons a piece from its areas. [`remedies`] says what to do at a corner, [`coverage`] what lies on which facet, [`warnings`] and
//! [`cautions`] what to mind, [`exposure`] what not to breathe; [`workings`] holds the sums behind the quantities; [`properties`] and [`stages`] are for comparing lay-ups and laying them in goes.

pub mod cautions;
pub mod coverage;
pub mod cure;
pub mod error;
pub mod exposure;
pub mod figure;
pub mod gel;
pub mod lamina;
pub mod lay_up;
mod lay_up_workings;
pub mod materials;
pub mod plies;
pub mod ply;
pub mod properties;
pub mod release;
pub mod remedies;
pub mod schedule;
pub mod stages;
pub mod stock;
pub mod theory;
pub mod warnings;
pub mod workings;

pub use error::LaminateError;
