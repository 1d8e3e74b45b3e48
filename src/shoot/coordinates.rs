//! A position as people paste it: a decimal pair, degrees with minutes and seconds, or a `geo:` link.
//!
//! | form | example |
//! |---|---|
//! | decimal degrees, north and east positive | `50.1, -3.2` |
//! | the same with letters, before or after, in either order | `50.1° N, 3.2° W` |
//! | degrees and minutes, with or without seconds | `50°06′30″N 3°12.5′W` |
//! | a `geo:` link (RFC 5870), with its altitude if it has one | `geo:50.1,-3.2,40;u=10` |
//!
//! Decimal commas are not read: in `50,1 3,2` nobody can tell them from the comma between two numbers, so
//! what is not plainly one of these forms is refused.

use std::str::FromStr;

use crate::decimal;
use crate::error::{Error, Result};
use crate::sky::place::{ELEVATION, LATITUDE, LONGITUDE, Place};

/// A position with its numbers as they were read.
///
/// ```
/// use duskbook::shoot::coordinates::Coordinates;
/// let read: Coordinates = "50°30'N 3°15'W".parse().unwrap();
/// assert_eq!((read.latitude_deg, read.longitude_deg, read.elevation_m), (50.5, -3.25, None));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coordinates {
    /// Degrees, north positive, −90 to 90.
    pub latitude_deg: f64,
    /// Degrees, east positive, −180 to 180.
    pub longitude_deg: f64,
    /// Metres; only a `geo:` link can carry it. The link counts it in WGS 84, within about 100 m of
    /// the height above the sea.
    pub elevation_m: Option<f64>,
}

impl Coordinates {
    /// The place, at the height of the sea when none was given.
    ///
    /// # Errors
    /// None for coordinates that were read; out of range for others.
    pub fn place(self) -> Result<Place> {
        Place::new(self.latitude_deg, self.longitude_deg, self.elevation_m.unwrap_or(0.0))
    }

    fn checked(latitude_deg: f64, longitude_deg: f64, elevation_m: Option<f64>) -> Result<Self> {
        Ok(Self {
            latitude_deg: LATITUDE.check(latitude_deg)?,
            longitude_deg: LONGITUDE.check(longitude_deg)?,
            elevation_m: ELEVATION.optional(elevation_m)?,
        })
    }
}

impl FromStr for Coordinates {
    type Err = Error;

    /// Reads any of the forms listed at the module.
    fn from_str(text: &str) -> Result<Self> {
        const EXPECTED: &str =
            "a position like 50.1, -3.2 or 50°06′00″N 3°12′00″W or geo:50.1,-3.2, with decimal points";
        const LONGEST: usize = 200;
        let text = text.trim();
        if text.is_empty() {
            return Err(Error::missing("coordinates", EXPECTED));
        }
        let refused = || Error::malformed("coordinates", text, EXPECTED);
        if text.len() > LONGEST {
            return Err(refused());
        }
        let (latitude, longitude, elevation) = match text.split_once(':') {
            Some((scheme, rest)) if scheme.eq_ignore_ascii_case("geo") => {
                geo_link(rest)?.ok_or_else(refused)?
            }
            _ => {
                let (latitude, longitude) = pair(text).ok_or_else(refused)?;
                (latitude, longitude, None)
            }
        };
        Self::checked(latitude, longitude, elevation)
    }
}

/// What follows `geo:`: two or three numbers by commas, then parameters by semicolons. `None` when it has another
/// form.
///
/// A reference system other than WGS 84 is refused; the uncertainty and other parameters do not
/// move the point and are passed over.
fn geo_link(rest: &str) -> Result<Option<(f64, f64, Option<f64>)>> {
    let mut parts = rest.split(';');
    let numbers = parts.next().unwrap_or_default();
    for parameter in parts {
        let (key, value) = parameter.split_once('=').unwrap_or((parameter, ""));
        if key.eq_ignore_ascii_case("crs") && !value.eq_ignore_ascii_case("wgs84") {
            return Err(Error::unknown("coordinates", parameter, &["crs=wgs84"]));
        }
    }
    let numbers: Option<Vec<f64>> = numbers.split(',').map(signed).collect();
    Ok(match numbers.as_deref() {
        Some(&[latitude, longitude]) => Some((latitude, longitude, None)),
        Some(&[latitude, longitude, altitude]) => Some((latitude, longitude, Some(altitude))),
        _ => None,
    })
}

