//! Plain values as they pass between the page and the calls, and how structs are read from and written to them.
//!
//! Everything crosses the boundary as one [`Value`]. A derived reader and writer would be compiled anew for each
//! struct, at some kilobytes a call; here a field costs one call of a function that is there anyway, and a refusal
//! knows the path of what it refused.

use std::borrow::Cow;

use js_sys::{Array, ArrayBuffer, Float64Array, Object, Reflect, Uint8Array, Uint32Array};
use serde::ser::{SerializeMap, SerializeSeq};
use serde::{Serialize, Serializer};
use wasm_bindgen::{JsCast, JsValue};

use crate::decimal::written;
use crate::error::{Error, Result};

/// Anything that a page can ask or be told.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum Value {
    /// `null` or `undefined`.
    #[default]
    Null,
    Flag(bool),
    Number(f64),
    Text(Cow<'static, str>),
    List(Vec<Value>),
    /// Keys as the page writes them, in camelCase.
    Record(Vec<(Cow<'static, str>, Value)>),
    /// A `Float64Array`.
    Column(Vec<f64>),
    /// A `Uint8Array`.
    Codes(Vec<u8>),
    /// A `Uint32Array`.
    Tally(Vec<u32>),
}

/// What can be read from a value.
pub(super) trait Given: Sized {
    /// Whether its fields are named without it, as a form has them: `latitudeDeg` and not `spot.latitudeDeg`.
    const IS_FORM: bool = false;

    /// # Errors
    /// A value of another shape. The field is the path below this value, empty for the value itself.
    fn given(value: &Value) -> Result<Self>;
}

/// What can be told as a value.
pub(super) trait Told {
    fn told(self) -> Value;
}

/// Reads the fields of a record one by one and keeps the first refusal for the end, so that a reader of
/// many fields has a single way out.
pub(super) struct Fields<'a> {
    record: &'a Value,
    refused: Option<Error>,
}

impl<'a> Fields<'a> {
    pub(super) fn of(record: &'a Value) -> Self {
        let refused = if let Value::Record(_) = record { None } else { Some(record.not("an object")) };
        Self { record, refused }
    }

    /// The entry of a field by its Rust name; missing ones are null. Its default when it cannot be read.
    #[inline(never)]
    pub(super) fn field<T: Given + Default>(&mut self, name: &str) -> T {
        match T::given(self.entry(name)) {
            Ok(read) => return read,
            Err(refused) => self.refuse(name, refused, T::IS_FORM),
        }
        T::default()
    }

    #[inline(never)]
    fn entry(&self, name: &str) -> &'a Value {
        self.record.entry(&camel_case(name))
    }

    /// Keeps the first refusal only.
    #[inline(never)]
    fn refuse(&mut self, name: &str, refused: Error, is_form: bool) {
        if self.refused.is_none() {
            let is_named = is_form && !refused.field().is_empty();
            self.refused = Some(if is_named { refused } else { under(&camel_case(name), refused) });
        }
    }

    /// Another record whose fields stand among these. Its default when it cannot be read.
    pub(super) fn within<T: Given + Default>(&mut self) -> T {
        if self.refused.is_some() {
            return T::default();
        }
        T::given(self.record).unwrap_or_else(|refused| {
            self.refused = Some(refused);
            T::default()
        })
    }

    /// What was read, if all of it could be.
    ///
    /// # Errors
    /// The first entry that could not: names its path.
    pub(super) fn all<T>(self, read: T) -> Result<T> {
        self.refused.map_or(Ok(read), Err)
    }
}

impl Value {
    pub(super) fn entry(&self, key: &str) -> &Self {
        let Self::Record(entries) = self else { return &Self::Null };
        entries.iter().find(|(known, _)| known == key).map_or(&Self::Null, |(_, value)| value)
    }

