//! Axes of a symmetric matrix of three rows.

use super::mesh::Vector;
use crate::maths::{atan2, sin_cos};

/// One axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Unit vector along it.
    pub direction: Vector,
    /// The matrix's eigenvalue there.
    pub value: f64,
}

/// Eigenvectors of a symmetric matrix by descending eigenvalue, by Jacobi's rotations.
#[must_use]
pub fn principal_axes(mut matrix: [[f64; 3]; 3]) -> [Axis; 3] {
    let mut vectors = [Vector::x(), Vector::y(), Vector::z()];
    for _sweep in 0..16 {
        for (p, q) in [(0, 1), (0, 2), (1, 2)] {
            if matrix[p][q] == 0.0 {
                continue;
            }
            let (sin, cos) = sin_cos(0.5 * atan2(2.0 * matrix[p][q], matrix[p][p] - matrix[q][q]));
            for row in &mut matrix {
                (row[p], row[q]) = (cos * row[p] + sin * row[q], cos * row[q] - sin * row[p]);
            }
            let (row_p, row_q) = (matrix[p], matrix[q]);
            matrix[p] = std::array::from_fn(|column| cos * row_p[column] + sin * row_q[column]);
            matrix[q] = std::array::from_fn(|column| cos * row_q[column] - sin * row_p[column]);
            (vectors[p], vectors[q]) = (vectors[p] * cos + vectors[q] * sin, vectors[q] * cos - vectors[p] * sin);
        }
    }
    let mut order = [0, 1, 2];
    order.sort_by(|&a, &b| matrix[b][b].total_cmp(&matrix[a][a]));
    order.map(|axis| Axis { direction: vectors[axis], value: matrix[axis][axis] })
}

/// Two unit directions square to a unit direction and to each other; the first is square to the axis least like it.
#[must_use]
pub fn square_to(direction: &Vector) -> [Vector; 2] {
    let mut axis = Vector::zeros();
    axis[direction.abs().imin()] = 1.0;
    let one = direction.cross(&axis).normalize();
    [one, direction.cross(&one)]
}

/// Sum of weight times `v v'`, for [`principal_axes`].
pub fn spread(vectors: impl IntoIterator<Item = (Vector, f64)>) -> [[f64; 3]; 3] {
    let mut matrix = [[0.0; 3]; 3];
    for (vector, weight) in vectors {
        for (row, line) in matrix.iter_mut().enumerate() {
            for (column, entry) in line.iter_mut().enumerate() {
                *entry += weight * vector[row] * vector[column];
            }
        }
    }
    matrix
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_of_a_turned_ellipsoid_are_its_own() {
        let (sin, cos) = sin_cos(0.4);
        let axes = [Vector::new(cos, sin, 0.0), Vector::new(-sin, cos, 0.0), Vector::z()];
        let found = principal_axes(spread(axes.into_iter().zip([2.0, 9.0, 5.0])));
        for (axis, (wanted, value)) in found.iter().zip([(axes[1], 9.0), (axes[2], 5.0), (axes[0], 2.0)]) {
            assert!((axis.value - value).abs() < 1e-12);
            assert!((axis.direction.dot(&wanted).abs() - 1.0).abs() < 1e-12);
        }
    }
}
