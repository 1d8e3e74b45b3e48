//! From the turning sky to directions at a place: east, north and up.

use std::f64::consts::TAU;

use super::earth::Apparent;
use super::place::{EQUATOR_M, Place};
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing};

/// Speed of the ground at the equator in units of that of light: 7.292115e-5 rad/s × 6 378 137 m ÷ 299 792 458 m/s.
const EQUATOR_SPEED: f64 = 7.292_115e-5 * EQUATOR_M / 299_792_458.0;

/// A place as the sky sees it: its plumb line, its distance from the Earth's middle, its speed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Observer {
    longitude: f64,
    sin_latitude: f64,
    cos_latitude: f64,
    /// Where the observer stands from the middle of the Earth, in its equatorial radii.
    north: f64,
    up: f64,
    /// Eastward speed over that of light.
    speed: f64,
}

/// A body as an observer sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    /// Parts of a direction of this length.
    east: f64,
    north: f64,
    length: f64,
    /// Sine of the geometric altitude.
    pub up: f64,
    /// How fast `up` grows with the hour angle, per radian.
    pub by_hour_angle: f64,
    /// How fast `by_hour_angle` grows with the hour angle, per radian.
    pub bend: f64,
    /// How fast `up` grows with the declination, per radian.
    pub by_declination: f64,
}

impl Observer {
    pub fn at(place: &Place) -> Self {
        let (sin_latitude, cos_latitude) = place.latitude().radians().sine_cosine();
        let [from_axis, from_equator] = place.geocentric(place.elevation()).map(|way| way / EQUATOR_M);
        Self {
            longitude: place.longitude().radians(),
            sin_latitude,
            cos_latitude,
            north: from_equator * cos_latitude - from_axis * sin_latitude,
            up: from_axis * cos_latitude + from_equator * sin_latitude,
            speed: EQUATOR_SPEED * from_axis,
        }
    }

    /// East longitude, radians.
    pub fn longitude(&self) -> f64 {
        self.longitude
    }

    /// The local hour angle at a UT1 day of a body whose equation of time is given; radians, not wrapped.
    pub fn hour_angle(&self, day: f64, equation_of_time: f64) -> f64 {
        TAU * (day - day.round()) + equation_of_time + self.longitude
    }

    /// How a body looks from here at a UT1 day counted from J2000.
    pub fn sees(&self, body: Apparent, day: f64) -> Sight {
        self.sight(self.hour_angle(day, body.equation_of_time), body.declination, body.parallax)
    }

    /// How a body looks from here, with its parallax (radians) and the aberration by the Earth's turning.
    pub fn sight(&self, hour_angle: f64, declination: f64, parallax: f64) -> Sight {
        let (sin_h, cos_h) = hour_angle.sine_cosine();
        let (sin_d, cos_d) = declination.sine_cosine();
        let outward = cos_d * cos_h;
        let east = self.speed - cos_d * sin_h;
        let north = self.cos_latitude * sin_d - self.sin_latitude * outward - parallax * self.north;
        let up = self.sin_latitude * sin_d + self.cos_latitude * outward - parallax * self.up;
        let length = (east * east + north * north + up * up).sqrt();
        Sight {
            east,
            north,
            length,
            up: up / length,
            by_hour_angle: -self.cos_latitude * cos_d * sin_h,
            bend: -self.cos_latitude * outward,
            by_declination: self.sin_latitude * cos_d - self.cos_latitude * sin_d * cos_h,
        }
    }

    /// The hour angle, 0 to π, at which a body of this declination has this sine of altitude; the nearest to it
    /// where there is none.
    pub fn hour_angle_of(&self, up: f64, declination: f64, parallax: f64) -> f64 {
        let (sin_d, cos_d) = declination.sine_cosine();
        let cos_h = (up + parallax * self.up - self.sin_latitude * sin_d) / (self.cos_latitude * cos_d);
        cos_h.clamp(-1.0, 1.0).arc_cosine()
    }
}

impl Sight {
    /// Distance to the body over its distance from the middle of the Earth.
    pub const fn length(&self) -> f64 {
        self.length
    }

    /// Geometric altitude.
    pub fn altitude(&self) -> Angle {
        // By the tangent, which keeps its digits near the zenith.
        Angle::from_radians((self.up * self.length).atan2(self.east.hypotenuse(self.north)))
    }

    /// Direction along the horizon.
    pub fn azimuth(&self) -> Bearing {
        Bearing::from_radians(self.east.atan2(self.north))
    }
}
