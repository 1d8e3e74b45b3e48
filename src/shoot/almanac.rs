//! The evenings worth going, or the mornings: a table over months, and those in it that hold what is wished for.
//!
//! One row a half day ([`super::half_day`]): when the sun sets and the twilights end, where it or the moon passes the
//! skyline nearest to the lens's bearing, where the moon stands, how long sky and lamps balance, how long it is dark.
//! "In or near twilight" is while the sun is between 6° and −12° (a choice of this project). The balance is that of
//! [`crate::light::forecast`] without readings, from where the sky leads by a stop to where the lamps do. Dark is without
//! sun (below −18°) and without moon, whose edge has set or has not yet risen behind the level horizon.
//!
//! Everything rests on one track of the sun and one of the moon, so that a year costs some milliseconds.

use super::half_day::Part;
use crate::light::forecast::{Forecast, IN_BALANCE_STOPS};
use crate::math::root;
use crate::sky::events::{
    ASTRONOMICAL, CIVIL, EDGE, HORIZON, Levels, NAUTICAL, Transit, each_crossing_on, transits_on,
};
use crate::sky::moon::MoonPosition;
use crate::sky::place::Place;
use crate::sky::refraction::Atmosphere;
use crate::sky::skyline::Skyline;
use crate::sky::track::{Body, Track};
use crate::units::{Angle, Bearing, Instant, Span};

/// The sun's altitude from which on twilight is near.
const NEAR: Angle = Angle::from_degrees(6.0);
/// Looks for the moon in the frame, over one twilight.
const LOOKS: u32 = 12;

/// What is wished for. All that is given must hold.
#[derive(Debug, Clone)]
pub struct Wish {
    /// Where the lens points.
    pub bearing: Bearing,
    /// How wide it sees.
    pub field: Angle,
    /// What is to pass the skyline.
    pub body: Body,
    /// How far from the bearing it may do so.
    pub tolerance: Option<Angle>,
    /// What stands around; a level horizon when not given.
    pub skyline: Option<Skyline>,
    /// By how much the horizon lies below the level one.
    pub dip: Angle,
    /// The moon in the frame, in or near twilight: its lit part, from and to, and its least altitude.
    pub moon: Option<([f64; 2], Angle)>,
    /// The light, for the balance of sky and lamps.
    pub light: Option<Forecast>,
    /// The least length of that balance.
    pub balance_s: Option<f64>,
    /// The least time of darkness.
    pub dark_s: Option<f64>,
}

/// A passage of the skyline, or of the horizon where there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// When.
    pub at: Instant,
    /// Where the centre is then.
    pub azimuth: Bearing,
    /// How far from the lens's bearing, clockwise positive.
    pub off: Angle,
}

/// One evening or morning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evening {
    /// From noon to midnight, or from midnight to noon.
    pub span: Span,
    /// Sunset or sunrise behind the level horizon.
    pub sun: Option<Instant>,
    /// The end or start of civil, nautical and astronomical twilight.
    pub twilights: [Option<Instant>; 3],
    /// The passage of the body wished for that is nearest to the bearing.
    pub passage: Option<Passage>,
    /// The moon with civil twilight, or where there is none, when the sun is nearest to it.
    pub moon: MoonPosition,
    /// While the moon wished for is in the frame, to a twelfth of the twilight.
    pub moon_in_frame: Option<Span>,
    /// While sky and lamps are in balance.
    pub balance: Option<Span>,
    /// Seconds without sun and moon.
    pub dark_s: f64,
    /// Whether all wishes hold.
    pub holds: bool,
}

/// The evenings or mornings that begin in a span, in order of time.
pub fn evenings(place: &Place, span: Span, part: Part, wish: &Wish) -> Vec<Evening> {
    let reach = Span::computed(span.start(), span.end().plus_seconds(90_000.0));
    let sky = Sky {
        place,
        part,
        wish,
        sun: Track::over(reach),
        moon: Track::of(Body::Moon, reach),
        air: Atmosphere::at(place.elevation()),
    };
    let levels = sky.levels();
    let mut crossings: Vec<(usize, Instant, Bearing)> = Vec::new();
    each_crossing_on(&sky.sun, place, reach, &levels, &mut |level, crossing| {
        if crossing.rising == part.rising() {
            crossings.push((level, crossing.at, crossing.azimuth));
        }
    });
    let mut moons: Vec<(Instant, Bearing)> = Vec::new();
    each_crossing_on(&sky.moon, place, reach, &Levels::of_edge(EDGE - wish.dip), &mut |_, crossing| {
        moons.push((crossing.at, crossing.azimuth));
    });
    // Whether the moon is up once an even number of its passages is past.
    let up = sky.moon_at(reach.start()).edge() > EDGE - wish.dip;
    let (mut rest, mut found) = (&crossings[..], Vec::new());
    for ends in transits_on(&sky.sun, place, reach).windows(2) {
        let [first, last] = [ends[0], ends[1]];
        if first.noon == part.rising() || first.at > span.end() {
            continue;
        }
        let passed = rest.partition_point(|crossing| crossing.1 < first.at);
        let own = rest.partition_point(|crossing| crossing.1 <= last.at);
        let half = Half { ends: [first, last], levels: &levels, crossings: &rest[passed..own] };
        rest = &rest[own..];
        found.push(sky.evening(&half, &moons, up));
    }
    found
}

