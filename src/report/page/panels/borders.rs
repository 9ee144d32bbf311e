//! The border of a piece: where splits part it, and its free edges.

use maud::{Markup, html};

use super::blocks;
use crate::job::EdgeKind;
use crate::plan::{EdgeLine, PiecePlan, SplitLine};
use crate::report::page::figure::{At, figure};

/// Both tables, as far as there is something in them.
pub fn tables(piece: &PiecePlan, of: &str, at: &At) -> Markup {
    html! {
        @if !piece.splits.is_empty() { (splits(&piece.splits, of, &at.key("splits"))) }
        @if !piece.edges.is_empty() { (edges(&piece.edges, of, &at.key("edges"))) }
    }
}

fn splits(splits: &[SplitLine], of: &str, at: &At) -> Markup {
    blocks::table(
        html! { "Splits, " bdi { (of) } },
        "splits",
        html! {
            thead { tr {
                th scope="col" { "Split" } th.number scope="col" { "Length (mm)" } th.number scope="col" { "Flange (m2)" }
            } }
            tbody {
                @for (number, split) in splits.iter().enumerate() {
                    @let at = at.item(number);
                    tr {
                        th scope="row" dir="auto" { (split.name) }
                        td.number { (figure(split.length_mm, 0, &at.key("length_mm"))) }
                        td.number { (figure(split.flange_m2, 4, &at.key("flange_m2"))) }
                    }
                }
            }
        },
    )
}

fn edges(edges: &[EdgeLine], of: &str, at: &At) -> Markup {
    blocks::table(
        html! { "Free edges and openings, " bdi { (of) } },
        "edges",
        html! {
            thead { tr {
                th scope="col" { "Edge" }
                th scope="col" { "Known from" }
                th.number scope="col" { "Length (mm)" }
                th.number scope="col" { "Flange (m2)" }
                th.number scope="col" { "Trim (m2)" }
                th.number scope="col" { "Laid across (m2)" }
            } }
            tbody { @for (number, edge) in edges.iter().enumerate() { (edge_row(edge, &at.item(number))) } }
        },
    )
}

fn edge_row(edge: &EdgeLine, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" { (kind(edge.kind)) }
            td { @if edge.told { "the job" } @else { "assumed" } }
            td.number { (figure(edge.length_mm, 0, &at.key("length_mm"))) }
            td.number { (figure(edge.flange_m2, 4, &at.key("flange_m2"))) }
            td.number { (figure(edge.trim_m2, 4, &at.key("trim_m2"))) }
            td.number { (figure(edge.laid_across_m2, 4, &at.key("laid_across_m2"))) }
        }
    }
}

const fn kind(kind: EdgeKind) -> &'static str {
    match kind {
        EdgeKind::OuterEdge => "outer edge",
        EdgeKind::LaidAcross => "opening, laid across and cut out later",
        EdgeKind::BlankedOff => "opening, blanked off",
        EdgeKind::ReturnFlange => "opening with a return flange",
        EdgeKind::OpenEnd => "open end",
    }
}
