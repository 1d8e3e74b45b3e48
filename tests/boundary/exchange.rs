//! Backups and files for other programs, as the page hands them over.

use duskbook::web::backup::plan_backup_call;
use duskbook::web::exchange::{write_calendar_call, write_spots_call};
use js_sys::Array;
use serde_json::{Value, json};
use wasm_bindgen::JsCast;
use wasm_bindgen_test::wasm_bindgen_test;

use crate::calls::{asked, entry, refused};

/// A backup of one record of a spot.
fn backup(record: &Value, mine: &Value) -> Value {
    let entry = json!({ "store": "spots", "key": "weir", "record": record, "mine": mine });
    json!({ "format": "duskbook-backup", "version": 1, "entries": [entry] })
}

fn weir() -> Value {
    serde_json::from_str(include_str!("../data/records/spot-1.json")).expect("a record")
}

#[wasm_bindgen_test]
fn a_plan_is_a_list_of_plain_objects() {
    let verdicts: Array =
        asked(plan_backup_call, &backup(&weir(), &Value::Null)).expect("a plan").unchecked_into();
    let verdict = verdicts.get(0);
    assert_eq!((verdicts.length(), entry(&verdict, "verdict").as_string().as_deref()), (1, Some("add")));
    let changes = entry(&verdict, "changes");
    assert_eq!(entry(&changes, "version").as_f64(), Some(2.0));
    assert!(entry(&changes, "keptMs").is_null() && entry(&verdict, "problem").is_null());
    let again: Array = asked(plan_backup_call, &backup(&weir(), &weir())).expect("a plan").unchecked_into();
    assert_eq!(entry(&again.get(0), "verdict").as_string().as_deref(), Some("same"));
}

#[wasm_bindgen_test]
fn a_record_nested_without_end_is_looked_into_so_far_and_no_further() {
    let mut deep = json!(1);
    for _ in 0..100 {
        deep = json!({ "spot": [deep] });
    }
    let verdicts: Array =
        asked(plan_backup_call, &backup(&deep, &Value::Null)).expect("a plan").unchecked_into();
    let problem = entry(&verdicts.get(0), "problem");
    assert_eq!(entry(&problem, "field").as_string().as_deref(), Some("record"));
}

#[wasm_bindgen_test]
fn what_is_no_backup_and_no_file_is_refused_by_its_field() {
    assert_eq!(refused(plan_backup_call, &json!({})).field, "format");
    assert_eq!(refused(plan_backup_call, &json!([1])).field, "format");
    assert_eq!(refused(write_spots_call, &json!({ "form": "kml", "spots": [] })).field, "form");
    let calendar = json!({ "madeAtMs": 0, "place": "", "latitudeDeg": 91, "longitudeDeg": 0, "moments": [] });
    assert_eq!(refused(write_calendar_call, &calendar).field, "latitudeDeg");
}

#[wasm_bindgen_test]
fn a_file_of_spots_is_text() {
    let asked = asked(write_spots_call, &json!({ "form": "links", "spots": [weir()] }));
    assert_eq!(asked.expect("a text").as_string().as_deref(), Some("geo:51.25,-4.5\n"));
}
