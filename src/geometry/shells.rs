//! Closed shells wound outwards: a body's outer shell encloses a positive volume, the hollow inside it a negative one.

use parry3d::bounding_volume::Aabb;
use parry3d::math::Vector as Single;
use parry3d::partitioning::{Bvh, BvhBuildStrategy};
use rayon::prelude::*;

use super::mesh::{Bounds, FaceId, Mesh, Point, Vector};
use super::rays::Rays;
use super::topology::{Across, HalfEdge, Topology};

/// A group of facets without open edges, and how deep it lies within others.
#[derive(Debug, Clone)]
pub struct Shell {
    /// Its facets, rising.
    pub faces: Vec<FaceId>,
    /// Volume enclosed, in mm3; negative if its facets face inwards.
    pub volume_mm3: f64,
    /// The box that holds it.
    pub bounds: Bounds,
}

// Rays from each shell to count the shells around it; the majority decides. One may slip through an edge, three of five not.
const RAYS_PER_SHELL: usize = 5;

// Asking a facet whether it is crossed costs a hundredth of putting it into a search tree; the rays are five.
const FACETS_PER_TREE: usize = 8;

// A ray gives up after so many skins: more nested walls than any export has.
const MOST_CROSSINGS: usize = 4096;

/// Turns round every closed shell that faces the wrong way, and says how many were turned.
///
/// A shell's facets must be wound alike already. Right is: volume positive at even nesting depth (a body, a body within a
/// hollow), negative at odd depth (a hollow). Open groups of facets are left alone.
pub fn orient_closed_shells(mesh: &mut Mesh) -> usize {
    let topology = Topology::of(mesh);
    orient_closed_shells_of(mesh, &topology)
}

/// [`orient_closed_shells`] where the topology is known already. Sides of the shells that were turned are numbered anew: the
/// topology no longer holds if the result is not 0.
pub fn orient_closed_shells_of(mesh: &mut Mesh, topology: &Topology) -> usize {
    let shells = closed_shells(mesh, topology);
    let depths = nesting(mesh, &shells).into_iter().map(|around| around.len());
    let wrong: Vec<usize> = depths
        .enumerate()
        .filter(|&(shell, depth)| {
            (shells[shell].volume_mm3 < 0.0) != (depth % 2 == 1) && shells[shell].volume_mm3 != 0.0
        })
        .map(|(shell, _)| shell)
        .collect();
    for &shell in &wrong {
        for &face in &shells[shell].faces {
            mesh.faces[face as usize].swap(1, 2);
        }
    }
    wrong.len()
}

/// Groups of facets joined by edges, without an open edge and without a branch.
fn closed_shells(mesh: &Mesh, topology: &Topology) -> Vec<Shell> {
    let mut seen = vec![false; mesh.faces.len()];
    let mut shells = Vec::new();
    for seed in mesh.face_ids() {
        if seen[seed as usize] {
            continue;
        }
        seen[seed as usize] = true;
        let mut faces = vec![seed];
        let mut closed = true;
        let mut next = 0;
        while let Some(&face) = faces.get(next) {
            next += 1;
            for side in 0..3 {
                match topology.across(HalfEdge::new(face, side)) {
                    Across::Facet(other) if !seen[other.face() as usize] => {
                        seen[other.face() as usize] = true;
                        faces.push(other.face());
                    }
                    Across::Facet(_) => {}
                    Across::Open | Across::Branch => closed = false,
                }
            }
        }
        if closed {
            faces.sort_unstable();
            shells.push(Shell::of(mesh, faces));
        }
    }
    shells
}

impl Shell {
    /// Gathers what nesting needs to know of a group of facets.
    #[must_use]
    pub fn of(mesh: &Mesh, faces: Vec<FaceId>) -> Self {
        let first = faces.first().map_or_else(Point::origin, |&face| mesh.corners(face)[0]);
        let mut bounds = Bounds { least: first, most: first };
        for corner in faces.iter().flat_map(|&face| mesh.corners(face)) {
            bounds.least = bounds.least.inf(&corner);
            bounds.most = bounds.most.sup(&corner);
        }
        let centre = bounds.centre();
        let six_fold: f64 = faces
            .iter()
            .map(|&face| {
                let [a, b, c] = mesh.corners(face).map(|corner| corner - centre);
                a.dot(&b.cross(&c))
            })
            .sum();
        Self { faces, volume_mm3: six_fold / 6.0, bounds }
    }
}

