//! The cuts as curves: where they run, how long they are, how far they turn.

use super::super::edges::chain::{Chain, chains};
use super::super::edges::turning;
use super::super::mesh::Point;
use super::borders::Border;
use super::{CRACK_GAP_MM, Plane};

/// All cuts of one plane along the border of one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct CutCurve {
    /// Name of the split.
    pub split: String,
    /// The lines, each in one go.
    pub lines: Vec<CutLine>,
    /// Length of all lines.
    pub length_mm: f64,
    /// The other pieces along it, as numbers in the list of pieces, in order.
    pub against: Vec<usize>,
}

/// One line of a cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutLine {
    /// From end to end; a closed one repeats its first point. With the outward side of the surface facing the viewer, the
    /// plus side of the plane lies to the left.
    pub polyline_mm: Vec<Point>,
    /// It meets itself.
    pub closed: bool,
    /// Length; a jump across a crack counts nothing.
    pub length_mm: f64,
    /// How far it turns in the plane of the cut, seen from the outward side of the surface: positive where it is convex (a
    /// cut round the outside of a tube turns by 2 pi). Of a flange that stands out from the outward side this is what it
    /// gains: width w along it has the area length w + turning w^2 / 2. From the inward side it is the negative.
    pub turning_rad: f64,
}

/// The curves from the borders of one piece with one split, in the order of their first stretch.
pub(super) fn curve_of(split: &(String, Plane), borders: &[&Border], against: Vec<usize>) -> CutCurve {
    let ends: Vec<[Point; 2]> = borders.iter().map(|border| border.ends_mm).collect();
    let lines: Vec<CutLine> =
        chains(&ends, |_| None, CRACK_GAP_MM).iter().map(|chain| line_of(chain, borders, &split.1)).collect();
    let length_mm = lines.iter().map(|line| line.length_mm).sum();
    CutCurve { split: split.0.clone(), lines, length_mm, against }
}

fn line_of(chain: &Chain, borders: &[&Border], plane: &Plane) -> CutLine {
    let links: Vec<&Border> = chain.links.iter().map(|&link| borders[link]).collect();
    let mut polyline_mm: Vec<Point> = Vec::with_capacity(links.len() + 1);
    for link in &links {
        if polyline_mm.last() != Some(&link.ends_mm[0]) {
            polyline_mm.push(link.ends_mm[0]);
        }
        polyline_mm.push(link.ends_mm[1]);
    }
    if chain.closed && polyline_mm.last() != polyline_mm.first() {
        polyline_mm.push(polyline_mm[0]);
    }
    // The line runs with plus on its left, so the outward side is on the right of it, seen from plus: what bends to the
    // left is convex. Adding zero makes one zero of both.
    let turning_rad = turning(&polyline_mm, chain.closed, &plane.unit_normal, CRACK_GAP_MM).net_rad() + 0.0;
    CutLine {
        polyline_mm,
        closed: chain.closed,
        length_mm: links.iter().map(|link| (link.ends_mm[1] - link.ends_mm[0]).norm()).sum(),
        turning_rad,
    }
}
