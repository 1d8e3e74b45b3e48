//! A lens on a format: what every question of view, depth and movement starts from.

use super::format::Format;
use crate::error::{Bounds, Result};
use crate::units::Length;

/// A focal length, millimetres.
pub const FOCAL: Bounds = Bounds::new("focalMm", 1.0, 5000.0, " mm");

/// A focal length over a format.
///
/// ```
/// use duskbook::optics::{format::Format, lens::Lens};
/// let lens = Lens::new(24.0, Format::new(36.0, 24.0).unwrap()).unwrap();
/// assert_eq!(lens.focal().millimetres(), 24.0);
/// assert_eq!(lens.turned().format().width().millimetres(), 24.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    focal_mm: f64,
    format: Format,
}

impl Lens {
    /// From the focal length in millimetres and the format as the camera is held.
    ///
    /// # Errors
    /// A focal length outside 1 mm to 5000 mm: names `focalMm`.
    pub fn new(focal_mm: f64, format: Format) -> Result<Self> {
        Ok(Self { focal_mm: FOCAL.check(focal_mm)?, format })
    }

    /// The focal length.
    pub const fn focal(self) -> Length {
        Length::from_millimetres(self.focal_mm)
    }

    /// Left to right and bottom to top, as the camera is held.
    pub const fn format(self) -> Format {
        self.format
    }

    /// The same with the camera turned from level to upright, or back.
    #[must_use]
    pub const fn turned(self) -> Self {
        Self { format: self.format.turned(), ..self }
    }
}
