//! Panel by panel.

use maud::{Markup, html};

use crate::plan::Plan;
use crate::report::stills::Still;

/// The section.
pub fn section(_plan: &Plan, _stills: &[Still]) -> Markup {
    html! { section id="panels" { h2 { "Panel by panel" } } }
}
