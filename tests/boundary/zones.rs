//! Civil days through the browser's own zone table. Dates and offsets as the IANA table has them; every zone is
//! compared with `chrono-tz` in the end-to-end tests.

use duskbook::web::sky::sky_events_call;
use duskbook::web::zone::{zone_day_call, zone_offset_call};
use js_sys::Array;
use serde_json::json;
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, number, refused};

const HOUR_MS: f64 = 3_600_000.0;

/// First and last moment of a date in a zone.
fn day(zone: &str, date: &str) -> (f64, f64) {
    let question = json!({ "zone": zone, "date": date });
    (number(zone_day_call, &question, "startMs"), number(zone_day_call, &question, "endMs"))
}

fn hours(zone: &str, date: &str) -> f64 {
    let (start, end) = day(zone, date);
    (end - start) / HOUR_MS
}

#[wasm_bindgen_test]
fn a_day_is_as_long_as_its_clocks_make_it() {
    assert_eq!(hours("UTC", "2024-03-31"), 24.0);
    assert_eq!(hours("Europe/London", "2024-03-31"), 23.0);
    assert_eq!(hours("Europe/London", "2024-10-27"), 25.0);
    assert_eq!(hours("Australia/Lord_Howe", "2024-04-07"), 24.5);
    assert_eq!(hours("Australia/Lord_Howe", "2024-10-06"), 23.5);
    // Clocks change at midnight: the date begins at 01:00.
    assert_eq!(hours("America/Havana", "2024-03-10"), 23.0);
}

#[wasm_bindgen_test]
fn a_date_that_a_zone_left_out_is_refused() {
    assert_eq!(
        refused(zone_day_call, &json!({ "zone": "Pacific/Apia", "date": "2011-12-30" })).field,
        "date"
    );
    assert_eq!(hours("Pacific/Apia", "2011-12-29"), 24.0);
}

#[wasm_bindgen_test]
fn offsets_hold_to_the_second_of_a_change() {
    let at = |ms: f64| number(zone_offset_call, &json!({ "zone": "Europe/London", "atMs": ms }), "offsetS");
    // 2024-03-31T01:00 UTC
    let change = 1_711_846_800_000.0;
    assert_eq!((at(change - 1.0), at(change)), (0.0, 3600.0));
}

#[wasm_bindgen_test]
fn sunset_on_the_day_of_a_change_is_on_the_right_side_of_it() {
    let sunset = |date| {
        let (start, end) = day("Europe/London", date);
        let place = json!({
            "latitudeDeg": 50.31, "longitudeDeg": -4.87, "elevationM": 0, "startMs": start, "endMs": end,
        });
        let events: Array =
            entry(&asked(sky_events_call, &place).expect("events"), "sun").dyn_into().expect("a list");
        let sets: Vec<f64> = events
            .iter()
            .filter(|event| entry(event, "kind").as_string().as_deref() == Some("set"))
            .filter_map(|event| entry(&event, "atMs").as_f64())
            .collect();
        assert_eq!(sets.len(), 1, "{date}");
        let offset =
            number(zone_offset_call, &json!({ "zone": "Europe/London", "atMs": sets[0] }), "offsetS");
        (sets[0], sets[0] + offset * 1e3)
    };
    let (before, before_clock) = sunset("2024-03-30");
    let (after, after_clock) = sunset("2024-03-31");
    // A spring day's sunset is a minute or two later; on the clock, an hour more.
    let later_min = |a: f64, b: f64| (b - a - 24.0 * HOUR_MS) / 60_000.0;
    assert!((0.5..3.0).contains(&later_min(before, after)));
    assert!((60.5..63.0).contains(&later_min(before_clock, after_clock)));
}
