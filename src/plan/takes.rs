//! What is taken beside the lay-ups: from the job and the plan to the workshop, and back to each build.

use super::lifting;
use super::types::{Build, PartPlan};
use crate::job::{Job, Shelf};
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::stock::Practice;
use crate::notes::Note;
use crate::units::l_from_ml;
use crate::workshop::takes::habits::Plug;
use crate::workshop::takes::{Asked, Finished, Habits, Taken, takes};
use crate::workshop::work::Work;

/// Reckons what is taken beside the lay-ups, and gives every build what stays on it and the notes that are on it.
pub(super) fn beside_lay_ups(job: &Job, parts: &mut [PartPlan], work: &Work, shelf: &Shelf) -> Taken {
    let entry = |part: &PartPlan| job.parts.iter().find(|entry| entry.name == part.name);
    let asked: Vec<Asked<'_>> = parts
        .iter()
        .map(|part| {
            entry(part).map_or_else(Asked::default, |entry| Asked {
                joints: &entry.joints,
                fixings: &entry.fixings,
                stiffening: entry.stiffening.as_ref(),
                inside: entry.inside.as_ref(),
                flange_mm: entry.flange_mm(&shelf.stock),
                size_mm: part.size_mm,
            })
        })
        .collect();
    // A job that was read has no plug that cannot be.
    let plug =
        |part| entry(part).and_then(|entry| shelf.plug_of(job, entry).ok()).unwrap_or_else(|| shelf.plug.clone());
    let plugs: Vec<Plug> = parts.iter().map(|part| scanned(plug(part), part)).collect();
    let Shelf { extras, plug, consumables, crew, pace, .. } = shelf;
    let habits = Habits { extras, plug, consumables, crew, pace, colour: job.colour.as_ref() };
    let taken = takes(work, &asked, &plugs, habits, &shelf.stock);
    for (part_index, part) in parts.iter_mut().enumerate() {
        for (build_index, build) in part.builds.iter_mut().enumerate() {
            let at = (part_index, build_index);
            let lines = taken.finished.get(&at).cloned().unwrap_or_default();
            build.finished = Finished::of(build.mass_kg(), lines);
            let notes = taken.build_notes.iter().filter(|(of, _)| *of == at);
            build.notes.extend(notes.map(|(_, note)| note.clone()));
            let flange_mm = asked.get(part_index).map_or(0.0, |asked| asked.flange_mm);
            let heavier = lifted(build, flange_mm, &shelf.stock.practice);
            build.notes.extend(heavier);
        }
    }
    taken
}

/// The plug with the depth of filler that a scan of it shows, where the job gives a scan and no depth of its own.
fn scanned(plug: Plug, part: &PartPlan) -> Plug {
    // What is sanded off again, of what fills the hollows: up to half as much. Common practice, no source.
    const SANDED_OFF: f64 = 1.5;
    let Some(rough) = part.rough.as_ref().filter(|_| plug.filler_mm.is_none() && part.area_m2 > 0.0) else {
        return plug;
    };
    // A litre on a square metre is a millimetre.
    let depth_mm = l_from_ml(rough.fill_ml) / part.area_m2;
    let source = "volume between the scan of the rough plug and the skin, over the skin; the high value for what is sanded off again, common practice without a source";
    let figure = Figure { high: SANDED_OFF * depth_mm, ..Figure::new(depth_mm, Mark::Derived, source) };
    Plug { filler_mm: Some(figure), ..plug }
}

/// Who lifts each piece with its share of what stays on the build beside its plies; a warning if that makes a build in one piece
/// heavier than those can lift who lift its plies alone.
fn lifted(build: &mut Build, flange_mm: f64, practice: &Practice) -> Option<Note> {
    let finished_kg = build.finished.mass_kg.likely;
    let of_pieces: Vec<lifting::Lifted> =
        build.pieces.iter().map(|piece| lifting::lifted(build, piece, flange_mm, practice)).collect();
    let mut more = None;
    for (piece, lifted) in build.pieces.iter_mut().zip(of_pieces) {
        let Some(release) = &mut piece.release else { continue };
        (release.lifted_kg, release.hands) = (lifted.kg, lifted.hands);
        more = more.or((lifted.hands > lifted.by_plies).then_some(lifted.hands));
    }
    more.filter(|_| build.pieces.len() == 1).map(|hands| {
        Note::warning(
            "heavier-finished",
            format!("with what stays on it beside its plies it weighs {finished_kg:.0} kg, more than those lift who lift the plies alone"),
            format!("have {} for it", hands.words()),
        )
    })
}
