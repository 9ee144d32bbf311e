//! Pictures of whole panels.
