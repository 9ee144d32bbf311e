//! Where to split: what a search found, panel by panel, for every form of output.

use crate::geometry::pull::Pull;
use crate::geometry::pull::propose::{Found, Proposal};
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
    /// Only the direction that the job gives locks.
    pub freed_otherwise: bool,
    /// Draft that was asked for, if it was.
    pub asked_draft_deg: Option<f64>,
    /// How many planes were allowed.
    pub n_planes: usize,
    /// Planes to split by, best first; none where the panel comes off as it is.
    pub found: Found,
    /// Width of the flanges that a split adds, in mm.
    pub flange_mm: f64,
    /// What has to be known beside it.
    pub notes: Vec<Note>,
}

impl SplitSearched {
    /// It comes off in one, with the draft that was asked for.
    #[must_use]
    pub fn needs_no_split(&self) -> bool {
        self.pull.releases && self.asked_draft_deg.is_none_or(|asked_deg| self.pull.least_draft_deg >= asked_deg)
    }

    /// The draft of the best proposal that comes off, less that of the panel in one.
    #[must_use]
    pub fn gain_deg(&self) -> Option<f64> {
        let best = self.found.proposals.first().filter(|best| best.releases && self.pull.releases)?;
        Some(best.least_draft_deg - self.pull.least_draft_deg)
    }

    /// With what the search comes to, where a person has to decide, before its other notes.
    #[must_use]
    pub fn judged(mut self) -> Self {
        let verdict = self.verdict();
        self.notes.splice(0..0, verdict);
        self
    }

    fn verdict(&self) -> Vec<Note> {
        if self.needs_no_split() {
            return Vec::new();
        }
        let frees = self.found.proposals.first().filter(|best| best.releases);
        let found = match (frees, self.asked_draft_deg) {
            // Another direction frees it in one, which is told, and no split gives more draft than that.
            (None, _) if self.freed_otherwise => None,
            (None, _) if !self.pull.releases => Some(self.nothing_frees()),
            (None, _) => Some(self.short_of(self.pull.least_draft_deg)),
            (Some(best), Some(asked_deg)) if best.least_draft_deg < asked_deg => {
                Some(self.short_of(best.least_draft_deg.max(self.pull.least_draft_deg)))
            }
            _ => None,
        };
        found.into_iter().chain(self.pairs_left_out()).collect()
    }

    fn nothing_frees(&self) -> Note {
        let (planes, remedy) = if self.n_planes > 1 {
            ("no one or two planes that were", OTHER_WAYS)
        } else {
            ("no plane that was", TRY_TWO)
        };
        Note::warning("no-split-found", format!("{planes} tried frees every piece of the mould"), remedy)
    }

    fn short_of(&self, best_deg: f64) -> Note {
        let asked_deg = self.asked_draft_deg.unwrap_or(0.0);
        let gain_deg = (best_deg - self.pull.least_draft_deg).max(0.0);
        let remedy = if self.n_planes > 1 {
            "lean the walls in the drawing: only that gives more draft"
        } else {
            "try --planes 2, or lean the walls in the drawing"
        };
        Note::info(
            "less-draft-than-asked",
            format!(
                "no split that was tried gives {asked_deg} degrees of draft; at best it is {best_deg:.1}, {gain_deg:.1} more than in one"
            ),
            remedy,
        )
    }

    fn pairs_left_out(&self) -> Option<Note> {
        let (tried, of) = self.found.pairs_begun.filter(|(tried, of)| tried < of)?;
        Some(Note::info(
            "pairs-left-out",
            format!("the mesh is large: of {of} first planes {tried} were tried with a second"),
            "export coarser to have all of them tried",
        ))
    }
}

const TRY_TWO: &str =
    "try --planes 2; else take out what holds, or make the plug so that it can be broken out of the mould";
const OTHER_WAYS: &str = "take out of the shape what holds, make the plug so that it can be broken out of the mould, or cut the panel in the drawing into simpler ones that are joined later";

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
