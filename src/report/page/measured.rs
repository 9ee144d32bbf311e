//! Panel by panel, for panels that were only measured: sizes, sides, corners, the state of the mesh.

use super::keys::{sentence, with_keys};
use maud::{Markup, html};

use super::figure::{At, count, figure};
use super::panels::{blocks, pull};
use crate::geometry::corners::Corner;
use crate::geometry::load::LoadFault;
use crate::geometry::part::Health;
use crate::geometry::skin::Skin;
use crate::geometry::survey::Survey;
use crate::report::stills::Still;

/// The section; what could not be measured stands first.
pub fn section(surveys: &[Survey], faults: &[LoadFault], stills: &[Still]) -> Markup {
    let at = At::root().key("parts");
    html! {
        section #panels {
            h2 { "Panel by panel" }
            (missing(faults))
            @if surveys.is_empty() { p { "No panel could be measured." } }
            @else {
                (blocks::beside_the_view(html! {
                    @for (index, survey) in surveys.iter().enumerate() { (panel(index, survey, stills, &at.item(index))) }
                }))
            }
        }
    }
}

/// What is not among the panels, and why.
fn missing(faults: &[LoadFault]) -> Markup {
    html! {
        @if !faults.is_empty() {
            p.incomplete role="note" { "This report is incomplete. Not measured:" }
            ul.notes {
                @for fault in faults {
                    li data-level="Error" {
                        strong { bdi dir="auto" { (fault.file) } }
                        @if let Some(object) = &fault.object { ", object " bdi dir="auto" { (object) } }
                        ": " bdi dir="auto" { (with_keys(&fault.message)) }
                        @if !fault.remedy.is_empty() { ". " span.remedy { "To mend it: " bdi dir="auto" { (sentence(&fault.remedy)) } } }
                    }
                }
            }
        }
    }
}

fn panel(index: usize, survey: &Survey, stills: &[Still], at: &At) -> Markup {
    let name = &survey.part.name;
    blocks::panel(
        index,
        name,
        html! {
            (blocks::stills(index, stills))
            (facts(survey, at))
            (blocks::notes(survey.notes()))
            (corners(index, survey, at))
            (blocks::points(&survey.listed.points, name, &at.key("points")))
            @if let Some(of) = &survey.pull { (pull::measured(of, survey.split.as_ref(), name, at)) }
            (mesh(&survey.part.health, name, &at.key("mesh")))
        },
    )
}

fn facts(survey: &Survey, at: &At) -> Markup {
    let part = &survey.part;
    html! {
        dl.facts {
            (blocks::fact("Surface of the mesh", html! { (figure(survey.area_m2, 4, &at.key("area_m2"))) " m2" }))
            (blocks::fact("Size", blocks::size(&survey.bounds.size_mm().into(), &at.key("size_mm"))))
            (sides(&survey.skin, &at.key("skin")))
            @if let Some(volume_m3) = survey.volume_m3 {
                (blocks::fact("Volume", html! { (figure(volume_m3, 5, &at.key("volume_m3"))) " m3" }))
            }
            (blocks::fact("Middle of the surface at x, y, z", html! {
                (blocks::place(&survey.centroid_mm, &at.key("centroid_mm"))) " mm"
            }))
            (blocks::fact("File", html! { bdi { (part.file) } ", taken in " (part.unit.symbol()) }))
            @if let Some(object) = &part.object { (blocks::fact("Object of the file", html! { bdi { (object) } })) }
        }
    }
}

