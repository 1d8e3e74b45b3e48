//! The evening or the morning at a spot, line by line.
//!
//! # What stands on it
//! In the evening: set out, be there, the sun behind the skyline, sunset, the golden and the blue hour, the ends of the
//! twilights, the balance of sky and lamps, and a row with settings wherever the light has fallen by a step,
//! until it ends. The morning is its mirror image, read in time.
//!
//! # Arriving and leaving
//! An evening's first frame is the sun behind the skyline: from then on the light is even and falls fast. Where
//! that does not happen (the sun stays up, or never comes up), the first of the following that does:
//! sunset, the golden hour, the blue hour, the twilights; in a night without any, its darkest moment. Be there
//! is the set-up time before that, and set out the walk before that. In the morning the first frame is the first
//! useful light, and dialling goes on until the set-up time after the sun has cleared the skyline. Before one is
//! there, rows carry no settings.
//!
//! # Useful light
//! The light is over when the sky adds less than a third of a stop to the lamps, the least that a dial can answer;
//! at the latest at the end of astronomical twilight. In a bright night it does not end before solar midnight.
//!
//! # Dial rows
//! They stand on whole multiples of the step (EV 9.5, 9, 8.5, …) wherever the sheet starts, so that a reading or
//! a later start does not shift them all. The forecast may rise for a while as the sun moves into the lens's direction;
//! such steps are rows too.

use crate::error::{Bounds, Result};
use crate::light::forecast::{Balance, Estimate, Forecast};
use crate::light::reading::Reading;
use crate::light::scene::{Conditions, Scene};
use crate::math::root;
use crate::shoot::half_day::{HalfDay, Part};
use crate::shoot::hours::Hours;
use crate::shoot::row::{Kind, Row};
use crate::shoot::shot::Shot;
use crate::shoot::spot::Spot;
use crate::sky::events::{ASTRONOMICAL, CIVIL, Crossing, HORIZON, NAUTICAL, Uncrossed, crossings, uncrossed};
use crate::sky::sun::SunPosition;
use crate::sky::track::Track;
use crate::units::{Angle, Ev, Instant, Span, Stops};

/// The change of light that is worth a row.
pub const STEP: Bounds = Bounds::new("stepStops", 1.0 / 6.0, 3.0, " stops");

/// The least gain from the sky that a dial can answer.
const LEAST_GAIN: Stops = Stops::new(1.0 / 3.0);

/// Seconds between the looks at the light; it changes by less than a tenth of a stop in them.
const LOOK_S: f64 = 30.0;

/// How near a multiple of the step a dial row's light comes, EV: a second's fall, and the steps of the
/// illuminance where its cubics join.
const ON_STEP: f64 = 0.02;

/// Points of the curve, at most; and the least seconds between two.
const CURVE: (usize, f64) = (720, 60.0);

/// What a run sheet is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Where.
    pub spot: Spot,
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

/// What the sheet takes for granted, to be said beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assumption {
    /// The skyline has one altitude all round.
    FlatSkyline,
    /// A standard atmosphere bends the light.
    StandardAir,
    /// The cloud stays as it was chosen.
    SteadyCloud,
    /// The moon gives no light.
    NoMoonlight,
    /// The limits of the golden and the blue hour have no authority.
    HoursByPractice,
    /// Nothing was metered yet.
    NoReadings,
    /// How bright the lamps are was guessed from the kind of scene.
    LampsGuessed,
}

