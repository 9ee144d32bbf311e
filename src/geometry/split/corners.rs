//! Corners, found once on the whole part, cut where the part is cut.

use std::cell::OnceCell;

use super::super::corners::{Corner, CornerPoint, Station};
use super::super::mesh::Point;
use super::super::refine::nearest::{FacetTree, distance_to_line_mm};
use super::{Piece, Plane};

/// The corners of one piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PieceCorners {
    /// Parts of the whole's corners, in their order. One that is cut into several runs gives them the ids `c1.1`, `c1.2`, ...
    /// in the order along it, over all pieces; one that is not cut keeps its own.
    pub corners: Vec<Corner>,
    /// The points that lie on this piece, with the ids of its own corners.
    pub points: Vec<CornerPoint>,
}

/// A sharp corner that runs along a split: there it is no corner any more, as its two faces part.
#[derive(Debug, Clone, PartialEq)]
pub struct AlongSplit {
    /// Id of the corner.
    pub corner: String,
    /// Name of the split.
    pub split: String,
    /// Over which length.
    pub length_mm: f64,
}

/// What clipping gives.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ClippedCorners {
    /// For each piece, in their order.
    pub pieces: Vec<PieceCorners>,
    /// What is lost along splits.
    pub along_splits: Vec<AlongSplit>,
}

/// A path is known no better than this: stations within it of a plane lie on the plane.
const PATH_TOLERANCE_MM: f64 = 1e-3;

/// Cuts corners at the planes and gives every run to the piece on whose facets it lies. Lengths add up to the whole's,
/// less what runs along a split.
///
/// A run's smallest radius is that of its own stations (never under the whole's), its mean radius and turn are weighted
/// with the length between them.
#[must_use]
pub fn clip_corners(
    corners: &[Corner],
    points: &[CornerPoint],
    planes: &[(String, Plane)],
    pieces: &[Piece],
) -> ClippedCorners {
    let finder = Finder::new(planes, pieces);
    let mut clipped = ClippedCorners { pieces: vec![PieceCorners::default(); pieces.len()], along_splits: Vec::new() };
    if pieces.is_empty() {
        return clipped;
    }
    for corner in corners {
        let (runs, lost) = finder.runs_of(corner);
        clipped.along_splits.extend(lost);
        let is_whole = runs.len() == 1 && runs[0].is_whole;
        for (number, run) in (1..).zip(runs) {
            let piece = run.piece;
            let part = if is_whole { corner.clone() } else { part_of(corner, run, number) };
            clipped.pieces[piece].corners.push(part);
        }
    }
    for point in points {
        let piece = &mut clipped.pieces[finder.piece_at(&point.at_mm)];
        let corners = point.corners.iter().filter_map(|id| nearest_part(&piece.corners, id, &point.at_mm)).collect();
        piece.points.push(CornerPoint { corners, ..point.clone() });
    }
    clipped
}

/// Which of a piece's corners is the part of a corner that reaches a point.
fn nearest_part(corners: &[Corner], id: &str, at_mm: &Point) -> Option<String> {
    let is_part = |own: &str| own.strip_prefix(id).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'));
    let distance = |corner: &Corner| {
        let ends = [corner.path.first(), corner.path.last()].into_iter().flatten();
        ends.map(|end| (end.at_mm - at_mm).norm()).fold(f64::INFINITY, f64::min)
    };
    corners
        .iter()
        .filter(|corner| is_part(&corner.id))
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))
        .map(|corner| corner.id.clone())
}

/// A part of a path that lies on one piece.
struct Run {
    piece: usize,
    path: Vec<Station>,
    /// It is the whole path.
    is_whole: bool,
}

fn path_length_mm(path: &[Station]) -> f64 {
    path.windows(2).map(|pair| (pair[1].at_mm - pair[0].at_mm).norm()).sum()
}

