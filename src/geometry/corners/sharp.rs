//! Sharp corners: creases chained edge by edge.

use rustc_hash::FxHashMap;

use super::ground::{Crease, Ground};
use super::paths::Path;
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::stitch::MeetingId;
use crate::geometry::topology::HalfEdge;

/// Ends of creases closer than this are one point, in mm.
const SAME_POINT_MM: f64 = 0.1;
/// Creases chain if their turns differ by less than this.
const LIKE_TURN: f64 = 15.0_f64.to_radians();
/// ... and their directions by less than 45 degrees.
const AHEAD_COS: f64 = 0.707;
/// A soft crease within this many widths of a fillet's middle line is one of its edges.
const IN_FILLET: f64 = 0.5;

/// A chain of creases.
#[derive(Debug, Clone)]
pub struct Chain {
    /// From end to end; a closed one repeats its first point.
    pub points: Vec<Point>,
    /// Turn of each edge of it, in radians, unsigned.
    pub turns: Vec<f64>,
    /// +1 if convex, -1 if concave.
    pub sense: f64,
    /// It closes on itself.
    pub closed: bool,
}

/// One edge of a crease.
struct Piece {
    ends: [Point; 2],
    nodes: [u32; 2],
    turn: f64,
}

/// Chains the creases that are no part of a fillet.
pub fn chains(ground: &Ground, fillets: &[Path]) -> Vec<Chain> {
    let middles = Middles::of(fillets);
    let mut pieces: Vec<Piece> = Vec::new();
    for face in 0..ground.surface.mesh.faces.len() as FaceId {
        for side in 0..3 {
            let half = HalfEdge::new(face, side);
            // Most sides are no crease, and a look at one byte tells.
            let is_smooth = ground.crease(MeetingId(half.0)) == Crease::None;
            if is_smooth && ground.surface.topology.twin(half).is_some() {
                continue;
            }
            pieces.extend(pieces_of(ground, half, &middles));
        }
    }
    number_nodes(&mut pieces);
    link(&pieces)
}

/// Creases of one side, each seen from the side of lower number.
fn pieces_of(ground: &Ground, half: HalfEdge, middles: &Middles) -> Vec<Piece> {
    let [start, end] = ground.side_ends(half);
    ground
        .surface
        .numbered_meetings(half)
        .filter(|(id, meeting)| half < meeting.other && ground.crease(*id) != Crease::None)
        .filter_map(|(id, meeting)| {
            let ends = meeting.span.map(|share| start + (end - start) * share);
            let along = (end - start).normalize();
            let turn = ground.dihedral(half.face(), meeting.other.face(), &along);
            let middle = nalgebra::center(&ends[0], &ends[1]);
            let in_fillet = ground.crease(id) == Crease::Soft && middles.hold(&middle);
            (!in_fillet).then_some(Piece { ends, nodes: [0; 2], turn })
        })
        .collect()
}

/// A point on a middle line, the direction of the line, the width of the arc in mm.
type Middle = (Point, Vector, f64);

/// Middle lines of fillets, to ask whether a point lies within a fillet's width.
struct Middles {
    cells: FxHashMap<(i32, [i32; 3]), Vec<Middle>>,
    levels: Vec<i32>,
}

impl Middles {
    fn of(fillets: &[Path]) -> Self {
        let mut cells: FxHashMap<_, Vec<_>> = FxHashMap::default();
        let mut levels = Vec::new();
        for sample in fillets.iter().flat_map(|path| path.samples(0.5)) {
            let level = crate::maths::ln(sample.width_mm.max(1e-6)).div_euclid(std::f64::consts::LN_2) as i32 + 1;
            levels.push(level);
            let key = (level, Self::cell(&sample.at, level));
            cells.entry(key).or_default().push((sample.at, sample.axis, sample.width_mm));
        }
        levels.sort_unstable();
        levels.dedup();
        Self { cells, levels }
    }

    fn cell(at: &Point, level: i32) -> [i32; 3] {
        [at.x, at.y, at.z].map(|x| (x / 2.0f64.powi(level)).floor() as i32)
    }

