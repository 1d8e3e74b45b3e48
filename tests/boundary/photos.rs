//! Bytes in, records and counts out, as the page has them.

use duskbook::web::photo::{photo_time_call, read_photo_call};
use duskbook::web::tones::{edit_cost_call, histogram_call, tones_call};
use js_sys::{Array, Object, Reflect, Uint8Array, Uint8ClampedArray, Uint32Array};
use serde_json::json;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, number, refused};

#[wasm_bindgen_test]
fn a_photograph_is_a_record_with_nulls_for_what_it_does_not_say() {
    let photo = read_photo_call(&bytes(include_bytes!("../data/photos/no-offset.jpg"))).expect("a record");
    assert_eq!(entry(&photo, "shutterS").as_f64(), Some(3.2));
    assert_eq!(entry(&photo, "atLocal").as_string().as_deref(), Some("2031-03-09T18:04:05.120"));
    assert_eq!(entry(&photo, "focal35Mm").as_f64(), Some(42.0));
    assert!(entry(&photo, "offsetMin").is_null());
    let warned = read_photo_call(&bytes(b"a letter")).expect("a record");
    let warnings: Array = entry(&warned, "warnings").dyn_into().expect("a list");
    assert_eq!(warnings.get(0).as_string().as_deref(), Some("unknown-format"));
}

#[wasm_bindgen_test]
fn counts_are_whole_numbers_in_typed_arrays_that_the_next_call_takes() {
    let counted = histogram_call(&bytes(&[118, 118, 118, 255, 255, 0, 0, 255]), 2.0, 1.0).expect("counts");
    for key in ["red", "green", "blue", "luminance", "brightest"] {
        let bins: Uint32Array = entry(&counted, key).dyn_into().expect("counts");
        assert_eq!((bins.length(), bins.to_vec().iter().sum::<u32>()), (256, 2), "{key}");
    }
    assert_eq!(entry(&counted, "clippedHigh").as_f64(), Some(0.5));
    let told = tones_call(&counted).expect("a summary");
    assert_eq!(entry(&told, "clippedHigh").as_f64(), Some(0.5));

    let question: JsValue = Object::new().into();
    let numbers = [
        ("targetStops", -1.0),
        ("keepStops", 1.0),
        ("iso", 400.0),
        ("baseIso", 100.0),
        ("fullWellE", 5e4),
        ("readNoiseE", 3.0),
    ];
    let set = |key: &str, value: &JsValue| Reflect::set(&question, &key.into(), value).expect("an object");
    for (key, value) in numbers {
        set(key, &value.into());
    }
    set("sky", &entry(&counted, "luminance"));
    assert_eq!(refusal(&edit_cost_call(&question).expect_err("a refusal")), "foreground");
    set("foreground", &entry(&counted, "luminance"));
    let cost = edit_cost_call(&question).expect("a cost");
    assert_eq!(entry(&cost, "skyStops").as_f64(), entry(&cost, "foregroundStops").as_f64());
}

#[wasm_bindgen_test]
fn pixels_that_do_not_fill_the_picture_are_refused() {
    for pixels in
        [bytes(&[0; 7]), JsValue::UNDEFINED, JsValue::NULL, 7.into(), "eight by".into(), Object::new().into()]
    {
        assert_eq!(refusal(&histogram_call(&pixels, 2.0, 1.0).expect_err("a refusal")), "pixels");
    }
    assert_eq!(refusal(&read_photo_call(&JsValue::UNDEFINED).expect_err("a refusal")), "bytes");
}

/// A part of a longer buffer, clamped or not, is that part.
#[wasm_bindgen_test]
fn whichever_array_has_the_bytes() {
    let part = Uint8ClampedArray::new(&bytes(&[9, 9, 255, 0, 0, 9])).subarray(2, 6);
    for pixels in [part.clone().into(), Uint8Array::new(&part).buffer().into(), Array::from(&part).into()] {
        let counted: JsValue = histogram_call(&pixels, 1.0, 1.0).expect("counts");
        let red: Uint32Array = entry(&counted, "red").dyn_into().expect("counts");
        assert_eq!(red.get_index(255), 1);
    }
}

fn bytes(all: &[u8]) -> JsValue {
    Uint8Array::from(all).into()
}

fn refusal(thrown: &JsValue) -> String {
    entry(thrown, "field").as_string().expect("a field")
}

#[wasm_bindgen_test]
fn a_time_is_reckoned_by_its_offset_or_by_the_zone() {
    let asked_with = |offset, shown| {
        json!({
            "atLocal": "2031-07-09T18:04:05.120", "offsetMin": offset, "zone": "Europe/Lisbon", "correctionS": null,
            "shownClock": shown,
        })
    };
    // 2031-07-09T18:04:05.120Z, half past five hours less, and Lisbon's summer hour less.
    let utc = 1_941_386_645_120.0;
    for (offset, expected) in
        [(json!(0), utc), (json!(330), utc - 19_800_000.0), (json!(null), utc - 3_600_000.0)]
    {
        assert_eq!(number(photo_time_call, &asked_with(offset, json!(null)), "atMs"), expected);
    }
    assert_eq!(number(photo_time_call, &asked_with(json!(null), json!("18:05:00")), "correctionS"), 54.88);
    let twice = json!({ "atLocal": "2031-10-26T01:30:00", "zone": "Europe/Lisbon" });
    let told = asked(photo_time_call, &twice).expect("a moment");
    assert_eq!(entry(&told, "reckoned").as_string().as_deref(), Some("twice"));
    assert_eq!(refused(photo_time_call, &asked_with(json!(null), json!("noon"))).field, "shownClock");
    assert_eq!(refused(photo_time_call, &json!({ "atLocal": "yesterday", "zone": "UTC" })).field, "atLocal");
}