fn sides(skin: &Skin, at: &At) -> Markup {
    let area = |area_m2: f64, key: &str| html! { (figure(area_m2, 4, &at.key(key))) " m2" };
    let wall = |name: &str, wall_mm: Option<f64>, key: &str| {
        html! {
            @if let Some(wall_mm) = wall_mm {
                (blocks::fact(name, html! { (figure(wall_mm, 2, &at.key(key))) " mm" }))
            }
        }
    };
    html! {
        (blocks::fact("Drawn as", html! { (skin.kind.words()) @if skin.doubtful { ", doubtful" } }))
        (blocks::fact("Outside", area(skin.outside_m2, "outside_m2")))
        (blocks::fact("Inside", area(skin.inside_m2, "inside_m2")))
        (blocks::fact("Rim", area(skin.rim_m2, "rim_m2")))
        (wall("Wall, mostly", skin.wall_mm, "wall_mm"))
        (wall("Wall, thinnest", skin.wall_min_mm, "wall_min_mm"))
        (wall("Wall, thickest", skin.wall_max_mm, "wall_max_mm"))
        (wall("Wall through a joint, thickest", skin.wall_at_joints_mm, "wall_at_joints_mm"))
        (wall("Walls are good to", skin.wall_chord_mm, "wall_chord_mm"))
    }
}

fn corners(index: usize, survey: &Survey, at: &At) -> Markup {
    let corners = &survey.listed.corners;
    if corners.is_empty() {
        return html! { p { "No corner is as tight as was asked for." } };
    }
    let at = at.key("corners");
    blocks::table(
        html! { "Corners, " bdi { (survey.part.name) } },
        "corners",
        html! {
            thead { tr {
                th scope="col" { "Corner" }
                th scope="col" { "Bends" }
                th.number scope="col" { "Least radius (mm)" }
                th.number scope="col" { "Mean radius (mm)" }
                th.number scope="col" { "Turn (deg)" }
                th.number scope="col" { "Length (mm)" }
                th scope="col" { "Middle at x, y, z (mm)" }
            } }
            @for (number, corner) in corners.iter().enumerate() {
                (corner_row(corner, &blocks::corner_key(index, "", "", &corner.id), &at.item(number)))
            }
        },
    )
}

fn corner_row(corner: &Corner, key: &str, at: &At) -> Markup {
    html! {
        tbody data-corner=(key) {
            tr {
                th scope="row" { (corner.id) }
                td { (blocks::bends(corner.bends)) }
                td.number { (blocks::radius(corner.radius_mm, &at.key("radius_mm"))) }
                td.number { (blocks::radius(corner.radius_mean_mm, &at.key("radius_mean_mm"))) }
                td.number { (figure(corner.turn_deg, 1, &at.key("turn_deg"))) }
                td.number { (figure(corner.length_mm, 0, &at.key("length_mm"))) }
                td { (blocks::place(&corner.midpoint_mm(), &at.key("midpoint_mm"))) }
            }
        }
    }
}

/// The state of the file.
fn mesh(health: &Health, of: &str, at: &At) -> Markup {
    let rows = [
        ("Facets", health.triangles, "triangles"),
        ("Points", health.vertices, "vertices"),
        ("Open edges", health.open_edges, "open_edges"),
        ("Edges of three or more facets", health.nonmanifold_edges, "nonmanifold_edges"),
        ("Edges whose facets were wound against each other", health.flipped_edges, "flipped_edges"),
        ("Duplicate facets", health.duplicate_triangles, "duplicate_triangles"),
        ("Facets doubled back to back", health.back_to_back_triangles, "back_to_back_triangles"),
        ("Facets without area", health.degenerate_triangles, "degenerate_triangles"),
        ("Facets with a corner that is not a number", health.not_finite_triangles, "not_finite_triangles"),
        ("Bodies", health.components, "components"),
        ("Border loops", health.boundary_loops, "boundary_loops"),
    ];
    blocks::table(
        html! { "The mesh, " bdi { (of) } @if health.closed { ": closed" } @else { ": open" } },
        "mesh",
        html! {
            thead { tr { th scope="col" { "What" } th.number scope="col" { "How many" } } }
            tbody {
                @for (name, n, key) in rows {
                    tr { th scope="row" { (name) } td.number { (count(n, &at.key(key))) } }
                }
            }
        },
    )
}
