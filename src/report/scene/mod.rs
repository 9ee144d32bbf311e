//! What is drawn of a job in three dimensions: the pieces with what lies on them, flanges, lines. Plain data, read by the
//! GLB writer; the view of the report reads the GLB.

mod gather;
mod lines;
mod pull;
mod reduce;
mod shade;
mod zones;

pub use gather::{of_plan, of_surveys};

use crate::geometry::mesh::{Point, PointId, Vector};
use crate::laminate::schedule::Make;
pub use crate::plan::PlyLimit;

/// Everything that is drawn, panel by panel.
#[derive(Debug, Clone, Default)]
pub struct Scene {
    /// The panels, in the order of the plan or of the files.
    pub panels: Vec<ScenePanel>,
}

/// One panel.
#[derive(Debug, Clone)]
pub struct ScenePanel {
    /// Its name.
    pub name: String,
    /// Each piece of each build; of a measured panel, the panel itself.
    pub layers: Vec<Layer>,
}

/// One piece of one build.
#[derive(Debug, Clone)]
pub struct Layer {
    /// Mould or moulding; nothing of a panel that was only measured.
    pub make: Option<Make>,
    /// Name of the piece; empty of a panel that was only measured.
    pub piece: String,
    /// The moulded face.
    pub face: ShadedFace,
    /// How the face was made coarser for the view, if it was.
    pub reduction: Option<Reduction>,
    /// What lies in each zone of the face, in words: its plies.
    pub zones: Vec<String>,
    /// How many plies lie in each.
    pub zone_plies: Vec<usize>,
    /// Which way the mould is drawn off.
    pub pull: Option<Drawn>,
    /// The smallest radius that each ply takes.
    pub limits: Vec<PlyLimit>,
    /// The mould's flanges.
    pub flanges: Vec<[Point; 3]>,
    /// Corners, splits and free edges.
    pub lines: Vec<Line>,
}

/// A face with what is shown on it, point by point. Points are doubled where a value, or the normal, changes at an edge.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ShadedFace {
    /// Points in mm.
    pub points_mm: Vec<Point>,
    /// Outward unit normals.
    pub normals: Vec<Vector>,
    /// Facets.
    pub faces: Vec<[PointId; 3]>,
    /// Smallest radius of curvature on the laminated side in mm; flat is [`FLAT_MM`].
    pub radius_mm: Vec<f64>,
    /// Thickness in mm, without gelcoat.
    pub thickness_mm: Vec<f64>,
    /// Zone, as a number in [`Layer::zones`].
    pub zone: Vec<u16>,
    /// Draft along the pull in degrees; empty without a pull.
    pub draft_deg: Vec<f64>,
    /// Wall of the CAD model in mm, 0 where none lies behind; empty where the panel has none.
    pub wall_mm: Vec<f64>,
}

/// Shown for a face that does not bend, and for every wider bend.
pub const FLAT_MM: f64 = 10_000.0;

/// Which way a mould is drawn off, for the shading by draft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Unit direction.
    pub direction: Vector,
    /// Draft that every wall ought to have.
    pub wanted_draft_deg: f64,
    /// Under it a wall stands along the pull; nothing where that is not asked.
    pub near_zero_draft_deg: Option<f64>,
}

/// How a face was made coarser.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reduction {
    /// Facets before.
    pub n_before: usize,
    /// Facets after.
    pub n_after: usize,
    /// How far a point of the full face lies from the coarser one at most, in mm, as measured at a sample of its points.
    pub error_mm: f64,
    /// How much its area differs, as a share of the full one.
    pub area_share: f64,
}

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// A corner.
    Corner,
    /// Where a split parts the piece.
    Split,
    /// A free edge.
    Edge,
    /// The arrow along which the mould is drawn off.
    Pull,
    /// The border of what locks.
    Undercut,
    /// A facet of those that block one another whichever way one pulls: a cross on it, with its normal.
    Holds,
    /// Where a proposed split would part the piece.
    Proposal,
}

impl LineKind {
    /// What a node of the GLB calls it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Corner => "corner",
            Self::Split => "split",
            Self::Edge => "edge",
            Self::Pull => "pull",
            Self::Undercut => "undercut",
            Self::Holds => "holds",
            Self::Proposal => "proposal",
        }
    }
}

/// A line on the face.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is.
    pub kind: LineKind,
    /// The corner's id, the split's name, what the edge is, the proposal's number in words.
    pub name: String,
    /// The line, in mm.
    pub path_mm: Vec<Point>,
}

/// Makes a face coarser. A library that needs a C++ compiler does it for the program; the core takes any.
pub trait Reduce: Sync {
    /// About so many facets over points of the face, keeping borders, creases and the edges at which values change.
    /// Nothing if it cannot.
    fn reduce(&self, face: &ShadedFace, n_wanted: usize) -> Option<Vec<[PointId; 3]>>;
}
