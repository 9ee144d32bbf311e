//! Panel by panel: the view, and a block for every panel with its stills, its builds and their pieces.

use maud::{Markup, html};
use rayon::prelude::*;

use super::figure::{At, count, figure, spread};
use crate::plan::{Build, PartPlan, PiecePlan, Plan};
use crate::report::stills::Still;

pub(super) mod blocks;
mod borders;
mod corners;
mod plies;
pub(super) mod pull;
mod release;

/// The section.
pub fn section(plan: &Plan, stills: &[Still]) -> Markup {
    let at = At::root().key("parts");
    let of_panel = |(index, part): (usize, &PartPlan)| panel(index, part, stills, &at.item(index));
    let panels: Vec<Markup> = plan.parts.par_iter().enumerate().map(of_panel).collect();
    html! {
        section #panels {
            h2 { "Panel by panel" }
            p { "Figures stand for one build; its count says how many are built. Lengths, areas and positions are those of the CAD file." }
            (blocks::beside_the_view(html! {
                @for panel in &panels { (panel) }
            }))
        }
    }
}

fn panel(index: usize, part: &PartPlan, stills: &[Still], at: &At) -> Markup {
    let builds = at.key("builds");
    blocks::panel(
        index,
        &part.name,
        html! {
            (blocks::stills(index, stills))
            (facts(part, at))
            (blocks::notes(part.notes.iter()))
            @for (number, of) in part.builds.iter().enumerate() { (build(index, of, &builds.item(number))) }
        },
    )
}

fn facts(part: &PartPlan, at: &At) -> Markup {
    html! {
        dl.facts {
            (blocks::fact("Moulded face", html! { (figure(part.area_m2, 4, &at.key("area_m2"))) " m2" }))
            (blocks::fact("Size", blocks::size(&part.size_mm, &at.key("size_mm"))))
            (blocks::fact("Drawn as", html! { (part.kind.words()) }))
            @if let Some(wall_mm) = part.wall_mm {
                (blocks::fact("Wall", html! { (figure(wall_mm, 2, &at.key("wall_mm"))) " mm" }))
            }
            (blocks::fact("Mouldings of one hand", count(part.quantity, &at.key("quantity"))))
            @if part.mirrored { (blocks::fact("Opposite hand", html! { "built too" })) }
            (blocks::fact("File", html! { bdi { (part.file) } ", in " (part.units.symbol()) }))
            (blocks::fact("Sum of the file", html! { code.sum { (part.mesh_sha256) } }))
        }
    }
}

fn build(panel: usize, build: &Build, at: &At) -> Markup {
    let pieces = at.key("pieces");
    let name = match build.make.word() {
        "mould" => "Mould",
        _ => "Moulding",
    };
    html! {
        section.build data-make=(build.make.word()) {
            h4 { (name) }
            p {
                "Schedule " bdi { (build.schedule) } ", "
                (count(build.count, &at.key("count"))) " built, "
                @if build.pieces.len() == 1 { "in one piece." } @else { "in pieces; each stands below." }
            }
            (blocks::notes(build.notes.iter()))
            @for (number, of) in build.pieces.iter().enumerate() {
                (piece(Place { panel, build }, of, &pieces.item(number)))
            }
        }
    }
}

/// Where a piece belongs.
#[derive(Clone, Copy)]
struct Place<'a> {
    panel: usize,
    build: &'a Build,
}

impl Place<'_> {
    /// What a table of a piece is called before its own words: `mould a`.
    fn words(self, piece: &PiecePlan) -> String {
        format!("{} {}", self.build.make.word(), piece.name)
    }
}

fn piece(place: Place<'_>, piece: &PiecePlan, at: &At) -> Markup {
    let of = place.words(piece);
    html! {
        section.piece {
            h5 { "Piece " (piece.name) }
            (piece_facts(piece, at))
            (blocks::notes(piece.notes.iter()))
            (plies::table(piece, &of, at))
            (borders::tables(piece, &of, at))
            (corners::table(place.panel, place.build.make, piece, &of, at))
            (blocks::points(&piece.points, &of, &at.key("points")))
            (release::block(piece, place.build.make, &of, at))
        }
    }
}

fn piece_facts(piece: &PiecePlan, at: &At) -> Markup {
    let lay_up = &piece.lay_up;
    let dose = at.key("gelcoat_dose");
    html! {
        dl.facts {
            (blocks::fact("Face, without flanges", html! { (figure(piece.area_m2, 4, &at.key("area_m2"))) " m2" }))
            (blocks::fact("Size", blocks::size(&piece.size_mm, &at.key("size_mm"))))
            (blocks::fact("Thickness", html! { (spread(lay_up.thickness_mm, 1, at, "thickness_mm")) " mm, where only the plies lie that lie everywhere" }))
            (blocks::fact("Mass", html! { (spread(lay_up.mass_kg, 2, at, "mass_kg")) " kg" }))
            (blocks::fact("Glass to lay", html! { (figure(lay_up.glass_kg, 2, &at.key("glass_kg"))) " kg" }))
            @if lay_up.core_kg > 0.0 { (blocks::fact("Core to lay", html! { (figure(lay_up.core_kg, 2, &at.key("core_kg"))) " kg" })) }
            (blocks::fact("Resin to mix", html! { (spread(lay_up.resin_kg, 2, at, "resin_kg")) " kg" }))
            @if let Some(gelcoat) = &lay_up.gelcoat {
                (blocks::fact("Gelcoat", html! {
                    bdi { (gelcoat.name) } ", " (spread(gelcoat.laid_kg, 2, at, "gelcoat_kg")) " kg"
                    @if let Some(of) = gelcoat.dose {
                        ", with " (figure(of.g, 0, &dose.key("g"))) " g or " (figure(of.ml, 0, &dose.key("ml"))) " ml of " (agent(of.agent))
                    }
                }))
            }
            @if lay_up.catalyst_g > 0.0 {
                (blocks::fact("Catalyst in all", html! {
                    (figure(lay_up.catalyst_g, 0, &at.key("catalyst_g"))) " g or " (figure(lay_up.catalyst_ml, 0, &at.key("catalyst_ml"))) " ml"
                }))
            }
            @if lay_up.hardener_g > 0.0 {
                (blocks::fact("Hardener in all", html! { (figure(lay_up.hardener_g, 0, &at.key("hardener_g"))) " g" }))
            }
            @for (number, (name, ml)) in piece.filler_ml.iter().enumerate() {
                (blocks::fact("Filler", html! {
                    (figure(*ml, 0, &at.key("fillers").item(number).key("ml"))) " ml of " bdi { (name) }
                }))
            }
            (blocks::fact("Would balance at x, y, z", html! {
                (blocks::place(&piece.centre_of_mass_mm, &at.key("centre_of_mass_mm"))) " mm"
            }))
        }
    }
}

fn agent(agent: crate::laminate::cure::Agent) -> &'static str {
    match agent {
        crate::laminate::cure::Agent::Catalyst => "catalyst",
        crate::laminate::cure::Agent::Hardener => "hardener",
    }
}
