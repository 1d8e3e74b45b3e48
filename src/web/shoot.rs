//! Spots, their links and their run sheets, as the page asks.

use wasm_bindgen::prelude::*;

use super::value::{answer, mirror, question};

use super::Column;
use super::exposure::SettingAnswer;
use super::light::{LessonKept, ReadingGiven, SceneChoice, conditions, lesson, readings};
use super::sky::PolarAltitude;
use super::skyline::surveyed;
use super::zone::Zone;
use crate::error::{Error, Problems, Result};
use crate::light::forecast::{Balance, Estimate, Findings, Forecast};
use crate::shoot::coordinates::Coordinates;
use crate::shoot::half_day::Part;
use crate::shoot::hours::Hours;
use crate::shoot::link::Link;
use crate::shoot::row::Row;
use crate::shoot::run_sheet::{Plan, RunSheet, Sample};
use crate::shoot::shift::Shift;
use crate::shoot::{shot, spot};
use crate::units::{Instant, Span, Stops};

mirror! {
    spot::SpotForm =>
    /// A spot as it stands in a form. Anything may be wrong; a number that is missing is null.
    pub struct SpotForm {
        /// What the photographer calls it, at most 80 characters.
        pub name: String,
        /// Degrees, north positive.
        pub latitude_deg: Option<f64>,
        /// Degrees, east positive.
        pub longitude_deg: Option<f64>,
        /// Metres above the sea.
        pub elevation_m: Option<f64>,
        /// IANA name of the zone.
        pub zone: String,
        /// Where the lens points, degrees clockwise from true north.
        pub bearing_deg: Option<f64>,
        /// Apparent altitude of the flat skyline, degrees.
        pub skyline_deg: Option<f64>,
        /// Width and height of the sensor or film in millimetres, `36x24`.
        pub format: String,
        /// Focal length as engraved, millimetres.
        pub focal_mm: Option<f64>,
        /// Walking time, minutes.
        pub walk_min: Option<f64>,
        /// Time from arriving to the first frame, minutes.
        pub set_up_min: Option<f64>,
        /// Anything else, at most 2000 characters.
        pub notes: String,
    }
}

mirror! {
    shot::ShotForm =>
    /// A shot as it stands in a form. Anything may be wrong; a number that is missing is null.
    pub struct ShotForm {
        /// F-number of the widest opening, the smaller number.
        pub aperture_min: Option<f64>,
        /// F-number of the smallest opening, the larger number.
        pub aperture_max: Option<f64>,
        /// Lowest ISO speed.
        pub iso_min: Option<f64>,
        /// Highest ISO speed.
        pub iso_max: Option<f64>,
        /// The time that the picture needs, seconds; null when any will do.
        pub shutter_wanted_s: Option<f64>,
        /// What the filters on the lens take, stops.
        pub filter_stops: Option<f64>,
    }
}

answer! {
    /// One thing that is wrong with an input.
    pub struct Problem {
        /// The field's name in its form.
        pub field: String,
        /// A stable word for the kind of trouble.
        pub code: &'static str,
        /// Field, value and what would have been right, in words.
        pub message: String,
    }
}

impl From<&Error> for Problem {
    fn from(error: &Error) -> Self {
        Self { field: error.field().to_owned(), code: error.code(), message: error.to_string() }
    }
}

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        Self::from(&error)
    }
}

/// All problems of a form.
pub(super) fn listed(problems: &Problems) -> Vec<Problem> {
    problems.list().iter().map(Problem::from).collect()
}

question! {
    /// Text that somebody pasted.
    pub struct ReadCoordinatesQuestion {
        /// A decimal pair, degrees with minutes and seconds, or a `geo:` link.
        pub text: String,
    }
}

answer! {
    /// A position read from text.
    pub struct ReadCoordinatesAnswer {
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// Metres; null when the text has none.
        pub elevation_m: Option<f64>,
    }
}

