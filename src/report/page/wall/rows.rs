//! The table of work on a wall sheet: a row for each step, a line for each piece where pieces are weighed apart.

use maud::{Markup, html};

use super::super::figure::{At, count, figure, spread};
use super::super::procedure::{Spot, Step, has_gelcoat, steps};
use super::super::sheet::{Item, alike, caution, habit, kg, listed, measured};
use super::weighed;
use crate::job::EdgeKind;
use crate::laminate::cure::{Agent, Dose};
use crate::laminate::remedies::{Place, Remedy};
use crate::laminate::schedule::Make;
use crate::laminate::stages::StageEnd;
use crate::laminate::stock::Family;

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
        div.first-page {}
        div.wide {
            table.work {
                colgroup {
                    col.number; col.what;
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
                        (caution_rows(&cautions(item, step), n_columns))
                        @if let Step::Stage(index) = step {
                            (stage_row(item, *index, n_columns))
                        } @else {
                            (row(item, pieces, step, *number))
                        }
                    }
                }
            }
        }
    }
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
        (true, true) => "Gelcoat, resin kg, no hardener in it",
        (false, true) => "Resin kg, no hardener in it",
        (false, false) => "Resin kg",
    }
}

/// The cautions that stand before a step.
fn cautions(item: &Item<'_>, step: &Step<'_>) -> Vec<&'static str> {
    let agents = item.agents();
    let styrene = item.build.cures.iter().any(|cure| cure.family != Family::Epoxy);
    let first_mix = if has_gelcoat(item.build) { *step == Step::Gelcoat } else { *step == Step::Stage(0) };
    let mut about = Vec::new();
    if *step == Step::Release && item.build.make == Make::Mould {
        about.push("test patch");
    }
    if first_mix && agents.catalyst {
        about.extend(["catalyst in the eye", "accelerator", "thinning catalyst"]);
    }
    if first_mix && styrene {
        about.extend(["styrene", "fire"]);
    }
    if first_mix && agents.hardener {
        about.push("epoxy's ratio");
    }
    if first_mix {
        about.push("heat of the mix");
    }
    if *step == Step::Stage(1) {
        about.push("thick laminate");
    }
    if *step == Step::Stage(0) {
        about.push("cold shop");
    }
    if *step == Step::Trim {
        about.push("dust");
    }
    about
}

/// The eye wash in a row of its own, the others in one.
fn caution_rows(about: &[&str], n_columns: usize) -> Markup {
    let (eye, others): (Vec<&str>, Vec<&str>) = about.iter().partition(|about| **about == "catalyst in the eye");
    let row = |about: &[&str]| {
        html! {
            @if !about.is_empty() {
                td colspan=(n_columns) {
                    span.mind { "Mind" }
                    @for text in about.iter().filter_map(|about| caution(about)) { " " (text) }
                }
            }
        }
    };
    html! {
        @if !eye.is_empty() { tr.caution.eye-wash { (row(&eye)) } }
        @if !others.is_empty() { tr.caution { (row(&others)) } }
    }
}

