//! Moments as a calendar with alarms, iCalendar (RFC 5545), so that a phone rings for them while it sleeps.
//!
//! Times are written in UTC, to the second. A moment's UID is the caller's word for it, so that the same sheet taken in again
//! replaces itself in a calendar that goes by UIDs (3.8.4.7); DTSTAMP is the caller's clock. Lines are folded at 75
//! octets (3.1) between characters, texts escaped (3.3.11), and control characters left out. An event
//! without an end ends where it starts (3.6.1).

use chrono::{Datelike, Timelike};

use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::shoot::exchange::append;
use crate::sky::place::Place;
use crate::units::Instant;

/// How many moments one calendar may hold.
pub const MOMENTS: Bounds = Bounds::new("moments", 0.0, 200.0, " moments");
/// How long before its moment an alarm may ring.
pub const ALARM: Bounds = Bounds::new("alarmsMin", 0.0, 1440.0, " min");

/// Octets of a line, without its end; and of the longest name that opens one.
const LINE: usize = 75;
const LONGEST_NAME: usize = "DESCRIPTION".len();

/// A moment of a calendar, as it is given.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// What it is known by, the same each time.
    pub uid: String,
    /// When, or when it begins, milliseconds since 1970 UTC.
    pub start_ms: f64,
    /// When it ends, for what lasts.
    pub end_ms: Option<f64>,
    /// What happens.
    pub summary: String,
    /// More about it.
    pub notes: String,
    /// Whole minutes before the start at which the phone is to ring; [`ALARM`].
    pub alarms_min: Vec<f64>,
}

/// The text of a calendar file, made at a moment in milliseconds since 1970 UTC.
///
/// # Errors
/// Too many moments, one beyond the years of the sky, or an alarm that is no whole minute within [`ALARM`]: names
/// `moments`, `madeAtMs`, `startMs`, `endMs` or `alarmsMin`.
///
/// ```
/// use duskbook::shoot::calendar::{Moment, write};
/// use duskbook::sky::place::Place;
/// let sunset = Moment {
///     uid: "w1-sunset".into(), start_ms: 1_930_849_200_000.0, end_ms: None, summary: "Sunset".into(), notes: String::new(),
///     alarms_min: vec![10.0],
/// };
/// let place = Place::new(51.25, -4.5, 0.0).unwrap();
/// let file = write(&[sunset], "Heron Weir", &place, 1_930_849_200_000.0).unwrap();
/// assert!(file.contains("\r\nDTSTART:20310309T190000Z\r\n"));
/// assert!(file.contains("\r\nTRIGGER:-PT10M\r\n"));
/// ```
pub fn write(moments: &[Moment], name: &str, place: &Place, made_at_ms: f64) -> Result<String> {
    MOMENTS.check(moments.len() as f64)?;
    let made = utc("madeAtMs", made_at_ms)?;
    let mut geo = written(place.latitude().degrees());
    append(&mut geo, &[";", &written(place.longitude().degrees())]);
    let mut out = Calendar(String::from(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Duskbook//Run sheet//EN\r\nCALSCALE:GREGORIAN\r\n",
    ));
    for moment in moments {
        out.line("BEGIN:VEVENT\r\nDTSTAMP", &made);
        out.line("DTSTART", &utc("startMs", moment.start_ms)?);
        if let Some(end_ms) = moment.end_ms.filter(|&end_ms| end_ms > moment.start_ms) {
            out.line("DTEND", &utc("endMs", end_ms)?);
        }
        out.text("UID", &moment.uid);
        out.text("SUMMARY", &moment.summary);
        out.text("DESCRIPTION", &moment.notes);
        out.text("LOCATION", name);
        out.line("GEO", &geo);
        for &minutes in &moment.alarms_min {
            if ALARM.check(minutes)?.fract() != 0.0 {
                return Err(Error::malformed(ALARM.field, written(minutes), "whole minutes"));
            }
            append(
                &mut out.0,
                &["BEGIN:VALARM\r\nACTION:DISPLAY\r\nTRIGGER:-PT", &written(minutes), "M\r\n"],
            );
            // An alarm must say something (3.6.6).
            out.text("DESCRIPTION", if moment.summary.is_empty() { "." } else { &moment.summary });
            out.line("END", "VALARM");
        }
        // Nobody is busy because the sun sets.
        out.line("TRANSP:TRANSPARENT\r\nEND", "VEVENT");
    }
    out.line("END", "VCALENDAR");
    Ok(out.0)
}

/// A calendar that is being written.
struct Calendar(String);

impl Calendar {
    /// A property whose value is folded onto lines of 75 octets at most.
    #[inline(never)]
    fn line(&mut self, name: &str, value: &str) {
        self.0.push_str(name);
        self.0.push(':');
        let mut room = LINE - LONGEST_NAME - 1;
        for letter in value.chars() {
            if letter.len_utf8() > room {
                self.0.push_str("\r\n ");
                room = LINE - 1;
            }
            room -= letter.len_utf8();
            self.0.push(letter);
        }
        self.0.push_str("\r\n");
    }

