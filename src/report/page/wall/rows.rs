//! The table of work on a wall sheet: a row for each step, a line for each piece where pieces are weighed apart.

use maud::{Markup, html};

use super::super::figure::{count, figure};
use super::super::procedure::{Step, has_gelcoat, steps};
use super::super::sheet::{Item, caution, kg, measured};
use super::mixes::mixes;
use super::words::words;
use crate::laminate::cure::{Agent, Dose};
use crate::laminate::schedule::Make;
use crate::laminate::stages::StageEnd;
use crate::laminate::stock::Family;
use crate::workshop::mixes::lines::MixStep;

/// Columns of figures: laid area, glass, resin, grams, millilitres.
const N_FIGURES: usize = 5;
/// Columns to write in: done, initials, time, temperature.
const N_BOXES: usize = 4;

/// How many lines a step takes, about.
pub fn n_lines(step: &Step<'_>, n_pieces: usize) -> usize {
    // A list of corners runs over the width of the sheet; about this many stand on a line.
    const SPOTS_ON_A_LINE: usize = 4;
    match step {
        Step::Gelcoat | Step::Ply(..) => n_pieces,
        Step::Plug(spots)
        | Step::Fillets(spots)
        | Step::Lighter(spots)
        | Step::Cuts(spots)
        | Step::Tapes(spots)
        | Step::Doublers(spots) => 1 + spots.len() / SPOTS_ON_A_LINE,
        _ => 1,
    }
}

/// The table.
pub fn table(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let lettered = pieces.len() > 1;
    let n_columns = 2 + usize::from(lettered) + N_FIGURES + N_BOXES;
    let steps = numbered(steps(item.build, pieces));
    html! {
        div.first-page {
            (caution(eye_wash(item)).unwrap_or_default())
        }
        div.wide {
            table.work {
                colgroup {
                    col.no; col.what;
                    @if lettered { col.letter; }
                    @for _ in 0..N_FIGURES { col.figure; }
                    @for _ in 0..N_BOXES { col.box; }
                }
                thead {
                    tr.continued { th colspan=(n_columns) scope="colgroup" {
                        span dir="auto" { (item.part.name) } " · " (item.build.make.word()) " · "
                        span dir="auto" { (item.plan.job) } ", continued"
                    } }
                    tr {
                        th scope="col" { "No." }
                        th scope="col" { "Order of work, from the tool outwards" }
                        @if lettered { th scope="col" { "Piece" } }
                        th scope="col" { "Laid m²" }
                        th scope="col" { "Glass, dry kg" }
                        th scope="col" { (resin_word(item)) }
                        th scope="col" { (item.agents().word()) " g" }
                        th scope="col" { "ml" }
                        th scope="col" { "Done" }
                        th scope="col" { "Initials" }
                        th scope="col" { "Time" }
                        th scope="col" { "°C" }
                    }
                }
                tbody {
                    @for (number, step) in &steps {
                        (caution_row(&cautions(item, step), n_columns))
                        @if let Step::Stage(index) = step {
                            (stage_row(item, pieces, *index, n_columns))
                        } @else {
                            (row(item, pieces, step, *number))
                        }
                    }
                }
            }
        }
    }
}

