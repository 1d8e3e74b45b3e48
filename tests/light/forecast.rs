//! The forecast and its fit against a second implementation in numpy, and the balance against its table.

use duskbook::light::backdrop::Backdrop;
use duskbook::light::belief::Belief;
use duskbook::light::fit::{Fit, Seen};
use duskbook::light::forecast::Forecast;
use duskbook::light::normal::Normal;
use duskbook::light::reading::{READING_EV, Reading};
use duskbook::light::scene::{Cloud, Conditions, FLOOR_EV, Intent, Scene};
use duskbook::sky::events::crossings;
use duskbook::sky::place::Place;
use duskbook::units::{AT_MS, Angle, Bearing, Ev, Instant, Span};
use proptest::prelude::*;

use crate::data::{Worst, number, table};

fn backdrop(sun_deg: f64, turn_deg: f64) -> Backdrop {
    Backdrop::new(Angle::from_degrees(sun_deg), Angle::from_degrees(turn_deg), Cloud::Clear)
}

/// The prior and the turn of a case, from one of its rows.
fn prior(row: &[String]) -> (Belief, f64) {
    let cell = |i: usize| number(&row[i]);
    let unknown = |i: usize| Normal::new(cell(i), cell(i + 1));
    (Belief::independent(unknown(2), unknown(4), unknown(6)), cell(1))
}

/// Holds every row of one kind of case to the numpy reference.
fn compare(what: &str, has_readings: bool) {
    let readings = table("light_readings.csv", 27);
    let rows = table("light_forecasts.csv", 715);
    let mut evs = Worst::default();
    let mut spreads = Worst::default();
    for case in rows.chunk_by(|a, b| a[0] == b[0]) {
        let (belief, turn_deg) = prior(&case[0]);
        let seen: Vec<Seen> = readings
            .iter()
            .filter(|reading| reading[0] == case[0][0])
            .map(|reading| Seen {
                backdrop: backdrop(number(&reading[1]), turn_deg),
                ev: Ev::at_iso_100(number(&reading[2])),
                intent: Intent::Sky,
            })
            .collect();
        if seen.is_empty() == has_readings {
            continue;
        }
        let fit = Fit::new(&belief, &seen);
        for row in case {
            let told = fit.ev(&backdrop(number(&row[8]), turn_deg), Intent::Sky);
            let place = || format!("case {}, sun {}°", row[0], row[8]);
            evs.note(told.mean - number(&row[9]), place());
            spreads.note(told.sd - number(&row[10]), place());
        }
    }
    // The direction table is rounded to 1e-6 stop; nothing else differs.
    evs.within(&format!("EV {what}, against numpy"), 1e-6);
    spreads.within(&format!("standard deviation {what}, against numpy"), 1e-6);
}

#[test]
fn what_is_usual_equals_the_reference() {
    compare("without readings", false);
}

#[test]
fn what_readings_teach_equals_the_reference() {
    compare("with readings", true);
}

/// Altitude of the sun at which the low sky has fallen to a lit surface, worked out from the table by the
/// reference to one decimal; by surface EV: toward the sun, at 90°, away.
#[test]
fn sky_and_lamps_balance_where_the_table_says() {
    for (surface_ev, suns_deg) in
        [(3.0, [-8.0, -6.4, -6.0]), (4.0, [-7.4, -5.8, -5.3]), (5.0, [-6.8, -5.2, -4.6])]
    {
        let sure = |mean: f64| Normal::new(mean, 1e-3);
        let fit = Fit::new(&Belief::independent(sure(0.0), sure(1.0), sure(surface_ev)), &[]);
        for (turn_deg, written) in [0.0, 90.0, 180.0].into_iter().zip(suns_deg) {
            let lead = |sun_deg: f64| fit.sky_over_lamps(&backdrop(sun_deg, turn_deg)).mean;
            assert!(
                lead(written + 0.055) > 0.0 && lead(written - 0.055) < 0.0,
                "EV {surface_ev} at {turn_deg}°: {} stops at {written}°",
                lead(written)
            );
        }
    }
}

