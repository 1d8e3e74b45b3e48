//! A place on the Earth, and the way from one to another.

use crate::error::{Bounds, Error, Result};
use crate::math::polynomial;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing, Length};

/// Geodetic latitude, degrees, north positive.
pub const LATITUDE: Bounds = Bounds::new("latitudeDeg", -90.0, 90.0, "°");
/// Longitude, degrees, east positive.
pub const LONGITUDE: Bounds = Bounds::new("longitudeDeg", -180.0, 180.0, "°");
/// Height above the sea, metres.
pub const ELEVATION: Bounds = Bounds::new("elevationM", -500.0, 9000.0, " m");

/// Equatorial radius of the WGS 84 ellipsoid, metres.
pub(super) const EQUATOR_M: f64 = 6_378_137.0;
/// Flattening of the WGS 84 ellipsoid.
const FLATTENING: f64 = 1.0 / 298.257_223_563;

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

    /// Metres from the Earth's axis, and north of its equator's plane, at a height above the ellipsoid here.
    #[inline(never)]
    pub(super) fn geocentric(&self, height: Length) -> [f64; 2] {
        let (sin, cos) = self.latitude.radians().sine_cosine();
        let polar = (1.0 - FLATTENING) * (1.0 - FLATTENING);
        let normal = EQUATOR_M / (cos * cos + polar * sin * sin).sqrt();
        [(normal + height.metres()) * cos, (polar * normal + height.metres()) * sin]
    }
}

/// Bearing and length of the shortest way from one place to another over the WGS 84 ellipsoid, heights left out.
///
/// Vincenty's inverse formula (Survey Review 23, 1975, 88). *Expected error* below 0.5 mm, and for the bearing
/// what that much sideways comes to. At a pole, bearings count from the meridian of the longitude that the place was
/// given with.
///
/// # Errors
/// A conflict, named `target`: the same place, which lies in no direction, or one almost opposite on the
/// globe (some 60 km around the antipode), to which all directions are nearly as short.
///
/// ```
/// use duskbook::sky::place::{Place, bearing_and_distance};
/// let (from, to) = (Place::new(0.0, 10.0, 0.0).unwrap(), Place::new(0.0, 11.0, 0.0).unwrap());
/// let (bearing, distance) = bearing_and_distance(&from, &to).unwrap();
/// assert!((bearing.degrees() - 90.0).abs() < 1e-12);
/// assert!((distance.metres() - 111_319.491).abs() < 0.001); // 6 378 137 m × π/180
/// ```
pub fn bearing_and_distance(from: &Place, to: &Place) -> Result<(Bearing, Length)> {
    const POLAR_M: f64 = EQUATOR_M * (1.0 - FLATTENING);
    let reduced = |place: &Place| {
        let (sin, cos) = place.latitude.radians().sine_cosine();
        let (sin, length) = ((1.0 - FLATTENING) * sin, ((1.0 - FLATTENING) * sin).hypotenuse(cos));
        (sin / length, cos / length)
    };
    let ((sin1, cos1), (sin2, cos2)) = (reduced(from), reduced(to));
    let turn = (Bearing::from_radians(to.longitude.radians())
        - Bearing::from_radians(from.longitude.radians()))
    .radians();
    let opposite = || Error::conflict("target", "almost opposite on the globe: no one bearing leads there");

    let mut on_sphere = turn;
    for _ in 0..100 {
        let (sin_turn, cos_turn) = on_sphere.sine_cosine();
        let (east, north) = (cos2 * sin_turn, cos1 * sin2 - sin1 * cos2 * cos_turn);
        let sin_arc = east.hypotenuse(north);
        if sin_arc == 0.0 && turn == 0.0 {
            return Err(Error::conflict("target", "the same place: it lies in no direction"));
        }
        let cos_arc = sin1 * sin2 + cos1 * cos2 * cos_turn;
        let arc = sin_arc.atan2(cos_arc);
        let sin_equator = if sin_arc == 0.0 { 0.0 } else { cos1 * east / sin_arc };
        let cos2_equator = 1.0 - sin_equator * sin_equator;
        // Along the equator there is no middle latitude, and its factor is nothing.
        let cos_middle = if cos2_equator < 1e-15 { 0.0 } else { cos_arc - 2.0 * sin1 * sin2 / cos2_equator };
        let middle = 2.0 * cos_middle * cos_middle - 1.0;

        let c = FLATTENING / 16.0 * cos2_equator * (4.0 + FLATTENING * (4.0 - 3.0 * cos2_equator));
        let along = arc + c * sin_arc * (cos_middle + c * cos_arc * middle);
        let next = turn + (1.0 - c) * FLATTENING * sin_equator * along;
        if next.abs() > std::f64::consts::PI {
            return Err(opposite());
        }
        if (next - on_sphere).abs() > 1e-14 {
            on_sphere = next;
            continue;
        }

        let u2 = cos2_equator * ((EQUATOR_M / POLAR_M).powi(2) - 1.0);
        let a = 1.0 + u2 / 16384.0 * polynomial(u2, &[4096.0, -768.0, 320.0, -175.0]);
        let b = u2 / 1024.0 * polynomial(u2, &[256.0, -128.0, 74.0, -47.0]);
        let bent = b / 6.0 * cos_middle * (4.0 * sin_arc * sin_arc - 3.0) * (2.0 * middle - 1.0);
        let correction = b * sin_arc * (cos_middle + b / 4.0 * (cos_arc * middle - bent));
        let distance = POLAR_M * a * (arc - correction);
        return Ok((Bearing::from_radians(east.atan2(north)), Length::from_metres(distance)));
    }
    Err(opposite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn way(from: (f64, f64), to: (f64, f64)) -> Result<(Bearing, Length)> {
        let place = |(latitude, longitude)| Place::new(latitude, longitude, 0.0).unwrap();
        bearing_and_distance(&place(from), &place(to))
    }

    #[test]
    fn the_way_along_a_meridian_is_a_quarter_of_it() {
        // The quarter meridian of WGS 84 is 10 001 965.729 m (NIMA TR 8350.2, 1997).
        let (bearing, distance) = way((0.0, 20.0), (90.0, 20.0)).unwrap();
        assert!(bearing.degrees() < 1e-9 && (distance.metres() - 10_001_965.729).abs() < 0.001);
        assert_eq!(way((10.0, 20.0), (-10.0, 20.0)).unwrap().0.degrees(), 180.0);
    }

    #[test]
    fn the_date_line_is_no_obstacle() {
        let (bearing, distance) = way((-17.0, 179.9), (-17.0, -179.9)).unwrap();
        assert!((bearing.degrees() - 90.0).abs() < 0.1 && distance.metres() < 22_000.0);
    }

    #[test]
    fn nowhere_and_everywhere_are_refused() {
        for to in [(50.0, 8.0), (-50.0, -172.0), (-50.1, -171.9)] {
            assert_eq!(way((50.0, 8.0), to).unwrap_err().field(), "target");
        }
        assert!(way((50.0, 8.0), (-48.0, -172.0)).is_ok());
    }
}
