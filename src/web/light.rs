//! How bright the scene will be, as the page asks.

use tsify::Tsify;
use wasm_bindgen::prelude::*;

use super::value::{Fields, Given, Value, answer, question};

use super::Column;
use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::light::forecast::{Estimate, Forecast};
use crate::light::moonlight::{LightTrack, Lights};
use crate::light::reading::Reading;
use crate::light::scene::{Cloud, Conditions, Intent, Scene};
use crate::sky::place::Place;
use crate::units::{Bearing, Illuminance, Instant, Span};

/// Seconds between two points of a curve.
const STEP: Bounds = Bounds::new("stepS", 1.0, 86_400.0, " s");

/// Points that one curve may have: 24 hours in steps of five seconds, with room.
const MOST_POINTS: f64 = 20_000.0;

/// What lights the scene: one of four words, or the lamps' own brightness.
#[derive(Debug, Clone, PartialEq, Tsify)]
#[serde(untagged)]
pub enum SceneChoice {
    /// `street`, `skyline`, `floodlit` or `unlit`.
    Word(String),
    /// Lamps of a known brightness.
    Lit {
        /// EV at ISO 100 of the lamps alone, −12 to 16.
        #[serde(rename = "floorEv")]
        floor_ev: f64,
    },
}

impl Default for SceneChoice {
    fn default() -> Self {
        Self::Word(String::new())
    }
}

impl Given for SceneChoice {
    fn given(value: &Value) -> Result<Self> {
        match value {
            Value::Record(_) => {
                let mut fields = Fields::of(value);
                let lit = Self::Lit { floor_ev: fields.field("floor_ev") };
                fields.all(lit)
            }
            word => String::given(word).map(Self::Word),
        }
    }
}

impl SceneChoice {
    /// The scene that was chosen.
    ///
    /// # Errors
    /// An unknown word or a brightness out of range: names `scene` or `scene.floorEv`.
    pub fn scene(&self) -> Result<Scene> {
        match self {
            Self::Word(word) => Scene::from_word(word),
            Self::Lit { floor_ev } => {
                Scene::lit(*floor_ev).map_err(|refused| refused.in_field("scene.floorEv"))
            }
        }
    }
}

question! {
    /// A brightness read at the spot.
    pub struct ReadingGiven {
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// EV at ISO 100, −12 to 22.
        pub ev: f64,
        /// What it was read from: `sky`, `frame`, `shadows` or `highlights`.
        pub intent: String,
    }
}

/// The readings of a question, each checked.
///
/// # Errors
/// Names the first bad value by its place, for example `readings[2].ev`.
pub(crate) fn readings(given: &[ReadingGiven]) -> Result<Vec<Reading>> {
    let read = |given: &ReadingGiven| {
        Reading::new(Instant::from_epoch_ms(given.at_ms)?, given.ev, Intent::from_word(&given.intent)?)
    };
    let placed = |(i, given)| {
        read(given).map_err(|refused| {
            let field = format!("readings[{i}].{}", refused.field());
            refused.in_field(field)
        })
    };
    given.iter().enumerate().map(placed).collect()
}

/// The conditions of a question, each word checked.
///
/// # Errors
/// Names `cloud`, `scene`, `scene.floorEv` or `intent`.
pub(crate) fn conditions(cloud: &str, scene: &SceneChoice, intent: &str) -> Result<Conditions> {
    Ok(Conditions {
        cloud: Cloud::from_word(cloud)?,
        scene: scene.scene()?,
        intent: Intent::from_word(intent)?,
    })
}

question! {
    /// A spot with its conditions, and the moments to forecast.
    pub struct ForecastQuestion {
        /// Degrees north.
        pub latitude_deg: f64,
        /// Degrees east.
        pub longitude_deg: f64,
        /// Metres above the sea.
        pub elevation_m: f64,
        /// Where the lens points, degrees clockwise from true north.
        pub bearing_deg: f64,
        /// `clear`, `thin`, `average` or `dark`.
        #[tsify(type = "\"clear\" | \"thin\" | \"average\" | \"dark\"")]
        pub cloud: String,
        /// What lights the scene when the sky no longer does.
        #[tsify(type = "\"street\" | \"skyline\" | \"floodlit\" | \"unlit\" | { floorEv: number }")]
        pub scene: SceneChoice,
        /// What the exposure is to hold.
        #[tsify(type = "\"sky\" | \"frame\" | \"shadows\" | \"highlights\"")]
        pub intent: String,
        /// The first moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// No moment is later than this.
        pub end_ms: f64,
        /// Seconds from one moment to the next, 1 to 86 400.
        pub step_s: f64,
        /// What was read this evening, or this morning; at most 100.
        pub readings: Vec<ReadingGiven>,
        /// False leaves the moon out of the forecast.
        #[tsify(optional)]
        pub moonlight: Option<bool>,
    }
}

