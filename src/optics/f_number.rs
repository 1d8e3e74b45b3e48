//! The f-number as optics needs it: a ratio, taken literally.

use crate::error::{Bounds, Result};

/// Focal length over the diameter of the opening.
pub const F_NUMBER: Bounds = Bounds::new("aperture", 0.5, 512.0, "");

/// An f-number N. What is engraved is rounded, f/11 is exactly 11.31; here 11 is 11.
///
/// ```
/// use duskbook::optics::f_number::FNumber;
/// assert_eq!(FNumber::new(8.0).unwrap().value(), 8.0);
/// assert_eq!(FNumber::new(0.0).unwrap_err().to_string(), "aperture: 0 is outside 0.5 to 512");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FNumber {
    value: f64,
}

impl FNumber {
    /// From the number after the stroke.
    ///
    /// # Errors
    /// Outside f/0.5 to f/512: names `aperture`.
    pub fn new(value: f64) -> Result<Self> {
        Ok(Self { value: F_NUMBER.check(value)? })
    }

    /// The number after the stroke.
    pub const fn value(self) -> f64 {
        self.value
    }
}
