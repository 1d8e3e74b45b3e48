//! Three dials together, the brightness they suit, and the third dial found from two.
//!
//! The dial that is solved for stands on a third of a stop, so its picture is at most a sixth of a stop lighter
//! or darker than wanted; [`Held::residual`] says by how much. Half-way between two marks the darker one is
//! taken. A time past the camera's longest is kept by hand and need not be on a mark. Where a dial ends before the
//! brightness is met it stays at its end, and the residual says what is missing.

use super::series::{Aperture, Iso, Shutter};
use crate::units::{Ev, Stops};

/// What the three dials stand at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// The lens opening.
    pub aperture: Aperture,
    /// The exposure time.
    pub shutter: Shutter,
    /// The sensitivity.
    pub iso: Iso,
}

impl Settings {
    /// The brightness that these settings suit, with nothing in front of the lens.
    ///
    /// ```
    /// use duskbook::exposure::{series::{Aperture, Iso, Shutter}, settings::Settings};
    /// let settings = Settings {
    ///     aperture: Aperture::parse("f/8").unwrap(),
    ///     shutter: Shutter::parse("30 s").unwrap(), // the mark, exactly 32 s
    ///     iso: Iso::parse("100").unwrap(),
    /// };
    /// assert_eq!(settings.ev().value(), 1.0);
    /// ```
    pub fn ev(self) -> Ev {
        Ev::at_iso_100((self.aperture.stops() - self.shutter.stops() - self.iso.stops()).count())
    }
}

/// The two dials that stay; the third is solved for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fixed {
    /// Time is free.
    ApertureIso(Aperture, Iso),
    /// Aperture is free.
    ShutterIso(Shutter, Iso),
    /// Sensitivity is free.
    ApertureShutter(Aperture, Shutter),
}

/// The dial that was solved for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Solved {
    /// The lens opening.
    Aperture,
    /// The exposure time.
    Shutter,
    /// The sensitivity.
    Iso,
}

impl Solved {
    /// Its word: `aperture`, `shutter`, `iso`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Aperture => "aperture",
            Self::Shutter => "shutter",
            Self::Iso => "iso",
        }
    }
}

/// How far each dial of this camera and lens goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// The largest opening, the smallest f-number.
    pub widest: Aperture,
    /// The smallest opening, the largest f-number.
    pub narrowest: Aperture,
    /// The shortest time.
    pub shortest: Shutter,
    /// The longest time that the camera keeps by itself.
    pub longest: Shutter,
    /// The lowest sensitivity.
    pub slowest: Iso,
    /// The highest sensitivity.
    pub fastest: Iso,
}

impl Default for Limits {
    /// All that is engraved: f/1 to f/64, 1/8000 s to 30 s, ISO 50 to 102 400.
    fn default() -> Self {
        let (widest, narrowest) = Aperture::ends();
        let (shortest, longest) = Shutter::ends();
        let (slowest, fastest) = Iso::ends();
        Self { widest, narrowest, shortest, longest, slowest, fastest }
    }
}

impl Limits {
    /// What to set for a time: the nearest mark, no shorter than the shortest; past the longest, the time itself.
    pub fn time(&self, exact: Shutter) -> Shutter {
        let exact = if exact < self.shortest { self.shortest } else { exact };
        let mark = exact.to_third();
        if self.is_timed(mark) {
            exact
        } else if mark < self.shortest {
            self.shortest
        } else {
            mark
        }
    }

    /// Whether the camera cannot keep this time by itself. An engraved and an exact 30 s are the same to it.
    pub fn is_timed(&self, shutter: Shutter) -> bool {
        shutter.to_third() > self.longest.to_third()
    }
}

/// Settings found for a brightness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// What to dial.
    pub settings: Settings,
    /// Which dial followed from the other two.
    pub solved: Solved,
    /// What the filters on the lens take.
    pub loss: Stops,
    /// How much lighter than wanted the picture comes out; negative is darker.
    pub residual: Stops,
    /// Whether the time is past the camera's longest, to be kept by hand.
    pub timed: bool,
    /// Whether the free dial came to its end, so that the residual is more than rounding.
    pub limited: bool,
}

impl Held {
    /// The same settings with another time that the camera keeps by itself, and what that does to the picture.
    #[must_use]
    pub fn cut_to(self, shutter: Shutter) -> Self {
        let residual = self.residual + (shutter.stops() - self.settings.shutter.stops());
        let settings = Settings { shutter, ..self.settings };
        Self { settings, residual, timed: false, limited: is_more_than_rounding(residual), ..self }
    }
}

/// Holds a brightness through filters that take `loss`: two dials stay, the third follows.
///
/// ```
/// use duskbook::exposure::{series::{Aperture, Iso}, settings::{Fixed, Limits, hold}};
/// use duskbook::units::{Ev, Stops};
/// let fixed = Fixed::ApertureIso(Aperture::parse("f/8").unwrap(), Iso::parse("100").unwrap());
/// let held = hold(Ev::at_iso_100(5.1), Stops::ZERO, fixed, &Limits::default());
/// assert_eq!(held.settings.shutter.label(), "2 s"); // exactly 1.87 s
/// assert!((held.residual.count() - 0.1).abs() < 1e-12);
/// ```
pub fn hold(ev: Ev, loss: Stops, fixed: Fixed, limits: &Limits) -> Held {
    // Stops above the origin of the free dial at which the sum of `Settings::ev` comes out right.
    let wanted = Stops::new((ev - loss).value());
    let (settings, solved) = match fixed {
        Fixed::ApertureIso(aperture, iso) => {
            let free = Shutter::at(aperture.stops() - iso.stops() - wanted);
            (Settings { aperture, shutter: limits.time(free), iso }, Solved::Shutter)
        }
        Fixed::ShutterIso(shutter, iso) => {
            let free = Aperture::at(wanted + shutter.stops() + iso.stops()).to_third();
            let aperture = free.clamp(limits.widest, limits.narrowest);
            (Settings { aperture, shutter, iso }, Solved::Aperture)
        }
        Fixed::ApertureShutter(aperture, shutter) => {
            let free = Iso::at(aperture.stops() - shutter.stops() - wanted).to_third();
            let iso = free.clamp(limits.slowest, limits.fastest);
            (Settings { aperture, shutter, iso }, Solved::Iso)
        }
    };
    let residual = (ev - loss) - settings.ev();
    let timed = limits.is_timed(settings.shutter);
    Held { settings, solved, loss, residual, timed, limited: is_more_than_rounding(residual) }
}

/// Whether snapping to a third, which leaves a sixth at most, does not account for all of it.
fn is_more_than_rounding(residual: Stops) -> bool {
    residual.count().abs() > 1.0 / 6.0 + 1e-6
}
