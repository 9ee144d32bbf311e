//! The side that is laid: which facets, seen from the finished side.

use super::super::mesh::{FaceId, Mesh, Vector};
use super::{Side, Skin, SkinKind};
use crate::notes::Note;

/// Which side of a thin solid is the moulded face.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum FaceChoice {
    /// The outer skin.
    #[default]
    Outside,
    /// The inner skin.
    Inside,
    /// The skin that faces this way on balance.
    Towards(Vector),
}

/// Which side of an open sheet is seen on the finished body. A sheet's winding means nothing by itself.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum OutwardChoice {
    /// The side from which the facets run anticlockwise.
    #[default]
    AsWound,
    /// The other side.
    Reversed,
    /// The side that faces this way on balance.
    Towards(Vector),
}

/// The facets that are laid, as a mesh of their own whose outward side is the finished one.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidSide {
    /// Numbers of the facets in the whole mesh, rising; facet `k` of `mesh` is number `faces[k]`.
    pub faces: Vec<FaceId>,
    /// The facets.
    pub mesh: Mesh,
    /// What was assumed.
    pub notes: Vec<Note>,
}

// A sheet faces a direction if its normals lean that way by this share of its area. A vertical wall asked for its upper side
// leans 0 but for noise.
const LEANING: f64 = 0.01;

/// Takes the laid side: the chosen side of thin solids, plugs whole, sheets with the chosen side outward.
#[must_use]
pub fn choose(mesh: &Mesh, skin: &Skin, choice: &FaceChoice, outward: &OutwardChoice) -> LaidSide {
    let mut notes = Vec::new();
    let towards = Leanings::of(mesh, skin, choice, outward);
    let plans: Vec<Plan> =
        (0..skin.bodies.len()).map(|body| plan(skin, body, &towards, choice, outward, &mut notes)).collect();
    let laid = |face: FaceId| match plans[skin.body_of_face[face as usize] as usize] {
        Plan::Side(side) => skin.sides[face as usize] == side,
        Plan::AsWound | Plan::Reversed => true,
    };
    let faces: Vec<FaceId> = mesh.face_ids().filter(|&face| laid(face)).collect();
    let mut side = mesh.submesh(&faces);
    for (own, &face) in side.faces.iter_mut().zip(&faces) {
        let body = skin.body_of_face[face as usize] as usize;
        if (plans[body] == Plan::Reversed) != skin.bodies[body].inside_out {
            own.swap(1, 2);
        }
    }
    notes.sort_by(|a, b| a.code.cmp(&b.code).then(a.message.cmp(&b.message)));
    notes.dedup();
    LaidSide { faces, mesh: side, notes }
}

/// What is laid of one body.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Plan {
    Side(Side),
    AsWound,
    Reversed,
}

fn plan(
    skin: &Skin,
    body: usize,
    towards: &Leanings,
    choice: &FaceChoice,
    outward: &OutwardChoice,
    notes: &mut Vec<Note>,
) -> Plan {
    match skin.bodies[body].kind {
        SkinKind::Solid => Plan::AsWound,
        SkinKind::ThinSolid => Plan::Side(thin_side(towards, body, choice, notes)),
        SkinKind::Sheet => sheet_side(towards, body, outward, notes),
    }
}

fn thin_side(towards: &Leanings, body: usize, choice: &FaceChoice, notes: &mut Vec<Note>) -> Side {
    match choice {
        FaceChoice::Outside => Side::Outside,
        FaceChoice::Inside => Side::Inside,
        FaceChoice::Towards(direction) => {
            let outside = towards.face[body][Side::Outside as usize];
            let inside = towards.face[body][Side::Inside as usize];
            let telling_mm2 = LEANING * outside.area_mm2.max(inside.area_mm2);
            if (outside.towards_mm2 - inside.towards_mm2).abs() <= telling_mm2 {
                notes.push(undecided("face", direction, "the outside was taken"));
                return Side::Outside;
            }
            if outside.towards_mm2 > inside.towards_mm2 { Side::Outside } else { Side::Inside }
        }
    }
}

fn sheet_side(towards: &Leanings, body: usize, outward: &OutwardChoice, notes: &mut Vec<Note>) -> Plan {
    match outward {
        OutwardChoice::AsWound => {
            notes.push(Note::info(
                "sheet-as-wound",
                "an open sheet has no outside of its own: the side from which its facets run anticlockwise was taken as the one seen on the finished body",
                "if it is the other side, write outward = \"reversed\" (or a direction) in its [[part]]",
            ));
            Plan::AsWound
        }
        OutwardChoice::Reversed => Plan::Reversed,
        OutwardChoice::Towards(direction) => {
            let lean = towards.outward[body];
            let telling_mm2 = LEANING * lean.area_mm2;
            if lean.towards_mm2.abs() <= telling_mm2 {
                notes.push(undecided("outward", direction, "the side as wound was taken"));
            }
            if lean.towards_mm2 < -telling_mm2 { Plan::Reversed } else { Plan::AsWound }
        }
    }
}

/// How far facets lean towards a direction: their area seen from there, less what is seen from behind, and their area.
#[derive(Debug, Clone, Copy, Default)]
struct Lean {
    towards_mm2: f64,
    area_mm2: f64,
}

/// For each body how its sides lean towards the direction asked for.
struct Leanings {
    /// By side, towards the direction of the face.
    face: Vec<[Lean; 3]>,
    /// As a whole, towards the outward direction.
    outward: Vec<Lean>,
}

impl Leanings {
    fn of(mesh: &Mesh, skin: &Skin, choice: &FaceChoice, outward: &OutwardChoice) -> Self {
        let mut leanings = Self {
            face: vec![Default::default(); skin.bodies.len()],
            outward: vec![Lean::default(); skin.bodies.len()],
        };
        let unit = |direction: &Vector| direction.try_normalize(0.0).unwrap_or_else(Vector::zeros);
        let face_way = if let FaceChoice::Towards(direction) = choice { Some(unit(direction)) } else { None };
        let outward_way = if let OutwardChoice::Towards(direction) = outward { Some(unit(direction)) } else { None };
        if face_way.is_none() && outward_way.is_none() {
            return leanings;
        }
        for face in mesh.face_ids() {
            let body = skin.body_of_face[face as usize] as usize;
            let half = 0.5 * mesh.doubled_area_vector(face);
            let side = skin.sides[face as usize] as usize;
            for (lean, way) in [(&mut leanings.face[body][side], face_way), (&mut leanings.outward[body], outward_way)]
            {
                lean.towards_mm2 += way.map_or(0.0, |way| half.dot(&way));
                lean.area_mm2 += half.norm();
            }
        }
        leanings
    }
}

fn undecided(key: &str, direction: &Vector, taken: &str) -> Note {
    Note::warning(
        "side-undecided",
        format!("neither side faces [{}, {}, {}] on balance; {taken}", direction.x, direction.y, direction.z),
        format!("give {key} another direction in the [[part]], one that the panel as a whole faces"),
    )
}
