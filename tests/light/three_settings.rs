//! Three settings of one evening (common practice, no source): does the model find its way through them?
//!
//! An illustration of consistency, not a pass mark. What is known are the settings, the minutes between them, and a
//! subtropical latitude. What had to be assumed, and is varied here: that the sun had just gone behind a skyline of 5 to 9°
//! at the first; the season; the lens turned 0 to 90° from the sunset; no filter or one of 0.7 stop; a clear sky, a distant
//! lit skyline, the whole frame metered.

use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::exposure::settings::Settings;
use duskbook::light::forecast::Forecast;
use duskbook::light::reading::Reading;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::sky::events::crossings;
use duskbook::sky::place::Place;
use duskbook::units::{Angle, Bearing, Instant, Span, Stops};

/// Minutes from the first, f-number, seconds, ISO.
const SETTINGS: [(f64, f64, f64, f64); 3] =
    [(0.0, 22.0, 1.0 / 3.0, 100.0), (30.0, 22.0, 3.0, 50.0), (50.0, 11.0, 1.6, 250.0)];

/// Midnight at the start of 21 March, 21 June and 21 December 2031, UTC.
const DAYS_MS: [(&str, f64); 3] =
    [("March", 1_931_817_600_000.0), ("June", 1_939_766_400_000.0), ("December", 1_955_577_600_000.0)];

fn reading(first: Instant, (minutes, n, seconds, iso): (f64, f64, f64, f64), filter: f64) -> Reading {
    let settings = Settings {
        aperture: Aperture::marked(n).unwrap(),
        shutter: Shutter::exactly(seconds).unwrap(),
        iso: Iso::marked(iso).unwrap(),
    };
    let at = first.plus_seconds(60.0 * minutes);
    Reading::of_frame(at, settings, Stops::new(filter), Stops::ZERO, Intent::Frame).unwrap()
}

#[test]
fn the_first_two_settings_foretell_the_third_as_well_as_the_band_says() {
    let mut within = 0;
    let mut all = 0;
    for latitude in [25.0, 30.0] {
        let place = Place::new(latitude, 0.0, 0.0).unwrap();
        for (season, day_ms) in DAYS_MS {
            let noon = day_ms + 12.0 * 3.6e6;
            let afternoon = Span::from_epoch_ms(noon, noon + 9.0 * 3.6e6).unwrap();
            for skyline_deg in [5.0, 7.0, 9.0] {
                let [gone] = crossings(&place, afternoon, &[Angle::from_degrees(skyline_deg)])[..] else {
                    panic!("the sun goes behind the skyline once")
                };
                for (turn_deg, filter) in [(0.0, 0.0), (0.0, 0.7), (90.0, 0.0)] {
                    let lens = Bearing::from_degrees(gone.azimuth.degrees() + turn_deg);
                    let [first, second, third] = SETTINGS.map(|setting| reading(gone.at, setting, filter));
                    let conditions =
                        Conditions { cloud: Cloud::Clear, scene: Scene::Skyline, intent: Intent::Frame };
                    let light = Forecast::new(place, lens, conditions, &[first, second]).unwrap();
                    let told = light.at(third.at);
                    let offset = light.fit().belief().offset(Intent::Frame);
                    let missed = (third.ev - told.ev).count();
                    let half_band = (told.high - told.ev).count();
                    all += 1;
                    within += usize::from(missed.abs() < half_band);
                    println!(
                        "{latitude}° {season}, skyline {skyline_deg}°, lens {turn_deg}° off, filter {filter}: third \
                         foretold {:.2} ± {half_band:.2}, was {:.2} ({missed:+.2}); offset {:+.2} ± {:.2}",
                        told.ev.value(),
                        third.ev.value(),
                        offset.mean,
                        offset.sd
                    );
                    // No pass mark, but a sane answer: an offset that the frame's prior allows, a band that means something.
                    assert!((offset.mean + 2.5).abs() < 2.5 * 2.0, "{offset:?}");
                    assert!(half_band > 0.4 && half_band < 2.0, "{half_band}");
                    assert!(missed.abs() < 3.0 * half_band, "{missed}");
                }
            }
        }
    }
    println!("{within} of {all} guesses at what is not known have the third within their band");
}
