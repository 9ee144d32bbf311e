//! The document of `plan`: what plan.json holds. Numbers are unrounded; likely values stand alone, with low and high
//! beside them where a hand cannot hit them.

use std::io::{self, Write};

use serde::Serialize;

use super::builds::{CureEntry, Range, TogetherEntry};
use super::order::{self, OrderEntry};
use super::pull::{PullEntry, ReleaseEntry};
use super::rough::RoughEntry;
use super::takes::{FinishedEntry, TakesEntry};
use super::{CornerEntry, PointEntry, triple, write};
use crate::geometry::load::LoadFault;
use crate::geometry::skin::SkinKind;
use crate::job::JobErrors;
use crate::laminate::cautions::{CAUTIONS, Caution, FIRST_OF_ALL};
use crate::laminate::cure::{Agent, Dose};
use crate::laminate::exposure::{Limit, LimitsOf, limits};
use crate::laminate::figure::Spread;
use crate::laminate::lay_up::{LaidGelcoat, LaidPly};
use crate::laminate::plies::{PlannedGelcoat, PlannedPly};
use crate::laminate::remedies::{CornerAdvice, CornerFrom, MetAs, PlySees, Remedy};
use crate::laminate::schedule::{Make, Zone};
use crate::laminate::stages::Stage;
use crate::laminate::stock::Practice;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::plan::decisions::Decision;
use crate::plan::figures::UsedFigure;
use crate::plan::{Build, EdgeLine, MetCorner, PartFault, PartPlan, PiecePlan, Plan, SplitLine, Totals};
use crate::workshop::days::Days;
use crate::workshop::mixes::Mixes;
use crate::workshop::order::{Basket, Quote};
use crate::workshop::record::Record;

#[derive(Serialize)]
struct Document<'a> {
    job: &'a str,
    matloft: &'static str,
    parts: Vec<PartEntry<'a>>,
    totals: TotalsEntry<'a>,
    practice: Option<&'a Practice>,
    mixes: Option<&'a Mixes>,
    order: Vec<OrderEntry<'a>>,
    quotes: &'a [Quote],
    baskets: &'a [Basket],
    takes: TakesEntry<'a>,
    days: Option<&'a Days>,
    complete: bool,
    missing: &'a [String],
    decisions: &'a [Decision],
    figures: &'a [UsedFigure],
    notes: Vec<AboutNote<'a>>,
    errors: &'a [PartFault],
    #[serde(skip_serializing_if = "Option::is_none")]
    record: Option<&'a Record>,
    first_of_all: &'static str,
    cautions: &'static [Caution],
    limits_of: Option<LimitsOf>,
    exposure_limits: Vec<&'static Limit>,
}

#[derive(Serialize)]
struct AboutNote<'a> {
    about: String,
    #[serde(flatten)]
    note: &'a Note,
}

#[derive(Serialize)]
struct TotalsEntry<'a> {
    area_m2: f64,
    n_moulds: u32,
    n_mouldings: u32,
    glass_kg: f64,
    resin_kg: f64,
    resin_kg_range: Range,
    gelcoat_kg: f64,
    gelcoat_kg_range: Range,
    catalyst_ml: f64,
    moulds_kg: f64,
    moulds_kg_range: Range,
    mouldings_kg: f64,
    mouldings_kg_range: Range,
    complete: bool,
    workings: &'a [Working],
}

#[derive(Serialize)]
struct PartEntry<'a> {
    name: &'a str,
    file: &'a str,
    units: &'static str,
    mesh_sha256: &'a str,
    size_mm: [f64; 3],
    kind: SkinKind,
    wall_mm: Option<f64>,
    area_m2: f64,
    quantity: u32,
    mirrored: bool,
    n_warnings: usize,
    rough: Option<RoughEntry>,
    builds: Vec<BuildEntry<'a>>,
    notes: &'a [Note],
}

#[derive(Serialize)]
struct BuildEntry<'a> {
    make: Make,
    schedule: &'a str,
    count: u32,
    mass_kg: f64,
    mass_kg_range: Range,
    thickness_mm: f64,
    thickness_mm_range: Range,
    n_plies_everywhere: usize,
    n_plies_in_zones: usize,
    n_corners: usize,
    n_corners_first_ply: usize,
    schedule_gelcoat: Option<GelcoatEntry<'a>>,
    schedule_plies: Vec<PlannedEntry<'a>>,
    workings: &'a [Working],
    pieces: Vec<PieceEntry<'a>>,
    together: TogetherEntry,
    finished: FinishedEntry<'a>,
    stages: &'a [Stage],
    cures: Vec<CureEntry<'a>>,
    notes: &'a [Note],
}

