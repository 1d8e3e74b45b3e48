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
    let read = serde_path_to_error::deserialize(serde_wasm_bindgen::Deserializer::from(question));
    let question = read.map_err(|e| thrown(&unreadable(&e.path().to_string(), &e.inner().to_string())))?;
    let answer = ask(question).map_err(|e| thrown(&e))?;
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

/// What a question of the wrong shape is told: the field by its path, and what was wrong with it.
fn unreadable(path: &str, message: &str) -> Error {
    let message = message.strip_prefix("Error: ").unwrap_or(message);
    let missing = message.strip_prefix("missing field `").and_then(|rest| rest.split('`').next());
    match missing {
        Some(field) if path == "." => Error::missing(field.to_owned(), "a value"),
        Some(field) => Error::missing(format!("{path}.{field}"), "a value"),
        None => Error::conflict(path.to_owned(), message.to_owned()),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_field_is_named_with_its_path() {
        let told = unreadable(".", "Error: missing field `latitudeDeg`");
        assert_eq!((told.field(), told.code()), ("latitudeDeg", "missing"));
        assert_eq!(unreadable("spot", "missing field `zone`").field(), "spot.zone");
        assert_eq!(unreadable("startMs", "invalid type: string").field(), "startMs");
    }
}
