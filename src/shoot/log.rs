//! The log as a table in a file that any spreadsheet opens, and back.
//!
//! The form is RFC 4180's: a header, commas, fields quoted where they hold commas, quotes or line ends, quotes doubled,
//! CRLF at the end of each line. Moments are UTC as ISO 8601 writes them, to the millisecond; numbers have all their digits;
//! units stand in the names of the columns.
//!
//! | column | value |
//! |---|---|
//! | `id`, `spotId` | the words that the records go by; may be empty |
//! | `spotName`, `whiteBalance`, `note` | text |
//! | `at` | `2031-03-09T18:42:07.123Z` |
//! | `aperture`, `shutterS`, `iso`, `focalMm` | numbers |
//! | `filterStops`, `compensationStops`, `rating` | numbers; empty is 0 |
//! | `intent` | `sky`, `frame`, `shadows`, `highlights`; empty is `frame` |
//! | `reading` | `yes` or `no`; empty is `no` |
//! | `source` | `photo`, `desk`, `hand`; empty is `hand` |
//! | `setting`, `ev100`, `sunAltitudeDeg`, `moonAltitudeDeg` | worked out anew; not read |
//!
//! A text that a spreadsheet would run as a formula (one that begins with `=`, `+`, `-`, `@`, a tab or a carriage return; OWASP,
//! "CSV Injection") has an apostrophe put before it, and one that begins with an apostrophe has another; reading takes it
//! off, so that every text comes back as it was.
//!
//! Reading takes columns in any order, lines that end in LF alone, and the semicolons or tabs with decimal commas that
//! spreadsheets write in some languages; a column that is not in the table is let be. A line with something wrong is left out and
//! told with its number and field; the others are read all the same.

use chrono::{Datelike, Timelike};

use crate::error::{Bounds, Error, Problems, Result};
use crate::shoot::frame::FrameForm;
use crate::units::{Instant, civil_date, clock_s, midnight_ms, offset_s};

/// A file's size.
const TEXT: Bounds = Bounds::new("text", 0.0, 20_000_000.0, " bytes");

/// What is kept of a frame, in the order in which it is written.
const KEPT: [&str; 16] = [
    "id",
    "spotId",
    "spotName",
    "at",
    "aperture",
    "shutterS",
    "iso",
    "filterStops",
    "compensationStops",
    "focalMm",
    "whiteBalance",
    "intent",
    "rating",
    "reading",
    "source",
    "note",
];
/// What is worked out beside it.
const WORKED_OUT: [&str; 4] = ["setting", "ev100", "sunAltitudeDeg", "moonAltitudeDeg"];

/// What a spreadsheet takes for the beginning of a formula, and the mark that it is none.
const FORMULA: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\''];

/// How numbers are written and read, to their last bit. The tables for that are large, and a browser has them.
#[derive(Debug, Clone, Copy)]
pub struct Digits {
    /// The shortest decimal that reads back as the number.
    pub write: fn(f64) -> String,
    /// The number of a plain decimal.
    pub read: fn(&str) -> Option<f64>,
}

/// What is told of a frame beside what it was given: its setting in words; its brightness, the
/// altitudes of sun and moon in degrees.
pub type WorkedOut = (String, [Option<f64>; 3]);

/// A log, read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LogRead {
    /// The frames of the good lines, in order.
    pub frames: Vec<FrameForm>,
    /// What was wrong with the others, by the numbers of their lines.
    pub problems: Vec<(usize, Error)>,
}

/// The log as a text.
pub fn write(frames: &[(FrameForm, WorkedOut)], digits: Digits) -> String {
    let mut text = String::new();
    line(&mut text, KEPT.iter().chain(&WORKED_OUT).map(|&name| name.to_owned()));
    let number = |value: Option<f64>| value.map_or_else(String::new, digits.write);
    for (frame, (setting, [ev100, sun, moon])) in frames {
        let fields = [
            plain(&frame.id),
            plain(frame.spot_id.as_deref().unwrap_or_default()),
            plain(&frame.spot_name),
            moment(frame.at_ms),
            number(Some(frame.aperture)),
            number(Some(frame.shutter_s)),
            number(Some(frame.iso)),
            number(Some(frame.filter_stops)),
            number(Some(frame.compensation_stops)),
            number(frame.focal_mm),
            plain(&frame.white_balance),
            plain(&frame.intent),
            number(Some(frame.rating)),
            if frame.reading { "yes" } else { "no" }.to_owned(),
            plain(&frame.source),
            plain(&frame.note),
            plain(setting),
            number(*ev100),
            number(*sun),
            number(*moon),
        ];
        line(&mut text, fields);
    }
    text
}

