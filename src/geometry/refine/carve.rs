//! A mesh that is cut edge by edge. Every facet round an edge is cut with it, across cracks too, so that facets always
//! meet in whole edges.

use rustc_hash::FxHashSet;

use super::super::mesh::{FaceId, Mesh, Point, PointId};
use super::super::stitch::Meeting;
use super::super::topology::{Across, HalfEdge};
use super::{Refined, seams};

/// Number of a corner of the sewn surface: the points on either side of a crack that belong together share one.
pub(crate) type NodeId = u32;

const NONE: u32 = u32::MAX;

/// The mesh while it is cut.
pub(crate) struct Carved {
    pub mesh: Mesh,
    /// For each facet, the facet that it is a part of.
    pub parents: Vec<FaceId>,
    /// For each point, its node.
    pub node_of: Vec<NodeId>,
    /// For each node, one of its points.
    pub point_of: Vec<PointId>,
    /// Edges of lines on the surface, by their nodes, lesser first; parts of a cut edge stay in.
    pub line_edges: FxHashSet<[NodeId; 2]>,
    /// For each side, the next one on the same edge, round and round; itself where it is alone.
    ring: Vec<u32>,
    /// For each node, one facet corner there, and for each facet corner the next at the same node.
    first_corner: Vec<u32>,
    next_corner: Vec<u32>,
}

impl Carved {
    /// Takes a mesh over. Where facets meet across cracks, sides are cut until they meet one to one.
    pub(crate) fn of(refined: &Refined) -> Self {
        let mesh = refined.mesh.clone();
        let n_sides = 3 * mesh.faces.len() as u32;
        let mut carved = Self {
            parents: mesh.face_ids().collect(),
            node_of: (0..mesh.points_mm.len() as u32).collect(),
            point_of: (0..mesh.points_mm.len() as u32).collect(),
            line_edges: FxHashSet::default(),
            ring: (0..n_sides).collect(),
            first_corner: vec![NONE; mesh.points_mm.len()],
            next_corner: vec![NONE; n_sides as usize],
            mesh,
        };
        for corner in 0..n_sides {
            carved.list_corner(corner);
        }
        let joints = refined.joints();
        for half in joints.topology.half_edges() {
            match joints.topology.across(half) {
                Across::Facet(other) => carved.ring[half.0 as usize] = other.0,
                Across::Branch => {
                    let mates: Vec<u32> = joints.meetings(&refined.mesh, half).map(|mate| mate.other.0).collect();
                    let next = mates.iter().copied().filter(|&mate| mate > half.0).min();
                    carved.ring[half.0 as usize] = next.or(mates.iter().copied().min()).unwrap_or(half.0);
                }
                Across::Open => {}
            }
        }
        drop(joints);
        super::sew::sew(&mut carved, refined.seams());
        carved
    }

    /// Makes one ring of two sides that were alone, and one node of the ends that meet.
    pub(super) fn join_sides(&mut self, one: HalfEdge, other: HalfEdge) {
        if one != other && self.is_alone(one) && self.is_alone(other) {
            self.ring[one.0 as usize] = other.0;
            self.ring[other.0 as usize] = one.0;
        }
    }

    /// Whether a side meets no other.
    fn is_alone(&self, half: HalfEdge) -> bool {
        self.ring[half.0 as usize] == half.0
    }

    /// Gives points that belong together one node; `leader` is the least point of each group.
    pub(super) fn set_nodes(&mut self, leader: &[PointId]) {
        self.node_of = leader.to_vec();
        self.point_of = (0..leader.len() as u32).collect();
        self.first_corner = vec![NONE; leader.len()];
        self.next_corner = vec![NONE; 3 * self.mesh.faces.len()];
        for corner in 0..3 * self.mesh.faces.len() as u32 {
            self.list_corner(corner);
        }
    }

    fn list_corner(&mut self, corner: u32) {
        let node = self.node_at(corner) as usize;
        self.next_corner[corner as usize] = self.first_corner[node];
        self.first_corner[node] = corner;
    }

    fn unlist_corner(&mut self, corner: u32, node: NodeId) {
        let after = self.next_corner[corner as usize];
        let mut here = self.first_corner[node as usize];
        if here == corner {
            self.first_corner[node as usize] = after;
            return;
        }
        while here != NONE {
            let next = self.next_corner[here as usize];
            if next == corner {
                self.next_corner[here as usize] = after;
                return;
            }
            here = next;
        }
    }

    /// The node at a facet corner, given as the side that starts there.
    fn node_at(&self, corner: u32) -> NodeId {
        self.node_of[self.mesh.faces[corner as usize / 3][corner as usize % 3] as usize]
    }

