//! Files for other programs, written with what they should be read as beside them. `cargo verify` has them read by
//! gpxpy, geojson, icalendar and, against the published schema of GPX 1.1, xmlschema (`tests/data/exchange_readers.py`).

use std::fs;
use std::path::Path;

use duskbook::shoot::calendar::{self, Moment};
use duskbook::shoot::exchange::{Form, SharedSpot, write};
use duskbook::shoot::frame::FrameForm;
use duskbook::shoot::log::{self, Digits};
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

/// The standard library's digits.
const DIGITS: Digits = Digits { write: |value| value.to_string(), read: |text| text.parse().ok() };

/// Texts that a spreadsheet would run, beside the others.
const FORMULAE: [&str; 5] = ["=1+1", "+1", "-2 looks better", "@home", "'=1"];

fn frames() -> Vec<FrameForm> {
    let text = |i: usize| if i.is_multiple_of(3) { FORMULAE[i / 3 % 5] } else { TEXTS[i % 10] };
    let frame = |i: usize| FrameForm {
        id: format!("frame-{i}"),
        spot_name: text(i).chars().take(80).collect(),
        at_ms: -2_208_988_800_000.0 + (6.311e12 * i as f64 / 99.0).round(),
        aperture: 8.0,
        shutter_s: 0.1 * (i + 1) as f64,
        iso: 100.0 + 0.1 * i as f64,
        compensation_stops: -1.0 / 3.0,
        focal_mm: (!i.is_multiple_of(2)).then_some(35.0),
        white_balance: text(i + 1).chars().take(80).collect(),
        intent: "sky".into(),
        note: text(i + 2).into(),
        rating: (i % 6) as f64,
        reading: i.is_multiple_of(4),
        source: "hand".into(),
        ..FrameForm::default()
    };
    (0..100).map(frame).collect()
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
    let frames = frames();
    let rows: Vec<_> = frames.iter().map(|frame| (frame.clone(), (String::new(), [None; 3]))).collect();
    put("log.csv", &log::write(&rows, DIGITS));
    let expected_frames: Vec<Value> = frames
        .iter()
        .map(|frame| {
            json!({
                "id": frame.id, "spotName": frame.spot_name, "atMs": frame.at_ms, "aperture": frame.aperture,
                "shutterS": frame.shutter_s, "iso": frame.iso, "filterStops": frame.filter_stops,
                "compensationStops": frame.compensation_stops, "focalMm": frame.focal_mm, "whiteBalance": frame.white_balance,
                "intent": frame.intent, "note": frame.note, "rating": frame.rating, "reading": frame.reading, "source": frame.source,
            })
        })
        .collect();
    let expected = json!({
        "spots": expected_spots, "moments": expected_moments, "place": TEXTS[5], "frames": expected_frames,
    });
    put("expected.json", &expected.to_string());
    for (file, mark) in [("spots.geojson", "\"type\":\"Feature\""), ("spots.gpx", "</wpt>")] {
        assert_eq!(fs::read_to_string(folder.join(file)).unwrap().matches(mark).count(), 200, "{file}");
    }
}

/// Written by Python's csv: `tests/data/exchange_readers.py`.
#[test]
fn a_table_of_another_writer_is_read() {
    let read = log::read(include_str!("../data/exchange_other.csv"), DIGITS).unwrap();
    let told: Vec<_> = read
        .frames
        .iter()
        .map(|f| (f.note.as_str(), f.iso, f.aperture, f.shutter_s, f.spot_name.as_str()))
        .collect();
    assert_eq!(
        told,
        [("two\nlines; \"quoted\"", 100.0, 5.6, 0.25, "Curlew & Gate"), ("", 1600.0, 8.0, 30.0, "=Plover")]
    );
    // 18:42:07.5 UTC, and 19:43 an hour ahead of it.
    assert_eq!(read.frames[1].at_ms - read.frames[0].at_ms, 52_500.0);
    let (line, refused) = &read.problems[0];
    assert_eq!((*line, refused.field(), read.problems.len()), (5, "at", 1));
}
