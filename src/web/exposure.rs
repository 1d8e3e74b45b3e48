//! The exposure desk: the dials, exposure values, a brightness held, its equivalents, the camera's automatic time.

use wasm_bindgen::prelude::*;

use super::optics::format;
use super::value::{answer, question};

use crate::error::{Error, Result};
use crate::exposure::equivalent::{self, Kept};
use crate::exposure::ev;
use crate::exposure::filter::STACK_STOPS;
use crate::exposure::meter::{self, COMPENSATION, Giving, METER_LOW, METER_OFFSET};
use crate::exposure::series::{Aperture, Dial, Dialled, Iso, Shutter};
use crate::exposure::settings::{Fixed, Held, Limits, Settings, hold};
use crate::optics::circle::Sharpness;
use crate::optics::diffraction::{GREEN_NM, Wave};
use crate::units::{Ev, Stops};

answer! {
    /// A mark on a dial.
    pub struct DialMark {
        /// As it is written beside a picture.
        pub label: String,
        /// The value computed from the mark: an f-number, seconds, an ISO speed.
        pub exact: f64,
    }
}

impl<D: Dial> From<Dialled<D>> for DialMark {
    fn from(mark: Dialled<D>) -> Self {
        Self { label: mark.label(), exact: mark.exact() }
    }
}

answer! {
    /// What is engraved on the three dials, in thirds of a stop, in order.
    pub struct SeriesAnswer {
        /// From f/1 to f/64.
        pub apertures: Vec<DialMark>,
        /// From 1/8000 s to 30 s.
        pub shutters: Vec<DialMark>,
        /// From ISO 50 to ISO 102 400.
        pub isos: Vec<DialMark>,
    }
}

/// The engraved marks of the three dials.
pub fn series() -> SeriesAnswer {
    fn marks<D: Dial>(dial: impl Iterator<Item = Dialled<D>>) -> Vec<DialMark> {
        dial.map(DialMark::from).collect()
    }
    SeriesAnswer {
        apertures: marks(Aperture::thirds()),
        shutters: marks(Shutter::thirds()),
        isos: marks(Iso::thirds()),
    }
}

question! {
    /// An exposure value to be explained.
    pub struct DescribeEvQuestion {
        /// Exposure value at ISO 100, −20 to 35.
        pub ev100: f64,
    }
}

