//! Wall sheets: one for each mould and each moulding, to hang beside the work and to write on.

use maud::{Markup, html};
use rayon::prelude::*;

use super::figure::{count, figure, rounded};
use super::procedure::{Choice, Decision, decisions, has_gelcoat, steps};
use super::sheet::{Item, caution, how_many, items, mesh_line, print_buttons, shop_temperature};
use crate::laminate::cautions::FIRST_OF_ALL;
use crate::laminate::remedies::MetAs;
use crate::plan::Plan;
use crate::report::drawing::{self, Sheet};
use crate::workshop::mixes::lines::MixStep;
use crate::workshop::work::Place;

mod mixes;
mod rows;
mod words;

/// Room for the sketch beside what has to be decided, and where nothing has.
const SKETCH_MM: [f64; 2] = [110.0, 42.0];
const WIDE_SKETCH_MM: [f64; 2] = [184.0, 42.0];

/// Lines of work that a sheet holds beside heading and sketch; pieces of a build that take more get a sheet each. Fewer
/// would part builds whose sheet does fit a page; with more, a sheet of two pieces flows over with a few lines.
const MOST_LINES: usize = 22;

/// The section.
pub fn sheets(plan: &Plan) -> Markup {
    let of_item = |item: &Item<'_>| by_sheet(item).iter().map(|pieces| sheet(item, pieces)).collect();
    let sheets: Vec<Vec<Markup>> = items(plan).par_iter().map(of_item).collect();
    html! {
        section id="wall" {
            h2 { "Wall sheets" }
            p.about-sheets { "One for each mould and each moulding, A4 or Letter, with boxes to write in. Weights are for one build." }
            (print_buttons())
            @for sheet in sheets.iter().flatten() { (sheet) }
        }
    }
}

/// The pieces of a build that share a sheet: all of them, or each by itself where they would not fit.
fn by_sheet(item: &Item<'_>) -> Vec<Vec<usize>> {
    let pieces: Vec<usize> = (0..item.build.pieces.len()).collect();
    let n_steps: usize = steps(item.build, &pieces).iter().map(|step| rows::n_lines(step, pieces.len())).sum();
    let beyond = |&piece: &usize| item.plan.mixes.of(Place { piece, ..item.place }, MixStep::Beyond).count();
    let n_lines = n_steps + pieces.iter().map(beyond).sum::<usize>();
    if pieces.len() > 1 && n_lines > MOST_LINES {
        return pieces.into_iter().map(|piece| vec![piece]).collect();
    }
    vec![pieces]
}

fn sheet(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let id = match pieces {
        [one] if item.build.pieces.len() > 1 => format!("wall-{}-{one}", item.id),
        _ => format!("wall-{}", item.id),
    };
    let decisions = decisions(item.build, pieces);
    let sketch_mm = if decisions.is_empty() { WIDE_SKETCH_MM } else { SKETCH_MM };
    let drawn =
        Sheet { width_mm: sketch_mm[0], height_mm: sketch_mm[1], corners: true, dimensions: false, starts: true };
    html! {
        article.sheet.wall-sheet id=(id) aria-labelledby=(format!("{id}-name")) {
            (heading(item, pieces, &id))
            div.abreast {
                figure.sketch {
                    (drawing::of_build_at(item.part, item.build, &item.part_at, drawn))
                }
                @if !decisions.is_empty() { (to_decide(item, &decisions)) }
            }
            (rows::table(item, pieces))
            (mixes::beyond(item, pieces))
            (foot(item))
        }
    }
}

fn letters(item: &Item<'_>, pieces: &[usize]) -> String {
    let names: Vec<&str> = pieces.iter().map(|&piece| item.build.pieces[piece].name.as_str()).collect();
    names.join(", ")
}

fn heading(item: &Item<'_>, pieces: &[usize], id: &str) -> Markup {
    let n_pieces = item.build.pieces.len();
    html! {
        header.sheet-head {
            h3 id=(format!("{id}-name")) {
                span dir="auto" { (item.part.name) } " · " (item.build.make.word())
                @if pieces.len() < n_pieces { ", piece " (letters(item, pieces)) }
            }
            dl {
                div { dt { "Job" } dd dir="auto" { (item.plan.job) } }
                div { dt { "Schedule" } dd dir="auto" { (item.build.schedule) } }
                @if n_pieces > 1 { div { dt { "Pieces" } dd { (letters(item, &(0..n_pieces).collect::<Vec<_>>())) } } }
                div { dt { "Mesh" } dd { (mesh_line(item.part)) } }
                div { dt { "To build" } dd { (how_many(item)) (copies(item)) "; weights are for one" } }
                @if let Some(mass) = super::beyond::finished_mass(item.build, &item.at) { div { dt { "Finished" } dd { (mass) } } }
                div { dt { "Date" } dd { span.blank {} } }
                div { dt { "Shop" } dd { (shop_temperature(item.plan)) } }
                div { dt { "Lots" } dd { @for what in lots(item) { (what) " " span.blank {} " " } } }
            }
        }
    }
}

