//! What bringing foreground and sky together at home will cost, and what would have been cheaper at the tripod.
//!
//! Two parts of a picture have mean levels x, shares of the white. The foreground is to end at a level that the reader
//! names, the sky so many stops above it: the one is lifted, the other held. A lift adds no light. What the
//! foreground has is its electrons, N = x · F · S₀ / S with F the full well at the sensor's base speed S₀ and S
//! the speed set, and its noise, √(N + r²) with the read noise r: photons arrive by Poisson's law and the reading adds
//! its own (textbook). The signal-to-noise ratio N / √(N + r²) stays the same through any lift, and the lifted
//! part looks as if it had been shot at the speed S · 2^lift. ISO 12232 calls a ratio of 40 excellent and of 10
//! acceptable (from memory).
//!
//! Cheaper would have been n stops more light: N · 2ⁿ. There is room for them down to the base speed, where the
//! picture looks the same and holds more light, and above that while the sky's brightest hundredth stays below the
//! white. Where the lift goes further, a second frame brings it: a bracket.
//!
//! # Limits
//! Levels are those of a developed picture, whose curve is not the sensor's: within a stop, as a rule. One pixel is
//! reckoned; a picture seen whole averages many. Read noise is taken to stay when the speed changes. Dark current,
//! pattern and what a denoiser does are left out.

use super::tones::{Counts, stops_from_grey};
use crate::error::{Bounds, Result};

/// Electrons that a pixel holds at base speed.
pub const FULL_WELL: Bounds = Bounds::new("fullWellE", 100.0, 10_000_000.0, " e⁻");

/// Noise of reading one pixel, electrons.
pub const READ_NOISE: Bounds = Bounds::new("readNoiseE", 0.0, 1000.0, " e⁻");

/// How much brighter the sky stays, and where the foreground is to end, stops.
pub const KEEP: Bounds = Bounds::new("keepStops", -10.0, 10.0, " stops");

/// See [`KEEP`].
pub const TARGET: Bounds = Bounds::new("targetStops", -10.0, 2.0, " stops");

/// Speeds.
pub const SPEED: Bounds = Bounds::new("iso", 1.0, 10_000_000.0, "");

/// A sensor by its user's own numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensor {
    full_well_e: f64,
    read_noise_e: f64,
    base_iso: f64,
    iso: f64,
}

impl Sensor {
    /// From the full well at base speed and the read noise, electrons, the base speed and the speed set.
    ///
    /// # Errors
    /// A number out of its range names `fullWellE`, `readNoiseE`, `baseIso` or `iso`.
    pub fn new(full_well_e: f64, read_noise_e: f64, base_iso: f64, iso: f64) -> Result<Self> {
        Ok(Self {
            full_well_e: FULL_WELL.check(full_well_e)?,
            read_noise_e: READ_NOISE.check(read_noise_e)?,
            base_iso: SPEED.check(base_iso).map_err(|refused| refused.in_field("baseIso"))?,
            iso: SPEED.check(iso)?,
        })
    }

    /// Electrons of a level that is a share of the white.
    pub fn electrons(&self, share: f64) -> f64 {
        share * self.full_well_e * self.base_iso / self.iso
    }

    /// Signal over noise of so many electrons.
    ///
    /// ```
    /// use duskbook::shoot::edit::Sensor;
    /// let sensor = Sensor::new(50_000.0, 3.0, 100.0, 100.0).unwrap();
    /// // 16 electrons: √(16 + 9) is 5 of noise.
    /// assert_eq!(sensor.signal_to_noise(16.0), 3.2);
    /// ```
    pub fn signal_to_noise(&self, electrons: f64) -> f64 {
        electrons / (electrons + self.read_noise_e * self.read_noise_e).sqrt()
    }

    /// Stops from the speed set down to the base speed.
    fn room(&self) -> f64 {
        (self.iso / self.base_iso).log2().max(0.0)
    }
}

