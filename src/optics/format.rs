//! The size of what the picture falls on, and what a lens for one size is on another.
//!
//! *What it models:* a lens on two formats shows the same view when its focal length goes with the format's size, and draws
//! the same depth when its f-number does too; exposure goes by the f-number alone and does not change.
//! *Formula:* f₂ = f₁ · crop, N₂ = N₁ · crop, crop = d₂ / d₁. Sizes are compared by their diagonals, as the
//! trade does; where the shapes differ no factor gives the same picture, so width and height have their own.
//! *Source:* geometry; the sizes are nominal, film gates and sensors differ by some tenths of a millimetre from maker to maker.
//! *Expected error:* of the formula none, of a nominal size 1 %.

use std::fmt;
use std::str::FromStr;

use crate::decimal;
use crate::error::{Bounds, Error, Result};
use crate::trigonometry::Trigonometry;
use crate::units::Length;

/// One side of a sensor or a sheet of film, millimetres.
pub const FORMAT_SIDE: Bounds = Bounds::new("format", 1.0, 300.0, " mm");

/// A sensor or film format: width and height of the picture with the camera held level.
///
/// ```
/// use duskbook::optics::format::Format;
/// let format: Format = "36x24".parse().unwrap();
/// assert_eq!(format.width().millimetres(), 36.0);
/// assert_eq!(format.to_string(), "36x24");
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Format {
    width_mm: f64,
    height_mm: f64,
}

/// Formats of the trade with their plain names, nominal sizes; the first is what crop factors are told against.
pub const KNOWN: [(&str, Format); 10] = [
    ("135, full frame", Format::nominal(36.0, 24.0)),
    ("APS-C, crop 1.5", Format::nominal(23.5, 15.6)),
    ("APS-C, crop 1.6", Format::nominal(22.3, 14.9)),
    ("four thirds", Format::nominal(17.3, 13.0)),
    ("one inch", Format::nominal(13.2, 8.8)),
    ("44 × 33", Format::nominal(43.8, 32.9)),
    ("6 × 4.5", Format::nominal(56.0, 41.5)),
    ("6 × 6", Format::nominal(56.0, 56.0)),
    ("6 × 7", Format::nominal(70.0, 56.0)),
    ("4 × 5 in", Format::nominal(120.0, 95.0)),
];

/// How much larger one format is than another: what focal length and f-number are multiplied by.
///
/// ```
/// use duskbook::optics::format::Format;
/// let [full, crop] = ["36x24", "23.5x15.6"].map(|text| text.parse::<Format>().unwrap());
/// assert!((full.against(crop).diagonal - 1.534).abs() < 0.0005); // 43.27 / 28.21
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crop {
    /// By the diagonals; what the trade means by the word.
    pub diagonal: f64,
    /// By the widths: for what goes from edge to edge.
    pub width: f64,
    /// By the heights.
    pub height: f64,
}

impl Crop {
    /// Whether the shapes differ by more than a hundredth, so that the three factors are not one.
    pub fn is_another_shape(self) -> bool {
        (self.width / self.height - 1.0).abs() > 0.01
    }
}

impl Format {
    const fn nominal(width_mm: f64, height_mm: f64) -> Self {
        Self { width_mm, height_mm }
    }

    /// From the sides in millimetres.
    ///
    /// # Errors
    /// A side outside 1 mm to 300 mm: names `format`.
    pub fn new(width_mm: f64, height_mm: f64) -> Result<Self> {
        Ok(Self { width_mm: FORMAT_SIDE.check(width_mm)?, height_mm: FORMAT_SIDE.check(height_mm)? })
    }

    /// The same with the camera turned from level to upright, or back.
    #[must_use]
    pub const fn turned(self) -> Self {
        Self { width_mm: self.height_mm, height_mm: self.width_mm }
    }

    /// Corner to corner.
    pub fn diagonal(self) -> Length {
        Length::from_millimetres(self.width_mm.hypotenuse(self.height_mm))
    }

    /// How much smaller its diagonal is than that of 36 × 24 mm, the first of [`KNOWN`].
    ///
    /// ```
    /// use duskbook::optics::format::Format;
    /// assert!((Format::new(18.0, 12.0).unwrap().crop_factor() - 2.0).abs() < 1e-12);
    /// ```
    pub fn crop_factor(self) -> f64 {
        KNOWN[0].1.against(self).diagonal
    }

    /// Half the width and half the height, millimetres: how far the edges are from the middle.
    pub const fn half_sides_mm(self) -> [f64; 2] {
        [self.width_mm / 2.0, self.height_mm / 2.0]
    }

    /// How much larger this format is than another.
    pub fn against(self, other: Self) -> Crop {
        Crop {
            diagonal: self.diagonal().millimetres() / other.diagonal().millimetres(),
            width: self.width_mm / other.width_mm,
            height: self.height_mm / other.height_mm,
        }
    }

    /// The longer side of most formats: left to right with the camera held level.
    pub const fn width(self) -> Length {
        Length::from_millimetres(self.width_mm)
    }

    /// Bottom to top with the camera held level.
    pub const fn height(self) -> Length {
        Length::from_millimetres(self.height_mm)
    }
}

impl FromStr for Format {
    type Err = Error;

    /// Reads width and height in millimetres, `36x24` or `36 × 24`.
    fn from_str(text: &str) -> Result<Self> {
        let refused = || Error::malformed("format", text, "width and height in millimetres like 36x24");
        let (width, height) = text.split_once(['x', 'X', '×']).ok_or_else(refused)?;
        let side = |text: &str| decimal::read(text).ok_or_else(refused);
        Self::new(side(width)?, side(height)?)
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}x{}", decimal::written(self.width_mm), decimal::written(self.height_mm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_are_read_as_people_write_them() {
        for text in ["23.5x15.6", "23.5 × 15.6", " 23.5X15.6 "] {
            assert_eq!(text.parse::<Format>().unwrap().to_string(), "23.5x15.6");
        }
    }

    #[test]
    fn what_is_no_pair_of_sides_is_refused_with_the_right_form() {
        for text in ["", "36", "36x", "x24", "36x24x2", "full"] {
            assert_eq!(text.parse::<Format>().unwrap_err().code(), "malformed", "{text}");
        }
        assert_eq!("36x0".parse::<Format>().unwrap_err().to_string(), "format: 0 is outside 1 mm to 300 mm");
        assert_eq!("36xNaN".parse::<Format>().unwrap_err().code(), "malformed");
    }
}
