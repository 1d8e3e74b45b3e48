//! The brightness of a scene at any moment, with its band, and the moment when sky and lamps balance.

use super::backdrop::Backdrop;
use super::fit::{Fit, Seen};
use super::lesson::{Lesson, Prior};
use super::moonlight::{LightTrack, Lights};
use super::normal::Normal;
use super::reading::Reading;
use super::scene::Conditions;
use crate::error::{Bounds, Result};
use crate::math::crossings;
use crate::sky::place::Place;
use crate::sky::sun::SunPosition;
use crate::sky::track::Track;
use crate::units::{Angle, Bearing, Ev, Instant, Span, Stops};

/// How many readings one evening may have.
pub const READINGS: Bounds = Bounds::new("readings", 0.0, 100.0, "");

/// Stops that sky and lamps may differ by and still be in balance: a range that one exposure holds without either
/// looking burnt or drowned (common practice, no source).
pub const IN_BALANCE_STOPS: f64 = 1.0;

/// The lamps count as known when their band reaches no farther than this to either side, stops: by a dial's two thirds
/// either way a picture can still be saved. A judgement of this project.
const KNOWN_STOPS: f64 = 0.7;

/// Seconds between the looks for a balance: the sky changes by a stop in them at most, and what is in balance spans two.
const LOOK_S: f64 = 120.0;

/// An EV at ISO 100 with the band that should hold four cases in five.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The likeliest value.
    pub ev: Ev,
    /// The band's lower end.
    pub low: Ev,
    /// The band's upper end.
    pub high: Ev,
}

impl From<Normal> for Estimate {
    fn from(normal: Normal) -> Self {
        let (ev, half) = (normal.mean, normal.half_band());
        Self { ev: Ev::at_iso_100(ev), low: Ev::at_iso_100(ev - half), high: Ev::at_iso_100(ev + half) }
    }
}

/// What the readings say, as facts to be put in words.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Findings {
    /// How many stops the sky, exposed for the intent, is brighter than it usually is here; negative when darker.
    pub brighter: Normal,
    /// The lamps alone.
    pub floor: Estimate,
    /// Whether the lamps' band is narrow enough to call them known, less than 0.7 stop either way; else they are guessed.
    pub floor_known: bool,
    /// How many evenings before taught the spot.
    pub evenings: f64,
}

/// A time when sky and lamps are about equally bright.
///
/// Mostly the sky passes the lamps in it. In a bright night it may only come near them, and in a dark noon they may
/// only come near it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// When both are likeliest equal, the first time if they are so more than once; when they are not, the time when
    /// they come closest, to two minutes.
    pub at: Instant,
    /// How many stops the sky likeliest outshines the lamps by then; zero where it passes them.
    pub lead: Stops,
    /// Whether the sky was falling against the lamps, from the window's start to its end.
    pub falling: bool,
    /// Geometric altitude of the sun at the moment.
    pub sun_altitude: Angle,
    /// While the two are likeliest within [`IN_BALANCE_STOPS`] of each other.
    pub window: Span,
    /// While the middle 80 % of what the lead may be holds zero: how sure `at` is. Never beyond the span asked about;
    /// just `at` where they are as good as sure not to be equal.
    pub likely: Span,
}

/// The light at a place through a lens's direction, for one intent.
///
/// ```
/// use duskbook::light::{forecast::Forecast, scene::{Cloud, Conditions, Intent, Scene}};
/// use duskbook::{sky::place::Place, units::{Bearing, Instant}};
/// # fn main() -> duskbook::error::Result<()> {
/// let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Skyline, intent: Intent::Frame };
/// let light = Forecast::new(Place::new(44.0, -30.0, 0.0)?, Bearing::given(280.0)?, conditions, &[])?;
/// let night = light.at(Instant::from_epoch_ms(1_930_964_400_000.0)?); // 2031-03-11T01:00
/// assert!((night.ev - light.floor().ev).count().abs() < 0.01);
/// assert!(night.low < night.ev && night.ev < night.high);
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    place: Place,
    lens: Bearing,
    conditions: Conditions,
    prior: Prior,
    fit: Fit,
    last_read: Option<Instant>,
}

