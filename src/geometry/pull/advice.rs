//! Where a face that locks, or that has less draft than is wanted, could be split, with the flanges that it would take.

use super::Pull;
use super::facing::Face;
use super::propose::{Proposal, SplitSearch, propose};

/// Planes of a proposal that goes with a plan. A second plane takes several times as long, and is searched on request.
const N_PLANES: usize = 1;
/// Proposals that are kept, and of those that only give more draft.
const MOST: usize = 3;
const MOST_FOR_DRAFT: usize = 2;
/// A split of what comes off in one is worth telling from so much more draft on, in degrees: a split costs two flanges and a
/// joint line, and drafts are told to a tenth.
const GAIN_DEG: f64 = 0.5;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitAsked {
    /// Draft that every wall ought to have.
    pub wanted_draft_deg: f64,
    /// Width of the flanges along a split, in mm.
    pub flange_mm: f64,
}

/// What was found.
#[derive(Debug, Clone)]
pub struct SplitAdvice {
    /// It comes off in one, and was searched for more draft.
    pub for_draft: bool,
    /// Width of the flanges along a split, in mm.
    pub flange_mm: f64,
    /// Planes to split by, best first.
    pub proposals: Vec<Proposal>,
}

impl SplitAsked {
    /// Searches planes that free a face which locks, or give one that comes off more draft; a million facets take seconds.
    #[must_use]
    pub fn advice(&self, face: &Face<'_>, in_one: &Pull) -> SplitAdvice {
        let for_draft = in_one.releases;
        let (enough_deg, least_deg, most) = if for_draft {
            (self.wanted_draft_deg, in_one.least_draft_deg + GAIN_DEG, MOST_FOR_DRAFT)
        } else {
            (-90.0, -90.0, MOST)
        };
        let wanted_draft_deg = self.wanted_draft_deg;
        let search = SplitSearch { n_planes: N_PLANES, wanted_draft_deg, enough_deg, least_deg, most };
        let mut proposals = propose(face, &[], &search).proposals;
        proposals.retain(|proposal| !for_draft || proposal.releases);
        SplitAdvice { for_draft, flange_mm: self.flange_mm, proposals }
    }

    /// Whether a pull wants for a split: it locks, or has less draft than is wanted by enough to be gained.
    #[must_use]
    pub fn is_for(&self, in_one: &Pull) -> bool {
        !in_one.releases || in_one.least_draft_deg + GAIN_DEG <= self.wanted_draft_deg
    }
}
