//! Periodic series: the form in which the motions of the Earth are published.
//!
//! A quantity is the sum of `t^p × A cos(B + C t)` over its terms, `t` counted in Julian millennia from J2000. Most of the
//! cost is in the cosines, and nearly always the sum is wanted at many equally spaced times. There a
//! term turns by the same angle from each time to the next, so one rotation (four products) takes the place of
//! the cosine. Rounding grows by about 1e-16 of a term's amplitude a step and is no concern here.

use crate::trigonometry::Trigonometry;

/// The terms `[A, B, C]` of each power of the time, from the 0th up.
pub(super) type Series<Number = f64> = &'static [&'static [[Number; 3]]];

/// Equally spaced times, Julian millennia from J2000.
#[derive(Debug, Clone, Copy)]
pub(super) struct Times {
    pub first: f64,
    pub step: f64,
    pub count: usize,
}

impl Times {
    /// The `i`th of them.
    pub fn at(&self, i: usize) -> f64 {
        self.first + self.step * i as f64
    }
}

/// The sum of a series at each of the times.
pub(super) fn sums<Number: Copy + Into<f64>>(series: Series<Number>, times: Times) -> Vec<f64> {
    let mut sums = vec![0.0; times.count];
    for (power, terms) in (0i32..).zip(series) {
        let mut of_power = vec![0.0; times.count];
        for term in *terms {
            let [amplitude, phase, rate] = term.map(Into::into);
            add_term(&mut of_power, amplitude, phase + rate * times.first, rate * times.step);
        }
        for (i, (sum, term)) in sums.iter_mut().zip(of_power).enumerate() {
            *sum += times.at(i).powi(power) * term;
        }
    }
    sums
}

/// Adds `amplitude × cos(angle + turn × i)` to the `i`th sum.
pub(super) fn add_term(sums: &mut [f64], amplitude: f64, angle: f64, turn: f64) {
    if let [only] = sums {
        *only += amplitude * angle.cosine();
        return;
    }
    let (turn_sin, turn_cos) = turn.sine_cosine();
    let (mut sin, mut cos) = angle.sine_cosine();
    (sin, cos) = (amplitude * sin, amplitude * cos);
    for sum in sums {
        *sum += cos;
        (sin, cos) = (sin * turn_cos + cos * turn_sin, cos * turn_cos - sin * turn_sin);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SERIES: Series = &[&[[2.0, 0.5, 30.0], [0.1, 1.0, 6000.0]], &[], &[[3.0, 0.2, 100.0]]];

    #[test]
    fn turning_terms_agree_with_their_cosines() {
        let times = Times { first: -0.05, step: 5.476e-6, count: 2000 };
        for (i, sum) in sums(SERIES, times).into_iter().enumerate() {
            let t = times.at(i);
            let direct = 2.0 * (0.5 + 30.0 * t).cos()
                + 0.1 * (1.0 + 6000.0 * t).cos()
                + t * t * 3.0 * (0.2 + 100.0 * t).cos();
            assert!((sum - direct).abs() < 1e-12, "{i}: {sum} {direct}");
            assert!((sums(SERIES, Times { first: t, step: 0.0, count: 1 })[0] - direct).abs() < 1e-12);
        }
    }
}
