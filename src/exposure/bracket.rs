//! How many frames span a scene that is brighter and darker than one frame can hold.
//!
//! The number is n = ⌈(scene − sensor) / step⌉ + 1 once the scene is the greater (computed, common practice). The frames
//! stand evenly about the middle of the scene, time bracketed and the aperture kept, so that depth of field and
//! the rays of lamps are the same in all.
//!
//! Lamps and headlights in the frame are brighter than any reading of a wall or a sky and may clip in every
//! frame; a sensor's middle is not exactly half-way between its ends. Neither is modelled: look at the shortest
//! frame's highlights.

use super::series::{Aperture, Iso};
use super::settings::{Fixed, Held, Limits, hold};
use crate::error::{Bounds, Result};
use crate::units::{Ev, Stops};

/// From the deepest shadow to the brightest highlight that is to be kept.
pub const SCENE: Bounds = Bounds::new("sceneStops", 0.0, 40.0, " stops");

/// What one frame of the sensor holds.
pub const SENSOR: Bounds = Bounds::new("sensorStops", 1.0, 30.0, " stops");

/// From one frame to the next.
pub const STEP: Bounds = Bounds::new("stepStops", 0.3, 6.0, " stops");

/// A bracket of exposures about one middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    frames: u32,
    step: Stops,
    sensor: Stops,
}

impl Bracket {
    /// The bracket that spans a scene.
    ///
    /// # Errors
    /// A number out of range: names `sceneStops`, `sensorStops` or `stepStops`.
    ///
    /// ```
    /// use duskbook::exposure::bracket::Bracket;
    /// let bracket = Bracket::spanning(20.0, 12.0, 2.0).unwrap();
    /// let offsets: Vec<f64> = bracket.offsets().map(|offset| offset.count()).collect();
    /// assert_eq!(offsets, [-4.0, -2.0, 0.0, 2.0, 4.0]);
    /// ```
    pub fn spanning(scene_stops: f64, sensor_stops: f64, step_stops: f64) -> Result<Self> {
        let missing = SCENE.check(scene_stops)? - SENSOR.check(sensor_stops)?;
        // Thirds of a stop are not exact in binary; a whole number of steps must not become one more.
        let steps = (missing / STEP.check(step_stops)? - 1e-9).ceil().max(0.0);
        let (step, sensor) = (Stops::new(step_stops), Stops::new(sensor_stops));
        Ok(Self { frames: steps as u32 + 1, step, sensor })
    }

    /// How many frames.
    pub const fn frames(self) -> u32 {
        self.frames
    }

    /// What the frames hold together.
    pub fn span(self) -> Stops {
        self.sensor + self.step * f64::from(self.frames - 1)
    }

    /// How much lighter than the middle each frame is, darkest first.
    pub fn offsets(self) -> impl Iterator<Item = Stops> {
        let middle = f64::from(self.frames - 1) / 2.0;
        (0..self.frames).map(move |frame| self.step * (f64::from(frame) - middle))
    }

    /// What to dial for each frame, darkest first, the middle one for the brightness `middle`.
    pub fn settings(self, middle: Ev, (aperture, iso): (Aperture, Iso), limits: &Limits) -> Vec<Held> {
        self.offsets()
            .map(|offset| hold(middle - offset, Stops::ZERO, Fixed::ApertureIso(aperture, iso), limits))
            .collect()
    }
}
