//! How bright the scene will be, as the page asks.

use tsify::Tsify;
use wasm_bindgen::prelude::*;

use super::value::{Fields, Given, Told, Value, answer, each, question, under};

use super::Column;
use super::shoot::SheetCurve;
use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::light::forecast::Forecast;
use crate::light::lesson::{Lesson, Prior};
use crate::light::moonlight::{LightTrack, Lights};
use crate::light::reading::Reading;
use crate::light::scene::{Cloud, Conditions, Intent, Scene};
use crate::shoot::run_sheet::Sample;
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
    each("readings", given, |given| {
        Reading::new(Instant::from_epoch_ms(given.at_ms)?, given.ev, Intent::from_word(&given.intent)?)
    })
}

question! {
    /// What a spot has taught, to be kept with it as it is. It is told with every evening; the one to keep is the evening's
    /// last, and the one to give with a question is that of evenings before.
    pub struct LessonKept {
        /// Six means: offsets for sky, frame, shadows and highlights in stops, shape, floor in EV at ISO 100.
        pub mean: Vec<f64>,
        /// The lower triangle of their covariance by rows, 21 numbers.
        pub covariance: Vec<f64>,
        /// When the last reading was taken, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// How many evenings taught it.
        pub evenings: f64,
        /// The usual floor of its scene, EV at ISO 100; lamps of another scene are learnt anew.
        pub usual_floor_ev: f64,
    }
}

impl LessonKept {
    fn lesson(&self) -> Result<Lesson> {
        let learnt = Instant::from_epoch_ms(self.at_ms)?;
        Lesson::kept(&self.mean, &self.covariance, learnt, self.evenings, self.usual_floor_ev)
    }
}

impl From<Lesson> for LessonKept {
    fn from(lesson: Lesson) -> Self {
        Self {
            mean: lesson.mean().to_vec(),
            covariance: lesson.triangle(),
            at_ms: lesson.learnt().epoch_ms(),
            evenings: lesson.evenings(),
            usual_floor_ev: lesson.usual_floor(),
        }
    }
}

impl Told for LessonKept {
    fn told(self) -> Value {
        let mut record = Value::Record(Vec::new());
        record.tell("mean", self.mean.told());
        record.tell("covariance", self.covariance.told());
        record.tell("at_ms", self.at_ms.told());
        record.tell("evenings", self.evenings.told());
        record.tell("usual_floor_ev", self.usual_floor_ev.told());
        record
    }
}

/// The lesson of a question, checked.
///
/// # Errors
/// Names its part, for example `lesson.covariance`.
pub(crate) fn lesson(given: Option<&LessonKept>) -> Result<Option<Lesson>> {
    given.map(LessonKept::lesson).transpose().map_err(|refused| under("lesson", refused))
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
    /// A spot with its conditions, through a span of time.
    pub struct LightQuestion {
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
        /// What was read this evening, or this morning; at most 100.
        pub readings: Vec<ReadingGiven>,
        /// What the spot has taught on evenings before.
        #[tsify(optional)]
        pub lesson: Option<LessonKept>,
    }
}

impl LightQuestion {
    /// The place, the span and the light that are asked about.
    ///
    /// # Errors
    /// Names the field that is out of range or unknown.
    pub(crate) fn light(&self) -> Result<(Place, Span, Forecast)> {
        let place = Place::new(self.latitude_deg, self.longitude_deg, self.elevation_m)?;
        let bearing = Bearing::given(self.bearing_deg)?;
        let conditions = conditions(&self.cloud, &self.scene, &self.intent)?;
        let span = Span::from_epoch_ms(self.start_ms, self.end_ms)?;
        let prior = Prior::new(conditions.scene, lesson(self.lesson.as_ref())?, span.start());
        let light = Forecast::at_spot(place, bearing, conditions, &readings(&self.readings)?, prior)?;
        Ok((place, span, light))
    }
}

question! {
    /// A spot with its conditions, and the moments to forecast.
    pub struct ForecastQuestion {
        ..pub light: LightQuestion,
        /// Seconds from one moment to the next, 1 to 86 400.
        pub step_s: f64,
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
        /// What the spot has taught by now; null before anything was read there.
        pub lesson: Option<LessonKept>,
    }
}

/// The brightness of a scene from `startMs` in steps of `stepS` up to `endMs`, with its band of 80 %.
///
/// # Errors
/// Names the field that is out of range or unknown, `endMs` before `startMs`, or `stepS` when it makes more than
/// 20 000 points.
pub fn forecast(q: &ForecastQuestion) -> Result<ForecastAnswer> {
    let (place, span, light) = q.light.light()?;
    let SheetCurve { at_ms, ev, low, high, .. } =
        curve(&light, &place, span, q.step_s, q.moonlight != Some(false))?;
    Ok(ForecastAnswer { at_ms, ev, low, high, lesson: light.lesson().map(LessonKept::from) })
}

/// The light at each moment of a span, a step apart.
///
/// # Errors
/// A step out of range, or one that makes too many points: names `stepS`.
#[inline(never)]
pub(crate) fn curve(
    light: &Forecast,
    place: &Place,
    span: Span,
    step_s: f64,
    moonlit: bool,
) -> Result<SheetCurve> {
    let track = LightTrack::over(*place, span);
    let sample = |at| {
        let mut lights = track.at(at);
        if !moonlit {
            lights = Lights { moonlight: Illuminance::from_lux(0.0), ..lights };
        }
        Sample { at, light: light.under(&lights), sun_altitude: lights.sun.altitude }
    };
    let samples: Vec<Sample> = moments(span, step_s)?.into_iter().map(sample).collect();
    Ok(SheetCurve::from(samples.as_slice()))
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
    fn a_lesson_goes_out_and_comes_back_as_it_is() {
        let reading = serde_json::json!([{ "atMs": 1_930_957_000_000_i64, "ev": 4.5, "intent": "frame" }]);
        let taught = forecast(&question(|q| q["readings"] = reading).unwrap()).unwrap();
        let kept = crate::web::value::tests::told(taught.lesson.clone());
        let next = forecast(&question(|q| q["lesson"] = kept.clone()).unwrap()).unwrap();
        assert_eq!(next.lesson, taught.lesson, "nothing was read since");
        let before = forecast(&question(|_| ()).unwrap()).unwrap();
        assert_eq!(before.lesson, None);
        let band = |light: &ForecastAnswer| light.high.0[360] - light.low.0[360];
        assert!(next.ev.0[360] > 4.0 && band(&next) < 0.7 * band(&before), "{}", next.ev.0[360]);
        let mut broken = kept;
        broken["covariance"][0] = serde_json::json!(-1);
        assert_eq!(refused(|q| q["lesson"] = broken).0, "lesson.covariance");
        let misshapen = question(|q| q["lesson"] = serde_json::json!({ "mean": ["a"] })).unwrap_err();
        assert_eq!(misshapen.field(), "lesson.mean[0]");
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
