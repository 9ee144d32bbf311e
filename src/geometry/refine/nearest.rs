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

impl<'mesh> FacetTree<'mesh> {
    /// Over the given facets.
    pub(crate) fn over(mesh: &'mesh Mesh, faces: Vec<FaceId>) -> Self {
        let mut tree = Self { mesh, order: faces, nodes: Vec::new() };
        if !tree.order.is_empty() {
            tree.build(0, tree.order.len());
        }
        tree
    }

    fn build(&mut self, from: usize, to: usize) -> usize {
        let number = self.nodes.len();
        let bounds = bounds_of(self.mesh, &self.order[from..to]);
        self.nodes.push(Node { bounds, range: [from, to], halves: None });
        if to - from > LEAF_FACES {
            let axis = bounds.size_mm().imax();
            let mesh = self.mesh;
            let key = |face: FaceId| mesh.corners(face).iter().map(|corner| corner[axis]).sum::<f64>();
            let middle = (to - from) / 2;
            self.order[from..to].select_nth_unstable_by(middle, |&a, &b| key(a).total_cmp(&key(b)).then(a.cmp(&b)));
            let halves = [self.build(from, from + middle), self.build(from + middle, to)];
            self.nodes[number].halves = Some(halves);
        }
        number
    }

    /// The nearest place; of equally near facets the one of least number.
    pub(crate) fn nearest(&self, point: &Point) -> Option<OnFacet> {
        let mut best: Option<OnFacet> = None;
        let mut stack = vec![0];
        while let Some(node) = stack.pop().and_then(|number| self.nodes.get(number)) {
            if best.is_some_and(|best| to_box_mm(point, &node.bounds) > best.distance_mm) {
                continue;
            }
            match node.halves {
                Some([a, b]) => {
                    // The nearer half is looked at first.
                    let nearer = |number: usize| to_box_mm(point, &self.nodes[number].bounds);
                    stack.extend(if nearer(a) < nearer(b) { [b, a] } else { [a, b] });
                }
                None => {
                    for &face in &self.order[node.range[0]..node.range[1]] {
                        let at_mm = nearest_on_facet(point, self.mesh.corners(face));
                        let found = OnFacet { face, at_mm, distance_mm: (at_mm - point).norm() };
                        let better = |best: &OnFacet| (found.distance_mm, face) < (best.distance_mm, best.face);
                        if best.as_ref().is_none_or(better) {
                            best = Some(found);
                        }
                    }
                }
            }
        }
        best
    }
}

fn bounds_of(mesh: &Mesh, faces: &[FaceId]) -> Bounds {
    let infinite = Vector::repeat(f64::INFINITY);
    let nothing = Bounds { least: Point::from(infinite), most: Point::from(-infinite) };
    faces
        .iter()
        .flat_map(|&face| mesh.corners(face))
        .fold(nothing, |bounds, corner| Bounds { least: bounds.least.inf(&corner), most: bounds.most.sup(&corner) })
}

fn to_box_mm(point: &Point, bounds: &Bounds) -> f64 {
    let outside = (bounds.least - point).sup(&(point - bounds.most));
    outside.sup(&Vector::zeros()).norm()
}

/// The point of a triangle nearest to a point.
pub(crate) fn nearest_on_facet(point: &Point, [a, b, c]: [Point; 3]) -> Point {
    let (ab, ac) = (b - a, c - a);
    let normal = ab.cross(&ac);
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
            assert_eq!(tree.nearest(&point).unwrap().distance_mm, by_hand);
        }
        assert!(FacetTree::over(&mesh, Vec::new()).nearest(&Point::origin()).is_none());
    }
}
