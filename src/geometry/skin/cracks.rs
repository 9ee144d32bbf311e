//! Cracks: open edges that face each other because two faces of the CAD body were meshed apart.

use rustc_hash::FxHashMap;

use super::super::mesh::{Mesh, Point};
use super::super::topology::{Across, HalfEdge, Topology};

// Facets that run against each other along a crack. Sides of a crack run opposite ways because both are wound alike, while
// the next edge of a real rim runs along; without the test the rims of fine meshes are taken for cracks.
const OPPOSED_COSINE: f64 = -0.8;

// A crack is no wider than this share of the diagonal. It must exceed the chord error of the file: at 5e-4 two, at 2e-4 sixteen
// of the unsewn solids tried came out as sheets; 1e-3 to 1e-2 gave the same.
const WIDEST_OF_DIAGONAL: f64 = 2e-3;
const WIDEST_MM: f64 = 2.0;
// A short edge must not reach across a real gap as long as itself, but unsewn fine meshes are 0.1 mm apart.
const WIDEST_OF_EDGE: f64 = 0.5;
const LEAST_WIDTH_MM: f64 = 0.1;

// Places along an open edge at which a partner is sought; two of three make a crack.
const PLACES: [f64; 3] = [0.2, 0.5, 0.8];
const PLACES_NEEDED: usize = 2;

// Cells that open edges fill at most: so many each, and in all. An edge of 3 m on a panel of 4 m passes 1,500.
const MOST_CELLS_AN_EDGE: f64 = 64.0;
const LEAST_CELLS: f64 = 200_000.0;

/// Which open edges have a partner across a crack.
#[derive(Debug, Clone, Default)]
pub struct Cracks {
    /// An open edge and one that it faces, with repeats: an edge may face several.
    pub partners: Vec<(HalfEdge, HalfEdge)>,
    /// Open edges without a partner.
    pub open: Vec<HalfEdge>,
}

impl Cracks {
    /// Pairs the open edges of a mesh. Near-linear in their number; nothing to do for a mesh without open edges.
    #[must_use]
    pub fn find(mesh: &Mesh, topology: &Topology) -> Self {
        let edges: Vec<HalfEdge> =
            topology.half_edges().filter(|&half| topology.across(half) == Across::Open).collect();
        let mut cracks = Self::default();
        if edges.is_empty() {
            return cracks;
        }
        let Some(bounds) = mesh.bounds().filter(|bounds| bounds.diagonal_mm() > 0.0) else {
            return Self { open: edges, ..cracks };
        };
        let widest_mm = (WIDEST_OF_DIAGONAL * bounds.diagonal_mm()).min(WIDEST_MM);
        let grid = Grid::over(mesh, &edges, widest_mm);
        let mut nearby = Vec::new();
        for &half in &edges {
            let met = grid.partners(mesh, half, widest_mm, &mut nearby);
            if met.iter().flatten().count() >= PLACES_NEEDED {
                cracks.partners.extend(met.into_iter().flatten().map(|other| (half, other)));
            } else {
                cracks.open.push(half);
            }
        }
        cracks.partners.sort_unstable();
        cracks.partners.dedup();
        cracks
    }

    /// True if there is no open edge at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.partners.is_empty() && self.open.is_empty()
    }

    /// Length of an edge, in mm.
    #[must_use]
    pub fn length_mm(mesh: &Mesh, half: HalfEdge) -> f64 {
        let [a, b] = half.ends(mesh);
        (mesh.points_mm[b as usize] - mesh.points_mm[a as usize]).norm()
    }
}

/// Open edges by the cells that they pass.
struct Grid {
    cell_mm: f64,
    cells: FxHashMap<[i64; 3], Vec<HalfEdge>>,
}

impl Grid {
    /// Cells are four times as wide as the widest crack: narrower ones cut long edges into many pieces, wider ones hold many
    /// edges that are not near. A stray point a kilometre off would fill millions of them, so that cells grow with what the
    /// edges are long in all.
    fn over(mesh: &Mesh, edges: &[HalfEdge], widest_mm: f64) -> Self {
        let whole_mm: f64 = edges.iter().map(|&half| Cracks::length_mm(mesh, half)).sum();
        let least_mm = whole_mm / (MOST_CELLS_AN_EDGE * edges.len() as f64 + LEAST_CELLS);
        let mut grid = Self { cell_mm: (4.0 * widest_mm).max(least_mm), cells: FxHashMap::default() };
        for &half in edges {
            let [start, end] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
            let steps = (2.0 * (end - start).norm() / grid.cell_mm).ceil().max(1.0) as usize;
            for step in 0..=steps {
                let at = start + (end - start) * (step as f64 / steps as f64);
                let cell = grid.cells.entry(grid.cell_of(&at)).or_default();
                if cell.last() != Some(&half) {
                    cell.push(half);
                }
            }
        }
        grid
    }

    fn cell_of(&self, point: &Point) -> [i64; 3] {
        [point.x, point.y, point.z].map(|coordinate| (coordinate / self.cell_mm).floor() as i64)
    }

    /// For each place along an edge the nearest open edge of another facet that runs against it within reach.
    fn partners(
        &self,
        mesh: &Mesh,
        half: HalfEdge,
        widest_mm: f64,
        nearby: &mut Vec<HalfEdge>,
    ) -> [Option<HalfEdge>; 3] {
        let [start, end] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
        let along = end - start;
        let reach_mm = widest_mm.min((WIDEST_OF_EDGE * along.norm()).max(LEAST_WIDTH_MM));
        PLACES.map(|place| {
            let at = start + along * place;
            self.around(&at, nearby);
            let mut nearest = None;
            for &other in nearby.iter().filter(|other| other.face() != half.face()) {
                let [from, to] = other.ends(mesh).map(|point| mesh.points_mm[point as usize]);
                let other_along = to - from;
                if along.dot(&other_along) > OPPOSED_COSINE * along.norm() * other_along.norm() {
                    continue;
                }
                let gap_mm = distance_to_stretch(&at, &from, &to);
                if gap_mm <= reach_mm && nearest.is_none_or(|(least_mm, edge)| (gap_mm, other) < (least_mm, edge)) {
                    nearest = Some((gap_mm, other));
                }
            }
            nearest.map(|(_, other)| other)
        })
    }

    /// Open edges in the cells round a point.
    fn around(&self, at: &Point, nearby: &mut Vec<HalfEdge>) {
        nearby.clear();
        let [x, y, z] = self.cell_of(at);
        for dx in -1..=1 {
            for dy in -1..=1 {
                for dz in -1..=1 {
                    nearby.extend(self.cells.get(&[x + dx, y + dy, z + dz]).into_iter().flatten());
                }
            }
        }
    }
}

fn distance_to_stretch(at: &Point, from: &Point, to: &Point) -> f64 {
    let along = to - from;
    let squared = along.norm_squared();
    let place = if squared > 0.0 { ((at - from).dot(&along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (at - (from + along * place)).norm()
}
