//! What a meter or a test frame said at a moment.
//!
//! A frame's dials name a brightness by `Settings::ev`. The scene was brighter than that by what the filters took, and
//! by what the frame was given beyond mid-tone:
//!
//! ```text
//! EV = aperture − time − speed + filters + compensation
//! ```
//!
//! So a frame made with +1 of compensation, or one that the meter was told to make a stop lighter, is of a scene one
//! stop brighter than its dials say. What is held (the sky, the whole frame, shadows, highlights) is no part of the
//! sum: it goes with the reading as its intent, and each intent has an offset of its own.

use super::scene::Intent;
use crate::error::{Bounds, Result};
use crate::exposure::settings::Settings;
use crate::units::{Ev, Instant, Stops};

/// Brightness that a reading of an evening may have, EV at ISO 100.
pub const READING_EV: Bounds = Bounds::new("ev", -12.0, 22.0, " EV");

/// A brightness read at the spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When.
    pub at: Instant,
    /// How bright.
    pub ev: Ev,
    /// What it was read from.
    pub intent: Intent,
}

impl Reading {
    /// From the moment, the EV at ISO 100, and what was read.
    ///
    /// # Errors
    /// An EV outside −12 to 22, or no number: names `ev`.
    pub fn new(at: Instant, ev: f64, intent: Intent) -> Result<Self> {
        Ok(Self { at, ev: Ev::at_iso_100(READING_EV.check(ev)?), intent })
    }

    /// From a meter's settings or a frame that came out right: what filters took, and what it was given beyond mid-tone,
    /// positive when lighter.
    ///
    /// # Errors
    /// A brightness outside −12 to 22: names `ev`.
    ///
    /// ```
    /// use duskbook::exposure::{series::{Aperture, Iso, Shutter}, settings::Settings};
    /// use duskbook::light::{reading::Reading, scene::Intent};
    /// use duskbook::units::{Instant, Stops};
    /// let settings = Settings {
    ///     aperture: Aperture::parse("f/8").unwrap(),
    ///     shutter: Shutter::parse("8 s").unwrap(),
    ///     iso: Iso::parse("100").unwrap(),
    /// };
    /// let now = Instant::from_epoch_ms(0.0).unwrap();
    /// let reading = Reading::of_frame(now, settings, Stops::new(6.0), Stops::new(1.0), Intent::Sky).unwrap();
    /// // f/8 is 6 stops, 8 s is 3: EV 3, seen through six stops, one lighter than mid-tone.
    /// assert_eq!(reading.ev.value(), 3.0 + 6.0 + 1.0);
    /// ```
    pub fn of_frame(
        at: Instant,
        settings: Settings,
        filters: Stops,
        compensation: Stops,
        intent: Intent,
    ) -> Result<Self> {
        Self::new(at, (settings.ev() + filters + compensation).value(), intent)
    }
}
