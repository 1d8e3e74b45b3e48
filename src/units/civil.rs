//! Civil dates, and the days they are in a zone: when one begins and ends, with days of 23 and 25 hours.
//!
//! A zone is whatever tells the offset of its clocks from UTC at a moment. In a browser that is the
//! browser's own table; in the native tests another library's.

use chrono::{Datelike, Days, NaiveDate};

use super::time::{DAY_MS, Instant, Span, YEAR};
use crate::decimal;
use crate::error::{Error, Result};

/// A date as the calendar on the wall gives it, written `2031-03-09`.
///
/// # Errors
/// Not of that form, no such day, or a year that the sky is not modelled for: names `date`.
///
/// ```
/// use duskbook::units::civil_date;
/// assert!(civil_date("2031-03-09").is_ok());
/// let refused = civil_date("2031-02-29").unwrap_err();
/// assert_eq!(refused.to_string(), "date: \"2031-02-29\" cannot be read; expected a date like 2031-03-09");
/// assert_eq!(civil_date("99999-01-01").unwrap_err().to_string(), "date: 99999 is outside 1900 to 2099");
/// ```
pub fn civil_date(text: &str) -> Result<NaiveDate> {
    let text = text.trim();
    let refused = || Error::malformed("date", text, "a date like 2031-03-09");
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return Err(refused()) };
    let digits = |part: &str, least: usize| {
        let written = part.len() >= least && part.bytes().all(|byte| byte.is_ascii_digit());
        if written { part.parse::<u32>().map_err(|_| refused()) } else { Err(refused()) }
    };
    let (year, month, day) = (digits(year, 4)?, digits(month, 2)?, digits(day, 2)?);
    YEAR.check(f64::from(year)).map_err(|outside| outside.in_field("date"))?;
    NaiveDate::from_ymd_opt(year as i32, month, day).ok_or_else(refused)
}

/// When a date begins on a clock, milliseconds from 1970-01-01T00:00 of that clock.
pub(crate) fn midnight_ms(date: NaiveDate) -> f64 {
    const DAYS_TO_1970: i32 = 719_163;
    f64::from(date.num_days_from_ce() - DAYS_TO_1970) * DAY_MS
}

/// Seconds since midnight of `18:04:05.12` or `18:04`; none of anything else.
pub(crate) fn clock_s(text: &str) -> Option<f64> {
    let parts: Vec<f64> = text
        .split(':')
        .map(|part| {
            part.starts_with(|digit: char| digit.is_ascii_digit()).then(|| decimal::read(part)).flatten()
        })
        .collect::<Option<_>>()?;
    let [hour, minute, second] = match parts[..] {
        [hour, minute] => [hour, minute, 0.0],
        [hour, minute, second] => [hour, minute, second],
        _ => return None,
    };
    let whole = hour.fract() == 0.0 && minute.fract() == 0.0;
    (whole && hour < 24.0 && minute < 60.0 && second < 60.0).then_some(hour * 3600.0 + minute * 60.0 + second)
}

/// Seconds that a clock is ahead of UTC by the `+05:30`, `-03:30` or `Z` written after its time; none of anything else, or of
/// fifteen hours and more.
pub(crate) fn offset_s(text: &str) -> Option<f64> {
    let (sign, rest) = match text.split_at_checked(1)? {
        ("+", rest) => (1.0, rest),
        ("-", rest) => (-1.0, rest),
        ("Z", "") => return Some(0.0),
        _ => return None,
    };
    clock_s(rest).filter(|&seconds| seconds < 54_000.0).map(|seconds| sign * seconds)
}

/// The span of a civil date in a zone, from its first moment to the first of the next date.
///
/// `offset_s` gives the seconds that clocks in the zone are ahead of UTC at a moment. The length is
/// 24 hours but for the days when clocks change.
///
/// # Errors
/// The date does not exist in the zone (it moved across the date line that day): names `date`.
pub fn civil_day(date: NaiveDate, mut offset_s: impl FnMut(Instant) -> f64) -> Result<Span> {
    let start = day_start(date, &mut offset_s);
    let end = date.checked_add_days(Days::new(1)).map_or(start, |next| day_start(next, &mut offset_s));
    if end.seconds_after(start) < 1.0 {
        return Err(Error::conflict("date", format!("{date} does not exist in this zone")));
    }
    Ok(Span::computed(start, end))
}

