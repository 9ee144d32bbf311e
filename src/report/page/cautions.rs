//! Cautions beside the work they belong to.

use maud::{Markup, html};

use super::figure::{At, as_written};
use crate::laminate::cautions::{Caution, FIRST_OF_ALL, Work, at};
use crate::laminate::exposure::{Limit, LimitsOf, limits, without_limit};

/// The sentence that comes before all others.
pub fn first_of_all() -> Markup {
    html! { p.first-of-all { strong { (FIRST_OF_ALL) } } }
}

/// What to mind at some work, with where it comes from.
pub fn beside(work: Work) -> Markup {
    beside_these(work, |_| true)
}

/// The same, of what concerns the materials at hand.
pub fn beside_these(work: Work, concerns: impl Fn(&Caution) -> bool) -> Markup {
    html! {
        aside.cautions aria-label={ "Cautions: " (work.words()) } {
            ul { @for caution in at(work).filter(|caution| concerns(caution)) { li { (entry(caution)) } } }
        }
    }
}

/// The limits of exposure by a body, or by all of them.
pub fn exposure(of: Option<LimitsOf>) -> Markup {
    let at = At::root().key("exposure_limits");
    let missing = without_limit(of);
    html! {
        p {
            "Limits in the air at work, to show the size of the danger. They differ by country and change: find out which hold \
             where you are."
            @if of.is_none() { " One body alone is shown by " code { "limits_of" } " in the job." }
            @if !missing.is_empty() { " No limit of this body is held here for " (missing.join(", ")) ": that is no leave to breathe it." }
        }
        div.scroll tabindex="0" role="region" aria-label="Limits of exposure" {
            table {
                thead { tr {
                    th scope="col" { "In the air" }
                    th scope="col" { "By" }
                    th.number scope="col" { "Mean of 8 h" }
                    th.number scope="col" { "of 15 min" }
                    th.number scope="col" { "Never over" }
                    th scope="col" { "Unit" }
                    th scope="col" { "Remark" }
                    th scope="col" { "Mark" }
                    th scope="col" { "Source" }
                } }
                tbody { @for (index, limit) in limits(of).iter().enumerate() { (limit_row(limit, &at.item(index))) } }
            }
        }
    }
}

fn limit_row(limit: &Limit, at: &At) -> Markup {
    let value =
        |key: &str, value: Option<f64>| html! { @if let Some(value) = value { (as_written(value, &at.key(key))) } };
    html! {
        tr {
            th scope="row" { (limit.substance) }
            td { (limit.of.words()) }
            td.number { (value("mean_8h", limit.mean_8h)) }
            td.number { (value("mean_15min", limit.mean_15min)) }
            td.number { (value("ceiling", limit.ceiling)) }
            td { (limit.unit) }
            td { (limit.remark) }
            td { (limit.mark) }
            td.source { (limit.source) }
        }
    }
}

fn entry(caution: &Caution) -> Markup {
    html! {
        b { (capital(caution.about)) ". " } (caution.text)
        " " span.quiet { "(" (caution.source) "; " (caution.mark) ")" }
    }
}

pub(super) fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
