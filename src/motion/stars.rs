//! How far a star moves while the shutter is open, and how long it may be.
//!
//! The sky turns by 360° in a sidereal day of 86 164.09 s, 15.041″ a second. A star at declination δ goes along a circle of
//! radius cos δ, so in the middle of the picture its trail is f · (2π t/86 164.09) · cos δ; away from it a flat
//! picture stretches it, up to 1/cos² of the angle from the axis (twice in the corner of a 24 mm lens on 36 × 24 mm).
//!
//! # Limits
//! * t = 500/(crop · f): common practice, no source. It knows neither pixel nor aperture nor declination.
//! * NPF (F. Michaud, Société Astronomique du Havre; read in a public copy): simple t = (35 N + 30 p)/f, full
//!   t = k (16.9 N + 0.10 f + 13.7 p)/(f · cos δ), p in µm, f in mm, k 1 to 3 by how much trailing may show.

use crate::error::{Bounds, Result};
use crate::exposure::series::{Dial, FNumber};
use crate::motion::OPEN;
use crate::optics::diffraction::PITCH;
use crate::optics::lens::Lens;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Length};

/// One turn of the sky, seconds.
pub const SIDEREAL_DAY_S: f64 = 86_164.09;
/// North positive.
pub const DECLINATION: Bounds = Bounds::new("declinationDeg", -90.0, 90.0, "°");
/// How much trailing the full NPF allows: 1 for none that shows, 3 for some.
pub const TOLERANCE: Bounds = Bounds::new("npfK", 1.0, 3.0, "");
/// An arc around the pole that a stack is to draw.
pub const ARC: Bounds = Bounds::new("wantedArcDeg", 0.01, 360.0, "°");

/// How far the sky turns in a time.
///
/// # Errors
/// A time outside 0 to a day: names `shutterS`.
pub fn turn(open_s: f64) -> Result<Angle> {
    Ok(Angle::from_degrees(OPEN.check(open_s)? * 360.0 / SIDEREAL_DAY_S))
}

/// How long the sky takes for an arc around its pole, seconds.
///
/// # Errors
/// An arc out of [`ARC`].
pub fn time_for(arc_deg: f64) -> Result<f64> {
    Ok(ARC.check(arc_deg)? / 360.0 * SIDEREAL_DAY_S)
}

/// A star before a lens.
///
/// ```
/// use duskbook::motion::stars::{Star, turn};
/// use duskbook::optics::{format::Format, lens::Lens};
/// let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
/// let star = Star::new(lens, 2.8, 5.94, 0.0).unwrap();
/// assert!((star.trail(turn(20.0).unwrap()).micrometres() - 35.0).abs() < 0.05);
/// assert!((star.limit_500_s() - 20.83).abs() < 0.01);
/// assert!((star.npf_simple_s() - 11.51).abs() < 0.01);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Star {
    lens: Lens,
    aperture: f64,
    pitch_um: f64,
    cos: f64,
}

impl Star {
    /// A lens at an f-number, the pixel pitch in micrometres, the star's declination in degrees.
    ///
    /// # Errors
    /// A number out of range: names `aperture`, `pitchUm` or `declinationDeg`.
    pub fn new(lens: Lens, aperture: f64, pitch_um: f64, declination_deg: f64) -> Result<Self> {
        Ok(Self {
            lens,
            aperture: FNumber::RANGE.check(aperture)?,
            pitch_um: PITCH.check(pitch_um)?,
            // At ±90° the cosine is not quite zero in binary.
            cos: if DECLINATION.check(declination_deg)?.abs() == 90.0 {
                0.0
            } else {
                declination_deg.to_radians().cosine()
            },
        })
    }

    fn focal_mm(self) -> f64 {
        self.lens.focal().millimetres()
    }

    /// Its trail in the middle of the picture while the sky makes a turn.
    pub fn trail(self, turn: Angle) -> Length {
        Length::from_millimetres(self.focal_mm() * turn.radians() * self.cos)
    }

    /// 500/(crop · f), seconds; the crop by the diagonal against 36 × 24 mm.
    pub fn limit_500_s(self) -> f64 {
        500.0 / (self.lens.format().crop_factor() * self.focal_mm())
    }

    /// The simple NPF, seconds.
    pub fn npf_simple_s(self) -> f64 {
        (35.0 * self.aperture + 30.0 * self.pitch_um) / self.focal_mm()
    }

    /// The full NPF, seconds; none where it passes a day, as beside a pole, where a star hardly moves.
    ///
    /// # Errors
    /// `k` outside 1 to 3: names `npfK`.
    pub fn npf_full_s(self, k: f64) -> Result<Option<f64>> {
        let f = self.focal_mm();
        let widths = TOLERANCE.check(k)? * (16.9 * self.aperture + 0.10 * f + 13.7 * self.pitch_um);
        Ok(Some(widths / (f * self.cos)).filter(|&s| OPEN.contains(s)))
    }
}
