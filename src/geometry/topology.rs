//! Which facets share an edge. Says nothing of cracks: see [`super::stitch`].

use super::mesh::{FaceId, Mesh, PointId};

/// One side of one facet: side `k` runs from corner `k` to corner `(k + 1) % 3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HalfEdge(pub u32);

impl HalfEdge {
    /// Side `side` of facet `face`.
    #[inline]
    #[must_use]
    pub const fn new(face: FaceId, side: u32) -> Self {
        Self(3 * face + side)
    }

    /// The facet it belongs to.
    #[inline]
    #[must_use]
    pub const fn face(self) -> FaceId {
        self.0 / 3
    }

    /// Which side of its facet, 0 to 2.
    #[inline]
    #[must_use]
    pub const fn side(self) -> usize {
        (self.0 % 3) as usize
    }

    /// Where it starts and ends, as it runs in its facet.
    #[inline]
    #[must_use]
    pub fn ends(self, mesh: &Mesh) -> [PointId; 2] {
        let corners = &mesh.faces[self.face() as usize];
        [corners[self.side()], corners[(self.side() + 1) % 3]]
    }
}

/// What lies across a side of a facet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// The side of the only other facet here, wound alike (it runs the other way).
    Facet(HalfEdge),
    /// Nothing: an open edge.
    Open,
    /// Three or more facets meet here, or two that are wound against each other: no way across.
    Branch,
}

/// For each side of each facet, what lies across it. Four bytes a side.
#[derive(Debug, Clone, Default)]
pub struct Topology {
    twins: Vec<u32>,
}

impl Topology {
    const OPEN: u32 = u32::MAX;
    const BRANCH: u32 = u32::MAX - 1;

    /// Finds the twin of each side. Time grows with the number of facets only.
    #[must_use]
    pub fn of(mesh: &Mesh) -> Self {
        // Sides are bucketed by their lesser point, and only bucket mates are compared: points have few neighbours.
        let n_sides = 3 * mesh.faces.len();
        let key = |half: u32| {
            let [a, b] = HalfEdge(half).ends(mesh);
            (a.min(b), a.max(b))
        };
        let mut starts = vec![0u32; mesh.points_mm.len() + 1];
        for half in 0..n_sides as u32 {
            starts[key(half).0 as usize + 1] += 1;
        }
        for point in 1..starts.len() {
            starts[point] += starts[point - 1];
        }
        let mut fill = starts.clone();
        let mut bucketed = vec![(0u32, 0u32); n_sides];
        for half in 0..n_sides as u32 {
            let (least, most) = key(half);
            let slot = &mut fill[least as usize];
            bucketed[*slot as usize] = (most, half);
            *slot += 1;
        }
        let mut twins = vec![Self::OPEN; n_sides];
        for point in 0..mesh.points_mm.len() {
            let bucket = &mut bucketed[starts[point] as usize..starts[point + 1] as usize];
            bucket.sort_unstable();
            for sharing in bucket.chunk_by(|a, b| a.0 == b.0) {
                match sharing {
                    [_] => {}
                    [(_, one), (_, other)] if HalfEdge(*one).ends(mesh)[0] != HalfEdge(*other).ends(mesh)[0] => {
                        twins[*one as usize] = *other;
                        twins[*other as usize] = *one;
                    }
                    _ => sharing.iter().for_each(|&(_, half)| twins[half as usize] = Self::BRANCH),
                }
            }
        }
        Self { twins }
    }

    /// What lies across a side.
    #[inline]
    #[must_use]
    pub fn across(&self, half: HalfEdge) -> Across {
        match self.twins[half.0 as usize] {
            Self::OPEN => Across::Open,
            Self::BRANCH => Across::Branch,
            twin => Across::Facet(HalfEdge(twin)),
        }
    }

    /// The facet across a side, if exactly one other facet is there and wound alike.
    #[inline]
    #[must_use]
    pub fn twin(&self, half: HalfEdge) -> Option<HalfEdge> {
        match self.across(half) {
            Across::Facet(twin) => Some(twin),
            Across::Open | Across::Branch => None,
        }
    }

    /// The sides with no other facet, in order.
    #[must_use]
    pub fn open_sides(&self) -> Vec<HalfEdge> {
        let open = self.twins.iter().enumerate().filter(|&(_, &twin)| twin == Self::OPEN);
        open.map(|(half, _)| HalfEdge(half as u32)).collect()
    }

    /// All sides, in order.
    pub fn half_edges(&self) -> impl Iterator<Item = HalfEdge> + use<> {
        (0..self.twins.len() as u32).map(HalfEdge)
    }
}
