//! An evening as a whole, the window for a picture in it, and a time-lapse through it, as the page asks.

use wasm_bindgen::prelude::*;

use super::exposure::{DialMark, SettingAnswer};
use super::light::{ForecastQuestion, LessonKept, LightQuestion, curve};
use super::shoot::{Said, SheetBalance, SheetCurve, SheetEv};
use super::value::{answer, question};
use crate::error::{Bounds, Error, Result};
use crate::exposure::series::Shutter;
use crate::light::forecast::Forecast;
use crate::shoot::ramp::{Change, Ramp};
use crate::shoot::shot::{FILTER, SHUTTER_WANTED, Shot, ShotForm, in_order};
use crate::shoot::window::{Relax, Window, Windows, windows};
use crate::sky::place::Place;
use crate::units::{Span, Stops};

/// How long an evening may be.
const EVENING_DAYS: Bounds = Bounds::new("endMs", 0.0, 3.0, " days after startMs");

/// Filters that a bag may hold.
const BAG: Bounds = Bounds::new("filtersStops", 0.0, 20.0, "");

/// Least time that the picture bears.
const SHUTTER_MIN: Bounds = Bounds { field: "shutterMinS", ..SHUTTER_WANTED };

/// Greatest time that the picture bears.
const SHUTTER_MAX: Bounds = Bounds { field: "shutterMaxS", ..SHUTTER_WANTED };

/// The light of a question about an evening.
fn evening_light(q: &LightQuestion) -> Result<(Place, Span, Forecast)> {
    let (place, span, light) = q.light()?;
    EVENING_DAYS.check(span.seconds() / 86_400.0)?;
    Ok((place, span, light))
}

/// The balance that a span has, the first of several.
fn balance(light: &Forecast, span: Span) -> Option<SheetBalance> {
    light.balances(span).into_iter().next().map(SheetBalance::from)
}

answer! {
    /// All that is known of the light of one evening.
    pub struct EveningAnswer {
        /// The light at each moment.
        pub curve: SheetCurve,
        /// What the readings say.
        pub said: Said,
        /// The lamps alone.
        pub floor_ev: SheetEv,
        /// When sky and lamps are equal; null when they never are.
        pub balance: Option<SheetBalance>,
        /// What the spot has taught by now; null before anything was read there.
        pub lesson: Option<LessonKept>,
    }
}

/// The light of an evening, or a morning, with what the readings say of it and what the spot has taught.
///
/// # Errors
/// As [`super::light::forecast`]; a span of more than three days names `endMs`.
pub fn evening(q: &ForecastQuestion) -> Result<EveningAnswer> {
    let (place, span, light) = evening_light(&q.light)?;
    Ok(EveningAnswer {
        curve: curve(&light, &place, span, q.step_s, true)?,
        said: Said::of(&light),
        floor_ev: light.floor().into(),
        balance: balance(&light, span),
        lesson: light.lesson().map(LessonKept::from),
    })
}

question! {
    /// An evening's light and the picture wanted in it.
    pub struct WindowQuestion {
        ..pub light: LightQuestion,
        /// F-number of the widest opening, the smaller number.
        pub aperture_min: f64,
        /// F-number of the smallest opening, the larger number.
        pub aperture_max: f64,
        /// Lowest ISO speed.
        pub iso_min: f64,
        /// Highest ISO speed.
        pub iso_max: f64,
        /// The least time that the picture bears, seconds.
        pub shutter_min_s: f64,
        /// The greatest.
        pub shutter_max_s: f64,
        /// What each filter in the bag takes, stops; at most 20. Without one is always reckoned.
        pub filters_stops: Vec<f64>,
    }
}

answer! {
    /// A time in which the light fits the picture. Moments are milliseconds since 1970 UTC.
    pub struct WindowFound {
        /// What the filter takes, stops; 0 for none.
        pub filter_stops: f64,
        /// From here …
        pub start_ms: f64,
        /// … to here, by the likeliest light.
        pub end_ms: f64,
        /// With a chance of 80 % it begins not before …
        pub earliest_ms: f64,
        /// … and ends not after.
        pub latest_ms: f64,
        /// The exact f-number in the middle of it.
        pub aperture: f64,
        /// The speed as engraved.
        pub iso: f64,
        /// The exact time, seconds.
        pub shutter_s: f64,
        /// What to dial at its start, in its middle and at its end.
        pub settings: Vec<SettingAnswer>,
    }
}

