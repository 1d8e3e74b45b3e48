//! Where the moon stands.
//!
//! Its way around the Earth is ELP/MPP02 (Chapront and Francou 2003) without the terms below 0.3″ and 0.5 km; light-time,
//! nutation, parallax on the ellipsoid and the aberration of the turning ground are applied. *Expected error* against
//! JPL's DE421 for 1950–2050: 6″ for an observer, 1″ in the root mean square, 8 km of distance. That is half a second of
//! rise or set in middle latitudes; refraction at the horizon is worth far more. Left out: the moon's uneven
//! edge (2″), the motion of the pole (0.5″) and the difference of UTC from UT1 (up to 0.9 s of time).

use std::f64::consts::FRAC_PI_2;

use super::earth::{ARCSECOND, Apparent, axes, uniform};
use super::moon_terms::{ARGUMENTS, B, B_PLANETS, L, L_PLANETS, R, R_PLANETS, Term};
use super::observer::Observer;
use super::phase;
use super::place::{EQUATOR_M, Place};
use super::refraction::Atmosphere;
use super::series::{Series, Times, add_term, sums};
use super::sun;
use super::track::Track;
use crate::math::polynomial;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing, Instant, Length};

/// Mean radius of the moon in equatorial radii of the Earth: 1737.4 km (IAU 2015).
pub(super) const RADIUS: f64 = 1_737_400.0 / EQUATOR_M;

/// Where the moon stands for one observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoonPosition {
    /// Height of the moon's centre above the horizontal, geometric (as if there were no air), topocentric.
    pub altitude: Angle,
    /// The same as it looks through the standard atmosphere of that elevation.
    pub apparent_altitude: Angle,
    /// Direction along the horizon from true north.
    pub azimuth: Bearing,
    /// From the observer to the moon's centre.
    pub distance: Length,
    /// The angle at the moon between the Earth's middle and the sun: 0° full, 180° new.
    pub phase_angle: Angle,
    /// The Earth's equatorial radius as seen from the moon: 0.90° to 1.03°.
    pub parallax: Angle,
}

/// Where the moon stands, seen from `place` at `at`.
///
/// ```
/// use duskbook::{sky::{moon, place::Place}, units::Instant};
/// // The moon was full on 2024 March 25 at 07:00 UTC.
/// let place = Place::new(0.0, 0.0, 0.0).unwrap();
/// let moon = moon::position(&place, Instant::from_epoch_ms(1_711_350_000_000.0).unwrap());
/// assert!(moon.illuminated_fraction() > 0.999);
/// ```
pub fn position(place: &Place, at: Instant) -> MoonPosition {
    let day = at.days_from_j2000();
    MoonPosition::seen(place, day, apparent(day, 0.0, 1)[0], sun::apparent(day, 0.0, 1)[0])
}

impl MoonPosition {
    /// The moon at a moment of two tracks, its own and the sun's.
    pub fn on_tracks(moon: &Track, sun: &Track, place: &Place, at: Instant) -> Self {
        let day = at.days_from_j2000();
        Self::seen(place, day, moon.at(day), sun.at(day))
    }

    fn seen(place: &Place, day: f64, moon: Apparent, sun: Apparent) -> Self {
        let observer = Observer::at(place);
        let sight = observer.sees(moon, day);
        let altitude = sight.altitude();
        Self {
            altitude,
            apparent_altitude: Atmosphere::at(place.elevation()).apparent(altitude),
            azimuth: sight.azimuth(),
            distance: Length::from_metres(EQUATOR_M / moon.parallax * sight.length()),
            phase_angle: phase::angle(sun, moon),
            parallax: Angle::from_radians(moon.parallax.arc_sine()),
        }
    }

    /// The lit part of the disc as seen from the middle of the Earth, 0 to 1.
    pub fn illuminated_fraction(&self) -> f64 {
        0.5 * (1.0 + self.phase_angle.radians().cosine())
    }

    /// Geometric altitude of the upper edge.
    pub fn edge(&self) -> Angle {
        self.altitude + self.semidiameter()
    }

    /// Half the width of the disc as the observer sees it.
    pub fn semidiameter(&self) -> Angle {
        Angle::from_radians((RADIUS * EQUATOR_M / self.distance.metres()).arc_sine())
    }
}

/// Mean longitude, radians, in powers of Julian centuries from J2000 (ELP/MPP02), with the precession in longitude of IAU
/// 2006 (Capitaine, Wallace and Chapront 2003), from the mean equinox of date.
const LONGITUDE: [f64; 3] = [
    3.810_344_090_830_88 + EQUINOX[0],
    8_399.684_730_071_93 + 5_028.796_195 * ARCSECOND + EQUINOX[1],
    -3.318_952_04e-5 + 1.105_434_8 * ARCSECOND,
];
/// From the equinox of the theory to that of IAU 2006 with the 0.70″ that the moon moves while its light comes, and for each
/// century the drift of the theory's moon: the mean differences from DE421 over 1950–2050.
const EQUINOX: [f64; 2] = [-0.673 * ARCSECOND, 0.889 * ARCSECOND];

/// The moon at UT1 days counted from J2000: `count` of them, `step` apart.
pub(super) fn apparent(first: f64, step: f64, count: usize) -> Vec<Apparent> {
    let times = uniform(first, step, count);
    let arguments = Arguments::over(times);
    let longitudes = arguments.sums(L, L_PLANETS, ARCSECOND * 1e-3, FRAC_PI_2);
    let latitudes = arguments.sums(B, B_PLANETS, ARCSECOND * 1e-3, FRAC_PI_2);
    let distances = arguments.sums(R, R_PLANETS, 1e-3, 0.0);
    axes(times)
        .into_iter()
        .enumerate()
        .map(|(i, axis)| {
            let mean = polynomial(10.0 * times.at(i), &LONGITUDE);
            let longitude = mean + longitudes[i] + axis.nutation;
            axis.towards(longitude, latitudes[i], EQUATOR_M * 1e-3 / distances[i], first + step * i as f64)
        })
        .collect()
}

/// The four arguments of the theory through equally spaced times, straight within them.
struct Arguments {
    times: Times,
    /// Value at the first time and change from one to the next.
    lines: [[f64; 2]; 4],
    /// The Earth's eccentricity over that of J2000.
    eccentricity: f64,
}

impl Arguments {
    fn over(times: Times) -> Self {
        let [first, last] = [0, times.count.saturating_sub(1)].map(|i| 10.0 * times.at(i));
        let lines = ARGUMENTS.map(|[constant, rate, bend]| {
            // The chord, so that fifty days' bend of 2e-10 is what is left out.
            let slope = rate + bend * (first + last);
            [constant + (rate + bend * first) * first, slope * 10.0 * times.step]
        });
        // Meeus, Astronomical Algorithms, 47.6.
        let eccentricity = polynomial(0.5 * (first + last), &[1.0, -0.002516, -0.0000074]);
        Self { times, lines, eccentricity }
    }

    /// Both kinds of terms at each of the times. The phase is a quarter turn for sines.
    fn sums(&self, terms: &[Term], planets: Series<f32>, unit: f64, phase: f64) -> Vec<f64> {
        let mut sums = sums(planets, self.times);
        for (amplitude, multiples) in terms {
            let along = |part: usize| {
                self.lines.iter().zip(multiples).map(|(line, &m)| f64::from(m) * line[part]).sum::<f64>()
            };
            let amplitude =
                f64::from(*amplitude) * unit * self.eccentricity.powi(i32::from(multiples[1]).abs());
            add_term(&mut sums, amplitude, along(0) - phase, along(1));
        }
        sums
    }
}
