//! The log, as the page keeps and shows it.

use wasm_bindgen::prelude::*;

use super::value::{answer, mirror, question};

use super::shoot::{Problem, listed};
use crate::error::{Error, Result};
use crate::shoot::log::{self, Digits, LogRead, WorkedOut};
use crate::shoot::{frame, spot};
use crate::sky::place::Place;
use crate::sky::{moon, sun};

mirror! {
    frame::FrameForm =>
    /// A frame as the log keeps it. Anything may be wrong; what is not known is null.
    pub struct FrameForm {
        /// The record's own word, at most 80 characters.
        pub id: String,
        /// The record of its spot; null when that was not kept.
        pub spot_id: Option<String>,
        /// The spot's name at the time, at most 80 characters.
        pub spot_name: String,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// F-number, as engraved or exact.
        pub aperture: f64,
        /// Seconds, as engraved or exact.
        pub shutter_s: f64,
        /// ISO speed, as engraved or exact.
        pub iso: f64,
        /// What the filters on the lens took, stops, 0 to 30.
        pub filter_stops: f64,
        /// How much lighter than mid-tone it was meant to be, stops, −10 to 10.
        pub compensation_stops: f64,
        /// Focal length as engraved, millimetres.
        pub focal_mm: Option<f64>,
        /// As it was set, at most 80 characters.
        pub white_balance: String,
        /// What it was exposed for.
        #[tsify(type = "\"sky\" | \"frame\" | \"shadows\" | \"highlights\"")]
        pub intent: String,
        /// Anything else, at most 2000 characters.
        pub note: String,
        /// Whole stars, 0 to 5.
        pub rating: f64,
        /// Whether the forecast is to learn from it.
        pub reading: bool,
        /// Where its numbers come from.
        #[tsify(type = "\"photo\" | \"desk\" | \"hand\"")]
        pub source: String,
    }
}

question! {
    /// A spot of the log.
    pub struct LogSpot {
        /// Its record's word; null for one that is not kept, which goes by its name.
        pub id: Option<String>,
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
    }
}

question! {
    /// Frames, and the spots at which they were made.
    pub struct LogQuestion {
        /// The frames.
        #[tsify(type = "FrameForm[]")]
        pub frames: Vec<frame::FrameForm>,
        /// The spots.
        pub spots: Vec<LogSpot>,
    }
}

answer! {
    /// What is worked out of a frame.
    pub struct LogRow {
        /// As it is written: `f/11`; empty when the number is none.
        pub aperture_label: String,
        /// As it is written: `1/60 s`.
        pub shutter_label: String,
        /// As it is written: `ISO 100`.
        pub iso_label: String,
        /// The brightness that it has at mid-tone, EV at ISO 100; null when something is wrong with it.
        pub ev100: Option<f64>,
        /// Whether a forecast can learn from it.
        pub can_be_reading: bool,
        /// Geometric altitude of the sun, degrees; null where the spot is not known.
        pub sun_altitude_deg: Option<f64>,
        /// The moon's, the same.
        pub moon_altitude_deg: Option<f64>,
        /// All that is wrong with it.
        pub problems: Vec<Problem>,
    }
}

impl LogRow {
    fn of(form: &frame::FrameForm, spots: &[LogSpot]) -> Self {
        match form.check() {
            Ok(frame) => {
                let here = |spot: &&LogSpot| {
                    spot.id == form.spot_id && (spot.id.is_some() || spot.spot.name == form.spot_name)
                };
                let place = spots.iter().find(here).and_then(place);
                Self {
                    aperture_label: frame.settings.aperture.label(),
                    shutter_label: frame.settings.shutter.label(),
                    iso_label: frame.settings.iso.label(),
                    ev100: Some(frame.ev().value()),
                    can_be_reading: frame.reading().is_ok(),
                    sun_altitude_deg: place.map(|place| sun::position(&place, frame.at).altitude.degrees()),
                    moon_altitude_deg: place.map(|place| moon::position(&place, frame.at).altitude.degrees()),
                    problems: Vec::new(),
                }
            }
            Err(problems) => Self {
                aperture_label: String::new(),
                shutter_label: String::new(),
                iso_label: String::new(),
                ev100: None,
                can_be_reading: false,
                sun_altitude_deg: None,
                moon_altitude_deg: None,
                problems: listed(&problems),
            },
        }
    }
}

