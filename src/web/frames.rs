//! Several frames: brackets, sequences, and the frames that fill a time.

use wasm_bindgen::prelude::*;

use super::value::{answer, question};

use super::exposure::{SettingAnswer, limits};
use crate::error::{Bounds, Error, Result};
use crate::exposure::bracket::Bracket;
use crate::exposure::ev;
use crate::exposure::sequence::{Cadence, Run};
use crate::exposure::series::{Aperture, Iso};
use crate::units::{Ev, Instant, Stops};

question! {
    /// A scene's range, said in stops or by two readings, and the sensor's.
    pub struct BracketsQuestion {
        /// From the deepest shadow to the brightest highlight, stops; may be left out when both readings are given.
        pub scene_stops: Option<f64>,
        /// What one frame of the sensor holds, stops.
        pub sensor_stops: f64,
        /// From one frame to the next, stops.
        pub step_stops: f64,
        /// The brightest highlight's exposure value at ISO 100.
        pub highlight_ev: Option<f64>,
        /// The deepest shadow's exposure value at ISO 100.
        pub shadow_ev: Option<f64>,
        /// The aperture of every frame; with the readings and `iso`, settings are given.
        pub aperture: Option<f64>,
        /// The ISO speed of every frame.
        pub iso: Option<f64>,
        /// The longest time that the camera keeps by itself, seconds; 30 when missing.
        pub longest_shutter_s: Option<f64>,
    }
}

