//! The settings of a time-lapse through the fall of the light, or its rise: what to change, and with which frame.
//!
//! A frame is taken every so many seconds, and the exposure follows the forecast by single thirds of a stop, as a dial goes:
//! a step of a third hardly shows between frames and is smoothed afterwards, a larger one flickers. The aperture stays,
//! because blades never come back to quite the same opening (common practice). The time follows the light up to a
//! limit below the interval, which leaves the camera a second to write ([`BUSY_S`]); then the speed follows. Where the
//! speed ends the picture goes dark, and the step says so (`limited`).
//!
//! Changes stand where the forecast passes the half-way point between two thirds, so no frame between two of them is
//! more than a sixth of a stop off the forecast (and a two-hundredth of that). Intervals so long that the light passes two thirds in one are told by
//! two changes of the same frame.

use super::shot::Shot;
use crate::error::{Bounds, Result};
use crate::exposure::series::{Aperture, Iso, Shutter};
use crate::exposure::settings::{Held, Limits};
use crate::light::forecast::Forecast;
use crate::math::root;
use crate::sky::place::Place;
use crate::sky::track::Track;
use crate::units::{Ev, Instant, Span, Stops};

/// Seconds from frame to frame.
pub const INTERVAL: Bounds = Bounds::new("intervalS", 2.0, 3600.0, " s");

/// Seconds of each interval that the camera needs for itself (common practice).
pub const BUSY_S: f64 = 1.0;

/// Seconds between the looks at the light.
const LOOK_S: f64 = 30.0;

/// Thirds that the light must be past half-way, so that a night whose light stays just there changes nothing.
const SETTLED: f64 = 1e-3;

/// What stays through a ramp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    interval_s: f64,
    shot: Shot,
}

/// Settings from a frame on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// When the forecast asks for them.
    pub at: Instant,
    /// The first frame that has them, counted from 0.
    pub frame: u32,
    /// The brightness that they stand for; the forecast is within a sixth of a stop of it until the next change.
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
    pub fn frames(&self, span: Span) -> u32 {
        (span.seconds() / self.interval_s).floor() as u32 + 1
    }

    /// The settings to start with and every change through a span.
    pub fn changes(&self, light: &Forecast, place: &Place, span: Span) -> Vec<Change> {
        let track = Track::over(span);
        let at = |s: f64| span.start().plus_seconds(s);
        // Thirds that the dials stand on, which are whole only with the aperture, and off by the filter.
        let origin = self.shot.limits.narrowest.stops().count() + self.shot.filter.count();
        let thirds = |s: f64| 3.0 * (light.under(&track.position(place, at(s))).ev.value() - origin);
        let mut level = thirds(0.0).round();
        let mut changes: Vec<Change> = Vec::new();
        let mut note = |s: f64, level: f64| {
            let ev = Ev::at_iso_100(origin + level / 3.0);
            let setting = self.shot.through(ev, self.shot.filter);
            if changes.last().is_none_or(|last: &Change| last.setting.settings != setting.settings) {
                let frame = (s / self.interval_s).ceil() as u32;
                changes.push(Change { at: at(s), frame, ev, setting });
            }
        };
        note(0.0, level);
        let mut before = 0.0;
        while before < span.seconds() {
            let after = (before + LOOK_S).min(span.seconds());
            let away = thirds(after) - level;
            if away.abs() <= 0.5 + SETTLED {
                before = after;
                continue;
            }
            // The same stretch is looked at again, as several thirds may be passed in it.
            let edge = level + 0.5 * away.signum();
            before = root(before, after, 0.01, |s| thirds(s) - edge);
            level += away.signum();
            note(before, level);
        }
        changes
    }
}
