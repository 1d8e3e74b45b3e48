//! A question as a page writes it, and the answer or the refusal as a page finds it.

use js_sys::{JSON, Reflect};
use serde_json::{Value, json};
use wasm_bindgen::{JsCast, JsValue};

/// One of the page's calls.
pub type Call = fn(&JsValue) -> Result<JsValue, JsValue>;

/// A thrown `Error`, as a form reads it.
#[derive(Debug, PartialEq)]
pub struct Refusal {
    pub code: String,
    pub field: String,
    pub message: String,
}

/// Asks and takes the answer as JavaScript has it.
pub fn asked(call: Call, question: &Value) -> Result<JsValue, Refusal> {
    call(&JSON::parse(&question.to_string()).expect("a question")).map_err(|thrown| {
        assert!(thrown.is_instance_of::<js_sys::Error>(), "{thrown:?} was thrown");
        let text = |key| entry(&thrown, key).as_string().unwrap_or_else(|| panic!("no {key} in {thrown:?}"));
        Refusal { code: text("code"), field: text("field"), message: text("message") }
    })
}

/// Asks for something that must be refused.
pub fn refused(call: Call, question: &Value) -> Refusal {
    asked(call, question).expect_err("a refusal")
}

/// Asks for a number of the answer.
pub fn number(call: Call, question: &Value, key: &str) -> f64 {
    let answer = asked(call, question).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    entry(&answer, key).as_f64().unwrap_or_else(|| panic!("no number {key}"))
}

/// A property of an object.
pub fn entry(object: &JsValue, key: &str) -> JsValue {
    Reflect::get(object, &key.into()).expect("an object")
}

/// A day at an invented headland, with one field changed.
pub fn day_with(field: &str, value: Value) -> Value {
    let mut day = json!({
        "latitudeDeg": 50.31, "longitudeDeg": -4.87, "elevationM": 6,
        // 2031-03-09
        "startMs": 1_930_780_800_000_f64, "endMs": 1_930_867_200_000_f64, "sunAltitudesDeg": [-6, -12],
    });
    day[field] = value;
    day
}
