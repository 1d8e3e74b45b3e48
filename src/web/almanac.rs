//! The evenings worth going, as the page asks.

use wasm_bindgen::prelude::*;

use super::light::{SceneChoice, conditions};
use super::skyline::{PlaceGiven, body, surveyed};
use super::value::{answer, question, under};
use super::{Codes, Column};
use crate::error::{Bounds, Result};
use crate::light::forecast::Forecast;
use crate::shoot::almanac::{Evening, Wish, evenings};
use crate::shoot::half_day::Part;
use crate::sky::refraction::dip;
use crate::units::{ALTITUDE, Angle, Bearing, Instant, Length, Span};

/// How far a search reaches: the table has 17 numbers a day.
const REACH: Bounds = Bounds::new("endMs", 0.0, 1100.0, " days after startMs");
/// How far from a bearing something may pass.
const TOLERANCE: Bounds = Bounds::new("toleranceDeg", 0.0, 180.0, "°");
/// How wide the lens sees.
const FIELD: Bounds = Bounds::new("fieldDeg", 0.0, 360.0, "°");
/// Parts of the moon's disc.
const LIT_LEAST: Bounds = Bounds::new("moon.litLeast", 0.0, 1.0, "");
const LIT_MOST: Bounds = Bounds { field: "moon.litMost", ..LIT_LEAST };
/// How high the moon is to stand.
const MOON_ALTITUDE: Bounds = Bounds { field: "moon.altitudeDeg", ..ALTITUDE };
/// Wished lengths.
const BALANCE: Bounds = Bounds::new("balanceMinutes", 0.0, 1440.0, " min");
const DARK: Bounds = Bounds { field: "darkMinutes", ..BALANCE };

question! {
    /// The moon that is wished for in the frame, in or near twilight.
    pub struct MoonWish {
        /// The least part of the disc that is lit, 0 when not given.
        #[tsify(optional)]
        pub lit_least: Option<f64>,
        /// The most, 1 when not given.
        #[tsify(optional)]
        pub lit_most: Option<f64>,
        /// The least apparent altitude, degrees, 0 when not given.
        #[tsify(optional)]
        pub altitude_deg: Option<f64>,
    }
}

question! {
    /// The light in which sky and lamps are to balance.
    pub struct LightWish {
        /// `clear`, `thin`, `average` or `dark`.
        #[tsify(type = "\"clear\" | \"thin\" | \"average\" | \"dark\"")]
        pub cloud: String,
        /// What lights the scene when the sky no longer does.
        #[tsify(type = "\"street\" | \"skyline\" | \"floodlit\" | \"unlit\" | { floorEv: number }")]
        pub scene: SceneChoice,
    }
}

question! {
    /// A spot, a span, and what is wished for; all that is given must hold.
    pub struct YearSearchQuestion {
        /// Where.
        pub place: PlaceGiven,
        /// First moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// Last moment at which an evening may begin, at most 1100 days later.
        pub end_ms: f64,
        /// Evenings, from noon to midnight, or mornings; evenings when not given.
        #[tsify(optional, type = "\"evening\" | \"morning\"")]
        pub part: Option<String>,
        /// Where the lens points, degrees clockwise from true north.
        pub bearing_deg: f64,
        /// How wide the lens sees, degrees; 60 when not given.
        #[tsify(optional)]
        pub field_deg: Option<f64>,
        /// What is looked for at the skyline, or at the horizon when there is no profile; the sun when not given. The moon counts
        /// in or near twilight: the sun between 6° and −12°.
        #[tsify(optional, type = "\"sun\" | \"moon\"")]
        pub body: Option<String>,
        /// How far from the bearing it may pass, degrees.
        #[tsify(optional)]
        pub tolerance_deg: Option<f64>,
        /// The skyline, as `skyline` takes it.
        #[tsify(optional, type = "[number, number][]")]
        pub profile: Vec<[f64; 2]>,
        /// Height of the eye above the ground or sea at the horizon, metres, 0 when not given.
        #[tsify(optional)]
        pub observer_height_m: Option<f64>,
        /// The moon in the frame.
        #[tsify(optional)]
        pub moon: Option<MoonWish>,
        /// The light, without which no balance is told.
        #[tsify(optional)]
        pub light: Option<LightWish>,
        /// The least length of the balance of sky and lamps, minutes.
        #[tsify(optional)]
        pub balance_minutes: Option<f64>,
        /// The least time without sun (below −18°) and moon, minutes.
        #[tsify(optional)]
        pub dark_minutes: Option<f64>,
    }
}

