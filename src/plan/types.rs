//! What a plan holds.

use serde::Serialize;

use super::cures::CureFigures;
use super::decisions::Decision;
use super::figures::UsedFigure;
use super::release::Release;
use super::together::Together;
use crate::geometry::corners::{Corner, CornerPoint};
use crate::geometry::mesh::Point;
use crate::geometry::refine::Refined;
use crate::geometry::skin::SkinKind;
use crate::job::EdgeKind;
use crate::laminate::coverage::PlySet;
use crate::laminate::figure::Spread;
use crate::laminate::lay_up::LayUp;
use crate::laminate::plies::PliesPlan;
use crate::laminate::remedies::{CornerAdvice, CornerMet};
use crate::laminate::schedule::{Make, Zone};
use crate::laminate::stages::Stage;
use crate::laminate::stock::Practice;
use crate::laminate::workings::Working;
use crate::notes::{Level, Note};
use crate::units::LengthUnit;
use crate::workshop::needs::Needs;

/// What the whole job needs, panel by panel and in all.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Title of the job.
    pub job: String,
    /// The panels that could be planned, in the order of the job.
    pub parts: Vec<PartPlan>,
    /// Sums over the job.
    pub totals: Totals,
    /// What to have in the shop, material by material; says whether a panel is missing from it.
    pub needs: Needs,
    /// The shop's habits that the plan rests on.
    pub practice: Practice,
    /// What was assumed for the job as a whole.
    pub notes: Vec<Note>,
    /// Panels that are missing, and why.
    pub errors: Vec<PartFault>,
    /// The sums behind the totals.
    pub workings: Vec<Working>,
    /// Every figure that entered, with its source and where it was used.
    pub figures: Vec<UsedFigure>,
    /// What a builder has to settle, most pressing first.
    pub decisions: Vec<Decision>,
}

impl Plan {
    /// No panel of the job is missing.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.errors.is_empty()
    }

    /// Every piece with its panel and build, in the order of the job.
    pub fn pieces(&self) -> impl Iterator<Item = (&PartPlan, &Build, &PiecePlan)> {
        let builds = self.parts.iter().flat_map(|part| part.builds.iter().map(move |build| (part, build)));
        builds.flat_map(|(part, build)| build.pieces.iter().map(move |piece| (part, build, piece)))
    }

    /// Every note of the plan with what it is about, job first, then panel by panel.
    pub fn notes(&self) -> impl Iterator<Item = (String, &Note)> {
        let of_job = self.notes.iter().map(|note| (self.job.clone(), note));
        of_job.chain(self.parts.iter().flat_map(PartPlan::all_notes))
    }
}

/// A panel that could not be planned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PartFault {
    /// Name of the panel in the job.
    pub part: String,
    /// Its mesh file.
    pub file: String,
    /// What is wrong and where.
    pub message: String,
    /// How to mend it.
    pub remedy: String,
}

/// One panel: its skin and what is built on it.
#[derive(Debug, Clone)]
pub struct PartPlan {
    /// Name of the panel in the job.
    pub name: String,
    /// Its mesh file, as the job names it.
    pub file: String,
    /// Unit of the mesh file.
    pub units: LengthUnit,
    /// SHA-256 of the mesh file, in hexadecimal.
    pub mesh_sha256: String,
    /// Extent along x, y and z.
    pub size_mm: [f64; 3],
    /// What the mesh is.
    pub kind: SkinKind,
    /// Wall of a thin solid.
    pub wall_mm: Option<f64>,
    /// Area of the moulded face.
    pub area_m2: f64,
    /// Mouldings of one hand.
    pub quantity: u32,
    /// The opposite hand is built too.
    pub mirrored: bool,
    /// Mould, moulding.
    pub builds: Vec<Build>,
    /// What was repaired or assumed.
    pub notes: Vec<Note>,
}

impl PartPlan {
    /// Every note on the panel with what it is about.
    pub fn all_notes(&self) -> impl Iterator<Item = (String, &Note)> {
        let own = self.notes.iter().map(|note| (self.name.clone(), note));
        own.chain(self.builds.iter().flat_map(move |build| build.all_notes(&self.name)))
    }