fn stage_row(item: &Item<'_>, index: usize, n_columns: usize) -> Markup {
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
            td.number { (number) }
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
                    td.number rowspan=(pieces.len()) { (number) }
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
                td.figure { (agent_word(item, dose)) (measured(dose.g, &at.key(g))) }
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
                td.figure { (agent_word(item, dose)) (measured(dose.g, &at.key("g"))) }
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

fn words(item: &Item<'_>, pieces: &[usize], step: &Step<'_>) -> Markup {
    match step {
        Step::Plug(spots) => plug(item, spots),
        Step::Release => release(item),
        Step::Gelcoat => gelcoat(item, pieces),
        Step::Tack => tack(item),
        Step::Fillets(spots) => fillets(item, spots),
        Step::Lighter(spots) => lighter(item, spots),
        Step::Cuts(spots) => cuts(item, spots),
        Step::Tapes(spots) => tapes(item, spots),
        Step::Ply(index, again) => ply(item, pieces, *index, again),
        Step::Doublers(spots) => doublers(item, spots),
        Step::Cure => cure(item),
        Step::Trim => trim(item, pieces),
        Step::Lift => html! { b { "Lift" } " and mark it with panel, piece and date. " (weighed(item, pieces)) },
        Step::Stage(_) => html! {},
    }
}

fn release(item: &Item<'_>) -> Markup {
    let tool = match item.build.make {
        Make::Mould => "plug",
        Make::Moulding => "mould",
    };
    html! {
        b { "Release check" } ": " (tool) " clean, dry, as warm as the shop; release agent on in as many coats as its maker says, \
         edges and flanges too; a strip of tape pressed on at the edge pulls off clean."
    }
}

fn gelcoat(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let Some((piece, gelcoat)) =
        pieces.iter().find_map(|&piece| Some((piece, item.build.pieces.get(piece)?.lay_up.gelcoat.as_ref()?)))
    else {
        return html! {};
    };
    html! {
        b { "Gelcoat" } " " span dir="auto" { (gelcoat.name) }
        @if let Some(colour) = &gelcoat.colour { ", " span dir="auto" { (colour) } }
        ": film " (spread(gelcoat.thickness_mm, 1, &item.piece_at(piece), "gelcoat_mm"))
        " mm. By brush in two coats, the second on the gelled first; catalyse each in its turn."
    }
}

fn tack(item: &Item<'_>) -> Markup {
    let practice = &item.plan.practice;
    html! {
        b { "Tack test" } ": touch it where it is thickest, in the deepest corners. Sticky, and the finger comes away clean: lay. Usually after " (habit("gelcoat_tack_min", &practice.gelcoat_tack_min, 0)) " min; over "
        (habit("overlay_most_h", &practice.overlay_most_h, 0)) " h old or not sticky: abrade first. The maker's sheet decides."
    }
}

fn name(item: &Item<'_>, spot: &Spot<'_>) -> Markup {
    html! { b { (item.corner_name(spot.letter, spot.id)) } }
}

fn names(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    listed(spots.iter().map(|spot| name(item, spot)))
}

fn plug(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let one = |spot: &Spot<'_>| {
        let at = item.spot_at(spot);
        html! {
            @match spot.remedy {
                Remedy::Round { from_radius_mm, to_radius_mm, .. } => {
                    (name(item, spot)) " rounded from " (figure(*from_radius_mm, 1, &at.key("from_radius_mm")))
                    " to " (figure(*to_radius_mm, 1, &at.key("to_radius_mm"))) " mm"
                }
                Remedy::Fill { from_radius_mm, to_radius_mm, filler_ml, .. } => {
                    (name(item, spot)) " filled from " (figure(*from_radius_mm, 1, &at.key("from_radius_mm")))
                    " to " (figure(*to_radius_mm, 1, &at.key("to_radius_mm"))) " mm, "
                    (measured(*filler_ml, &at.key("filler_ml"))) " ml"
                }
                _ => {}
            }
        }
    };
    html! {
        b { "On the plug" } ", before a mould is made of it, where ticked (this changes the shape): "
        (listed(spots.iter().map(one))) "."
    }
}

const fn fill_of(remedy: &Remedy) -> [f64; 3] {
    match remedy {
        Remedy::Fill { to_radius_mm, leg_mm, filler_ml, place: Place::BehindGelcoat, .. } => {
            [*to_radius_mm, *leg_mm, *filler_ml]
        }
        _ => [0.0; 3],
    }
}