impl Forecast {
    /// From what is usual under the conditions and the readings of this evening, or of this morning.
    ///
    /// # Errors
    /// More than 100 readings: names `readings`.
    pub fn new(place: Place, lens: Bearing, conditions: Conditions, readings: &[Reading]) -> Result<Self> {
        Self::at_spot(place, lens, conditions, readings, Prior::usual(conditions.scene))
    }

    /// The same, where the spot may have taught something before.
    ///
    /// # Errors
    /// More than 100 readings: names `readings`.
    pub fn at_spot(
        place: Place,
        lens: Bearing,
        conditions: Conditions,
        readings: &[Reading],
        prior: Prior,
    ) -> Result<Self> {
        READINGS.check(readings.len() as f64)?;
        let seen: Vec<Seen> = readings
            .iter()
            .map(|&Reading { at, ev, intent }| {
                let backdrop = lit(lens, conditions, &lights(place, at));
                Seen { backdrop, ev, intent }
            })
            .collect();
        let fit = Fit::new(prior.belief(), &seen);
        let last_read = readings.iter().map(|reading| reading.at).reduce(|a, b| if b > a { b } else { a });
        Ok(Self { place, lens, conditions, prior, fit, last_read })
    }

    /// What the spot has taught by now, to be kept once the evening is over; none before anything was read there.
    pub fn lesson(&self) -> Option<Lesson> {
        self.last_read.map_or(self.prior.lesson(), |at| Some(self.prior.taught(self.fit.belief(), at)))
    }

    /// What the readings say of the evening.
    pub fn findings(&self) -> Findings {
        let offset = self.fit.belief().offset(self.conditions.intent);
        let usual = self.prior.belief().offset(self.conditions.intent);
        Findings {
            brighter: Normal::new(offset.mean - usual.mean, offset.sd),
            floor: self.floor(),
            floor_known: self.fit.belief().floor().half_band() < KNOWN_STOPS,
            evenings: self.prior.evenings(),
        }
    }

    /// Sky, moonlight included, and lamps together at a moment.
    pub fn at(&self, at: Instant) -> Estimate {
        self.under(&lights(self.place, at))
    }

    /// The same where sun and moonlight are already known.
    pub fn under(&self, lights: &Lights) -> Estimate {
        self.fit.ev(&lit(self.lens, self.conditions, lights), self.conditions.intent).into()
    }

    /// The sky alone at a moment.
    pub fn sky_at(&self, at: Instant) -> Estimate {
        let backdrop = lit(self.lens, self.conditions, &lights(self.place, at));
        self.fit.sky(&backdrop, self.conditions.intent).into()
    }

    /// The lamps alone, at any moment.
    pub fn floor(&self) -> Estimate {
        self.fit.belief().floor().into()
    }

    /// How many stops the sun's sky in the frame outshines the lamps by, whatever the exposure is to hold; negative once it
    /// is the darker. Moonlight is left out.
    pub fn sky_over_lamps_under(&self, sun: &SunPosition) -> Normal {
        self.fit.sky_over_lamps(&backdrop(self.lens, self.conditions, sun))
    }

    /// What the readings have taught of the offset, the shape and the floor.
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// Every balance of sky and lamps within the span, in order of time, the same for every intent: one in an evening,
    /// one in a morning, none where either outshines the other throughout, and none without lamps.
    ///
    /// A span that ends while the two are close has the balance of what it holds of that time.
    pub fn balances(&self, span: Span) -> Vec<Balance> {
        if !self.conditions.scene.has_lamps() {
            return Vec::new();
        }
        let track = Track::over(span);
        let sun = |at| track.position(&self.place, at);
        let lead = |at| self.sky_over_lamps_under(&sun(at));
        let past_doubt = |at| {
            let lead = lead(at);
            lead.mean.abs() - lead.half_band()
        };
        let windows = stretches(span, &|at| lead(at).mean.abs() - IN_BALANCE_STOPS);
        let balance = |window: Span| {
            let at = meeting(window, &|at| lead(at).mean);
            Balance {
                at,
                lead: Stops::new(lead(at).mean),
                falling: lead(window.start()).mean > lead(window.end()).mean,
                sun_altitude: sun(at).altitude,
                window,
                likely: around(at, span, &past_doubt),
            }
        };
        windows.into_iter().map(balance).collect()
    }
}

fn lights(place: Place, at: Instant) -> Lights {
    LightTrack::over(place, Span::computed(at, at)).at(at)
}

