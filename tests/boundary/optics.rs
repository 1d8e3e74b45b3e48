//! The lens, as a page asks for it.

use duskbook::web::optics::{
    circle_of_confusion_call, depth_of_field_call, diffraction_call, equivalent_lens_call, focus_for_call,
    view_call,
};
use js_sys::Array;
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, number, refused};

fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found}, expected {expected}");
}

/// Rows of the native checks, computed there.
#[wasm_bindgen_test]
fn every_question_of_the_lens_is_answered() {
    let lens = json!({ "focalMm": 30, "fromMm": [36, 24], "toMm": [23.5, 15.6] });
    close(number(equivalent_lens_call, &lens, "focalMm"), 19.56, 0.005);
    let seen = json!({ "focalMm": 24, "formatMm": [36, 24], "distanceM": 100 });
    close(number(view_call, &seen, "horizontalDeg"), 73.74, 0.005);
    close(number(view_call, &seen, "widthM"), 150.0, 0.05);
    let modern = json!({ "formatMm": [36, 24], "basis": "modern" });
    close(number(circle_of_confusion_call, &modern, "cocMm"), 0.0288, 0.00005);
    let depth = json!({ "focalMm": 50, "aperture": 8, "cocMm": 0.03, "focusM": 5 });
    close(number(depth_of_field_call, &depth, "hyperfocalM"), 10.467, 0.0005);
    let scene = json!({ "focalMm": 35, "cocMm": 0.03, "nearM": 2, "farM": 20 });
    close(number(focus_for_call, &scene, "aperture"), 9.28, 0.005);
    close(number(diffraction_call, &json!({ "aperture": 8 }), "airyUm"), 10.74, 0.005);
}

#[wasm_bindgen_test]
fn the_sky_is_null_both_ways() {
    let scene = json!({ "focalMm": 24, "cocMm": 0.03, "nearM": 2, "farM": null });
    let found = asked(focus_for_call, &scene).expect("an answer");
    assert_eq!(entry(&found, "focusM").as_f64(), Some(4.0));
    assert!(entry(&found, "thirdM").is_null());
    let stops: Array = entry(&found, "stops").dyn_into().expect("a list");
    assert_eq!(entry(&stops.get(0), "label").as_string().as_deref(), Some("f/1"));
    let depth =
        json!({ "focalMm": 24, "aperture": entry(&found, "aperture").as_f64(), "cocMm": 0.03, "focusM": 4 });
    assert!(entry(&asked(depth_of_field_call, &depth).expect("an answer"), "farM").is_null());
    assert!(entry(&asked(diffraction_call, &json!({ "aperture": 8 })).expect("an answer"), "rays").is_null());
}

#[wasm_bindgen_test]
fn scenes_that_cannot_be_are_refused_by_their_field() {
    let scene = |near: Value, far: Value| json!({ "focalMm": 50, "cocMm": 0.03, "nearM": near, "farM": far });
    for (near, far, field, code) in [
        (json!(5), json!(4), "farM", "conflict"),
        (json!(0.05), json!(null), "nearM", "conflict"),
        (json!(null), json!(null), "nearM", "missing"),
        (json!(0), json!(null), "nearM", "out-of-range"),
    ] {
        let told = refused(focus_for_call, &scene(near, far));
        assert_eq!((told.field.as_str(), told.code.as_str()), (field, code), "{told:?}");
    }
    let flat = json!({ "focalMm": 50, "fromMm": [36], "toMm": [36, 24] });
    assert_eq!(refused(equivalent_lens_call, &flat).field, "fromMm");
    let near = json!({ "focalMm": 200, "formatMm": [36, 24], "distanceM": 0.1 });
    assert_eq!(refused(view_call, &near).field, "distanceM");
}
