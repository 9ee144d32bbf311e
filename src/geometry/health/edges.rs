//! Open edges, edges of more than two facets, edges whose facets are wound against each other; what hangs together.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::geometry::mesh::{FaceId, Mesh, PointId};
use crate::geometry::topology::{Across, HalfEdge, Topology};

/// The edges that are not simply shared by two facets wound alike.
#[derive(Debug, Clone, Default)]
pub struct SharedEdges {
    /// Sides with no other facet.
    pub open: Vec<HalfEdge>,
    /// For each edge of two facets wound against each other, or of more, its sides in order.
    pub branching: Vec<Vec<HalfEdge>>,
}

impl SharedEdges {
    /// Collects them; edges in order of their points.
    #[must_use]
    pub fn of(mesh: &Mesh, topology: &Topology) -> Self {
        let n_sides = 3 * mesh.faces.len() as u32;
        let special: Vec<HalfEdge> = (0..n_sides)
            .into_par_iter()
            .with_min_len(4096)
            .map(HalfEdge)
            .filter(|&half| !matches!(topology.across(half), Across::Facet(_)))
            .collect();
        let is_open = |half: &HalfEdge| topology.across(*half) == Across::Open;
        let (open, branches): (Vec<_>, Vec<_>) = special.into_iter().partition(is_open);
        let mut keyed: Vec<(PointId, PointId, HalfEdge)> = branches
            .into_iter()
            .map(|half| {
                let [a, b] = half.ends(mesh);
                (a.min(b), a.max(b), half)
            })
            .collect();
        keyed.par_sort_unstable();
        let branching = keyed
            .chunk_by(|a, b| (a.0, a.1) == (b.0, b.1))
            .map(|edge| edge.iter().map(|&(_, _, half)| half).collect())
            .collect();
        Self { open, branching }
    }

    /// Edges of three or more facets.
    pub fn crowded(&self) -> impl Iterator<Item = &[HalfEdge]> {
        self.branching.iter().map(Vec::as_slice).filter(|sides| sides.len() > 2)
    }

    /// Edges of two facets that are wound against each other.
    pub fn flipped(&self) -> impl Iterator<Item = [HalfEdge; 2]> {
        self.branching.iter().filter_map(|sides| match sides[..] {
            [one, other] => Some([one, other]),
            _ => None,
        })
    }
}

/// Groups of facets joined by edges.
#[derive(Debug, Clone, Default)]
pub struct Components {
    /// For each facet the number of its group; groups in order of their first facet.
    pub of_face: Vec<u32>,
    /// How many there are.
    pub count: usize,
}

/// Groups facets that share an edge, also one of three or more facets.
#[must_use]
pub fn components(mesh: &Mesh, topology: &Topology, shared: &SharedEdges) -> Components {
    let mut sets = Sets::new(mesh.faces.len());
    for half in topology.half_edges() {
        if let Some(twin) = topology.twin(half)
            && twin > half
        {
            sets.join(half.face(), twin.face());
        }
    }
    for sides in &shared.branching {
        sides[1..].iter().for_each(|side| sets.join(sides[0].face(), side.face()));
    }
    let mut of_face: Vec<u32> = vec![0; mesh.faces.len()];
    let mut count = 0;
    for face in mesh.face_ids() {
        let first = sets.first(face);
        of_face[face as usize] = if first == face {
            count += 1;
            count as u32 - 1
        } else {
            of_face[first as usize]
        };
    }
    Components { of_face, count }
}

/// Closed chains of open edges. Where a point joins several chains, each turns into the next open edge round the facets of
/// the point; where an edge of many facets bars the way, chains that meet there count as one.
#[must_use]
pub fn boundary_loops(mesh: &Mesh, topology: &Topology, shared: &SharedEdges) -> usize {
    let places: FxHashMap<HalfEdge, u32> = shared.open.iter().zip(0..).map(|(&half, place)| (half, place)).collect();
    let mut sets = Sets::new(shared.open.len());
    let mut follows = vec![false; shared.open.len()];
    let mut loose_ends: Vec<(PointId, u32)> = Vec::new();
    for (&half, place) in shared.open.iter().zip(0..) {
        match next_open(topology, half).and_then(|next| places.get(&next)) {
            Some(&next) => {
                sets.join(place, next);
                follows[next as usize] = true;
            }
            None => loose_ends.push((half.ends(mesh)[1], place)),
        }
    }
    let unled = shared.open.iter().zip(0..).filter(|&(_, place)| !follows[place as usize]);
    loose_ends.extend(unled.map(|(half, place)| (half.ends(mesh)[0], place)));
    loose_ends.sort_unstable();
    for pair in loose_ends.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        sets.join(pair[0].1, pair[1].1);
    }
    (0..shared.open.len() as u32).filter(|&place| sets.first(place) == place).count()
}

/// The open side that leaves the point where `half` ends, found by turning round that point.
pub fn next_open(topology: &Topology, half: HalfEdge) -> Option<HalfEdge> {
    let next_side = |half: HalfEdge| HalfEdge::new(half.face(), (half.side() as u32 + 1) % 3);
    let mut side = next_side(half);
    loop {
        match topology.across(side) {
            Across::Open => return Some(side),
            Across::Facet(twin) => side = next_side(twin),
            Across::Branch => return None,
        }
    }
}

/// Sets of numbers that are joined two by two; each set is known by its least number.
#[derive(Debug)]
pub struct Sets {
    parents: Vec<u32>,
}

impl Sets {
    /// Each number alone.
    #[must_use]
    pub fn new(count: usize) -> Self {
        Self { parents: (0..count as u32).collect() }
    }

    /// The least number of the set.
    pub fn first(&mut self, mut number: FaceId) -> FaceId {
        while self.parents[number as usize] != number {
            let above = self.parents[self.parents[number as usize] as usize];
            self.parents[number as usize] = above;
            number = above;
        }
        number
    }

    /// Makes one set of two.
    pub fn join(&mut self, one: FaceId, other: FaceId) {
        let (one, other) = (self.first(one), self.first(other));
        self.parents[one.max(other) as usize] = one.min(other);
    }
}
