//! The moon, a skyline, a compass and a year, through JavaScript.

use duskbook::web::almanac::year_search_call;
use duskbook::web::horizon::{in_frame_call, sighting_call};
use duskbook::web::sky::{sky_events_call, sky_position_call};
use duskbook::web::skyline::{skyline_altitude_call, skyline_call};
use js_sys::{Array, Float64Array, Uint8Array};
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, day_with, entry, number, refused};

/// An invented headland.
fn place() -> Value {
    json!({ "latitudeDeg": 50.31, "longitudeDeg": -4.87, "elevationM": 6 })
}

#[wasm_bindgen_test]
fn the_days_events_and_a_position_have_the_moon() {
    let day = asked(sky_events_call, &day_with("elevationM", json!(6))).expect("events");
    let moon: Array = entry(&day, "moon").dyn_into().expect("an array");
    assert!((1..=2).contains(&moon.length()));
    assert!(["rise", "set"].contains(&entry(&moon.get(0), "kind").as_string().expect("a word").as_str()));
    // Full on 2031-03-09 at 04:30 UTC (computed).
    let phase = entry(&day, "moonPhase");
    assert!(entry(&phase, "illuminatedFraction").as_f64().expect("a number") > 0.99);
    let next: Array = entry(&phase, "next").dyn_into().expect("an array");
    assert_eq!(next.length(), 4);

    let mut moment = place();
    moment["atMs"] = json!(1_930_780_800_000_f64);
    let moon = entry(&asked(sky_position_call, &moment).expect("a position"), "moon");
    for (key, least, most) in [
        ("altitudeDeg", -90.0, 90.0),
        ("azimuthDeg", 0.0, 360.0),
        ("distanceKm", 350_000.0, 407_000.0),
        ("illuminatedFraction", 0.99, 1.0),
    ] {
        let value = entry(&moon, key).as_f64().expect("a number");
        assert!((least..=most).contains(&value), "{key}: {value}");
    }
}

#[wasm_bindgen_test]
fn a_skyline_hides_and_a_top_stands_up() {
    let mut question = json!({
        "place": place(), "observerHeightM": 2, "profile": [[200, 0], [260, 8], [330, 0]],
        "startMs": 1_930_780_800_000_f64, "endMs": 1_930_867_200_000_f64, "body": "sun",
    });
    let hidden: Array =
        entry(&asked(skyline_call, &question).expect("an answer"), "hidden").dyn_into().expect("an array");
    assert_eq!(hidden.length(), 2);
    assert_eq!(entry(&hidden.get(1), "toMs").as_f64(), Some(1_930_867_200_000.0));
    question["profile"][1] = json!([260, "high"]);
    assert_eq!(refused(skyline_call, &question).field, "profile[1][1]");

    let top = json!({ "heightM": 101.5, "distanceM": 100, "observerHeightM": 1.5 });
    assert!((number(skyline_altitude_call, &top, "altitudeDeg") - 45.0).abs() < 0.001);
}

#[wasm_bindgen_test]
fn a_year_has_typed_columns_of_one_length() {
    let question = json!({
        "place": place(), "startMs": 1_924_992_000_000_f64, "endMs": 1_956_528_000_000_f64, "bearingDeg": 265,
        "toleranceDeg": 1, "light": { "cloud": "clear", "scene": "street" },
    });
    let answer = asked(year_search_call, &question).expect("a year");
    for key in [
        "startMs",
        "sunMs",
        "civilMs",
        "nauticalMs",
        "astronomicalMs",
        "passageMs",
        "passageAzimuthDeg",
        "passageOffDeg",
        "moonAltitudeDeg",
        "moonAzimuthDeg",
        "moonLit",
        "moonFromMs",
        "moonToMs",
        "balanceFromMs",
        "balanceToMs",
        "darkMinutes",
    ] {
        let column: Float64Array = entry(&answer, key).dyn_into().expect("a column");
        assert_eq!(column.length(), 365, "{key}");
        assert!(column.to_vec().iter().all(|value| value.is_finite()), "{key}");
    }
    let holds: Uint8Array = entry(&answer, "holds").dyn_into().expect("codes");
    let best: Float64Array = entry(&answer, "best").dyn_into().expect("a column");
    assert!(best.length() > 3 && holds.to_vec()[best.get_index(0) as usize] == 1);
    assert_eq!(refused(year_search_call, &json!({ "place": place() })).field, "startMs");
}

#[wasm_bindgen_test]
fn a_frame_has_its_sky_and_a_phone_its_direction() {
    let question = json!({
        "place": place(), "startMs": 1_930_822_400_000_f64, "endMs": 1_930_858_400_000_f64, "bearingDeg": 265,
        "focalMm": 50, "formatMm": [36, 24], "profile": [[200, 2], [330, 2]],
    });
    let answer = asked(in_frame_call, &question).expect("an evening");
    for body in ["sun", "moon"] {
        let passing = entry(&answer, body);
        for key in ["atMs", "offDeg", "altitudeDeg"] {
            let column: Float64Array = entry(&passing, key).dyn_into().expect("a column");
            assert_eq!(column.length(), 601, "{body} {key}");
        }
        assert!(entry(&passing, "stays").is_instance_of::<Array>());
    }
    let stays: Array = entry(&entry(&answer, "sun"), "stays").dyn_into().expect("stays");
    assert_eq!(stays.length(), 1);
    assert!(entry(&stays.get(0), "toMs").as_f64() > entry(&stays.get(0), "fromMs").as_f64());

    let mut sight = json!({ "place": place(), "atMs": 1_800_000_000_000_f64, "samples": [[359, 4], [3, 4]], "clockwise": true });
    let turned =
        number(sighting_call, &sight, "azimuthDeg") - number(sighting_call, &sight, "declinationDeg");
    assert!(((turned + 540.0) % 360.0 - 181.0).abs() < 1e-6, "{turned}");
    // NOAA's test value.
    sight["place"] = json!({ "latitudeDeg": 80, "longitudeDeg": 0 });
    sight["atMs"] = json!(1_735_689_600_000_f64);
    assert!((number(sighting_call, &sight, "declinationDeg") - 1.28).abs() < 0.005);
    sight["samples"] = json!([]);
    assert_eq!(refused(sighting_call, &sight).field, "samples");
}
