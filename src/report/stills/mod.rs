//! Still pictures of panels, without a display and the same to the last byte everywhere.

use crate::geometry::survey::Survey;
use crate::plan::Plan;

/// One picture of one panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Still {
    /// Number of the panel, in the order of the plan or of the files.
    pub panel: usize,
    /// From where it is seen, in a word.
    pub view: &'static str,
    /// Where it is kept, under the folder of the plan: `stills/...png`.
    pub file: String,
    /// What is to be seen, for those who cannot.
    pub alt: String,
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// The picture as PNG.
    pub png: Vec<u8>,
}

/// The pictures of every panel of a plan.
#[must_use]
pub fn of_plan(_plan: &Plan) -> Vec<Still> {
    Vec::new()
}

/// The pictures of measured panels.
#[must_use]
pub fn of_surveys(_surveys: &[Survey]) -> Vec<Still> {
    Vec::new()
}