impl From<Window> for WindowFound {
    fn from(Window { filter, span, likely, settings }: Window) -> Self {
        let middle = settings[1].settings;
        Self {
            filter_stops: filter.count(),
            start_ms: span.start().epoch_ms(),
            end_ms: span.end().epoch_ms(),
            earliest_ms: likely.start().epoch_ms(),
            latest_ms: likely.end().epoch_ms(),
            aperture: middle.aperture.exact(),
            iso: middle.iso.nominal(),
            shutter_s: middle.shutter.exact(),
            settings: settings.into_iter().map(SettingAnswer::from).collect(),
        }
    }
}

answer! {
    /// The least change with which the light fits at one moment: any one of the dials, or another filter.
    pub struct RelaxAnswer {
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// The filter that it is reckoned with, stops; 0 for none.
        pub filter_stops: f64,
        /// How much is missing, stops, in whole thirds.
        pub stops: f64,
        /// Whether there is too much light; else too little.
        pub bright: bool,
        /// The aperture to allow; null where the dial does not go so far.
        pub aperture: Option<DialMark>,
        /// The time to allow.
        pub shutter: Option<DialMark>,
        /// The speed to allow.
        pub iso: Option<DialMark>,
        /// A filter of so many stops instead; null where even none is too dark.
        pub instead_stops: Option<f64>,
    }
}

impl From<Relax> for RelaxAnswer {
    fn from(relax: Relax) -> Self {
        Self {
            at_ms: relax.at.epoch_ms(),
            filter_stops: relax.filter.count(),
            stops: relax.by.count(),
            bright: relax.bright,
            aperture: relax.aperture.map(DialMark::from),
            shutter: relax.shutter.map(DialMark::from),
            iso: relax.iso.map(DialMark::from),
            instead_stops: relax.instead.map(Stops::count),
        }
    }
}

answer! {
    /// When the light fits a picture.
    pub struct WindowAnswer {
        /// In order of time; those of different filters may overlap.
        pub windows: Vec<WindowFound>,
        /// What to relax; null when there is a window.
        pub relax: Option<RelaxAnswer>,
        /// When sky and lamps are equal; null when they never are.
        pub balance: Option<SheetBalance>,
    }
}

/// The minutes in which the light fits a picture, bare and through each filter of the bag.
///
/// # Errors
/// A number out of range names its field, a range upside down its upper end, a filter its place (`filtersStops[1]`).
pub fn exposure_window(q: &WindowQuestion) -> Result<WindowAnswer> {
    let (place, span, light) = evening_light(&q.light)?;
    let form = ShotForm {
        aperture_min: Some(q.aperture_min),
        aperture_max: Some(q.aperture_max),
        iso_min: Some(q.iso_min),
        iso_max: Some(q.iso_max),
        shutter_wanted_s: Some(SHUTTER_MAX.check(q.shutter_max_s)?),
        filter_stops: Some(0.0),
    };
    let mut shot: Shot = form.check()?;
    shot.limits.shortest = Shutter::marked(SHUTTER_MIN.check(q.shutter_min_s)?)?;
    in_order(SHUTTER_MIN, Some(q.shutter_min_s), SHUTTER_MAX, Some(q.shutter_max_s))?;
    BAG.check(q.filters_stops.len() as f64)?;
    let filter = |(i, &stops): (usize, &f64)| {
        FILTER.check(stops).map(Stops::new).map_err(|refused| refused.in_field(format!("filtersStops[{i}]")))
    };
    let bag: Vec<Stops> = q.filters_stops.iter().enumerate().map(filter).collect::<Result<_>>()?;
    let Windows { windows, relax } = windows(&light, &place, span, &shot, &bag);
    Ok(WindowAnswer {
        windows: windows.into_iter().map(WindowFound::from).collect(),
        relax: relax.map(RelaxAnswer::from),
        balance: balance(&light, span),
    })
}

question! {
    /// An evening's light and a time-lapse through it.
    pub struct RampQuestion {
        ..pub light: LightQuestion,
        /// From frame to frame, seconds, 2 to 3600.
        pub interval_s: f64,
        /// The f-number, which stays.
        pub aperture: f64,
        /// Lowest ISO speed.
        pub iso_min: f64,
        /// Highest ISO speed.
        pub iso_max: f64,
        /// The longest time wanted, seconds; what the interval leaves when missing.
        pub shutter_max_s: Option<f64>,
        /// What the filters on the lens take, stops; none when missing.
        pub filter_stops: Option<f64>,
    }
}

answer! {
    /// Settings from a frame on.
    pub struct RampChange {
        /// When that frame is taken, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// The first frame that has them, counted from 0.
        pub frame: u32,
        /// The EV at ISO 100 that they stand for.
        pub ev: f64,
        /// What to dial.
        pub setting: SettingAnswer,
    }
}

