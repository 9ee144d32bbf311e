//! What the shape says of a pull: direction, drafts, areas, what locks, what blocks, and where it could be split.

use maud::{Markup, html};

use super::blocks;
use crate::geometry::pull::propose::{Proposal, ProposedPiece};
use crate::geometry::pull::{Patch, Pull, SplitAdvice};
use crate::laminate::schedule::Make;
use crate::plan::release::direction_words;
use crate::report::page::figure::{At, figure};
use crate::report::splits::job_lines;

/// Patches that a table shows; the document holds them all.
const MOST_PATCHES: usize = 12;

/// The figures of a pull, as facts of a list.
pub fn facts(pull: &Pull, make: Make, at: &At) -> Markup {
    let area = |area_m2: f64, key: &str| html! { (figure(area_m2, 4, &at.key(key))) " m2" };
    html! {
        (blocks::fact(direction_name(make), html! {
            (direction(pull.direction.into(), &at.key("direction")))
            @if pull.given { ", as given" } @else { ", found" }
        }))
        (blocks::fact("Least draft", html! {
            (figure(pull.least_draft_deg, 1, &at.key("least_draft_deg"))) " deg, "
            @if let Some(finer_mm) = pull.draft_error.finer_mm {
                "or up to " (figure(pull.draft_error.error_deg, 1, &at.key("draft_error_deg")))
                " deg more or less, as the wall goes between its points; an export with a chord height of "
                (figure(finer_mm, 3, &at.key("finer_chord_mm"))) " mm would tell; "
            }
            (figure(pull.left_out_m2, 4, &at.key("left_out_m2"))) " m2 left out"
        }))
        (blocks::fact("Under the draft wanted", html! {
            (area(pull.undercut.under_wanted_m2, "under_wanted_m2")) ", under "
            (figure(pull.wanted_draft_deg, 1, &at.key("wanted_draft_deg"))) " deg"
        }))
        (blocks::fact("Undercut", html! {
            (area(pull.undercut.by_facets_m2, "undercut_m2")) " by facets, "
            (area(pull.undercut.clipped_m2, "undercut_clipped_m2")) " with facets clipped where they turn"
        }))
        (blocks::fact("Out of sight along the pull", area(pull.hidden_m2, "shadowed_m2")))
    }
}

/// A mould is drawn off the plug; a moulding leaves its mould the other way round.
const fn direction_name(make: Make) -> &'static str {
    match make {
        Make::Mould => "Drawn off along",
        Make::Moulding => "Its mould is drawn off along",
    }
}

/// A direction: an axis by its name too.
fn direction(parts: [f64; 3], at: &At) -> Markup {
    let words = direction_words(&parts.into());
    html! {
        @if !words.starts_with('(') { (words) " " }
        "(" @for (axis, part) in parts.into_iter().enumerate() { @if axis > 0 { ", " } (figure(part, 3, &at.item(axis))) } ")"
    }
}

/// The block of a panel without a job.
pub fn measured(pull: &Pull, split: Option<&SplitAdvice>, of: &str, at: &At) -> Markup {
    let here = at.key("pull");
    html! {
        section.release {
            h4 { "Pull" }
            p.answer data-answer=(if pull.releases { "comes" } else { "locks" }) {
                strong {
                    @if !pull.releases && pull.given { "A mould does not come off this way." }
                    @else if !pull.releases { "No direction frees a mould in one." }
                    @else if pull.least_draft_deg < pull.wanted_draft_deg { "A mould comes off, with less draft than wanted." }
                    @else { "A mould comes off." }
                }
                @if !pull.releases && !pull.given { " The figures are for the direction of least undercut." }
            }
            dl.facts { (facts(pull, Make::Mould, &here)) }
            (undercuts(pull, of, &here))
            @if let Some(split) = split { (proposals(split, of, &at.key("split"))) }
        }
    }
}

/// What locks, and the facets that block one another.
pub fn undercuts(pull: &Pull, of: &str, at: &At) -> Markup {
    html! {
        (patches("What leans against the pull", &pull.undercuts, |_| true, of, &at.key("undercuts")))
        @if !pull.blocking.is_empty() {
            p { "Whichever way one pulls, one of these faces holds:" }
            ul.blocking {
                @for (number, blocker) in pull.blocking.iter().enumerate() {
                    @let at = at.key("blocking").item(number);
                    li {
                        "at " (blocks::place(&blocker.at_mm, &at.key("at_mm"))) " mm, facing "
                        (direction(blocker.unit_normal.into(), &at.key("normal")))
                    }
                }
            }
        }
    }
}

