//! What the scales said: builds as weighed, what they tell of the hand that laid them, and the plan brought into line.
//!
//! [`line`] is one build in a line of text, [`read`] a file of them; [`check`] tells what is odd about one before it is
//! kept. [`student`] and [`estimate`] are the statistics, [`ratio`] resin to glass, [`fits`] all that is fitted;
//! [`overlay`] lays the fits over stock and crew.

pub mod check;
pub mod estimate;
pub mod fits;
pub mod line;
pub mod overlay;
pub mod ratio;
pub mod read;
pub mod student;

use serde::Serialize;

use fits::Fit;
use line::Weighed;

use crate::notes::Note;

/// What a plan knows of what was weighed.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Record {
    /// Name of the file that it was read from.
    pub file: String,
    /// The fits lie over the stock; otherwise they are only told.
    pub applied: bool,
    /// Builds that count, by number.
    pub builds: Vec<Numbered>,
    /// What they tell.
    pub fits: Vec<Fit>,
    /// What is odd about them, and which figures moved.
    pub notes: Vec<Note>,
}

/// A build with its number: the line of the file that holds it, from 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Numbered {
    /// Line of the file.
    pub number: usize,
    /// The later line that replaces it, if one does: then it does not count.
    pub replaced_by: Option<usize>,
    /// What was weighed.
    #[serde(flatten)]
    pub weighed: Weighed,
}

impl Numbered {
    /// It counts: no other replaces it, and it holds more than a replacement of another.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.replaced_by.is_none() && !self.weighed.is_empty()
    }

    /// Its place in words: `record 3 (roof shell, moulding a, 2027-03-02)`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("record {} ({}, {})", self.number, self.weighed.name(), self.weighed.date)
    }
}
