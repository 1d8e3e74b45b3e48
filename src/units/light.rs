//! Amounts of light: exposure values and stops, illuminance and luminance.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Exposure value at ISO 100: how bright a scene is, as a meter reads it. Higher is brighter; one is a doubling.
///
/// Only differences of two exist ([`Stops`]); their sum means nothing and does not compile.
///
/// ```
/// use duskbook::units::{Ev, Stops};
/// let sunset = Ev::at_iso_100(12.0);
/// assert_eq!(sunset - Ev::at_iso_100(4.5), Stops::new(7.5));
/// assert_eq!(sunset + Stops::new(-1.0), Ev::at_iso_100(11.0));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Ev {
    at_iso_100: f64,
}

impl Ev {
    /// From the exposure value at ISO 100.
    pub const fn at_iso_100(value: f64) -> Self {
        Self { at_iso_100: value }
    }

    /// The exposure value at ISO 100.
    pub const fn value(self) -> f64 {
        self.at_iso_100
    }
}

impl Sub for Ev {
    type Output = Stops;
    fn sub(self, other: Self) -> Stops {
        Stops::new(self.at_iso_100 - other.at_iso_100)
    }
}

impl Add<Stops> for Ev {
    type Output = Self;
    fn add(self, change: Stops) -> Self {
        Self { at_iso_100: self.at_iso_100 + change.count() }
    }
}

impl Sub<Stops> for Ev {
    type Output = Self;
    fn sub(self, change: Stops) -> Self {
        self + -change
    }
}

/// A ratio of light as a power of two: one stop more is twice the light.
///
/// ```
/// use duskbook::units::Stops;
/// assert_eq!(Stops::from_factor(8.0).count(), 3.0);
/// assert_eq!(Stops::new(2.0).factor(), 4.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Stops {
    count: f64,
}

impl Stops {
    /// No change.
    pub const ZERO: Self = Self { count: 0.0 };

    /// From a number of stops.
    pub const fn new(count: f64) -> Self {
        Self { count }
    }

    /// From a ratio of light, which must be positive to mean anything.
    pub fn from_factor(factor: f64) -> Self {
        Self { count: factor.log2() }
    }

    /// The number of stops.
    pub const fn count(self) -> f64 {
        self.count
    }

    /// The ratio of light, 2 to this power.
    pub fn factor(self) -> f64 {
        self.count.exp2()
    }
}

impl Add for Stops {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { count: self.count + other.count }
    }
}

impl AddAssign for Stops {
    fn add_assign(&mut self, other: Self) {
        self.count += other.count;
    }
}

impl Sub for Stops {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { count: self.count - other.count }
    }
}

impl Neg for Stops {
    type Output = Self;
    fn neg(self) -> Self {
        Self { count: -self.count }
    }
}

impl Mul<f64> for Stops {
    type Output = Self;
    fn mul(self, times: f64) -> Self {
        Self { count: self.count * times }
    }
}

/// Light that falls on a surface, in lux. Never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Illuminance {
    lux: f64,
}

impl Illuminance {
    /// From lux.
    pub const fn from_lux(lux: f64) -> Self {
        Self { lux }
    }

    /// In lux.
    pub const fn lux(self) -> f64 {
        self.lux
    }
}

impl Add for Illuminance {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { lux: self.lux + other.lux }
    }
}

/// Light that a surface or the sky sends towards the lens, in candela per square metre. Never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Luminance {
    candela_per_m2: f64,
}

impl Luminance {
    /// From candela per square metre.
    pub const fn from_candela_per_m2(value: f64) -> Self {
        Self { candela_per_m2: value }
    }

    /// In candela per square metre.
    pub const fn candela_per_m2(self) -> f64 {
        self.candela_per_m2
    }
}

impl Add for Luminance {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { candela_per_m2: self.candela_per_m2 + other.candela_per_m2 }
    }
}
