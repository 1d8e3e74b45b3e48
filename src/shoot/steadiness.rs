//! What keeps a picture steady and sharp on a tripod, by the settings that the sheet dials.
//!
//! All of it is common practice, no source, and so are the limits: the mirror and the shutter shake a tripod for a part
//! of a second, which is much of a time between 1/30 and 2 s, nothing of 10 s and frozen at 1/250; wind and a trembling bridge
//! need time, or a long lens, to show.

use crate::shoot::row::Row;
use crate::shoot::spot::Spot;

/// One thing to see to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Steadiness {
    /// Focus while there is light, on something that does not move, then lock the focus.
    FocusThenLock,
    /// Look at the focus again after zooming.
    FocusAfterZoom,
    /// Switch the stabiliser off on the tripod.
    StabiliserOff,
    /// Release by cable or radio, or by the self-timer.
    Release,
    /// Lock the mirror up, or let an electronic first curtain begin.
    Mirror,
    /// Cover the finder, through which light falls on the meter and the picture.
    Finder,
    /// Stand low, out of the wind, with nothing that flaps.
    Wind,
    /// Wait until lorries and trains have passed; a bridge trembles on.
    GroundShake,
}

/// Times that a mirror or a shutter spoils, seconds.
const MIRROR_S: [f64; 2] = [1.0 / 30.0, 2.0];
/// From here on a finger on the button shows.
const RELEASE_S: f64 = 1.0 / 60.0;
/// From here on light through the finder counts, and the ground moves while the shutter is open.
const LONG_S: f64 = 1.0;
/// A lens that shows every tremor, as wide as this on 36 × 24 mm, millimetres.
const LONG_LENS_MM: f64 = 100.0;
/// With such a lens wind and ground show from here on.
const LONG_LENS_S: f64 = 1.0 / 30.0;

/// A tolerance for marks that are a hair off, as 1/30 s is 1/32.
const MARK: f64 = 1.1;

/// What to see to for the settings of these rows; nothing where nothing is dialled.
pub fn checklist(spot: &Spot, rows: &[Row]) -> Vec<Steadiness> {
    let mut times_s = Vec::with_capacity(rows.len());
    for held in rows.iter().filter_map(|row| row.setting.as_ref()) {
        times_s.push(held.settings.shutter.exact());
    }
    points(spot.focal_length.millimetres() * spot.format.crop_factor(), &times_s)
}

/// The same from an equivalent focal length on 36 × 24 mm and the times to be dialled.
pub fn points(equivalent_mm: f64, times_s: &[f64]) -> Vec<Steadiness> {
    let mut found = Vec::with_capacity(8);
    if times_s.is_empty() {
        return found;
    }
    found.extend([Steadiness::FocusThenLock, Steadiness::FocusAfterZoom, Steadiness::StabiliserOff]);
    let longest = MARK * times_s.iter().fold(0.0, |longest: f64, &s| longest.max(s));
    let [shortest_shaken, longest_shaken] = MIRROR_S;
    if longest >= RELEASE_S {
        found.push(Steadiness::Release);
    }
    if times_s.iter().any(|&s| s * MARK >= shortest_shaken && s <= longest_shaken * MARK) {
        found.push(Steadiness::Mirror);
    }
    if longest >= LONG_S {
        found.push(Steadiness::Finder);
    }
    if longest >= if equivalent_mm >= LONG_LENS_MM { LONG_LENS_S } else { LONG_S } {
        found.extend([Steadiness::Wind, Steadiness::GroundShake]);
    }
    found
}

impl Steadiness {
    /// Its word at the boundary.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FocusThenLock => "focus-then-lock",
            Self::FocusAfterZoom => "focus-after-zoom",
            Self::StabiliserOff => "stabiliser-off",
            Self::Release => "release",
            Self::Mirror => "mirror",
            Self::Finder => "finder",
            Self::Wind => "wind",
            Self::GroundShake => "ground-shake",
        }
    }
}
