//! Spots and run sheets for other programs, as the page asks.

use wasm_bindgen::prelude::*;

use super::value::{mirror, question};

use crate::error::Result;
use crate::shoot::exchange::Form;
use crate::shoot::{calendar, exchange, shot, spot};
use crate::sky::place::Place;

mirror! {
    exchange::SharedSpot =>
    /// A spot for other programs.
    pub struct SharedSpot {
        /// Its record's word.
        pub id: String,
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// Keys of its link that are not known.
        pub unknown: Vec<(String, String)>,
    }
}

question! {
    /// Spots, and what to write them as.
    pub struct WriteSpotsQuestion {
        /// `geojson`, `gpx`, or `links` for a `geo:` link a line.
        #[tsify(type = "\"geojson\" | \"gpx\" | \"links\"")]
        pub form: String,
        /// The spots; one without a position on the globe is left out.
        #[tsify(type = "SharedSpot[]")]
        pub spots: Vec<exchange::SharedSpot>,
    }
}

/// The text of a file of spots.
///
/// # Errors
/// Another form: names `form`.
pub fn write_spots(q: &WriteSpotsQuestion) -> Result<String> {
    Ok(exchange::write(&q.spots, Form::from_word(&q.form)?))
}

mirror! {
    calendar::Moment =>
    /// A moment of a calendar.
    pub struct CalendarMoment {
        /// What it is known by, the same each time.
        pub uid: String,
        /// When, or when it begins, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// When it ends, for what lasts.
        pub end_ms: Option<f64>,
        /// What happens.
        pub summary: String,
        /// More about it.
        pub notes: String,
        /// Whole minutes before its start at which the phone is to ring, 0 to 1440.
        pub alarms_min: Vec<f64>,
    }
}

question! {
    /// Moments at a spot.
    pub struct CalendarQuestion {
        /// When the file is made, milliseconds since 1970 UTC.
        pub made_at_ms: f64,
        /// The spot's name.
        pub place: String,
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// The moments, at most 200.
        #[tsify(type = "CalendarMoment[]")]
        pub moments: Vec<calendar::Moment>,
    }
}

/// The text of a calendar file with alarms.
///
/// # Errors
/// A moment beyond the years of the sky, a position off the globe, too many moments, or an alarm that no phone could
/// ring: names the field.
pub fn write_calendar(q: &CalendarQuestion) -> Result<String> {
    let position = Place::new(q.latitude_deg, q.longitude_deg, 0.0)?;
    calendar::write(&q.moments, &q.place, &position, q.made_at_ms)
}

/// The text of a file of spots.
///
/// # Errors
/// As [`write_spots`], thrown with the field.
#[wasm_bindgen(js_name = writeSpots, unchecked_return_type = "string")]
pub fn write_spots_call(
    #[wasm_bindgen(unchecked_param_type = "WriteSpotsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: WriteSpotsQuestion| write_spots(&q))
}

/// The text of a calendar file with alarms.
///
/// # Errors
/// As [`write_calendar`], thrown with the field.
#[wasm_bindgen(js_name = writeCalendar, unchecked_return_type = "string")]
pub fn write_calendar_call(
    #[wasm_bindgen(unchecked_param_type = "CalendarQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: CalendarQuestion| write_calendar(&q))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::value::tests::given;
    use serde_json::json;

    #[test]
    fn a_spot_goes_out_in_each_form() {
        let weir: serde_json::Value =
            serde_json::from_str(include_str!("../../tests/data/records/spot-2.json")).unwrap();
        let write = |form: &str| write_spots(&given(json!({ "form": form, "spots": [weir] })).unwrap());
        assert!(write("geojson").unwrap().contains("\"id\":\"weir\""));
        assert!(write("gpx").unwrap().contains("<d:id>weir</d:id>"));
        assert_eq!(write("links").unwrap(), "geo:51.25,-4.5\n");
        assert_eq!(write("").unwrap_err().field(), "form");
    }

    #[test]
    fn a_moment_that_cannot_be_is_named() {
        let moment = json!({ "uid": "a", "startMs": 1_930_849_200_000_i64, "summary": "Sunset", "notes": "", "alarmsMin": [0] });
        let asked = |change: fn(&mut serde_json::Value)| {
            let mut question = json!({
                "madeAtMs": 1_930_849_200_000_i64, "place": "Heron Weir", "latitudeDeg": 51.25, "longitudeDeg": -4.5,
                "moments": [moment],
            });
            change(&mut question);
            write_calendar(&given(question)?)
        };
        assert!(asked(|_| ()).unwrap().contains("GEO:51.25;-4.5\r\n"));
        let field = |change| asked(change).unwrap_err().field().to_owned();
        assert_eq!(field(|q| q["moments"][0]["startMs"] = json!(1e18)), "startMs");
        assert_eq!(field(|q| q["madeAtMs"] = json!(-1e18)), "madeAtMs");
        assert_eq!(field(|q| q["latitudeDeg"] = json!(91)), "latitudeDeg");
        assert_eq!(field(|q| q["moments"][0]["alarmsMin"] = json!([-1])), "alarmsMin");
        assert_eq!(field(|q| q["moments"] = json!([{}])), "moments[0].uid");
    }
}
