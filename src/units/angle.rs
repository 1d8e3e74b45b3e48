//! Angles, and directions around the horizon.

use std::ops::{Add, Neg, Sub};

use crate::error::{Bounds, Result};
use crate::math::wrapped;

/// An angle of any size: an altitude above the horizon, a field of view, a declination.
///
/// ```
/// use duskbook::units::Angle;
/// assert!((Angle::from_degrees(180.0).radians() - std::f64::consts::PI).abs() < 1e-15);
/// assert!((Angle::from_arcminutes(34.0).degrees() - 0.5667).abs() < 1e-4);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Angle {
    radians: f64,
}

/// A height above the horizon that a body or a skyline can have, degrees.
pub const ALTITUDE: Bounds = Bounds::new("altitudeDeg", -90.0, 90.0, "°");

impl Angle {
    /// No angle.
    pub const ZERO: Self = Self { radians: 0.0 };

    /// From degrees, not checked and not wrapped.
    pub const fn from_degrees(degrees: f64) -> Self {
        Self { radians: degrees.to_radians() }
    }

    /// From radians, not checked and not wrapped.
    pub const fn from_radians(radians: f64) -> Self {
        Self { radians }
    }

    /// From minutes of arc, sixty to a degree.
    pub const fn from_arcminutes(minutes: f64) -> Self {
        Self::from_degrees(minutes / 60.0)
    }

    /// From seconds of arc, 3600 to a degree.
    pub const fn from_arcseconds(seconds: f64) -> Self {
        Self::from_degrees(seconds / 3600.0)
    }

    /// An altitude above the horizon, degrees.
    ///
    /// # Errors
    /// Outside −90° to 90°, or no number.
    pub fn altitude(degrees: f64) -> Result<Self> {
        ALTITUDE.check(degrees).map(Self::from_degrees)
    }

    /// In degrees.
    pub const fn degrees(self) -> f64 {
        self.radians.to_degrees()
    }

    /// In minutes of arc.
    pub const fn arcminutes(self) -> f64 {
        self.degrees() * 60.0
    }

    /// In radians.
    pub const fn radians(self) -> f64 {
        self.radians
    }
}

impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { radians: self.radians + other.radians }
    }
}

impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { radians: self.radians - other.radians }
    }
}

impl Neg for Angle {
    type Output = Self;
    fn neg(self) -> Self {
        Self { radians: -self.radians }
    }
}

/// A direction along the horizon, clockwise from true north, always within [0°, 360°).
///
/// Azimuths of bodies and bearings of lenses are the same thing. The difference of two is the way from
/// one to the other, at most half a turn.
///
/// ```
/// use duskbook::units::Bearing;
/// let (west, north) = (Bearing::from_degrees(270.0), Bearing::from_degrees(360.0));
/// assert_eq!(north.degrees(), 0.0);
/// assert!(((north - west).degrees() - 90.0).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    degrees: f64,
}

/// A bearing as it is given by hand, degrees clockwise from true north.
pub const BEARING: Bounds = Bounds::new("bearingDeg", 0.0, 360.0, "°");

impl Bearing {
    /// From degrees clockwise from true north; any finite number is wrapped into [0°, 360°).
    pub fn from_degrees(degrees: f64) -> Self {
        let wrapped = wrapped(degrees, 360.0);
        // A tiny negative number wraps to 360 itself by rounding.
        Self { degrees: if wrapped < 360.0 { wrapped } else { 0.0 } }
    }

    /// From radians clockwise from true north, wrapped.
    pub fn from_radians(radians: f64) -> Self {
        Self::from_degrees(radians.to_degrees())
    }

    /// A bearing given by hand, degrees.
    ///
    /// # Errors
    /// Outside 0° to 360°, or no number.
    pub fn given(degrees: f64) -> Result<Self> {
        BEARING.check(degrees).map(Self::from_degrees)
    }

    /// Degrees clockwise from true north, within [0, 360).
    pub const fn degrees(self) -> f64 {
        self.degrees
    }

    /// Radians clockwise from true north, within [0, 2π).
    pub const fn radians(self) -> f64 {
        self.degrees.to_radians()
    }
}

impl Sub for Bearing {
    type Output = Angle;
    /// The turn from `other` to `self`, clockwise positive, within [−180°, 180°).
    fn sub(self, other: Self) -> Angle {
        Angle::from_degrees(wrapped(self.degrees - other.degrees + 180.0, 360.0) - 180.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bearing_never_reaches_a_full_turn() {
        for degrees in [-1e-18, -360.0, 360.0, 720.0, 359.999_999_999, -0.25] {
            let held = Bearing::from_degrees(degrees).degrees();
            assert!((0.0..360.0).contains(&held), "{degrees} became {held}");
        }
    }

    #[test]
    fn the_turn_between_two_bearings_takes_the_short_way() {
        let turn = |a, b| (Bearing::from_degrees(a) - Bearing::from_degrees(b)).degrees();
        assert!((turn(10.0, 350.0) - 20.0).abs() < 1e-12);
        assert!((turn(350.0, 10.0) + 20.0).abs() < 1e-12);
    }

    #[test]
    fn an_altitude_past_the_zenith_is_refused() {
        let refused = Angle::altitude(91.0).unwrap_err();
        assert_eq!(refused.to_string(), "altitudeDeg: 91 is outside -90° to 90°");
    }
}