/// The first moment whose local clock reads `date` or later.
///
/// Clocks lie within 14 h ahead and 12 h behind of UTC (16 h are allowed), so midnight is bracketed and found by
/// halving. Where clocks skip midnight the day starts at the skip.
fn day_start(date: NaiveDate, offset_s: &mut impl FnMut(Instant) -> f64) -> Instant {
    let midnight_ms = midnight_ms(date);
    let mut reached = |utc_ms: f64| utc_ms + 1e3 * offset_s(Instant::computed(utc_ms)) >= midnight_ms;
    let (mut before, mut after) = (midnight_ms - 57_600_000.0, midnight_ms + 57_600_000.0);
    while after - before > 1.0 {
        let middle = (0.5 * (before + after)).floor();
        if reached(middle) {
            after = middle;
        } else {
            before = middle;
        }
    }
    Instant::computed(after)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveTime;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_day_without_a_change_has_24_hours_at_any_offset() {
        for hours in [-12.0, -3.5, 0.0, 5.75, 14.0] {
            let day = civil_day(date("2031-03-09"), |_| hours * 3600.0).unwrap();
            assert_eq!(day.seconds(), 86_400.0);
            let expected = date("2031-03-09").and_time(NaiveTime::MIN).and_utc().timestamp() as f64;
            assert_eq!(day.start().epoch_ms() / 1e3, expected - hours * 3600.0);
        }
    }

    #[test]
    fn a_clock_put_forward_at_midnight_starts_the_day_at_one() {
        let skip = date("2031-03-09").and_time(NaiveTime::MIN).and_utc().timestamp_millis() as f64;
        let day =
            civil_day(date("2031-03-09"), |at| if at.epoch_ms() < skip { 0.0 } else { 3600.0 }).unwrap();
        assert_eq!((day.start().epoch_ms(), day.seconds()), (skip, 82_800.0));
    }

    #[test]
    fn a_date_that_a_zone_left_out_is_refused() {
        let leap =
            date("2011-12-30").and_time(NaiveTime::MIN).and_utc().timestamp_millis() as f64 + 36_000_000.0;
        let offset = |at: Instant| if at.epoch_ms() < leap { -36_000.0 } else { 50_400.0 };
        assert_eq!(civil_day(date("2011-12-30"), offset).unwrap_err().field(), "date");
        assert!(civil_day(date("2011-12-31"), offset).is_ok());
    }

    #[test]
    fn a_clock_has_whole_hours_and_minutes_and_seconds_with_a_fraction() {
        assert_eq!((clock_s("18:04"), clock_s("18:04:05.25")), (Some(65_040.0), Some(65_045.25)));
        for text in ["", "18", "24:00", "18:60", "18:04:60", "1.5:00", "-1:00", "+1:00", "18::05", "1:2:3:4"]
        {
            assert_eq!(clock_s(text), None, "{text}");
        }
    }

    #[test]
    fn an_offset_is_read_in_its_one_form() {
        assert_eq!(offset_s("+05:30"), Some(19_800.0));
        assert_eq!(offset_s("-03:30"), Some(-12_600.0));
        assert_eq!(offset_s("Z"), Some(0.0));
        for text in ["", "   :  ", "05:30", "+15:00", "+05:75", "+0530", "+a:00"] {
            assert_eq!(offset_s(text), None, "{text}");
        }
    }

    #[test]
    fn only_real_dates_in_the_one_form_are_taken() {
        assert_eq!(civil_date(" 2032-02-29 "), Ok(NaiveDate::from_ymd_opt(2032, 2, 29).unwrap()));
        for text in [
            "",
            "2031",
            "2031-3-9",
            "2031-13-01",
            "2031-02-30",
            "-2031-01-01",
            "2031-01-01T00:00",
            "+2031-01-01",
        ] {
            assert_eq!(civil_date(text).unwrap_err().code(), "malformed", "{text}");
        }
        assert_eq!(civil_date("1899-12-31").unwrap_err().code(), "out-of-range");
    }
}