/// One line, each field quoted where it must be.
fn line(text: &mut String, fields: impl IntoIterator<Item = String>) {
    for (place, field) in fields.into_iter().enumerate() {
        if place > 0 {
            text.push(',');
        }
        if field.chars().any(|letter| matches!(letter, ',' | '"' | '\r' | '\n' | ';' | '\t')) {
            text.push('"');
            for letter in field.chars() {
                text.push(letter);
                if letter == '"' {
                    text.push(letter);
                }
            }
            text.push('"');
        } else {
            text.push_str(&field);
        }
    }
    text.push_str("\r\n");
}

/// Text that no spreadsheet takes for a formula.
fn plain(text: &str) -> String {
    if text.starts_with(FORMULA) { format!("'{text}") } else { text.to_owned() }
}

/// The text that was made plain.
fn unmarked(text: &str) -> String {
    text.strip_prefix('\'').filter(|rest| rest.starts_with(FORMULA)).unwrap_or(text).to_owned()
}

/// A moment as ISO 8601 writes it, in UTC; empty when it is none.
fn moment(at_ms: f64) -> String {
    let Some(at) = Instant::from_epoch_ms(at_ms).ok().and_then(Instant::to_chrono) else {
        return String::new();
    };
    let two = |part: u32| format!("{part:02}");
    let [month, day, hour, minute, second] =
        [at.month(), at.day(), at.hour(), at.minute(), at.second()].map(two);
    format!("{}-{month}-{day}T{hour}:{minute}:{second}.{:03}Z", at.year(), at.timestamp_subsec_millis())
}

/// The moment that a text names: a date, `T` or a space, hours and minutes, with seconds or without, `Z` or `+01:00`.
fn moment_of(text: &str) -> Result<f64> {
    let refused = || Error::malformed("at", text, "a time like 2031-03-09T18:42:07Z");
    let text = text.trim();
    let (date, time) = text.split_once(['T', ' ']).ok_or_else(refused)?;
    let date = civil_date(date).map_err(|error| error.in_field("at"))?;
    let offset_at = time.find(['Z', '+', '-']);
    let (clock, offset) = offset_at.and_then(|at| time.split_at_checked(at)).ok_or_else(refused)?;
    let seconds =
        clock_s(clock).zip(offset_s(offset)).map(|(clock, ahead)| clock - ahead).ok_or_else(refused)?;
    Ok(midnight_ms(date) + (seconds * 1e3).round())
}

/// The log of a text.
///
/// # Errors
/// A text that is no log at all (too long, or its first line does not name `at`, `aperture`, `shutterS` and `iso`): names
/// `text`. What is wrong with single lines is told in [`LogRead::problems`].
pub fn read(text: &str, digits: Digits) -> Result<LogRead> {
    TEXT.check(text.len() as f64)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().next().unwrap_or_default();
    let comma = first.chars().find(|letter| matches!(letter, ',' | ';' | '\t')).unwrap_or(',');
    let mut lines = Lines { text, comma, number: 1 };
    let (_, header) = lines.next().unwrap_or_default();
    let columns: Vec<&str> = header.iter().map(|name| name.trim()).collect();
    for needed in ["at", "aperture", "shutterS", "iso"] {
        if !columns.contains(&needed) {
            let message = format!("the first line names no column {needed}: this is no log");
            return Err(Error::conflict("text", message));
        }
    }
    let mut log = LogRead::default();
    for (number, fields) in lines {
        if fields.len() == 1 && fields[0].is_empty() {
            continue;
        }
        if fields.len() != columns.len() {
            let (has, needs) = (fields.len(), columns.len());
            let message = format!("this line has {has} fields, the first line {needs}");
            log.problems.push((number, Error::conflict("text", message)));
            continue;
        }
        let row = Row { columns: &columns, fields: &fields, digits };
        match row.frame() {
            Ok(frame) => log.frames.push(frame),
            Err(problems) => log.problems.extend(problems.list().iter().map(|error| (number, error.clone()))),
        }
    }
    Ok(log)
}

