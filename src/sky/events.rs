//! When the sun crosses an altitude, and when it stands on the meridian.
//!
//! No scanning: the geometry says where to look. Through the stations at hour angles ±90° the sun is always
//! on one side of its highest or lowest point, so that between two stations there is exactly one such turn (or none:
//! within 0.06° of a pole the sun may climb for days). Between turns the altitude only grows or
//! only falls, and an altitude is crossed there once or not at all, as the ends tell. That finds every crossing,
//! in order, on the shortest polar day too.
//!
//! Within an arc the closed form for the hour angle proposes a time and steps on the interpolated,
//! topocentric sun dispose. *Expected error*: the sun's 0.15″ (see [`super::sun`]) over the speed of its altitude: 0.015 s in
//! middle latitudes, 0.2 s where the altitude changes by 2e-4 degrees a second, up to half a minute where the sun just
//! touches an altitude; one that it misses or passes by less than 0.15″ may be told wrongly.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::observer::{Observer, Sight};
use super::place::Place;
use super::track::Track;
use crate::math::{newton, wrapped};
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing, Instant, Span};

/// Altitude of the sun's centre when its upper edge stands on a level sea horizon, geometric: 34′ of refraction and 16′
/// of semidiameter (the definition of the almanac offices), in the digits everyone prints.
pub const HORIZON: Angle = Angle::from_degrees(-0.8333);
/// Altitude of the sun's centre at the end of civil twilight.
pub const CIVIL: Angle = Angle::from_degrees(-6.0);
/// Altitude of the sun's centre at the end of nautical twilight.
pub const NAUTICAL: Angle = Angle::from_degrees(-12.0);
/// Altitude of the sun's centre at the end of astronomical twilight.
pub const ASTRONOMICAL: Angle = Angle::from_degrees(-18.0);

/// One passage of the sun's centre through an altitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The geometric altitude crossed.
    pub altitude: Angle,
    /// Whether the sun was climbing.
    pub rising: bool,
    /// When.
    pub at: Instant,
    /// Where along the horizon.
    pub azimuth: Bearing,
}

/// One passage of the sun through the meridian.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transit {
    /// Whether it is the upper one, solar noon; else solar midnight.
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
    let (track, observer) = (Track::over(span), Observer::at(place));
    stations(&track, &observer, span, 0.0)
        .filter_map(|(half_turn, day)| {
            let at = moment(day);
            let sun = track.at(day);
            let sight = observer.sight(PI * half_turn, sun.declination, sun.parallax);
            let noon = half_turn as i64 % 2 == 0;
            let transit = Transit { noon, altitude: sight.altitude(), at, azimuth: sight.azimuth() };
            span.contains(at).then_some(transit)
        })
        .collect()
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
        Self { altitudes, sines }
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
    let (track, observer) = (Track::over(span), Observer::at(place));
    let mut arcs = stations(&track, &observer, span, -FRAC_PI_2)
        .map(|(half_turn, day)| Arc::through(&track, &observer, PI * half_turn - FRAC_PI_2, day));
    let Some(mut arc) = arcs.next() else { return };
    let mut start = (arc.day, levels.below(arc.sight(0.0).up));
    for next in arcs {
        let turn = arc.turn_before(&next);
        let end = (arc.day + turn, levels.below(arc.sight(turn).up));
        let rising = end.1 > start.1;
        let bracket = (start.0 - arc.day, turn);
        let mut cross = |level: usize| {
            let x = arc.crossing(levels.sines[level], bracket, rising);
            let at = moment(arc.day + x);
            if span.contains(at) {
                let (altitude, azimuth) = (levels.altitudes[level], arc.sight(x).azimuth());
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

/// The half-turns around a span, counted from noon at J2000, and the days at which the sun's hour angle is `offset`
/// from each; from the last one before the span to the second after it.
fn stations<'a>(
    track: &'a Track,
    observer: &'a Observer,
    span: Span,
    offset: f64,
) -> impl Iterator<Item = (f64, f64)> + 'a {
    // More than the equation of time, so that the first and the last are outside for certain.
    const AROUND: f64 = 0.02;
    let mean = move |half_turn: f64| (PI * half_turn + offset - observer.longitude()) / TAU;
    let half_turn = move |day: f64| ((day * TAU + observer.longitude() - offset) / PI).floor();
    let first = half_turn(span.start().days_from_j2000() - AROUND);
    let count = half_turn(span.end().days_from_j2000() + AROUND) - first + 3.0;
    (0..count as u32).map(move |i| {
        let half_turn = first + f64::from(i);
        let mean = mean(half_turn);
        // The equation of time changes by 30 s a day at most, so the second look is exact to a few µs.
        let day = (0..2).fold(mean, |day, _| mean - track.at(day).equation_of_time / TAU);
        (half_turn, day)
    })
}

/// A UT1 day counted from J2000 as an instant.
fn moment(day: f64) -> Instant {
    Instant::computed(946_728_000_000.0 + day * 86_400_000.0)
}

/// The sun around a station at which its hour angle is ±90°, as parabolas in the days since.
///
/// Half a day off, the third derivative that they leave out is worth 0.01″.
struct Arc<'a> {
    observer: &'a Observer,
    day: f64,
    hour_angle: [f64; 3],
    declination: [f64; 3],
    parallax: f64,
    /// Whether the sun climbs at the station.
    climbing: bool,
}

impl<'a> Arc<'a> {
    fn through(track: &Track, observer: &'a Observer, hour_angle: f64, day: f64) -> Self {
        const AWAY: f64 = 0.25;
        let [before, here, after] = [-AWAY, 0.0, AWAY].map(|x| track.at(day + x));
        let parabola =
            |a: f64, b: f64, c: f64| [b, (c - a) / (2.0 * AWAY), (a - 2.0 * b + c) / (2.0 * AWAY * AWAY)];
        let [_, lead, bend] =
            parabola(before.equation_of_time, here.equation_of_time, after.equation_of_time);
        let mut arc = Self {
            observer,
            day,
            hour_angle: [wrapped(hour_angle, TAU), TAU + lead, bend],
            declination: parabola(before.declination, here.declination, after.declination),
            parallax: here.parallax,
            climbing: false,
        };
        arc.climbing = arc.height(0.0)[1] > 0.0;
        arc
    }

    fn sight(&self, x: f64) -> Sight {
        self.observer.sight(value(self.hour_angle, x), value(self.declination, x), self.parallax)
    }

    /// The sine of the altitude, its slope and the slope's slope, in days.
    fn height(&self, x: f64) -> [f64; 3] {
        let sight = self.sight(x);
        let turning = slope(self.hour_angle, x);
        let climb = sight.by_hour_angle * turning + sight.by_declination * slope(self.declination, x);
        [sight.up, climb, sight.bend * turning * turning]
    }

    /// When the sun turns from climbing to falling or back before the next arc's station; when it does not, halfway.
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
        let hour_angle = self.observer.hour_angle_of(level, self.declination[0], self.parallax);
        let from_station =
            if self.hour_angle[0] > PI { FRAC_PI_2 - hour_angle } else { hour_angle - FRAC_PI_2 };
        newton(bracket, rising, from_station / self.hour_angle[1], 1e-8, |x| {
            let [up, climb, bend] = self.height(x);
            [up - level, climb, bend]
        })
    }
}

/// A parabola's value.
fn value([c, b, a]: [f64; 3], x: f64) -> f64 {
    (a * x + b) * x + c
}

/// A parabola's slope.
fn slope([_, b, a]: [f64; 3], x: f64) -> f64 {
    2.0 * a * x + b
}
