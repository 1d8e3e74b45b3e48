//! What a photograph says of itself: its settings, when and where it was taken, as a record with warnings.
//!
//! Whatever the bytes, there is a record. A value that is missing is `None`; a value that is there and cannot be
//! meant (a division by zero, a month 13, a latitude of 95°) is `None` too, with a [`Warning`].
//!
//! The exposure time, the f-number and the speed are read from their own tags, else from the APEX values beside
//! them (Av = 2 log₂ N, Tv = −log₂ t). `PhotographicSensitivity` is a short number, and 65535 in it means that
//! the speed stands under the tag that `SensitivityType` names. The time is the camera's clock, with the offset from
//! UTC when the camera wrote one (Exif 2.31 and later); without, the zone must be asked for. The tags' numbers are
//! CIPA DC-008's, the meaning of 65535 is from memory.
//!
//! [`Photograph::ev`] takes the time, the f-number and the speed for the marks of the dials, as a camera shows them:
//! f/11 counts as 11.31, 30 s as 32 s; a camera whose 30 s are 30 s is 0.09 stop brighter than told.

use super::container;
use super::exif::{Block, Directory, Entry};
use crate::exposure::series::{Aperture, Iso, Shutter};
use crate::exposure::settings::Settings;
use crate::units::{Ev, offset_s};

/// What is doubtful about a photograph's record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Warning {
    /// The bytes are of no kind that is read here.
    UnknownFormat,
    /// There is no Exif in the file.
    NoExif,
    /// Something lies beyond the end of the bytes.
    Cut,
    /// The time is when the file was changed or scanned; none says when the picture was taken.
    FileTime,
    /// A value is there and cannot be meant: of the time, the offset from UTC, the exposure time, the f-number,
    /// the speed, the focal length, the place.
    Bad(&'static str),
}

impl Warning {
    /// Its word for the page: `cut`, `bad-time`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::UnknownFormat => "unknown-format",
            Self::NoExif => "no-exif",
            Self::Cut => "cut",
            Self::FileTime => "file-time",
            Self::Bad(word) => word,
        }
    }
}

/// What a photograph says of itself.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Photograph {
    /// Exposure time, seconds; positive.
    pub shutter_s: Option<f64>,
    /// f-number; positive.
    pub aperture: Option<f64>,
    /// ISO speed; positive.
    pub iso: Option<f64>,
    /// What the camera was told to give more than its meter said, stops.
    pub compensation_stops: Option<f64>,
    /// The camera's clock: `2031-03-09T18:04:05.120`, the fraction only when there is one.
    pub at_local: Option<String>,
    /// How far that clock is ahead of UTC, minutes.
    pub offset_min: Option<f64>,
    /// Focal length, mm; positive.
    pub focal_mm: Option<f64>,
    /// The focal length that gives the same view on 36×24 mm.
    pub focal_35_mm: Option<f64>,
    /// The lens, as the camera names it.
    pub lens: Option<String>,
    /// The camera, as it names itself.
    pub camera: Option<String>,
    /// Latitude, degrees, north positive.
    pub latitude_deg: Option<f64>,
    /// Longitude, degrees, east positive.
    pub longitude_deg: Option<f64>,
    /// Height above the sea, m.
    pub altitude_m: Option<f64>,
    /// What is doubtful.
    pub warnings: Vec<Warning>,
}

impl Photograph {
    /// Reads a picture file, whole or its beginning.
    ///
    /// ```
    /// use duskbook::shoot::photo::{Photograph, Warning};
    /// // A block with one entry: ExposureTime, one rational at byte 26, 1/8 s.
    /// let mut bytes = b"II*\0\x08\0\0\0\x01\0\x9a\x82\x05\0\x01\0\0\0\x1a\0\0\0\0\0\0\0".to_vec();
    /// bytes.extend([1, 0, 0, 0, 8, 0, 0, 0]);
    /// assert_eq!(Photograph::read(&bytes).shutter_s, Some(0.125));
    /// assert_eq!(Photograph::read(&bytes[..30]).warnings, [Warning::Bad("bad-shutter"), Warning::Cut]);
    /// assert_eq!(Photograph::read(b"a letter").warnings, [Warning::UnknownFormat]);
    /// ```
    pub fn read(bytes: &[u8]) -> Self {
        let found = container::find(bytes);
        let [root, exposure, place] = found.blocks.map(|block| block.and_then(Block::of));
        let mut read = Self::default();
        let mut beyond = found.cut;
        if let Some(root) = root {
            let first = root.first();
            read.name(&root, first);
            match &exposure {
                Some(own) => read.exposure(own, own.first(), &root, first),
                None => read.exposure(&root, root.pointed(root.entry(first, EXIF)).or(first), &root, first),
            }
            match &place {
                Some(own) => read.place(own, own.first()),
                None => read.place(&root, root.pointed(root.entry(first, GPS))),
            }
            beyond |= [Some(root), exposure, place].iter().flatten().any(Block::is_beyond);
        } else {
            read.warnings.push(if found.known { Warning::NoExif } else { Warning::UnknownFormat });
        }
        if beyond {
            read.warnings.push(Warning::Cut);
        }
        read
    }

