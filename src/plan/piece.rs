//! One piece of a build: border, coverage, areas ply by ply, lay-up, mass, corners.

use rayon::prelude::*;

use super::borders::{BorderNormals, Borders};
use super::corners::{laminated_radius_mm, met_corners};
use super::release::{Drawn, asked, release, release_notes};
use super::types::{Coverage, MetCorner, PiecePlan};
use super::zones::{Zoned, cover};
use crate::geometry::bending::Bending;
use crate::geometry::corners::Corner;
use crate::geometry::edges::EdgeLoop;
use crate::geometry::girth::{Girth, girth};
use crate::geometry::mesh::{FaceId, Mesh, Point};
use crate::geometry::offset::{FaceGrowth, Side, face_growth};
use crate::geometry::refine::Refined;
use crate::geometry::refine::nearest::FacetTree;
use crate::geometry::split::{Piece, PieceCorners};
use crate::geometry::stitch::Surface;
use crate::job::EdgeKind;
use crate::laminate::coverage::{MassProperties, face_area, mass_of_triangles, mass_properties, ply_area};
use crate::laminate::error::LaminateError;
use crate::laminate::lay_up::{LayUp, PlyAreas, lay_up};
use crate::laminate::plies::{PlannedPly, PliesPlan, Stuff};
use crate::laminate::remedies::{Place, Remedy};
use crate::laminate::schedule::{Make, Zone};
use crate::laminate::stock::Stock;
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{m_from_mm, total};
use crate::workshop::drops::{Drops, Extent, RollFigures, drops, least_roll_m, roll_m, strips_beside};

/// What holds for all pieces of a build.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The schedule, ply by ply.
    pub plan: &'a PliesPlan,
    /// Materials.
    pub stock: &'a Stock,
    /// Each ply is measured at its own depth.
    pub growth: bool,
    /// Lap of the panel's plies, if it is not the material's.
    pub lap_mm: Option<f64>,
    /// How far plies run past the edge: trim of a moulding.
    pub trim_mm: f64,
    /// Flange of a mould.
    pub flange_mm: f64,
    /// Names of the mesh's regions, and the region of each facet of the laid side.
    pub regions: &'a [String],
    /// See [`Self::regions`].
    pub face_regions: &'a [u32],
    /// Bending of each facet of the laid side.
    pub bending: &'a Bending,
    /// Wall behind each, in mm; 0 where none was met, empty where the panel has none.
    pub walls_mm: &'a [f32],
}

/// What is known of one piece before it is laid up.
#[derive(Debug)]
pub struct Bare<'a> {
    /// Its facets.
    pub piece: &'a Piece,
    /// How it is drawn off; nothing for a piece without area.
    pub drawn: Option<&'a Drawn<'a>>,
    /// Its border.
    pub loops: &'a [EdgeLoop],
    /// What the border is.
    pub borders: Borders,
    /// Its corners.
    pub corners: PieceCorners,
}

