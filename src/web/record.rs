//! What the device keeps, record by record: the present version of each kind, what makes it of an older one, and
//! the check that every record from outside passes.
//!
//! | store | key | record | version |
//! |---|---|---|---|
//! | `spots` | its `id` | a spot and its shot as forms, in which numbers may be missing; what was surveyed around it | 2 |
//! | `filters` | its `id` | a filter of the bag | 1 |
//! | `frames` | its `id` | a frame of the log | 1 |
//! | `settings` | `choices`, `desk`, `kit`, `open`, `timer-plan` | what is set, as the page spreads it over what is usual | none: every field may be missing |
//!
//! A field that is not known here is nobody's to judge or to drop: the page keeps the record that it was given and lays the
//! changes of a migration over it. A running timer is a moment's state and no record for keeping.
//!
//! Versions: spots before 2 did not say when they were kept.

use std::borrow::Cow;

use super::value::{Given, Value, under};

use super::filter::FilterQuestion;
use super::light::{LessonKept, SceneChoice, conditions, lesson};
use super::shoot::{Problem, SpotQuestion, check_spot};
use super::skyline::surveyed;
use crate::error::{Bounds, Error, Result};
use crate::shoot::frame::FrameForm;
use crate::shoot::hours::Hours;

/// Length of a record's key.
const KEY: Bounds = Bounds::new("key", 1.0, 80.0, " characters");

/// Levels of lists and objects in a record. What a question brings from further down is cut off (`value.rs`), so nobody could
/// say whether two records agree there; nor could a browser write a backup of any depth.
const DEEPEST: usize = 8;

/// The present version of a spot's record, of a filter's, and of a frame's.
const SPOT: f64 = 2.0;
const FILTER: f64 = 1.0;
const FRAME: f64 = 1.0;

/// Checks the record of a store and says what makes it of the present version: a record of fields to be laid over it.
///
/// # Errors
/// A store or key that this version does not have, a version that is newer, or a value that cannot be: names `store`,
/// `key`, `version` or the record's field.
pub(super) fn checked(store: &str, key: &str, record: &Value) -> std::result::Result<Value, Problem> {
    KEY.check(key.chars().count() as f64)?;
    if !matches!(record, Value::Record(_)) {
        return Err(record.not("an object").in_field("record").into());
    }
    if is_deeper(record, DEEPEST) {
        return Err(Error::conflict("record", "nested deeper than 8 levels").into());
    }
    let old = match store {
        "spots" => {
            let version = identified(key, record, SPOT)?;
            possible(record)?;
            if *record.entry("light") != Value::Null {
                light(record.entry("light")).map_err(|refused| under("light", refused))?;
            }
            taught(record.entry("lesson"))?;
            version < SPOT
        }
        "filters" => {
            identified(key, record, FILTER)?;
            shaped(record, &[("sinceMs", Shape::Number)])?;
            FilterQuestion::given(record.entry("glass"))
                .map_err(|refused| under("glass", refused))?
                .read()?;
            false
        }
        "frames" => {
            identified(key, record, FRAME)?;
            FrameForm::given(record)?.check().map_err(Error::from)?;
            false
        }
        "settings" => {
            setting(key, record)?;
            false
        }
        _ => return Err(Error::unknown("store", store, &["spots", "filters", "frames", "settings"]).into()),
    };
    let changes = if old {
        vec![("version".into(), Value::Number(SPOT)), ("keptMs".into(), Value::Null)]
    } else {
        Vec::new()
    };
    Ok(Value::Record(changes))
}

/// Whether lists and objects lie in each other deeper than so many levels.
fn is_deeper(value: &Value, levels: usize) -> bool {
    match value {
        Value::List(items) => levels == 0 || items.iter().any(|item| is_deeper(item, levels - 1)),
        Value::Record(entries) => levels == 0 || entries.iter().any(|(_, item)| is_deeper(item, levels - 1)),
        _ => false,
    }
}

/// Whether two records of one key say the same, whatever their versions and whenever they were kept; what is
/// missing and what is null are one.
pub(super) fn agree(record: &Value, other: &Value) -> bool {
    equal(record, other, &["version", "keptMs"])
}

