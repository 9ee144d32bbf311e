//! One body: sheet, thin solid or plug, and its sides.

use rayon::prelude::*;

use super::super::mesh::{FaceId, Mesh, Point, Vector};
use super::super::normals::{CornerNormals, Facets};
use super::super::rays::Rays;
use super::super::shells::Shell;
use super::super::topology::{Across, Topology};
use super::body::BodyFaces;
use super::cracks::Cracks;
use super::glance::{Glance, Look, glance};
use super::hull::{hull_volume_mm3, spread_direction};
use super::leftovers::settle;
use super::neighbours::Neighbours;
use super::outside::outside;
use super::round_rims::take_round_rims;
use super::sides::{NO_SIDE, Sides, sides};
use super::thickness::{FaceWalls, Thickness, thickness};
use super::walls::{BIG_MESH_FACES, Walls, place_on_facet};
use super::{Side, SkinKind};

// A body whose faces are this far skin may be a thin solid.
const SKIN_SHARE_OF_THIN: f64 = 0.6;

// A lump fills its hull; a panel, hood or tray leaves more than half of it empty.
const THIN_SHARE_OF_HULL: f64 = 0.5;

// Flat panels fill their hull too. They are told from lumps by an even wall (a foil or a hatch plug is not even), or by a wall
// that is thin against their size (a wedge). This is convention and not geometry: the body is called doubtful.
const FLAT_WALL_MM: f64 = 20.0;
const EVEN_SPREAD: f64 = 0.15;
const THIN_OF_ROOT_AREA: f64 = 0.04;

// Walls laid by hand are hardly thicker, cores included; what has a thicker one may be a plug of webs and discs. Common practice,
// no source.
const LIKELY_WALL_MM: f64 = 15.0;

// Shares of skin at which the kind is doubtful.
const DOUBTFUL_SHARES: std::ops::Range<f64> = 0.3..0.7;

// Three times the spread of the share that a first look gives.
const GLANCE_SPREAD: f64 = 0.05;

// A sheet of which this share faces itself across a wall's thickness is most likely a solid that has lost its rim. Sheets wound
// alike see each other from one side only, so that half is all there is.
const DOUBLE_SHEET_SHARE: f64 = 0.35;

// Share of rays from within that must leave the body exactly once on balance. Closed bodies reach 0.999, deep hoods 0.953.
const CLOSED_SHARE: f64 = 0.98;
const CLOSED_POINTS: usize = 128;
const CLOSED_DIRECTIONS: usize = 8;
const MOST_CROSSINGS: usize = 1024;

/// What was found of one body; sides in the order of its facets.
#[derive(Debug, Clone)]
pub struct Found {
    /// What it is.
    pub kind: SkinKind,
    /// The side of each facet.
    pub sides: Vec<Side>,
    /// The wall of a thin solid.
    pub thickness: Option<Thickness>,
    /// Its wall facet by facet; empty of a body without a wall.
    pub walls: FaceWalls,
    /// Outside and inside cannot be told apart.
    pub either_side: bool,
    /// The kind is convention.
    pub doubtful: bool,
    /// Share of the area that has a wall behind it.
    pub skin_share: f64,
    /// Length over which walls branch, in mm.
    pub branching_mm: f64,
}

impl Found {
    /// A sheet or a plug: every facet is outside.
    #[must_use]
    pub fn one_sided(kind: SkinKind, n_faces: usize) -> Self {
        let sides = vec![Side::Outside; n_faces];
        Self {
            kind,
            sides,
            thickness: None,
            walls: FaceWalls::default(),
            either_side: false,
            doubtful: false,
            skin_share: 0.0,
            branching_mm: 0.0,
        }
    }
}

/// Looks through a body with rays. `kind` thin solid: whatever they say.
#[must_use]
pub fn examine(
    mesh: &Mesh,
    topology: &Topology,
    cracks: &Cracks,
    areas_mm2: &[f64],
    body: &BodyFaces,
    kind: Option<SkinKind>,
) -> Found {
    let closed = watertight(mesh, topology);
    if kind.is_none() && closed && areas_mm2.len() >= BIG_MESH_FACES && is_plain_plug(mesh, areas_mm2) {
        return Found::one_sided(SkinKind::Solid, mesh.faces.len());
    }
    let normals: Vec<Vector> = (0..mesh.faces.len() as FaceId).into_par_iter().map(|face| mesh.normal(face)).collect();
    let rays = Rays::through(mesh);
    if kind.is_none()
        && !watertight(mesh, topology)
        && share_leaving_once(mesh, &normals, areas_mm2, &rays) < CLOSED_SHARE
    {
        return Found::one_sided(SkinKind::Sheet, mesh.faces.len());
    }
    let walls = Walls::seek(mesh, &normals, areas_mm2, &rays);
    let (is_thin, doubtful) = judge_kind(mesh, &walls, body);
    if kind.is_none() && !is_thin {
        let plug = Found::one_sided(SkinKind::Solid, mesh.faces.len());
        return Found { doubtful, skin_share: walls.skin_share, ..plug };
    }
    let neighbours = Neighbours::of(mesh, topology, cracks, &normals);
    let grouped = sides(&walls, &neighbours, areas_mm2);
    let (known, either_side) = name_sides(mesh, &normals, areas_mm2, &rays, &grouped);
    // The search tree is the largest table and not needed any more.
    drop(rays);
    let mut sides = settle(known, &neighbours, &normals);
    let corners = CornerNormals::of(&Facets { mesh, topology, normals: &normals });
    take_round_rims(mesh, &corners, &walls, &neighbours, &mut sides);
    let (thickness, face_walls) = thickness(mesh, &normals, &corners, &walls, &sides).unzip();
    Found {
        kind: SkinKind::ThinSolid,
        sides,
        thickness,
        walls: face_walls.unwrap_or_default(),
        either_side,
        doubtful: doubtful && kind.is_none(),
        skin_share: walls.skin_share,
        branching_mm: grouped.branching_mm,
    }
}

