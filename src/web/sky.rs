//! The events and places of sun and moon, and the way to a subject, as the page asks.

use tsify::Tsify;
use wasm_bindgen::prelude::*;

use super::moon::{MoonPhase, MoonPlace, MoonTransit};
use super::value::{Told, Value, answer, question};

use super::{Codes, Column};
use crate::error::{Bounds, Error, Result};
use crate::shoot::coordinates::Coordinates;
use crate::sky::events::{self, Crossing, EDGE, HORIZON, Levels, Transit, Uncrossed};
use crate::sky::place::{Place, bearing_and_distance};
use crate::sky::refraction::{Atmosphere, dip};
use crate::sky::{moon, sun};
use crate::units::{Angle, Bearing, Instant, Length, Span};

/// How many altitudes one question may ask about.
const ALTITUDES: Bounds = Bounds::new("sunAltitudesDeg", 0.0, 100.0, " altitudes");

question! {
    /// A place, a span, and altitudes that the sun may cross.
    pub struct SkyEventsQuestion {
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// Metres above the sea.
        pub elevation_m: f64,
        /// First moment, milliseconds since 1970 UTC.
        pub start_ms: f64,
        /// Last moment, at most 11 000 days later.
        pub end_ms: f64,
        /// Geometric altitudes of the sun's centre, degrees, at most 100; one given twice is reported once.
        #[tsify(optional)]
        pub sun_altitudes_deg: Option<Vec<f64>>,
        /// Height of the eye above a visible sea horizon, metres; rise and set are then for that lower horizon.
        #[tsify(optional)]
        pub horizon_height_m: Option<f64>,
        /// Air pressure at the place, hectopascal, not reduced to the sea; with it or the temperature, rise and set are for
        /// that air in place of the almanac offices' 34′.
        #[tsify(optional)]
        pub pressure_hpa: Option<f64>,
        /// Air temperature at the place, degrees Celsius.
        #[tsify(optional)]
        pub temperature_c: Option<f64>,
    }
}

/// Kinds of passages of the sun through an altitude; the order is that of the table's codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Tsify)]
#[serde(rename_all = "lowercase")]
pub enum SunEventKind {
    /// The upper edge appears over the horizon.
    Rise,
    /// The upper edge vanishes behind it.
    Set,
    /// The centre climbs through an altitude that was asked for.
    Rising,
    /// The centre sinks through it.
    Falling,
}

impl Told for SunEventKind {
    fn told(self) -> Value {
        match self {
            Self::Rise => "rise",
            Self::Set => "set",
            Self::Rising => "rising",
            Self::Falling => "falling",
        }
        .told()
    }
}

answer! {
    /// One passage of the sun through an altitude.
    pub struct SunEvent {
        /// What it is called.
        pub kind: SunEventKind,
        /// Geometric altitude of the centre, degrees.
        pub altitude_deg: f64,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// Where, degrees clockwise from true north.
        pub azimuth_deg: f64,
    }
}

/// The two passages of the meridian.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Tsify)]
#[serde(rename_all = "lowercase")]
pub enum TransitKind {
    /// The upper one.
    Noon,
    /// The lower one.
    Midnight,
}

impl Told for TransitKind {
    fn told(self) -> Value {
        match self {
            Self::Noon => "noon",
            Self::Midnight => "midnight",
        }
        .told()
    }
}

answer! {
    /// One passage of the sun through the meridian.
    pub struct SunTransit {
        /// Upper or lower.
        pub kind: TransitKind,
        /// Geometric altitude of the centre then, degrees.
        pub altitude_deg: f64,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// Where, degrees clockwise from true north.
        pub azimuth_deg: f64,
    }
}

/// The side of an altitude on which the sun stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Tsify)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Higher throughout.
    Above,
    /// Lower throughout.
    Below,
}

impl Told for Side {
    fn told(self) -> Value {
        match self {
            Self::Above => "above",
            Self::Below => "below",
        }
        .told()
    }
}

