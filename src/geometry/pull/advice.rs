//! Where a face that locks could be split, with the flanges that it would take.

use super::propose::{Proposal, SplitSearch, propose};
use crate::geometry::stitch::Surface;

/// Planes of a proposal that goes with a plan. A second plane takes several times as long, and is searched on request.
const N_PLANES: usize = 1;
/// Proposals that are kept.
const MOST: usize = 3;

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
    /// Width of the flanges along a split, in mm.
    pub flange_mm: f64,
    /// Planes to split by, best first.
    pub proposals: Vec<Proposal>,
}

impl SplitAsked {
    /// Searches planes; a million facets take seconds.
    #[must_use]
    pub fn advice(&self, surface: &Surface<'_>) -> SplitAdvice {
        let search =
            SplitSearch { n_planes: N_PLANES, wanted_draft_deg: self.wanted_draft_deg, enough_deg: -90.0, most: MOST };
        SplitAdvice { flange_mm: self.flange_mm, proposals: propose(surface, &[], &search).proposals }
    }
}