/// Plans one piece.
///
/// # Errors
/// [`LaminateError`] if the plan's materials are not in the stock, which a checked job does not bring about.
pub fn plan_piece(bare: Bare<'_>, ground: Ground<'_>) -> Result<PiecePlan, LaminateError> {
    let Bare { piece, drawn, loops, borders, corners } = bare;
    let plan = ground.plan;
    // Strips follow corners, whatever else lies there; what lies at each corner is known once everything is laid.
    let met_with = |lies_here: &dyn Fn(usize, &Corner) -> bool| {
        met_corners(corners.corners.clone(), &borders.roots, loops, plan, lies_here, ground.stock)
    };
    let bare = met_with(&|_, _| false);
    let zoned = cover(piece, loops, &bare, ground);
    let mesh = &zoned.refined.mesh;
    let met = if plan.plies.iter().any(|ply| lies_by_place(&ply.zone)) {
        let facets = FacetTree::over(mesh, mesh.face_ids().collect());
        met_with(&|ply, corner| lies_at(&zoned, &facets, ply, corner))
    } else {
        bare
    };
    let side = laid_side(plan.make);
    let growth = ground.growth.then(|| face_growth(&Surface::stitched(mesh), side));
    let mut notes = zoned.notes.clone();
    notes.extend(closed_note(loops));
    let mut rolls = rolls(&zoned, &met, ground, piece, &mut notes);
    let areas = areas(&zoned, &borders, &rolls, growth.as_deref(), ground, &mut notes);
    for ((roll, areas), ply) in rolls.iter_mut().zip(&areas).zip(&plan.plies) {
        // No ply takes less of the roll than its area over the width.
        let width_mm = roll_figures(ply, ground).map_or(0.0, |figures| figures.width_mm);
        let least_m = least_roll_m(areas.laid_m2(), width_mm);
        if roll.metres < least_m {
            *roll = Rolled { metres: least_m, cut: Cut::Area { m2: areas.laid_m2(), width_mm }, ..*roll };
        }
    }
    let gelcoat = gelcoat_areas(mesh, &borders, growth.as_deref(), plan);
    let mut lay_up = lay_up(plan, &gelcoat, &areas, ground.stock)?;
    lay_up.workings.extend(rolls.iter().zip(&plan.plies).filter_map(|(roll, ply)| roll.working(ply.ply)));
    let flanges_mm = flange_strips(&borders, mesh);
    let mass = mass(&zoned, &lay_up, &borders, &flanges_mm, growth.as_deref(), plan);
    let mut planned = PiecePlan {
        name: piece.name.clone(),
        size_mm: mesh.bounds().map_or([0.0; 3], |bounds| bounds.size_mm().into()),
        area_m2: piece.area_m2(),
        roll_m: rolls.iter().map(|roll| roll.metres).collect(),
        filler_ml: filler(&met),
        centre_of_mass_mm: mass.map_or_else(Point::origin, |mass| Point::from(mass.centre_of_mass_mm)),
        inertia_kg_m2: mass.map_or([[0.0; 3]; 3], |mass| mass.inertia_kg_m2),
        coverage: Coverage {
            n_plies: zoned.coverage.counts(),
            thickness_mm: zoned.coverage.thickness_mm(plan),
            radius_mm: radii_mm(&zoned.refined, ground),
            wall_mm: walls_mm(&zoned.refined, ground.walls_mm),
            plies: zoned.coverage.plies,
            refined: zoned.refined,
        },
        flanges_mm,
        splits: borders.splits,
        edges: borders.edges,
        corners: met.into_iter().filter(needs_work).collect(),
        points: corners.points,
        lay_up,
        release: None,
        notes,
    };
    let asked = asked(&planned, plan.make, ground.flange_mm, &ground.stock.practice);
    planned.release = drawn.and_then(|drawn| release(drawn, &planned.splits, &planned.edges, &asked));
    planned.notes.extend(planned.release.iter().flat_map(|release| release_notes(release, plan.make)));
    Ok(planned)
}

/// Smallest radius on each facet as the first ply meets it; facets know the bending of what they are a part of.
fn radii_mm(refined: &Refined, ground: Ground<'_>) -> Vec<f64> {
    let (make, gelcoat_mm) = (ground.plan.make, ground.plan.gelcoat_mm());
    let radius_mm = |&face: &FaceId| laminated_radius_mm(&ground.bending.facets[face as usize], make, gelcoat_mm);
    refined.source_faces.par_iter().map(radius_mm).collect()
}

/// Wall behind each facet; facets know the wall of what they are a part of.
fn walls_mm(refined: &Refined, walls_mm: &[f32]) -> Vec<f32> {
    refined.source_faces.iter().filter_map(|&face| walls_mm.get(face as usize)).copied().collect()
}

/// A closed body cannot be laid up from inside, nor taken out of one mould.
fn closed_note(loops: &[EdgeLoop]) -> Option<Note> {
    loops.is_empty().then(|| {
        Note::warning(
            "closed-piece",
            "this piece is closed all round: it cannot be laid up or taken out of its mould as one",
            "split it with [[part.split]], or export the face without the base that the plug stands on",
        )
    })
}

