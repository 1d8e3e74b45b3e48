//! The year's table against the same things asked one evening at a time.

use duskbook::light::forecast::Forecast;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::shoot::almanac::{Evening, Wish, evenings};
use duskbook::shoot::half_day::Part;
use duskbook::sky::events::{ASTRONOMICAL, CIVIL, HORIZON, NAUTICAL, crossings};
use duskbook::sky::moon;
use duskbook::sky::place::Place;
use duskbook::sky::refraction::Atmosphere;
use duskbook::sky::skyline::Skyline;
use duskbook::sky::track::Body;
use duskbook::sky::{sun, track::Track};
use duskbook::units::{Angle, Bearing, Instant, Length, Span};

use crate::data::Worst;

/// 2031-01-01T00:00.
const YEAR_MS: f64 = 1_924_992_000_000.0;
/// 68° is polar, in winter and in summer.
const LATITUDES: [f64; 4] = [50.3, -33.0, 4.0, 68.0];

fn place(latitude: f64) -> Place {
    Place::new(latitude, -4.9, 100.0).unwrap()
}

fn skyline() -> Skyline {
    let points =
        [[0.0, 1.0], [235.0, 4.0], [262.0, 6.0], [262.0, 2.0], [263.5, 2.0], [263.5, 7.0], [300.0, 3.0]];
    Skyline::new(&points, Length::from_metres(0.0)).unwrap()
}

fn light(place: Place) -> Forecast {
    let conditions = Conditions { cloud: Cloud::Clear, scene: Scene::Floodlit, intent: Intent::Sky };
    Forecast::new(place, Bearing::from_degrees(260.0), conditions, &[]).unwrap()
}

fn wish(place: Place, body: Body, skyline: Option<Skyline>) -> Wish {
    Wish {
        bearing: Bearing::from_degrees(260.0),
        field: Angle::from_degrees(60.0),
        body,
        tolerance: None,
        skyline,
        dip: Angle::ZERO,
        moon: Some(([0.1, 0.9], Angle::from_degrees(5.0))),
        light: Some(light(place)),
        balance_s: None,
        dark_s: None,
    }
}

fn year(latitude: f64, part: Part, body: Body, skyline: Option<Skyline>) -> Vec<Evening> {
    let place = place(latitude);
    let span = Span::from_epoch_ms(YEAR_MS, YEAR_MS + 365.0 * 86_400e3).unwrap();
    evenings(&place, span, part, &wish(place, body, skyline))
}

fn same(what: &str, times: &mut Worst, found: Option<Instant>, expected: Option<Instant>) {
    assert_eq!(found.is_some(), expected.is_some(), "{what}: {found:?} for {expected:?}");
    if let (Some(found), Some(expected)) = (found, expected) {
        times.note(found.seconds_after(expected), what);
    }
}

#[test]
fn sun_and_twilights_are_those_of_each_half_day() {
    let mut times = Worst::new();
    for latitude in LATITUDES {
        for part in [Part::Evening, Part::Morning] {
            let table = year(latitude, part, Body::Sun, None);
            assert!((364..=366).contains(&table.len()));
            for row in &table {
                assert!((row.span.seconds() - 43_200.0).abs() < 60.0);
                let levels = [HORIZON, CIVIL, NAUTICAL, ASTRONOMICAL];
                let passed = crossings(&place(latitude), row.span, &levels);
                let found = [row.sun, row.twilights[0], row.twilights[1], row.twilights[2]];
                for (level, found) in levels.into_iter().zip(found) {
                    let passed = passed.iter().find(|c| c.altitude == level && c.rising == part.rising());
                    same(&format!("{latitude} {}", level.degrees()), &mut times, found, passed.map(|c| c.at));
                }
                // Without a skyline the sun passes the horizon.
                assert_eq!(row.passage.map(|passage| passage.at), row.sun);
            }
        }
    }
    times.within("sun and twilights of the year's table, seconds", 0.01);
}

