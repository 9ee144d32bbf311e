//! Shapes made in code, and files written from them.
#![allow(dead_code, reason = "each test file uses some of it")]

pub mod by_hand;
pub mod files;
pub mod program;
pub mod ribbed;
pub mod shapes;
pub mod solids;
