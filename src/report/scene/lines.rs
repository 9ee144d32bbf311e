//! The lines on a face: corners, splits, edges.

use super::{Line, LineKind, pull};
use crate::geometry::corners::Corner;
use crate::geometry::edges::EdgeLoop;
use crate::geometry::mesh::Point;
use crate::geometry::pull::outlines;
use crate::geometry::refine::nearest::nearest_on_segment;
use crate::geometry::survey::Survey;
use crate::plan::PiecePlan;
use crate::report::thin::kept;

/// A line is drawn through as few of its points as keep the others within this distance. Larger: a corner leaves the face
/// where one looks closely; smaller: corners of a large panel, with a station every few mm, weigh more than its facets.
const STRAIGHT_WITHIN_MM: f64 = 0.1;

/// The lines of a piece.
pub(super) fn of_piece(piece: &PiecePlan) -> Vec<Line> {
    let corners = piece.corners.iter().map(|met| of_corner(&met.corner));
    let splits = piece
        .splits
        .iter()
        .flat_map(|split| split.lines_mm.iter().map(|line| drawn(LineKind::Split, &split.name, line.iter().copied())));
    let edges = piece.edges.iter().flat_map(|edge| {
        edge.lines_mm.iter().map(|line| drawn(LineKind::Edge, edge.kind.word(), line.iter().copied()))
    });
    let release = piece.release.iter().flat_map(|release| {
        let mesh = &piece.coverage.refined.mesh;
        pull::lines(mesh, &release.pull, &release.undercut_lines_mm, release.split.as_ref())
    });
    corners.chain(splits).chain(edges).chain(release).filter(is_line).collect()
}

/// The lines of a panel that was only measured.
pub(super) fn of_panel(survey: &Survey, loops: &[EdgeLoop]) -> Vec<Line> {
    let edges = loops.iter().map(|edge| drawn(LineKind::Edge, role_word(edge), edge.polyline_mm.iter().copied()));
    let (mesh, corners) = (survey.laid_mesh(), &survey.listed.corners);
    let pull =
        survey.pull.iter().flat_map(|of| pull::lines(mesh, of, &outlines(mesh, &of.undercuts), survey.split.as_ref()));
    corners.iter().map(of_corner).chain(edges).chain(pull).filter(is_line).collect()
}

fn of_corner(corner: &Corner) -> Line {
    drawn(LineKind::Corner, &corner.id, corner.path.iter().map(|station| station.at_mm))
}

const fn role_word(edge: &EdgeLoop) -> &'static str {
    use crate::geometry::edges::LoopRole;
    match edge.role {
        LoopRole::OuterEdge => "outer-edge",
        LoopRole::Opening => "opening",
        LoopRole::OpenEnd => "open-end",
    }
}

pub(super) fn drawn(kind: LineKind, name: &str, points: impl Iterator<Item = Point>) -> Line {
    let points: Vec<Point> = points.collect();
    Line { kind, name: name.to_owned(), path_mm: fewer_points(&points, STRAIGHT_WITHIN_MM) }
}

/// A line of one place cannot be drawn.
fn is_line(line: &Line) -> bool {
    line.path_mm.windows(2).any(|pair| pair[0] != pair[1])
}

/// The line through some of its points, ends among them, such that no other is farther off than `within_mm`.
fn fewer_points(points: &[Point], within_mm: f64) -> Vec<Point> {
    let stray_mm = |point: usize, from: usize, to: usize| {
        (nearest_on_segment(&points[point], points[from], points[to]) - points[point]).norm()
    };
    kept(points.len(), within_mm, stray_mm).into_iter().map(|point| points[point]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::refine::nearest::distance_to_line_mm;
    use crate::maths::sin_cos;

    #[test]
    fn a_line_keeps_its_ends_and_strays_no_farther_than_said() {
        let points: Vec<Point> = (0..=500)
            .map(|k| {
                let (sin, cos) = sin_cos(f64::from(k) * 0.004);
                Point::new(40.0 * cos, 25.0 * sin, 0.2 * f64::from(k))
            })
            .collect();
        let line = fewer_points(&points, 0.1);
        assert!(line.len() < 40 && line.len() > 5, "{}", line.len());
        assert_eq!((line.first(), line.last()), (points.first(), points.last()));
        for point in &points {
            assert!(distance_to_line_mm(point, &line) <= 0.1);
        }
    }

    #[test]
    fn a_closed_line_stays_closed_and_a_straight_one_becomes_its_ends() {
        let corners = [(0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0), (0.0, 0.0)];
        let square = corners.map(|(x, y)| Point::new(x, y, 7.0));
        assert_eq!(fewer_points(&square, 0.1), square);
        let straight: Vec<Point> = (0..9).map(|k| Point::new(f64::from(k), 2.0 * f64::from(k), 1.0)).collect();
        assert_eq!(fewer_points(&straight, 0.1), [straight[0], straight[8]]);
    }

    #[test]
    fn a_line_of_one_place_is_not_drawn() {
        let place = Point::new(1.0, 2.0, 3.0);
        let line = |points: Vec<Point>| drawn(LineKind::Edge, "edge", points.into_iter());
        assert!(!is_line(&line(vec![place])) && !is_line(&line(vec![place, place])) && !is_line(&line(vec![])));
        assert!(is_line(&line(vec![place, Point::origin()])));
    }
}
