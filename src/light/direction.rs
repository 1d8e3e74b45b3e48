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
//! 42:353, measured down to −11°). From −12° to −18° the glow dies out, and what is left at night is the last row's
//! mean over the turns, the same all round, as the sun no longer tells where to look (a judgement of this project).
//! Above +10° the band is left too bright, by two stops or so at noon (from memory of clear skies): this is no model
//! of midday.

use super::direction_terms::{STOPS, SUN_DEG, TURN_DEG};
use crate::math::{lerp, nearest_zero};
use crate::units::{Angle, Stops};

/// Altitudes of the sun at which the glow is gone and at which it begins to go, degrees.
const NIGHT_DEG: f64 = -18.0;
const DEEP_DEG: f64 = -12.0;

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
    gain(sun, turn, glow(sun))
}

/// The same as it was with the sun on the horizon, dying out as the sun falls deep.
pub(super) fn since_sunset(sun: Angle, turn: Angle) -> Stops {
    gain(Angle::ZERO, turn, glow(sun))
}

/// How much of the glow is left: 1 in twilight, 0 at night.
fn glow(sun: Angle) -> f64 {
    ((sun.degrees() - NIGHT_DEG) / (DEEP_DEG - NIGHT_DEG)).clamp(0.0, 1.0)
}

/// The table's value, as far as there is a glow; for the rest the mean over all turns.
fn gain(sun: Angle, turn: Angle, glow: f64) -> Stops {
    let turn_deg = nearest_zero(turn.degrees(), 360.0);
    let (row, down) = place_among(&SUN_DEG, sun.degrees());
    let (column, along) = place_among(&TURN_DEG, turn_deg.abs());
    let across = |row: usize| {
        let seen = lerp(STOPS[row][column], STOPS[row][column + 1], along);
        lerp(mean_over_turns(&STOPS[row]), seen, glow)
    };
    Stops::new(lerp(across(row), across(row + 1), down))
}

/// The mean of a row from the sun's side to the far one, straight between its columns.
fn mean_over_turns(row: &[f64; TURN_DEG.len()]) -> f64 {
    let areas = TURN_DEG.windows(2).zip(row.windows(2));
    areas.map(|(turns, stops)| 0.5 * (stops[0] + stops[1]) * (turns[1] - turns[0])).sum::<f64>() / 180.0
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
    fn beyond_the_table_its_last_rows_hold_down_to_where_the_glow_dies() {
        assert!((stops(-12.0, 40.0) - stops(-8.0, 40.0)).abs() < 1e-12);
        assert_eq!(stops(70.0, 40.0), stops(10.0, 40.0));
    }

    #[test]
    fn the_night_is_alike_all_round_and_as_bright_as_the_deep_twilight_was_on_average() {
        let mean = (0..1800).map(|i| stops(-10.0, 0.05 + 0.1 * f64::from(i))).sum::<f64>() / 1800.0;
        for turn in [0.0, 33.0, 90.0, 180.0] {
            assert!((stops(-18.0, turn) - mean).abs() < 1e-4, "{} for {mean}", stops(-18.0, turn));
            assert_eq!(stops(-18.0, turn), stops(-50.0, 0.0));
            let halfway = 0.5 * (stops(-12.0, turn) + mean);
            assert!((stops(-15.0, turn) - halfway).abs() < 1e-4, "{}", stops(-15.0, turn));
        }
    }

    #[test]
    fn between_nodes_lies_their_mean() {
        let mean = 0.25 * (stops(-3.0, 60.0) + stops(-4.0, 60.0) + stops(-3.0, 90.0) + stops(-4.0, 90.0));
        assert!((stops(-3.5, 75.0) - mean).abs() < 1e-12);
    }
}
