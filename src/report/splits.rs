//! Where to split: what a search found, panel by panel, for every form of output.

use crate::geometry::pull::Pull;
use crate::geometry::pull::propose::Proposal;
use crate::job::split_lines;
use crate::notes::Note;

/// What was searched and found on one panel.
#[derive(Debug, Clone)]
pub struct SplitSearched {
    /// Name of the panel.
    pub name: String,
    /// Its mesh file.
    pub file: String,
    /// How it comes off in one.
    pub pull: Pull,
    /// Draft that was wanted.
    pub wanted_draft_deg: f64,
    /// Planes to split by, best first; none where the panel comes off as it is.
    pub proposals: Vec<Proposal>,
    /// Width of the flanges that a split adds, in mm.
    pub flange_mm: f64,
    /// What has to be known beside it.
    pub notes: Vec<Note>,
}

impl SplitSearched {
    /// It comes off in one with the draft that was wanted.
    #[must_use]
    pub fn needs_no_split(&self) -> bool {
        self.pull.releases && self.pull.least_draft_deg >= self.wanted_draft_deg
    }
}

/// Name for a proposed plane: its own if it was marked, otherwise a number.
#[must_use]
pub fn plane_name(marked: Option<&str>, number: usize) -> String {
    marked.map_or_else(|| format!("split {}", number + 1), str::to_owned)
}

/// The lines of a job file that split a mould as a proposal says.
#[must_use]
pub fn job_lines(proposal: &Proposal) -> String {
    let planes = proposal.planes.iter().enumerate();
    let lines = planes.map(|(number, (name, plane))| split_lines(&plane_name(name.as_deref(), number), "mould", plane));
    lines.collect::<Vec<_>>().join("\n")
}
