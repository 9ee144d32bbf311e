//! How facets bend by the normals of their corners, and which meet.

use nalgebra::{Matrix3, Vector3};

use super::super::{SMOOTH_COSINE, SeamCorner};
use super::Net;
use crate::geometry::mesh::{FaceId, Vector};
use crate::geometry::topology::HalfEdge;

/// Facets are of one surface if they bend about the same axis within this cosine ...
const ALIKE_COSINE: f64 = 0.8;
/// ... and at most so many times as tightly: a wall and the fillet at its foot are two.
const ALIKE_BEND: f64 = 3.0;

/// An edge of bent facets.
pub(super) struct Edge {
    pub nodes: [usize; 2],
    /// Unit vector from the first node to the second.
    pub along: Vector,
    /// The facets on either side, twice the same where there is one.
    pub faces: [usize; 2],
}

/// Two bent facets over a smooth edge.
pub(super) struct Hinge {
    /// The corners of the first facet, then the far corner of the second.
    pub nodes: [usize; 4],
    /// Shares by which a field that is linear over both facets unfolded adds up to nothing.
    pub shares: [f64; 4],
    pub faces: [usize; 2],
}

/// A node that lies on a side across a crack.
pub(super) struct Weld {
    pub node: usize,
    /// The ends of that side, each with its share.
    pub beside: [(usize, f64); 2],
}

/// How a facet bends.
#[derive(Clone, Copy)]
pub(super) struct Bend {
    /// The direction in the facet in which it bends most.
    pub across: Vector,
    /// The direction square to that: of a cone, its straight line.
    pub straight: Vector,
    /// The greater curvature, per mm.
    pub most_per_mm: f64,
    /// How far the normal turns over the facet that way.
    pub turn: f64,
}

impl Bend {
    pub(super) fn is_like(&self, other: &Self) -> bool {
        let [own, others] = [self.most_per_mm.abs(), other.most_per_mm.abs()];
        self.across.dot(&other.across).abs() > ALIKE_COSINE && own < ALIKE_BEND * others && others < ALIKE_BEND * own
    }
}

/// Two unit vectors square to a normal and each other.
pub(super) fn frame(normal: &Vector) -> [Vector; 2] {
    let least = normal.abs().imin();
    let mut axis = Vector::zeros();
    axis[least] = 1.0;
    let one = normal.cross(&axis).try_normalize(0.0).unwrap_or_else(Vector::x);
    [one, normal.cross(&one)]
}

