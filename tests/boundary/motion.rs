//! Trails as a page asks for them, by the names that it uses.

use duskbook::web::motion::{road_trail_call, star_frame_call, star_trail_call, traffic_trail_call};
use js_sys::{Array, Float64Array};
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, number, refused};

fn car(field: &str, value: Value) -> Value {
    let mut car = json!({
        "focalMm": 24, "formatMm": [36, 24], "speedMS": 50.0 / 3.6, "distanceM": 100, "headingDeg": 90, "shutterS": 30,
    });
    car[field] = value;
    car
}

#[wasm_bindgen_test]
fn a_trail_has_its_length_and_its_share() {
    // Computed: 24 mm, 50 km/h, 30 s, 100 m.
    let trail_mm = number(traffic_trail_call, &car("shutterS", json!(30)), "trailMm");
    assert!((trail_mm - 100.0).abs() < 0.05, "{trail_mm}");
    assert!((number(traffic_trail_call, &car("shutterS", json!(30)), "frameShare") - 1.0).abs() < 1e-12);
    let answer = asked(traffic_trail_call, &car("headingDeg", json!(180))).expect("an answer");
    assert!(entry(&answer, "crossS").is_null());
    assert_eq!(refused(traffic_trail_call, &car("speedMS", json!(-1))).field, "speedMS");
    assert_eq!(refused(traffic_trail_call, &car("formatMm", json!([36]))).field, "formatMm");
}

#[wasm_bindgen_test]
fn a_star_has_its_limits_by_name() {
    let star =
        json!({ "focalMm": 24, "aperture": 2.8, "pitchUm": 5.94, "declinationDeg": 0, "shutterS": 20 });
    // Michaud's formulae; 500 over the focal length by common practice.
    for (key, expected) in
        [("trailUm", 35.0), ("limit500S", 20.83), ("npfSimpleS", 11.51), ("npfFullS", 5.46)]
    {
        let found = number(star_trail_call, &star, key);
        assert!((found - expected).abs() < 0.05, "{key}: {found}");
    }
}

#[wasm_bindgen_test]
fn a_road_comes_as_columns_and_a_frame_with_its_pole() {
    let road = json!({
        "focalMm": 35, "formatMm": [36, 24], "pointsM": [[-60, 90, 8], [0, 100, 8], [60, 90, 8]], "speedMS": 14, "shutterS": 2,
    });
    let answer = asked(road_trail_call, &road).expect("an answer");
    for key in ["road", "trail"] {
        let lines: Array = entry(&answer, key).dyn_into().expect("a list");
        let line: Float64Array = lines.get(0).dyn_into().expect("a column");
        assert!(line.length() >= 4 && line.length().is_multiple_of(2), "{key}");
    }
    let north =
        json!({ "focalMm": 24, "formatMm": [36, 24], "latitudeDeg": 50, "bearingDeg": 0, "altitudeDeg": 50 });
    let answer = asked(star_frame_call, &north).expect("an answer");
    assert_eq!(entry(&answer, "pole").as_string().as_deref(), Some("north"));
}
