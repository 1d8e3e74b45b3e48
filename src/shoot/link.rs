//! A spot and its shot in the fragment of an address, readable and editable by hand.
//!
//! ```text
//! #spot?v=1&name=Heron+Weir&lat=51.25&lon=-4.5&elev=3&zone=Europe/London&bearing=285&skyline=1.5
//!   &format=36x24&focal=35&walk=12&setup=15&aperture=4-11&iso=100-1600&time=8&filter=3
//! ```
//!
//! | key | value |
//! |---|---|
//! | `v` | version of the form, 1 |
//! | `name`, `notes` | text |
//! | `lat`, `lon`, `elev` | degrees north, degrees east, metres above the sea |
//! | `zone` | IANA name |
//! | `bearing`, `skyline` | degrees from true north, degrees above the horizontal |
//! | `format`, `focal` | millimetres |
//! | `walk`, `setup` | minutes |
//! | `aperture`, `iso` | from-to, or one value |
//! | `time` | seconds wanted; absent when any will do |
//! | `filter` | stops |
//!
//! Keys may stand in any order, and any but the position, zone and bearing may be absent. Values are percent-encoded
//! UTF-8 (RFC 3986); a space is written `+`, as in forms, and read from `+` or `%20`. Bad values are left out and
//! reported; keys that are not in the table are kept in order and written back behind the others.

use crate::decimal::{self, written};
use crate::error::{Bounds, Error, Problems, Result, shortened};
use crate::optics::format::Format;
use crate::shoot::shot::{APERTURE_MAX, APERTURE_MIN, FILTER, ISO_MAX, ISO_MIN, SHUTTER_WANTED, ShotForm};
use crate::shoot::spot::{
    FOCAL_LENGTH, NAME, NOTES, SET_UP, SKYLINE, SpotForm, WALK, checked_text, checked_zone,
};
use crate::sky::place::{ELEVATION, LATITUDE, LONGITUDE};
use crate::units::BEARING;

/// The version that is written.
const VERSION: u32 = 1;

/// What a link begins with.
const OPENING: &str = "#spot?";

/// What stays as it is in a value: characters that mean nothing in a query and that no messenger cuts a link at.
const PLAIN: &[u8] = b"-._~/:,";

/// A link, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    /// The spot; what was bad is left open.
    pub spot: SpotForm,
    /// The shot; what was bad is left open.
    pub shot: ShotForm,
    /// Keys that this version does not know, with their values, in order.
    pub unknown: Vec<(String, String)>,
    /// Everything that was wrong, by the names that the fields have at the boundary.
    pub problems: Problems,
}

