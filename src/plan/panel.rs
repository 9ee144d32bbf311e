//! One panel: its skin once, then mould and moulding on it, each split and laid up by its own schedule.

use rayon::prelude::*;

use super::borders::{EdgesHere, PanelEdge, Widths, borders, idle_words, panel_edges};
use super::corners::tight;
use super::cures::cures;
use super::piece::{Bare, Ground, plan_piece};
use super::release::{Drawn, Whole, let_out_by_parts, tell_once};
use super::rough::rough_plug;
use super::together::Together;
use super::types::{Build, PartPlan, PiecePlan, PlyLimit};
use crate::geometry::bending::{self, Bending};
use crate::geometry::corners::Listing;
use crate::geometry::edges::{EdgeLoop, loops};
use crate::geometry::load::LoadFault;
use crate::geometry::mesh::{Mesh, Vector};
use crate::geometry::part::Part;
use crate::geometry::pull::{self, BaseChoice};
use crate::geometry::skin::{FaceChoice, OutwardChoice, SkinKind};
use crate::geometry::split::{AlongSplit, InPlane, Missed, Piece, Plane, SplitResult, clip_corners, cut};
use crate::geometry::stitch::Surface;
use crate::geometry::survey::{Survey, SurveyOptions, survey};
use crate::job::{Base, BaseWord, Face, FaceSide, Job, JobPart, Outward, Shelf, Winding};
use crate::laminate::error::LaminateError;
use crate::laminate::plies::{PlannedPly, PliesPlan, plan_plies};
use crate::laminate::schedule::Make;
use crate::laminate::stages::stages;
use crate::notes::Note;
use crate::watch::Watch;
use crate::workshop::takes::Finished;

/// What a panel is planned from.
#[derive(Debug)]
pub struct Panel<'a> {
    /// Its entry in the job.
    pub entry: &'a JobPart,
    /// Its mesh.
    pub part: Part,
    /// The planes of its splits, in the order of the entry.
    pub planes: Vec<Plane>,
    /// SHA-256 of the mesh file.
    pub mesh_sha256: String,
    /// The scan of its rough plug, or why that cannot be used.
    pub rough: Option<Result<Mesh, LoadFault>>,
}