fn fillets(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let radius = |spot: &Spot<'_>| {
        let at = item.spot_at(spot);
        let [radius_mm, leg_mm, _] = fill_of(spot.remedy);
        html! {
            (figure(radius_mm, 1, &at.key("to_radius_mm"))) " mm radius, " (figure(leg_mm, 0, &at.key("leg_mm"))) " mm up each face"
        }
    };
    let same = alike(spots, 1, |spot| fill_of(spot.remedy)[0])
        .filter(|_| alike(spots, 0, |spot| fill_of(spot.remedy)[1]).is_some());
    let one = |spot: &Spot<'_>| {
        let ml = measured(fill_of(spot.remedy)[2], &item.spot_at(spot).key("filler_ml"));
        html! { (name(item, spot)) " " (ml) " ml" @if same.is_none() { " to " (radius(spot)) } }
    };
    html! {
        @if has_gelcoat(item.build) {
            b { "Fillets behind the gelcoat" } ", where ticked"
        } @else {
            b { "Fillets" } ", where ticked; there is no gelcoat, so this putty will be the face"
        }
        @if let Some(spot) = same { ", to " (radius(spot)) }
        ": " (listed(spots.iter().map(one))) "." (putty(item, spots))
        " Let it set; take off nibs."
    }
}

/// Putty for all fillets of the pieces at hand.
fn putty(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let mut pieces: Vec<usize> = spots.iter().map(|spot| spot.piece).collect();
    pieces.dedup();
    let all: Vec<Markup> = pieces
        .into_iter()
        .flat_map(|piece| {
            let at: At = item.piece_at(piece).key("fillers");
            let planned = &item.build.pieces[piece];
            planned.filler_ml.iter().enumerate().map(move |(index, (filler, ml))| {
                html! { (measured(*ml, &at.item(index).key("ml"))) " ml of " span dir="auto" { (filler) } }
            })
        })
        .collect();
    html! { @if spots.len() > 1 { " For all of them " (listed(all.into_iter())) "." } }
}

fn lighter(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let one = |spot: &Spot<'_>| {
        let Remedy::LighterFirstPly { material, instead_of, .. } = spot.remedy else { return html! {} };
        html! { (name(item, spot)) " " span dir="auto" { (material) } " instead of " span dir="auto" { (instead_of) } }
    };
    html! { b { "Lighter first ply" } ", where ticked: " (listed(spots.iter().map(one))) "." }
}

fn cuts(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let one = |spot: &Spot<'_>| {
        let Remedy::ReliefCuts { n_cuts, spacing_mm, gap_mm, opens, patch_m2, .. } = spot.remedy else {
            return html! {};
        };
        let at = item.spot_at(spot);
        html! {
            (name(item, spot)) " " (count(n_cuts, &at.key("n_cuts"))) ", every "
            (figure(*spacing_mm, 0, &at.key("spacing_mm"))) " mm, "
            @if *opens { "gape " } @else { "lap " }
            (figure(*gap_mm, 0, &at.key("gap_mm"))) " mm"
            @if *opens { " (patch " (figure(*patch_m2, 3, &at.key("patch_m2"))) " m² a ply)" }
        }
    };
    let listed =
        spots.iter().enumerate().map(|(index, spot)| html! { @if index > 0 { "; " } span.kept { (one(spot)) } });
    html! {
        b { "Relief cuts" } " in the next ply and again where a ply below says so, each time in other places: "
        @for spot in listed { (spot) } "."
    }
}

fn tapes(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let of = |spot: &Spot<'_>| match spot.remedy {
        Remedy::ButtUnderTape { width_mm, length_mm, n_tapes, material, .. } => {
            (*width_mm, *length_mm, *n_tapes, material.clone())
        }
        _ => (0.0, 0.0, 0, String::new()),
    };
    let Some(first) = spots.first() else { return html! {} };
    let one = |spot: &Spot<'_>| {
        let at = item.spot_at(spot);
        let (_, length_mm, n_tapes, _) = of(spot);
        html! { (name(item, spot)) " " (count(n_tapes, &at.key("n_tapes"))) " of " (figure(length_mm, 0, &at.key("length_mm"))) " mm" }
    };
    html! {
        b { "Tapes" } ", where ticked: from the next ply on butt each ply on either face and cover the butt with a tape of "
        span dir="auto" { (of(first).3) } ", " (figure(of(first).0, 0, &item.spot_at(first).key("width_mm"))) " mm wide: "
        (listed(spots.iter().map(one))) "."
    }
}

