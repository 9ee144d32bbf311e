//! Finds the facet nearest to a point: a tree of boxes.

use super::super::mesh::{Bounds, FaceId, Mesh, Point, Vector};

/// Facets in a box that is not parted further. Fewer: the tree grows; more: every query looks at more facets.
const LEAF_FACES: usize = 8;

/// A tree over facets of a mesh.
#[derive(Debug, Clone)]
pub(crate) struct FacetTree<'mesh> {
    mesh: &'mesh Mesh,
    order: Vec<FaceId>,
    nodes: Vec<Node>,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    bounds: Bounds,
    /// Range in the order of facets.
    range: [usize; 2],
    /// The two halves, if it is parted.
    halves: Option<[usize; 2]>,
}

/// A place on a facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct OnFacet {
    pub face: FaceId,
    pub at_mm: Point,
    pub distance_mm: f64,
}

/// Squares of distances are compared with this much room, so that rounding passes over nothing that is as near.
const ROUNDING: f64 = 1.0 + 1e-15;

impl<'mesh> FacetTree<'mesh> {
    /// Over the given facets.
    pub(crate) fn over(mesh: &'mesh Mesh, faces: Vec<FaceId>) -> Self {
        let mut builder = Builder::of(mesh, faces);
        if !builder.order.is_empty() {
            builder.build(0, builder.order.len());
        }
        let order = builder.order.iter().map(|&place| builder.faces[place as usize]).collect();
        Self { mesh, order, nodes: builder.nodes }
    }

    /// The nearest place; of equally near facets the one of least number.
    pub(crate) fn nearest(&self, point: &Point) -> Option<OnFacet> {
        self.nearest_within(point, f64::INFINITY)
    }

    /// The nearest place, if it is no farther than `reach_mm`.
    pub(crate) fn nearest_within(&self, point: &Point, reach_mm: f64) -> Option<OnFacet> {
        let mut best: Option<OnFacet> = None;
        let mut most_squared = ROUNDING * reach_mm * reach_mm;
        let to_box = |number: usize| (number, to_box_squared(point, &self.nodes[number].bounds));
        let mut stack: Vec<(usize, f64)> = Vec::with_capacity(64);
        stack.extend((!self.nodes.is_empty()).then(|| to_box(0)));
        while let Some((number, squared)) = stack.pop() {
            if squared > most_squared {
                continue;
            }
            let node = &self.nodes[number];
            if let Some([a, b]) = node.halves.map(|halves| halves.map(to_box)) {
                // The nearer half is looked at first.
                stack.extend(if a.1 < b.1 { [b, a] } else { [a, b] });
                continue;
            }
            for &face in &self.order[node.range[0]..node.range[1]] {
                let at_mm = nearest_on_facet(point, self.mesh.corners(face));
                let squared = (at_mm - point).norm_squared();
                if squared > most_squared {
                    continue;
                }
                let found = OnFacet { face, at_mm, distance_mm: squared.sqrt() };
                let is_better = |best: &OnFacet| (found.distance_mm, face) < (best.distance_mm, best.face);
                if found.distance_mm <= reach_mm && best.as_ref().is_none_or(is_better) {
                    best = Some(found);
                    most_squared = most_squared.min(ROUNDING * squared);
                }
            }
        }
        best
    }
}

/// Facets while they are put in order. What is asked of them again and again is worked out once.
struct Builder {
    faces: Vec<FaceId>,
    boxes: Vec<Bounds>,
    /// Three times the centroid.
    sums: Vec<[f64; 3]>,
    /// Places in the lists above.
    order: Vec<u32>,
    nodes: Vec<Node>,
}

impl Builder {
    fn of(mesh: &Mesh, faces: Vec<FaceId>) -> Self {
        let sum = |&face: &FaceId| {
            let corners = mesh.corners(face);
            [0, 1, 2].map(|axis| corners.iter().map(|corner| corner[axis]).sum())
        };
        Self {
            boxes: faces.iter().map(|&face| bounds_of(mesh.corners(face))).collect(),
            sums: faces.iter().map(sum).collect(),
            order: (0..faces.len() as u32).collect(),
            nodes: Vec::with_capacity(faces.len() / 2),
            faces,
        }
    }

