//! Beyond the plies: what stays on moulds and mouldings beside their plies, gaps to leave, and what else is taken.

use maud::{Markup, html};

use super::figure::{At, count, figure, fine, spread};
use super::workings::line;
use crate::plan::{Build, Plan};
use crate::workshop::takes::{Gap, Take, Whose};

/// The section.
pub fn section(plan: &Plan) -> Markup {
    let (parts, takes) = (At::root().key("parts"), At::root().key("takes"));
    html! {
        section id="beyond" {
            h2 { "Beyond the plies" }
            p { "What stays on a mould or moulding beside its plies and gelcoat, and what it weighs with that. Figures are for one." }
            @for (number, part) in plan.parts.iter().enumerate() {
                @for (index, build) in part.builds.iter().enumerate() {
                    @if !build.finished.lines.is_empty() {
                        (finished(&part.name, build, &parts.item(number).key("builds").item(index).key("finished")))
                    }
                }
            }
            @if !plan.takes.gaps.is_empty() {
                h3 { "Gaps between panels that must meet" }
                p { "A moulding comes out shorter than its mould, and its corners close. Leave so much at each edge that meets "
                    "another panel, or trim to fit; measure the first moulding before the second mould is made. The wall is the "
                    "one past the corner that closes farthest, from that corner to its free edge or to another corner." }
                (gaps(&plan.takes.gaps, &takes.key("gaps")))
            }
            @if !plan.takes.takes.is_empty() {
                h3 { "Taken beside the lay-ups" }
                (taken(&plan.takes.takes, &takes.key("lines")))
            }
        }
    }
}

fn finished(part: &str, build: &Build, at: &At) -> Markup {
    let (finished, lines) = (&build.finished, at.key("lines"));
    let name = format!("{part}, {}", build.make.word());
    html! {
        div.scroll tabindex="0" role="region" aria-label={ "Beyond the plies, " (name) } {
            table {
                caption { bdi { (name) } }
                thead { tr { th scope="col" { "What" } th.number scope="col" { "kg" } th scope="col" { "Sum" } } }
                tbody {
                    @for (index, of_line) in finished.lines.iter().enumerate() {
                        @let at = lines.item(index);
                        tr {
                            th scope="row" { bdi { (of_line.what) } }
                            td.number { (spread(of_line.kg, fine(of_line.kg.likely.abs(), 2), &at, "kg")) }
                            td { (line(&of_line.working, &at.key("working"))) }
                        }
                    }
                    tr {
                        th scope="row" { "Finished" }
                        td.number { (spread(finished.mass_kg, 1, at, "mass_kg")) }
                        td { (line(&finished.working(), &at.key("working"))) }
                    }
                }
            }
        }
    }
}

fn gaps(gaps: &[Gap], at: &At) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Gaps between panels" {
            table {
                caption { "Gap at each edge" }
                thead { tr {
                    th scope="col" { "Panel" }
                    th.number scope="col" { "shrinks" span.unit { "mm" } }
                    th.number scope="col" { "corners close" span.unit { "mm" } }
                    th.number scope="col" { "gap" span.unit { "mm" } }
                    th scope="col" { "Sum" }
                } }
                tbody {
                    @for (index, gap) in gaps.iter().enumerate() {
                        @let at = at.item(index);
                        tr {
                            th scope="row" { bdi { (gap.name) } }
                            td.number { (spread(gap.shrink_mm, 1, &at, "shrink_mm")) }
                            td.number { (spread(gap.spring_in_mm, 1, &at, "spring_in_mm")) }
                            td.number { (spread(gap.gap_mm, 1, &at, "gap_mm")) }
                            td { (line(&gap.working, &at.key("working"))) }
                        }
                    }
                }
            }
        }
    }
}

/// Everything that is taken for builds and for the job; what a plug takes stands with the plug.
fn taken(takes: &[Take], at: &At) -> Markup {
    html! {
        div.scroll.tall tabindex="0" role="region" aria-label="Taken beside the lay-ups" {
            table {
                caption { "Before the reserve; the order adds it up" }
                thead { tr {
                    th scope="col" { "What for" } th.number scope="col" { "times" } th scope="col" { "What" } th scope="col" { "Sum" }
                } }
                tbody {
                    @for (index, take) in takes.iter().enumerate().filter(|(_, take)| !matches!(take.of, Whose::Plug(_))) {
                        @let at = at.item(index);
                        tr {
                            th scope="row" { bdi { (take.name) } }
                            td.number { (count(take.count, &at.key("count"))) }
                            td { bdi { (take.material) } }
                            td { (line(&take.working, &at.key("working"))) }
                        }
                    }
                }
            }
        }
    }
}

/// A finished mass beside the plies' own, for a sheet; nothing where nothing stays on beside them.
pub fn finished_mass(build: &Build, at: &At) -> Option<Markup> {
    let finished = &build.finished;
    let at = at.key("finished");
    let lines = at.key("lines");
    (!finished.lines.is_empty()).then(|| {
        html! {
            (spread(finished.mass_kg, 1, &at, "mass_kg")) " kg with "
            @for (index, of_line) in finished.lines.iter().enumerate() {
                @if index > 0 { ", " }
                bdi { (of_line.what) } " (" (figure(of_line.kg.likely, fine(of_line.kg.likely.abs(), 2), &lines.item(index).key("kg"))) " kg)"
            }
        }
    })
}
