//! Instants on the clock of the world, and spans between two of them.
//!
//! An instant is a count of milliseconds from 1970-01-01T00:00 as every clock on a phone gives it. The
//! sky reads that count as UT1, the time of the turning Earth. Coordinated universal time has been kept within
//! 0.9 s of UT1 since 1972, so a sunset may come out early or late by at most that.

use chrono::{DateTime, Utc};

use crate::error::{Bounds, Result};

/// Years for which the sky is modelled; checked against an ephemeris for 1950 to 2050.
pub const YEAR: Bounds = Bounds::new("year", 1900.0, 2099.0, "");

/// The instants of [`YEAR`], in milliseconds from 1970-01-01T00:00.
pub const AT_MS: Bounds = Bounds::new("atMs", -2_208_988_800_000.0, 4_102_444_800_000.0, " ms");

/// A moment, to the millisecond or finer.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Instant {
    epoch_ms: f64,
}

/// 2000-01-01T12:00, milliseconds from 1970-01-01T00:00.
const J2000_MS: f64 = 946_728_000_000.0;
/// Milliseconds in a day of 24 hours.
pub(crate) const DAY_MS: f64 = 86_400_000.0;

impl Instant {
    /// A moment given by hand or by a clock: milliseconds from 1970-01-01T00:00 UTC.
    ///
    /// # Errors
    /// Outside the years 1900 to 2099, or no number.
    pub fn from_epoch_ms(epoch_ms: f64) -> Result<Self> {
        AT_MS.check(epoch_ms).map(|epoch_ms| Self { epoch_ms })
    }

    /// A moment computed from others, not checked.
    pub(crate) const fn computed(epoch_ms: f64) -> Self {
        Self { epoch_ms }
    }

    /// Milliseconds from 1970-01-01T00:00 UTC.
    pub const fn epoch_ms(self) -> f64 {
        self.epoch_ms
    }

    /// Days from 2000-01-01T12:00, read as UT1: the epoch that tables of the sky count from.
    ///
    /// ```
    /// use duskbook::units::Instant;
    /// assert_eq!(Instant::from_epoch_ms(946_728_000_000.0).unwrap().days_from_j2000(), 0.0);
    /// ```
    pub fn days_from_j2000(self) -> f64 {
        (self.epoch_ms - J2000_MS) / DAY_MS
    }

    /// The moment that is so many days from 2000-01-01T12:00 of UT1, not checked.
    pub(crate) fn at_days_from_j2000(day: f64) -> Self {
        Self { epoch_ms: J2000_MS + day * DAY_MS }
    }

    /// The same moment for calendars, cut to the millisecond. `None` beyond what the calendar can hold.
    pub fn to_chrono(self) -> Option<DateTime<Utc>> {
        DateTime::from_timestamp_millis(self.epoch_ms.floor() as i64)
    }

    /// This moment and so many seconds.
    #[must_use]
    pub fn plus_seconds(self, seconds: f64) -> Self {
        Self { epoch_ms: self.epoch_ms + seconds * 1e3 }
    }

    /// Seconds from `earlier` to this; negative when it is later.
    pub fn seconds_after(self, earlier: Self) -> f64 {
        (self.epoch_ms - earlier.epoch_ms) / 1e3
    }
}

/// From one moment to a later one, or to the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    start: Instant,
    end: Instant,
}

/// The longest span that one question may ask about, in days: thirty years and a little.
pub const SPAN_DAYS: Bounds = Bounds::new("endMs", 0.0, 11_000.0, " days after startMs");

impl Span {
    /// The span from `start` to `end`.
    ///
    /// # Errors
    /// `end` before `start`, or more than 11 000 days after it: names `endMs`.
    pub fn new(start: Instant, end: Instant) -> Result<Self> {
        SPAN_DAYS.check((end.epoch_ms - start.epoch_ms) / DAY_MS)?;
        Ok(Self { start, end })
    }

    /// The span between two moments given by a clock, milliseconds from 1970-01-01T00:00 UTC.
    ///
    /// # Errors
    /// As [`Instant::from_epoch_ms`] and [`Span::new`]: names `startMs` or `endMs`.
    ///
    /// ```
    /// use duskbook::units::Span;
    /// assert_eq!(Span::from_epoch_ms(0.0, 60_000.0).unwrap().seconds(), 60.0);
    /// assert_eq!(Span::from_epoch_ms(f64::NAN, 60_000.0).unwrap_err().field(), "startMs");
    /// ```
    pub fn from_epoch_ms(start_ms: f64, end_ms: f64) -> Result<Self> {
        let given = |field, ms| Instant::from_epoch_ms(ms).map_err(|refused| refused.in_field(field));
        Self::new(given("startMs", start_ms)?, given("endMs", end_ms)?)
    }

    /// The span between two moments that are known to be in order.
    pub(crate) fn computed(start: Instant, end: Instant) -> Self {
        Self { start, end: if end < start { start } else { end } }
    }

    /// Its first moment.
    pub const fn start(self) -> Instant {
        self.start
    }

    /// Its last moment.
    pub const fn end(self) -> Instant {
        self.end
    }

    /// Its length in seconds, never negative.
    pub fn seconds(self) -> f64 {
        self.end.seconds_after(self.start)
    }

    /// Moments from its start to its end, evenly apart and by so many seconds at most.
    pub(crate) fn looks(self, most_s: f64) -> impl Iterator<Item = Instant> {
        let looks = (self.seconds() / most_s).ceil().max(1.0);
        (0..=looks as usize).map(move |i| self.start.plus_seconds(self.seconds() * (i as f64 / looks)))
    }

    /// Whether the moment lies within, ends included.
    pub fn contains(self, at: Instant) -> bool {
        at >= self.start && at <= self.end
    }
}
