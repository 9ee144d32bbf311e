//! What the days have to know of a plan beside its pieces: what locks, what cannot be mixed, what stays on a build.

use super::lifting::lifted;
use super::types::{Build, PartPlan};
use crate::job::{Job, JobPart, Shelf};
use crate::laminate::plies::plan_plies;
use crate::laminate::release::Answer;
use crate::laminate::schedule::Make;
use crate::laminate::warnings::{HOT_REMEDY, HOTTEST_C};
use crate::notes::Note;
use crate::units::m_from_mm;
use crate::workshop::days::beside::{Beside, Extra, JointWork, Withheld};
use crate::workshop::mixes::recipe::{Recipe, Stirred};
use crate::workshop::mixes::share::{Refused, share_at};
use crate::workshop::mixes::{Mixes, kind_word, shop_c};
use crate::workshop::needs::NeedKind;
use crate::workshop::takes::asked::{Finish, Joint, JointKind};
use crate::workshop::takes::{Taken, Whose, adhesive_recipe};
use crate::workshop::work::{FlatWork, Work};

/// What the days have to know beside the pieces. The pieces of `work` get the lifting and stiffening that the job asks for.
pub(super) fn beside(
    job: &Job,
    parts: &[PartPlan],
    work: &mut Work,
    taken: &Taken,
    mixes: &Mixes,
    shelf: &Shelf,
) -> Beside {
    let plugs = taken.plugs.iter().filter_map(|plug| Some((plug.part, plug.made_of?)));
    let mut beside = Beside { plugs: plugs.collect(), ..Beside::default() };
    for (part_index, part) in parts.iter().enumerate() {
        for (build_index, build) in part.builds.iter().enumerate() {
            let at = (part_index, build_index);
            beside.withheld.extend(locked(part_index, part, build));
            if let Some(entry) = job.parts.iter().find(|entry| entry.name == part.name) {
                beside.extras.insert(at, extra(at, build, entry, taken, shelf));
                lifting(work, at, build, entry.flange_mm(&shelf.stock), shelf);
                stiffening(work, at, build.make, entry, shelf);
            }
        }
    }
    beside.withheld.extend(unmixed(mixes));
    let too_hot = too_hot(parts, mixes.temperature_c, &beside);
    beside.withheld.extend(too_hot);
    beside
}

/// A mould that locks never leaves its plug, and a moulding that locks never leaves a mould in one piece.
fn locked(part: usize, plan: &PartPlan, build: &Build) -> Option<Withheld> {
    let opens = || plan.builds.iter().any(|other| other.make == Make::Mould && other.pieces.len() > 1);
    if build.make == Make::Moulding && opens() {
        return None;
    }
    let locks =
        |answer: Option<&super::release::Release>| answer.is_some_and(|release| release.answer == Answer::Locks);
    let piece = build.pieces.iter().find(|piece| locks(piece.release.as_ref()))?;
    let other_way = piece.release.as_ref().is_some_and(|release| release.other_pull.is_some());
    let what = if build.pieces.len() > 1 { format!("piece {}", piece.name) } else { "in one piece it".to_owned() };
    Some(Withheld {
        part,
        make: build.make,
        reason: format!("{what} locks and would not come off what it is laid on"),
        remedies: vec![
            if other_way {
                "the direction in which it comes off in one: take `pull` out of its [[part]]".to_owned()
            } else {
                "a split: `matloft splits` searches where ([[part.split]])".to_owned()
            },
            "draft where it locks, or that part of the shape as a loose piece".to_owned(),
        ],
    })
}

/// Builds for which something cannot be mixed as warm as the shop is; the first thing of each.
fn unmixed(mixes: &Mixes) -> Vec<Withheld> {
    let mut withheld: Vec<Withheld> = Vec::new();
    for line in &mixes.lines {
        let Some(material) = mixes.materials.get(line.recipe) else { continue };
        let Some(refusal) = &material.refused else { continue };
        if withheld.iter().any(|known| (known.part, known.make) == (line.place.part, line.make)) {
            continue;
        }
        withheld.push(Withheld {
            part: line.place.part,
            make: line.make,
            reason: format!("{} \"{}\" cannot be mixed: {}", kind_word(material.kind), material.material, refusal.why),
            remedies: vec![refusal.in_short.clone(), "another grade, if its table of gel times holds there".to_owned()],
        });
    }
    withheld
}

