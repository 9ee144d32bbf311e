//! Which plies lie on which facet, how thick that gets there, and what it weighs and where.
//!
//! The facets are those of a piece refined so that the borders of zones are edges: a facet has a ply on all of it or not at
//! all. This is the only place of the laminate that sees facets.

use nalgebra::Matrix3;
use serde::Serialize;

use super::plies::{MOST_PLIES, PlannedPly, PliesPlan, Stuff};
use crate::geometry::mesh::{FaceId, Mesh, Point, Vector};
use crate::geometry::offset::{AreaAtDepth, FaceGrowth, Side, area_at_depth};
use crate::units::{m_from_mm, m2_from_mm2};

/// Numbers of plies, from 1, as a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct PlySet(u128);

impl PlySet {
    /// The set with one ply more; numbers outside 1 to [`MOST_PLIES`] are left out.
    #[must_use]
    pub const fn with(self, ply: usize) -> Self {
        if ply >= 1 && ply <= MOST_PLIES { Self(self.0 | (1 << (ply - 1))) } else { self }
    }

    /// Whether a ply is in it.
    #[must_use]
    pub const fn holds(self, ply: usize) -> bool {
        ply >= 1 && ply <= MOST_PLIES && self.0 & (1 << (ply - 1)) != 0
    }

    /// How many plies are in it.
    #[must_use]
    pub const fn count(self) -> u16 {
        self.0.count_ones() as u16
    }
}

/// What lies on each facet of a piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Coverage {
    /// Plies on each facet.
    pub plies: Vec<PlySet>,
    /// How much of a core's thickness is there, 0 to 1, by facet; empty where no core tapers. Cores of one schedule that lie
    /// over each other share it.
    pub core_share: Vec<f64>,
}

/// How much of a core's thickness is left so far from its edge, 0 to 1.
#[must_use]
pub fn core_share(from_edge_mm: f64, taper_mm: f64) -> f64 {
    if taper_mm > 0.0 { (from_edge_mm / taper_mm).clamp(0.0, 1.0) } else { 1.0 }
}

impl Coverage {
    /// Every ply that lies everywhere, on every facet; zones are added with [`Self::add`].
    #[must_use]
    pub fn everywhere(plan: &PliesPlan, n_faces: usize) -> Self {
        use super::schedule::Zone;
        let everywhere = plan.plies.iter().filter(|ply| ply.zone == Zone::All && ply.clear_of_edges_mm == 0.0);
        let set = everywhere.fold(PlySet::default(), |set, ply| set.with(ply.ply));
        Self { plies: vec![set; n_faces], core_share: Vec::new() }
    }

    /// Lays a ply on some facets.
    pub fn add(&mut self, ply: usize, faces: impl IntoIterator<Item = FaceId>) {
        for face in faces {
            if let Some(set) = self.plies.get_mut(face as usize) {
                *set = set.with(ply);
            }
        }
    }

    /// How many plies lie on each facet.
    #[must_use]
    pub fn counts(&self) -> Vec<u16> {
        self.plies.iter().map(|set| set.count()).collect()
    }

    /// The facets that a ply lies on, in order.
    pub fn faces_of(&self, ply: usize) -> impl Iterator<Item = FaceId> + '_ {
        self.plies.iter().enumerate().filter(move |(_, set)| set.holds(ply)).map(|(face, _)| face as FaceId)
    }

    /// Share of a ply's thickness and core that is there on a facet: less than 1 in a core's taper.
    fn share(&self, ply: &PlannedPly, face: usize) -> f64 {
        match ply.stuff {
            Stuff::Core { .. } => self.core_share.get(face).copied().unwrap_or(1.0),
            Stuff::Glass(_) | Stuff::BondingMat(_) => 1.0,
        }
    }

    /// Thickness on each facet in mm, likely, gelcoat left out.
    #[must_use]
    pub fn thickness_mm(&self, plan: &PliesPlan) -> Vec<f64> {
        (0..self.plies.len()).map(|face| self.stack(plan, face).last().map_or(0.0, |(_, end)| end)).collect()
    }

    /// The plies on a facet with where each begins and ends, in mm above the gelcoat.
    fn stack<'a>(&self, plan: &'a PliesPlan, face: usize) -> impl Iterator<Item = (&'a PlannedPly, f64)> {
        let set = self.plies[face];
        plan.plies.iter().filter(move |ply| set.holds(ply.ply)).scan(0.0, move |end_mm, ply| {
            *end_mm += ply.per_m2.thickness_mm.likely * self.share(ply, face);
            Some((ply, *end_mm))
        })
    }

    /// Where each ply's middle lies on a facet, in mm from the tool, gelcoat included.
    fn mid_depths<'a>(&self, plan: &'a PliesPlan, face: usize) -> impl Iterator<Item = (&'a PlannedPly, f64)> {
        let gelcoat_mm = plan.gelcoat_mm();
        let mut begin_mm = 0.0;
        self.stack(plan, face).map(move |(ply, end_mm)| {
            let mid_mm = gelcoat_mm + 0.5 * (begin_mm + end_mm);
            begin_mm = end_mm;
            (ply, mid_mm)
        })
    }
}

