//! The answers that an evening is made of, as a page gets them.

use duskbook::web::evening::{evening_call, exposure_window_call, interval_ramp_call};
use duskbook::web::light::forecast_call;
use duskbook::web::shoot::run_sheet_call;
use js_sys::{Array, Float64Array, JSON};
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;
use web_sys::Performance;

use crate::calls::{asked, entry, number, refused};

/// An evening at an invented weir.
fn evening() -> Value {
    json!({
        "spot": {
            "name": "Heron Weir", "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "Atlantic/Azores",
            "bearingDeg": 265, "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15,
            "notes": "",
        },
        "shot": {
            "apertureMin": 4, "apertureMax": 11, "isoMin": 100, "isoMax": 1600, "shutterWantedS": null,
            "filterStops": 0,
        },
        "date": "2031-10-05", "part": "evening", "cloud": "clear", "scene": "skyline", "intent": "frame",
        "fromMs": null, "stepStops": 0.5, "goldenDeg": [6, -4], "blueDeg": [-4, -6], "readings": [],
    })
}

#[wasm_bindgen_test]
fn a_run_sheet_has_rows_in_order_and_a_curve_of_typed_columns() {
    let sheet = asked(run_sheet_call, &evening()).expect("a sheet");
    let rows: Array = entry(&sheet, "rows").unchecked_into();
    let times: Vec<f64> = rows.iter().map(|row| entry(&row, "atMs").as_f64().expect("a time")).collect();
    assert!(times.len() > 10 && times.is_sorted(), "{times:?}");
    let kinds: Vec<String> = rows.iter().filter_map(|row| entry(&row, "kind").as_string()).collect();
    for kind in ["set-out", "be-there", "skyline", "sunset", "civil", "balance", "dial"] {
        assert!(kinds.iter().any(|known| known == kind), "no {kind} in {kinds:?}");
    }
    let curve = entry(&sheet, "curve");
    let lengths = ["atMs", "ev", "low", "high", "sunAltitudeDeg"]
        .map(|key| entry(&curve, key).dyn_into::<Float64Array>().expect("a typed column").length());
    assert!(lengths[0] > 60 && lengths.iter().all(|length| *length == lengths[0]), "{lengths:?}");
}

#[wasm_bindgen_test]
fn a_refused_evening_names_the_field_as_its_form_does() {
    let with = |form: &str, field: &str, value: Value| {
        let mut question = evening();
        question[form][field] = value;
        refused(run_sheet_call, &question).field
    };
    for bad in [json!(91), json!("north"), Value::Null] {
        assert_eq!(with("spot", "latitudeDeg", bad), "latitudeDeg");
    }
    assert_eq!(with("shot", "isoMax", json!(50)), "isoMax");
    assert_eq!(with("spot", "zone", json!("Mars")), "zone");
    let mut question = evening();
    question["readings"] = json!([{ "atMs": 0, "ev": "bright", "intent": "sky" }]);
    assert_eq!(refused(run_sheet_call, &question).field, "readings[0].ev");
    assert_eq!(refused(run_sheet_call, &Value::Null).field, "question");
}

#[wasm_bindgen_test]
fn an_evening_its_window_and_its_ramp_take_a_reading_and_a_lesson_as_they_were_told() {
    let mut question = json!({
        "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "bearingDeg": 265, "cloud": "clear",
        "scene": "skyline", "intent": "frame", "startMs": 1_930_935_600_000_f64, "endMs": 1_930_957_200_000_f64,
        "stepS": 60, "readings": [{ "atMs": 1_930_939_200_000_f64, "ev": 10, "intent": "frame" }],
        "apertureMin": 4, "apertureMax": 11, "isoMin": 100, "isoMax": 400, "shutterMinS": 4, "shutterMaxS": 15,
        "filtersStops": [6], "intervalS": 10, "aperture": 5.6,
    });
    let evening = asked(evening_call, &question).expect("an evening");
    let curve = entry(&evening, "curve");
    for key in ["atMs", "ev", "low", "high", "sunAltitudeDeg"] {
        assert_eq!(entry(&curve, key).dyn_into::<Float64Array>().expect("a typed column").length(), 361);
    }
    let lesson = JSON::stringify(&entry(&evening, "lesson")).expect("a lesson").as_string().expect("text");
    question["lesson"] = serde_json::from_str(&lesson).expect("a lesson");
    let again = asked(evening_call, &question).expect("an evening");
    assert_eq!(entry(&entry(&again, "said"), "evenings").as_f64(), Some(1.0));
    let found = asked(exposure_window_call, &question).expect("windows");
    let windows: Array = entry(&found, "windows").unchecked_into();
    assert!(windows.length() >= 2 && entry(&found, "relax").is_null());
    assert!(number(interval_ramp_call, &question, "frames") > 2000.0);
    question["lesson"]["covariance"] = json!([]);
    assert_eq!(refused(exposure_window_call, &question).field, "lesson.covariance");
    question["lesson"] = Value::Null;
    question["filtersStops"] = json!([6, "dark"]);
    assert_eq!(refused(exposure_window_call, &question).field, "filtersStops[1]");
}

#[wasm_bindgen_test]
fn a_forecast_comes_as_typed_columns_and_takes_the_lamps_as_a_number() {
    let question = json!({
        "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "bearingDeg": 265, "cloud": "clear",
        "scene": { "floorEv": 6 }, "intent": "frame",
        "startMs": 1_930_935_600_000_f64, "endMs": 1_930_957_200_000_f64, "stepS": 60, "readings": [],
    });
    let light = asked(forecast_call, &question).expect("a forecast");
    let column = |key| entry(&light, key).dyn_into::<Float64Array>().expect("a typed column").to_vec();
    let (low, ev, high) = (column("low"), column("ev"), column("high"));
    assert_eq!(column("atMs").len(), 361);
    assert!((0..361).all(|i| low[i] < ev[i] && ev[i] < high[i]));
    assert!((ev[360] - 6.0).abs() < 0.05, "{}", ev[360]);
}

#[wasm_bindgen_test]
fn a_run_sheet_is_there_before_a_finger_lifts() {
    let clock: Performance = entry(&js_sys::global(), "performance").unchecked_into();
    let timed = |_| {
        let began = clock.now();
        asked(run_sheet_call, &evening()).expect("a sheet");
        clock.now() - began
    };
    // The quickest of some, as the machine may be busy; unoptimised here, a tenth of this as shipped.
    let quickest = (0..10).map(timed).fold(f64::INFINITY, f64::min);
    assert!(quickest < 100.0, "{quickest} ms");
}