    /// One more entry of a record, by the Rust name of its field.
    #[inline(never)]
    pub(super) fn tell(&mut self, name: &str, value: Self) {
        if let Self::Record(entries) = self {
            entries.push((camel_case(name), value));
        }
    }

    /// The refusal of a value that is not what was `expected`.
    pub(super) fn not(&self, expected: &'static str) -> Error {
        match self {
            Self::Null => Error::missing("", expected),
            Self::Flag(flag) => Error::malformed("", flag.to_string(), expected),
            Self::Number(number) => Error::malformed("", written(*number), expected),
            Self::Text(text) => Error::malformed("", text.as_ref(), expected),
            Self::List(_) | Self::Column(_) | Self::Codes(_) | Self::Tally(_) => {
                Error::malformed("", "a list", expected)
            }
            Self::Record(_) => Error::malformed("", "an object", expected),
        }
    }
}

/// A refusal from within the entry `key`.
pub(super) fn under(key: &str, refused: Error) -> Error {
    let path = match refused.field() {
        "" => key.to_owned(),
        within if within.starts_with('[') => format!("{key}{within}"),
        within => format!("{key}.{within}"),
    };
    refused.in_field(path)
}

/// What is read of every item of a list; a refusal is named by its place: `filters[2].density`.
pub(super) fn each<Item, Read>(
    list: &str,
    items: &[Item],
    read: impl Fn(&Item) -> Result<Read>,
) -> Result<Vec<Read>> {
    let placed = |(place, item)| read(item).map_err(|refused| under(&format!("{list}[{place}]"), refused));
    items.iter().enumerate().map(placed).collect()
}

/// `sun_altitude_deg` as the page writes it: `sunAltitudeDeg`.
fn camel_case(name: &str) -> Cow<'static, str> {
    let mut key = String::with_capacity(name.len());
    let mut raise = false;
    for letter in name.chars() {
        if letter == '_' {
            raise = true;
        } else {
            key.push(if raise { letter.to_ascii_uppercase() } else { letter });
            raise = false;
        }
    }
    key.into()
}

impl Given for f64 {
    fn given(value: &Value) -> Result<Self> {
        match value {
            Value::Number(number) => Ok(*number),
            Value::Text(text) => Err(Error::not_a_number("", text.as_ref())),
            other => Err(other.not("a number")),
        }
    }
}

impl Given for bool {
    fn given(value: &Value) -> Result<Self> {
        if let Value::Flag(flag) = value { Ok(*flag) } else { Err(value.not("true or false")) }
    }
}

impl Given for String {
    fn given(value: &Value) -> Result<Self> {
        if let Value::Text(text) = value { Ok(text.clone().into_owned()) } else { Err(value.not("text")) }
    }
}

impl<T: Given> Given for Option<T> {
    fn given(value: &Value) -> Result<Self> {
        if matches!(value, Value::Null) { Ok(None) } else { T::given(value).map(Some) }
    }
}

/// A list that is missing is empty.
impl<T: Given> Given for Vec<T> {
    fn given(value: &Value) -> Result<Self> {
        let items = match value {
            Value::List(items) => items.as_slice(),
            Value::Null => &[],
            other => return Err(other.not("a list")),
        };
        let mut read = Vec::with_capacity(items.len());
        for (place, item) in items.iter().enumerate() {
            match T::given(item) {
                Ok(item) => read.push(item),
                Err(refused) => return Err(under(&format!("[{place}]"), refused)),
            }
        }
        Ok(read)
    }
}

/// For calls that ask nothing.
impl Given for () {
    fn given(_: &Value) -> Result<Self> {
        Ok(())
    }
}

/// Two values, as a list of two.
fn pair<T: Given>(value: &Value) -> Result<[T; 2]> {
    Vec::given(value)?.try_into().map_err(|_| value.not("a list of two"))
}

impl Given for [f64; 2] {
    fn given(value: &Value) -> Result<Self> {
        pair(value)
    }
}