/// Whether two values are the same but for some keys of theirs.
fn equal(one: &Value, other: &Value, but: &[&str]) -> bool {
    match (one, other) {
        (Value::Record(entries), Value::Record(others)) => {
            let said = |entries: &[(Cow<'static, str>, Value)]| {
                entries.iter().filter(|(key, value)| *value != Value::Null && !but.contains(&&**key)).count()
            };
            let kept = |key: &str, value| but.contains(&key) || equal(value, other.entry(key), &[]);
            said(entries) == said(others) && entries.iter().all(|(key, value)| kept(key, value))
        }
        (Value::List(items), Value::List(others)) => {
            items.len() == others.len() && items.iter().zip(others).all(|(one, other)| equal(one, other, &[]))
        }
        _ => one == other,
    }
}

/// The version of a record, when that is known and the record goes by the key that it is kept by.
fn identified(key: &str, record: &Value, present: f64) -> Result<f64> {
    shaped(record, &[("id", Shape::Text), ("version", Shape::Number)])?;
    if text(record, "id") != key {
        return Err(Error::malformed("id", text(record, "id"), "the key that the record is kept by"));
    }
    let Value::Number(version) = *record.entry("version") else {
        return Err(Error::missing("version", "the version of the record"));
    };
    let bounds = Bounds::new("version", 1.0, present, "");
    if version.fract() == 0.0 {
        bounds.check(version)
    } else {
        Err(Error::out_of_range("version", version, bounds))
    }
}

/// Refuses forms of a spot and its shot, and a skyline with them, that hold what cannot be; what is missing can still be
/// filled in.
fn possible(record: &Value) -> std::result::Result<(), Problem> {
    let unknown = record.entry("unknown");
    if !matches!(unknown, Value::List(_)) {
        return Err(unknown.not("a list").in_field("unknown").into());
    }
    let around = record.entry("skyline");
    if *around != Value::Null {
        stands(around).map_err(|refused| under("skyline", refused))?;
    }
    let problems = check_spot(&SpotQuestion::given(record)?).problems;
    problems.into_iter().find(|problem| problem.code != "missing").map_or(Ok(()), Err)
}

/// Refuses a skyline that cannot be.
fn stands(around: &Value) -> Result<()> {
    let profile: Vec<[f64; 2]> =
        Given::given(around.entry("profile")).map_err(|refused| under("profile", refused))?;
    let eye =
        Given::given(around.entry("observerHeightM")).map_err(|refused| under("observerHeightM", refused))?;
    surveyed(&profile, eye).map(drop)
}

/// Refuses a light that cannot be; the cloud is that of an open spot only.
fn light(record: &Value) -> Result<()> {
    shaped(record, &[("cloud", Shape::Text), ("intent", Shape::Text)])?;
    let cloud = if *record.entry("cloud") == Value::Null { "clear" } else { text(record, "cloud") };
    let scene = SceneChoice::given(record.entry("scene")).map_err(|refused| under("scene", refused))?;
    conditions(cloud, &scene, text(record, "intent")).map(drop)
}

/// Refuses a lesson that no forecast could start from.
fn taught(record: &Value) -> Result<()> {
    if *record == Value::Null {
        return Ok(());
    }
    let here = |refused| under("lesson", refused);
    shaped(record, &[("key", Shape::Text)]).map_err(here)?;
    for known in ["before", "after"] {
        let kept: Option<LessonKept> = Given::given(record.entry(known)).map_err(here)?;
        lesson(kept.as_ref())?;
    }
    if *record.entry("light") == Value::Null { Ok(()) } else { light(record.entry("light")).map_err(here) }
}

/// A field that is known to be text, if it is there.
pub(super) fn text<'a>(record: &'a Value, key: &str) -> &'a str {
    if let Value::Text(text) = record.entry(key) { text } else { "" }
}

/// What a field may hold beside nothing.
enum Shape {
    Number,
    Flag,
    Text,
    /// One of these.
    Word(&'static [&'static str]),
    /// A list of texts.
    Texts,
    Record(&'static [(&'static str, Shape)]),
}

/// How the reader wants the page.
const CHOICES: [(&str, Shape); 6] = [
    ("theme", Shape::Word(&["system", "day", "dark", "night"])),
    ("lengths", Shape::Word(&["metres", "feet"])),
    ("hours", Shape::Word(&["24", "12"])),
    ("decimals", Shape::Word(&["point", "comma"])),
    ("dates", Shape::Word(&["day", "month"])),
    ("homeId", Shape::Text),
];

