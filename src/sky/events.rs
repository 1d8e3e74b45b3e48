//! When the sun crosses an altitude, when the moon rises and sets, and when either stands on the meridian.
//!
//! No scanning: the geometry says where to look. Through the stations at hour angles ±90° a body is always
//! on one side of its highest or lowest point, so that between two stations there is exactly one such turn (or none:
//! within 0.06° of a pole the sun may climb for days, within 1.3° the moon). Between turns the altitude only grows or
//! only falls, and an altitude is crossed there once or not at all, as the ends tell. That finds every crossing,
//! in order, on the shortest polar day too.
//!
//! Within an arc the closed form for the hour angle proposes a time and steps on the interpolated,
//! topocentric body dispose. *Expected error*: the sun's 0.15″ (see [`super::sun`]) over the speed of its altitude: 0.015 s in
//! middle latitudes, 0.2 s where the altitude changes by 2e-4 degrees a second, up to half a minute where the sun just
//! touches an altitude; one that it misses or passes by less than 0.15″ may be told wrongly. The moon's 3″ (see
//! [`super::moon`]) make twenty times as much.
//!
//! The moon rises and sets with its upper edge at −34′: the almanac offices' geocentric zenith distance of
//! 90°34′ + semidiameter − parallax, here with the parallax of the place on the ellipsoid.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::earth::Apparent;
use super::moon::RADIUS;
use super::observer::{Observer, Sight};
use super::place::Place;
use super::track::{Body, Track};
use crate::math::{newton, wrapped};
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing, Instant, Span};

/// Altitude of the sun's centre when its upper edge stands on a level sea horizon, geometric: 34′ of refraction and 16′
/// of semidiameter (the definition of the almanac offices), in the digits everyone prints.
pub const HORIZON: Angle = Angle::from_degrees(-0.8333);
/// Altitude of an edge that stands on a level sea horizon, geometric: 34′ of refraction, as the almanac offices have it.
pub const EDGE: Angle = Angle::from_arcminutes(-34.0);
/// Altitude of the sun's centre at the end of civil twilight.
pub const CIVIL: Angle = Angle::from_degrees(-6.0);
/// Altitude of the sun's centre at the end of nautical twilight.
pub const NAUTICAL: Angle = Angle::from_degrees(-12.0);
/// Altitude of the sun's centre at the end of astronomical twilight.
pub const ASTRONOMICAL: Angle = Angle::from_degrees(-18.0);

/// One passage of the sun's centre through an altitude, or of the moon's edge through the horizon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The geometric altitude crossed; for the moon that of its centre then.
    pub altitude: Angle,
    /// Whether the body was climbing.
    pub rising: bool,
    /// When.
    pub at: Instant,
    /// Where along the horizon.
    pub azimuth: Bearing,
}

/// One passage of the sun or the moon through the meridian.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transit {
    /// Whether it is the upper one, for the sun solar noon; else the lower one, solar midnight.
    pub noon: bool,
    /// Geometric altitude then.
    pub altitude: Angle,
    /// When.
    pub at: Instant,
    /// Where along the horizon: due south or due north, but for 0.3″ of aberration.
    pub azimuth: Bearing,
}

/// An altitude that the sun does not cross in a span: polar day, polar night, or a span too short.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncrossed {
    /// The geometric altitude.
    pub altitude: Angle,
    /// Whether the sun stays above it; else below.
    pub above: bool,
}

/// Every passage of the sun's centre through each geometric altitude within the span, ends included, in order of
/// time. An altitude given twice counts once.
///
/// ```
/// use duskbook::{sky::{events::{CIVIL, HORIZON, crossings}, place::Place}, units::{Instant, Span}};
/// let place = Place::new(50.0, 0.0, 0.0).unwrap();
/// let noon = Instant::from_epoch_ms(1_710_936_000_000.0).unwrap(); // 2024 March 20, 12:00
/// let evening = crossings(&place, Span::new(noon, noon.plus_seconds(43_200.0)).unwrap(), &[CIVIL, HORIZON]);
/// assert_eq!(evening.len(), 2);
/// assert!(evening[0].altitude == HORIZON && !evening[0].rising);
/// ```
pub fn crossings(place: &Place, span: Span, altitudes: &[Angle]) -> Vec<Crossing> {
    let levels = Levels::new(altitudes.iter().copied());
    let mut found = Vec::new();
    each_crossing(place, span, &levels, |_, crossing| found.push(crossing));
    found
}

