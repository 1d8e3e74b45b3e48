//! The moon's places, rises, sets and phases, against JPL's DE421.

use duskbook::sky::events::{Crossing, moon_crossings, moon_transits};
use duskbook::sky::moon::{self, MoonPosition};
use duskbook::sky::phase::{Phases, Quarter};
use duskbook::sky::place::Place;
use duskbook::sky::track::{Body, Track};
use duskbook::units::{Angle, Instant, Span};
use proptest::prelude::*;

use crate::data::{Worst, number, table};

const WINDOWS: usize = 390;
const EVENTS: usize = 3405;
const POSITIONS: usize = 1200;
const PHASES: usize = 543;

fn instant(cell: &str) -> Instant {
    Instant::from_epoch_ms(number(cell) * 1e3).unwrap()
}

fn windows() -> Vec<(Place, Span)> {
    table("sky_moon_windows.csv", WINDOWS)
        .iter()
        .map(|row| {
            let place = Place::new(number(&row[0]), number(&row[1]), number(&row[2])).unwrap();
            (place, Span::new(instant(&row[3]), instant(&row[4])).unwrap())
        })
        .collect()
}

#[test]
fn the_moon_stands_where_jpl_puts_it() {
    let [mut altitudes, mut azimuths, mut distances, mut lit] = [const { Worst::new() }; 4];
    for row in table("sky_moon_positions.csv", POSITIONS) {
        let [altitude, azimuth, distance, fraction] = [4, 5, 6, 7].map(|i| number(&row[i]));
        let place = Place::new(number(&row[1]), number(&row[2]), number(&row[3])).unwrap();
        let at = instant(&row[0]);
        let moon = moon::position(&place, at);
        altitudes.note(moon.altitude.degrees() - altitude, row.join(","));
        let turn = (moon.azimuth.degrees() - azimuth + 540.0) % 360.0 - 180.0;
        azimuths.note(turn * altitude.to_radians().cos(), row.join(","));
        distances.note(moon.distance.metres() / 1e3 - distance, row.join(","));
        lit.note(moon.illuminated_fraction() - fraction, row.join(","));

        let span = Span::new(at, at.plus_seconds(86_400.0)).unwrap();
        let tracks = (Track::of(Body::Moon, span), Track::over(span));
        let quick = MoonPosition::on_tracks(&tracks.0, &tracks.1, &place, at);
        assert!((quick.altitude - moon.altitude).degrees().abs() < 3e-5, "{}", row.join(","));
        assert!((quick.azimuth - moon.azimuth).degrees().abs() * altitude.to_radians().cos() < 3e-5);
    }
    // Asked for are 0.01° and 0.002; the theory promises 6″ and 8 km.
    altitudes.within("altitude of the moon, degrees", 1.7e-3);
    azimuths.within("azimuth of the moon on the sky, degrees", 1.7e-3);
    distances.within("distance of the moon, kilometres", 8.0);
    lit.within("illuminated fraction", 1e-4);
}

#[test]
fn the_moon_rises_and_sets_on_time_and_none_is_missed_or_invented() {
    let (windows, events) = (windows(), table("sky_moon_events.csv", EVENTS));
    let [mut middle, mut high, mut grazing, mut azimuths] = [const { Worst::new() }; 4];
    let mut expected = events.iter().peekable();
    for (i, (place, span)) in windows.iter().enumerate() {
        for crossing in moon_crossings(place, *span, Angle::ZERO) {
            let row = format!("window {i} at {}", crossing.at.epoch_ms());
            let event =
                expected.next_if(|e| number(&e[0]) == i as f64).unwrap_or_else(|| panic!("invented: {row}"));
            assert_eq!(crossing.rising, event[1] == "rise", "{row}");
            let (late, rate) = (crossing.at.seconds_after(instant(&event[2])), number(&event[4]));
            if place.latitude().degrees().abs() <= 60.0 {
                middle.note(late, &row);
            } else if rate >= 2e-4 {
                high.note(late, &row);
            } else {
                grazing.note(late, &row);
            }
            if rate >= 2e-4 {
                azimuths.note((crossing.azimuth.degrees() - number(&event[3]) + 540.0) % 360.0 - 180.0, &row);
            }
        }
        assert!(expected.next_if(|e| number(&e[0]) == i as f64).is_none(), "window {i} misses an event");
    }
    // Asked for is 10 s.
    middle.within("moonrise and moonset to 60° of latitude, seconds", 3.0);
    high.within("moonrise and moonset above 60°, seconds", 10.0);
    grazing.within("grazing moonrise and moonset above 60°, seconds", 60.0);
    azimuths.within("azimuths of moonrise and moonset, degrees", 0.02);
}