fn place(LogSpot { spot, .. }: &LogSpot) -> Option<Place> {
    Place::new(spot.latitude_deg?, spot.longitude_deg?, spot.elevation_m?).ok()
}

/// What is worked out of each frame, in the order given. Never refuses: what is wrong with a frame stands in its row.
pub fn log_table(q: &LogQuestion) -> Vec<LogRow> {
    q.frames.iter().map(|form| LogRow::of(form, &q.spots)).collect()
}

/// The log as the text of a table, RFC 4180, with what is worked out in its last columns.
pub fn write_log_csv(q: &LogQuestion) -> String {
    let row = |form: &frame::FrameForm| -> (frame::FrameForm, WorkedOut) {
        let row = LogRow::of(form, &q.spots);
        let setting = format!("{} {} {}", row.aperture_label, row.shutter_label, row.iso_label);
        (form.clone(), (setting.trim().to_owned(), [row.ev100, row.sun_altitude_deg, row.moon_altitude_deg]))
    };
    let rows: Vec<_> = q.frames.iter().map(row).collect();
    log::write(&rows, DIGITS)
}

question! {
    /// A text that may be a log.
    pub struct ReadLogCsvQuestion {
        /// The whole of it.
        pub text: String,
    }
}

answer! {
    /// Something wrong in a line of a text.
    pub struct LineProblem {
        /// The line, counted from 1, the header's.
        pub line: usize,
        /// What is wrong.
        pub problem: Problem,
    }
}

answer! {
    /// A log, read: the frames of the good lines, and what was wrong with the others.
    pub struct ReadLogCsvAnswer {
        /// The frames; an `id` may be empty.
        #[tsify(type = "FrameForm[]")]
        pub frames: Vec<frame::FrameForm>,
        /// What was wrong.
        pub problems: Vec<LineProblem>,
    }
}

/// The log of a text.
///
/// # Errors
/// A text that is no log: names `text`.
pub fn read_log_csv(q: &ReadLogCsvQuestion) -> Result<ReadLogCsvAnswer> {
    let LogRead { frames, problems } = log::read(&q.text, DIGITS)?;
    let problem = |(line, error): (usize, Error)| LineProblem { line, problem: Problem::from(&error) };
    Ok(ReadLogCsvAnswer { frames, problems: problems.into_iter().map(problem).collect() })
}

/// Numbers to their last bit: by the browser's tables there, by the standard library's elsewhere.
#[cfg(target_arch = "wasm32")]
const DIGITS: Digits = Digits {
    write: |value| {
        js_sys::Number::from(value).to_string_with_radix(10).map_or_else(|_| String::new(), String::from)
    },
    read: |text| Some(JsValue::from_str(text).unchecked_into_f64()),
};
#[cfg(not(target_arch = "wasm32"))]
const DIGITS: Digits = Digits { write: |value| value.to_string(), read: |text| text.parse().ok() };

/// What is worked out of each frame.
///
/// # Errors
/// Only a question of the wrong shape is thrown.
#[wasm_bindgen(js_name = logTable, unchecked_return_type = "LogRow[]")]
pub fn log_table_call(
    #[wasm_bindgen(unchecked_param_type = "LogQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: LogQuestion| Ok(log_table(&q)))
}

/// The log as the text of a table.
///
/// # Errors
/// Only a question of the wrong shape is thrown.
#[wasm_bindgen(js_name = writeLogCsv, unchecked_return_type = "string")]
pub fn write_log_csv_call(
    #[wasm_bindgen(unchecked_param_type = "LogQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: LogQuestion| Ok(write_log_csv(&q)))
}