impl Net<'_> {
    /// The edges of bent facets with a node to fit, in order of their nodes.
    pub(super) fn edges(&self) -> Vec<Edge> {
        let mut sides: Vec<([u32; 2], usize)> = Vec::new();
        for (face, nodes) in self.node_of.iter().enumerate().filter(|&(face, _)| self.bent[face]) {
            for side in 0..3 {
                let (one, other) = (nodes[side], nodes[(side + 1) % 3]);
                if !(self.anchored[one as usize] && self.anchored[other as usize]) {
                    sides.push(([one.min(other), one.max(other)], face));
                }
            }
        }
        sides.sort_unstable();
        let edge = |same: &[([u32; 2], usize)]| {
            let nodes = same[0].0.map(|node| node as usize);
            let along = (self.points_mm[nodes[1]] - self.points_mm[nodes[0]]).try_normalize(0.0)?;
            Some(Edge { nodes, along, faces: [same[0].1, same[same.len() - 1].1] })
        };
        sides.chunk_by(|a, b| a.0 == b.0).filter_map(edge).collect()
    }

    /// The nodes on smooth seams, those of flats left out.
    pub(super) fn welds(&self, seams: &[SeamCorner]) -> Vec<Weld> {
        let weld = |seam: &SeamCorner| {
            let other = seam.side.face() as usize;
            let goes_on = self.facets.normals[seam.face as usize].dot(&self.facets.normals[other]) > SMOOTH_COSINE;
            let node = self.node_of[seam.face as usize][seam.corner] as usize;
            let ends =
                [seam.side.side(), (seam.side.side() + 1) % 3].map(|corner| self.node_of[other][corner] as usize);
            let beside = [(ends[0], 1.0 - seam.place), (ends[1], seam.place)];
            (goes_on && !self.anchored[node]).then_some(Weld { node, beside })
        };
        seams.iter().filter_map(weld).collect()
    }

    /// The pairs of bent facets over smooth edges, each pair from both sides.
    pub(super) fn hinges(&self) -> Vec<Hinge> {
        let bent = self.facets.mesh.face_ids().filter(|&face| self.bent[face as usize]);
        bent.flat_map(|face| (0..3).filter_map(move |side| self.hinge(face, side))).collect()
    }

    /// The other side of an edge between bent facets of one smooth face.
    pub(super) fn beside(&self, face: FaceId, side: usize) -> Option<HalfEdge> {
        let twin = self.facets.topology.twin(HalfEdge::new(face, side as u32))?;
        let (own, others) = (self.node_of[face as usize], self.node_of[twin.face() as usize]);
        // Over a crease the two sides have nodes of their own.
        let shared = others[(twin.side() + 1) % 3] == own[side] && others[twin.side()] == own[(side + 1) % 3];
        (shared && self.bent[twin.face() as usize]).then_some(twin)
    }

    fn hinge(&self, face: FaceId, side: usize) -> Option<Hinge> {
        let twin = self.beside(face, side)?;
        let other = twin.face() as usize;
        let (own, others) = (self.node_of[face as usize], self.node_of[other]);
        let far = (twin.side() + 2) % 3;
        let nodes = [own[side], own[(side + 1) % 3], own[(side + 2) % 3], others[far]].map(|node| node as usize);
        let [from, to, apex, beyond] = nodes.map(|node| self.points_mm[node]);
        let along = (to - from).try_normalize(0.0)?;
        let length = (to - from).norm();
        let unfolded = |off: Vector| (off.dot(&along), (off - along * off.dot(&along)).norm());
        let ((at, height), (at_beyond, drop)) = (unfolded(apex - from), unfolded(beyond - from));
        if height.min(drop) <= 1e-6 * length {
            return None;
        }
        let of_apex = -drop / height;
        let of_to = (at_beyond - of_apex * at) / length;
        let of_from = 1.0 - of_apex - of_to;
        let scale = 1.0 / of_apex.abs().max(of_to.abs()).max(of_from.abs()).max(1.0);
        let shares = [-of_from, -of_to, -of_apex, 1.0].map(|share| share * scale);
        Some(Hinge { nodes, shares, faces: [face as usize, other] })
    }

    /// How a facet bends by the normals of its nodes: the symmetric map that comes nearest to turning each side into the change
    /// of the normal along it.
    pub(super) fn bend(&self, face: usize, normals: &[Vector]) -> Bend {
        let none = Bend { across: Vector::zeros(), straight: Vector::zeros(), most_per_mm: 0.0, turn: 0.0 };
        if !self.bent[face] {
            return none;
        }
        let nodes = self.node_of[face].map(|node| node as usize);
        let points = nodes.map(|node| self.points_mm[node]);
        let own = self.facets.normals[face];
        let sides = [0, 1, 2].map(|side| points[(side + 1) % 3] - points[side]);
        let longest = sides.iter().map(Vector::norm).fold(0.0, f64::max);
        let Some(one) = sides[0].try_normalize(0.0) else { return none };
        let other = own.cross(&one);
        let changes = [0, 1, 2].map(|side| normals[nodes[(side + 1) % 3]] - normals[nodes[side]]);
        let (mut matrix, mut right) = (Matrix3::identity() * 1e-12, Vector3::zeros());
        for (side, change) in sides.iter().zip(&changes) {
            let (x, y) = (side.dot(&one) / longest, side.dot(&other) / longest);
            for (row, value) in
                [(Vector3::new(x, y, 0.0), change.dot(&one)), (Vector3::new(0.0, x, y), change.dot(&other))]
            {
                matrix += row * row.transpose();
                right += row * value;
            }
        }
        let Some(found) = matrix.cholesky().map(|cholesky| cholesky.solve(&right)) else { return none };
        let (a, b, c) = (found.x, found.y, found.z);
        let half = (0.25 * (a - c) * (a - c) + b * b).sqrt();
        let most = 0.5 * (a + c) + if a + c < 0.0 { -half } else { half };
        // Of two forms of the same direction the longer one.
        let (u, v) = if (most - a).abs() < (most - c).abs() { (most - c, b) } else { (b, most - a) };
        let Some(across) = (one * u + other * v).try_normalize(1e-12) else { return none };
        let turn = changes.iter().map(|change| change.dot(&across).abs()).fold(0.0, f64::max);
        Bend { across, straight: own.cross(&across), most_per_mm: most / longest, turn }
    }
}
