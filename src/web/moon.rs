//! What the page is told of the moon beside the sun's events and place.

use tsify::Tsify;

use super::value::{Told, Value, answer};
use crate::sky::events::Transit;
use crate::sky::moon;
use crate::sky::phase::{Phases, Quarter};
use crate::sky::place::Place;
use crate::sky::refraction::Atmosphere;
use crate::units::Instant;

answer! {
    /// One passage of the moon through the meridian.
    pub struct MoonTransit {
        /// Upper or lower.
        #[tsify(type = "\"upper\" | \"lower\"")]
        pub kind: &'static str,
        /// Geometric altitude of the centre then, degrees.
        pub altitude_deg: f64,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
        /// Where, degrees clockwise from true north.
        pub azimuth_deg: f64,
    }
}

impl From<Transit> for MoonTransit {
    fn from(Transit { noon, altitude, at, azimuth }: Transit) -> Self {
        Self {
            kind: if noon { "upper" } else { "lower" },
            altitude_deg: altitude.degrees(),
            at_ms: at.epoch_ms(),
            azimuth_deg: azimuth.degrees(),
        }
    }
}

/// The principal phases.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Tsify)]
#[serde(rename_all = "lowercase")]
pub enum PhaseName {
    /// Not lit.
    New,
    /// Half lit and growing.
    First,
    /// Fully lit.
    Full,
    /// Half lit and shrinking.
    Last,
}

impl Told for PhaseName {
    fn told(self) -> Value {
        ["new", "first", "full", "last"][self as usize].told()
    }
}

answer! {
    /// A principal phase to come.
    pub struct PhaseToCome {
        /// Which.
        pub phase: PhaseName,
        /// When, milliseconds since 1970 UTC.
        pub at_ms: f64,
    }
}

answer! {
    /// The moon's phase at the start of a span.
    pub struct MoonPhase {
        /// The lit part of the disc as seen from the middle of the Earth, 0 to 1.
        pub illuminated_fraction: f64,
        /// Days since it was last new.
        pub age_days: f64,
        /// The four principal phases after.
        pub next: Vec<PhaseToCome>,
    }
}

impl MoonPhase {
    pub(super) fn at(place: &Place, at: Instant) -> Self {
        let phases = Phases::around(at);
        let name = |quarter| match quarter {
            Quarter::New => PhaseName::New,
            Quarter::First => PhaseName::First,
            Quarter::Full => PhaseName::Full,
            Quarter::Last => PhaseName::Last,
        };
        let next = phases
            .next_four(at)
            .map(|(quarter, at)| PhaseToCome { phase: name(quarter), at_ms: at.epoch_ms() });
        Self {
            illuminated_fraction: moon::position(place, at).illuminated_fraction(),
            age_days: phases.age_days(at),
            next: next.into(),
        }
    }
}

answer! {
    /// Where the moon stands.
    pub struct MoonPlace {
        /// Altitude of the centre as seen from the place, without the air, degrees.
        pub altitude_deg: f64,
        /// The same through the air.
        pub apparent_altitude_deg: f64,
        /// Degrees clockwise from true north.
        pub azimuth_deg: f64,
        /// From the place to the centre, kilometres.
        pub distance_km: f64,
        /// The lit part of the disc as seen from the middle of the Earth, 0 to 1.
        pub illuminated_fraction: f64,
    }
}

impl MoonPlace {
    pub(super) fn at(place: &Place, at: Instant, air: Atmosphere) -> Self {
        let moon = moon::position(place, at);
        Self {
            altitude_deg: moon.altitude.degrees(),
            apparent_altitude_deg: air.apparent(moon.altitude).degrees(),
            azimuth_deg: moon.azimuth.degrees(),
            distance_km: moon.distance.metres() / 1e3,
            illuminated_fraction: moon.illuminated_fraction(),
        }
    }
}
