//! The corners of a piece: what each is, the first ply that does not follow it, and what to do there.

use maud::{Markup, html};

use super::blocks;
use crate::laminate::remedies::{CornerFrom, MetAs, PlySees};
use crate::laminate::schedule::Make;
use crate::plan::{MetCorner, PiecePlan};
use crate::report::page::figure::{At, count, figure};

/// The table of corners, or a sentence that there is none.
pub fn table(panel: usize, make: Make, piece: &PiecePlan, of: &str, at: &At) -> Markup {
    if piece.corners.is_empty() {
        return html! { p { "No corner of " (of) " is tighter than the plies follow." } };
    }
    let corners = at.key("corners");
    blocks::table(
        html! { "Corners, " bdi { (of) } },
        "corners",
        html! {
            thead { tr {
                th scope="col" { "Corner" }
                th scope="col" { "Made by" }
                th scope="col" { "Met as" }
                th.number scope="col" { "Radius (mm)" }
                th.number scope="col" { "Turn (deg)" }
                th.number scope="col" { "Length (mm)" }
                th.number scope="col" { "First ply that does not follow" }
                th.number scope="col" { "Radius that all follow (mm)" }
            } }
            @for (number, corner) in piece.corners.iter().enumerate() {
                @let key = blocks::corner_key(panel, make.word(), &piece.name, &corner.corner.id);
                (rows(corner, &key, &corners.item(number)))
            }
        },
    )
}

fn rows(met: &MetCorner, key: &str, at: &At) -> Markup {
    let corner = &met.corner;
    html! {
        tbody data-corner=(key) {
            tr {
                th scope="row" { (corner.id) }
                td { (made_by(met.met.from)) }
                td { (met_as(met.met.met_as)) }
                td.number { (blocks::radius(corner.radius_mm, &at.key("radius_mm"))) }
                td.number { (figure(corner.turn_deg, 0, &at.key("turn_deg"))) }
                td.number { (figure(corner.length_mm, 0, &at.key("length_mm"))) }
                td.number {
                    @match met.advice.first_failing_ply {
                        Some(ply) => { (count(ply, &at.key("first_failing_ply"))) }
                        None => { "none" }
                    }
                }
                td.number { (figure(met.needed_mm, 1, &at.key("needed_radius_mm"))) }
            }
            tr.what-to-do { td colspan="8" { div.within { (what_to_do(met, at)) } } }
        }
    }
}

fn what_to_do(met: &MetCorner, at: &At) -> Markup {
    let advice = &met.advice;
    html! {
        @if advice.remedies.is_empty() {
            @if advice.first_failing_ply.is_some() { p { "No remedy with quantities is known for it; try it on a sample." } }
            @else { p { "Every ply follows; nothing to do." } }
        } @else {
            ul.remedies { @for remedy in &advice.remedies { li { bdi { (remedy.sentence()) } } } }
        }
        @if advice.first_failing_ply.is_some() { (seen(&advice.sees, &at.key("sees"))) }
    }
}

/// What each ply meets there, against what it takes.
fn seen(sees: &[PlySees], at: &At) -> Markup {
    html! {
        p.quiet {
            "Radius that each ply meets, and takes: "
            @for (number, ply) in sees.iter().enumerate() {
                @let at = at.item(number);
                @if number > 0 { "; " }
                "ply " (count(ply.ply, &at.key("ply"))) ", "
                (figure(ply.radius_mm, 1, &at.key("radius_mm"))) " of "
                (figure(ply.limit_mm, 1, &at.key("limit_mm"))) " mm"
                @if !ply.fits() { ", does not follow" }
            }
            "."
        }
    }
}

const fn made_by(from: CornerFrom) -> &'static str {
    match from {
        CornerFrom::Face => "the shape",
        CornerFrom::Flange => "a flange",
    }
}

const fn met_as(met_as: MetAs) -> &'static str {
    match met_as {
        MetAs::Inside => "inside",
        MetAs::Outside => "outside",
    }
}