/// A plug is filled with polyester, whatever is laid on it: in a shop that is too hot for styrene no plug is begun.
fn too_hot(parts: &[PartPlan], temperature_c: f64, known: &Beside) -> Vec<Withheld> {
    let moulds = parts.iter().enumerate().filter(|(part, plan)| {
        let has_mould = plan.builds.iter().any(|build| build.make == Make::Mould);
        has_mould && temperature_c >= HOTTEST_C && known.withheld(*part, Make::Mould).is_none()
    });
    let withheld = |(part, _)| Withheld {
        part,
        make: Make::Mould,
        reason: format!(
            "its plug's filler holds styrene, and at {temperature_c} C that is not used: from {HOTTEST_C} C on its vapour and \
             air can explode"
        ),
        remedies: vec![HOT_REMEDY.to_owned()],
    };
    moulds.map(withheld).collect()
}

/// What `check` says of a job before any panel is planned: gelcoats, putties, resins and adhesives that cannot be mixed as
/// warm as the shop is expected to be, with what is laid of them.
#[must_use]
pub fn unmixed_notes(job: &Job, shelf: &Shelf) -> Vec<Note> {
    let temperature_c = shop_c(&shelf.stock.practice);
    let useful_min = shelf.mixes.useful_gel_min.spread();
    let mut refused: Vec<(String, Refused, Vec<String>)> = Vec::new();
    for part in &job.parts {
        for make in [Make::Mould, Make::Moulding] {
            for (what, recipe) in recipes(job, part, make, shelf) {
                let Err(refusal) = share_at(&recipe, temperature_c, useful_min) else { continue };
                let of = format!("{} ({})", part.name, make.word());
                match refused.iter_mut().find(|(known, ..)| *known == what) {
                    Some((.., all)) if all.contains(&of) => {}
                    Some((.., all)) => all.push(of),
                    None => refused.push((what, refusal, vec![of])),
                }
            }
        }
    }
    let note = |(what, refusal, of): (String, Refused, Vec<String>)| {
        let message = format!("{what} cannot be mixed: {refusal}; no day is planned for {}", of.join(", "));
        let remedy = format!("take another grade whose table of gel times holds there, or {}", refusal.remedy());
        Note::warning("mixes-refused", message, remedy)
    };
    refused.into_iter().map(note).collect()
}

/// What a build is mixed of, by name: gelcoat, the putty of corners behind it, resins, and what its joints are glued with.
/// Without a panel's shape it is not known whether it has corners to fill.
fn recipes(job: &Job, part: &JobPart, make: Make, shelf: &Shelf) -> Vec<(String, Recipe)> {
    let stock = &shelf.stock;
    let planned = shelf.schedule(job, part, make).and_then(|(name, schedule)| plan_plies(name, schedule, stock).ok());
    let Some(plan) = planned else { return Vec::new() };
    let gelcoat = plan.gelcoat.as_ref().and_then(|gelcoat| stock.gelcoats.get(&gelcoat.name));
    let gelcoat =
        gelcoat.and_then(|gelcoat| Some((format!("gelcoat \"{}\"", gelcoat.name), Recipe::of_gelcoat(gelcoat)?)));
    let putty = stock.fillers.values().next().filter(|_| gelcoat.is_some());
    let putty = putty.and_then(|putty| {
        Some((format!("putty \"{}\", where corners are filled,", putty.name), Recipe::of_filler(putty)?))
    });
    let resins = plan.plies.iter().filter_map(|ply| {
        let resin = stock.resins.get(&ply.resin)?;
        Some((format!("resin \"{}\"", resin.name), Recipe::of_resin(resin, plan.catalyst_percent)?))
    });
    let mut recipes: Vec<(String, Recipe)> = gelcoat.into_iter().chain(putty).chain(resins).collect();
    if make == Make::Moulding {
        let is_of_epoxy = recipes.iter().any(|(_, recipe)| recipe.stirred == Stirred::Hardener);
        recipes.extend(part.joints.iter().filter_map(|joint| adhesive(joint, is_of_epoxy, shelf)));
    }
    recipes.dedup_by(|a, b| a.0 == b.0);
    recipes
}

