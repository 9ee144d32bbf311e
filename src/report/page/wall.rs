//! Wall sheets.

use maud::{Markup, html};

use crate::plan::Plan;

/// The section.
pub fn sheets(_plan: &Plan) -> Markup {
    html! { section id="wall" { h2 { "Wall sheets" } } }
}
