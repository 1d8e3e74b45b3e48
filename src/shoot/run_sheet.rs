//! The evening or the morning at a spot, line by line.
//!
//! # What stands on it
//! In the evening: set out, be there, the sun behind the skyline, sunset, the golden and the blue hour, the ends of the
//! twilights, the balance of sky and lamps, and a row with settings wherever the light has fallen by a step,
//! until it ends. The morning is its mirror image, read in time.
//!
//! # Arriving and leaving
//! An evening starts with the first thing that happens in it: as a rule the golden hour, or the sun behind a high
//! skyline; in a polar winter a twilight; with very bright lamps their balance with the sky, or the end of the light.
//! Be there is the set-up time before that, and set out the walk before that. In the morning the first frame
//! is the first useful light, and dial rows go on until the set-up time after the last thing that happens. What
//! is to be dialled is said from the arrival on.
//!
//! Where nothing happens because the sun stays up, the sheet shows its lowest light and what leads there, or
//! in the morning away from there, for as long as the light is within a stop of it. Where the light never leaves that stop,
//! and where the sky never adds anything to the lamps, no hour is better than another, and nobody is told when to come.
//!
//! # The skyline
//! Flat at the spot's altitude, or as surveyed; then the sun may go behind it and come out again more than once. Those
//! within two hours of the last time (a choice of this project) are rows too.
//!
//! # Useful light
//! The light is over when the sky adds less than a third of a stop, the least that a dial can answer, to the lamps or
//! whatever else shines at night, and at the latest with astronomical twilight. In a bright night it does not end
//! before solar midnight.
//!
//! # Dial rows
//! They stand on whole multiples of the step (EV 9.5, 9, 8.5, …) wherever the sheet starts, so that a later start does not
//! shift them all, and one brightness has one setting on every date. The forecast may rise for a while as the sun moves
//! into the lens's direction; such steps are rows too. A row that would only repeat the setting of an event beside
//! it is left out.

use crate::error::{Bounds, Result};
use crate::light::forecast::{Balance, Estimate, Forecast};
use crate::light::lesson::{Lesson, Prior};
use crate::light::moonlight::{LightTrack, Lights};
use crate::light::reading::Reading;
use crate::light::scene::{Conditions, Scene};
use crate::math::{self, root};
use crate::shoot::assumption::Assumption;
use crate::shoot::half_day::{HalfDay, Part};
use crate::shoot::hours::Hours;
use crate::shoot::row::{Kind, Row};
use crate::shoot::shot::Shot;
use crate::shoot::spot::Spot;
use crate::shoot::steadiness::{Steadiness, checklist};
use crate::sky::events::{ASTRONOMICAL, CIVIL, Crossing, HORIZON, NAUTICAL, Uncrossed, crossings, uncrossed};
use crate::sky::place::Place;
use crate::sky::refraction::Atmosphere;
use crate::sky::skyline::Skyline;
use crate::sky::track::Body;
use crate::units::{Angle, Ev, Instant, Span, Stops};

/// The change of light that is worth a row.
pub const STEP: Bounds = Bounds::new("stepStops", 0.1, 3.0, " stops");

/// The least gain from the sky that a dial can answer.
const LEAST_GAIN: Stops = Stops::new(1.0 / 3.0);

/// Change of a polar day's light that its sheet shows around the lowest.
const AROUND_LOWEST: Stops = Stops::new(1.0);

/// Before the sun goes behind a surveyed skyline for the night, what it does there counts for so many seconds.
const AROUND_NIGHT_S: f64 = 7200.0;

/// Seconds between the looks at the light; it changes by a fifth of a stop in them at most, at the equator.
const LOOK_S: f64 = 30.0;

/// Points of the curve, at most; and the least seconds between two.
const CURVE: (usize, f64) = (720, 60.0);

