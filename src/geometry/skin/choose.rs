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
    let plans: Vec<Plan> =
        (0..skin.bodies.len()).map(|body| plan(mesh, skin, body, choice, outward, &mut notes)).collect();
    let laid = |face: FaceId| match plans[skin.body_of_face[face as usize] as usize] {
        Plan::Side(side) => skin.sides[face as usize] == side,
        Plan::AsWound | Plan::Reversed => true,
    };
    let faces: Vec<FaceId> = mesh.face_ids().filter(|&face| laid(face)).collect();
    let mut side = mesh.submesh(&faces);
    for (own, &face) in side.faces.iter_mut().zip(&faces) {
        if plans[skin.body_of_face[face as usize] as usize] == Plan::Reversed {
            own.swap(1, 2);
        }
    }
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
    mesh: &Mesh,
    skin: &Skin,
    body: usize,
    choice: &FaceChoice,
    outward: &OutwardChoice,
    notes: &mut Vec<Note>,
) -> Plan {
    match skin.bodies[body].kind {
        SkinKind::Solid => Plan::AsWound,
        SkinKind::ThinSolid => Plan::Side(thin_side(mesh, skin, body, choice, notes)),
        SkinKind::Sheet => sheet_side(mesh, skin, body, outward, notes),
    }
}

fn thin_side(mesh: &Mesh, skin: &Skin, body: usize, choice: &FaceChoice, notes: &mut Vec<Note>) -> Side {
    match choice {
        FaceChoice::Outside => Side::Outside,
        FaceChoice::Inside => Side::Inside,
        FaceChoice::Towards(direction) => {
            let [outside, outside_mm2] = leaning(mesh, skin, body, Some(Side::Outside), direction);
            let [inside, inside_mm2] = leaning(mesh, skin, body, Some(Side::Inside), direction);
            if (outside - inside).abs() < LEANING * outside_mm2.max(inside_mm2) {
                notes.push(undecided("face", direction, "the outside was taken"));
                return Side::Outside;
            }
            if outside > inside { Side::Outside } else { Side::Inside }
        }
    }
}

fn sheet_side(mesh: &Mesh, skin: &Skin, body: usize, outward: &OutwardChoice, notes: &mut Vec<Note>) -> Plan {
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
            let [leans, area_mm2] = leaning(mesh, skin, body, None, direction);
            if leans.abs() < LEANING * area_mm2 {
                notes.push(undecided("outward", direction, "the side as wound was taken"));
            }
            if leans < -LEANING * area_mm2 { Plan::Reversed } else { Plan::AsWound }
        }
    }
}

/// How far the facets of a body (of one side of it) lean towards a direction, in mm2, and their area.
fn leaning(mesh: &Mesh, skin: &Skin, body: usize, side: Option<Side>, direction: &Vector) -> [f64; 2] {
    let length = direction.norm();
    let towards = if length > 0.0 { direction / length } else { Vector::zeros() };
    let mut sums = [0.0; 2];
    for face in mesh.face_ids().filter(|&face| skin.body_of_face[face as usize] as usize == body) {
        if side.is_none_or(|side| skin.sides[face as usize] == side) {
            let doubled = mesh.doubled_area_vector(face);
            sums[0] += 0.5 * doubled.dot(&towards);
            sums[1] += 0.5 * doubled.norm();
        }
    }
    sums
}

fn undecided(key: &str, direction: &Vector, taken: &str) -> Note {
    Note::warning(
        "side-undecided",
        format!("neither side faces [{}, {}, {}] on balance; {taken}", direction.x, direction.y, direction.z),
        format!("give {key} another direction in the [[part]], one that the panel as a whole faces"),
    )
}
