//! How far a compass needle points from true north.
//!
//! The World Magnetic Model 2025 (NOAA NCEI and British Geological Survey; report NOAA 2024): a sum of spherical harmonics to degree
//! 12 with a linear change, released for 2025.0 to 2030.0. *Expected error* by the model's own statement
//! √(0.26² + (5417 nT / H)²) degrees (from memory), H the horizontal part of the field: 0.4° in middle latitudes,
//! growing without bound towards the magnetic poles. That is for open ground: steel, a car or a bridge near the
//! phone turns the needle by far more, and none of it is modelled.

use super::declination_terms::TERMS;
use super::place::Place;
use crate::trigonometry::Trigonometry;
use crate::units::{Angle, Instant, Length};

/// Days from J2000 to the model's epoch, 2025.0, and to the end of its time, 2030.0.
const VALID_DAYS: [f64; 2] = [9_131.5, 10_957.5];
/// The radius that the model counts from, metres.
const RADIUS_M: f64 = 6_371_200.0;
const DEGREE: usize = 12;

/// What a compass shows at a place and a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Declination {
    /// From true north to magnetic north, clockwise positive: add it to a magnetic bearing for the true one.
    pub angle: Angle,
    /// The model's standard error of it, 180° at most, where a needle has no direction.
    pub error: Angle,
    /// Whether the time lies within the model's; outside, the nearest end of it is told.
    pub is_current: bool,
}

/// From when to when the model is released.
pub fn validity() -> [Instant; 2] {
    VALID_DAYS.map(Instant::at_days_from_j2000)
}

/// The declination at a place and a time.
///
/// ```
/// use duskbook::{sky::{declination::declination, place::Place}, units::Instant};
/// // NOAA's test value: 1.28° at 80° N, 0° E on 2025-01-01.
/// let place = Place::new(80.0, 0.0, 0.0).unwrap();
/// let found = declination(&place, Instant::from_epoch_ms(1_735_689_600_000.0).unwrap());
/// assert!((found.angle.degrees() - 1.28).abs() < 0.005 && found.is_current);
/// ```
pub fn declination(place: &Place, at: Instant) -> Declination {
    let day = at.days_from_j2000();
    let [first, last] = VALID_DAYS;
    let [north, east] = field(place, place.elevation().metres(), (day.max(first).min(last) - first) / 365.25);
    let error = 0.26_f64.hypotenuse(5417.0 / north.hypotenuse(east).max(1.0)).min(180.0);
    Declination {
        angle: Angle::from_radians(east.atan2(north)),
        error: Angle::from_degrees(error),
        is_current: (first..=last).contains(&day),
    }
}