/// The lines of a text with their numbers, each cut into its fields; a quoted field may hold line ends.
struct Lines<'a> {
    text: &'a str,
    comma: char,
    number: usize,
}

impl Iterator for Lines<'_> {
    type Item = (usize, Vec<String>);

    fn next(&mut self) -> Option<Self::Item> {
        if self.text.is_empty() {
            return None;
        }
        let began = self.number;
        let (mut fields, mut field, mut quoted) = (Vec::new(), String::new(), false);
        let mut rest = self.text.char_indices().peekable();
        let mut end = self.text.len();
        let mut fresh = true;
        while let Some((at, letter)) = rest.next() {
            self.number += usize::from(letter == '\n');
            let after = rest.peek().map(|&(_, next)| next);
            match letter {
                '"' if quoted && after == Some('"') => {
                    field.push('"');
                    rest.next();
                }
                '"' if quoted => quoted = false,
                '"' if fresh => quoted = true,
                '\r' if !quoted && after == Some('\n') => {}
                '\n' if !quoted => {
                    end = at + 1;
                    break;
                }
                mark if mark == self.comma && !quoted => {
                    fields.push(std::mem::take(&mut field));
                    fresh = true;
                    continue;
                }
                other => field.push(other),
            }
            fresh = false;
        }
        fields.push(field);
        self.text = self.text.get(end..).unwrap_or_default();
        Some((began, fields))
    }
}

/// One line under its header.
struct Row<'a> {
    columns: &'a [&'a str],
    fields: &'a [String],
    digits: Digits,
}

