//! JSON documents: structs of their own, so that inner types may change while the documents keep their shape.

use std::io::{self, Write};

use serde::Serialize;

use crate::geometry::corners::{Bends, Corner, CornerPoint, PointKind};
use crate::geometry::load::LoadFault;
use crate::geometry::mesh::Point;

mod builds;
mod measure;
mod order;
mod plan;
mod pull;
mod rough;
mod splits;
mod takes;

pub use measure::measure;
pub use plan::{plan, refused_plan};
pub use splits::splits;

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

fn triple(point: &Point) -> [f64; 3] {
    [point.x, point.y, point.z]
}

pub(super) fn write(document: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, document).map_err(io::Error::from)?;
    writeln!(out)
}
