//! Borders of a piece: loops, what each is, flanges round them.

pub(crate) mod chain;