impl Assumption {
    /// Its word at the boundary.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FlatSkyline => "flat-skyline",
            Self::StandardAir => "standard-air",
            Self::SteadyCloud => "steady-cloud",
            Self::NoMoonlight => "no-moonlight",
            Self::HoursByPractice => "hours-by-practice",
            Self::NoReadings => "no-readings",
            Self::LampsGuessed => "lamps-guessed",
        }
    }
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
    /// The row that the arrival of an evening and the leaving of a morning are counted from.
    pub anchor: Kind,
    /// The light through the span.
    pub curve: Vec<Sample>,
    /// The lamps alone.
    pub floor: Estimate,
    /// When sky and lamps are equal, if they come to be.
    pub balance: Option<Balance>,
    /// Altitudes of the sheet's events that the sun does not cross.
    pub polar: Vec<Uncrossed>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
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
        let altitudes: Vec<Angle> = levels.iter().map(|&(_, altitude)| altitude).collect();
        let events = events(&levels, &crossings(&spot.place, desk.half.span, &altitudes), *part);
        let darkest = Moment { kind: Kind::LowestLight, at: desk.half.darkest() };
        let anchor = events.first().copied().unwrap_or(darkest);
        let border = desk.border(&events);
        let visit = Visit::new(spot, *part, anchor.at, border.unwrap_or(anchor).at);
        let mut balances = desk.light.balances(desk.half.span).into_iter();
        let balance = balances.find(|balance| balance.falling != part.rising());

        let moments = in_order(
            events
                .into_iter()
                .chain([
                    Moment { kind: Kind::SetOut, at: visit.set_out },
                    Moment { kind: Kind::BeThere, at: visit.be_there },
                ])
                .chain(border)
                .chain(balance.map(|balance| Moment { kind: Kind::Balance, at: balance.window.start() }))
                .chain(desk.dials(visit.at_work).into_iter().map(|at| Moment { kind: Kind::Dial, at })),
        );

        let window_end = balance.map(|balance| balance.window.end());
        let row = |moment: Moment| {
            let row = desk.row(moment);
            Row {
                end: window_end.filter(|_| moment.kind == Kind::Balance),
                setting: row.setting.filter(|_| moment.at >= visit.be_there),
                ..row
            }
        };
        let span = moments
            .first()
            .zip(moments.last())
            .map_or(desk.half.span, |(first, last)| Span::computed(first.at, last.at));
        Ok(Self {
            part: *part,
            span,
            rows: moments.into_iter().map(row).collect(),
            anchor: anchor.kind,
            curve: desk.curve(span),
            floor: desk.light.floor(),
            balance,
            polar: uncrossed(&spot.place, desk.half.span, &altitudes),
            assumptions: assumptions(plan),
        })
    }
}

/// Something that happens, and when.
#[derive(Debug, Clone, Copy)]
struct Moment {
    kind: Kind,
    at: Instant,
}

/// The altitudes of the sheet's events, those that an arrival is counted from first.
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

/// When to go, when to be there, and between which moments there is something to dial.
struct Visit {
    set_out: Instant,
    be_there: Instant,
    at_work: Span,
}

impl Visit {
    /// From the event that an evening starts with or a morning closes with, and the border of the useful light.
    fn new(spot: &Spot, part: Part, anchor: Instant, border: Instant) -> Self {
        let set_up = spot.set_up.as_secs_f64();
        let first_frame = match part {
            Part::Evening => anchor,
            Part::Morning => border,
        };
        let be_there = first_frame.plus_seconds(-set_up);
        let at_work = match part {
            Part::Evening => Span::computed(be_there, border),
            Part::Morning => Span::computed(border, anchor.plus_seconds(set_up)),
        };
        Self { set_out: be_there.plus_seconds(-spot.walk.as_secs_f64()), be_there, at_work }
    }
}