/// Gelcoat of a schedule, per m2.
#[derive(Serialize)]
struct GelcoatEntry<'a> {
    name: &'a str,
    coverage_kg_m2: f64,
    coverage_kg_m2_range: Range,
    thickness_mm: f64,
    thickness_mm_range: Range,
}

/// A ply of a schedule, per m2.
#[derive(Serialize)]
struct PlannedEntry<'a> {
    ply: usize,
    layer: usize,
    name: &'a str,
    material: &'a str,
    kind: &'static str,
    zone: String,
    everywhere: bool,
    clear_of_edges_mm: f64,
    resin: &'a str,
    areal_weight_g_m2: f64,
    resin_kg_m2: f64,
    resin_kg_m2_range: Range,
    thickness_mm: f64,
    thickness_mm_range: Range,
    depth_mm: f64,
    inside_limit_mm: f64,
    outside_limit_mm: f64,
}

#[derive(Serialize)]
struct PieceEntry<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    pull: Option<PullEntry>,
    #[serde(skip_serializing_if = "Option::is_none")]
    release: Option<ReleaseEntry>,
    name: &'a str,
    size_mm: [f64; 3],
    area_m2: f64,
    splits: Vec<SplitEntry<'a>>,
    edges: Vec<EdgeEntry>,
    corners: Vec<MetCornerEntry<'a>>,
    points: Vec<PointEntry<'a>>,
    plies: Vec<PlyEntry<'a>>,
    gelcoat: Option<&'a str>,
    gelcoat_laid_m2: f64,
    gelcoat_on_part_m2: f64,
    gelcoat_mass_kg: f64,
    gelcoat_kg: f64,
    gelcoat_kg_range: Range,
    gelcoat_alone_kg: f64,
    gelcoat_mm: f64,
    gelcoat_mm_range: Range,
    gelcoat_coats: u32,
    gelcoat_colour: Option<&'a str>,
    gelcoat_dose: Option<Dose>,
    fillers: Vec<FillerEntry<'a>>,
    glass_kg: f64,
    core_kg: f64,
    resin_kg: f64,
    resin_kg_range: Range,
    catalyst_g: f64,
    catalyst_ml: f64,
    hardener_g: f64,
    thickness_mm: f64,
    thickness_mm_range: Range,
    mass_kg: f64,
    mass_kg_range: Range,
    centre_of_mass_mm: [f64; 3],
    inertia_kg_m2: [[f64; 3]; 3],
    workings: &'a [Working],
    notes: &'a [Note],
}

#[derive(Serialize)]
struct SplitEntry<'a> {
    name: &'a str,
    length_mm: f64,
    flange_m2: f64,
}

#[derive(Serialize)]
struct EdgeEntry {
    kind: &'static str,
    assumed: bool,
    length_mm: f64,
    flange_m2: f64,
    trim_m2: f64,
    laid_across_m2: f64,
}

#[derive(Serialize)]
struct MetCornerEntry<'a> {
    #[serde(flatten)]
    corner: CornerEntry<'a>,
    met_as: MetAs,
    from: CornerFrom,
    sees: &'a [PlySees],
    first_failing_ply: Option<usize>,
    needed_radius_mm: f64,
    remedies: Vec<RemedyEntry<'a>>,
}

#[derive(Serialize)]
struct RemedyEntry<'a> {
    #[serde(flatten)]
    remedy: &'a Remedy,
    text: String,
}

#[derive(Serialize)]
struct PlyEntry<'a> {
    ply: usize,
    name: &'a str,
    material: &'a str,
    zone: &'a str,
    resin: &'a str,
    net_m2: f64,
    on_part_m2: f64,
    laid_m2: f64,
    glass_kg: f64,
    core_kg: f64,
    resin_kg: f64,
    resin_kg_range: Range,
    resin_alone_kg: f64,
    catalyst_g: f64,
    catalyst_ml: f64,
    hardener_g: f64,
    hardener_ml: f64,
    thickness_mm: f64,
    thickness_mm_range: Range,
    mass_kg: f64,
    mass_kg_range: Range,
    roll_m: f64,
}

