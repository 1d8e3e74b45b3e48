//! Photographs: what they say of themselves, when they were taken.

use wasm_bindgen::prelude::*;

use super::value::{self, Told, answer, question};
use super::zone::Zone;

use crate::error::{Error, Result};
use crate::shoot::camera_clock::{self, CORRECTION, OFFSET, Reckoned};
use crate::shoot::photo::{Photograph, Warning};
use crate::units::Instant;

answer! {
    /// What a photograph says of itself.
    pub struct PhotoAnswer {
        /// Exposure time, seconds.
        pub shutter_s: Option<f64>,
        /// f-number.
        pub aperture: Option<f64>,
        /// ISO speed.
        pub iso: Option<f64>,
        /// Those of the three that are known, as they are written: `f/11`, `3.2 s`, `ISO 200`.
        pub labels: Vec<String>,
        /// The brightness that these suit, EV at ISO 100, taken as the marks of the dials.
        pub ev: Option<f64>,
        /// What was given more than the camera's meter said, stops.
        pub compensation_stops: Option<f64>,
        /// The camera's clock, as `2031-03-09T18:04:05.120`.
        pub at_local: Option<String>,
        /// How far that clock is ahead of UTC, minutes; null when the zone must be asked for.
        pub offset_min: Option<f64>,
        /// Focal length, mm.
        pub focal_mm: Option<f64>,
        /// The focal length of the same view on 36×24 mm.
        pub focal35_mm: Option<f64>,
        /// The lens, as the camera names it.
        pub lens: Option<String>,
        /// The camera, as it names itself.
        pub camera: Option<String>,
        /// Latitude, degrees, north positive.
        pub latitude_deg: Option<f64>,
        /// Longitude, degrees, east positive.
        pub longitude_deg: Option<f64>,
        /// Height above the sea, m.
        pub altitude_m: Option<f64>,
        /// What is doubtful: `unknown-format`, `no-exif`, `cut` (more of the file is needed, if there is more),
        /// `file-time`, `bad-time`, `bad-offset`, `bad-shutter`, `bad-aperture`, `bad-iso`, `bad-focal`, `bad-place`.
        pub warnings: Vec<&'static str>,
    }
}

/// What a photograph says of itself; whatever the bytes, there is a record.
pub fn read_photo(bytes: &[u8]) -> PhotoAnswer {
    let photo = Photograph::read(bytes);
    PhotoAnswer {
        ev: photo.ev().map(crate::units::Ev::value),
        labels: photo.labels(),
        shutter_s: photo.shutter_s,
        aperture: photo.aperture,
        iso: photo.iso,
        compensation_stops: photo.compensation_stops,
        at_local: photo.at_local,
        offset_min: photo.offset_min,
        focal_mm: photo.focal_mm,
        focal35_mm: photo.focal_35_mm,
        lens: photo.lens,
        camera: photo.camera,
        latitude_deg: photo.latitude_deg,
        longitude_deg: photo.longitude_deg,
        altitude_m: photo.altitude_m,
        warnings: photo.warnings.into_iter().map(Warning::word).collect(),
    }
}

/// What a photograph says of itself, from its file's bytes: all of them, or the beginning. 128 KB suffice for JPEG as a
/// rule; where they do not, `warnings` has `cut`.
///
/// # Errors
/// No bytes at all, thrown with `bytes`.
#[wasm_bindgen(js_name = readPhoto, unchecked_return_type = "PhotoAnswer")]
pub fn read_photo_call(
    #[wasm_bindgen(unchecked_param_type = "Uint8Array")] bytes: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    let read = value::bytes("bytes", bytes).map_err(|refused| super::thrown(&refused))?;
    Ok(read_photo(&read).told().to_page())
}

question! {
    /// When a photograph was taken, by a camera's clock that may be off.
    pub struct PhotoTimeQuestion {
        /// The camera's clock, as `readPhoto` tells it.
        pub at_local: String,
        /// How far that clock is ahead of UTC, minutes; null to go by the zone.
        pub offset_min: Option<f64>,
        /// The zone that the clock was set to: an IANA name. Of a photographed clock, the zone that it shows.
        pub zone: String,
        /// Seconds to add to the camera's clock; null for none.
        pub correction_s: Option<f64>,
        /// Instead of a correction, what a right clock in this very photograph shows: `18:04:05`.
        pub shown_clock: Option<String>,
    }
}

answer! {
    /// When it was.
    pub struct PhotoTimeAnswer {
        /// The moment, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// The correction that is in it, seconds; keep it for the other photographs of the camera.
        pub correction_s: f64,
        /// How surely the zone's clock names it: `once`, `twice` when the clock went back over it and the earlier was
        /// taken, `never` when it skipped it.
        pub reckoned: &'static str,
    }
}

/// When a photograph was taken.
///
/// # Errors
/// No such time, an unknown zone, or a number out of range: names the field.
pub fn photo_time(q: &PhotoTimeQuestion, offset_s: impl Fn(Instant) -> f64) -> Result<PhotoTimeAnswer> {
    let local = camera_clock::local_ms(&q.at_local)?;
    let in_zone = |local: f64| camera_clock::moment(local, &offset_s);
    let (camera_ms, reckoned) = if let Some(minutes) = q.offset_min {
        (local - OFFSET.check(minutes)? * 60_000.0, Reckoned::Once)
    } else {
        let (at, reckoned) = in_zone(local);
        (at.epoch_ms(), reckoned)
    };
    let correction_s = match (&q.shown_clock, q.correction_s) {
        (Some(_), Some(_)) => {
            return Err(Error::conflict("shownClock", "give a correction or a clock, not both"));
        }
        (Some(shown), None) => camera_clock::correction_s(camera_ms, shown, |ms| in_zone(ms).0.epoch_ms())?,
        (None, correction) => CORRECTION.check(correction.unwrap_or(0.0))?,
    };
    let at_ms = Instant::from_epoch_ms(camera_ms + 1e3 * correction_s)
        .map_err(|refused| refused.in_field("correctionS"))?
        .epoch_ms();
    Ok(PhotoTimeAnswer { at_ms, correction_s, reckoned: reckoned.word() })
}

/// When a photograph was taken.
///
/// # Errors
/// No such time, an unknown zone, or a number out of range, thrown with its field.
#[wasm_bindgen(js_name = photoTime, unchecked_return_type = "PhotoTimeAnswer")]
pub fn photo_time_call(
    #[wasm_bindgen(unchecked_param_type = "PhotoTimeQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: PhotoTimeQuestion| {
        let zone = Zone::named(&q.zone)?;
        photo_time(&q, |at| zone.offset_s(at))
    })
}
