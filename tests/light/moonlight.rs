//! Moonlight in the forecast.

use duskbook::light::backdrop::Backdrop;
use duskbook::light::forecast::Forecast;
use duskbook::light::illuminance::from_moon;
use duskbook::light::moonlight::LightTrack;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::sky::{moon, place::Place};
use duskbook::units::{Angle, Bearing, Instant, Span};

fn light(scene: Scene) -> (Place, Forecast) {
    let place = Place::new(44.0, -30.0, 0.0).unwrap();
    let conditions = Conditions { cloud: Cloud::Clear, scene, intent: Intent::Frame };
    (place, Forecast::new(place, Bearing::from_degrees(180.0), conditions, &[]).unwrap())
}

#[test]
fn a_moonlit_landscape_reads_as_the_standard_has_it() {
    // ANSI PH2.7, in encyclopaedia copies: full moon −3 to −2, gibbous −4, quarter −6; the moon above 40°.
    for (phase_deg, least, most) in [(0.0, -3.0, -2.0), (30.0, -4.0, -4.0), (90.0, -6.0, -6.0)] {
        let [altitude, phase, parallax] = [60.0, phase_deg, 0.951].map(Angle::from_degrees);
        let frame = Intent::Frame.offset().mean;
        let even = duskbook::light::illuminance::even_sky_ev(from_moon(altitude, phase, parallax)).value();
        println!("phase {phase_deg}°: EV {:.2}, standard {least} to {most}", even + frame);
        // The rows are whole numbers.
        assert!((least - 0.5..=most + 0.5).contains(&(even + frame)), "{phase_deg}: {}", even + frame);
    }
    let night = Backdrop::new(Angle::from_degrees(-40.0), Angle::ZERO, Cloud::Clear);
    assert_eq!(
        night,
        night.with_moonlight(
            from_moon(Angle::from_degrees(-1.0), Angle::ZERO, Angle::from_degrees(0.95)),
            Cloud::Clear
        )
    );
}

#[test]
fn the_moon_brightens_the_night_only_while_it_is_up() {
    let (place, forecast) = light(Scene::Unlit);
    // 2031, a month of nights around the solar midnight of 30° W.
    let first = Instant::from_epoch_ms(1_930_874_400_000.0).unwrap();
    let track = LightTrack::over(place, Span::new(first, first.plus_seconds(31.0 * 86_400.0)).unwrap());
    let (mut dark, mut lit) = (0, 0);
    for night in 0..30 {
        let at = first.plus_seconds(f64::from(night) * 86_400.0);
        let (moon, lights) = (moon::position(&place, at), track.at(at));
        let gain = (forecast.at(at).ev - forecast.floor().ev).count();
        assert!((forecast.under(&lights).ev - forecast.at(at).ev).count().abs() < 1e-4);
        if moon.altitude.degrees() < -0.85 {
            assert_eq!(lights.moonlight.lux(), 0.0);
            // What the sky itself adds to EV −6.
            assert!(gain < 0.6, "{gain}");
            dark += 1;
        } else if moon.altitude.degrees() > 20.0 && moon.illuminated_fraction() > 0.8 {
            assert!(gain > 0.9, "{gain} with {moon:?}");
            lit += 1;
        }
    }
    assert!(dark > 8 && lit > 4, "{dark} dark and {lit} moonlit nights");
}