#[derive(Serialize)]
struct FillerEntry<'a> {
    name: &'a str,
    ml: f64,
}

impl From<&Totals> for TotalsEntry<'_> {
    fn from(totals: &Totals) -> Self {
        Self {
            area_m2: totals.area_m2,
            n_moulds: totals.n_moulds,
            n_mouldings: totals.n_mouldings,
            glass_kg: totals.glass_kg,
            resin_kg: totals.resin_kg.likely,
            resin_kg_range: totals.resin_kg.into(),
            gelcoat_kg: totals.gelcoat_kg.likely,
            gelcoat_kg_range: totals.gelcoat_kg.into(),
            catalyst_ml: totals.catalyst_ml,
            moulds_kg: totals.moulds_kg.likely,
            moulds_kg_range: totals.moulds_kg.into(),
            mouldings_kg: totals.mouldings_kg.likely,
            mouldings_kg_range: totals.mouldings_kg.into(),
            complete: true,
            workings: &[],
        }
    }
}

impl<'a> From<&'a PartPlan> for PartEntry<'a> {
    fn from(part: &'a PartPlan) -> Self {
        Self {
            name: &part.name,
            file: &part.file,
            units: part.units.symbol(),
            mesh_sha256: &part.mesh_sha256,
            size_mm: part.size_mm,
            kind: part.kind,
            wall_mm: part.wall_mm,
            area_m2: part.area_m2,
            quantity: part.quantity,
            mirrored: part.mirrored,
            n_warnings: part.n_warnings(),
            rough: part.rough.as_ref().map(Into::into),
            builds: part.builds.iter().map(Into::into).collect(),
            notes: &part.notes,
        }
    }
}

impl<'a> From<&'a Build> for BuildEntry<'a> {
    fn from(build: &'a Build) -> Self {
        Self {
            make: build.make,
            schedule: &build.schedule,
            count: build.count,
            mass_kg: build.mass_kg().likely,
            mass_kg_range: build.mass_kg().into(),
            thickness_mm: build.plies_plan.plain_thickness_mm().likely,
            thickness_mm_range: build.plies_plan.plain_thickness_mm().into(),
            n_plies_everywhere: build.n_plies_everywhere(),
            n_plies_in_zones: build.n_plies_in_zones(),
            n_corners: build.n_corners(),
            n_corners_first_ply: build.n_corners_first_ply(),
            schedule_gelcoat: build.plies_plan.gelcoat.as_ref().map(Into::into),
            schedule_plies: build.plies_plan.plies.iter().map(Into::into).collect(),
            workings: &build.plies_plan.workings,
            pieces: build.pieces.iter().map(Into::into).collect(),
            together: (&build.together).into(),
            finished: (&build.finished).into(),
            stages: &build.stages,
            cures: build.cures.iter().map(Into::into).collect(),
            notes: &build.notes,
        }
    }
}

impl<'a> From<&'a PlannedGelcoat> for GelcoatEntry<'a> {
    fn from(gelcoat: &'a PlannedGelcoat) -> Self {
        Self {
            name: &gelcoat.name,
            coverage_kg_m2: gelcoat.coverage_kg_m2.likely,
            coverage_kg_m2_range: gelcoat.coverage_kg_m2.into(),
            thickness_mm: gelcoat.thickness_mm.likely,
            thickness_mm_range: gelcoat.thickness_mm.into(),
        }
    }
}

impl<'a> From<&'a PlannedPly> for PlannedEntry<'a> {
    fn from(ply: &'a PlannedPly) -> Self {
        Self {
            ply: ply.ply,
            layer: ply.layer,
            name: &ply.name,
            material: &ply.material,
            kind: ply.stuff.word(),
            zone: ply.zone.words(),
            everywhere: ply.zone == Zone::All,
            clear_of_edges_mm: ply.clear_of_edges_mm,
            resin: &ply.resin,
            areal_weight_g_m2: ply.areal_weight_g_m2,
            resin_kg_m2: ply.per_m2.resin_kg_m2.likely,
            resin_kg_m2_range: ply.per_m2.resin_kg_m2.into(),
            thickness_mm: ply.per_m2.thickness_mm.likely,
            thickness_mm_range: ply.per_m2.thickness_mm.into(),
            depth_mm: ply.depth_mm,
            inside_limit_mm: ply.inside_limit_mm,
            outside_limit_mm: ply.outside_limit_mm,
        }
    }
}

