//! Illuminance of the sun and the moon against published values.

use duskbook::exposure::ev;
use duskbook::light::direction::over_even_sky;
use duskbook::light::illuminance::{even_sky_ev, from_moon, from_sun};
use duskbook::units::{Angle, Ev, Illuminance};

use crate::data::Worst;

fn lux(sun_deg: f64) -> f64 {
    from_sun(Angle::from_degrees(sun_deg)).lux()
}

/// The published cubics worked out independently, to the digits shown: USNO Circular 171.
#[test]
fn the_sun_gives_the_circulars_lux_to_every_digit_that_was_written_down() {
    let mut worst = Worst::default();
    for (sun_deg, written, half_digit) in [
        (10.0, 11_120.0, 5.0),
        (5.0, 4538.0, 0.5),
        (2.0, 1921.0, 0.5),
        (0.0, 759.0, 0.5),
        (-1.0, 405.0, 0.5),
        (-2.0, 189.0, 0.5),
        (-3.0, 79.1, 0.05),
        (-4.0, 29.9, 0.05),
        (-5.0, 10.4, 0.05),
        (-6.0, 3.41, 0.005),
        (-8.0, 0.348, 0.0005),
        (-10.0, 0.0421, 0.000_05),
        (-12.0, 0.0081, 0.000_05),
        (-18.0, 6.4e-4, 0.5e-5),
    ] {
        // In units of half the last digit, so that one limit serves all rows.
        worst.note((lux(sun_deg) - written) / half_digit, format!("{sun_deg}°"));
    }
    worst.within("lux by the circular, in half digits", 1.0);
}

/// The cubics' derivatives, stops per degree, to the two decimals written down.
#[test]
fn the_light_falls_as_fast_as_the_cubics_say() {
    for (sun_deg, written) in
        [(0.0, 0.82), (-2.0, 1.18), (-4.0, 1.46), (-6.0, 1.64), (-8.0, 1.62), (-11.999, 0.96)]
    {
        let slope = (lux(sun_deg + 0.0005) / lux(sun_deg - 0.0005)).log2() / 0.001;
        assert!((slope - written).abs() < 0.0055, "{slope} at {sun_deg}°");
    }
}

/// Glossary of Meteorology, American Meteorological Society, "twilight" (second-hand): clear-sky illuminance of level
/// ground with the sun's disc on the horizon and at the ends of the three twilights. Rows printed with one digit are
/// held to half of it.
#[test]
fn sunset_and_the_three_twilights_end_in_the_glossarys_light() {
    // On the horizon as it is seen: refraction lifts the centre by 34′, the limb leaves 16′ later.
    for on_horizon in [-34.0 / 60.0, -50.0 / 60.0] {
        let seen = lux(on_horizon);
        assert!((410.0..=585.0).contains(&seen), "{seen} lx at {on_horizon}°");
    }
    assert!((2.0..=3.5).contains(&lux(-6.0)), "{}", lux(-6.0));
    assert!((0.0075..0.0085).contains(&lux(-12.0)), "{}", lux(-12.0));
    assert!((5.5e-4..6.5e-4).contains(&lux(-18.0)), "{}", lux(-18.0));
}

/// ANSI PH2.7-1973/1986 by encyclopaedia copies: EV at ISO 100 of skies about sunset, here toward the sun with no
/// parameter fitted. The standard's rows are whole EVs, so they are held to half of one.
#[test]
fn the_sky_toward_the_sun_reads_as_the_standards_sunset_rows() {
    let toward = |sun_deg: f64| {
        let sun = Angle::from_degrees(sun_deg);
        (even_sky_ev(from_sun(sun)) + over_even_sky(sun, Angle::ZERO)).value()
    };
    for (row, suns, least, most) in [
        ("just before sunset", [1.0, 0.0], 12.0, 14.0),
        ("at sunset", [-0.8333, -0.8333], 12.0, 12.0),
        ("just after sunset", [-2.0, -4.0], 9.0, 11.0),
    ] {
        for sun_deg in suns {
            let ev = toward(sun_deg);
            println!("{row}, sun at {sun_deg}°: EV {ev:.2}, standard {least} to {most}");
            assert!(ev >= least - 0.5 && ev <= most + 0.5, "{row}: {ev} at {sun_deg}°");
        }
    }
}

/// M. J. Koomen et al. 1952, JOSA 42:353 (abstract): the sky's brightness changes tenfold for each 2° of the sun from
/// −3° to −11°, 1.66 stops a degree. The circular's mean, 1.52, is less steep; the difference is the two sources' own.
#[test]
fn deep_twilight_fades_nearly_as_fast_as_it_was_measured() {
    let mean = (lux(-3.0) / lux(-11.0)).log2() / 8.0;
    assert!((mean - 1.52).abs() < 0.005, "{mean}");
    assert!((mean - 1.66).abs() < 0.15, "{mean}");
}

/// Full moon in the zenith at mean distance 0.269 lx, the cubic at 1; USNO Circular 171. The half moon's share
/// is 10^(−0.00868 · 90 − 2.2e-9 · 90⁴), worked out by hand.
#[test]
fn the_moon_gives_the_circulars_light() {
    let (zenith, parallax) = (Angle::from_degrees(90.0), Angle::from_degrees(0.951));
    let lux = |phase_deg: f64| from_moon(zenith, Angle::from_degrees(phase_deg), parallax).lux();
    assert!((lux(0.0) - 0.269).abs() < 0.0005, "{}", lux(0.0));
    assert!((lux(90.0) / lux(0.0) - 0.118_7).abs() < 0.0005, "{}", lux(90.0) / lux(0.0));
    let nearer = from_moon(zenith, Angle::ZERO, Angle::from_degrees(2.0 * 0.951)).lux();
    assert!((nearer / lux(0.0) - 4.0).abs() < 1e-9, "twice as near is four times as bright");
}

/// Published conversions at K = 12.5 and C = 250: an incident EV is log₂(E / 2.5), an even sky's 2.67 more.
#[test]
fn light_on_the_ground_and_light_of_the_sky_differ_by_two_and_two_thirds_stops() {
    let light = Illuminance::from_lux(2560.0);
    assert_eq!(ev::of_illuminance(light), Ev::at_iso_100(10.0));
    assert!((even_sky_ev(light).value() - 12.67).abs() < 0.005);
}
