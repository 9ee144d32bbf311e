//! From the CAD exports of a body's panels to what a small glass-fibre shop must know before it mixes resin.
//!
//! Data goes one way, and every arrow is a plain data type:
//!
//! ```text
//! job file + meshes
//!   -> geometry   load, weld, health, skin, bending, corners, split, edges, strips
//!   -> laminate   stock, schedule, zones, coverage, thickness, mass, remedies
//!   -> workshop   needs, drops off the roll
//!   -> report     terminal, JSON, CSV
//! ```
//!
//! `geometry` knows no laminate, `laminate` knows no workshop, and nothing knows `report` but the commands. The core is
//! pure: bytes and plain data in, plain data out; no files, no clock, no printing.
//!
//! Meshes are in millimetres from the moment of loading; areas leave `geometry` in square metres. A field's name ends in
//! its unit.

pub mod maths;
pub mod nearest;
pub mod notes;
pub mod units;
pub mod watch;

pub mod geometry;
pub mod job;
pub mod laminate;
pub mod plan;
pub mod report;
pub mod workshop;

#[cfg(feature = "cli")]
pub mod commands;