#[test]
fn principal_phases_come_at_their_time() {
    let rows = table("sky_moon_phases.csv", PHASES);
    let mut times = Worst::new();
    for row in &rows {
        let at = instant(&row[0]);
        let before = at.plus_seconds(-2.0 * 86_400.0);
        let (quarter, found) = Phases::around(before).next(before);
        assert_eq!(quarter as usize as f64, number(&row[1]), "{row:?}");
        times.note(found.seconds_after(at), row.join(","));
    }
    // Asked for is a minute.
    times.within("principal phases, seconds", 15.0);

    let new: Vec<&Vec<String>> = rows.iter().filter(|row| row[1] == "0").collect();
    for two in new.windows(2).filter(|two| number(&two[1][0]) - number(&two[0][0]) < 31.0 * 86_400.0) {
        let (last, next) = (instant(&two[0][0]), instant(&two[1][0]));
        for days in [0.01, 3.0, 14.7, 25.0] {
            let at = last.plus_seconds(days * 86_400.0);
            let age = Phases::around(at).age_days(at);
            assert!((age - days).abs() < 2e-4, "{age}, not {days} days after {two:?}");
        }
        let after = next.plus_seconds(-60.0);
        assert!((Phases::around(after).age_days(after) - after.seconds_after(last) / 86_400.0).abs() < 2e-4);
        let four = Phases::around(last).next_four(last.plus_seconds(60.0)).map(|(quarter, _)| quarter);
        assert_eq!(four, [Quarter::First, Quarter::Full, Quarter::Last, Quarter::New]);
    }
}

#[test]
fn the_table_covers_what_it_should() {
    let (windows, events) = (windows(), table("sky_moon_events.csv", EVENTS));
    assert!(events.len() + POSITIONS > 2000 && events.len() > 2000);
    let silent = |i: usize| events.iter().all(|event| number(&event[0]) != i as f64);
    // Windows in which the moon neither rises nor sets are as much a result as the others.
    assert!((0..windows.len()).filter(|&i| silent(i)).count() >= 10);
    assert!(events.iter().filter(|event| number(&event[4]) < 2e-4).count() >= 10);
}

fn places() -> impl Strategy<Value = Place> {
    let latitude = prop_oneof![-90.0..=90.0, 86.0..=90.0, -90.0..=-89.0, Just(90.0), Just(-90.0)];
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

/// How far the upper edge stands above −34′, degrees.
fn edge(moon: &MoonPosition) -> f64 {
    (moon.altitude + moon.semidiameter()).degrees() + 34.0 / 60.0
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(150) })]

    #[test]
    fn the_edge_is_on_the_horizon_at_each_event_and_nowhere_else(place in places(), span in spans(20.0)) {
        let tracks = (Track::of(Body::Moon, span), Track::over(span));
        let moon = |at| MoonPosition::on_tracks(&tracks.0, &tracks.1, &place, at);
        let events = moon_crossings(&place, span, Angle::ZERO);
        for event in &events {
            prop_assert!(span.contains(event.at));
            prop_assert!(edge(&moon(event.at)).abs() < 1e-4, "{event:?} {}", edge(&moon(event.at)));
            prop_assert!((moon(event.at).altitude - event.altitude).degrees().abs() < 1e-4);
        }
        prop_assert!(events.windows(2).all(|two| two[0].rising != two[1].rising && two[0].at < two[1].at));
        let steps = (span.seconds() / 120.0) as u32;
        let mut before = span.start();
        let mut events = events.iter().peekable();
        for step in 1..=steps {
            let at = span.start().plus_seconds(f64::from(step) * 120.0);
            let within: Vec<&Crossing> = std::iter::from_fn(|| events.next_if(|event| event.at <= at)).collect();
            let heights = [edge(&moon(before)), edge(&moon(at))];
            if heights.iter().all(|height| height.abs() > 1e-4) {
                prop_assert_eq!((heights[0] < 0.0) != (heights[1] < 0.0), within.len() % 2 == 1);
                // A pair within two minutes is a graze.
                prop_assert!(within.len() < 2 || heights[0].abs() < 0.01);
            }
            before = at;
        }
    }

    #[test]
    fn upper_and_lower_passages_take_turns(place in places(), span in spans(40.0)) {
        let transits = moon_transits(&place, span);
        for two in transits.windows(2) {
            prop_assert!(two[0].noon != two[1].noon);
            prop_assert!((two[1].at.seconds_after(two[0].at) / 3600.0 - 12.42).abs() < 0.3);
        }
        prop_assert!((transits.len() as f64 - span.seconds() / 3600.0 / 12.42).abs() <= 1.2);
        for transit in transits {
            let moon = moon::position(&place, transit.at);
            prop_assert!((moon.altitude - transit.altitude).degrees().abs() < 1e-4);
        }
    }
}
