//! The brightness of a scene at any moment, with its band, and the moment when sky and lamps balance.

use super::fit::{Fit, Seen};
use super::normal::Normal;
use super::reading::Reading;
use super::scene::Conditions;
use super::sight::Sight;
use crate::error::{Bounds, Result};
use crate::math::root;
use crate::sky::place::Place;
use crate::sky::sun::{self, SunPosition};
use crate::sky::track::Track;
use crate::units::{Angle, Bearing, Ev, Instant, Span};

/// How many readings one evening may have.
pub const READINGS: Bounds = Bounds::new("readings", 0.0, 100.0, "");

/// Stops that sky and lamps may differ by and still be in balance: a range that one exposure holds without either
/// looking burnt or drowned (common practice, no source).
pub const IN_BALANCE_STOPS: f64 = 1.0;

/// Seconds between the looks for a balance. The sky falls or rises by two stops in them, hardly more, and never both.
const LOOK_S: f64 = 300.0;

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

/// The moment when the sky has fallen to the lamps, or in the morning risen to them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// When both are likeliest equal.
    pub at: Instant,
    /// Whether the sky was falling.
    pub falling: bool,
    /// Geometric altitude of the sun then.
    pub sun_altitude: Angle,
    /// While the two are likeliest within [`IN_BALANCE_STOPS`] of each other.
    pub window: Span,
    /// While the middle 80 % of what the lead may be holds zero: how sure `at` is. Never beyond the span asked about.
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
#[derive(Debug, Clone)]
pub struct Forecast {
    place: Place,
    lens: Bearing,
    conditions: Conditions,
    fit: Fit,
}

impl Forecast {
    /// From what is usual under the conditions and the readings of this evening, or of this morning.
    ///
    /// # Errors
    /// More than 100 readings: names `readings`.
    pub fn new(place: Place, lens: Bearing, conditions: Conditions, readings: &[Reading]) -> Result<Self> {
        READINGS.check(readings.len() as f64)?;
        let unread = Fit::new(&conditions.usual(), conditions.intent, &[]);
        let mut forecast = Self { place, lens, conditions, fit: unread };
        let seen: Vec<Seen> = readings
            .iter()
            .map(|&Reading { at, ev, intent }| Seen { sight: forecast.sight_at(at), ev, intent })
            .collect();
        forecast.fit = Fit::new(&conditions.usual(), conditions.intent, &seen);
        Ok(forecast)
    }

    /// Sky and lamps together at a moment.
    pub fn at(&self, at: Instant) -> Estimate {
        self.fit.ev(&self.sight_at(at)).into()
    }

    /// The same where the sun's position is already known.
    pub fn under(&self, sun: &SunPosition) -> Estimate {
        self.fit.ev(&self.sight(sun)).into()
    }

    /// The sky alone at a moment.
    pub fn sky_at(&self, at: Instant) -> Estimate {
        self.fit.sky(&self.sight_at(at)).into()
    }

    /// The lamps alone, at any moment.
    pub fn floor(&self) -> Estimate {
        self.fit.belief().floor().into()
    }

    /// How many stops the sky outshines the lamps by at a moment; negative once it is the darker.
    pub fn sky_over_lamps(&self, at: Instant) -> Normal {
        self.fit.sky_over_lamps(&self.sight_at(at))
    }

    /// The same where the sun's position is already known.
    pub fn sky_over_lamps_under(&self, sun: &SunPosition) -> Normal {
        self.fit.sky_over_lamps(&self.sight(sun))
    }

