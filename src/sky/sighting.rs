//! A direction taken with a phone: laid along the line of sight, it tells its compass heading and how far its upper end is
//! raised, again and again.
//!
//! The mean is that of the unit vectors, so that headings on both sides of north average to north. The scatter is the
//! standard deviation of one reading about it; what steel nearby turns, it turns for all of them, and no scatter shows it.
//! How many minutes an error of altitude is worth follows from how fast a body sinks there: 15.04° cos φ |sin A| an hour
//! (spherical astronomy, from memory; for the sun, whose declination hardly changes).

use crate::error::{Bounds, Result};
use crate::sky::place::Place;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Bearing};

/// How many readings make one sighting.
pub const SAMPLES: Bounds = Bounds::new("samples", 1.0, 2000.0, " readings");
/// What the phone tells: a heading or a raise.
const TURN: Bounds = Bounds::new("samples", -360.0, 360.0, "°");

/// How far the sky turns in a minute, degrees.
const TURN_A_MINUTE: f64 = 360.0 / 1436.068;
/// Slower than this a body does not sink but pass by, degrees a minute.
const LEAST_A_MINUTE: f64 = 0.01;

/// The mean of some readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sighting {
    /// By the phone's own north.
    pub azimuth: Bearing,
    /// Above the horizontal.
    pub altitude: Angle,
    /// Standard deviation of one reading in azimuth, none for a single one.
    pub azimuth_scatter: Angle,
    /// The same in altitude.
    pub altitude_scatter: Angle,
}

impl Sighting {
    /// Of readings of the heading, clockwise, and the raise, both in degrees. A phone raised past upright sights behind it.
    ///
    /// # Errors
    /// No reading, too many, or one that cannot be: names `samples`.
    ///
    /// ```
    /// use duskbook::sky::sighting::Sighting;
    /// let mean = Sighting::of(&[[358.0, 4.0], [4.0, 6.0]]).unwrap();
    /// assert!((mean.azimuth.degrees() - 1.0).abs() < 0.02 && (mean.altitude.degrees() - 5.0).abs() < 0.02);
    /// ```
    pub fn of(samples: &[[f64; 2]]) -> Result<Self> {
        SAMPLES.check(samples.len() as f64)?;
        let (mut sum, mut directions) = ([0.0; 3], Vec::with_capacity(samples.len()));
        for &[heading, raise] in samples {
            let (east, north) = TURN.check(heading)?.to_radians().sine_cosine();
            let (up, level) = TURN.check(raise)?.to_radians().sine_cosine();
            let to = [level * north, level * east, up];
            directions.push(direction(to));
            for (sum, part) in sum.iter_mut().zip(to) {
                *sum += part;
            }
        }
        let (azimuth, altitude) = direction(sum);
        let mut squares = [0.0; 2];
        for (towards, up) in directions {
            for (sum, off) in squares.iter_mut().zip([towards - azimuth, up - altitude]) {
                *sum += off.degrees() * off.degrees();
            }
        }
        let free = (samples.len() as f64 - 1.0).max(1.0);
        let [azimuth_scatter, altitude_scatter] = squares.map(|sum| Angle::from_degrees((sum / free).sqrt()));
        Ok(Self { azimuth, altitude, azimuth_scatter, altitude_scatter })
    }
}

/// Where a vector to the north, to the east and up points.
#[inline(never)]
fn direction([north, east, up]: [f64; 3]) -> (Bearing, Angle) {
    (Bearing::from_radians(east.atan2(north)), Angle::from_radians(up.atan2(north.hypotenuse(east))))
}

/// Minutes in which a setting or rising sun passes so much altitude in a direction; none near the meridian, where it
/// hardly sinks.
///
/// ```
/// use duskbook::{sky::{place::Place, sighting::minutes_of}, units::{Angle, Bearing}};
/// // On the equator the sun sinks upright in the west: a degree in four minutes.
/// let place = Place::new(0.0, 0.0, 0.0).unwrap();
/// let minutes = minutes_of(&place, Bearing::from_degrees(270.0), Angle::from_degrees(1.0)).unwrap();
/// assert!((minutes - 3.99).abs() < 0.01);
/// ```
pub fn minutes_of(place: &Place, azimuth: Bearing, altitude: Angle) -> Option<f64> {
    let rate = TURN_A_MINUTE * place.latitude().radians().cosine() * azimuth.radians().sine().abs();
    (rate > LEAST_A_MINUTE).then(|| altitude.degrees() / rate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scatter_is_that_of_the_readings_across_north_as_well() {
        let mean = Sighting::of(&[[359.0, 4.0], [1.0, 4.0], [0.0, 4.0], [0.0, 4.0]]).unwrap();
        assert!((mean.azimuth - Bearing::from_degrees(0.0)).degrees().abs() < 1e-9);
        // √(2 / 3) by hand.
        assert!((mean.azimuth_scatter.degrees() - 0.8165).abs() < 1e-3);
        assert!(mean.altitude_scatter.degrees() < 0.01);
        assert_eq!(Sighting::of(&[[10.0, 3.0]]).unwrap().azimuth_scatter, Angle::ZERO);
    }

    #[test]
    fn a_phone_raised_past_upright_sights_behind() {
        let mean = Sighting::of(&[[90.0, 170.0], [270.0, 10.0]]).unwrap();
        assert!(
            (mean.azimuth.degrees() - 270.0).abs() < 1e-9 && (mean.altitude.degrees() - 10.0).abs() < 1e-9
        );
        assert!(mean.azimuth_scatter.degrees() < 1e-9 && mean.altitude_scatter.degrees() < 1e-9);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert_eq!(Sighting::of(&[]).unwrap_err().field(), "samples");
        assert_eq!(Sighting::of(&[[f64::NAN, 0.0]]).unwrap_err().field(), "samples");
        let place = Place::new(50.0, 0.0, 0.0).unwrap();
        assert_eq!(minutes_of(&place, Bearing::from_degrees(180.0), Angle::from_degrees(1.0)), None);
    }
}