/// Whether the place of a corner decides if a ply lies there.
const fn lies_by_place(zone: &Zone) -> bool {
    match zone {
        Zone::All | Zone::Corners(_) => false,
        Zone::Edges(_) | Zone::Above(_) | Zone::Below(_) | Zone::Beyond(_) | Zone::Region(_) => true,
    }
}

/// Whether a ply lies anywhere along a corner.
fn lies_at(zoned: &Zoned, facets: &FacetTree<'_>, ply: usize, corner: &Corner) -> bool {
    let mut along = corner.path.iter().filter_map(|station| facets.nearest(&station.at_mm));
    along.any(|on| zoned.coverage.plies[on.face as usize].holds(ply))
}

/// A corner is shown if some ply fails at it or something has to be done there.
fn needs_work(met: &MetCorner) -> bool {
    met.advice.first_failing_ply.is_some() || !met.advice.remedies.is_empty()
}

/// A mould lies on the outward side of the skin, a moulding on the other.
const fn laid_side(make: Make) -> Side {
    match make {
        Make::Mould => Side::Outward,
        Make::Moulding => Side::Inward,
    }
}

/// Metres off the roll for one ply, and the laps that come of its drops.
#[derive(Debug, Clone, Copy, Default)]
struct Rolled {
    metres: f64,
    drops: Option<Drops>,
    cut: Cut,
}

/// How a ply's metres were reckoned.
#[derive(Debug, Clone, Copy, Default)]
enum Cut {
    /// It comes off no roll.
    #[default]
    No,
    /// As drops.
    Drops { n_drops: usize, each_m: f64 },
    /// As strips side by side.
    Strips { length_mm: f64, n_beside: f64 },
    /// As area over width, the least there can be.
    Area { m2: f64, width_mm: f64 },
}

impl Rolled {
    fn working(&self, ply: usize) -> Option<Working> {
        let metres = Working::of_ply("plies", ply, "roll_m", "metres off the roll", self.metres, "m");
        match self.cut {
            Cut::No => None,
            Cut::Drops { n_drops, each_m } => Some(metres.plus(n_drops as f64, "", "drops").times(each_m, "m", "each")),
            Cut::Strips { length_mm, n_beside } => {
                Some(metres.plus(m_from_mm(length_mm), "m", "of strip").over(n_beside, "", "side by side"))
            }
            Cut::Area { m2, width_mm } => {
                Some(metres.plus(m2, "m2", "least area").over(m_from_mm(width_mm), "m", "wide"))
            }
        }
    }
}

fn rolls(zoned: &Zoned, met: &[MetCorner], ground: Ground<'_>, piece: &Piece, notes: &mut Vec<Note>) -> Vec<Rolled> {
    let reach = girth(piece.mesh());
    let mut rolls = Vec::with_capacity(ground.plan.plies.len());
    for ply in &ground.plan.plies {
        let Some(figures) = roll_figures(ply, ground) else {
            rolls.push(Rolled::default());
            continue;
        };
        let net_m2 = zoned.area_m2(ply.ply);
        let rolled = match &ply.zone {
            Zone::Corners(strip) => {
                let length_mm: f64 =
                    met.iter().filter(|corner| strip.takes(&corner.met)).map(|corner| corner.met.length_mm).sum();
                strip_roll(strip.width_mm, length_mm, net_m2, figures)
            }
            Zone::Edges(band) => strip_roll(band.width_mm, zoned.band_length_mm(ply.ply), net_m2, figures),
            Zone::All => dropped(reach, net_m2, figures, ground, &piece.name, ply.ply, notes),
            Zone::Above(_) | Zone::Below(_) | Zone::Beyond(_) | Zone::Region(_) => {
                let faces: Vec<u32> = zoned.coverage.faces_of(ply.ply).collect();
                let reach = girth(&zoned.refined.mesh.submesh(&faces));
                dropped(reach, net_m2, figures, ground, &piece.name, ply.ply, notes)
            }
        };
        rolls.push(rolled);
    }
    rolls
}

fn roll_figures(ply: &PlannedPly, ground: Ground<'_>) -> Option<RollFigures> {
    let figures = RollFigures::of(ground.stock.reinforcements.get(&ply.material)?)?;
    Some(RollFigures { lap_mm: ground.lap_mm.unwrap_or(figures.lap_mm), ..figures })
}

