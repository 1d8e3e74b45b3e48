//! How bright a trail comes out against what stands still.
//!
//! A lamp lights a point of the picture only while its image passes: a trail goes with ISO/N² and with that dwell, which
//! is the shorter the faster the image moves, and not with the time that the shutter is open. The ambient light goes with
//! ISO/N² and with the time (both by reciprocity, exact for a sensor; film's failing is left out).

use crate::error::Result;
use crate::exposure::series::{Dial, FNumber, Speed, Time};
use crate::motion::traffic::SPEED;
use crate::units::Stops;

/// What a trail was, or would be, taken with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    gathered: Stops,
    open: Stops,
    pace: Option<Stops>,
}

/// One picture against another, lighter positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// The trail's; none where one of the cars stands.
    pub trail: Option<Stops>,
    /// What stands still.
    pub ambient: Stops,
}

impl Taken {
    /// F-number, ISO, seconds, and metres a second of cars on the same road.
    ///
    /// # Errors
    /// A number out of its dial's range: names `aperture`, `iso`, `shutterS` or `speedMS`.
    pub fn new(aperture: f64, iso: f64, shutter_s: f64, speed_ms: f64) -> Result<Self> {
        let stops = |factor: f64| Stops::from_factor(factor);
        let (n, speed) = (FNumber::RANGE.check(aperture)?, SPEED.check(speed_ms)?);
        Ok(Self {
            gathered: stops(Speed::RANGE.check(iso)? / (n * n)),
            open: stops(Time::RANGE.check(shutter_s)?),
            pace: (speed > 0.0).then(|| stops(speed)),
        })
    }

    /// What this picture has more than another.
    ///
    /// ```
    /// use duskbook::motion::brightness::Taken;
    /// let short = Taken::new(4.0, 100.0, 5.0, 15.0).unwrap();
    /// let long = Taken::new(8.0, 100.0, 20.0, 15.0).unwrap().than(short); // the same light, four times as long
    /// assert!((long.ambient.count()).abs() < 1e-12);
    /// assert!((long.trail.unwrap().count() + 2.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn than(self, other: Self) -> Gain {
        let gathered = self.gathered - other.gathered;
        Gain {
            trail: self.pace.zip(other.pace).map(|(own, others)| gathered - (own - others)),
            ambient: gathered + (self.open - other.open),
        }
    }
}

impl Gain {
    /// What the trail gains against what stands still; none where one of the cars stands.
    pub fn against_ambient(self) -> Option<Stops> {
        self.trail.map(|trail| trail - self.ambient)
    }
}