fn part_of(corner: &Corner, run: Run, number: usize) -> Corner {
    let whole_mm = path_length_mm(&corner.path);
    let share = if whole_mm > 0.0 { path_length_mm(&run.path) / whole_mm } else { 0.0 };
    let least = run.path.iter().map(|station| station.radius_mm).fold(f64::INFINITY, f64::min);
    Corner {
        id: format!("{}.{number}", corner.id),
        radius_mm: if corner.sharp { 0.0 } else { least.max(corner.radius_mm) },
        radius_mean_mm: if corner.sharp { 0.0 } else { mean_radius_mm(&run.path) },
        turn_deg: median_turn_deg(&run.path),
        length_mm: share * corner.length_mm,
        bends: corner.bends,
        sharp: corner.sharp,
        path: run.path,
    }
}

fn mean_radius_mm(path: &[Station]) -> f64 {
    let length = path_length_mm(path);
    let sum: f64 = path
        .windows(2)
        .map(|pair| 0.5 * (pair[0].radius_mm + pair[1].radius_mm) * (pair[1].at_mm - pair[0].at_mm).norm())
        .sum();
    if length > 0.0 { sum / length } else { path.first().map_or(0.0, |station| station.radius_mm) }
}

/// Median over the length.
fn median_turn_deg(path: &[Station]) -> f64 {
    let mut turns: Vec<(f64, f64)> = path
        .windows(2)
        .map(|pair| (0.5 * (pair[0].turn_deg + pair[1].turn_deg), (pair[1].at_mm - pair[0].at_mm).norm()))
        .collect();
    turns.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = 0.5 * turns.iter().map(|turn| turn.1).sum::<f64>();
    let mut sum = 0.0;
    for (turn, length) in &turns {
        sum += length;
        if sum >= half {
            return *turn;
        }
    }
    path.first().map_or(0.0, |station| station.turn_deg)
}

/// Finds the piece on which a place lies.
struct Finder<'a> {
    planes: &'a [(String, Plane)],
    pieces: &'a [Piece],
    /// Only built where planes alone do not tell the pieces apart.
    trees: Vec<OnceCell<FacetTree<'a>>>,
}

impl<'a> Finder<'a> {
    fn new(planes: &'a [(String, Plane)], pieces: &'a [Piece]) -> Self {
        Self { planes, pieces, trees: vec![OnceCell::new(); pieces.len()] }
    }

    /// The piece whose side of every plane the place is on; of several such pieces, the one with the nearest facet.
    fn piece_at(&self, at_mm: &Point) -> usize {
        let distances: Vec<f64> = self.planes.iter().map(|(_, plane)| plane.signed_distance_mm(at_mm)).collect();
        let fits = |piece: &Piece| {
            let mut sides = distances.iter().zip(&piece.on_plus_side);
            sides.all(|(&distance, &plus)| distance.abs() <= PATH_TOLERANCE_MM || (distance > 0.0) == plus)
        };
        let fitting: Vec<usize> = (0..self.pieces.len()).filter(|&piece| fits(&self.pieces[piece])).collect();
        match fitting.as_slice() {
            [only] => *only,
            // Beside every piece, as a face in a plane may leave a path: any piece will do, if its facets are nearest.
            [] => self.nearest_of(0..self.pieces.len(), at_mm),
            several => self.nearest_of(several.iter().copied(), at_mm),
        }
    }

    fn nearest_of(&self, pieces: impl Iterator<Item = usize>, at_mm: &Point) -> usize {
        let distance = |piece: usize| {
            let mesh = self.pieces[piece].mesh();
            let tree = self.trees[piece].get_or_init(|| FacetTree::over(mesh, mesh.face_ids().collect()));
            tree.nearest(at_mm).map_or(f64::INFINITY, |found| found.distance_mm)
        };
        pieces.map(|piece| (distance(piece), piece)).min_by(|a, b| a.0.total_cmp(&b.0)).map_or(0, |(_, piece)| piece)
    }