/// Latitude and longitude written one after the other.
fn pair(text: &str) -> Option<(f64, f64)> {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '−' => plain.push('-'),
            // Two primes are a second's mark.
            '\'' if plain.ends_with('\'') => {
                plain.pop();
                plain.push('"');
            }
            other => plain.push(other),
        }
    }
    let (first, second) = halves(&plain)?;
    let (first, second) = (Reading::of(first)?, Reading::of(second)?);
    match (first.axis, second.axis) {
        (Some(Axis::Longitude), Some(Axis::Latitude)) => Some((second.degrees, first.degrees)),
        (None | Some(Axis::Latitude), None | Some(Axis::Longitude)) => Some((first.degrees, second.degrees)),
        _ => None,
    }
}

/// The two halves: parted by the one comma or semicolon, else by the letters, else by the one gap.
fn halves(text: &str) -> Option<(&str, &str)> {
    let once =
        |(first, second): (&'_ str, &'_ str), marks: &[char]| !first.is_empty() && !second.contains(marks);
    if text.contains([',', ';']) {
        return text.split_once([',', ';']).filter(|&halves| once(halves, &[',', ';']));
    }
    let letters: Vec<usize> =
        text.match_indices(|c: char| Axis::of_letter(c).is_some()).map(|(i, _)| i).collect();
    match letters[..] {
        [0, second] => text.split_at_checked(second),
        [first, _] => text.split_at_checked(first + 1),
        [] => text.split_once(char::is_whitespace).map(|(first, second)| (first, second.trim())),
        _ => None,
    }
}

/// Which way a number counts.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Axis {
    Latitude,
    Longitude,
}

impl Axis {
    /// The axis that a letter names, and whether it makes the number negative.
    fn of_letter(letter: char) -> Option<(Self, bool)> {
        match letter.to_ascii_uppercase() {
            'N' => Some((Self::Latitude, false)),
            'S' => Some((Self::Latitude, true)),
            'E' => Some((Self::Longitude, false)),
            'W' => Some((Self::Longitude, true)),
            _ => None,
        }
    }
}

/// One half, read: its degrees, and its axis when a letter named it.
struct Reading {
    degrees: f64,
    axis: Option<Axis>,
}

impl Reading {
    fn of(half: &str) -> Option<Self> {
        let half = half.trim();
        let lettered = |letter: Option<char>| letter.and_then(Axis::of_letter);
        let (axis, number) = match (lettered(half.chars().next()), lettered(half.chars().next_back())) {
            (None, None) => return Some(Self { degrees: sexagesimal(half)?, axis: None }),
            (Some(axis), None) => (axis, half.get(1..)?),
            (None, Some(axis)) => (axis, half.get(..half.len() - 1)?),
            (Some(_), Some(_)) => return None,
        };
        let (axis, negative) = axis;
        // A sign beside a letter could mean either.
        let degrees = sexagesimal(number.trim()).filter(|_| !number.contains(['-', '+']))?;
        Some(Self { degrees: if negative { -degrees } else { degrees }, axis: Some(axis) })
    }
}

/// Degrees, optionally with minutes and seconds; all but the last are whole numbers, minutes and seconds below
/// sixty.
fn sexagesimal(text: &str) -> Option<f64> {
    const MARKS: [&[char]; 3] = [&['°', 'º', ':'], &['\'', '′', '’', ':'], &['"', '″', '”']];
    let negative = text.starts_with('-');
    let mut rest = text.strip_prefix(['-', '+']).unwrap_or(text);
    let (mut degrees, mut unit, mut fraction) = (0.0, 1.0, false);
    for (place, marks) in MARKS.into_iter().enumerate() {
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let (number, after) = rest.split_at_checked(end)?;
        let value = unsigned(number)?;
        if fraction || (place > 0 && value >= 60.0) {
            return None;
        }
        degrees += value / unit;
        unit *= 60.0;
        fraction = number.contains('.');
        let unspaced = after.trim_start();
        rest = unspaced.strip_prefix(marks).unwrap_or(unspaced).trim_start();
        if rest.is_empty() {
            return Some(if negative { -degrees } else { degrees });
        }
    }
    None
}

/// Digits with an optional minus and an optional fraction: the numbers of RFC 5870.
fn signed(text: &str) -> Option<f64> {
    match text.strip_prefix('-') {
        Some(number) => unsigned(number).map(|value| -value),
        None => unsigned(text),
    }
}

