//! Sun and moon behind a skyline, as the page asks.

use wasm_bindgen::prelude::*;

use super::value::{answer, question, under};
use crate::error::{Error, Result};
use crate::sky::place::Place;
use crate::sky::refraction::Atmosphere;
use crate::sky::skyline::{Skyline, altitude_of};
use crate::sky::track::Body;
use crate::units::{Length, Span};

question! {
    /// A place on the Earth.
    pub struct PlaceGiven {
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// Metres above the sea, 0 when not given.
        #[tsify(optional)]
        pub elevation_m: Option<f64>,
    }
}

impl PlaceGiven {
    pub(super) fn place(&self) -> Result<Place> {
        Place::new(self.latitude_deg, self.longitude_deg, self.elevation_m.unwrap_or(0.0))
            .map_err(|refused| under("place", refused))
    }
}

/// The sun or the moon by its word.
pub(super) fn body(word: &str) -> Result<Body> {
    match word {
        "sun" => Ok(Body::Sun),
        "moon" => Ok(Body::Moon),
        _ => Err(Error::unknown("body", word, &["sun", "moon"])),
    }
}

/// A skyline, where there are points of one.
pub(super) fn surveyed(profile: &[[f64; 2]], observer_height_m: Option<f64>) -> Result<Option<Skyline>> {
    if profile.is_empty() { Ok(None) } else { ring(profile, observer_height_m).map(Some) }
}

/// The skyline of a profile, the sea horizon where there is none, for an eye on the ground when no height is given.
pub(super) fn ring(profile: &[[f64; 2]], observer_height_m: Option<f64>) -> Result<Skyline> {
    Skyline::new(profile, Length::from_metres(observer_height_m.unwrap_or(0.0)))
}

question! {
    /// A place, what stands around it, and a span.
    pub struct SkylineQuestion {
        /// Where from.
        pub place: PlaceGiven,
        /// Height of the eye above the ground or sea at the horizon, metres, 0 when not given: by its dip the horizon lies
        /// lower where nothing was surveyed.
        #[tsify(optional)]
        pub observer_height_m: Option<f64>,
        /// Azimuths and altitudes as sighted, degrees; straight between, and across north. A gap of more than half the horizon
        /// was not surveyed, unless there are points at both 0° and 360°; one point alone goes for all round.
        #[tsify(type = "[number, number][]")]
        pub profile: Vec<[f64; 2]>,
        /// First moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// Last moment, at most 11 000 days later.
        pub end_ms: f64,
        /// What is looked for.
        #[tsify(type = "\"sun\" | \"moon\"")]
        pub body: String,
        /// Air pressure at the place, hectopascal; the standard's when not given.
        #[tsify(optional)]
        pub pressure_hpa: Option<f64>,
        /// Air temperature at the place, degrees Celsius; the standard's when not given.
        #[tsify(optional)]
        pub temperature_c: Option<f64>,
    }
}

answer! {
    /// A time, without a sight of a body or with one.
    pub struct HiddenSpan {
        /// Its start, milliseconds since 1970 UTC.
        pub from_ms: f64,
        /// Its end, milliseconds since 1970 UTC.
        pub to_ms: f64,
    }
}

impl From<Span> for HiddenSpan {
    fn from(part: Span) -> Self {
        Self { from_ms: part.start().epoch_ms(), to_ms: part.end().epoch_ms() }
    }
}

answer! {
    /// When nothing of the body shows.
    pub struct SkylineAnswer {
        /// In order of time, cut by the ends of the span; behind the skyline or below the horizon, which is all one.
        pub hidden: Vec<HiddenSpan>,
    }
}

/// When nothing of the sun or the moon shows.
///
/// # Errors
/// Names what is out of range, for example `place.latitudeDeg` or `profile[2].altitudeDeg`, or an unknown `body`.
pub fn skyline(question: &SkylineQuestion) -> Result<SkylineAnswer> {
    let place = question.place.place()?;
    let skyline = ring(&question.profile, question.observer_height_m)?;
    let span = Span::from_epoch_ms(question.start_ms, question.end_ms)?;
    let air = Atmosphere::observed(place.elevation(), question.pressure_hpa, question.temperature_c)?;
    let hidden = skyline.hidden(&place, span, body(&question.body)?, air);
    Ok(SkylineAnswer { hidden: hidden.into_iter().map(HiddenSpan::from).collect() })
}

