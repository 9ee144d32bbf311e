//! Draws lines on a surface: afterwards they are edges of the mesh.

use rustc_hash::FxHashMap;

use super::super::mesh::{FaceId, Mesh, Point, Vector};
use super::super::refine::carve::{Carved, NodeId, sorted};
use super::super::refine::nearest::{FacetTree, nearest_on_facet};
use super::super::topology::HalfEdge;

/// What was drawn.
pub(super) struct Drawn {
    /// For each line, the nodes of its points, in order.
    pub nodes: Vec<Vec<NodeId>>,
    /// Length of the stretches that could not be drawn: the surface does not lead from one point to the next.
    pub lost_mm: f64,
}

/// A line that passes this near to a point or an edge of the mesh, as a share of the strip's width, goes through it.
/// Smaller: slivers along the line; larger: the line is moved by more than a thousandth of the width.
const SNAP_SHARE: f64 = 2e-4;

/// Facets walked through between two points of a line before it is given up.
const MOST_FACETS: usize = 20_000;
/// A way over the surface this much longer than the straight one has lost the line: a bend of a right angle and a half
/// between two points of a line takes 1.4. Without this a walk that goes astray cuts thousands of facets.
const MOST_DETOUR: f64 = 3.0;
/// Points of a line nearer together than this share of the width need no line between them: what lies within the width of
/// the points is the strip but for a thirtieth of the width at its border.
const NEAR_SHARE: f64 = 0.25;

/// Draws lines through points on the surface (each is moved to the nearest place on a facet). Between its points a line
/// runs over the surface in the plane through both that is square to it.
pub(super) fn draw(carved: &mut Carved, whole: &Mesh, lines: &[Vec<Point>], width_mm: f64) -> Drawn {
    let tree = FacetTree::over(whole, whole.face_ids().collect());
    let mut pen = Pen { snap_mm: SNAP_SHARE * width_mm, parts: FxHashMap::default(), known_faces: whole.faces.len() };
    let mut put = |line: &Vec<Point>| {
        let mut nodes: Vec<NodeId> = line.iter().filter_map(|point| pen.put(carved, &tree, point)).collect();
        nodes.dedup();
        nodes
    };
    let nodes: Vec<Vec<NodeId>> = lines.iter().map(&mut put).collect();
    let mut lost_mm = 0.0;
    for pair in nodes.iter().flat_map(|line| line.windows(2)) {
        let gap_mm = (carved.at(pair[1]) - carved.at(pair[0])).norm();
        if !pen.connect(carved, pair[0], pair[1]) && gap_mm > NEAR_SHARE * width_mm {
            lost_mm += gap_mm;
        }
    }
    Drawn { nodes, lost_mm }
}

struct Pen {
    snap_mm: f64,
    /// For each facet of the whole, its parts beyond the one that kept its number.
    parts: FxHashMap<FaceId, Vec<FaceId>>,
    /// Facets of which the parts are listed.
    known_faces: usize,
}

/// Where a point lies in a facet.
enum Spot {
    Node(NodeId),
    Edge(HalfEdge, f64),
    Inside,
}

impl Pen {
    /// Makes a node of a point.
    fn put(&mut self, carved: &mut Carved, tree: &FacetTree, point: &Point) -> Option<NodeId> {
        let found = tree.nearest(point)?;
        let old = found.face;
        for face in self.known_faces..carved.mesh.faces.len() {
            self.parts.entry(carved.parents[face]).or_default().push(face as FaceId);
        }
        self.known_faces = carved.mesh.faces.len();
        let parts = self.parts.get(&old).into_iter().flatten().copied().chain([old]);
        let distance = |face: FaceId| (nearest_on_facet(&found.at_mm, carved.mesh.corners(face)) - found.at_mm).norm();
        let face = parts.min_by(|&a, &b| distance(a).total_cmp(&distance(b)).then(a.cmp(&b)))?;
        Some(match self.spot(carved, face, &found.at_mm) {
            Spot::Node(node) => node,
            Spot::Edge(half, fraction) => carved.split_edge(half, fraction),
            Spot::Inside => carved.split_facet(face, found.at_mm),
        })
    }

    fn spot(&self, carved: &Carved, face: FaceId, at: &Point) -> Spot {
        let nodes = carved.nodes(face);
        let corners = carved.mesh.corners(face);
        if let Some(k) = (0..3).find(|&k| (corners[k] - at).norm() <= self.snap_mm) {
            return Spot::Node(nodes[k]);
        }
        for k in 0..3 {
            let (from, to) = (corners[k], corners[(k + 1) % 3]);
            let along = to - from;
            let fraction = (at - from).dot(&along) / along.norm_squared();
            let off = (at - from - along * fraction).norm();
            if off <= self.snap_mm && fraction > 0.0 && fraction < 1.0 {
                return Spot::Edge(HalfEdge::new(face, k as u32), fraction);
            }
        }
        Spot::Inside
    }

