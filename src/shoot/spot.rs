//! Where the tripod stands, what the lens looks at, and how long it takes to get there.

use std::time::Duration;

use crate::error::{Bounds, Error, Problems, Result};
use crate::optics::format::Format;
use crate::sky::events::HORIZON;
use crate::sky::place::{ELEVATION, LATITUDE, LONGITUDE, Place};
use crate::sky::refraction::Atmosphere;
use crate::units::{Angle, BEARING, Bearing, Length};

/// Length of a spot's name; it may be empty.
pub const NAME: Bounds = Bounds::new("name", 0.0, 80.0, " characters");
/// Length of the notes on a spot.
pub const NOTES: Bounds = Bounds::new("notes", 0.0, 2000.0, " characters");
/// Apparent altitude of a flat skyline; below zero from a height over the sea.
pub const SKYLINE: Bounds = Bounds::new("skylineDeg", -5.0, 60.0, "°");
/// Focal length as engraved on the lens.
pub const FOCAL_LENGTH: Bounds = Bounds::new("focalMm", 2.0, 3000.0, " mm");
/// Walking time to the spot.
pub const WALK: Bounds = Bounds::new("walkMin", 0.0, 1440.0, " min");
/// Time from arriving to the first frame.
pub const SET_UP: Bounds = Bounds::new("setUpMin", 0.0, 240.0, " min");

/// A spot that passed its checks.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// What the photographer calls it; may be empty.
    pub name: String,
    /// Where the tripod stands.
    pub place: Place,
    /// IANA name of the zone whose clocks are used there. Its form is checked; whether it exists only the
    /// zone table can tell.
    pub zone: String,
    /// Where the lens points, from true north.
    pub lens_bearing: Bearing,
    /// Apparent altitude of the skyline, taken as flat all round.
    pub skyline: Angle,
    /// What the picture falls on.
    pub format: Format,
    /// Focal length as engraved.
    pub focal_length: Length,
    /// Walking time to it.
    pub walk: Duration,
    /// Time from arriving to the first frame.
    pub set_up: Duration,
    /// Anything else; may be empty.
    pub notes: String,
}

impl Spot {
    /// Geometric altitude of the sun's centre when its upper edge is level with the skyline.
    ///
    /// The sun is 16′ in radius, and the air lifts it by Bennett's refraction for the skyline's altitude and the air at
    /// the spot's elevation, at most by the 34′ that almanacs take for the horizon. On a level horizon by the sea this is
    /// the −0.8333° of [`HORIZON`]; *expected error* on ordinary days 2′ there, less above.
    pub fn sun_behind_skyline(&self) -> Angle {
        let horizontal = Angle::from_arcminutes(34.0);
        let lift = Atmosphere::at(self.place.elevation()).refraction_of_apparent(self.skyline);
        let less = (horizontal - lift).radians().max(0.0);
        HORIZON + self.skyline + Angle::from_radians(less)
    }
}

/// A spot as it is typed: any number may be missing, and any field wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotForm {
    /// See [`Spot::name`]; [`NAME`].
    pub name: String,
    /// Degrees, north positive; [`LATITUDE`].
    pub latitude_deg: Option<f64>,
    /// Degrees, east positive; [`LONGITUDE`].
    pub longitude_deg: Option<f64>,
    /// Metres above the sea; [`ELEVATION`].
    pub elevation_m: Option<f64>,
    /// IANA name of the zone; [`checked_zone`].
    pub zone: String,
    /// Degrees clockwise from true north; [`BEARING`].
    pub bearing_deg: Option<f64>,
    /// Apparent degrees; [`SKYLINE`].
    pub skyline_deg: Option<f64>,
    /// Width and height in millimetres, `36x24`; [`Format`].
    pub format: String,
    /// Millimetres as engraved; [`FOCAL_LENGTH`].
    pub focal_mm: Option<f64>,
    /// Minutes; [`WALK`].
    pub walk_min: Option<f64>,
    /// Minutes; [`SET_UP`].
    pub set_up_min: Option<f64>,
    /// See [`Spot::notes`]; [`NOTES`].
    pub notes: String,
}

