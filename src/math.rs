//! Numerics shared by the areas and no part of the public face.

/// The polynomial `c[0] + c[1] x + c[2] x² + …` by Horner's rule.
pub(crate) fn polynomial(x: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// A positive number to a power, to within a few units in the last place; zero stays zero.
pub(crate) fn power(base: f64, exponent: f64) -> f64 {
    (exponent * base.log2()).exp2()
}

/// What is left of `value` when whole turns are taken out, from 0 up to, by rounding alone, `turn` itself.
pub(crate) fn wrapped(value: f64, turn: f64) -> f64 {
    let left = value - (value / turn).floor() * turn;
    // Far out, where a double is wider than a turn, anything within one.
    (if left < 0.0 { left + turn } else { left }).max(0.0).min(turn)
}

/// The same value less as many turns as bring it within half a turn of zero.
pub(crate) fn nearest_zero(value: f64, turn: f64) -> f64 {
    value - turn * (value / turn).round()
}

/// `a` at 0, `b` at 1, straight between and beyond.
pub(crate) fn lerp(a: f64, b: f64, x: f64) -> f64 {
    a + (b - a) * x
}

/// A root of `f` between `a` and `b`, whose signs must differ, to within `tolerance` of the argument.
///
/// The Illinois form of regula falsi: it keeps its bracket and cannot leave it. Ends that do not
/// bracket a root return the end where `f` is nearer zero.
pub(crate) fn root(a: f64, b: f64, tolerance: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    root_of(a, b, tolerance, &mut f)
}

/// [`root`], compiled once for all functions.
fn root_of(mut a: f64, mut b: f64, tolerance: f64, f: &mut dyn FnMut(f64) -> f64) -> f64 {
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return a;
    }
    if fb == 0.0 {
        return b;
    }
    if (fa > 0.0) == (fb > 0.0) {
        return if fa.abs() < fb.abs() { a } else { b };
    }
    let mut kept = 0;
    for _ in 0..100 {
        if (b - a).abs() <= tolerance {
            break;
        }
        let x = (a * fb - b * fa) / (fb - fa);
        let x = if x > a.min(b) && x < a.max(b) { x } else { 0.5 * (a + b) };
        let fx = f(x);
        if fx == 0.0 {
            return x;
        }
        let before = if kept > 0 { b } else { a };
        if (fx > 0.0) == (fb > 0.0) {
            (b, fb) = (x, fx);
            if kept == 1 {
                fa *= 0.5;
            }
            kept = 1;
        } else {
            (a, fa) = (x, fx);
            if kept == -1 {
                fb *= 0.5;
            }
            kept = -1;
        }
        if (x - before).abs() <= tolerance {
            return x;
        }
    }
    0.5 * (a + b)
}

/// The roots of `f` on the way from `from` to `to`, either way, nearest to `from` first, each to within `tolerance`.
///
/// `f` is looked at every `stride` of the way: two roots between the same two looks are missed.
pub(crate) fn crossings(
    from: f64,
    to: f64,
    stride: f64,
    tolerance: f64,
    f: impl Fn(f64) -> f64,
) -> impl Iterator<Item = f64> {
    let way = to - from;
    let looks = (way.abs() / stride).ceil() as usize;
    let mut before = (from, f(from));
    (1..=looks).filter_map(move |i| {
        let x = from + way.signum() * (i as f64 * stride).min(way.abs());
        let (last, last_value) = before;
        before = (x, f(x));
        ((last_value > 0.0) != (before.1 > 0.0)).then(|| root(last, x, tolerance, &f))
    })
}

/// A root of `f` between `a` and `b`, sought from `guess` until a step is shorter than `tolerance` of the argument.
///
/// `f` gives a value, a slope and the slope's slope, of which the latter two need not be exact; steps are
/// Newton's with Chebyshev's correction for the bend. `growing` says that `f` is negative at `a` and positive at `b`,
/// else the reverse. Steps that leave the bracket are replaced by its middle.
pub(crate) fn newton(
    (mut a, mut b): (f64, f64),
    growing: bool,
    guess: f64,
    tolerance: f64,
    mut f: impl FnMut(f64) -> [f64; 3],
) -> f64 {
    let mut x = if guess > a && guess < b { guess } else { 0.5 * (a + b) };
    for _ in 0..100 {
        let [value, slope, bend] = f(x);
        if (value < 0.0) == growing {
            a = x;
        } else {
            b = x;
        }
        let straight = value / slope;
        // Near a turn of `f` the correction is no longer small, and no longer right.
        let bent = (0.5 * straight * bend / slope).clamp(-0.5, 0.5);
        let step = x - straight * (1.0 + bent);
        let next = if step > a && step < b { step } else { 0.5 * (a + b) };
        if (next - x).abs() <= tolerance {
            return next;
        }
        x = next;
    }
    x
}

