//! Is a shape in the job twice, or are both hands of it?
//!
//! Shapes are compared by figures of the surface that no move or turn changes. With `M` the second and `T` the third
//! moments of the surface about its centroid, per area, and `v = T : 1`, these are the area, the invariants of `M`, and
//! `|v|`, `v M v`, `v M M v`. The triple product `v . (M v x M M v)` too is unchanged by a turn, but a mirror changes
//! its sign: it tells the hands apart. All are exact on flat facets, so another tessellation of a flat face is no other
//! shape.
//!
//! Source: own derivation; moments of a triangle by the four-point rule that is exact to the third degree (Hammer and
//! Stroud 1956, from memory; checked in the tests against the closed form).

use nalgebra::Matrix3;

use super::types::JobPart;
use crate::geometry::mesh::{Mesh, Point, Vector};
use crate::notes::Note;
use crate::units::m2_from_mm2;

/// How alike two shapes are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Likeness {
    /// The same shape, moved or turned.
    Same,
    /// The same shape as in a mirror.
    Mirrored,
    /// The same shape, and the mirror makes no difference to it (or none that these figures show).
    Either,
}

/// Relative difference up to which two figures are one. Below 1e-6 the rounding of an STL file (4 bytes a number) of a
/// panel far from the origin tells a shape from itself; at 1e-4 a panel of 2 m and one 0.1 mm longer are the same.
const SAME: f64 = 2e-6;
/// A shape whose handedness is less than this part of what it could be has none. Noise of f32 files reaches 1e-7.
const NO_HAND: f64 = 1e-6;

/// What stays the same of a surface however it is moved and turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fingerprint {
    /// Area in m2.
    pub area_m2: f64,
    /// Root mean square distance of the surface from its centroid, in mm.
    pub spread_mm: f64,
    /// Figures without unit, see the page.
    shape: [f64; 5],
    /// Changes its sign in a mirror; without unit.
    hand: f64,
}

impl Fingerprint {
    /// Of a mesh; nothing for one without area.
    #[must_use]
    pub fn of(mesh: &Mesh) -> Option<Self> {
        let centroid = mesh.surface_centroid_mm()?;
        let moments = Moments::of(mesh, &centroid)?;
        let spread_mm = moments.second.trace().sqrt();
        if !(spread_mm > 0.0 && spread_mm.is_finite()) {
            return None;
        }
        let second = moments.second / (spread_mm * spread_mm);
        let skew = moments.third / (spread_mm * spread_mm * spread_mm);
        let (once, twice) = (second * skew, second * second * skew);
        let shape = [(second * second).trace(), second.determinant(), skew.norm(), skew.dot(&once), skew.dot(&twice)];
        let hand = skew.dot(&once.cross(&twice));
        Some(Self { area_m2: m2_from_mm2(moments.area_mm2), spread_mm, shape, hand })
    }

    /// How alike two shapes are; nothing if they are not.
    #[must_use]
    pub fn likeness(&self, other: &Self) -> Option<Likeness> {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME * a.abs().max(b.abs());
        // Figures without unit are of order one for shapes that have them and noise for shapes that have not.
        let alike = |(a, b): (&f64, &f64)| (a - b).abs() <= SAME;
        let same = near(self.area_m2, other.area_m2)
            && near(self.spread_mm, other.spread_mm)
            && self.shape.iter().zip(&other.shape).all(alike);
        let most = self.most_hand().max(other.most_hand());
        let (a, b) = (self.hand, other.hand);
        match same {
            false => None,
            true if a.abs().max(b.abs()) <= NO_HAND * most => Some(Likeness::Either),
            true if (a > 0.0) == (b > 0.0) => Some(Likeness::Same),
            true => Some(Likeness::Mirrored),
        }
    }

    /// The most that `hand` could be with this skew.
    fn most_hand(&self) -> f64 {
        let skew = self.shape[2];
        skew * skew * skew
    }
}