impl Row<'_> {
    /// The field of a column, as it stands; empty where there is none.
    fn text(&self, column: &str) -> &str {
        let place = self.columns.iter().position(|name| *name == column);
        place.and_then(|place| self.fields.get(place)).map_or("", String::as_str)
    }

    /// A text with its mark taken off.
    fn words(&self, column: &str) -> String {
        unmarked(self.text(column))
    }

    /// A word of a few, or the usual one.
    fn word(&self, column: &str, usual: &str) -> String {
        let word = self.text(column).trim();
        if word.is_empty() { usual } else { word }.to_owned()
    }

    fn optional(&self, column: &'static str) -> Result<Option<f64>> {
        let text = self.text(column).trim();
        let text: String = text.chars().map(|letter| if letter == ',' { '.' } else { letter }).collect();
        if text.is_empty() {
            return Ok(None);
        }
        let signs = |byte: u8| byte.is_ascii_digit() || b"+-.eE".contains(&byte);
        let value = if text.bytes().all(signs) { (self.digits.read)(&text) } else { None };
        value.filter(|value| value.is_finite()).map(Some).ok_or_else(|| Error::not_a_number(column, text))
    }

    fn needed(&self, column: &'static str) -> Result<f64> {
        self.optional(column)?.ok_or_else(|| Error::missing(column, "a number"))
    }

    fn yes(&self, column: &'static str) -> Result<bool> {
        match self.text(column).trim() {
            "yes" | "true" | "TRUE" | "1" => Ok(true),
            "no" | "false" | "FALSE" | "0" | "" => Ok(false),
            other => Err(Error::unknown(column, other, &["yes", "no"])),
        }
    }

    fn frame(&self) -> std::result::Result<FrameForm, Problems> {
        let mut problems = Problems::default();
        let at_ms = problems.note(moment_of(self.text("at")));
        let aperture = problems.note(self.needed("aperture"));
        let shutter_s = problems.note(self.needed("shutterS"));
        let iso = problems.note(self.needed("iso"));
        let [filter_stops, compensation_stops, rating, focal_mm] =
            ["filterStops", "compensationStops", "rating", "focalMm"]
                .map(|column| problems.note(self.optional(column)).flatten());
        let reading = problems.note(self.yes("reading")).unwrap_or_default();
        let form = || {
            Some(FrameForm {
                id: self.words("id"),
                spot_id: Some(self.words("spotId")).filter(|id| !id.is_empty()),
                spot_name: self.words("spotName"),
                at_ms: at_ms?,
                aperture: aperture?,
                shutter_s: shutter_s?,
                iso: iso?,
                filter_stops: filter_stops.unwrap_or_default(),
                compensation_stops: compensation_stops.unwrap_or_default(),
                focal_mm,
                white_balance: self.words("whiteBalance"),
                intent: self.word("intent", "frame"),
                note: self.words("note"),
                rating: rating.unwrap_or_default(),
                reading,
                source: self.word("source", "hand"),
            })
        };
        let Some(form) = form().filter(|_| problems.list().is_empty()) else { return Err(problems) };
        form.check().map(|_| form)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::damage::{damaged, odd};
    use crate::shoot::frame::tests::weir;
    use proptest::prelude::*;

    const GOOD: [&str; 2] = [
        "id,spotId,spotName,at,aperture,shutterS,iso,filterStops,compensationStops,focalMm,whiteBalance,intent,rating,reading,\
         source,note\r\na1,s1,Heron Weir,2031-03-10T19:42:07.123Z,11.3,0.125,100,0,-1,35,5000 K,frame,3,yes,hand,'=1\r\n\
         ,,,2031-03-09 19:42+01:00,8,30,1600,3,0,,,sky,0,no,photo,\"a \"\"b\"\", c\nd\"\r\n",
        "iso;at;aperture;shutterS\n100;2031-03-09T18:42:07.5Z;5,6;0,25\n200;2031-03-09T18:43Z;8;1e-1\n",
    ];

    const DIGITS: Digits = Digits { write: |value| value.to_string(), read: |text| text.parse().ok() };

    fn written(frames: &[FrameForm]) -> String {
        let rows: Vec<_> =
            frames.iter().map(|frame| (frame.clone(), (String::new(), [Some(9.5), None, None]))).collect();
        write(&rows, DIGITS)
    }

    fn problems(text: &str) -> Vec<(usize, String)> {
        let told = |(line, error): &(usize, Error)| (*line, error.to_string());
        read(text, DIGITS).unwrap().problems.iter().map(told).collect()
    }

    #[test]
    fn a_frame_is_one_line_with_its_units_in_the_header() {
        let text = written(&[weir()]);
        let lines: Vec<&str> = text.split("\r\n").collect();
        assert!(
            lines[0].starts_with("id,spotId,spotName,at,aperture,shutterS,iso,")
                && lines[0].ends_with("ev100,sunAltitudeDeg,moonAltitudeDeg")
        );
        assert_eq!(
            lines[1],
            "a1,s1,Heron Weir,2031-03-10T19:42:07.123Z,11.313708498984761,0.125,100,0,0,35,5000 K,frame,0,no,hand,,,9.5,,"
        );
        assert_eq!((lines[2], lines.len()), ("", 3));
    }

    #[test]
    fn what_a_spreadsheet_would_run_is_text_and_comes_back_as_it_was() {
        for note in [
            "=1+1",
            "+1",
            "-2 looks better",
            "@home",
            "\tx",
            "'quoted'",
            "''",
            "'=1",
            "a\r\nb \"c\", d;",
            " ",
            "'",
            "ſ😀",
        ] {
            let frame = FrameForm { note: note.into(), ..weir() };
            let text = written(std::slice::from_ref(&frame));
            assert!(!text.contains(",=") && !text.contains(",@") && !text.contains("\"\t"), "{text}");
            assert_eq!(
                read(&text, DIGITS).unwrap(),
                LogRead { frames: vec![frame], problems: vec![] },
                "{note:?}"
            );
        }
    }

    #[test]
    fn good_lines_are_read_and_bad_ones_told_by_line_and_field() {
        let text = "at,aperture,shutterS,iso,note,colour\n2031-03-09T18:42Z,8,0.5,100,\"two\nlines\",red\n\
            2031-03-09 19:42:07+01:00,8,0.5,100,,\n\
            2031-02-30T18:42Z,eight,0.5,1e9,,\n2031-03-09T18:42Z,8\n\n2031-03-09T18:42Z,8,,100,,\n";
        let log = read(text, DIGITS).unwrap();
        assert_eq!(log.frames.len(), 2);
        assert_eq!((log.frames[0].note.as_str(), log.frames[0].intent.as_str()), ("two\nlines", "frame"));
        // 18:42 UTC and 19:42:07 an hour ahead of it are seven seconds apart.
        assert_eq!(log.frames[1].at_ms - log.frames[0].at_ms, 7000.0);
        assert_eq!(
            problems(text),
            [
                (5, "at: \"2031-02-30\" cannot be read; expected a date like 2031-03-09".to_owned()),
                (5, "aperture: \"eight\" is not a number".to_owned()),
                (6, "text: this line has 2 fields, the first line 6".to_owned()),
                (8, "shutterS: nothing given; expected a number".to_owned()),
            ]
        );
        assert_eq!(
            problems("at,aperture,shutterS,iso\n2031-03-09T18:42Z,8,1,1e9")[0].1,
            "iso: 1000000000 is outside 0.5 to 6553600"
        );
    }

    #[test]
    fn spreadsheets_of_other_languages_are_read() {
        let log =
            read("\u{feff}iso;at;aperture;shutterS\n100;2031-03-09T18:42:07.5Z;5,6;0,25\n", DIGITS).unwrap();
        assert_eq!((log.frames[0].aperture, log.frames[0].shutter_s), (5.6, 0.25));
        assert_eq!(log.frames[0].at_ms % 1000.0, 500.0);
    }

    #[test]
    fn what_is_no_log_is_refused() {
        for text in ["", "hello", "id,note\na,b", "\"at,aperture,shutterS,iso"] {
            assert_eq!(read(text, DIGITS).unwrap_err().field(), "text", "{text}");
        }
    }

    proptest! {
        #[test]
        fn every_log_comes_back_equal(
            at in -2_208_988_800_000_i64..4_102_444_800_000, aperture in 0.5..512.0, shutter in 0.00001..86_400.0,
            iso in 1.0..1e6, filter in 0.0..30.0, compensation in -10.0..10.0, focal in proptest::option::of(2.0..3000.0),
            words in proptest::collection::vec("[ -~\r\n\tà€😀]{0,20}", 3), rating in 0_u8..=5,
        ) {
            let frame = FrameForm {
                at_ms: at as f64, aperture, shutter_s: shutter, iso, filter_stops: filter, compensation_stops: compensation,
                focal_mm: focal, white_balance: words[0].clone(), note: words[1].clone(), spot_name: words[2].clone(),
                rating: rating.into(), ..weir()
            };
            let log = read(&written(&[frame.clone(), frame.clone()]), DIGITS).unwrap();
            prop_assert_eq!(log, LogRead { frames: vec![frame.clone(), frame], problems: vec![] });
        }

        #[test]
        fn no_text_breaks_the_reader(text in "(?s).{0,200}", strange in odd(), damaged in damaged(&GOOD)) {
            let under = |header: &str| [header, text.as_str()].concat();
            for text in [under(""), under("at,aperture,shutterS,iso\n"), strange, damaged] {
                let log = match read(&text, DIGITS) {
                    Ok(log) => log,
                    Err(refused) => {
                        prop_assert_eq!(refused.field(), "text");
                        continue;
                    }
                };
                let lines = text.matches('\n').count() + 1;
                prop_assert!(log.problems.iter().all(|(line, error)| *line <= lines && error.to_string().len() < 500));
                // What was read can be kept, and goes out and in again as it is.
                prop_assert!(log.frames.iter().all(|frame| frame.check().is_ok()));
                let again = read(&written(&log.frames), DIGITS).unwrap();
                prop_assert_eq!(again, LogRead { frames: log.frames, problems: vec![] });
            }
        }
    }
}