/// What would have been best at the tripod.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Hardly any lift.
    Little,
    /// A lift that will not be seen: the foreground has light enough.
    Clean,
    /// One longer frame.
    Longer,
    /// A second frame for the foreground.
    Bracket,
}

impl Verdict {
    /// Its word for the page.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Little => "little",
            Self::Clean => "clean",
            Self::Longer => "longer",
            Self::Bracket => "bracket",
        }
    }
}

/// What the edit comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edit {
    /// The sky's mean, stops from middle grey.
    pub sky_stops: f64,
    /// The foreground's.
    pub foreground_stops: f64,
    /// Stops by which the foreground is lifted; negative when it is darkened.
    pub lift_stops: f64,
    /// Stops by which the sky is held back; negative when it is lifted.
    pub hold_stops: f64,
    /// What a graduated filter would have had to hold back, stops; 0 where none is needed.
    pub graduated_stops: f64,
    /// The foreground's electrons.
    pub electrons: f64,
    /// Signal over noise in the foreground, before the lift and after it.
    pub signal_to_noise: f64,
    /// The speed that the lifted foreground looks as if shot at.
    pub looks_like_iso: f64,
    /// How much longer one frame may be without the sky clipping, stops, no more than the lift.
    pub longer_stops: f64,
    /// Signal over noise in that frame.
    pub longer_signal_to_noise: f64,
    /// The speed to set for it.
    pub longer_iso: f64,
    /// Signal over noise in a frame that is longer by the whole lift.
    pub bracket_signal_to_noise: f64,
    /// Share of the sky that has clipped: nothing brings it back.
    pub sky_clipped: f64,
    /// What would have been best.
    pub verdict: Verdict,
}

/// The ratio that ISO 12232 calls excellent (from memory).
pub const EXCELLENT: f64 = 40.0;

/// The ratio that it calls acceptable (from memory).
pub const ACCEPTABLE: f64 = 10.0;

/// A lift that nobody will miss, stops.
const LITTLE: f64 = 0.5;

/// A longer frame this close to the lift is as good, stops.
const CLOSE: f64 = 1.0 / 6.0;

