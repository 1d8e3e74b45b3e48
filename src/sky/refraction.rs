//! How the air lifts what is seen near the horizon, and how height lowers the horizon itself.
//!
//! Both formulae are fits for a quiet standard atmosphere (Bennett 1982; Sæmundsson 1986; Meeus, Astronomical
//! Algorithms, chapter 16): within 0.1′ of each other above 5°. *Expected error* at the horizon: 2′ on ordinary
//! days, half a degree in a strong inversion, which moves a sunset by minutes and cannot be forecast here.

use crate::error::{Bounds, Result};
use crate::math::power;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Length};

/// Air pressure at the observer, hectopascal; not reduced to sea level.
pub const PRESSURE: Bounds = Bounds::new("pressureHpa", 0.0, 1100.0, " hPa");
/// Air temperature at the observer, degrees Celsius.
pub const TEMPERATURE: Bounds = Bounds::new("temperatureC", -90.0, 60.0, " °C");
/// Height of the eye above the visible horizon, metres.
pub const HORIZON_HEIGHT: Bounds = Bounds::new("horizonHeightM", 0.0, 9000.0, " m");

/// The air at the observer, as far as it bends light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Atmosphere {
    /// How much it bends light, next to the standard.
    strength: f64,
}

impl Atmosphere {
    /// 1010 hPa and 10 °C, to which the formulae were fitted.
    pub const STANDARD: Self = Self { strength: 1.0 };

    /// The standard at a height above the sea, thinned as the ICAO standard atmosphere is (ISO 2533, density up to
    /// 11 km).
    pub fn at(elevation: Length) -> Self {
        Self { strength: power((1.0 - 2.25577e-5 * elevation.metres()).max(0.0), 4.2559) }
    }

    /// From pressure in hectopascal and temperature in degrees Celsius.
    ///
    /// # Errors
    /// Either out of its bounds; the error names it.
    pub fn new(pressure_hpa: f64, temperature_c: f64) -> Result<Self> {
        let pressure = PRESSURE.check(pressure_hpa)?;
        let temperature = TEMPERATURE.check(temperature_c)?;
        Ok(Self { strength: pressure / 1010.0 * 283.0 / (273.0 + temperature) })
    }

    /// What is known of the air at a height above the sea, the rest as in the ICAO standard atmosphere there (ISO 2533).
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn observed(
        elevation: Length,
        pressure_hpa: Option<f64>,
        temperature_c: Option<f64>,
    ) -> Result<Self> {
        let metres = elevation.metres();
        if pressure_hpa.is_none() && temperature_c.is_none() {
            return Ok(Self::at(elevation));
        }
        let standard = 1013.25 * power(1.0 - 2.25577e-5 * metres, 5.2559);
        Self::new(pressure_hpa.unwrap_or(standard), temperature_c.unwrap_or(15.0 - 0.0065 * metres))
    }

    /// The refraction of the horizon, 34′ in the air of the almanac offices.
    pub const fn at_horizon(self) -> Angle {
        Angle::from_arcminutes(34.0 * self.strength)
    }

    /// By how much a body at a true altitude looks higher than it is (Sæmundsson).
    ///
    /// Good from −1° up. Below, where nothing is seen, it fades to nothing at −2°, so that the apparent
    /// altitude stays a smooth, growing function of the true one.
    ///
    /// ```
    /// use duskbook::{sky::refraction::Atmosphere, units::Angle};
    /// let lift = Atmosphere::STANDARD.refraction(Angle::from_degrees(10.0));
    /// assert!((lift.arcminutes() - 5.41).abs() < 0.01);
    /// ```
    pub fn refraction(self, altitude: Angle) -> Angle {
        const LOWEST: f64 = -1.0;
        const GONE: f64 = -2.0;
        let degrees = altitude.degrees();
        let h = degrees.max(LOWEST);
        let fading = ((degrees - GONE) / (LOWEST - GONE)).clamp(0.0, 1.0);
        let arcminutes = 1.02 * cot(h + 10.3 / (h + 5.11)).max(0.0);
        Angle::from_arcminutes(arcminutes * fading * self.strength)
    }

    /// The altitude at which a body at a true altitude is seen.
    pub fn apparent(self, altitude: Angle) -> Angle {
        altitude + self.refraction(altitude)
    }

    /// By how much a body at an apparent altitude looks higher than it is (Bennett). Good from 0° up; below the
    /// horizon the value of the horizon.
    pub fn refraction_of_apparent(self, altitude: Angle) -> Angle {
        let h = altitude.degrees().max(0.0);
        Angle::from_arcminutes(cot(h + 7.31 / (h + 4.4)).max(0.0) * self.strength)
    }
}

