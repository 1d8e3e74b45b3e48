//! Files for other programs, written with what they should be read as beside them. `cargo verify` has them read by
//! gpxpy, geojson, icalendar and, against the published schema of GPX 1.1, xmlschema (`tests/data/exchange_readers.py`).

use std::fs;
use std::path::Path;

use duskbook::shoot::calendar::{self, Moment};
use duskbook::shoot::exchange::{Form, SharedSpot, write};
use duskbook::shoot::shot::ShotForm;
use duskbook::shoot::spot::SpotForm;
use duskbook::sky::place::Place;
use serde_json::{Value, json};

/// Texts that are hard to carry.
const TEXTS: [&str; 10] = [
    "Heron Weir",
    "a, b; c\\ d: \"e\" 'f'",
    "<b>&amp; ]]> <!-- x --> &#0;",
    "BEGIN:VALARM\nEND:VCALENDAR\nX-EVIL:1",
    "two\n\nlines\tand a tab",
    "Ünïcode, слово, 言葉, 🌘, e\u{301}",
    "\u{feff}\u{200b}\u{2028}\u{85}edges",
    "\\n is no line end, \\, no comma",
    "{\"type\":\"FeatureCollection\"}",
    "a very long line that has to be folded more than once because it holds more than seventy-five octets, \
     then some more of them, ünïcode too, so that a fold falls between characters of two and of four octets 🌘🌘🌘🌘🌘🌘🌘🌘🌘",
];

fn spots() -> Vec<SharedSpot> {
    let spot = |i: usize| {
        let part = i as f64 / 199.0;
        SharedSpot {
            id: format!("spot-{i}"),
            spot: SpotForm {
                name: TEXTS[i % 10].chars().take(80).collect(),
                latitude_deg: Some(90.0 - 180.0 * part),
                longitude_deg: Some(-180.0 + 360.0 * (part * 37.0).fract()),
                elevation_m: (!i.is_multiple_of(3)).then_some(9000.0 * part - 500.0),
                zone: "Europe/London".to_owned(),
                bearing_deg: (!i.is_multiple_of(7)).then_some(359.9 * part),
                notes: TEXTS[i / 10 % 10].to_owned(),
                ..SpotForm::default()
            },
            shot: ShotForm {
                shutter_wanted_s: (!i.is_multiple_of(2)).then_some(8.0 * part),
                ..ShotForm::default()
            },
            unknown: if i.is_multiple_of(5) {
                vec![("lens".to_owned(), TEXTS[i % 10].to_owned())]
            } else {
                Vec::new()
            },
        }
    };
    (0..200).map(spot).collect()
}

fn moments() -> Vec<Moment> {
    let moment = |i: usize| {
        // From 1900 to 2099, on the second.
        let start_ms = -2_208_988_800_000.0 + (6.311e12 * i as f64 / 99.0 / 1e3).round() * 1e3;
        Moment {
            uid: format!("weir-{i}@duskbook"),
            start_ms,
            end_ms: (!i.is_multiple_of(2)).then_some(start_ms + 1e3 * i as f64),
            summary: TEXTS[i % 10].to_owned(),
            notes: TEXTS[i / 10].to_owned(),
            alarms_min: [30.0, 0.0, 1440.0][..i % 4].to_vec(),
        }
    };
    (0..100).map(moment).collect()
}

/// What GPX can carry of a text: XML 1.0 has no controls but these.
fn in_xml(text: &str) -> String {
    text.chars().filter(|&c| matches!(c, '\t' | '\n' | ' '..)).collect()
}

/// What iCalendar can.
fn in_calendar(text: &str) -> String {
    text.chars().filter(|&c| matches!(c, '\t' | '\n') || !c.is_control()).collect()
}

#[test]
fn files_for_other_readers() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("exchange");
    fs::create_dir_all(&folder).unwrap();
    let put = |name: &str, text: &str| fs::write(folder.join(name), text).unwrap();
    let (spots, moments) = (spots(), moments());
    put("spots.geojson", &write(&spots, Form::GeoJson));
    put("spots.gpx", &write(&spots, Form::Gpx));
    let place = Place::new(51.25, -4.5, 0.0).unwrap();
    put("moments.ics", &calendar::write(&moments, TEXTS[5], &place, 1_930_849_200_000.0).unwrap());
    let expected_spots: Vec<Value> = spots
        .iter()
        .map(|SharedSpot { id, spot, shot, unknown }| {
            json!({
                "id": id, "name": spot.name, "notes": spot.notes, "xmlName": in_xml(&spot.name), "xmlNotes": in_xml(&spot.notes),
                "latitudeDeg": spot.latitude_deg, "longitudeDeg": spot.longitude_deg, "elevationM": spot.elevation_m,
                "bearingDeg": spot.bearing_deg, "shutterWantedS": shot.shutter_wanted_s, "unknown": unknown,
            })
        })
        .collect();
    let expected_moments: Vec<Value> = moments
        .iter()
        .map(|Moment { uid, start_ms, end_ms, summary, notes, alarms_min }| {
            json!({
                "uid": uid, "startMs": start_ms, "endMs": end_ms, "summary": in_calendar(summary), "notes": in_calendar(notes),
                "alarmsMin": alarms_min,
            })
        })
        .collect();
    let expected = json!({ "spots": expected_spots, "moments": expected_moments, "place": TEXTS[5] });
    put("expected.json", &expected.to_string());
    for (file, mark) in [("spots.geojson", "\"type\":\"Feature\""), ("spots.gpx", "</wpt>")] {
        assert_eq!(fs::read_to_string(folder.join(file)).unwrap().matches(mark).count(), 200, "{file}");
    }
}