impl Link {
    /// Reads an address or its fragment. Never fails: what cannot be read is reported in [`Self::problems`].
    ///
    /// ```
    /// use duskbook::shoot::link::Link;
    /// let read = Link::read("#spot?v=1&lat=91&lon=-4.5&zone=Europe/London&bearing=285&lens=old");
    /// assert_eq!((read.spot.latitude_deg, read.spot.longitude_deg), (None, Some(-4.5)));
    /// assert_eq!(read.problems.list()[0].to_string(), "latitudeDeg: 91 is outside -90° to 90°");
    /// assert_eq!(read.unknown, [("lens".to_owned(), "old".to_owned())]);
    /// ```
    pub fn read(address: &str) -> Self {
        let mut query = Query::of(address);
        query.version();
        let blank = SpotForm::default();
        let spot = SpotForm {
            name: query.text("name", NAME),
            latitude_deg: query.number("lat", LATITUDE, blank.latitude_deg),
            longitude_deg: query.number("lon", LONGITUDE, blank.longitude_deg),
            elevation_m: query.number("elev", ELEVATION, blank.elevation_m),
            zone: query.word("zone", blank.zone, |zone| checked_zone(zone).map(drop)),
            bearing_deg: query.number("bearing", BEARING, blank.bearing_deg),
            skyline_deg: query.number("skyline", SKYLINE, blank.skyline_deg),
            format: query.word("format", blank.format, |format| format.parse::<Format>().map(drop)),
            focal_mm: query.number("focal", FOCAL_LENGTH, blank.focal_mm),
            walk_min: query.number("walk", WALK, blank.walk_min),
            set_up_min: query.number("setup", SET_UP, blank.set_up_min),
            notes: query.text("notes", NOTES),
        };
        let blank = ShotForm::default();
        let aperture = (blank.aperture_min, blank.aperture_max);
        let (aperture_min, aperture_max) = query.range("aperture", APERTURE_MIN, APERTURE_MAX, aperture);
        let iso = (blank.iso_min, blank.iso_max);
        let (iso_min, iso_max) = query.range("iso", ISO_MIN, ISO_MAX, iso);
        let shot = ShotForm {
            aperture_min,
            aperture_max,
            iso_min,
            iso_max,
            shutter_wanted_s: query.number("time", SHUTTER_WANTED, blank.shutter_wanted_s),
            filter_stops: query.number("filter", FILTER, blank.filter_stops),
        };
        let Query { pairs: unknown, mut problems } = query;
        for found in [spot.check().err(), shot.check().err()].into_iter().flatten() {
            problems.add_unmarked(found);
        }
        Self { spot, shot, unknown, problems }
    }

    /// Writes the fragment, from its `#`. Open fields are left out, so that reading gives the same forms back
    /// whenever they pass their checks; numbers are written to fifteen significant digits, more than anyone types.
    ///
    /// An unknown key that has become a known one gives way to it.
    pub fn write(spot: &SpotForm, shot: &ShotForm, unknown: &[(String, String)]) -> String {
        let number = |value: Option<f64>| value.map(written);
        let text = |value: &String| Some(value.clone()).filter(|value| !value.is_empty());
        let known = [
            ("v", Some(VERSION.to_string())),
            ("name", text(&spot.name)),
            ("lat", number(spot.latitude_deg)),
            ("lon", number(spot.longitude_deg)),
            ("elev", number(spot.elevation_m)),
            ("zone", text(&spot.zone)),
            ("bearing", number(spot.bearing_deg)),
            ("skyline", number(spot.skyline_deg)),
            ("format", text(&spot.format)),
            ("focal", number(spot.focal_mm)),
            ("walk", number(spot.walk_min)),
            ("setup", number(spot.set_up_min)),
            ("notes", text(&spot.notes)),
            ("aperture", range(shot.aperture_min, shot.aperture_max)),
            ("iso", range(shot.iso_min, shot.iso_max)),
            ("time", number(shot.shutter_wanted_s)),
            ("filter", number(shot.filter_stops)),
        ];
        let is_known = |key: &str| known.iter().any(|(known, _)| *known == key);
        let kept = unknown.iter().filter(|(key, _)| !is_known(key));
        let mut link = OPENING.to_owned();
        let mut add = |key: &str, value: &str| {
            if link.len() > OPENING.len() {
                link.push('&');
            }
            encode(&mut link, key);
            link.push('=');
            encode(&mut link, value);
        };
        for (key, value) in &known {
            if let Some(value) = value {
                add(key, value);
            }
        }
        for (key, value) in kept {
            add(key, value);
        }
        link
    }
}

/// A range as it is written: one value when both ends are the same.
fn range(least: Option<f64>, most: Option<f64>) -> Option<String> {
    let (least, most) = (least?, most?);
    Some(if least == most { written(least) } else { format!("{}-{}", written(least), written(most)) })
}

/// Adds a text, percent-encoded (RFC 3986, 2.1), with `+` for a space.
fn encode(link: &mut String, text: &str) {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    for &byte in text.as_bytes() {
        if byte == b' ' {
            link.push('+');
        } else if byte.is_ascii_alphanumeric() || PLAIN.contains(&byte) {
            link.push(char::from(byte));
        } else {
            for code in [b'%', DIGITS[usize::from(byte >> 4)], DIGITS[usize::from(byte & 15)]] {
                link.push(char::from(code));
            }
        }
    }
}