/// The caution that stands over the whole table: peroxide's, or else the hardener's.
fn eye_wash(item: &Item<'_>) -> &'static str {
    if item.agents().catalyst { "catalyst in the eye" } else { "hardener in the eye" }
}

/// Steps with their numbers; a stage is a heading and has none of its own.
fn numbered(steps: Vec<Step<'_>>) -> Vec<(usize, Step<'_>)> {
    let counted = steps.into_iter().scan(0, |number, step| {
        *number += usize::from(!matches!(step, Step::Stage(_)));
        Some((*number, step))
    });
    counted.collect()
}

/// An epoxy is weighed as resin and hardener.
fn resin_word(item: &Item<'_>) -> &'static str {
    match (has_gelcoat(item.build), item.agents().hardener) {
        (true, false) => "Gelcoat, resin kg",
        (true, true) => "Gelcoat, resin alone kg",
        (false, true) => "Resin alone kg",
        (false, false) => "Resin kg",
    }
}

/// The cautions that stand before a step.
fn cautions(item: &Item<'_>, step: &Step<'_>) -> Vec<&'static str> {
    let agents = item.agents();
    let styrene = item.build.cures.iter().any(|cure| cure.family != Family::Epoxy);
    let first_mix = if has_gelcoat(item.build) { *step == Step::Gelcoat } else { *step == Step::Stage(0) };
    let mut about = Vec::new();
    if matches!(step, Step::Plug(_)) {
        about.push("dust");
    }
    if *step == Step::Release {
        about.push("wax and release agent");
        about.extend((item.build.make == Make::Mould).then_some("test patch"));
    }
    if matches!(step, Step::Fillets(_)) {
        about.push("putty's hardener");
    }
    if first_mix && agents.catalyst {
        about.extend(["accelerator", "thinning catalyst"]);
    }
    if first_mix && styrene {
        about.extend(["styrene", "fire", "hot day"]);
    }
    if first_mix && agents.hardener {
        about.extend(agents.catalyst.then_some("hardener in the eye"));
        about.push("epoxy's ratio");
    }
    if first_mix {
        about.push("heat of the mix");
    }
    if *step == Step::Stage(1) {
        about.push("thick laminate");
    }
    if *step == Step::Stage(0) {
        about.extend(["cold shop", "heating"]);
    }
    if *step == Step::Trim {
        about.push("dust");
    }
    if *step == Step::Lift {
        about.push("taking off");
    }
    about
}

fn caution_row(about: &[&str], n_columns: usize) -> Markup {
    html! {
        @if !about.is_empty() {
            tr.caution {
                td colspan=(n_columns) {
                    span.mind { "Mind" }
                    @for text in about.iter().filter_map(|about| caution(about)) { " " (text) }
                }
            }
        }
    }
}

fn stage_row(item: &Item<'_>, pieces: &[usize], index: usize, n_columns: usize) -> Markup {
    let at = item.at.key("stages").item(index);
    let Some(stage) = item.build.stages.get(index) else { return html! {} };
    html! {
        tr.stage {
            th colspan=(n_columns) scope="rowgroup" {
                "Stage " (count(stage.stage, &at.key("stage"))) ": "
                @if stage.from_ply == stage.to_ply {
                    "ply " (count(stage.from_ply, &at.key("from_ply"))) " alone"
                } @else {
                    "plies " (count(stage.from_ply, &at.key("from_ply"))) " to " (count(stage.to_ply, &at.key("to_ply"))) " in one go"
                }
                ", " (figure(stage.glass_g_m2, 0, &at.key("glass_g_m2"))) " g/m² of glass, "
                (figure(stage.thickness_mm, 1, &at.key("thickness_mm"))) " mm. "
                @if let Some(mixes) = mixes(item, pieces, MixStep::Stage, stage.stage) { "Mixes: " (mixes) ". " }
                span.plain {
                    @if index > 0 { "Only when the stage before has gelled, heated and cooled. " }
                    @if stage.ends == StageEnd::BehindGelcoat { "One light ply makes little heat: keep it warm until cured." }
                    @if stage.ends == StageEnd::CoreBedded { "Hold the core down until its bed has set." }
                }
            }
        }
    }
}

fn row(item: &Item<'_>, pieces: &[usize], step: &Step<'_>, number: usize) -> Markup {
    match step {
        Step::Gelcoat | Step::Ply(..) => weighed_rows(item, pieces, step, number),
        _ => plain_row(item, pieces, step, number),
    }
}

/// A step without weights: its text runs over the columns of figures.
fn plain_row(item: &Item<'_>, pieces: &[usize], step: &Step<'_>, number: usize) -> Markup {
    let lettered = pieces.len() > 1;
    html! {
        tr {
            td.no { (number) }
            td colspan=(1 + usize::from(lettered) + N_FIGURES) { (words(item, pieces, step)) }
            td.box {
                @for &piece in pieces {
                    @if pieces.len() > 1 { span.kept { (item.build.pieces[piece].name) " " span.tick {} } " " } @else { span.tick {} }
                }
            }
            td.box {} td.box {} td.box {}
        }
    }
}

fn weighed_rows(item: &Item<'_>, pieces: &[usize], step: &Step<'_>, number: usize) -> Markup {
    let lettered = pieces.len() > 1;
    html! {
        @for (line, &piece) in pieces.iter().enumerate() {
            tr {
                @if line == 0 {
                    td.no rowspan=(pieces.len()) { (number) }
                    td rowspan=(pieces.len()) { (words(item, pieces, step)) }
                }
                @if lettered { td.letter { (item.build.pieces[piece].name) } }
                @match step {
                    Step::Ply(index, _) => { (ply_figures(item, piece, *index)) }
                    _ => { (gelcoat_figures(item, piece)) }
                }
                td.box { span.tick {} } td.box {} td.box {} td.box {}
            }
        }
    }
}

fn ply_figures(item: &Item<'_>, piece: usize, index: usize) -> Markup {
    let at = item.piece_at(piece).key("plies").item(index);
    let Some(ply) = item.build.pieces[piece].lay_up.plies.get(index) else { return html! {} };
    html! {
        td.figure { (figure(ply.laid_m2, 2, &at.key("laid_m2"))) }
        td.figure {
            @if ply.core_kg > 0.0 { "core " (kg(ply.core_kg, &at.key("core_kg"))) } @else { (kg(ply.glass_kg, &at.key("glass_kg"))) }
        }
        td.figure { (kg(ply.resin_alone_kg, &at.key("resin_alone_kg"))) }
        @match ply.dose {
            Some(dose) => {
                @let [g, ml] = dose_keys(dose);
                td.figure { span.agent { (agent_word(item, dose)) } (measured(dose.g, &at.key(g))) }
                td.figure { (measured(dose.ml, &at.key(ml))) }
            }
            None => { td {} td {} }
        }
    }
}

fn gelcoat_figures(item: &Item<'_>, piece: usize) -> Markup {
    let at = item.piece_at(piece);
    let Some(gelcoat) = &item.build.pieces[piece].lay_up.gelcoat else {
        return html! { td {} td {} td {} td {} td {} };
    };
    html! {
        td {} td {}
        td.figure { (kg(gelcoat.alone_kg, &at.key("gelcoat_alone_kg"))) }
        @match gelcoat.dose {
            Some(dose) => {
                @let at = at.key("gelcoat_dose");
                td.figure { span.agent { (agent_word(item, dose)) } (measured(dose.g, &at.key("g"))) }
                td.figure { (measured(dose.ml, &at.key("ml"))) }
            }
            None => { td {} td {} }
        }
    }
}

const fn dose_keys(dose: Dose) -> [&'static str; 2] {
    match dose.agent {
        Agent::Catalyst => ["catalyst_g", "catalyst_ml"],
        Agent::Hardener => ["hardener_g", "hardener_ml"],
    }
}

/// Which of the two it is, where a sheet has both.
fn agent_word(item: &Item<'_>, dose: Dose) -> &'static str {
    let agents = item.agents();
    match (agents.catalyst && agents.hardener, dose.agent) {
        (false, _) => "",
        (true, Agent::Catalyst) => "cat. ",
        (true, Agent::Hardener) => "hard. ",
    }
}