/// True if a first look leaves no doubt that the body has no wall.
fn is_plain_plug(mesh: &Mesh, areas_mm2: &[f64]) -> bool {
    mesh.bounds().is_some_and(|bounds| {
        glance(mesh, areas_mm2, &bounds, Look::Inwards).wall_share < DOUBTFUL_SHARES.start - GLANCE_SPREAD
    })
}

/// What a look at open facets says if most of them face others close by: the two sides of a solid that has lost its rim.
#[must_use]
pub fn double_sheet(mesh: &Mesh, areas_mm2: &[f64]) -> Option<Glance> {
    let seen = glance(mesh, areas_mm2, &mesh.bounds()?, Look::BothWays);
    (seen.wall_share >= DOUBLE_SHEET_SHARE).then_some(seen)
}

/// True if every side of every facet meets exactly one other that is wound alike: then the body is closed without any ray.
fn watertight(mesh: &Mesh, topology: &Topology) -> bool {
    !mesh.faces.is_empty() && topology.half_edges().all(|half| matches!(topology.across(half), Across::Facet(_)))
}

/// Share of rays from just inside facets that leave the body once more than they enter it.
fn share_leaving_once(mesh: &Mesh, normals: &[Vector], areas_mm2: &[f64], rays: &Rays) -> f64 {
    let mut up_to = Vec::with_capacity(areas_mm2.len());
    let mut whole = 0.0;
    for area_mm2 in areas_mm2 {
        whole += area_mm2;
        up_to.push(whole);
    }
    let leaves_once = |k: usize| {
        let aim = ((k / CLOSED_DIRECTIONS) as f64 + 0.5) / CLOSED_POINTS as f64 * whole;
        let face = up_to.partition_point(|&area| area < aim).min(areas_mm2.len() - 1);
        let [a, b, c] = mesh.corners(face as FaceId);
        let [u, v, w] = place_on_facet(k as u32);
        let at = Point::from(a.coords * u + b.coords * v + c.coords * w) - normals[face] * (1e-5 * rays.diagonal_mm());
        let balance: i32 = rays
            .all_hits(&at, &spread_direction(k, CLOSED_POINTS * CLOSED_DIRECTIONS), MOST_CROSSINGS)
            .map(|hit| if hit.entering { -1 } else { 1 })
            .sum();
        balance == 1
    };
    if areas_mm2.is_empty() {
        return 0.0;
    }
    let n_rays = CLOSED_POINTS * CLOSED_DIRECTIONS;
    (0..n_rays).into_par_iter().filter(|&k| leaves_once(k)).count() as f64 / n_rays as f64
}

/// Whether the body is a thin solid, and whether that is doubtful.
fn judge_kind(mesh: &Mesh, walls: &Walls, body: &BodyFaces) -> (bool, bool) {
    let between = DOUBTFUL_SHARES.contains(&walls.skin_share);
    if walls.skin_share <= SKIN_SHARE_OF_THIN {
        return (false, between);
    }
    let volume_mm3 = Shell::of(mesh, mesh.face_ids().collect()).volume_mm3;
    let hull_mm3 = hull_volume_mm3(mesh);
    if volume_mm3 < THIN_SHARE_OF_HULL * hull_mm3 {
        return (true, between || walls.spread_mm[1] > LIKELY_WALL_MM);
    }
    let [least_mm, median_mm, most_mm] = walls.spread_mm;
    let even = most_mm - least_mm < EVEN_SPREAD * median_mm;
    let thin = most_mm < THIN_OF_ROOT_AREA * (0.5 * body.area_mm2).sqrt();
    (median_mm <= FLAT_WALL_MM && (even || thin), true)
}

/// Says for each group of sides which one is outside.
fn name_sides(
    mesh: &Mesh,
    normals: &[Vector],
    areas_mm2: &[f64],
    rays: &Rays,
    grouped: &Sides,
) -> (Vec<Option<Side>>, bool) {
    let mut faces: Vec<Vec<FaceId>> = vec![Vec::new(); 2 * grouped.n_groups];
    for (face, &side) in grouped.of_face.iter().enumerate().filter(|&(_, &side)| side != NO_SIDE) {
        faces[side as usize].push(face as FaceId);
    }
    let mut known = vec![None; mesh.faces.len()];
    let mut either_side = false;
    for group in 0..grouped.n_groups {
        let found = outside(mesh, normals, areas_mm2, rays, [&faces[2 * group], &faces[2 * group + 1]]);
        either_side |= found.either;
        let [first, second] = if found.second { [Side::Inside, Side::Outside] } else { [Side::Outside, Side::Inside] };
        faces[2 * group].iter().for_each(|&face| known[face as usize] = Some(first));
        faces[2 * group + 1].iter().for_each(|&face| known[face as usize] = Some(second));
    }
    (known, either_side)
}
