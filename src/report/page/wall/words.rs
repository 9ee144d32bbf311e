//! The steps of a wall sheet in words, with the quantities of the plan.

use maud::{Markup, html};

use super::super::figure::{At, count, figure, spread};
use super::super::procedure::{Spot, Step, has_gelcoat};
use super::super::sheet::{Item, alike, coats, cure_h, habit, listed, measured};
use super::super::starts;
use super::mixes::mixes;
use crate::job::EdgeKind;
use crate::laminate::remedies::{Place, Remedy};
use crate::laminate::schedule::Make;
use crate::workshop::mixes::lines::MixStep;

/// A step in words.
pub fn words(item: &Item<'_>, pieces: &[usize], step: &Step<'_>) -> Markup {
    match step {
        Step::Plug(spots) => plug(item, spots),
        Step::Release => release(item, pieces),
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
        Step::Lift => lift(item, pieces),
        Step::Stage(_) => html! {},
    }
}

fn release(item: &Item<'_>, pieces: &[usize]) -> Markup {
    let tool = match item.build.make {
        Make::Mould => "plug",
        Make::Moulding => "mould",
    };
    html! {
        b { "Release check" } ": " (tool) " clean, dry, as warm as the shop; release agent on in as many coats as its maker says, \
         edges and flanges too; a strip of tape pressed on at the edge pulls off clean."
        @if item.build.make == Make::Mould {
            " Where the sketch has a ring, a port for air or water, stopped flush: " (starts::ports(item, pieces)) "."
        }
        (starts::locked(item, pieces))
    }
}

fn lift(item: &Item<'_>, pieces: &[usize]) -> Markup {
    html! {
        b { "Lift" } ": " (starts::wedges(item, pieces)) ", driven in turn all round, never one lever"
        @if item.build.make == Make::Mould { "; then air or water" }
        ". " (starts::hands(item, pieces)) " Mark it with panel, piece and date. " (weighed(item, pieces))
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
        " mm, by brush in " (coats(gelcoat.n_coats, &item.piece_at(piece).key("gelcoat_coats")))
        @if gelcoat.n_coats > 1 { ", each on the gelled one before. Mix one coat at a time, an even share of what stands here: catalyse only what is brushed next." }
        @else { ". Catalyse only what is brushed next." }
        @if let Some(mixes) = mixes(item, pieces, MixStep::Coat, 1) { @if gelcoat.n_coats > 1 { " Each coat in mixes: " } @else { " In mixes: " } (mixes) "." }
    }
}

fn tack(item: &Item<'_>) -> Markup {
    let practice = &item.plan.practice;
    html! {
        b { "Tack test" } ": touch it where it is thickest, in the deepest corners. Sticky, and the finger comes away clean: lay. Usually after " (habit("gelcoat_tack_min", &practice.gelcoat_tack_min, 0)) " min; over "
        (habit("overlay_most_h", &practice.overlay_most_h, 0)) " h old or not sticky: abrade first."
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
        .iter()
        .flat_map(|&piece| {
            let at: At = item.piece_at(piece).key("fillers");
            let planned = &item.build.pieces[piece];
            planned.filler_ml.iter().enumerate().map(move |(index, (filler, ml))| {
                html! { (measured(*ml, &at.item(index).key("ml"))) " ml of " span dir="auto" { (filler) } }
            })
        })
        .collect();
    html! {
        @if spots.len() > 1 { " For all of them " (listed(all.into_iter())) "." }
        @if let Some(mixes) = mixes(item, &pieces, MixStep::Fillets, 1) { " Mixes for all: " (mixes) "." }
    }
}

fn lighter(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let one = |spot: &Spot<'_>| {
        let Remedy::LighterFirstPly { material, instead_of, .. } = spot.remedy else { return html! {} };
        html! { (name(item, spot)) " " span dir="auto" { (material) } " instead of " span dir="auto" { (instead_of) } }
    };
    html! { b { "Lighter first ply" } ", where ticked: " (listed(spots.iter().map(one))) "." }
}

fn cuts(item: &Item<'_>, spots: &[Spot<'_>]) -> Markup {
    let (gape, lap): (Vec<&Spot<'_>>, Vec<&Spot<'_>>) =
        spots.iter().partition(|spot| matches!(spot.remedy, Remedy::ReliefCuts { opens: true, .. }));
    html! {
        b { "Relief cuts" } " in the next ply and where a ply below says so, each time in other places."
        @if !gape.is_empty() { " They gape and are patched (m² a ply): " (listed(gape.into_iter().map(|spot| cut(item, spot)))) "." }
        @if !lap.is_empty() { " They lap: " (listed(lap.into_iter().map(|spot| cut(item, spot)))) "." }
    }
}

fn cut(item: &Item<'_>, spot: &Spot<'_>) -> Markup {
    let Remedy::ReliefCuts { n_cuts, spacing_mm, opens, patch_m2, .. } = spot.remedy else { return html! {} };
    let at = item.spot_at(spot);
    html! {
        (name(item, spot)) " " (count(n_cuts, &at.key("n_cuts"))) " every " (figure(*spacing_mm, 0, &at.key("spacing_mm"))) " mm"
        @if *opens { " (" (figure(*patch_m2, 3, &at.key("patch_m2"))) ")" }
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
    // Cut so far: what any ply up to this one was the first to run over.
    let met = pieces.iter().filter_map(|&piece| item.build.pieces.get(piece)).flat_map(|piece| &piece.corners);
    let met_so_far = met.filter(|met| met.advice.sees.first().is_some_and(|seen| seen.ply <= index + 1));
    let remedies = met_so_far.flat_map(|met| &met.advice.remedies);
    let n_cut = remedies.filter(|remedy| matches!(remedy, Remedy::ReliefCuts { .. })).count();
    html! {
        "Relief cuts"
        @if again.len() < n_cut { " at " (names(item, again)) }
    }
}

fn cure(item: &Item<'_>) -> Markup {
    let practice = &item.plan.practice;
    html! {
        b { "Cure" } " on the " @if item.build.make == Make::Mould { "plug" } @else { "tool" } " for "
        (cure_h(item.plan, item.build.make)) " h at " (habit("cure_least_c", &practice.cure_least_c, 0))
        " °C or warmer from the last ply."
        @if item.build.make == Make::Mould {
            " Stiffeners go on after " (habit("cure_h", &practice.cure_h, 0)) " h, before it comes off."
        }
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

/// What a finished piece weighs by the plan, and room for what it does weigh.
fn weighed(item: &Item<'_>, pieces: &[usize]) -> Markup {
    html! {
        @for &piece in pieces {
            @let planned = &item.build.pieces[piece];
            span.kept {
                @if item.build.pieces.len() > 1 { "piece " (planned.name) ": " }
                "planned " (spread(planned.lay_up.mass_kg, 1, &item.piece_at(piece), "mass_kg")) " kg, weighed " span.blank {} " kg"
            }
            " "
        }
    }
}