/// Every solar noon and solar midnight within the span, ends included, in order of time.
///
/// The sun is on the meridian then; far from the equator it stands highest up to some minutes off.
pub fn transits(place: &Place, span: Span) -> Vec<Transit> {
    transits_on(&Track::over(span), place, span)
}

/// Every passage of the moon through the meridian within the span, ends included, in order of time.
pub fn moon_transits(place: &Place, span: Span) -> Vec<Transit> {
    transits_on(&Track::of(Body::Moon, span), place, span)
}

/// The passages of the body of a track.
pub(crate) fn transits_on(track: &Track, place: &Place, span: Span) -> Vec<Transit> {
    let observer = Observer::at(place);
    stations(track, &observer, span, 0.0)
        .filter_map(|(half_turn, day)| {
            let at = Instant::at_days_from_j2000(day);
            let body = track.at(day);
            let sight = observer.sight(PI * half_turn, body.declination, body.parallax);
            let noon = half_turn as i64 % 2 == 0;
            let transit = Transit { noon, altitude: sight.altitude(), at, azimuth: sight.azimuth() };
            span.contains(at).then_some(transit)
        })
        .collect()
}

/// Every rise and set of the moon's upper edge within the span, ends included, in order of time, behind a horizon that lies
/// `dip` below the level one.
///
/// ```
/// use duskbook::{sky::{events::moon_crossings, place::Place}, units::{Angle, Span}};
/// let place = Place::new(50.0, 0.0, 0.0).unwrap();
/// // 2024 March 25, the day of a full moon: it sets near sunrise and rises near sunset.
/// let day = Span::from_epoch_ms(1_711_324_800_000.0, 1_711_411_200_000.0).unwrap();
/// let found = moon_crossings(&place, day, Angle::ZERO);
/// assert!(found.len() == 2 && !found[0].rising && found[1].rising);
/// ```
pub fn moon_crossings(place: &Place, span: Span, dip: Angle) -> Vec<Crossing> {
    let mut found = Vec::new();
    let track = Track::of(Body::Moon, span);
    each_crossing_on(&track, place, span, &Levels::of_edge(EDGE - dip), &mut |_, crossing| {
        found.push(crossing);
    });
    found
}

/// Those of the altitudes that the sun does not cross in the span, each once, lowest first.
pub fn uncrossed(place: &Place, span: Span, altitudes: &[Angle]) -> Vec<Uncrossed> {
    let levels = Levels::new(altitudes.iter().copied());
    let mut crossed = vec![false; levels.sines.len()];
    each_crossing(place, span, &levels, |level, _| crossed[level] = true);
    let start = super::sun::position(place, span.start()).altitude;
    let uncrossed = levels.altitudes.iter().zip(crossed).filter(|(_, crossed)| !crossed);
    uncrossed.map(|(&altitude, _)| Uncrossed { altitude, above: start > altitude }).collect()
}

/// Altitudes to be crossed, lowest first, each once.
pub(crate) struct Levels {
    pub altitudes: Vec<Angle>,
    sines: Vec<f64>,
    /// The half height, as a multiple of the parallax, of what crosses them: nothing, a centre, or the moon's upper edge.
    edge: f64,
}

impl Levels {
    pub fn new(altitudes: impl IntoIterator<Item = Angle>) -> Self {
        let mut ordered: Vec<Angle> = Vec::new();
        for altitude in altitudes {
            let place = ordered.partition_point(|lower| *lower < altitude);
            if ordered.get(place) != Some(&altitude) {
                ordered.insert(place, altitude);
            }
        }
        let altitudes = ordered;
        let sines = altitudes.iter().map(|altitude| altitude.radians().sine()).collect();
        Self { altitudes, sines, edge: 0.0 }
    }

