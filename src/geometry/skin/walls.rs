//! Rays through the material: how far it is from each facet, straight in, to the facet behind, and whether that is a wall.

use rayon::prelude::*;

use super::super::mesh::{FaceId, Mesh, Point, Vector};
use super::super::rays::Rays;
use super::quantiles::weighted_quantile;

/// How many rays are spread over a body in proportion to area. 1 000 give the right kind and sides everywhere; 300 lose the
/// most common wall by half; 10 000 miss the thinnest place of a pot with a tapering wall by 0.17 mm; 200 000 gain nothing.
const N_RAYS: f64 = 40_000.0;

// Each facet of a small mesh has a say of its own; on big ones three rays each would cost more than they tell.
const LEAST_RAYS: usize = 3;
/// Facets from which a mesh is big.
pub const BIG_MESH_FACES: usize = 100_000;

// The greatest thickness that counts as a wall: this share of the root of one side's area, and no more than so many mm. At
// 0.05 a 60 x 40 x 3 mm plate is a plug, at 0.03 a pot; 0.2 and 0.4 gave no fault, but blocks of 1 : 3 come near.
const THICKEST_OF_ROOT_AREA: f64 = 0.10;
const THICKEST_MM: f64 = 60.0;

// Two facets are opposed if their normals point away from each other within 45 degrees; 15 to 75 made no difference.
/// Cosine from which two facets are opposed.
pub const OPPOSED_COSINE: f64 = std::f64::consts::FRAC_1_SQRT_2;

// A wall is not thicker than so many times the median one. 1.3 to 100 gave the same; it saves work for the next rule.
const THICKEST_OF_MEDIAN: f64 = 4.0;

// Nor than so many times what the facet behind sees: a facet whose partner sees something much nearer is no wall. Without it
// the rim of a tray, whose rays run down inside the wall, counts as a side. 1.5 to 4 gave the same, 1.2 loses a wedge.
const THICKEST_OF_PARTNER: f64 = 2.5;

// Share of a facet's rays that must meet a wall; 0.2 to 0.9 gave the same in the end.
const SKIN_SHARE_OF_RAYS: f64 = 0.5;

// Rays start this share of the diagonal inside the facet, so as not to meet it.
const START_OF_DIAGONAL: f64 = 1e-5;

// Points on a facet keep this share away from its edges. At 2 % the thinnest wall of a tapering pot is missed by 0.07 mm; at
// 0 rays at corners slip through both skins.
const OFF_EDGES: f64 = 0.005;

/// A ray from a facet straight into the material.
#[derive(Debug, Clone, Copy)]
pub struct WallRay {
    /// The facet that it starts from.
    pub face: FaceId,
    /// Which of the facet's places it starts from: see [`place_on_facet`].
    pub place: u32,
    /// The facet that it meets; `FaceId::MAX` if none.
    pub met: FaceId,
    /// Distance to it, in mm.
    pub distance_mm: f32,
    /// How squarely the two are opposed: 1 if parallel, 0 if at right angles, negative if the ray meets an outward side.
    pub cosine: f32,
    /// Area that the ray stands for, in mm2.
    pub area_mm2: f32,
    /// True if what it met is a wall.
    pub wall: bool,
}

/// The rays of a body and what they say.
#[derive(Debug, Clone)]
pub struct Walls {
    /// All rays, by facet.
    pub rays: Vec<WallRay>,
    /// Where the rays of each facet start in `rays`; one more than there are facets.
    pub starts: Vec<u32>,
    /// For each facet, whether it is skin: most of its rays meet a wall.
    pub is_skin: Vec<bool>,
    /// Share of the area that is skin.
    pub skin_share: f64,
    /// Thinnest, median and thickest wall but for a twentieth of the area at each end, in mm; zeros without any.
    pub spread_mm: [f64; 3],
}

impl WallRay {
    /// Distance and the area that it holds for.
    #[must_use]
    pub fn weighted(&self) -> (f64, f64) {
        (f64::from(self.distance_mm), f64::from(self.area_mm2))
    }

    /// Where the ray starts on the mesh.
    #[must_use]
    pub fn start(&self, mesh: &Mesh) -> Point {
        let [a, b, c] = mesh.corners(self.face);
        let [u, v, w] = place_on_facet(self.place);
        Point::from(a.coords * u + b.coords * v + c.coords * w)
    }
}

/// The greatest thickness that counts as a wall on a body of so much surface, in mm.
#[must_use]
pub fn thickest_wall_mm(area_mm2: f64) -> f64 {
    (THICKEST_OF_ROOT_AREA * (0.5 * area_mm2).sqrt()).min(THICKEST_MM)
}

impl Walls {
    /// Casts the rays and weighs them.
    #[must_use]
    pub fn seek(mesh: &Mesh, normals: &[Vector], areas_mm2: &[f64], rays: &Rays) -> Self {
        let (mut cast, starts) = planned_rays(areas_mm2);
        cast.par_iter_mut().for_each(|ray| shoot(ray, mesh, normals, rays));
        let mut walls = Self { rays: cast, starts, is_skin: Vec::new(), skin_share: 0.0, spread_mm: [0.0; 3] };
        walls.weigh(areas_mm2);
        walls
    }

    /// The rays of a facet.
    #[must_use]
    pub fn of_face(&self, face: FaceId) -> &[WallRay] {
        &self.rays[self.starts[face as usize] as usize..self.starts[face as usize + 1] as usize]
    }

