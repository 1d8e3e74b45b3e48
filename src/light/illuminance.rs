//! Light on level ground from the sun, its twilight and the moon, under a clear sky.
//!
//! log₁₀ E = l₀ + l₁x + l₂x² + l₃x³ lux, x = altitude / 90°, in six stretches of the sun's geometric altitude and
//! three of the moon's: P. M. Janiczek and J. A. `DeYoung`, USNO Circular 171 (1987), read in two independent
//! transcriptions. Their stated error is 0.02 in log₁₀ (0.07 stop), 0.01 below −5°. Neighbouring cubics meet within
//! 0.014 stop; the small steps are left as published.
//!
//! **Differs from the circular** below −18°: its value at −18°, 0.64 millilux, is held, so that a curve has no step
//! where the published constant (0.5 millilux, 0.36 stop lower) would take over. Starlight, airglow and town
//! glow are then what is left, and they vary by far more than that.

use std::f64::consts::PI;

use super::illuminance_terms::{MOON, SUN, Stretch};
use crate::exposure::ev;
use crate::math::{polynomial, power};
use crate::units::{Angle, Ev, Illuminance, Luminance};

/// Where the sun's light has sunk to the night's own: the end of astronomical twilight, degrees.
const NIGHT_DEG: f64 = -18.0;

/// log₁₀ of lux by the stretch that the altitude lies in; minus infinity, no light, below the last.
fn log10_lux(stretches: &[Stretch], altitude_deg: f64) -> f64 {
    let stretch = stretches.iter().find(|stretch| altitude_deg >= stretch.from_deg);
    stretch.map_or(f64::NEG_INFINITY, |stretch| polynomial(altitude_deg / 90.0, &stretch.cubic))
}

/// Direct and scattered sunlight on level ground, by the geometric altitude of the sun's centre.
///
/// Any altitude to 90°; below −18° the constant of a moonless night. Expected error 0.07 stop under a clear sky at
/// sea level.
///
/// ```
/// use duskbook::{light::illuminance, units::Angle};
/// let six_below = illuminance::from_sun(Angle::from_degrees(-6.0));
/// assert!((six_below.lux() - 3.41).abs() < 0.005);
/// ```
pub fn from_sun(altitude: Angle) -> Illuminance {
    Illuminance::from_lux(power(10.0, log10_lux(&SUN, altitude.degrees().max(NIGHT_DEG))))
}

/// Moonlight on level ground under a clear sky; none below −0.8°.
///
/// `altitude` is geometric and topocentric, `phase` the angle sun–moon–earth (0° full, 180° new), `parallax` the
/// horizontal one, which tells the distance (about 0.95°). Adds −0.00868 f − 2.2·10⁻⁹ f⁴ for the phase and
/// 2 log₁₀(HP / 0.951°) for the distance to the cubic; same source.
///
/// ```
/// use duskbook::{light::illuminance, units::Angle};
/// let full = illuminance::from_moon(Angle::from_degrees(90.0), Angle::ZERO, Angle::from_degrees(0.951));
/// assert!((full.lux() - 0.269).abs() < 0.0005);
/// ```
pub fn from_moon(altitude: Angle, phase: Angle, parallax: Angle) -> Illuminance {
    let full = log10_lux(&MOON, altitude.degrees());
    let f = phase.degrees().abs();
    let dimmed = 0.00868 * f + 2.2e-9 * f.powi(4);
    let nearness = 2.0 * (parallax.degrees() / 0.951).log10();
    Illuminance::from_lux(power(10.0, full - dimmed + nearness))
}

/// What a meter reads from a sky that is everywhere equally bright and gives this illuminance: L = E / π.
pub fn even_sky_ev(illuminance: Illuminance) -> Ev {
    ev::of_luminance(Luminance::from_candela_per_m2(illuminance.lux() / PI))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbouring_cubics_meet_within_the_stated_fraction_of_a_stop() {
        for pair in SUN.windows(2) {
            let x = pair[0].from_deg / 90.0;
            let step = polynomial(x, &pair[0].cubic) - polynomial(x, &pair[1].cubic);
            let stops = step / 2f64.log10();
            assert!(stops.abs() < 0.0145, "{stops} stop at {}°", pair[0].from_deg);
        }
    }

    #[test]
    fn the_night_has_one_level_and_the_dusk_runs_into_it() {
        let lux = |degrees: f64| from_sun(Angle::from_degrees(degrees)).lux();
        assert_eq!(lux(-18.5), lux(-60.0));
        assert!((lux(-17.999_999) / lux(-18.000_001)).log2().abs() < 1e-5);
    }

    #[test]
    fn the_moon_gives_nothing_below_the_horizon_and_little_when_new() {
        let parallax = Angle::from_degrees(0.95);
        let lux = |altitude: f64, phase: f64| {
            from_moon(Angle::from_degrees(altitude), Angle::from_degrees(phase), parallax).lux()
        };
        assert_eq!(lux(-1.0, 0.0), 0.0);
        assert!(lux(40.0, 175.0) < 1e-2 * lux(40.0, 0.0));
        assert_eq!(lux(40.0, -30.0), lux(40.0, 30.0));
    }

    #[test]
    fn an_even_sky_reads_two_and_two_thirds_stops_over_the_incident_value() {
        // log₂(250 / (12.5 π)) = 2.67: computed from K and C.
        let light = Illuminance::from_lux(80.0);
        assert!(((even_sky_ev(light) - ev::of_illuminance(light)).count() - 2.67).abs() < 0.005);
    }
}
