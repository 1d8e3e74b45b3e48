//! When a photograph was taken, from what the camera's clock said.
//!
//! moment = clock − offset + correction. The offset is the one that the camera wrote, or else that of the zone in
//! which the reader says the clock was set. The correction is what the camera's clock lags, in seconds: known, or found
//! from one photograph of a clock that is right, such as a phone's: what that clock shows, less what the camera
//! said then. It holds for the whole set, whichever zone the camera believed itself in.
//!
//! A clock set to a zone that goes back an hour says one hour twice; the earlier is taken and
//! [`Reckoned::Twice`] says so. An hour that the zone skipped is read with the offset of before. Exact to the
//! clock's last digit; a clock's drift between two photographs is not modelled.

use crate::error::{Bounds, Error, Result};
use crate::units::{DAY_MS, Instant, civil_date, clock_s, midnight_ms};

/// How far a camera's clock may be off, seconds: set to the wrong year, at most.
pub const CORRECTION: Bounds = Bounds::new("correctionS", -4e9, 4e9, " s");

/// How far clocks are ahead of UTC, minutes.
pub const OFFSET: Bounds = Bounds::new("offsetMin", -840.0, 900.0, " min");

/// How surely a zone's clock names a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reckoned {
    /// By one moment only.
    Once,
    /// The clock went back and said it twice.
    Twice,
    /// The clock went forward and never said it.
    Never,
}

impl Reckoned {
    /// Its word for the page.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Once => "once",
            Self::Twice => "twice",
            Self::Never => "never",
        }
    }
}

/// What a clock shows, as milliseconds since 1970 on that clock: `2031-03-09T18:04:05.120`, or a blank for the T.
///
/// # Errors
/// Not of that form, or a year out of range: names `atLocal`.
pub fn local_ms(text: &str) -> Result<f64> {
    let refused = || Error::malformed("atLocal", text, "a time like 2031-03-09T18:04:05");
    let (date, time) = text.trim().split_once(['T', ' ']).ok_or_else(refused)?;
    let day = civil_date(date).map_err(|refused| refused.in_field("atLocal"))?;
    let second = clock_s(time).ok_or_else(refused)?;
    Ok(midnight_ms(day) + second * 1e3)
}

/// The moment at which a zone's clock shows this, and how surely.
///
/// `offset_s` gives the seconds that clocks in the zone are ahead of UTC at a moment.
pub fn moment(local_ms: f64, offset_s: impl Fn(Instant) -> f64) -> (Instant, Reckoned) {
    let with = |asked_ms: f64| {
        let at = Instant::computed(local_ms - 1e3 * offset_s(Instant::computed(asked_ms)));
        (at, at.epoch_ms() + 1e3 * offset_s(at) == local_ms)
    };
    // Nobody's clock changes twice in two days.
    let ((before, before_is), (after, after_is)) = (with(local_ms - DAY_MS), with(local_ms + DAY_MS));
    match (before_is, after_is) {
        (true, true) if before != after => (before, Reckoned::Twice),
        (true, _) => (before, Reckoned::Once),
        (_, true) => (after, Reckoned::Once),
        _ => (before, Reckoned::Never),
    }
}

/// Seconds to add to a camera's clock, from one photograph of a clock that is right.
///
/// `camera_ms` is the moment by the camera; `shown` what the right clock shows, `18:04`, `18:04:05` or with its
/// date before; without a date, the day nearest to the camera's is taken. `moment` turns that clock's local
/// milliseconds into a moment.
///
/// # Errors
/// No such time: names `shownClock`.
pub fn correction_s(camera_ms: f64, shown: &str, moment: impl Fn(f64) -> f64) -> Result<f64> {
    let shown = shown.trim();
    if let Some(second) = clock_s(shown) {
        let start = (camera_ms / DAY_MS).floor() * DAY_MS;
        let days = [-1.0, 0.0, 1.0, 2.0].map(|day| moment(start + day * DAY_MS + second * 1e3) - camera_ms);
        let nearest = days.into_iter().fold(f64::INFINITY, |a, b| if b.abs() < a.abs() { b } else { a });
        return Ok(nearest / 1e3);
    }
    let local = local_ms(shown).map_err(|_| {
        Error::malformed("shownClock", shown, "a time like 18:04:05, or with its date before")
    })?;
    Ok((moment(local) - camera_ms) / 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_is_read_with_and_without_its_fraction() {
        assert_eq!(local_ms("1970-01-02T00:00:01.250"), Ok(86_401_250.0));
        assert_eq!(local_ms("1969-12-31 23:59"), Ok(-60_000.0));
        for text in
            ["", "1970-01-02", "1970-01-02T24:00:00", "1970-01-02T+1:00:00", "1970-01-02T1.5:00:00", "x T1:0"]
        {
            assert_eq!(local_ms(text).unwrap_err().field(), "atLocal", "{text}");
        }
    }

    #[test]
    fn a_photographed_clock_corrects_the_nearer_way_round_midnight() {
        // The camera says 23:58:00, the phone 00:03:30: five and a half minutes behind, not a day ahead.
        let camera = 86_400_000.0 * 10.0 - 120_000.0;
        assert_eq!(correction_s(camera, "00:03:30", |local| local), Ok(330.0));
        // And an hour further when the phone's clock is an hour ahead of UTC.
        assert_eq!(correction_s(camera, "00:03:30", |local| local - 3_600_000.0), Ok(-3270.0));
        assert_eq!(correction_s(camera, "1970-01-12 00:03:30", |local| local), Ok(86_730.0));
        assert_eq!(correction_s(camera, "noon", |local| local).unwrap_err().field(), "shownClock");
    }
}