/// For each shell, the shells that lie around it, rising. Rays are cast only where one box holds another.
#[must_use]
pub fn nesting(mesh: &Mesh, shells: &[Shell]) -> Vec<Vec<usize>> {
    let suspects = boxes_around(shells);
    let tests: usize = suspects.iter().flatten().map(|&outer| shells[outer].faces.len()).sum();
    if tests == 0 {
        return suspects;
    }
    if tests <= FACETS_PER_TREE * mesh.faces.len() {
        let around = |shell: usize| {
            let lies_within =
                |&outer: &usize| majority(|ray| facet_by_facet(mesh, &shells[shell], ray, &shells[outer]));
            suspects[shell].iter().copied().filter(lies_within).collect()
        };
        return (0..shells.len()).map(around).collect();
    }
    nesting_by_tree(mesh, shells, &suspects)
}

/// True if most rays say so.
fn majority(odd: impl Fn(usize) -> bool) -> bool {
    2 * (0..RAYS_PER_SHELL).filter(|&ray| odd(ray)).count() > RAYS_PER_SHELL
}

/// Where the rays of a shell start, and where they go.
fn ray_from(mesh: &Mesh, shell: &Shell, ray: usize) -> (Point, Vector) {
    let [a, b, c] = mesh.corners(shell.faces[ray * shell.faces.len() / RAYS_PER_SHELL]);
    (a + ((b - a) * 0.37 + (c - a) * 0.29), oblique(ray))
}

/// Whether a ray from a shell crosses another an odd number of times, by asking every facet.
fn facet_by_facet(mesh: &Mesh, shell: &Shell, ray: usize, outer: &Shell) -> bool {
    let (origin, direction) = ray_from(mesh, shell, ray);
    let crosses = |&&face: &&FaceId| {
        let [a, b, c] = mesh.corners(face);
        let (ab, ac, from_a) = (b - a, c - a, origin - a);
        let (across, turned) = (direction.cross(&ac), from_a.cross(&ab));
        let volume = ab.dot(&across);
        let (v, w, along) = (from_a.dot(&across) / volume, direction.dot(&turned) / volume, ac.dot(&turned) / volume);
        v >= 0.0 && w >= 0.0 && v + w <= 1.0 && along > 0.0
    };
    outer.faces.par_iter().filter(crosses).count() % 2 == 1
}

/// [`nesting`] by a search tree over all shells that may lie around others.
fn nesting_by_tree(mesh: &Mesh, shells: &[Shell], suspects: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut involved: Vec<usize> = suspects.iter().flatten().copied().collect();
    involved.sort_unstable();
    involved.dedup();
    let faces: Vec<FaceId> = involved.iter().flat_map(|&shell| shells[shell].faces.iter().copied()).collect();
    let shell_of_face: Vec<usize> =
        involved.iter().flat_map(|&shell| std::iter::repeat_n(shell, shells[shell].faces.len())).collect();
    let walls = mesh.submesh(&faces);
    let rays = Rays::through(&walls);
    let around = |shell: usize| surrounding(mesh, &shells[shell], &suspects[shell], &rays, &shell_of_face);
    (0..shells.len()).into_par_iter().map(around).collect()
}

/// For each shell, the shells whose box holds its box.
fn boxes_around(shells: &[Shell]) -> Vec<Vec<usize>> {
    if shells.len() < 2 {
        return vec![Vec::new(); shells.len()];
    }
    let whole = shells.iter().skip(1).fold(shells[0].bounds, |whole, shell| Bounds {
        least: whole.least.inf(&shell.bounds.least),
        most: whole.most.sup(&shell.bounds.most),
    });
    let (centre, slack) = (whole.centre(), Vector::repeat(1e-5 * whole.diagonal_mm()));
    let single = |vector: Vector| Single::new(vector.x as f32, vector.y as f32, vector.z as f32);
    let boxes: Vec<Aabb> = shells
        .iter()
        .map(|shell| Aabb::new(single(shell.bounds.least - centre - slack), single(shell.bounds.most - centre + slack)))
        .collect();
    let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
    let holding = |inner: usize| {
        let middle = boxes[inner].center();
        let mut found: Vec<usize> = tree
            .intersect_aabb(&Aabb::new(middle, middle))
            .map(|outer| outer as usize)
            .filter(|&outer| outer != inner && holds(&shells[outer].bounds, &shells[inner].bounds))
            .collect();
        found.sort_unstable();
        found
    };
    (0..shells.len()).map(holding).collect()
}