/// What a run sheet is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Where.
    pub spot: Spot,
    /// What stands around it, where it was surveyed; else the spot's flat skyline counts.
    pub skyline: Option<Skyline>,
    /// What for.
    pub shot: Shot,
    /// The civil date at the spot, from its first moment to the first of the next.
    pub day: Span,
    /// Evening or morning.
    pub part: Part,
    /// Cloud, lamps, and what the exposure is to hold.
    pub conditions: Conditions,
    /// What was metered so far.
    pub readings: Vec<Reading>,
    /// What the spot has taught on evenings before.
    pub lesson: Option<Lesson>,
    /// Dial rows are wanted from this moment on, when it is later than the arrival.
    pub from: Option<Instant>,
    /// The change of light that makes a row, within [`STEP`].
    pub step: Stops,
    /// The limits of the golden and the blue hour.
    pub hours: Hours,
}

/// A moment of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// When.
    pub at: Instant,
    /// How bright.
    pub light: Estimate,
    /// Geometric altitude of the sun.
    pub sun_altitude: Angle,
}

/// An evening or a morning, line by line.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSheet {
    /// Evening or morning.
    pub part: Part,
    /// From the first row to the last.
    pub span: Span,
    /// In order of time.
    pub rows: Vec<Row>,
    /// The row that the arrival of an evening and the leaving of a morning are counted from; the lowest light where
    /// there is nothing to arrive for.
    pub anchor: Kind,
    /// The light through the span.
    pub curve: Vec<Sample>,
    /// The light at any moment, and what the readings say of it.
    pub light: Forecast,
    /// When sky and lamps are equal, if they come to be.
    pub balance: Option<Balance>,
    /// Altitudes of the sheet's events that the sun does not cross.
    pub polar: Vec<Uncrossed>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// What to see to for the settings of the rows.
    pub checklist: Vec<Steadiness>,
}

impl RunSheet {
    /// The sheet for a plan.
    ///
    /// # Errors
    /// More readings than a forecast takes, or a step out of its bounds: names `readings` or `stepStops`.
    pub fn new(plan: &Plan) -> Result<Self> {
        STEP.check(plan.step.count())?;
        let Plan { spot, part, .. } = plan;
        let desk = Desk::new(plan)?;
        let levels = levels(plan);
        // The first is the flat skyline.
        let levels = &levels[usize::from(plan.skyline.is_some())..];
        let altitudes: Vec<Angle> = levels.iter().map(|&(_, altitude)| altitude).collect();
        let mut events = events(levels, &crossings(&spot.place, desk.half.span, &altitudes), *part);
        if let Some(skyline) = &plan.skyline {
            events.append(&mut passages(skyline, &spot.place, desk.half));
        }
        let mut balances = desk.light.balances(desk.half.span).into_iter();
        let balance = balances.find(|balance| balance.falling != part.rising());
        let border = desk.border(&events);
        let anchor = border.map_or(desk.lowest(), |border| anchor(*part, &events, border, balance));
        let visit = desk.visit(border, anchor);

        let moments = events
            .into_iter()
            .chain(visit.iter().flat_map(Visit::moments))
            .chain([border.unwrap_or(desk.lowest())])
            .map(|moment| desk.row(moment, None));
        let balance_row = balance.map(|Balance { window, .. }| Row {
            end: Some(window.end()),
            ..desk.row(Moment { kind: Kind::Balance, at: window.start() }, None)
        });
        let at_work = visit.as_ref().map_or(desk.half.span, |visit| visit.at_work);
        let rows = in_order(moments.chain(balance_row).chain(desk.dials(at_work)));
        let arrival = visit.map(|visit| visit.be_there);
        let rows = at_the_camera(rows, arrival);
        let span = rows
            .first()
            .zip(rows.last())
            .map_or(desk.half.span, |(first, last)| Span::computed(first.at, last.at));
        Ok(Self {
            part: *part,
            span,
            checklist: checklist(spot, &rows),
            rows,
            anchor: anchor.kind,
            curve: desk.curve(span),
            balance,
            polar: uncrossed(&spot.place, desk.half.span, &altitudes),
            assumptions: assumptions(plan, border.is_none() && plan.conditions.scene.has_lamps()),
            light: desk.light,
        })
    }
}