    /// The altitude of the moon's upper edge.
    pub fn of_edge(altitude: Angle) -> Self {
        Self { edge: RADIUS, ..Self::new([altitude]) }
    }

    /// How many of them lie below a sine of altitude.
    fn below(&self, up: f64) -> usize {
        self.sines.partition_point(|&sine| sine < up)
    }
}

/// Hands over every passage through one of the levels within the span, with the level's index, in order of time.
pub(crate) fn each_crossing(
    place: &Place,
    span: Span,
    levels: &Levels,
    mut found: impl FnMut(usize, Crossing),
) {
    each_crossing_on(&Track::over(span), place, span, levels, &mut found);
}

/// The same for the body of a track.
pub(crate) fn each_crossing_on(
    track: &Track,
    place: &Place,
    span: Span,
    levels: &Levels,
    found: &mut dyn FnMut(usize, Crossing),
) {
    let observer = &Observer::at(place);
    let mut arcs = stations(track, observer, span, -FRAC_PI_2)
        .map(|(half_turn, day)| Arc::through(track, observer, levels.edge, PI * half_turn - FRAC_PI_2, day));
    let Some(mut arc) = arcs.next() else { return };
    let mut start = (arc.day, levels.below(arc.height(0.0)[0]));
    for next in arcs {
        let turn = arc.turn_before(&next);
        let end = (arc.day + turn, levels.below(arc.height(turn)[0]));
        let rising = end.1 > start.1;
        let bracket = (start.0 - arc.day, turn);
        let mut cross = |level: usize| {
            let x = arc.crossing(levels.sines[level], bracket, rising);
            let at = Instant::at_days_from_j2000(arc.day + x);
            if span.contains(at) {
                let sight = arc.sight(x);
                let altitude = if levels.edge == 0.0 { levels.altitudes[level] } else { sight.altitude() };
                let azimuth = sight.azimuth();
                found(level, Crossing { altitude, rising, at, azimuth });
            }
        };
        if rising {
            (start.1..end.1).for_each(&mut cross);
        } else {
            (end.1..start.1).rev().for_each(&mut cross);
        }
        (start, arc) = (end, next);
    }
}

/// The half-turns around a span, and the days at which the body's hour angle is `offset` from each; from the last one
/// before the span to the second after it. Even ones are upper passages.
fn stations<'a>(
    track: &'a Track,
    observer: &'a Observer,
    span: Span,
    offset: f64,
) -> impl Iterator<Item = (f64, f64)> + 'a {
    // A little outside, so that no rounding puts the first or the last within.
    const AROUND: f64 = 1e-6;
    // Turns a day of the mean sun less those of the body: nothing, and one in a synodic month.
    let slow = if track.is_of(Body::Moon) { 1.0 / 29.53 } else { 0.0 };
    let turned = move |day: f64| TAU * day + track.at(day).equation_of_time + observer.longitude() - offset;
    let half_turn = move |at: Instant, by: f64| (turned(at.days_from_j2000() + by) / PI).floor();
    let first = half_turn(span.start(), -AROUND);
    let count = half_turn(span.end(), AROUND) - first + 3.0;
    let mut day = span.start().days_from_j2000();
    (0..count as u32).map(move |i| {
        let half_turn = first + f64::from(i);
        // The sun's lead changes by 30 s a day at most and the moon's lag by a quarter from its mean, so that the
        // last look is exact to a few µs.
        for _ in 0..if slow == 0.0 { 3 } else { 6 } {
            day += (PI * half_turn - turned(day)) / (TAU * (1.0 - slow));
        }
        let found = day;
        day += 0.5 / (1.0 - slow);
        (half_turn, found)
    })
}