    /// Draws from one node to another; false if the surface does not lead there.
    fn connect(&self, carved: &mut Carved, from: NodeId, to: NodeId) -> bool {
        let Some(plane) = WalkPlane::between(carved, from, to) else { return true };
        let mut drawn = Vec::new();
        let (mut before, mut here) = (from, from);
        let straight_mm = (carved.at(to) - carved.at(from)).norm();
        let mut walked_mm = 0.0;
        for _ in 0..MOST_FACETS {
            if plane.is_past(&carved.at(here), self.snap_mm) || walked_mm > MOST_DETOUR * straight_mm {
                return false;
            }
            let next = match self.next_step(carved, &plane, here, before, to) {
                Some(Step::Along(node)) => node,
                Some(Step::Across(half, fraction)) => carved.split_edge(half, fraction),
                None => return false,
            };
            walked_mm += (carved.at(next) - carved.at(here)).norm();
            drawn.push(sorted([here, next]));
            if next == to {
                carved.line_edges.extend(drawn);
                return true;
            }
            (before, here) = (here, next);
        }
        false
    }

    /// The way from a node to the side opposite it, or along an edge.
    fn next_step(&self, carved: &Carved, plane: &WalkPlane, here: NodeId, before: NodeId, to: NodeId) -> Option<Step> {
        let mut best: Option<(f64, Step)> = None;
        let at = carved.at(here);
        let mut offer = |target: Point, step: Step| {
            let way = target - at;
            let length = way.norm();
            let ahead = if length > 0.0 { way.dot(&plane.along) / length } else { 0.0 };
            // It must lead onward; over a sharp edge the way may turn square to the line, but never back.
            if best.as_ref().is_none_or(|(most, _)| ahead > *most) {
                best = Some((ahead, step));
            }
        };
        for corner in carved.corners_at(here) {
            let (face, k) = (corner.face(), corner.side());
            let nodes = carved.nodes(face);
            let [a, b] = [nodes[(k + 1) % 3], nodes[(k + 2) % 3]];
            if let Some(&target) = [a, b].iter().find(|&&node| node == to) {
                return Some(Step::Along(target));
            }
            let corners = carved.mesh.corners(face);
            let [p, q] = [corners[(k + 1) % 3], corners[(k + 2) % 3]];
            let [off_p, off_q] = [plane.off_mm(&p), plane.off_mm(&q)];
            if off_p.abs() <= self.snap_mm && a != before && a != here {
                offer(p, Step::Along(a));
            }
            if off_q.abs() <= self.snap_mm && b != before && b != here {
                offer(q, Step::Along(b));
            }
            let passes = off_p.abs() > self.snap_mm && off_q.abs() > self.snap_mm && (off_p > 0.0) != (off_q > 0.0);
            // Back through the facet we came from leads to where we came from.
            if passes && a != before && b != before {
                let fraction = off_p / (off_p - off_q);
                offer(p + (q - p) * fraction, Step::Across(HalfEdge::new(face, ((k + 1) % 3) as u32), fraction));
            }
        }
        best.filter(|(ahead, _)| *ahead > LEAST_AHEAD).map(|(_, step)| step)
    }
}

/// Cosine of the steepest way that still leads onward. A line over a sharp edge of a box turns by up to a right angle from
/// the straight one; back is never onward.
const LEAST_AHEAD: f64 = -0.2;

enum Step {
    Along(NodeId),
    Across(HalfEdge, f64),
}

/// The plane in which a line runs from one point to the next.
struct WalkPlane {
    from: Point,
    along: Vector,
    length_mm: f64,
    normal: Vector,
}

impl WalkPlane {
    fn between(carved: &Carved, from: NodeId, to: NodeId) -> Option<Self> {
        let (start, end) = (carved.at(from), carved.at(to));
        let along = (end - start).try_normalize(0.0)?;
        let outward = normal_at(carved, from) + normal_at(carved, to);
        let normal = along.cross(&outward).try_normalize(1e-9)?;
        Some(Self { from: start, along, length_mm: (end - start).norm(), normal })
    }

    /// The end was missed.
    fn is_past(&self, point: &Point, slack_mm: f64) -> bool {
        (point - self.from).dot(&self.along) > self.length_mm + slack_mm
    }

    fn off_mm(&self, point: &Point) -> f64 {
        (point - self.from).dot(&self.normal)
    }
}

/// Mean unit normal of the facets at a node, each counted alike.
fn normal_at(carved: &Carved, node: NodeId) -> Vector {
    carved.corners_at(node).map(|corner| carved.mesh.normal(corner.face())).sum()
}

/// Lines as a mesh of facets without width, to find what is near them.
pub(super) fn chords(lines_mm: &[Vec<Point>]) -> Mesh {
    let mut mesh = Mesh::default();
    for line in lines_mm {
        let first = mesh.points_mm.len() as u32;
        mesh.points_mm.extend(line);
        let n = line.len() as u32;
        if n == 1 {
            mesh.faces.push([first; 3]);
        }
        mesh.faces.extend((1..n).map(|k| [first + k - 1, first + k, first + k]));
    }
    mesh
}