/// Plans one panel.
///
/// # Errors
/// [`LaminateError`] if a schedule cannot be built from the stock, which a checked job does not bring about.
pub fn plan_panel(panel: Panel<'_>, job: &Job, shelf: &Shelf, watch: &dyn Watch) -> Result<PartPlan, LaminateError> {
    let Panel { entry, part, planes, mesh_sha256, rough: scan } = panel;
    let units = part.unit;
    let survey = survey(part, &survey_options(entry), watch);
    let mut notes: Vec<Note> = survey.notes().cloned().collect();
    notes.extend(assumed_side(entry, &survey));
    let surface = Surface::stitched(survey.laid_mesh());
    let face_regions: Vec<u32> = surface
        .mesh
        .face_ids()
        .map(|face| survey.part.face_regions.get(survey.part_face(face) as usize).copied().unwrap_or(0))
        .collect();
    let face = pull::Face::of(&surface);
    let bending = bending::evened(&surface);
    let walls_mm = survey.laid_walls_mm();
    let whole = cut(&surface, &[]);
    let edges = panel_edges(whole.pieces.iter().flat_map(loops).collect(), &entry.edges);
    let areas_m2: Vec<f64> = whole.pieces.iter().map(Piece::area_m2).collect();
    notes.extend(edges.iter().filter_map(PanelEdge::assumption));
    notes.extend(apart_note(&areas_m2));
    notes.extend(idle_words(&edges, &entry.edges));
    let makes: Vec<Make> =
        [Make::Mould, Make::Moulding].into_iter().filter(|&make| shelf.schedule(job, entry, make).is_some()).collect();
    let distinct = distinct_planes(makes.iter().map(|&make| named_planes(entry, &planes, make)));
    let cuts: Vec<Option<SplitResult>> =
        distinct.par_iter().map(|planes| (!planes.is_empty()).then(|| cut(&surface, planes))).collect();
    let splits: Vec<&SplitResult> = cuts.iter().map(|own| own.as_ref().unwrap_or(&whole)).collect();
    let surfaces: Vec<Vec<Surface<'_>>> = splits.par_iter().map(|split| surfaces(split)).collect();
    let along = entry.pull.map(Vector::from);
    let kept = Whole::of(&face);
    let drawn: Vec<Vec<Option<Drawn<'_>>>> = splits
        .par_iter()
        .zip(&surfaces)
        .map(|(split, surfaces)| {
            let pieces = split.pieces.par_iter().zip(surfaces);
            pieces.map(|(piece, own)| Drawn::of(own, (&face, &kept), piece, along, &shelf.stock.practice)).collect()
        })
        .collect();
    let builds: Result<Vec<Option<Planned>>, LaminateError> = makes
        .into_par_iter()
        .map(|make| {
            let Some((name, schedule)) = shelf.schedule(job, entry, make) else { return Ok(None) };
            let plan = plan_plies(name, schedule, &shelf.stock)?;
            let planes = named_planes(entry, &planes, make);
            let Some(own) = distinct.iter().position(|other| *other == planes) else { return Ok(None) };
            let stage = Stage {
                entry,
                survey: &survey,
                plan: &plan,
                shelf,
                job,
                face_regions: &face_regions,
                bending: &bending,
                walls_mm: &walls_mm,
                edges: &edges,
            };
            let build = stage.build(splits[own], &drawn[own], &planes)?;
            Ok(Some((build, wall_note(&survey, &plan))))
        })
        .collect();
    let (mut builds, wall_notes): (Vec<Build>, Vec<Option<Note>>) = builds?.into_iter().flatten().unzip();
    notes.extend(wall_notes.into_iter().flatten());
    let_out_by_parts(&mut builds);
    tell_once(&mut builds);
    notes.extend(common_notes(&mut builds));
    let area_m2 = surface.mesh.area_m2();
    let (rough, rough_note) = scan.map(|scan| rough_plug(&face, scan, &shelf.stock.practice)).unwrap_or_default();
    notes.extend(rough_note);
    Ok(PartPlan {
        name: entry.name.clone(),
        file: entry.file.clone(),
        units,
        mesh_sha256,
        size_mm: survey.bounds.size_mm().into(),
        kind: survey.skin.kind,
        wall_mm: survey.skin.wall_mm,
        area_m2,
        quantity: entry.quantity,
        mirrored: entry.mirrored,
        builds,
        rough,
        notes,
    })
}

/// A build, and the note that compares the CAD wall with it.
type Planned = (Build, Option<Note>);

/// One make of one panel, on the way from surface to build.
struct Stage<'a> {
    entry: &'a JobPart,
    survey: &'a Survey,
    plan: &'a PliesPlan,
    shelf: &'a Shelf,
    job: &'a Job,
    face_regions: &'a [u32],
    bending: &'a Bending,
    walls_mm: &'a [f32],
    edges: &'a [PanelEdge<'a>],
}

impl Stage<'_> {
    fn build(
        &self,
        split: &SplitResult,
        drawn: &[Option<Drawn<'_>>],
        planes: &[(String, Plane)],
    ) -> Result<Build, LaminateError> {
        let (entry, stock, make) = (self.entry, &self.shelf.stock, self.plan.make);
        let widths = Widths::of(entry, stock);
        let found = tight(&self.survey.found, self.plan);
        let clipped = clip_corners(&found.corners, &found.points, planes, &split.pieces);
        let all_loops: Vec<Vec<EdgeLoop>> = split.pieces.par_iter().map(loops).collect();
        let across: Vec<Vec<f64>> = self.edges.iter().map(|edge| edge.laid_across_m2(planes, &split.pieces)).collect();
        let ground = Ground {
            plan: self.plan,
            stock,
            growth: self.job.growth,
            lap_mm: entry.lap_mm,
            trim_mm: widths.trim_mm,
            flange_mm: widths.flange_mm,
            regions: &self.survey.part.regions,
            face_regions: self.face_regions,
            bending: self.bending,
            walls_mm: self.walls_mm,
        };
        let pieces: Result<Vec<PiecePlan>, LaminateError> = split
            .pieces
            .par_iter()
            .zip(clipped.pieces)
            .zip(&all_loops)
            .enumerate()
            .map(|(number, ((piece, corners), loops))| {
                let laid_across_m2: Vec<f64> = across.iter().map(|shares| shares[number]).collect();
                let here = EdgesHere { edges: self.edges, laid_across_m2: &laid_across_m2 };
                let borders = borders(piece, loops, here, make, widths);
                plan_piece(Bare { piece, drawn: drawn[number].as_ref(), loops, borders, corners }, ground)
            })
            .collect();
        let pieces = pieces?;
        let hands: u32 = if entry.mirrored { 2 } else { 1 };
        Ok(Build {
            make,
            schedule: self.plan.schedule.clone(),
            count: hands.saturating_mul(entry.count(make)),
            together: Together::of(&pieces),
            finished: Finished::default(),
            stages: stages(self.plan, &stock.practice),
            cures: cures(self.plan, stock),
            pieces,
            limits: self.plan.plies.iter().map(limit_of).collect(),
            plies_plan: self.plan.clone(),
            notes: split_notes(split).chain(clipped.along_splits.iter().map(along_split_note)).collect(),
        })
    }
}