fn holds(outer: &Bounds, inner: &Bounds) -> bool {
    (0..3).all(|axis| outer.least[axis] <= inner.least[axis] && inner.most[axis] <= outer.most[axis])
}

/// Which of the suspects lie around the shell: those whose skin most rays from it cross an odd number of times.
fn surrounding(mesh: &Mesh, shell: &Shell, suspects: &[usize], rays: &Rays, shell_of_face: &[usize]) -> Vec<usize> {
    if suspects.is_empty() {
        return Vec::new();
    }
    let mut votes = vec![0usize; suspects.len()];
    for ray in 0..RAYS_PER_SHELL {
        let (origin, direction) = ray_from(mesh, shell, ray);
        let mut odd = vec![false; suspects.len()];
        for hit in rays.all_hits(&origin, &direction, MOST_CROSSINGS) {
            if let Ok(suspect) = suspects.binary_search(&shell_of_face[hit.face as usize]) {
                odd[suspect] = !odd[suspect];
            }
        }
        votes.iter_mut().zip(&odd).for_each(|(votes, &odd)| *votes += usize::from(odd));
    }
    suspects.iter().zip(votes).filter(|&(_, votes)| 2 * votes > RAYS_PER_SHELL).map(|(&suspect, _)| suspect).collect()
}

/// Directions that run along no face of an ordinary part.
fn oblique(ray: usize) -> Vector {
    const DIRECTIONS: [[f64; 3]; RAYS_PER_SHELL] = [
        [0.613, 0.377, 0.694],
        [-0.541, 0.723, 0.431],
        [0.297, -0.811, 0.503],
        [-0.733, -0.311, -0.605],
        [0.459, 0.557, -0.692],
    ];
    Vector::from(DIRECTIONS[ray % RAYS_PER_SHELL]).normalize()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::skin::shapes;

    fn inside_out(mesh: &Mesh) -> Mesh {
        let mut turned = mesh.clone();
        turned.faces.iter_mut().for_each(|face| face.swap(1, 2));
        turned
    }

    #[test]
    fn a_body_that_is_inside_out_is_turned_and_a_right_one_is_left_alone() {
        let right = shapes::turned(&shapes::block(2.0, 3.0, 5.0));
        let mut mesh = inside_out(&right);
        assert_eq!(orient_closed_shells(&mut mesh), 1);
        assert!((mesh.signed_volume_m3() - 30e-9).abs() < 1e-18);
        assert_eq!(orient_closed_shells(&mut mesh), 0);
    }

    #[test]
    fn hollows_face_inwards_and_bodies_in_a_hollow_outwards() {
        let outer = shapes::block(50.0, 40.0, 30.0);
        let hollow = shapes::moved(&shapes::block(40.0, 30.0, 20.0), Vector::new(5.0, 5.0, 5.0));
        let loose = shapes::moved(&shapes::block(10.0, 9.0, 8.0), Vector::new(12.0, 13.0, 11.0));
        let beside = shapes::moved(&shapes::block(7.0, 6.0, 5.0), Vector::new(60.0, 1.0, 2.0));
        let mut mesh = shapes::turned(&shapes::joined(&[inside_out(&outer), hollow, loose, beside]));
        assert_eq!(orient_closed_shells(&mut mesh), 2);
        let wanted_mm3 = 60_000.0 - 24_000.0 + 720.0 + 210.0;
        assert!((mesh.signed_volume_m3() * 1e9 - wanted_mm3).abs() < 1e-6);
    }

    #[test]
    fn an_open_sheet_keeps_its_winding() {
        let sheet = Mesh {
            points_mm: vec![Point::new(0.0, 0.0, 0.0), Point::new(3.0, 0.0, 0.0), Point::new(0.0, 2.0, 1.0)],
            faces: vec![[0, 2, 1]],
        };
        let mut mesh = sheet.clone();
        assert_eq!(orient_closed_shells(&mut mesh), 0);
        assert_eq!(mesh, sheet);
    }

    #[test]
    fn a_body_in_the_notch_of_an_l_shape_is_not_within_it_though_its_box_is() {
        let l_shape = shapes::l_block(60.0, 40.0, 20.0, 10.0);
        let body = shapes::moved(&shapes::block(10.0, 9.0, 8.0), Vector::new(30.0, 5.0, 25.0));
        let mut mesh = shapes::turned(&shapes::joined(&[l_shape, body]));
        assert_eq!(orient_closed_shells(&mut mesh), 0);
    }
}