fn strip_roll(width_mm: f64, length_mm: f64, net_m2: f64, figures: RollFigures) -> Rolled {
    let least_m = least_roll_m(net_m2, figures.width_mm);
    let least = Rolled { metres: least_m, drops: None, cut: Cut::Area { m2: net_m2, width_mm: figures.width_mm } };
    let Some(n_beside) = strips_beside(width_mm, figures.width_mm) else { return least };
    let metres = m_from_mm(length_mm) / n_beside;
    if metres < least_m { least } else { Rolled { metres, drops: None, cut: Cut::Strips { length_mm, n_beside } } }
}

fn dropped(
    reach: Option<Girth>,
    net_m2: f64,
    figures: RollFigures,
    ground: Ground<'_>,
    piece: &str,
    ply: usize,
    notes: &mut Vec<Note>,
) -> Rolled {
    if net_m2 <= 0.0 {
        return Rolled::default();
    }
    // A mould's plies run over its flanges and stay there; a moulding's run past the edge and are trimmed.
    let (past_mm, trim_mm) = match ground.plan.make {
        Make::Mould => (2.0 * ground.flange_mm, 0.0),
        Make::Moulding => (0.0, ground.trim_mm),
    };
    let extent =
        |reach: Girth| Extent { length_mm: reach.along_mm + past_mm, width_mm: reach.across_mm + past_mm, trim_mm };
    let drops = reach.and_then(|reach| drops(extent(reach), figures));
    let (metres, note) = roll_m(piece, ply, drops, net_m2, figures.width_mm);
    notes.extend(note);
    let cut = match drops {
        Some(Drops { n_drops, each_m, roll_m, .. }) if roll_m == metres => Cut::Drops { n_drops, each_m },
        _ => Cut::Area { m2: net_m2, width_mm: figures.width_mm },
    };
    Rolled { metres, drops, cut }
}

/// The four areas of every ply.
fn areas(
    zoned: &Zoned,
    borders: &Borders,
    rolls: &[Rolled],
    growth: Option<&[FaceGrowth]>,
    ground: Ground<'_>,
    notes: &mut Vec<Note>,
) -> Vec<PlyAreas> {
    let mut told = false;
    let per_ply = |(ply, roll): (&PlannedPly, &Rolled)| {
        let area = ply_area(&zoned.coverage, ground.plan, ply.ply, &zoned.refined.mesh, growth);
        if !told && let Some(note) = area.note(&ground.plan.schedule, ply.mid_depth_mm()) {
            told = true;
            notes.push(note);
        }
        // A core and its bedding end before the edge: no flange, trim or blank is laid with them.
        let is_core = !matches!(ply.stuff, Stuff::Glass(_));
        let share = if is_core { 0.0 } else { zoned.border_share(ply.ply) };
        PlyAreas {
            net_m2: area.net_m2,
            grown_m2: area.grown_m2,
            laps_on_part_m2: roll.drops.map_or(0.0, |drops| drops.laps_on_part_m2),
            laps_laid_m2: roll.drops.map_or(0.0, |drops| drops.laps_laid_m2),
            flange_m2: share * flange_m2(borders),
            trim_m2: share * trim_m2(borders),
            laid_across_m2: if covers_edges(ply) && !is_core { laid_across_m2(borders) } else { 0.0 },
            edge_mm: zoned.outline_mm(ply.ply),
        }
    };
    ground.plan.plies.iter().zip(rolls).map(per_ply).collect()
}

fn gelcoat_areas(mesh: &Mesh, borders: &Borders, growth: Option<&[FaceGrowth]>, plan: &PliesPlan) -> PlyAreas {
    let area = face_area(mesh, growth, 0.5 * plan.gelcoat_mm());
    PlyAreas {
        net_m2: area.net_m2,
        grown_m2: area.grown_m2,
        flange_m2: flange_m2(borders),
        trim_m2: trim_m2(borders),
        laid_across_m2: laid_across_m2(borders),
        ..PlyAreas::default()
    }
}

