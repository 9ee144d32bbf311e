//! The lay-up drawn.

use maud::{Markup, html};

use crate::plan::Plan;

/// The section.
pub fn section(_plan: &Plan) -> Markup {
    html! { section id="lay-up" { h2 { "The lay-up drawn" } } }
}