    /// Decides which rays meet a wall and which facets are skin.
    fn weigh(&mut self, areas_mm2: &[f64]) {
        let whole: f64 = areas_mm2.iter().sum();
        let thickest_mm = thickest_wall_mm(whole);
        let opposed = |ray: &WallRay| {
            ray.met != FaceId::MAX
                && f64::from(ray.cosine) >= OPPOSED_COSINE
                && f64::from(ray.distance_mm) <= thickest_mm
        };
        let mut seen: Vec<(f64, f64)> = self.rays.iter().filter(|ray| opposed(ray)).map(WallRay::weighted).collect();
        let Some(median_mm) = weighted_quantile(&mut seen, 0.5) else {
            self.is_skin = vec![false; areas_mm2.len()];
            return;
        };
        drop(seen);
        let of_face: Vec<f32> = (0..areas_mm2.len() as FaceId)
            .into_par_iter()
            .map(|face| median_seen(self.of_face(face), &opposed))
            .collect();
        for ray in &mut self.rays {
            let distance_mm = f64::from(ray.distance_mm);
            ray.wall = opposed(ray)
                && distance_mm <= THICKEST_OF_MEDIAN * median_mm
                && distance_mm <= THICKEST_OF_PARTNER * f64::from(of_face[ray.met as usize]);
        }
        self.is_skin = (0..areas_mm2.len() as FaceId)
            .map(|face| {
                let rays = self.of_face(face);
                let walls = rays.iter().filter(|ray| ray.wall).count();
                walls > 0 && walls as f64 >= SKIN_SHARE_OF_RAYS * rays.len() as f64
            })
            .collect();
        let skin: f64 = areas_mm2.iter().zip(&self.is_skin).filter(|&(_, &skin)| skin).map(|(area, _)| area).sum();
        self.skin_share = if whole > 0.0 { skin / whole } else { 0.0 };
        let mut walls: Vec<(f64, f64)> = self.rays.iter().filter(|ray| ray.wall).map(WallRay::weighted).collect();
        self.spread_mm = [0.05, 0.5, 0.95].map(|share| weighted_quantile(&mut walls, share).unwrap_or(0.0));
    }
}

/// Median distance that a facet's rays see; infinite if they see nothing opposed.
fn median_seen(rays: &[WallRay], opposed: &impl Fn(&WallRay) -> bool) -> f32 {
    let mut seen: Vec<f32> = rays.iter().filter(|ray| opposed(ray)).map(|ray| ray.distance_mm).collect();
    seen.sort_unstable_by(f32::total_cmp);
    // All rays of a facet stand for the same area; of two in the middle the lesser.
    if seen.is_empty() { f32::INFINITY } else { seen[(seen.len() - 1) / 2] }
}

/// Rays still to be cast, and where those of each facet start.
fn planned_rays(areas_mm2: &[f64]) -> (Vec<WallRay>, Vec<u32>) {
    let whole: f64 = areas_mm2.iter().sum();
    let least = if areas_mm2.len() < BIG_MESH_FACES { LEAST_RAYS } else { 1 };
    let mut rays = Vec::new();
    let mut starts = Vec::with_capacity(areas_mm2.len() + 1);
    for (face, &area_mm2) in areas_mm2.iter().enumerate() {
        starts.push(rays.len() as u32);
        if area_mm2 > 0.0 {
            let count = ((N_RAYS * area_mm2 / whole).round() as usize).max(least);
            rays.extend((0..count).map(|k| WallRay {
                face: face as FaceId,
                place: k as u32,
                met: FaceId::MAX,
                distance_mm: f32::INFINITY,
                cosine: 0.0,
                area_mm2: (area_mm2 / count as f64) as f32,
                wall: false,
            }));
        }
    }
    starts.push(rays.len() as u32);
    (rays, starts)
}

/// The k-th of a sequence of points that fill a triangle evenly (Roberts' R2 sequence, folded), as shares of its corners.
#[must_use]
pub fn place_on_facet(k: u32) -> [f64; 3] {
    let mut u = (0.5 + 0.754_877_666_246_692_7 * f64::from(k)).fract();
    let mut v = (0.5 + 0.569_840_290_998_053_2 * f64::from(k)).fract();
    if u + v > 1.0 {
        (u, v) = (1.0 - u, 1.0 - v);
    }
    [1.0 - u - v, u, v].map(|share| share * (1.0 - 3.0 * OFF_EDGES) + OFF_EDGES)
}

/// Casts one ray; a miss is cast once more slightly askew, since a ray along an edge can slip through.
fn shoot(ray: &mut WallRay, mesh: &Mesh, normals: &[Vector], rays: &Rays) {
    let normal = normals[ray.face as usize];
    let start_mm = START_OF_DIAGONAL * rays.diagonal_mm();
    let origin = ray.start(mesh) - normal * start_mm;
    let [a, b, _] = mesh.corners(ray.face);
    let askew = || (-normal + (b - a).normalize() * 1e-5).normalize();
    let endless = super::super::rays::ENDLESS_MM;
    let hit = rays.first_hit(&origin, &-normal, endless).or_else(|| rays.first_hit(&origin, &askew(), endless));
    if let Some(hit) = hit {
        ray.met = hit.face;
        ray.distance_mm = (hit.distance_mm + start_mm) as f32;
        ray.cosine = -normal.dot(&normals[hit.face as usize]) as f32;
    }
}
