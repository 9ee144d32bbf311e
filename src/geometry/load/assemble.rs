//! From triangles as a file holds them to a part: welded, counted, mended, told.

use rayon::prelude::*;

use super::error::LoadError;
use super::size::unit_notes;
use crate::geometry::health::{Facets, Findings, mend};
use crate::geometry::mesh::{Bounds, Point};
use crate::geometry::part::{Health, Part};
use crate::geometry::weld::{Triangles, Welded, join_near_points, tolerance_mm, weld_equal_corners};
use crate::notes::Note;
use crate::units::LengthUnit;

/// Coordinates beyond this are damage, not shape: ten kilometres.
// Single precision holds a millimetre there, so what lies farther out cannot be measured; yet 30 m read in the wrong unit
// (metres as feet, mm as m) stays far below or is told as too large.
const FARTHEST_MM: f64 = 1e7;

/// Where triangles come from.
#[derive(Debug, Clone, Default)]
pub struct Source {
    /// Name of the part.
    pub name: String,
    /// File as given.
    pub file: String,
    /// Object in the file.
    pub object: Option<String>,
    /// Position of the object.
    pub index: usize,
    /// Names of the regions.
    pub regions: Vec<String>,
    /// What the reader found odd.
    pub notes: Vec<Note>,
}

/// Makes a part of triangles; `face_regions` holds the region of each.
///
/// # Errors
/// If too little of it is a surface: most corners no numbers, or no area at all.
pub fn part<T: Triangles + ?Sized>(
    triangles: &T,
    face_regions: Vec<u32>,
    source: Source,
    unit: Option<LengthUnit>,
) -> Result<Part, LoadError> {
    let all = triangles.count();
    check_count(all)?;
    let unit_taken = unit.unwrap_or(LengthUnit::Millimetre);
    let mut welded = weld_equal_corners(triangles, unit_taken.mm(), FARTHEST_MM);
    check_places(&welded, all)?;
    let Some(bounds) = bounds(&welded.mesh.points_mm) else {
        return Err(LoadError::NoTriangles { hint: String::new() });
    };
    let tolerance_mm = tolerance_mm(&bounds);
    let n_joined = join_near_points(&mut welded.mesh, &bounds, tolerance_mm);
    let mut facets = Facets { mesh: std::mem::take(&mut welded.mesh), regions: face_regions };
    let (mut health, findings) = mend(&mut facets, tolerance_mm);
    health.not_finite_triangles = welded.not_finite;
    if health.triangles == 0 {
        return Err(LoadError::NoArea { count: all });
    }
    let mut notes = unit_notes(unit, bounds.size_mm().max());
    notes.extend(source.notes);
    notes.extend(repair_notes(&welded, n_joined, tolerance_mm, &health, &findings, facets.mesh.faces.len()));
    Ok(Part {
        name: source.name,
        file: source.file,
        object: source.object,
        index: source.index,
        unit: unit_taken,
        mesh: facets.mesh,
        face_regions: facets.regions,
        regions: source.regions,
        health,
        notes,
    })
}

/// Sides of facets are numbered in 32 bits, with room for a few special numbers.
fn check_count(count: usize) -> Result<(), LoadError> {
    const MOST: usize = (u32::MAX / 3 - 1) as usize;
    if count > MOST { Err(LoadError::TooMany { count, most: MOST }) } else { Ok(()) }
}

/// A few damaged triangles leave holes that can be told; if most are damaged, the rest means nothing.
fn check_places(welded: &Welded, all: usize) -> Result<(), LoadError> {
    if 2 * (welded.not_finite + welded.too_far) < all {
        Ok(())
    } else if welded.not_finite >= welded.too_far {
        Err(LoadError::NotFinite { bad: welded.not_finite, all })
    } else {
        Err(LoadError::TooFar { bad: welded.too_far, all, farthest_mm: welded.farthest_mm })
    }
}

fn bounds(points_mm: &[Point]) -> Option<Bounds> {
    points_mm
        .par_iter()
        .map(|&point| Bounds { least: point, most: point })
        .reduce_with(|a, b| Bounds { least: a.least.inf(&b.least), most: a.most.sup(&b.most) })
}