fn doublers(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let of = |spot: &Spot<'_>| match spot.remedy {
        Remedy::Doubler { width_mm, length_mm, material, .. } => (*width_mm, *length_mm, material.clone()),
        _ => (0.0, 0.0, String::new()),
    };
    let Some(first) = spots.first() else { return html! {} };
    let one = |spot: &Spot<'_>| {
        html! { (name(item, spot)) " " (figure(of(spot).1, 0, &item.spot_at(spot).key("length_mm"))) " mm" }
    };
    html! {
        b { "Doublers" } ", where ticked, of " span dir="auto" { (of(first).2) } ", "
        (figure(of(first).0, 0, &item.spot_at(first).key("width_mm"))) " mm wide, over the ply just laid: "
        (listed(spots.iter().map(one))) "."
    }
}

fn ply(item: &Item<'_>, pieces: &[usize], index: usize, again: &[Spot<'_>]) -> Markup {
    let first = pieces.first().copied().unwrap_or(0);
    let Some(ply) = item.build.pieces.get(first).and_then(|piece| piece.lay_up.plies.get(index)) else {
        return html! {};
    };
    let at = item.piece_at(first).key("plies").item(index);
    let several_resins = item.build.cures.iter().filter(|cure| !cure.is_gelcoat).count() > 1;
    html! {
        b { "Ply " (count(ply.ply, &at.key("ply"))) } " " span dir="auto" { (ply.material) }
        @if ply.name != ply.material { ", " span dir="auto" { (ply.name) } }
        @if ply.zone != "all" { ": " span dir="auto" { (ply.zone) } }
        @if several_resins { ", in " span dir="auto" { (ply.resin) } }
        @if !again.is_empty() { ". " (cut_again(item, pieces, index, again)) }
    }
}

/// The corners where a ply is cut as plies before it were; by name only where some of them are left out.
fn cut_again(item: &Item<'_>, pieces: &[usize], index: usize, again: &[Spot<'_>]) -> Markup {
    let before =
        steps(item.build, pieces).into_iter().take_while(|step| !matches!(step, Step::Ply(ply, _) if *ply == index));
    let n_cut: usize = before.map(|step| if let Step::Cuts(spots) = step { spots.len() } else { 0 }).sum();
    html! {
        "Relief cuts"
        @if again.len() < n_cut { " at " (names(item, again)) }
    }
}

fn cure(item: &Item<'_>) -> Markup {
    let practice = &item.plan.practice;
    html! {
        b { "Cure" } " on the tool for " (habit("cure_h", &practice.cure_h, 0)) " h at "
        (habit("cure_least_c", &practice.cure_least_c, 0)) " °C or warmer from the last ply."
        @if item.build.make == Make::Mould { " Stiffeners: on the cured, cooled skin, before it comes off." }
    }
}

fn trim(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let planned = || pieces.iter().filter_map(|&piece| item.build.pieces.get(piece));
    let openings = planned().flat_map(|piece| &piece.edges).any(|edge| edge.kind == EdgeKind::LaidAcross);
    let mut splits: Vec<&str> = planned().flat_map(|piece| &piece.splits).map(|split| split.name.as_str()).collect();
    splits.sort_unstable();
    splits.dedup();
    html! {
        b { "Trim" }
        @match item.build.make {
            Make::Mould => { " the flanges to their width" }
            Make::Moulding => { " to the line" @if openings { ", and cut out what was laid across openings" } }
        }
        @if !splits.is_empty() { "; split lines: " (listed(splits.iter().map(|split| html! { span dir="auto" { (split) } }))) }
        "."
    }
}
