//! Spots as `GeoJSON` (RFC 7946): a `FeatureCollection` of points with the spot's fields as properties.
//!
//! ```text
//! {"type":"FeatureCollection","features":[{"type":"Feature","id":"w1",
//!   "geometry":{"type":"Point","coordinates":[-4.5,51.25]},
//!   "properties":{"name":"Heron Weir","zone":"Europe/London","bearingDeg":285,…}}]}
//! ```
//!
//! Longitude stands first (3.1.1). Fields that are open are left out. `unknown` holds pairs of a link's keys and values that
//! this version does not know. Reading is the browser's own; what it reads goes through the same checks as a record of a backup.

use crate::decimal::written;
use crate::shoot::exchange::{SharedSpot, append};

/// The file.
///
/// ```
/// use duskbook::shoot::geojson;
/// assert_eq!(geojson::write(&[]), r#"{"type":"FeatureCollection","features":[]}"#);
/// ```
pub fn write(spots: &[SharedSpot]) -> String {
    let mut out = String::from("{\"type\":\"FeatureCollection\",\"features\":[");
    let opening = out.len();
    for shared in spots {
        let Some((latitude, longitude)) = shared.position() else { continue };
        if out.len() > opening {
            out.push(',');
        }
        feature(&mut out, shared, latitude, longitude);
    }
    out.push_str("]}");
    out
}

fn feature(out: &mut String, shared: &SharedSpot, latitude: f64, longitude: f64) {
    let SharedSpot { id, spot, shot, unknown } = shared;
    out.push_str("{\"type\":\"Feature\",\"id\":");
    quote(out, id);
    append(
        out,
        &[
            ",\"geometry\":{\"type\":\"Point\",\"coordinates\":[",
            &written(longitude),
            ",",
            &written(latitude),
            "]},\"properties\":{",
        ],
    );
    text(out, "name", &spot.name);
    text(out, "zone", &spot.zone);
    text(out, "format", &spot.format);
    text(out, "notes", &spot.notes);
    number(out, "elevationM", spot.elevation_m);
    number(out, "bearingDeg", spot.bearing_deg);
    number(out, "skylineDeg", spot.skyline_deg);
    number(out, "focalMm", spot.focal_mm);
    number(out, "walkMin", spot.walk_min);
    number(out, "setUpMin", spot.set_up_min);
    number(out, "apertureMin", shot.aperture_min);
    number(out, "apertureMax", shot.aperture_max);
    number(out, "isoMin", shot.iso_min);
    number(out, "isoMax", shot.iso_max);
    number(out, "shutterWantedS", shot.shutter_wanted_s);
    number(out, "filterStops", shot.filter_stops);
    out.push_str("\"unknown\":[");
    for (place, (key, value)) in unknown.iter().enumerate() {
        out.push_str(if place == 0 { "[" } else { ",[" });
        quote(out, key);
        out.push(',');
        quote(out, value);
        out.push(']');
    }
    out.push_str("]}}");
}

#[inline(never)]
fn text(out: &mut String, key: &str, value: &str) {
    append(out, &["\"", key, "\":"]);
    quote(out, value);
    out.push(',');
}

/// A property that is a number, when there is one.
#[inline(never)]
fn number(out: &mut String, key: &str, value: Option<f64>) {
    if let Some(value) = value.filter(|value| value.is_finite()) {
        append(out, &["\"", key, "\":", &written(value), ","]);
    }
}

/// Text as a JSON string (RFC 8259, 7).
#[inline(never)]
fn quote(out: &mut String, text: &str) {
    const HEX: &[u8; 16] = b"0123456789abcdef";
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            '\0'..='\u{1f}' => {
                let code = letter as usize;
                out.push_str("\\u00");
                out.extend([char::from(HEX[code >> 4]), char::from(HEX[code & 15])]);
            }
            _ => out.push(letter),
        }
    }
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shoot::exchange::tests::{any_spot, weir};
    use proptest::prelude::*;
    use serde_json::{Value, json};

    #[test]
    fn a_spot_is_a_point_with_its_fields() {
        let read: Value = serde_json::from_str(&write(&[weir()])).unwrap();
        let feature = &read["features"][0];
        assert_eq!(feature["geometry"], json!({ "type": "Point", "coordinates": [-4.5, 51.25] }));
        assert_eq!(
            (&feature["id"], &feature["properties"]["name"]),
            (&json!("w1"), &json!(weir().spot.name))
        );
        assert_eq!(feature["properties"]["unknown"], json!([["lens", "old & \"soft\""]]));
        assert_eq!(feature["properties"]["bearingDeg"], json!(285));
        assert!(feature["properties"].get("shutterWantedS").is_none());
    }

    proptest! {
        #[test]
        fn any_spot_is_sound_json_and_comes_back(spot in any_spot()) {
            let read: Value = serde_json::from_str(&write(std::slice::from_ref(&spot))).unwrap();
            match spot.position() {
                None => prop_assert_eq!(&read["features"], &json!([])),
                Some((latitude, longitude)) => {
                    let feature = &read["features"][0];
                    prop_assert_eq!(feature["properties"]["notes"].as_str(), Some(spot.spot.notes.as_str()));
                    prop_assert_eq!(feature["id"].as_str(), Some(spot.id.as_str()));
                    let at = |place: usize| feature["geometry"]["coordinates"][place].as_f64().unwrap();
                    prop_assert!((at(0) - longitude).abs() < 1e-12 && (at(1) - latitude).abs() < 1e-12);
                }
            }
        }
    }
}
