//! The direction table against the radiances it was made from.

use std::collections::BTreeMap;

use duskbook::light::direction::over_even_sky;
use duskbook::units::Angle;

use crate::data::{Worst, number, table};

/// Altitudes of view in the table of radiances, degrees.
const VIEWS_DEG: [f64; 10] = [1.5, 3.0, 5.0, 8.0, 12.0, 20.0, 30.0, 45.0, 60.0, 90.0];

/// Mean over 0° to 20° of a radiance known at some altitudes, its logarithm straight between them.
fn band_mean(radiances: &[f64]) -> f64 {
    let at = |view_deg: f64| {
        let above = VIEWS_DEG.partition_point(|&view| view <= view_deg).clamp(1, VIEWS_DEG.len() - 1);
        let (low, high) = (VIEWS_DEG[above - 1], VIEWS_DEG[above]);
        let part = ((view_deg - low) / (high - low)).clamp(0.0, 1.0);
        radiances[above - 1].powf(1.0 - part) * radiances[above].powf(part)
    };
    (0..=80).map(|i| at(f64::from(i) * 0.25)).sum::<f64>() / 81.0
}

/// Stops over an even sky for each sun altitude and turn, in hundredths of a degree, the mean of both airs.
fn recomputed() -> BTreeMap<(i32, i32), f64> {
    let key = |cell: &str| (number(cell) * 100.0).round() as i32;
    let mut stops: BTreeMap<(i32, i32), f64> = BTreeMap::new();
    for row in table("light_radiance.csv", 256) {
        let radiances: Vec<f64> = row[4..].iter().map(|cell| number(cell)).collect();
        let over = (std::f64::consts::PI * band_mean(&radiances) / number(&row[3])).log2();
        *stops.entry((key(&row[1]), key(&row[2]))).or_default() += 0.5 * over;
    }
    // The three deepest rows are held at their mean, the highest of them going halfway.
    let turns: Vec<i32> = stops.keys().filter(|key| key.0 == 0).map(|key| key.1).collect();
    for turn in turns {
        let deep = [-800, -700, -600].map(|sun| stops[&(sun, turn)]).iter().sum::<f64>() / 3.0;
        let highest = 0.5 * (stops[&(-600, turn)] + deep);
        stops.extend([((-800, turn), deep), ((-700, turn), deep), ((-600, turn), highest)]);
    }
    stops
}

#[test]
fn the_generated_table_is_what_the_radiances_give() {
    let stops = recomputed();
    assert_eq!(stops.len(), 128);
    let mut worst = Worst::default();
    for (&(sun, turn), wanted) in &stops {
        let (sun_deg, turn_deg) = (f64::from(sun) / 100.0, f64::from(turn) / 100.0);
        let got = over_even_sky(Angle::from_degrees(sun_deg), Angle::from_degrees(turn_deg)).count();
        worst.note(got - wanted, format!("sun {sun_deg}°, turn {turn_deg}°"));
    }
    // Half of the table's sixth decimal, and the rounding of degrees into radians and back.
    worst.within("direction table against radiances, stops", 5.1e-7);
}