/// The same table's altitudes, held to a forecast from what is usual: its shape and offset differ from the
/// table's, and its band must say so. The lens is turned from where the sun stands at the altitude written.
#[test]
fn a_forecasts_balance_lies_within_its_spread_of_the_table() {
    let place = Place::new(44.0, -30.0, 0.0).unwrap();
    let noon_ms = 1_930_917_600_000.0;
    let evening = Span::from_epoch_ms(noon_ms, noon_ms + 12.0 * 3.6e6).unwrap();
    for (surface_ev, suns_deg) in
        [(3.0, [-8.0, -6.4, -6.0]), (4.0, [-7.4, -5.8, -5.3]), (5.0, [-6.8, -5.2, -4.6])]
    {
        for (turn_deg, written) in [0.0, 90.0, 180.0].into_iter().zip(suns_deg) {
            let [passed] = crossings(&place, evening, &[Angle::from_degrees(written)])[..] else {
                panic!("the sun passes {written}° once in an evening")
            };
            let lens = Bearing::from_degrees(passed.azimuth.degrees() + turn_deg);
            let conditions = Conditions {
                cloud: Cloud::Clear,
                scene: Scene::lit(surface_ev).unwrap(),
                intent: Intent::Frame,
            };
            let light = Forecast::new(place, lens, conditions, &[]).unwrap();
            let [balance] = light.balances(evening)[..] else { panic!("one balance") };
            let altitude = balance.sun_altitude.degrees();
            println!("EV {surface_ev} at {turn_deg}°: sun at {altitude:.2}°, written {written}°");
            assert!(balance.likely.contains(passed.at), "{altitude} for {written}, {balance:?}");
            assert!((altitude - written).abs() < 0.8, "{altitude} for {written}");
        }
    }
}

proptest! {
    #[test]
    fn every_place_moment_and_choice_has_a_finite_estimate_inside_its_band(
        (latitude, longitude, bearing) in (-90.0..=90.0, -180.0..=180.0, 0.0..=360.0),
        start_ms in AT_MS.least..=AT_MS.most - 2.0 * 86_400_000.0,
        cloud in prop::sample::select(vec![Cloud::Clear, Cloud::Thin, Cloud::Average, Cloud::Dark]),
        scene in prop_oneof![
            prop::sample::select(vec![Scene::Street, Scene::Skyline, Scene::Floodlit, Scene::Unlit]),
            (FLOOR_EV.least..=FLOOR_EV.most).prop_map(|ev| Scene::Lit(Ev::at_iso_100(ev))),
        ],
        intent in intents(),
        read in prop::collection::vec((0.0..=1440.0, READING_EV.least..=READING_EV.most, intents()), 0..6),
    ) {
        let at = |minute: f64| Instant::from_epoch_ms(start_ms + 60_000.0 * minute).unwrap();
        let readings: Vec<Reading> =
            read.into_iter().map(|(minute, ev, intent)| Reading::new(at(minute), ev, intent).unwrap()).collect();
        let place = Place::new(latitude, longitude, 0.0).unwrap();
        let conditions = Conditions { cloud, scene, intent };
        let light = Forecast::new(place, Bearing::from_degrees(bearing), conditions, &readings).unwrap();
        for hour in 0..24 {
            let moment = at(60.0 * f64::from(hour));
            for told in [light.at(moment), light.sky_at(moment), light.floor()] {
                let [low, ev, high] = [told.low, told.ev, told.high].map(Ev::value);
                prop_assert!(low.is_finite() && high.is_finite() && low < ev && ev < high, "{told:?}");
            }
        }
        let span = Span::new(at(0.0), at(1440.0)).unwrap();
        for balance in light.balances(span) {
            for part in [balance.window, balance.likely] {
                prop_assert!(part.contains(balance.at), "{balance:?}");
                prop_assert!(span.contains(part.start()) && span.contains(part.end()), "{balance:?}");
            }
        }
    }
}

fn intents() -> impl Strategy<Value = Intent> {
    prop::sample::select(vec![Intent::Sky, Intent::Frame, Intent::Shadows, Intent::Highlights])
}
