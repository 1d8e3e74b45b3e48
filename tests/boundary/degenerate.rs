//! Lens and trails asked for what cannot be: a value or a refusal by its field, and never what is no number.

use duskbook::web::motion::{star_trail_call, traffic_trail_call};
use duskbook::web::optics::{
    depth_of_field_call, diffraction_call, equivalent_lens_call, focus_for_call, view_call,
};
use js_sys::{Array, Object};
use serde_json::{Value, json};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{Call, asked};

/// The least that each call may be asked.
fn questions() -> [(Call, Value); 7] {
    [
        (equivalent_lens_call, json!({ "focalMm": 30, "fromMm": [36, 24], "toMm": [23.5, 15.6] })),
        (view_call, json!({ "focalMm": 24, "formatMm": [36, 24], "distanceM": 100 })),
        (depth_of_field_call, json!({ "focalMm": 50, "aperture": 8, "cocMm": 0.03, "focusM": 5 })),
        (focus_for_call, json!({ "focalMm": 35, "cocMm": 0.03, "nearM": 2, "farM": 20 })),
        (diffraction_call, json!({ "aperture": 8, "wavelengthNm": 550, "pitchUm": 4.3 })),
        (
            traffic_trail_call,
            json!({
                "focalMm": 24, "formatMm": [36, 24], "speedMS": 14, "distanceM": 100, "headingDeg": 90, "shutterS": 4,
            }),
        ),
        (
            star_trail_call,
            json!({ "focalMm": 24, "aperture": 2.8, "pitchUm": 5.94, "declinationDeg": 0, "shutterS": 20 }),
        ),
    ]
}

/// Whether every number within is one.
fn is_sound(told: &JsValue) -> bool {
    match told.as_f64() {
        Some(number) => number.is_finite(),
        None if told.is_object() => Object::values(told.unchecked_ref()).iter().all(|each| is_sound(&each)),
        None => true,
    }
}

#[wasm_bindgen_test]
fn what_is_told_is_a_number_or_a_refusal_by_its_field() {
    let odd = json!([
        null,
        "24",
        true,
        {},
        [],
        [36],
        [36, "24"],
        [0, 24],
        [300, 300],
        0,
        -1,
        0.035,
        0.2,
        5,
        90,
        -90,
        180,
        -45,
        270,
        91,
        5e-324,
        1e300
    ]);
    for (call, question) in questions() {
        assert!(is_sound(&asked(call, &question).expect("an answer")), "{question}");
        let (mut answers, mut refusals) = (0, 0);
        for field in question.as_object().expect("an object").keys() {
            for value in odd.as_array().expect("a list") {
                let mut changed = question.clone();
                changed[field] = value.clone();
                match asked(call, &changed) {
                    Ok(told) => {
                        assert!(is_sound(&told), "{changed}: {told:?}");
                        answers += 1;
                    }
                    Err(refusal) => {
                        // A lens longer than the scene is far off is refused at the scene.
                        let named = refusal.field.split('[').next().unwrap_or_default();
                        assert!(question.get(named).is_some(), "{changed}: {refusal:?}");
                        refusals += 1;
                    }
                }
            }
        }
        assert!(answers > 0 && refusals > 0, "{question}");
    }
    // The check itself can fail.
    assert!(!is_sound(&Array::of1(&f64::NAN.into())));
}