/// Digits with an optional fraction; no exponent, no names of infinities.
fn unsigned(text: &str) -> Option<f64> {
    let plain = text.starts_with(|c: char| c.is_ascii_digit())
        && text.bytes().all(|c| c.is_ascii_digit() || c == b'.');
    decimal::read(text).filter(|_| plain)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::damage::{damaged, odd};
    use proptest::prelude::*;

    const GOOD: [&str; 4] = [
        "50.5, -3.25",
        "50°30′00″N 3°15′00″W",
        "geo:48.2010,16.3695,183;crs=wgs84;u=40",
        "N 50° 30.0' W 003° 15.0'",
    ];

    fn read(text: &str) -> Result<(f64, f64, Option<f64>)> {
        text.parse::<Coordinates>().map(|c| (c.latitude_deg, c.longitude_deg, c.elevation_m))
    }

    #[test]
    fn one_point_is_read_from_every_way_of_writing_it() {
        for text in [
            "50.5, -3.25",
            "50.5 -3.25",
            "+50.5;−3.25",
            "50.5N 3.25W",
            "N50.5 W3.25",
            "3.25° W, 50.5° N",
            "50.5° n, -3.25",
            "50°30'N 3°15'W",
            "50° 30′ 00″ N, 3° 15′ 00″ W",
            "50 30 00 N 3 15 00 W",
            "50:30:00, -3:15:00",
            "N 50° 30.0′ W 003° 15.0′",
            "50°30'0''N, 3°15'0''W",
            "geo:50.5,-3.25",
            "GEO:50.5,-3.25;crs=WGS84;u=35",
        ] {
            assert_eq!(read(text), Ok((50.5, -3.25, None)), "{text}");
        }
    }

    #[test]
    fn the_examples_of_rfc_5870_are_read() {
        // RFC 5870, its introduction and sections 6.1 and 6.2.
        assert_eq!(read("geo:13.4125,103.8667"), Ok((13.4125, 103.8667, None)));
        assert_eq!(read("geo:48.2010,16.3695,183"), Ok((48.2010, 16.3695, Some(183.0))));
        assert_eq!(read("geo:48.198634,16.371648;crs=wgs84;u=40"), Ok((48.198634, 16.371648, None)));
        assert_eq!(read("geo:323482,4306480;crs=EPSG:32618;u=20").unwrap_err().code(), "unknown");
    }

    #[test]
    fn what_could_mean_two_things_is_refused() {
        for text in [
            "50,1 3,2",
            "50,1, 3,2",
            "50,1 -3,2",
            "-50.5 S, 3 E",
            "50.5 N, 3.25 N",
            "50.5 W, 3.25",
            "50.5",
            "50.5,",
            "N W",
            "50°75'N 3°W",
            "50.5°30'N 3°W",
            "50'30°N 3°W",
            "50°30'10\"5 N 3 W",
            "1e1, 2",
            "inf, nan",
            "fifty, three",
            "geo:50.5",
            "geo:1,2,3,4",
            "geo:0,0?q=50.5,-3.25",
            "https://example.org/50.5,-3.25",
            "é50, 3",
        ] {
            assert_eq!(read(text).unwrap_err().code(), "malformed", "{text}");
        }
        assert_eq!(read("  ").unwrap_err().code(), "missing");
    }

    #[test]
    fn a_point_off_the_globe_is_told_with_value_and_range() {
        assert_eq!(read("91, 0").unwrap_err().to_string(), "latitudeDeg: 91 is outside -90° to 90°");
        assert_eq!(read("geo:0,181").unwrap_err().field(), "longitudeDeg");
        assert_eq!(read("geo:0,0,99999").unwrap_err().field(), "elevationM");
    }

    proptest! {
        #[test]
        fn minutes_and_seconds_add_up(d in 0u32..90, m in 0u32..60, s in 0u32..60, south: bool) {
            let text = format!("{d}°{m}'{s}\"{} 0E", if south { 'S' } else { 'N' });
            let expected = f64::from(d * 3600 + m * 60 + s) / 3600.0 * if south { -1.0 } else { 1.0 };
            prop_assert!((read(&text).unwrap().0 - expected).abs() < 1e-12);
        }

        #[test]
        fn any_decimal_pair_is_read_to_the_last_digit(
            lat in -90_000_000_000_i64..=90_000_000_000, lon in -180_000_000_000_i64..=180_000_000_000,
        ) {
            let (lat, lon) = (lat as f64 / 1e9, lon as f64 / 1e9);
            prop_assert_eq!(read(&format!("{lat}, {lon}")), Ok((lat, lon, None)));
            prop_assert_eq!(read(&format!("geo:{lat},{lon}")), Ok((lat, lon, None)));
        }

        #[test]
        fn no_text_breaks_the_reader(
            text in "\\PC*", near in "[geo:0-9., °'\"NSEW;=−-]{0,40}", strange in odd(), damaged in damaged(&GOOD),
        ) {
            for text in [text, near, strange, damaged] {
                match read(&text) {
                    Ok((latitude, longitude, elevation)) => prop_assert!(
                        LATITUDE.contains(latitude) && LONGITUDE.contains(longitude)
                            && elevation.is_none_or(|metres| ELEVATION.contains(metres)), "{}", text
                    ),
                    Err(refused) => prop_assert!(refused.to_string().len() < 500),
                }
            }
        }
    }
}
