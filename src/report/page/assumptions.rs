//! Assumptions.

use maud::{Markup, html};

use crate::plan::Plan;

/// The section.
pub fn section(_plan: &Plan) -> Markup {
    html! { section id="assumptions" { h2 { "Assumptions" } } }
}
