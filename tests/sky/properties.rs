//! What must hold of the sun's events at any place, in any span, for any altitudes.

use duskbook::sky::events::{Crossing, crossings, transits};
use duskbook::sky::{place::Place, sun};
use duskbook::units::{Angle, Instant, Span};
use proptest::prelude::*;

fn places() -> impl Strategy<Value = Place> {
    let latitude = prop_oneof![-90.0..=90.0, 89.0..=90.0, -90.0..=-89.0, Just(90.0), Just(-90.0)];
    (latitude, -180.0..=180.0, 0.0..5000.0)
        .prop_map(|(latitude, longitude, elevation)| Place::new(latitude, longitude, elevation).unwrap())
}

/// A moment of 1950–2050 and so many days after it.
fn spans(days: f64) -> impl Strategy<Value = Span> {
    (-631e9..2524e9, 0.0..days).prop_map(|(start, days): (f64, f64)| {
        let start = Instant::from_epoch_ms(start).unwrap();
        Span::new(start, start.plus_seconds(days * 86_400.0)).unwrap()
    })
}

fn altitudes() -> impl Strategy<Value = Vec<Angle>> {
    prop::collection::vec((-90.0..=90.0).prop_map(Angle::from_degrees), 1..8)
}

fn altitude_at(place: &Place, at: Instant) -> f64 {
    sun::position(place, at).altitude.degrees()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn the_sun_is_where_each_event_says(place in places(), span in spans(40.0), altitudes in altitudes()) {
        for event in crossings(&place, span, &altitudes) {
            prop_assert!(span.contains(event.at));
            let sun = sun::position(&place, event.at);
            prop_assert!((sun.altitude - event.altitude).degrees().abs() < 1e-4, "{event:?} {sun:?}");
            let turn = (sun.azimuth - event.azimuth).degrees() * sun.altitude.radians().cos();
            prop_assert!(turn.abs() < 1e-4, "{event:?} {sun:?}");
        }
    }

    #[test]
    fn rising_and_falling_take_turns_and_agree_with_both_ends(
        place in places(), span in spans(40.0), altitude in -30.0..30.0,
    ) {
        let altitude = Angle::from_degrees(altitude);
        let events = crossings(&place, span, &[altitude]);
        prop_assert!(events.windows(2).all(|two| two[0].rising != two[1].rising && two[0].at < two[1].at));
        let (start, end) = (altitude_at(&place, span.start()), altitude_at(&place, span.end()));
        // A sun within 1e-6° of the altitude at an end may be on either side of it.
        prop_assume!((start - altitude.degrees()).abs() > 1e-6 && (end - altitude.degrees()).abs() > 1e-6);
        let above = start > altitude.degrees();
        prop_assert!(events.first().is_none_or(|first| first.rising != above));
        prop_assert_eq!((end > altitude.degrees()) != above, events.len() % 2 == 1);
    }

    #[test]
    fn a_long_span_holds_the_events_of_its_parts(
        place in places(), span in spans(400.0), cut in 0.0..1.0, altitudes in altitudes(),
    ) {
        let middle = span.start().plus_seconds(span.seconds() * cut);
        let part = |from, to| crossings(&place, Span::new(from, to).unwrap(), &altitudes);
        let parts: Vec<Crossing> = [part(span.start(), middle), part(middle, span.end())].concat();
        let whole = crossings(&place, span, &altitudes);
        prop_assert_eq!(whole.len(), parts.len());
        for (one, other) in whole.iter().zip(&parts) {
            prop_assert!(one.altitude == other.altitude && one.rising == other.rising);
            // Rounding alone, which a graze magnifies.
            prop_assert!(one.at.seconds_after(other.at).abs() < 0.05, "{one:?} {other:?}");
        }
    }

    #[test]
    fn noon_and_midnight_take_turns_half_a_day_apart(place in places(), span in spans(40.0)) {
        let transits = transits(&place, span);
        for two in transits.windows(2) {
            prop_assert!(two[0].noon != two[1].noon);
            prop_assert!((two[1].at.seconds_after(two[0].at) - 43_200.0).abs() < 30.0);
        }
        prop_assert!((transits.len() as f64 - span.seconds() / 43_200.0).abs() <= 1.01);
        for transit in transits {
            prop_assert!((altitude_at(&place, transit.at) - transit.altitude.degrees()).abs() < 1e-4);
        }
    }
}

proptest! {
    // A scan costs thousands of positions.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(50) })]

    #[test]
    fn a_scan_finds_no_other_events(place in places(), span in spans(3.0), altitude in -20.0..10.0) {
        let events = crossings(&place, span, &[Angle::from_degrees(altitude)]);
        let minutes = (span.seconds() / 60.0) as u32;
        let mut changes = 0;
        let mut above = altitude_at(&place, span.start()) > altitude;
        for minute in 1..=minutes {
            let next = altitude_at(&place, span.start().plus_seconds(f64::from(minute) * 60.0)) > altitude;
            changes += usize::from(next != above);
            above = next;
        }
        let last = span.start().plus_seconds(f64::from(minutes) * 60.0);
        let within = events.iter().filter(|event| event.at <= last).count();
        // Two events within a minute are a graze, which the scan steps over.
        let grazes = events.windows(2).filter(|two| two[1].at.seconds_after(two[0].at) < 60.0).count();
        prop_assert!(within == changes || within == changes + 2 * grazes, "{events:?} {changes}");
    }
}

#[test]
fn an_altitude_given_twice_counts_once_and_none_gives_nothing() {
    let place = Place::new(50.0, 8.0, 0.0).unwrap();
    let start = Instant::from_epoch_ms(1.7e12).unwrap();
    let span = Span::new(start, start.plus_seconds(86_400.0)).unwrap();
    let level = Angle::from_degrees(-6.0);
    assert_eq!(crossings(&place, span, &[level, level]), crossings(&place, span, &[level]));
    assert_eq!(crossings(&place, span, &[level]).len(), 2);
    assert!(crossings(&place, span, &[]).is_empty());
    let moment = Span::new(start, start).unwrap();
    assert!(crossings(&place, moment, &[level]).is_empty() && transits(&place, moment).is_empty());
}

#[test]
fn at_the_pole_the_sun_rises_once_a_year() {
    let pole = Place::new(90.0, 0.0, 0.0).unwrap();
    let start = Instant::from_epoch_ms(1_704_067_200_000.0).unwrap(); // 2024-01-01
    let span = Span::new(start, start.plus_seconds(366.0 * 86_400.0)).unwrap();
    let events = crossings(&pole, span, &[Angle::from_degrees(-0.8333)]);
    let day = |event: &Crossing| event.at.seconds_after(start) / 86_400.0;
    assert_eq!(events.len(), 2);
    // Two days before the equinox of March 20 and two after that of September 22.
    assert!(events[0].rising && (day(&events[0]) - 77.0).abs() < 1.5, "{}", day(&events[0]));
    assert!(!events[1].rising && (day(&events[1]) - 267.6).abs() < 1.5, "{}", day(&events[1]));
}