/// A symmetric positive definite matrix, factored as L·Lᵀ so that it can be divided by.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cholesky {
    /// Rows of the lower triangle, each as long as its place.
    rows: Vec<Vec<f64>>,
}

impl Cholesky {
    /// Factors the matrix of `size` whose element in row i, column j ≤ i is `element(i, j)`.
    ///
    /// A pivot that rounding has left at or below zero is held just above it, so a matrix on the brink of
    /// singular still divides.
    pub(crate) fn new(size: usize, element: &dyn Fn(usize, usize) -> f64) -> Self {
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(size);
        for i in 0..size {
            let mut row: Vec<f64> = Vec::with_capacity(i + 1);
            for j in 0..i {
                row.push((element(i, j) - dot(&row, &rows[j][..j])) / rows[j][j]);
            }
            row.push((element(i, i) - dot(&row, &row)).max(f64::MIN_POSITIVE).sqrt());
            rows.push(row);
        }
        Self { rows }
    }

    /// The x for which L · x = `right`. The dot product of two such is that of one `right` with the other over the matrix.
    pub(crate) fn forward(&self, right: &[f64]) -> Vec<f64> {
        let mut x = right.to_vec();
        for (i, row) in self.rows.iter().enumerate() {
            x[i] = (x[i] - dot(&row[..i], &x[..i])) / row[i];
        }
        x
    }

    /// The smallest element of the diagonal of L; near zero for a matrix that is not positive definite.
    pub(crate) fn least_pivot(&self) -> f64 {
        self.rows.iter().filter_map(|row| row.last()).copied().fold(f64::INFINITY, f64::min)
    }

    /// The x for which matrix · x = `right`.
    pub(crate) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x = self.forward(right);
        for (i, row) in self.rows.iter().enumerate().rev() {
            x[i] /= row[i];
            for j in 0..i {
                x[j] -= row[j] * x[i];
            }
        }
        x
    }
}

/// The sum of products of two lists of one length.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_are_taken_off_as_far_as_half_a_one() {
        for (value, near) in [(190.0, -170.0), (-190.0, 170.0), (720.5, 0.5), (-10.0, -10.0)] {
            assert_eq!(nearest_zero(value, 360.0), near);
        }
    }

    #[test]
    fn horner_takes_the_lowest_power_first() {
        assert_eq!(polynomial(2.0, &[1.0, 3.0, 5.0]), 27.0);
        assert_eq!(polynomial(2.0, &[]), 0.0);
    }

    #[test]
    fn roots_of_a_cubic_and_of_a_steep_curve() {
        assert!((root(1.0, 2.0, 1e-12, |x| x * x * x - 2.0) - 2f64.cbrt()).abs() < 1e-10);
        assert!((root(0.0, 4.0, 1e-12, |x| x.exp() - 20.0) - 20f64.ln()).abs() < 1e-10);
        assert_eq!(root(0.0, 1.0, 1e-9, |x| x + 1.0), 0.0);
    }

    #[test]
    fn crossings_come_in_the_order_of_the_way() {
        let quarters = |from: f64, to: f64| -> Vec<f64> {
            let turns = crossings(from, to, 0.1, 1e-9, |x| (x * std::f64::consts::TAU).cos());
            turns.map(|x| (x * 4e6).round() / 1e6).collect()
        };
        assert_eq!(quarters(0.0, 1.3), [1.0, 3.0, 5.0]);
        assert_eq!(quarters(1.3, 0.0), [5.0, 3.0, 1.0]);
        assert!(quarters(0.1, 0.2).is_empty() && quarters(0.25, 0.25).is_empty());
    }

    #[test]
    fn newton_stays_in_its_bracket_and_bears_a_rough_slope() {
        let cosine = |x: f64| [x.cos(), -x.sin(), -x.cos()];
        assert!((newton((0.1, 3.1), false, 0.2, 1e-9, cosine) - 0.5 * std::f64::consts::PI).abs() < 1e-12);
        let rough = |x: f64| [x * x * x - 2.0, 4.0, 0.0];
        assert!((newton((-9.0, 9.0), true, f64::NAN, 1e-12, rough) - 2f64.cbrt()).abs() < 1e-9);
    }

    #[test]
    fn what_cholesky_divides_multiplies_back() {
        let element = |i: usize, j: usize| {
            if i == j { 3.0 + i as f64 } else { 1.0 / (1.0 + i.abs_diff(j) as f64) }
        };
        let right: Vec<f64> = (0..7).map(|i| f64::from(i).sin() - 0.3).collect();
        let x = Cholesky::new(7, &element).solve(&right);
        for (i, wanted) in right.iter().enumerate() {
            let got: f64 = x.iter().enumerate().map(|(j, x)| element(i, j) * x).sum();
            assert!((got - wanted).abs() < 1e-14, "row {i}: {got} for {wanted}");
        }
    }
}