/// What should be looked at before the parts of a job are built: one shape twice, or both hands of one that is mirrored
/// as well. Fingerprints are in the order of the parts; a part without one is passed over.
#[must_use]
pub fn twin_notes(parts: &[JobPart], prints: &[Option<Fingerprint>]) -> Vec<Note> {
    let mut notes = Vec::new();
    let known: Vec<(&JobPart, &Fingerprint)> =
        parts.iter().zip(prints).filter_map(|(part, print)| Some((part, print.as_ref()?))).collect();
    for (index, &(part, print)) in known.iter().enumerate() {
        for &(other, other_print) in &known[index + 1..] {
            notes.extend(print.likeness(other_print).and_then(|likeness| twin_note(part, other, likeness)));
        }
    }
    notes
}

fn twin_note(part: &JobPart, other: &JobPart, likeness: Likeness) -> Option<Note> {
    let (one, two) = (&part.name, &other.name);
    let mirrored = [part, other].into_iter().find(|part| part.mirrored).map(|part| &part.name);
    match (likeness, mirrored) {
        (Likeness::Mirrored | Likeness::Either, Some(name)) => Some(Note::warning(
            "both-hands",
            format!(
                "parts \"{one}\" and \"{two}\" are the two hands of one shape, and \"{name}\" has `mirrored = true` as \
                 well: one hand would be built twice"
            ),
            format!("take `mirrored` out of \"{name}\", or take the other part out of the job"),
        )),
        (Likeness::Same | Likeness::Either, _) => Some(Note::warning(
            "same-shape",
            format!("parts \"{one}\" and \"{two}\" have the same shape; a mould is planned for each"),
            "if one mould is to serve both, keep one of them with `quantity = 2`",
        )),
        (Likeness::Mirrored, None) => None,
    }
}

struct Moments {
    area_mm2: f64,
    second: Matrix3<f64>,
    third: Vector,
}

