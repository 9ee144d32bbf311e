//! From areas to plies, glass, resin, thickness and mass. Only `coverage` sees facets; the rest takes numbers.
//!
//! In reading order: [`figure`] is a number that knows where it comes from; [`stock`] holds the materials, [`schedule`]
//! says what is laid in which order.

pub mod error;
pub mod figure;
pub mod schedule;
pub mod stock;

pub use error::LaminateError;
