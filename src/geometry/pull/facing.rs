//! Which way a moulded face faces: its normals, weighed by area.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::geometry::mesh::{FaceId, Mesh, Vector};
use crate::geometry::normals::{CornerNormals, Facets, SeamCorner, borders};
use crate::geometry::stitch::Surface;
use crate::geometry::topology::HalfEdge;

/// A moulded face with the normals that count for its release.
#[derive(Debug)]
pub struct Face<'mesh> {
    /// The facets and how they meet.
    pub surface: &'mesh Surface<'mesh>,
    /// Unit normal of each facet; zero without area.
    pub facet_normals: Vec<Vector>,
    /// Normals of the CAD surface, rebuilt.
    pub corner_normals: CornerNormals,
    /// Area of each facet.
    pub areas_mm2: Vec<f64>,
}

impl<'mesh> Face<'mesh> {
    /// Prepares a face, outward side out.
    #[must_use]
    pub fn of(surface: &'mesh Surface<'mesh>) -> Self {
        let mesh = surface.mesh;
        let n_faces = mesh.faces.len() as FaceId;
        let facet_normals: Vec<Vector> = (0..n_faces).into_par_iter().map(|face| mesh.normal(face)).collect();
        let areas_mm2 = (0..n_faces).into_par_iter().map(|face| mesh.face_area_mm2(face)).collect();
        let facets = Facets { mesh, topology: &surface.topology, normals: &facet_normals };
        let corner_normals = CornerNormals::with_open_ends(&facets, &seam_corners(surface));
        Self { surface, facet_normals, corner_normals, areas_mm2 }
    }

    /// Prepares a part of a face, with the facet of the whole that each of its own was cut from. Normals are the whole's.
    #[must_use]
    pub fn part(surface: &'mesh Surface<'mesh>, whole: &Face<'_>, source_faces: &[FaceId]) -> Self {
        let mesh = surface.mesh;
        let n_faces = mesh.faces.len() as FaceId;
        let areas_mm2 = (0..n_faces).into_par_iter().map(|face| mesh.face_area_mm2(face)).collect();
        let facet_normals = source_faces.iter().map(|&source| whole.facet_normals[source as usize]).collect();
        let corner_normals = whole.corner_normals.of_parts(whole.mesh(), mesh, source_faces);
        Self { surface, facet_normals, corner_normals, areas_mm2 }
    }

    /// Its facets.
    #[must_use]
    pub const fn mesh(&self) -> &'mesh Mesh {
        self.surface.mesh
    }

    /// Every corner normal with a third of its facet's area, facet by facet; one entry for a facet whose corners agree.
    #[must_use]
    pub fn facing(&self) -> Facing {
        let n_faces = self.mesh().faces.len() as FaceId;
        let of_chunk = |start: FaceId| {
            let mut facing = Facing::default();
            for face in start..(start + CHUNK as FaceId).min(n_faces) {
                let area_mm2 = self.areas_mm2[face as usize];
                if area_mm2 <= 0.0 {
                    continue;
                }
                let normals = self.corner_normals.of_face(face);
                let alike = normals[0] == normals[1] && normals[1] == normals[2];
                let shares = if alike { 1 } else { 3 };
                for normal in normals.into_iter().take(shares) {
                    facing.normals.push(normal);
                    facing.weights_mm2.push(area_mm2 / shares as f64);
                    facing.faces.push(face);
                }
            }
            facing
        };
        let starts: Vec<FaceId> = (0..n_faces).step_by(CHUNK).collect();
        Facing::joined(starts.into_par_iter().map(of_chunk).collect())
    }
}

