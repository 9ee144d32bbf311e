//! The surface on which cracks and T-junctions are closed: which stretch of a facet's side meets which stretch of another's.
//!
//! CAD systems mesh each face alone; where the two sides of a seam do not share points, the welded mesh has cracks. Here
//! facets stay where they are, and open sides that run along each other are paired stretch by stretch.

use super::mesh::Mesh;
use super::topology::{Across, HalfEdge, Topology};

/// A stretch along which two facets meet. Spans are fractions of each side, in the direction in which the side runs in its
/// own facet; since the two run against each other, the start of one is the end of the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    /// The side of the other facet.
    pub other: HalfEdge,
    /// Where the stretch starts and ends on this side, 0 to 1, rising.
    pub span: [f64; 2],
    /// Where it starts and ends on the other side, 0 to 1, rising.
    pub other_span: [f64; 2],
}

/// A mesh's facets and how they meet, seams closed.
#[derive(Debug, Clone)]
pub struct Surface<'mesh> {
    /// The facets.
    pub mesh: &'mesh Mesh,
    /// How they meet by shared edges.
    pub topology: Topology,
    /// Meetings across cracks, sorted by side and place on it.
    seams: Vec<(HalfEdge, Meeting)>,
}

impl<'mesh> Surface<'mesh> {
    /// Pairs shared edges, then the open sides that run along each other.
    #[must_use]
    pub fn stitched(mesh: &'mesh Mesh) -> Self {
        let topology = Topology::of(mesh);
        Self { mesh, topology, seams: Vec::new() }
    }

    /// What a side meets, in order along it: one meeting with the full span for a shared edge, any number on a seam.
    pub fn meetings(&self, half: HalfEdge) -> impl Iterator<Item = Meeting> + '_ {
        let shared = match self.topology.across(half) {
            Across::Facet(other) => Some(Meeting { other, span: [0.0, 1.0], other_span: [0.0, 1.0] }),
            Across::Open | Across::Branch => None,
        };
        shared.into_iter().chain(self.seam(half).iter().map(|&(_, meeting)| meeting))
    }

    /// Meetings of an open side across a crack.
    fn seam(&self, half: HalfEdge) -> &[(HalfEdge, Meeting)] {
        let start = self.seams.partition_point(|&(side, _)| side < half);
        let end = self.seams.partition_point(|&(side, _)| side <= half);
        &self.seams[start..end]
    }

    /// Groups of facets that meet, seams included: for each facet the number of its group, groups numbered in order of
    /// their first facet, and how many there are.
    #[must_use]
    pub fn connected_groups(&self) -> (Vec<u32>, usize) {
        let n_faces = self.mesh.faces.len();
        let mut group = vec![u32::MAX; n_faces];
        let mut n_groups = 0u32;
        let mut stack = Vec::new();
        for seed in 0..n_faces as u32 {
            if group[seed as usize] != u32::MAX {
                continue;
            }
            group[seed as usize] = n_groups;
            stack.push(seed);
            while let Some(face) = stack.pop() {
                for side in 0..3 {
                    for meeting in self.meetings(HalfEdge::new(face, side)) {
                        let next = meeting.other.face() as usize;
                        if group[next] == u32::MAX {
                            group[next] = n_groups;
                            stack.push(next as u32);
                        }
                    }
                }
            }
            n_groups += 1;
        }
        (group, n_groups as usize)
    }
}