fn limit_of(ply: &PlannedPly) -> PlyLimit {
    PlyLimit {
        ply: ply.ply,
        material: ply.material.clone(),
        inside_mm: ply.inside_limit_mm,
        outside_mm: ply.outside_limit_mm,
    }
}

/// Takes what is told of more than one piece out of them, each note once: an opening is the same for mould and moulding.
fn common_notes(builds: &mut [Build]) -> Vec<Note> {
    let lists = |builds: &[Build]| -> Vec<Vec<Note>> {
        builds.iter().flat_map(|build| build.pieces.iter().map(|piece| piece.notes.clone())).collect()
    };
    let all = lists(builds);
    let mut common: Vec<Note> = Vec::new();
    for (number, notes) in all.iter().enumerate() {
        let later = &all[number + 1..];
        let again = notes.iter().filter(|note| later.iter().any(|other| other.contains(note)));
        common.extend(again.filter(|note| !common.contains(note)).cloned().collect::<Vec<_>>());
    }
    for piece in builds.iter_mut().flat_map(|build| &mut build.pieces) {
        piece.notes.retain(|note| !common.contains(note));
    }
    common
}

/// Parts of the moulded face that do not touch are built one by one; a small one is seldom meant.
fn apart_note(areas_m2: &[f64]) -> Option<Note> {
    let largest_m2 = areas_m2.iter().copied().fold(0.0, f64::max);
    let small: Vec<String> =
        areas_m2.iter().filter(|&&area_m2| area_m2 < 0.1 * largest_m2).map(|area_m2| format!("{area_m2:.4}")).collect();
    (!small.is_empty()).then(|| {
        Note::warning(
            "parts-apart",
            format!(
                "the moulded face comes in {} parts that do not touch, among them small ones of {} m2; each is planned as a piece with a mould of its own",
                areas_m2.len(),
                small.join(", ")
            ),
            "if they are faces of a rib or of scrap, take those out of the CAD model before the export",
        )
    })
}

/// What the entry of a panel says of its mesh.
#[must_use]
pub fn survey_options(entry: &JobPart) -> SurveyOptions {
    // Corners are listed build by build, by what its plies follow; here only the search is done.
    let listing = Listing { tighter_than_mm: 0.0, least_turn_deg: 30.0 };
    SurveyOptions {
        listing,
        kind: entry.kind,
        face: match entry.face {
            None | Some(Face::Side(FaceSide::Outside)) => FaceChoice::Outside,
            Some(Face::Side(FaceSide::Inside)) => FaceChoice::Inside,
            Some(Face::Towards(direction)) => FaceChoice::Towards(Vector::from(direction)),
        },
        outward: match entry.outward {
            None | Some(Outward::Winding(Winding::AsWound)) => OutwardChoice::AsWound,
            Some(Outward::Winding(Winding::Reversed)) => OutwardChoice::Reversed,
            Some(Outward::Towards(direction)) => OutwardChoice::Towards(Vector::from(direction)),
        },
        base: match entry.base {
            None | Some(Base::Word(BaseWord::None)) => BaseChoice::None,
            Some(Base::Word(BaseWord::Auto)) => BaseChoice::Auto,
            Some(Base::Towards(direction)) => BaseChoice::Towards(Vector::from(direction)),
        },
        pull: None,
        split: None,
    }
}

