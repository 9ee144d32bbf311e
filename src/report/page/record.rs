//! What the shop's scales say: the figures that were fitted to weighed builds, under the assumptions.

use maud::{Markup, html};

use super::figure::{At, count, figure};
use crate::plan::Plan;
use crate::workshop::record::fits::Fit;

/// The part of the section; nothing where nothing was weighed.
pub fn part(plan: &Plan) -> Markup {
    let Some(record) = &plan.record else { return Markup::default() };
    let fits = At::root().key("record").key("fits");
    html! {
        h3 { "What was weighed" }
        p {
            "Builds recorded in " bdi { (record.file) } ". "
            @if record.applied { "Where there are builds enough, their figures stand in the plan in place of the stock's, marked “weighed”." }
            @else { "They are left out of this plan, as was asked." }
            " Intervals hold the mean with 95 % certainty, by Student's t: builds that scatter alike and independently about one true value."
        }
        div.scroll tabindex="0" role="region" aria-label="What was weighed" {
            table {
                caption { "Figures fitted to weighed builds" }
                thead { tr {
                    th scope="col" { "Figure" }
                    th scope="col" { "Of" }
                    th.number scope="col" { "likely" }
                    th.number scope="col" { "low" }
                    th.number scope="col" { "high" }
                    th.number scope="col" { "builds" }
                    th scope="col" { "Weighed" }
                } }
                tbody { @for (index, fit) in record.fits.iter().enumerate() { (row(fit, &fits.item(index))) } }
            }
        }
    }
}

fn row(fit: &Fit, at: &At) -> Markup {
    let bound = |value: Option<f64>, key: &str| {
        html! { @match value { Some(value) => (figure(value, 3, &at.key(key))), None => "-" } }
    };
    html! {
        tr {
            th scope="row" { (fit.kind.words()) }
            td { bdi { (fit.of) } }
            td.number { (figure(fit.value, 3, &at.key("value"))) }
            td.number { (bound(fit.low, "low")) }
            td.number { (bound(fit.high, "high")) }
            td.number { (count(fit.n_builds, &at.key("n_builds"))) }
            td { (fit.from_date) @if fit.from_date != fit.to_date { " to " (fit.to_date) } }
        }
    }
}