/// The text that was encoded; `None` when it is not UTF-8. A `%` without two digits behind it stands for itself.
fn decoded(encoded: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(encoded.len());
    let mut rest = encoded.as_bytes();
    while let [first, after @ ..] = rest {
        let digit = |at: usize| after.get(at).and_then(|&digit| char::from(digit).to_digit(16));
        rest = after;
        match (first, digit(0).zip(digit(1))) {
            (b'%', Some((high, low))) => {
                bytes.push((16 * high + low) as u8);
                rest = after.get(2..).unwrap_or_default();
            }
            (b'+', _) => bytes.push(b' '),
            (&other, _) => bytes.push(other),
        }
    }
    String::from_utf8(bytes).ok()
}

/// The pairs of a link that nobody has asked for yet, and what was wrong so far.
struct Query {
    pairs: Vec<(String, String)>,
    problems: Problems,
}

impl Query {
    fn of(address: &str) -> Self {
        const EXPECTED: &str = "a link like #spot?v=1&name=…&lat=…&lon=…";
        const LONGEST: f64 = 60_000.0;
        const LENGTH: Bounds = Bounds::new("link", 0.0, LONGEST, " bytes");
        let mut problems = Problems::default();
        let query = LENGTH.check(address.len() as f64).and_then(|_| {
            // The library's search for a text in a text is a kilobyte more than one for a letter.
            let opened = |(at, _)| address.get(at..)?.strip_prefix(OPENING);
            let query = address.match_indices('#').find_map(opened);
            query.ok_or_else(|| Error::malformed("link", address, EXPECTED))
        });
        let mut pairs = Vec::new();
        for pair in problems.note(query).unwrap_or_default().split('&').filter(|pair| !pair.is_empty()) {
            let (key, value) = pair.split_once('=').unwrap_or((pair, ""));
            let refused = || Error::malformed("link", pair, "percent-encoded UTF-8");
            let read = decoded(key).zip(decoded(value)).ok_or_else(refused);
            pairs.extend(problems.note(read));
        }
        Self { pairs, problems }
    }

    /// The first value of a key, taken out. Later ones are taken out too and reported for `field`.
    fn take(&mut self, key: &str, field: &'static str) -> Option<String> {
        let taken: Vec<String> =
            self.pairs.extract_if(.., |(name, _)| name == key).map(|(_, value)| value).collect();
        let [first, again @ ..] = taken.as_slice() else { return None };
        if let Some(again) = again.first() {
            let (first, again) = (shortened(first), shortened(again));
            let message = format!(
                "the link gives {key} more than once, as \"{first}\" and \"{again}\"; the first is taken"
            );
            self.problems.note::<()>(Err(Error::conflict(field, message)));
        }
        Some(first.clone())
    }

    /// A number within its bounds; `blank` when the key is absent, `None` when its value is bad.
    fn number(&mut self, key: &str, bounds: Bounds, blank: Option<f64>) -> Option<f64> {
        match self.take(key, bounds.field) {
            Some(text) => self.problems.note(number(&text, bounds)),
            None => blank,
        }
    }

    /// Two numbers with a hyphen between, or one for both.
    fn range(
        &mut self,
        key: &str,
        least: Bounds,
        most: Bounds,
        blank: (Option<f64>, Option<f64>),
    ) -> (Option<f64>, Option<f64>) {
        let Some(text) = self.take(key, least.field) else { return blank };
        let (low, high) = text.split_once('-').unwrap_or((&text, &text));
        (self.problems.note(number(low, least)), self.problems.note(number(high, most)))
    }

    /// Free text; empty when absent or bad.
    fn text(&mut self, key: &'static str, length: Bounds) -> String {
        self.word(key, String::new(), |text| checked_text(text, length).map(drop))
    }