/// The adhesive of a joint, where it has one that the shop mixes.
fn adhesive(joint: &Joint, is_of_epoxy: bool, shelf: &Shelf) -> Option<(String, Recipe)> {
    let name = joint.adhesive.as_deref().filter(|_| joint.kind != JointKind::Strap || joint.bond_mm.is_some())?;
    let percent = shelf.extras.adhesive_catalyst_percent.spread();
    let catalyst_percent = (!is_of_epoxy && percent.likely > 0.0).then_some(percent);
    Some((format!("adhesive \"{name}\""), adhesive_recipe(name, catalyst_percent, &shelf.stock)?))
}

fn extra(at: (usize, usize), build: &Build, entry: &JobPart, taken: &Taken, shelf: &Shelf) -> Extra {
    let mut extra = Extra::default();
    if build.make == Make::Mould {
        let of_build = |of: &Whose| matches!(of, Whose::Piece(place) if (place.part, place.build) == at);
        let cradle = taken.takes.iter().find(|take| take.kind == NeedKind::CradleTimber && of_build(&take.of));
        extra.cradle_m = cradle.map_or(0.0, |take| take.amounts.m);
        return extra;
    }
    let wet_on = taken.wet_on.get(&at).copied().unwrap_or_default();
    (extra.n_fixings, extra.fixings_m2) = (wet_on.n_fixings, wet_on.fixings_m2);
    extra.peel_ply_m2 = wet_on.peel_ply_m2;
    if let Some(inside) = &entry.inside {
        extra.coat = match inside.finish {
            Finish::Bare => None,
            Finish::Flowcoat => Some("flowcoat"),
            Finish::WaxedResin => Some("waxed resin"),
        };
    }
    extra.joints = joints(build, entry, shelf);
    extra
}

fn joints(build: &Build, entry: &JobPart, shelf: &Shelf) -> Vec<JointWork> {
    let mut joints: Vec<JointWork> = Vec::new();
    if build.pieces.len() < 2 {
        return joints;
    }
    for split in build.pieces.iter().flat_map(|piece| &piece.splits) {
        if joints.iter().any(|joint| joint.split == split.name) {
            continue;
        }
        let told = entry.joints.iter().find(|joint| joint.split == split.name);
        let kind = told.map_or(JointKind::Strap, |joint| joint.kind);
        let (usual_mm, usual_plies) = match kind {
            JointKind::Strap => (shelf.extras.strap_width_mm.value, shelf.extras.strap_plies.value),
            JointKind::Lap | JointKind::Joggle => (shelf.extras.lap_width_mm.value, 0.0),
            JointKind::ReturnFlange => (shelf.extras.return_flange_width_mm.value, 0.0),
        };
        joints.push(JointWork {
            split: split.name.clone(),
            kind: kind.words(),
            length_m: m_from_mm(split.length_mm),
            width_m: m_from_mm(told.and_then(|joint| joint.width_mm).unwrap_or(usual_mm)),
            n_plies: told.and_then(|joint| joint.plies).map_or(usual_plies, f64::from),
        });
    }
    joints
}

/// Who lifts each piece with what stays on it, and with the flanges round a mould.
fn lifting(work: &mut Work, at: (usize, usize), build: &Build, flange_mm: f64, shelf: &Shelf) {
    for piece in work.pieces.iter_mut().filter(|piece| (piece.place.part, piece.place.build) == at) {
        let of_plan = build.pieces.get(piece.place.piece);
        piece.lifted_by = of_plan.map(|of_plan| lifted(build, of_plan, flange_mm, &shelf.stock.practice).hands);
    }
}

/// Stiffeners that the job asks for stand for the flat that they cover.
fn stiffening(work: &mut Work, at: (usize, usize), make: Make, entry: &JobPart, shelf: &Shelf) {
    let Some(told) = entry.stiffening.as_ref().filter(|_| make == Make::Mould) else { return };
    let Some(metres) = told.metres else { return };
    let spacing_mm = told.spacing_mm.unwrap_or(shelf.extras.stiffener_spacing_mm.value);
    for piece in work.pieces.iter_mut().filter(|piece| (piece.place.part, piece.place.build) == at) {
        let span_mm = piece.stiffen.map_or(spacing_mm, |flat| flat.span_mm);
        let area_m2 = metres * m_from_mm(spacing_mm);
        piece.stiffen = (metres > 0.0).then_some(FlatWork { area_m2, span_mm });
    }
}
