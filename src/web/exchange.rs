//! Spots and run sheets for other programs, as the page asks.

use wasm_bindgen::prelude::*;

use super::value::question;

use crate::error::{Error, Result};
use crate::shoot::calendar::{self, Moment};
use crate::shoot::exchange::{self, Form, SharedSpot};
use crate::shoot::{shot, spot};
use crate::sky::place::Place;
use crate::units::Instant;

question! {
    /// A spot for other programs.
    pub struct SharedSpotGiven {
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
        pub spots: Vec<SharedSpotGiven>,
    }
}

/// The text of a file of spots.
///
/// # Errors
/// Another form: names `form`.
pub fn write_spots(q: WriteSpotsQuestion) -> Result<String> {
    let form = Form::from_word(&q.form)?;
    let shared = |SharedSpotGiven { id, spot, shot, unknown }| SharedSpot { id, spot, shot, unknown };
    let spots: Vec<SharedSpot> = q.spots.into_iter().map(shared).collect();
    Ok(exchange::write(&spots, form))
}

question! {
    /// A moment of a calendar.
    pub struct CalendarEvent {
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
        pub events: Vec<CalendarEvent>,
    }
}

/// The text of a calendar file with alarms.
///
/// # Errors
/// A moment beyond the years of the sky, a position off the globe, too many moments, or an alarm that no phone could
/// ring: names the field.
pub fn write_calendar(q: CalendarQuestion) -> Result<String> {
    let at = |field: &'static str, ms| {
        Instant::from_epoch_ms(ms).map_err(|refused: Error| refused.in_field(field))
    };
    Place::new(q.latitude_deg, q.longitude_deg, 0.0)?;
    let moment = |event: CalendarEvent| {
        Ok(Moment {
            start: at("startMs", event.start_ms)?,
            end: event.end_ms.map(|ms| at("endMs", ms)).transpose()?,
            uid: event.uid,
            summary: event.summary,
            notes: event.notes,
            alarms_min: event.alarms_min,
        })
    };
    let moments: Vec<Moment> = q.events.into_iter().map(moment).collect::<Result<_>>()?;
    calendar::write(
        &moments,
        &q.place,
        Some((q.latitude_deg, q.longitude_deg)),
        at("madeAtMs", q.made_at_ms)?,
    )
}

/// The text of a file of spots.
///
/// # Errors
/// As [`write_spots`], thrown with the field.
#[wasm_bindgen(js_name = writeSpots, unchecked_return_type = "string")]
pub fn write_spots_call(
    #[wasm_bindgen(unchecked_param_type = "WriteSpotsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, write_spots)
}

/// The text of a calendar file with alarms.
///
/// # Errors
/// As [`write_calendar`], thrown with the field.
#[wasm_bindgen(js_name = writeCalendar, unchecked_return_type = "string")]
pub fn write_calendar_call(
    #[wasm_bindgen(unchecked_param_type = "CalendarQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, write_calendar)
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
        let write = |form: &str| write_spots(given(json!({ "form": form, "spots": [weir] })).unwrap());
        assert!(write("geojson").unwrap().contains("\"id\":\"weir\""));
        assert!(write("gpx").unwrap().contains("<d:id>weir</d:id>"));
        assert_eq!(write("links").unwrap(), "geo:51.25,-4.5\n");
        assert_eq!(write("").unwrap_err().field(), "form");
    }

    #[test]
    fn a_moment_that_cannot_be_is_named() {
        let event = json!({ "uid": "a", "startMs": 1_930_849_200_000_i64, "summary": "Sunset", "notes": "", "alarmsMin": [0] });
        let asked = |change: fn(&mut serde_json::Value)| {
            let mut question = json!({
                "madeAtMs": 1_930_849_200_000_i64, "place": "Heron Weir", "latitudeDeg": 51.25, "longitudeDeg": -4.5,
                "events": [event],
            });
            change(&mut question);
            write_calendar(given(question)?)
        };
        assert!(asked(|_| ()).unwrap().contains("GEO:51.25;-4.5\r\n"));
        let field = |change| asked(change).unwrap_err().field().to_owned();
        assert_eq!(field(|q| q["events"][0]["startMs"] = json!(1e18)), "startMs");
        assert_eq!(field(|q| q["madeAtMs"] = json!(-1e18)), "madeAtMs");
        assert_eq!(field(|q| q["latitudeDeg"] = json!(91)), "latitudeDeg");
        assert_eq!(field(|q| q["events"][0]["alarmsMin"] = json!([-1])), "alarmsMin");
        assert_eq!(field(|q| q["events"] = json!([{}])), "events[0].uid");
    }
}