/// `1 triangle`, `2 triangles`.
fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

fn were(number: usize) -> &'static str {
    if number == 1 { "was" } else { "were" }
}

fn repair_notes(
    welded: &Welded,
    n_joined: usize,
    tolerance_mm: f64,
    health: &Health,
    findings: &Findings,
    n_faces: usize,
) -> Vec<Note> {
    let mend_cad = "mend the shape in the CAD program and export it again";
    let mut notes = Vec::new();
    let mut warn = |code: &str, number: usize, message: &dyn Fn(String) -> String, what: &str, remedy: &str| {
        if number > 0 {
            notes.push(Note::warning(code, message(count(number, what)), remedy));
        }
    };
    warn(
        "not-a-number",
        welded.not_finite,
        &|n| {
            format!(
                "{n} with corners that are not a number (NaN or infinite coordinates) {} left out; the part has holes there",
                were(welded.not_finite)
            )
        },
        "triangle",
        "export the part again; the area is short by what is missing",
    );
    warn(
        "huge-coordinates",
        welded.too_far,
        &|n| {
            format!(
                "{n} with huge coordinates, out of range for any part (up to {:.3e} mm), {} left out; the part has holes there",
                welded.farthest_mm,
                were(welded.too_far)
            )
        },
        "triangle",
        "export the part again; the area is short by what is missing",
    );
    warn(
        "duplicate-triangles",
        health.duplicate_triangles,
        &|n| {
            format!(
                "{n} {} there more than once (duplicate: same corners, same winding); each counts once",
                were(health.duplicate_triangles)
            )
        },
        "triangle",
        "look for surfaces that lie in the CAD model twice",
    );
    warn(
        "back-to-back-triangles",
        health.back_to_back_triangles,
        &|n| {
            format!(
                "{n} {} there a second time facing the other way (back to back, doubled faces without a wall between them); each pair counts once",
                were(health.back_to_back_triangles)
            )
        },
        "triangle",
        "if the part is a solid, look for an inner wall between two bodies; if it is a sheet, export one side",
    );
    warn(
        "flipped-triangles",
        findings.turned_to_neighbours,
        &|n| {
            format!(
                "{n} {} flipped (wound against the neighbours across {}) and turned to agree with them",
                were(findings.turned_to_neighbours),
                count(health.flipped_edges, "edge")
            )
        },
        "triangle",
        "check which side is the outside; unify the normals in the CAD program",
    );
    warn(
        "one-sided",
        findings.one_sided_edges,
        &|n| {
            format!("the surface has only one side, like a twisted band: across {n} the winding cannot agree (flipped)")
        },
        "edge",
        mend_cad,
    );
    warn(
        "inside-out",
        findings.shells_turned,
        &|n| {
            format!(
                "{n} {} inside out (negative volume, facets facing the wrong way) and turned",
                were(findings.shells_turned)
            )
        },
        "closed shell",
        "check which side is the outside; unify the normals in the CAD program",
    );
    warn(
        "nonmanifold-edges",
        health.nonmanifold_edges,
        &|n| {
            format!(
                "{n} {} shared by three or more triangles (non-manifold, as at a fin or where bodies touch)",
                if health.nonmanifold_edges == 1 { "is" } else { "are" }
            )
        },
        "edge",
        "delete inner walls and doubled faces in the CAD model, or export the bodies one by one",
    );
    if health.degenerate_triangles > 0 {
        let kept = n_faces - health.triangles;
        notes.push(Note::info(
            "degenerate-triangles",
            format!(
                "{} degenerate (no area: less than {:.2e} mm high) {} ignored; {kept} of them stay to hold their neighbours together",
                count(health.degenerate_triangles, "triangle"),
                tolerance_mm,
                were(health.degenerate_triangles)
            ),
            "",
        ));
    }
    if n_joined > 0 {
        notes.push(Note::info(
            "near-points",
            format!(
                "{} within {tolerance_mm:.2e} mm of another {} joined to it",
                count(n_joined, "point"),
                were(n_joined)
            ),
            "",
        ));
    }
    notes
}
