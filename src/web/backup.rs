//! A backup, checked whole against what the device has before anything is written.
//!
//! The file is JSON (RFC 8259), read and written by the browser's own:
//!
//! ```text
//! {"format":"duskbook-backup","version":1,"madeAtMs":1930938127123,
//!  "stores":{"spots":{"<key>":{…}},"filters":{…},"settings":{"choices":{…}}}}
//! ```
//!
//! `version` is the file's; each record has its own (`record.rs` beside this). The page hands over every record beside the one of
//! the same key that it has, and is told for each what taking it in would be. What is refused stays out and says why; the
//! rest goes in by one transaction.

use wasm_bindgen::prelude::*;

use super::value::{Told, Value, answer};

use super::record::{agree, checked, text};
use super::shoot::Problem;
use crate::error::{Bounds, Error, Result};

/// What a backup calls itself.
const FORMAT: &str = "duskbook-backup";

/// Versions of the file that are read.
const VERSION: Bounds = Bounds::new("version", 1.0, 1.0, "");

answer! {
    /// What becomes of a record.
    pub struct EntryVerdict {
        /// `add` when its key is free, `same` when the device's own says the same, `conflict` when it says something else,
        /// `refused` when it cannot be kept.
        #[tsify(type = "\"add\" | \"same\" | \"conflict\" | \"refused\"")]
        pub verdict: &'static str,
        /// Fields to lay over it, so that it is of the present version; null when it is refused.
        #[tsify(type = "Record<string, unknown> | null")]
        pub changes: Value,
        /// Why it is refused.
        pub problem: Option<Problem>,
    }
}

impl EntryVerdict {
    fn of(entry: &Value) -> Self {
        let (record, mine) = (entry.entry("record"), entry.entry("mine"));
        let (verdict, changes, problem) = match checked(text(entry, "store"), text(entry, "key"), record) {
            Err(refused) => ("refused", Value::Null, Some(refused)),
            Ok(changes) if *mine == Value::Null => ("add", changes, None),
            Ok(changes) => (if agree(record, mine) { "same" } else { "conflict" }, changes, None),
        };
        Self { verdict, changes, problem }
    }
}

/// What taking in each record of a backup would be, in the order given. A question holds what the file calls itself
/// (`format`), its `version`, and its `entries`, null when it has no records by store and key: each with its `store`, its
/// `key`, the `record`, and as `mine` the device's own of that key, or null.
///
/// # Errors
/// Another file, a newer one, or one without records: names `format`, `version` or `stores`.
fn plan(question: &Value) -> Result<Vec<EntryVerdict>> {
    match question.entry("format") {
        Value::Text(format) if format == FORMAT => {}
        other => return Err(other.not("a backup made here").in_field("format")),
    }
    let version = if let Value::Number(version) = *question.entry("version") { Some(version) } else { None };
    VERSION.required(version)?;
    let Value::List(entries) = question.entry("entries") else {
        return Err(Error::missing("stores", "records by store and key"));
    };
    Ok(entries.iter().map(EntryVerdict::of).collect())
}

