//! The sum behind each quantity, in a line that can be redone with a pocket calculator.

use maud::{Markup, html};

use super::figure::{At, figure};
use super::glance::unless_complete;
use crate::laminate::workings::{Op, Working};
use crate::plan::{PiecePlan, Plan};

/// Sums of the totals and of the order; then, folded, of every piece.
pub fn section(plan: &Plan) -> Markup {
    let (order, parts) = (At::root().key("order"), At::root().key("parts"));
    html! {
        h3 { "The sums" }
        p { "Each line gives its result again from the digits that it shows, give or take the last one. Products come before "
            "sums. Likely values; what a hand may reach instead stands beside the quantity." }
        h4 { "The job in all" (unless_complete(plan)) }
        (table("The job in all", &plan.workings, &At::root().key("totals").key("workings")))
        h4 { "What to order" (unless_complete(plan)) }
        @for (index, need) in plan.needs.needs.iter().enumerate() {
            details {
                summary { bdi { (need.material) } }
                (table(&need.material, &need.workings, &order.item(index).key("workings")))
            }
        }
        h4 { "Piece by piece" }
        @for (number, part) in plan.parts.iter().enumerate() {
            @for (index, build) in part.builds.iter().enumerate() {
                @let at = parts.item(number).key("builds").item(index).key("pieces");
                @for (index, piece) in build.pieces.iter().enumerate() {
                    @let name = format!("{}, {} {}", part.name, build.make.word(), piece.name);
                    (piece_sums(&name, piece, &at.item(index)))
                }
            }
        }
    }
}

/// Sums of one piece: the piece, then ply by ply.
fn piece_sums(name: &str, piece: &PiecePlan, at: &At) -> Markup {
    let at = at.key("workings");
    let (of_plies, of_piece): (Vec<_>, Vec<_>) =
        piece.lay_up.workings.iter().enumerate().partition(|(_, working)| working.ply.is_some());
    html! {
        details {
            summary { bdi { (name) } }
            (rows(name, &of_piece, &at))
            (rows(&format!("{name}, ply by ply"), &of_plies, &at))
        }
    }
}

/// A table of sums.
pub fn table(name: &str, workings: &[Working], at: &At) -> Markup {
    rows(name, &workings.iter().enumerate().collect::<Vec<_>>(), at)
}

fn rows(name: &str, workings: &[(usize, &Working)], at: &At) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label={ "Sums, " (name) } {
            table.sums {
                thead { tr { th scope="col" { "Quantity" } th scope="col" { "Sum" } } }
                tbody {
                    @for (index, working) in workings {
                        tr {
                            th scope="row" {
                                @if let Some(ply) = working.ply { "ply " (ply) ", " }
                                (working.words)
                            }
                            td { (line(working, &at.item(*index))) }
                        }
                    }
                }
            }
        }
    }
}

/// One sum, with what each number is.
pub fn line(working: &Working, at: &At) -> Markup {
    let decimals = working.decimals();
    let terms = at.key("terms");
    html! {
        span.sum {
            @for (index, (term, &n)) in working.terms.iter().zip(&decimals.terms).enumerate() {
                @if index > 0 || term.op == Op::Minus { " " (term.op.sign()) " " }
                (figure(term.value, n, &terms.item(index)))
                @if !term.unit.is_empty() { " " (term.unit) }
                @if !term.what.is_empty() { " " small dir="auto" { (term.what) } }
            }
            " = " b { (figure(working.result, decimals.result, &at.key("result"))) " " (working.unit) }
        }
    }
}