impl Default for SpotForm {
    /// What a new spot starts from. Position, zone and bearing have no sensible default and stay open.
    fn default() -> Self {
        Self {
            name: String::new(),
            latitude_deg: None,
            longitude_deg: None,
            elevation_m: Some(0.0),
            zone: String::new(),
            bearing_deg: None,
            skyline_deg: Some(0.0),
            format: "36x24".to_owned(),
            focal_mm: Some(35.0),
            walk_min: Some(0.0),
            set_up_min: Some(15.0),
            notes: String::new(),
        }
    }
}

impl SpotForm {
    /// The spot, when every field is right.
    ///
    /// # Errors
    /// Everything that is wrong or missing, each by its field's name at the boundary.
    pub fn check(&self) -> std::result::Result<Spot, Problems> {
        let mut problems = Problems::default();
        let name = problems.note(checked_text(&self.name, NAME));
        let latitude = problems.note(LATITUDE.required(self.latitude_deg));
        let longitude = problems.note(LONGITUDE.required(self.longitude_deg));
        let elevation = problems.note(ELEVATION.required(self.elevation_m));
        let zone = problems.note(checked_zone(&self.zone));
        let bearing = problems.note(BEARING.required(self.bearing_deg));
        let skyline = problems.note(SKYLINE.required(self.skyline_deg));
        let format = problems.note(self.format.parse::<Format>());
        let focal = problems.note(FOCAL_LENGTH.required(self.focal_mm));
        let walk = problems.note(WALK.required(self.walk_min));
        let set_up = problems.note(SET_UP.required(self.set_up_min));
        let notes = problems.note(checked_text(&self.notes, NOTES));
        let spot = || {
            Some(Spot {
                name: name?.to_owned(),
                place: Place::new(latitude?, longitude?, elevation?).ok()?,
                zone: zone?.to_owned(),
                lens_bearing: Bearing::from_degrees(bearing?),
                skyline: Angle::from_degrees(skyline?),
                format: format?,
                focal_length: Length::from_millimetres(focal?),
                walk: minutes(walk?),
                set_up: minutes(set_up?),
                notes: notes?.to_owned(),
            })
        };
        spot().ok_or(problems)
    }
}

/// A duration from a number of minutes that was checked to be positive and small.
fn minutes(minutes: f64) -> Duration {
    Duration::from_secs_f64(minutes * 60.0)
}

/// Text no longer than allowed, without control characters other than line ends and tabs.
pub(crate) fn checked_text(text: &str, length: Bounds) -> Result<&str> {
    length.check(text.chars().count() as f64)?;
    if text.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
        return Err(Error::malformed(length.field, text, "text without control characters"));
    }
    Ok(text)
}