impl From<Change> for RampChange {
    fn from(Change { at, frame, ev, setting }: Change) -> Self {
        Self { at_ms: at.epoch_ms(), frame, ev: ev.value(), setting: setting.into() }
    }
}

answer! {
    /// A time-lapse's settings.
    pub struct RampAnswer {
        /// How many frames it has.
        pub frames: u32,
        /// The settings to start with and every change, in order of time.
        pub changes: Vec<RampChange>,
    }
}

/// The settings of a time-lapse from `startMs` to `endMs`, third by third.
///
/// # Errors
/// A number out of range names its field, a highest speed below the lowest `isoMax`, more than 20 000 frames `endMs`.
pub fn interval_ramp(q: &RampQuestion) -> Result<RampAnswer> {
    let (place, span, light) = evening_light(&q.light)?;
    let form = ShotForm {
        aperture_min: Some(q.aperture),
        aperture_max: Some(q.aperture),
        iso_min: Some(q.iso_min),
        iso_max: Some(q.iso_max),
        shutter_wanted_s: q.shutter_max_s,
        filter_stops: Some(q.filter_stops.unwrap_or(0.0)),
    };
    let as_asked = |refused: Error| match refused.field() {
        "apertureMin" => refused.in_field("aperture"),
        "shutterWantedS" => refused.in_field("shutterMaxS"),
        _ => refused,
    };
    let Shot { limits, shutter_wanted, filter } =
        form.check().map_err(|problems| as_asked(problems.into()))?;
    let isos = (limits.slowest, limits.fastest);
    let ramp = Ramp::new(q.interval_s, limits.widest, isos, shutter_wanted, filter)?;
    let frames = ramp.frames(span)?;
    let changes = ramp.changes(&light, &place, span.start(), frames);
    Ok(RampAnswer { frames, changes: changes.into_iter().map(RampChange::from).collect() })
}

/// The light of an evening, or a morning, with what is known of it.
///
/// # Errors
/// As [`evening`], thrown with the field.
#[wasm_bindgen(js_name = evening, unchecked_return_type = "EveningAnswer")]
pub fn evening_call(
    #[wasm_bindgen(unchecked_param_type = "ForecastQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ForecastQuestion| evening(&q))
}

/// The minutes in which the light fits a picture.
///
/// # Errors
/// As [`exposure_window`], thrown with the field.
#[wasm_bindgen(js_name = exposureWindow, unchecked_return_type = "WindowAnswer")]
pub fn exposure_window_call(
    #[wasm_bindgen(unchecked_param_type = "WindowQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: WindowQuestion| exposure_window(&q))
}

