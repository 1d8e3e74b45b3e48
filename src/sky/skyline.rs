//! What stands in the way: a skyline around a place, and when sun and moon are behind it.
//!
//! A skyline is a ring of points, each an azimuth and the altitude sighted there (apparent, as the eye has it through the
//! air), straight lines of the chart between neighbours. Two points of one azimuth make an upright edge. At most
//! one gap between neighbours can be wider than half the horizon: that part counts as not surveyed and has the
//! sea horizon, the dip of the observer's height below level, unless the profile closes itself with points at both 0° and
//! 360°. One point alone is a skyline of one altitude all round.
//!
//! A body is hidden while no part of its disc shows: neither above the skyline nor, where nothing was surveyed, above the
//! horizon. The disc is an ellipse around the apparent centre, as wide as the body and as high as refraction leaves
//! its upper half, so that on a slope the edge that looks over last is the one that counts. *Expected error*: what the
//! survey is off, 4 min for a degree of altitude in low latitudes; of the arithmetic below half a second.
//!
//! No gap is missed, however narrow: within a time the sky turns by a known angle at most, so a disc that is hidden when
//! made so much larger stays hidden through it, one that shows when made so much smaller keeps showing, and what is
//! neither is halved, down to a quarter of a second.

use super::moon::RADIUS;
use super::observer::Observer;
use super::place::Place;
use super::refraction::{Atmosphere, dip};
use super::sun::RADIUS as SUN_RADIUS;
use super::track::{Body, Track};
use crate::error::{Bounds, Result};
use crate::math::wrapped;
use crate::trigonometry::Trigonometry;
use crate::units::{ALTITUDE, Angle, BEARING, Bearing, Length, Span};

/// Points that a skyline may have.
pub const POINTS: Bounds = Bounds::new("profile", 0.0, 2000.0, " points");
/// Height of something seen, above the ground that the eye's height counts from, metres.
pub const HEIGHT: Bounds = Bounds::new("heightM", -9000.0, 9000.0, " m");
/// How far away it is, metres.
pub const DISTANCE: Bounds = Bounds::new("distanceM", 0.1, 500_000.0, " m");
/// Height of the eye above the ground, metres.
pub const OBSERVER_HEIGHT: Bounds = Bounds::new("observerHeightM", 0.0, 9000.0, " m");

/// Times shorter than this are not halved any more, seconds.
const LEAST_S: f64 = 0.25;
/// Length of the pieces that a search starts with, seconds.
const PIECE_S: f64 = 5400.0;
/// How fast the sky turns, degrees a second, a little rounded up.
const TURN: f64 = 0.0043;
/// The same below the horizon, where the formula for the refraction fades out.
const TURN_BELOW: f64 = 0.0075;

/// A ring of points around the horizon.
#[derive(Debug, Clone, PartialEq)]
pub struct Skyline {
    /// Azimuth and altitude, degrees, over one turn; the last is where the first is.
    ring: Vec<[f64; 2]>,
}

/// A body's disc on the sky: azimuth, altitude, half width on the sky and half height, degrees.
#[derive(Debug, Clone, Copy)]
struct Disc {
    azimuth: f64,
    altitude: f64,
    width: f64,
    height: f64,
}

impl Skyline {
    /// From points in any order, each an azimuth (0° to 360°) and an altitude (−90° to 90°), and the height of the eye
    /// above the ground or sea at the horizon.
    ///
    /// # Errors
    /// Too many points, or one out of its bounds: names `profile`, `profile[1].azimuthDeg` or
    /// `profile[1].altitudeDeg`. Too high an eye: names `observerHeightM`.
    ///
    /// ```
    /// use duskbook::{sky::skyline::Skyline, units::{Bearing, Length}};
    /// let ridge = Skyline::new(&[[250.0, 1.0], [270.0, 5.0]], Length::from_metres(0.0)).unwrap();
    /// assert!((ridge.altitude(Bearing::from_degrees(260.0)).degrees() - 3.0).abs() < 1e-9);
    /// assert_eq!(ridge.altitude(Bearing::from_degrees(90.0)).degrees(), 0.0);
    /// ```
    pub fn new(points: &[[f64; 2]], observer_height: Length) -> Result<Self> {
        POINTS.check(points.len() as f64)?;
        OBSERVER_HEIGHT.check(observer_height.metres())?;
        let mut ring: Vec<[f64; 2]> = Vec::with_capacity(points.len() + 3);
        for (i, &[azimuth, altitude]) in points.iter().enumerate() {
            let point =
                [within(BEARING, azimuth, i, "azimuthDeg")?, within(ALTITUDE, altitude, i, "altitudeDeg")?];
            let place = ring.partition_point(|known| known[0] <= azimuth);
            ring.insert(place, point);
        }
        let horizon = -dip(observer_height)?.degrees();
        let [first, ..] = ring[..] else { return Ok(Self { ring: vec![[0.0, horizon], [360.0, horizon]] }) };
        let closed = first[0] == 0.0 && ring.last().is_some_and(|last| last[0] == 360.0);
        // What follows a wide gap comes first, what is before it last.
        let wide = |i: &usize| !closed && ring[*i][0] - ring[*i - 1][0] > 180.0;
        let start = (1..ring.len()).find(wide).unwrap_or(0);
        let mut turned = ring[start..].to_vec();
        turned.extend(ring[..start].iter().map(|&[azimuth, altitude]| [azimuth + 360.0, altitude]));
        let mut ring = turned;
        let [first, last] = [ring[0], ring.last().copied().unwrap_or(first)];
        if points.len() > 1 && first[0] + 360.0 - last[0] > 180.0 {
            ring.extend([[last[0], horizon], [first[0] + 360.0, horizon]]);
        }
        ring.push([first[0] + 360.0, first[1]]);
        Ok(Self { ring })
    }

