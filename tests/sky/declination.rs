//! Declination against another implementation of the World Magnetic Model.

use duskbook::sky::declination::{declination, validity};
use duskbook::sky::place::Place;

use crate::data::{Worst, number, table};

#[test]
fn another_implementation_says_the_same() {
    let mut angles = Worst::new();
    for row in table("sky_declination.csv", 300) {
        let [latitude, longitude, height, year, angle, horizontal] =
            [0, 1, 2, 3, 4, 5].map(|i| number(&row[i]));
        let place = Place::new(latitude, longitude, height).unwrap();
        let found = declination(&place, validity()[0].plus_seconds((year - 2025.0) * 365.25 * 86_400.0));
        let turn = (found.angle.degrees() - angle + 540.0) % 360.0 - 180.0;
        // As the needle's tip moves, for near the magnetic poles a degree is nothing.
        angles.note(turn * (horizontal / 20_000.0).min(1.0), row.join(","));
        assert!(found.is_current);
    }
    angles.within("declination, degrees", 1e-4);
}

#[test]
fn the_coefficients_in_the_source_are_those_of_the_table() {
    let rows = table("sky_declination_terms.csv", 90);
    let expected: Vec<i32> = rows
        .iter()
        .flat_map(|row| row[2..].iter().map(|cell| (number(cell) * 10.0).round() as i32))
        .collect();
    let source = include_str!("../../src/sky/declination_terms.rs");
    let body = source.split_once("= [").unwrap().1;
    let written: Vec<i32> =
        body.split(|c: char| "[], ;()\n".contains(c)).filter_map(|word| word.parse().ok()).collect();
    assert_eq!(written, expected);
}
