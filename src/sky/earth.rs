//! How the Earth turns and nods: sidereal time, the tilt of its axis, its lag behind uniform time, and so the turn from
//! the ecliptic to its equator.
//!
//! Precession and sidereal time are IAU 2006 (Capitaine, Wallace and Chapront 2003; IERS Conventions 2010, chapter 5), the
//! nutation is the larger lunisolar part of IAU 2000A. Against the full models the sidereal angle
//! is good to 0.005″ for 1950–2050. The motion of the pole itself, up to 0.5″, is left out.

use std::f64::consts::TAU;

use super::delta_t_terms::{DELTA_T, YEARS};
use super::nutation_terms::{EPSILON, PSI};
use super::series::{Times, sums};
use crate::math::{lerp, nearest_zero, polynomial};
use crate::trigonometry::Trigonometry;

/// One second of arc, radians.
pub(super) const ARCSECOND: f64 = TAU / 1_296_000.0;

/// The tilt of the axis and the equinox at one time, radians.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    /// Nutation in longitude.
    pub nutation: f64,
    /// Obliquity of the ecliptic, nutation included.
    pub obliquity: f64,
    /// What the sidereal angle has beyond the Earth's rotation: precession and the equation of the equinoxes.
    pub equinox: f64,
}

/// The axis at each of the times.
pub(super) fn axes(times: Times) -> Vec<Axis> {
    let (psi, epsilon) = (sums(PSI, times), sums(EPSILON, times));
    psi.into_iter()
        .zip(epsilon)
        .enumerate()
        .map(|(i, (nutation, nodding))| {
            let t = 10.0 * times.at(i);
            let (mean, precession) =
                (mean_obliquity(t), polynomial(t, &[0.014506, 4612.156534, 1.3915817]) * ARCSECOND);
            let node = (450_160.398 - 6_962_890.543 * t) * ARCSECOND;
            let small = 0.00264 * node.sine() * ARCSECOND;
            Axis {
                nutation,
                obliquity: mean + nodding,
                equinox: precession + nutation * mean.cosine() + small,
            }
        })
        .collect()
}

/// The obliquity without the nutation's 9″, at Julian centuries from J2000.
pub(super) fn mean_obliquity(t: f64) -> f64 {
    polynomial(t, &[84381.406, -46.836769, -0.0001831, 0.00200340]) * ARCSECOND
}

/// How far the Earth has turned at a UT1 day, less the whole turn it makes in a mean solar day: the
/// part of the Earth rotation angle that grows by 0.99° a day. Radians, not wrapped.
pub(super) fn turned(day: f64) -> f64 {
    TAU * (0.779_057_273_264 + 0.002_737_811_911_354_48 * day)
}

/// The sun or the moon as seen from the middle of the Earth, in radians.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Apparent {
    /// What the hour angle at Greenwich has beyond a turn for each UT1 day: of the sun, apparent less mean solar time.
    pub equation_of_time: f64,
    /// Angle north of the equator.
    pub declination: f64,
    /// The Earth's equatorial radius over the distance: the horizontal parallax, or for the moon its sine.
    pub parallax: f64,
}

impl Axis {
    /// What stands at an apparent ecliptic longitude and latitude, at a UT1 day counted from J2000.
    #[inline(never)]
    pub fn towards(&self, longitude: f64, latitude: f64, parallax: f64, day: f64) -> Apparent {
        let (sin_l, cos_l) = longitude.sine_cosine();
        let (sin_b, cos_b) = latitude.sine_cosine();
        let (sin_e, cos_e) = self.obliquity.sine_cosine();
        let right_ascension = (sin_l * cos_b * cos_e - sin_b * sin_e).atan2(cos_l * cos_b);
        Apparent {
            equation_of_time: nearest_zero(turned(day) + self.equinox - right_ascension, TAU),
            declination: (sin_b * cos_e + cos_b * sin_e * sin_l).arc_sine(),
            parallax,
        }
    }
}

/// Uniform time at `count` UT1 days counted from J2000, `step` apart.
///
/// The lag of the Earth behind uniform time is taken to grow evenly through them.
pub(super) fn uniform(first: f64, step: f64, count: usize) -> Times {
    let start = millennia(first);
    let steps = count.saturating_sub(1).max(1) as f64;
    Times { first: start, step: (millennia(first + steps * step) - start) / steps, count }
}

/// Julian millennia of uniform time from J2000 at a UT1 day counted from there.
///
/// The lag is uncertain by seconds after 2030, which moves the sun by 0.04″ a second.
fn millennia(day: f64) -> f64 {
    (day + delta_t(day) / 86_400.0) / 365_250.0
}

/// TT − UT1 in seconds, straight between the years of the table and level beyond.
fn delta_t(day: f64) -> f64 {
    let (first, step) = YEARS;
    let place = ((2000.0 + day / 365.25 - first) / step).clamp(0.0, (DELTA_T.len() - 1) as f64);
    let before = (place as usize).min(DELTA_T.len() - 2);
    lerp(DELTA_T[before], DELTA_T[before + 1], place - before as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lag_is_the_published_one() {
        // IERS: 63.83 s at 2000.0, 66.07 s at 2010.0; Morrison et al. 2021: −1.98 s at 1900.
        for (year, seconds) in [(1900.0, -1.98), (2000.0, 63.83), (2010.0, 66.07)] {
            assert!((delta_t((year - 2000.0) * 365.25) - seconds).abs() < 0.05, "{year}");
        }
        assert_eq!(delta_t(-1e9), DELTA_T[0]);
        assert_eq!(delta_t(1e9), DELTA_T[DELTA_T.len() - 1]);
    }

    #[test]
    fn nutation_at_a_worked_example() {
        // Meeus, Astronomical Algorithms, example 22.a: 1987 April 10, 0h TD; Δψ −3.788″, ε 23°26′36.85″.
        let millennia = (2_446_895.5 - 2_451_545.0) / 365_250.0;
        let axis = axes(Times { first: millennia, step: 0.0, count: 1 })[0];
        assert!((axis.nutation / ARCSECOND + 3.788).abs() < 0.01, "{}", axis.nutation / ARCSECOND);
        let obliquity = axis.obliquity / ARCSECOND - (23.0 * 3600.0 + 26.0 * 60.0);
        assert!((obliquity - 36.85).abs() < 0.06, "{obliquity}");
    }
}
