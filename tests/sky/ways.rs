//! Bearings and distances against Karney's geodesics.

use duskbook::sky::place::{Place, bearing_and_distance};
use duskbook::units::Bearing;

use crate::data::{Worst, number, table};

#[test]
fn ways_over_the_ellipsoid_are_right_to_half_a_millimetre() {
    let [mut distances, mut sideways] = [Worst::new(), Worst::new()];
    for row in table("sky_geodesics.csv", 500) {
        let [latitude, longitude, to_latitude, to_longitude, bearing, metres] =
            [0, 1, 2, 3, 4, 5].map(|i| number(&row[i]));
        let from = Place::new(latitude, longitude, 0.0).unwrap();
        let to = Place::new(to_latitude, to_longitude, 0.0).unwrap();
        let (found, distance) = bearing_and_distance(&from, &to).unwrap();
        let turn = (found - Bearing::from_degrees(bearing)).radians();
        distances.note(distance.metres() - metres, row.join(","));
        // As far as the ways part at the end, on a sphere.
        sideways.note(turn * 6_371e3 * (metres / 6_371e3).sin(), row.join(","));
    }
    distances.within("distance, metres", 0.0005);
    sideways.within("bearing, metres beside the target", 0.0005);
}
