//! Areas of strips along lines on the surface, measured along the surface.
//!
//! The surface is cut finer near the lines, the lines become edges, and distances are carried from facet to facet by
//! unfolding, across cracks as well. The border of the strip is then cut into the mesh, so that its area is that of whole
//! facets, whatever the tessellation: a facet may be much wider than the strip, or a sliver.

mod ends;
mod lines;
mod march;

#[cfg(test)]
mod tests;

use rustc_hash::FxHashSet;

use self::ends::{Ends, LineTree};
use super::mesh::{FaceId, Mesh, Point};
use super::refine::carve::{Carved, compare};
use super::refine::nearest::FacetTree;
use super::refine::{LevelCut, Refined, cut_at_level};

/// Facets at the border of the strip are bisected until no side is longer than this share of the width. At 1/4 the round
/// ends of strips on slivers are 1.7 % off, at 1/8 0.7 %, at 1/16 0.3 % for three times the facets.
const FINENESS: f64 = 0.125;
/// Coarser shares that are reached first, everywhere, before anything is cut finer.
const COARSER: [f64; 2] = [0.5, 0.25];
/// The border lies where the way over the surface is the width; through the air that is less where the surface folds
/// between, down to this share of it for a strip that is folded over a right-angled corner and more.
const FOLDED: f64 = 0.6;
/// Distances are carried this much beyond the width, so that no facet on the border lacks one.
const BEYOND: f64 = 1.5;
/// So many facets more than there were, and no finer: what is coarser than 1/4 then is a strip on a million needles.
const MOST_NEW_FACETS: usize = 200_000;

/// How a strip ends where its line does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum StripEnds {
    /// All places within the width of the line, round its ends as well.
    #[default]
    Round,
    /// Cut off square at the ends of the line, as a strip of mat is.
    Square,
}

/// Distances from lines along the surface.
#[derive(Debug, Clone)]
pub struct StripField {
    /// The mesh, finer near the lines.
    pub refined: Refined,
    /// For each facet, the facet of the mesh passed in.
    pub parents: Vec<FaceId>,
    /// For each point, its distance; infinite beyond one and a half widths.
    pub distance_mm: Vec<f64>,
    /// Length of the stretches of line that could not be drawn on the surface, because it does not lead from one of their
    /// points to the next; only their ends count.
    pub lost_mm: f64,
    /// The lines as they were drawn.
    pub lines_mm: Vec<Vec<Point>>,
    /// The ends of the lines.
    ends: Ends,
}

/// Distances from lines that lie on the surface (paths of corners, borders, cuts; a closed one repeats its first point), to
/// be used up to `width_mm`. A line of one point is that point.
#[must_use]
pub fn distance_field(refined: &Refined, lines: &[Vec<Point>], width_mm: f64) -> StripField {
    let usable = width_mm.is_finite() && width_mm > 0.0 && lines.iter().any(|line| !line.is_empty());
    if !usable || refined.mesh.faces.is_empty() {
        return StripField {
            refined: refined.clone(),
            parents: refined.mesh.face_ids().collect(),
            distance_mm: vec![f64::INFINITY; refined.mesh.points_mm.len()],
            lost_mm: 0.0,
            lines_mm: Vec::new(),
            ends: Ends::default(),
        };
    }
    let mut carved = Carved::of(refined);
    let drawn = lines::draw(&mut carved, &refined.mesh, lines, width_mm);
    let lines_mm: Vec<Vec<Point>> =
        drawn.nodes.iter().map(|line| line.iter().map(|&node| carved.at(node)).collect()).collect();
    let chords = lines::chords(&lines_mm);
    bisect_near(&mut carved, &chords, width_mm);
    let ends = Ends::of(&carved, &drawn.nodes);
    ends.cut_square(&mut carved, width_mm);
    let mut sources: FxHashSet<u32> = carved.line_edges.iter().flatten().copied().collect();
    sources.extend(drawn.nodes.iter().flatten());
    let mut sources: Vec<u32> = sources.into_iter().collect();
    sources.sort_unstable();
    let by_node = march::distances_mm(&carved, &sources, BEYOND * width_mm);
    let distance_mm = carved.node_of.iter().map(|&node| by_node[node as usize]).collect();
    let (refined, parents) = carved.finished(refined);
    StripField { refined, parents, distance_mm, lost_mm: drawn.lost_mm, lines_mm, ends }
}

