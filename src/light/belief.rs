//! What is held to be true of an evening's unknowns, and how firmly.
//!
//! There are six: an offset for each intent, the shape, the floor. They are held together, so that a reading of one
//! intent teaches the others what they have in common.

use super::normal::Normal;
use super::scene::Intent;
use crate::math::Cholesky;

/// The number of unknowns of the light.
pub(crate) const UNKNOWNS: usize = 6;

/// The place of the shape among them, after the offsets in the order of [`Intent`].
pub(crate) const SHAPE: usize = 4;

/// The place of the floor.
pub(crate) const FLOOR: usize = 5;

/// A number for each unknown.
pub(crate) type Vector = [f64; UNKNOWNS];

/// A number for each pair of unknowns, symmetric.
pub(crate) type Matrix = [Vector; UNKNOWNS];

/// A joint normal distribution of the unknowns.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    pub(crate) mean: Vector,
    pub(crate) covariance: Matrix,
}

impl Belief {
    /// From each unknown by itself: the offset in stops, of every intent, the shape, the floor in EV at ISO 100.
    pub fn independent(offset: Normal, shape: Normal, floor: Normal) -> Self {
        let unknowns = [offset, offset, offset, offset, shape, floor];
        let mut covariance = [[0.0; UNKNOWNS]; UNKNOWNS];
        for (i, unknown) in unknowns.iter().enumerate() {
            covariance[i][i] = unknown.sd * unknown.sd;
        }
        Self { mean: unknowns.map(|unknown| unknown.mean), covariance }
    }

    /// How far an exposure for the intent lies from one for the mean of the low sky, stops.
    pub fn offset(&self, intent: Intent) -> Normal {
        self.unknown(intent as usize)
    }

    /// How strongly the sky follows the computed direction, about 0 to 1.
    pub fn shape(&self) -> Normal {
        self.unknown(SHAPE)
    }

    /// The brightness of the lamps alone, EV at ISO 100.
    pub fn floor(&self) -> Normal {
        self.unknown(FLOOR)
    }

    fn unknown(&self, i: usize) -> Normal {
        Normal::new(self.mean[i], self.covariance[i][i].sqrt())
    }

    /// The variance of a sum of the unknowns with these weights.
    pub(crate) fn variance(&self, weights: &Vector) -> f64 {
        let row = |i: usize| (0..UNKNOWNS).map(|j| self.covariance[i][j] * weights[j]).sum::<f64>();
        (0..UNKNOWNS).map(|i| weights[i] * row(i)).sum()
    }

    /// The inverse of the covariance.
    pub(crate) fn precision(&self) -> Matrix {
        inverse(&self.covariance)
    }
}

/// The x for which `matrix` · x = `right`; the matrix symmetric, positive definite.
#[inline(never)]
pub(crate) fn divide(matrix: &Matrix, right: &Vector) -> Vector {
    let solved = Cholesky::new(UNKNOWNS, &|i, j| matrix[i][j]).solve(right);
    std::array::from_fn(|i| solved[i])
}

/// The inverse of a symmetric positive definite matrix.
pub(crate) fn inverse(matrix: &Matrix) -> Matrix {
    std::array::from_fn(|i| {
        let mut unit = [0.0; UNKNOWNS];
        unit[i] = 1.0;
        divide(matrix, &unit)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_unknowns_add_their_variances_by_the_square_of_the_weight() {
        let belief = Belief::independent(Normal::new(0.0, 2.0), Normal::new(1.0, 0.5), Normal::new(4.0, 1.0));
        assert!((belief.variance(&[0.0, 1.0, 0.0, 0.0, -2.0, 3.0]) - (4.0 + 1.0 + 9.0)).abs() < 1e-12);
        assert_eq!(belief.floor(), Normal::new(4.0, 1.0));
    }

    #[test]
    fn the_inverse_times_the_matrix_is_one() {
        let matrix: Matrix = std::array::from_fn(|i| {
            std::array::from_fn(|j| if i == j { 3.0 + i as f64 } else { 0.5 - 0.1 * (i + j) as f64 })
        });
        let inverse = inverse(&matrix);
        for (i, row) in matrix.iter().enumerate() {
            let back = divide(&matrix, row);
            for (j, got) in back.iter().enumerate() {
                let one = f64::from(u8::from(i == j));
                assert!((got - one).abs() < 1e-14, "row {i}: {back:?}");
                let product: f64 = row.iter().zip(&inverse).map(|(a, inverse)| a * inverse[j]).sum();
                assert!((product - one).abs() < 1e-14, "{i} {j}: {product}");
            }
        }
    }
}
