//! Supplier's sheets.

use maud::{Markup, html};

use crate::plan::Plan;

/// The section.
pub fn sheets(_plan: &Plan) -> Markup {
    html! { section id="supplier" { h2 { "Supplier's sheets" } } }
}