/// Longest-edge bisection of every facet that the border of the strip may run through, neighbours first where their
/// longest side is longer, so that facets stay as stout as they were. Inside the strip nothing has to be cut: distances
/// from a line are linear over a facet there.
fn bisect_near(carved: &mut Carved, chords: &Mesh, width_mm: f64) {
    let most_facets = carved.mesh.faces.len() + MOST_NEW_FACETS;
    let mut border =
        BorderTest { tree: FacetTree::over(chords, chords.face_ids().collect()), width_mm, known: Vec::new() };
    for share in COARSER.into_iter().chain([FINENESS]) {
        bisect_to(carved, &mut border, share * width_mm, most_facets);
    }
}

/// Whether the border of the strip may run through a facet. What was found for a facet tells most of its parts, too: no
/// place is farther from the lines, or nearer, than another by more than lies between the two.
struct BorderTest<'a> {
    tree: FacetTree<'a>,
    width_mm: f64,
    known: Vec<Known>,
}

/// What is known of a facet, or was of the one that it is a part of.
#[derive(Clone, Copy)]
struct Known {
    /// The answer, while the facet stays as it is.
    answer: Option<bool>,
    /// A place of which the distance from the lines is known to lie in a range, in mm.
    at: Point,
    range_mm: [f64; 2],
}

/// Distances within this share are too near to call, and looked up.
const DISTANCE_ROUNDING: f64 = 1e-9;

impl BorderTest<'_> {
    fn holds_border(&mut self, mesh: &Mesh, face: FaceId) -> bool {
        let nothing = Known { answer: None, at: Point::origin(), range_mm: [0.0, f64::INFINITY] };
        self.known.resize(mesh.faces.len(), nothing);
        let known = self.known[face as usize];
        known.answer.unwrap_or_else(|| {
            let centre = centre_mm(mesh, face);
            let radius = radius_mm(mesh, face, &centre);
            let inherited = self.by_range(&known, &centre, radius);
            let answer = inherited.unwrap_or_else(|| self.look_up(face, &centre, radius));
            self.known[face as usize].answer = Some(answer);
            answer
        })
    }

    /// The answer, if the range leaves no doubt.
    fn by_range(&self, known: &Known, centre: &Point, radius: f64) -> Option<bool> {
        let between = (centre - known.at).norm();
        let slack = DISTANCE_ROUNDING * (self.width_mm + radius + between);
        let [least, most] = [known.range_mm[0] - between - slack, known.range_mm[1] + between + slack];
        if least - radius > self.width_mm || most + radius < FOLDED * self.width_mm {
            return Some(false);
        }
        let is_sure = most - radius <= self.width_mm && least + radius >= FOLDED * self.width_mm;
        is_sure.then_some(true)
    }

    fn look_up(&mut self, face: FaceId, centre: &Point, radius: f64) -> bool {
        // Lines beyond this reach are too far; a little over, so that rounding decides nothing here.
        let reach_mm = (self.width_mm + radius) * (1.0 + DISTANCE_ROUNDING);
        let near = self.tree.nearest_within(centre, reach_mm);
        let range_mm = near.map_or([reach_mm, f64::INFINITY], |near| [near.distance_mm; 2]);
        self.known[face as usize] = Known { answer: None, at: *centre, range_mm };
        near.is_some_and(|near| {
            near.distance_mm - radius <= self.width_mm && near.distance_mm + radius >= FOLDED * self.width_mm
        })
    }

    /// Facets were cut in two: each keeps its number for one part, and the other parts are new, in the same order.
    fn cut(&mut self, facets: &[FaceId]) {
        for &face in facets {
            let Some(known) = self.known.get_mut(face as usize) else { continue };
            known.answer = None;
            let part = *known;
            self.known.push(part);
        }
    }
}