answer! {
    /// An altitude that the sun does not cross in the span.
    pub struct PolarAltitude {
        /// Geometric altitude, degrees.
        pub altitude_deg: f64,
        /// Where the sun stays.
        pub state: Side,
    }
}

impl From<Uncrossed> for PolarAltitude {
    fn from(Uncrossed { altitude, above }: Uncrossed) -> Self {
        Self { altitude_deg: altitude.degrees(), state: if above { Side::Above } else { Side::Below } }
    }
}

answer! {
    /// Everything the sun and the moon do in the span.
    pub struct SkyEventsAnswer {
        /// Passages through the horizon and the altitudes asked for, in order of time.
        pub sun: Vec<SunEvent>,
        /// Passages of the meridian, in order of time.
        pub transits: Vec<SunTransit>,
        /// The horizon and the altitudes asked for as far as they are never crossed, lowest first.
        pub polar: Vec<PolarAltitude>,
        /// Rises and sets of the moon's upper edge, in order of time.
        pub moon: Vec<SunEvent>,
        /// Passages of the moon through the meridian, in order of time.
        pub moon_transits: Vec<MoonTransit>,
        /// Where the moon stays when it neither rises nor sets in the span.
        pub moon_stays: Option<Side>,
        /// The moon's phase at the start of the span.
        pub moon_phase: MoonPhase,
    }
}

answer! {
    /// The passages of [`SkyEventsAnswer::sun`] as columns.
    #[derive(Default)]
    pub struct SunColumns {
        /// 0 rise, 1 set, 2 rising, 3 falling.
        #[tsify(type = "Uint8Array")]
        pub kind: Codes,
        /// Geometric altitude of the centre, degrees.
        #[tsify(type = "Float64Array")]
        pub altitude_deg: Column,
        /// When, milliseconds since 1970 UTC.
        #[tsify(type = "Float64Array")]
        pub at_ms: Column,
        /// Where, degrees clockwise from true north.
        #[tsify(type = "Float64Array")]
        pub azimuth_deg: Column,
    }
}

answer! {
    /// The sun's passages in a long span.
    pub struct SkyEventsTableAnswer {
        /// In order of time.
        pub sun: SunColumns,
    }
}

question! {
    /// A place and a moment.
    pub struct SkyPositionQuestion {
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// Metres above the sea.
        pub elevation_m: f64,
        /// Milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// Air pressure at the place, hectopascal, not reduced to the sea; the standard's when not given.
        #[tsify(optional)]
        pub pressure_hpa: Option<f64>,
        /// Air temperature at the place, degrees Celsius; the standard's when not given.
        #[tsify(optional)]
        pub temperature_c: Option<f64>,
    }
}

answer! {
    /// Where the sun stands.
    pub struct SunPlace {
        /// Where shadows point, degrees clockwise from true north.
        pub shadow_azimuth_deg: f64,
        /// Altitude of the centre as seen from the place, without the air, degrees.
        pub altitude_deg: f64,
        /// The same through a standard atmosphere.
        pub apparent_altitude_deg: f64,
        /// Degrees clockwise from true north.
        pub azimuth_deg: f64,
    }
}

answer! {
    /// What stands where in the sky.
    pub struct SkyPositionAnswer {
        /// The sun.
        pub sun: SunPlace,
        /// The moon.
        pub moon: MoonPlace,
    }
}

question! {
    /// A place, and a subject as it was pasted.
    pub struct GeodesicQuestion {
        /// Degrees, north positive.
        pub latitude_deg: f64,
        /// Degrees, east positive.
        pub longitude_deg: f64,
        /// The subject: a pair like `50.1, -3.2` or a `geo:` link.
        pub target: String,
    }
}

answer! {
    /// The way to a subject.
    pub struct GeodesicAnswer {
        /// The subject's latitude as it was read, degrees, north positive.
        pub latitude_deg: f64,
        /// Its longitude, degrees, east positive.
        pub longitude_deg: f64,
        /// Its direction, degrees clockwise from true north.
        pub bearing_deg: f64,
        /// Its distance on the ground, metres.
        pub distance_m: f64,
    }
}