answer! {
    /// One row an evening or morning, in columns of one length, and which of them hold all that was wished for. Times are
    /// milliseconds since 1970 UTC, and 0 where there is none.
    #[derive(Default)]
    pub struct YearSearchAnswer {
        /// Solar noon of an evening, solar midnight of a morning.
        #[tsify(type = "Float64Array")]
        pub start_ms: Column,
        /// Sunset or sunrise at the level horizon.
        #[tsify(type = "Float64Array")]
        pub sun_ms: Column,
        /// The sun at −6°.
        #[tsify(type = "Float64Array")]
        pub civil_ms: Column,
        /// The sun at −12°.
        #[tsify(type = "Float64Array")]
        pub nautical_ms: Column,
        /// The sun at −18°.
        #[tsify(type = "Float64Array")]
        pub astronomical_ms: Column,
        /// The passage nearest to the bearing: a disappearance or an appearance, gaps in the skyline included.
        #[tsify(type = "Float64Array")]
        pub passage_ms: Column,
        /// Where the body is then, degrees clockwise from true north; 0 where there is none.
        #[tsify(type = "Float64Array")]
        pub passage_azimuth_deg: Column,
        /// How far from the bearing, clockwise positive, degrees; 0 where there is none.
        #[tsify(type = "Float64Array")]
        pub passage_off_deg: Column,
        /// The moon's apparent altitude when the sun is at −6°, or nearest to it, degrees.
        #[tsify(type = "Float64Array")]
        pub moon_altitude_deg: Column,
        /// Its azimuth then.
        #[tsify(type = "Float64Array")]
        pub moon_azimuth_deg: Column,
        /// The lit part of its disc then, 0 to 1.
        #[tsify(type = "Float64Array")]
        pub moon_lit: Column,
        /// From when the moon wished for is in the frame, to a twelfth of the twilight.
        #[tsify(type = "Float64Array")]
        pub moon_from_ms: Column,
        /// Until when.
        #[tsify(type = "Float64Array")]
        pub moon_to_ms: Column,
        /// From when sky and lamps are in balance.
        #[tsify(type = "Float64Array")]
        pub balance_from_ms: Column,
        /// Until when.
        #[tsify(type = "Float64Array")]
        pub balance_to_ms: Column,
        /// Minutes without sun and moon.
        #[tsify(type = "Float64Array")]
        pub dark_minutes: Column,
        /// 1 where all wishes hold, else 0.
        #[tsify(type = "Uint8Array")]
        pub holds: Codes,
        /// The rows that hold, the one nearest to the bearing first where a tolerance was given, else by time.
        #[tsify(type = "Float64Array")]
        pub best: Column,
    }
}

