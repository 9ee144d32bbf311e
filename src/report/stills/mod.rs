//! Still pictures of panels, without a display and the same to the last byte everywhere.
//!
//! [`angles`] chooses the views, [`picture`] takes one of them on a [`canvas`], [`file`] writes it. What is drawn and which of it
//! is hidden is shared with the drawings for paper.

mod alt;
mod angles;
mod canvas;
mod corner_band;
mod file;
mod font;
mod legend;
mod picture;
pub mod rough;
mod shade;
mod slug;
#[cfg(test)]
mod tests;
mod words;

use rayon::prelude::*;

use crate::geometry::refine::Refined;
use crate::geometry::stitch::Surface;
use crate::geometry::survey::Survey;
use crate::laminate::schedule::Make;
use crate::plan::{PartPlan, Plan};
use crate::report::drawing::subject::{CornerLine, Piece};
use angles::{MOST_VIEWS, further, opposite_pair};
use picture::{HEIGHT_PX, Picture, Subject, WIDTH_PX, taken};
use shade::Smooth;

/// One picture of one panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Still {
    /// Number of the panel, in the order of the plan or of the files.
    pub panel: usize,
    /// From where it is seen, in a word.
    pub view: &'static str,
    /// Where it is kept, under the folder of the plan: `stills/...png`.
    pub file: String,
    /// What is to be seen, for those who cannot.
    pub alt: String,
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// The picture as PNG.
    pub png: Vec<u8>,
}

/// The pictures of every panel of a plan: its moulding (its mould if there is no moulding), from two opposite sides and from
/// up to two more if corners would else not be seen.
#[must_use]
pub fn of_plan(plan: &Plan) -> Vec<Still> {
    of_parts(&plan.parts)
}

fn of_parts(parts: &[PartPlan]) -> Vec<Still> {
    let of_panel = |(panel, part): (usize, &PartPlan)| {
        let Some(subject) = subject_of_plan(part) else { return Vec::new() };
        stills(panel, &part.name, &subject)
    };
    parts.par_iter().enumerate().flat_map_iter(of_panel).collect()
}

/// The pictures of measured panels: the laid side, with the corners that were listed.
#[must_use]
pub fn of_surveys(surveys: &[Survey]) -> Vec<Still> {
    let of_panel = |(panel, survey): (usize, &Survey)| {
        let refined = Refined::of(&Surface::stitched(survey.laid_mesh()));
        stills(panel, &survey.part.name, &subject_of_survey(&refined, survey))
    };
    surveys.par_iter().enumerate().flat_map_iter(of_panel).collect()
}

/// What the pictures of a measured panel show; `refined` is its laid side.
fn subject_of_survey<'a>(refined: &'a Refined, survey: &Survey) -> Subject<'a> {
    let piece = Piece::of_survey(refined, &survey.listed);
    let corners = piece.corners.clone();
    let smooth = vec![Smooth::of(&piece.shape)];
    Subject { make: None, pieces: vec![piece], smooth, corners, mould_splits: Vec::new() }
}

/// What the pictures of a panel show: the moulding with its corners as it meets them, and where the mould is
/// split beside. Corners that only the mould has stand in its drawing.
fn subject_of_plan(part: &PartPlan) -> Option<Subject<'_>> {
    let shown = part.builds.iter().find(|build| build.make == Make::Moulding).or(part.builds.first())?;
    let pieces: Vec<Piece<'_>> = shown.pieces.par_iter().map(|piece| Piece::of_plan(piece, shown)).collect();
    let smooth = pieces.par_iter().map(|piece| Smooth::of(&piece.shape)).collect();
    let mut corners: Vec<CornerLine> = pieces.iter().flat_map(|piece| piece.corners.iter().cloned()).collect();
    let mut mould_splits = Vec::new();
    for build in part.builds.iter().filter(|build| !std::ptr::eq(*build, shown)) {
        for piece in &build.pieces {
            let others = piece.splits.iter().filter(|split| !has_split(&pieces, &split.name));
            mould_splits.extend(
                others.flat_map(|split| split.lines_mm.iter().map(|line| (split.name.as_str(), line.as_slice()))),
            );
        }
    }
    // Both sides of a cut list it.
    let mut once: Vec<(&str, &[_])> = Vec::new();
    mould_splits.into_iter().for_each(|split| {
        if !once.contains(&split) {
            once.push(split);
        }
    });
    corners.retain(|corner| corner.path_mm.len() > 1);
    Some(Subject { make: Some(shown.make), pieces, smooth, corners, mould_splits: once })
}

fn has_split(pieces: &[Piece<'_>], name: &str) -> bool {
    pieces.iter().flat_map(|piece| &piece.splits).any(|(own, _)| *own == name)
}

/// Takes the pictures of a panel.
fn stills(panel: usize, name: &str, subject: &Subject<'_>) -> Vec<Still> {
    if subject.pieces.iter().all(|piece| piece.shape.mesh.faces.is_empty()) {
        return Vec::new();
    }
    let mut pictures: Vec<Picture> =
        opposite_pair(&subject.pieces).par_iter().map(|view| taken(subject, view)).collect();
    let is_unseen = |number: &usize| !pictures.iter().any(|picture| picture.corner_seen[*number]);
    let unseen: Vec<&CornerLine> =
        (0..subject.corners.len()).filter(is_unseen).map(|number| &subject.corners[number]).collect();
    let more = further(&subject.pieces, &unseen, MOST_VIEWS - pictures.len());
    pictures.extend(more.par_iter().map(|view| taken(subject, view)).collect::<Vec<_>>());
    let still = |(number, picture): (usize, Picture)| Still {
        panel,
        view: picture.view.name,
        file: slug::file_name(panel, name, number),
        alt: alt::words(name, subject, &picture),
        width_px: WIDTH_PX as u32,
        height_px: HEIGHT_PX as u32,
        png: picture.png,
    };
    pictures.into_iter().enumerate().map(still).collect()
}
