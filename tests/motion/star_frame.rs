//! The declinations in a frame, against every point of a fine grid turned back to the sky.

use duskbook::web::motion::{StarFrameAnswer, StarFrameQuestion, star_frame};
use proptest::prelude::*;

use super::{camera, close};

/// Of the grid, each way.
const CELLS: i32 = 240;

fn asked(latitude_deg: f64, bearing_deg: f64, altitude_deg: f64) -> StarFrameQuestion {
    StarFrameQuestion { focal_mm: 24.0, format_mm: [36.0, 24.0], latitude_deg, bearing_deg, altitude_deg }
}

fn told(latitude: f64, bearing: f64, altitude: f64) -> StarFrameAnswer {
    star_frame(&asked(latitude, bearing, altitude)).unwrap()
}

/// By hand: at latitude 50° the meridian south at altitude h has declination h − 40°, the north one beyond the
/// pole 140° − h; half the height of 24 mm is atan(12/24) = 26.57°.
#[test]
fn on_the_meridian_declinations_are_altitudes() {
    let south = told(50.0, 180.0, 30.0);
    close(south.middle_deg, -10.0, 1e-9, "middle");
    close(south.most_deg, 16.565, 0.001, "top of the meridian");
    assert!(south.least_deg < -36.5 && south.fastest_deg == 0.0 && south.pole.is_none(), "{south:?}");
    let north = told(50.0, 0.0, 50.0);
    assert_eq!((north.most_deg, north.pole), (90.0, Some("north")));
    close(north.least_deg, 90.0 - 42.03, 0.01, "corner");
    let down_under = told(-50.0, 180.0, 50.0);
    assert_eq!((down_under.least_deg, down_under.pole), (-90.0, Some("south")));
    close(down_under.fastest_deg, -north.fastest_deg, 1e-9, "fastest");
}

#[test]
fn at_the_pole_and_at_the_zenith_all_is_told() {
    let zenith = told(90.0, 0.0, 90.0);
    assert_eq!((zenith.pole, zenith.most_deg), (Some("north"), 90.0));
    close(zenith.middle_deg, 90.0, 1e-6, "middle");
    // A level lens at a pole sees the same above and below the equator.
    let level = told(-90.0, 123.0, 0.0);
    close(level.most_deg, 26.565, 0.001, "most");
    close(level.least_deg, -26.565, 0.001, "least");
    assert_eq!(star_frame(&asked(91.0, 0.0, 0.0)).unwrap_err().field(), "latitudeDeg");
    assert_eq!(star_frame(&asked(0.0, 400.0, 0.0)).unwrap_err().field(), "bearingDeg");
    assert_eq!(star_frame(&asked(0.0, 0.0, 95.0)).unwrap_err().field(), "altitudeDeg");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn a_grid_over_the_frame_finds_the_same(
        latitude in -90.0..90.0f64, bearing in 0.0..360.0f64, altitude in -90.0..90.0f64, focal in 8.0..200.0f64,
    ) {
        let q = StarFrameQuestion { focal_mm: focal, ..asked(latitude, bearing, altitude) };
        let frame = star_frame(&q).unwrap();
        let eye = camera(bearing, altitude);
        let (sin, cos) = latitude.to_radians().sin_cos();
        let (mut least, mut most) = (90.0_f64, -90.0_f64);
        for i in 0..=CELLS {
            for j in 0..=CELLS {
                let x = 36.0 * (f64::from(i) / f64::from(CELLS) - 0.5);
                let y = 24.0 * (f64::from(j) / f64::from(CELLS) - 0.5);
                let length = (x * x + y * y + focal * focal).sqrt();
                let [_, north, up] = [0, 1, 2].map(|axis| (eye[0][axis] * x + eye[1][axis] * y + eye[2][axis] * focal) / length);
                let declination = (north * cos + up * sin).clamp(-1.0, 1.0).asin().to_degrees();
                least = least.min(declination);
                most = most.max(declination);
            }
        }
        // Half the diagonal of a cell from the middle of the picture, where cells are largest.
        let cell = (0.09 / focal).to_degrees();
        prop_assert!(frame.least_deg <= least + 1e-6 && frame.least_deg >= least - cell, "{frame:?}, grid from {least}");
        prop_assert!(frame.most_deg >= most - 1e-6 && frame.most_deg <= most + cell, "{frame:?}, grid to {most}");
        let nearest = if least <= 0.0 && most >= 0.0 { 0.0 } else { least.abs().min(most.abs()) };
        prop_assert!((frame.fastest_deg.abs() - nearest).abs() <= cell);
    }
}
