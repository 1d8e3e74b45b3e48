//! A question of the wrong shape: which field it was, and what was wrong with it.
//!
//! The reader of questions says what went wrong and not where. Keeping a path while reading would double the code
//! of every call, for something that happens only when a page is at fault; so a refused question is read again
//! with one entry changed at a time, until the complaint changes. That entry is the one.

use js_sys::{Array, Object, Reflect};
use wasm_bindgen::{JsCast, JsValue};

use crate::error::Error;

/// What is said of `question`, which `complaint` finds fault with.
pub(super) fn unreadable(question: &JsValue, complaint: &dyn Fn(&JsValue) -> Option<String>) -> Error {
    let Some(message) = complaint(question) else { return Error::missing("question", "an object") };
    let same = |question: &JsValue| complaint(question).as_ref() == Some(&message);
    let words = message.strip_prefix("Error: ").unwrap_or(&message);
    let missing = words.strip_prefix("missing field `").and_then(|rest| rest.split('`').next());
    match missing {
        Some(field) => {
            let path = lacking(question, field, &same).unwrap_or_else(|| field.to_owned());
            Error::missing(path, "a value")
        }
        None => {
            Error::conflict(wrong(question, &same).unwrap_or_else(|| "question".into()), words.to_owned())
        }
    }
}

/// The path of the entry whose removal changes the complaint.
fn wrong(value: &JsValue, same: &dyn Fn(&JsValue) -> bool) -> Option<String> {
    let key = keys(value).into_iter().find(|key| !same(&without(value, key)))?;
    let inner = entry(value, &key);
    let within = wrong(&inner, &|inner| same(&with(value, &key, inner)));
    Some(joined(value, &key, within))
}

/// The path at which `field` stops being missed when it is put there.
fn lacking(value: &JsValue, field: &str, same: &dyn Fn(&JsValue) -> bool) -> Option<String> {
    if value.is_object() && !same(&with(value, field, &JsValue::NULL)) {
        return Some(field.to_owned());
    }
    keys(value).into_iter().find_map(|key| {
        let inner = entry(value, &key);
        lacking(&inner, field, &|inner| same(&with(value, &key, inner)))
            .map(|within| joined(value, &key, Some(within)))
    })
}

/// The keys of an object or the indices of an array; none of anything else.
fn keys(value: &JsValue) -> Vec<String> {
    let object = value.is_object().then(|| Object::keys(value.unchecked_ref::<Object>()));
    object.map(|keys| keys.iter().filter_map(|key| key.as_string()).collect()).unwrap_or_default()
}

fn entry(value: &JsValue, key: &str) -> JsValue {
    Reflect::get(value, &key.into()).unwrap_or_default()
}

fn copy(value: &JsValue) -> JsValue {
    if Array::is_array(value) {
        value.unchecked_ref::<Array>().slice(0, u32::MAX).into()
    } else {
        Object::assign(&Object::new(), value.unchecked_ref()).into()
    }
}

fn without(value: &JsValue, key: &str) -> JsValue {
    let copied = copy(value);
    if let (true, Ok(index)) = (Array::is_array(value), key.parse()) {
        copied.unchecked_ref::<Array>().splice(index, 1, &JsValue::UNDEFINED);
        copied.unchecked_ref::<Array>().pop();
    } else {
        let _ = Reflect::delete_property(copied.unchecked_ref::<Object>(), &key.into());
    }
    copied
}

fn with(value: &JsValue, key: &str, inner: &JsValue) -> JsValue {
    let copied = copy(value);
    let _ = Reflect::set(&copied, &key.into(), inner);
    copied
}

/// `key.within`, or `[key].within` for an item of a list.
fn joined(value: &JsValue, key: &str, within: Option<String>) -> String {
    let key = if Array::is_array(value) { format!("[{key}]") } else { key.to_owned() };
    match within {
        Some(within) if within.starts_with('[') => key + &within,
        Some(within) => format!("{key}.{within}"),
        None => key,
    }
}
