//! What the device keeps, record by record: the present version of each kind, what makes it of an older one, and
//! the check that every record from outside passes.
//!
//! | store | key | record | version |
//! |---|---|---|---|
//! | `spots` | its `id` | a spot and its shot as forms, in which numbers may be missing | 2 |
//! | `filters` | its `id` | a filter of the bag | 1 |
//! | `settings` | `choices`, `desk`, `open`, `timer-plan` | what is set, as the page spreads it over what is usual | none: every field may be missing |
//!
//! A field that is not known here is nobody's to judge or to drop: the page keeps the record that it was given and lays the
//! changes of a migration over it. A running timer is a moment's state and no record for keeping.
//!
//! Versions: spots before 2 did not say when they were kept.

use std::borrow::Cow;

use super::value::{Given, Value, question};

use super::filter::FilterQuestion;
use super::light::{SceneChoice, conditions};
use crate::error::{Bounds, Error, Problems, Result};
use crate::shoot::hours::Hours;
use crate::shoot::{shot, spot};

/// Length of a record's key.
const KEY: Bounds = Bounds::new("key", 1.0, 80.0, " characters");

/// What a record lacks to be of the present version: fields with their values, to be laid over it.
pub(super) type Changes = Vec<(&'static str, Value)>;

/// Checks the record of a store and says what makes it of the present version.
///
/// # Errors
/// A store or key that this version does not have, a version that is newer, or a value that cannot be: names `store`,
/// `key`, `version` or the record's field.
pub(super) fn checked(store: &str, key: &str, record: &Value) -> Result<Changes> {
    KEY.check(key.chars().count() as f64)?;
    match store {
        "spots" => SpotRecord::given(record)?.checked(key),
        "filters" => FilterRecord::given(record)?.checked(key),
        "settings" => setting(key, record).map(|()| Vec::new()),
        _ => Err(Error::unknown("store", store, &["spots", "filters", "settings"])),
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

/// Refuses a record that goes by another key than its own, or is of a version that is not known.
fn identified(key: &str, id: &str, version: f64, present: f64) -> Result<()> {
    if id != key {
        return Err(Error::malformed("id", id, "the key that the record is kept by"));
    }
    let bounds = Bounds::new("version", 1.0, present, "");
    bounds.check(version)?;
    if version.fract() == 0.0 { Ok(()) } else { Err(Error::out_of_range("version", version, bounds)) }
}

/// Refuses forms that hold what cannot be; what is missing can still be filled in.
fn possible(spot: &spot::SpotForm, shot: &shot::ShotForm) -> Result<()> {
    let all = [spot.check().err(), shot.check().err()];
    let found = all.iter().flatten().flat_map(Problems::list).find(|problem| problem.code() != "missing");
    found.map_or(Ok(()), |problem| Err(problem.clone()))
}

/// Refuses a word that is none of those known, where one is given.
fn word(field: &'static str, given: Option<&String>, known: &[&str]) -> Result<()> {
    let strange = given.filter(|given| !known.contains(&given.as_str()));
    strange.map_or(Ok(()), |strange| Err(Error::unknown(field, strange, known)))
}

question! {
    /// A kept spot.
    pub struct SpotRecord {
        /// Its key.
        pub id: String,
        /// 1 or 2.
        pub version: f64,
        /// When it was kept, milliseconds since 1970 UTC; not said by version 1.
        pub kept_ms: Option<f64>,
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// Keys of a link that are not known.
        pub unknown: Vec<(String, String)>,
        /// The light there.
        pub light: Option<LightRecord>,
    }
}

question! {
    /// The light as it was chosen.
    pub struct LightRecord {
        /// How the sky is covered; said of an open spot only.
        pub cloud: Option<String>,
        /// What lights the scene.
        #[tsify(type = "string | { floorEv: number }")]
        pub scene: SceneChoice,
        /// What the exposure is to hold.
        pub intent: String,
    }
}

impl LightRecord {
    fn possible(&self) -> Result<()> {
        conditions(self.cloud.as_deref().unwrap_or("clear"), &self.scene, &self.intent).map(drop)
    }
}

impl SpotRecord {
    const PRESENT: f64 = 2.0;

    fn checked(&self, key: &str) -> Result<Changes> {
        identified(key, &self.id, self.version, Self::PRESENT)?;
        possible(&self.spot, &self.shot)?;
        self.light.as_ref().map_or(Ok(()), LightRecord::possible)?;
        Ok(if self.version < 2.0 {
            vec![("version", Value::Number(Self::PRESENT)), ("kept_ms", Value::Null)]
        } else {
            Vec::new()
        })
    }
}

question! {
    /// A filter of the bag.
    pub struct FilterRecord {
        /// Its key.
        pub id: String,
        /// 1.
        pub version: f64,
        /// When it came into the bag, milliseconds since 1970 UTC.
        pub since_ms: f64,
        /// What it is.
        pub glass: FilterQuestion,
    }
}

impl FilterRecord {
    fn checked(&self, key: &str) -> Result<Changes> {
        identified(key, &self.id, self.version, 1.0)?;
        self.glass.read().map(|_| Vec::new())
    }
}

/// Checks what is set under a key.
fn setting(key: &str, value: &Value) -> Result<()> {
    match key {
        "choices" => Choices::given(value)?.checked(),
        "desk" => DeskRecord::given(value)?.checked(),
        "open" => OpenRecord::given(value)?.checked(),
        "timer-plan" => TimerPlan::given(value)?.checked(),
        _ => Err(Error::unknown("key", key, &["choices", "desk", "open", "timer-plan"])),
    }
}

question! {
    /// How the reader wants the page.
    pub struct Choices {
        /// `system`, `day`, `dark` or `night`.
        pub theme: Option<String>,
        /// `metres` or `feet`.
        pub lengths: Option<String>,
        /// `24` or `12`.
        pub hours: Option<String>,
        /// Limits of the golden hour, degrees, the higher one first.
        pub golden_deg: Option<[f64; 2]>,
        /// Limits of the blue hour.
        pub blue_deg: Option<[f64; 2]>,
        /// The spot to open first.
        pub home_id: Option<String>,
    }
}

impl Choices {
    fn checked(&self) -> Result<()> {
        word("theme", self.theme.as_ref(), &["system", "day", "dark", "night"])?;
        word("lengths", self.lengths.as_ref(), &["metres", "feet"])?;
        word("hours", self.hours.as_ref(), &["24", "12"])?;
        Hours::new(self.golden_deg.unwrap_or([6.0, -4.0]), self.blue_deg.unwrap_or([-4.0, -6.0])).map(drop)
    }
}

question! {
    /// A mark of a dial.
    pub struct MarkRecord {
        /// As it is written.
        pub label: String,
        /// What it stands for.
        pub exact: f64,
    }
}

question! {
    /// The three dials.
    pub struct DialsRecord {
        /// F-number.
        pub aperture: MarkRecord,
        /// Seconds.
        pub shutter: MarkRecord,
        /// ISO speed.
        pub iso: MarkRecord,
    }
}

question! {
    /// The exposure desk as it was left.
    pub struct DeskRecord {
        /// What was metered.
        pub metered: Option<DialsRecord>,
        /// `reader`, `run-sheet` or `usual`.
        pub from: Option<String>,
        /// When.
        pub since_ms: Option<f64>,
        /// What will be shot.
        pub dials: Option<DialsRecord>,
        /// `aperture`, `shutter` or `iso`.
        pub hold: Option<String>,
        /// `full` or `thirds`.
        pub steps: Option<String>,
        /// What the meter always needs.
        pub offset_stops: Option<f64>,
        /// What this picture gets more.
        pub compensation_stops: Option<f64>,
        /// Filters by their keys.
        pub on_lens: Vec<String>,
        /// Where the camera's meter gives up.
        pub meter_low_ev: Option<f64>,
        /// The film.
        pub sheet: Option<String>,
        /// An exponent of one's own.
        pub exponent: Option<f64>,
        /// What one frame holds.
        pub sensor_stops: Option<f64>,
        /// Between the frames of a bracket.
        pub step_stops: Option<f64>,
    }
}

impl DeskRecord {
    fn checked(&self) -> Result<()> {
        word("from", self.from.as_ref(), &["reader", "run-sheet", "usual"])?;
        word("hold", self.hold.as_ref(), &["aperture", "shutter", "iso"])?;
        word("steps", self.steps.as_ref(), &["full", "thirds"])
    }
}

question! {
    /// The spot on the table, kept or not.
    pub struct OpenRecord {
        /// Its record, when it has one.
        pub id: Option<String>,
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// Keys of a link that are not known.
        pub unknown: Vec<(String, String)>,
        /// The light there.
        pub light: LightRecord,
    }
}

impl OpenRecord {
    fn checked(&self) -> Result<()> {
        possible(&self.spot, &self.shot)?;
        self.light.possible()
    }
}

question! {
    /// What the timer was last set to, as typed.
    pub struct TimerPlan {
        /// The time of a frame.
        pub shutter_s: Option<f64>,
        /// How many.
        pub frames: Option<f64>,
        /// Between two.
        pub gap_s: Option<f64>,
        /// A time to fill with frames.
        pub fill_min: Option<f64>,
        /// What a frame takes on the card.
        pub frame_mb: Option<f64>,
        /// How long the battery lasts.
        pub battery_min: Option<f64>,
        /// `down` or `up`.
        pub way: Option<String>,
        /// Before the first frame.
        pub delay_s: Option<String>,
        /// `off` or `on`.
        pub noise: Option<String>,
        /// `elapsed` or `exposed`.
        pub of: Option<String>,
    }
}

impl TimerPlan {
    fn checked(&self) -> Result<()> {
        word("way", self.way.as_ref(), &["down", "up"])?;
        word("noise", self.noise.as_ref(), &["off", "on"])?;
        word("of", self.of.as_ref(), &["elapsed", "exposed"])
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::web::value::tests::of_json;
    use proptest::prelude::*;
    use serde_json::json;

    /// Records of every version, as the page wrote them: the store, the key, the record.
    pub(in crate::web) const FIXTURES: [(&str, &str, &str); 8] = [
        ("spots", "weir", include_str!("../../tests/data/records/spot-1.json")),
        ("spots", "weir", include_str!("../../tests/data/records/spot-2.json")),
        ("filters", "ten", include_str!("../../tests/data/records/filter-1.json")),
        ("filters", "pol", include_str!("../../tests/data/records/filter-1-polariser.json")),
        ("settings", "choices", include_str!("../../tests/data/records/choices.json")),
        ("settings", "desk", include_str!("../../tests/data/records/desk.json")),
        ("settings", "open", include_str!("../../tests/data/records/open.json")),
        ("settings", "timer-plan", include_str!("../../tests/data/records/timer-plan.json")),
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
            let mut changes = checked(store, key, &of_json(record.clone())).unwrap();
            let old = store == "spots" && record["version"] == json!(1);
            assert_eq!(!changes.is_empty(), old, "{store} {record}");
            // Laid over, nothing is left to change.
            let Value::Record(mut entries) = of_json(record) else { panic!("{text}") };
            entries.retain(|(key, _)| key != "version");
            entries.extend(changes.drain(..).map(|(name, value)| (name.into(), value)));
            if old {
                assert_eq!(checked(store, key, &Value::Record(entries)), Ok(Vec::new()));
            }
        }
    }

    #[test]
    fn a_refusal_names_field_and_value() {
        let refused = |place: usize, change: fn(&mut serde_json::Value)| {
            let (store, key, text) = FIXTURES[place];
            let mut record = parsed(text);
            change(&mut record);
            checked(store, key, &of_json(record)).unwrap_err().to_string()
        };
        assert_eq!(refused(1, |r| r["version"] = json!(3)), "version: 3 is outside 1 to 2");
        assert_eq!(refused(1, |r| r["version"] = json!(1.5)), "version: 1.5 is outside 1 to 2");
        assert_eq!(
            refused(1, |r| r["spot"]["latitudeDeg"] = json!(91)),
            "latitudeDeg: 91 is outside -90° to 90°"
        );
        assert_eq!(refused(1, |r| r["spot"]["name"] = json!(7)), "name: \"7\" cannot be read; expected text");
        assert!(refused(1, |r| r["shot"]["isoMax"] = json!(50)).starts_with("isoMax: "));
        assert!(
            refused(1, |r| r["light"]["intent"] = json!("best")).starts_with("intent: \"best\" is not known")
        );
        assert_eq!(
            refused(1, |r| r["id"] = json!("other")),
            "id: \"other\" cannot be read; expected the key that the record is kept by"
        );
        assert!(refused(2, |r| r["glass"] = json!({ "stops": 99 })).starts_with("stops: 99 is outside"));
        assert!(refused(4, |r| r["theme"] = json!("pink")).starts_with("theme: \"pink\" is not known"));
        assert!(refused(4, |r| r["goldenDeg"] = json!([-4, 6])).starts_with("goldenDeg: "));
        assert!(refused(5, |r| r["onLens"] = json!("ten")).starts_with("onLens: \"ten\" cannot be read"));
        assert!(
            refused(5, |r| r["metered"]["iso"] = json!({})).starts_with("metered.iso.label: nothing given")
        );
        assert!(refused(6, |r| r["light"]["cloud"] = json!("grey")).starts_with("cloud: "));
        assert!(refused(7, |r| r["way"] = json!("round")).starts_with("way: "));
        let unknown = |store, key| checked(store, key, &of_json(fixture(1))).unwrap_err().field().to_owned();
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
            any::<String>().prop_map(|text| json!(text)),
        ];
        leaf.prop_recursive(4, 24, 4, |inner| {
            let key = prop_oneof!["[a-zA-Z_]{0,6}", Just("id".to_owned()), Just("spot".to_owned())];
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..4).prop_map(serde_json::Value::Array),
                proptest::collection::vec((key, inner), 0..4)
                    .prop_map(|entries| entries.into_iter().collect()),
            ]
        })
    }

    /// Puts a value somewhere into a record.
    fn planted(record: &mut serde_json::Value, mut way: u32, value: serde_json::Value) {
        let count = match record {
            serde_json::Value::Object(entries) => entries.len(),
            serde_json::Value::Array(items) => items.len(),
            _ => 0,
        };
        if count == 0 || way.is_multiple_of(5) {
            *record = value;
            return;
        }
        way /= 5;
        let place = way as usize % count;
        let inner = match record {
            serde_json::Value::Object(entries) => entries.values_mut().nth(place),
            other => other.get_mut(place),
        };
        planted(inner.unwrap(), way / count as u32, value);
    }

    proptest! {
        #[test]
        fn no_record_breaks_the_check(place in 0..FIXTURES.len(), way: u32, value in any_json(), strange in any_json()) {
            let (store, key, text) = FIXTURES[place];
            let mut record = parsed(text);
            planted(&mut record, way, value);
            let record = of_json(record);
            prop_assert!(agree(&record, &record) || has_nan(&record));
            if let Err(refused) = checked(store, key, &record) {
                prop_assert!(refused.to_string().len() < 400);
            }
            let _ = checked(store, key, &of_json(strange));
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
