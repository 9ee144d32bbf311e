//! The bodies in a mesh: groups of facets joined by edges and across cracks; a hollow belongs to the body around it.

use super::super::mesh::{FaceId, Mesh};
use super::super::shells::{Shell, nesting};
use super::super::topology::{HalfEdge, Topology};
use super::cracks::Cracks;

// A body is open if the edges without a partner are longer than this share of the root of its area. Holes of that size are
// faults of the file; the rim of the smallest sheet is four roots long.
const OPEN_OF_ROOT_AREA: f64 = 0.01;

/// One body: facets, and whether they close.
#[derive(Debug, Clone)]
pub struct BodyFaces {
    /// Its facets, rising.
    pub faces: Vec<FaceId>,
    /// Its surface in mm2.
    pub area_mm2: f64,
    /// Length of its open edges, in mm.
    pub open_mm: f64,
    /// True if no more than faults of the file are open.
    pub closed: bool,
    /// How many closed hollows it has.
    pub n_hollows: usize,
}

/// Facets by bodies, in order of their first facet.
#[must_use]
pub fn bodies(mesh: &Mesh, topology: &Topology, cracks: &Cracks, areas_mm2: &[f64]) -> Vec<BodyFaces> {
    let groups = groups(mesh, topology, cracks);
    let n_groups = groups.iter().max().map_or(0, |&most| most as usize + 1);
    let mut open_mm = vec![0.0; n_groups];
    for &half in &cracks.open {
        open_mm[groups[half.face() as usize] as usize] += Cracks::length_mm(mesh, half);
    }
    let mut bodies: Vec<BodyFaces> = open_mm
        .into_iter()
        .map(|open_mm| BodyFaces { faces: Vec::new(), area_mm2: 0.0, open_mm, closed: false, n_hollows: 0 })
        .collect();
    for (face, &group) in groups.iter().enumerate() {
        bodies[group as usize].faces.push(face as FaceId);
        bodies[group as usize].area_mm2 += areas_mm2[face];
    }
    for body in &mut bodies {
        body.closed = body.open_mm <= OPEN_OF_ROOT_AREA * body.area_mm2.sqrt();
    }
    with_hollows(mesh, bodies)
}

/// For each facet the number of its group, groups in order of their first facet.
fn groups(mesh: &Mesh, topology: &Topology, cracks: &Cracks) -> Vec<u32> {
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
            for_each_neighbour(topology, cracks, face, |next| {
                if group[next as usize] == u32::MAX {
                    group[next as usize] = n_groups;
                    stack.push(next);
                }
            });
        }
        n_groups += 1;
    }
    group
}

/// Facets that meet a facet at an edge or across a crack.
fn for_each_neighbour(topology: &Topology, cracks: &Cracks, face: FaceId, mut visit: impl FnMut(FaceId)) {
    for side in 0..3 {
        let half = HalfEdge::new(face, side);
        if let Some(twin) = topology.twin(half) {
            visit(twin.face());
        } else if !cracks.partners.is_empty() {
            let start = cracks.partners.partition_point(|&(one, _)| one < half);
            cracks.partners[start..]
                .iter()
                .take_while(|&&(one, _)| one == half)
                .for_each(|&(_, other)| visit(other.face()));
        }
    }
}

/// Joins each hollow (a closed group at odd depth) to the body directly around it.
fn with_hollows(mesh: &Mesh, mut bodies: Vec<BodyFaces>) -> Vec<BodyFaces> {
    let closed: Vec<usize> = (0..bodies.len()).filter(|&body| bodies[body].closed).collect();
    if closed.len() < 2 {
        return bodies;
    }
    let shells: Vec<Shell> = closed.iter().map(|&body| Shell::of(mesh, bodies[body].faces.clone())).collect();
    let around = nesting(mesh, &shells);
    let mut gone = vec![false; bodies.len()];
    for (shell, outer) in around.iter().enumerate().filter(|(_, outer)| outer.len() % 2 == 1) {
        // The shell directly around is the one that most others lie around.
        let Some(&host) = outer.iter().max_by_key(|&&host| (around[host].len(), std::cmp::Reverse(host))) else {
            continue;
        };
        let hollow = std::mem::take(&mut bodies[closed[shell]].faces);
        let (area_mm2, open_mm) = (bodies[closed[shell]].area_mm2, bodies[closed[shell]].open_mm);
        let host = &mut bodies[closed[host]];
        host.faces.extend(hollow);
        host.area_mm2 += area_mm2;
        host.open_mm += open_mm;
        host.n_hollows += 1;
        gone[closed[shell]] = true;
    }
    let mut kept = gone.iter();
    bodies.retain(|_| !kept.next().is_some_and(|&gone| gone));
    bodies.iter_mut().for_each(|body| body.faces.sort_unstable());
    bodies.sort_by_key(|body| body.faces.first().copied());
    bodies
}

/// Joins all open bodies to one: the caller knows that they are the sides of one wall.
#[must_use]
pub fn open_bodies_as_one(bodies: Vec<BodyFaces>) -> Vec<BodyFaces> {
    let (mut joined, open): (Vec<_>, Vec<_>) = bodies.into_iter().partition(|body| body.closed);
    joined.extend(open.into_iter().reduce(|mut one, other| {
        one.faces.extend(other.faces);
        one.area_mm2 += other.area_mm2;
        one.open_mm += other.open_mm;
        one
    }));
    joined.iter_mut().for_each(|body| body.faces.sort_unstable());
    joined.sort_by_key(|body| body.faces.first().copied());
    joined
}