    /// The altitude in a direction; on an upright edge its top.
    pub fn altitude(&self, azimuth: Bearing) -> Angle {
        Angle::from_degrees(self.highest(azimuth.degrees(), 0.0))
    }

    /// The lowest and the highest altitude all round.
    pub fn range(&self) -> [Angle; 2] {
        let among = |pick: fn(f64, f64) -> f64, from| self.ring.iter().map(|point| point[1]).fold(from, pick);
        [among(f64::min, 90.0), among(f64::max, -90.0)].map(Angle::from_degrees)
    }

    /// The line as far as so many degrees to either side of a direction, each point so many degrees from there.
    pub fn around(&self, azimuth: Bearing, half: f64) -> Vec<[f64; 2]> {
        let mut line = Vec::new();
        self.any_within(azimuth.degrees(), half, &mut |ends| {
            line.extend(ends);
            false
        });
        line
    }

    /// When nothing of the body shows, in order of time, to half a second. Parts that touch are one; the span's ends cut them.
    pub fn hidden(&self, place: &Place, span: Span, body: Body, air: Atmosphere) -> Vec<Span> {
        self.hidden_on(&Track::of(body, span), place, span, air)
    }

    /// The same on a body's track.
    pub fn hidden_on(&self, track: &Track, place: &Place, span: Span, air: Atmosphere) -> Vec<Span> {
        let (observer, start) = (Observer::at(place), span.start().days_from_j2000());
        let mut hidden: Vec<[f64; 2]> = Vec::new();
        let mut waiting: Vec<[f64; 2]> = Vec::new();
        let pieces = (span.seconds() / PIECE_S).ceil().max(1.0) as usize;
        for i in 0..pieces {
            let bound = |i: usize| span.seconds() * (i as f64 / pieces as f64);
            waiting.push([bound(i), bound(i + 1)]);
            while let Some([from, to]) = waiting.pop() {
                let middle = 0.5 * (from + to);
                let disc = Disc::seen(track, &observer, air, start + middle / 86_400.0);
                let turn = if disc.altitude < -0.3 { TURN_BELOW } else { TURN } * (middle - from);
                if self.hides(disc.grown(turn)) || to - from < LEAST_S && self.hides(disc) {
                    match hidden.last_mut() {
                        Some(last) if last[1] >= from => last[1] = to,
                        _ => hidden.push([from, to]),
                    }
                } else if to - from >= LEAST_S && !self.shows_for(disc, turn) {
                    waiting.extend([[middle, to], [from, middle]]);
                }
            }
        }
        let at = |seconds: f64| {
            if seconds < span.seconds() { span.start().plus_seconds(seconds) } else { span.end() }
        };
        hidden.iter().map(|&[from, to]| Span::computed(at(from), at(to))).collect()
    }

    /// Whether nothing of the disc shows.
    fn hides(&self, disc: Disc) -> bool {
        let half = disc.half_turn();
        let mut shows = |[from, to]: [[f64; 2]; 2]| {
            let slope = (to[1] - from[1]) / (to[0] - from[0]);
            // Where the ellipse stands farthest above a line of this slope.
            let best = -slope * half * half / disc.height.hypotenuse(slope * half);
            let x = best.max(from[0]).min(to[0]);
            let arc = disc.height * (1.0 - (x / half).powi(2)).max(0.0).sqrt();
            disc.altitude + arc > from[1] + slope * (x - from[0])
        };
        !self.any_within(disc.azimuth, half, &mut shows)
    }

