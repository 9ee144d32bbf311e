//! The document of `measure`.

use std::io::{self, Write};

use serde::Serialize;

use super::pull::{AdviceEntry, PullEntry};
use super::{CornerEntry, ErrorEntry, PointEntry, triple, write};
use crate::geometry::load::LoadFault;
use crate::geometry::part::Health;
use crate::geometry::skin::{Skin, SkinKind};
use crate::geometry::survey::Survey;
use crate::notes::Note;

#[derive(Serialize)]
struct Document<'a> {
    parts: Vec<PartEntry<'a>>,
    errors: Vec<ErrorEntry<'a>>,
}

#[derive(Serialize)]
struct PartEntry<'a> {
    name: &'a str,
    file: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    object: Option<&'a str>,
    index: usize,
    units: &'static str,
    mesh: Health,
    notes: Vec<&'a Note>,
    size_mm: [f64; 3],
    area_m2: f64,
    volume_m3: Option<f64>,
    centroid_mm: [f64; 3],
    skin: SkinEntry,
    corners: Vec<CornerEntry<'a>>,
    points: Vec<PointEntry<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pull: Option<PullEntry>,
    #[serde(skip_serializing_if = "Option::is_none")]
    split: Option<AdviceEntry>,
}

/// A skin as documents show it.
#[derive(Serialize)]
struct SkinEntry {
    kind: SkinKind,
    wall_mm: Option<f64>,
    wall_min_mm: Option<f64>,
    wall_max_mm: Option<f64>,
    wall_at_joints_mm: Option<f64>,
    wall_chord_mm: Option<f64>,
    outside_m2: f64,
    inside_m2: f64,
    rim_m2: f64,
    doubtful: bool,
}

impl From<&Skin> for SkinEntry {
    fn from(skin: &Skin) -> Self {
        Self {
            kind: skin.kind,
            wall_mm: skin.wall_mm,
            wall_min_mm: skin.wall_min_mm,
            wall_max_mm: skin.wall_max_mm,
            wall_at_joints_mm: skin.wall_at_joints_mm,
            wall_chord_mm: skin.wall_chord_mm,
            outside_m2: skin.outside_m2,
            inside_m2: skin.inside_m2,
            rim_m2: skin.rim_m2,
            doubtful: skin.doubtful,
        }
    }
}

impl<'a> From<&'a Survey> for PartEntry<'a> {
    fn from(survey: &'a Survey) -> Self {
        let part = &survey.part;
        Self {
            name: &part.name,
            file: &part.file,
            object: part.object.as_deref(),
            index: part.index,
            units: part.unit.symbol(),
            mesh: part.health,
            notes: survey.notes().collect(),
            size_mm: survey.bounds.size_mm().into(),
            area_m2: survey.area_m2,
            volume_m3: survey.volume_m3,
            centroid_mm: triple(&survey.centroid_mm),
            skin: (&survey.skin).into(),
            corners: survey.listed.corners.iter().map(Into::into).collect(),
            points: survey.listed.points.iter().map(Into::into).collect(),
            pull: survey.pull.as_ref().map(Into::into),
            split: survey.split.as_ref().map(Into::into),
        }
    }
}

/// Writes the document of `measure`.
///
/// # Errors
/// If `out` cannot be written.
pub fn measure(surveys: &[Survey], faults: &[LoadFault], out: &mut dyn Write) -> io::Result<()> {
    let document =
        Document { parts: surveys.iter().map(Into::into).collect(), errors: faults.iter().map(Into::into).collect() };
    write(&document, out)
}