/// A position from pasted text.
///
/// # Errors
/// No position, or one off the globe: names `text`.
pub fn read_coordinates(q: &ReadCoordinatesQuestion) -> Result<ReadCoordinatesAnswer> {
    let Coordinates { latitude_deg, longitude_deg, elevation_m } =
        q.text.parse().map_err(|refused: Error| refused.in_field("text"))?;
    Ok(ReadCoordinatesAnswer { latitude_deg, longitude_deg, elevation_m })
}

question! {
    /// An address with a spot in its fragment.
    pub struct ReadSpotLinkQuestion {
        /// From the `#` on, or the whole address.
        pub fragment: String,
    }
}

question! {
    /// The forms of a spot and a shot, with whatever came along in their link.
    pub struct SpotQuestion {
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// Keys that this version does not know, with their values, in order.
        pub unknown: Vec<(String, String)>,
    }
}

answer! {
    /// A link, read: good fields are filled, bad ones are empty or null and listed.
    pub struct ReadSpotLinkAnswer {
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// Keys that this version does not know, with their values, in order.
        pub unknown: Vec<(String, String)>,
        /// Everything that was wrong.
        pub problems: Vec<Problem>,
    }
}

/// The spot and shot of a link. Never refuses: what cannot be read is listed.
pub fn read_spot_link(q: &ReadSpotLinkQuestion) -> ReadSpotLinkAnswer {
    let Link { spot, shot, unknown, problems } = Link::read(&q.fragment);
    ReadSpotLinkAnswer { spot, shot, unknown, problems: listed(&problems) }
}

answer! {
    /// What is wrong with a form.
    pub struct CheckSpotAnswer {
        /// All of it; empty when nothing is.
        pub problems: Vec<Problem>,
    }
}

/// The link for a spot and a shot as they stand, from its `#`.
pub fn write_spot_link(q: &SpotQuestion) -> String {
    Link::write(&q.spot, &q.shot, &q.unknown)
}

/// Everything that is wrong with a spot and a shot, but for a zone that does not exist.
pub fn check_spot(q: &SpotQuestion) -> CheckSpotAnswer {
    let found = [q.spot.check().err(), q.shot.check().err()];
    CheckSpotAnswer { problems: found.iter().flatten().flat_map(listed).collect() }
}

/// Adds that a zone does not exist, when nothing is wrong with its name.
fn check_zone(zone: &str, problems: &mut Vec<Problem>) {
    if problems.iter().all(|problem| problem.field != "zone") {
        problems.extend(Zone::named(zone).err().as_ref().map(Problem::from));
    }
}

question! {
    /// An evening or a morning at a spot.
    pub struct RunSheetQuestion {
        /// The spot.
        #[tsify(type = "SpotForm")]
        pub spot: spot::SpotForm,
        /// The shot.
        #[tsify(type = "ShotForm")]
        pub shot: shot::ShotForm,
        /// The skyline, as `skyline` takes it; the spot's flat one counts where there is none.
        #[tsify(optional, type = "[number, number][]")]
        pub profile: Vec<[f64; 2]>,
        /// Height of the eye above the ground or sea at the horizon, metres, 0 when not given.
        #[tsify(optional)]
        pub observer_height_m: Option<f64>,
        /// The date at the spot, written `2031-03-09`.
        pub date: String,
        /// Which half of the day.
        #[tsify(type = "\"evening\" | \"morning\"")]
        pub part: String,
        /// How the sky is covered.
        #[tsify(type = "\"clear\" | \"thin\" | \"average\" | \"dark\"")]
        pub cloud: String,
        /// What lights the scene when the sky no longer does.
        #[tsify(type = "\"street\" | \"skyline\" | \"floodlit\" | \"unlit\" | { floorEv: number }")]
        pub scene: SceneChoice,
        /// What the exposure is to hold.
        #[tsify(type = "\"sky\" | \"frame\" | \"shadows\" | \"highlights\"")]
        pub intent: String,
        /// Dial rows are wanted from this moment on, milliseconds since 1970 UTC; from the arrival when missing.
        pub from_ms: Option<f64>,
        /// The change of light that makes a row, stops, 0.1 to 3.
        pub step_stops: f64,
        /// Sun's altitudes between which the golden hour lies, degrees, the higher one first.
        pub golden_deg: [f64; 2],
        /// Sun's altitudes between which the blue hour lies, degrees, the higher one first.
        pub blue_deg: [f64; 2],
        /// What was read this evening, or this morning; at most 100.
        pub readings: Vec<ReadingGiven>,
        /// What the spot has taught on evenings before.
        #[tsify(optional)]
        pub lesson: Option<LessonKept>,
    }
}

