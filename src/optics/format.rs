//! The size of what the picture falls on.

use std::fmt;
use std::str::FromStr;

use crate::decimal;
use crate::error::{Bounds, Error, Result};
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

impl Format {
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