    fn hold(&self, point: &Point) -> bool {
        self.levels.iter().any(|&level| {
            let cell = Self::cell(point, level);
            (0..27)
                .map(|k| [cell[0] + k % 3 - 1, cell[1] + k / 3 % 3 - 1, cell[2] + k / 9 - 1])
                .filter_map(|cell| self.cells.get(&(level, cell)))
                .flatten()
                .any(|(at, axis, width)| {
                    let gap = point - at;
                    let along = gap.dot(axis);
                    along.abs() <= 0.5 * width && (gap - axis * along).norm() < IN_FILLET * width
                })
        })
    }
}

/// Gives the ends of pieces that are one point one number.
fn number_nodes(pieces: &mut [Piece]) {
    let cell = |at: &Point| [at.x, at.y, at.z].map(|x| (x / SAME_POINT_MM).floor() as i64);
    let mut grid: FxHashMap<[i64; 3], Vec<(Point, u32)>> = FxHashMap::default();
    let mut n_nodes = 0;
    for piece in pieces {
        for end in 0..2 {
            let at = piece.ends[end];
            let home = cell(&at);
            let around = (0..27).map(|k| [home[0] + k % 3 - 1, home[1] + k / 3 % 3 - 1, home[2] + k / 9 - 1]);
            let near = around
                .filter_map(|cell| grid.get(&cell))
                .flatten()
                .filter(|(point, _)| (point - at).norm() < SAME_POINT_MM);
            let known = near.map(|&(point, node)| ((point - at).norm(), node)).min_by(|a, b| a.0.total_cmp(&b.0));
            piece.nodes[end] = known.map_or_else(
                || {
                    grid.entry(home).or_default().push((at, n_nodes));
                    n_nodes += 1;
                    n_nodes - 1
                },
                |(_, node)| node,
            );
        }
    }
}

/// Links pieces end to end.
fn link(pieces: &[Piece]) -> Vec<Chain> {
    let mut at_node: FxHashMap<u32, Vec<(usize, usize)>> = FxHashMap::default();
    for (number, piece) in pieces.iter().enumerate() {
        for end in 0..2 {
            at_node.entry(piece.nodes[end]).or_default().push((number, end));
        }
    }
    // The piece and its end that continue a piece beyond one of its own ends.
    let next = |number: usize, end: usize| -> Option<(usize, usize)> {
        let (a, b) = match at_node.get(&pieces[number].nodes[end])?.as_slice() {
            &[a, b] => (a, b),
            _ => return None,
        };
        let other = if a == (number, end) { b } else { a };
        let direction = |(number, end): (usize, usize)| {
            let ends = &pieces[number].ends;
            (ends[end] - ends[1 - end]).normalize()
        };
        let (own, its) = (&pieces[number], &pieces[other.0]);
        let like = own.turn * its.turn > 0.0 && (own.turn - its.turn).abs() < LIKE_TURN;
        (like && other.0 != number && direction((number, end)).dot(&direction(other)) < -AHEAD_COS).then_some(other)
    };
    let mut used = vec![false; pieces.len()];
    let mut chains = Vec::new();
    for number in 0..pieces.len() {
        if used[number] {
            continue;
        }
        // Back to the chain's start, or all round.
        let (mut first, mut towards) = (number, 0);
        let mut closed = false;
        while let Some((before, end)) = next(first, towards) {
            if before == number {
                closed = true;
                break;
            }
            (first, towards) = (before, 1 - end);
        }
        if closed {
            (first, towards) = (number, 0);
        }
        chains.push(chain_from(pieces, (first, towards), closed, &mut used, &next));
    }
    chains
}

/// The chain that starts at an end of a piece.
fn chain_from(
    pieces: &[Piece],
    (first, start): (usize, usize),
    closed: bool,
    used: &mut [bool],
    next: &dyn Fn(usize, usize) -> Option<(usize, usize)>,
) -> Chain {
    let mut chain = Chain {
        points: vec![pieces[first].ends[start]],
        turns: Vec::new(),
        sense: pieces[first].turn.signum(),
        closed,
    };
    let (mut number, mut entered) = (first, start);
    loop {
        used[number] = true;
        chain.points.push(pieces[number].ends[1 - entered]);
        chain.turns.push(pieces[number].turn.abs());
        match next(number, 1 - entered) {
            Some((following, end)) if !used[following] => (number, entered) = (following, end),
            _ => return chain,
        }
    }
}
