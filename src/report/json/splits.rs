//! The document of `splits`.

use std::io::{self, Write};

use serde::Serialize;

use super::pull::PullEntry;
use super::{ErrorEntry, triple, write};
use crate::geometry::load::LoadFault;
use crate::geometry::pull::propose::{Proposal, ProposedPiece};
use crate::notes::Note;
use crate::report::splits::{SplitSearched, job_lines, plane_name};

#[derive(Serialize)]
struct Document<'a> {
    parts: Vec<PartEntry<'a>>,
    errors: Vec<ErrorEntry<'a>>,
}

#[derive(Serialize)]
struct PartEntry<'a> {
    name: &'a str,
    file: &'a str,
    pull: PullEntry,
    asked_draft_deg: Option<f64>,
    needs_no_split: bool,
    gain_deg: Option<f64>,
    first_planes_tried: Option<usize>,
    first_planes: Option<usize>,
    flange_mm: f64,
    proposals: Vec<ProposalEntry>,
    notes: &'a [Note],
}

/// A proposal as documents show it.
#[derive(Serialize)]
pub(super) struct ProposalEntry {
    planes: Vec<PlaneEntry>,
    releases: bool,
    least_draft_deg: f64,
    pieces: Vec<PieceEntry>,
    cut_length_mm: f64,
    flanges_m2: f64,
    job_lines: String,
}

#[derive(Serialize)]
struct PlaneEntry {
    name: String,
    marked: bool,
    point_mm: [f64; 3],
    normal: [f64; 3],
}

#[derive(Serialize)]
struct PieceEntry {
    name: String,
    area_m2: f64,
    comes_off: bool,
    pull: PullEntry,
}

impl ProposalEntry {
    pub(super) fn of(proposal: &Proposal, flange_mm: f64) -> Self {
        let planes = || proposal.planes.iter().enumerate();
        Self {
            planes: planes()
                .map(|(number, (name, plane))| PlaneEntry {
                    name: plane_name(name.as_deref(), number),
                    marked: name.is_some(),
                    point_mm: triple(&plane.point_mm),
                    normal: plane.unit_normal.into(),
                })
                .collect(),
            releases: proposal.releases,
            least_draft_deg: proposal.least_draft_deg,
            pieces: proposal.pieces.iter().map(Into::into).collect(),
            cut_length_mm: proposal.cut_length_mm,
            flanges_m2: proposal.flanges_m2(flange_mm),
            job_lines: job_lines(proposal),
        }
    }
}

impl From<&ProposedPiece> for PieceEntry {
    fn from(piece: &ProposedPiece) -> Self {
        Self {
            name: piece.name.clone(),
            area_m2: piece.area_m2,
            comes_off: piece.comes_off(),
            pull: (&piece.pull).into(),
        }
    }
}

impl<'a> From<&'a SplitSearched> for PartEntry<'a> {
    fn from(searched: &'a SplitSearched) -> Self {
        let flange_mm = searched.flange_mm;
        Self {
            name: &searched.name,
            file: &searched.file,
            pull: (&searched.pull).into(),
            asked_draft_deg: searched.asked_draft_deg,
            needs_no_split: searched.needs_no_split(),
            gain_deg: searched.gain_deg(),
            first_planes_tried: searched.found.pairs_begun.map(|(tried, _)| tried),
            first_planes: searched.found.pairs_begun.map(|(_, of)| of),
            flange_mm,
            proposals: searched.found.proposals.iter().map(|proposal| ProposalEntry::of(proposal, flange_mm)).collect(),
            notes: &searched.notes,
        }
    }
}

/// Writes the document of `splits`.
///
/// # Errors
/// If `out` cannot be written.
pub fn splits(searched: &[SplitSearched], faults: &[LoadFault], out: &mut dyn Write) -> io::Result<()> {
    write(
        &Document { parts: searched.iter().map(Into::into).collect(), errors: faults.iter().map(Into::into).collect() },
        out,
    )
}
