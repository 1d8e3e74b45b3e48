//! When sun and moon are behind skylines, against a scan of every second of JPL's DE421.

use duskbook::sky::place::Place;
use duskbook::sky::refraction::Atmosphere;
use duskbook::sky::skyline::{Skyline, altitude_of};
use duskbook::sky::track::Body;
use duskbook::units::{Angle, Bearing, Instant, Length, Span};
use proptest::prelude::*;

use crate::data::{Worst, number, table};

const CASES: usize = 36;

fn pair(text: &str, between: char) -> [f64; 2] {
    let (first, second) = text.split_once(between).unwrap();
    [number(first), number(second)]
}

#[test]
fn every_disappearance_is_found_to_the_second_and_none_is_invented() {
    let mut times = Worst::new();
    let mut gaps = 0;
    for row in table("sky_skyline.csv", CASES) {
        let place = Place::new(number(&row[2]), number(&row[3]), number(&row[4])).unwrap();
        let [start, end] = [6, 7].map(|i| Instant::from_epoch_ms(number(&row[i]) * 1e3).unwrap());
        let points: Vec<[f64; 2]> = row[8].split(' ').map(|point| pair(point, '/')).collect();
        let skyline = Skyline::new(&points, Length::from_metres(number(&row[5]))).unwrap();
        let body = if row[1] == "sun" { Body::Sun } else { Body::Moon };
        let span = Span::new(start, end).unwrap();
        let found = skyline.hidden(&place, span, body, Atmosphere::at(place.elevation()));
        // The scan's own steps of a second hide what is shorter.
        let found: Vec<&Span> = found.iter().filter(|part| part.seconds() > 1.5).collect();
        let expected: Vec<[f64; 2]> = row[9]
            .split_whitespace()
            .map(|part| pair(part, '-'))
            .filter(|[from, to]| to - from > 1.5)
            .collect();
        let seconds: Vec<[f64; 2]> =
            found.iter().map(|part| [part.start(), part.end()].map(|at| at.seconds_after(start))).collect();
        assert_eq!(seconds.len(), expected.len(), "{} {}: {seconds:?} for {expected:?}", row[0], row[1]);
        gaps += expected.len().saturating_sub(1);
        for (found, expected) in seconds.iter().zip(&expected) {
            for (found, expected) in found.iter().zip(expected) {
                if *expected > 0.0 && *expected < span.seconds() {
                    // The change lies in the second before.
                    times.note(found - (expected - 0.5), format!("{} {} at {expected}", row[0], row[1]));
                }
            }
        }
    }
    assert!(gaps > 40, "{gaps}");
    times.within("behind and out of a skyline, seconds", 1.5);
}

fn skyline(points: &[[f64; 2]], eye_m: f64) -> Skyline {
    Skyline::new(points, Length::from_metres(eye_m)).unwrap()
}

#[test]
fn a_profile_is_straight_between_its_points_and_level_where_nothing_was_surveyed() {
    let at = |skyline: &Skyline, azimuth: f64| skyline.altitude(Bearing::from_degrees(azimuth)).degrees();
    let north = skyline(&[[350.0, 2.0], [10.0, 4.0]], 0.0);
    for (azimuth, altitude) in [
        (350.0, 2.0),
        (355.0, 2.5),
        (0.0, 3.0),
        (5.0, 3.5),
        (10.0, 4.0),
        (11.0, 0.0),
        (180.0, 0.0),
        (349.0, 0.0),
    ] {
        assert!((at(&north, azimuth) - altitude).abs() < 1e-9, "{azimuth}: {}", at(&north, azimuth));
    }
    // 1.758′ × √100.
    assert!((at(&skyline(&[[350.0, 2.0], [10.0, 4.0]], 100.0), 90.0) + 17.58 / 60.0).abs() < 1e-9);
    let ring = skyline(&[[300.0, 3.0], [20.0, 1.0], [200.0, 5.0]], 0.0);
    for (azimuth, altitude) in [(340.0, 2.0), (110.0, 3.0), (250.0, 4.0)] {
        assert!((at(&ring, azimuth) - altitude).abs() < 1e-9, "{azimuth}: {}", at(&ring, azimuth));
    }
    assert!((at(&skyline(&[[10.0, 3.0]], 0.0), 200.0) - 3.0).abs() < 1e-9);
    assert!((at(&skyline(&[[0.0, 1.0], [90.0, 4.0], [360.0, 1.0]], 0.0), 225.0) - 2.5).abs() < 1e-9);
    assert_eq!(at(&skyline(&[], 0.0), 200.0), 0.0);
    let tower = skyline(&[[100.0, 0.0], [100.0, 6.0], [104.0, 6.0], [104.0, 0.0]], 0.0);
    for (azimuth, altitude) in [(99.999, 0.0), (100.0, 6.0), (102.0, 6.0), (104.0, 6.0), (104.001, 0.0)] {
        assert!((at(&tower, azimuth) - altitude).abs() < 1e-9, "{azimuth}");
    }
}

