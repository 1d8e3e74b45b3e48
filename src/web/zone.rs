//! Civil time, from the zone table that every browser carries.
//!
//! The page's own zone data would add 150 KB; `Intl` has it already and keeps it current. A zone's
//! formatter is built once (it is the slow part) and asked for the parts of the local time; their
//! difference from UTC is the offset.

use std::cell::RefCell;
use std::rc::Rc;

use js_sys::{Array, Date, Object, Reflect};
use wasm_bindgen::prelude::*;

use super::value::{answer, question};

use crate::decimal;
use crate::error::{Error, Result};
use crate::units::{Instant, Span, civil_date, civil_day};

#[wasm_bindgen]
extern "C" {
    /// `Intl.DateTimeFormat`, bound here because its constructor throws on a zone it does not know.
    #[wasm_bindgen(js_namespace = Intl)]
    type DateTimeFormat;

    #[wasm_bindgen(catch, constructor, js_namespace = Intl)]
    fn new(locale: &str, options: &Object) -> std::result::Result<DateTimeFormat, JsValue>;

    #[wasm_bindgen(catch, method, js_name = formatToParts)]
    fn format_to_parts(this: &DateTimeFormat, date: &Date) -> std::result::Result<Array, JsValue>;
}

/// Text keys read from every formatted part, made once.
struct Keys {
    kind: JsValue,
    value: JsValue,
}

thread_local! {
    static ZONES: RefCell<Vec<(String, Rc<DateTimeFormat>)>> = const { RefCell::new(Vec::new()) };
    static KEYS: Keys = Keys { kind: "type".into(), value: "value".into() };
}

/// What a zone is asked for with.
const SPELLING: &str = "a name like Europe/Lisbon";

/// A time zone that this browser knows.
pub struct Zone {
    format: Rc<DateTimeFormat>,
}

impl Zone {
    /// The zone of an IANA name such as `Europe/Lisbon`, or `UTC`.
    ///
    /// # Errors
    /// A name that this browser does not know: names `zone`.
    pub fn named(name: &str) -> Result<Self> {
        let known = |zones: &Vec<(String, Rc<DateTimeFormat>)>| {
            zones.iter().find(|(known, _)| known == name).map(|(_, format)| format.clone())
        };
        if let Some(format) = ZONES.with_borrow(known) {
            return Ok(Self { format });
        }
        if name.is_empty() {
            return Err(Error::missing("zone", SPELLING));
        }
        let refused = || Error::unknown_name("zone", name, SPELLING);
        // An offset ("+02:00") is a zone to some browsers and not to others.
        if !name.starts_with(|first: char| first.is_ascii_alphabetic()) {
            return Err(refused());
        }
        let options = Object::new();
        for (key, value) in [
            ("timeZone", name),
            ("calendar", "gregory"),
            ("numberingSystem", "latn"),
            ("hourCycle", "h23"),
            ("era", "short"),
            ("year", "numeric"),
            ("month", "numeric"),
            ("day", "numeric"),
            ("hour", "numeric"),
            ("minute", "numeric"),
            ("second", "numeric"),
        ] {
            let _ = Reflect::set(&options, &key.into(), &value.into());
        }
        let format = Rc::new(DateTimeFormat::new("en-US", &options).map_err(|_| refused())?);
        ZONES.with_borrow_mut(|zones| zones.push((name.to_owned(), format.clone())));
        Ok(Self { format })
    }

    /// Seconds that clocks in this zone are ahead of UTC at a moment.
    pub fn offset_s(&self, at: Instant) -> f64 {
        let utc_ms = (at.epoch_ms() / 1e3).floor() * 1e3;
        let Ok(parts) = self.format.format_to_parts(&Date::new(&utc_ms.into())) else { return 0.0 };
        let [mut year, mut month, mut day, mut hour, mut minute, mut second] = [0.0; 6];
        let mut before_christ = false;
        KEYS.with(|keys| {
            for part in parts.iter() {
                let text =
                    |key| Reflect::get(&part, key).ok().and_then(|v| v.as_string()).unwrap_or_default();
                let value = text(&keys.value);
                let slot = match text(&keys.kind).as_str() {
                    "year" => &mut year,
                    "month" => &mut month,
                    "day" => &mut day,
                    "hour" => &mut hour,
                    "minute" => &mut minute,
                    "second" => &mut second,
                    "era" => {
                        before_christ = value.starts_with('B');
                        continue;
                    }
                    _ => continue,
                };
                *slot = decimal::read(&value).unwrap_or(0.0);
            }
        });
        if before_christ {
            year = 1.0 - year;
        }
        (Date::utc(year, month - 1.0)
            + ((day - 1.0) * 86_400.0 + hour * 3600.0 + minute * 60.0 + second) * 1e3
            - utc_ms)
            / 1e3
    }

    /// The span of a civil date in this zone, 23 to 25 hours long where clocks change.
    ///
    /// # Errors
    /// Not a date, or one that the zone left out: names `date`.
    pub fn day(&self, date: &str) -> Result<Span> {
        civil_day(civil_date(date)?, |at| self.offset_s(at))
    }
}

question! {
    /// A zone and a moment.
    pub struct ZoneOffsetQuestion {
        /// IANA name, or `UTC`.
        pub zone: String,
        /// The moment, milliseconds since 1970 UTC.
        pub at_ms: f64,
    }
}

answer! {
    /// How far the clocks of a zone are ahead of UTC.
    pub struct ZoneOffsetAnswer {
        /// Seconds ahead of UTC; negative west of it.
        pub offset_s: f64,
    }
}

question! {
    /// A zone and a civil date in it.
    pub struct ZoneDayQuestion {
        /// IANA name, or `UTC`.
        pub zone: String,
        /// The date, written `2031-03-09`.
        pub date: String,
    }
}

answer! {
    /// When a civil date begins and ends.
    pub struct ZoneDayAnswer {
        /// Its first moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// The first moment of the next date.
        pub end_ms: f64,
    }
}

/// Seconds that clocks in a zone are ahead of UTC at a moment.
///
/// # Errors
/// An unknown zone or a moment out of range, thrown with its field.
#[wasm_bindgen(js_name = zoneOffset, unchecked_return_type = "ZoneOffsetAnswer")]
pub fn zone_offset_call(
    #[wasm_bindgen(unchecked_param_type = "ZoneOffsetQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ZoneOffsetQuestion| {
        let offset_s = Zone::named(&q.zone)?.offset_s(Instant::from_epoch_ms(q.at_ms)?);
        Ok(ZoneOffsetAnswer { offset_s })
    })
}

/// When a civil date begins and ends in a zone.
///
/// # Errors
/// An unknown zone or a date that does not exist, thrown with its field.
#[wasm_bindgen(js_name = zoneDay, unchecked_return_type = "ZoneDayAnswer")]
pub fn zone_day_call(
    #[wasm_bindgen(unchecked_param_type = "ZoneDayQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ZoneDayQuestion| {
        let day = Zone::named(&q.zone)?.day(&q.date)?;
        Ok(ZoneDayAnswer { start_ms: day.start().epoch_ms(), end_ms: day.end().epoch_ms() })
    })
}
