//! Moments as a calendar with alarms, iCalendar (RFC 5545), so that a phone rings for them while it sleeps.
//!
//! Times are written in UTC, to the second. A moment's UID is the caller's word for it, so that the same sheet taken in again
//! replaces itself in a calendar that goes by UIDs (3.8.4.7); DTSTAMP is the caller's clock. Lines are folded at 75
//! octets (3.1) between characters, texts escaped (3.3.11), and control characters left out. An event
//! without an end ends where it starts (3.6.1).

use chrono::{Datelike, Timelike};

use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::units::Instant;

/// How many moments one calendar may hold.
pub const MOMENTS: Bounds = Bounds::new("events", 0.0, 200.0, " events");
/// How long before its moment an alarm may ring.
pub const ALARM: Bounds = Bounds::new("alarmsMin", 0.0, 1440.0, " min");

/// Octets of a line, without its end.
const LINE: usize = 75;

/// A moment of a calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// What it is known by, the same each time.
    pub uid: String,
    /// When, or when it begins.
    pub start: Instant,
    /// When it ends, for what lasts.
    pub end: Option<Instant>,
    /// What happens.
    pub summary: String,
    /// More about it.
    pub notes: String,
    /// Whole minutes before the start at which the phone is to ring; [`ALARM`].
    pub alarms_min: Vec<f64>,
}

/// The text of a calendar file. `position` is in degrees north and east.
///
/// # Errors
/// Too many moments, or an alarm that is no whole minute within [`ALARM`]: names `events` or `alarmsMin`.
///
/// ```
/// use duskbook::shoot::calendar::{Moment, write};
/// use duskbook::units::Instant;
/// let at = Instant::from_epoch_ms(1_930_849_200_000.0).unwrap();
/// let sunset = Moment {
///     uid: "w1-sunset".into(), start: at, end: None, summary: "Sunset".into(), notes: String::new(), alarms_min: vec![10.0],
/// };
/// let file = write(&[sunset], "Heron Weir", Some((51.25, -4.5)), at).unwrap();
/// assert!(file.contains("\r\nDTSTART:20310309T190000Z\r\n"));
/// assert!(file.contains("\r\nTRIGGER:-PT10M\r\n"));
/// ```
pub fn write(moments: &[Moment], place: &str, position: Option<(f64, f64)>, made: Instant) -> Result<String> {
    MOMENTS.check(moments.len() as f64)?;
    let mut out = String::new();
    let geo = position.map(|(latitude, longitude)| [written(latitude), written(longitude)].join(";"));
    for (name, value) in [
        ("BEGIN", "VCALENDAR"),
        ("VERSION", "2.0"),
        ("PRODID", "-//Duskbook//Run sheet//EN"),
        ("CALSCALE", "GREGORIAN"),
    ] {
        line(&mut out, name, value);
    }
    for Moment { uid, start, end, summary, notes, alarms_min } in moments {
        line(&mut out, "BEGIN", "VEVENT");
        line(&mut out, "UID", &escaped(uid));
        line(&mut out, "DTSTAMP", &utc(made));
        line(&mut out, "DTSTART", &utc(*start));
        if let Some(end) = end.filter(|end| end > start) {
            line(&mut out, "DTEND", &utc(end));
        }
        for (name, text) in [("SUMMARY", summary.as_str()), ("DESCRIPTION", notes), ("LOCATION", place)] {
            if !text.is_empty() {
                line(&mut out, name, &escaped(text));
            }
        }
        if let Some(geo) = &geo {
            line(&mut out, "GEO", geo);
        }
        // Nobody is busy because the sun sets.
        line(&mut out, "TRANSP", "TRANSPARENT");
        for &minutes in alarms_min {
            ALARM.check(minutes)?;
            if minutes.fract() != 0.0 {
                return Err(Error::malformed("alarmsMin", written(minutes), "whole minutes"));
            }
            line(&mut out, "BEGIN", "VALARM");
            line(&mut out, "ACTION", "DISPLAY");
            line(&mut out, "DESCRIPTION", &escaped(summary));
            line(&mut out, "TRIGGER", &["-PT", &written(minutes), "M"].concat());
            line(&mut out, "END", "VALARM");
        }
        line(&mut out, "END", "VEVENT");
    }
    line(&mut out, "END", "VCALENDAR");
    Ok(out)
}

/// A property on lines of 75 octets at most.
fn line(out: &mut String, name: &str, value: &str) {
    let mut room = LINE;
    for letter in name.chars().chain([':']).chain(value.chars()) {
        if letter.len_utf8() > room {
            out.push_str("\r\n ");
            room = LINE - 1;
        }
        room -= letter.len_utf8();
        out.push(letter);
    }
    out.push_str("\r\n");
}

/// Text as a value.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\\' | ';' | ',' => out.extend(['\\', letter]),
            '\n' => out.push_str("\\n"),
            '\t' => out.push(letter),
            _ if letter.is_control() => {}
            _ => out.push(letter),
        }
    }
    out
}

/// A moment in the form of 3.3.5, rounded to the second.
fn utc(at: Instant) -> String {
    let Some(at) = at.plus_seconds(0.5).to_chrono() else { return String::new() };
    let two = |number: u32| [number / 10, number % 10].map(|digit| char::from(b'0' + digit as u8));
    let year = at.year() as u32;
    let date = [year / 100, year % 100, at.month(), at.day()].into_iter().flat_map(two);
    let time = [at.hour(), at.minute(), at.second()].into_iter().flat_map(two);
    date.chain(['T']).chain(time).chain(['Z']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn moment(summary: &str, notes: &str) -> Moment {
        Moment {
            uid: "w1-2031-03-09-sunset".into(),
            start: Instant::from_epoch_ms(1_930_849_199_600.0).unwrap(),
            end: None,
            summary: summary.into(),
            notes: notes.into(),
            alarms_min: vec![0.0, 15.0],
        }
    }

    fn written_of(moment: Moment) -> String {
        write(&[moment], "Heron Weir", None, Instant::from_epoch_ms(0.0).unwrap()).unwrap()
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
        assert!(
            !file.contains("DTEND") && !file.contains("GEO") && !file.contains("DESCRIPTION:\r"),
            "{file}"
        );
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
            write(&[moment], "", None, Instant::from_epoch_ms(0.0).unwrap()).unwrap_err().code()
        };
        assert_eq!(
            (refused(0.5), refused(1441.0), refused(f64::NAN)),
            ("malformed", "out-of-range", "not-a-number")
        );
        let many = vec![moment("", ""); 201];
        assert_eq!(write(&many, "", None, many[0].start).unwrap_err().field(), "events");
    }

    proptest! {
        #[test]
        fn no_text_begins_a_line_of_its_own(summary: String, notes in "(?s).{0,300}", place: String, uid: String) {
            let moment = Moment { uid, ..moment(&summary, &notes) };
            let file = write(&[moment], &place, Some((1.0, 2.0)), Instant::from_epoch_ms(0.0).unwrap()).unwrap();
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
