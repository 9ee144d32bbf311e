//! At a glance.

use maud::{Markup, html};

use crate::plan::Plan;
use crate::report::stills::Still;

/// The section.
pub fn section(_plan: &Plan, _stills: &[Still]) -> Markup {
    html! { section id="glance" { h2 { "At a glance" } } }
}
