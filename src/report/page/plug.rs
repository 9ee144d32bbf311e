//! The plug: what it takes, as ranges with what they rest on.

use super::keys::with_keys;
use maud::{Markup, html};

use super::cautions;
use super::figure::{At, count, figure, fine, spread};
use super::workings::line;
use crate::laminate::cautions::Work;
use crate::plan::Plan;
use crate::workshop::takes::PlugWork;

/// The section.
pub fn section(plan: &Plan) -> Markup {
    let at = At::root().key("takes").key("plugs");
    html! {
        section id="plug" {
            h2 { "The plug" }
            @if plan.takes.plugs.is_empty() { p { "No mould is built, so that no plug is reckoned." } }
            @else {
                p { "What one plug takes, from its skin. Such amounts hang on the hand and on how rough the plug is: low and high "
                    "stand beside the likely one, with what the range rests on." }
            }
            @for (index, plug) in plan.takes.plugs.iter().enumerate() { (of_plug(plug, &at.item(index))) }
            (super::rough::blocks(plan))
            (cautions::beside(Work::Plug))
        }
    }
}

fn of_plug(plug: &PlugWork, at: &At) -> Markup {
    let lines = at.key("lines");
    html! {
        h3 { bdi { (plug.name) } }
        p {
            "Skin " (figure(plug.skin_m2, 2, &at.key("skin_m2"))) " m2, flanges "
            (figure(plug.flange_m2, 2, &at.key("flange_m2"))) " m2; made of "
            @match plug.made_of { Some(stuff) => (stuff.words()), None => "what the job does not say" }
            @if plug.count > 1 { "; " (count(plug.count, &at.key("count"))) " of them, one for each hand" }
            "."
        }
        div.scroll tabindex="0" role="region" aria-label={ "The plug, " (plug.name) } {
            table {
                caption { "One plug" }
                thead { tr {
                    th scope="col" { "What" } th.number scope="col" { "likely (low to high)" } th scope="col" { "Rests on" } th scope="col" { "Sum" }
                } }
                tbody {
                    @for (index, of_line) in plug.lines.iter().enumerate() {
                        @let at = lines.item(index);
                        tr {
                            th scope="row" { bdi { (of_line.what) } }
                            td.number {
                                (spread(of_line.amount, decimals(of_line.amount.likely, of_line.unit), &at, "amount"))
                                @if !of_line.unit.is_empty() { " " (of_line.unit) }
                            }
                            td.source { bdi { (with_keys(&of_line.rests_on)) } }
                            td { (line(&of_line.working, &at.key("working"))) }
                        }
                    }
                }
            }
        }
    }
}

/// What is counted is shown whole.
fn decimals(likely: f64, unit: &str) -> usize {
    if unit.is_empty() || unit == "sheets" { 0 } else { fine(likely, 1) }
}
