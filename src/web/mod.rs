//! The answers as a page asks for them: plain objects in and out, one call for each question.
//!
//! Keys are camelCase with their unit (`altitudeDeg`, `shutterS`; `atMs` is UTC since 1970), missing values are
//! `null`, curves are `Float64Array`. A refused input throws an `Error` with `code` and `field`, so
//! that a form can mark it. The questions and answers are ordinary structs: each call is a plain
//! function, tested natively, and a thin wrapper that JavaScript sees.
//!
//! This is the only module that names wasm-bindgen.

pub mod backup;
pub mod exchange;
pub mod exposure;
pub mod film;
pub mod filter;
pub mod frames;
pub mod light;
mod record;
pub mod shoot;
pub mod sky;
mod value;
pub mod zone;

use js_sys::Reflect;
use serde::Serialize;
use wasm_bindgen::JsValue;

use crate::error::{Error, Result};
use value::{Given, Told, Value};

/// Reads a question, has it answered, and hands the answer over; every refusal becomes a thrown `Error`.
fn answer<Question: Given, Answer: Told>(
    question: &JsValue,
    ask: impl FnOnce(Question) -> Result<Answer>,
) -> std::result::Result<JsValue, JsValue> {
    let named =
        |refused: Error| if refused.field().is_empty() { refused.in_field("question") } else { refused };
    let answered = Question::given(&Value::of_page(question)).map_err(named).and_then(ask);
    answered.map_err(|refused| thrown(&refused)).and_then(|answer| handed(&answer.told()))
}

/// A value as the page gets it.
fn handed(answer: &Value) -> std::result::Result<JsValue, JsValue> {
    let plain =
        serde_wasm_bindgen::Serializer::new().serialize_missing_as_null(true).serialize_maps_as_objects(true);
    Ok(answer.serialize(&plain)?)
}

/// A JavaScript `Error` with `code` and `field` beside its message.
fn thrown(error: &Error) -> JsValue {
    let thrown = js_sys::Error::new(&error.to_string());
    for (key, value) in [("code", error.code()), ("field", error.field())] {
        // Setting a property of a fresh object cannot fail.
        let _ = Reflect::set(&thrown, &key.into(), &value.into());
    }
    thrown.into()
}

/// A column of numbers: a `Float64Array` on the page, a plain list elsewhere.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Column(pub Vec<f64>);

impl Told for Column {
    fn told(self) -> Value {
        Value::Column(self.0)
    }
}

/// A column of small codes: a `Uint8Array` on the page, a plain list elsewhere.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Codes(pub Vec<u8>);

impl Told for Codes {
    fn told(self) -> Value {
        Value::Codes(self.0)
    }
}