/// Something that happens, and when.
#[derive(Debug, Clone, Copy)]
struct Moment {
    kind: Kind,
    at: Instant,
}

/// The altitudes of the sheet's events.
fn levels(plan: &Plan) -> [(Kind, Angle); 9] {
    let ([golden_high, golden_low], [blue_high, blue_low]) = (plan.hours.golden(), plan.hours.blue());
    let skyline = (Kind::Skyline, plan.spot.sun_behind_skyline());
    let twilights = [(Kind::Civil, CIVIL), (Kind::Nautical, NAUTICAL), (Kind::Astronomical, ASTRONOMICAL)];
    let (horizon, hours) = match plan.part {
        Part::Evening => (
            (Kind::Sunset, HORIZON),
            [
                (Kind::GoldenStart, golden_high),
                (Kind::GoldenEnd, golden_low),
                (Kind::BlueStart, blue_high),
                (Kind::BlueEnd, blue_low),
            ],
        ),
        Part::Morning => (
            (Kind::Sunrise, HORIZON),
            [
                (Kind::GoldenEnd, golden_high),
                (Kind::GoldenStart, golden_low),
                (Kind::BlueEnd, blue_high),
                (Kind::BlueStart, blue_low),
            ],
        ),
    };
    let [a, b, c, d] = hours;
    let [civil, nautical, astronomical] = twilights;
    [skyline, horizon, a, b, c, d, civil, nautical, astronomical]
}

/// The moments of those levels that the sun crosses the right way, in the order of the levels.
fn events(levels: &[(Kind, Angle)], crossings: &[Crossing], part: Part) -> Vec<Moment> {
    let event = |&(kind, altitude): &(Kind, Angle)| {
        let passed = |c: &&Crossing| c.altitude == altitude && c.rising == part.rising();
        crossings.iter().find(passed).map(|crossing| Moment { kind, at: crossing.at })
    };
    levels.iter().filter_map(event).collect()
}

/// When the sun goes behind a surveyed skyline for the night and shortly before, and when it shows in between; in the
/// morning the same in a mirror.
fn passages(skyline: &Skyline, place: &Place, HalfDay { part, span }: HalfDay) -> Vec<Moment> {
    let hidden = skyline.hidden(place, span, Body::Sun, Atmosphere::at(place.elevation()));
    let [out, back] = if part.rising() { [Kind::Gap, Kind::Skyline] } else { [Kind::Skyline, Kind::Gap] };
    let mut moments: Vec<Moment> = Vec::new();
    for hidden in &hidden {
        for (kind, at) in [(out, hidden.start()), (back, hidden.end())] {
            if at > span.start() && at < span.end() {
                moments.push(Moment { kind, at });
            }
        }
    }
    let night = if part.rising() { moments.first() } else { moments.last() };
    if let Some(&Moment { kind: Kind::Skyline, at: night }) = night {
        moments.retain(|moment| moment.at.seconds_after(night).abs() <= AROUND_NIGHT_S);
    } else {
        moments.clear();
    }
    moments
}

/// What an evening starts with, the first of all that happens, or what a morning closes with, the last.
fn anchor(part: Part, events: &[Moment], border: Moment, balance: Option<Balance>) -> Moment {
    let balance = balance.map(|Balance { window, .. }| {
        let at = if part.rising() { window.end() } else { window.start() };
        Moment { kind: Kind::Balance, at }
    });
    let outer = |one: Moment, other: Moment| {
        let further = if part.rising() { other.at > one.at } else { other.at < one.at };
        if further { other } else { one }
    };
    events.iter().copied().chain(balance).fold(border, outer)
}

/// When to go, when to be there, and between which moments there is something to dial.
struct Visit {
    set_out: Instant,
    be_there: Instant,
    at_work: Span,
}

