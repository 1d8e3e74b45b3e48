//! A place on the Earth.

use crate::error::{Bounds, Result};
use crate::units::{Angle, Length};

/// Geodetic latitude, degrees, north positive.
pub const LATITUDE: Bounds = Bounds::new("latitudeDeg", -90.0, 90.0, "°");
/// Longitude, degrees, east positive.
pub const LONGITUDE: Bounds = Bounds::new("longitudeDeg", -180.0, 180.0, "°");
/// Height above the sea, metres.
pub const ELEVATION: Bounds = Bounds::new("elevationM", -500.0, 9000.0, " m");

/// Equatorial radius of the WGS 84 ellipsoid, metres.
pub(super) const EQUATOR_M: f64 = 6_378_137.0;
/// Flattening of the WGS 84 ellipsoid.
pub(super) const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// A place on the WGS 84 ellipsoid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    latitude: Angle,
    longitude: Angle,
    elevation: Length,
}

impl Place {
    /// From degrees north, degrees east and metres above the sea.
    ///
    /// # Errors
    /// Any of the three out of its bounds; the error names it.
    pub fn new(latitude_deg: f64, longitude_deg: f64, elevation_m: f64) -> Result<Self> {
        Ok(Self {
            latitude: Angle::from_degrees(LATITUDE.check(latitude_deg)?),
            longitude: Angle::from_degrees(LONGITUDE.check(longitude_deg)?),
            elevation: Length::from_metres(ELEVATION.check(elevation_m)?),
        })
    }

    /// Geodetic latitude, north positive, −90° to 90°.
    pub const fn latitude(&self) -> Angle {
        self.latitude
    }

    /// Longitude, east positive, −180° to 180°.
    pub const fn longitude(&self) -> Angle {
        self.longitude
    }

    /// Height above the sea.
    pub const fn elevation(&self) -> Length {
        self.elevation
    }
}