    /// The split along which two places lie, if it cuts there.
    fn split_along(&self, ends: [&Point; 2]) -> Option<usize> {
        let on = |plane: &Plane| ends.iter().all(|end| plane.signed_distance_mm(end).abs() <= PATH_TOLERANCE_MM);
        let middle = nalgebra::center(ends[0], ends[1]);
        let is_cut = |name: &str| {
            let cuts = self.pieces.iter().flat_map(|piece| &piece.cuts).filter(|cut| cut.split == name);
            let mut lines = cuts.flat_map(|cut| &cut.lines);
            lines.any(|line| distance_to_line_mm(&middle, &line.polyline_mm) <= PATH_TOLERANCE_MM)
        };
        self.planes.iter().position(|(name, plane)| on(plane) && is_cut(name))
    }

    /// The runs of a corner in order along it, and what of it runs along splits.
    fn runs_of(&self, corner: &Corner) -> (Vec<Run>, Vec<AlongSplit>) {
        let path = cut_at_planes(&corner.path, self.planes);
        let mut lost: Vec<AlongSplit> = Vec::new();
        let mut runs: Vec<Run> = Vec::new();
        let mut is_broken = false;
        for pair in path.windows(2) {
            let ends = [&pair[0].at_mm, &pair[1].at_mm];
            if let Some(split) = corner.sharp.then(|| self.split_along(ends)).flatten() {
                add_lost(&mut lost, &corner.id, &self.planes[split].0, (ends[1] - ends[0]).norm());
                is_broken = true;
                continue;
            }
            let piece = self.piece_at(&nalgebra::center(ends[0], ends[1]));
            match runs.last_mut().filter(|run| run.piece == piece && !is_broken) {
                Some(run) => run.path.push(pair[1]),
                None => runs.push(Run { piece, path: pair.to_vec(), is_whole: false }),
            }
            is_broken = false;
        }
        join_closed(&mut runs, &path);
        if let ([only], []) = (runs.as_mut_slice(), lost.as_slice()) {
            only.is_whole = true;
        }
        (runs, lost)
    }
}

fn add_lost(lost: &mut Vec<AlongSplit>, corner: &str, split: &str, length_mm: f64) {
    match lost.iter_mut().find(|lost| lost.split == split) {
        Some(lost) => lost.length_mm += length_mm,
        None => lost.push(AlongSplit { corner: corner.to_owned(), split: split.to_owned(), length_mm }),
    }
}

/// The last run of a closed path goes on in the first if both lie on one piece.
fn join_closed(runs: &mut Vec<Run>, path: &[Station]) {
    let (Some(start), Some(end)) = (path.first(), path.last()) else { return };
    if runs.len() < 2 || start.at_mm != end.at_mm {
        return;
    }
    let meets = runs[0].path[0].at_mm == start.at_mm
        && runs[runs.len() - 1].path.last().is_some_and(|last| last.at_mm == end.at_mm);
    if meets
        && runs[0].piece == runs[runs.len() - 1].piece
        && let Some(mut last) = runs.pop()
    {
        last.path.extend_from_slice(&runs[0].path[1..]);
        runs[0].path = last.path;
    }
}

/// The path with a station more wherever it passes through a plane.
fn cut_at_planes(path: &[Station], planes: &[(String, Plane)]) -> Vec<Station> {
    let mut cut = path.to_vec();
    for (_, plane) in planes {
        let mut next = Vec::with_capacity(cut.len() + 2);
        for (number, station) in cut.iter().enumerate() {
            if let Some(before) = number.checked_sub(1).map(|before| cut[before]) {
                next.extend(passing(&before, station, plane));
            }
            next.push(*station);
        }
        cut = next;
    }
    cut
}

