//! How a piece comes off: the answer in words, the figures behind it, what is tight, what locks, who lifts it.

use maud::{Markup, html};

use super::{blocks, pull};
use crate::geometry::pull::Patch;
use crate::laminate::release::{Answer, remedy};
use crate::laminate::schedule::Make;
use crate::plan::{Flat, PiecePlan, Release};
use crate::report::page::figure::{At, count, figure};

/// The block of a piece; nothing where it has no area.
pub fn block(piece: &PiecePlan, make: Make, of: &str, at: &At) -> Markup {
    let Some(release) = &piece.release else { return html! {} };
    let here = at.key("release");
    html! {
        section.release {
            h6 { "Release" }
            (answer(release, make, &here))
            dl.facts {
                (pull::facts(&release.pull, make, &at.key("pull")))
                (blocks::fact("Stands along the pull", html! {
                    (figure(release.near_zero_m2, 4, &here.key("near_zero_m2"))) " m2, under "
                    (figure(release.near_zero_draft_deg, 1, &here.key("near_zero_draft_deg"))) " deg"
                }))
                (blocks::fact("Wedge starts along its edges", count(release.wedges_mm.len(), &here.key("n_wedges"))))
                @if make == Make::Mould {
                    (blocks::fact("Air or water ports, the crown first", count(release.ports_mm.len(), &here.key("n_ports"))))
                }
                (blocks::fact("Lifted by", html! {
                    (release.hands.words()) ": " (figure(release.lifted_kg, 1, &here.key("lifted_kg"))) " kg with what stays on it, "
                    (blocks::size(&piece.size_mm, &at.key("size_mm")))
                }))
                @if let Some(largest) = release.flat { (flat(largest, make, &here.key("flat"))) }
            }
            (pull::patches("Tight walls", &release.tight_walls, |wall| !locks(release, wall), of, &here.key("tight_walls")))
            (pull::undercuts(&release.pull, of, &at.key("pull")))
            @if let Some(split) = &release.split { (pull::proposals(split, of, &here.key("split"))) }
        }
    }
}

/// Whether a wall stands among what leans against the pull already, whole.
fn locks(release: &Release, wall: &Patch) -> bool {
    release.pull.undercuts.iter().any(|undercut| undercut.faces == wall.faces)
}

fn answer(release: &Release, make: Make, at: &At) -> Markup {
    let do_this = remedy(release.answer, make);
    html! {
        p.answer data-answer=(word(release.answer)) {
            strong { "The " (make.word()) " " (release.answer.words()) "." }
            @if !release.mould_parts.is_empty() { " Its mould parts: drawn off in one it would be held." }
            @if let Some(peel) = release.peel {
                @let at = at.key("peel");
                " To bend off what holds it strains the laminate by "
                (figure(peel.strain_percent, 2, &at.key("strain_percent"))) " % and takes "
                (figure(peel.force_n_mm, if peel.force_n_mm < 10.0 { 2 } else { 0 }, &at.key("force_n_mm"))) " N for each mm of edge; by hand, a plate on a clamped edge, no proof of strength."
            }
            @if !do_this.is_empty() { " To do: " (do_this) "." }
        }
    }
}

const fn word(answer: Answer) -> &'static str {
    match answer {
        Answer::Comes => "comes",
        Answer::Tight => "tight",
        Answer::Peels => "peels",
        Answer::Locks => "locks",
    }
}

fn flat(flat: Flat, make: Make, at: &At) -> Markup {
    blocks::fact(
        "Largest flat",
        html! {
            (figure(flat.area_m2, 3, &at.key("area_m2"))) " m2, spans " (figure(flat.span_mm, 0, &at.key("span_mm")))
            " by " (figure(flat.long_mm, 0, &at.key("long_mm"))) " mm, sags " (figure(flat.own_sag_mm, 1, &at.key("own_sag_mm")))
            " mm under its own mass as a flat plate held at its edges"
            @if flat.stiffen && make == Make::Mould { "; stiffeners before it comes off" }
        },
    )
}
