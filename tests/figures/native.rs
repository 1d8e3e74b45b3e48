//! Speed next to a peer, in one process, so that the ratio means the same on any machine.
//!
//! Prints a line `figure NAME VALUE` for each; the packager holds them to its budgets.
#![cfg(not(target_arch = "wasm32"))]
#![allow(missing_docs, clippy::expect_used, clippy::unwrap_used)]

use std::hint::black_box;
use std::time::{Duration, Instant as Clock};

use chrono::{Datelike, Days, NaiveDate, Utc};
use duskbook::sky::events::crossings;
use duskbook::sky::place::Place;
use duskbook::units::{Angle, Instant, Span};
use solar_positioning::{Horizon, Location, SolarEvents};

const ALTITUDES: [f64; 7] = [-18.0, -12.0, -6.0, -4.0, -0.8333, 4.0, 6.0];
const LATITUDE: f64 = 50.0;
const LONGITUDE: f64 = 8.0;
const YEAR: i32 = 2026;

fn main() {
    let (ours, ours_count) = quickest(40, || year_of_events().len());
    let (theirs, theirs_count) = quickest(2, year_of_reference);
    assert_eq!(ours_count, theirs_count, "the two disagree on the number of events");
    println!("a year of {ours_count} sun events: {ours:?}, by solar-positioning {theirs:?}");
    println!("figure native-sun-events-speed-up {:.1}", theirs.as_secs_f64() / ours.as_secs_f64());
}

fn year_of_events() -> Vec<duskbook::sky::events::Crossing> {
    let place = Place::new(LATITUDE, LONGITUDE, 0.0).unwrap();
    let midnight = |year| {
        let date = NaiveDate::from_ymd_opt(year, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
        Instant::from_epoch_ms(date.and_utc().timestamp_millis() as f64).unwrap()
    };
    let span = Span::new(midnight(YEAR), midnight(YEAR + 1)).unwrap();
    crossings(&place, span, &ALTITUDES.map(Angle::from_degrees))
}

/// The same by the peer's quickest way: all altitudes of a day in one call.
fn year_of_reference() -> usize {
    let events = SolarEvents::new();
    let location = Location { latitude: LATITUDE, longitude: LONGITUDE };
    let mut date = NaiveDate::from_ymd_opt(YEAR, 1, 1).unwrap();
    let mut count = 0;
    while date.year() == YEAR {
        let horizons = ALTITUDES.map(Horizon::Custom);
        let day = events.for_date_multiple(date, &Utc, location, 69.2, horizons).unwrap();
        count += day.iter().map(|(_, events)| events.rises.len() + events.sets.len()).sum::<usize>();
        date = date + Days::new(1);
    }
    count
}

/// The shortest of some runs, and what the work came to.
fn quickest(runs: usize, work: impl Fn() -> usize) -> (Duration, usize) {
    let timed = |_| {
        let start = Clock::now();
        let count = black_box(work());
        (start.elapsed(), count)
    };
    (0..runs).map(timed).min().expect("at least one run")
}
