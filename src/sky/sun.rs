//! Where the sun stands.
//!
//! The Earth's way around the sun is VSOP87D (Bretagnon and Francou 1988) without the terms below 0.01″; light-time and
//! aberration, nutation, parallax and the aberration of the turning ground are applied. *Expected error*
//! against JPL's DE421 for 1950–2050: 0.15″ for an observer, 0.03″ in the root mean square; it grows slowly outside. Left out: the motion of the pole (0.5″ at most) and the difference of UTC from UT1 (up to 0.9 s
//! of time, 13″ of hour angle), of which no forecast is needed here.

use std::f64::consts::{PI, TAU};

use super::earth::{ARCSECOND, axes, millennia, turned};
use super::observer::Observer;
use super::place::Place;
use super::refraction::Atmosphere;
use super::series::{Times, sums};
use super::sun_terms::{B, L, L_LARGE, R};
use crate::trigonometry::Trigonometry;
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
        let hour_angle = observer.hour_angle(day, sun.equation_of_time);
        let sight = observer.sight(hour_angle, sun.declination, sun.parallax);
        let altitude = sight.altitude();
        let apparent_altitude = altitude + Atmosphere::at(place.elevation()).refraction(altitude);
        Self { altitude, apparent_altitude, azimuth: sight.azimuth() }
    }
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
///
/// The lag of the Earth behind uniform time is taken to grow evenly through them.
pub(super) fn apparent(first: f64, step: f64, count: usize) -> Vec<Apparent> {
    let start = millennia(first);
    let steps = count.saturating_sub(1).max(1) as f64;
    let times = Times { first: start, step: (millennia(first + steps * step) - start) / steps, count };
    let (large, longitudes) = (sums(L_LARGE, times), sums(L, times));
    let (latitudes, distances) = (sums(B, times), sums(R, times));
    axes(times)
        .into_iter()
        .zip(longitudes.into_iter().zip(latitudes).zip(distances))
        .enumerate()
        .map(|(i, (axis, ((longitude, latitude), distance)))| {
            let equinox = EQUINOX[0] + 10.0 * times.at(i) * EQUINOX[1];
            let (sin_l, cos_l) =
                (large[i] + longitude + PI + axis.nutation + equinox - ABERRATION / distance).sine_cosine();
            let (sin_b, cos_b) = (-latitude).sine_cosine();
            let (sin_e, cos_e) = axis.obliquity.sine_cosine();
            let right_ascension = (sin_l * cos_b * cos_e - sin_b * sin_e).atan2(cos_l * cos_b);
            let sidereal = turned(first + step * i as f64) + axis.equinox;
            Apparent {
                equation_of_time: wrapped(sidereal - right_ascension),
                declination: (sin_b * cos_e + cos_b * sin_e * sin_l).arc_sine(),
                parallax: PARALLAX / distance,
            }
        })
        .collect()
}

/// The same angle within half a turn of zero.
pub(super) fn wrapped(angle: f64) -> f64 {
    angle - TAU * (angle / TAU).round()
}
