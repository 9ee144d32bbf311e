//! Takes a cut mesh apart into pieces with names that stay from run to run.

use super::super::mesh::{FaceId, Mesh, Point};
use super::super::refine::Refined;
use super::super::topology::HalfEdge;
use super::borders::Border;
use super::curves::{CutCurve, curve_of};
use super::{Cut, Plane};

/// A part of the surface that is built by itself.
#[derive(Debug, Clone)]
pub struct Piece {
    /// `a`, `b`, ... in the order of the list; the same from run to run.
    pub name: String,
    /// Its facets, each with the facet of the whole that it is a part of, and how they meet across cracks.
    pub refined: Refined,
    /// For each plane, whether it lies on the side that the normal points to.
    pub on_plus_side: Vec<bool>,
    /// Its cuts, at most one entry per plane, in the order of the planes. The piece on the other side lists the same.
    pub cuts: Vec<CutCurve>,
    /// Sides of its facets that lie along a cut, with the number of the plane, sorted.
    pub cut_sides: Vec<(HalfEdge, usize)>,
}

impl Piece {
    /// Its facets.
    #[must_use]
    pub const fn mesh(&self) -> &Mesh {
        &self.refined.mesh
    }

    /// For each of its facets, the facet of the whole mesh that it is a part of.
    #[must_use]
    pub fn source_faces(&self) -> &[FaceId] {
        &self.refined.source_faces
    }

    /// Area of its skin.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.refined.mesh.area_m2()
    }
}

/// Places nearer than this share of the part's size are alike when pieces are put in order, so that rounding does not
/// decide between pieces that lie side by side.
const ALIKE_FRACTION: f64 = 1e-4;

/// Takes the mesh apart by groups.
pub(super) fn take_apart(
    cut: &Cut,
    groups: &[u32],
    n_groups: usize,
    borders: &[Border],
    planes: &[(String, Plane)],
) -> Vec<Piece> {
    let mut faces: Vec<Vec<FaceId>> = vec![Vec::new(); n_groups];
    for (face, &group) in groups.iter().enumerate() {
        faces[group as usize].push(face as FaceId);
    }
    let order = order_of(cut, &faces);
    let mut place = vec![0; n_groups];
    order.iter().enumerate().for_each(|(number, &group)| place[group] = number);
    let mut along: Vec<Vec<&Border>> = vec![Vec::new(); n_groups];
    for border in borders {
        border.groups.iter().for_each(|&group| along[group as usize].push(border));
    }
    let piece = |(number, &group): (usize, &usize)| Piece {
        name: name_of(number),
        refined: cut.refined.subset(&faces[group]),
        on_plus_side: cut.sides.iter().map(|sides| sides[faces[group][0] as usize] > 0).collect(),
        cuts: cuts_of(group, &along[group], &place, planes),
        cut_sides: cut_sides_of(group as u32, &along[group], &faces[group]),
    };
    order.iter().enumerate().map(piece).collect()
}

/// The groups in order: plus before minus, plane by plane, then by the place of the centroid.
fn order_of(cut: &Cut, faces: &[Vec<FaceId>]) -> Vec<usize> {
    let alike_mm = ALIKE_FRACTION * cut.refined.mesh.bounds().map_or(1.0, |bounds| bounds.diagonal_mm());
    let key = |group: usize| {
        let minus: Vec<bool> = cut.sides.iter().map(|sides| sides[faces[group][0] as usize] < 0).collect();
        let centre = centroid_mm(&cut.refined.mesh, &faces[group]);
        let rounded = [centre.x, centre.y, centre.z].map(|x| (x / alike_mm).round() as i64);
        (minus, rounded, group)
    };
    let mut keys: Vec<_> = (0..faces.len()).map(key).collect();
    keys.sort();
    keys.into_iter().map(|(.., group)| group).collect()
}

fn centroid_mm(mesh: &Mesh, faces: &[FaceId]) -> Point {
    let mut area = 0.0;
    let mut moment = Point::origin().coords;
    for &face in faces {
        let share = mesh.face_area_mm2(face);
        area += share;
        moment += mesh.corners(face).iter().map(|corner| corner.coords).sum::<nalgebra::Vector3<f64>>() * (share / 3.0);
    }
    if area > 0.0 { Point::from(moment / area) } else { Point::origin() }
}

/// `a` to `z`, then `aa`, `ab`, ...
fn name_of(number: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = number;
    loop {
        letters.push(char::from(b'a' + (rest % 26) as u8));
        if rest < 26 {
            return letters.iter().rev().collect();
        }
        rest = rest / 26 - 1;
    }
}

fn cuts_of(group: usize, along: &[&Border], place: &[usize], planes: &[(String, Plane)]) -> Vec<CutCurve> {
    let curve = |split: usize| {
        let mut borders: Vec<&Border> =
            along.iter().copied().filter(|border| border.split == split && border.is_cut).collect();
        one_per_edge(&mut borders);
        let mut against: Vec<usize> = borders
            .iter()
            .flat_map(|border| border.groups)
            .filter(|&other| other as usize != group)
            .map(|other| place[other as usize])
            .collect();
        against.sort_unstable();
        against.dedup();
        (!borders.is_empty()).then(|| curve_of(&planes[split], &borders, against))
    };
    (0..planes.len()).filter_map(curve).collect()
}

/// On an edge where three or more facets meet, several pairs border on each other; it is cut once.
fn one_per_edge(borders: &mut Vec<&Border>) {
    let mut edges: Vec<(usize, _)> =
        borders.iter().enumerate().filter_map(|(number, border)| Some((number, border.edge?))).collect();
    edges.sort_unstable_by_key(|&(number, edge)| (edge, number));
    let mut again = vec![false; borders.len()];
    for pair in edges.windows(2) {
        again[pair[1].0] = pair[0].1 == pair[1].1;
    }
    let mut number = 0;
    borders.retain(|_| {
        number += 1;
        !again[number - 1]
    });
}

/// The piece's own sides along cuts, in its own numbers.
fn cut_sides_of(group: u32, along: &[&Border], faces: &[FaceId]) -> Vec<(HalfEdge, usize)> {
    let own = |border: &&Border| {
        let half = if border.groups[0] == group { border.plus } else { border.minus };
        let face = faces.partition_point(|&face| face < half.face()) as FaceId;
        (HalfEdge::new(face, half.side() as u32), border.split)
    };
    let mut sides: Vec<_> = along.iter().map(own).collect();
    sides.sort_unstable();
    sides.dedup();
    sides
}