/// What the sheet is worked out with.
struct Desk<'a> {
    plan: &'a Plan,
    half: HalfDay,
    light: Forecast,
    track: Track,
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
        Ok(Self {
            plan,
            half,
            light: Forecast::new(*place, *lens_bearing, plan.conditions, &plan.readings)?,
            track: Track::over(reach),
        })
    }

    fn sun(&self, at: Instant) -> SunPosition {
        self.track.position(&self.plan.spot.place, at)
    }

    /// Where the useful light ends or begins; none where lamps outshine the day.
    fn border(&self, events: &[Moment]) -> Option<Moment> {
        let kind = match self.half.part {
            Part::Evening => Kind::LightEnds,
            Part::Morning => Kind::LightBegins,
        };
        let darkest = self.half.darkest();
        // Where sky and lamps together exceed the lamps by the least gain.
        let threshold = Stops::from_factor(LEAST_GAIN.factor() - 1.0).count();
        let lead = |s: f64| {
            let sun = self.sun(darkest.plus_seconds(s));
            self.light.sky_over_lamps_under(&sun).mean - threshold
        };
        // From the darkest moment towards the light.
        let step = if self.half.part.rising() { LOOK_S } else { -LOOK_S };
        let looks = (self.half.span.seconds() / LOOK_S).ceil() as usize;
        let lit = (0..=looks).find(|&i| lead(i as f64 * step) > 0.0)?;
        let met = (lit > 0).then(|| {
            let s = lit as f64 * step;
            darkest.plus_seconds(root(s - step, s, 0.1, lead))
        });
        let astronomical = events.iter().find(|event| event.kind == Kind::Astronomical).map(|event| event.at);
        // The lighter of the two: farther from the darkest moment.
        let from_darkest = |at: &Instant| at.seconds_after(darkest).abs();
        let border = [met, astronomical]
            .into_iter()
            .flatten()
            .max_by(|one, other| from_darkest(one).total_cmp(&from_darkest(other)));
        Some(border.map_or(Moment { kind: Kind::LowestLight, at: darkest }, |at| Moment { kind, at }))
    }

    fn row(&self, Moment { kind, at }: Moment) -> Row {
        let sun = self.sun(at);
        let mut light = self.light.under(&sun);
        if kind == Kind::Dial {
            light.ev = self.on_step(light.ev);
        }
        Row { kind, at, end: None, sun, light, setting: Some(self.plan.shot.dial(light.ev)) }
    }

    /// The multiple of the step that a moment was found for. Half-way between two marks of a dial the last bit of
    /// a search would decide, and the same light would be dialled one way today and the other tomorrow.
    fn on_step(&self, ev: Ev) -> Ev {
        let step = self.plan.step.count();
        let level = (ev.value() / step).round() * step;
        if (level - ev.value()).abs() < ON_STEP { Ev::at_iso_100(level) } else { ev }
    }

    /// The moments of a visit at which the light passes a multiple of the step, and its first one when that is
    /// later than the arrival.
    fn dials(&self, at_work: Span) -> Vec<Instant> {
        let (arrival, end) = (at_work.start(), at_work.end());
        let start = self.plan.from.filter(|&from| from > arrival).unwrap_or(arrival);
        if start >= end {
            return Vec::new();
        }
        let mut found = Vec::from_iter((start > arrival).then_some(start));
        let steps = |s: f64| {
            let light = self.light.under(&self.sun(start.plus_seconds(s)));
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
            found.push(start.plus_seconds(before));
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
                let sun = self.sun(at);
                Sample { at, light: self.light.under(&sun), sun_altitude: sun.altitude }
            })
            .collect()
    }
}

fn assumptions(plan: &Plan) -> Vec<Assumption> {
    let unread = plan.readings.is_empty();
    let guessed = unread && !matches!(plan.conditions.scene, Scene::Lit(_));
    [
        Some(Assumption::FlatSkyline),
        Some(Assumption::StandardAir),
        Some(Assumption::SteadyCloud),
        Some(Assumption::NoMoonlight),
        Some(Assumption::HoursByPractice),
        unread.then_some(Assumption::NoReadings),
        guessed.then_some(Assumption::LampsGuessed),
    ]
    .into_iter()
    .flatten()
    .collect()
}
/// By time; what happens at once stays in the order given.
fn in_order(moments: impl Iterator<Item = Moment>) -> Vec<Moment> {
    let mut ordered: Vec<Moment> = Vec::new();
    for moment in moments {
        let place = ordered.partition_point(|earlier| earlier.at <= moment.at);
        ordered.insert(place, moment);
    }
    ordered
}