/// What taking in each record of a backup would be, in the order given.
///
/// # Errors
/// Another file, a newer one, or one without records, thrown with `format`, `version` or `stores`.
#[wasm_bindgen(js_name = planBackup, unchecked_return_type = "EntryVerdict[]")]
pub fn plan_backup_call(
    #[wasm_bindgen(
        unchecked_param_type = "{ format: unknown, version: unknown, entries: { store: string, key: string, record: unknown, mine: unknown }[] | null }"
    )]
    question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::exchange(question, &|question| plan(question).map(Told::told))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::record::tests::{FIXTURES, any_json};
    use crate::web::value::tests::{of_json, told};
    use proptest::prelude::*;
    use serde_json::json;

    /// A question as the page makes it of a file and what it has.
    fn asked(file: &serde_json::Value, mine: &serde_json::Value) -> serde_json::Value {
        let stores = file["stores"].as_object();
        let entries: Option<Vec<serde_json::Value>> = stores.map(|stores| {
            let records = stores.iter().flat_map(|(store, records)| {
                let records = records.as_object().cloned().unwrap_or_default();
                records.into_iter().map(move |(key, record)| {
                    json!({ "store": store, "key": key, "record": record, "mine": mine[store.as_str()][&key] })
                })
            });
            records.collect()
        });
        json!({ "format": file["format"], "version": file["version"], "entries": entries })
    }

    fn planned(file: &serde_json::Value, mine: &serde_json::Value) -> Result<serde_json::Value> {
        plan(&of_json(asked(file, mine))).map(told)
    }

    fn fixture() -> serde_json::Value {
        serde_json::from_str(include_str!("../../tests/data/records/backup-1.json")).unwrap()
    }

    #[test]
    fn an_older_backup_is_taken_in_and_brought_up_to_date() {
        let verdicts = planned(&fixture(), &json!({})).unwrap();
        let verdicts = verdicts.as_array().unwrap();
        // One version of the spot, and no kit yet.
        assert_eq!(verdicts.len(), FIXTURES.len() - 2);
        assert!(verdicts.iter().all(|each| each["verdict"] == json!("add")), "{verdicts:?}");
        let changed: Vec<_> =
            verdicts.iter().map(|each| &each["changes"]).filter(|&each| *each != json!({})).collect();
        assert_eq!(changed, [&json!({ "version": 2.0, "keptMs": null })]);
    }

    #[test]
    fn records_are_added_left_or_asked_about_one_by_one() {
        let mut file = fixture();
        // On the device: the same spot of a later version, another filter under the same key.
        let mut spot: serde_json::Value = serde_json::from_str(FIXTURES[1].2).unwrap();
        let mine = json!({
            "spots": { "weir": spot },
            "filters": { "ten": { "id": "ten", "version": 1, "sinceMs": 5, "glass": { "text": "ND8" } } },
        });
        file["stores"]["filters"]["torn"] = json!({ "id": "torn", "version": 1, "sinceMs": 5, "glass": {} });
        file["stores"]["moods"] = json!({ "a": {} });
        let of = |file: &serde_json::Value, mine: &serde_json::Value| {
            let question = asked(file, mine);
            let verdicts = planned(file, mine).unwrap();
            let entries = question["entries"].as_array().unwrap().iter().zip(verdicts.as_array().unwrap());
            entries
                .map(|(entry, told)| {
                    let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
                    (
                        text(&entry["key"]),
                        text(&told["verdict"]),
                        told["problem"]["field"].as_str().unwrap_or_default().to_owned(),
                    )
                })
                .collect::<Vec<_>>()
        };
        let told = of(&file, &mine);
        let verdict = |key: &str| {
            told.iter().find(|(known, ..)| known == key).map(|(_, v, f)| (v.as_str(), f.as_str()))
        };
        assert_eq!(verdict("weir"), Some(("same", "")));
        assert_eq!(verdict("ten"), Some(("conflict", "")));
        assert_eq!(verdict("pol"), Some(("add", "")));
        assert_eq!(verdict("torn"), Some(("refused", "stops")));
        assert_eq!(verdict("a"), Some(("refused", "store")));
        spot["spot"]["bearingDeg"] = json!(12);
        assert_eq!(
            of(&file, &json!({ "spots": { "weir": spot } }))
                [told.iter().position(|t| t.0 == "weir").unwrap()]
            .1,
            "conflict"
        );
    }

    #[test]
    fn another_file_is_refused_whole_with_the_reason() {
        let refused = |change: fn(&mut serde_json::Value)| {
            let mut file = fixture();
            change(&mut file);
            planned(&file, &json!({})).unwrap_err().to_string()
        };
        assert_eq!(
            refused(|f| *f = json!({ "type": "FeatureCollection" })),
            "format: nothing given; expected a backup made here"
        );
        assert_eq!(
            refused(|f| f["format"] = json!("other")),
            "format: \"other\" cannot be read; expected a backup made here"
        );
        assert_eq!(refused(|f| f["version"] = json!(2)), "version: 2 is outside 1 to 1");
        assert_eq!(
            refused(|f| f["stores"] = json!([])),
            "stores: nothing given; expected records by store and key"
        );
    }

    proptest! {
        #[test]
        fn no_backup_breaks_the_plan(
            store in "(spots|filters|frames|settings|__proto__|)", stores in any_json(), mine in any_json(), anything in any_json(),
        ) {
            let file = json!({ "format": FORMAT, "version": 1, "stores": { store: stores, "settings": { "desk": anything } } });
            if let Ok(verdicts) = planned(&file, &mine) {
                let asked = asked(&file, &mine);
                prop_assert_eq!(verdicts.as_array().unwrap().len(), asked["entries"].as_array().unwrap().len());
            }
            let strange = plan(&of_json(anything));
            prop_assert!(strange.is_err_and(|refused| refused.to_string().len() < 500));
        }
    }

    #[test]
    fn taken_in_twice_nothing_changes() {
        for (store, key, text) in FIXTURES {
            let record: serde_json::Value = serde_json::from_str(text).unwrap();
            let stores = json!({ store: { key: record } });
            let file = json!({ "format": FORMAT, "version": 1, "stores": stores });
            let verdict = |mine| planned(&file, &mine).unwrap()[0]["verdict"].clone();
            assert_eq!((verdict(json!({})), verdict(stores)), (json!("add"), json!("same")));
        }
    }
}