fn flange_m2(borders: &Borders) -> f64 {
    let splits = borders.splits.iter().map(|split| split.flange_m2);
    total(splits.chain(borders.edges.iter().map(|edge| edge.flange_m2)))
}

fn trim_m2(borders: &Borders) -> f64 {
    borders.split_trim_m2 + total(borders.edges.iter().map(|edge| edge.trim_m2))
}

fn laid_across_m2(borders: &Borders) -> f64 {
    total(borders.edges.iter().filter(|edge| edge.kind == EdgeKind::LaidAcross).map(|edge| edge.laid_across_m2))
}

/// Putty behind the gelcoat for every inside corner that a ply does not follow: the remedy that keeps the shape.
fn filler(met: &[MetCorner]) -> Vec<(String, f64)> {
    let mut fillers: Vec<(String, f64)> = Vec::new();
    for remedy in met.iter().flat_map(|corner| &corner.advice.remedies) {
        let Remedy::Fill { place: Place::BehindGelcoat, filler, filler_ml, .. } = remedy else { continue };
        match fillers.iter_mut().find(|(name, _)| name == filler) {
            Some((_, ml)) => *ml += filler_ml,
            None => fillers.push((filler.clone(), *filler_ml)),
        }
    }
    fillers
}

/// Mass properties: what lies on the face at its own depth, flanges as strips that stand out square to it, and the rest of
/// the mass (laps) spread like the face.
fn mass(
    zoned: &Zoned,
    lay_up: &LayUp,
    borders: &Borders,
    strips: &[[Point; 3]],
    growth: Option<&[FaceGrowth]>,
    plan: &PliesPlan,
) -> Option<MassProperties> {
    let face = mass_properties(&zoned.coverage, plan, &zoned.refined.mesh, laid_side(plan.make), growth)?;
    let total_mm2: f64 = strips.iter().map(area_mm2).sum();
    // Without any strip, what flanges weigh is spread like the face too.
    let flange_kg = if total_mm2 > 0.0 { flange_kg_m2(plan) * flange_m2(borders) } else { 0.0 };
    let rest = (lay_up.mass_kg.likely - flange_kg) / face.mass_kg;
    let face = if rest > 0.0 { face.scaled(rest) } else { face };
    if flange_kg <= 0.0 {
        return Some(face);
    }
    let weighed = strips.iter().map(|strip| (*strip, flange_kg * area_mm2(strip) / total_mm2));
    Some(mass_of_triangles(weighed).map_or(face, |flanges| face.and(&flanges)))
}

/// Whether a ply lies everywhere, over the edges too: what keeps clear of them is on no flange and across no opening.
fn covers_edges(ply: &PlannedPly) -> bool {
    ply.zone == Zone::All && ply.clear_of_edges_mm <= 0.0
}

/// What a square metre of flange weighs: gelcoat and the plies that lie everywhere.
fn flange_kg_m2(plan: &PliesPlan) -> f64 {
    let gelcoat = plan.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.coverage_kg_m2.likely);
    let plies = plan.plies.iter().filter(|ply| covers_edges(ply) && matches!(ply.stuff, Stuff::Glass(_)));
    gelcoat + total(plies.map(|ply| ply.per_m2.glass_kg_m2 + ply.per_m2.resin_kg_m2.likely))
}

fn area_mm2([a, b, c]: &[Point; 3]) -> f64 {
    0.5 * (b - a).cross(&(c - a)).norm()
}

/// Flanges as triangles: from each chord of a root, as wide as the flange, out along the normal of the facet there.
fn flange_strips(borders: &Borders, mesh: &Mesh) -> Vec<[Point; 3]> {
    let mut strips = Vec::new();
    let normals = BorderNormals::of(mesh);
    for root in &borders.roots {
        for pair in root.line_mm.windows(2) {
            let out = normals.near(&nalgebra::center(&pair[0], &pair[1])) * root.width_mm;
            let [a, b] = [pair[0], pair[1]];
            strips.push([a, b, b + out]);
            strips.push([a, b + out, a + out]);
        }
    }
    strips
}