/// The settings of a time-lapse, third by third.
///
/// # Errors
/// As [`interval_ramp`], thrown with the field.
#[wasm_bindgen(js_name = intervalRamp, unchecked_return_type = "RampAnswer")]
pub fn interval_ramp_call(
    #[wasm_bindgen(unchecked_param_type = "RampQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: RampQuestion| interval_ramp(&q))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::value::tests::{given, told};
    use serde_json::{Value, json};

    /// An invented headland, from 17:00 to 23:00 local solar time, with a picture and a time-lapse, as the page would send it.
    fn asked(change: impl FnOnce(&mut Value)) -> Value {
        let mut asked = json!({
            "latitudeDeg": 44.0, "longitudeDeg": -30.0, "elevationM": 12, "bearingDeg": 265,
            "cloud": "clear", "scene": "skyline", "intent": "frame",
            "startMs": 1_930_935_600_000_i64, "endMs": 1_930_957_200_000_i64, "stepS": 60, "readings": [],
            "apertureMin": 4, "apertureMax": 11, "isoMin": 100, "isoMax": 400, "shutterMinS": 4, "shutterMaxS": 15,
            "filtersStops": [3, 6], "intervalS": 10, "aperture": 5.6,
        });
        change(&mut asked);
        asked
    }

    #[test]
    fn an_evening_tells_the_curve_the_findings_the_balance_and_the_lesson() {
        let reading = json!([{ "atMs": 1_930_938_000_000_i64, "ev": 11, "intent": "frame" }]);
        let found = told(evening(&given(asked(|q| q["readings"] = reading.clone())).unwrap()).unwrap());
        for key in ["atMs", "ev", "low", "high", "sunAltitudeDeg"] {
            assert_eq!(found["curve"][key].as_array().unwrap().len(), 361, "{key}");
        }
        assert!(found["said"]["brighterBandStops"].as_f64().unwrap() < 1.0, "{}", found["said"]);
        assert_eq!((&found["said"]["floorKnown"], &found["said"]["evenings"]), (&json!(false), &json!(0.0)));
        assert!(found["balance"]["atMs"].is_number() && found["floorEv"]["low"].is_number());
        assert_eq!(found["lesson"]["covariance"].as_array().unwrap().len(), 21);
        let unread = told(evening(&given(asked(|q| q["scene"] = json!("unlit"))).unwrap()).unwrap());
        assert_eq!((&unread["lesson"], &unread["balance"]), (&Value::Null, &Value::Null));
        let forecast =
            crate::web::light::forecast(&given(asked(|q| q["readings"] = reading)).unwrap()).unwrap();
        assert_eq!(told(forecast.ev), found["curve"]["ev"], "one light");
    }

    #[test]
    fn windows_come_in_plain_names_with_what_to_dial() {
        let found = told(exposure_window(&given(asked(|_| ())).unwrap()).unwrap());
        let windows = found["windows"].as_array().unwrap();
        let filters: Vec<f64> = windows.iter().filter_map(|window| window["filterStops"].as_f64()).collect();
        assert_eq!(filters, [6.0, 3.0, 0.0], "as it gets dark");
        for window in windows {
            let ms = |key: &str| window[key].as_f64().unwrap();
            assert!(
                ms("earliestMs") <= ms("startMs")
                    && ms("startMs") < ms("endMs")
                    && ms("endMs") <= ms("latestMs")
            );
            let middle = &window["settings"][1];
            assert_eq!(
                (&middle["aperture"], &middle["shutterS"]),
                (&window["aperture"], &window["shutterS"])
            );
            assert_eq!((&middle["iso"], &middle["limited"]), (&window["iso"], &json!(false)));
        }
        assert_eq!(found["relax"], Value::Null);
        assert!(found["balance"]["earliestMs"].is_number());
        let never = |q: &mut Value| {
            q["shutterMinS"] = json!(0.001);
            q["shutterMaxS"] = json!(0.001);
            q["startMs"] = json!(1_930_950_000_000_i64);
        };
        let relax = told(exposure_window(&given(asked(never)).unwrap()).unwrap())["relax"].clone();
        assert_eq!((&relax["bright"], &relax["aperture"]["label"]), (&json!(false), &Value::Null), "{relax}");
        assert!(relax["shutter"]["label"].is_string() && relax["stops"].as_f64().unwrap() > 4.0, "{relax}");
    }

    #[test]
    fn a_ramp_starts_with_the_first_frame() {
        let found = told(interval_ramp(&given(asked(|_| ())).unwrap()).unwrap());
        assert_eq!(found["frames"], json!(2161.0));
        let changes = found["changes"].as_array().unwrap();
        assert_eq!((&changes[0]["frame"], &changes[0]["atMs"]), (&json!(0.0), &json!(1_930_935_600_000_f64)));
        assert!(changes.len() > 15 && changes[3]["setting"]["shutterLabel"].is_string());
    }

    #[test]
    fn each_bad_value_is_named_with_its_field() {
        let refused = |field: &str, value: Value| {
            let question = || asked(|q| q[field] = value.clone());
            let window = given(question()).and_then(|q| exposure_window(&q)).err();
            let ramp = given(question()).and_then(|q| interval_ramp(&q)).err();
            [window, ramp]
                .map(|refused| refused.map(|refused| refused.field().to_owned()).unwrap_or_default())
        };
        let both = |field: &str| [field.to_owned(), field.to_owned()];
        assert_eq!(refused("latitudeDeg", json!(91)), both("latitudeDeg"));
        assert_eq!(refused("bearingDeg", json!(null)), both("bearingDeg"));
        assert_eq!(refused("endMs", json!(1_931_957_200_000_i64)), both("endMs"));
        assert_eq!(refused("isoMax", json!(50)), both("isoMax"));
        assert_eq!(refused("apertureMin", json!(0))[0], "apertureMin");
        assert_eq!(refused("shutterMinS", json!(16))[0], "shutterMaxS");
        assert_eq!(refused("shutterMinS", json!(0))[0], "shutterMinS");
        assert_eq!(refused("shutterMaxS", json!(-1)), both("shutterMaxS"));
        assert_eq!(refused("filtersStops", json!([3, 31]))[0], "filtersStops[1]");
        assert_eq!(refused("filtersStops", json!(vec![1; 21]))[0], "filtersStops");
        assert_eq!(refused("intervalS", json!(1))[1], "intervalS");
        assert_eq!(refused("aperture", json!(0))[1], "aperture");
        assert_eq!(refused("filterStops", json!(31))[1], "filterStops");
        assert_eq!(refused("lesson", json!({ "mean": [] })), both("lesson.atMs"));
    }
}
