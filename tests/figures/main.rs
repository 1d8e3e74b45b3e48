//! Speed of the sky natively, against the reference crate at the same work: a year of 14 sun events a day.

#![allow(missing_docs, clippy::expect_used)]

use std::hint::black_box;
use std::time::Instant as Clock;

use chrono::{NaiveDate, Utc};
use duskbook::sky::events::{crossings, transits};
use duskbook::sky::place::Place;
use duskbook::units::{Angle, Instant, Span};
use solar_positioning::{Horizon, Location, SolarEvents};

const LATITUDE: f64 = 49.82;
const LONGITUDE: f64 = -5.63;
const DAYS: usize = 365;
const ALTITUDES: [f64; 7] = [6.0, -0.3, -0.8333, -4.0, -6.0, -12.0, -18.0];

/// 2031-01-01T00:00, and how far terrestrial time is expected to run ahead of the Earth then, seconds.
const START_MS: f64 = 1_924_992_000_000.0;
const DELTA_T: f64 = 70.0;

/// Crossings, and the meridian passages that the reference finds with them.
fn ours() -> usize {
    let place = Place::new(LATITUDE, LONGITUDE, 0.0).expect("a place");
    let at = |days: f64| Instant::from_epoch_ms(START_MS + days * 86_400e3).expect("a moment");
    let span = Span::new(at(0.0), at(DAYS as f64)).expect("a span");
    black_box(transits(&place, span));
    crossings(&place, span, &ALTITUDES.map(Angle::from_degrees)).len()
}

/// Day by day with all altitudes together, its quickest way.
fn reference() -> usize {
    let events = SolarEvents::new();
    let location = Location { latitude: LATITUDE, longitude: LONGITUDE };
    let first = NaiveDate::from_ymd_opt(2031, 1, 1).expect("a date");
    let day = |date| {
        let horizons = ALTITUDES.map(Horizon::Custom);
        let found = events.for_date_multiple(date, &Utc, location, DELTA_T, horizons).expect("events");
        found.iter().map(|(_, events)| events.rises.len() + events.sets.len()).sum::<usize>()
    };
    first.iter_days().take(DAYS).map(day).sum()
}

/// The middle of some runs, in seconds a run.
fn timed(runs: usize, work: impl Fn() -> usize) -> f64 {
    let mut spent: Vec<f64> = (0..runs)
        .map(|_| {
            let began = Clock::now();
            black_box(work());
            began.elapsed().as_secs_f64()
        })
        .collect();
    spent.sort_by(f64::total_cmp);
    spent[runs / 2]
}

fn main() {
    assert_eq!(ours(), reference(), "both must find the same events");
    let (own, other) = (timed(41, ours), timed(5, reference));
    println!("a year of {} events: {:.2} ms, the reference {:.1} ms", ours(), own * 1e3, other * 1e3);
    println!("figure native-sun-events-speed-up {:.1}", other / own);
}
