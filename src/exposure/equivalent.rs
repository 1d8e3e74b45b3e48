//! The same picture by other settings: one dial kept, every mark of another, and the third that goes with it.
//!
//! A setting is listed when it holds the exposure within a sixth of a stop. Where the free dial ends before that the
//! row is left out: an aperture for which no time is short enough, a speed that the camera does not have. Past
//! the longest time the row stays, to be timed by hand.

use super::series::{Aperture, Iso, Shutter};
use super::settings::{Fixed, Held, Limits, hold};
use crate::units::{Ev, Stops};

/// The dial that stands the same in every row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kept {
    /// Every speed of the camera, each with its time.
    Aperture(Aperture),
    /// Every aperture of the lens, each with its speed.
    Shutter(Shutter),
    /// Every aperture of the lens, each with its time.
    Iso(Iso),
}

/// Every setting for a brightness that keeps one dial, widest aperture or lowest speed first.
///
/// ```
/// use duskbook::exposure::{equivalent::{Kept, equivalents}, series::Iso, settings::Limits};
/// use duskbook::units::{Ev, Stops};
/// let kept = Kept::Iso(Iso::parse("100").unwrap());
/// let rows = equivalents(Ev::at_iso_100(8.0), Stops::ZERO, kept, &Limits::default());
/// let pair = |n: usize| (rows[n].settings.aperture.label(), rows[n].settings.shutter.label());
/// assert_eq!(pair(18), ("f/8".to_owned(), "1/4 s".to_owned()));
/// assert_eq!(pair(21), ("f/11".to_owned(), "0.5 s".to_owned()));
/// ```
pub fn equivalents(ev: Ev, loss: Stops, kept: Kept, limits: &Limits) -> Vec<Held> {
    let apertures =
        Aperture::thirds().filter(|aperture| (limits.widest..=limits.narrowest).contains(aperture));
    let speeds = Iso::thirds().filter(|iso| (limits.slowest..=limits.fastest).contains(iso));
    let rows: Vec<Fixed> = match kept {
        Kept::Aperture(aperture) => speeds.map(|iso| Fixed::ApertureIso(aperture, iso)).collect(),
        Kept::Shutter(shutter) => {
            apertures.map(|aperture| Fixed::ApertureShutter(aperture, shutter)).collect()
        }
        Kept::Iso(iso) => apertures.map(|aperture| Fixed::ApertureIso(aperture, iso)).collect(),
    };
    rows.into_iter().map(|fixed| hold(ev, loss, fixed, limits)).filter(|held| !held.limited).collect()
}