impl Edit {
    /// From the luminance of both parts, where the foreground is to end (stops from middle grey) and how many stops
    /// brighter the sky is to stay.
    ///
    /// # Errors
    /// Stops out of range: names `targetStops` or `keepStops`.
    pub fn of(
        foreground: &Counts,
        sky: &Counts,
        target_stops: f64,
        keep_stops: f64,
        sensor: &Sensor,
    ) -> Result<Self> {
        let (target, keep) = (TARGET.check(target_stops)?, KEEP.check(keep_stops)?);
        let level = foreground.mean();
        let (foreground_stops, sky_stops) = (stops_from_grey(level), stops_from_grey(sky.mean()));
        let lift_stops = target - foreground_stops;
        let above = stops_from_grey(1.0) - sky.quantile_stops(0.99);
        let longer_stops = lift_stops.min(sensor.room() + above.max(0.0)).max(0.0);
        let electrons = sensor.electrons(level);
        let after = |stops: f64| sensor.signal_to_noise(electrons * stops.exp2());
        let signal_to_noise = after(0.0);
        let verdict = if lift_stops <= LITTLE {
            Verdict::Little
        } else if signal_to_noise >= EXCELLENT {
            Verdict::Clean
        } else if longer_stops >= lift_stops - CLOSE {
            Verdict::Longer
        } else {
            Verdict::Bracket
        };
        Ok(Self {
            sky_stops,
            foreground_stops,
            lift_stops,
            hold_stops: sky_stops - target - keep,
            graduated_stops: (sky_stops - foreground_stops - keep).max(0.0),
            electrons,
            signal_to_noise,
            looks_like_iso: sensor.iso * lift_stops.exp2(),
            longer_stops,
            longer_signal_to_noise: after(longer_stops),
            longer_iso: sensor.iso / longer_stops.min(sensor.room()).exp2(),
            bracket_signal_to_noise: after(lift_stops.max(0.0)),
            sky_clipped: sky.share_from(255),
            verdict,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(value: usize) -> Counts {
        let mut bins = vec![0.0; 256];
        bins[value] = 100.0;
        Counts::new("sky", bins).unwrap()
    }

    fn at_iso(iso: f64) -> Sensor {
        Sensor::new(50_000.0, 3.0, 100.0, iso).unwrap()
    }

    #[test]
    fn lift_and_hold_bring_the_two_together() {
        // 118 is middle grey, 187 1.5 stops above (49.7 %), 46 2.7 below (2.73 %).
        let edit = Edit::of(&level(46), &level(187), -1.0, 1.0, &at_iso(100.0)).unwrap();
        let gap = edit.sky_stops - edit.foreground_stops;
        assert!((edit.lift_stops + edit.hold_stops - (gap - 1.0)).abs() < 1e-12);
        assert!((edit.graduated_stops - (gap - 1.0)).abs() < 1e-12);
        assert!(
            (edit.foreground_stops + 2.72).abs() < 0.01 && (edit.sky_stops - 1.465).abs() < 0.01,
            "{edit:?}"
        );
        // 1365 electrons at ISO 100: 1365 / √1374 = 36.8, below 40, and the sky has a stop of room, not 1.7.
        assert!((edit.signal_to_noise - 36.8).abs() < 0.1, "{edit:?}");
        assert_eq!((edit.verdict, edit.longer_iso), (Verdict::Bracket, 100.0));
    }

    #[test]
    fn a_speed_above_the_base_is_room_for_one_longer_frame() {
        let edit = Edit::of(&level(46), &level(187), -1.0, 1.0, &at_iso(1600.0)).unwrap();
        assert_eq!(edit.verdict, Verdict::Longer);
        assert!((edit.longer_stops - edit.lift_stops).abs() < 1e-12);
        assert!((edit.longer_iso - 1600.0 / edit.lift_stops.exp2()).abs() < 1e-9);
        assert!(edit.longer_signal_to_noise > 1.7 * edit.signal_to_noise);
    }

    #[test]
    fn light_enough_and_no_lift_cost_nothing() {
        assert_eq!(
            Edit::of(&level(100), &level(150), -1.0, 1.0, &at_iso(100.0)).unwrap().verdict,
            Verdict::Little
        );
        let bright = Sensor::new(1_000_000.0, 3.0, 100.0, 100.0).unwrap();
        assert_eq!(Edit::of(&level(46), &level(187), -1.0, 1.0, &bright).unwrap().verdict, Verdict::Clean);
        let white = Edit::of(&level(0), &level(255), 0.0, 0.0, &at_iso(100.0)).unwrap();
        assert_eq!((white.longer_stops, white.sky_clipped), (0.0, 1.0));
        assert!(white.signal_to_noise > 0.0 && white.looks_like_iso.is_finite());
    }

    #[test]
    fn numbers_out_of_range_name_their_field() {
        for (sensor, field) in [
            (Sensor::new(1.0, 3.0, 100.0, 100.0), "fullWellE"),
            (Sensor::new(5e4, -1.0, 100.0, 100.0), "readNoiseE"),
            (Sensor::new(5e4, 3.0, f64::NAN, 100.0), "baseIso"),
            (Sensor::new(5e4, 3.0, 100.0, 0.0), "iso"),
        ] {
            assert_eq!(sensor.unwrap_err().field(), field);
        }
        let refused =
            |target, keep| Edit::of(&level(9), &level(9), target, keep, &at_iso(100.0)).unwrap_err();
        assert_eq!((refused(9.0, 0.0).field(), refused(0.0, 99.0).field()), ("targetStops", "keepStops"));
    }
}
