//! The job file: what the builder asks for, in TOML.
//!
//! [`types`] and [`choices`] say what may stand in it, [`schema`] says the same to an editor, [`read`] makes a [`Job`] of
//! a text or tells every fault with its line, [`resolve`] says what it means for each part. [`source`] remembers where
//! everything stands, so that checks that need the meshes can point at the line too.

pub mod choices;
pub mod fault;
mod form;
#[cfg(feature = "cli")]
pub mod frames;
pub mod marks;
mod meaning;
mod ordering;
pub mod panels;
mod places;
pub mod read;
pub mod resolve;
pub mod schema;
pub mod source;
mod split_lines;
pub mod starter;
pub mod twins;
pub mod types;
mod words;

pub use choices::{Base, BaseWord, Choice, Direction, Face, FaceSide, Outward, Winding};
pub use fault::{Fault, JobError, JobErrors};
pub use panels::{Panel, panels_of};
pub use read::read;
pub use resolve::Shelf;
pub use schema::schema;
pub use source::Source;
pub use split_lines::split_lines;
pub use starter::{Added, Start, add, starter};
pub use types::{Edge, EdgeKind, Job, JobPart, Split, SplitOf, SplitPlane};