fn lit(lens: Bearing, conditions: Conditions, lights: &Lights) -> Backdrop {
    backdrop(lens, conditions, &lights.sun).with_moonlight(lights.moonlight, conditions.cloud)
}

fn backdrop(lens: Bearing, conditions: Conditions, sun: &SunPosition) -> Backdrop {
    Backdrop::new(sun.altitude, lens - sun.azimuth, conditions.cloud)
}

/// The parts of the span in which a value stays between two others, however short; the value may not turn back within
/// two minutes.
pub(crate) fn between(span: Span, low: f64, high: f64, value: &dyn Fn(Instant) -> f64) -> Vec<Span> {
    let mut bounds = vec![span.start()];
    for limit in [low, high] {
        for at in passages(span.start(), span.end(), &|at| value(at) - limit) {
            let place = bounds.partition_point(|&before| before <= at);
            bounds.insert(place, at);
        }
    }
    bounds.push(span.end());
    parts(&bounds, &|at| (low..=high).contains(&value(at)))
}

/// The moments on the way from one to another, either way in time, when a value passes zero, to 10 ms.
fn passages(from: Instant, to: Instant, value: &dyn Fn(Instant) -> f64) -> impl Iterator<Item = Instant> {
    let at = move |s| from.plus_seconds(s);
    crossings(0.0, to.seconds_after(from), LOOK_S, 0.01, move |s| value(at(s))).map(at)
}

/// The parts of the span in which a value stays below zero.
fn stretches(span: Span, value: &dyn Fn(Instant) -> f64) -> Vec<Span> {
    let mut bounds = vec![span.start()];
    bounds.extend(passages(span.start(), span.end(), value));
    bounds.push(span.end());
    parts(&bounds, &|at| value(at) < 0.0)
}

/// The parts between neighbouring moments in the middle of which something holds.
fn parts(bounds: &[Instant], holds: &dyn Fn(Instant) -> bool) -> Vec<Span> {
    let parts = bounds.windows(2).map(|ends| Span::computed(ends[0], ends[1]));
    parts.filter(|part| holds(part.start().plus_seconds(0.5 * part.seconds()))).collect()
}

/// The part of the span around a moment in which a value stays below zero; where it is above, the moment alone.
pub(crate) fn around(at: Instant, span: Span, value: &dyn Fn(Instant) -> f64) -> Span {
    if value(at) > 0.0 {
        return Span::computed(at, at);
    }
    let edge = |limit| passages(at, limit, value).next().unwrap_or(limit);
    Span::computed(edge(span.start()), edge(span.end()))
}