    fn build(&mut self, from: usize, to: usize) -> usize {
        let number = self.nodes.len();
        let boxes = self.order[from..to].iter().map(|&place| self.boxes[place as usize]);
        let bounds =
            boxes.fold(NOTHING, |all, one| Bounds { least: all.least.inf(&one.least), most: all.most.sup(&one.most) });
        self.nodes.push(Node { bounds, range: [from, to], halves: None });
        if to - from > LEAF_FACES {
            let axis = bounds.size_mm().imax();
            let (sums, faces) = (&self.sums, &self.faces);
            let middle = (to - from) / 2;
            self.order[from..to].select_nth_unstable_by(middle, |&a, &b| {
                let (a, b) = (a as usize, b as usize);
                sums[a][axis].total_cmp(&sums[b][axis]).then(faces[a].cmp(&faces[b]))
            });
            let halves = [self.build(from, from + middle), self.build(from + middle, to)];
            self.nodes[number].halves = Some(halves);
        }
        number
    }
}

const NOTHING: Bounds = Bounds {
    least: Point::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
    most: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
};

fn bounds_of(corners: [Point; 3]) -> Bounds {
    let [a, b, c] = &corners;
    Bounds { least: a.inf(b).inf(c), most: a.sup(b).sup(c) }
}

fn to_box_squared(point: &Point, bounds: &Bounds) -> f64 {
    let outside = (bounds.least - point).sup(&(point - bounds.most));
    outside.sup(&Vector::zeros()).norm_squared()
}

/// The point of a triangle nearest to a point.
pub(crate) fn nearest_on_facet(point: &Point, [a, b, c]: [Point; 3]) -> Point {
    let (ab, ac) = (b - a, c - a);
    // A chord of a line has no width.
    let normal = if b == c { Vector::zeros() } else { ab.cross(&ac) };
    let squared = normal.norm_squared();
    if squared > 0.0 {
        // Shares of the corners at the foot of the perpendicular.
        let ap = point - a;
        let v = ap.cross(&ac).dot(&normal) / squared;
        let w = ab.cross(&ap).dot(&normal) / squared;
        if v >= 0.0 && w >= 0.0 && v + w <= 1.0 {
            return a + ab * v + ac * w;
        }
    }
    let sides = [(a, b), (b, c), (c, a)].map(|(from, to)| nearest_on_segment(point, from, to));
    let distance = |candidate: &Point| (candidate - point).norm_squared();
    let [first, second, third] = sides;
    let best = if distance(&second) < distance(&first) { second } else { first };
    if distance(&third) < distance(&best) { third } else { best }
}

/// The point of a segment nearest to a point.
pub(crate) fn nearest_on_segment(point: &Point, from: Point, to: Point) -> Point {
    let along = to - from;
    let squared = along.norm_squared();
    let t = if squared > 0.0 { ((point - from).dot(&along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    from + along * t
}

/// From a point to a line through points, in mm; endless where there is no line.
pub(crate) fn distance_to_line_mm(point: &Point, line: &[Point]) -> f64 {
    let to_segment = |pair: &[Point]| (nearest_on_segment(point, pair[0], pair[1]) - point).norm();
    line.windows(2).map(to_segment).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::super::super::split::shapes::{torus, turned};
    use super::*;

    #[test]
    fn the_tree_finds_what_looking_at_every_facet_finds() {
        let mesh = turned(torus(60.0, 17.0, [25, 13]), 0.7, [3.0, 4.0, 5.0]);
        let tree = FacetTree::over(&mesh, mesh.face_ids().collect());
        for k in 0..60 {
            let k = f64::from(k);
            let point = Point::new(2.3 * k - 70.0, 60.0 - 1.9 * k, 0.7 * k - 20.0);
            let by_hand = mesh
                .face_ids()
                .map(|face| (nearest_on_facet(&point, mesh.corners(face)) - point).norm())
                .fold(f64::INFINITY, f64::min);
            let nearest = tree.nearest(&point).unwrap();
            assert_eq!(nearest.distance_mm, by_hand);
            assert_eq!(tree.nearest_within(&point, by_hand), Some(nearest), "as far as the reach is within it");
            assert_eq!(tree.nearest_within(&point, by_hand * 0.999_999), None);
        }
        assert!(FacetTree::over(&mesh, Vec::new()).nearest(&Point::origin()).is_none());
    }
}