    /// Whether some of the disc is sure to show while the sky turns by so many degrees.
    fn shows_for(&self, disc: Disc, turn: f64) -> bool {
        // However it moves, its middle stays above all that it can come before; or what is left of it all the time shows.
        let reach = Disc { width: turn, ..disc }.half_turn();
        disc.altitude - turn > self.highest(disc.azimuth, reach)
            || turn < disc.height && !self.hides(disc.grown(-turn))
    }

    /// The highest altitude within so many degrees of an azimuth.
    fn highest(&self, azimuth: f64, half: f64) -> f64 {
        let mut highest = -90.0_f64;
        self.any_within(azimuth, half, &mut |ends| {
            highest = highest.max(ends[0][1]).max(ends[1][1]);
            false
        });
        highest
    }

    /// Whether something holds of a line between neighbours, cut to what lies within so many degrees of an azimuth and
    /// counted from there.
    fn any_within(&self, azimuth: f64, half: f64, holds: &mut dyn FnMut([[f64; 2]; 2]) -> bool) -> bool {
        let base = self.ring[0][0];
        let azimuth = base + wrapped(azimuth - base, 360.0);
        [360.0, 0.0, -360.0].into_iter().any(|lap| {
            let centre = azimuth + lap;
            if centre + half < base || centre - half > base + 360.0 {
                return false;
            }
            let first = self.ring.partition_point(|point| point[0] < centre - half).max(1);
            self.ring[first - 1..]
                .windows(2)
                .take_while(|ends| ends[0][0] <= centre + half)
                .filter(|ends| ends[1][0] > ends[0][0])
                .any(|ends| {
                    let [[x0, y0], [x1, y1]] = [ends[0], ends[1]];
                    let cut = |x: f64| {
                        let x = x.max(x0).min(x1);
                        [x - centre, y0 + (y1 - y0) * ((x - x0) / (x1 - x0))]
                    };
                    holds([cut(centre - half), cut(centre + half)])
                })
        })
    }
}

impl Disc {
    fn seen(track: &Track, observer: &Observer, air: Atmosphere, day: f64) -> Self {
        let body = track.at(day);
        let sight = observer.sees(body, day);
        let radius =
            if track.is_of(Body::Moon) { RADIUS } else { SUN_RADIUS } * body.parallax / sight.length();
        let centre = sight.altitude();
        let top = centre + Angle::from_radians(radius);
        let apparent = |altitude: Angle| air.apparent(altitude).degrees();
        Self {
            azimuth: sight.azimuth().degrees(),
            altitude: apparent(centre),
            width: radius.to_degrees(),
            height: apparent(top) - apparent(centre),
        }
    }

    fn grown(self, by: f64) -> Self {
        Self { width: (self.width + by).max(1e-6), height: self.height + by, ..self }
    }

    /// Half its width in degrees of azimuth.
    fn half_turn(self) -> f64 {
        let upper = self.altitude.abs() + if self.width > 0.5 { self.width } else { 0.0 };
        (self.width / (90.0 - upper).max(0.01).to_radians().sine()).min(180.0)
    }
}

/// A part of a point within its bounds.
#[inline(never)]
fn within(bounds: Bounds, value: f64, place: usize, field: &str) -> Result<f64> {
    bounds.check(value).map_err(|refused| refused.in_field(format!("profile[{place}].{field}")))
}

/// The altitude at which something of a height stands at a distance, for an eye at a height above the same level.
///
/// The Earth's curve lowers it by d²/2R and the air's bending lifts it by 0.13 of that (R = 6371 km; the coefficient is
/// common practice in surveying, from memory). Within 100 m neither counts; at 50 km they take 170 m.
///
/// # Errors
/// One of the three out of its bounds: names `heightM`, `distanceM` or `observerHeightM`.
///
/// ```
/// use duskbook::{sky::skyline::altitude_of, units::Length};
/// let [tower, way, eye] = [31.6, 300.0, 1.6].map(Length::from_metres);
/// assert!((altitude_of(tower, way, eye).unwrap().degrees() - 5.71).abs() < 0.005); // atan(30 / 300)
/// ```
pub fn altitude_of(height: Length, distance: Length, eye: Length) -> Result<Angle> {
    const CURVE: f64 = (1.0 - 0.13) / (2.0 * 6_371_000.0);
    let way = DISTANCE.check(distance.metres())?;
    let above = HEIGHT.check(height.metres())? - OBSERVER_HEIGHT.check(eye.metres())?;
    Ok(Angle::from_radians((above - CURVE * way * way).atan2(way)))
}