/// When a value first is zero in the window, or if it never is, when it is nearest to it.
fn meeting(window: Span, value: &dyn Fn(Instant) -> f64) -> Instant {
    if let Some(at) = passages(window.start(), window.end(), value).next() {
        return at;
    }
    let nearest = |a: &Instant, b: &Instant| value(*a).abs().total_cmp(&value(*b).abs());
    window.looks(LOOK_S).min_by(nearest).unwrap_or(window.start())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::scene::{Cloud, Intent, Scene};
    use crate::units::Illuminance;

    /// 2031-03-10T12:00, near the equinox; the place below has its solar noon about two hours later.
    const NOON_MS: f64 = 1_930_910_400_000.0;

    fn hours(from: f64, to: f64) -> Span {
        let at = |hours: f64| Instant::from_epoch_ms(NOON_MS + hours * 3.6e6).unwrap();
        Span::new(at(from), at(to)).unwrap()
    }

    fn light(bearing_deg: f64, scene: Scene, readings: &[Reading]) -> Forecast {
        let place = Place::new(44.0, -30.0, 0.0).unwrap();
        let conditions = Conditions { cloud: Cloud::Clear, scene, intent: Intent::Frame };
        Forecast::new(place, Bearing::from_degrees(bearing_deg), conditions, readings).unwrap()
    }

    #[test]
    fn an_evening_has_one_balance_and_a_morning_the_mirrored_one() {
        let light = light(180.0, Scene::Street, &[]);
        let evening = light.balances(hours(2.0, 14.0));
        let morning = light.balances(hours(-10.0, 2.0));
        let ([evening], [morning]) = (&evening[..], &morning[..]) else {
            panic!("{evening:?} {morning:?}");
        };
        assert!(evening.falling && !morning.falling);
        // The lens faces south, so east and west are alike; the day is short of the equinox by days only.
        let difference = evening.sun_altitude.degrees() - morning.sun_altitude.degrees();
        assert!(difference.abs() < 0.05, "{difference}");
    }

    #[test]
    fn at_the_balance_lamps_and_sky_are_equal_and_at_its_window_a_stop_apart() {
        let light = light(270.0, Scene::Floodlit, &[]);
        let [balance] = light.balances(hours(2.0, 14.0))[..] else { panic!("one balance") };
        let lead = |at| light.sky_over_lamps_under(&lights(light.place, at).sun);
        // Where two cubics of the illuminance meet the curve has a step of up to 0.0143 stop.
        assert!(lead(balance.at).mean.abs() < 0.015);
        assert!((lead(balance.window.start()).mean - 1.0).abs() < 0.015);
        assert!((lead(balance.window.end()).mean + 1.0).abs() < 0.015);
        let early = lead(balance.likely.start());
        assert!((early.mean - early.half_band()).abs() < 0.015);
    }

    #[test]
    fn a_night_reading_of_the_lamps_makes_the_balance_surer() {
        let unread = light(270.0, Scene::Street, &[]);
        let at = |hours: f64| Instant::from_epoch_ms(NOON_MS + hours * 3.6e6).unwrap();
        let readings: Vec<Reading> = [(7.9, 9.0), (12.0, 5.5)]
            .iter()
            .map(|&(hours, ev)| Reading::new(at(hours), ev, Intent::Sky).unwrap())
            .collect();
        let read = light(270.0, Scene::Street, &readings);
        let minutes = |light: &Forecast| light.balances(hours(2.0, 14.0))[0].likely.seconds() / 60.0;
        assert!(minutes(&read) < 0.7 * minutes(&unread), "{} of {}", minutes(&read), minutes(&unread));
    }

    #[test]
    fn a_span_that_ends_at_the_balance_cuts_its_window_there() {
        let light = light(270.0, Scene::Street, &[]);
        let [balance] = light.balances(hours(2.0, 14.0))[..] else { panic!("one balance") };
        let cut = Span::new(hours(2.0, 3.0).start(), balance.at.plus_seconds(30.0)).unwrap();
        let [shorter] = light.balances(cut)[..] else { panic!("still one") };
        assert_eq!(shorter.window.end(), cut.end());
        assert_eq!(shorter.likely.end(), cut.end());
    }

    #[test]
    fn a_moonless_night_keeps_one_brightness_however_far_the_sun_goes_round() {
        for bearing_deg in [0.0, 100.0, 280.0] {
            let light = light(bearing_deg, Scene::Lit(Ev::at_iso_100(-12.0)), &[]);
            let night = hours(9.75, 18.25);
            let evs: Vec<f64> = (0..=17)
                .map(|i| night.start().plus_seconds(1800.0 * f64::from(i)))
                .map(|at| Lights { moonlight: Illuminance::from_lux(0.0), ..lights(light.place, at) })
                .filter(|lights| lights.sun.altitude.degrees() < -18.0)
                .map(|lights| light.under(&lights).ev.value())
                .collect();
            assert!((12..=18).contains(&evs.len()), "{evs:?}");
            assert!(evs.iter().all(|ev| (ev - evs[0]).abs() < 1e-9), "{evs:?}");
        }
    }

    #[test]
    fn without_lamps_there_is_nothing_to_balance() {
        assert!(light(270.0, Scene::Unlit, &[]).balances(hours(2.0, 14.0)).is_empty());
        // The same light said to be lamps.
        let lit = light(270.0, Scene::Lit(Ev::at_iso_100(-6.0)), &[]);
        assert_eq!(lit.balances(hours(2.0, 14.0)).len(), 1);
    }

    #[test]
    fn the_balance_is_the_same_whatever_the_exposure_is_to_hold() {
        let at = |hours: f64| Instant::from_epoch_ms(NOON_MS + hours * 3.6e6).unwrap();
        let read = [(7.6, 8.0, Intent::Frame), (7.9, 9.5, Intent::Sky), (8.3, 5.5, Intent::Shadows)];
        let readings = read.map(|(hours, ev, intent)| Reading::new(at(hours), ev, intent).unwrap());
        for readings in [&readings[..0], &readings] {
            let balances = [Intent::Sky, Intent::Frame, Intent::Shadows, Intent::Highlights].map(|intent| {
                let place = Place::new(44.0, -30.0, 0.0).unwrap();
                let conditions = Conditions { cloud: Cloud::Thin, scene: Scene::Street, intent };
                let light = Forecast::new(place, Bearing::from_degrees(270.0), conditions, readings).unwrap();
                light.balances(hours(2.0, 14.0))
            });
            assert_eq!(balances[0].len(), 1);
            assert!(balances.iter().all(|balance| *balance == balances[0]), "{balances:?}");
        }
    }

    /// The lens to the west at 62° N, 20 June 2031: the sun sinks to −4.6°, at 22:02 UTC.
    fn bright_night(from: f64, to: f64) -> Vec<Balance> {
        const NIGHT_MS: f64 = 1_939_759_320_000.0;
        let place = Place::new(62.0, 30.0, 0.0).unwrap();
        let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Street, intent: Intent::Frame };
        let light = Forecast::new(place, Bearing::from_degrees(270.0), conditions, &[]).unwrap();
        let at = |hours: f64| Instant::from_epoch_ms(NIGHT_MS + hours * 3.6e6).unwrap();
        light.balances(Span::new(at(from), at(to)).unwrap())
    }

    #[test]
    fn a_sky_that_only_comes_near_the_lamps_balances_them_when_it_is_nearest() {
        let [night] = bright_night(-12.0, 12.0)[..] else { panic!("one balance in the night") };
        let lead = night.lead.count();
        assert!(lead > 0.2 && lead < 0.8, "{lead}");
        assert!(night.window.contains(night.at) && night.window.seconds() > 1800.0, "{night:?}");
        assert!(night.likely.start() < night.window.start() && night.window.end() < night.likely.end());
        // Each half of the night has the part of the balance that it holds.
        let ([evening], [morning]) = (&bright_night(-12.0, 0.0)[..], &bright_night(0.0, 12.0)[..]) else {
            panic!("one balance in each half")
        };
        assert!(evening.falling && !morning.falling);
        assert_eq!(evening.window.end(), morning.window.start());
        let apart = |a: Instant, b: Instant| a.seconds_after(b).abs();
        assert!(apart(evening.window.start(), night.window.start()) < 0.1);
        assert!(apart(morning.window.end(), night.window.end()) < 0.1);
        assert!(evening.at <= morning.at);
        assert!(evening.lead.count() - lead < 0.02 && morning.lead.count() - lead < 0.02);
    }

    #[test]
    fn lamps_that_only_a_bright_noon_comes_near_are_balanced_by_it() {
        let lead_at =
            |light: &Forecast, at: Instant| light.sky_over_lamps_under(&lights(light.place, at).sun).mean;
        let day = hours(-4.0, 8.0);
        let dim = light(0.0, Scene::Lit(Ev::at_iso_100(0.0)), &[]);
        let looks = (0..=720).map(|i| lead_at(&dim, day.start().plus_seconds(60.0 * f64::from(i))));
        let brightest = looks.fold(f64::MIN, f64::max);
        let lamps = light(0.0, Scene::Lit(Ev::at_iso_100(brightest + 0.5)), &[]);
        let [balance] = lamps.balances(day)[..] else { panic!("{:?}", lamps.balances(day)) };
        assert!((balance.lead.count() + 0.5).abs() < 0.02, "{balance:?}");
        let brighter = light(0.0, Scene::Lit(Ev::at_iso_100(brightest + 1.5)), &[]);
        assert!(brighter.balances(day).is_empty());
    }

    #[test]
    fn more_readings_than_a_night_can_have_are_refused() {
        let reading = Reading::new(Instant::from_epoch_ms(NOON_MS).unwrap(), 12.0, Intent::Sky).unwrap();
        let place = Place::new(44.0, -30.0, 0.0).unwrap();
        let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Street, intent: Intent::Sky };
        let refused =
            Forecast::new(place, Bearing::from_degrees(0.0), conditions, &vec![reading; 101]).unwrap_err();
        assert_eq!(refused.to_string(), "readings: 101 is outside 0 to 100");
    }
}