/// A body around a station at which its hour angle is ±90°, as quartics in the days since.
///
/// A third of a day off, the fifth derivative that they leave out is worth 0.01″ of the moon.
struct Arc<'a> {
    observer: &'a Observer,
    /// The half height of what is followed, as a multiple of the parallax.
    edge: f64,
    day: f64,
    hour_angle: Quartic,
    declination: Quartic,
    parallax: Quartic,
    /// Whether the body climbs at the station.
    climbing: bool,
}

type Quartic = [f64; 5];

impl<'a> Arc<'a> {
    fn through(track: &Track, observer: &'a Observer, edge: f64, hour_angle: f64, day: f64) -> Self {
        const AWAY: f64 = 0.16;
        let mut around = [Apparent::default(); 5];
        for (i, body) in (-2i8..).zip(&mut around) {
            *body = track.at(day + AWAY * f64::from(i));
        }
        let quartic = |value: fn(&Apparent) -> f64| {
            let at = |i: usize| value(&around[i]);
            let [a, b, c, d, e] = [at(0), at(1), at(2), at(3), at(4)];
            [
                c,
                (a - 8.0 * b + 8.0 * d - e) / (12.0 * AWAY),
                (16.0 * (b + d) - a - e - 30.0 * c) / (24.0 * AWAY * AWAY),
                (e - a + 2.0 * (b - d)) / (12.0 * AWAY.powi(3)),
                (a + e - 4.0 * (b + d) + 6.0 * c) / (24.0 * AWAY.powi(4)),
            ]
        };
        let [_, lead, rest @ ..] = quartic(|body| body.equation_of_time);
        let mut arc = Self {
            observer,
            edge,
            day,
            hour_angle: [wrapped(hour_angle, TAU), TAU + lead, rest[0], rest[1], rest[2]],
            declination: quartic(|body| body.declination),
            parallax: quartic(|body| body.parallax),
            climbing: false,
        };
        arc.climbing = arc.height(0.0)[1] > 0.0;
        arc
    }

    fn sight(&self, x: f64) -> Sight {
        self.observer.sight(value(&self.hour_angle, x), value(&self.declination, x), value(&self.parallax, x))
    }

    /// The sine of the altitude of what is followed, its slope and the slope's slope, in days.
    fn height(&self, x: f64) -> [f64; 3] {
        let sight = self.sight(x);
        let turning = slope(&self.hour_angle, x);
        let climb = sight.by_hour_angle * turning + sight.by_declination * slope(&self.declination, x);
        let edge = if self.edge == 0.0 { 0.0 } else { self.edge * value(&self.parallax, x) };
        [sight.up + edge, climb, sight.bend * turning * turning]
    }

    /// When the body turns from climbing to falling or back before the next arc's station; when it does not, halfway.
    fn turn_before(&self, next: &Self) -> f64 {
        let length = next.day - self.day;
        if self.climbing == next.climbing {
            return 0.5 * length;
        }
        newton((0.0, length), next.climbing, 0.5 * length, 1e-6, |x| {
            let [_, climb, bend] = self.height(x);
            [climb, bend, 0.0]
        })
    }

    /// When the sine of the altitude passes a level that lies between those at the ends.
    fn crossing(&self, level: f64, bracket: (f64, f64), rising: bool) -> f64 {
        let parallax = self.parallax[0];
        let centre = level - self.edge * parallax;
        let hour_angle = self.observer.hour_angle_of(centre, self.declination[0], parallax);
        let from_station =
            if self.hour_angle[0] > PI { FRAC_PI_2 - hour_angle } else { hour_angle - FRAC_PI_2 };
        newton(bracket, rising, from_station / self.hour_angle[1], 1e-8, |x| {
            let [up, climb, bend] = self.height(x);
            [up - level, climb, bend]
        })
    }
}

/// A quartic's value.
fn value(&[e, d, c, b, a]: &Quartic, x: f64) -> f64 {
    (((a * x + b) * x + c) * x + d) * x + e
}

/// A quartic's slope.
fn slope(&[_, d, c, b, a]: &Quartic, x: f64) -> f64 {
    ((4.0 * a * x + 3.0 * b) * x + 2.0 * c) * x + d
}
