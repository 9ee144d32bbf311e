//! Panel by panel.

use maud::{Markup, html};

use crate::geometry::survey::Survey;
use crate::report::stills::Still;

/// The section.
pub fn section(_surveys: &[Survey], _stills: &[Still]) -> Markup {
    html! { section id="panels" { h2 { "Panel by panel" } } }
}
