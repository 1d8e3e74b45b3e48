//! The forms that answers take in JavaScript.

use duskbook::web::sky::{sky_events_call, sky_events_table_call};
use js_sys::{Array, Float64Array, Uint8Array};
use serde_json::json;
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, day_with, entry};

#[wasm_bindgen_test]
fn a_table_has_typed_columns_of_one_length() {
    let table =
        asked(sky_events_table_call, &day_with("sunAltitudesDeg", json!([-6, -12]))).expect("a table");
    let sun = entry(&table, "sun");
    let kinds: Uint8Array = entry(&sun, "kind").dyn_into().expect("codes");
    // Rise and set, and both ways through two altitudes: 0 rise, 1 set, 2 rising, 3 falling.
    assert_eq!(kinds.to_vec(), [2, 2, 0, 1, 3, 3]);
    for key in ["altitudeDeg", "atMs", "azimuthDeg"] {
        let column: Float64Array = entry(&sun, key).dyn_into().expect("a column");
        assert_eq!(column.length(), kinds.length(), "{key}");
    }
}

#[wasm_bindgen_test]
fn the_table_and_the_list_tell_the_same() {
    let day = day_with("sunAltitudesDeg", json!([-6]));
    let list = asked(sky_events_call, &day).expect("a list");
    let table = asked(sky_events_table_call, &day).expect("a table");
    let list: Array = entry(&list, "sun").dyn_into().expect("an array");
    let at: Float64Array = entry(&entry(&table, "sun"), "atMs").dyn_into().expect("a column");
    assert_eq!(list.length(), 4);
    let listed: Vec<f64> = list.iter().filter_map(|event| entry(&event, "atMs").as_f64()).collect();
    assert_eq!(at.to_vec(), listed);
}

#[wasm_bindgen_test]
fn a_sun_that_never_comes_to_an_altitude_is_told_in_words() {
    let list = asked(sky_events_call, &day_with("sunAltitudesDeg", json!([80]))).expect("a list");
    let polar: Array = entry(&list, "polar").dyn_into().expect("an array");
    assert_eq!(polar.length(), 1);
    assert_eq!(entry(&polar.get(0), "state").as_string().as_deref(), Some("below"));
}
