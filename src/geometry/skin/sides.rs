//! Which skin facets lie on the same side of the wall: opposed facets lie on different sides, neighbours on the same.

use rayon::prelude::*;

use super::super::mesh::FaceId;
use super::neighbours::Neighbours;
use super::walls::Walls;

/// Neither side yet.
pub const NO_SIDE: u32 = u32::MAX;

// A group of skin facets under this share of all skin says nothing of its own: it is given to what lies around it.
const LEAST_GROUP_OF_SKIN: f64 = 0.002;

/// Skin facets by side. Group `g` has the sides `2 g` and `2 g + 1`; which of them is outside is not known yet.
#[derive(Debug, Clone)]
pub struct Sides {
    /// For each facet its side, or [`NO_SIDE`].
    pub of_face: Vec<u32>,
    /// How many groups there are.
    pub n_groups: usize,
    /// Length of edges at which skin facets of different sides meet, in mm: walls branch there.
    pub branching_mm: f64,
}

/// Sets joined with a sign: for each facet, whether it lies on the same side as the root of its set.
struct SignedSets {
    parent: Vec<u32>,
    other_side: Vec<bool>,
}

impl SignedSets {
    fn of(count: usize) -> Self {
        Self { parent: (0..count as u32).collect(), other_side: vec![false; count] }
    }

    /// The root of a facet's set, and whether the facet lies on the other side of the wall than the root.
    fn root(&mut self, face: FaceId) -> (FaceId, bool) {
        let (mut root, mut flipped) = (face, false);
        while self.parent[root as usize] != root {
            flipped ^= self.other_side[root as usize];
            root = self.parent[root as usize];
        }
        // Point everything on the way straight at the root.
        let (mut at, mut still) = (face, flipped);
        while self.parent[at as usize] != root && at != root {
            let (next, own) = (self.parent[at as usize], self.other_side[at as usize]);
            self.parent[at as usize] = root;
            self.other_side[at as usize] = still;
            still ^= own;
            at = next;
        }
        (root, flipped)
    }

    /// Joins two facets; false if that contradicts what is known.
    fn join(&mut self, one: FaceId, other: FaceId, opposed: bool) -> bool {
        let ((one, one_flipped), (other, other_flipped)) = (self.root(one), self.root(other));
        let flipped = one_flipped ^ other_flipped ^ opposed;
        if one == other {
            return !flipped;
        }
        let (keeps, joins) = (one.min(other), one.max(other));
        self.parent[joins as usize] = keeps;
        self.other_side[joins as usize] = flipped;
        true
    }
}

/// Joins the skin facets to sides. What is opposed comes first: it looks through the material and cannot be wrong on a thin
/// wall, while neighbourhood can (a rounded rim is smooth all the way round).
#[must_use]
pub fn sides(walls: &Walls, neighbours: &Neighbours, areas_mm2: &[f64]) -> Sides {
    let mut sets = SignedSets::of(areas_mm2.len());
    for (face, met) in opposed_pairs(walls, areas_mm2) {
        // A contradiction here is a wall that branches; its neighbours tell the length.
        let _ = sets.join(face, met, true);
    }
    let branching_mm = join_neighbours(&mut sets, walls, neighbours);
    let (of_face, n_groups) = number_groups(&mut sets, walls, areas_mm2);
    Sides { of_face, n_groups, branching_mm }
}

/// Each skin facet with the skin facet that most of its rays meet, largest first.
fn opposed_pairs(walls: &Walls, areas_mm2: &[f64]) -> Vec<(FaceId, FaceId)> {
    let partner = |face: FaceId| {
        let mut met: Vec<FaceId> = walls
            .of_face(face)
            .iter()
            .filter(|ray| ray.wall && walls.is_skin[ray.met as usize])
            .map(|ray| ray.met)
            .collect();
        met.sort_unstable();
        met.chunk_by(|a, b| a == b).max_by_key(|same| (same.len(), std::cmp::Reverse(same[0]))).map(|same| same[0])
    };
    let mut faces: Vec<FaceId> = (0..areas_mm2.len() as FaceId).filter(|&face| walls.is_skin[face as usize]).collect();
    faces.par_sort_unstable_by(|&a, &b| areas_mm2[b as usize].total_cmp(&areas_mm2[a as usize]).then(a.cmp(&b)));
    faces.into_par_iter().filter_map(|face| Some((face, partner(face)?))).collect()
}

/// Joins skin facets that meet, smallest turn first; says over what length they could not be.
fn join_neighbours(sets: &mut SignedSets, walls: &Walls, neighbours: &Neighbours) -> f64 {
    let mut meets: Vec<u32> = (0..neighbours.meets.len() as u32)
        .filter(|&meet| neighbours.meets[meet as usize].faces.iter().all(|&face| walls.is_skin[face as usize]))
        .collect();
    meets.par_sort_unstable_by(|&a, &b| {
        neighbours.meets[b as usize].cosine.total_cmp(&neighbours.meets[a as usize].cosine).then(a.cmp(&b))
    });
    let mut branching_mm = 0.0;
    for meet in meets {
        let meet = &neighbours.meets[meet as usize];
        if !sets.join(meet.faces[0], meet.faces[1], false) {
            branching_mm += f64::from(meet.length_mm);
        }
    }
    branching_mm
}

/// Numbers the groups in order of their first facet and drops the small ones.
fn number_groups(sets: &mut SignedSets, walls: &Walls, areas_mm2: &[f64]) -> (Vec<u32>, usize) {
    let n_faces = areas_mm2.len();
    let roots: Vec<(FaceId, bool)> = (0..n_faces as FaceId).map(|face| sets.root(face)).collect();
    let mut group_area = vec![0.0; n_faces];
    let mut skin = 0.0;
    for face in (0..n_faces).filter(|&face| walls.is_skin[face]) {
        group_area[roots[face].0 as usize] += areas_mm2[face];
        skin += areas_mm2[face];
    }
    let mut number = vec![NO_SIDE; n_faces];
    let mut n_groups = 0;
    let mut of_face = vec![NO_SIDE; n_faces];
    for face in (0..n_faces).filter(|&face| walls.is_skin[face]) {
        let (root, flipped) = roots[face];
        if group_area[root as usize] < LEAST_GROUP_OF_SKIN * skin {
            continue;
        }
        if number[root as usize] == NO_SIDE {
            number[root as usize] = n_groups;
            n_groups += 1;
        }
        of_face[face] = 2 * number[root as usize] + u32::from(flipped);
    }
    (of_face, n_groups as usize)
}
