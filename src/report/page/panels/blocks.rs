//! What the blocks of planned and of measured panels have in common.

use crate::report::page::keys::{sentence, with_keys};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use maud::{Markup, html};

use crate::geometry::corners::{Bends, CornerPoint, PointKind};
use crate::geometry::mesh::Point;
use crate::notes::{Level, Note};
use crate::report::page::figure::{At, figure};
use crate::report::stills::Still;

/// Room for the view, which its own program fills, and the blocks beside it.
pub fn beside_the_view(blocks: Markup) -> Markup {
    html! {
        div.with-view {
            div #view.view {}
            div.blocks { (blocks) }
        }
    }
}

/// The block of a panel.
pub fn panel(index: usize, name: &str, inner: Markup) -> Markup {
    html! {
        article.panel id={ "panel-" (index) } data-panel=(index) {
            h3 dir="auto" { (name) }
            (inner)
        }
    }
}

/// The still pictures of a panel, each with its words beneath it.
pub fn stills(panel: usize, stills: &[Still]) -> Markup {
    let of_panel = || stills.iter().filter(|still| still.panel == panel);
    html! {
        @if of_panel().next().is_some() {
            div.stills { @for still in of_panel() { (picture(still)) } }
        }
    }
}

fn picture(still: &Still) -> Markup {
    html! {
        figure {
            // The words stand beneath the picture; said twice they would be read out twice.
            img src={ "data:image/png;base64," (BASE64.encode(&still.png)) } width=(still.width_px) height=(still.height_px) alt="" loading="lazy" decoding="async";
            figcaption dir="auto" { (still.alt) }
        }
    }
}

/// One fact of a list of facts.
pub fn fact(name: &str, value: Markup) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

/// Extents along x, y and z.
pub fn size(size_mm: &[f64; 3], at: &At) -> Markup {
    html! {
        @for (axis, extent_mm) in size_mm.iter().enumerate() {
            @if axis > 0 { " x " }
            (figure(*extent_mm, 1, &at.item(axis)))
        }
        " mm"
    }
}

/// A place in the coordinates of the CAD file.
pub fn place(point: &Point, at: &At) -> Markup {
    html! {
        @for (axis, coordinate) in [point.x, point.y, point.z].into_iter().enumerate() {
            @if axis > 0 { ", " }
            (figure(coordinate, 0, &at.item(axis)))
        }
    }
}

/// Notes: how much each asks for, what it says, how to mend it.
pub fn notes<'a>(notes: impl Iterator<Item = &'a Note>) -> Markup {
    let notes: Vec<&Note> = notes.collect();
    html! {
        @if !notes.is_empty() {
            ul.notes {
                @for note in notes {
                    li data-level=(level(note.level)) {
                        strong { (level(note.level)) ": " } bdi { (with_keys(&note.message)) }
                        @if !note.remedy.is_empty() { ". " span.remedy { "To mend it: " bdi { (sentence(&note.remedy)) } } }
                    }
                }
            }
        }
    }
}

const fn level(level: Level) -> &'static str {
    match level {
        Level::Info => "Note",
        Level::Warning => "Warning",
        Level::Error => "Error",
    }
}

/// A table that scrolls in a box of its own where the page is too narrow for it.
pub fn table(caption: Markup, class: &str, inner: Markup) -> Markup {
    html! {
        div.scroll {
            table class=(class) {
                caption { (caption) }
                (inner)
            }
        }
    }
}

/// A radius; 0 is a sharp corner.
pub fn radius(radius_mm: f64, at: &At) -> Markup {
    html! { (figure(radius_mm, 1, at)) @if radius_mm == 0.0 { " (sharp)" } }
}

/// Which way the skin bends.
pub const fn bends(bends: Bends) -> &'static str {
    match bends {
        Bends::Outward => "outward",
        Bends::Inward => "inward",
    }
}

/// What a corner's row is called, for the view to find it: panel, make, piece and corner.
pub fn corner_key(panel: usize, make: &str, piece: &str, corner: &str) -> String {
    format!("{panel}/{make}/{piece}/{corner}")
}

/// Points at which the skin bends both ways.
pub fn points(points: &[CornerPoint], of: &str, at: &At) -> Markup {
    html! {
        @if !points.is_empty() {
            (table(html! { "Points where it bends both ways, " bdi { (of) } }, "points", html! {
                thead { tr {
                    th scope="col" { "At x, y, z (mm)" } th scope="col" { "What" } th.number scope="col" { "Radius (mm)" } th scope="col" { "Corners that end there" }
                } }
                tbody { @for (number, point) in points.iter().enumerate() { (point_row(point, &at.item(number))) } }
            }))
        }
    }
}

fn point_row(point: &CornerPoint, at: &At) -> Markup {
    let what = match point.kind {
        PointKind::Apex => "tip of a cone",
        PointKind::Ball => "part of a ball",
        PointKind::Meeting => "corners meet",
    };
    html! {
        tr {
            th scope="row" { (place(&point.at_mm, &at.key("at_mm"))) }
            td { (what) }
            td.number { (figure(point.radius_mm, 1, &at.key("radius_mm"))) }
            td { (point.corners.join(", ")) }
        }
    }
}
