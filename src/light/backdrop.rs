//! What the sun, the direction and the cloud alone decide about the sky that a lens faces.

use super::belief::{FLOOR, SHAPE, UNKNOWNS, Vector};
use super::direction::{over_even_sky, since_sunset};
use super::illuminance::{even_sky_ev, from_sun};
use super::scene::{Cloud, Intent};
use crate::units::{Angle, Illuminance};

/// The low sky in front of the lens at one moment, before the unknowns of the evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Backdrop {
    /// Geometric altitude of the sun, degrees, along which slow errors are counted.
    pub(crate) sun_deg: f64,
    /// EV at ISO 100 of the sky if it kept its evenness of the moment when the sun is on the horizon.
    level_ev: f64,
    /// How far the direction's gain has since changed, stops.
    change: f64,
    /// EV at ISO 100 of an even sky lit by the moon alone, minus infinity without.
    moon_ev: f64,
}

/// The brightness of sky and lamps together, and what moves it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Blend {
    /// EV at ISO 100 of both.
    pub(crate) ev: f64,
    /// How it changes with each unknown; with the intent's offset, by the sky's share of the light.
    pub(crate) slopes: Vector,
}

impl Backdrop {
    /// The sky for a sun at this geometric altitude, the lens turned away from it by `turn`, under this cloud.
    pub fn new(sun: Angle, turn: Angle, cloud: Cloud) -> Self {
        let level = since_sunset(sun, turn);
        Self {
            sun_deg: sun.degrees(),
            level_ev: (even_sky_ev(from_sun(sun)) + level - cloud.loss()).value(),
            change: (over_even_sky(sun, turn) - level).count(),
            moon_ev: f64::NEG_INFINITY,
        }
    }

    /// The same sky with the moon's light in it, under its cloud.
    #[must_use]
    pub fn with_moonlight(self, moonlight: Illuminance, cloud: Cloud) -> Self {
        Self { moon_ev: (even_sky_ev(moonlight) - cloud.loss()).value(), ..self }
    }

    /// EV of the sky alone, S, exposed for an intent, for these unknowns.
    pub(crate) fn sky(&self, unknowns: &Vector, intent: Intent) -> f64 {
        log2_sum(self.sunlit(unknowns), self.moon_ev) + unknowns[intent as usize]
    }

    /// EV of the sun's part of the sky without the offset of an intent.
    fn sunlit(&self, unknowns: &Vector) -> f64 {
        self.level_ev + unknowns[SHAPE] * self.change
    }

    /// How S changes with each unknown.
    pub(crate) fn sky_slopes(&self, unknowns: &Vector, intent: Intent) -> Vector {
        let mut slopes = [0.0; UNKNOWNS];
        slopes[intent as usize] = 1.0;
        slopes[SHAPE] = share(self.sunlit(unknowns) - self.moon_ev) * self.change;
        slopes
    }

    /// Sky and lamps together, log₂(2^S + 2^F), for these unknowns.
    pub(crate) fn blend(&self, unknowns: &Vector, intent: Intent) -> Blend {
        let (sky, floor) = (self.sky(unknowns, intent), unknowns[FLOOR]);
        let share = share(sky - floor);
        let mut slopes = self.sky_slopes(unknowns, intent).map(|slope| slope * share);
        slopes[FLOOR] = 1.0 - share;
        Blend { ev: log2_sum(sky, floor), slopes }
    }
}

/// log₂(2^a + 2^b).
fn log2_sum(a: f64, b: f64) -> f64 {
    let lead = a - b;
    b.max(a) + (1.0 + (-lead.abs()).exp2()).log2()
}

/// The part that the first of two lights has in their sum, by its lead in stops.
fn share(lead: f64) -> f64 {
    1.0 / (1.0 + (-lead).exp2())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The unknowns that matter to an exposure of the sky.
    fn unknowns(offset: f64, shape: f64, floor: f64) -> Vector {
        [offset, 9.0, 9.0, 9.0, shape, floor]
    }

    fn backdrop(sun_deg: f64, cloud: Cloud) -> Backdrop {
        Backdrop::new(Angle::from_degrees(sun_deg), Angle::from_degrees(30.0), cloud)
    }

    #[test]
    fn lamps_as_bright_as_the_sky_add_one_stop() {
        let backdrop = backdrop(-5.0, Cloud::Clear);
        let sky = backdrop.sky(&unknowns(0.2, 0.6, 0.0), Intent::Sky);
        let both = backdrop.blend(&unknowns(0.2, 0.6, sky), Intent::Sky);
        assert!((both.ev - sky - 1.0).abs() < 1e-12);
        assert!((both.slopes[0] - 0.5).abs() < 1e-12);
    }

    #[test]
    fn the_slopes_are_the_differences_of_the_blend() {
        let (backdrop, at) = (backdrop(-7.0, Cloud::Thin), unknowns(-1.0, 0.6, 3.0));
        let slopes = backdrop.blend(&at, Intent::Sky).slopes;
        for (i, slope) in slopes.iter().enumerate() {
            let moved = |by: f64| {
                let mut unknowns = at;
                unknowns[i] += by;
                backdrop.blend(&unknowns, Intent::Sky).ev
            };
            assert!((slope - (moved(1e-5) - moved(-1e-5)) / 2e-5).abs() < 1e-8, "unknown {i}");
        }
    }

    #[test]
    fn without_a_moon_nothing_changes_and_with_one_the_slopes_still_hold() {
        let (moonless, at) = (backdrop(-12.0, Cloud::Thin), unknowns(-1.0, 0.6, -6.0));
        let dark = moonless.with_moonlight(Illuminance::from_lux(0.0), Cloud::Thin);
        assert_eq!(dark.blend(&at, Intent::Sky).ev, moonless.blend(&at, Intent::Sky).ev);
        assert_eq!(dark.sky_slopes(&at, Intent::Sky), moonless.sky_slopes(&at, Intent::Sky));
        let lit = moonless.with_moonlight(Illuminance::from_lux(0.2), Cloud::Thin);
        assert!(lit.sky(&at, Intent::Sky) > moonless.sky(&at, Intent::Sky) + 0.5);
        let moved = |by: f64| lit.blend(&unknowns(-1.0, 0.6 + by, -6.0), Intent::Sky).ev;
        let slope = (moved(1e-5) - moved(-1e-5)) / 2e-5;
        assert!((lit.blend(&at, Intent::Sky).slopes[SHAPE] - slope).abs() < 1e-8);
    }

    #[test]
    fn cloud_takes_its_stops_from_the_sky_and_leaves_the_lamps() {
        let usual = unknowns(-1.0, 0.6, 3.0);
        let (clear, dark) = (backdrop(-2.0, Cloud::Clear), backdrop(-2.0, Cloud::Dark));
        assert!((clear.sky(&usual, Intent::Sky) - dark.sky(&usual, Intent::Sky) - 3.3).abs() < 1e-12);
        let night = backdrop(-18.0, Cloud::Dark).blend(&usual, Intent::Sky).ev;
        assert!((night - 3.0).abs() < 1e-3, "{night}");
    }

    #[test]
    fn a_shape_of_one_is_the_sky_that_was_computed() {
        let (sun, turn) = (Angle::from_degrees(-3.0), Angle::from_degrees(30.0));
        let computed = even_sky_ev(from_sun(sun)) + over_even_sky(sun, turn);
        let sky = Backdrop::new(sun, turn, Cloud::Clear).sky(&unknowns(0.0, 1.0, 0.0), Intent::Sky);
        assert!((sky - computed.value()).abs() < 1e-12);
    }
}
