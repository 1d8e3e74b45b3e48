//! The log's table against another library: Python's csv, datetime and json wrote what is read here.

use duskbook::shoot::frame::FrameForm;
use duskbook::shoot::log::{Digits, LogRead, read, write};
use serde_json::Value;

const DIGITS: Digits = Digits { write: |value| value.to_string(), read: |text| text.parse().ok() };

fn frames() -> Vec<FrameForm> {
    let rows: Vec<Value> = serde_json::from_str(include_str!("../data/shoot_frames.json")).expect("a list");
    assert_eq!(rows.len(), 100, "shoot_frames.json: number of rows");
    let frame = |row: &Value| {
        let text = |key: &str| row[key].as_str().expect(key).to_owned();
        let number = |key: &str| text(key).parse::<f64>().expect(key);
        FrameForm {
            id: text("id"),
            spot_id: row["spotId"].as_str().map(str::to_owned),
            spot_name: text("spotName"),
            at_ms: number("atMs"),
            aperture: number("aperture"),
            shutter_s: number("shutterS"),
            iso: number("iso"),
            filter_stops: number("filterStops"),
            compensation_stops: number("compensationStops"),
            focal_mm: row["focalMm"].as_str().map(|focal| focal.parse().expect("focalMm")),
            white_balance: text("whiteBalance"),
            intent: text("intent"),
            note: text("note"),
            rating: number("rating"),
            reading: row["reading"].as_bool().expect("reading"),
            source: text("source"),
        }
    };
    rows.iter().map(frame).collect()
}

#[test]
fn a_table_by_another_library_is_read_to_the_last_bit() {
    let log = read(include_str!("../data/shoot_frames.csv"), DIGITS).expect("a log");
    assert_eq!(log, LogRead { frames: frames(), problems: vec![] });
}

#[test]
fn the_table_begins_with_the_same_lines_as_another_library_writes() {
    let rows: Vec<_> = frames().into_iter().map(|frame| (frame, (String::new(), [None; 3]))).collect();
    let text = write(&rows, DIGITS);
    // Python writes floats with a point always and quotes fewer fields; the moments and the order are the same.
    let at = |text: &str| -> Vec<String> {
        let moments = text.split(',').filter(|field| field.ends_with('Z') && field.len() == 24);
        moments.map(str::to_owned).collect()
    };
    let theirs = at(include_str!("../data/shoot_frames.csv"));
    assert_eq!(theirs.len(), 100);
    assert_eq!(at(&text), theirs);
}
