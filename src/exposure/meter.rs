//! What the camera's own meter and its automatic time will do.
//!
//! A meter gives up below some brightness (makers state it at ISO 100, often −3 to −6), and behind a dark filter the
//! scene is that much darker to it; the automatic time ends at the longest one, commonly 30 s. In both cases the
//! picture is made by hand: meter without the filter, or on a short frame at high sensitivity, and reckon the
//! time. Light that enters by an optical finder misleads the meter on long exposures: cover it. All of this is
//! common practice; each camera's own numbers are in its manual.

use super::series::{Aperture, Iso};
use super::settings::{Fixed, Held, Limits, Settings, hold};
use crate::error::Bounds;
use crate::units::{Ev, Stops};

/// Exposure added on purpose to this picture; positive is lighter.
pub const COMPENSATION: Bounds = Bounds::new("compensationStops", -5.0, 5.0, " stops");

/// Exposure that this meter always needs added; positive is lighter.
pub const METER_OFFSET: Bounds = Bounds::new("meterOffsetStops", -5.0, 5.0, " stops");

/// The least brightness that a meter answers to.
pub const METER_LOW: Bounds = Bounds::new("meterLowEv", -10.0, 5.0, "");

/// Why an automatic exposure is not to be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Giving {
    /// Too dark for the meter, filters included.
    Meter,
    /// The time needed is past the camera's longest.
    Time,
}

/// What aperture priority will choose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Automatic {
    /// The settings it comes to, and how far the picture is from what was wanted.
    pub held: Held,
    /// What gives up first, if anything does.
    pub gives_up: Option<Giving>,
}

/// What aperture priority will do with a scene behind filters.
///
/// It solves the same sum as a photographer by hand, as far as its meter sees (`low`) and its time goes.
pub fn aperture_priority(
    scene: Ev,
    loss: Stops,
    compensation: Stops,
    (aperture, iso): (Aperture, Iso),
    low: Option<Ev>,
    limits: &Limits,
) -> Automatic {
    let wanted = scene - compensation;
    let by_hand = hold(wanted, loss, Fixed::ApertureIso(aperture, iso), limits);
    let held = if by_hand.timed { by_hand.cut_to(limits.longest.to_third()) } else { by_hand };
    let gives_up = if low.is_some_and(|low| scene - loss < low) {
        Some(Giving::Meter)
    } else {
        by_hand.timed.then_some(Giving::Time)
    };
    Automatic { held, gives_up }
}

/// The time at the aperture and sensitivity of the picture, from a short frame that was right without filters.
///
/// ```
/// use duskbook::exposure::{meter::from_test_frame, series::*, settings::{Limits, Settings}};
/// use duskbook::units::Stops;
/// let test = Settings {
///     aperture: Aperture::parse("f/4").unwrap(),
///     shutter: Shutter::parse("2 s").unwrap(),
///     iso: Iso::parse("6400").unwrap(),
/// };
/// let picture = (Aperture::parse("f/8").unwrap(), Iso::parse("100").unwrap());
/// let long = from_test_frame(test, picture, Stops::ZERO, &Limits::default());
/// assert_eq!(long.settings.shutter.label(), "8 min 32 s"); // eight stops more
/// assert!(long.timed);
/// ```
pub fn from_test_frame(
    test: Settings,
    (aperture, iso): (Aperture, Iso),
    loss: Stops,
    limits: &Limits,
) -> Held {
    hold(test.ev(), loss, Fixed::ApertureIso(aperture, iso), limits)
}
