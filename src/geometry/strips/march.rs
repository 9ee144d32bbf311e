//! Distance from lines, measured along the surface: every facet is unfolded beside its neighbour, and a distance that turns
//! out shorter is passed on again.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::super::refine::carve::{Carved, NodeId, sorted};

/// Gains under this share of the reach are not passed on. At 1e-6 the search on needles does not end in minutes, since a
/// distance is bettered thousands of times by what nobody can measure; larger: the strip of a line over many facets is short
/// by what was let go.
const LEAST_GAIN: f64 = 1e-5;

/// How a distance came about.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Front {
    /// From a straight stretch of line, or of mixed origin.
    Wave,
    /// Round a node that lies at this distance itself.
    Round(NodeId, f64),
}

impl Front {
    fn offset(self) -> f64 {
        match self {
            Self::Wave => 0.0,
            Self::Round(_, offset) => offset,
        }
    }
}

/// For each node its distance; infinite beyond the reach.
pub(super) fn distances_mm(carved: &Carved, sources: &[NodeId], reach_mm: f64) -> Vec<f64> {
    let mut march = March {
        carved,
        distance: vec![f64::INFINITY; carved.point_of.len()],
        front: vec![Front::Wave; carved.point_of.len()],
        queue: BinaryHeap::new(),
        reach_mm,
    };
    for &source in sources {
        march.offer(source, 0.0, Front::Round(source, 0.0));
    }
    while let Some(Reverse((key, node))) = march.queue.pop() {
        if f64::from_bits(key) <= march.distance[node as usize] {
            march.pass_on(node);
        }
    }
    march.distance
}

struct March<'a> {
    carved: &'a Carved,
    distance: Vec<f64>,
    front: Vec<Front>,
    /// Bits of a positive number order as the number does.
    queue: BinaryHeap<Reverse<(u64, NodeId)>>,
    reach_mm: f64,
}

impl March<'_> {
    fn offer(&mut self, node: NodeId, distance: f64, front: Front) {
        let gain = self.distance[node as usize] - distance;
        let least = LEAST_GAIN * self.reach_mm;
        // As short, but straight from the line: what is beyond is unfolded round one point then, not round two.
        let is_plainer = || gain > -least && front.offset() + least < self.front[node as usize].offset();
        // A distance that is not a number fails all.
        if distance <= self.reach_mm && (gain > least || is_plainer()) {
            let distance = distance.min(self.distance[node as usize]);
            self.distance[node as usize] = distance;
            self.front[node as usize] = front;
            self.queue.push(Reverse((distance.to_bits(), node)));
        }
    }

    fn pass_on(&mut self, node: NodeId) {
        let carved = self.carved;
        for corner in carved.corners_at(node) {
            let (face, k) = (corner.face(), corner.side());
            let (nodes, points) = (carved.nodes(face), carved.mesh.corners(face));
            let [a, b] = [(k + 1) % 3, (k + 2) % 3];
            for (other, far) in [(a, b), (b, a)] {
                self.cross(Unfolded::of([nodes[k], nodes[other], nodes[far]], [points[k], points[other], points[far]]));
            }
        }
    }

    /// From the near edge of a facet to its far corner.
    fn cross(&mut self, facet: Unfolded) {
        let [near, other, far] = facet.nodes;
        let [at_near, at_other] = [near, other].map(|node| self.distance[node as usize]);
        let straight = at_near + facet.far[0].hypot_with(facet.far[1]);
        self.offer(far, straight, Front::Round(near, at_near));
        if !at_other.is_finite() || facet.length <= 0.0 || facet.far[1] <= 0.0 {
            return;
        }
        let on_line = |at: f64| at == 0.0;
        if on_line(at_near) && on_line(at_other) && !self.carved.line_edges.contains(&sorted([near, other])) {
            return;
        }
        match (self.front[near as usize], self.front[other as usize]) {
            (Front::Round(a, offset), Front::Round(b, _)) if a == b => {
                if let Some(distance) = facet.round(at_near - offset, at_other - offset) {
                    self.offer(far, offset + distance, Front::Round(a, offset));
                }
            }
            _ => {
                if let Some(distance) = facet.wave(at_near, at_other) {
                    self.offer(far, distance, Front::Wave);
                }
            }
        }
    }
}

/// A facet in its own plane: the near node at the origin, the other at (length, 0), the far one above.
struct Unfolded {
    nodes: [NodeId; 3],
    length: f64,
    far: [f64; 2],
}

impl Unfolded {
    fn of(nodes: [NodeId; 3], [near, other, far]: [super::super::mesh::Point; 3]) -> Self {
        let (edge, to_far) = (other - near, far - near);
        let length = edge.norm();
        let along = if length > 0.0 { to_far.dot(&edge) / length } else { 0.0 };
        let up = (to_far.norm_squared() - along * along).max(0.0).sqrt();
        Self { nodes, length, far: [along, up] }
    }

    /// A straight front across the edge.
    fn wave(&self, at_near: f64, at_other: f64) -> Option<f64> {
        let slope = (at_other - at_near) / self.length;
        let rest = 1.0 - slope * slope;
        if rest <= 0.0 {
            return None;
        }
        let climb = rest.sqrt();
        let crosses_at = self.far[0] - self.far[1] * slope / climb;
        let within = crosses_at >= 0.0 && crosses_at <= self.length;
        within.then(|| at_near + slope * self.far[0] + climb * self.far[1])
    }

    /// A round front from a point below the edge.
    fn round(&self, at_near: f64, at_other: f64) -> Option<f64> {
        let x = (at_near * at_near - at_other * at_other + self.length * self.length) / (2.0 * self.length);
        let depth = (at_near * at_near - x * x).max(0.0).sqrt();
        let height = depth + self.far[1];
        let crosses_at = x + (self.far[0] - x) * depth / height;
        let within = crosses_at >= 0.0 && crosses_at <= self.length;
        within.then(|| (self.far[0] - x).hypot_with(height))
    }
}

/// Length of a pair, by exact operations alone.
trait HypotWith {
    fn hypot_with(self, other: f64) -> f64;
}

impl HypotWith for f64 {
    fn hypot_with(self, other: f64) -> f64 {
        (self * self + other * other).sqrt()
    }
}
