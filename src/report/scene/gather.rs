//! From a plan, or from measured panels, to what is drawn of them.

use rayon::prelude::*;

use super::reduce::reduced;
use super::shade::{FacetValues, shade};
use super::zones::zones;
use super::{Drawn, Layer, Reduce, Scene, ScenePanel, lines, pull};
use crate::geometry::bending;
use crate::geometry::edges::{EdgeLoop, loops};
use crate::geometry::pull::Face;
use crate::geometry::split::cut;
use crate::geometry::stitch::Surface;
use crate::geometry::survey::Survey;
use crate::plan::{Build, PiecePlan, Plan};

/// The scene of a plan.
#[must_use]
pub fn of_plan(plan: &Plan, reduce: Option<&dyn Reduce>) -> Scene {
    let pieces: Vec<(&Build, &PiecePlan)> = plan.pieces().map(|(_, build, piece)| (build, piece)).collect();
    let layers: Vec<Layer> = pieces.into_par_iter().map(|(build, piece)| layer(build, piece)).collect();
    let mut layers = layers.into_iter();
    let panels = plan.parts.iter().map(|part| ScenePanel {
        name: part.name.clone(),
        layers: layers.by_ref().take(part.builds.iter().map(|build| build.pieces.len()).sum()).collect(),
    });
    reduced(Scene { panels: panels.collect() }, reduce)
}

/// The scene of measured panels.
#[must_use]
pub fn of_surveys(surveys: &[Survey], reduce: Option<&dyn Reduce>) -> Scene {
    let panel = |survey: &Survey| ScenePanel { name: survey.part.name.clone(), layers: vec![measured(survey)] };
    reduced(Scene { panels: surveys.par_iter().map(panel).collect() }, reduce)
}

fn layer(build: &Build, piece: &PiecePlan) -> Layer {
    let coverage = &piece.coverage;
    let zones = zones(&coverage.plies, &piece.lay_up.plies);
    let mesh = &coverage.refined.mesh;
    let pull = piece.release.as_ref().map(|release| Drawn {
        direction: release.pull.direction,
        wanted_draft_deg: release.pull.wanted_draft_deg,
        near_zero_draft_deg: Some(release.near_zero_draft_deg),
    });
    let drafts_deg = piece.release.iter().flat_map(|release| {
        let normals = release.normals.of_parts(&release.face, mesh, &coverage.refined.source_faces);
        pull::drafts_deg(&normals, mesh.faces.len(), &release.pull.direction)
    });
    let drafts_deg: Vec<[f64; 3]> = drafts_deg.collect();
    let face = shade(FacetValues {
        mesh,
        radius_mm: &coverage.radius_mm,
        thickness_mm: &coverage.thickness_mm,
        zone: &zones.of_face,
        draft_deg: &drafts_deg,
        wall_mm: &coverage.wall_mm,
    });
    Layer {
        make: Some(build.make),
        piece: piece.name.clone(),
        face,
        reduction: None,
        zones: zones.words,
        zone_plies: zones.n_plies,
        pull,
        limits: build.limits.clone(),
        flanges: piece.flanges_mm.clone(),
        lines: lines::of_piece(piece),
    }
}

/// The side that would be laid, without a lay-up.
fn measured(survey: &Survey) -> Layer {
    let mesh = survey.laid_mesh();
    let surface = Surface::stitched(mesh);
    let bends = bending::evened(&surface).facets;
    let radius_mm: Vec<f64> = bends.iter().map(|bend| 1.0 / bend.kappa1_per_mm.abs()).collect();
    let edges: Vec<EdgeLoop> = cut(&surface, &[]).pieces.par_iter().flat_map(loops).collect();
    let pull = survey.pull.as_ref().map(|pull| Drawn {
        direction: pull.direction,
        wanted_draft_deg: pull.wanted_draft_deg,
        near_zero_draft_deg: None,
    });
    let drafts_deg = pull.map(|pull| {
        let normals = Face::of(&surface).corner_normals;
        pull::drafts_deg(&normals, mesh.faces.len(), &pull.direction)
    });
    let face = shade(FacetValues {
        mesh,
        radius_mm: &radius_mm,
        thickness_mm: &[],
        zone: &[],
        draft_deg: &drafts_deg.unwrap_or_default(),
        wall_mm: &survey.laid_walls_mm(),
    });
    Layer {
        make: None,
        piece: String::new(),
        face,
        reduction: None,
        zones: Vec::new(),
        zone_plies: Vec::new(),
        pull,
        limits: Vec::new(),
        flanges: Vec::new(),
        lines: lines::of_panel(survey, &edges),
    }
}
