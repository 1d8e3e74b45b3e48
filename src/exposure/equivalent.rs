//! The same picture by other settings: every aperture, and the time that goes with it.
//!
//! A pair is listed when it holds the exposure within a sixth of a stop. An aperture for which no time on the
//! dial is short enough is left out; past the longest time the pair stays, to be timed by hand.

use super::series::{Aperture, Iso};
use super::settings::{Fixed, Held, Limits, hold};
use crate::units::{Ev, Stops};

/// Every aperture of the lens with its time at one sensitivity, widest first.
///
/// ```
/// use duskbook::exposure::{equivalent::equivalents, series::Iso, settings::Limits};
/// use duskbook::units::{Ev, Stops};
/// let rows = equivalents(Ev::at_iso_100(8.0), Stops::ZERO, Iso::parse("100").unwrap(), &Limits::default());
/// let pair = |n: usize| (rows[n].settings.aperture.label(), rows[n].settings.shutter.label());
/// assert_eq!(pair(18), ("f/8".to_owned(), "1/4 s".to_owned()));
/// assert_eq!(pair(21), ("f/11".to_owned(), "0.5 s".to_owned()));
/// ```
pub fn equivalents(ev: Ev, loss: Stops, iso: Iso, limits: &Limits) -> Vec<Held> {
    Aperture::thirds()
        .filter(|aperture| (limits.widest..=limits.narrowest).contains(aperture))
        .map(|aperture| hold(ev, loss, Fixed::ApertureIso(aperture, iso), limits))
        .filter(|held| !held.limited)
        .collect()
}