/// A question about events with everything in it checked.
struct Sought {
    place: Place,
    span: Span,
    horizon: Angle,
    /// How far the horizon lies below where the almanac offices have it.
    lower: Angle,
    /// In degrees, to be told again with the digits that they came in.
    asked: Vec<f64>,
}

impl SkyEventsQuestion {
    fn checked(&self) -> Result<Sought> {
        let place = Place::new(self.latitude_deg, self.longitude_deg, self.elevation_m)?;
        let span = Span::from_epoch_ms(self.start_ms, self.end_ms)?;
        let asked = self.sun_altitudes_deg.clone().unwrap_or_default();
        ALTITUDES.check(asked.len() as f64)?;
        for (i, &degrees) in asked.iter().enumerate() {
            Angle::altitude(degrees).map_err(|refused| refused.in_field(format!("sunAltitudesDeg[{i}]")))?;
        }
        let mut lower = dip(Length::from_metres(self.horizon_height_m.unwrap_or(0.0)))?;
        if self.pressure_hpa.is_some() || self.temperature_c.is_some() {
            let air = Atmosphere::observed(place.elevation(), self.pressure_hpa, self.temperature_c)?;
            lower = lower + air.at_horizon() + EDGE;
        }
        Ok(Sought { place, span, horizon: HORIZON - lower, lower, asked })
    }
}

impl Sought {
    fn altitudes(&self) -> Vec<Angle> {
        self.asked.iter().copied().map(Angle::from_degrees).chain([self.horizon]).collect()
    }

    /// The degrees in which an altitude was asked for, if it was.
    fn as_asked(&self, altitude: Angle) -> Option<f64> {
        self.asked.iter().copied().find(|&degrees| Angle::from_degrees(degrees) == altitude)
    }

    /// Hands over every passage with its kind and its altitude in degrees, in order of time; one through the horizon
    /// is handed over again if its altitude was asked for as well.
    fn each_event(&self, mut found: impl FnMut(SunEventKind, f64, Crossing)) {
        let levels = Levels::new(self.altitudes());
        let asked: Vec<Option<f64>> = levels.altitudes.iter().map(|&each| self.as_asked(each)).collect();
        events::each_crossing(&self.place, self.span, &levels, |level, crossing| {
            if crossing.altitude == self.horizon {
                let kind = if crossing.rising { SunEventKind::Rise } else { SunEventKind::Set };
                found(kind, self.horizon.degrees(), crossing);
            }
            if let Some(degrees) = asked[level] {
                let kind = if crossing.rising { SunEventKind::Rising } else { SunEventKind::Falling };
                found(kind, degrees, crossing);
            }
        });
    }
}

fn sky_events(question: &SkyEventsQuestion) -> Result<SkyEventsAnswer> {
    let sought = question.checked()?;
    let mut sun = Vec::new();
    sought.each_event(|kind, altitude_deg, Crossing { at, azimuth, .. }| {
        sun.push(SunEvent { kind, altitude_deg, at_ms: at.epoch_ms(), azimuth_deg: azimuth.degrees() });
    });
    let transit = |Transit { noon, altitude, at, azimuth }| SunTransit {
        kind: if noon { TransitKind::Noon } else { TransitKind::Midnight },
        altitude_deg: altitude.degrees(),
        at_ms: at.epoch_ms(),
        azimuth_deg: azimuth.degrees(),
    };
    let polar = |uncrossed: Uncrossed| PolarAltitude {
        altitude_deg: sought.as_asked(uncrossed.altitude).unwrap_or(uncrossed.altitude.degrees()),
        ..uncrossed.into()
    };
    let Sought { place, span, .. } = &sought;
    let moon: Vec<SunEvent> = events::moon_crossings(place, *span, sought.lower)
        .into_iter()
        .map(|Crossing { altitude, rising, at, azimuth }| SunEvent {
            kind: if rising { SunEventKind::Rise } else { SunEventKind::Set },
            altitude_deg: altitude.degrees(),
            at_ms: at.epoch_ms(),
            azimuth_deg: azimuth.degrees(),
        })
        .collect();
    let above = moon::position(place, span.start()).edge() > EDGE - sought.lower;
    Ok(SkyEventsAnswer {
        moon_stays: moon.is_empty().then_some(if above { Side::Above } else { Side::Below }),
        moon,
        moon_transits: events::moon_transits(place, *span).into_iter().map(Into::into).collect(),
        moon_phase: MoonPhase::at(place, span.start()),
        sun,
        transits: events::transits(place, *span).into_iter().map(transit).collect(),
        polar: events::uncrossed(place, *span, &sought.altitudes()).into_iter().map(polar).collect(),
    })
}

