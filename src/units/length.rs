//! Lengths, from the micrometres of a pixel to the kilometres of a ridge.

use std::ops::{Add, Sub};

/// A length. Metres, millimetres, micrometres or feet at the doors; no unit inside.
///
/// ```
/// use duskbook::units::Length;
/// assert_eq!(Length::from_millimetres(24.0).metres(), 0.024);
/// assert_eq!(Length::from_feet(1.0).metres(), 0.3048); // exact by the 1959 agreement
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Length {
    metres: f64,
}

/// The international foot, exact.
const FOOT_METRES: f64 = 0.3048;

impl Length {
    /// From metres.
    pub const fn from_metres(metres: f64) -> Self {
        Self { metres }
    }

    /// From millimetres.
    pub const fn from_millimetres(millimetres: f64) -> Self {
        Self { metres: millimetres / 1e3 }
    }

    /// From micrometres.
    pub const fn from_micrometres(micrometres: f64) -> Self {
        Self { metres: micrometres / 1e6 }
    }

    /// From international feet.
    pub const fn from_feet(feet: f64) -> Self {
        Self { metres: feet * FOOT_METRES }
    }

    /// In metres.
    pub const fn metres(self) -> f64 {
        self.metres
    }

    /// In millimetres.
    pub const fn millimetres(self) -> f64 {
        self.metres * 1e3
    }

    /// In micrometres.
    pub const fn micrometres(self) -> f64 {
        self.metres * 1e6
    }

    /// In international feet.
    pub const fn feet(self) -> f64 {
        self.metres / FOOT_METRES
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { metres: self.metres + other.metres }
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { metres: self.metres - other.metres }
    }
}
