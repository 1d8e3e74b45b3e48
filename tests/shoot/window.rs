//! Windows hold what they promise, at any place and for any ranges, and what is to be relaxed is the least.

use duskbook::exposure::series::{Aperture, Iso, Shutter};
use duskbook::exposure::settings::{Limits, Settings};
use duskbook::light::forecast::Forecast;
use duskbook::light::reading::Reading;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::shoot::shot::Shot;
use duskbook::shoot::window::{Windows, windows};
use duskbook::sky::place::Place;
use duskbook::units::{Bearing, Ev, Instant, Span, Stops};
use proptest::prelude::*;

use crate::data::Worst;

/// 2031-03-10T18:00, when the sun is still up at 30° W.
const START_MS: f64 = 1_930_932_000_000.0;

fn evening(hours: f64) -> Span {
    Span::from_epoch_ms(START_MS, START_MS + hours * 3.6e6).unwrap()
}

fn light(latitude: f64, bearing_deg: f64, read: &[(f64, f64)]) -> (Place, Forecast) {
    let place = Place::new(latitude, -30.0, 0.0).unwrap();
    let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Skyline, intent: Intent::Frame };
    let readings: Vec<Reading> = read
        .iter()
        .map(|&(hours, ev)| {
            let at = Instant::from_epoch_ms(START_MS + 3.6e6 * hours).unwrap();
            Reading::new(at, ev, Intent::Frame).unwrap()
        })
        .collect();
    (place, Forecast::new(place, Bearing::from_degrees(bearing_deg), conditions, &readings).unwrap())
}

/// Marks by their thirds.
fn shot(aperture: (i32, i32), shutter: (Shutter, Shutter), iso: (i32, i32)) -> Shot {
    let limits = Limits {
        widest: Aperture::third(aperture.0).unwrap(),
        narrowest: Aperture::third(aperture.1).unwrap(),
        shortest: shutter.0,
        slowest: Iso::third(iso.0).unwrap(),
        fastest: Iso::third(iso.1).unwrap(),
        ..Limits::default()
    };
    Shot { limits, shutter_wanted: Some(shutter.1), filter: Stops::ZERO }
}

fn seconds(seconds: f64) -> Shutter {
    Shutter::marked(seconds).unwrap()
}

/// f/8, 8 s, ISO 100 suit EV 3 and a sixth of a stop either way; the whole evening is gone through by the second.
#[test]
fn one_setting_has_the_window_that_every_second_of_the_evening_says() {
    let (place, light) = light(44.0, 265.0, &[]);
    let shot = shot((18, 18), (seconds(8.0), seconds(8.0)), (0, 0));
    let span = evening(5.0);
    let Windows { windows, relax } = windows(&light, &place, span, &shot, &[Stops::new(3.0)]);
    assert_eq!(relax, None);
    let mut worst = Worst::new();
    for filter in [0.0, 3.0] {
        let fits: Vec<Instant> = (0..=18_000)
            .map(|s| span.start().plus_seconds(f64::from(s)))
            .filter(|&at| (light.at(at).ev.value() - filter - 3.0).abs() <= 1.0 / 6.0)
            .collect();
        let found: Vec<_> = windows.iter().filter(|window| window.filter.count() == filter).collect();
        let [window] = found[..] else { panic!("{filter}: {found:?}") };
        worst.note(fits[0].seconds_after(window.span.start()) - 0.5, format!("start through {filter} stops"));
        let last = fits[fits.len() - 1];
        worst.note(window.span.end().seconds_after(last) - 0.5, format!("end through {filter} stops"));
        for held in window.settings {
            let Settings { aperture, shutter, iso } = held.settings;
            assert_eq!(
                [aperture.label(), shutter.label(), iso.label()],
                ["f/8", "8 s", "ISO 100"].map(String::from)
            );
        }
    }
    // Each second's look is up to a second late or early: half a second beside half a second.
    worst.within("ends of a window against a look each second, seconds", 0.51);
}

