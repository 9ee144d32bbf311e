//! A mesh whose facets are cut finer and finer without losing where each came from, or how facets meet across cracks.
//!
//! Borders of pieces, zones and strips become edges of the mesh, one after the other, on the same [`Refined`]. The surface
//! itself never changes: every new point lies on an edge or in a facet that was there.

mod cut;
pub(crate) mod nearest;
mod seams;

pub use cut::{LevelCut, PlaneCut, cut_at_level, cut_by_plane};

use super::mesh::{FaceId, Mesh};
use super::stitch::{Meeting, Surface};
use super::topology::{Across, HalfEdge, Topology};

/// A mesh cut finer, with the provenance of every facet.
#[derive(Debug, Clone, Default)]
pub struct Refined {
    /// The facets.
    pub mesh: Mesh,
    /// For each facet, the facet of the first mesh that it is a part of.
    pub source_faces: Vec<FaceId>,
    /// Marks set so far (inside a zone, on a strip), one list per mark with one entry per facet.
    pub marks: Vec<Vec<bool>>,
    /// Meetings across cracks, sorted by side and place on it.
    seams: Vec<(HalfEdge, Meeting)>,
}

impl Refined {
    /// The surface as it is: every facet is its own source, nothing is marked.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        let topology = &surface.topology;
        let open = topology.half_edges().filter(|&half| topology.across(half) == Across::Open);
        let mut seams: Vec<_> =
            open.flat_map(|half| surface.meetings(half).map(move |meeting| (half, meeting))).collect();
        seams::sort(&mut seams);
        Self { mesh: surface.mesh.clone(), source_faces: surface.mesh.face_ids().collect(), marks: Vec::new(), seams }
    }

    /// Meetings across cracks, sorted by side and place on it.
    #[must_use]
    pub fn seams(&self) -> &[(HalfEdge, Meeting)] {
        &self.seams
    }

    /// Adds a mark, one entry per facet, and gives its number in [`Self::marks`].
    ///
    /// # Panics
    /// If there is not one entry per facet: a fault of the caller.
    pub fn mark(&mut self, inside: Vec<bool>) -> usize {
        assert_eq!(inside.len(), self.mesh.faces.len(), "a mark has one entry per facet");
        self.marks.push(inside);
        self.marks.len() - 1
    }

    /// Area in m2 of the facets for which `chosen` holds.
    #[must_use]
    pub fn area_m2_where(&self, chosen: impl Fn(FaceId) -> bool) -> f64 {
        let chosen_mm2 = self.mesh.face_ids().filter(|&face| chosen(face)).map(|face| self.mesh.face_area_mm2(face));
        crate::units::m2_from_mm2(chosen_mm2.sum())
    }

    /// The given facets by themselves, with their marks and the seams between them.
    #[must_use]
    pub fn subset(&self, faces: &[FaceId]) -> Self {
        Self {
            mesh: self.mesh.submesh(faces),
            source_faces: faces.iter().map(|&face| self.source_faces[face as usize]).collect(),
            marks: self.marks.iter().map(|mark| faces.iter().map(|&face| mark[face as usize]).collect()).collect(),
            seams: seams::between(&self.seams, faces, self.mesh.faces.len()),
        }
    }

    /// How the facets meet: by shared edges and across cracks.
    #[must_use]
    pub fn joints(&self) -> Joints<'_> {
        Joints::of(self)
    }

    /// The next mesh: its facets, which facet of this one each is a part of, and what the sides of cut facets were.
    fn finer(&self, mesh: Mesh, parents: &[FaceId], origins: &[(FaceId, [Option<SideOrigin>; 3])]) -> Self {
        Self {
            source_faces: parents.iter().map(|&parent| self.source_faces[parent as usize]).collect(),
            marks: self
                .marks
                .iter()
                .map(|mark| parents.iter().map(|&parent| mark[parent as usize]).collect())
                .collect(),
            seams: seams::carried(&self.seams, parents, origins),
            mesh,
        }
    }
}

/// The part of an old facet's side that a new side is.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SideOrigin {
    /// The old side.
    half: HalfEdge,
    /// Fractions of the old side, rising.
    span: [f64; 2],
}

/// How the facets of a refined mesh meet.
#[derive(Debug, Clone)]
pub struct Joints<'refined> {
    /// By shared edges.
    pub topology: Topology,
    seams: &'refined [(HalfEdge, Meeting)],
    /// Sides on edges of three or more facets, sorted by the ends of the edge.
    branches: Vec<([u32; 2], HalfEdge)>,
}

impl<'refined> Joints<'refined> {
    fn of(refined: &'refined Refined) -> Self {
        let topology = Topology::of(&refined.mesh);
        let branch = topology.half_edges().filter(|&half| topology.across(half) == Across::Branch);
        let mut branches: Vec<_> = branch.map(|half| (edge_key(&refined.mesh, half), half)).collect();
        branches.sort_unstable();
        Self { topology, seams: &refined.seams, branches }
    }

    /// What a side meets: the other facet of a shared edge, the facets across a crack, stretch by stretch, or all the
    /// others on an edge of three or more.
    pub fn meetings<'a>(&'a self, mesh: &Mesh, half: HalfEdge) -> impl Iterator<Item = Meeting> + use<'a> {
        let whole = |other| Meeting { other, span: [0.0, 1.0], other_span: [0.0, 1.0] };
        let (shared, seam, branch) = match self.topology.across(half) {
            Across::Facet(other) => (Some(whole(other)), &[][..], &[][..]),
            Across::Open => (None, seams::of_side(self.seams, half), &[][..]),
            Across::Branch => (None, &[][..], self.branch(edge_key(mesh, half))),
        };
        let branch = branch.iter().filter(move |&&(_, other)| other != half).map(move |&(_, other)| whole(other));
        shared.into_iter().chain(seam.iter().map(|&(_, meeting)| meeting)).chain(branch)
    }

    /// The sides on an edge of three or more facets.
    fn branch(&self, key: [u32; 2]) -> &[([u32; 2], HalfEdge)] {
        let start = self.branches.partition_point(|&(other, _)| other < key);
        let end = self.branches.partition_point(|&(other, _)| other <= key);
        &self.branches[start..end]
    }

    /// Groups of facets that meet where `joined` holds for the two sides: the group of each facet, numbered in order of
    /// first facet, and how many there are.
    #[must_use]
    pub fn groups(&self, mesh: &Mesh, joined: impl Fn(FaceId, FaceId) -> bool) -> (Vec<u32>, usize) {
        let mut group = vec![u32::MAX; mesh.faces.len()];
        let mut n_groups = 0;
        let mut stack = Vec::new();
        for seed in mesh.face_ids() {
            if group[seed as usize] != u32::MAX {
                continue;
            }
            group[seed as usize] = n_groups;
            stack.push(seed);
            while let Some(face) = stack.pop() {
                for side in 0..3 {
                    for meeting in self.meetings(mesh, HalfEdge::new(face, side)) {
                        let next = meeting.other.face();
                        if group[next as usize] == u32::MAX && joined(face, next) {
                            group[next as usize] = n_groups;
                            stack.push(next);
                        }
                    }
                }
            }
            n_groups += 1;
        }
        (group, n_groups as usize)
    }
}

/// The ends of a side, lesser number first.
fn edge_key(mesh: &Mesh, half: HalfEdge) -> [u32; 2] {
    let [a, b] = half.ends(mesh);
    [a.min(b), a.max(b)]
}