impl Given for (String, String) {
    fn given(value: &Value) -> Result<Self> {
        pair(value).map(|[first, second]| (first, second))
    }
}

impl Told for Value {
    fn told(self) -> Value {
        self
    }
}

impl Told for f64 {
    fn told(self) -> Value {
        Value::Number(self)
    }
}

impl Told for u32 {
    fn told(self) -> Value {
        Value::Number(self.into())
    }
}

impl Told for usize {
    fn told(self) -> Value {
        Value::Number(self as f64)
    }
}

impl Told for bool {
    fn told(self) -> Value {
        Value::Flag(self)
    }
}

impl Told for &'static str {
    fn told(self) -> Value {
        Value::Text(self.into())
    }
}

impl Told for String {
    fn told(self) -> Value {
        Value::Text(self.into())
    }
}

impl<T: Told> Told for Option<T> {
    fn told(self) -> Value {
        self.map_or(Value::Null, T::told)
    }
}

impl<T: Told> Told for Vec<T> {
    fn told(self) -> Value {
        let mut list = Vec::with_capacity(self.len());
        for item in self {
            list.push(item.told());
        }
        Value::List(list)
    }
}

impl<T: Told, const N: usize> Told for [T; N] {
    fn told(self) -> Value {
        Vec::from(self).told()
    }
}

impl Told for (String, String) {
    fn told(self) -> Value {
        Value::List(vec![self.0.told(), self.1.told()])
    }
}

