//! The log's table through JavaScript, whose own digits it is written with.

use duskbook::web::log::{log_table_call, read_log_csv_call, write_log_csv_call};
use js_sys::Array;
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, refused};

/// Frames whose numbers need all their digits.
fn log() -> Value {
    let frame = |id: &str, shutter: f64, note: &str| {
        json!({
            "id": id, "spotId": null, "spotName": "Heron Weir", "atMs": 1_930_938_127_123_i64, "aperture": 2f64.powf(3.5),
            "shutterS": shutter, "iso": 100.0 / 3.0, "filterStops": 1.0 / 3.0, "compensationStops": -2.0 / 3.0,
            "focalMm": 0.1 + 35.0, "whiteBalance": "5000 K", "intent": "sky", "note": note, "rating": 4,
            "reading": shutter > 1e-3, "source": "photo",
        })
    };
    let spot = json!({ "id": null, "spot": {
        "name": "Heron Weir", "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "UTC", "bearingDeg": 265,
        "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15, "notes": "",
    } });
    json!({
        "frames": [frame("a", 1.0 / 3.0, "=1+1"), frame("b", 1e-5, "two\r\nlines, \"quoted\""), frame("c", 86_400.0, "😀")],
        "spots": [spot],
    })
}

#[wasm_bindgen_test]
fn a_log_comes_back_through_its_table_to_the_last_bit() {
    let text = asked(write_log_csv_call, &log()).expect("a table").as_string().expect("text");
    assert!(text.contains("2031-03-10T19:42:07.123Z") && text.contains("0.3333333333333333,"), "{text}");
    let read = asked(read_log_csv_call, &json!({ "text": text })).expect("a log");
    let frames: Array = entry(&read, "frames").unchecked_into();
    let asked = log();
    for (read, kept) in frames.iter().zip(asked["frames"].as_array().expect("a list")) {
        for (key, value) in kept.as_object().expect("an object") {
            let told = entry(&read, key);
            let same = match value {
                Value::Null => told.is_null(),
                Value::Bool(flag) => told.as_bool() == Some(*flag),
                Value::String(text) => told.as_string().as_ref() == Some(text),
                // A number's last bit counts.
                _ => told.as_f64().map(f64::to_bits) == value.as_f64().map(f64::to_bits),
            };
            assert!(same, "{key}: {value} came back as {told:?}");
        }
    }
    assert_eq!(entry(&read, "problems").unchecked_into::<Array>().length(), 0);
}

#[wasm_bindgen_test]
fn a_row_is_told_for_each_frame() {
    let rows: Array = asked(log_table_call, &log()).expect("rows").unchecked_into();
    assert_eq!(rows.length(), 3);
    let altitude = entry(&rows.get(0), "sunAltitudeDeg").as_f64().expect("an altitude");
    assert!(altitude.abs() < 90.0);
    assert_eq!(entry(&rows.get(1), "apertureLabel").as_string().as_deref(), Some("f/11"));
}

#[wasm_bindgen_test]
fn words_are_no_numbers_in_a_table() {
    for word in ["Infinity", "0x10", "", " ", "1_000", "e"] {
        let text = format!("at,aperture,shutterS,iso\n2031-03-09T18:42Z,{word},1,100\n");
        let read = asked(read_log_csv_call, &json!({ "text": text })).expect("a log");
        assert_eq!(entry(&read, "frames").unchecked_into::<Array>().length(), 0, "{word:?}");
    }
    assert_eq!(refused(read_log_csv_call, &json!({ "text": "a picture" })).field, "text");
}