/// What all evenings have in common.
struct Sky<'a> {
    place: &'a Place,
    part: Part,
    wish: &'a Wish,
    sun: Track,
    moon: Track,
    air: Atmosphere,
}

/// A half day with the sun's passages in it.
struct Half<'a> {
    ends: [Transit; 2],
    levels: &'a Levels,
    crossings: &'a [(usize, Instant, Bearing)],
}

impl Half<'_> {
    fn crossing(&self, altitude: Angle) -> Option<(Instant, Bearing)> {
        let level = self.levels.altitudes.iter().position(|level| *level == altitude)?;
        self.crossings.iter().find(|crossing| crossing.0 == level).map(|&(_, at, azimuth)| (at, azimuth))
    }

    /// While the sun is between two altitudes.
    fn between(&self, high: Angle, low: Angle) -> Option<Span> {
        let [first, last] = self.ends;
        let (brightest, darkest) = if first.noon { (first, last) } else { (last, first) };
        if brightest.altitude < low || darkest.altitude > high {
            return None;
        }
        let [high, low] = [(high, brightest.at), (low, darkest.at)]
            .map(|(altitude, end)| self.crossing(altitude).map_or(end, |(at, _)| at));
        Some(if first.noon { Span::computed(high, low) } else { Span::computed(low, high) })
    }
}