answer! {
    /// One line of the sheet.
    pub struct SheetRow {
        /// What happens: `set-out`, `be-there`, `skyline`, `gap`, `sunset`, `sunrise`, `golden-start`, `golden-end`, `blue-start`,
        /// `blue-end`, `civil`, `nautical`, `astronomical`, `balance`, `dial`, `light-ends`, `light-begins` or `lowest-light`.
        pub kind: &'static str,
        /// When, or when it begins, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// When it ends, for what lasts.
        pub end_ms: Option<f64>,
        /// Geometric altitude of the sun, degrees.
        pub sun_altitude_deg: f64,
        /// Azimuth of the sun, degrees.
        pub sun_azimuth_deg: f64,
        /// EV at ISO 100.
        pub ev: f64,
        /// The lower end of the band that should hold four cases in five.
        pub low: f64,
        /// Its upper end.
        pub high: f64,
        /// What to dial; null before the arrival.
        pub setting: Option<SettingAnswer>,
    }
}

impl From<Row> for SheetRow {
    fn from(Row { kind, at, end, sun, light, setting }: Row) -> Self {
        Self {
            kind: kind.word(),
            at_ms: at.epoch_ms(),
            end_ms: end.map(Instant::epoch_ms),
            sun_altitude_deg: sun.altitude.degrees(),
            sun_azimuth_deg: sun.azimuth.degrees(),
            ev: light.ev.value(),
            low: light.low.value(),
            high: light.high.value(),
            setting: setting.map(SettingAnswer::from),
        }
    }
}

answer! {
    /// The light through the sheet, columns of one length.
    pub struct SheetCurve {
        /// Milliseconds since 1970 UTC.
        #[tsify(type = "Float64Array")]
        pub at_ms: Column,
        /// EV at ISO 100.
        #[tsify(type = "Float64Array")]
        pub ev: Column,
        /// The lower end of the band that should hold four cases in five.
        #[tsify(type = "Float64Array")]
        pub low: Column,
        /// Its upper end.
        #[tsify(type = "Float64Array")]
        pub high: Column,
        /// Geometric altitude of the sun, degrees.
        #[tsify(type = "Float64Array")]
        pub sun_altitude_deg: Column,
    }
}

impl From<&[Sample]> for SheetCurve {
    fn from(samples: &[Sample]) -> Self {
        let column = |value: fn(&Sample) -> f64| Column(samples.iter().map(value).collect());
        Self {
            at_ms: column(|sample| sample.at.epoch_ms()),
            ev: column(|sample| sample.light.ev.value()),
            low: column(|sample| sample.light.low.value()),
            high: column(|sample| sample.light.high.value()),
            sun_altitude_deg: column(|sample| sample.sun_altitude.degrees()),
        }
    }
}

answer! {
    /// An EV at ISO 100 with its band.
    pub struct SheetEv {
        /// The likeliest value.
        pub ev: f64,
        /// The lower end of the band that should hold four cases in five.
        pub low: f64,
        /// Its upper end.
        pub high: f64,
    }
}

impl From<Estimate> for SheetEv {
    fn from(Estimate { ev, low, high }: Estimate) -> Self {
        Self { ev: ev.value(), low: low.value(), high: high.value() }
    }
}