/// Declares a struct that is read from a page's object, with its type for the page. `..pub light: LightQuestion` takes
/// over the fields of another question.
macro_rules! question {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$of:meta])* pub $field:ident: $type:ty),* $(,)? }) => {
        #[derive(Debug, Clone, Default, PartialEq, tsify::Tsify)]
        #[serde(rename_all = "camelCase")]
        $(#[$meta])*
        pub struct $name { $($(#[$of])* pub $field: $type),* }

        impl $crate::web::value::Given for $name {
            fn given(value: &$crate::web::value::Value) -> $crate::error::Result<Self> {
                let mut fields = $crate::web::value::Fields::of(value);
                let read = Self { $($field: fields.field(stringify!($field))),* };
                fields.all(read)
            }
        }
    };
    ($(#[$meta:meta])* pub struct $name:ident {
        ..pub $within:ident: $of_within:ty, $($(#[$of:meta])* pub $field:ident: $type:ty),* $(,)?
    }) => {
        #[derive(Debug, Clone, Default, PartialEq, tsify::Tsify)]
        #[serde(rename_all = "camelCase")]
        $(#[$meta])*
        pub struct $name {
            /// The fields that other questions have too.
            #[serde(flatten)]
            pub $within: $of_within,
            $($(#[$of])* pub $field: $type),*
        }

        impl $crate::web::value::Given for $name {
            fn given(value: &$crate::web::value::Value) -> $crate::error::Result<Self> {
                let mut fields = $crate::web::value::Fields::of(value);
                let read = Self { $within: fields.within(), $($field: fields.field(stringify!($field))),* };
                fields.all(read)
            }
        }
    };
}

/// Declares a struct that a page is told, with its type for the page.
macro_rules! answer {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$of:meta])* pub $field:ident: $type:ty),* $(,)? }) => {
        #[derive(Debug, Clone, PartialEq, tsify::Tsify)]
        #[serde(rename_all = "camelCase")]
        #[tsify(missing_as_null)]
        $(#[$meta])*
        pub struct $name { $($(#[$of])* pub $field: $type),* }

        impl $crate::web::value::Told for $name {
            fn told(self) -> $crate::web::value::Value {
                let mut record = $crate::web::value::Value::Record(Vec::new());
                $(record.tell(stringify!($field), self.$field.told());)*
                record
            }
        }
    };
}

/// Declares the page's type of a struct that lives elsewhere, and has that one read and told field by field.
macro_rules! mirror {
    ($original:path =>
        $(#[$meta:meta])* pub struct $name:ident { $($(#[$of:meta])* pub $field:ident: $type:ty),* $(,)? }) => {
        #[derive(Debug, Clone, PartialEq, tsify::Tsify)]
        #[serde(rename_all = "camelCase")]
        #[tsify(missing_as_null)]
        $(#[$meta])*
        pub struct $name { $($(#[$of])* pub $field: $type),* }

        impl $crate::web::value::Given for $original {
            const IS_FORM: bool = true;

            fn given(value: &$crate::web::value::Value) -> $crate::error::Result<Self> {
                let mut fields = $crate::web::value::Fields::of(value);
                let read = Self { $($field: fields.field(stringify!($field))),* };
                fields.all(read)
            }
        }

        impl $crate::web::value::Told for $original {
            fn told(self) -> $crate::web::value::Value {
                let mut record = $crate::web::value::Value::Record(Vec::new());
                $(record.tell(stringify!($field), self.$field.told());)*
                record
            }
        }
    };
}

pub(super) use {answer, mirror, question};

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        match self {
            Self::Null => serializer.serialize_unit(),
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::Number(number) => serializer.serialize_f64(*number),
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(items) => {
                let mut list = serializer.serialize_seq(Some(items.len()))?;
                items.iter().try_for_each(|item| list.serialize_element(item))?;
                list.end()
            }
            Self::Record(entries) => {
                let mut record = serializer.serialize_map(Some(entries.len()))?;
                entries.iter().try_for_each(|(key, value)| record.serialize_entry(key, value))?;
                record.end()
            }
            Self::Column(numbers) => numbers.serialize(serializer),
            Self::Tally(counts) => counts.serialize(serializer),
            Self::Codes(codes) => codes.serialize(serializer),
        }
    }
}

impl Value {
    /// The same on the page, made there.
    pub(super) fn to_page(&self) -> JsValue {
        match self {
            Self::Null => JsValue::NULL,
            Self::Flag(flag) => (*flag).into(),
            Self::Number(number) => (*number).into(),
            Self::Text(text) => JsValue::from_str(text),
            Self::List(items) => {
                let list = Array::new();
                for item in items {
                    list.push(&item.to_page());
                }
                list.into()
            }
            Self::Record(entries) => {
                let record = Object::new();
                for (key, value) in entries {
                    // Setting a property of a fresh object cannot fail.
                    let _ = Reflect::set(&record, &JsValue::from_str(key), &value.to_page());
                }
                record.into()
            }
            Self::Column(numbers) => Float64Array::from(numbers.as_slice()).into(),
            Self::Codes(codes) => Uint8Array::from(codes.as_slice()).into(),
            Self::Tally(counts) => Uint32Array::from(counts.as_slice()).into(),
        }
    }
}

/// How deep a question is looked into: four levels, but for records of a backup, whose own unknown fields may go further.
const DEEPEST: usize = 12;

impl Value {
    /// A page's value, taken over. What is neither text, number, flag, list nor plain object counts as missing.
    pub(super) fn of_page(given: &JsValue) -> Self {
        Self::of_page_within(given, DEEPEST)
    }

    fn of_page_within(given: &JsValue, levels: usize) -> Self {
        if let Some(number) = given.as_f64() {
            return Self::Number(number);
        }
        if let Some(text) = given.as_string() {
            return Self::Text(text.into());
        }
        if let Some(flag) = given.as_bool() {
            return Self::Flag(flag);
        }
        if levels == 0 || !given.is_object() {
            return Self::Null;
        }
        let inner = |item: &JsValue| Self::of_page_within(item, levels - 1);
        if let Some(numbers) = given.dyn_ref::<Float64Array>() {
            return numbers.to_vec().told();
        }
        let is_list = Array::is_array(given) || ArrayBuffer::is_view(given);
        let object = given.unchecked_ref::<Object>();
        let values = if is_list { Array::from(given) } else { Object::values(object) };
        let keys = if is_list { Array::new() } else { Object::keys(object) };
        let (mut list, mut record) = (Vec::new(), Vec::new());
        for place in 0..values.length() {
            let value = inner(&values.get(place));
            if is_list {
                list.push(value);
            } else {
                record.push((keys.get(place).as_string().unwrap_or_default().into(), value));
            }
        }
        if is_list { Self::List(list) } else { Self::Record(record) }
    }
}

/// A file's or a picture's bytes, whichever typed array or buffer has them.
///
/// # Errors
/// Anything else: names `field`.
pub(super) fn bytes(field: &'static str, given: &JsValue) -> Result<Vec<u8>> {
    let all = if ArrayBuffer::is_view(given) {
        let view = given.unchecked_ref::<Uint8Array>();
        Uint8Array::new_with_byte_offset_and_length(&view.buffer(), view.byte_offset(), view.byte_length())
    } else if given.is_instance_of::<ArrayBuffer>() || Array::is_array(given) {
        Uint8Array::new(given)
    } else {
        return Err(Error::missing(field, "bytes"));
    };
    Ok(all.to_vec())
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A question as the page would send it.
    pub(in crate::web) fn given<T: Given>(json: serde_json::Value) -> Result<T> {
        T::given(&of_json(json))
    }

    pub(in crate::web) fn of_json(json: serde_json::Value) -> Value {
        match json {
            serde_json::Value::Null => Value::Null,
            serde_json::Value::Bool(flag) => Value::Flag(flag),
            serde_json::Value::Number(number) => Value::Number(number.as_f64().unwrap()),
            serde_json::Value::String(text) => Value::Text(text.into()),
            serde_json::Value::Array(items) => Value::List(items.into_iter().map(of_json).collect()),
            serde_json::Value::Object(entries) => {
                Value::Record(entries.into_iter().map(|(key, value)| (key.into(), of_json(value))).collect())
            }
        }
    }

    /// An answer as the page would see it.
    pub(in crate::web) fn told(answer: impl Told) -> serde_json::Value {
        serde_json::to_value(answer.told()).unwrap()
    }

    question! {
        /// A list with things in it.
        pub struct Shelf {
            /// Text.
            pub name: String,
            /// Numbers in records in a list.
            pub books_read: Vec<Book>,
        }
    }

    question! {
        /// A thing.
        pub struct Book {
            /// A number.
            pub width_mm: f64,
            /// A number that may be missing.
            pub height_mm: Option<f64>,
        }
    }

    #[test]
    fn a_refused_value_is_named_by_its_path() {
        let refused = |json| given::<Shelf>(json).unwrap_err();
        let deep =
            refused(serde_json::json!({ "name": "a", "booksRead": [{ "widthMm": 1 }, { "widthMm": "x" }] }));
        assert_eq!(deep.to_string(), "booksRead[1].widthMm: \"x\" is not a number");
        let missing = refused(serde_json::json!({ "name": "a", "booksRead": [{}] }));
        assert_eq!((missing.field(), missing.code()), ("booksRead[0].widthMm", "missing"));
        assert_eq!(
            refused(serde_json::json!({ "booksRead": [] })).to_string(),
            "name: nothing given; expected text"
        );
        assert_eq!(refused(serde_json::json!(5)).code(), "malformed");
    }

    #[test]
    fn null_and_absent_are_one_and_unknown_keys_are_let_be() {
        let json = serde_json::json!({ "name": "a", "booksRead": [{ "widthMm": 1, "heightMm": null, "weight": 3 }] });
        let shelf: Shelf = given(json).unwrap();
        assert_eq!(shelf.books_read, [Book { width_mm: 1.0, height_mm: None }]);
        assert_eq!(given::<Shelf>(serde_json::json!({ "name": "a" })).unwrap().books_read, []);
    }
}