/// Which side was taken, where the job does not say.
#[must_use]
pub fn assumed_side(entry: &JobPart, survey: &Survey) -> Option<Note> {
    match survey.skin.kind {
        kind if kind != SkinKind::ThinSolid && entry.face.is_some() => Some(Note::warning(
            "face-without-a-wall",
            "the job says which side of a wall is moulded (`face`), but the panel has no wall: nothing was chosen by it",
            "take `face` out; of an open sheet write outward = .., of a plug base = .., or export the body with its wall",
        )),
        SkinKind::Sheet if entry.outward.is_none() => Some(Note::info(
            "sheet-as-wound",
            "an open sheet has no outside of its own: the side from which its facets run anticlockwise is taken as the one seen on the finished body",
            "if it is the other side, write outward = \"reversed\" (or a direction) in its [[part]]",
        )),
        SkinKind::ThinSolid if entry.face.is_none() => Some(Note::info(
            "face-outside",
            "the body has a wall: its outside is taken as the moulded face, and the inside is left out of every area",
            "if it is the other side, write face = \"inside\" (or a direction) in its [[part]]",
        )),
        _ => None,
    }
}

/// The CAD wall beside what the moulding's schedule builds up.
fn wall_note(survey: &Survey, plan: &PliesPlan) -> Option<Note> {
    let wall_mm = survey.skin.wall_mm.filter(|_| plan.make == Make::Moulding)?;
    let plies_mm = plan.plain_thickness_mm();
    let built_mm = plies_mm.likely + plan.gelcoat_mm();
    let text = format!(
        "the CAD wall is {wall_mm:.2} mm; schedule \"{}\" builds {built_mm:.2} mm ({:.2} mm of plies, {:.2} to {:.2}, and {:.2} mm of gelcoat)",
        plan.schedule,
        plies_mm.likely,
        plies_mm.low,
        plies_mm.high,
        plan.gelcoat_mm()
    );
    // A fit that was drawn to the wall is off by what a hand does not hit anyway within its own range.
    let fits = (plies_mm.low + plan.gelcoat_mm()..=plies_mm.high + plan.gelcoat_mm()).contains(&wall_mm);
    Some(if fits {
        Note::info("wall-and-schedule", text, "")
    } else {
        Note::warning(
            "wall-and-schedule",
            text,
            "change the plies, or draw what fits against the inside by the thickness that is built",
        )
    })
}

fn named_planes(entry: &JobPart, planes: &[Plane], make: Make) -> Vec<(String, Plane)> {
    let splits = entry.splits.iter().zip(planes).filter(|(split, _)| split.of.parts(make));
    splits.map(|(split, plane)| (split.name.clone(), *plane)).collect()
}

/// The sets of planes that differ: what mould and moulding share is cut and drawn off once.
fn distinct_planes(sets: impl Iterator<Item = Vec<(String, Plane)>>) -> Vec<Vec<(String, Plane)>> {
    sets.fold(Vec::new(), |mut distinct, planes| {
        if !distinct.contains(&planes) {
            distinct.push(planes);
        }
        distinct
    })
}

fn surfaces(split: &SplitResult) -> Vec<Surface<'_>> {
    split.pieces.par_iter().map(|piece| Surface::stitched(piece.mesh())).collect()
}

fn split_notes(split: &SplitResult) -> impl Iterator<Item = Note> {
    let missed = split.missed.iter().map(missed_note);
    missed.chain(split.in_plane.iter().map(in_plane_note))
}

fn along_split_note(lost: &AlongSplit) -> Note {
    Note::info(
        "corner-along-split",
        format!(
            "{:.0} mm of corner {} run along split \"{}\"; parted there, its two faces no longer make a corner",
            lost.length_mm, lost.corner, lost.split
        ),
        "",
    )
}

/// That a split cuts nothing.
#[must_use]
pub fn missed_note(missed: &Missed) -> Note {
    let how = match (missed.between, missed.nearest_mm > 0.0) {
        (true, _) => "runs between parts of the panel that do not touch".to_owned(),
        (false, true) => format!("misses the panel by {:.1} mm", missed.nearest_mm),
        (false, false) => "only touches the panel".to_owned(),
    };
    Note::warning(
        "split-cuts-nothing",
        format!("split \"{}\" {how}, so it cuts nothing", missed.split),
        "move its plane, or take the split out of the job",
    )
}

fn in_plane_note(face: &InPlane) -> Note {
    let side = if face.to_plus { "its normal points to" } else { "its normal points away from" };
    Note::info(
        "face-in-split",
        format!(
            "{:.4} m2 of the panel lie in the plane of split \"{}\"; they go to the side that {side}",
            face.area_m2, face.split
        ),
        "move the plane a little if they belong to the other side",
    )
}