answer! {
    /// The balance of sky and lamps. Moments are milliseconds since 1970 UTC.
    pub struct SheetBalance {
        /// When both are likeliest equal.
        pub at_ms: f64,
        /// From here the two are likeliest within a stop of each other …
        pub from_ms: f64,
        /// … to here.
        pub to_ms: f64,
        /// With a chance of 80 % both are equal not before …
        pub earliest_ms: f64,
        /// … and not after.
        pub latest_ms: f64,
        /// Geometric altitude of the sun at the balance, degrees.
        pub sun_altitude_deg: f64,
    }
}

impl From<Balance> for SheetBalance {
    fn from(balance: Balance) -> Self {
        Self {
            at_ms: balance.at.epoch_ms(),
            from_ms: balance.window.start().epoch_ms(),
            to_ms: balance.window.end().epoch_ms(),
            earliest_ms: balance.likely.start().epoch_ms(),
            latest_ms: balance.likely.end().epoch_ms(),
            sun_altitude_deg: balance.sun_altitude.degrees(),
        }
    }
}

answer! {
    /// What the readings say of the light, beside what was usual before them.
    pub struct Said {
        /// How many stops the sky, as exposed for the intent, is brighter than usual here; negative when darker.
        pub brighter_stops: f64,
        /// With a chance of 80 % that is right to so many stops either way.
        pub brighter_band_stops: f64,
        /// Whether the lamps are known to better than 0.7 stop; else they are guessed.
        pub floor_known: bool,
        /// How many evenings before taught the spot.
        pub evenings: f64,
    }
}

impl Said {
    pub(super) fn of(light: &Forecast) -> Self {
        let Findings { brighter, floor_known, evenings, .. } = light.findings();
        Self {
            brighter_stops: brighter.mean,
            brighter_band_stops: brighter.half_band(),
            floor_known,
            evenings,
        }
    }
}

answer! {
    /// What a reading changed. Moves are in seconds, positive when something comes later than was thought before it.
    pub struct SheetShift {
        /// When the reading was taken, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// How many stops the forecast became brighter for that moment; negative when darker.
        pub stops: f64,
        /// The balance of sky and lamps; null where there was or is none.
        pub balance_s: Option<f64>,
        /// The next row with the same brightness.
        pub next_row_s: Option<f64>,
        /// The end of the useful light, in a morning its beginning.
        pub border_s: Option<f64>,
    }
}

impl From<Shift> for SheetShift {
    fn from(Shift { at, light, balance_s, next_row_s, border_s }: Shift) -> Self {
        Self { at_ms: at.epoch_ms(), stops: light.count(), balance_s, next_row_s, border_s }
    }
}

answer! {
    /// An evening or a morning, line by line.
    pub struct RunSheetAnswer {
        /// Which half of the day.
        #[tsify(type = "\"evening\" | \"morning\"")]
        pub part: &'static str,
        /// The zone whose clocks are used at the spot.
        pub zone: String,
        /// The first row's moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// The last row's.
        pub end_ms: f64,
        /// In order of time.
        pub rows: Vec<SheetRow>,
        /// The kind of row that the arrival of an evening and the end of a morning are counted from; `lowest-light` where
        /// there is nothing to arrive for.
        pub anchor: &'static str,
        /// The light from the first row to the last.
        pub curve: SheetCurve,
        /// The lamps alone.
        pub floor_ev: SheetEv,
        /// When sky and lamps are equal; null when they never are.
        pub balance: Option<SheetBalance>,
        /// Altitudes of the sheet's events that the sun does not cross.
        pub polar: Vec<PolarAltitude>,
        /// What the readings say.
        pub said: Said,
        /// What changed by the last reading; null before the first.
        pub changed: Option<SheetShift>,
        /// What the spot has taught by now; null before anything was read there.
        pub lesson: Option<LessonKept>,
        /// What was taken for granted, as words: `flat-skyline`, `standard-air`, `steady-cloud`, `even-moonlight`,
        /// `hours-by-practice`, `no-readings`, `lamps-guessed`, `lamps-only` (the sky never reaches the lamps, and nobody is
        /// told when to come).
        pub assumptions: Vec<&'static str>,
        /// What keeps the pictures of these settings steady and sharp, in order, as words: `focus-then-lock`,
        /// `focus-after-zoom`, `stabiliser-off`, `release`, `mirror`, `finder`, `wind`, `ground-shake`; empty where nothing is dialled.
        pub checklist: Vec<&'static str>,
    }
}