    /// A property of text (3.3.11), when there is any.
    #[inline(never)]
    fn text(&mut self, name: &str, text: &str) {
        let mut out = String::with_capacity(text.len());
        for letter in text.chars() {
            match letter {
                '\\' | ';' | ',' => out.extend(['\\', letter]),
                '\n' => out.push_str("\\n"),
                _ if letter.is_control() && letter != '\t' => {}
                _ => out.push(letter),
            }
        }
        if !out.is_empty() {
            self.line(name, &out);
        }
    }
}

/// A moment in the form of 3.3.5, rounded to the second.
fn utc(field: &'static str, ms: f64) -> Result<String> {
    let ms = Instant::from_epoch_ms(ms).map_err(|refused| refused.in_field(field))?.epoch_ms();
    // All that pass the check have a date.
    let at = Instant::computed((ms / 1e3).round() * 1e3).to_chrono().unwrap_or_default();
    let year = at.year() as u32;
    let mut out = String::new();
    for part in [year / 100, year % 100, at.month(), at.day(), at.hour(), at.minute(), at.second()] {
        if out.len() == 8 {
            out.push('T');
        }
        for digit in [part / 10, part % 10] {
            out.push(char::from(b'0' + digit as u8));
        }
    }
    out.push('Z');
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn moment(summary: &str, notes: &str) -> Moment {
        Moment {
            uid: "w1-2031-03-09-sunset".into(),
            start_ms: 1_930_849_199_600.0,
            end_ms: None,
            summary: summary.into(),
            notes: notes.into(),
            alarms_min: vec![0.0, 15.0],
        }
    }

    fn weir() -> Place {
        Place::new(51.25, -4.5, 0.0).unwrap()
    }

    fn written_of(moment: Moment) -> String {
        write(&[moment], "Heron Weir", &weir(), 0.0).unwrap()
    }

    /// Unfolded and split, as RFC 5545, 3.1 has it.
    fn unfolded(file: &str) -> Vec<String> {
        file.replace("\r\n ", "").split("\r\n").map(str::to_owned).collect()
    }

    #[test]
    fn times_are_utc_to_the_nearest_second() {
        let file = written_of(moment("Sunset", ""));
        assert!(
            file.contains("DTSTART:20310309T190000Z\r\n") && file.contains("DTSTAMP:19700101T000000Z\r\n"),
            "{file}"
        );
        assert!(!file.contains("DTEND") && file.contains("GEO:51.25;-4.5\r\n"), "{file}");
        assert_eq!(file.matches("BEGIN:VALARM").count(), 2);
    }

    #[test]
    fn the_escapes_and_the_folding_of_rfc_5545() {
        // 3.3.11: backslash, semicolon, comma, line feed.
        let file = written_of(moment("a\\b;c,d", "one\r\ntwo\u{7}"));
        assert!(
            file.contains("SUMMARY:a\\\\b\\;c\\,d\r\n") && file.contains("DESCRIPTION:one\\ntwo\r\n"),
            "{file}"
        );
        // 3.1: no line longer than 75 octets, no character cut.
        let file = written_of(moment(&"ü🌘".repeat(60), ""));
        assert!(file.split("\r\n").all(|line| line.len() <= 75));
        assert!(file.split("\r\n").any(|line| line.len() >= 72));
    }

    #[test]
    fn an_alarm_rings_on_a_whole_minute_of_the_day_before_at_most() {
        let refused = |minutes| {
            let moment = Moment { alarms_min: vec![minutes], ..moment("", "") };
            write(&[moment], "", &weir(), 0.0).unwrap_err().code()
        };
        assert_eq!(
            (refused(0.5), refused(1441.0), refused(f64::NAN)),
            ("malformed", "out-of-range", "not-a-number")
        );
        let many = vec![moment("", ""); 201];
        assert_eq!(write(&many, "", &weir(), 0.0).unwrap_err().field(), "moments");
    }

    proptest! {
        #[test]
        fn dates_are_those_of_another_library(seconds in -2_208_988_800_i64..4_102_444_800) {
            let expected = chrono::DateTime::from_timestamp(seconds, 0).unwrap();
            let read = chrono::NaiveDateTime::parse_from_str(&utc("", seconds as f64 * 1e3).unwrap(), "%Y%m%dT%H%M%SZ");
            prop_assert_eq!(read.unwrap(), expected.naive_utc());
        }

        #[test]
        fn no_text_begins_a_line_of_its_own(summary: String, notes in "(?s).{0,300}", place: String, uid: String) {
            let moment = Moment { uid, ..moment(&summary, &notes) };
            let file = write(&[moment], &place, &weir(), 0.0).unwrap();
            prop_assert!(file.split("\r\n").all(|line| line.len() <= LINE && !line.contains(['\r', '\n'])));
            let names = ["BEGIN", "VERSION", "PRODID", "CALSCALE", "UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION",
                "LOCATION", "GEO", "TRANSP", "ACTION", "TRIGGER", "END", ""];
            for line in unfolded(&file) {
                prop_assert!(names.contains(&line.split(':').next().unwrap_or_default()), "{}", line);
            }
            let begun = unfolded(&file).iter().filter(|line| line.starts_with("BEGIN:")).count();
            prop_assert_eq!(begun, 4);
        }
    }
}
