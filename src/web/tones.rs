//! The tones of a picture, and what its edit will cost.

use wasm_bindgen::prelude::*;

use super::Tally;
use super::value::{self, Told, answer, question};

use crate::error::Result;
use crate::shoot::edit::{ACCEPTABLE, EXCELLENT, Edit, Sensor};
use crate::shoot::tones::{Advice, Counts, Histogram, Tones, encoded_at};

answer! {
    /// How many pixels there are of each tone; those of strips may be added up.
    pub struct HistogramAnswer {
        /// Encoded values of red: 256 counts.
        #[tsify(type = "Uint32Array")]
        pub red: Tally,
        /// Of green.
        #[tsify(type = "Uint32Array")]
        pub green: Tally,
        /// Of blue.
        #[tsify(type = "Uint32Array")]
        pub blue: Tally,
        /// Linear luminance (ITU-R BT.709), encoded again.
        #[tsify(type = "Uint32Array")]
        pub luminance: Tally,
        /// The highest of a pixel's three channels.
        #[tsify(type = "Uint32Array")]
        pub brightest: Tally,
        /// Share of pixels with all channels at 0.
        pub clipped_low: f64,
        /// Share of pixels with any channel at 255.
        pub clipped_high: f64,
    }
}

/// Counts the pixels of a picture or of a strip of it.
///
/// # Errors
/// Bytes that are not four for each pixel: names `pixels`.
pub fn histogram(pixels: &[u8], width: f64, height: f64) -> Result<HistogramAnswer> {
    let Histogram { channels: [red, green, blue], luminance, brightest } =
        Histogram::count(pixels, width, height)?;
    let share = |count: u32| f64::from(count) / (width * height).max(1.0);
    Ok(HistogramAnswer {
        clipped_low: share(brightest[0]),
        clipped_high: share(brightest[255]),
        red: red.into(),
        green: green.into(),
        blue: blue.into(),
        luminance: luminance.into(),
        brightest: brightest.into(),
    })
}

/// Counts the pixels of a picture or of a strip of it: sRGB, four bytes each, as a canvas gives them.
///
/// # Errors
/// No bytes, or not four for each pixel, thrown with `pixels`.
#[wasm_bindgen(js_name = histogram, unchecked_return_type = "HistogramAnswer")]
pub fn histogram_call(
    #[wasm_bindgen(unchecked_param_type = "Uint8Array | Uint8ClampedArray")] pixels: &JsValue,
    width: f64,
    height: f64,
) -> std::result::Result<JsValue, JsValue> {
    match value::bytes("pixels", pixels).and_then(|pixels| histogram(&pixels, width, height)) {
        Ok(counted) => Ok(counted.told().to_page()),
        Err(refused) => Err(super::thrown(&refused)),
    }
}

question! {
    /// The counts of `histogram`, of a whole picture.
    pub struct TonesQuestion {
        /// Of the luminance, 256.
        #[tsify(type = "ArrayLike<number>")]
        pub luminance: Vec<f64>,
        /// Of the highest channel, 256.
        #[tsify(type = "ArrayLike<number>")]
        pub brightest: Vec<f64>,
    }
}

answer! {
    /// What the counts come to. Stops are from middle grey, 18 % of the white.
    pub struct TonesAnswer {
        /// Share of pixels with all channels at 0.
        pub clipped_low: f64,
        /// Share of pixels with any channel at 255.
        pub clipped_high: f64,
        /// The same share after a third of a stop more.
        pub clipped_after_third: f64,
        /// Stops, in thirds, until one pixel in a thousand clips; at most 5.
        pub room_stops: f64,
        /// Where the median luminance sits.
        pub mid_stops: f64,
        /// From the darkest hundredth of the pixels to the brightest, stops.
        pub span_stops: f64,
        /// Where −6, −4, −2, 0 and 2 stops stand among the 256 values.
        pub marks: Vec<usize>,
        /// What the next frame may do: `expose-right`, `lamps`, `expose-less`, `bracket`, `shadows-black`.
        pub advice: Vec<&'static str>,
    }
}

/// What the counts of a picture come to.
///
/// # Errors
/// Not 256 counts: names `luminance` or `brightest`.
pub fn tones(q: TonesQuestion) -> Result<TonesAnswer> {
    let tones = Tones::of(&Counts::new("luminance", q.luminance)?, &Counts::new("brightest", q.brightest)?);
    Ok(TonesAnswer {
        clipped_low: tones.clipped_low,
        clipped_high: tones.clipped_high,
        clipped_after_third: tones.clipped_after_third,
        room_stops: tones.room_stops,
        mid_stops: tones.mid_stops,
        span_stops: tones.span_stops,
        marks: [-6.0, -4.0, -2.0, 0.0, 2.0].map(encoded_at).into(),
        advice: tones.advice.into_iter().map(Advice::word).collect(),
    })
}