impl Face<'_> {
    /// The mean of a facet's rebuilt normals; the facet's own where they agree. Facets of round walls lean to either side of it.
    #[must_use]
    pub fn mean_normal(&self, facet: FaceId) -> Vector {
        if self.is_flat(facet) {
            return self.facet_normals[facet as usize];
        }
        let [a, b, c] = self.corner_normals.of_face(facet);
        (a + b + c).try_normalize(0.0).unwrap_or_else(|| self.facet_normals[facet as usize])
    }

    /// Area of the surface that a facet stands for, in mm2.
    #[must_use]
    pub fn surface_area_mm2(&self, facet: FaceId) -> f64 {
        let facets = Facets { mesh: self.mesh(), topology: &self.surface.topology, normals: &self.facet_normals };
        let over_it_mm2 = self.areas_mm2[facet as usize] * self.corner_normals.area_factor(&facets, facet);
        over_it_mm2 + borders::beyond_chords_mm2(&facets, facet)
    }

    /// Whether a facet's rebuilt normals agree.
    #[must_use]
    pub fn is_flat(&self, facet: FaceId) -> bool {
        let [a, b, c] = self.corner_normals.of_face(facet);
        a == b && b == c
    }

    /// The normal of each facet with its area.
    #[must_use]
    pub fn facing_of_facets(&self) -> Facing {
        let with_area = self.mesh().face_ids().filter(|&face| self.areas_mm2[face as usize] > 0.0);
        let member = |face: FaceId| Member {
            normal: self.facet_normals[face as usize],
            weight_mm2: self.areas_mm2[face as usize],
            face,
        };
        Facing::new(with_area.map(member).collect())
    }
}

/// The ends of all sides that run along another across a crack, with their places there.
fn seam_corners(surface: &Surface<'_>) -> Vec<SeamCorner> {
    let mut sides: Vec<HalfEdge> = surface.seam_sides().collect();
    sides.dedup();
    let ends = |half: HalfEdge| {
        [0.0, 1.0].into_iter().enumerate().filter_map(move |(end, place)| {
            let (_, meeting) = surface.meeting_at(half, place)?;
            let corner = (half.side() + end) % 3;
            Some(SeamCorner { face: half.face(), corner, side: meeting.other, place: meeting.opposite(place) })
        })
    };
    sides.into_iter().flat_map(ends).collect()
}

/// One normal of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Unit normal.
    pub normal: Vector,
    /// Area that it stands for.
    pub weight_mm2: f64,
    /// The facet that it comes from.
    pub face: FaceId,
}

/// Normals with their weights.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facing {
    /// Unit normals.
    pub normals: Vec<Vector>,
    /// The area that each stands for, in mm2.
    pub weights_mm2: Vec<f64>,
    /// The facet that each comes from.
    pub faces: Vec<FaceId>,
    /// Sum of the weights.
    pub whole_mm2: f64,
}

/// Bins of the histogram by which trimmed drafts are found.
const BINS: usize = 4096;
/// Lowest members of a few that are put in order at first: mostly enough.
const FEW: usize = 8;
/// Members looked at by one thread at a time; fixed, so that sums have one order.
const CHUNK: usize = 1 << 15;

impl Facing {
    /// From members.
    #[must_use]
    pub fn new(members: Vec<Member>) -> Self {
        let all = || members.par_iter().with_min_len(CHUNK);
        Self {
            whole_mm2: members.iter().map(|member| member.weight_mm2).sum(),
            normals: all().map(|member| member.normal).collect(),
            weights_mm2: all().map(|member| member.weight_mm2).collect(),
            faces: all().map(|member| member.face).collect(),
        }
    }

    /// Several as one, in their order.
    fn joined(parts: Vec<Self>) -> Self {
        let (mut normals, mut weights_mm2, mut faces) = (Vec::new(), Vec::new(), Vec::new());
        for part in parts {
            normals.push(part.normals);
            weights_mm2.push(part.weights_mm2);
            faces.push(part.faces);
        }
        let (normals, (weights_mm2, faces)) =
            rayon::join(|| normals.concat(), || (weights_mm2.concat(), faces.concat()));
        Self { whole_mm2: weights_mm2.iter().sum(), normals, weights_mm2, faces }
    }