#[test]
fn the_passage_is_the_skylines_nearest_to_the_bearing() {
    let mut offs = Worst::new();
    let mut through_the_gap = 0;
    for latitude in LATITUDES {
        let place = place(latitude);
        for row in year(latitude, Part::Evening, Body::Sun, Some(skyline())) {
            let hidden = skyline().hidden(&place, row.span, Body::Sun, Atmosphere::at(place.elevation()));
            let changes = hidden.iter().flat_map(|part| [part.start(), part.end()]);
            let inside = changes.filter(|at| *at > row.span.start() && *at < row.span.end());
            let off = |at: Instant| {
                (sun::position(&place, at).azimuth - Bearing::from_degrees(260.0)).degrees().abs()
            };
            let nearest = inside.map(off).min_by(f64::total_cmp);
            let found = row.passage.map(|passage| passage.off.degrees().abs());
            assert_eq!(found.is_some(), nearest.is_some(), "{latitude} {:?} {hidden:?}", row.span);
            if let (Some(found), Some(nearest)) = (found, nearest) {
                offs.note(found - nearest, latitude);
                through_the_gap += usize::from(hidden.len() > 1);
            }
        }
    }
    assert!(through_the_gap > 10, "{through_the_gap}");
    offs.within("distance of the passage from the bearing, degrees", 0.005);
}

#[test]
fn a_skyline_that_falls_away_below_the_horizon_is_still_passed() {
    let falling = Skyline::new(&[[0.0, -1.5], [360.0, -1.5]], Length::from_metres(0.0)).unwrap();
    let (place, mut later) = (place(50.3), Worst::new());
    for row in year(50.3, Part::Evening, Body::Sun, Some(falling.clone())).iter().step_by(30) {
        let hidden = falling.hidden(&place, row.span, Body::Sun, Atmosphere::at(place.elevation()));
        later.note(row.passage.unwrap().at.seconds_after(hidden[0].start()), row.span.start().epoch_ms());
    }
    later.within("passages below the horizon, seconds", 0.5);
}

#[test]
fn the_balance_is_the_forecasts() {
    let mut times = Worst::new();
    for latitude in [50.3, -33.0, 4.0] {
        for row in year(latitude, Part::Evening, Body::Sun, None).iter().step_by(9) {
            let [balance] = light(place(latitude)).balances(row.span)[..] else { panic!("one balance") };
            let found = row.balance.unwrap();
            times.note(found.start().seconds_after(balance.window.start()), latitude);
            times.note(found.end().seconds_after(balance.window.end()), latitude);
        }
    }
    times.within("ends of the balance, seconds", 1.5);
}

#[test]
fn darkness_and_the_moon_are_what_a_look_every_minute_sees() {
    let mut minutes = Worst::new();
    let mut in_frame = 0;
    for latitude in LATITUDES {
        let place = place(latitude);
        for row in year(latitude, Part::Evening, Body::Moon, None).iter().step_by(7) {
            let (sun, moon_track) = (Track::over(row.span), Track::of(Body::Moon, row.span));
            let look = |i: u32| row.span.start().plus_seconds(60.0 * f64::from(i));
            let looks: Vec<Instant> = (0..720).map(look).collect();
            let moon_at = |at| moon::MoonPosition::on_tracks(&moon_track, &sun, &place, at);
            let dark = looks.iter().filter(|&&at| {
                let moon = moon_at(at);
                sun.position(&place, at).altitude < ASTRONOMICAL && moon.edge().degrees() < -34.0 / 60.0
            });
            minutes.note(row.dark_s / 60.0 - dark.count() as f64, format!("{latitude} {:?}", row.span));

            let wished = looks.iter().filter(|&&at| {
                let (sun, moon) = (sun.position(&place, at).altitude.degrees(), moon_at(at));
                (-12.0..=6.0).contains(&sun)
                    && moon.apparent_altitude.degrees() >= 5.0
                    && (moon.azimuth - Bearing::from_degrees(260.0)).degrees().abs() <= 30.0
                    && (0.1..=0.9).contains(&moon.illuminated_fraction())
            });
            let wished: Vec<&Instant> = wished.collect();
            if let Some(found) = row.moon_in_frame {
                in_frame += 1;
                assert!(found.start().seconds_after(*wished[0]) > -61.0);
                assert!(found.end().seconds_after(**wished.last().unwrap()) < 61.0);
            } else {
                // Between two looks of the table.
                assert!(wished.len() < 40, "{latitude} {:?}: {} minutes", row.span, wished.len());
            }
            if let Some(passage) = row.passage {
                let edge = moon::position(&place, passage.at).edge().degrees() + 34.0 / 60.0;
                assert!(edge.abs() < 0.002, "{edge}");
            }
        }
    }
    assert!(in_frame > 10, "{in_frame}");
    minutes.within("minutes without sun and moon", 2.5);
}