/// By how much the visible horizon lies below the horizontal for an eye so high above it, mean refraction included.
///
/// 1.758′ × √metres (the Nautical Almanac's constant, second-hand). The height counts from the ground or
/// sea at the horizon, not from the sea in general.
///
/// # Errors
/// Below it, or higher than 9 km: names `horizonHeightM`.
///
/// ```
/// use duskbook::{sky::refraction::dip, units::Length};
/// assert!((dip(Length::from_metres(100.0)).unwrap().arcminutes() - 17.58).abs() < 1e-9);
/// ```
pub fn dip(height: Length) -> Result<Angle> {
    HORIZON_HEIGHT.check(height.metres()).map(|metres| Angle::from_arcminutes(1.758 * metres.sqrt()))
}

/// The cotangent of so many degrees.
fn cot(degrees: f64) -> f64 {
    degrees.to_radians().tangent().recip()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(angle: Angle, arcminutes: f64) {
        assert!((angle.arcminutes() - arcminutes).abs() < 0.01, "{} {arcminutes}", angle.arcminutes());
    }

    #[test]
    fn both_formulae_give_their_own_values() {
        // Computed from the formulae; texts print the same values cut, not rounded.
        for (degrees, arcminutes) in [(0.0, 34.48), (1.0, 24.33), (5.0, 9.88), (10.0, 5.39)] {
            near(Atmosphere::STANDARD.refraction_of_apparent(Angle::from_degrees(degrees)), arcminutes);
        }
        for (degrees, arcminutes) in [(0.0, 28.98), (10.0, 5.41), (45.0, 1.01)] {
            near(Atmosphere::STANDARD.refraction(Angle::from_degrees(degrees)), arcminutes);
        }
    }

    #[test]
    fn each_formula_undoes_the_other() {
        // Sæmundsson made his to match Bennett's within 0.1′ (Meeus, chapter 16).
        for tenth in 0..900 {
            let apparent = Angle::from_degrees(f64::from(tenth) / 10.0);
            let truth = apparent - Atmosphere::STANDARD.refraction_of_apparent(apparent);
            let back = truth + Atmosphere::STANDARD.refraction(truth);
            assert!((back - apparent).arcminutes().abs() < 0.1, "{}", apparent.degrees());
        }
    }

    #[test]
    fn thin_or_warm_air_bends_less() {
        let horizon = Angle::ZERO;
        let half = Atmosphere::new(505.0, 10.0).unwrap().refraction(horizon);
        near(half, 28.98 / 2.0);
        let warm = Atmosphere::new(1010.0, 40.0).unwrap().refraction(horizon);
        near(warm, 28.98 * 283.0 / 313.0);
        // ISO 2533: 0.9093 kg/m³ at 3000 m, 1.2250 at the sea.
        near(Atmosphere::at(Length::from_metres(3000.0)).refraction(horizon), 28.98 * 0.9093 / 1.2250);
        assert_eq!(Atmosphere::new(-1.0, 10.0).unwrap_err().field(), "pressureHpa");
        assert_eq!(Atmosphere::new(1010.0, -300.0).unwrap_err().field(), "temperatureC");
    }

    #[test]
    fn what_is_not_known_of_the_air_is_standard() {
        let sea = Length::from_metres(0.0);
        assert_eq!(Atmosphere::observed(sea, None, None), Ok(Atmosphere::at(sea)));
        near(Atmosphere::observed(sea, Some(1010.0), Some(10.0)).unwrap().at_horizon(), 34.0);
        // ISO 2533 at 3000 m: 701.1 hPa, −4.5 °C.
        let high = Atmosphere::observed(Length::from_metres(3000.0), None, Some(-4.5)).unwrap();
        near(high.at_horizon(), 34.0 * 701.1 / 1010.0 * 283.0 / 268.5);
    }

    #[test]
    fn the_apparent_altitude_grows_with_the_true_one_everywhere() {
        let apparent = |hundredth: i32| {
            let altitude = Angle::from_degrees(f64::from(hundredth) / 100.0);
            altitude + Atmosphere::STANDARD.refraction(altitude)
        };
        for hundredth in -9000..9000 {
            assert!(apparent(hundredth) < apparent(hundredth + 1), "{hundredth}");
        }
        assert_eq!(Atmosphere::STANDARD.refraction(Angle::from_degrees(-2.0)), Angle::ZERO);
    }

    #[test]
    fn the_dip_of_two_metres_and_of_a_hundred() {
        near(dip(Length::from_metres(2.0)).unwrap(), 2.49);
        near(dip(Length::from_metres(100.0)).unwrap(), 17.58);
        assert_eq!(dip(Length::from_metres(-1.0)).unwrap_err().field(), "horizonHeightM");
    }
}