#[test]
fn a_picture_that_never_fits_says_the_least_change() {
    let (place, light) = light(44.0, 265.0, &[]);
    let dark = evening(5.0);
    // At the end only the lamps are left, EV 3; f/16, 1/125 s, ISO 100 suit EV 15.
    let late = Span::new(dark.end().plus_seconds(-3600.0), dark.end()).unwrap();
    let fast = shot((24, 24), (seconds(1.0 / 125.0), seconds(1.0 / 125.0)), (0, 0));
    let relax = windows(&light, &place, late, &fast, &[Stops::new(6.0)]).relax.expect("too dark");
    assert!(!relax.bright && relax.filter == Stops::ZERO && relax.instead.is_none(), "{relax:?}");
    assert!((relax.by.count() - 12.0).abs() <= 1.0 / 3.0 + 1e-9, "{relax:?}");
    // In the sun f/4, 30 s, ISO 100 suit EV −1; a ten-stop filter of the bag comes nearest.
    let early = Span::new(dark.start(), dark.start().plus_seconds(1800.0)).unwrap();
    let slow = shot((12, 12), (seconds(30.0), seconds(30.0)), (0, 0));
    let told = windows(&light, &place, early, &slow, &[Stops::new(3.0), Stops::new(6.0)]);
    let relax = told.relax.expect("too bright");
    assert!(relax.bright && relax.filter == Stops::new(6.0) && relax.at == early.end(), "{relax:?}");
    let instead = relax.instead.expect("a darker filter");
    let again = windows(&light, &place, early, &slow, &[instead]);
    assert!(again.windows.iter().any(|window| window.span.contains(relax.at)), "{again:?}");
}

#[test]
fn a_reading_moves_the_windows_and_narrows_their_doubt() {
    let shot = shot((12, 24), (seconds(8.0), seconds(30.0)), (0, 0));
    let window = |read: &[(f64, f64)]| {
        let (place, light) = light(44.0, 265.0, read);
        windows(&light, &place, evening(5.0), &shot, &[]).windows[0]
    };
    let (_, plain) = light(44.0, 265.0, &[]);
    let read_at = evening(5.0).start().plus_seconds(1.9 * 3600.0);
    let brighter = window(&[(1.9, plain.at(read_at).ev.value() + 1.0)]);
    let before = window(&[]);
    assert!(brighter.span.start() > before.span.start(), "brighter, so later");
    let doubt = |window: &duskbook::shoot::window::Window| {
        window.span.start().seconds_after(window.likely.start()) / 60.0
    };
    println!("the start may come {:.1} min sooner, with a reading {:.1}", doubt(&before), doubt(&brighter));
    assert!(doubt(&brighter) < 0.5 * doubt(&before));
}