    /// The member of this number.
    #[must_use]
    pub fn member(&self, number: usize) -> Member {
        Member { normal: self.normals[number], weight_mm2: self.weights_mm2[number], face: self.faces[number] }
    }

    /// How many members there are.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.normals.len()
    }

    /// Whether there are none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.normals.is_empty()
    }

    /// The same face with nearly equal normals as one, in cells of about `180 / n_cells` degrees.
    #[must_use]
    pub fn gathered(&self, n_cells: u32) -> Self {
        let cells = |range: std::ops::Range<usize>| {
            let mut cells: FxHashMap<u32, (Vector, f64, FaceId)> = FxHashMap::default();
            for number in range {
                let (normal, weight) = (self.normals[number], self.weights_mm2[number]);
                let cell = cells.entry(cell_of(&normal, n_cells)).or_insert((Vector::zeros(), 0.0, self.faces[number]));
                cell.0 += normal * weight;
                cell.1 += weight;
            }
            let mut sorted: Vec<(u32, (Vector, f64, FaceId))> = cells.into_iter().collect();
            sorted.sort_unstable_by_key(|&(key, _)| key);
            sorted
        };
        let starts: Vec<usize> = (0..self.len()).step_by(CHUNK).collect();
        let chunks: Vec<_> =
            starts.into_par_iter().map(|start| cells(start..(start + CHUNK).min(self.len()))).collect();
        let mut all: Vec<_> = chunks.into_iter().flatten().collect();
        // A stable sort keeps the order of the chunks, and with it the order of the sums.
        all.sort_by_key(|&(key, _)| key);
        let mut members: Vec<Member> = Vec::new();
        for same in all.chunk_by(|a, b| a.0 == b.0) {
            let sum: Vector = same.iter().map(|(_, (sum, ..))| sum).sum();
            let weight_mm2 = same.iter().map(|(_, (_, weight, _))| weight).sum();
            if sum.norm() > 0.0 {
                members.push(Member { normal: sum.normalize(), weight_mm2, face: same[0].1.2 });
            }
        }
        Self::new(members)
    }

    /// Sine of the draft along a direction that all but a share of the area has at least, and what is left out for it.
    #[must_use]
    pub fn trimmed_sine(&self, direction: &Vector, share: f64) -> f64 {
        let allowed_mm2 = share * self.whole_mm2;
        if self.len() < BINS {
            return self.trimmed_sine_of_few(direction, allowed_mm2);
        }
        let bin_of = |sine: f64| (((sine + 1.0) * 0.5 * BINS as f64) as usize).min(BINS - 1);
        let histogram = |range: std::ops::Range<usize>| {
            let mut bins = vec![0.0; BINS];
            for number in range {
                bins[bin_of(self.normals[number].dot(direction))] += self.weights_mm2[number];
            }
            bins
        };
        let starts: Vec<usize> = (0..self.len()).step_by(CHUNK).collect();
        let parts: Vec<Vec<f64>> =
            starts.into_par_iter().map(|start| histogram(start..(start + CHUNK).min(self.len()))).collect();
        let mut bins = vec![0.0; BINS];
        for part in parts {
            bins.iter_mut().zip(part).for_each(|(bin, more)| *bin += more);
        }
        let (mut below_mm2, mut last) = (0.0, BINS - 1);
        for (bin, weight) in bins.iter().enumerate() {
            if below_mm2 + weight > allowed_mm2 {
                last = bin;
                break;
            }
            below_mm2 += weight;
        }
        // Within the bin, member by member.
        let here = (0..self.len()).into_par_iter().with_min_len(CHUNK).filter_map(|number| {
            let sine = self.normals[number].dot(direction);
            (bin_of(sine) == last).then(|| (sine, self.weights_mm2[number]))
        });
        let mut here: Vec<(f64, f64)> = here.collect();
        here.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for &(sine, weight) in &here {
            below_mm2 += weight;
            if below_mm2 > allowed_mm2 {
                return sine;
            }
        }
        here.last().map_or(1.0, |&(sine, _)| sine)
    }

    /// The same by the lowest few, and more of them until they are enough: what may be left out are few.
    fn trimmed_sine_of_few(&self, direction: &Vector, allowed_mm2: f64) -> f64 {
        let mut all: Vec<(f64, usize)> =
            self.normals.iter().map(|normal| normal.dot(direction)).enumerate().map(|(k, sine)| (sine, k)).collect();
        let order = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        let (mut below_mm2, mut done, mut few) = (0.0, 0, FEW);
        while done < all.len() {
            let rest = &mut all[done..];
            let n = few.min(rest.len());
            if n < rest.len() {
                rest.select_nth_unstable_by(n, order);
            }
            let lowest = &mut rest[..n];
            lowest.sort_unstable_by(order);
            for &mut (sine, number) in lowest {
                below_mm2 += self.weights_mm2[number];
                if below_mm2 > allowed_mm2 {
                    return sine;
                }
            }
            done += few;
            few *= 4;
        }
        all.last().map_or(-1.0, |&(sine, _)| sine)
    }

    /// The members with at least so much draft along a direction.
    #[must_use]
    pub fn at_least(&self, direction: &Vector, sine: f64) -> Self {
        let numbers = (0..self.len()).into_par_iter().with_min_len(CHUNK);
        let kept = numbers.filter(|&number| self.normals[number].dot(direction) >= sine);
        Self::new(kept.map(|number| self.member(number)).collect())
    }

    /// These members and others.
    #[must_use]
    pub fn with(mut self, others: Self) -> Self {
        self.whole_mm2 += others.whole_mm2;
        self.normals.extend(others.normals);
        self.weights_mm2.extend(others.weights_mm2);
        self.faces.extend(others.faces);
        self
    }

    /// Mean normal, weighed; zero if the face closes.
    #[must_use]
    pub fn mean_normal(&self) -> Vector {
        let sum: Vector = self.normals.iter().zip(&self.weights_mm2).map(|(normal, weight)| normal * *weight).sum();
        if sum.norm() > 1e-9 * self.whole_mm2 { sum.normalize() } else { Vector::zeros() }
    }
}