answer! {
    /// The brightness at each moment, columns of one length.
    pub struct ForecastAnswer {
        /// The moments, milliseconds since 1970 UTC.
        #[tsify(type = "Float64Array")]
        pub at_ms: Column,
        /// The likeliest EV at ISO 100.
        #[tsify(type = "Float64Array")]
        pub ev: Column,
        /// The lower end of the band that should hold four cases in five.
        #[tsify(type = "Float64Array")]
        pub low: Column,
        /// Its upper end.
        #[tsify(type = "Float64Array")]
        pub high: Column,
    }
}

/// The brightness of a scene from `startMs` in steps of `stepS` up to `endMs`, with its band of 80 %.
///
/// # Errors
/// Names the field that is out of range or unknown, `endMs` before `startMs`, or `stepS` when it makes more than
/// 20 000 points.
pub fn forecast(q: &ForecastQuestion) -> Result<ForecastAnswer> {
    let place = Place::new(q.latitude_deg, q.longitude_deg, q.elevation_m)?;
    let bearing = Bearing::given(q.bearing_deg)?;
    let conditions = conditions(&q.cloud, &q.scene, &q.intent)?;
    let span = Span::from_epoch_ms(q.start_ms, q.end_ms)?;
    let moments = moments(span, q.step_s)?;
    let light = Forecast::new(place, bearing, conditions, &readings(&q.readings)?)?;
    let track = LightTrack::over(place, span);
    let lights = |at: Instant| match q.moonlight {
        Some(false) => Lights { sun: track.sun(at), moonlight: Illuminance::from_lux(0.0) },
        _ => track.at(at),
    };
    let estimates: Vec<Estimate> = moments.iter().map(|&at| light.under(&lights(at))).collect();
    let column = |value: fn(&Estimate) -> f64| Column(estimates.iter().map(value).collect());
    Ok(ForecastAnswer {
        at_ms: Column(moments.iter().map(|at| at.epoch_ms()).collect()),
        ev: column(|estimate| estimate.ev.value()),
        low: column(|estimate| estimate.low.value()),
        high: column(|estimate| estimate.high.value()),
    })
}

/// The moments from the start of a span to its end, a step apart.
fn moments(span: Span, step_s: f64) -> Result<Vec<Instant>> {
    let points = (span.seconds() / STEP.check(step_s)?).floor() + 1.0;
    if points > MOST_POINTS {
        let message = format!(
            "{} s from startMs to endMs makes {} points; at most {} are made",
            written(step_s),
            points as u64,
            MOST_POINTS as u64
        );
        return Err(Error::conflict("stepS", message));
    }
    Ok((0..points as usize).map(|i| span.start().plus_seconds(i as f64 * step_s)).collect())
}