fn passing(from: &Station, to: &Station, plane: &Plane) -> Option<Station> {
    let [a, b] = [from, to].map(|station| plane.signed_distance_mm(&station.at_mm));
    let passes = a.abs() > PATH_TOLERANCE_MM && b.abs() > PATH_TOLERANCE_MM && (a > 0.0) != (b > 0.0);
    passes.then(|| {
        let t = a / (a - b);
        let between = |x: f64, y: f64| x + (y - x) * t;
        Station {
            at_mm: from.at_mm + (to.at_mm - from.at_mm) * t,
            radius_mm: between(from.radius_mm, to.radius_mm),
            turn_deg: between(from.turn_deg, to.turn_deg),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::super::super::corners::{Bends, PointKind};
    use super::super::super::mesh::{Mesh, Vector};
    use super::super::super::stitch::Surface;
    use super::super::shapes::{cuboid, steps, together, tube, turned};
    use super::super::{SplitResult, cut};
    use super::*;

    fn plane(name: &str, point: [f64; 3], normal: [f64; 3]) -> (String, Plane) {
        (name.to_owned(), Plane::at(Point::from(point), Vector::from(normal)).unwrap())
    }

    fn corner(id: &str, path: &[([f64; 3], f64)]) -> Corner {
        let path: Vec<Station> =
            path.iter().map(|&(at, radius_mm)| Station { at_mm: Point::from(at), radius_mm, turn_deg: 90.0 }).collect();
        let sharp = path.iter().all(|station| station.radius_mm == 0.0);
        let radius_mm = path.iter().map(|station| station.radius_mm).fold(f64::INFINITY, f64::min);
        let (length_mm, radius_mean_mm) = (path_length_mm(&path), mean_radius_mm(&path));
        let bends = Bends::Outward;
        Corner { id: id.to_owned(), radius_mm, radius_mean_mm, turn_deg: 90.0, length_mm, bends, sharp, path }
    }

    fn split(mesh: &Mesh, planes: &[(String, Plane)]) -> SplitResult {
        cut(&Surface::stitched(mesh), planes)
    }

    #[test]
    fn a_corner_is_cut_at_the_plane_and_its_lengths_add_up() {
        let planes = [plane("waist", [0.0, 0.0, 20.0], [0.0, 0.0, 1.0])];
        let result = split(&cuboid([20.0, 30.0, 50.0]), &planes);
        // An edge fillet that runs out from 2 to 7 mm up the box, and a corner that is not cut.
        let along = corner("c1", &[([0.0, 0.0, 0.0], 2.0), ([0.0, 0.0, 50.0], 7.0)]);
        let other = corner("c2", &[([0.0, 0.0, 50.0], 0.0), ([20.0, 0.0, 50.0], 0.0)]);
        let clipped = clip_corners(&[along, other.clone()], &[], &planes, &result.pieces);
        let [upper, lower] = [&clipped.pieces[0].corners, &clipped.pieces[1].corners];
        assert_eq!(upper.iter().map(|corner| corner.id.as_str()).collect::<Vec<_>>(), ["c1.2", "c2"]);
        assert_eq!(upper[1], other);
        assert_eq!(lower.len(), 1);
        assert!((lower[0].length_mm - 20.0).abs() < 1e-9 && (upper[0].length_mm - 30.0).abs() < 1e-9);
        assert!((lower[0].radius_mm - 2.0).abs() < 1e-9 && (upper[0].radius_mm - 4.0).abs() < 1e-9);
        assert!((lower[0].radius_mean_mm - 3.0).abs() < 1e-9 && (upper[0].radius_mean_mm - 5.5).abs() < 1e-9);
    }

    #[test]
    fn a_corner_belongs_to_the_piece_on_whose_facets_it_lies_not_to_a_half_space() {
        let planes = [plane("waist", [0.0, 0.0, 25.0], [0.0, 0.0, 1.0])];
        // Two boxes beside each other, both cut: each half-space holds two pieces.
        let mesh = together(&cuboid([20.0, 30.0, 50.0]), &turned(cuboid([20.0, 30.0, 50.0]), 0.0, [100.0, 0.0, 0.0]));
        let result = split(&mesh, &planes);
        assert_eq!(result.pieces.len(), 4);
        let on_second = corner("c1", &[([100.0, 0.0, 50.0], 0.0), ([120.0, 0.0, 50.0], 0.0)]);
        let clipped = clip_corners(&[on_second], &[], &planes, &result.pieces);
        let owner = clipped.pieces.iter().position(|piece| !piece.corners.is_empty()).unwrap();
        assert!(result.pieces[owner].on_plus_side[0]);
        assert!(result.pieces[owner].mesh().bounds().unwrap().least.x > 50.0);
    }

    #[test]
    fn a_closed_corner_cut_twice_gives_two_runs_and_the_one_through_its_start_stays_whole() {
        let planes = [plane("s", [1.0, 0.0, 0.0], [0.0, 1.0, 0.0])];
        let result = split(&tube(50.0, 30.0, [64, 2]), &planes);
        let ring: Vec<_> = (0..=64)
            .map(|k| {
                let angle = std::f64::consts::TAU * (f64::from(k % 64) + 16.0) / 64.0;
                ([50.0 * crate::maths::cos(angle), 50.0 * crate::maths::sin(angle), 30.0], 3.0)
            })
            .collect();
        let ring = corner("c9", &ring);
        let clipped = clip_corners(std::slice::from_ref(&ring), &[], &planes, &result.pieces);
        let parts: Vec<_> = clipped.pieces.iter().flat_map(|piece| &piece.corners).collect();
        assert_eq!(parts.len(), 2);
        let sum: f64 = parts.iter().map(|part| part.length_mm).sum();
        assert!((sum - ring.length_mm).abs() < 1e-9);
        assert!(parts.iter().all(|part| (part.length_mm / ring.length_mm - 0.5).abs() < 1e-6));
    }

    #[test]
    fn a_sharp_corner_along_the_split_is_no_corner_any_more_and_is_told() {
        let planes = [plane("tread", [0.0, 0.0, 30.0], [0.0, 0.0, 1.0])];
        let result = split(&steps(&[0.0, 30.0, 60.0], 60.0, 80.0), &planes);
        // The tread went up, so that the edge to the riser below it is cut; the edge to the riser above is not.
        let below = corner("c1", &[([60.0, 0.0, 30.0], 0.0), ([60.0, 80.0, 30.0], 0.0)]);
        let above = corner("c2", &[([120.0, 0.0, 30.0], 0.0), ([120.0, 80.0, 30.0], 0.0)]);
        let clipped = clip_corners(&[below, above], &[], &planes, &result.pieces);
        assert_eq!(clipped.along_splits.len(), 1);
        assert_eq!((clipped.along_splits[0].corner.as_str(), clipped.along_splits[0].length_mm), ("c1", 80.0));
        let left: Vec<_> = clipped.pieces.iter().flat_map(|piece| &piece.corners).map(|corner| &corner.id).collect();
        assert_eq!(left, ["c2"]);
    }

    #[test]
    fn points_go_with_their_piece_and_name_its_own_runs() {
        let planes = [plane("waist", [0.0, 0.0, 20.0], [0.0, 0.0, 1.0])];
        let result = split(&cuboid([20.0, 30.0, 50.0]), &planes);
        let along = corner("c1", &[([0.0, 0.0, 0.0], 2.0), ([0.0, 0.0, 50.0], 2.0)]);
        let meeting = CornerPoint {
            at_mm: Point::origin(),
            radius_mm: 2.0,
            kind: PointKind::Meeting,
            corners: vec!["c1".into(), "c12".into()],
        };
        let clipped = clip_corners(&[along], &[meeting], &planes, &result.pieces);
        assert!(clipped.pieces[0].points.is_empty());
        assert_eq!(clipped.pieces[1].points[0].corners, ["c1.1"]);
    }
}
