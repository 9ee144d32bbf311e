//! How a mould comes off, as documents show it.

use serde::Serialize;

use super::splits::ProposalEntry;
use super::triple;
use crate::geometry::pull::{Blocker, Patch, Pull, SplitAdvice};
use crate::laminate::release::{Answer, Hands, Peel};
use crate::plan::{Flat, Release};

/// A pull.
#[derive(Serialize)]
pub struct PullEntry {
    direction: [f64; 3],
    given: bool,
    releases: bool,
    least_draft_deg: f64,
    draft_error_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    finer_chord_mm: Option<f64>,
    left_out_m2: f64,
    wanted_draft_deg: f64,
    under_wanted_m2: f64,
    undercut_m2: f64,
    undercut_clipped_m2: f64,
    shadowed_m2: f64,
    undercuts: Vec<PatchEntry>,
    blocking: Vec<BlockingEntry>,
}

/// A patch that locks.
#[derive(Serialize)]
struct PatchEntry {
    area_m2: f64,
    at_mm: [f64; 3],
    least_mm: [f64; 3],
    most_mm: [f64; 3],
    depth_mm: f64,
    height_mm: f64,
    mean_draft_deg: f64,
    noise: bool,
}

/// A facet of those that block one another.
#[derive(Serialize)]
struct BlockingEntry {
    at_mm: [f64; 3],
    normal: [f64; 3],
}

/// How a build comes off and is handled.
#[derive(Serialize)]
pub struct ReleaseEntry {
    answer: Answer,
    #[serde(skip_serializing_if = "Option::is_none")]
    peel: Option<Peel>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    mould_parts: Vec<String>,
    near_zero_draft_deg: f64,
    near_zero_m2: f64,
    tight_walls: Vec<PatchEntry>,
    n_wedges: usize,
    wedges_mm: Vec<[f64; 3]>,
    n_ports: usize,
    ports_mm: Vec<[f64; 3]>,
    lifted_by: Hands,
    lifted_kg: f64,
    flat: Option<Flat>,
    #[serde(skip_serializing_if = "Option::is_none")]
    split: Option<AdviceEntry>,
}

/// Where to split what locks, or what has less draft than is wanted.
#[derive(Serialize)]
pub struct AdviceEntry {
    for_draft: bool,
    flange_mm: f64,
    proposals: Vec<ProposalEntry>,
}

impl From<&SplitAdvice> for AdviceEntry {
    fn from(advice: &SplitAdvice) -> Self {
        let flange_mm = advice.flange_mm;
        let proposals = advice.proposals.iter().map(|proposal| ProposalEntry::of(proposal, flange_mm));
        Self { for_draft: advice.for_draft, flange_mm, proposals: proposals.collect() }
    }
}

impl From<&Release> for ReleaseEntry {
    fn from(release: &Release) -> Self {
        Self {
            answer: release.answer,
            peel: release.peel,
            mould_parts: release.mould_parts.clone(),
            near_zero_draft_deg: release.near_zero_draft_deg,
            near_zero_m2: release.near_zero_m2,
            tight_walls: release.tight_walls.iter().map(Into::into).collect(),
            n_wedges: release.wedges_mm.len(),
            wedges_mm: release.wedges_mm.iter().map(triple).collect(),
            n_ports: release.ports_mm.len(),
            ports_mm: release.ports_mm.iter().map(triple).collect(),
            lifted_by: release.hands,
            lifted_kg: release.lifted_kg,
            flat: release.flat,
            split: release.split.as_ref().map(Into::into),
        }
    }
}

impl From<&Pull> for PullEntry {
    fn from(pull: &Pull) -> Self {
        Self {
            direction: pull.direction.into(),
            given: pull.given,
            releases: pull.releases,
            least_draft_deg: pull.least_draft_deg,
            draft_error_deg: pull.draft_error.error_deg,
            finer_chord_mm: pull.draft_error.finer_mm,
            left_out_m2: pull.left_out_m2,
            wanted_draft_deg: pull.wanted_draft_deg,
            under_wanted_m2: pull.undercut.under_wanted_m2,
            undercut_m2: pull.undercut.by_facets_m2,
            undercut_clipped_m2: pull.undercut.clipped_m2,
            shadowed_m2: pull.hidden_m2,
            undercuts: pull.undercuts.iter().map(Into::into).collect(),
            blocking: pull.blocking.iter().map(Into::into).collect(),
        }
    }
}

impl From<&Patch> for PatchEntry {
    fn from(patch: &Patch) -> Self {
        Self {
            area_m2: patch.area_m2,
            at_mm: triple(&patch.at_mm),
            least_mm: triple(&patch.bounds.least),
            most_mm: triple(&patch.bounds.most),
            depth_mm: patch.depth_mm,
            height_mm: patch.height_mm,
            mean_draft_deg: patch.mean_draft_deg,
            noise: patch.noise,
        }
    }
}

impl From<&Blocker> for BlockingEntry {
    fn from(blocker: &Blocker) -> Self {
        Self { at_mm: triple(&blocker.at_mm), normal: blocker.unit_normal.into() }
    }
}
