//! The surface on which cracks and T-junctions are closed: which stretch of a facet's side meets which stretch of another's.
//!
//! CAD systems mesh each face alone; where the two sides of a seam do not share points, the welded mesh has cracks. Here
//! facets stay where they are, and open sides that run along each other are paired stretch by stretch.

mod seams;

use super::mesh::{FaceId, Mesh};
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

impl Meeting {
    /// The place on the other side that lies opposite `place` on this one, both as fractions.
    #[inline]
    #[must_use]
    pub fn opposite(&self, place: f64) -> f64 {
        let along = ((place - self.span[0]) / (self.span[1] - self.span[0])).clamp(0.0, 1.0);
        self.other_span[1] - along * (self.other_span[1] - self.other_span[0])
    }
}

/// Number of a meeting as seen from one of its sides, for data kept per meeting: the side itself for a shared edge, the
/// place in the list of seams for a crack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MeetingId(pub u32);

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

/// A point is past the end of every stretch of its side, but no further than this share of the side: it still crosses
/// there. Stretches under 2 % are never stored, so that holes of this width remain between them.
const SPAN_SLACK: f64 = 0.025;

impl<'mesh> Surface<'mesh> {
    /// Pairs shared edges, then the open sides that run along each other.
    #[must_use]
    pub fn stitched(mesh: &'mesh Mesh) -> Self {
        let topology = Topology::of(mesh);
        let seams = seams::pair(mesh, &topology);
        Self { mesh, topology, seams }
    }

    /// Facets that are marked, by what hangs together across shared edges and seams: groups in the order of their least facet.
    #[must_use]
    pub fn groups(&self, mut marked: Vec<bool>) -> Vec<Vec<FaceId>> {
        let (mut groups, mut stack) = (Vec::new(), Vec::new());
        for seed in self.mesh.face_ids() {
            if !std::mem::take(&mut marked[seed as usize]) {
                continue;
            }
            stack.push(seed);
            let mut group = Vec::new();
            while let Some(face) = stack.pop() {
                group.push(face);
                for side in 0..3 {
                    for meeting in self.meetings(HalfEdge::new(face, side)) {
                        let next = meeting.other.face();
                        if std::mem::take(&mut marked[next as usize]) {
                            stack.push(next);
                        }
                    }
                }
            }
            groups.push(group);
        }
        groups
    }

    /// What a side meets, in order along it: one meeting with the full span for a shared edge, any number on a seam.
    pub fn meetings(&self, half: HalfEdge) -> impl Iterator<Item = Meeting> + '_ {
        self.numbered_meetings(half).map(|(_, meeting)| meeting)
    }

    /// As [`Self::meetings`], each with its number.
    pub fn numbered_meetings(&self, half: HalfEdge) -> impl Iterator<Item = (MeetingId, Meeting)> + '_ {
        let across = self.topology.across(half);
        let shared = match across {
            Across::Facet(other) => {
                Some((MeetingId(half.0), Meeting { other, span: [0.0, 1.0], other_span: [0.0, 1.0] }))
            }
            Across::Open | Across::Branch => None,
        };
        let seam = if across == Across::Open { self.seam_range(half) } else { 0..0 };
        let first_id = 3 * self.mesh.faces.len();
        shared.into_iter().chain(seam.map(move |k| (MeetingId((first_id + k) as u32), self.seams[k].1)))
    }

    /// What lies across the point at `place` (a fraction) of a side.
    #[inline]
    #[must_use]
    pub fn meeting_at(&self, half: HalfEdge, place: f64) -> Option<(MeetingId, Meeting)> {
        match self.topology.across(half) {
            Across::Facet(other) => {
                Some((MeetingId(half.0), Meeting { other, span: [0.0, 1.0], other_span: [0.0, 1.0] }))
            }
            Across::Branch => None,
            Across::Open => self.seam_at(half, place),
        }
    }

    /// How many meeting numbers there may be; every number is below it.
    #[must_use]
    pub fn n_meeting_ids(&self) -> usize {
        3 * self.mesh.faces.len() + self.seams.len()
    }

    /// The sides that meet another across a crack, with repeats.
    pub fn seam_sides(&self) -> impl Iterator<Item = HalfEdge> + '_ {
        self.seams.iter().map(|&(half, _)| half)
    }

    /// The meeting across a crack that holds a place, or the nearest if the place is in the slack beside it.
    fn seam_at(&self, half: HalfEdge, place: f64) -> Option<(MeetingId, Meeting)> {
        let first_id = 3 * self.mesh.faces.len();
        let off = |meeting: &Meeting| (meeting.span[0] - place).max(place - meeting.span[1]).max(0.0);
        self.seam_range(half)
            .map(|k| (off(&self.seams[k].1), k))
            .filter(|&(off, _)| off <= SPAN_SLACK)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, k)| (MeetingId((first_id + k) as u32), self.seams[k].1))
    }

    /// Where the meetings of an open side stand in the list of seams.
    fn seam_range(&self, half: HalfEdge) -> std::ops::Range<usize> {
        if self.seams.is_empty() {
            return 0..0;
        }
        let start = self.seams.partition_point(|&(side, _)| side < half);
        let length = self.seams[start..].iter().take_while(|&&(side, _)| side == half).count();
        start..start + length
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