#[test]
fn far_ridges_sink_and_near_walls_do_not() {
    let altitude = |height: f64, way: f64, eye: f64| {
        let [height, way, eye] = [height, way, eye].map(Length::from_metres);
        altitude_of(height, way, eye).map(Angle::degrees)
    };
    assert!((altitude(21.6, 20.0, 1.6).unwrap() - 45.0).abs() < 0.001);
    // Computed: 50² km² × 0.87 / (2 × 6371 km) = 170.7 m, so a ridge so much higher is level.
    assert!(altitude(170.7 + 1.6, 50_000.0, 1.6).unwrap().abs() < 1e-4);
    assert_eq!(altitude(10.0, 0.0, 1.6).unwrap_err().field(), "distanceM");
    assert_eq!(altitude(1e5, 10.0, 1.6).unwrap_err().field(), "heightM");
    assert_eq!(altitude(10.0, 10.0, -1.0).unwrap_err().field(), "observerHeightM");
}

#[test]
fn bad_points_are_refused_by_their_place() {
    let refused =
        |points: &[[f64; 2]]| Skyline::new(points, Length::from_metres(0.0)).unwrap_err().field().to_owned();
    assert_eq!(refused(&[[10.0, 0.0], [361.0, 0.0]]), "profile[1].azimuthDeg");
    assert_eq!(refused(&[[10.0, f64::NAN]]), "profile[0].altitudeDeg");
    assert_eq!(refused(&vec![[10.0, 0.0]; 2001]), "profile");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(60) })]

    #[test]
    fn parts_of_a_span_have_the_hidden_times_of_the_whole(
        (latitude, longitude) in (-70.0..70.0, -180.0..180.0),
        start_ms in -600e9..2500e9,
        points in prop::collection::vec((0.0..360.0, -1.0..25.0).prop_map(|(a, h)| [a, h]), 0..30),
        cut in 0.1..0.9,
        body in prop::sample::select(vec![Body::Sun, Body::Moon]),
    ) {
        let place = Place::new(latitude, longitude, 0.0).unwrap();
        let start = Instant::from_epoch_ms(start_ms).unwrap();
        let (middle, end) = (start.plus_seconds(cut * 86_400.0), start.plus_seconds(86_400.0));
        let skyline = skyline(&points, 2.0);
        let hidden = |from, to| -> f64 {
            let parts = skyline.hidden(&place, Span::new(from, to).unwrap(), body, Atmosphere::STANDARD);
            assert!(parts.windows(2).all(|two| two[0].end() < two[1].start()));
            assert!(parts.iter().all(|part| part.start() >= from && part.end() <= to));
            parts.into_iter().map(Span::seconds).sum()
        };
        let (whole, parts) = (hidden(start, end), hidden(start, middle) + hidden(middle, end));
        prop_assert!((whole - parts).abs() < 4.0, "{whole} {parts}");
    }
}