/// The exposure desk as it was left.
const DESK: [(&str, Shape); 19] = [
    ("metered", Shape::Record(&DIALS)),
    ("from", Shape::Word(&["reader", "run-sheet", "usual"])),
    ("sinceMs", Shape::Number),
    ("dials", Shape::Record(&DIALS)),
    ("hold", Shape::Word(&["aperture", "shutter", "iso"])),
    ("steps", Shape::Word(&["full", "thirds"])),
    ("offsetStops", Shape::Number),
    ("compensationStops", Shape::Number),
    ("onLens", Shape::Texts),
    ("meterLowEv", Shape::Number),
    ("sheet", Shape::Text),
    ("exponent", Shape::Number),
    ("sensorStops", Shape::Number),
    ("stepStops", Shape::Number),
    ("fitMinS", Shape::Number),
    ("fitMaxS", Shape::Number),
    ("fullWellE", Shape::Number),
    ("readNoiseE", Shape::Number),
    ("baseIso", Shape::Number),
];

const DIALS: [(&str, Shape); 3] =
    [("aperture", Shape::Record(&MARK)), ("shutter", Shape::Record(&MARK)), ("iso", Shape::Record(&MARK))];

const MARK: [(&str, Shape); 2] = [("label", Shape::Text), ("exact", Shape::Number)];

/// What the reader carries.
const KIT: [(&str, Shape); 9] = [
    ("lens", Shape::Record(&LENS)),
    ("upright", Shape::Flag),
    ("other", Shape::Text),
    ("ownFormats", Shape::Texts),
    ("basis", Shape::Word(&["modern", "traditional", "customary", "print"])),
    ("printCm", Shape::Number),
    ("viewingCm", Shape::Number),
    ("pitchUm", Shape::Number),
    ("blades", Shape::Number),
];

const LENS: [(&str, Shape); 2] = [("focalMm", Shape::Number), ("format", Shape::Text)];

/// What is known of the spot on the table beside its forms and its light.
const OPEN: [(&str, Shape); 3] = [("id", Shape::Text), ("edited", Shape::Flag), ("example", Shape::Flag)];

/// What the timer was last set to, as typed.
const TIMER_PLAN: [(&str, Shape); 10] = [
    ("shutterS", Shape::Number),
    ("frames", Shape::Number),
    ("gapS", Shape::Number),
    ("fillMin", Shape::Number),
    ("frameMb", Shape::Number),
    ("batteryMin", Shape::Number),
    ("way", Shape::Word(&["down", "up"])),
    ("delayS", Shape::Text),
    ("noise", Shape::Word(&["off", "on"])),
    ("of", Shape::Word(&["elapsed", "exposed"])),
];

/// Checks what is set under a key.
fn setting(key: &str, value: &Value) -> std::result::Result<(), Problem> {
    match key {
        "choices" => {
            shaped(value, &CHOICES)?;
            let limits = |key, usual| match value.entry(key) {
                Value::Null => Ok(usual),
                pair => <[f64; 2]>::given(pair).map_err(|refused| under(key, refused)),
            };
            let [golden, blue] = Hours::USUAL_DEG;
            Hours::new(limits("goldenDeg", golden)?, limits("blueDeg", blue)?)?;
        }
        "desk" => shaped(value, &DESK)?,
        "kit" => shaped(value, &KIT)?,
        "open" => {
            shaped(value, &OPEN)?;
            possible(value)?;
            light(value.entry("light")).map_err(|refused| under("light", refused))?;
        }
        "timer-plan" => shaped(value, &TIMER_PLAN)?,
        _ => return Err(Error::unknown("key", key, &["choices", "desk", "kit", "open", "timer-plan"]).into()),
    }
    Ok(())
}

/// Refuses a record with a field of another shape; any may be missing.
fn shaped(record: &Value, shapes: &[(&str, Shape)]) -> Result<()> {
    if !matches!(record, Value::Record(_)) {
        return Err(record.not("an object"));
    }
    shapes.iter().try_for_each(|(key, shape)| match record.entry(key) {
        Value::Null => Ok(()),
        value => fits(value, shape).map_err(|refused| under(key, refused)),
    })
}