    /// The settings as marks of the dials, those that are known and that a dial has.
    fn marks(&self) -> (Option<Aperture>, Option<Shutter>, Option<Iso>) {
        (
            self.aperture.and_then(|value| Aperture::marked(value).ok()),
            self.shutter_s.and_then(|value| Shutter::marked(value).ok()),
            self.iso.and_then(|value| Iso::marked(value).ok()),
        )
    }

    /// The settings as they are written: `f/11`, `3.2 s`, `ISO 200`; those that are known.
    pub fn labels(&self) -> Vec<String> {
        let (aperture, shutter, iso) = self.marks();
        let labels = [aperture.map(Aperture::label), shutter.map(Shutter::label), iso.map(Iso::label)];
        labels.into_iter().flatten().collect()
    }

    /// The brightness that these settings suit, EV at ISO 100, with nothing in front of the lens.
    pub fn ev(&self) -> Option<Ev> {
        let (Some(aperture), Some(shutter), Some(iso)) = self.marks() else { return None };
        Some(Settings { aperture, shutter, iso }.ev())
    }

    fn name(&mut self, block: &Block, root: Option<Directory>) {
        let make = block.text(block.entry(root, 0x010F));
        let model = block.text(block.entry(root, 0x0110));
        let joined = if model.starts_with(&make) { model } else { make + " " + &model };
        self.camera = said(joined.trim().to_owned());
    }

    fn exposure(&mut self, block: &Block, at: Option<Directory>, root: &Block, first: Option<Directory>) {
        let entry = |tag| block.entry(at, tag);
        let number = |entry: Option<Entry>| entry.and_then(|entry| block.number(entry, 0));
        let positive = |value: Option<f64>| value.filter(|value| *value > 0.0 && value.is_finite());
        let mut doubt = |value: Option<f64>, given: bool, word| {
            if value.is_none() && given {
                self.warnings.push(Warning::Bad(word));
            }
            value
        };

        let (own, apex) = (entry(0x829A), entry(0x9201));
        let value = positive(number(own)).or_else(|| positive(number(apex).map(|tv| (-tv).exp2())));
        self.shutter_s = doubt(value, own.or(apex).is_some(), "bad-shutter");

        let (own, apex) = (entry(0x829D), entry(0x9202));
        let value = positive(number(own)).or_else(|| positive(number(apex).map(|av| (0.5 * av).exp2())));
        self.aperture = doubt(value, own.or(apex).is_some(), "bad-aperture");

        let own = entry(0x8827);
        let value = positive(number(own)).filter(|iso| *iso != FULL).or_else(|| {
            let meant = match number(entry(0x8830)).map_or(0, |kind| kind as u32) {
                1 => OUTPUT,
                3 => SPEED,
                _ => RECOMMENDED,
            };
            [meant, RECOMMENDED, SPEED, OUTPUT].iter().find_map(|tag| positive(number(entry(*tag))))
        });
        self.iso = doubt(value, own.is_some(), "bad-iso");

        let own = entry(0x920A);
        self.focal_mm = doubt(positive(number(own)), own.is_some(), "bad-focal");
        self.focal_35_mm = positive(number(entry(0xA405)));
        self.compensation_stops = number(entry(0x9204)).filter(|stops| stops.abs() <= MOST_STOPS);
        self.lens = said(block.text(entry(0xA434)));

        let taken = [(entry(0x9003), 0x9011, 0x9291), (entry(0x9004), 0x9012, 0x9292)];
        let changed = root.text(root.entry(first, 0x0132));
        let texts = taken.map(|(time, _, _)| block.text(time));
        let found = texts.iter().position(|text| read_clock(text).is_some());
        if let Some(index) = found {
            let (_, offset, fraction) = taken[index];
            self.at_local =
                read_clock(&texts[index]).map(|time| with_fraction(time, &block.text(entry(fraction))));
            self.read_offset(&block.text(entry(offset)));
        } else if let Some(time) = read_clock(&changed) {
            self.at_local = Some(time);
            self.read_offset(&block.text(entry(0x9010)));
        }
        if self.at_local.is_some() && found != Some(0) {
            self.warnings.push(Warning::FileTime);
        }
        let is_given =
            texts.iter().chain([&changed]).any(|text| text.bytes().any(|byte| byte > b'0' && byte != b':'));
        if self.at_local.is_none() && is_given {
            self.warnings.push(Warning::Bad("bad-time"));
        }
    }