    /// What the readings have taught of the offset, the shape and the floor.
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// Every balance of sky and lamps within the span, in order of time: one in an evening, one in a morning,
    /// none where the lamps win by day or the sky by night.
    pub fn balances(&self, span: Span) -> Vec<Balance> {
        let track = Track::over(span);
        let sun = |at| track.position(&self.place, at);
        let lead = |at| self.sky_over_lamps_under(&sun(at));
        let past_window = |at| lead(at).mean.abs() - IN_BALANCE_STOPS;
        let past_doubt = |at| {
            let lead = lead(at);
            lead.mean.abs() - lead.half_band()
        };
        let looks: Vec<Instant> = looks(span.start(), span.end()).collect();
        let leads: Vec<f64> = looks.iter().map(|&at| lead(at).mean).collect();
        let mut found = Vec::new();
        for (moments, leads) in looks.windows(2).zip(leads.windows(2)) {
            if (leads[0] > 0.0) != (leads[1] > 0.0) {
                let at = crossing(moments[0], moments[1], |at| lead(at).mean);
                found.push(Balance {
                    at,
                    falling: leads[0] > 0.0,
                    sun_altitude: sun(at).altitude,
                    window: around(at, span, past_window),
                    likely: around(at, span, past_doubt),
                });
            }
        }
        found
    }

    fn sight_at(&self, at: Instant) -> Sight {
        self.sight(&sun::position(&self.place, at))
    }

    fn sight(&self, sun: &SunPosition) -> Sight {
        Sight::new(sun.altitude, self.lens - sun.azimuth, self.conditions.cloud)
    }
}

/// Moments from one to another, either way in time, both included.
fn looks(from: Instant, to: Instant) -> impl Iterator<Item = Instant> {
    let seconds = to.seconds_after(from);
    let count = (seconds.abs() / LOOK_S).ceil() as usize;
    let look = move |i| from.plus_seconds(seconds.signum() * (i as f64 * LOOK_S).min(seconds.abs()));
    (0..=count).map(look)
}

/// The moment between two at which a changing value passes zero, to 10 ms.
fn crossing(from: Instant, to: Instant, value: impl Fn(Instant) -> f64) -> Instant {
    from.plus_seconds(root(0.0, to.seconds_after(from), 0.01, |s| value(from.plus_seconds(s))))
}

/// The part of the span around a moment in which a value stays below zero.
fn around(at: Instant, span: Span, value: impl Fn(Instant) -> f64) -> Span {
    let edge = |limit| {
        let mut inside = at;
        for next in looks(at, limit) {
            if value(next) > 0.0 {
                return crossing(inside, next, &value);
            }
            inside = next;
        }
        inside
    };
    Span::computed(edge(span.start()), edge(span.end()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::scene::{Cloud, Intent, Scene};

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
        let lead = |at| light.sky_over_lamps(at).mean;
        // Where two cubics of the illuminance meet the curve has a step of up to 0.0143 stop.
        assert!(lead(balance.at).abs() < 0.015);
        assert!((lead(balance.window.start()) - 1.0).abs() < 0.015);
        assert!((lead(balance.window.end()) + 1.0).abs() < 0.015);
        assert!(((light.at(balance.at).ev - light.floor().ev).count() - 1.0).abs() < 0.015);
        let early = light.sky_over_lamps(balance.likely.start());
        assert!((early.mean - early.half_band()).abs() < 0.015);
    }

    #[test]
    fn a_night_reading_of_the_lamps_makes_the_balance_surer() {
        let unread = light(270.0, Scene::Street, &[]);
        let at = |hours: f64| Instant::from_epoch_ms(NOON_MS + hours * 3.6e6).unwrap();
        let readings: Vec<Reading> = [(7.9, 9.0), (12.0, 5.5)]
            .iter()
            .map(|&(hours, ev)| Reading::new(at(hours), ev, Intent::Frame).unwrap())
            .collect();
        let read = light(270.0, Scene::Street, &readings);
        let minutes = |light: &Forecast| light.balances(hours(2.0, 14.0))[0].likely.seconds() / 60.0;
        assert!(minutes(&read) < 0.5 * minutes(&unread), "{} of {}", minutes(&read), minutes(&unread));
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
    fn more_readings_than_a_night_can_have_are_refused() {
        let reading = Reading::new(Instant::from_epoch_ms(NOON_MS).unwrap(), 12.0, Intent::Sky).unwrap();
        let place = Place::new(44.0, -30.0, 0.0).unwrap();
        let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Street, intent: Intent::Sky };
        let refused =
            Forecast::new(place, Bearing::from_degrees(0.0), conditions, &vec![reading; 101]).unwrap_err();
        assert_eq!(refused.to_string(), "readings: 101 is outside 0 to 100");
    }
}
