//! How much of the moon is lit, and when it is new, half and full.
//!
//! Principal phases are when the apparent longitudes of moon and sun differ by a whole number of quarter turns, as the almanac
//! offices have it. Both come from the interpolated tracks in mean axes of date; *expected error* 10 s of time, 3 s in the root mean square.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::earth::{Apparent, mean_obliquity, turned};
use super::track::{Body, Track};
use crate::math::{nearest_zero, root, wrapped};
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Instant, Span};

/// The principal phases in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quarter {
    /// Not lit.
    New,
    /// Half lit and growing.
    First,
    /// Fully lit.
    Full,
    /// Half lit and shrinking.
    Last,
}

impl Quarter {
    const ALL: [Self; 4] = [Self::New, Self::First, Self::Full, Self::Last];
}

/// The angle at the moon between the Earth's middle and the sun (Meeus, Astronomical Algorithms, 48.2 and 48.3).
pub(super) fn angle(sun: Apparent, moon: Apparent) -> Angle {
    let ([sin_s, cos_s], [sin_m, cos_m]) = (sin_cos(sun.declination), sin_cos(moon.declination));
    let turn = sun.equation_of_time - moon.equation_of_time;
    let cos_elongation = (sin_s * sin_m + cos_s * cos_m * turn.cosine()).clamp(-1.0, 1.0);
    let sin_elongation = (1.0 - cos_elongation * cos_elongation).sqrt();
    Angle::from_radians(sin_elongation.atan2(sun.parallax / moon.parallax - cos_elongation))
}

fn sin_cos(angle: f64) -> [f64; 2] {
    angle.sine_cosine().into()
}

/// Sun and moon together through a span.
#[derive(Debug, Clone)]
pub struct Phases {
    sun: Track,
    moon: Track,
}

impl Phases {
    /// From two tracks over one span.
    pub const fn new(sun: Track, moon: Track) -> Self {
        Self { sun, moon }
    }

    /// What is needed for the age at a moment and the four phases after it.
    pub fn around(at: Instant) -> Self {
        let days = |days: f64| at.plus_seconds(days * 86_400.0);
        let span = Span::computed(days(-35.0), days(35.0));
        Self::new(Track::over(span), Track::of(Body::Moon, span))
    }

    /// By how much the moon's longitude exceeds the sun's, 0 to 2π: 0 new, π full.
    pub fn elongation(&self, at: Instant) -> f64 {
        wrapped(self.elongation_on(at.days_from_j2000()), TAU)
    }

    fn elongation_on(&self, day: f64) -> f64 {
        let (sun, moon) = (self.sun.at(day), self.moon.at(day));
        let t = day / 36_525.0;
        // Precession in right ascension is the Earth's turn against the equinox.
        let sidereal = turned(day) + 0.022_360_4 * t;
        let [sin_e, cos_e] = sin_cos(mean_obliquity(t));
        let longitude = |body: Apparent| {
            let [sin_a, cos_a] = sin_cos(sidereal - body.equation_of_time);
            let [sin_d, cos_d] = sin_cos(body.declination);
            (sin_a * cos_d * cos_e + sin_d * sin_e).atan2(cos_a * cos_d)
        };
        longitude(moon) - longitude(sun)
    }

    /// Days since the moon was last new.
    pub fn age_days(&self, at: Instant) -> f64 {
        // The elongation grows by 0.188 to 0.26 radians a day.
        let (day, elongation) = (at.days_from_j2000(), self.elongation(at));
        day - self.reached(0.0, day - elongation / 0.18, day - elongation / 0.28)
    }

    /// The next principal phase after a moment, of which the tracks must cover nine days more.
    pub fn next(&self, at: Instant) -> (Quarter, Instant) {
        let quarter = (self.elongation(at) / FRAC_PI_2).floor() + 1.0;
        let day = at.days_from_j2000();
        let found = self.reached(FRAC_PI_2 * quarter, day, day + 9.0);
        (Quarter::ALL[quarter as usize % 4], Instant::at_days_from_j2000(found))
    }

    /// The four principal phases after a moment.
    pub fn next_four(&self, at: Instant) -> [(Quarter, Instant); 4] {
        let mut from = at;
        [(); 4].map(|()| {
            let found = self.next(from);
            // Past it for certain, so that it is not found again.
            from = found.1.plus_seconds(3600.0);
            found
        })
    }

    /// When between two days the elongation passes an angle.
    fn reached(&self, angle: f64, from: f64, to: f64) -> f64 {
        root(from, to, 1e-6, |day| nearest_zero(self.elongation_on(day) - angle, TAU))
    }
}