fn ordered(range: std::ops::RangeInclusive<i32>) -> impl Strategy<Value = (i32, i32)> {
    (range.clone(), range).prop_map(|(a, b)| (a.min(b), a.max(b)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases / 8))]
    #[test]
    fn settings_fit_within_a_window_and_none_does_a_second_outside(
        latitude in -65.0..65.0f64, bearing in 0.0..360.0f64,
        aperture in ordered(3..=27), iso in ordered(-3..=21),
        shutter in prop_oneof![
            ordered(-30..=15).prop_map(|(a, b)| (Shutter::third(a).unwrap(), Shutter::third(b).unwrap())),
            (0.5..200.0f64, 1.0..4.0f64).prop_map(|(s, times)| (seconds(s), seconds(s * times))),
        ],
        filters in prop::collection::vec(0.5..12.0f64, 0..3),
        read in prop::collection::vec((0.5..3.0f64, 3.0..12.0f64), 0..3),
    ) {
        let (place, light) = light(latitude, bearing, &read);
        let shot = shot(aperture, shutter, iso);
        let span = evening(5.0);
        let bag: Vec<Stops> = filters.iter().map(|&stops| Stops::new(stops)).collect();
        let found = windows(&light, &place, span, &shot, &bag);
        let limits = shot.limits;
        let settings = |aperture, shutter, iso| Settings { aperture, shutter, iso }.ev().value();
        let low = settings(limits.widest, shutter.1, limits.fastest) - 1.0 / 6.0;
        let high = settings(limits.narrowest, shutter.0, limits.slowest) + 1.0 / 6.0;
        for window in &found.windows {
            let filter = window.filter.count();
            let (start, end) = (window.span.start(), window.span.end());
            let middle = start.plus_seconds(0.5 * window.span.seconds());
            for (at, held) in [start, middle, end].into_iter().zip(window.settings) {
                let Settings { aperture, shutter: time, iso } = held.settings;
                prop_assert!(limits.widest <= aperture && aperture <= limits.narrowest, "{held:?}");
                prop_assert!(limits.slowest <= iso && iso <= limits.fastest, "{held:?}");
                prop_assert!(shutter.0 <= time && time <= shutter.1, "{held:?}");
                let off = light.at(at).ev.value() - filter - held.settings.ev().value();
                prop_assert!(off.abs() <= 1.0 / 6.0 + 1e-3, "{off} {held:?}");
                prop_assert!(!held.limited, "{held:?}");
            }
            for (at, is_end) in [(start.plus_seconds(-1.0), start == span.start()), (end.plus_seconds(1.0), end == span.end())] {
                let behind = light.at(at).ev.value() - filter;
                prop_assert!(is_end || behind < low || behind > high, "{behind} in {low}..{high}");
            }
            prop_assert!(window.likely.start() <= start && end <= window.likely.end(), "{window:?}");
        }
        // Nothing is left out: each moment that fits by more than a whisker lies in a window of its filter.
        for minute in 0..=300 {
            let at = span.start().plus_seconds(60.0 * f64::from(minute));
            for filter in filters.iter().chain(&[0.0]) {
                let behind = light.at(at).ev.value() - filter;
                if behind > low + 0.001 && behind < high - 0.001 {
                    let holds = |w: &&duskbook::shoot::window::Window| w.filter.count() == *filter && w.span.contains(at);
                    prop_assert!(found.windows.iter().any(|window| holds(&window)), "{filter} at {minute} min");
                }
            }
        }
        prop_assert_eq!(found.relax.is_some(), found.windows.is_empty());
        if let Some(relax) = found.relax {
            let with = |by: f64| {
                // By the filter, which any amount can be had of; where that is none, by light that is more.
                let behind = light.at(relax.at).ev.value() - relax.filter.count();
                let moved = if relax.bright { behind - by } else { behind + by };
                moved >= low && moved <= high
            };
            let by = relax.by.count();
            prop_assert!(with(by) || high - low < 1.0 / 3.0 + 1e-9, "{relax:?}");
            prop_assert!(!with(by - 1.0 / 3.0 - 1e-3), "{relax:?}");
            let dials = [
                relax.aperture.map(|n| (n.stops() - if relax.bright { limits.narrowest } else { limits.widest }.stops()).count()),
                relax.iso.map(|iso| (if relax.bright { limits.slowest } else { limits.fastest }.stops() - iso.stops()).count()),
                relax.shutter.map(|time| (if relax.bright { shutter.0 } else { shutter.1 }.stops() - time.stops()).count()),
            ];
            for moved in dials.into_iter().flatten() {
                prop_assert!((moved - if relax.bright { by } else { -by }).abs() < 1e-6, "{relax:?}");
            }
        }
    }
}

/// Which brightness the whole evening never has is no window of any length.
#[test]
fn a_window_is_never_empty_or_upside_down() {
    let (place, light) = light(10.0, 90.0, &[]);
    for thirds in 0..=54 {
        let shot = shot(
            (12, 12),
            (Shutter::third(thirds - 39).unwrap(), Shutter::third(thirds - 39).unwrap()),
            (0, 0),
        );
        for window in windows(&light, &place, evening(5.0), &shot, &[]).windows {
            assert!(window.span.seconds() > 1.0, "{window:?}");
            let ev = light.at(window.span.start()).ev - Ev::at_iso_100(0.0);
            assert!(ev.count().is_finite());
        }
    }
}
