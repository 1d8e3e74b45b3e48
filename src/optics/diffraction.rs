//! Where the wave of light sets an end to stopping down, and what the blades of the stop do to lamps.
//!
//! *What it models:* the disc that a perfect lens draws of a point, and its blur together with that of defocus. *Formula:*
//! Airy disc, to its first dark ring, 2.44 λ N; the finest lines that pass at all 1/(λ N). Together,
//! blur² = (Δv / 2N)² + (N / 750)² millimetres, Δv the spread of focus behind the lens between near and far; the least of it lies
//! at N = √(375 Δv). *Source:* the Airy pattern of any optics text; the sum by P. Hansma, *Photo Techniques*, March/April 1996
//! (second-hand), whose N/750 is 2.44 λ N at 546 nm. *Range:* N counts as engraved; close up it is N (1 + m), which is not
//! modelled. *Expected error:* a tenth or so of a stop against the published table; adding blurs by squares is a rule that
//! works. *Not modelled:* aberrations, which make most lenses best some stops above their widest.
//!
//! When a sensor shows it is a convention: here, once the Airy disc is wider than two pixels (common practice, no source).

use super::f_number::FNumber;
use crate::error::{Bounds, Result};
use crate::trigonometry::Trigonometry;
use crate::units::Length;

/// Light that cameras see.
pub const WAVELENGTH: Bounds = Bounds::new("wavelengthNm", 350.0, 1100.0, " nm");
/// From one pixel to the next.
pub const PITCH: Bounds = Bounds::new("pitchUm", 0.3, 100.0, " µm");
/// How many blades make the stop.
pub const BLADES: Bounds = Bounds::new("blades", 3.0, 30.0, "");

/// Green light, to which eyes and sensors answer most, nanometres.
pub const GREEN_NM: f64 = 550.0;

/// Light of one colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wave {
    length_um: f64,
}

/// The diameter of the first dark ring in λ N: 2 × 1.22.
const AIRY: f64 = 2.44;

impl Wave {
    /// From its length in nanometres.
    ///
    /// # Errors
    /// Names `wavelengthNm`.
    pub fn new(nanometres: f64) -> Result<Self> {
        Ok(Self { length_um: WAVELENGTH.check(nanometres)? / 1e3 })
    }

    /// The diameter of the Airy disc, to its first dark ring.
    ///
    /// ```
    /// use duskbook::optics::{diffraction::Wave, f_number::FNumber};
    /// let disc = Wave::new(550.0).unwrap().airy(FNumber::new(8.0).unwrap());
    /// assert!((disc.micrometres() - 10.736).abs() < 1e-9); // 2.44 × 0.55 × 8
    /// ```
    pub fn airy(self, n: FNumber) -> Length {
        Length::from_micrometres(AIRY * self.length_um * n.value())
    }

    /// The finest lines that a perfect lens passes at all, pairs a millimetre.
    pub fn cutoff(self, n: FNumber) -> f64 {
        1e3 / (self.length_um * n.value())
    }

    /// The f-number at which the Airy disc is as wide as this.
    pub fn stop_for(self, airy: Length) -> f64 {
        airy.micrometres() / (AIRY * self.length_um)
    }

    /// The f-number from which a sensor of this pitch shows diffraction: the Airy disc is two pixels wide.
    ///
    /// # Errors
    /// Names `pitchUm`.
    pub fn stop_for_pitch(self, pitch_um: f64) -> Result<f64> {
        Ok(self.stop_for(Length::from_micrometres(2.0 * PITCH.check(pitch_um)?)))
    }
}

/// Millimetres of f-number to a millimetre of diffraction blur, by Hansma.
const HANSMA: f64 = 750.0;

/// The blur at both ends of a scene, focused between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blur {
    spread_mm: f64,
}

impl Blur {
    /// From the spread of focus behind the lens.
    pub const fn of(spread: Length) -> Self {
        Self { spread_mm: spread.millimetres() }
    }

    /// By defocus alone: Δv / 2N.
    pub fn defocus(self, n: f64) -> Length {
        Length::from_millimetres(self.spread_mm / (2.0 * n))
    }

    /// By diffraction alone: N / 750.
    pub fn diffraction(n: f64) -> Length {
        Length::from_millimetres(n / HANSMA)
    }

    /// Both together.
    pub fn together(self, n: f64) -> Length {
        Length::from_metres(self.defocus(n).metres().hypotenuse(Self::diffraction(n).metres()))
    }

    /// The f-number at which both ends are as sharp as they can be: √(375 Δv).
    ///
    /// ```
    /// use duskbook::optics::diffraction::Blur;
    /// use duskbook::units::Length;
    /// // Published for a spread of 1 mm: f/16 and six tenths of a stop more, 19.7; here 19.4.
    /// assert!((Blur::of(Length::from_millimetres(1.0)).sharpest() - 19.36).abs() < 0.005);
    /// ```
    pub fn sharpest(self) -> f64 {
        (self.spread_mm * HANSMA / 2.0).sqrt()
    }

    /// The least f-number at which both together stay within a circle; none when even [`Self::sharpest`] does not.
    pub fn least_within(self, circle: Length) -> Option<f64> {
        let most = circle.millimetres().powi(2);
        // N² solves N⁴/750² − c² N² + Δv²/4 = 0; the lesser root, written so that no digits cancel.
        let root = (most * most - (self.spread_mm / HANSMA).powi(2)).max(0.0).sqrt();
        (most * HANSMA >= self.spread_mm).then(|| (self.spread_mm.powi(2) / (2.0 * (most + root))).sqrt())
    }
}

/// How many rays a stop of so many blades draws around a lamp (common practice): each blade's edge draws two opposite
/// ones, and with an even number those of opposite blades fall together. They are the stronger the further it is stopped
/// down.
///
/// # Errors
/// Outside 3 to 30: names `blades`; a fraction is rounded.
///
/// ```
/// use duskbook::optics::diffraction::rays;
/// assert_eq!((rays(8.0).unwrap(), rays(9.0).unwrap()), (8, 18));
/// ```
pub fn rays(blades: f64) -> Result<u32> {
    let blades = BLADES.check(blades)?.round() as u32;
    Ok(if blades.is_multiple_of(2) { blades } else { 2 * blades })
}