question! {
    /// Something of a known height at a known distance.
    pub struct SkylineAltitudeQuestion {
        /// Its top above the ground that the eye's height counts from, metres; negative for what lies lower.
        pub height_m: f64,
        /// How far away it is, metres, 0.1 to 500 000.
        pub distance_m: f64,
        /// Height of the eye, metres.
        pub observer_height_m: f64,
    }
}

answer! {
    /// Where its top is seen.
    pub struct SkylineAltitudeAnswer {
        /// Apparent altitude, degrees, with the curve of the Earth and the bending of the air.
        pub altitude_deg: f64,
    }
}

/// The altitude of a top by its height and distance.
///
/// # Errors
/// Names what is out of range.
pub fn skyline_altitude(question: &SkylineAltitudeQuestion) -> Result<SkylineAltitudeAnswer> {
    let [height, distance, eye] =
        [question.height_m, question.distance_m, question.observer_height_m].map(Length::from_metres);
    Ok(SkylineAltitudeAnswer { altitude_deg: altitude_of(height, distance, eye)?.degrees() })
}

/// When nothing of the sun or the moon shows over a skyline.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = skyline, unchecked_return_type = "SkylineAnswer")]
pub fn skyline_call(
    #[wasm_bindgen(unchecked_param_type = "SkylineQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| skyline(&q))
}

/// The altitude of a top by its height and distance.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = skylineAltitude, unchecked_return_type = "SkylineAltitudeAnswer")]
pub fn skyline_altitude_call(
    #[wasm_bindgen(unchecked_param_type = "SkylineAltitudeQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| skyline_altitude(&q))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::value::tests::{given, told};
    use super::*;

    fn asked(change: impl FnOnce(&mut Value)) -> Result<Value> {
        let mut question = json!({
            "place": { "latitudeDeg": 50, "longitudeDeg": 0 }, "observerHeightM": 2,
            "profile": [[240, 0], [250, 6], [300, 6], [310, 0]],
            // 2024 March 20
            "startMs": 1_710_892_800_000_f64, "endMs": 1_710_979_200_000_f64, "body": "sun",
        });
        change(&mut question);
        given(question).and_then(|question| skyline(&question)).map(told)
    }

    #[test]
    fn the_equinox_sun_goes_early_behind_a_ridge_in_the_west() {
        let answer = asked(|_| ()).unwrap();
        let hidden = answer["hidden"].as_array().unwrap();
        assert_eq!(hidden.len(), 2, "{answer}");
        let hours = |ms: &Value| (ms.as_f64().unwrap() - 1_710_892_800_000.0) / 3.6e6;
        // Sunrise at 6.05 h; sunset at 18.2 h, and 6° higher 37 min earlier: 15° × cos 50° an hour.
        assert!((hours(&hidden[0]["toMs"]) - 6.05).abs() < 0.05, "{answer}");
        assert!((hours(&hidden[1]["fromMs"]) - 17.6).abs() < 0.08, "{answer}");
        assert_eq!(hours(&hidden[1]["toMs"]), 24.0);
    }

    #[test]
    fn each_bad_value_is_refused_by_its_field() {
        let refused = |change: fn(&mut Value)| asked(change).unwrap_err().field().to_owned();
        assert_eq!(refused(|q| q["place"]["latitudeDeg"] = json!(91)), "place.latitudeDeg");
        assert_eq!(refused(|q| q["place"] = json!({ "latitudeDeg": 1 })), "place.longitudeDeg");
        assert_eq!(refused(|q| q["profile"][2] = json!([400, 1])), "profile[2].azimuthDeg");
        assert_eq!(refused(|q| q["profile"][2] = json!([40])), "profile[2]");
        assert_eq!(refused(|q| q["body"] = json!("mars")), "body");
        assert_eq!(refused(|q| q["observerHeightM"] = json!(-1)), "observerHeightM");
        assert_eq!(refused(|q| q["endMs"] = json!(0)), "endMs");
        assert_eq!(refused(|q| q["temperatureC"] = json!(99)), "temperatureC");
    }

    #[test]
    fn a_top_has_the_altitude_of_its_triangle() {
        let question = SkylineAltitudeQuestion { height_m: 101.5, distance_m: 100.0, observer_height_m: 1.5 };
        assert!((skyline_altitude(&question).unwrap().altitude_deg - 45.0).abs() < 0.001);
    }
}