/// Area of a ply on a piece: on the face, and at its mid-depth where it lies on each facet. Without growth both are equal.
#[must_use]
pub fn ply_area(
    coverage: &Coverage,
    plan: &PliesPlan,
    ply: usize,
    mesh: &Mesh,
    growth: Option<&[FaceGrowth]>,
) -> AreaAtDepth {
    let Some(growth) = growth else {
        let net_m2 = m2_from_mm2(coverage.faces_of(ply).map(|face| mesh.face_area_mm2(face)).sum());
        return AreaAtDepth { net_m2, grown_m2: net_m2, folded_m2: 0.0 };
    };
    let mut area = AreaAtDepth { net_m2: 0.0, grown_m2: 0.0, folded_m2: 0.0 };
    for face in coverage.faces_of(ply) {
        let depth = coverage.mid_depths(plan, face as usize).find(|(other, _)| other.ply == ply);
        let Some((_, depth_mm)) = depth else { continue };
        let Some(here) = growth.get(face as usize) else { continue };
        area.net_m2 += m2_from_mm2(here.area_mm2);
        area.grown_m2 += m2_from_mm2(here.at_depth_mm2(depth_mm));
        area.folded_m2 += if here.at_depth_mm2(depth_mm) < 0.0 { m2_from_mm2(here.area_mm2) } else { 0.0 };
    }
    area.grown_m2 = area.grown_m2.max(0.0);
    area
}

/// Area of the whole face at a depth, for the gelcoat.
#[must_use]
pub fn face_area(mesh: &Mesh, growth: Option<&[FaceGrowth]>, depth_mm: f64) -> AreaAtDepth {
    match growth {
        Some(growth) => area_at_depth(growth, mesh.face_ids(), depth_mm),
        None => AreaAtDepth { net_m2: mesh.area_m2(), grown_m2: mesh.area_m2(), folded_m2: 0.0 },
    }
}

/// Mass, where its centre lies, and how hard it is to turn about that centre.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MassProperties {
    /// Mass in kg.
    pub mass_kg: f64,
    /// Centre of mass in mm, in the mesh's axes.
    pub centre_of_mass_mm: [f64; 3],
    /// Inertia about the centre of mass, along the mesh's axes, in kg m2: rows of a symmetric tensor.
    pub inertia_kg_m2: [[f64; 3]; 3],
}

/// Sums of mass, first and second moments about an origin near the piece, in kg and m.
#[derive(Debug, Clone, Copy)]
struct Moments {
    origin: Point,
    mass: f64,
    first: Vector,
    second: Matrix3<f64>,
}

impl Moments {
    fn about(origin: Point) -> Self {
        Self { origin, mass: 0.0, first: Vector::zeros(), second: Matrix3::zeros() }
    }

    /// Adds a flat triangle of even mass. Its second moment is `m/12 (sum v v' + (sum v)(sum v)')`, exact.
    fn add(&mut self, corners: [Point; 3], mass_kg: f64) {
        let corners = corners.map(|corner| (corner - self.origin).map(m_from_mm));
        let sum: Vector = corners.iter().sum();
        let squares: Matrix3<f64> = corners.iter().map(|corner| corner * corner.transpose()).sum();
        self.mass += mass_kg;
        self.first += sum * (mass_kg / 3.0);
        self.second += (squares + sum * sum.transpose()) * (mass_kg / 12.0);
    }

