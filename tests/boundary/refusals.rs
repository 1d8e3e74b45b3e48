//! What a form is told: the field, a code, and a message with the value and the range.

use duskbook::web::sky::{sky_events_call, sky_events_table_call};
use duskbook::web::zone::{zone_day_call, zone_offset_call};
use serde_json::{Value, json};
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{Refusal, day_with, refused};

#[wasm_bindgen_test]
fn a_value_out_of_range_names_itself_and_the_range() {
    let told = refused(sky_events_call, &day_with("latitudeDeg", json!(91)));
    let message = "latitudeDeg: 91 is outside -90° to 90°".to_owned();
    assert_eq!(told, Refusal { code: "out-of-range".into(), field: "latitudeDeg".into(), message });
    assert_eq!(refused(sky_events_table_call, &day_with("elevationM", json!(9001))).field, "elevationM");
}

#[wasm_bindgen_test]
fn a_missing_or_null_number_names_its_field() {
    let mut day = day_with("longitudeDeg", Value::Null);
    assert_eq!(refused(sky_events_call, &day).field, "longitudeDeg");
    day.as_object_mut().expect("an object").remove("longitudeDeg");
    let told = refused(sky_events_call, &day);
    assert_eq!((told.field.as_str(), told.code.as_str()), ("longitudeDeg", "missing"));
}

#[wasm_bindgen_test]
fn a_word_in_place_of_a_number_names_its_field() {
    assert_eq!(refused(sky_events_call, &day_with("startMs", json!("tonight"))).field, "startMs");
}

#[wasm_bindgen_test]
fn a_span_that_ends_before_it_starts_names_its_end() {
    assert_eq!(refused(sky_events_call, &day_with("endMs", json!(1_930_780_799_000_f64))).field, "endMs");
}

#[wasm_bindgen_test]
fn a_zone_or_a_date_that_does_not_exist_is_refused_with_what_was_given() {
    assert_eq!(refused(zone_offset_call, &json!({ "zone": "", "atMs": 0 })).code, "missing");
    for zone in ["Mars", "+02:00", "Europe/Atlantis"] {
        let told = refused(zone_offset_call, &json!({ "zone": zone, "atMs": 0 }));
        assert_eq!(told.field, "zone", "{told:?}");
        assert!(told.message.contains(&format!("\"{zone}\"")), "{told:?}");
    }
    let told = refused(zone_day_call, &json!({ "zone": "UTC", "date": "99999-01-01" }));
    assert_eq!(told.message, "date: 99999 is outside 1900 to 2099");
    assert_eq!(refused(zone_day_call, &json!({ "zone": "UTC", "date": "2031-02-29" })).field, "date");
}
