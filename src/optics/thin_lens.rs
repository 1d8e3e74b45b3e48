//! The one law under view and depth: 1/f = 1/u + 1/v.
//!
//! *What it models:* an ideal thin lens, all distances from its centre. *Formula:* v = f u / (u − f) = f (1 + m) with
//! m = f / (u − f). *Source:* Ray, *Applied Photographic Optics*, as quoted (second-hand). *Range:* anything farther off than
//! the focal length; nearer there is no picture. *Not modelled:* the principal planes of thick lenses, focus breathing.

use crate::decimal::written;
use crate::error::{Bounds, Error, Result};
use crate::units::{Length, Stops};

/// How far off something is, metres.
pub const DISTANCE: Bounds = Bounds::new("distanceM", 0.01, 1_000_000.0, " m");

/// A distance that a lens can draw a picture of.
///
/// # Errors
/// Outside 1 cm to 1000 km, or no farther off than the focal length: names `field`.
pub fn before(focal: Length, field: &'static str, metres: f64) -> Result<Length> {
    let metres = DISTANCE.check(metres).map_err(|refused| refused.in_field(field))?;
    if metres > focal.metres() {
        return Ok(Length::from_metres(metres));
    }
    let (off, focal) = (written(metres), written(focal.metres()));
    Err(Error::conflict(
        field,
        format!("{off} m is not beyond the focal length, {focal} m: no picture there"),
    ))
}

/// How far behind the lens the picture of something lies, for a distance from [`before`].
///
/// ```
/// use duskbook::optics::thin_lens::image_distance;
/// use duskbook::units::Length;
/// let [focal, twice] = [50.0, 100.0].map(Length::from_millimetres);
/// assert!((image_distance(focal, twice).millimetres() - 100.0).abs() < 1e-9); // life size
/// ```
pub fn image_distance(focal: Length, object: Length) -> Length {
    Length::from_metres(focal.metres() / (1.0 - focal.metres() / object.metres()))
}

/// What the light loses as the lens moves out to focus: 2 log2(1 + m), two stops at life size.
///
/// ```
/// use duskbook::optics::thin_lens::bellows_loss;
/// use duskbook::units::Length;
/// let [focal, twice] = [50.0, 100.0].map(Length::from_millimetres);
/// assert!((bellows_loss(focal, twice).count() - 2.0).abs() < 1e-9);
/// ```
pub fn bellows_loss(focal: Length, object: Length) -> Stops {
    Stops::from_factor(image_distance(focal, object).metres() / focal.metres()) * 2.0
}