fn fits(value: &Value, shape: &Shape) -> Result<()> {
    let expected = match (shape, value) {
        (Shape::Number, Value::Number(number)) if number.is_finite() => return Ok(()),
        (Shape::Flag, Value::Flag(_)) | (Shape::Text, Value::Text(_)) => return Ok(()),
        (Shape::Word(known), Value::Text(word)) => {
            let known_word = known.contains(&&**word);
            return if known_word { Ok(()) } else { Err(Error::unknown("", word.as_ref(), known)) };
        }
        (Shape::Texts, Value::List(items)) => {
            return items.iter().try_for_each(|item| fits(item, &Shape::Text));
        }
        (Shape::Record(shapes), record) => {
            shaped(record, shapes)?;
            // A record within is whole.
            let missing = shapes.iter().find(|(key, _)| *record.entry(key) == Value::Null);
            return missing.map_or(Ok(()), |(key, _)| Err(Error::missing(*key, "all that belongs to it")));
        }
        (Shape::Number, _) => "a number",
        (Shape::Flag, _) => "true or false",
        (Shape::Text | Shape::Word(_), _) => "text",
        (Shape::Texts, _) => "a list of texts",
    };
    Err(value.not(expected))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::damage::{ODD, odd};
    use crate::shoot::exchange::{Form, write};
    use crate::shoot::link::Link;
    use crate::web::value::tests::of_json;
    use proptest::prelude::*;
    use proptest::sample::select;
    use serde_json::json;

    /// Records of every version, as the page wrote them: the store, the key, the record.
    pub(in crate::web) const FIXTURES: [(&str, &str, &str); 10] = [
        ("spots", "weir", include_str!("../../tests/data/records/spot-1.json")),
        ("spots", "weir", include_str!("../../tests/data/records/spot-2.json")),
        ("filters", "ten", include_str!("../../tests/data/records/filter-1.json")),
        ("filters", "pol", include_str!("../../tests/data/records/filter-1-polariser.json")),
        ("settings", "choices", include_str!("../../tests/data/records/choices.json")),
        ("settings", "desk", include_str!("../../tests/data/records/desk.json")),
        ("settings", "open", include_str!("../../tests/data/records/open.json")),
        ("settings", "timer-plan", include_str!("../../tests/data/records/timer-plan.json")),
        ("frames", "third", include_str!("../../tests/data/records/frame-1.json")),
        ("settings", "kit", include_str!("../../tests/data/records/kit.json")),
    ];

    fn parsed(text: &str) -> serde_json::Value {
        serde_json::from_str(text).unwrap()
    }

    fn fixture(place: usize) -> serde_json::Value {
        parsed(FIXTURES[place].2)
    }

    #[test]
    fn records_of_every_version_become_present_ones() {
        for (store, key, text) in FIXTURES {
            let record = parsed(text);
            let of_record =
                |value: Value| if let Value::Record(entries) = value { entries } else { panic!("{value:?}") };
            let changes = of_record(checked(store, key, &of_json(record.clone())).unwrap());
            let old = store == "spots" && record["version"] == json!(1);
            assert_eq!(!changes.is_empty(), old, "{store} {record}");
            // Laid over, nothing is left to change.
            let mut entries = of_record(of_json(record));
            entries.retain(|(key, _)| changes.iter().all(|(changed, _)| key != changed));
            entries.extend(changes);
            assert_eq!(checked(store, key, &Value::Record(entries)), Ok(Value::Record(Vec::new())));
        }
    }

    #[test]
    fn a_refusal_names_field_and_value() {
        let refused = |place: usize, change: fn(&mut serde_json::Value)| {
            let (store, key, text) = FIXTURES[place];
            let mut record = parsed(text);
            change(&mut record);
            checked(store, key, &of_json(record)).unwrap_err().message
        };
        let refused_with = |place: usize, field: &str, value: serde_json::Value| {
            let (store, key, text) = FIXTURES[place];
            let mut record = parsed(text);
            record[field] = value;
            checked(store, key, &of_json(record)).unwrap_err().message
        };
        assert_eq!(refused(1, |r| r["version"] = json!(3)), "version: 3 is outside 1 to 2");
        assert_eq!(refused(1, |r| r["version"] = json!(1.5)), "version: 1.5 is outside 1 to 2");
        assert_eq!(
            refused(1, |r| r["spot"]["latitudeDeg"] = json!(91)),
            "latitudeDeg: 91 is outside -90° to 90°"
        );
        assert_eq!(refused(1, |r| r["spot"]["name"] = json!(7)), "name: \"7\" cannot be read; expected text");
        assert!(refused(1, |r| r["shot"]["isoMax"] = json!(50)).starts_with("isoMax: "));
        assert!(refused(1, |r| r["light"]["intent"] = json!("best")).contains("\"best\" is not known"));
        let around = refused(1, |r| r["skyline"] = json!({ "profile": [[0, 95]], "observerHeightM": 2 }));
        assert!(around.starts_with("skyline.profile[0].altitudeDeg: 95 is outside"), "{around}");
        assert_eq!(
            refused(1, |r| r["id"] = json!("other")),
            "id: \"other\" cannot be read; expected the key that the record is kept by"
        );
        assert!(refused(2, |r| r["glass"] = json!({ "stops": 99 })).starts_with("stops: 99 is outside"));
        assert!(refused(4, |r| r["theme"] = json!("pink")).starts_with("theme: \"pink\" is not known"));
        assert!(refused(4, |r| r["decimals"] = json!("dot")).starts_with("decimals: \"dot\" is not known"));
        assert!(refused(4, |r| r["dates"] = json!("year")).starts_with("dates: \"year\" is not known"));
        assert!(refused(4, |r| r["goldenDeg"] = json!([-4, 6])).starts_with("goldenDeg: "));
        assert!(refused(5, |r| r["onLens"] = json!("ten")).starts_with("onLens: \"ten\" cannot be read"));
        assert!(
            refused(5, |r| r["metered"]["iso"]["label"] = json!(5))
                .starts_with("metered.iso.label: \"5\" cannot be read")
        );
        assert!(refused(6, |r| r["light"]["cloud"] = json!("grey")).starts_with("light.cloud: "));
        assert!(refused(7, |r| r["way"] = json!("round")).starts_with("way: "));
        assert_eq!(refused(8, |r| r["iso"] = json!(null)), "iso: nothing given; expected a number");
        assert!(refused(8, |r| r["source"] = json!("dream")).starts_with("source: \"dream\" is not known"));
        // What no clock and no row of stars could show.
        assert!(refused(8, |r| r["atMs"] = json!(1e20)).starts_with("atMs: "));
        assert!(refused(8, |r| r["rating"] = json!(-1)).starts_with("rating: -1 is outside 0 to 5"));
        assert!(refused(1, |r| r["unknown"] = json!(null)).starts_with("unknown: nothing given"));
        assert!(refused(1, |r| r["lesson"] = json!(7)).starts_with("lesson: "));
        let flat = json!({ "mean": [0, 0, 0, 0, 0, 0], "covariance": vec![0; 21], "atMs": 0, "evenings": 1, "usualFloorEv": 4 });
        let mut lesson = json!({ "key": "2031-03-09 b", "after": flat });
        assert!(refused_with(1, "lesson", lesson.clone()).starts_with("lesson.covariance: "));
        lesson["light"] = json!({ "cloud": "grey" });
        lesson["after"] = json!(null);
        assert!(refused_with(1, "lesson", lesson).starts_with("lesson.scene: "));
        assert!(refused(9, |r| r["basis"] = json!("best")).starts_with("basis: "));
        assert!(refused(9, |r| r["lens"]["focalMm"] = json!("50")).starts_with("lens.focalMm: "));
        assert!(
            refused(9, |r| r["lens"] = json!({ "focalMm": 50 })).starts_with("lens.format: nothing given")
        );
        assert!(refused(5, |r| r["metered"]["iso"] = json!(null)).starts_with("metered.iso: nothing given"));
        assert!(refused(9, |r| r["ownFormats"] = json!([5])).starts_with("ownFormats: "));
        let nested = |levels| (0..levels).fold(json!(1), |inner, _| json!([inner]));
        assert_eq!(refused_with(1, "later", nested(8)), "record: nested deeper than 8 levels");
        let mut record = fixture(1);
        record["later"] = nested(7);
        assert!(checked("spots", "weir", &of_json(record)).is_ok());
        let unknown = |store, key| checked(store, key, &of_json(fixture(1))).unwrap_err().field;
        assert_eq!((unknown("moods", "a"), unknown("settings", "timer-run")), ("store".into(), "key".into()));
        assert_eq!(unknown("spots", ""), "key");
    }

    #[test]
    fn a_spot_with_open_fields_may_be_kept() {
        let mut record = fixture(1);
        record["spot"]["bearingDeg"] = json!(null);
        record["light"] = json!(null);
        assert!(checked("spots", "weir", &of_json(record)).is_ok());
    }

    #[test]
    fn records_agree_whatever_their_version_order_and_nulls() {
        let (old, new) = (fixture(0), fixture(1));
        assert!(agree(&of_json(old.clone()), &of_json(new.clone())));
        let mut other = new.clone();
        other["spot"]["notes"] = json!("another");
        assert!(!agree(&of_json(new.clone()), &of_json(other)));
        let mut more = new.clone();
        more["lesson"] = json!({ "gain": 1 });
        assert!(
            !agree(&of_json(new.clone()), &of_json(more.clone())) && !agree(&of_json(more), &of_json(new))
        );
        assert!(agree(&of_json(json!({ "a": null })), &of_json(json!({}))));
        assert!(!agree(&of_json(json!([1])), &of_json(json!([1, null]))));
    }

    /// Anything that JSON can hold.
    pub(in crate::web) fn any_json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(json!(null)),
            any::<bool>().prop_map(|flag| json!(flag)),
            any::<f64>().prop_map(|number| json!(number)),
            (-3_i32..400).prop_map(|number| json!(number)),
            odd().prop_map(|text| json!(text)),
        ];
        leaf.prop_recursive(4, 24, 4, |inner| {
            let key = prop_oneof![
                "[a-zA-Z_]{0,6}",
                select(&ODD[..3]).prop_map(String::from),
                Just("id".to_owned()),
                Just("spot".to_owned())
            ];
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..4).prop_map(serde_json::Value::Array),
                proptest::collection::vec((key, inner), 0..4)
                    .prop_map(|entries| entries.into_iter().collect()),
            ]
        })
    }

    /// The same, numbers that a browser reads beyond JSON's, such as 1e999, and what is nested deep.
    fn anything() -> impl Strategy<Value = Value> {
        prop_oneof![
            6 => any_json().prop_map(of_json),
            1 => select(&[f64::INFINITY, f64::NEG_INFINITY, f64::NAN, f64::MAX, -0.0, 1e-320][..]).prop_map(Value::Number),
            1 => (any_json(), 0..60_usize, any::<u64>()).prop_map(|(inner, levels, kinds)| {
                (0..levels).fold(of_json(inner), |inner, level| {
                    if kinds >> (level % 64) & 1 == 0 { Value::List(vec![inner]) } else { Value::Record(vec![("a".into(), inner)]) }
                })
            }),
        ]
    }

    /// Puts a value somewhere into a record.
    fn planted(record: &mut Value, mut way: u32, value: Value) {
        let count = match record {
            Value::Record(entries) => entries.len(),
            Value::List(items) => items.len(),
            _ => 0,
        };
        if count == 0 || way.is_multiple_of(5) {
            *record = value;
            return;
        }
        way /= 5;
        let place = way as usize % count;
        let inner = match record {
            Value::Record(entries) => &mut entries[place].1,
            Value::List(items) => &mut items[place],
            _ => return,
        };
        planted(inner, way / count as u32, value);
    }

    /// Whether what the page does with a record that passed goes through.
    fn is_of_use(store: &str, record: &Value) -> Result<bool> {
        if store != "spots" {
            return Ok(true);
        }
        let shared = crate::shoot::exchange::SharedSpot::given(record)?;
        let link = Link::write(&shared.spot, &shared.shot, &shared.unknown);
        let file = write(&[shared], Form::GeoJson);
        Ok(link.starts_with("#spot?v=1") && serde_json::from_str::<serde_json::Value>(&file).is_ok())
    }

    proptest! {
        #[test]
        fn no_record_breaks_the_check(
            place in 0..FIXTURES.len(), ways in proptest::collection::vec((any::<u32>(), anything()), 1..4), key in odd(),
        ) {
            let (store, own, text) = FIXTURES[place];
            let mut record = of_json(parsed(text));
            for (way, value) in ways {
                planted(&mut record, way, value);
            }
            prop_assert!(agree(&record, &record) || has_nan(&record));
            if let Err(refused) = checked(store, own, &record) {
                prop_assert!(refused.message.len() < 500 && !refused.field.is_empty());
            } else {
                prop_assert_eq!(is_of_use(store, &record), Ok(true));
            }
            for (store, key) in [(store, key.as_str()), (key.as_str(), own), ("settings", own)] {
                if let Err(refused) = checked(store, key, &record) {
                    prop_assert!(refused.message.len() < 500 && !refused.field.is_empty());
                }
            }
        }
    }

    fn has_nan(value: &Value) -> bool {
        match value {
            Value::Number(number) => number.is_nan(),
            Value::List(items) => items.iter().any(has_nan),
            Value::Record(entries) => entries.iter().any(|(_, value)| has_nan(value)),
            _ => false,
        }
    }
}