/// The run sheet of a date. `day` gives its first and last moment by the clocks of a zone.
///
/// # Errors
/// The first thing that is wrong with the question, by its field.
pub fn run_sheet(q: &RunSheetQuestion, day: impl FnOnce(&str) -> Result<Span>) -> Result<RunSheetAnswer> {
    let spot = q.spot.check()?;
    let plan = Plan {
        day: day(&spot.zone)?,
        spot,
        skyline: surveyed(&q.profile, q.observer_height_m)?,
        shot: q.shot.check()?,
        part: Part::from_word(&q.part)?,
        conditions: conditions(&q.cloud, &q.scene, &q.intent)?,
        readings: readings(&q.readings)?,
        lesson: lesson(q.lesson.as_ref())?,
        from: q
            .from_ms
            .map(Instant::from_epoch_ms)
            .transpose()
            .map_err(|refused| refused.in_field("fromMs"))?,
        step: Stops::new(q.step_stops),
        hours: Hours::new(q.golden_deg, q.blue_deg)?,
    };
    let sheet = RunSheet::new(&plan)?;
    let changed = Shift::since_last_reading(&plan, &sheet)?;
    Ok(RunSheetAnswer {
        part: sheet.part.word(),
        zone: plan.spot.zone,
        start_ms: sheet.span.start().epoch_ms(),
        end_ms: sheet.span.end().epoch_ms(),
        rows: sheet.rows.into_iter().map(SheetRow::from).collect(),
        anchor: sheet.anchor.word(),
        curve: SheetCurve::from(sheet.curve.as_slice()),
        floor_ev: sheet.light.floor().into(),
        balance: sheet.balance.map(SheetBalance::from),
        polar: sheet.polar.into_iter().map(PolarAltitude::from).collect(),
        said: Said::of(&sheet.light),
        changed: changed.map(SheetShift::from),
        lesson: sheet.light.lesson().map(LessonKept::from),
        assumptions: sheet.assumptions.iter().map(|assumption| assumption.word()).collect(),
        checklist: sheet.checklist.iter().map(|point| point.word()).collect(),
    })
}

/// A position from pasted text.
///
/// # Errors
/// As [`read_coordinates`], thrown with the field.
#[wasm_bindgen(js_name = readCoordinates, unchecked_return_type = "ReadCoordinatesAnswer")]
pub fn read_coordinates_call(
    #[wasm_bindgen(unchecked_param_type = "ReadCoordinatesQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ReadCoordinatesQuestion| read_coordinates(&q))
}

/// The spot and the shot of a link, and everything that was wrong with it.
///
/// # Errors
/// Only a question of the wrong shape is thrown.
#[wasm_bindgen(js_name = readSpotLink, unchecked_return_type = "ReadSpotLinkAnswer")]
pub fn read_spot_link_call(
    #[wasm_bindgen(unchecked_param_type = "ReadSpotLinkQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: ReadSpotLinkQuestion| {
        let mut read = read_spot_link(&q);
        check_zone(&read.spot.zone, &mut read.problems);
        Ok(read)
    })
}

/// The link for a spot and a shot as they stand.
///
/// # Errors
/// Only a question of the wrong shape is thrown.
#[wasm_bindgen(js_name = writeSpotLink, unchecked_return_type = "string")]
pub fn write_spot_link_call(
    #[wasm_bindgen(unchecked_param_type = "SpotQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: SpotQuestion| Ok(write_spot_link(&q)))
}