fn bisect_to(carved: &mut Carved, border: &mut BorderTest<'_>, side_mm: f64, most_facets: usize) {
    let most_squared = side_mm * side_mm;
    let mut queue: Vec<FaceId> = (0..carved.mesh.faces.len() as FaceId).rev().collect();
    while let Some(face) = queue.pop() {
        let side = carved.longest_side(face);
        let is_long = carved.rank(side).0 > most_squared;
        if !is_long || carved.mesh.faces.len() > most_facets || !border.holds_border(&carved.mesh, face) {
            continue;
        }
        // The path of ever longer sides ends at one that is the longest of all facets round it.
        let mut side = side;
        loop {
            let around = carved.around(side);
            let longest = around.iter().map(|other| carved.longest_side(other.face()));
            let most = longest.max_by(|&a, &b| compare(&carved.rank(a), &carved.rank(b))).unwrap_or(side);
            if compare(&carved.rank(most), &carved.rank(side)).is_le() {
                break;
            }
            side = most;
        }
        let first_new = carved.mesh.faces.len() as FaceId;
        let touched: Vec<FaceId> = carved.around(side).iter().map(|other| other.face()).collect();
        carved.split_edge(side, 0.5);
        border.cut(&touched);
        queue.extend(first_new..carved.mesh.faces.len() as FaceId);
        queue.extend(touched);
        queue.push(face);
    }
}

fn centre_mm(mesh: &Mesh, face: FaceId) -> Point {
    let [a, b, c] = mesh.corners(face);
    a + ((b - a) + (c - a)) / 3.0
}

fn radius_mm(mesh: &Mesh, face: FaceId, centre: &Point) -> f64 {
    mesh.corners(face).iter().map(|corner| (corner - centre).norm()).fold(0.0, f64::max)
}

/// A strip, cut into the mesh.
#[derive(Debug, Clone)]
pub struct Strip {
    /// The mesh; the border of the strip runs along its edges.
    pub refined: Refined,
    /// For each facet, the facet of the mesh passed in.
    pub parents: Vec<FaceId>,
    /// For each facet, whether it lies on the strip.
    pub inside: Vec<bool>,
    /// Length of the stretches of line that could not be drawn on the surface.
    pub lost_mm: f64,
}

impl Strip {
    /// Area of the strip in m2.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.refined.area_m2_where(|face| self.inside[face as usize])
    }
}

/// The strip of all places within `width_mm` of the lines, to either side of them. Several lines give their union; what
/// two strips have in common is the sum of both areas less that of the union.
#[must_use]
pub fn strip(refined: &Refined, lines: &[Vec<Point>], width_mm: f64, ends: StripEnds) -> Strip {
    let field = distance_field(refined, lines, width_mm);
    let tolerance_mm = 1e-9 * width_mm;
    let cut = cut_at_level(&field.refined, &field.distance_mm, width_mm, tolerance_mm);
    let parents = cut.parents.iter().map(|&parent| field.parents[parent as usize]).collect();
    let LevelCut { refined, mut inside, .. } = cut;
    if ends == StripEnds::Square {
        let chords = lines::chords(&field.lines_mm);
        let tree = LineTree::over(&chords);
        for (face, inside) in (0..).zip(&mut inside).filter(|(_, inside)| **inside) {
            *inside = !field.ends.is_beyond(&centre_mm(&refined.mesh, face), &tree, width_mm);
        }
    }
    Strip { refined, parents, inside, lost_mm: field.lost_mm }
}
