//! The answers as a page asks for them: plain objects in and out, one call for each question.
//!
//! Keys are camelCase with their unit (`altitudeDeg`, `shutterS`; `atMs` is UTC since 1970), missing values are
//! `null`, curves are `Float64Array`. A refused input throws an `Error` with `code` and `field`, so
//! that a form can mark it. The questions and answers are ordinary structs: each call is a plain
//! function, tested natively, and a thin wrapper that JavaScript sees.
//!
//! This is the only module that names wasm-bindgen.

pub mod exposure;
pub mod film;
pub mod filter;
pub mod frames;
pub mod light;
mod question;
pub mod shoot;
pub mod sky;
pub mod zone;

use js_sys::{Float64Array, Reflect, Uint8Array};
use serde::de::DeserializeOwned;
use serde::{Serialize, Serializer};
use wasm_bindgen::JsValue;

use crate::error::Error;

/// Reads a question, has it answered, and hands the answer over; every refusal becomes a thrown `Error`.
pub(crate) fn answer<Question: DeserializeOwned, Answer: Serialize>(
    question: JsValue,
    ask: impl FnOnce(Question) -> Result<Answer, Error>,
) -> Result<JsValue, JsValue> {
    let complaint = |question: &JsValue| {
        serde_wasm_bindgen::from_value::<Question>(question.clone()).err().map(|e| e.to_string())
    };
    let Ok(read) = serde_wasm_bindgen::from_value(question.clone()) else {
        return Err(thrown(&question::unreadable(&question, &complaint)));
    };
    let answer = ask(read).map_err(|e| thrown(&e))?;
    answer
        .serialize(&serde_wasm_bindgen::Serializer::new().serialize_missing_as_null(true))
        .map_err(JsValue::from)
}

/// A JavaScript `Error` with `code` and `field` beside its message.
pub(crate) fn thrown(error: &Error) -> JsValue {
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

impl Serialize for Column {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if cfg!(target_arch = "wasm32") {
            serde_wasm_bindgen::preserve::serialize(&Float64Array::from(self.0.as_slice()), serializer)
        } else {
            self.0.serialize(serializer)
        }
    }
}

/// A column of small codes: a `Uint8Array` on the page, a plain list elsewhere.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Codes(pub Vec<u8>);

impl Serialize for Codes {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if cfg!(target_arch = "wasm32") {
            serde_wasm_bindgen::preserve::serialize(&Uint8Array::from(self.0.as_slice()), serializer)
        } else {
            self.0.serialize(serializer)
        }
    }
}