impl Sky<'_> {
    /// Altitudes of the sun that the table needs.
    fn levels(&self) -> Levels {
        Levels::new([NEAR, self.horizon(), CIVIL, NAUTICAL, ASTRONOMICAL, self.over_skyline()])
    }

    fn horizon(&self) -> Angle {
        HORIZON - self.wish.dip
    }

    /// An altitude at which the sun surely shows.
    fn over_skyline(&self) -> Angle {
        let highest = self.wish.skyline.as_ref().map_or(Angle::ZERO, |skyline| skyline.range()[1]);
        highest + Angle::from_degrees(1.0)
    }

    /// An altitude at which the sun surely is hidden: a skyline that falls away below the horizon shows it for longer.
    fn under_skyline(&self) -> Angle {
        let lowest = self.wish.skyline.as_ref().map_or(Angle::ZERO, |skyline| skyline.range()[0]);
        if lowest < -self.wish.dip { CIVIL } else { self.horizon() }
    }

    fn moon_at(&self, at: Instant) -> MoonPosition {
        MoonPosition::on_tracks(&self.moon, &self.sun, self.place, at)
    }

    fn evening(&self, half: &Half, moons: &[(Instant, Bearing)], up: bool) -> Evening {
        let wish = self.wish;
        let [first, last] = half.ends;
        let span = Span::computed(first.at, last.at);
        let sun = half.crossing(self.horizon());
        let twilights = [CIVIL, NAUTICAL, ASTRONOMICAL].map(|level| half.crossing(level).map(|(at, _)| at));
        let near = half.between(NEAR, NAUTICAL);
        let nearest = if (first.altitude < CIVIL) == first.noon { span.start() } else { span.end() };
        let moon = self.moon_at(twilights[0].unwrap_or(nearest));
        let passage = match wish.body {
            Body::Sun => {
                let within = half.between(self.over_skyline(), self.under_skyline());
                self.passage(&self.sun, within, sun.as_slice())
            }
            Body::Moon => self.passage(&self.moon, near, moons),
        };
        let moon_in_frame = near.zip(wish.moon).and_then(|(near, wished)| self.in_frame(near, wished));
        let balance = near.zip(wish.light.as_ref()).and_then(|(near, light)| self.balance(near, light));
        let night = half.between(ASTRONOMICAL, Angle::from_degrees(-90.0));
        let dark_s = night.map_or(0.0, |night| night.seconds() - moonlit_s(night, moons, up));
        let holds = wish
            .tolerance
            .is_none_or(|most| passage.is_some_and(|passage| passage.off.degrees().abs() <= most.degrees()))
            && (wish.moon.is_none() || moon_in_frame.is_some())
            && wish.balance_s.is_none_or(|least| balance.is_some_and(|part| part.seconds() >= least))
            && wish.dark_s.is_none_or(|least| dark_s >= least);
        let sun = sun.map(|(at, _)| at);
        Evening { span, sun, twilights, passage, moon, moon_in_frame, balance, dark_s, holds }
    }

    /// The passage in a part of the half day that is nearest to the bearing: of the skyline, or one of those given of the
    /// horizon.
    fn passage(
        &self,
        track: &Track,
        within: Option<Span>,
        horizon: &[(Instant, Bearing)],
    ) -> Option<Passage> {
        let within = within?;
        let of =
            |(at, azimuth): (Instant, Bearing)| Passage { at, azimuth, off: azimuth - self.wish.bearing };
        let nearer = |a: &Passage, b: &Passage| a.off.degrees().abs().total_cmp(&b.off.degrees().abs());
        let Some(skyline) = &self.wish.skyline else {
            let first = horizon.partition_point(|(at, _)| *at < within.start());
            return horizon[first..]
                .iter()
                .take_while(|(at, _)| *at <= within.end())
                .copied()
                .map(of)
                .min_by(nearer);
        };
        // The sun's edge may pass a low horizon after its centre.
        let within = Span::computed(within.start().plus_seconds(-300.0), within.end().plus_seconds(300.0));
        let inside = |at: &Instant| *at > within.start() && *at < within.end();
        let parts = skyline.hidden_on(track, self.place, within, self.air);
        let changes = parts.iter().flat_map(|part| [part.start(), part.end()]).filter(inside);
        changes.map(|at| of((at, track.position(self.place, at).azimuth))).min_by(nearer)
    }

    fn in_frame(&self, near: Span, ([least, most], altitude): ([f64; 2], Angle)) -> Option<Span> {
        let half = 0.5 * self.wish.field.degrees();
        let seen = |at: &Instant| {
            let moon = self.moon_at(*at);
            let over = self.wish.skyline.as_ref().map_or(altitude, |skyline| skyline.altitude(moon.azimuth));
            (moon.azimuth - self.wish.bearing).degrees().abs() <= half
                && moon.apparent_altitude >= altitude
                && moon.apparent_altitude >= over
                && (least..=most).contains(&moon.illuminated_fraction())
        };
        let look = |i: u32| near.start().plus_seconds(near.seconds() * f64::from(i) / f64::from(LOOKS));
        let mut looks = (0..=LOOKS).map(look).filter(seen);
        let first = looks.next()?;
        Some(Span::computed(first, looks.next_back().unwrap_or(first)))
    }

    /// While the sky's lead over the lamps is between a stop and minus a stop.
    fn balance(&self, near: Span, light: &Forecast) -> Option<Span> {
        let [bright, dark] = if self.part.rising() { [near.seconds(), 0.0] } else { [0.0, near.seconds()] };
        let lead = |s: f64| {
            light.sky_over_lamps_under(&self.sun.position(self.place, near.start().plus_seconds(s))).mean
        };
        let (most, least) = (lead(bright), lead(dark));
        if most < -IN_BALANCE_STOPS || least > IN_BALANCE_STOPS {
            return None;
        }
        let [from, to] = [(IN_BALANCE_STOPS, bright), (-IN_BALANCE_STOPS, dark)].map(|(stops, end)| {
            let passed = most > stops && least < stops;
            near.start().plus_seconds(if passed { root(bright, dark, 1.0, |s| lead(s) - stops) } else { end })
        });
        Some(if from < to { Span::computed(from, to) } else { Span::computed(to, from) })
    }
}

/// Seconds of a span in which the moon is up, which at first it is or is not.
fn moonlit_s(span: Span, moons: &[(Instant, Bearing)], up: bool) -> f64 {
    let past = moons.partition_point(|(at, _)| *at < span.start());
    let (mut up, mut from, mut lit) = (up == (past % 2 == 0), span.start(), 0.0);
    for (at, _) in moons[past..].iter().take_while(|(at, _)| *at < span.end()) {
        lit += if up { at.seconds_after(from) } else { 0.0 };
        (up, from) = (!up, *at);
    }
    lit + if up { span.end().seconds_after(from) } else { 0.0 }
}