/// What the counts of a picture come to.
///
/// # Errors
/// Not 256 counts, thrown with the field.
#[wasm_bindgen(js_name = tones, unchecked_return_type = "TonesAnswer")]
pub fn tones_call(
    #[wasm_bindgen(unchecked_param_type = "TonesQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: TonesQuestion| tones(q))
}

question! {
    /// Two parts of a picture, what is wanted of them, and the sensor.
    pub struct EditQuestion {
        /// Counts of the luminance in the foreground, 256.
        #[tsify(type = "ArrayLike<number>")]
        pub foreground: Vec<f64>,
        /// And in the sky.
        #[tsify(type = "ArrayLike<number>")]
        pub sky: Vec<f64>,
        /// Where the foreground is to end, stops from middle grey, −10 to 2.
        pub target_stops: f64,
        /// How much brighter the sky is to stay, −10 to 10.
        pub keep_stops: f64,
        /// The frame's ISO speed.
        pub iso: f64,
        /// The sensor's base speed.
        pub base_iso: f64,
        /// Electrons that a pixel holds at base speed.
        pub full_well_e: f64,
        /// Read noise at this speed, electrons.
        pub read_noise_e: f64,
    }
}

answer! {
    /// What bringing the two together will cost. Stops are from middle grey.
    pub struct EditAnswer {
        /// The sky's mean.
        pub sky_stops: f64,
        /// The foreground's.
        pub foreground_stops: f64,
        /// Stops by which the foreground is lifted.
        pub lift_stops: f64,
        /// Stops by which the sky is held back.
        pub hold_stops: f64,
        /// What a graduated filter would have held back.
        pub graduated_stops: f64,
        /// Electrons of a pixel of the foreground.
        pub electrons: f64,
        /// Signal over noise there, before the lift and after it.
        pub signal_to_noise: f64,
        /// What that is called: `excellent` from 40, `acceptable` from 10, else `noisy` (ISO 12232, from memory).
        pub quality: &'static str,
        /// The ISO speed that the lifted foreground looks as if shot at.
        pub looks_like_iso: f64,
        /// How much longer one frame may be, up to the lift, stops.
        pub longer_stops: f64,
        /// Signal over noise in that frame.
        pub longer_signal_to_noise: f64,
        /// The ISO speed to set for it.
        pub longer_iso: f64,
        /// Signal over noise in a frame longer by the whole lift.
        pub bracket_signal_to_noise: f64,
        /// Share of the sky that has clipped.
        pub sky_clipped: f64,
        /// What would have been best: `little` to lift, a `clean` lift, one `longer` frame, a `bracket`.
        pub verdict: &'static str,
    }
}

/// What bringing foreground and sky together will cost.
///
/// # Errors
/// Not 256 counts, or a number out of range: names the field.
pub fn edit_cost(q: EditQuestion) -> Result<EditAnswer> {
    let sensor = Sensor::new(q.full_well_e, q.read_noise_e, q.base_iso, q.iso)?;
    let (foreground, sky) = (Counts::new("foreground", q.foreground)?, Counts::new("sky", q.sky)?);
    let edit = Edit::of(&foreground, &sky, q.target_stops, q.keep_stops, &sensor)?;
    Ok(EditAnswer {
        sky_stops: edit.sky_stops,
        foreground_stops: edit.foreground_stops,
        lift_stops: edit.lift_stops,
        hold_stops: edit.hold_stops,
        graduated_stops: edit.graduated_stops,
        electrons: edit.electrons,
        signal_to_noise: edit.signal_to_noise,
        quality: match edit.signal_to_noise {
            EXCELLENT.. => "excellent",
            ACCEPTABLE.. => "acceptable",
            _ => "noisy",
        },
        looks_like_iso: edit.looks_like_iso,
        longer_stops: edit.longer_stops,
        longer_signal_to_noise: edit.longer_signal_to_noise,
        longer_iso: edit.longer_iso,
        bracket_signal_to_noise: edit.bracket_signal_to_noise,
        sky_clipped: edit.sky_clipped,
        verdict: edit.verdict.word(),
    })
}

/// What bringing foreground and sky together will cost.
///
/// # Errors
/// Not 256 counts, or a number out of range, thrown with its field.
#[wasm_bindgen(js_name = editCost, unchecked_return_type = "EditAnswer")]
pub fn edit_cost_call(
    #[wasm_bindgen(unchecked_param_type = "EditQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: EditQuestion| edit_cost(q))
}
