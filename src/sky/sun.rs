//! Where the sun stands.
//!
//! The Earth's way around the sun is VSOP87D (Bretagnon and Francou 1988) without the terms below 0.01″; light-time and
//! aberration, nutation, parallax and the aberration of the turning ground are applied. *Expected error*
//! against JPL's DE421 for 1950–2050: 0.15″ for an observer, 0.03″ in the root mean square; it grows slowly outside. Left out: the motion of the pole (0.5″ at most) and the difference of UTC from UT1 (up to 0.9 s
//! of time, 13″ of hour angle), of which no forecast is needed here.

use std::f64::consts::PI;

use super::earth::{ARCSECOND, Apparent, axes, uniform};
use super::observer::Observer;
use super::place::Place;
use super::refraction::Atmosphere;
use super::series::sums;
use super::sun_terms::{B, L, L_LARGE, R};
use crate::units::{Angle, Bearing, Instant};

/// Where the sun stands for one observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Height of the sun's centre above the horizontal, geometric (as if there were no air), topocentric.
    pub altitude: Angle,
    /// The same as it looks through the standard atmosphere of that elevation.
    pub apparent_altitude: Angle,
    /// Direction along the horizon from true north.
    pub azimuth: Bearing,
}

/// Where the sun stands, seen from `place` at `at`.
///
/// ```
/// use duskbook::{sky::{place::Place, sun}, units::Instant};
/// // On the equator at the equinox of 2024 (March 20, 03:06 UTC) the sun rises due east.
/// let place = Place::new(0.0, 45.0, 0.0).unwrap();
/// let sun = sun::position(&place, Instant::from_epoch_ms(1_710_903_960_000.0).unwrap());
/// assert!((sun.azimuth.degrees() - 90.0).abs() < 0.01);
/// ```
pub fn position(place: &Place, at: Instant) -> SunPosition {
    let day = at.days_from_j2000();
    SunPosition::seen(place, day, apparent(day, 0.0, 1)[0])
}

impl SunPosition {
    /// The sun as it is seen from a place at a UT1 day counted from J2000.
    pub(super) fn seen(place: &Place, day: f64, sun: Apparent) -> Self {
        let observer = Observer::at(place);
        let sight = observer.sees(sun, day);
        let altitude = sight.altitude();
        let apparent_altitude = Atmosphere::at(place.elevation()).apparent(altitude);
        Self { altitude, apparent_altitude, azimuth: sight.azimuth() }
    }
}

/// Aberration at the mean distance, light-time included: it falls off as the distance, because the area swept in a
/// time stays the same (Meeus, Astronomical Algorithms, 25.10; within 0.01″).
const ABERRATION: f64 = 20.4898 * ARCSECOND;
/// Radius of the sun in equatorial radii of the Earth, as it looks: 959.63″ at the mean distance, over the parallax there.
pub(super) const RADIUS: f64 = 959.63 / 8.794143;
/// Parallax at the mean distance (IAU).
const PARALLAX: f64 = 8.794143 * ARCSECOND;

/// From the equinox of VSOP87 to that of IAU 2006, at J2000 and for each century.
///
/// The drift is the correction of the old rate of precession (−0.300″ a century, Capitaine, Wallace and
/// Chapront 2003), the constant that of the old catalogue's zero (−0.090″ to FK5, Meeus 32.3); the digits here
/// are the mean difference from DE421 over 1950–2050, from which no published value is more than 0.02″ away.
const EQUINOX: [f64; 2] = [-0.0730 * ARCSECOND, -0.2810 * ARCSECOND];

/// The sun at UT1 days counted from J2000: `count` of them, `step` apart.
pub(super) fn apparent(first: f64, step: f64, count: usize) -> Vec<Apparent> {
    let times = uniform(first, step, count);
    let (large, longitudes) = (sums(L_LARGE, times), sums(L, times));
    let (latitudes, distances) = (sums(B, times), sums(R, times));
    axes(times)
        .into_iter()
        .zip(longitudes.into_iter().zip(latitudes).zip(distances))
        .enumerate()
        .map(|(i, (axis, ((longitude, latitude), distance)))| {
            let equinox = EQUINOX[0] + 10.0 * times.at(i) * EQUINOX[1];
            let longitude = large[i] + longitude + PI + axis.nutation + equinox - ABERRATION / distance;
            axis.towards(longitude, -latitude, PARALLAX / distance, first + step * i as f64)
        })
        .collect()
}