/// Everything that is wrong with a spot and a shot.
///
/// # Errors
/// Only a question of the wrong shape is thrown.
#[wasm_bindgen(js_name = checkSpot, unchecked_return_type = "CheckSpotAnswer")]
pub fn check_spot_call(
    #[wasm_bindgen(unchecked_param_type = "SpotQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: SpotQuestion| {
        let mut checked = check_spot(&q);
        check_zone(&q.spot.zone, &mut checked.problems);
        Ok(checked)
    })
}

/// The run sheet of an evening or a morning.
///
/// # Errors
/// As [`run_sheet`], and an unknown zone or a date that does not exist, thrown with the field.
#[wasm_bindgen(js_name = runSheet, unchecked_return_type = "RunSheetAnswer")]
pub fn run_sheet_call(
    #[wasm_bindgen(unchecked_param_type = "RunSheetQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q: RunSheetQuestion| run_sheet(&q, |zone| Zone::named(zone)?.day(&q.date)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    use crate::web::value::tests::{given, told as as_told};

    /// An evening at an invented place, as the page would send it.
    fn asked() -> Value {
        json!({
            "spot": {
                "name": "Heron Weir", "latitudeDeg": 44, "longitudeDeg": -30, "elevationM": 12, "zone": "UTC",
                "bearingDeg": 265, "skylineDeg": 1.5, "format": "36x24", "focalMm": 35, "walkMin": 20, "setUpMin": 15,
                "notes": "",
            },
            "shot": {
                "apertureMin": 4, "apertureMax": 16, "isoMin": 100, "isoMax": 1600, "shutterWantedS": null,
                "filterStops": 0,
            },
            "date": "2031-10-05", "part": "evening", "cloud": "clear", "scene": "skyline", "intent": "frame",
            "fromMs": null, "stepStops": 0.5, "goldenDeg": [6, -4], "blueDeg": [-4, -6], "readings": [],
        })
    }

    fn told(question: Value) -> Result<RunSheetAnswer> {
        let start = Instant::from_epoch_ms(1_948_924_800_000.0)?; // 2031-10-05T00:00
        let day = Span::new(start, start.plus_seconds(86_400.0))?;
        run_sheet(&given(question)?, |_| Ok(day))
    }

    fn refused(change: impl FnOnce(&mut Value)) -> (String, &'static str) {
        let mut question = asked();
        change(&mut question);
        let refused = told(question).unwrap_err();
        (refused.field().to_owned(), refused.code())
    }

    #[test]
    fn a_sheet_comes_with_its_rows_curve_and_balance_in_plain_names() {
        let sheet = as_told(told(asked()).unwrap());
        assert_eq!(
            (&sheet["part"], &sheet["zone"], &sheet["anchor"]),
            (&json!("evening"), &json!("UTC"), &json!("golden-start"))
        );
        let rows = sheet["rows"].as_array().unwrap();
        assert_eq!((&rows[0]["atMs"], &rows[rows.len() - 1]["atMs"]), (&sheet["startMs"], &sheet["endMs"]));
        let dial = rows.iter().find(|row| row["kind"] == "dial").unwrap();
        for key in [
            "apertureLabel",
            "aperture",
            "shutterLabel",
            "shutterS",
            "isoLabel",
            "iso",
            "residualStops",
            "filterOn",
        ] {
            assert!(!dial["setting"][key].is_null(), "{key}");
        }
        let balance = rows.iter().find(|row| row["kind"] == "balance").unwrap();
        assert_eq!(
            (&balance["atMs"], &balance["endMs"]),
            (&sheet["balance"]["fromMs"], &sheet["balance"]["toMs"])
        );
        for key in ["atMs", "ev", "low", "high", "sunAltitudeDeg"] {
            let length = |column: &str| sheet["curve"][column].as_array().unwrap().len();
            assert_eq!(length(key), length("atMs"), "{key}");
        }
        assert_eq!(sheet["polar"], json!([]));
        assert_eq!(sheet["checklist"][0], "focus-then-lock");
    }

    #[test]
    fn each_bad_value_is_named_with_its_field() {
        assert_eq!(refused(|q| q["spot"]["latitudeDeg"] = json!(91)), ("latitudeDeg".into(), "out-of-range"));
        assert_eq!(refused(|q| q["spot"]["bearingDeg"] = json!(null)), ("bearingDeg".into(), "missing"));
        assert_eq!(refused(|q| q["shot"]["isoMax"] = json!(50)), ("isoMax".into(), "conflict"));
        assert_eq!(refused(|q| q["part"] = json!("noon")), ("part".into(), "unknown"));
        assert_eq!(refused(|q| q["cloud"] = json!("grey")), ("cloud".into(), "unknown"));
        assert_eq!(refused(|q| q["fromMs"] = json!(1e18)), ("fromMs".into(), "out-of-range"));
        assert_eq!(refused(|q| q["stepStops"] = json!(0)), ("stepStops".into(), "out-of-range"));
        assert_eq!(refused(|q| q["goldenDeg"] = json!([-4, 6])), ("goldenDeg".into(), "conflict"));
        let reading = json!([{ "atMs": 1_948_924_800_000_i64, "ev": 99, "intent": "sky" }]);
        assert_eq!(refused(|q| q["readings"] = reading), ("readings[0].ev".into(), "out-of-range"));
    }

    #[test]
    fn the_spot_is_checked_before_its_zone_is_asked_for() {
        let asked_of = |latitude: f64| {
            let mut question = asked();
            question["spot"]["latitudeDeg"] = json!(latitude);
            let refused = run_sheet(&given(question).unwrap(), |zone| Err(Error::unknown("zone", zone, &[])));
            refused.unwrap_err().field().to_owned()
        };
        assert_eq!((asked_of(91.0).as_str(), asked_of(44.0).as_str()), ("latitudeDeg", "zone"));
    }

    #[test]
    fn a_form_has_all_its_problems_at_once_and_its_link_comes_back() {
        let mut forms = asked();
        forms["unknown"] = json!([["lens", "old"]]);
        let forms: SpotQuestion = given(forms).unwrap();
        assert_eq!(check_spot(&forms).problems, []);
        let fragment = write_spot_link(&forms);
        assert!(fragment.starts_with("#spot?v=1&name=Heron+Weir&lat=44&"), "{fragment}");
        let read = read_spot_link(&ReadSpotLinkQuestion { fragment });
        assert_eq!((&read.spot, &read.shot, &read.unknown), (&forms.spot, &forms.shot, &forms.unknown));
        assert_eq!(read.problems, []);

        let mut bad = asked();
        bad["spot"]["longitudeDeg"] = json!(200);
        bad["shot"]["filterStops"] = json!(-1);
        let problems = check_spot(&given(bad).unwrap()).problems;
        let fields: Vec<&str> = problems.iter().map(|problem| problem.field.as_str()).collect();
        assert_eq!(fields, ["longitudeDeg", "filterStops"]);
        assert_eq!(problems[0].message, "longitudeDeg: 200 is outside -180° to 180°");
    }

    #[test]
    fn pasted_text_becomes_a_position_or_a_problem_of_its_field() {
        let read = |text: &str| read_coordinates(&ReadCoordinatesQuestion { text: text.to_owned() });
        let place = read("geo:50.1,-3.2,40").unwrap();
        assert_eq!((place.latitude_deg, place.longitude_deg, place.elevation_m), (50.1, -3.2, Some(40.0)));
        assert_eq!(read("somewhere").unwrap_err().field(), "text");
        assert_eq!(read("95, 0").unwrap_err().to_string(), "text: 95 is outside -90° to 90°");
    }
}
