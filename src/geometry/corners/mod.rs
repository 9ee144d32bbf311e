//! Corners: where the skin bends about an axis within a short width. See [`Corner`].

use super::mesh::Point;

/// Which way a corner bends, seen from the outward side of the facets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bends {
    /// Convex, as the outside of a box.
    Outward,
    /// Concave, as the inside of a tray.
    Inward,
}

/// One place along a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Mid-arc point on the surface.
    pub at_mm: Point,
    /// Radius of the section here; 0 on a sharp edge.
    pub radius_mm: f64,
    /// Angle through which the section turns here.
    pub turn_deg: f64,
}

/// A bend about an axis, from one of its ends to the other, with figures from plane sections square to the axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Stable from run to run and independent of the filters: `c1`, `c2`, ...
    pub id: String,
    /// Smallest radius along it; 0 if sharp.
    pub radius_mm: f64,
    /// Length-weighted mean radius; 0 if sharp.
    pub radius_mean_mm: f64,
    /// Median turn over its sections.
    pub turn_deg: f64,
    /// Length of the path.
    pub length_mm: f64,
    /// Which way it bends.
    pub bends: Bends,
    /// An edge without a radius.
    pub sharp: bool,
    /// The path, end to end; a closed one repeats its first point.
    pub path: Vec<Station>,
}

/// What kind of point it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PointKind {
    /// Tip of a cone.
    Apex,
    /// Part of a ball.
    Ball,
    /// Corners meet here.
    Meeting,
}

/// A point at which the skin bends both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerPoint {
    /// Where.
    pub at_mm: Point,
    /// 0 at an apex, a ball's own radius, the least radius of the corners that meet.
    pub radius_mm: f64,
    /// What it is.
    pub kind: PointKind,
    /// Ids of the corners that end here.
    pub corners: Vec<String>,
}

impl Corner {
    /// The point half way along the path.
    #[must_use]
    pub fn midpoint_mm(&self) -> Point {
        let length: f64 = self.path.windows(2).map(|pair| (pair[1].at_mm - pair[0].at_mm).norm()).sum();
        let mut left = 0.5 * length;
        for pair in self.path.windows(2) {
            let step = pair[1].at_mm - pair[0].at_mm;
            let step_length = step.norm();
            if step_length >= left && step_length > 0.0 {
                return pair[0].at_mm + step * (left / step_length);
            }
            left -= step_length;
        }
        self.path.last().map_or(Point::origin(), |station| station.at_mm)
    }
}
