//! Line drawings for paper, as SVG: hidden lines dashed, corners and pieces lettered, dimensions.

use maud::{Markup, html};

use crate::plan::{Build, PartPlan};

/// What a drawing shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Room on paper, in mm.
    pub width_mm: f64,
    /// Room on paper, in mm.
    pub height_mm: f64,
    /// Numbers the corners.
    pub corners: bool,
    /// Gives overall dimensions.
    pub dimensions: bool,
}

/// A build of a panel, in as many views as it takes to show every corner, drawn to one scale that is stated.
#[must_use]
pub fn of_build(_part: &PartPlan, _build: &Build, _sheet: Sheet) -> Markup {
    html! { svg {} }
}
