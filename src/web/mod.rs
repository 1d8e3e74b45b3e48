//! The answers as a page asks for them: plain objects in and out, one call for each question.
//!
//! Keys are camelCase with their unit (`altitudeDeg`, `shutterS`; `atMs` is UTC since 1970), missing values are
//! `null`, curves are `Float64Array`. A refused input throws an `Error` with `code` and `field`, so
//! that a form can mark it. The questions and answers are ordinary structs: each call is a plain
//! function, tested natively, and a thin wrapper that JavaScript sees.
//!
//! This is the only module that names wasm-bindgen.

pub mod almanac;
pub mod backup;
pub mod evening;
pub mod exchange;
pub mod exposure;
pub mod film;
pub mod filter;
pub mod frames;
pub mod horizon;
pub mod light;
pub mod log;
pub mod moon;
pub mod motion;
pub mod optics;
pub mod photo;
mod record;
pub mod shoot;
pub mod sky;
pub mod skyline;
pub mod tones;
mod value;
pub mod zone;

use js_sys::Reflect;
use wasm_bindgen::JsValue;

use crate::error::{Error, Result};
use value::{Given, Told, Value};

/// Reads a question, has it answered, and hands the answer over; every refusal becomes a thrown `Error`.
fn answer<Question: Given, Answer: Told>(
    question: &JsValue,
    ask: impl Fn(Question) -> Result<Answer>,
) -> std::result::Result<JsValue, JsValue> {
    exchange(question, &|given| ask(Question::given(given).map_err(named)?).map(Answer::told))
}

/// What all calls have in common, once for all of them.
fn exchange(
    question: &JsValue,
    ask: &dyn Fn(&Value) -> Result<Value>,
) -> std::result::Result<JsValue, JsValue> {
    ask(&Value::of_page(question)).map(|answer| answer.to_page()).map_err(|refused| thrown(&refused))
}

/// A refusal of the whole question names it.
fn named(refused: Error) -> Error {
    if refused.field().is_empty() { refused.in_field("question") } else { refused }
}

/// A JavaScript `Error` with `code` and `field` beside its message.
fn thrown(error: &Error) -> JsValue {
    let thrown = JsValue::from(serde_wasm_bindgen::Error::new(error));
    for (key, value) in [("code", error.code()), ("field", error.field())] {
        // Setting a property of a fresh object cannot fail.
        let _ = Reflect::set(&thrown, &key.into(), &value.into());
    }
    thrown
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

/// Whole counts: a `Uint32Array` on the page, a plain list elsewhere.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tally(pub Vec<u32>);

impl<const N: usize> From<[u32; N]> for Tally {
    fn from(counts: [u32; N]) -> Self {
        Self(counts.into())
    }
}

impl Told for Tally {
    fn told(self) -> Value {
        Value::Tally(self.0)
    }
}