/// The northward and eastward field, nanotesla, so many metres above the ellipsoid and so many years after 2025.0.
fn field(place: &Place, height_m: f64, years: f64) -> [f64; 2] {
    let (sin_latitude, cos_latitude) = place.latitude().radians().sine_cosine();
    let [from_axis, from_equator] = place.geocentric(Length::from_metres(height_m));
    // At a pole east has no direction; a hair's breadth off it has.
    let from_axis = from_axis.max(1e-3);
    let radius = from_axis.hypotenuse(from_equator);
    let (sin, cos) = (from_equator / radius, from_axis / radius);

    let [mut north, mut east, mut down] = [0.0; 3];
    // Schmidt's semi-normalised Legendre functions, order by order: of degree = order, then upwards.
    let mut sectoral = 1.0;
    for order in 0..=DEGREE {
        let m = order as f64;
        if order > 0 {
            sectoral *= cos * if order == 1 { 1.0 } else { ((2.0 * m - 1.0) / (2.0 * m)).sqrt() };
        }
        let (sin_m, cos_m) = (m * place.longitude().radians()).sine_cosine();
        let [mut before, mut here] = [0.0, sectoral];
        for degree in order..=DEGREE {
            let n = degree as f64;
            let root = (n * n - m * m).sqrt();
            if degree > order {
                let next =
                    ((2.0 * n - 1.0) * sin * here - ((n - 1.0).powi(2) - m * m).sqrt() * before) / root;
                [before, here] = [here, next];
            }
            if degree == 0 {
                continue;
            }
            let ([g, h], [g_rate, h_rate]) = TERMS[degree * (degree + 1) / 2 - 1 + order];
            let at_time = |value: i32, rate: i16| 0.1 * (f64::from(value) + f64::from(rate) * years);
            let (g, h) = (at_time(g, g_rate), at_time(h, h_rate));
            let nearness = (RADIUS_M / radius).powi(degree as i32 + 2);
            let along = nearness * (g * cos_m + h * sin_m);
            north -= along * (root * before - n * sin * here) / cos;
            east += nearness * m * (g * sin_m - h * cos_m) * here / cos;
            down -= along * (n + 1.0) * here;
        }
    }
    // From the geocentric to the geodetic vertical.
    let (sin_turn, cos_turn) =
        (sin * cos_latitude - cos * sin_latitude, cos * cos_latitude + sin * sin_latitude);
    [north * cos_turn - down * sin_turn, east]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Year, height in km, latitude, longitude, declination: the twelve test values of the model's report, to 0.01°, and
    /// four of NOAA's hundred. As quoted in the test suites of public implementations.
    const VALUES: [[f64; 5]; 16] = [
        [2025.0, 0.0, 80.0, 0.0, 1.28],
        [2025.0, 0.0, 0.0, 120.0, -0.16],
        [2025.0, 0.0, -80.0, 240.0, 68.78],
        [2025.0, 100.0, 80.0, 0.0, 0.85],
        [2025.0, 100.0, 0.0, 120.0, -0.15],
        [2025.0, 100.0, -80.0, 240.0, 68.21],
        [2027.5, 0.0, 80.0, 0.0, 2.59],
        [2027.5, 0.0, 0.0, 120.0, -0.24],
        [2027.5, 0.0, -80.0, 240.0, 68.49],
        [2027.5, 100.0, 80.0, 0.0, 2.16],
        [2027.5, 100.0, 0.0, 120.0, -0.23],
        [2027.5, 100.0, -80.0, 240.0, 67.93],
        [2025.0, 28.0, 89.0, -121.0, -99.77],
        [2025.0, 48.0, 80.0, -96.0, -29.91],
        [2025.0, 18.0, 0.0, 21.0, 1.29],
        [2025.5, 6.0, -36.0, -137.0, 20.28],
    ];

    #[test]
    fn the_published_test_values_come_out() {
        for [year, height_km, latitude, longitude, declination] in VALUES {
            let longitude = (longitude + 180.0_f64).rem_euclid(360.0) - 180.0;
            let place = Place::new(latitude, longitude, 0.0).unwrap();
            let [north, east] = field(&place, height_km * 1e3, year - 2025.0);
            let found = east.atan2(north).to_degrees();
            assert!((found - declination).abs() <= 0.005, "{found} for {declination}");
        }
        // The report's table 3b, to ten decimals: X 5983.9760, Y 14760.1360 nT.
        let [north, east] = field(&Place::new(-80.0, -120.0, 0.0).unwrap(), 1e5, 2.5);
        assert!((north - 5_983.976_049_651_8).abs() < 1e-6 && (east - 14_760.135_975_786_8).abs() < 1e-6);
    }

    #[test]
    fn a_time_outside_the_models_own_is_told_as_such() {
        let place = Place::new(50.0, 8.0, 0.0).unwrap();
        let [first, last] = validity();
        let of = |at| declination(&place, at);
        // 2025-01-01 and 2030-01-01.
        assert_eq!([first, last].map(Instant::epoch_ms), [1_735_689_600_000.0, 1_893_456_000_000.0]);
        let late = of(last.plus_seconds(1e8));
        assert!(!late.is_current && of(last).is_current && of(first).is_current);
        assert_eq!(late.angle, of(last).angle);
        assert!(!of(first.plus_seconds(-1.0)).is_current);
    }

    #[test]
    fn the_poles_have_numbers_and_a_warning() {
        for latitude in [90.0, -90.0, 86.0, -64.1] {
            for longitude in [-180.0, 139.0, 135.0] {
                let place = Place::new(latitude, longitude, 0.0).unwrap();
                let found = declination(&place, validity()[0]);
                assert!(found.angle.degrees().is_finite(), "{found:?}");
            }
        }
        // The magnetic pole of 2025 is near 86° N, 139° E.
        assert!(declination(&Place::new(86.0, 139.0, 0.0).unwrap(), validity()[0]).error.degrees() > 5.0);
        let fine = declination(&Place::new(45.0, 10.0, 0.0).unwrap(), validity()[0]);
        assert!(fine.error.degrees() < 0.5);
    }
}
