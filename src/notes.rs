//! What the user has to know beside a result: values that travel with it, so that every output can show them.

use serde::{Deserialize, Serialize};

/// How much a note asks of the reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// Good to know; nothing to do.
    Info,
    /// The result stands, but a person should look.
    Warning,
    /// What was asked for was not delivered.
    Error,
}

/// One message: what, where and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Note {
    /// How much the note asks of the reader.
    pub level: Level,
    /// Short, stable, in words joined by hyphens, for programs (`duplicate-triangles`).
    pub code: String,
    /// What was found and where, with counts and units.
    pub message: String,
    /// What to do about it; empty if there is nothing to do.
    pub remedy: String,
}

impl Note {
    /// A note of the given level.
    pub fn new(level: Level, code: &str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { level, code: code.to_owned(), message: message.into(), remedy: remedy.into() }
    }

    /// A note that asks for nothing.
    pub fn info(code: &str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Level::Info, code, message, remedy)
    }

    /// A note that a person should look at.
    pub fn warning(code: &str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Level::Warning, code, message, remedy)
    }

    /// A note about something that was not delivered.
    pub fn error(code: &str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(Level::Error, code, message, remedy)
    }
}
