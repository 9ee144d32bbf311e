//! What there is to build, as the bench sees it: pieces with their plies, masses and edges. No facet.

use serde::Serialize;

use crate::laminate::cure::Dose;
use crate::laminate::figure::Spread;
use crate::laminate::release::Hands;
use crate::laminate::schedule::Make;
use crate::laminate::stages::Stage;

/// Everything that a job builds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Work {
    /// Pieces, in the order of the job: part by part, mould before moulding.
    pub pieces: Vec<PieceWork>,
    /// Names of the panels that could not be planned.
    pub missing: Vec<String>,
}

/// Where a piece stands in a plan: the numbers of its part, build and piece, from 0.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Place {
    /// Part of the job.
    pub part: usize,
    /// Build of the part.
    pub build: usize,
    /// Piece of the build.
    pub piece: usize,
}

/// One piece of one build. Figures stand for one; `count` says how many are built.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceWork {
    /// Where it stands in the plan.
    pub place: Place,
    /// Name of the panel.
    pub part: String,
    /// Name of the piece: `a`, `b`, ...
    pub piece: String,
    /// How many pieces the build has.
    pub n_pieces: usize,
    /// Mould or moulding.
    pub make: Make,
    /// How many are built, both hands together.
    pub count: u32,
    /// 2 where the opposite hand has a plug and a mould of its own, otherwise 1.
    pub n_hands: u32,
    /// Extent along x, y and z, without flanges.
    pub size_mm: [f64; 3],
    /// Moulded face, without flanges.
    pub area_m2: f64,
    /// Flanges along edges and splits, return flanges included.
    pub flange_m2: f64,
    /// What is cut off past the edges.
    pub trim_m2: f64,
    /// Openings that are laid across.
    pub laid_across_m2: f64,
    /// Length of free edges.
    pub edge_mm: f64,
    /// Length of free edges that have a flange.
    pub flanged_mm: f64,
    /// Splits that part it: name and length. A split is listed by both pieces that it parts.
    pub splits: Vec<(String, f64)>,
    /// Share of catalyst that its schedule asks for, in percent.
    pub catalyst_percent: Option<f64>,
    /// Gelcoat, if there is any.
    pub gelcoat: Option<GelcoatWork>,
    /// Plies from the tool outwards, cores included.
    pub plies: Vec<PlyWork>,
    /// What is laid in one go.
    pub stages: Vec<Stage>,
    /// Putty behind the gelcoat, by name, in ml.
    pub putty_ml: Vec<(String, f64)>,
    /// Length of the corners that need work.
    pub corner_mm: f64,
    /// Thickness of the plies that lie everywhere, without gelcoat.
    pub thickness_mm: f64,
    /// What comes out.
    pub mass_kg: Spread,
    /// Who lifts it.
    pub lifted_by: Option<Hands>,
    /// Wedge starts along its edges.
    pub n_wedges: usize,
    /// The corner whose closing moves a free edge farthest; nothing without corners or free edges.
    pub wall: Option<WallWork>,
    /// Air or water ports.
    pub n_ports: usize,
    /// Its largest flat, if that needs stiffeners.
    pub stiffen: Option<FlatWork>,
}

/// A flat that needs stiffeners.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlatWork {
    /// Its area.
    pub area_m2: f64,
    /// The lesser of its extents.
    pub span_mm: f64,
}

/// Gelcoat on a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct GelcoatWork {
    /// Name in the stock.
    pub name: String,
    /// What is put on, in m2.
    pub laid_m2: f64,
    /// What is put on, in kg; of an epoxy the mix.
    pub kg: f64,
    /// The gelcoat alone, in kg: without an epoxy's hardener.
    pub alone_kg: f64,
    /// Catalyst or hardener in it.
    pub dose: Option<Dose>,
    /// Coats that it goes on in.
    pub n_coats: u32,
}

/// One ply on a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PlyWork {
    /// Its number from the tool, from 1.
    pub ply: usize,
    /// Name for lists.
    pub name: String,
    /// Name of its material in the stock.
    pub material: String,
    /// It is a core, bedded in the mat before it.
    pub is_core: bool,
    /// It lies everywhere, not in a zone.
    pub is_everywhere: bool,
    /// Name of its resin in the stock.
    pub resin: String,
    /// What is wetted out, in m2.
    pub laid_m2: f64,
    /// Glass laid, in kg.
    pub glass_kg: f64,
    /// Core laid, in kg.
    pub core_kg: f64,
    /// Resin laid, in kg; of an epoxy the mix.
    pub resin_kg: f64,
    /// The resin alone, in kg: without an epoxy's hardener.
    pub resin_alone_kg: f64,
    /// Catalyst or hardener in it.
    pub dose: Option<Dose>,
    /// Metres off the roll; 0 for what comes in sheets.
    pub roll_m: f64,
}

impl PlyWork {
    /// Glass, core and resin laid, in kg.
    #[must_use]
    pub fn laid_kg(&self) -> f64 {
        self.glass_kg + self.core_kg + self.resin_kg
    }
}

impl PieceWork {
    /// The piece as lists name it: panel, make and, where there are several, the piece.
    #[must_use]
    pub fn name(&self) -> String {
        if self.n_pieces > 1 {
            format!("{}, {} {}", self.part, self.make.word(), self.piece)
        } else {
            format!("{}, {}", self.part, self.make.word())
        }
    }

    /// Largest area that is wetted out in one ply, in m2: face, flanges, trim and openings.
    #[must_use]
    pub fn widest_m2(&self) -> f64 {
        self.tool_m2() + self.trim_m2
    }

    /// Face of what it is laid on, in m2: openings that are laid across are closed there.
    #[must_use]
    pub fn face_m2(&self) -> f64 {
        self.area_m2 + self.laid_across_m2
    }

    /// That face with the flanges beside it, in m2: what is waxed and washed.
    #[must_use]
    pub fn tool_m2(&self) -> f64 {
        self.face_m2() + self.flange_m2
    }

    /// Length of all its splits, in mm.
    #[must_use]
    pub fn split_mm(&self) -> f64 {
        self.splits.iter().map(|(_, length_mm)| length_mm).sum()
    }

    /// The plies of a stage.
    pub fn plies_of(&self, stage: &Stage) -> impl Iterator<Item = &PlyWork> {
        self.plies.iter().filter(move |ply| (stage.from_ply..=stage.to_ply).contains(&ply.ply))
    }
}

/// A wall past a corner, up to its free edge or another corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallWork {
    /// From the corner to the nearest free edge or other corner, where it is deepest, in mm.
    pub depth_mm: f64,
    /// How far the corner turns, in degrees.
    pub turn_deg: f64,
}

impl WallWork {
    /// How far its edge moves when the corner closes, up to a common factor.
    #[must_use]
    pub fn closes(&self) -> f64 {
        self.depth_mm * self.turn_deg
    }
}
