//! Ramps go by single thirds and stay within a sixth of a stop of the forecast.

use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::light::forecast::Forecast;
use duskbook::light::reading::Reading;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::shoot::ramp::{Change, Ramp};
use duskbook::sky::place::Place;
use duskbook::units::{Bearing, Ev, Instant, Span, Stops};
use proptest::prelude::*;

/// 2031-03-10T18:00.
const START_MS: f64 = 1_930_932_000_000.0;

fn span(hours: f64) -> Span {
    Span::from_epoch_ms(START_MS, START_MS + hours * 3.6e6).unwrap()
}

fn light(latitude: f64, bearing_deg: f64, scene: Scene, read: &[(f64, f64)]) -> (Place, Forecast) {
    let place = Place::new(latitude, -30.0, 0.0).unwrap();
    let conditions = Conditions { cloud: Cloud::Clear, scene, intent: Intent::Frame };
    let reading = |&(hours, ev): &(f64, f64)| {
        Reading::new(Instant::from_epoch_ms(START_MS + 3.6e6 * hours).unwrap(), ev, Intent::Frame).unwrap()
    };
    let readings: Vec<Reading> = read.iter().map(reading).collect();
    (place, Forecast::new(place, Bearing::from_degrees(bearing_deg), conditions, &readings).unwrap())
}

fn ramp(interval_s: f64, isos: (i32, i32), filter: f64) -> Ramp {
    let isos = (Iso::third(isos.0).unwrap(), Iso::third(isos.1).unwrap());
    Ramp::new(interval_s, Aperture::parse("f/5.6").unwrap(), isos, None, Stops::new(filter)).unwrap()
}

#[test]
fn the_time_goes_first_and_stays_a_second_below_the_interval_then_the_speed_rises() {
    let (place, light) = light(44.0, 265.0, Scene::Lit(Ev::at_iso_100(-2.0)), &[]);
    let ramp = ramp(10.0, (0, 9), 0.0);
    let frames = ramp.frames(span(4.0)).unwrap();
    assert_eq!(frames, 1441);
    let changes = ramp.changes(&light, &place, span(4.0).start(), frames);
    assert_eq!((changes[0].frame, changes[0].at), (0, span(4.0).start()));
    let longest = changes.iter().map(|change| change.setting.settings.shutter.exact()).fold(0.0, f64::max);
    assert_eq!(longest, 8.0, "the longest mark within nine seconds");
    let turn = changes.iter().position(|change| change.setting.settings.iso.nominal() > 100.0).unwrap();
    assert!(changes[..turn].iter().all(|change| change.setting.settings.iso.nominal() == 100.0));
    assert!(changes[turn - 1..].iter().all(|change| change.setting.settings.shutter.exact() == 8.0));
    // f/5.6, 8 s, ISO 800 suit EV 5 − 3 − 3 = −1; the lamps are at −2, so it ends dark, and says so.
    let last = changes.last().unwrap();
    assert_eq!((last.setting.settings.iso.nominal(), last.setting.limited), (800.0, true));
    let labels: Vec<String> =
        changes[..4].iter().map(|change| change.setting.settings.shutter.label()).collect();
    println!("{} changes, the first {labels:?}", changes.len());
}

#[test]
fn a_morning_runs_the_other_way() {
    let (place, light) = light(44.0, 95.0, Scene::Skyline, &[]);
    let dawn = Span::from_epoch_ms(START_MS + 11.0 * 3.6e6, START_MS + 15.0 * 3.6e6).unwrap();
    let changes = ramp(8.0, (0, 18), 0.0).changes(&light, &place, dawn.start(), 1800);
    assert!(changes.len() > 20);
    assert!(changes.windows(2).all(|pair| pair[1].ev > pair[0].ev && pair[1].at > pair[0].at));
}

#[test]
fn an_interval_and_a_longest_time_that_make_no_sense_are_refused_or_cut() {
    let iso = Iso::third(0).unwrap();
    let f8 = Aperture::parse("f/8").unwrap();
    let refused = Ramp::new(1.0, f8, (iso, iso), None, Stops::ZERO).unwrap_err();
    assert_eq!(refused.to_string(), "intervalS: 1 is outside 2 s to 3600 s");
    let many = ramp(2.5, (0, 3), 0.0).frames(span(24.0)).unwrap_err();
    assert_eq!(
        many.to_string(),
        "endMs: 34560 is outside 0 intervals after startMs to 20000 intervals after startMs"
    );
    let (place, light) = light(44.0, 265.0, Scene::Unlit, &[]);
    let longest = |wanted: f64| {
        let wanted = Some(Shutter::marked(wanted).unwrap());
        let ramp = Ramp::new(12.0, f8, (iso, Iso::third(3).unwrap()), wanted, Stops::ZERO).unwrap();
        let changes = ramp.changes(&light, &place, span(4.0).start(), 1200);
        changes.iter().map(|change| change.setting.settings.shutter.exact()).fold(0.0, f64::max)
    };
    assert_eq!((longest(4.0), longest(30.0)), (4.0, Shutter::marked(10.0).unwrap().exact()));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases / 8))]
    #[test]
    fn every_step_is_a_third_and_no_frame_is_more_than_a_sixth_off(
        latitude in -65.0..65.0f64, bearing in 0.0..360.0f64, interval in 2.5..30.0f64,
        isos in (-3..=6i32, 6..=27i32), filter in 0.0..4.0f64, floor in -4.0..7.0f64,
        read in prop::collection::vec((0.5..3.0f64, 3.0..12.0f64), 0..3),
    ) {
        let (place, light) = light(latitude, bearing, Scene::lit(floor).unwrap(), &read);
        let ramp = ramp(interval, isos, filter);
        let span = span(5.0);
        let frames = ramp.frames(span).unwrap();
        let changes = ramp.changes(&light, &place, span.start(), frames);
        for pair in changes.windows(2) {
            let [before, after] = [pair[0].setting.settings, pair[1].setting.settings];
            let by = (before.ev() - after.ev()).count().abs();
            if pair.iter().any(|change| change.setting.limited) {
                prop_assert_eq!(before, after, "an end that is told");
                continue;
            }
            prop_assert!((by - 1.0 / 3.0).abs() < 1e-9, "{by} at {:?}", pair[1]);
            let dials = [before.shutter != after.shutter, before.iso != after.iso, before.aperture != after.aperture];
            prop_assert_eq!(dials.iter().filter(|&&moved| moved).count(), 1);
            prop_assert!(pair[1].frame > pair[0].frame, "two changes with one frame: {pair:?}");
            prop_assert!(after.shutter.exact() <= interval - 1.0);
        }
        let mut current = changes.iter().peekable();
        let mut now: &Change = current.next().unwrap();
        for frame in 0..frames {
            let at = span.start().plus_seconds(f64::from(frame) * interval);
            while let Some(next) = current.next_if(|next| next.frame <= frame) {
                now = next;
                assert_eq!(next.at, at);
            }
            let off = (light.at(at).ev.value() - filter - now.setting.settings.ev().value()).abs();
            // Where the dials have come to an end the light goes on alone.
            prop_assert!(off <= 1.0 / 6.0 + 0.0134 || now.setting.limited, "{off} at {frame}: {now:?}");
        }
    }
}