    fn properties(&self) -> Option<MassProperties> {
        if self.mass.is_nan() || self.mass <= 0.0 {
            return None;
        }
        let centre = self.first / self.mass;
        let spread = self.second - centre * centre.transpose() * self.mass;
        let inertia = Matrix3::identity() * spread.trace() - spread;
        let centre_mm = self.origin + centre.map(crate::units::mm_from_m);
        Some(MassProperties {
            mass_kg: self.mass,
            centre_of_mass_mm: centre_mm.coords.into(),
            inertia_kg_m2: [0, 1, 2].map(|row| [0, 1, 2].map(|column| inertia[(row, column)])),
        })
    }
}

/// Mass properties of loose triangles, each with its mass in kg: flanges, stiffeners, whatever is not on the face. Nothing
/// without mass.
#[must_use]
pub fn mass_of_triangles(triangles: impl IntoIterator<Item = ([Point; 3], f64)>) -> Option<MassProperties> {
    let mut triangles = triangles.into_iter().peekable();
    let mut moments = Moments::about(triangles.peek()?.0[0]);
    triangles.for_each(|(corners, mass_kg)| moments.add(corners, mass_kg));
    moments.properties()
}

/// Mass properties of gelcoat and plies as they lie on the face, each ply at its mid-depth on the laid side, likely
/// values. Flanges, laps and fillers are not in it; see [`mass_of_triangles`] and [`MassProperties::and`]. Nothing for no
/// mass.
///
/// Each facet's layer is a flat triangle moved along the facet's normal, with the mass that its area at that depth has.
#[must_use]
pub fn mass_properties(
    coverage: &Coverage,
    plan: &PliesPlan,
    mesh: &Mesh,
    side: Side,
    growth: Option<&[FaceGrowth]>,
) -> Option<MassProperties> {
    let mut moments = Moments::about(mesh.bounds()?.centre());
    let sign = match side {
        Side::Outward => 1.0,
        Side::Inward => -1.0,
    };
    let gelcoat =
        plan.gelcoat.as_ref().map(|gelcoat| (gelcoat.coverage_kg_m2.likely, 0.5 * gelcoat.thickness_mm.likely));
    for face in mesh.face_ids().take(coverage.plies.len()) {
        let (corners, normal) = (mesh.corners(face), mesh.normal(face));
        let own = FaceGrowth { area_mm2: mesh.face_area_mm2(face), ..FaceGrowth::default() };
        let area = growth.and_then(|growth| growth.get(face as usize)).copied().unwrap_or(own);
        let mut add = |kg_m2: f64, depth_mm: f64| {
            let mass_kg = kg_m2 * m2_from_mm2(area.at_depth_mm2(depth_mm).max(0.0));
            moments.add(corners.map(|corner| corner + normal * (sign * depth_mm)), mass_kg);
        };
        if let Some((kg_m2, depth_mm)) = gelcoat {
            add(kg_m2, depth_mm);
        }
        for (ply, depth_mm) in coverage.mid_depths(plan, face as usize) {
            let per_m2 = &ply.per_m2;
            let core_kg_m2 = per_m2.core_kg_m2 * coverage.share(ply, face as usize);
            add(per_m2.glass_kg_m2 + core_kg_m2 + per_m2.resin_kg_m2.likely, depth_mm);
        }
    }
    moments.properties()
}

impl MassProperties {
    /// Both bodies as one (parallel axes).
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let mass_kg = self.mass_kg + other.mass_kg;
        let (one, two) = (Point::from(self.centre_of_mass_mm), Point::from(other.centre_of_mass_mm));
        let centre = one + (two - one) * (other.mass_kg / mass_kg);
        let inertia = self.inertia_about(centre) + other.inertia_about(centre);
        Self {
            mass_kg,
            centre_of_mass_mm: centre.coords.into(),
            inertia_kg_m2: [0, 1, 2].map(|row| [0, 1, 2].map(|column| inertia[(row, column)])),
        }
    }

    /// The same body, heavier or lighter by a factor everywhere: laps spread over a face, say.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            mass_kg: self.mass_kg * factor,
            centre_of_mass_mm: self.centre_of_mass_mm,
            inertia_kg_m2: self.inertia_kg_m2.map(|row| row.map(|part| part * factor)),
        }
    }

    fn inertia_about(&self, point: Point) -> Matrix3<f64> {
        let own = Matrix3::from_fn(|row, column| self.inertia_kg_m2[row][column]);
        let arm = (Point::from(self.centre_of_mass_mm) - point).map(m_from_mm);
        own + (Matrix3::identity() * arm.norm_squared() - arm * arm.transpose()) * self.mass_kg
    }
}

#[cfg(test)]
mod tests;