fn sky_events_table(question: &SkyEventsQuestion) -> Result<SkyEventsTableAnswer> {
    let mut sun = SunColumns::default();
    question.checked()?.each_event(|kind, altitude_deg, crossing| {
        sun.kind.0.push(kind as u8);
        sun.altitude_deg.0.push(altitude_deg);
        sun.at_ms.0.push(crossing.at.epoch_ms());
        sun.azimuth_deg.0.push(crossing.azimuth.degrees());
    });
    Ok(SkyEventsTableAnswer { sun })
}

fn sky_position(question: &SkyPositionQuestion) -> Result<SkyPositionAnswer> {
    let &SkyPositionQuestion { latitude_deg, longitude_deg, elevation_m, at_ms, .. } = question;
    let place = Place::new(latitude_deg, longitude_deg, elevation_m)?;
    let at = Instant::from_epoch_ms(at_ms)?;
    let air = Atmosphere::observed(place.elevation(), question.pressure_hpa, question.temperature_c)?;
    let sun = sun::position(&place, at);
    Ok(SkyPositionAnswer {
        sun: SunPlace {
            shadow_azimuth_deg: Bearing::from_degrees(sun.azimuth.degrees() + 180.0).degrees(),
            altitude_deg: sun.altitude.degrees(),
            apparent_altitude_deg: air.apparent(sun.altitude).degrees(),
            azimuth_deg: sun.azimuth.degrees(),
        },
        moon: MoonPlace::at(&place, at, air),
    })
}

fn geodesic(question: &GeodesicQuestion) -> Result<GeodesicAnswer> {
    let from = Place::new(question.latitude_deg, question.longitude_deg, 0.0)?;
    let in_target = |refused: Error| refused.in_field("target");
    let target: Coordinates = question.target.parse().map_err(in_target)?;
    let (bearing, distance) = bearing_and_distance(&from, &target.place().map_err(in_target)?)?;
    Ok(GeodesicAnswer {
        latitude_deg: target.latitude_deg,
        longitude_deg: target.longitude_deg,
        bearing_deg: bearing.degrees(),
        distance_m: distance.metres(),
    })
}

/// Everything the sun and the moon do in a span: rise and set, the altitudes of the sun asked for, passages of the meridian,
/// what the sun never crosses, and the moon's phase at the start.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = skyEvents, unchecked_return_type = "SkyEventsAnswer")]
pub fn sky_events_call(
    #[wasm_bindgen(unchecked_param_type = "SkyEventsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| sky_events(&q))
}

/// The sun's passages in a span as columns, for years at a time.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = skyEventsTable, unchecked_return_type = "SkyEventsTableAnswer")]
pub fn sky_events_table_call(
    #[wasm_bindgen(unchecked_param_type = "SkyEventsQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| sky_events_table(&q))
}

/// Where the sun and the moon stand at a moment.
///
/// # Errors
/// A value out of its range, thrown with its field.
#[wasm_bindgen(js_name = skyPosition, unchecked_return_type = "SkyPositionAnswer")]
pub fn sky_position_call(
    #[wasm_bindgen(unchecked_param_type = "SkyPositionQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| sky_position(&q))
}

