//! The exposure desk's first questions: the dials, what an exposure value amounts to, a brightness held.

use serde::{Deserialize, Serialize};
use tsify::Tsify;
use wasm_bindgen::prelude::*;

use crate::error::{Error, Result};
use crate::exposure::filter::STACK_STOPS;
use crate::exposure::series::{Aperture, Dial, Dialled, Iso, Shutter};
use crate::exposure::settings::{Fixed, Held, Limits, hold};
use crate::exposure::{ev, settings};
use crate::units::Stops;

/// A mark on a dial.
#[derive(Debug, Serialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct DialMark {
    /// As it is written beside a picture.
    pub label: String,
    /// The value computed from the mark: an f-number, seconds, an ISO speed.
    pub exact: f64,
}

/// What is engraved on the three dials, in thirds of a stop, in order.
#[derive(Debug, Serialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct SeriesAnswer {
    /// From f/1 to f/64.
    pub apertures: Vec<DialMark>,
    /// From 1/8000 s to 30 s.
    pub shutters: Vec<DialMark>,
    /// From ISO 50 to ISO 102 400.
    pub isos: Vec<DialMark>,
}

/// The engraved marks of the three dials.
pub fn series() -> SeriesAnswer {
    fn marks<D: Dial>(dial: impl Iterator<Item = Dialled<D>>) -> Vec<DialMark> {
        dial.map(|mark| DialMark { label: mark.label(), exact: mark.exact() }).collect()
    }
    SeriesAnswer {
        apertures: marks(Aperture::thirds()),
        shutters: marks(Shutter::thirds()),
        isos: marks(Iso::thirds()),
    }
}

/// An exposure value to be explained.
#[derive(Debug, Deserialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct DescribeEvQuestion {
    /// Exposure value at ISO 100, −20 to 35.
    pub ev100: f64,
}

/// What a meter would call by an exposure value.
#[derive(Debug, Serialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct DescribeEvAnswer {
    /// Luminance of the scene, cd/m².
    pub luminance_cd_m2: f64,
    /// Illuminance on a flat receptor, lx.
    pub illuminance_lx: f64,
    /// The meter constant assumed for luminance.
    pub k: f64,
    /// The meter constant assumed for illuminance.
    pub c: f64,
}

/// Luminance and illuminance of an exposure value.
///
/// # Errors
/// Names `ev100`.
pub fn describe_ev(q: &DescribeEvQuestion) -> Result<DescribeEvAnswer> {
    let ev100 = ev::given(q.ev100)?;
    Ok(DescribeEvAnswer {
        luminance_cd_m2: ev::luminance(ev100).candela_per_m2(),
        illuminance_lx: ev::illuminance(ev100).lux(),
        k: ev::REFLECTED_K,
        c: ev::INCIDENT_C,
    })
}

/// A brightness, and two dials that stay; the one that is null is solved for.
#[derive(Debug, Clone, Deserialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct HoldQuestion {
    /// Exposure value of the scene at ISO 100, −20 to 35.
    pub ev100: f64,
    /// F-number as engraved (11) or exact (11.31).
    pub aperture_n: Option<f64>,
    /// Seconds, taken literally.
    pub shutter_s: Option<f64>,
    /// Arithmetic ISO speed.
    pub iso: Option<f64>,
    /// What the filters on the lens take, stops; none when missing.
    pub filter_stops: Option<f64>,
    /// The longest time that the camera keeps by itself, seconds; 30 when missing.
    pub longest_shutter_s: Option<f64>,
}

/// Settings that hold a brightness.
#[derive(Debug, Serialize, Tsify)]
#[serde(rename_all = "camelCase")]
pub struct HoldAnswer {
    /// As it is written: `f/11`.
    pub aperture_label: String,
    /// The exact f-number.
    pub aperture: f64,
    /// As it is written: `1/60 s`.
    pub shutter_label: String,
    /// The exact time, seconds.
    pub shutter_s: f64,
    /// The speed as engraved.
    pub iso: f64,
    /// As it is written: `ISO 100`.
    pub iso_label: String,
    /// How much lighter than wanted the picture comes out, stops; negative is darker.
    pub residual_stops: f64,
    /// Whether the time is past the camera's longest, to be kept by hand.
    pub timed: bool,
    /// Which dial was solved for: `aperture`, `shutter` or `iso`.
    pub solved: &'static str,
    /// Whether that dial came to its end before the brightness was met.
    pub limited: bool,
}

/// Holds a brightness with two dials fixed.
///
/// # Errors
/// A number out of range names its field; other than one null among the three dials names `apertureN`.
pub fn hold_exposure(q: &HoldQuestion) -> Result<HoldAnswer> {
    let ev100 = ev::given(q.ev100)?;
    let loss = Stops::new(STACK_STOPS.check(q.filter_stops.unwrap_or(0.0))?);
    let mut limits = Limits::default();
    if let Some(longest) = q.longest_shutter_s {
        limits.longest = Shutter::exactly(longest).map_err(|refused| refused.in_field("longestShutterS"))?;
    }
    let aperture = q.aperture_n.map(aperture_n).transpose()?;
    let shutter = q.shutter_s.map(Shutter::exactly).transpose()?;
    let iso = q.iso.map(Iso::marked).transpose()?;
    let (fixed, solved) = match (aperture, shutter, iso) {
        (None, Some(shutter), Some(iso)) => (Fixed::ShutterIso(shutter, iso), "aperture"),
        (Some(aperture), None, Some(iso)) => (Fixed::ApertureIso(aperture, iso), "shutter"),
        (Some(aperture), Some(shutter), None) => (Fixed::ApertureShutter(aperture, shutter), "iso"),
        _ => {
            let given = [q.aperture_n, q.shutter_s, q.iso].iter().flatten().count();
            return Err(Error::conflict(
                "apertureN",
                format!("{given} of aperture, time and ISO are given; two are needed, the third is solved"),
            ));
        }
    };
    let Held { settings: settings::Settings { aperture, shutter, iso }, residual, timed, limited } =
        hold(ev100, loss, fixed, &limits);
    Ok(HoldAnswer {
        aperture_label: aperture.label(),
        aperture: aperture.exact(),
        shutter_label: shutter.label(),
        shutter_s: shutter.exact(),
        iso: iso.nominal(),
        iso_label: iso.label(),
        residual_stops: residual.count(),
        timed,
        solved,
        limited,
    })
}

fn aperture_n(value: f64) -> Result<Aperture> {
    Aperture::marked(value).map_err(|refused| refused.in_field("apertureN"))
}

/// The engraved marks of the three dials, for steppers.
///
/// # Errors
/// None.
#[wasm_bindgen(js_name = series, unchecked_return_type = "SeriesAnswer")]
pub fn series_call() -> std::result::Result<JsValue, JsValue> {
    super::answer(JsValue::NULL, |(): ()| Ok(series()))
}

/// Luminance and illuminance of an exposure value.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = describeEv, unchecked_return_type = "DescribeEvAnswer")]
pub fn describe_ev_call(
    #[wasm_bindgen(unchecked_param_type = "DescribeEvQuestion")] question: JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: DescribeEvQuestion| describe_ev(&q))
}

/// Holds a brightness with two dials fixed and the third solved.
///
/// # Errors
/// A number out of range, or other than two dials given, thrown with its field.
#[wasm_bindgen(js_name = holdExposure, unchecked_return_type = "HoldAnswer")]
pub fn hold_exposure_call(
    #[wasm_bindgen(unchecked_param_type = "HoldQuestion")] question: JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: HoldQuestion| hold_exposure(&q))
}