    /// The facet corners at a node, as the sides that start there.
    pub(crate) fn corners_at(&self, node: NodeId) -> impl Iterator<Item = HalfEdge> + '_ {
        let mut here = self.first_corner[node as usize];
        std::iter::from_fn(move || {
            let corner = (here != NONE).then_some(here)?;
            here = self.next_corner[corner as usize];
            Some(HalfEdge(corner))
        })
    }

    /// Where a node lies: one of its points.
    pub(crate) fn at(&self, node: NodeId) -> Point {
        self.mesh.points_mm[self.point_of[node as usize] as usize]
    }

    /// The nodes at the ends of a side.
    pub(crate) fn ends(&self, half: HalfEdge) -> [NodeId; 2] {
        half.ends(&self.mesh).map(|point| self.node_of[point as usize])
    }

    /// The nodes of a facet.
    pub(crate) fn nodes(&self, face: FaceId) -> [NodeId; 3] {
        self.mesh.faces[face as usize].map(|point| self.node_of[point as usize])
    }

    /// All sides on the edge of a side, itself first.
    pub(crate) fn around(&self, half: HalfEdge) -> Vec<HalfEdge> {
        let mut sides = vec![half];
        let mut next = self.ring[half.0 as usize];
        while next != half.0 {
            sides.push(HalfEdge(next));
            next = self.ring[next as usize];
        }
        sides
    }

    /// Order of edges by length, the same from every facet: ties are broken by nodes.
    pub(crate) fn rank(&self, half: HalfEdge) -> (f64, [NodeId; 2]) {
        let [a, b] = sorted(self.ends(half));
        ((self.at(b) - self.at(a)).norm_squared(), [a, b])
    }

    /// The side of a facet that ranks highest.
    pub(crate) fn longest_side(&self, face: FaceId) -> HalfEdge {
        let sides = [0, 1, 2].map(|side| HalfEdge::new(face, side));
        sides.into_iter().max_by(|&a, &b| compare(&self.rank(a), &self.rank(b))).unwrap_or(sides[0])
    }

    /// Cuts an edge at `fraction` of one of its sides, and every facet round it in two. Gives the new node.
    pub(crate) fn split_edge(&mut self, half: HalfEdge, fraction: f64) -> NodeId {
        let node = self.point_of.len() as NodeId;
        let [start, end] = self.ends(half);
        let sides = self.around(half);
        let mut new_points: Vec<([PointId; 2], PointId)> = Vec::new();
        let mut near_start = Vec::with_capacity(sides.len());
        let mut near_end = Vec::with_capacity(sides.len());
        for side in sides {
            let points = side.ends(&self.mesh);
            let forward = self.ends(side)[0] == start;
            let key = sorted(points);
            let point = match new_points.iter().find(|(known, _)| *known == key) {
                Some(&(_, point)) => point,
                None => {
                    let point = self.new_point(points, if forward { fraction } else { 1.0 - fraction }, node);
                    new_points.push((key, point));
                    point
                }
            };
            let [first, second] = self.cut_facet(side, point);
            near_start.push(if forward { first } else { second });
            near_end.push(if forward { second } else { first });
        }
        self.set_ring(&near_start);
        self.set_ring(&near_end);
        if self.line_edges.contains(&sorted([start, end])) {
            self.line_edges.extend([sorted([start, node]), sorted([node, end])]);
        }
        node
    }

    fn new_point(&mut self, ends: [PointId; 2], fraction: f64, node: NodeId) -> PointId {
        let [from, to] = ends.map(|end| self.mesh.points_mm[end as usize]);
        let point = self.push_point(from + (to - from) * fraction, node);
        if self.point_of.len() == node as usize {
            self.point_of.push(point);
            self.first_corner.push(NONE);
        }
        point
    }

    fn push_point(&mut self, at: Point, node: NodeId) -> PointId {
        self.mesh.points_mm.push(at);
        self.node_of.push(node);
        self.mesh.points_mm.len() as PointId - 1
    }

    /// Cuts a facet from a point on one of its sides to the corner opposite. Gives the two parts of the side, in order.
    fn cut_facet(&mut self, side: HalfEdge, point: PointId) -> [HalfEdge; 2] {
        let (face, k) = (side.face(), side.side());
        let corners = self.mesh.faces[face as usize];
        let end = corners[(k + 1) % 3];
        let new_face = self.mesh.faces.len() as FaceId;
        let [kept, new] = {
            let mut kept = corners;
            let mut new = corners;
            kept[(k + 1) % 3] = point;
            new[k] = point;
            [kept, new]
        };
        let corner = |face: FaceId, k: usize| HalfEdge::new(face, (k % 3) as u32);
        self.unlist_corner(corner(face, k + 1).0, self.node_of[end as usize]);
        self.mesh.faces[face as usize] = kept;
        self.mesh.faces.push(new);
        self.parents.push(self.parents[face as usize]);
        self.ring.extend([0, 1, 2].map(|k| HalfEdge::new(new_face, k).0));
        self.next_corner.extend([NONE; 3]);
        self.list_corner(corner(face, k + 1).0);
        (0..3).for_each(|k| self.list_corner(corner(new_face, k).0));
        // The side beyond the cut goes over to the new facet; the cut itself lies between the two.
        self.replace_in_ring(corner(face, k + 1), corner(new_face, k + 1));
        self.set_ring(&[corner(face, k + 1), corner(new_face, k + 2)]);
        [side, corner(new_face, k)]
    }

    /// Cuts a facet in three at a point inside it. Gives the new node.
    pub(crate) fn split_facet(&mut self, face: FaceId, at: Point) -> NodeId {
        let node = self.point_of.len() as NodeId;
        let point = self.push_point(at, node);
        self.point_of.push(point);
        self.first_corner.push(NONE);
        let [a, b, c] = self.mesh.faces[face as usize];
        let second = self.mesh.faces.len() as FaceId;
        let third = second + 1;
        let side = HalfEdge::new;
        self.unlist_corner(side(face, 2).0, self.node_of[c as usize]);
        self.mesh.faces[face as usize] = [a, b, point];
        self.mesh.faces.extend([[b, c, point], [c, a, point]]);
        self.parents.extend([self.parents[face as usize]; 2]);
        for new in [second, third] {
            self.ring.extend([0, 1, 2].map(|k| side(new, k).0));
            self.next_corner.extend([NONE; 3]);
        }
        self.list_corner(side(face, 2).0);
        (0..3).for_each(|k| self.list_corner(side(second, k).0));
        (0..3).for_each(|k| self.list_corner(side(third, k).0));
        self.replace_in_ring(side(face, 1), side(second, 0));
        self.replace_in_ring(side(face, 2), side(third, 0));
        self.set_ring(&[side(face, 1), side(second, 2)]);
        self.set_ring(&[side(second, 1), side(third, 2)]);
        self.set_ring(&[side(third, 1), side(face, 2)]);
        node
    }

    fn set_ring(&mut self, sides: &[HalfEdge]) {
        for (k, side) in sides.iter().enumerate() {
            self.ring[side.0 as usize] = sides[(k + 1) % sides.len()].0;
        }
    }

    fn replace_in_ring(&mut self, old: HalfEdge, new: HalfEdge) {
        let next = self.ring[old.0 as usize];
        if next == old.0 {
            self.ring[new.0 as usize] = new.0;
            return;
        }
        let mut before = next;
        while self.ring[before as usize] != old.0 {
            before = self.ring[before as usize];
        }
        self.ring[before as usize] = new.0;
        self.ring[new.0 as usize] = next;
    }

    /// The mesh as it is now, with what `refined` knew of it.
    pub(crate) fn finished(self, refined: &Refined) -> (Refined, Vec<FaceId>) {
        let found = self.seams();
        let mut next = refined.with_parents(self.mesh, &self.parents);
        next.seams = found;
        (next, self.parents)
    }

    fn seams(&self) -> Vec<(HalfEdge, Meeting)> {
        let whole = |other| Meeting { other, span: [0.0, 1.0], other_span: [0.0, 1.0] };
        let is_seam = |half: HalfEdge, other: HalfEdge| {
            half != other && sorted(half.ends(&self.mesh)) != sorted(other.ends(&self.mesh))
        };
        let halves = (0..self.ring.len() as u32).map(HalfEdge);
        let mut found: Vec<_> = halves
            .map(|half| (half, HalfEdge(self.ring[half.0 as usize])))
            .filter(|&(half, other)| is_seam(half, other))
            .map(|(half, other)| (half, whole(other)))
            .collect();
        seams::sort(&mut found);
        found
    }
}

/// Lesser first.
pub(crate) fn sorted([a, b]: [u32; 2]) -> [u32; 2] {
    [a.min(b), a.max(b)]
}

/// Order of two ranks.
pub(crate) fn compare(a: &(f64, [NodeId; 2]), b: &(f64, [NodeId; 2])) -> std::cmp::Ordering {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
}
