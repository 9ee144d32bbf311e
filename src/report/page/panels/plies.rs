//! The plies of a piece, from the tool outwards.

use maud::{Markup, html};

use super::blocks;
use crate::laminate::lay_up::LaidPly;
use crate::plan::PiecePlan;
use crate::report::page::figure::{At, count, figure, spread};

/// The table of plies.
pub fn table(piece: &PiecePlan, of: &str, at: &At) -> Markup {
    let plies = at.key("plies");
    let rows = piece.lay_up.plies.iter().zip(&piece.roll_m).enumerate();
    blocks::table(
        html! { "Plies from the tool outwards, " bdi { (of) } },
        "plies",
        html! {
            thead { tr {
                th scope="col" { "Ply" }
                th scope="col" { "Material and where" }
                th.number scope="col" { "Net (m2)" }
                th.number scope="col" { "On the part (m2)" }
                th.number scope="col" { "Laid (m2)" }
                th.number scope="col" { "Glass (kg)" }
                th.number scope="col" { "Resin (kg)" }
                th.number scope="col" { "Thickness (mm)" }
                th.number scope="col" { "Off the roll (m)" }
            } }
            tbody { @for (number, (ply, roll_m)) in rows { (row(ply, *roll_m, &plies.item(number))) } }
        },
    )
}

fn row(ply: &LaidPly, roll_m: f64, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" { (count(ply.ply, &at.key("ply"))) }
            td.words {
                bdi { (ply.name) }
                @if ply.name != ply.material { ", " bdi { (ply.material) } }
                " " span.quiet { bdi { (ply.zone) } }
            }
            td.number { (figure(ply.net_m2, 3, &at.key("net_m2"))) }
            td.number { (figure(ply.on_part_m2, 3, &at.key("on_part_m2"))) }
            td.number { (figure(ply.laid_m2, 3, &at.key("laid_m2"))) }
            td.number {
                (figure(ply.glass_kg, 3, &at.key("glass_kg")))
                @if ply.core_kg > 0.0 { br; (figure(ply.core_kg, 3, &at.key("core_kg"))) " core" }
            }
            td.number { (spread(ply.resin_kg, 3, at, "resin_kg")) }
            td.number { (spread(ply.thickness_mm, 2, at, "thickness_mm")) }
            td.number { (figure(roll_m, 2, &at.key("roll_m"))) @if roll_m == 0.0 { " (sheets)" } }
        }
    }
}
