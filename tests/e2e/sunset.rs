//! Sunsets from outside the project: the reference crate `solar-positioning` (SPA, Reda and Andreas 2004) for
//! the moment, `chrono-tz` for the clock on the wall.

use chrono::{NaiveDate, Timelike};
use chrono_tz::Tz;
use solar_positioning::{Horizon, Location, SolarEvents, delta_t};

/// Minutes after midnight, on the clocks there, at which the sun sets on a date; with the fraction.
pub fn sunset((latitude, longitude): (f64, f64), zone: Tz, date: NaiveDate) -> f64 {
    let ahead = delta_t::estimate_from_date_like(&date).expect("a year near ours");
    let day = SolarEvents::new()
        .for_date(date, &zone, Location { latitude, longitude }, ahead, Horizon::SunriseSunset)
        .expect("a place and a date");
    let set = day.sets.first().expect("a sunset that day");
    f64::from(set.num_seconds_from_midnight()) / 60.0
}
