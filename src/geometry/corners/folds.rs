//! Folds: places where a coarse export has cut across a fillet or folded over itself, so that edges of both senses lie side
//! by side. They are no creases.

use rustc_hash::FxHashMap;

use super::ground::{Crease, Ground};
use crate::geometry::mesh::PointId;
use crate::geometry::topology::{Across, HalfEdge};

/// Longer runs are true edges, in mm; the facets by which exports cut across a fillet are up to about as long.
const LONGEST_MM: f64 = 10.0;

/// A crease between two facets that share an edge.
struct Edge {
    half: HalfEdge,
    other: HalfEdge,
    ends: [PointId; 2],
    length_mm: f64,
    convex: bool,
}

/// Clears runs of one sense that are short and end at both ends in nothing or in creases of the other sense only.
pub fn clear(ground: &Ground, creases: &mut [Crease]) {
    let edges = edges(ground, creases);
    let mut at_point: FxHashMap<PointId, Vec<usize>> = FxHashMap::default();
    for (number, edge) in edges.iter().enumerate() {
        for end in edge.ends {
            at_point.entry(end).or_default().push(number);
        }
    }
    let rim = rim_points(ground);
    let mut run_of = vec![usize::MAX; edges.len()];
    for first in 0..edges.len() {
        if run_of[first] != usize::MAX {
            continue;
        }
        let mut run = vec![first];
        run_of[first] = first;
        let (mut next, mut length_mm, mut stands) = (0, 0.0, false);
        while next < run.len() {
            let edge = &edges[run[next]];
            length_mm += edge.length_mm;
            for end in edge.ends {
                stands |= rim.contains(&end);
                for &other in &at_point[&end] {
                    if edges[other].convex == edge.convex && run_of[other] == usize::MAX {
                        run_of[other] = first;
                        run.push(other);
                    }
                }
            }
            next += 1;
        }
        if stands
            || length_mm > LONGEST_MM
            || !meets_other_sense(&edges, &at_point, &run)
            || has_branch(&edges, &at_point, &run)
        {
            continue;
        }
        for number in run {
            for half in [edges[number].half, edges[number].other] {
                creases[half.0 as usize] = Crease::None;
            }
        }
    }
}

/// The creases between facets that share an edge.
fn edges(ground: &Ground, creases: &[Crease]) -> Vec<Edge> {
    let n_sides = 3 * ground.surface.mesh.faces.len();
    let marked = (0..n_sides as u32).map(HalfEdge).filter(|half| creases[half.0 as usize] != Crease::None);
    marked
        .filter_map(|half| match ground.surface.topology.across(half) {
            Across::Facet(other) if half < other => {
                let [start, end] = ground.side_ends(half);
                let along = (end - start).normalize();
                let convex = ground.dihedral(half.face(), other.face(), &along) > 0.0;
                let ends = half.ends(ground.surface.mesh);
                Some(Edge { half, other, ends, length_mm: (end - start).norm(), convex })
            }
            _ => None,
        })
        .collect()
}

/// Points on open edges and where more than two facets meet.
fn rim_points(ground: &Ground) -> rustc_hash::FxHashSet<PointId> {
    let open = ground.surface.topology.half_edges().filter(|&half| ground.surface.topology.twin(half).is_none());
    open.flat_map(|half| half.ends(ground.surface.mesh)).collect()
}

/// True if a run meets creases of the other sense.
fn meets_other_sense(edges: &[Edge], at_point: &FxHashMap<PointId, Vec<usize>>, run: &[usize]) -> bool {
    run.iter().any(|&number| {
        let edge = &edges[number];
        edge.ends.iter().any(|end| at_point[end].iter().any(|&other| edges[other].convex != edge.convex))
    })
}

/// True if three or more creases of a run's sense meet at one of its points: the corner of a sharp-edged block.
fn has_branch(edges: &[Edge], at_point: &FxHashMap<PointId, Vec<usize>>, run: &[usize]) -> bool {
    run.iter().any(|&number| {
        let edge = &edges[number];
        let alike = |end: &PointId| at_point[end].iter().filter(|&&other| edges[other].convex == edge.convex).count();
        edge.ends.iter().any(|end| alike(end) >= 3)
    })
}