/// Walls one by one, those of them that are to be told: place, depth, height.
pub fn patches(name: &str, patches: &[Patch], told: impl Fn(&Patch) -> bool, of: &str, at: &At) -> Markup {
    let told: Vec<(usize, &Patch)> = patches.iter().enumerate().filter(|(_, patch)| told(patch)).collect();
    html! {
        @if !told.is_empty() {
            (blocks::table(
                html! { (name) ", " bdi { (of) } @if told.len() > MOST_PATCHES { "; the largest of them, all stand in the document" } },
                "walls",
                html! {
                    thead { tr {
                        th scope="col" { "Near x, y, z (mm)" }
                        th.number scope="col" { "Area (m2)" }
                        th.number scope="col" { "Mean draft (deg)" }
                        th.number scope="col" { "Under itself (mm)" }
                        th.number scope="col" { "High (mm)" }
                    } }
                    tbody {
                        @for &(number, patch) in told.iter().take(MOST_PATCHES) { (patch_row(patch, &at.item(number))) }
                    }
                },
            ))
        }
    }
}

fn patch_row(patch: &Patch, at: &At) -> Markup {
    html! {
        tr {
            th scope="row" {
                (blocks::place(&patch.at_mm, &at.key("at_mm")))
                @if patch.mean_draft_deg < 0.0 && patch.noise { " (no deeper than facets stray)" }
            }
            td.number { (figure(patch.area_m2, 4, &at.key("area_m2"))) }
            td.number { (figure(patch.mean_draft_deg, 1, &at.key("mean_draft_deg"))) }
            // A wall that leans the right way reaches nowhere under itself.
            td.number { @if patch.depth_mm > 0.0 { (figure(patch.depth_mm, 1, &at.key("depth_mm"))) } @else { "none" } }
            td.number { (figure(patch.height_mm, 1, &at.key("height_mm"))) }
        }
    }
}

/// Where it could be split, best first, each with the lines to paste.
pub fn proposals(split: &SplitAdvice, of: &str, at: &At) -> Markup {
    let here = at.key("proposals");
    html! {
        @if split.for_draft {
            @if split.proposals.is_empty() { p { "No single plane that was tried gives it much more draft." } }
            @else { p { "It comes off in one; split, its walls would lean more:" } }
        } @else if split.proposals.is_empty() { p { "No single plane that was tried parts it; " code { "matloft splits --planes 2" } " tries two." } }
        @for (number, proposal) in split.proposals.iter().enumerate() {
            (one_proposal(number, proposal, split.flange_mm, of, (at, &here.item(number))))
        }
    }
}

fn one_proposal(number: usize, proposal: &Proposal, flange_mm: f64, of: &str, (advice, at): (&At, &At)) -> Markup {
    html! {
        section.proposal {
            (blocks::table(
                html! {
                    "Proposal " (number + 1) ", " bdi { (of) } ": split "
                    (figure(proposal.cut_length_mm, 0, &at.key("cut_length_mm"))) " mm long, flanges of "
                    (figure(flange_mm, 0, &advice.key("flange_mm"))) " mm along it "
                    (figure(proposal.flanges_m2(flange_mm), 3, &at.key("flanges_m2"))) " m2"
                    @if !proposal.releases { "; it does not free every piece" }
                },
                "proposed",
                html! {
                    thead { tr {
                        th scope="col" { "Piece" } th.number scope="col" { "Area (m2)" }
                        th scope="col" { "Drawn off along" } th.number scope="col" { "Least draft (deg)" } th scope="col" { "Comes off" }
                    } }
                    tbody {
                        @for (number, piece) in proposal.pieces.iter().enumerate() { (proposed(piece, &at.key("pieces").item(number))) }
                    }
                },
            ))
            p { "Lines for the job file, under the " code { "[[part]]" } " of this panel:" }
            pre.job-lines tabindex="0" role="region" aria-label={ "Lines for the job file, proposal " (number + 1) ", " (of) } { code dir="ltr" { (job_lines(proposal)) } }
        }
    }
}

fn proposed(piece: &ProposedPiece, at: &At) -> Markup {
    let here = at.key("pull");
    html! {
        tr {
            th scope="row" { (piece.name) }
            td.number { (figure(piece.area_m2, 3, &at.key("area_m2"))) }
            td { (direction(piece.pull.direction.into(), &here.key("direction"))) }
            td.number { (figure(piece.pull.least_draft_deg, 1, &here.key("least_draft_deg"))) }
            td {
                @if piece.pull.releases { "yes" }
                @else { "no, " (figure(piece.pull.undercut.by_facets_m2, 4, &here.key("undercut_m2"))) " m2 hold" }
            }
        }
    }
}