/// The log of a text.
///
/// # Errors
/// A text that is no log, thrown with its field.
#[wasm_bindgen(js_name = readLogCsv, unchecked_return_type = "ReadLogCsvAnswer")]
pub fn read_log_csv_call(
    #[wasm_bindgen(unchecked_param_type = "ReadLogCsvQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ReadLogCsvQuestion| read_log_csv(&q))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    use crate::web::value::tests::{given, told};

    /// A log with a frame at an invented weir, as the page would send it.
    fn asked(change: impl FnOnce(&mut Value)) -> LogQuestion {
        let mut question = json!({
            "frames": [{
                "id": "a1", "version": 1, "spotId": "s1", "spotName": "Heron Weir", "atMs": 1_930_938_127_123_i64,
                "aperture": 11.313_708_498_984_761, "shutterS": 0.125, "iso": 100, "filterStops": 3, "compensationStops": 0,
                "focalMm": null, "whiteBalance": "", "intent": "frame", "note": "=first", "rating": 3, "reading": true,
                "source": "hand",
            }],
            "spots": [{ "id": "s1", "version": 1, "spot": {
                "name": "Heron Weir", "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "UTC",
                "bearingDeg": 265, "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15,
                "notes": "",
            } }],
        });
        change(&mut question);
        given(question).unwrap()
    }

    #[test]
    fn a_row_has_the_brightness_and_the_sun_of_its_frame() {
        let rows = told(log_table(&asked(|_| ())));
        let labels = ["apertureLabel", "shutterLabel", "isoLabel"].map(|key| rows[0][key].clone());
        assert_eq!(labels, ["f/11", "1/8 s", "ISO 100"].map(Value::from));
        assert_eq!((&rows[0]["ev100"], &rows[0]["canBeReading"]), (&json!(13.0), &json!(true)));
        let there = Place::new(44.0, -30.0, 12.0).unwrap();
        let at = crate::units::Instant::from_epoch_ms(1_930_938_127_123.0).unwrap();
        assert_eq!(rows[0]["sunAltitudeDeg"], json!(sun::position(&there, at).altitude.degrees()));
        assert_eq!(rows[0]["moonAltitudeDeg"], json!(moon::position(&there, at).altitude.degrees()));
        let elsewhere = told(log_table(&asked(|q| q["frames"][0]["spotId"] = json!("s2"))));
        assert_eq!(elsewhere[0]["sunAltitudeDeg"], json!(null));
        // A spot that is not kept goes by its name.
        let unkept = asked(|q| {
            q["frames"][0]["spotId"] = json!(null);
            q["spots"][0]["id"] = json!(null);
        });
        assert!(log_table(&unkept)[0].sun_altitude_deg.is_some());
    }

    #[test]
    fn a_bad_frame_is_told_in_its_row_and_written_all_the_same() {
        let question = asked(|q| q["frames"][0]["aperture"] = json!(0));
        let rows = told(log_table(&question));
        assert_eq!(rows[0]["problems"][0]["field"], "aperture");
        let text = write_log_csv(&question);
        assert!(text.contains("'=first"));
        let read = told(read_log_csv(&ReadLogCsvQuestion { text }).unwrap());
        assert_eq!((&read["frames"], &read["problems"][0]["line"]), (&json!([]), &json!(2.0)));
    }

    #[test]
    fn a_log_comes_back_equal_and_no_log_is_refused() {
        let question = asked(|_| ());
        let text = write_log_csv(&question);
        assert_eq!(read_log_csv(&ReadLogCsvQuestion { text }).unwrap().frames, question.frames);
        let refused = read_log_csv(&ReadLogCsvQuestion { text: "nothing".into() }).unwrap_err();
        assert_eq!(refused.field(), "text");
    }
}
