//! The settings of a time-lapse through the fall of the light, or its rise: what to change, and with which frame.
//!
//! A frame is taken every so many seconds, and the exposure follows the forecast by single thirds of a stop, as a dial goes:
//! a step of a third hardly shows between frames and is smoothed afterwards, a larger one flickers. The aperture stays,
//! because blades never come back to quite the same opening (common practice). The time follows the light up to a
//! limit below the interval, which leaves the camera a second to write ([`BUSY_S`]); then the speed follows. Where the
//! speed ends the picture goes dark, and the step says so (`limited`).
//!
//! Each frame is held against the forecast for its moment; the setting changes with the first frame that would be
//! more than a sixth of a stop off, and a little (0.013 stop), so that light that hovers half-way between two thirds
//! changes nothing. Intervals of about a minute and more let the steepest dusk pass two thirds between two frames,
//! and then the change is of two.

use super::shot::Shot;
use crate::error::{Bounds, Result};
use crate::exposure::series::{Aperture, Iso, Shutter};
use crate::exposure::settings::{Held, Limits};
use crate::light::forecast::Forecast;
use crate::light::moonlight::LightTrack;
use crate::sky::place::Place;
use crate::units::{Ev, Instant, Span, Stops};

/// Seconds from frame to frame.
pub const INTERVAL: Bounds = Bounds::new("intervalS", 2.0, 3600.0, " s");

/// Seconds of each interval that the camera needs for itself (common practice).
pub const BUSY_S: f64 = 1.0;

/// Frames that a ramp may have, and how the end of its span is refused for more.
pub const FRAMES: Bounds = Bounds::new("endMs", 0.0, 20_000.0, " intervals after startMs");

/// Thirds that the light must come past half-way, so that light that hovers there changes nothing.
const SETTLED: f64 = 0.04;

/// What stays through a ramp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    interval_s: f64,
    shot: Shot,
}

/// Settings from a frame on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// When that frame is taken.
    pub at: Instant,
    /// The first frame that has them, counted from 0.
    pub frame: u32,
    /// The brightness that they stand for.
    pub ev: Ev,
    /// What to dial.
    pub setting: Held,
}

impl Ramp {
    /// From the interval, an aperture that stays, the speeds allowed, the longest time allowed and the loss to filters.
    ///
    /// # Errors
    /// An interval outside 2 s to an hour: names `intervalS`.
    pub fn new(
        interval_s: f64,
        aperture: Aperture,
        (slowest, fastest): (Iso, Iso),
        longest: Option<Shutter>,
        filter: Stops,
    ) -> Result<Self> {
        let free = INTERVAL.check(interval_s)? - BUSY_S;
        // The longest mark that fits: a third more would not.
        let marks = Shutter::thirds().rev().find(|mark| mark.exact() <= free);
        let longest =
            longest.map(Shutter::to_third).into_iter().chain(marks).reduce(|a, b| if b < a { b } else { a });
        let limits = Limits { widest: aperture, narrowest: aperture, slowest, fastest, ..Limits::default() };
        Ok(Self { interval_s, shot: Shot { limits, shutter_wanted: longest, filter } })
    }

    /// How many frames a span has.
    ///
    /// # Errors
    /// More than 20 000: names `endMs`.
    pub fn frames(&self, span: Span) -> Result<u32> {
        FRAMES.check((span.seconds() / self.interval_s).floor()).map(|last| last as u32 + 1)
    }

    /// The settings to start with and every change through so many frames from a moment on.
    pub fn changes(&self, light: &Forecast, place: &Place, start: Instant, frames: u32) -> Vec<Change> {
        let at = |frame: u32| start.plus_seconds(f64::from(frame) * self.interval_s);
        let track = LightTrack::over(*place, Span::computed(start, at(frames)));
        // The dials stand on thirds from here: the filter is off them, the aperture may be.
        let origin = self.shot.limits.narrowest.stops().count() + self.shot.filter.count();
        let mut level = f64::INFINITY;
        let mut changes: Vec<Change> = Vec::new();
        for frame in 0..frames {
            let at = at(frame);
            let thirds = 3.0 * (light.under(&track.at(at)).ev.value() - origin);
            if (thirds - level).abs() <= 0.5 + SETTLED {
                continue;
            }
            level = thirds.round();
            let ev = Ev::at_iso_100(origin + level / 3.0);
            let setting = self.shot.through(ev, self.shot.filter);
            let now = (setting.settings, setting.limited);
            if !changes.last().is_some_and(|last| (last.setting.settings, last.setting.limited) == now) {
                changes.push(Change { at, frame, ev, setting });
            }
        }
        changes
    }
}
