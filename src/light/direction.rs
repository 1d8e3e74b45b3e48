//! How much brighter or darker the low sky is than an even sky, by its direction from the sun.
//!
//! The band from 0° to 20° above the horizon fills the top of most frames. Its mean luminance, against that of an
//! even sky giving the same illuminance, is log₂(π L / E) stops: three and more toward the sun in twilight,
//! a little below zero away from it.
//!
//! Computed for this project by a spherical Monte Carlo of multiple scattering (550 nm, standard atmosphere with
//! ozone, aerosol optical depth 0.10 and 0.25 averaged, ground albedo 0.15, no refraction, nothing tuned); its
//! radiances and both scripts are among the tests' data. Half the difference of the two airs is 0.03 to 0.65
//! stop, most toward the sun in deep twilight: take a quarter to half a stop as the expected error of a clear
//! evening. Linear between the table's rows and columns.
//!
//! Beyond the table its last rows hold. Below −8° the sky fades at one rate all over (Koomen et al. 1952, JOSA
//! 42:353). Above +10° the band is left too bright, by two stops or so at noon (from memory of clear skies): this is
//! no model of midday.

use super::direction_terms::{STOPS, SUN_DEG, TURN_DEG};
use crate::math::lerp;
use crate::units::{Angle, Stops};

/// Stops by which the sky from 0° to 20° above the horizon outshines an even sky of the same illuminance.
///
/// `sun` is the geometric altitude of the sun, `turn` the lens's bearing less the sun's, either way round.
///
/// ```
/// use duskbook::{light::direction, units::Angle};
/// let toward = direction::over_even_sky(Angle::from_degrees(-4.0), Angle::ZERO);
/// assert!((toward.count() - 3.0).abs() < 0.005);
/// ```
pub fn over_even_sky(sun: Angle, turn: Angle) -> Stops {
    let turn_deg = (turn.degrees().abs() + 180.0).rem_euclid(360.0) - 180.0;
    let (row, down) = place_among(&SUN_DEG, sun.degrees());
    let (column, along) = place_among(&TURN_DEG, turn_deg.abs());
    let across = |row: usize| lerp(STOPS[row][column], STOPS[row][column + 1], along);
    Stops::new(lerp(across(row), across(row + 1), down))
}

/// The interval of ascending `nodes` that `x` falls in, and how far along it, 0 to 1; outside, the nearest end.
fn place_among(nodes: &[f64], x: f64) -> (usize, f64) {
    let above = nodes.partition_point(|&node| node <= x).clamp(1, nodes.len() - 1);
    let (low, high) = (nodes[above - 1], nodes[above]);
    (above - 1, ((x - low) / (high - low)).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stops(sun: f64, turn: f64) -> f64 {
        over_even_sky(Angle::from_degrees(sun), Angle::from_degrees(turn)).count()
    }

    #[test]
    fn left_and_right_of_the_sun_are_alike_however_the_turn_is_counted() {
        for turn in [20.0, 75.0, 110.0, 180.0] {
            for same in [-turn, 360.0 - turn, turn - 360.0] {
                assert!((stops(-3.3, turn) - stops(-3.3, same)).abs() < 1e-12, "{turn} and {same}");
            }
        }
    }

    #[test]
    fn beyond_the_table_its_last_rows_hold() {
        assert_eq!(stops(-30.0, 40.0), stops(-8.0, 40.0));
        assert_eq!(stops(70.0, 40.0), stops(10.0, 40.0));
    }

    #[test]
    fn between_nodes_lies_their_mean() {
        let mean = 0.25 * (stops(-3.0, 60.0) + stops(-4.0, 60.0) + stops(-3.0, 90.0) + stops(-4.0, 90.0));
        assert!((stops(-3.5, 75.0) - mean).abs() < 1e-12);
    }
}
