//! How large a blurred point may be and still pass for sharp.
//!
//! *What it models:* the circle of confusion, from a print looked at, or from the format as the trade does it.
//! *Formula:* 0.2 mm in a print at 25 cm is the basis, and grows with the distance; the format is enlarged to the print.
//! Modern d / 1500, traditional d / 1000 of the diagonal d; 0.030 mm is customary on 135, and is carried here to
//! other formats in proportion. *Source:* Ray (2000), quoted (second-hand). *Range:* it is a convention, no property of
//! the lens; whoever looks closer needs less. *Not modelled:* the pixel grid, which is under
//! [`diffraction`](super::diffraction).

use super::format::Format;
use crate::error::{Bounds, Error, Result};
use crate::units::Length;

/// A circle of confusion given by itself.
pub const CIRCLE: Bounds = Bounds::new("cocMm", 0.000_1, 5.0, " mm");
/// The long side of a print.
pub const PRINT: Bounds = Bounds::new("printCm", 5.0, 2000.0, " cm");
/// How far away it is looked at.
pub const VIEWING: Bounds = Bounds::new("viewingCm", 10.0, 10_000.0, " cm");

/// What passes for sharp in a print at reading distance, Ray (2000).
const PRINT_CIRCLE_MM: f64 = 0.2;
const READING_CM: f64 = 25.0;
/// Customary on 135.
const CUSTOMARY_MM: f64 = 0.030;

/// By what a picture is called sharp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sharpness {
    /// The diagonal over 1500.
    Modern,
    /// The diagonal over 1000.
    Traditional,
    /// 0.030 mm on 135, others in proportion.
    Customary,
    /// A print of this long side, looked at from so far, centimetres.
    Print(f64, f64),
}

impl Sharpness {
    /// From its word, and for `print` the print's long side and the distance to the eye, centimetres.
    ///
    /// # Errors
    /// Another word names `basis`; a missing or impossible measure `printCm` or `viewingCm`.
    pub fn from_word(word: &str, print_cm: Option<f64>, viewing_cm: Option<f64>) -> Result<Self> {
        match word {
            "modern" => Ok(Self::Modern),
            "traditional" => Ok(Self::Traditional),
            "customary" => Ok(Self::Customary),
            "print" => Ok(Self::Print(PRINT.required(print_cm)?, VIEWING.required(viewing_cm)?)),
            other => Err(Error::unknown("basis", other, &["modern", "traditional", "customary", "print"])),
        }
    }

    /// The circle of confusion on a format.
    ///
    /// ```
    /// use duskbook::optics::{circle::Sharpness, format::Format};
    /// let full = Format::new(36.0, 24.0).unwrap();
    /// let micrometres = |by: Sharpness| by.circle(full).micrometres().round();
    /// assert_eq!(micrometres(Sharpness::Modern), 29.0);
    /// // 36 cm from 25 cm away: enlarged ten times, so a tenth of 0.2 mm.
    /// assert_eq!(micrometres(Sharpness::Print(36.0, 25.0)), 20.0);
    /// ```
    pub fn circle(self, format: Format) -> Length {
        let diagonal = format.diagonal().millimetres();
        Length::from_millimetres(match self {
            Self::Modern => diagonal / 1500.0,
            Self::Traditional => diagonal / 1000.0,
            Self::Customary => CUSTOMARY_MM / format.crop_factor(),
            Self::Print(long_cm, viewing_cm) => {
                let long_side = format.width().millimetres().max(format.height().millimetres());
                PRINT_CIRCLE_MM * viewing_cm / READING_CM * long_side / (long_cm * 10.0)
            }
        })
    }
}
