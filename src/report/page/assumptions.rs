//! Assumptions: every figure that entered, the sums behind the quantities, and what to mind.

use super::keys::with_keys;
use maud::{Markup, html};

use super::cautions;
use super::figure::{At, as_written};
use super::record;
use super::workings;
use crate::laminate::cautions::Work;
use crate::plan::Plan;
use crate::plan::figures::{UsedFigure, words_of};

/// A figure that is used in more places than this has them folded.
const MOST_PLACES: usize = 2;

/// The section.
pub fn section(plan: &Plan) -> Markup {
    html! {
        section id="assumptions" {
            h2 { "Assumptions" }
            (cautions::first_of_all())
            h3 { "Figures that entered" }
            (figures(plan))
            (record::part(plan))
            (workings::section(plan))
            h3 { "What to mind" }
            @for work in [Work::Throughout, Work::Storage, Work::Plug, Work::Release, Work::Trimming] {
                h4 { (work.words()) }
                (cautions::beside(work))
            }
            h4 { "What not to breathe" }
            (cautions::exposure(plan.limits_of))
            p { "What to mind at mixing stands beside " a href="#mixes" { "the mixes" } "." }
            p { "What to mind at wetting out and while it heats stands beside " a href="#lay-up" { "the lay-up" } "." }
        }
    }
}

fn figures(plan: &Plan) -> Markup {
    let at = At::root().key("figures");
    html! {
        div.scroll.tall tabindex="0" role="region" aria-label="Figures that entered" {
            table {
                thead { tr {
                    th scope="col" { "Of" }
                    th scope="col" { "Figure" }
                    th.number scope="col" { "likely" }
                    th.number scope="col" { "low" }
                    th.number scope="col" { "high" }
                    th scope="col" { "Unit" }
                    th scope="col" { "Mark" }
                    th scope="col" { "Source" }
                    th scope="col" { "Used in" }
                } }
                tbody { @for (index, used) in plan.figures.iter().enumerate() { (row(used, &at.item(index))) } }
            }
        }
    }
}

fn row(used: &UsedFigure, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" { bdi { (used.of) } }
            td { (words_of(&used.figure)) }
            td.number { (as_written(used.value, &at.key("value"))) }
            td.number { (as_written(used.low, &at.key("low"))) }
            td.number { (as_written(used.high, &at.key("high"))) }
            td { (used.unit) }
            td { (used.mark.words()) }
            td.source { bdi { (with_keys(&used.source)) } }
            td.places { (places(&used.used_in)) }
        }
    }
}

fn places(places: &[String]) -> Markup {
    let list = |places: &[String]| {
        html! { ul { @for place in places { li { bdi { (place) } } } } }
    };
    html! {
        @if places.len() <= MOST_PLACES { (list(places)) }
        @else { details { summary { (places.len()) " places" } (list(places)) } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_shown_as_words() {
        assert_eq!(words_of("areal_weight_g_m2"), "areal weight");
        assert_eq!(words_of("resin_per_glass"), "resin per glass");
    }
}
