//! The rough plug of a panel, where the job gives a scan of it.

use crate::geometry::load::LoadFault;
use crate::geometry::mesh::Mesh;
use crate::geometry::pull::Face;
use crate::geometry::rough::{Rough, rough};
use crate::laminate::stock::Practice;
use crate::notes::Note;

/// Share of the skin that may lie beside no scan before it is told.
const UNSEEN_SHARE: f64 = 0.02;

/// That a scan cannot be used.
#[must_use]
pub fn not_read(fault: &LoadFault) -> Note {
    let message = format!("the scan of the rough plug cannot be used: {}: {}", fault.file, fault.message);
    Note::warning("rough-not-read", message, fault.remedy.clone())
}

/// What the scan says, or a note on why it says nothing.
pub fn rough_plug(
    face: &Face<'_>,
    scan: Result<Mesh, LoadFault>,
    practice: &Practice,
) -> (Option<Rough>, Option<Note>) {
    let scan = match scan {
        Ok(scan) => scan,
        Err(fault) => {
            return (None, Some(not_read(&fault)));
        }
    };
    let reach_mm = practice.rough_reach_mm.value;
    let found = rough(face.mesh(), &face.corner_normals, &scan, reach_mm);
    let area_m2 = face.mesh().area_m2();
    let note = (found.unseen_m2 > UNSEEN_SHARE * area_m2).then(|| {
        Note::warning(
            "rough-unseen",
            format!(
                "no scan of the rough plug lies within {reach_mm} mm of {:.3} of {area_m2:.3} m2 of the skin; filler there is not counted",
                found.unseen_m2
            ),
            "scan all of the plug and export it in the place of the panel, in the same unit; or raise rough_reach_mm under [shop]",
        )
    });
    (Some(found), note)
}