/// A name of the form that IANA zone names have: parts of ASCII letters, digits, `_`, `-` and `+`, joined by `/`,
/// the first character a letter (Theory file of the tz database, "Names of timezones").
///
/// # Errors
/// Nothing given, or another form: names `zone`.
pub fn checked_zone(name: &str) -> Result<&str> {
    const FORM: &str = "a zone name like Europe/Lisbon";
    const LONGEST: usize = 64;
    if name.is_empty() {
        return Err(Error::missing("zone", FORM));
    }
    let part_is_sound = |part: &str| {
        !part.is_empty() && part.bytes().all(|c| c.is_ascii_alphanumeric() || matches!(c, b'_' | b'-' | b'+'))
    };
    let sound = name.len() <= LONGEST
        && name.starts_with(|first: char| first.is_ascii_alphabetic())
        && name.split('/').all(part_is_sound);
    if sound { Ok(name) } else { Err(Error::malformed("zone", name, FORM)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn complete() -> SpotForm {
        SpotForm {
            name: "Heron Weir".to_owned(),
            latitude_deg: Some(51.25),
            longitude_deg: Some(-4.5),
            zone: "Europe/London".to_owned(),
            bearing_deg: Some(285.0),
            walk_min: Some(12.5),
            ..SpotForm::default()
        }
    }

    #[test]
    fn a_complete_form_becomes_a_spot_in_its_units() {
        let spot = complete().check().unwrap();
        assert!((spot.place.latitude().degrees() - 51.25).abs() < 1e-12);
        assert_eq!(spot.lens_bearing.degrees(), 285.0);
        assert_eq!((spot.walk.as_secs_f64(), spot.set_up.as_secs_f64()), (750.0, 900.0));
        assert_eq!(spot.focal_length.millimetres(), 35.0);
    }

    #[test]
    fn the_sun_goes_behind_a_level_skyline_at_sunset_and_behind_a_higher_one_earlier() {
        let hidden = |skyline_deg| {
            let form = SpotForm { skyline_deg: Some(skyline_deg), ..complete() };
            form.check().unwrap().sun_behind_skyline().degrees()
        };
        assert!((hidden(0.0) + 0.8333).abs() < 1e-12);
        assert!((hidden(-0.5) + 1.3333).abs() < 1e-12);
        // By hand: Bennett's 9.88′ at 5° and the radius of 16′ off the 5°.
        assert!((hidden(5.0) - (5.0 - (9.88 + 16.0) / 60.0)).abs() < 0.0003);
        // At 3 km the ICAO standard atmosphere has 0.742 of the density at the sea (ISO 2533, from memory).
        let high = SpotForm { skyline_deg: Some(5.0), elevation_m: Some(3000.0), ..complete() };
        let hidden_high = high.check().unwrap().sun_behind_skyline().degrees();
        assert!((hidden_high - (5.0 - (0.742 * 9.88 + 16.0) / 60.0)).abs() < 0.0003);
        // It never steps back where the cap ends.
        assert!((0..100).all(|i| hidden(f64::from(i) / 100.0) < hidden(f64::from(i + 1) / 100.0)));
    }

    #[test]
    fn an_empty_form_misses_only_what_cannot_be_guessed() {
        let problems = SpotForm::default().check().unwrap_err();
        let fields: Vec<&str> = problems.list().iter().map(Error::field).collect();
        assert_eq!(fields, ["latitudeDeg", "longitudeDeg", "zone", "bearingDeg"]);
        assert!(problems.list().iter().all(|problem| problem.code() == "missing"));
    }

    #[test]
    fn every_problem_is_listed_with_its_field_value_and_range() {
        let form = SpotForm {
            latitude_deg: Some(91.0),
            zone: "Mars!".to_owned(),
            format: "big".to_owned(),
            set_up_min: Some(f64::NAN),
            notes: "n".repeat(2001),
            ..complete()
        };
        let told: Vec<String> = form.check().unwrap_err().list().iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "latitudeDeg: 91 is outside -90° to 90°",
                "zone: \"Mars!\" cannot be read; expected a zone name like Europe/Lisbon",
                "format: \"big\" cannot be read; expected width and height in millimetres like 36x24",
                "setUpMin: \"NaN\" is not a number",
                "notes: 2001 is outside 0 characters to 2000 characters",
            ]
        );
    }

    #[test]
    fn a_name_counts_characters_and_holds_no_control_characters() {
        assert!(checked_text(&"ü".repeat(80), NAME).is_ok());
        assert_eq!(checked_text(&"ü".repeat(81), NAME).unwrap_err().code(), "out-of-range");
        assert_eq!(checked_text("a\u{7}b", NAME).unwrap_err().code(), "malformed");
    }

    #[test]
    fn zones_are_told_by_their_form() {
        for name in
            ["UTC", "Europe/Lisbon", "America/Argentina/Ushuaia", "Etc/GMT+5", "America/Port-au-Prince"]
        {
            assert!(checked_zone(name).is_ok(), "{name}");
        }
        for name in
            ["+02:00", "Europe/", "/Lisbon", "Europe//Lisbon", "Evropa Lisbon", "<b>", &"A".repeat(65)]
        {
            assert_eq!(checked_zone(name).unwrap_err().code(), "malformed", "{name}");
        }
        assert_eq!(checked_zone("").unwrap_err().code(), "missing");
    }
}