answer! {
    /// The frames of a bracket.
    pub struct BracketsAnswer {
        /// How many.
        pub frames: u32,
        /// From the deepest shadow to the brightest highlight, stops.
        pub scene_stops: f64,
        /// How much lighter than the middle each is, stops, darkest first.
        pub offsets_stops: Vec<f64>,
        /// What the frames hold together, stops.
        pub span_stops: f64,
        /// What to dial for each, darkest first; null unless readings, aperture and ISO are given.
        pub settings: Option<Vec<SettingAnswer>>,
        /// What may clip all the same: `lamps`.
        pub may_clip: [&'static str; 1],
    }
}

/// How many frames span a scene, and how to set them.
///
/// # Errors
/// A number out of range names its field; no range and not both readings name `sceneStops`.
pub fn brackets(q: &BracketsQuestion) -> Result<BracketsAnswer> {
    let reading = |field, value: Option<f64>| {
        value.map(|value| ev::given(value).map_err(|refused: Error| refused.in_field(field))).transpose()
    };
    let readings: Option<(Ev, Ev)> =
        reading("highlightEv", q.highlight_ev)?.zip(reading("shadowEv", q.shadow_ev)?);
    let scene = match (q.scene_stops, readings) {
        (Some(stops), _) => stops,
        (None, Some((highlight, shadow))) => (highlight - shadow).count(),
        (None, None) => {
            return Err(Error::missing("sceneStops", "stops, or a highlight and a shadow reading"));
        }
    };
    let bracket = Bracket::spanning(scene, q.sensor_stops, q.step_stops)?;
    let aperture = q.aperture.map(Aperture::marked).transpose()?;
    let iso = q.iso.map(Iso::marked).transpose()?;
    let limits = limits(q.longest_shutter_s)?;
    let settings = readings.zip(aperture.zip(iso)).map(|((highlight, shadow), dials)| {
        let middle = shadow + (highlight - shadow) * 0.5;
        bracket.settings(middle, dials, &limits).into_iter().map(SettingAnswer::from).collect()
    });
    Ok(BracketsAnswer {
        frames: bracket.frames(),
        scene_stops: scene,
        offsets_stops: bracket.offsets().map(Stops::count).collect(),
        span_stops: bracket.span().count(),
        settings,
        may_clip: ["lamps"],
    })
}

question! {
    /// A run of frames.
    pub struct SequenceQuestion {
        /// How many, 1 to 100 000.
        pub frames: f64,
        /// Each exposure, seconds.
        pub shutter_s: f64,
        /// Idle time between frames, seconds.
        pub gap_s: f64,
        /// Whether the camera takes a dark frame after each.
        pub noise_reduction: bool,
        /// When the first frame starts, milliseconds since 1970 UTC.
        pub start_ms: Option<f64>,
        /// When the light is gone, milliseconds since 1970 UTC.
        pub closes_ms: Option<f64>,
    }
}

answer! {
    /// How long a run lasts.
    pub struct SequenceAnswer {
        /// How many frames.
        pub frames: u32,
        /// From the start of one frame to the start of the next, seconds.
        pub period_s: f64,
        /// Until the camera is free again, the last dark frame included, seconds.
        pub total_s: f64,
        /// Until the last frame starts, seconds.
        pub last_start_s: f64,
        /// Until the last exposure ends, seconds.
        pub last_end_s: f64,
        /// How long the shutter is open in all, seconds.
        pub exposed_s: f64,
        /// How long the light stays after the last exposure, seconds, negative when it goes before; null unless
        /// both times are given.
        pub spare_s: Option<f64>,
    }
}

impl SequenceAnswer {
    fn of(run: Run, spare_s: Option<f64>) -> Self {
        Self {
            frames: run.frames(),
            period_s: run.period_s(),
            total_s: run.total_s(),
            last_start_s: run.last_start_s(),
            last_end_s: run.last_end_s(),
            exposed_s: run.exposed_s(),
            spare_s,
        }
    }
}

/// How long a run of frames lasts, and whether it ends before the light does.
///
/// # Errors
/// A number out of range names its field.
pub fn sequence(q: &SequenceQuestion) -> Result<SequenceAnswer> {
    let run = Cadence::new(q.shutter_s, q.gap_s, q.noise_reduction)?.run(q.frames)?;
    let moment = |field, ms: Option<f64>| {
        ms.map(|ms| Instant::from_epoch_ms(ms).map_err(|refused| refused.in_field(field))).transpose()
    };
    let window = moment("startMs", q.start_ms)?.zip(moment("closesMs", q.closes_ms)?);
    let spare_s =
        window.map(|(start, closes): (Instant, Instant)| closes.seconds_after(start) - run.last_end_s());
    Ok(SequenceAnswer::of(run, spare_s))
}

question! {
    /// A time to fill with frames, and what one frame costs by the photographer's own numbers.
    pub struct FramesForQuestion {
        /// The time to fill, seconds.
        pub total_s: f64,
        /// `elapsed`: from the first opening to the last closing; `exposed`: exposures added up.
        pub of: String,
        /// Each exposure, seconds.
        pub shutter_s: f64,
        /// Idle time between frames, seconds.
        pub gap_s: f64,
        /// Whether the camera takes a dark frame after each.
        pub noise_reduction: bool,
        /// One frame's file, megabytes.
        pub frame_mb: Option<f64>,
        /// How long one battery lasts at such work, minutes.
        pub battery_min: Option<f64>,
    }
}

answer! {
    /// The frames that fill a time, and what they cost.
    pub struct FramesForAnswer {
        /// The run.
        pub run: SequenceAnswer,
        /// What its files need, megabytes; null without a frame's size.
        pub storage_mb: Option<f64>,
        /// How many batteries it drains; null without a battery's time.
        pub batteries: Option<f64>,
    }
}

/// How many frames fill a time.
///
/// # Errors
/// A number out of range names its field, another word than `elapsed` or `exposed` names `of`.
pub fn frames_for(q: &FramesForQuestion) -> Result<FramesForAnswer> {
    const FRAME_MB: Bounds = Bounds::new("frameMb", 0.01, 10_000.0, " MB");
    const BATTERY_MIN: Bounds = Bounds::new("batteryMin", 1.0, 10_000.0, " min");
    let cadence = Cadence::new(q.shutter_s, q.gap_s, q.noise_reduction)?;
    let run = match q.of.as_str() {
        "elapsed" => cadence.lasting(q.total_s),
        "exposed" => cadence.exposing(q.total_s),
        other => Err(Error::unknown("of", other, &["elapsed", "exposed"])),
    }?;
    let frame_mb = FRAME_MB.optional(q.frame_mb)?;
    let battery_min = BATTERY_MIN.optional(q.battery_min)?;
    Ok(FramesForAnswer {
        run: SequenceAnswer::of(run, None),
        storage_mb: frame_mb.map(|size| size * f64::from(run.frames())),
        batteries: battery_min.map(|minutes| run.total_s() / 60.0 / minutes),
    })
}

/// How many frames span a scene, and how to set them.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = brackets, unchecked_return_type = "BracketsAnswer")]
pub fn brackets_call(
    #[wasm_bindgen(unchecked_param_type = "BracketsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: BracketsQuestion| brackets(&q))
}

/// How long a run of frames lasts.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = sequence, unchecked_return_type = "SequenceAnswer")]
pub fn sequence_call(
    #[wasm_bindgen(unchecked_param_type = "SequenceQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: SequenceQuestion| sequence(&q))
}

/// How many frames fill a time.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = framesFor, unchecked_return_type = "FramesForAnswer")]
pub fn frames_for_call(
    #[wasm_bindgen(unchecked_param_type = "FramesForQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: FramesForQuestion| frames_for(&q))
}
