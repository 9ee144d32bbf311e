//! JSON documents: structs of their own, so that inner types may change while the documents keep their shape.

use std::io::{self, Write};

use serde::Serialize;

use crate::geometry::corners::{Bends, Corner, CornerPoint, PointKind};
use crate::geometry::load::LoadFault;
use crate::geometry::mesh::{Point, Vector};
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

/// A corner as documents show it.
#[derive(Serialize)]
pub struct CornerEntry<'a> {
    id: &'a str,
    radius_mm: f64,
    radius_mean_mm: f64,
    turn_deg: f64,
    length_mm: f64,
    bends: Bends,
    sharp: bool,
    midpoint_mm: [f64; 3],
    path_mm: Vec<[f64; 3]>,
}

#[derive(Serialize)]
struct PointEntry<'a> {
    at_mm: [f64; 3],
    radius_mm: f64,
    kind: PointKind,
    corners: &'a [String],
}

/// What could not be used, as documents show it.
#[derive(Serialize)]
pub struct ErrorEntry<'a> {
    file: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    object: Option<&'a str>,
    message: &'a str,
    remedy: &'a str,
}

impl<'a> From<&'a LoadFault> for ErrorEntry<'a> {
    fn from(fault: &'a LoadFault) -> Self {
        Self { file: &fault.file, object: fault.object.as_deref(), message: &fault.message, remedy: &fault.remedy }
    }
}

impl<'a> From<&'a Corner> for CornerEntry<'a> {
    fn from(corner: &'a Corner) -> Self {
        Self {
            id: &corner.id,
            radius_mm: corner.radius_mm,
            radius_mean_mm: corner.radius_mean_mm,
            turn_deg: corner.turn_deg,
            length_mm: corner.length_mm,
            bends: corner.bends,
            sharp: corner.sharp,
            midpoint_mm: triple(&corner.midpoint_mm()),
            path_mm: corner.path.iter().map(|station| triple(&station.at_mm)).collect(),
        }
    }
}

impl<'a> From<&'a CornerPoint> for PointEntry<'a> {
    fn from(point: &'a CornerPoint) -> Self {
        Self { at_mm: triple(&point.at_mm), radius_mm: point.radius_mm, kind: point.kind, corners: &point.corners }
    }
}

impl<'a> From<&'a Survey> for PartEntry<'a> {
    fn from(survey: &'a Survey) -> Self {
        let part = &survey.part;
        let size: Vector = survey.bounds.size_mm();
        Self {
            name: &part.name,
            file: &part.file,
            object: part.object.as_deref(),
            index: part.index,
            units: part.unit.symbol(),
            mesh: part.health,
            notes: survey.notes().collect(),
            size_mm: size.into(),
            area_m2: survey.area_m2,
            volume_m3: survey.volume_m3,
            centroid_mm: triple(&survey.centroid_mm),
            skin: (&survey.skin).into(),
            corners: survey.listed.corners.iter().map(Into::into).collect(),
            points: survey.listed.points.iter().map(Into::into).collect(),
        }
    }
}

fn triple(point: &Point) -> [f64; 3] {
    [point.x, point.y, point.z]
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

fn write(document: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, document).map_err(io::Error::from)?;
    writeln!(out)
}
