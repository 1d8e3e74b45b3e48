//! When the sun crosses an altitude, and when it stands highest and lowest. (First form, by scanning.)

use crate::math::root;
use crate::sky::place::Place;
use crate::sky::sun;
use crate::units::{Angle, Bearing, Instant, Span};

/// One passage of the sun's centre through an altitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The geometric altitude crossed.
    pub altitude: Angle,
    /// Whether the sun was climbing.
    pub rising: bool,
    /// When.
    pub at: Instant,
    /// Where along the horizon.
    pub azimuth: Bearing,
}

/// One passage of the sun through the meridian.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transit {
    /// Whether it is the upper one, solar noon; else solar midnight.
    pub noon: bool,
    /// Geometric altitude then.
    pub altitude: Angle,
    /// When.
    pub at: Instant,
    /// Where along the horizon: due south or due north.
    pub azimuth: Bearing,
}

/// Every passage of the sun's centre through each geometric altitude within the span, in order of time.
pub fn crossings(place: &Place, span: Span, altitudes: &[Angle]) -> Vec<Crossing> {
    let mut found = Vec::new();
    let steps = (span.seconds() / 600.0).ceil() as usize;
    for i in 0..steps {
        let (a, b) = (i as f64 * 600.0, ((i + 1) as f64 * 600.0).min(span.seconds()));
        for &altitude in altitudes {
            let f =
                |s: f64| (sun::position(place, span.start().plus_seconds(s)).altitude - altitude).radians();
            if (f(a) > 0.0) != (f(b) > 0.0) {
                let at = span.start().plus_seconds(root(a, b, 0.01, f));
                let azimuth = sun::position(place, at).azimuth;
                found.push(Crossing { altitude, rising: f(b) > 0.0, at, azimuth });
            }
        }
    }
    found.sort_by(|a, b| a.at.epoch_ms().total_cmp(&b.at.epoch_ms()));
    found
}

/// Every solar noon and solar midnight within the span, in order of time.
pub fn transits(place: &Place, span: Span) -> Vec<Transit> {
    let mut found = Vec::new();
    let steps = (span.seconds() / 600.0).ceil() as usize;
    for i in 0..steps {
        let (a, b) = (i as f64 * 600.0, ((i + 1) as f64 * 600.0).min(span.seconds()));
        let f = |s: f64| {
            let d = span.start().plus_seconds(s);
            sun::position(place, d).azimuth.radians().sin()
        };
        if (f(a) > 0.0) != (f(b) > 0.0) {
            let at = span.start().plus_seconds(root(a, b, 0.01, f));
            let p = sun::position(place, at);
            let lower = sun::position(place, at.plus_seconds(43_080.0)).altitude;
            found.push(Transit { noon: p.altitude > lower, altitude: p.altitude, at, azimuth: p.azimuth });
        }
    }
    found
}