/// The evenings or mornings of a span, and those worth going.
///
/// # Errors
/// Names what is out of range or unknown, for example `place.latitudeDeg`, `moon.litLeast` or `light.scene`.
pub fn year_search(q: &YearSearchQuestion) -> Result<YearSearchAnswer> {
    let place = q.place.place()?;
    let span = Span::from_epoch_ms(q.start_ms, q.end_ms)?;
    REACH.check(span.seconds() / 86_400.0)?;
    let part = q.part.as_deref().map_or(Ok(Part::Evening), Part::from_word)?;
    let bearing = Bearing::given(q.bearing_deg)?;
    let eye = Length::from_metres(q.observer_height_m.unwrap_or(0.0));
    let light = q.light.as_ref().map(|light| {
        let conditions =
            conditions(&light.cloud, &light.scene, "sky").map_err(|refused| under("light", refused))?;
        Forecast::new(place, bearing, conditions, &[])
    });
    let moon = match &q.moon {
        None => None,
        Some(moon) => Some((
            [
                LIT_LEAST.optional(moon.lit_least)?.unwrap_or(0.0),
                LIT_MOST.optional(moon.lit_most)?.unwrap_or(1.0),
            ],
            Angle::from_degrees(MOON_ALTITUDE.optional(moon.altitude_deg)?.unwrap_or(0.0)),
        )),
    };
    let wish = Wish {
        bearing,
        field: Angle::from_degrees(FIELD.optional(q.field_deg)?.unwrap_or(60.0)),
        body: body(q.body.as_deref().unwrap_or("sun"))?,
        tolerance: TOLERANCE.optional(q.tolerance_deg)?.map(Angle::from_degrees),
        skyline: surveyed(&q.profile, q.observer_height_m)?,
        dip: dip(eye).map_err(|refused| refused.in_field("observerHeightM"))?,
        moon,
        light: light.transpose()?,
        balance_s: BALANCE.optional(q.balance_minutes)?.map(|minutes| 60.0 * minutes),
        dark_s: DARK.optional(q.dark_minutes)?.map(|minutes| 60.0 * minutes),
    };
    Ok(columns(&evenings(&place, span, part, &wish), wish.tolerance.is_some()))
}

fn columns(evenings: &[Evening], by_distance: bool) -> YearSearchAnswer {
    let off = |each: &Evening| each.passage.map_or(0.0, |passage| passage.off.degrees());
    let mut told = YearSearchAnswer::default();
    let mut best: Vec<usize> = Vec::new();
    for (row, each) in evenings.iter().enumerate() {
        let [civil, nautical, astronomical] = each.twilights;
        for (column, time) in [
            (&mut told.start_ms, Some(each.span.start())),
            (&mut told.sun_ms, each.sun),
            (&mut told.civil_ms, civil),
            (&mut told.nautical_ms, nautical),
            (&mut told.astronomical_ms, astronomical),
            (&mut told.passage_ms, each.passage.map(|passage| passage.at)),
            (&mut told.moon_from_ms, each.moon_in_frame.map(Span::start)),
            (&mut told.moon_to_ms, each.moon_in_frame.map(Span::end)),
            (&mut told.balance_from_ms, each.balance.map(Span::start)),
            (&mut told.balance_to_ms, each.balance.map(Span::end)),
        ] {
            column.0.push(time.map_or(0.0, Instant::epoch_ms));
        }
        for (column, value) in [
            (&mut told.passage_azimuth_deg, each.passage.map_or(0.0, |passage| passage.azimuth.degrees())),
            (&mut told.passage_off_deg, off(each)),
            (&mut told.moon_altitude_deg, each.moon.apparent_altitude.degrees()),
            (&mut told.moon_azimuth_deg, each.moon.azimuth.degrees()),
            (&mut told.moon_lit, each.moon.illuminated_fraction()),
            (&mut told.dark_minutes, each.dark_s / 60.0),
        ] {
            column.0.push(value);
        }
        told.holds.0.push(u8::from(each.holds));
        if each.holds {
            let nearer = |other: &usize| !by_distance || off(&evenings[*other]).abs() <= off(each).abs();
            best.insert(best.partition_point(nearer), row);
        }
    }
    told.best.0.extend(best.iter().map(|&row| row as f64));
    told
}

