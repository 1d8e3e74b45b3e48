//! Exposure value, and the luminance and illuminance that a meter would call by it.
//!
//! N²/t = L·S/K for light that comes from the scene, E·S/C for light that falls on it (ISO 2720); at ISO 100
//! both sides are 2 to the power EV100. K and C belong to the meter, not to the scene: ISO 2720:1974 allows K from
//! 10.6 to 13.4, and meters in use are set to 12.5 or 14, 0.163 stop apart. C is 250 for a flat receptor and
//! 330 for a dome. This crate uses one pair, declared here.
//!
//! Source: encyclopaedia articles "Exposure value", "Light meter" and "APEX system"; the standards themselves were
//! not opened.

use super::series::{Aperture, Iso, Shutter};
use crate::error::{Bounds, Result};
use crate::units::{Ev, Illuminance, Luminance, Stops};

/// The constant of meters that look at the scene, cd·s·m⁻²·ISO.
pub const REFLECTED_K: f64 = 12.5;

/// The constant of meters that light falls on, flat receptor, lx·s·ISO.
pub const INCIDENT_C: f64 = 250.0;

/// Scenes that an exposure value may be given for: a moonless overcast night is about −10, the sun's disc 31.
pub const EV100: Bounds = Bounds::new("ev100", -20.0, 35.0, "");

/// The speed that exposure values are counted at.
const ISO: f64 = 100.0;

/// An exposure value given by hand, at ISO 100.
///
/// # Errors
/// Outside −20 to 35, or no number.
pub fn given(ev100: f64) -> Result<Ev> {
    EV100.check(ev100).map(Ev::at_iso_100)
}

/// The luminance that a meter reads as this exposure value.
///
/// ```
/// use duskbook::{exposure::ev, units::Ev};
/// assert_eq!(ev::luminance(Ev::at_iso_100(10.0)).candela_per_m2(), 128.0);
/// ```
pub fn luminance(ev: Ev) -> Luminance {
    Luminance::from_candela_per_m2(REFLECTED_K / ISO * ev.value().exp2())
}

/// The exposure value that a meter reads from a luminance; minus infinity for none.
pub fn of_luminance(light: Luminance) -> Ev {
    Ev::at_iso_100((light.candela_per_m2() * ISO / REFLECTED_K).log2())
}

/// The illuminance that a flat incident meter reads as this exposure value.
///
/// ```
/// use duskbook::{exposure::ev, units::Ev};
/// assert_eq!(ev::illuminance(Ev::at_iso_100(0.0)).lux(), 2.5);
/// ```
pub fn illuminance(ev: Ev) -> Illuminance {
    Illuminance::from_lux(INCIDENT_C / ISO * ev.value().exp2())
}

/// The exposure value that a flat incident meter reads from an illuminance; minus infinity for none.
pub fn of_illuminance(light: Illuminance) -> Ev {
    Ev::at_iso_100((light.lux() * ISO / INCIDENT_C).log2())
}

/// APEX aperture value Av = 2 log₂ N.
pub fn aperture_value(aperture: Aperture) -> Stops {
    aperture.stops()
}

/// APEX time value Tv = −log₂ t, t in seconds.
pub fn time_value(shutter: Shutter) -> Stops {
    -shutter.stops()
}

/// APEX speed value Sv = log₂(S / 3.125); 5 at ISO 100.
pub fn speed_value(iso: Iso) -> Stops {
    iso.stops() + Stops::new(5.0)
}

/// The logarithmic speed S° = 10 log₁₀ S + 1, rounded as it is printed on a film box: 100/21°, 400/27°.
pub fn logarithmic_speed(iso: Iso) -> f64 {
    (10.0 * iso.exact().log10()).round() + 1.0
}
