//! Spots for other programs, in the forms that these read.
//!
//! | form | standard | what it keeps |
//! |---|---|---|
//! | `GeoJSON` | RFC 7946 | everything, as properties under the names that the page uses |
//! | GPX | GPX 1.1 | position, height, name and notes for all readers; everything in an extension |
//! | links | RFC 5870 | the position alone, a `geo:` link a line |
//!
//! A spot without a position on the globe has no place in any of them and is left out. Heights are above the sea; the three
//! standards count them from the WGS 84 ellipsoid, up to about 100 m off, so the height stands where it is said what it is
//! (`GeoJSON`), where every receiver writes the height above the sea (GPX; common practice, no source), or not at all (links).

use crate::decimal::written;
use crate::error::{Error, Result};
use crate::shoot::shot::ShotForm;
use crate::shoot::spot::SpotForm;
use crate::shoot::{geojson, gpx};
use crate::sky::place::{LATITUDE, LONGITUDE};

/// A spot on its way out.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedSpot {
    /// Its record's word, by which it is known again when it comes back.
    pub id: String,
    /// The spot; any field may be wrong.
    pub spot: SpotForm,
    /// The shot; any field may be wrong.
    pub shot: ShotForm,
    /// Keys of its link that this version does not know.
    pub unknown: Vec<(String, String)>,
}

impl SharedSpot {
    /// Latitude and longitude in degrees, when both are there and on the globe.
    pub fn position(&self) -> Option<(f64, f64)> {
        let within = |value: Option<f64>, bounds: crate::error::Bounds| value.filter(|&v| bounds.contains(v));
        Some((within(self.spot.latitude_deg, LATITUDE)?, within(self.spot.longitude_deg, LONGITUDE)?))
    }

    /// Its position as a `geo:` link.
    ///
    /// ```
    /// use duskbook::shoot::exchange::SharedSpot;
    /// use duskbook::shoot::{shot::ShotForm, spot::SpotForm};
    /// let spot = SpotForm { latitude_deg: Some(51.25), longitude_deg: Some(-4.5), ..SpotForm::default() };
    /// let weir = SharedSpot { id: String::new(), spot, shot: ShotForm::default(), unknown: Vec::new() };
    /// assert_eq!(weir.geo_link().as_deref(), Some("geo:51.25,-4.5"));
    /// ```
    pub fn geo_link(&self) -> Option<String> {
        let (latitude, longitude) = self.position()?;
        // RFC 5870, 3.4.2: at the poles the longitude is 0, and 180 is written without its sign.
        let longitude = if latitude.abs() == 90.0 { 0.0 } else { longitude };
        let longitude = if longitude == -180.0 { 180.0 } else { longitude };
        let mut link = String::new();
        append(&mut link, &["geo:", &written(latitude), ",", &written(longitude)]);
        Some(link)
    }
}

/// What a file of spots is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// [`geojson`].
    GeoJson,
    /// [`gpx`].
    Gpx,
    /// `geo:` links, a line each.
    Links,
}

impl Form {
    /// From `geojson`, `gpx` or `links`.
    ///
    /// # Errors
    /// Any other word: names `form`.
    pub fn from_word(word: &str) -> Result<Self> {
        match word {
            "geojson" => Ok(Self::GeoJson),
            "gpx" => Ok(Self::Gpx),
            "links" => Ok(Self::Links),
            _ => Err(Error::unknown("form", word, &["geojson", "gpx", "links"])),
        }
    }
}

/// The text of a file with those spots that have a position.
pub fn write(spots: &[SharedSpot], form: Form) -> String {
    match form {
        Form::GeoJson => geojson::write(spots),
        Form::Gpx => gpx::write(spots),
        Form::Links => {
            let mut lines = String::new();
            for link in spots.iter().filter_map(SharedSpot::geo_link) {
                append(&mut lines, &[&link, "\n"]);
            }
            lines
        }
    }
}

/// Puts texts at the end of one.
#[inline(never)]
pub(super) fn append(out: &mut String, parts: &[&str]) {
    for part in parts {
        out.push_str(part);
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::shoot::coordinates::Coordinates;
    use proptest::prelude::*;

    /// A spot at an invented weir whose texts are as bad as texts can be.
    pub(crate) fn weir() -> SharedSpot {
        SharedSpot {
            id: "w1".into(),
            spot: SpotForm {
                name: "Heron Weir; \"low\", <b>wet</b> & cold \\ ünïcode".into(),
                latitude_deg: Some(51.25),
                longitude_deg: Some(-4.5),
                elevation_m: Some(3.5),
                zone: "Europe/London".into(),
                bearing_deg: Some(285.0),
                notes: "Gate shut after nine.\nBring boots ]]> 🌘".into(),
                ..SpotForm::default()
            },
            shot: ShotForm::default(),
            unknown: vec![("lens".into(), "old & \"soft\"".into())],
        }
    }

    /// Spots of any text and number.
    pub(crate) fn any_spot() -> impl Strategy<Value = SharedSpot> {
        let number = || proptest::option::of(prop_oneof![any::<f64>(), -200.0..200.0]);
        (
            any::<String>(),
            any::<String>(),
            any::<String>(),
            number(),
            number(),
            number(),
            any::<(String, String)>(),
        )
            .prop_map(|(id, name, notes, latitude_deg, longitude_deg, elevation_m, pair)| {
                SharedSpot {
                    id,
                    spot: SpotForm {
                        name,
                        latitude_deg,
                        longitude_deg,
                        elevation_m,
                        notes,
                        ..SpotForm::default()
                    },
                    shot: ShotForm { shutter_wanted_s: longitude_deg, ..ShotForm::default() },
                    unknown: vec![pair],
                }
            })
    }

    #[test]
    fn a_link_keeps_to_rfc_5870_at_the_poles_and_the_date_line() {
        let link = |latitude, longitude| {
            let mut weir = weir();
            (weir.spot.latitude_deg, weir.spot.longitude_deg) = (Some(latitude), Some(longitude));
            weir.geo_link()
        };
        // RFC 5870, 3.4.2 and 3.4.4; from memory.
        assert_eq!(link(90.0, -22.43).as_deref(), Some("geo:90,0"));
        assert_eq!(link(66.0, -180.0).as_deref(), Some("geo:66,180"));
        assert_eq!(link(0.0000001, -0.00002).as_deref(), Some("geo:0.0000001,-0.00002"));
        assert_eq!(link(90.5, 0.0), None);
        assert_eq!(Form::from_word("kml").unwrap_err().field(), "form");
    }

    proptest! {
        #[test]
        fn a_geo_link_is_read_back(spot in any_spot()) {
            match (spot.geo_link(), spot.position()) {
                (Some(link), Some((latitude, _))) => {
                    let read: Coordinates = link.parse().unwrap();
                    prop_assert!((read.latitude_deg - latitude).abs() < 1e-12);
                }
                (link, position) => prop_assert!(link.is_none() && position.is_none()),
            }
            prop_assert!(write(&[spot.clone(), spot], Form::Links).lines().all(|line| line.starts_with("geo:")));
        }
    }
}