/// The evenings or mornings of a span, and those worth going.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = yearSearch, unchecked_return_type = "YearSearchAnswer")]
pub fn year_search_call(
    #[wasm_bindgen(unchecked_param_type = "YearSearchQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| year_search(&q))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::value::tests::{given, told};
    use super::*;

    fn asked(change: impl FnOnce(&mut Value)) -> Result<Value> {
        let mut question = json!({
            "place": { "latitudeDeg": 50.31, "longitudeDeg": -4.87, "elevationM": 6 },
            // 2031
            "startMs": 1_924_992_000_000_f64, "endMs": 1_956_528_000_000_f64, "bearingDeg": 265,
        });
        change(&mut question);
        given(question).and_then(|question| year_search(&question)).map(told)
    }

    fn column(answer: &Value, key: &str) -> Vec<f64> {
        answer[key].as_array().unwrap().iter().map(|cell| cell.as_f64().unwrap()).collect()
    }

    #[test]
    fn a_year_has_a_row_a_day_and_two_runs_of_alignments() {
        let answer = asked(|q| q["toleranceDeg"] = json!(1)).unwrap();
        assert_eq!(column(&answer, "startMs").len(), 365);
        let best = column(&answer, "best");
        // The setting sun passes a bearing near west in spring and again in autumn, at 0.6° a day.
        assert!((6..=8).contains(&best.len()), "{best:?}");
        let off = column(&answer, "passageOffDeg");
        let distances: Vec<f64> = best.iter().map(|&row| off[row as usize].abs()).collect();
        assert!(distances.is_sorted() && distances[0] < 0.35, "{distances:?}");
        assert!(best.iter().any(|&row| row < 100.0) && best.iter().any(|&row| row > 250.0));
        assert_eq!(column(&answer, "holds").iter().sum::<f64>(), best.len() as f64);
    }

    #[test]
    fn every_wish_narrows_and_all_of_them_together_more() {
        let count = |wishes: Value| {
            let answer =
                asked(|q| q.as_object_mut().unwrap().extend(wishes.as_object().unwrap().clone())).unwrap();
            column(&answer, "best").len()
        };
        let all = count(json!({}));
        let dark = count(json!({ "darkMinutes": 120 }));
        let moon =
            count(json!({ "moon": { "litLeast": 0.02, "litMost": 0.3, "altitudeDeg": 3 }, "fieldDeg": 74 }));
        let light = json!({ "cloud": "clear", "scene": "floodlit" });
        let long = count(json!({ "light": light, "balanceMinutes": 10 }));
        let both = count(json!({ "moon": { "litMost": 0.3 }, "darkMinutes": 120 }));
        assert_eq!(all, 365);
        assert!((100..250).contains(&dark) && (10..60).contains(&moon), "{dark} {moon}");
        assert!((1..365).contains(&long) && both > 0 && both < dark, "{long} {both}");
    }

    #[test]
    fn each_bad_value_is_refused_by_its_field() {
        let refused = |change: fn(&mut Value)| {
            asked(change).err().map_or_else(String::new, |refused| refused.field().to_owned())
        };
        assert_eq!(refused(|q| q["place"]["longitudeDeg"] = json!(200)), "place.longitudeDeg");
        assert_eq!(refused(|q| q["endMs"] = json!(2.1e12)), "endMs");
        assert_eq!(refused(|q| q["part"] = json!("noon")), "part");
        assert_eq!(refused(|q| q["bearingDeg"] = json!(361)), "bearingDeg");
        assert_eq!(refused(|q| q["fieldDeg"] = json!(-1)), "fieldDeg");
        assert_eq!(refused(|q| q["toleranceDeg"] = json!(-1)), "toleranceDeg");
        assert_eq!(refused(|q| q["body"] = json!("star")), "body");
        assert_eq!(refused(|q| q["profile"] = json!([[0, 95]])), "profile[0].altitudeDeg");
        assert_eq!(refused(|q| q["observerHeightM"] = json!(-2)), "observerHeightM");
        assert_eq!(refused(|q| q["moon"] = json!({ "litMost": 2 })), "moon.litMost");
        assert_eq!(refused(|q| q["light"] = json!({ "cloud": "fog", "scene": "street" })), "light.cloud");
        assert_eq!(refused(|q| q["darkMinutes"] = json!(-1)), "darkMinutes");
    }
}
