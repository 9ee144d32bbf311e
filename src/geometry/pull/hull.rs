//! The point of a convex hull that lies nearest to the origin.
//!
//! Of all directions d the one with the greatest least `n . d` over a set of vectors n points from the origin to that point,
//! and its distance is that greatest least value: a theorem of minimum norm duality, and the search is the one of Gilbert,
//! Johnson and Keerthi (1988). Each round is one pass over the vectors.

use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};
use rayon::prelude::*;

use crate::geometry::mesh::Vector;

/// The search ends once no vector can bring the point nearer by more than this, as a squared length: a ten-thousandth of a
/// degree of draft.
const CLOSE: f64 = 1e-12;
/// Rounds after which it ends anyway; 3 to 10 are usual.
const MOST_ROUNDS: usize = 100;
/// From so many vectors on every [`STEP`]th is looked at first: each round over all of them takes milliseconds.
const MANY: usize = 100_000;
const STEP: usize = 64;
/// Vectors looked at by one thread at a time.
const CHUNK: usize = 1 << 14;

/// Where the hull comes nearest to the origin.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// The point; the origin itself if the hull holds it.
    pub point: Vector,
    /// At most four of the vectors whose hull holds the point, by number, with their shares, which add up to 1.
    pub support: Vec<(usize, f64)>,
}

/// The point nearest to the origin in the hull of the vectors; nothing for none.
#[must_use]
pub fn nearest(vectors: &[Vector]) -> Option<Nearest> {
    let mean: Vector = vectors.par_chunks(CHUNK).map(|chunk| chunk.iter().sum()).collect::<Vec<Vector>>().iter().sum();
    let first = if mean.norm() > 0.0 { least_along(vectors, &mean)?.0 } else { 0 };
    let start = Nearest { point: *vectors.get(first)?, support: vec![(first, 1.0)] };
    if vectors.len() < MANY {
        return approached(vectors, start);
    }
    // Of very many a few, evenly picked, lead close to the point first.
    let few: Vec<Vector> = vectors.iter().step_by(STEP).copied().collect();
    let close = nearest(&few)?;
    let support = close.support.into_iter().map(|(number, share)| (STEP * number, share)).collect();
    approached(vectors, Nearest { point: close.point, support })
}

/// Goes on from a point of the hull, held by at most four of the vectors, until none brings it nearer.
fn approached(vectors: &[Vector], start: Nearest) -> Option<Nearest> {
    let mut found = start;
    for _ in 0..MOST_ROUNDS {
        let (next, along) = least_along(vectors, &found.point)?;
        let length2 = found.point.norm_squared();
        if length2 - along < CLOSE || found.support.iter().any(|&(member, _)| member == next) {
            break;
        }
        let mut members: Vec<usize> = found.support.iter().map(|&(member, _)| member).collect();
        members.push(next);
        let nearer = of_few(vectors, &members);
        if nearer.point.norm_squared() >= length2 {
            break;
        }
        found = nearer;
    }
    Some(found)
}

/// The vector that reaches least along a direction, and how far; of equals the one of least number.
#[must_use]
pub fn least_along(vectors: &[Vector], direction: &Vector) -> Option<(usize, f64)> {
    let least_of = |(chunk, vectors): (usize, &[Vector])| {
        let mut least = (0, f64::INFINITY);
        for (number, vector) in vectors.iter().enumerate() {
            let along = vector.dot(direction);
            if along < least.1 {
                least = (CHUNK * chunk + number, along);
            }
        }
        least
    };
    let chunks: Vec<(usize, f64)> = vectors.par_chunks(CHUNK).enumerate().map(least_of).collect();
    chunks.into_iter().reduce(|one, other| if other.1 < one.1 { other } else { one })
}

/// The nearest point in the hull of at most five vectors: the nearest over all of their simplexes of one to four that hold
/// the foot of the perpendicular from the origin. Of equally near ones the smallest, so that the support is not padded.
fn of_few(vectors: &[Vector], members: &[usize]) -> Nearest {
    let mut best: Option<Nearest> = None;
    let mut subsets: Vec<u32> = (1..1u32 << members.len()).filter(|subset| subset.count_ones() <= 4).collect();
    subsets.sort_by_key(|subset| subset.count_ones());
    for subset in subsets {
        let chosen: Vec<usize> =
            members.iter().enumerate().filter(|(bit, _)| subset >> bit & 1 == 1).map(|(_, &member)| member).collect();
        let Some(shares) = foot(vectors, &chosen) else { continue };
        let point: Vector = chosen.iter().zip(&shares).map(|(&member, &share)| vectors[member] * share).sum();
        // A simplex of more vectors has to come nearer by more than rounding.
        if best.as_ref().is_none_or(|best| point.norm_squared() < best.point.norm_squared() - 1e-18) {
            best = Some(Nearest { point, support: chosen.into_iter().zip(shares).collect() });
        }
    }
    best.unwrap_or_else(|| Nearest { point: vectors[members[0]], support: vec![(members[0], 1.0)] })
}

/// Shares of the vectors at the foot of the perpendicular from the origin onto their span, if it lies within their simplex.
fn foot(vectors: &[Vector], chosen: &[usize]) -> Option<Vec<f64>> {
    let first = vectors[chosen[0]];
    let edges: Vec<Vector> = chosen[1..].iter().map(|&member| vectors[member] - first).collect();
    // Least squares of first + sum of t e: the normal equations, at most three by three.
    let rest: Vec<f64> = match edges.as_slice() {
        [] => Vec::new(),
        [a] => vec![-(a.dot(&first)) / positive(a.norm_squared())?],
        [a, b] => {
            let gram = Matrix2::new(a.dot(a), a.dot(b), a.dot(b), b.dot(b));
            let solved = gram.lu().solve(&Vector2::new(-a.dot(&first), -b.dot(&first)))?;
            solved.iter().copied().collect()
        }
        [a, b, c] => {
            let columns = Matrix3::from_columns(&[*a, *b, *c]);
            let solved: Vector3<f64> = columns.lu().solve(&-first)?;
            solved.iter().copied().collect()
        }
        _ => return None,
    };
    let own = 1.0 - rest.iter().sum::<f64>();
    let shares: Vec<f64> = std::iter::once(own).chain(rest).collect();
    shares.iter().all(|share| share.is_finite() && *share >= 0.0).then_some(shares)
}

fn positive(value: f64) -> Option<f64> {
    (value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_cone_of_normals_comes_nearest_on_its_axis() {
        let draft = crate::units::rad_from_deg(4.0);
        let (sin, cos) = crate::maths::sin_cos(draft);
        let normals: Vec<Vector> = (0..48)
            .map(|k| crate::maths::sin_cos(f64::from(k) * 0.7))
            .map(|(y, x)| Vector::new(cos * x, cos * y, sin))
            .collect();
        let found = nearest(&normals).expect("there are vectors");
        assert!((found.point.norm() - sin).abs() < 1e-9 && found.point.normalize().z > 1.0 - 1e-9, "{found:?}");
        let shares: f64 = found.support.iter().map(|(_, share)| share).sum();
        assert!((shares - 1.0).abs() < 1e-12 && found.support.len() <= 4);
    }

    #[test]
    fn a_hull_round_the_origin_comes_to_it() {
        let normals = [Vector::x(), -Vector::x(), Vector::y(), -Vector::y(), Vector::z(), -Vector::z()];
        let found = nearest(&normals).expect("there are vectors");
        assert!(found.point.norm() < 1e-9 && found.support.len() == 2, "two opposed faces are enough: {found:?}");
        assert!(nearest(&[]).is_none());
    }
}