/// Figures are for one; a second needs boxes of its own.
fn copies(item: &Item<'_>) -> Markup {
    let hands = item.part.mirrored;
    html! {
        @if item.build.count > 1 {
            ", one copy of this sheet for each: this is number " span.blank.short {}
            @if hands { ", " span.tick {} " as drawn " span.tick {} " mirrored" }
        }
    }
}

fn lots(item: &Item<'_>) -> Vec<&'static str> {
    let agents = item.agents();
    let all = [
        (has_gelcoat(item.build), "gelcoat"),
        (true, "resin"),
        (agents.catalyst, "catalyst"),
        (agents.hardener, "hardener"),
    ];
    all.into_iter().filter(|(used, _)| *used).map(|(_, what)| what).collect()
}

/// What a person chooses at corners before the work begins.
fn to_decide(item: &Item<'_>, decisions: &[Decision<'_>]) -> Markup {
    html! {
        table.to-decide {
            caption { "Decide before work begins: one for each corner" }
            thead { tr { th scope="col" { "Corner (radius)" } th scope="col" { "Met, fails" } th scope="col" { "Tick one, or write corners beside it" } } }
            tbody {
                @for decision in decisions {
                    tr {
                        th scope="row" { (corners_of(item, decision)) }
                        td { (met_word(decision.met_as)) br; "ply " (failing(item, decision)) }
                        td { @for &choice in &decision.choices { span.kept { span.tick {} " " (choice_words(choice, has_gelcoat(item.build))) } " " } }
                    }
                }
            }
        }
    }
}

fn corners_of(item: &Item<'_>, decision: &Decision<'_>) -> Markup {
    let shown = |radius_mm: f64| rounded(radius_mm, 1);
    let first = decision.corners.first();
    let alike = first.filter(|first| {
        decision.corners.iter().all(|other| shown(other.3.corner.radius_mm) == shown(first.3.corner.radius_mm))
    });
    let radius = |piece, corner, radius_mm| figure(radius_mm, 1, &item.corner_at(piece, corner).key("radius_mm"));
    html! {
        @for &(piece, letter, index, met) in &decision.corners {
            span.kept {
                (item.corner_name(letter, &met.corner.id))
                @if alike.is_none() { " (" (radius(piece, index, met.corner.radius_mm)) ")" }
            }
            " "
        }
        @if let Some(&(piece, _, index, met)) = alike { "(" (radius(piece, index, met.corner.radius_mm)) ")" }
    }
}

fn failing(item: &Item<'_>, decision: &Decision<'_>) -> Markup {
    html! {
        @if let Some(&(piece, _, index, _)) = decision.corners.first() {
            (count(decision.failing_ply, &item.corner_at(piece, index).key("first_failing_ply")))
        }
    }
}

const fn met_word(met_as: MetAs) -> &'static str {
    match met_as {
        MetAs::Inside => "inside",
        MetAs::Outside => "outside",
    }
}

const fn choice_words(choice: Choice, has_gelcoat: bool) -> &'static str {
    match choice {
        Choice::FilletBehind if has_gelcoat => "fillet behind the gelcoat",
        Choice::FilletBehind => "fillet (will be the face)",
        Choice::FilletOnPlug => "fill on the plug*",
        Choice::RoundOnPlug => "round on the plug*",
        Choice::LighterFirstPly => "lighter first ply",
        Choice::Tapes => "butt under tapes",
        Choice::Doubler => "doubler",
    }
}

/// What stands at the foot: cautions that belong to no one step, and the sentence before all others. What is minded while
/// the plug is made or materials are stored stands elsewhere on the page: here it would be read past.
fn foot(item: &Item<'_>) -> Markup {
    let agents = item.agents();
    let about = [(agents.catalyst, "spilt catalyst"), (true, "rags"), (true, "ventilation"), (true, "skin")];
    html! {
        footer.sheet-foot {
            p { strong { (FIRST_OF_ALL) } }
            p.small {
                @for (_, about) in about.iter().filter(|(stands, _)| *stands) { (caution(about).unwrap_or_default()) " " }
                @if decisions(item.build, &(0..item.build.pieces.len()).collect::<Vec<_>>()).iter().any(changes_shape) {
                    "* changes the shape of everything that comes off the plug."
                }
            }
        }
    }
}

fn changes_shape(decision: &Decision<'_>) -> bool {
    decision.choices.iter().any(|choice| matches!(choice, Choice::FilletOnPlug | Choice::RoundOnPlug))
}