/// The brightness of a scene over a span, as columns.
///
/// # Errors
/// As [`forecast`], thrown with the field.
#[wasm_bindgen(js_name = forecast, unchecked_return_type = "ForecastAnswer")]
pub fn forecast_call(
    #[wasm_bindgen(unchecked_param_type = "ForecastQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ForecastQuestion| forecast(&q))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::value::tests::given;

    /// An invented headland, from 17:00 to 23:00 local solar time, as the page would send it.
    fn question(change: impl FnOnce(&mut serde_json::Value)) -> Result<ForecastQuestion> {
        let mut asked = serde_json::json!({
            "latitudeDeg": 44.0, "longitudeDeg": -30.0, "elevationM": 12, "bearingDeg": 265,
            "cloud": "clear", "scene": "skyline", "intent": "frame",
            "startMs": 1_930_935_600_000_i64, "endMs": 1_930_957_200_000_i64, "stepS": 60, "readings": [],
        });
        change(&mut asked);
        given(asked)
    }

    fn refused(change: impl FnOnce(&mut serde_json::Value)) -> (String, String) {
        let refused = forecast(&question(change).unwrap()).unwrap_err();
        (refused.field().to_owned(), refused.to_string())
    }

    #[test]
    fn an_evening_falls_from_daylight_to_the_lamps_within_its_band() {
        let light = forecast(&question(|_| ()).unwrap()).unwrap();
        let columns = [&light.at_ms, &light.ev, &light.low, &light.high];
        assert!(columns.iter().all(|column| column.0.len() == 361));
        assert_eq!(light.at_ms.0[360], 1_930_957_200_000.0);
        assert!(
            light.ev.0.windows(2).all(|pair| pair[1] <= pair[0] + 0.02),
            "joins of the cubics apart, it falls"
        );
        for i in 0..361 {
            assert!(light.low.0[i] < light.ev.0[i] && light.ev.0[i] < light.high.0[i]);
        }
        assert!(light.ev.0[0] > 10.0 && (light.ev.0[360] - 3.0).abs() < 0.05, "{:?}", light.ev.0);
    }

    #[test]
    fn a_scene_is_a_word_or_the_brightness_of_its_lamps() {
        let lit = forecast(&question(|q| q["scene"] = serde_json::json!({ "floorEv": 6 })).unwrap()).unwrap();
        assert!((lit.ev.0[360] - 6.0).abs() < 0.05);
        let neither = question(|q| q["scene"] = serde_json::json!({ "floor": 6 })).unwrap_err();
        assert_eq!((neither.field(), neither.code()), ("scene.floorEv", "missing"));
    }

    #[test]
    fn a_reading_moves_the_forecast_toward_it_and_narrows_the_band() {
        let before = forecast(&question(|_| ()).unwrap()).unwrap();
        let (at_ms, ev) = (before.at_ms.0[60], before.ev.0[60] + 2.0);
        let reading = serde_json::json!([{ "atMs": at_ms, "ev": ev, "intent": "frame" }]);
        let after = forecast(&question(|q| q["readings"] = reading).unwrap()).unwrap();
        let band = |light: &ForecastAnswer| light.high.0[70] - light.low.0[70];
        assert!((after.ev.0[60] - ev).abs() < 0.2);
        assert!(band(&after) < 0.4 * band(&before), "{} {}", band(&after), band(&before));
    }

    #[test]
    fn each_bad_value_is_named_with_its_field() {
        use serde_json::json;
        assert_eq!(refused(|q| q["latitudeDeg"] = json!(91)).0, "latitudeDeg");
        assert_eq!(refused(|q| q["bearingDeg"] = json!(-5)).0, "bearingDeg");
        assert_eq!(refused(|q| q["cloud"] = json!("grey")).0, "cloud");
        assert_eq!(refused(|q| q["scene"] = json!("harbour")).0, "scene");
        assert_eq!(refused(|q| q["scene"] = json!({ "floorEv": 99 })).0, "scene.floorEv");
        assert_eq!(refused(|q| q["intent"] = json!("both")).0, "intent");
        assert_eq!(refused(|q| q["startMs"] = json!(1e18)).0, "startMs");
        assert_eq!(refused(|q| q["endMs"] = json!(0)).0, "endMs");
        assert_eq!(refused(|q| q["stepS"] = json!(0)).0, "stepS");
        let good = json!({ "atMs": 1_930_939_200_000_i64, "ev": 12, "intent": "sky" });
        let bad = json!({ "atMs": 1_930_939_200_000_i64, "ev": 40, "intent": "sky" });
        assert_eq!(
            refused(|q| q["readings"] = json!([good, bad])),
            ("readings[1].ev".to_owned(), "readings[1].ev: 40 is outside -12 EV to 22 EV".to_owned())
        );
        assert_eq!(refused(|q| q["readings"] = json!(vec![good.clone(); 101])).0, "readings");
    }

    #[test]
    fn a_curve_of_too_many_points_is_refused_with_their_number() {
        let (field, message) = refused(|q| q["stepS"] = serde_json::json!(1));
        assert_eq!(field, "stepS");
        assert!(message.contains("21601 points") && message.contains("20000"), "{message}");
    }
}
