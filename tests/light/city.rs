//! The shape of the fall against a city's, which had no part in making the model.
//!
//! M. Spitschan, G. K. Aguirre, D. H. Brainard and A. M. Sweeney 2016, Scientific Reports 6:26756 (number from memory):
//! outdoor illumination by the sun's altitude, in a city. The measurements could not be had offline; what is held here are three
//! bin means of the published city curve in stops against the circular's cubics, computed from its published
//! weights by the reference of this model (second-hand). Single evenings scatter by 0.5 to 0.9 stop about them, weather
//! included.

use duskbook::light::backdrop::Backdrop;
use duskbook::light::belief::Belief;
use duskbook::light::fit::{Fit, Seen};
use duskbook::light::illuminance::{even_sky_ev, from_sun};
use duskbook::light::normal::Normal;
use duskbook::light::scene::{Cloud, Intent};
use duskbook::units::{Angle, Stops};

use crate::data::Worst;

/// The middle of each bin of altitudes, degrees, and the city's mean against the cubics, stops.
const CITY: [(f64, f64); 3] = [(-1.0, -0.54), (-3.0, -0.51), (-5.0, -0.73)];

/// Level ground has the shape 0 and no lamps in it; the offset is free: 0.6 stop is haze, horizon, and weather.
#[test]
fn a_city_falls_as_the_model_does_but_for_one_offset() {
    let ground = Belief::independent(Normal::new(0.0, 1.0), Normal::new(0.0, 1e-3), Normal::new(-6.0, 1e-3));
    let seen = CITY.map(|(sun_deg, stops)| {
        let sun = Angle::from_degrees(sun_deg);
        // The backdrop's level is that of a sky at the turn; a turn's gain at sunset is taken off again.
        let backdrop = Backdrop::new(sun, Angle::from_degrees(90.0), Cloud::Clear);
        let gain = duskbook::light::direction::over_even_sky(Angle::ZERO, Angle::from_degrees(90.0));
        Seen { backdrop, ev: even_sky_ev(from_sun(sun)) + gain + Stops::new(stops), intent: Intent::Sky }
    });
    let fit = Fit::new(&ground, &seen);
    let offset = fit.belief().offset(Intent::Sky);
    println!("offset of the city {:+.2} ± {:.2} stop", offset.mean, offset.sd);
    let plain = Fit::new(&ground, &[]);
    let mut worst = Worst::new();
    for (seen, (sun_deg, _)) in seen.iter().zip(CITY) {
        let residual = seen.ev.value() - plain.ev(&seen.backdrop, Intent::Sky).mean - offset.mean;
        println!("sun at {sun_deg}°: {residual:+.2} stop from the model with that offset");
        worst.note(residual, format!("{sun_deg}°"));
    }
    // The slow error that the fit allows for, one deviation.
    worst.within("a city's fall, less one offset, stops", 0.4);
    assert!((offset.mean + 0.59).abs() < 0.1, "{offset:?}");
    // Held out: the two brighter bins foretell the third within the band.
    let told = Fit::new(&ground, &seen[..2]).ev(&seen[2].backdrop, Intent::Sky);
    let missed = seen[2].ev.value() - told.mean;
    println!("the first two bins foretell the third to {missed:+.2} stop, band ±{:.2}", told.half_band());
    assert!(missed.abs() < told.half_band(), "{missed}");
}