impl<'a> From<&'a PiecePlan> for PieceEntry<'a> {
    fn from(piece: &'a PiecePlan) -> Self {
        let lay_up = &piece.lay_up;
        let of_gelcoat = |part: fn(&LaidGelcoat) -> f64| lay_up.gelcoat.as_ref().map_or(0.0, part);
        let gelcoat = lay_up.gelcoat.as_ref();
        let gelcoat_kg = gelcoat.map_or_else(Spread::default, |gelcoat| gelcoat.laid_kg);
        let gelcoat_mm = gelcoat.map_or_else(Spread::default, |gelcoat| gelcoat.thickness_mm);
        Self {
            name: &piece.name,
            size_mm: piece.size_mm,
            pull: piece.release.as_ref().map(|release| (&release.pull).into()),
            release: piece.release.as_ref().map(Into::into),
            area_m2: piece.area_m2,
            splits: piece.splits.iter().map(Into::into).collect(),
            edges: piece.edges.iter().map(Into::into).collect(),
            corners: piece.corners.iter().map(Into::into).collect(),
            points: piece.points.iter().map(Into::into).collect(),
            plies: plies(piece),
            gelcoat: gelcoat.map(|gelcoat| gelcoat.name.as_str()),
            gelcoat_laid_m2: of_gelcoat(|gelcoat| gelcoat.laid_m2),
            gelcoat_on_part_m2: of_gelcoat(|gelcoat| gelcoat.on_part_m2),
            gelcoat_mass_kg: of_gelcoat(|gelcoat| gelcoat.mass_kg.likely),
            gelcoat_kg: gelcoat_kg.likely,
            gelcoat_kg_range: gelcoat_kg.into(),
            gelcoat_alone_kg: gelcoat.map_or(0.0, |gelcoat| gelcoat.alone_kg),
            gelcoat_mm: gelcoat_mm.likely,
            gelcoat_mm_range: gelcoat_mm.into(),
            gelcoat_coats: gelcoat.map_or(0, |gelcoat| gelcoat.n_coats),
            gelcoat_colour: gelcoat.and_then(|gelcoat| gelcoat.colour.as_deref()),
            gelcoat_dose: gelcoat.and_then(|gelcoat| gelcoat.dose),
            fillers: piece.filler_ml.iter().map(|(name, ml)| FillerEntry { name, ml: *ml }).collect(),
            glass_kg: lay_up.glass_kg,
            core_kg: lay_up.core_kg,
            resin_kg: lay_up.resin_kg.likely,
            resin_kg_range: lay_up.resin_kg.into(),
            catalyst_g: lay_up.catalyst_g,
            catalyst_ml: lay_up.catalyst_ml,
            hardener_g: lay_up.hardener_g,
            thickness_mm: lay_up.thickness_mm.likely,
            thickness_mm_range: lay_up.thickness_mm.into(),
            mass_kg: lay_up.mass_kg.likely,
            mass_kg_range: lay_up.mass_kg.into(),
            centre_of_mass_mm: triple(&piece.centre_of_mass_mm),
            inertia_kg_m2: piece.inertia_kg_m2,
            workings: &lay_up.workings,
            notes: &piece.notes,
        }
    }
}

fn plies(piece: &PiecePlan) -> Vec<PlyEntry<'_>> {
    piece.lay_up.plies.iter().zip(&piece.roll_m).map(|(ply, &roll_m)| PlyEntry::of(ply, roll_m)).collect()
}

impl<'a> PlyEntry<'a> {
    fn of(ply: &'a LaidPly, roll_m: f64) -> Self {
        let dose = |agent, part: fn(&Dose, Agent) -> f64| ply.dose.map_or(0.0, |dose| part(&dose, agent));
        Self {
            ply: ply.ply,
            name: &ply.name,
            material: &ply.material,
            zone: &ply.zone,
            resin: &ply.resin,
            net_m2: ply.net_m2,
            on_part_m2: ply.on_part_m2,
            laid_m2: ply.laid_m2,
            glass_kg: ply.glass_kg,
            core_kg: ply.core_kg,
            resin_kg: ply.resin_kg.likely,
            resin_kg_range: ply.resin_kg.into(),
            resin_alone_kg: ply.resin_alone_kg,
            catalyst_g: dose(Agent::Catalyst, Dose::g_of),
            catalyst_ml: dose(Agent::Catalyst, Dose::ml_of),
            hardener_g: dose(Agent::Hardener, Dose::g_of),
            hardener_ml: dose(Agent::Hardener, Dose::ml_of),
            thickness_mm: ply.thickness_mm.likely,
            thickness_mm_range: ply.thickness_mm.into(),
            mass_kg: ply.mass_kg.likely,
            mass_kg_range: ply.mass_kg.into(),
            roll_m,
        }
    }
}

