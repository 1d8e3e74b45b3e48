//! What lights the sky at a moment: where the sun is, and how much light the moon sends.
//!
//! The moon's light on level ground is USNO Circular 171's ([`super::illuminance::from_moon`]). The forecast takes it as
//! spread evenly over the sky, less what the cloud takes, with the offset of framing and metering that the sun's sky has:
//! a simplification, for no direction table of a moonlit sky is known here. So a whole frame reads EV −3.2 to −3.6 under a
//! full moon above 45° and −6 under a half one (computed), where ANSI PH2.7 has −3 to −2 and −6 (in encyclopaedia
//! copies). Nothing is added while the moon is below the horizon.

use super::illuminance::from_moon;
use crate::sky::moon::MoonPosition;
use crate::sky::place::Place;
use crate::sky::sun::SunPosition;
use crate::sky::track::{Body, Track};
use crate::units::{Illuminance, Instant, Span};

/// The sun's place and the moon's light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lights {
    /// Where the sun stands.
    pub sun: SunPosition,
    /// What the moon alone gives on level ground under a clear sky.
    pub moonlight: Illuminance,
}

/// Sun and moon over a place through a span.
#[derive(Debug, Clone)]
pub struct LightTrack {
    place: Place,
    sun: Track,
    moon: Track,
}

impl LightTrack {
    /// The lights over a place through a span.
    pub fn over(place: Place, span: Span) -> Self {
        Self { place, sun: Track::over(span), moon: Track::of(Body::Moon, span) }
    }

    /// The lights at a moment of the span.
    pub fn at(&self, at: Instant) -> Lights {
        let moon = MoonPosition::on_tracks(&self.moon, &self.sun, &self.place, at);
        let moonlight = from_moon(moon.altitude, moon.phase_angle, moon.parallax);
        Lights { sun: self.sun(at), moonlight }
    }

    /// The sun alone at a moment of the span.
    pub fn sun(&self, at: Instant) -> SunPosition {
        self.sun.position(&self.place, at)
    }
}
