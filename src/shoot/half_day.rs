//! The evening and the morning of a date.

use crate::error::{Error, Result};
use crate::sky::events::{Transit, transits};
use crate::sky::place::Place;
use crate::units::{Instant, Span};

/// Which way the light goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The light falls.
    Evening,
    /// The light rises.
    Morning,
}

impl Part {
    /// From `evening` or `morning`.
    ///
    /// # Errors
    /// Any other word: names `part`.
    pub fn from_word(word: &str) -> Result<Self> {
        match word {
            "evening" => Ok(Self::Evening),
            "morning" => Ok(Self::Morning),
            _ => Err(Error::unknown("part", word, &["evening", "morning"])),
        }
    }

    /// The word it is read from.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Evening => "evening",
            Self::Morning => "morning",
        }
    }

    /// Whether the sun climbs through it.
    pub const fn rising(self) -> bool {
        matches!(self, Self::Morning)
    }
}

/// The half of a solar day that an evening or a morning is.
///
/// The evening of a date begins at the solar noon of that civil date and ends at the solar midnight after, which may
/// be long past twelve by the clock. The morning begins at the solar midnight before and ends at the same noon.
/// So an evening is one piece wherever clocks put midnight, and so is a polar night.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfDay {
    /// Which half.
    pub part: Part,
    /// From noon to midnight, or from midnight to noon.
    pub span: Span,
}

impl HalfDay {
    /// The evening or morning at a place, of the civil date that the span `day` is.
    ///
    /// A date whose clocks leave no solar noon within it (they ran ahead of the sun across midnight) takes the
    /// nearest.
    pub fn of(place: &Place, day: Span, part: Part) -> Self {
        const AROUND_S: f64 = 1.5 * 86_400.0;
        let around = Span::computed(day.start().plus_seconds(-AROUND_S), day.end().plus_seconds(AROUND_S));
        let turns = transits(place, around);
        let middle = day.start().plus_seconds(0.5 * day.seconds());
        let from_middle = |turn: &&Transit| (!day.contains(turn.at), turn.at.seconds_after(middle).abs());
        let noon = turns
            .iter()
            .filter(|turn| turn.noon)
            .min_by(|a, b| from_middle(a).partial_cmp(&from_middle(b)).unwrap_or(std::cmp::Ordering::Equal))
            .map_or(middle, |noon| noon.at);
        let mut midnights = turns.iter().filter(|turn| !turn.noon).map(|turn| turn.at);
        let half_turn = |seconds| noon.plus_seconds(seconds);
        let span = match part {
            Part::Evening => {
                let midnight = midnights.find(|&at| at > noon).unwrap_or_else(|| half_turn(43_200.0));
                Span::computed(noon, midnight)
            }
            Part::Morning => {
                let midnight = midnights.rfind(|&at| at < noon).unwrap_or_else(|| half_turn(-43_200.0));
                Span::computed(midnight, noon)
            }
        };
        Self { part, span }
    }

    /// The moment of least light: solar midnight.
    pub const fn darkest(&self) -> Instant {
        match self.part {
            Part::Evening => self.span.end(),
            Part::Morning => self.span.start(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(start_ms: f64, hours: f64) -> Span {
        let start = Instant::from_epoch_ms(start_ms).unwrap();
        Span::new(start, start.plus_seconds(hours * 3600.0)).unwrap()
    }

    /// 2031-06-10T00:00 UTC.
    const MIDNIGHT_MS: f64 = 1_938_902_400_000.0;

    #[test]
    fn morning_and_evening_of_a_date_meet_at_its_noon() {
        let place = Place::new(47.0, -30.0, 0.0).unwrap();
        let date = day(MIDNIGHT_MS + 2.0 * 3.6e6, 24.0);
        let (morning, evening) =
            (HalfDay::of(&place, date, Part::Morning), HalfDay::of(&place, date, Part::Evening));
        assert_eq!(morning.span.end(), evening.span.start());
        assert!(date.contains(evening.span.start()));
        for half in [morning, evening] {
            assert!((half.span.seconds() - 43_200.0).abs() < 60.0);
        }
        // Noon at 30° W: 12:00 and two hours, less the equation of time of under a minute in this week.
        let noon_h = (evening.span.start().epoch_ms() - MIDNIGHT_MS) / 3.6e6;
        assert!((noon_h - 14.0).abs() < 0.05, "{noon_h}");
        assert_eq!((evening.darkest(), morning.darkest()), (evening.span.end(), morning.span.start()));
    }

    #[test]
    fn an_evening_runs_past_midnight_where_clocks_are_ahead_of_the_sun() {
        // Clocks three hours ahead of the sun: noon at 15 h, solar midnight at 3 h of the next date.
        let place = Place::new(60.0, 0.0, 0.0).unwrap();
        let date = day(MIDNIGHT_MS - 3.0 * 3.6e6, 24.0);
        let evening = HalfDay::of(&place, date, Part::Evening).span;
        assert!(date.contains(evening.start()) && evening.end().seconds_after(date.end()) > 2.5 * 3600.0);
    }

    #[test]
    fn every_date_has_one_noon_whatever_the_zone_and_the_length_of_the_day() {
        // Almost on the other side of the globe from Greenwich: the sun is 11.99 h ahead of UTC.
        const SUN_AHEAD_H: f64 = 179.9 / 15.0;
        let place = Place::new(0.0, 179.9, 0.0).unwrap();
        for hours_ahead in -12..=14 {
            for length in [23.0, 24.0, 25.0] {
                let date = day(MIDNIGHT_MS - f64::from(hours_ahead) * 3.6e6, length);
                let noon = HalfDay::of(&place, date, Part::Evening).span.start();
                let solar_h = (noon.epoch_ms() - MIDNIGHT_MS) / 3.6e6 + SUN_AHEAD_H;
                // The equation of time is under a minute in this week.
                assert!(
                    ((solar_h - 12.0 + 6.0).rem_euclid(24.0) - 6.0).abs() < 0.02,
                    "{hours_ahead}: {solar_h}"
                );
                // Clocks within ten hours of the sun keep its noon on their date.
                if (f64::from(hours_ahead) - SUN_AHEAD_H).abs() < 10.0 {
                    assert!(date.contains(noon), "{hours_ahead} {length}");
                }
            }
        }
    }
}
