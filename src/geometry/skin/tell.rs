//! What the user has to know of how the skin was found.

use super::super::mesh::Mesh;
use super::body::BodyFaces;
use super::examine::Found;
use super::glance::Glance;
use super::{Skin, SkinKind, SkinOptions};
use crate::notes::Note;

// Walls that branch over less than this share of the diagonal are single facets at joints.
const BRANCHING_OF_DIAGONAL: f64 = 0.01;

/// The notes on a skin, the weightier first.
#[must_use]
pub fn notes(
    mesh: &Mesh,
    skin: &Skin,
    bodies: &[BodyFaces],
    found: &[Found],
    options: &SkinOptions,
    double: Option<Glance>,
) -> Vec<Note> {
    let mut notes = Vec::new();
    notes.extend(double.map(double_sheet));
    notes.extend(doubt(skin, found));
    notes.extend(inside_out(skin));
    notes.extend(assembly(skin));
    notes.extend(either_side(skin));
    notes.extend(branching(mesh, found));
    notes.extend(joints(skin));
    notes.extend(hollows(skin));
    notes.extend(gaps(bodies, options));
    notes
}

fn double_sheet(seen: Glance) -> Note {
    Note::warning(
        "skin-double-sheet",
        format!(
            "open, so taken for a sheet, yet most of it faces itself about {:.2} mm away: it looks like a solid that has lost its rim, and the area is then twice the skin",
            seen.median_mm
        ),
        "close the body in the CAD model, export one side only, or write kind = \"thin-solid\" in its [[part]] (kind = \"sheet\" if it is right)",
    )
}

fn doubt(skin: &Skin, found: &[Found]) -> Option<Note> {
    let doubtful = found.iter().find(|found| found.doubtful)?;
    let share = 100.0 * doubtful.skin_share;
    let (taken, settle) = match doubtful.kind {
        SkinKind::ThinSolid => ("a panel with a wall", "solid"),
        SkinKind::Solid | SkinKind::Sheet => ("a plug without a wall", "thin-solid"),
    };
    let wall = skin.wall_mm.map_or_else(String::new, |wall_mm| format!(" of {wall_mm:.2} mm"));
    Some(Note::warning(
        "skin-doubtful",
        format!(
            "taken for {taken}, which the shape alone does not settle: {share:.0} % of its surface has a wall{wall} behind it"
        ),
        format!("if that is wrong, write kind = \"{settle}\" in its [[part]]"),
    ))
}

fn inside_out(skin: &Skin) -> Option<Note> {
    let n_turned = skin.bodies.iter().filter(|body| body.inside_out).count();
    (n_turned > 0).then(|| {
        let bodies = if n_turned == 1 { "body was".to_owned() } else { format!("{n_turned} bodies were") };
        Note::info(
            "skin-inside-out",
            format!("the {bodies} inside out (facets facing into the material) and looked at turned over"),
            "",
        )
    })
}

fn assembly(skin: &Skin) -> Option<Note> {
    if skin.bodies.len() < 2 {
        return None;
    }
    let count = |kind: SkinKind| skin.bodies.iter().filter(|body| body.kind == kind).count();
    let kinds = [(SkinKind::Sheet, "sheet"), (SkinKind::ThinSolid, "thin solid"), (SkinKind::Solid, "solid")];
    let listed: Vec<String> = kinds
        .iter()
        .filter(|&&(kind, _)| count(kind) > 0)
        .map(|&(kind, name)| format!("{} {name}{}", count(kind), if count(kind) == 1 { "" } else { "s" }))
        .collect();
    Some(Note::info(
        "skin-bodies",
        format!(
            "holds {} bodies that are not joined: {}; each was looked at alone, areas are sums",
            skin.bodies.len(),
            listed.join(", ")
        ),
        "if they are different parts, export them one by one, or as objects of an OBJ",
    ))
}

fn either_side(skin: &Skin) -> Option<Note> {
    skin.either_side.then(|| {
        Note::info(
            "skin-either-side",
            "nothing tells outside from inside on this shape; the side that faces up was taken as the outside",
            "if it is the other side, write face = \"inside\" (or a direction) in its [[part]]",
        )
    })
}

fn branching(mesh: &Mesh, found: &[Found]) -> Option<Note> {
    let branching_mm: f64 = found.iter().map(|found| found.branching_mm).sum();
    let diagonal_mm = mesh.bounds()?.diagonal_mm();
    (branching_mm > BRANCHING_OF_DIAGONAL * diagonal_mm).then(|| {
        Note::warning(
            "skin-branches",
            format!("walls branch over {branching_mm:.0} mm, as at a rib: the faces of the branch were given to one side or the other"),
            "export the panel without its ribs for exact areas of either side",
        )
    })
}

fn joints(skin: &Skin) -> Option<Note> {
    let (joint_mm, most_mm) = (skin.wall_at_joints_mm?, skin.wall_max_mm?);
    Some(Note::info(
        "skin-joints",
        format!(
            "up to {joint_mm:.2} mm through joints, where the two faces are not parallel; elsewhere the wall is {most_mm:.2} mm at most"
        ),
        "",
    ))
}

fn hollows(skin: &Skin) -> Option<Note> {
    let n_hollows: usize = skin.bodies.iter().map(|body| body.n_hollows).sum();
    (n_hollows > 0).then(|| {
        let plug = skin.bodies.iter().any(|body| body.n_hollows > 0 && body.kind == SkinKind::Solid);
        let counted = if plug { "; a plug's hollow is counted with its surface" } else { "" };
        let s = if n_hollows == 1 { "" } else { "s" };
        Note::info("skin-hollows", format!("holds {n_hollows} closed hollow{s}{counted}"), "")
    })
}

fn gaps(bodies: &[BodyFaces], options: &SkinOptions) -> Option<Note> {
    let open_mm: f64 = bodies.iter().filter(|body| body.closed).map(|body| body.open_mm).sum();
    if open_mm > 0.0 {
        return Some(Note::info(
            "skin-gaps",
            format!("taken as closed although edges of {open_mm:.2} mm in all are open"),
            "close the gap in the CAD model and export again",
        ));
    }
    let forced = options.kind == Some(SkinKind::ThinSolid) && bodies.iter().any(|body| !body.closed);
    forced.then(|| {
        Note::warning(
            "skin-open-wall",
            "taken for a thin solid as told, although it is open: facets without a wall behind them count as rim",
            "close the body in the CAD model if its areas look wrong",
        )
    })
}