    /// Text that passes a check; `blank` when the key is absent, empty when its value is bad.
    fn word(&mut self, key: &'static str, blank: String, check: impl Fn(&str) -> Result<()>) -> String {
        // The keys of texts are their fields' names.
        let Some(text) = self.take(key, key) else { return blank };
        self.problems.note(check(&text)).map_or_else(String::new, |()| text)
    }

    /// Reports a version that is missing, unreadable or newer than this reader.
    fn version(&mut self) {
        let given = match self.take("v", "v") {
            None => Err(Error::missing("v", "v=1; the link is read as version 1")),
            Some(text) => match text.trim().parse::<u32>() {
                Ok(VERSION) => Ok(()),
                Ok(newer) if newer > VERSION => Err(Error::conflict(
                    "v",
                    format!(
                        "the link is of version {newer} and version {VERSION} is read here; what is known is taken"
                    ),
                )),
                _ => Err(Error::malformed("v", text, "v=1; the link is read as version 1")),
            },
        };
        self.problems.note(given);
    }
}

/// A number within its bounds.
fn number(text: &str, bounds: Bounds) -> Result<f64> {
    bounds.check(decimal::read(text).ok_or_else(|| Error::not_a_number(bounds.field, text.trim()))?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::damage::{damaged, odd};
    use proptest::prelude::*;

    const HERON_WEIR: &str = "#spot?v=1&name=Heron+Weir&lat=51.25&lon=-4.5&elev=3&zone=Europe/London&bearing=285\
        &skyline=1.5&format=36x24&focal=35&walk=12&setup=15&aperture=4-11&iso=100-1600&time=8&filter=3";

    fn told(link: &Link) -> Vec<String> {
        link.problems.list().iter().map(ToString::to_string).collect()
    }

    /// The crate `percent-encoding`, an independent reader and writer, of every character that may be near a border.
    #[test]
    fn texts_are_encoded_and_decoded_as_the_reference_does() {
        use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};
        const ESCAPED: &AsciiSet = &NON_ALPHANUMERIC
            .remove(b'-')
            .remove(b'.')
            .remove(b'_')
            .remove(b'~')
            .remove(b'/')
            .remove(b':')
            .remove(b',');
        for code in 0..0x1_1000 {
            let Some(letter) = char::from_u32(code) else { continue };
            let text = format!("a{letter}b");
            let mut written = String::new();
            encode(&mut written, &text);
            assert_eq!(written, utf8_percent_encode(&text, ESCAPED).to_string().replace("%20", "+"));
            assert_eq!(decoded(&written), Some(text));
        }
        for faulty in
            ["%", "%4", "%4g", "a%", "%%41", "%C3", "%C3%A9", "%c3%a9", "%e2%82", "%FF", "a+b%2B", "100%"]
        {
            let reference =
                percent_decode_str(&faulty.replace('+', " ")).decode_utf8().ok().map(String::from);
            assert_eq!(decoded(faulty), reference, "{faulty}");
        }
    }

    #[test]
    fn the_documented_link_is_read_and_written_as_it_stands() {
        let link = Link::read(HERON_WEIR);
        assert_eq!(told(&link), [""; 0]);
        assert_eq!((link.spot.name.as_str(), link.spot.bearing_deg), ("Heron Weir", Some(285.0)));
        assert_eq!((link.shot.aperture_min, link.shot.iso_max), (Some(4.0), Some(1600.0)));
        assert_eq!(Link::write(&link.spot, &link.shot, &link.unknown), HERON_WEIR);
    }

    #[test]
    fn the_least_link_takes_the_blank_form_for_the_rest() {
        let link = Link::read("https://example.org/field/#spot?v=1&lat=51.25&lon=-4.5&zone=UTC&bearing=0");
        assert_eq!(told(&link), [""; 0]);
        assert!(link.spot.check().is_ok() && link.shot == ShotForm::default());
    }

    #[test]
    fn every_bad_value_is_left_open_and_told_while_the_good_ones_stay() {
        let link = Link::read(
            "#spot?lat=91&lon=west&zone=Mars!&bearing=285&skyline=nan&format=36&focal=35&setup=&walk=5&walk=6\
             &aperture=16-4&iso=x-400&name=%00",
        );
        assert_eq!(
            told(&link),
            [
                "v: nothing given; expected v=1; the link is read as version 1",
                "name: \"\0\" cannot be read; expected text without control characters",
                "latitudeDeg: 91 is outside -90° to 90°",
                "longitudeDeg: \"west\" is not a number",
                "zone: \"Mars!\" cannot be read; expected a zone name like Europe/Lisbon",
                "skylineDeg: \"nan\" is not a number",
                "format: \"36\" cannot be read; expected width and height in millimetres like 36x24",
                "walkMin: the link gives walk more than once, as \"5\" and \"6\"; the first is taken",
                "setUpMin: \"\" is not a number",
                "isoMin: \"x\" is not a number",
                "apertureMax: 4 is below the 16 of apertureMin",
            ]
        );
        let SpotForm { latitude_deg, bearing_deg, walk_min, set_up_min, .. } = link.spot;
        assert_eq!((latitude_deg, bearing_deg, walk_min, set_up_min), (None, Some(285.0), Some(5.0), None));
        assert_eq!((link.shot.iso_min, link.shot.iso_max), (None, Some(400.0)));
    }

    #[test]
    fn versions_are_told_apart_in_words() {
        let version = |v: &str| told(&Link::read(&format!("#spot?{v}&lat=1&lon=2&zone=UTC&bearing=0")));
        assert!(version("v=1").is_empty());
        assert_eq!(
            version("v=2"),
            ["v: the link is of version 2 and version 1 is read here; what is known is taken"]
        );
        assert_eq!(version("v=0").len() + version("v=one").len(), 2);
    }

    #[test]
    fn what_is_no_link_of_ours_is_told_so() {
        for text in ["", "#evening", "spot", "#spot", "hello"] {
            let link = Link::read(text);
            assert_eq!(link.problems.list()[0].field(), "link", "{text}");
        }
        assert_eq!(Link::read(&"#spot?".repeat(20_000)).problems.list()[0].code(), "out-of-range");
    }

    #[test]
    fn keys_of_a_later_day_survive_in_their_order() {
        let link = Link::read(&format!("{HERON_WEIR}&zenith=a%26b&lens=old&&flag&zenith=2"));
        let kept: Vec<(&str, &str)> = link.unknown.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        assert_eq!(kept, [("zenith", "a&b"), ("lens", "old"), ("flag", ""), ("zenith", "2")]);
        let written = Link::write(&link.spot, &link.shot, &link.unknown);
        assert_eq!(written, format!("{HERON_WEIR}&zenith=a%26b&lens=old&flag=&zenith=2"));
    }

    #[test]
    fn text_is_encoded_as_rfc_3986_has_it_and_stays_readable() {
        let encoded = |text: &str| {
            let mut link = String::new();
            encode(&mut link, text);
            link
        };
        // RFC 3986 section 2.5: the characters À and ア.
        assert_eq!(encoded("Àア"), "%C3%80%E3%82%A2");
        assert_eq!(
            encoded("Old quay, 2nd steps: 50% + wind & rain"),
            "Old+quay,+2nd+steps:+50%25+%2B+wind+%26+rain"
        );
        assert_eq!(decoded("a+b%20c%2Bd").as_deref(), Some("a b c+d"));
        assert_eq!(decoded("100%").as_deref(), Some("100%"));
        assert_eq!(decoded("%FF"), None);
    }

    prop_compose! {
        fn text(most: usize)(text in proptest::collection::vec(
            prop_oneof![any::<char>(), Just('+'), Just(' '), Just('%'), Just('&'), Just('\n')], 0..=most,
        )) -> String {
            text.into_iter().filter(|c| !c.is_control() || *c == '\n').collect()
        }
    }

    /// Numbers as they are typed, with six decimals.
    fn typed(range: std::ops::RangeInclusive<f64>) -> impl Strategy<Value = f64> {
        range.prop_map(|number| (number * 1e6).round() / 1e6)
    }

    prop_compose! {
        fn spots()(
            name in text(80), notes in text(300), zone in "[A-Z][a-z]{1,10}(/[A-Z][a-z_+-]{1,12}){0,2}",
            lat in typed(-90.0..=90.0), lon in typed(-180.0..=180.0), elev in typed(-500.0..=9000.0), bearing in typed(0.0..=360.0),
            skyline in typed(-5.0..=60.0), focal in typed(2.0..=3000.0), walk in typed(0.0..=1440.0), set_up in typed(0.0..=240.0),
            width in typed(1.0..=300.0), height in typed(1.0..=300.0),
        ) -> SpotForm {
            SpotForm {
                name, notes, zone, format: format!("{width}x{height}"),
                latitude_deg: Some(lat), longitude_deg: Some(lon), elevation_m: Some(elev),
                bearing_deg: Some(bearing), skyline_deg: Some(skyline), focal_mm: Some(focal),
                walk_min: Some(walk), set_up_min: Some(set_up),
            }
        }
    }

    prop_compose! {
        fn shots()(
            wide in typed(0.5..=8.0), close in typed(8.0..=64.0), slow in typed(50.0..=400.0), fast in typed(400.0..=102400.0),
            wanted in proptest::option::of(typed(0.001..=3600.0)), filter in typed(0.0..=30.0),
        ) -> ShotForm {
            ShotForm {
                aperture_min: Some(wide), aperture_max: Some(close), iso_min: Some(slow), iso_max: Some(fast),
                shutter_wanted_s: wanted, filter_stops: Some(filter),
            }
        }
    }

    proptest! {
        #[test]
        fn any_spot_comes_back_as_it_was(
            spot in spots(), shot in shots(),
            unknown in proptest::collection::vec(("x[^\\p{Cc}]{0,8}", "\\PC{0,20}"), 0..5),
        ) {
            prop_assert!(spot.check().is_ok() && shot.check().is_ok());
            let written = Link::write(&spot, &shot, &unknown);
            prop_assert!(written.is_ascii() && !written.contains(' '));
            let read = Link::read(&written);
            prop_assert_eq!(told(&read), Vec::<String>::new());
            prop_assert_eq!((read.spot, read.shot, read.unknown), (spot, shot, unknown));
        }

        #[test]
        fn no_text_breaks_the_reader(
            text in "\\PC*",
            near in "#spot\\?((v|lat|lon|name|zone|iso|aperture|time|zz)=[0-9a-f%+.,é-]{0,8}&?){0,12}",
            strange in odd(), damaged in damaged(&[HERON_WEIR, "https://example.org/field/#spot?v=1&name=%C3%A9&lat=1&iso=100-1600&x=%26"]),
        ) {
            for text in [text, near, ["#spot?v=1&", strange.as_str()].concat(), strange, damaged] {
                let read = Link::read(&text);
                // What was read is in order, or it was told.
                prop_assert!(!read.problems.list().is_empty() || read.spot.check().is_ok());
                for problem in read.problems.list() {
                    prop_assert!(problem.to_string().len() < 900, "{}", problem);
                }
                let numbers = [read.spot.latitude_deg, read.spot.bearing_deg, read.shot.iso_max, read.shot.shutter_wanted_s];
                prop_assert!(numbers.iter().flatten().all(|number| number.is_finite()));
                let written = Link::write(&read.spot, &read.shot, &read.unknown);
                prop_assert_eq!(Link::read(&written).unknown, read.unknown);
            }
        }
    }
}