    /// How many of them a person should look at.
    #[must_use]
    pub fn n_warnings(&self) -> usize {
        self.all_notes().filter(|(_, note)| note.level >= Level::Warning).count()
    }
}

/// What is built on a panel with one schedule. Figures stand for one; `count` says how many.
#[derive(Debug, Clone)]
pub struct Build {
    /// Mould or moulding.
    pub make: Make,
    /// Name of the schedule.
    pub schedule: String,
    /// How many are built, both hands together.
    pub count: u32,
    /// The pieces that it is laid in.
    pub pieces: Vec<PiecePlan>,
    /// All pieces of one build together.
    pub together: Together,
    /// What is laid in one go; the same for every piece.
    pub stages: Vec<Stage>,
    /// How its gelcoat and its resins go off, the gelcoat first.
    pub cures: Vec<CureFigures>,
    /// How tight a corner each ply takes.
    pub limits: Vec<PlyLimit>,
    /// The schedule ply by ply, with the stock's figures in it.
    pub plies_plan: PliesPlan,
    /// What a person should know about the lay-up.
    pub notes: Vec<Note>,
}

impl Build {
    /// What one of it weighs, all pieces together, in kg.
    #[must_use]
    pub fn mass_kg(&self) -> Spread {
        self.pieces.iter().map(|piece| piece.lay_up.mass_kg).sum()
    }

    /// How many plies the schedule has that lie everywhere.
    #[must_use]
    pub fn n_plies_everywhere(&self) -> usize {
        self.plies_plan.plies.iter().filter(|ply| ply.zone == Zone::All).count()
    }

    /// How many it has that lie in a zone.
    #[must_use]
    pub fn n_plies_in_zones(&self) -> usize {
        self.plies_plan.plies.len() - self.n_plies_everywhere()
    }

    /// How many corners need work, over all pieces.
    #[must_use]
    pub fn n_corners(&self) -> usize {
        self.pieces.iter().map(|piece| piece.corners.len()).sum()
    }

    /// How many of them are tighter than the first ply that lies there takes.
    #[must_use]
    pub fn n_corners_first_ply(&self) -> usize {
        let corners = self.pieces.iter().flat_map(|piece| &piece.corners);
        corners.filter(|met| met.is_tighter_than_first_ply()).count()
    }

    fn all_notes<'a>(&'a self, part: &str) -> impl Iterator<Item = (String, &'a Note)> + use<'a> {
        let about = format!("{part}, {}", self.make.word());
        let own_about = about.clone();
        let own = self.notes.iter().map(move |note| (own_about.clone(), note));
        own.chain(self.pieces.iter().flat_map(move |piece| {
            let about = format!("{about} {}", piece.name);
            piece.notes.iter().map(move |note| (about.clone(), note))
        }))
    }
}

/// The smallest radius that a ply takes, at the face that it is laid on.
#[derive(Debug, Clone, PartialEq)]
pub struct PlyLimit {
    /// Its number from the tool, from 1.
    pub ply: usize,
    /// Its material.
    pub material: String,
    /// In an inside corner, in mm.
    pub inside_mm: f64,
    /// Over an outside corner, in mm.
    pub outside_mm: f64,
}