/// Bearing and distance to a subject whose coordinates were pasted.
///
/// # Errors
/// Coordinates that cannot be read, the same place, or one almost opposite on the globe, thrown with `target`.
#[wasm_bindgen(js_name = geodesicTo, unchecked_return_type = "GeodesicAnswer")]
pub fn geodesic_to_call(
    #[wasm_bindgen(unchecked_param_type = "GeodesicQuestion")] question: &JsValue,
) -> std::result::Result<JsValue, JsValue> {
    super::answer(question, |q| geodesic(&q))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the sun's altitude lies between −40° and 63°, on 2024 March 20 from 00:00.
    fn question(altitudes: &[f64]) -> SkyEventsQuestion {
        SkyEventsQuestion {
            latitude_deg: 50.0,
            longitude_deg: 0.0,
            elevation_m: 0.0,
            start_ms: 1_710_892_800_000.0,
            end_ms: 1_710_979_200_000.0,
            sun_altitudes_deg: Some(altitudes.to_vec()),
            ..SkyEventsQuestion::default()
        }
    }

    #[test]
    fn rise_and_set_are_told_unasked_and_again_when_their_altitude_is_asked_for() {
        use SunEventKind::{Falling, Rise, Rising, Set};
        let kinds = |altitudes: &[f64]| -> Vec<SunEventKind> {
            sky_events(&question(altitudes)).unwrap().sun.iter().map(|event| event.kind).collect()
        };
        assert_eq!(kinds(&[]), [Rise, Set]);
        assert_eq!(kinds(&[-6.0, -6.0]), [Rising, Rise, Set, Falling]);
        assert_eq!(kinds(&[-0.8333]), [Rise, Rising, Set, Falling]);
    }

    #[test]
    fn altitudes_come_back_with_their_own_digits() {
        for degrees in [-6.0, 6.0, -12.0, 0.1, 89.9, -0.8333] {
            let answer = sky_events(&question(&[degrees])).unwrap();
            let told = answer
                .sun
                .iter()
                .map(|event| event.altitude_deg)
                .chain(answer.polar.iter().map(|p| p.altitude_deg));
            assert!(told.into_iter().all(|told| told == degrees || told == -0.8333));
        }
    }

    #[test]
    fn the_table_holds_the_same_events() {
        let altitudes = [-18.0, -6.0, -0.8333, 6.0];
        let (list, table) = (
            sky_events(&question(&altitudes)).unwrap().sun,
            sky_events_table(&question(&altitudes)).unwrap().sun,
        );
        assert_eq!(list.len(), table.kind.0.len());
        for (i, event) in list.iter().enumerate() {
            assert_eq!(event.kind as u8, table.kind.0[i]);
            let row = (table.altitude_deg.0[i], table.at_ms.0[i], table.azimuth_deg.0[i]);
            assert_eq!((event.altitude_deg, event.at_ms, event.azimuth_deg), row);
        }
    }

    #[test]
    fn polar_lists_what_is_never_crossed_with_its_side() {
        let answer = sky_events(&question(&[80.0, -80.0, 6.0])).unwrap();
        let polar: Vec<(f64, Side)> = answer.polar.iter().map(|p| (p.altitude_deg, p.state)).collect();
        assert_eq!(polar, [(-80.0, Side::Above), (80.0, Side::Below)]);
        assert_eq!(answer.transits.len(), 2);
        let night = SkyEventsQuestion { latitude_deg: -85.0, ..question(&[]) };
        let night = SkyEventsQuestion { start_ms: 1_718_841_600_000.0, end_ms: 1_718_928_000_000.0, ..night };
        let answer = sky_events(&night).unwrap();
        assert!(answer.sun.is_empty());
        assert_eq!((answer.polar[0].altitude_deg, answer.polar[0].state), (-0.8333, Side::Below));
    }

    #[test]
    fn a_high_sea_horizon_lowers_rise_and_set_and_nothing_else() {
        let high = SkyEventsQuestion { horizon_height_m: Some(100.0), ..question(&[-6.0]) };
        let altitudes: Vec<f64> =
            sky_events(&high).unwrap().sun.iter().map(|event| event.altitude_deg).collect();
        let lowered = -0.8333 - 17.58 / 60.0;
        for (found, expected) in altitudes.iter().zip([-6.0, lowered, lowered, -6.0]) {
            assert!((found - expected).abs() < 1e-9, "{altitudes:?}");
        }
    }

    #[test]
    fn the_moon_comes_with_its_phase() {
        // 2024 March 20: last new on March 10, 09:00 UTC, full on March 25, 07:00 (USNO, from memory, to the minute).
        let answer = sky_events(&question(&[])).unwrap();
        let kinds: Vec<SunEventKind> = answer.moon.iter().map(|event| event.kind).collect();
        assert_eq!(kinds, [SunEventKind::Set, SunEventKind::Rise]);
        assert!((answer.moon_phase.age_days - 9.625).abs() < 0.01, "{:?}", answer.moon_phase);
        let full = &answer.moon_phase.next[0];
        assert!((full.at_ms - 1_711_350_000_000.0).abs() < 60_000.0, "{full:?}");
        assert_eq!(answer.moon_phase.next.len(), 4);
        assert_eq!(answer.moon_transits.len(), 2);
        assert_eq!(answer.moon_stays, None);
        let pole = SkyEventsQuestion { latitude_deg: 90.0, ..question(&[]) };
        assert_eq!(sky_events(&pole).unwrap().moon_stays, Some(Side::Above));
        let pole = SkyEventsQuestion { latitude_deg: -90.0, ..question(&[]) };
        assert_eq!(sky_events(&pole).unwrap().moon_stays, Some(Side::Below));
    }

    #[test]
    fn thin_air_lifts_less_and_no_word_of_it_leaves_the_almanacs_horizon() {
        let rise = |pressure_hpa| {
            let question = SkyEventsQuestion {
                pressure_hpa,
                temperature_c: pressure_hpa.map(|_| 10.0),
                ..question(&[])
            };
            let answer = sky_events(&question).unwrap();
            (answer.sun[0].altitude_deg, answer.moon[0].at_ms)
        };
        let (standard, half) = (rise(Some(1010.0)), rise(Some(505.0)));
        assert!((standard.0 + 0.8333).abs() < 1e-9 && (standard.1 - rise(None).1).abs() < 1.0);
        assert!((half.0 - standard.0 - 17.0 / 60.0).abs() < 1e-9);
        // The moon is first seen to set, and without that air earlier.
        assert!(half.1 < standard.1 - 60_000.0);
    }

    #[test]
    fn each_bad_value_is_refused_by_its_field() {
        let refused = |question: SkyEventsQuestion| sky_events(&question).unwrap_err().field().to_owned();
        let good = || question(&[]);
        assert_eq!(refused(SkyEventsQuestion { latitude_deg: 91.0, ..good() }), "latitudeDeg");
        assert_eq!(refused(SkyEventsQuestion { start_ms: f64::NAN, ..good() }), "startMs");
        assert_eq!(refused(SkyEventsQuestion { end_ms: 1e15, ..good() }), "endMs");
        assert_eq!(refused(SkyEventsQuestion { end_ms: 0.0, ..good() }), "endMs");
        assert_eq!(refused(SkyEventsQuestion { horizon_height_m: Some(-1.0), ..good() }), "horizonHeightM");
        assert_eq!(refused(question(&[0.0, 95.0])), "sunAltitudesDeg[1]");
        assert_eq!(refused(question(&[0.0; 101])), "sunAltitudesDeg");
    }

    #[test]
    fn the_way_to_a_pasted_subject() {
        let ask = |target: &str| {
            geodesic(&GeodesicQuestion { latitude_deg: 50.0, longitude_deg: 8.0, target: target.to_owned() })
        };
        let way = ask("geo:50,8.01").unwrap();
        assert!((way.bearing_deg - 90.0).abs() < 0.01 && (way.distance_m - 717.0).abs() < 1.0);
        for target in ["", "there", "50, 8", "-50, -172"] {
            assert_eq!(ask(target).unwrap_err().field(), "target");
        }
    }
}