impl Visit {
    /// From the moment that an evening starts with or a morning closes with, and the border of the useful light.
    fn new(spot: &Spot, part: Part, outermost: Instant, border: Instant) -> Self {
        let set_up = spot.set_up.as_secs_f64();
        let first_frame = match part {
            Part::Evening => outermost,
            Part::Morning => border,
        };
        let be_there = first_frame.plus_seconds(-set_up);
        let at_work = match part {
            Part::Evening => Span::computed(be_there, border),
            Part::Morning => Span::computed(border, outermost.plus_seconds(set_up)),
        };
        Self { set_out: be_there.plus_seconds(-spot.walk.as_secs_f64()), be_there, at_work }
    }

    fn moments(&self) -> [Moment; 2] {
        [Moment { kind: Kind::SetOut, at: self.set_out }, Moment { kind: Kind::BeThere, at: self.be_there }]
    }
}

/// What the sheet is worked out with.
struct Desk<'a> {
    plan: &'a Plan,
    half: HalfDay,
    light: Forecast,
    track: LightTrack,
}

impl<'a> Desk<'a> {
    fn new(plan: &'a Plan) -> Result<Self> {
        let Spot { place, lens_bearing, walk, set_up, .. } = &plan.spot;
        let half = HalfDay::of(place, plan.day, plan.part);
        // Setting out may come long before the half day, packing up a little after.
        let reach = Span::computed(
            half.span.start().plus_seconds(-(*walk + *set_up).as_secs_f64()),
            half.span.end().plus_seconds(set_up.as_secs_f64()),
        );
        let prior = Prior::new(plan.conditions.scene, plan.lesson.clone(), plan.day.start());
        Ok(Self {
            plan,
            half,
            light: Forecast::at_spot(*place, *lens_bearing, plan.conditions, &plan.readings, prior)?,
            track: LightTrack::over(*place, reach),
        })
    }

    fn lowest(&self) -> Moment {
        Moment { kind: Kind::LowestLight, at: self.half.darkest() }
    }

    /// Where the useful light ends or begins; none where the sky never adds anything to the lamps.
    fn border(&self, events: &[Moment]) -> Option<Moment> {
        let kind = match self.half.part {
            Part::Evening => Kind::LightEnds,
            Part::Morning => Kind::LightBegins,
        };
        // Where sky and lamps together exceed the lamps by the least gain.
        let threshold = Stops::from_factor(LEAST_GAIN.factor() - 1.0).count();
        let at = self.outward(|lights| self.light.sky_over_lamps_under(&lights.sun).mean - threshold)?;
        if at != self.half.darkest() {
            return Some(Moment { kind, at });
        }
        let astronomical = events.iter().find(|event| event.kind == Kind::Astronomical);
        Some(astronomical.map_or(self.lowest(), |&Moment { at, .. }| Moment { kind, at }))
    }

    /// When somebody is to be there; none where no hour is better than another.
    fn visit(&self, border: Option<Moment>, anchor: Moment) -> Option<Visit> {
        let outermost = if anchor.kind == Kind::LowestLight {
            let lowest = self.light.under(&self.track.at(anchor.at)).ev;
            let change = |lights: &Lights| (self.light.under(lights).ev - lowest).count().abs();
            self.outward(|lights| change(lights) - AROUND_LOWEST.count())?
        } else {
            anchor.at
        };
        Some(Visit::new(&self.plan.spot, self.half.part, outermost, border?.at))
    }

    /// The first moment, from the darkest towards the light, at which a value is above zero; none where it never is.
    fn outward(&self, value: impl Fn(&Lights) -> f64) -> Option<Instant> {
        let darkest = self.half.darkest();
        let way = self.half.span.seconds() * if self.half.part.rising() { 1.0 } else { -1.0 };
        let value = |s: f64| value(&self.track.at(darkest.plus_seconds(s)));
        if value(0.0) > 0.0 {
            return Some(darkest);
        }
        math::crossings(0.0, way, LOOK_S, 0.1, value).next().map(|s| darkest.plus_seconds(s))
    }

