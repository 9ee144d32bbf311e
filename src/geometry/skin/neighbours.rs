//! Which facets meet, and how sharply: shared edges and cracks in one list.

use super::super::mesh::{FaceId, Mesh, Vector};
use super::super::topology::{HalfEdge, Topology};
use super::cracks::Cracks;

/// Two facets that meet.
#[derive(Debug, Clone, Copy)]
pub struct Meet {
    /// The facet with the lesser number, and the other.
    pub faces: [FaceId; 2],
    /// Cosine of the turn between their normals.
    pub cosine: f32,
    /// How long they meet, in mm.
    pub length_mm: f32,
}

/// Facets and their neighbours.
#[derive(Debug, Clone)]
pub struct Neighbours {
    /// Each pair once.
    pub meets: Vec<Meet>,
    /// Where the neighbours of each facet start in `of_face`; one more than there are facets.
    starts: Vec<u32>,
    /// Numbers of meets, by facet.
    of_face: Vec<u32>,
}

impl Neighbours {
    /// Gathers them.
    #[must_use]
    pub fn of(mesh: &Mesh, topology: &Topology, cracks: &Cracks, normals: &[Vector]) -> Self {
        let meet = |one: HalfEdge, other: HalfEdge| Meet {
            faces: [one.face().min(other.face()), one.face().max(other.face())],
            cosine: normals[one.face() as usize].dot(&normals[other.face() as usize]) as f32,
            length_mm: Cracks::length_mm(mesh, one) as f32,
        };
        let shared =
            topology.half_edges().filter_map(|half| Some((half, topology.twin(half).filter(|&twin| half < twin)?)));
        let mut meets: Vec<Meet> = shared.map(|(half, twin)| meet(half, twin)).collect();
        // Across a crack both sides name each other, as a rule: each pair of facets is kept once, with the lesser length.
        let mut across: Vec<Meet> = cracks.partners.iter().map(|&(half, other)| meet(half, other)).collect();
        across.sort_by(|a, b| a.faces.cmp(&b.faces).then(a.length_mm.total_cmp(&b.length_mm)));
        across.dedup_by_key(|meet| meet.faces);
        meets.extend(across);
        let mut starts = vec![0u32; mesh.faces.len() + 1];
        meets.iter().flat_map(|meet| meet.faces).for_each(|face| starts[face as usize + 1] += 1);
        for face in 1..starts.len() {
            starts[face] += starts[face - 1];
        }
        let mut fill = starts.clone();
        let mut of_face = vec![0u32; 2 * meets.len()];
        for (number, meet) in meets.iter().enumerate() {
            for face in meet.faces {
                of_face[fill[face as usize] as usize] = number as u32;
                fill[face as usize] += 1;
            }
        }
        Self { meets, starts, of_face }
    }

    /// The neighbours of a facet, each with the meet.
    pub fn around(&self, face: FaceId) -> impl Iterator<Item = (FaceId, &Meet)> + '_ {
        self.of_face[self.starts[face as usize] as usize..self.starts[face as usize + 1] as usize].iter().map(
            move |&number| {
                let meet = &self.meets[number as usize];
                (if meet.faces[0] == face { meet.faces[1] } else { meet.faces[0] }, meet)
            },
        )
    }
}