impl<'a> From<&'a SplitLine> for SplitEntry<'a> {
    fn from(split: &'a SplitLine) -> Self {
        Self { name: &split.name, length_mm: split.length_mm, flange_m2: split.flange_m2 }
    }
}

impl From<&EdgeLine> for EdgeEntry {
    fn from(edge: &EdgeLine) -> Self {
        Self {
            kind: edge.kind.word(),
            assumed: !edge.told,
            length_mm: edge.length_mm,
            flange_m2: edge.flange_m2,
            trim_m2: edge.trim_m2,
            laid_across_m2: edge.laid_across_m2,
        }
    }
}

impl<'a> From<&'a MetCorner> for MetCornerEntry<'a> {
    fn from(corner: &'a MetCorner) -> Self {
        let CornerAdvice { sees, first_failing_ply, remedies } = &corner.advice;
        Self {
            corner: (&corner.corner).into(),
            met_as: corner.met.met_as,
            from: corner.met.from,
            sees,
            first_failing_ply: *first_failing_ply,
            needed_radius_mm: corner.needed_mm,
            remedies: remedies.iter().map(|remedy| RemedyEntry { remedy, text: remedy.sentence() }).collect(),
        }
    }
}

/// Writes the document of a plan.
///
/// # Errors
/// If `out` cannot be written.
pub fn plan(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let document = Document {
        job: &plan.job,
        matloft: env!("CARGO_PKG_VERSION"),
        parts: plan.parts.iter().map(Into::into).collect(),
        totals: TotalsEntry { complete: plan.is_complete(), workings: &plan.workings, ..(&plan.totals).into() },
        practice: Some(&plan.practice),
        mixes: Some(&plan.mixes),
        order: order::lines(plan),
        quotes: &plan.order.quotes,
        baskets: &plan.order.baskets,
        takes: (&plan.takes).into(),
        days: Some(&plan.days),
        complete: plan.is_complete(),
        missing: &plan.needs.missing,
        decisions: &plan.decisions,
        figures: &plan.figures,
        notes: plan.notes.iter().map(|note| AboutNote { about: plan.job.clone(), note }).collect(),
        errors: &plan.errors,
        record: plan.record.as_ref(),
        first_of_all: FIRST_OF_ALL,
        cautions: &CAUTIONS,
        limits_of: plan.limits_of,
        exposure_limits: limits(plan.limits_of),
    };
    write(&document, out)
}

/// Writes the document of a job that could not be planned at all: no part, and every fault.
///
/// # Errors
/// If `out` cannot be written.
pub fn refused_plan(
    job: &str,
    errors: Option<&JobErrors>,
    faults: &[LoadFault],
    out: &mut dyn Write,
) -> io::Result<()> {
    let in_lines = errors.map_or(&[][..], |errors| &errors.errors);
    let told = in_lines.iter().map(|error| PartFault {
        part: String::new(),
        file: format!("{job}:{}:{}", error.line, error.column),
        message: error.fault.to_string(),
        remedy: error.fault.remedy(),
    });
    let of_files = faults.iter().map(|fault| PartFault {
        part: String::new(),
        file: fault.file.clone(),
        message: fault.message.clone(),
        remedy: fault.remedy.clone(),
    });
    let told: Vec<PartFault> = told.chain(of_files).collect();
    let document = Document {
        job,
        matloft: env!("CARGO_PKG_VERSION"),
        parts: Vec::new(),
        totals: TotalsEntry { complete: false, ..(&Totals::default()).into() },
        practice: None,
        mixes: None,
        order: Vec::new(),
        quotes: &[],
        baskets: &[],
        takes: TakesEntry::default(),
        days: None,
        complete: false,
        missing: &[],
        decisions: &[],
        figures: &[],
        notes: Vec::new(),
        errors: &told,
        record: None,
        first_of_all: FIRST_OF_ALL,
        cautions: &CAUTIONS,
        limits_of: None,
        exposure_limits: limits(None),
    };
    write(&document, out)
}