    fn read_offset(&mut self, text: &str) {
        self.offset_min = offset_s(text).map(|seconds| seconds / 60.0);
        // Blanks with a colon are how a camera says that it does not know.
        if self.offset_min.is_none() && !text.trim_matches([':', ' ']).is_empty() {
            self.warnings.push(Warning::Bad("bad-offset"));
        }
    }

    fn place(&mut self, block: &Block, at: Option<Directory>) {
        let angle = |tag: u16, most: f64, positive: &str, negative: &str| {
            let entry = block.entry(at, tag)?;
            let part = |index| block.number(entry, index);
            let degrees = part(0)? + part(1)? / 60.0 + part(2)? / 3600.0;
            let side = block.text(block.entry(at, tag - 1));
            let sign = if side == positive {
                1.0
            } else if side == negative {
                -1.0
            } else {
                return None;
            };
            (degrees >= 0.0 && degrees <= most).then_some(sign * degrees)
        };
        let latitude = angle(2, 90.0, "N", "S");
        let longitude = angle(4, 180.0, "E", "W");
        if latitude.is_some() && longitude.is_some() {
            (self.latitude_deg, self.longitude_deg) = (latitude, longitude);
        } else if block.entry(at, 2).or(block.entry(at, 4)).is_some() {
            self.warnings.push(Warning::Bad("bad-place"));
        }
        let below = block.entry(at, 5).and_then(|entry| block.number(entry, 0)) == Some(1.0);
        let height = block.entry(at, 6).and_then(|entry| block.number(entry, 0));
        self.altitude_m = height
            .filter(|metres| *metres <= MOST_HEIGHT_M)
            .map(|metres| if below { -metres } else { metres });
    }
}

/// Tags of the directories of the exposure and the place.
const EXIF: u16 = 0x8769;
const GPS: u16 = 0x8825;

/// Tags of the three speeds that a 65535 may stand for.
const OUTPUT: u16 = 0x8831;
const RECOMMENDED: u16 = 0x8832;
const SPEED: u16 = 0x8833;

/// More than the speed's short number can say.
const FULL: f64 = 65_535.0;

/// No dial for compensation goes further.
const MOST_STOPS: f64 = 20.0;

/// Nobody stands higher.
const MOST_HEIGHT_M: f64 = 20_000.0;

fn said(text: String) -> Option<String> {
    Some(text).filter(|text| !text.is_empty())
}

/// `2031:03:09 18:04:05` as `2031-03-09T18:04:05`; `None` for what is no time.
fn read_clock(text: &str) -> Option<String> {
    let shape = text.bytes().map(|letter| if letter.is_ascii_digit() { b'0' } else { letter });
    if !shape.eq(*b"0000:00:00 00:00:00") {
        return None;
    }
    let (date, time) = text.split_once(' ')?;
    let clock = date.replace(':', "-") + "T" + time;
    super::camera_clock::local_ms(&clock).ok().map(|_| clock)
}

/// A time with its fraction of a second, to the millisecond.
fn with_fraction(time: String, digits: &str) -> String {
    let digits = digits.get(..digits.len().min(3)).unwrap_or_default();
    let is_number = !digits.is_empty() && digits.bytes().all(|digit| digit.is_ascii_digit());
    if is_number { time + "." + digits } else { time }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_is_read_only_when_it_can_be_one() {
        assert_eq!(read_clock("2031:03:09 18:04:05").as_deref(), Some("2031-03-09T18:04:05"));
        for text in [
            "",
            "    :  :     :  :  ",
            "0000:00:00 00:00:00",
            "2031:02:29 18:04:05",
            "2031:03:09 24:04:05",
            "2031:03:09 18:04:0.5",
        ] {
            assert_eq!(read_clock(text), None, "{text}");
        }
        assert_eq!(with_fraction("a".into(), "120"), "a.120");
        assert_eq!(with_fraction("a".into(), "1"), "a.1");
        assert_eq!(with_fraction("a".into(), "123456"), "a.123");
        assert_eq!(with_fraction("a".into(), "x"), "a");
    }
}
