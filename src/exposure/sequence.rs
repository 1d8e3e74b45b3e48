//! How long a run of frames lasts, and how many frames fill a time.
//!
//! Frame after frame the shutter is open for the exposure, then, with long-exposure noise reduction, closed for as
//! long again while the camera takes a dark frame (common practice: it about doubles the time), then idle for
//! the gap. Writing to the card is part of the gap; measure it once.

use super::series::{Dial, Time};
use crate::decimal::written;
use crate::error::{Bounds, Error, Result};

/// How many frames a run may have.
pub const FRAMES: Bounds = Bounds::new("frames", 1.0, 100_000.0, "");

/// From the end of a frame, dark frame included, to the start of the next.
pub const GAP: Bounds = Bounds::new("gapS", 0.0, 86_400.0, " s");

/// A time to be filled with frames: up to a week.
pub const FILLED: Bounds = Bounds::new("totalS", 0.001, 604_800.0, " s");

/// One frame and what follows it, again and again; all in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cadence {
    shutter: f64,
    busy: f64,
    gap: f64,
}

impl Cadence {
    /// An exposure of `shutter_s`, a gap of `gap_s`, and whether a dark frame follows each exposure.
    ///
    /// # Errors
    /// A number out of range: names `shutterS` or `gapS`.
    pub fn new(shutter_s: f64, gap_s: f64, noise_reduction: bool) -> Result<Self> {
        let shutter = Time::RANGE.check(shutter_s)?;
        let busy = if noise_reduction { 2.0 * shutter } else { shutter };
        Ok(Self { shutter, busy, gap: GAP.check(gap_s)? })
    }

    /// From the start of one frame to the start of the next, seconds.
    pub fn period_s(self) -> f64 {
        self.busy + self.gap
    }

    /// The run of so many frames.
    ///
    /// # Errors
    /// Not a whole number from 1 to 100 000: names `frames`.
    pub fn run(self, frames: f64) -> Result<Run> {
        FRAMES.check(frames)?;
        if frames.fract() != 0.0 {
            return Err(Error::malformed("frames", written(frames), "a whole number"));
        }
        Ok(Run { cadence: self, frames: frames as u32 })
    }

    /// The shortest run whose last exposure ends `total_s` or more after its first began.
    ///
    /// # Errors
    /// A time outside a millisecond to a week names `totalS`; more frames than 100 000 name `frames`.
    pub fn lasting(self, total_s: f64) -> Result<Run> {
        let after_first = (FILLED.check(total_s)? - self.shutter).max(0.0);
        self.run(whole_above(after_first / self.period_s()) + 1.0)
    }

    /// The shortest run whose exposures add up to `total_s` or more.
    ///
    /// # Errors
    /// A time outside a millisecond to a week names `totalS`; more frames than 100 000 name `frames`.
    pub fn exposing(self, total_s: f64) -> Result<Run> {
        self.run(whole_above(FILLED.check(total_s)? / self.shutter).max(1.0))
    }
}

/// Rounded up, but not for the last bits of a division.
fn whole_above(count: f64) -> f64 {
    (count - 1e-9).ceil().max(0.0)
}

/// A number of frames one after another.
///
/// ```
/// use duskbook::exposure::sequence::Cadence;
/// let run = Cadence::new(30.0, 2.0, true).unwrap().run(3.0).unwrap();
/// assert_eq!(run.last_start_s(), 124.0); // twice 30 + 30 + 2
/// assert_eq!((run.last_end_s(), run.total_s()), (154.0, 184.0));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    cadence: Cadence,
    frames: u32,
}

impl Run {
    /// How many frames.
    pub const fn frames(self) -> u32 {
        self.frames
    }

    /// From the start of one frame to the start of the next, seconds.
    pub fn period_s(self) -> f64 {
        self.cadence.period_s()
    }

    /// From the start of the first frame to the start of the last, seconds.
    pub fn last_start_s(self) -> f64 {
        f64::from(self.frames - 1) * self.cadence.period_s()
    }

    /// From the start of the first frame to the end of the last exposure, after which the light may go, seconds.
    pub fn last_end_s(self) -> f64 {
        self.last_start_s() + self.cadence.shutter
    }

    /// From the start of the first frame until the camera is free, the last dark frame included, seconds.
    pub fn total_s(self) -> f64 {
        self.last_start_s() + self.cadence.busy
    }

    /// How long the shutter is open in all, seconds.
    pub fn exposed_s(self) -> f64 {
        f64::from(self.frames) * self.cadence.shutter
    }
}