/// One piece of a build.
#[derive(Debug, Clone)]
pub struct PiecePlan {
    /// `a`, `b`, ...; the same from run to run.
    pub name: String,
    /// Extent of the moulded face along x, y and z, without flanges.
    pub size_mm: [f64; 3],
    /// Area of the moulded face, without flanges.
    pub area_m2: f64,
    /// Where splits part it.
    pub splits: Vec<SplitLine>,
    /// Its free edges.
    pub edges: Vec<EdgeLine>,
    /// Corners that a ply of the schedule does not follow, and those under the limit of its heaviest.
    pub corners: Vec<MetCorner>,
    /// Points at which the skin bends both ways more tightly than that.
    pub points: Vec<CornerPoint>,
    /// Glass, resin, gelcoat, catalyst, thickness and mass.
    pub lay_up: LayUp,
    /// Metres off the roll, ply by ply; 0 for what comes in sheets.
    pub roll_m: Vec<f64>,
    /// Putty for the fillets behind the gelcoat, by name, in ml.
    pub filler_ml: Vec<(String, f64)>,
    /// Where the piece would balance.
    pub centre_of_mass_mm: Point,
    /// Moments of inertia about the centre of mass along the mesh's axes, in kg m2.
    pub inertia_kg_m2: [[f64; 3]; 3],
    /// How many plies lie where and how thick, for pictures.
    pub coverage: Coverage,
    /// Flanges as triangles that stand square to the face, chord by chord of their roots, in mm: what their mass is spread
    /// over. Where a root turns they overlap or gape, so that their sum is not quite the area of the flanges.
    pub flanges_mm: Vec<[Point; 3]>,
    /// How it comes off and who lifts it.
    pub release: Option<Release>,
    /// What a person should know about this piece.
    pub notes: Vec<Note>,
}

/// Where a split parts a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct SplitLine {
    /// Name of the split.
    pub name: String,
    /// Length along the skin.
    pub length_mm: f64,
    /// Flange of the mould along it; 0 on a moulding.
    pub flange_m2: f64,
    /// The cut itself, run by run.
    pub lines_mm: Vec<Vec<Point>>,
}

/// A free edge of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLine {
    /// What it is.
    pub kind: EdgeKind,
    /// The job says so; otherwise it was assumed.
    pub told: bool,
    /// Length without the stretches that splits take.
    pub length_mm: f64,
    /// Flange of the mould round it, or a return flange.
    pub flange_m2: f64,
    /// What is cut off past it.
    pub trim_m2: f64,
    /// Opening that is laid though it is not on the part.
    pub laid_across_m2: f64,
    /// The free runs.
    pub lines_mm: Vec<Vec<Point>>,
}

/// A corner as a build meets it, and what to do there.
#[derive(Debug, Clone)]
pub struct MetCorner {
    /// The corner, clipped to the piece.
    pub corner: Corner,
    /// How it is met.
    pub met: CornerMet,
    /// Radius on the CAD face from which on every ply here follows.
    pub needed_mm: f64,
    /// The ply test, and what can be done.
    pub advice: CornerAdvice,
}

impl MetCorner {
    /// The first ply that lies here does not follow.
    #[must_use]
    pub fn is_tighter_than_first_ply(&self) -> bool {
        self.advice.sees.first().is_some_and(|sees| !sees.fits())
    }
}

/// Plies facet by facet, on a mesh in which the borders of all zones are edges.
#[derive(Debug, Clone, Default)]
pub struct Coverage {
    /// The facets, each with its source.
    pub refined: Refined,
    /// Which plies lie on each facet.
    pub plies: Vec<PlySet>,
    /// How many they are.
    pub n_plies: Vec<u16>,
    /// Thickness on each facet, without gelcoat.
    pub thickness_mm: Vec<f64>,
    /// Smallest radius on each facet as the first ply meets it, behind the gelcoat; infinite where the facet is flat.
    pub radius_mm: Vec<f64>,
    /// Wall that the CAD model has behind each facet, in mm; 0 where none was met, and empty where the panel has none.
    pub wall_mm: Vec<f32>,
}

/// Sums over the job, every build times its count.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Totals {
    /// Moulded face of every panel, once.
    pub area_m2: f64,
    /// Moulds, pieces counted as one.
    pub n_moulds: u32,
    /// Mouldings.
    pub n_mouldings: u32,
    /// Glass laid.
    pub glass_kg: f64,
    /// Resin laid.
    pub resin_kg: Spread,
    /// Gelcoat laid.
    pub gelcoat_kg: Spread,
    /// Catalyst for both.
    pub catalyst_ml: f64,
    /// Mass of all moulds.
    pub moulds_kg: Spread,
    /// Mass of all mouldings.
    pub mouldings_kg: Spread,
}
