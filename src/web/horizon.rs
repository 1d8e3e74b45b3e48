//! What stands in the frame, and a direction taken with a phone, as the page asks.

use wasm_bindgen::prelude::*;

use super::Column;
use super::optics::lens;
use super::skyline::{HiddenSpan, PlaceGiven, ring};
use super::value::{answer, question};
use crate::error::Result;
use crate::optics::view::View;
use crate::shoot::in_frame::{Look, Outlook, Passing};
use crate::sky::declination;
use crate::sky::sighting::{Sighting, minutes_of};
use crate::sky::track::Body;
use crate::units::{Bearing, Instant, Span};

question! {
    /// A place, a lens on it, and a span.
    pub struct InFrameQuestion {
        /// Where from.
        pub place: PlaceGiven,
        /// First moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// Last moment.
        pub end_ms: f64,
        /// Where the lens points, degrees clockwise from true north.
        pub bearing_deg: f64,
        /// Its focal length, millimetres.
        pub focal_mm: f64,
        /// Width and height of the picture as the camera is held, millimetres.
        pub format_mm: [f64; 2],
        /// The skyline, as `skyline` takes it.
        #[tsify(type = "[number, number][]")]
        pub profile: Vec<[f64; 2]>,
        /// Height of the eye above the ground or sea at the horizon, metres, 0 when not given.
        #[tsify(optional)]
        pub observer_height_m: Option<f64>,
    }
}

answer! {
    /// The way of a body, as columns of one length a minute apart, and what becomes of it.
    pub struct FramePassing {
        /// Milliseconds since 1970 UTC.
        #[tsify(type = "Float64Array")]
        pub at_ms: Column,
        /// Degrees from the lens's bearing, clockwise positive.
        #[tsify(type = "Float64Array")]
        pub off_deg: Column,
        /// Apparent altitude of the centre, degrees.
        #[tsify(type = "Float64Array")]
        pub altitude_deg: Column,
        /// While nothing of it shows.
        pub hidden: Vec<HiddenSpan>,
        /// While it is in the frame: between its sides, not over its top and not hidden.
        pub stays: Vec<HiddenSpan>,
    }
}

impl From<Passing> for FramePassing {
    fn from(Passing { looks, hidden, stays }: Passing) -> Self {
        let column = |value: fn(&Look) -> f64| Column(looks.iter().map(value).collect());
        let told = |spans: Vec<Span>| spans.into_iter().map(HiddenSpan::from).collect();
        Self {
            at_ms: column(|look| look.at.epoch_ms()),
            off_deg: column(|look| look.off.degrees()),
            altitude_deg: column(|look| look.altitude.degrees()),
            hidden: told(hidden),
            stays: told(stays),
        }
    }
}

answer! {
    /// Sun and moon through the span, and what to draw them before.
    pub struct InFrameAnswer {
        /// The sun.
        pub sun: FramePassing,
        /// The moon.
        pub moon: FramePassing,
        /// The skyline, each point in degrees from the bearing and in altitude, as far as the window goes.
        #[tsify(type = "[number, number][]")]
        pub skyline: Vec<[f64; 2]>,
        /// The top of the frame of a level camera, in the same way; its foot is as far below level.
        #[tsify(type = "[number, number][]")]
        pub top: Vec<[f64; 2]>,
        /// How far the window goes to either side, degrees.
        pub window_deg: f64,
    }
}

/// Where sun and moon stand relative to what a lens sees.
///
/// # Errors
/// Names what is out of range.
pub fn in_frame(q: &InFrameQuestion) -> Result<InFrameAnswer> {
    let place = q.place.place()?;
    let span = Span::from_epoch_ms(q.start_ms, q.end_ms)?;
    let skyline = ring(&q.profile, q.observer_height_m)?;
    let view = View::far(lens(q.focal_mm, q.format_mm)?);
    let bearing = Bearing::given(q.bearing_deg)?;
    let outlook = Outlook { place: &place, skyline: &skyline, bearing, view };
    let window_deg = outlook.half_window();
    Ok(InFrameAnswer {
        sun: outlook.passing(Body::Sun, span).into(),
        moon: outlook.passing(Body::Moon, span).into(),
        skyline: skyline.around(bearing, window_deg),
        top: outlook.top(),
        window_deg,
    })
}

question! {
    /// What a phone told while it was laid along a line of sight.
    pub struct SightingQuestion {
        /// Where.
        pub place: PlaceGiven,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// Each its heading from magnetic north and how far its upper end is raised, degrees; at most 2000.
        #[tsify(type = "[number, number][]")]
        pub samples: Vec<[f64; 2]>,
        /// Whether headings count clockwise, as a compass does, or the other way, as the angle `alpha` of the sensors does.
        pub clockwise: bool,
    }
}