/// Cell of a unit vector on the sphere, laid out as an octahedron unfolded into a square of `n_cells` a side.
pub(super) fn cell_of(normal: &Vector, n_cells: u32) -> u32 {
    let size = normal.abs().sum().max(f64::MIN_POSITIVE);
    let (mut u, mut v) = (normal.x / size, normal.y / size);
    if normal.z < 0.0 {
        (u, v) = ((1.0 - v.abs()) * 1f64.copysign(u), (1.0 - u.abs()) * 1f64.copysign(v));
    }
    let step = |x: f64| (((x + 1.0) * 0.5 * f64::from(n_cells)) as u32).min(n_cells - 1);
    step(u) * n_cells + step(v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_may_be_left_out_is_left_out_lowest_first() {
        // Sines 0.00, 0.01, ... in an order of their own, one part of the area each.
        let member = |k: u32| {
            let z = f64::from(k * 37 % 100) / 100.0;
            Member { normal: Vector::new((1.0 - z * z).sqrt(), 0.0, z), weight_mm2: 1.0, face: k }
        };
        let facing = Facing::new((0..100).map(member).collect());
        for n_out in [0, 1, 7, 8, 9, 39, 40, 41, 99] {
            let sine = facing.trimmed_sine(&Vector::z(), (f64::from(n_out) + 0.5) / 100.0);
            assert!((sine - f64::from(n_out) / 100.0).abs() < 1e-12, "{n_out}: {sine}");
        }
        assert!((facing.trimmed_sine(&Vector::z(), 1.0) - 0.99).abs() < 1e-12);
    }
}