impl Moments {
    /// About a point, per area: the second moments, and the third ones with two indices alike, summed.
    fn of(mesh: &Mesh, about: &Point) -> Option<Self> {
        // Weights and places of the four-point rule, exact to the third degree.
        const MIDDLE: f64 = -27.0 / 48.0;
        const OUTER: f64 = 25.0 / 48.0;
        let mut sum = Self { area_mm2: 0.0, second: Matrix3::zeros(), third: Vector::zeros() };
        for face in mesh.face_ids() {
            let area = mesh.face_area_mm2(face);
            let [a, b, c] = mesh.corners(face).map(|corner| corner - about);
            let middle = (a + b + c) / 3.0;
            let outer = [a, b, c].map(|corner| 0.4 * corner + 0.6 * middle);
            let mut add = |at: Vector, weight: f64| {
                sum.second += (weight * area) * at * at.transpose();
                sum.third += (weight * area * at.norm_squared()) * at;
            };
            add(middle, MIDDLE);
            outer.into_iter().for_each(|at| add(at, OUTER));
            sum.area_mm2 += area;
        }
        if !(sum.area_mm2 > 0.0 && sum.area_mm2.is_finite()) {
            return None;
        }
        Some(Self { area_mm2: sum.area_mm2, second: sum.second / sum.area_mm2, third: sum.third / sum.area_mm2 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Rotation3, Vector3};

    /// A bracket with three unequal arms: no mirror turns it into itself.
    fn bracket() -> Mesh {
        let mut mesh = Mesh::default();
        let arms = [[300.0, 40.0, 0.0], [20.0, 170.0, 30.0], [-15.0, 10.0, 90.0], [-60.0, -25.0, 5.0]];
        for corner in [[0.0; 3], arms[0], arms[1], arms[2], arms[3]] {
            mesh.points_mm.push(Point::from(corner));
        }
        mesh.faces = vec![[0, 1, 2], [0, 2, 3], [0, 3, 4], [0, 4, 1]];
        mesh
    }

    fn moved(mesh: &Mesh, change: impl Fn(Vector) -> Vector) -> Mesh {
        let points_mm = mesh.points_mm.iter().map(|point| Point::from(change(point.coords))).collect();
        Mesh { points_mm, faces: mesh.faces.clone() }
    }

    fn turned(mesh: &Mesh) -> Mesh {
        let turn = Rotation3::from_scaled_axis(Vector3::new(0.3, -1.1, 0.7));
        moved(mesh, |at| turn * at + Vector3::new(1200.0, -350.0, 80.0))
    }

    fn likeness(a: &Mesh, b: &Mesh) -> Option<Likeness> {
        Fingerprint::of(a)?.likeness(&Fingerprint::of(b)?)
    }

    #[test]
    fn a_moved_and_turned_panel_is_the_same() {
        assert_eq!(likeness(&bracket(), &turned(&bracket())), Some(Likeness::Same));
    }

    #[test]
    fn the_other_hand_is_told_from_the_same_hand() {
        let other_hand = moved(&bracket(), |at| Vector3::new(-at.x, at.y, at.z));
        assert_eq!(likeness(&bracket(), &turned(&other_hand)), Some(Likeness::Mirrored));
        let mirrored_twice = moved(&other_hand, |at| Vector3::new(at.x, -at.y, at.z));
        assert_eq!(likeness(&bracket(), &mirrored_twice), Some(Likeness::Same));
    }

    #[test]
    fn a_panel_with_a_middle_plane_is_its_own_other_hand() {
        let mut flat = bracket();
        flat.points_mm.iter_mut().for_each(|point| point.z = 7.0);
        let other_hand = moved(&flat, |at| Vector3::new(-at.x, at.y, at.z));
        assert_eq!(likeness(&flat, &turned(&other_hand)), Some(Likeness::Either));
    }

    #[test]
    fn a_panel_that_is_a_tenth_of_a_millimetre_longer_is_another() {
        let longer = moved(&bracket(), |at| Vector3::new(at.x * (1.0 + 0.1 / 360.0), at.y, at.z));
        assert_eq!(likeness(&bracket(), &longer), None);
        assert_eq!(likeness(&bracket(), &moved(&bracket(), |at| at * 1.001)), None);
    }

    #[test]
    fn rounding_of_an_stl_file_makes_no_other_panel() {
        let rounded = moved(&turned(&bracket()), |at| at.map(|x| f64::from(x as f32)));
        assert_eq!(likeness(&bracket(), &rounded), Some(Likeness::Same));
    }

    /// Source: closed forms of a right triangle with legs p and q: integral of x x x = p^4 q / 20, of x x y = p^3 q^2 / 60.
    #[test]
    fn third_moments_of_a_triangle_agree_with_the_closed_form() {
        let (p, q) = (3.0_f64, 5.0_f64);
        let points_mm = [[0.0; 3], [p, 0.0, 0.0], [0.0, q, 0.0]].map(Point::from).to_vec();
        let mesh = Mesh { points_mm, faces: vec![[0, 1, 2]] };
        let moments = Moments::of(&mesh, &Point::origin()).expect("it has an area");
        let area = p * q / 2.0;
        let along_x = (p.powi(4) * q / 20.0 + p.powi(2) * q.powi(3) / 60.0) / area;
        assert!((moments.third.x - along_x).abs() < 1e-12 * along_x);
        assert!((moments.second[(0, 0)] - p * p / 6.0).abs() < 1e-12);
        assert!((moments.second[(0, 1)] - p * q / 12.0).abs() < 1e-12);
    }

    #[test]
    fn a_mesh_without_area_has_no_fingerprint() {
        assert_eq!(Fingerprint::of(&Mesh::default()), None);
        let points_mm = vec![Point::origin(); 3];
        assert_eq!(Fingerprint::of(&Mesh { points_mm, faces: vec![[0, 1, 2]] }), None);
    }
}