answer! {
    /// Where it was pointed.
    pub struct SightingAnswer {
        /// The mean, degrees clockwise from true north.
        pub azimuth_deg: f64,
        /// The mean above the horizontal, degrees.
        pub altitude_deg: f64,
        /// Standard deviation of one reading in azimuth, degrees.
        pub azimuth_scatter_deg: f64,
        /// And in altitude.
        pub altitude_scatter_deg: f64,
        /// What the scatter in altitude is in minutes of the sun's disappearance there; null where the sun hardly sinks.
        pub scatter_minutes: Option<f64>,
        /// What was added to the magnetic heading, degrees.
        pub declination_deg: f64,
        /// The model's standard error of that.
        pub declination_error_deg: f64,
        /// Whether the magnetic model is made for that time.
        pub is_current: bool,
    }
}

/// The mean of what a phone told, from true north.
///
/// # Errors
/// Names what is out of range.
pub fn sighting(q: &SightingQuestion) -> Result<SightingAnswer> {
    let place = q.place.place()?;
    let found = declination::declination(&place, Instant::from_epoch_ms(q.at_ms)?);
    let way = if q.clockwise { 1.0 } else { -1.0 };
    let samples: Vec<[f64; 2]> = q.samples.iter().map(|&[heading, raise]| [way * heading, raise]).collect();
    let mean = Sighting::of(&samples)?;
    let azimuth = Bearing::from_degrees(mean.azimuth.degrees() + found.angle.degrees());
    Ok(SightingAnswer {
        azimuth_deg: azimuth.degrees(),
        altitude_deg: mean.altitude.degrees(),
        azimuth_scatter_deg: mean.azimuth_scatter.degrees(),
        altitude_scatter_deg: mean.altitude_scatter.degrees(),
        scatter_minutes: minutes_of(&place, azimuth, mean.altitude_scatter),
        declination_deg: found.angle.degrees(),
        declination_error_deg: found.error.degrees(),
        is_current: found.is_current,
    })
}

/// Where sun and moon stand relative to what a lens sees, through an evening.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = inFrame, unchecked_return_type = "InFrameAnswer")]
pub fn in_frame_call(
    #[wasm_bindgen(unchecked_param_type = "InFrameQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| in_frame(&q))
}

/// The mean of what a phone told while it was laid along a line of sight, from true north.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = sighting, unchecked_return_type = "SightingAnswer")]
pub fn sighting_call(
    #[wasm_bindgen(unchecked_param_type = "SightingQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| sighting(&q))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::value::tests::{given, told};
    use super::*;

    fn frame(change: impl FnOnce(&mut Value)) -> Result<Value> {
        let mut question = json!({
            "place": { "latitudeDeg": 0, "longitudeDeg": 0 },
            // 2024-03-20 15:00 to 21:00 UTC
            "startMs": 1_710_946_800_000_f64, "endMs": 1_710_968_400_000_f64,
            "bearingDeg": 270, "focalMm": 50, "formatMm": [36, 24], "profile": [[0, 2]],
        });
        change(&mut question);
        given(question).and_then(|question| in_frame(&question)).map(told)
    }

    #[test]
    fn the_evening_before_a_lens_is_told_whole() {
        let answer = frame(|_| ()).unwrap();
        assert_eq!(answer["sun"]["atMs"].as_array().unwrap().len(), 361);
        assert_eq!(answer["sun"]["stays"].as_array().unwrap().len(), 1);
        assert_eq!(answer["skyline"][0][1], json!(2.0));
        let [left, window] =
            [&answer["skyline"][0][0], &answer["windowDeg"]].map(|edge| edge.as_f64().unwrap());
        assert!((left + window).abs() < 1e-9);
        assert_eq!(answer["top"].as_array().unwrap().len(), 17);
        assert_eq!(frame(|q| q["formatMm"] = json!([0, 1])).unwrap_err().field(), "formatMm");
        assert_eq!(frame(|q| q["bearingDeg"] = json!(-1)).unwrap_err().field(), "bearingDeg");
    }

    #[test]
    fn a_sighting_is_turned_to_true_north_whichever_way_it_counts() {
        let asked = |samples: Value, clockwise: bool| {
            let question = json!({
                // NOAA's test value for 2025.0 there: −0.16° of declination at the equator, 120° E.
                "place": { "latitudeDeg": 0, "longitudeDeg": 120 }, "atMs": 1_735_689_600_000_f64,
                "samples": samples, "clockwise": clockwise,
            });
            given(question).and_then(|question| sighting(&question))
        };
        let compass = asked(json!([[269, 4], [271, 6]]), true).unwrap();
        let sensor = asked(json!([[91, 4], [89, 6]]), false).unwrap();
        assert!((compass.azimuth_deg - 269.84).abs() < 0.02 && (compass.altitude_deg - 5.0).abs() < 0.01);
        assert!((compass.azimuth_deg - sensor.azimuth_deg).abs() < 1e-9);
        // √2° at 15.04° an hour.
        assert!((compass.scatter_minutes.unwrap() - 5.64).abs() < 0.02, "{compass:?}");
        assert!((compass.declination_deg + 0.16).abs() < 0.005 && compass.is_current, "{compass:?}");
        assert_eq!(asked(json!([]), true).unwrap_err().field(), "samples");
    }
}
