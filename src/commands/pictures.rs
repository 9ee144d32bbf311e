//! What is looked at: the report, the scene and still pictures, as files by name.

use super::reduce::Meshopt;
use crate::geometry::load::LoadFault;
use crate::geometry::survey::Survey;
use crate::plan::Plan;
use crate::report::page::{Pictures, WithoutPictures};
use crate::report::{glb, page, scene, stills};

/// Report, scene and stills of a plan.
pub(super) fn of_plan(plan: &Plan) -> Vec<(String, Vec<u8>)> {
    let ((glb, stills), text) = rayon::join(
        || rayon::join(|| glb::bytes(&scene::of_plan(plan, Some(&Meshopt))), || stills::of_plan(plan)),
        || WithoutPictures::of(plan),
    );
    let report = page::plan(plan, &text, Pictures { glb: &glb, stills: &stills });
    let files = [("report.html".to_owned(), report.into_bytes()), ("scene.glb".to_owned(), glb)];
    files.into_iter().chain(stills.into_iter().map(|still| (still.file, still.png))).collect()
}

/// The report of measured panels, and of what could not be measured.
pub(super) fn page_of_surveys(surveys: &[Survey], faults: &[LoadFault]) -> Vec<u8> {
    let (glb, stills) =
        rayon::join(|| glb::bytes(&scene::of_surveys(surveys, Some(&Meshopt))), || stills::of_surveys(surveys));
    page::measure(surveys, faults, Pictures { glb: &glb, stills: &stills }).into_bytes()
}