    /// A row for a moment, and for the brightness that it stands for, if it does.
    fn row(&self, Moment { kind, at }: Moment, level: Option<Ev>) -> Row {
        let lights = self.track.at(at);
        let found = self.light.under(&lights);
        let light = Estimate { ev: level.unwrap_or(found.ev), ..found };
        Row { kind, at, end: None, sun: lights.sun, light, setting: Some(self.plan.shot.dial(light.ev)) }
    }

    /// The rows for the moments at work at which the light passes a multiple of the step, and for the one from
    /// which they are wanted when that is later than the arrival.
    fn dials(&self, at_work: Span) -> Vec<Row> {
        let (arrival, end) = (at_work.start(), at_work.end());
        let start = self.plan.from.filter(|&from| from > arrival).unwrap_or(arrival);
        if start >= end {
            return Vec::new();
        }
        let row = |at, level| self.row(Moment { kind: Kind::Dial, at }, level);
        let mut found = Vec::from_iter((start > arrival).then(|| row(start, None)));
        let steps = |s: f64| {
            let light = self.light.under(&self.track.at(start.plus_seconds(s)));
            light.ev.value() / self.plan.step.count()
        };
        let first = steps(0.0);
        let (mut below, mut above) = (first.ceil() - 1.0, first.floor() + 1.0);
        let mut before = 0.0;
        while before < end.seconds_after(start) {
            let after = (before + LOOK_S).min(end.seconds_after(start));
            let level = steps(after);
            let passed = if level <= below {
                below
            } else if level >= above {
                above
            } else {
                before = after;
                continue;
            };
            // The same stretch is looked at again, as a fine step may be passed twice in it.
            before = root(before, after, 0.01, |s| steps(s) - passed);
            // The very level, so that no error of the root decides between two marks.
            let level = Ev::at_iso_100(passed * self.plan.step.count());
            found.push(row(start.plus_seconds(before), Some(level)));
            (below, above) = (passed - 1.0, passed + 1.0);
        }
        found
    }

    fn curve(&self, span: Span) -> Vec<Sample> {
        let (most, least_s) = CURVE;
        let step = (span.seconds() / most as f64).max(least_s);
        let count = (span.seconds() / step).ceil() as usize;
        (0..=count)
            .map(|i| {
                let at = span.start().plus_seconds((i as f64 * step).min(span.seconds()));
                let lights = self.track.at(at);
                Sample { at, light: self.light.under(&lights), sun_altitude: lights.sun.altitude }
            })
            .collect()
    }
}

fn assumptions(plan: &Plan, lamps_only: bool) -> Vec<Assumption> {
    let unread = plan.readings.is_empty() && plan.lesson.is_none();
    let scene = plan.conditions.scene;
    let guessed = unread && scene.has_lamps() && !matches!(scene, Scene::Lit(_));
    [
        Some(if plan.skyline.is_some() { Assumption::SurveyedSkyline } else { Assumption::FlatSkyline }),
        Some(Assumption::StandardAir),
        Some(Assumption::SteadyCloud),
        Some(Assumption::EvenMoonlight),
        Some(Assumption::HoursByPractice),
        unread.then_some(Assumption::NoReadings),
        guessed.then_some(Assumption::LampsGuessed),
        lamps_only.then_some(Assumption::LampsOnly),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// By time; what happens at once stays in the order given.
fn in_order(rows: impl Iterator<Item = Row>) -> Vec<Row> {
    let mut ordered: Vec<Row> = Vec::new();
    for row in rows {
        let place = ordered.partition_point(|earlier| earlier.at <= row.at);
        ordered.insert(place, row);
    }
    ordered
}

/// With nothing to dial before the arrival, if there is one.
fn at_the_camera(mut rows: Vec<Row>, arrival: Option<Instant>) -> Vec<Row> {
    for row in rows.iter_mut().filter(|row| arrival.is_some_and(|arrival| row.at < arrival)) {
        row.setting = None;
    }
    rows
}