answer! {
    /// What a meter would call by an exposure value.
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

answer! {
    /// Settings found for a brightness.
    pub struct SettingAnswer {
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
        /// Whether filters are on the lens for it.
        pub filter_on: bool,
        /// How much lighter than wanted the picture comes out, stops; negative is darker.
        pub residual_stops: f64,
        /// Whether the time is past the camera's longest, to be kept by hand.
        pub timed: bool,
        /// Which dial was solved for.
        #[tsify(type = "\"aperture\" | \"shutter\" | \"iso\"")]
        pub solved: &'static str,
        /// Whether a dial came to its end before what was wanted was met.
        pub limited: bool,
    }
}

impl From<Held> for SettingAnswer {
    fn from(Held { settings, solved, loss, residual, timed, limited }: Held) -> Self {
        let Settings { aperture, shutter, iso } = settings;
        Self {
            aperture_label: aperture.label(),
            aperture: aperture.exact(),
            shutter_label: shutter.label(),
            shutter_s: shutter.exact(),
            iso: iso.nominal(),
            iso_label: iso.label(),
            filter_on: loss > Stops::ZERO,
            residual_stops: residual.count(),
            timed,
            solved: solved.word(),
            limited,
        }
    }
}

question! {
    /// A brightness, and two dials that stay; the one that is null is solved for.
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
}

/// Holds a brightness with two dials fixed.
///
/// # Errors
/// A number out of range names its field; other than one null among the three dials names `apertureN`.
pub fn hold_exposure(q: &HoldQuestion) -> Result<SettingAnswer> {
    let ev100 = ev::given(q.ev100)?;
    let loss = filter_loss(q.filter_stops)?;
    let limits = limits(q.longest_shutter_s)?;
    let aperture = q.aperture_n.map(|n| aperture("apertureN", n)).transpose()?;
    let shutter = q.shutter_s.map(Shutter::exactly).transpose()?;
    let iso = q.iso.map(Iso::marked).transpose()?;
    let fixed = match (aperture, shutter, iso) {
        (None, Some(shutter), Some(iso)) => Fixed::ShutterIso(shutter, iso),
        (Some(aperture), None, Some(iso)) => Fixed::ApertureIso(aperture, iso),
        (Some(aperture), Some(shutter), None) => Fixed::ApertureShutter(aperture, shutter),
        _ => {
            let given = [q.aperture_n, q.shutter_s, q.iso].iter().flatten().count();
            return Err(Error::conflict(
                "apertureN",
                format!("{given} of aperture, time and ISO are given; two are needed, the third is solved"),
            ));
        }
    };
    Ok(hold(ev100, loss, fixed, &limits).into())
}

question! {
    /// A metered setting, and the one dial to keep while the other two change.
    pub struct EquivalentsQuestion {
        /// The metered f-number, as engraved or exact.
        pub aperture: f64,
        /// The metered time, seconds, taken literally.
        pub shutter_s: f64,
        /// The metered ISO speed.
        pub iso: f64,
        /// The ISO speed of the pictures, to be kept; the metered one when no dial is given to keep.
        pub hold_iso: Option<f64>,
        /// The f-number of the pictures, to be kept instead.
        pub hold_aperture: Option<f64>,
        /// The time of the pictures, seconds, to be kept instead.
        pub hold_shutter_s: Option<f64>,
        /// The lens's smallest f-number; f/1 when missing.
        pub min_aperture: Option<f64>,
        /// The lens's largest f-number; f/64 when missing.
        pub max_aperture: Option<f64>,
        /// What filters take that were off when the setting was metered, stops.
        pub filter_stops: Option<f64>,
        /// What this meter always needs added, stops; positive is lighter.
        pub meter_offset_stops: Option<f64>,
        /// What this picture is to get more, stops; positive is lighter.
        pub compensation_stops: Option<f64>,
        /// The longest time that the camera keeps by itself, seconds; 30 when missing.
        pub longest_shutter_s: Option<f64>,
        /// The highest ISO speed that the photographer wants; a higher one is marked.
        pub iso_limit: Option<f64>,
        /// Width and height of the format, millimetres; with it, stops that diffraction softens are marked.
        pub format_mm: Option<[f64; 2]>,
    }
}

answer! {
    /// One setting, and what it costs.
    pub struct EquivalentRow {
        /// As it is written: `f/11`.
        pub aperture_label: String,
        /// The exact f-number.
        pub aperture: f64,
        /// The exact time, seconds.
        pub shutter_s: f64,
        /// As it is written: `1/60 s`.
        pub shutter_label: String,
        /// The speed as engraved.
        pub iso: f64,
        /// As it is written: `ISO 100`.
        pub iso_label: String,
        /// How much lighter than wanted the picture comes out, stops; negative is darker.
        pub residual_stops: f64,
        /// What gives in this row: `timed` (past the camera's longest time), `iso-above-limit`, `diffraction` (the Airy
        /// disc is wider than the format's diagonal over 1500).
        pub costs: Vec<&'static str>,
    }
}

answer! {
    /// The same exposure by every mark of a dial.
    pub struct EquivalentsAnswer {
        /// Exposure value of the metered setting at ISO 100, the meter's offset taken into account.
        pub ev100: f64,
        /// In thirds of a stop, widest aperture or lowest speed first; those past the end of a dial are left out.
        pub rows: Vec<EquivalentRow>,
    }
}

/// Every setting that gives the exposure of a metered one and keeps one dial.
///
/// # Errors
/// A number out of range names its field; a smallest f-number above the largest names `maxAperture`; more than
/// one dial to keep names `holdIso`.
pub fn equivalents(q: &EquivalentsQuestion) -> Result<EquivalentsAnswer> {
    let metered = settings(q.aperture, q.shutter_s, q.iso)?;
    let kept = kept(q, metered.iso)?;
    let iso_limit = q.iso_limit.map(|value| speed("isoLimit", value)).transpose()?;
    let softened = q.format_mm.map(softening_stop).transpose()?.unwrap_or(f64::INFINITY);
    let mut limits = limits(q.longest_shutter_s)?;
    if let Some(n) = q.min_aperture {
        limits.widest = aperture("minAperture", n)?;
    }
    if let Some(n) = q.max_aperture {
        limits.narrowest = aperture("maxAperture", n)?;
    }
    in_order(limits.widest, limits.narrowest)?;
    let scene = metered.ev() - Stops::new(METER_OFFSET.check(q.meter_offset_stops.unwrap_or(0.0))?);
    let wanted = scene - compensation(q.compensation_stops)?;
    let rows = equivalent::equivalents(wanted, filter_loss(q.filter_stops)?, kept, &limits);
    Ok(EquivalentsAnswer {
        ev100: scene.value(),
        rows: rows.into_iter().map(|held| row(held, iso_limit, softened)).collect(),
    })
}

/// The one dial that a question keeps, the metered speed when it names none.
fn kept(q: &EquivalentsQuestion, metered: Iso) -> Result<Kept> {
    match (q.hold_aperture, q.hold_shutter_s, q.hold_iso) {
        (None, None, None) => Ok(Kept::Iso(metered)),
        (None, None, Some(iso)) => speed("holdIso", iso).map(Kept::Iso),
        (Some(n), None, None) => aperture("holdAperture", n).map(Kept::Aperture),
        (None, Some(time), None) => {
            let time = Shutter::exactly(time).map_err(|refused| refused.in_field("holdShutterS"))?;
            Ok(Kept::Shutter(time))
        }
        _ => Err(Error::conflict("holdIso", "keep one of aperture, time and ISO, not several")),
    }
}

/// The f-number past which green light's Airy disc is wider than passes for a point on a format.
fn softening_stop(format_mm: [f64; 2]) -> Result<f64> {
    Ok(Wave::new(GREEN_NM)?.stop_for(Sharpness::Modern.circle(format("formatMm", format_mm)?)))
}

fn row(held: Held, iso_limit: Option<Iso>, softened: f64) -> EquivalentRow {
    let Settings { aperture, shutter, iso } = held.settings;
    let costs = [
        ("timed", held.timed),
        ("iso-above-limit", iso_limit.is_some_and(|limit| iso > limit)),
        ("diffraction", aperture.exact() > softened),
    ];
    EquivalentRow {
        aperture_label: aperture.label(),
        aperture: aperture.exact(),
        shutter_s: shutter.exact(),
        shutter_label: shutter.label(),
        iso: iso.nominal(),
        iso_label: iso.label(),
        residual_stops: held.residual.count(),
        costs: costs.into_iter().filter_map(|(cost, given)| given.then_some(cost)).collect(),
    }
}

question! {
    /// A scene in front of a camera set to aperture priority.
    pub struct AperturePriorityQuestion {
        /// Exposure value of the scene at ISO 100, −20 to 35.
        pub ev100: f64,
        /// F-number, as engraved or exact.
        pub aperture: f64,
        /// ISO speed.
        pub iso: f64,
        /// What the filters on the lens take, stops.
        pub filter_stops: Option<f64>,
        /// Compensation set on the camera, stops; positive is lighter.
        pub compensation_stops: Option<f64>,
        /// The least exposure value that the meter answers to, at ISO 100; not considered when missing.
        pub meter_low_ev: Option<f64>,
        /// The longest time that the camera keeps by itself, seconds; 30 when missing.
        pub longest_shutter_s: Option<f64>,
    }
}

answer! {
    /// What the camera will choose.
    pub struct AperturePriorityAnswer {
        /// What it comes to; `residualStops` says how far the picture is from what was wanted.
        pub setting: SettingAnswer,
        /// What gives up: `meter` (too dark for it), `time` (past the longest), or null.
        #[tsify(type = "\"meter\" | \"time\" | null")]
        pub gives_up: Option<&'static str>,
    }
}

/// What aperture priority will do with a scene.
///
/// # Errors
/// A number out of range names its field.
pub fn aperture_priority(q: &AperturePriorityQuestion) -> Result<AperturePriorityAnswer> {
    let low = METER_LOW.optional(q.meter_low_ev)?.map(Ev::at_iso_100);
    let automatic = meter::aperture_priority(
        ev::given(q.ev100)?,
        filter_loss(q.filter_stops)?,
        compensation(q.compensation_stops)?,
        (Aperture::marked(q.aperture)?, Iso::marked(q.iso)?),
        low,
        &limits(q.longest_shutter_s)?,
    );
    let gives_up = automatic.gives_up.map(|giving| match giving {
        Giving::Meter => "meter",
        Giving::Time => "time",
    });
    Ok(AperturePriorityAnswer { setting: automatic.held.into(), gives_up })
}

question! {
    /// A short frame that came out right without filters, and the picture to be made.
    pub struct TestFrameQuestion {
        /// The test frame's f-number, as engraved or exact.
        pub aperture: f64,
        /// The test frame's time, seconds, taken literally.
        pub shutter_s: f64,
        /// The test frame's ISO speed.
        pub iso: f64,
        /// The picture's f-number; the same when missing.
        pub to_aperture: Option<f64>,
        /// The picture's ISO speed.
        pub to_iso: f64,
        /// What the filters of the picture take, stops.
        pub filter_stops: Option<f64>,
        /// The longest time that the camera keeps by itself, seconds; 30 when missing.
        pub longest_shutter_s: Option<f64>,
    }
}

/// The long time that a short test frame leads to.
///
/// # Errors
/// A number out of range names its field.
pub fn test_frame(q: &TestFrameQuestion) -> Result<SettingAnswer> {
    let test = settings(q.aperture, q.shutter_s, q.iso)?;
    let to_aperture = q.to_aperture.map_or(Ok(test.aperture), |n| aperture("toAperture", n))?;
    let picture = (to_aperture, speed("toIso", q.to_iso)?);
    let held =
        meter::from_test_frame(test, picture, filter_loss(q.filter_stops)?, &limits(q.longest_shutter_s)?);
    Ok(held.into())
}

/// Settings under the dials' usual names, the time taken literally.
#[inline(never)]
pub(super) fn settings(aperture: f64, shutter_s: f64, iso: f64) -> Result<Settings> {
    Ok(Settings {
        aperture: Aperture::marked(aperture)?,
        shutter: Shutter::exactly(shutter_s)?,
        iso: Iso::marked(iso)?,
    })
}

/// The dials' ends, the longest time as this camera has it.
pub(super) fn limits(longest_shutter_s: Option<f64>) -> Result<Limits> {
    let all = Limits::default();
    let Some(longest) = longest_shutter_s else { return Ok(all) };
    let longest = Shutter::exactly(longest).map_err(|refused| refused.in_field("longestShutterS"))?;
    Ok(Limits { longest, ..all })
}

/// An aperture asked for under a name of its own.
pub(super) fn aperture(field: &'static str, n: f64) -> Result<Aperture> {
    Aperture::marked(n).map_err(|refused| refused.in_field(field))
}

/// Refuses apertures of a lens, from `minAperture` to `maxAperture`, that are the wrong way round.
pub(super) fn in_order(widest: Aperture, narrowest: Aperture) -> Result<()> {
    if widest > narrowest {
        return Err(Error::conflict("maxAperture", format!("{narrowest} is wider than the least, {widest}")));
    }
    Ok(())
}

/// A speed asked for under a name of its own.
pub(super) fn speed(field: &'static str, iso: f64) -> Result<Iso> {
    Iso::marked(iso).map_err(|refused| refused.in_field(field))
}

pub(super) fn filter_loss(stops: Option<f64>) -> Result<Stops> {
    STACK_STOPS.check(stops.unwrap_or(0.0)).map(Stops::new)
}

pub(super) fn compensation(stops: Option<f64>) -> Result<Stops> {
    COMPENSATION.check(stops.unwrap_or(0.0)).map(Stops::new)
}

/// The engraved marks of the three dials, for steppers.
///
/// # Errors
/// None.
#[wasm_bindgen(js_name = series, unchecked_return_type = "SeriesAnswer")]
pub fn series_call() -> std::result::Result<JsValue, JsValue> {
    super::answer(&JsValue::NULL, |(): ()| Ok(series()))
}

/// Luminance and illuminance of an exposure value.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = describeEv, unchecked_return_type = "DescribeEvAnswer")]
pub fn describe_ev_call(
    #[wasm_bindgen(unchecked_param_type = "DescribeEvQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: DescribeEvQuestion| describe_ev(&q))
}

/// Holds a brightness with two dials fixed and the third solved.
///
/// # Errors
/// A number out of range, or other than two dials given, thrown with its field.
#[wasm_bindgen(js_name = holdExposure, unchecked_return_type = "SettingAnswer")]
pub fn hold_exposure_call(
    #[wasm_bindgen(unchecked_param_type = "HoldQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: HoldQuestion| hold_exposure(&q))
}

/// Every setting that gives the exposure of a metered one and keeps one dial.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = equivalents, unchecked_return_type = "EquivalentsAnswer")]
pub fn equivalents_call(
    #[wasm_bindgen(unchecked_param_type = "EquivalentsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: EquivalentsQuestion| equivalents(&q))
}

/// What aperture priority will do with a scene.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = aperturePriority, unchecked_return_type = "AperturePriorityAnswer")]
pub fn aperture_priority_call(
    #[wasm_bindgen(unchecked_param_type = "AperturePriorityQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: AperturePriorityQuestion| aperture_priority(&q))
}

/// The long time that a short test frame leads to.
///
/// # Errors
/// A number out of range, thrown with its field.
#[wasm_bindgen(js_name = testFrame, unchecked_return_type = "SettingAnswer")]
pub fn test_frame_call(
    #[wasm_bindgen(unchecked_param_type = "TestFrameQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: TestFrameQuestion| test_frame(&q))
}
